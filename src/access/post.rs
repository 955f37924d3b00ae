//! A form taken: token checked, then its effect once and only once.

use axum::extract::{FromRequest, Multipart, Request};
use axum::response::Response;
use axum::{Form as Body, RequestExt as _};
use serde_json::Value;

use crate::db::{self, KeyState, Stamp, Tx};
use crate::web::{AppState, Fields, Form, WebError, see_other};

use super::tokens::{same, sha};
use super::{Me, UserId};

/// A posted form whose token is right.
#[derive(Debug)]
pub struct Post {
    /// What was typed.
    pub fields: Fields,
    /// The version of the record when the form was drawn.
    pub version: Option<i64>,
    key: String,
    body_sha: [u8; 32],
    csrf: String,
}

/// When and by whom a row is made or changed: every store function takes one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Made {
    /// The instant.
    pub at: Stamp,
    /// The person; nobody for the console and the demo.
    pub by: Option<UserId>,
}

impl Made {
    /// The person's number to bind.
    #[must_use]
    pub fn user(&self) -> Option<i64> {
        self.by.map(UserId::get)
    }
}

/// The transaction of a form's effect: the effect, its audit row and its key
/// stand or fall together.
#[derive(Debug)]
pub struct Work {
    /// For the store functions.
    pub tx: Tx,
    /// For the store functions.
    pub made: Made,
    user: UserId,
    key: String,
    body_sha: [u8; 32],
}

/// Whether a form is new.
#[derive(Debug)]
pub enum Start {
    /// New: do the work.
    First(Work),
    /// Taken already: this was the reply.
    Again(Response),
}

impl Post {
    /// A form's fields with its token and key looked at.
    pub(super) fn of(path: &str, fields: Fields, csrf: String) -> Result<Self, WebError> {
        if !same(fields.get("_csrf"), &csrf) {
            return Err(WebError::Forged("form token missing or foreign"));
        }
        let key = fields.get("_key").to_owned();
        if !key_is_good(&key) {
            let words = "The form lacks its key. Open it again and send it from there.";
            return Err(WebError::BadRequest(words.to_owned()));
        }
        let version = fields.get("_version").parse().ok();
        Ok(Self {
            body_sha: body_sha(path, &fields),
            fields,
            version,
            key,
            csrf,
        })
    }

    /// Begins the form's transaction.
    ///
    /// # Errors
    /// `OtherBody` if the key was used for something else; the database's.
    pub async fn begin(&self, app: &AppState, me: &Me) -> Result<Start, WebError> {
        let mut tx = app.db().write().await?;
        match db::key_state(&mut tx, me.id.get(), &self.key, &self.body_sha).await? {
            KeyState::Done(reply) => Ok(Start::Again(see_other(&reply))),
            KeyState::OtherBody => Err(WebError::OtherBody),
            KeyState::New => Ok(Start::First(Work {
                tx,
                made: Made {
                    at: app.now(),
                    by: Some(me.id),
                },
                user: me.id,
                key: self.key.clone(),
                body_sha: self.body_sha,
            })),
        }
    }

    /// The earlier reply, where a replay must be told before weighty work.
    ///
    /// # Errors
    /// As [`Post::begin`].
    pub async fn earlier(&self, app: &AppState, me: &Me) -> Result<Option<Response>, WebError> {
        match self.begin(app, me).await? {
            Start::First(_) => Ok(None),
            Start::Again(reply) => Ok(Some(reply)),
        }
    }

    /// A 128-bit secret bound to this session and this form: a replay makes the
    /// same one, and what the database keeps does not give it away.
    #[must_use]
    pub fn secret(&self, purpose: &str) -> String {
        let hash = sha(format!("{purpose}\0{}\0{}", self.csrf, self.key).as_bytes());
        let half: Vec<u8> = hash.into_iter().take(16).collect();
        data_encoding::BASE32_NOPAD.encode(&half).to_lowercase()
    }

    /// Whether a form of the archive puts away rather than brings back.
    #[must_use]
    pub fn away(&self) -> bool {
        self.fields.get("away") == "yes"
    }

    /// The version the form was drawn at; a form of a record always has one.
    ///
    /// # Errors
    /// `BadRequest` if it is missing.
    pub fn version(&self) -> Result<i64, WebError> {
        self.version.ok_or_else(|| {
            WebError::BadRequest("The form lacks the record's version. Open it again.".to_owned())
        })
    }

