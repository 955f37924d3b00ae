//! The pages of sections.

pub mod form;
pub mod list;
pub mod one;
pub mod raked;
pub mod rip;

use axum::response::Response;
use serde_json::Value;

use super::model::NewSection;
use super::store;
use crate::access::{Me, Reach, Thing, Work};
use crate::db::StoreError;
use crate::web::{Errors, WebError};

/// Whether this person may change the shelf.
fn may_write(me: &Me) -> bool {
    me.may_write(Thing::Heads) != Reach::None
}

fn name_taken() -> Errors {
    Errors::one(
        "name",
        "Another section has this name. Choose another; archived sections count too.",
    )
}

/// Ends a form that puts a new section on the shelf: goes to the section, or
/// says beside its name that it is taken.
async fn shelve(
    mut work: Work,
    new: &NewSection,
    event: &str,
    detail: Value,
) -> Result<Result<Response, Errors>, WebError> {
    match store::add(&mut work.tx, work.made, new).await {
        Ok(id) => {
            work.audit(event, "section", id.get(), detail).await?;
            Ok(Ok(work.done(format!("/sections/{id}?saved")).await?))
        }
        Err(StoreError::Taken(_)) => Ok(Err(name_taken())),
        Err(error) => Err(error.into()),
    }
}
