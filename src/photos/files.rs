//! The files of photos, and the one place where pictures are made anew: one at
//! a time, off the threads that answer pages.

use std::fs;
use std::io;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use tokio::sync::Semaphore;

use super::develop::{Print, Refused, develop};
use crate::db::{private_folder, settle};
use crate::web::{AppState, WebError};

/// Lets one picture at a time be decoded; a hook.
#[derive(Debug, Clone)]
pub struct Darkroom(Arc<Semaphore>);

impl Default for Darkroom {
    fn default() -> Self {
        Self(Arc::new(Semaphore::new(1)))
    }
}

/// How long a photo waits for its turn.
const PATIENCE: Duration = Duration::from_secs(12);

/// Makes a sent file anew, in its turn.
///
/// # Errors
/// `Busy` if its turn did not come; within, why the file is not taken.
pub(super) async fn made(
    app: &AppState,
    sent: Vec<u8>,
) -> Result<Result<Print, Refused>, WebError> {
    let room = app
        .hook::<Darkroom>()
        .ok_or_else(|| WebError::internal("no darkroom"))?;
    let turn = tokio::time::timeout(PATIENCE, Arc::clone(&room.0).acquire_owned())
        .await
        .map_err(|_| WebError::Busy("photos wait for their turn".into()))?
        .map_err(WebError::internal)?;
    let done = tokio::task::spawn_blocking(move || {
        let print = develop(&sent);
        drop(turn);
        print
    });
    // A decoder that gives up in a panic has met a damaged file.
    Ok(done.await.unwrap_or(Err(Refused::Damaged)))
}

/// The two files of a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    Whole,
    Small,
}

/// Where one of them lies.
pub(super) fn place(app: &AppState, name: &str, which: Which) -> PathBuf {
    let file = match which {
        Which::Whole => format!("{name}.jpg"),
        Which::Small => format!("{name}-small.jpg"),
    };
    app.db().file().with_file_name("photos").join(file)
}

/// A fresh name that nobody can guess.
pub(super) fn fresh_name(app: &AppState) -> Result<String, WebError> {
    Ok(data_encoding::HEXLOWER.encode(&app.random::<16>()?))
}

/// Writes both files through to the disk. They are whole before they get their
/// names, since a backup may read the folder at any time.
pub(super) async fn keep(app: &AppState, name: &str, print: Print) -> Result<(), WebError> {
    let places = [
        (place(app, name, Which::Whole), print.whole),
        (place(app, name, Which::Small), print.small),
    ];
    let part = app.db().file().with_file_name(format!("{name}.part"));
    let done = tokio::task::spawn_blocking(move || {
        for (file, bytes) in places {
            if let Some(folder) = file.parent() {
                private_folder(folder)?;
            }
            fs::write(&part, bytes)?;
            settle(&part, &file)?;
        }
        Ok(())
    });
    let written: io::Result<()> = done.await.map_err(WebError::internal)?;
    written.map_err(|error| match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            WebError::Full(format!("photo: {error}"))
        }
        _ => WebError::internal(format_args!("photo: {error}")),
    })
}

/// Takes the files of a photo that was not kept away again.
pub(super) async fn discard(app: &AppState, name: &str) {
    for which in [Which::Whole, Which::Small] {
        // What is not there need not be removed; a file left over does no harm.
        let _ = tokio::fs::remove_file(place(app, name, which)).await;
    }
}