    /// The form as typed, to be drawn again with errors or a conflict.
    #[must_use]
    pub fn again(&self, action: impl Into<String>) -> Form {
        let form = Form::new(action, &self.csrf, self.key.clone()).filled(self.fields.shown());
        match self.version {
            Some(version) => form.at_version(version),
            None => form,
        }
    }
}

impl Work {
    /// Writes down what was done. `detail` holds no client data, price or secret.
    ///
    /// # Errors
    /// The database's.
    pub async fn audit(
        &mut self,
        event: &str,
        thing: &str,
        id: i64,
        detail: Value,
    ) -> Result<(), WebError> {
        let user = Some(self.user.get());
        Ok(db::audit(
            &mut self.tx,
            self.made.at,
            user,
            event,
            (thing, Some(id)),
            &detail,
        )
        .await?)
    }

    /// Ends a form of the archive: writes down `{event}.archived` or
    /// `{event}.unarchived` and goes back to the record's page.
    ///
    /// # Errors
    /// The database's; then nothing was kept.
    pub async fn filed(
        mut self,
        (event, thing, id): (&str, &str, i64),
        away: bool,
        to: impl Into<String>,
    ) -> Result<Response, WebError> {
        let done = if away { "archived" } else { "unarchived" };
        self.audit(
            &format!("{event}.{done}"),
            thing,
            id,
            Value::Object(Default::default()),
        )
        .await?;
        self.done(to).await
    }

    /// Keeps the key, commits, and sends the browser to `to`.
    ///
    /// # Errors
    /// The database's; then nothing was kept.
    pub async fn done(mut self, to: impl Into<String>) -> Result<Response, WebError> {
        let to = to.into();
        let key = (self.key.as_str(), self.body_sha.as_slice());
        db::keep_key(&mut self.tx, self.made.at, self.user.get(), key, &to).await?;
        self.tx.commit().await?;
        Ok(see_other(&to))
    }
}

fn body_sha(path: &str, fields: &Fields) -> [u8; 32] {
    let mut text = path.to_owned();
    for (name, value) in fields.iter().filter(|(name, _)| *name != "_csrf") {
        for part in [name, value] {
            text.push_str(&format!("\n{}:", part.len()));
            text.push_str(part);
        }
    }
    sha(text.as_bytes())
}

pub(super) async fn read_fields(request: Request) -> Result<Fields, Response> {
    use axum::response::IntoResponse as _;
    let kind = request.headers().get(axum::http::header::CONTENT_TYPE);
    if kind.is_some_and(|kind| kind.as_bytes().starts_with(b"multipart/form-data")) {
        return read_parts(request).await;
    }
    match request.extract::<Body<Vec<(String, String)>>, _>().await {
        Ok(Body(pairs)) => Ok(Fields::new(pairs)),
        Err(rejection) => Err(rejection.into_response()),
    }
}

/// Most parts of a form with a file.
pub(super) const MOST_PARTS: usize = 1000;

/// A form with a file: each part is a field, a file the text it holds. The
/// whole is bounded as every form is.
async fn read_parts(request: Request) -> Result<Fields, Response> {
    use axum::response::IntoResponse as _;
    let mut parts = request
        .extract::<Multipart, _>()
        .await
        .map_err(axum::response::IntoResponse::into_response)?;
    let mut pairs = Vec::new();
    while let Some(part) = parts.next_field().await.map_err(|e| e.into_response())? {
        let Some(name) = part.name().map(str::to_owned) else {
            continue;
        };
        let bytes = part.bytes().await.map_err(|e| e.into_response())?;
        pairs.push((name, String::from_utf8_lossy(&bytes).into_owned()));
        if pairs.len() > MOST_PARTS {
            let words = "The form has too many fields. Open it again and send it from there.";
            return Err(WebError::BadRequest(words.to_owned()).into_response());
        }
    }
    Ok(Fields::new(pairs))
}

fn key_is_good(key: &str) -> bool {
    (16..=64).contains(&key.len()) && key.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
}

impl FromRequest<AppState> for Post {
    type Rejection = Response;

    async fn from_request(request: Request, _: &AppState) -> Result<Self, Response> {
        use axum::response::IntoResponse as _;
        let refuse = |error: WebError| error.into_response();
        let csrf = request.extensions().get::<Me>().map(|me| me.csrf.clone());
        let csrf = csrf.ok_or_else(|| refuse(WebError::internal("a form on an open route")))?;
        let path = request.uri().path().to_owned();
        let fields = read_fields(request).await?;
        Self::of(&path, fields, csrf).map_err(refuse)
    }
}
