//! The shelf of sections.

mod files;
mod forms;
mod pages;
mod store;

use headwright::sections::{self, NewSection, SectionId, Typed};

use crate::support::TestApp;
use crate::support::records::{made, tx};

/// What the new form holds, with some fields set otherwise.
pub fn typed(changes: &[(&str, &str)]) -> Typed {
    let mut typed = Typed::fresh();
    typed.set("name", "Porch crown");
    for (field, text) in changes {
        typed.set(*field, *text);
    }
    typed
}

/// A section as the form gives it.
pub fn new(changes: &[(&str, &str)]) -> NewSection {
    let (new, read) = sections::read(&typed(changes), None);
    new.unwrap_or_else(|| panic!("{:?}", read.errors))
}

/// A section on the shelf.
pub async fn a_section(firm: &TestApp, changes: &[(&str, &str)]) -> SectionId {
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let id = sections::add(&mut tx, made, &new(changes))
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    id
}
