//! A form with a file of any bytes: the file beside the form's fields.

use axum::RequestExt as _;
use axum::extract::multipart::MultipartError;
use axum::extract::{FromRequest, Multipart, Request};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Response};

use super::post::{MOST_PARTS, read_fields};
use super::tokens::sha;
use super::{Me, Post};
use crate::web::{AppState, Fields, WebError};

/// One file of a form. Its name and its stated kind are not kept: both are the
/// sender's word only.
#[derive(Debug)]
pub struct Upload {
    /// The field it was sent in.
    pub field: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// A posted form with files whose token is right. The digest of a file counts
/// as its field's text, so that the same form with another file is another.
#[derive(Debug)]
pub struct FilePost {
    /// The form.
    pub post: Post,
    /// Its files, in order; a field left empty is a file without bytes.
    pub files: Vec<Upload>,
}

impl FromRequest<AppState> for FilePost {
    type Rejection = Response;

    async fn from_request(request: Request, _: &AppState) -> Result<Self, Response> {
        let refuse = |error: WebError| error.into_response();
        let csrf = request.extensions().get::<Me>().map(|me| me.csrf.clone());
        let csrf = csrf.ok_or_else(|| refuse(WebError::internal("a form on an open route")))?;
        let path = request.uri().path().to_owned();
        let kind = request.headers().get(header::CONTENT_TYPE);
        let parts = kind.is_some_and(|kind| kind.as_bytes().starts_with(b"multipart/form-data"));
        let (fields, files) = if parts {
            read(request).await?
        } else {
            (read_fields(request).await?, Vec::new())
        };
        let post = Post::of(&path, fields, csrf).map_err(refuse)?;
        Ok(Self { post, files })
    }
}

async fn read(request: Request) -> Result<(Fields, Vec<Upload>), Response> {
    let mut parts = request
        .extract::<Multipart, _>()
        .await
        .map_err(|rejection| rejection.into_response())?;
    let (mut pairs, mut files) = (Vec::new(), Vec::new());
    while let Some(part) = parts.next_field().await.map_err(refused)? {
        let Some(field) = part.name().map(str::to_owned) else {
            continue;
        };
        let is_file = part.file_name().is_some();
        let bytes = part.bytes().await.map_err(refused)?;
        if is_file {
            let digest = data_encoding::HEXLOWER.encode(&sha(&bytes));
            pairs.push((field.clone(), digest));
            let bytes = bytes.to_vec();
            files.push(Upload { field, bytes });
        } else {
            pairs.push((field, String::from_utf8_lossy(&bytes).into_owned()));
        }
        if pairs.len() > MOST_PARTS {
            let words = "The form has too many fields. Open it again and send it from there.";
            return Err(WebError::BadRequest(words.to_owned()).into_response());
        }
    }
    Ok((Fields::new(pairs), files))
}

fn refused(error: MultipartError) -> Response {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        let words = "This file is too large to be taken. Go back and choose a smaller one.";
        return WebError::TooLarge(words.to_owned()).into_response();
    }
    let words = "The form came in broken. Go back and send it again.";
    WebError::BadRequest(words.to_owned()).into_response()
}
