//! The firm's pages.

pub mod backup;
pub mod people;
pub mod person;
pub mod profile;
pub mod settings;

use crate::access::{Me, Role, SessionRow};
use crate::db::Stamp;
use crate::web::{AppState, Choice, Fields, Form, WebError};

/// The roles to choose from, each with what it is for.
fn roles() -> Vec<Choice> {
    let words = |role| match role {
        Role::Owner => "owner: everything, people and settings too",
        Role::Office => "office: clients, buying, papers and money",
        Role::Foreman => "foreman: measures, draws and leads jobs",
        Role::Carpenter => "carpenter: cuts, builds and hangs",
    };
    Role::ALL
        .into_iter()
        .map(|role| Choice::new(role, words(role)))
        .collect()
}

/// A signed-in device and the button that ends it.
struct Device {
    agent: String,
    since: String,
    seen: String,
    this: bool,
    form: Form,
}

fn devices(
    app: &AppState,
    me: &Me,
    rows: Vec<SessionRow>,
    action: &str,
) -> Result<Vec<Device>, WebError> {
    let zone = app.firm().zone;
    let device = |row: SessionRow| {
        let day = |at: Stamp| at.local(zone);
        Ok(Device {
            since: day(row.created_at),
            seen: day(row.seen_at),
            this: row.id == me.session,
            form: me
                .form(app, action)?
                .filled(Fields::default().with("session", row.id)),
            agent: row.agent,
        })
    };
    rows.into_iter().map(device).collect()
}
