//! The demo's shelf, put in through the form's own reader.

use serde::Deserialize;
use serde_json::{Map, Value};

use crate::access::{self, BoxFuture, Made, Role};
use crate::web::{AppState, WebError};

use super::forms;
use super::store;
use super::typed::{MEMBER, Typed, member};

const FILE: &str = include_str!("../../seed-data/sections.json");

#[derive(Deserialize)]
struct DemoSection {
    #[serde(default)]
    members: Vec<[String; 5]>,
    #[serde(flatten)]
    typed: Map<String, Value>,
}

fn wrong(words: impl std::fmt::Display) -> WebError {
    WebError::internal(format_args!("seed-data: sections.json: {words}"))
}

/// Puts the demo's sections in.
pub(super) fn seed(app: AppState) -> BoxFuture<Result<(), WebError>> {
    Box::pin(async move {
        let people = access::people(app.db().read()).await?;
        let foreman = people.iter().find(|person| person.role == Role::Foreman);
        let made = Made {
            at: app.now(),
            by: foreman.map(|person| person.id),
        };
        let all: Vec<DemoSection> = serde_json::from_str(FILE).map_err(wrong)?;
        let mut tx = app.db().write().await?;
        for one in all {
            let mut typed = Typed::of_json(&Value::Object(one.typed));
            typed.set("unit", "in");
            for (nth, row) in one.members.iter().enumerate() {
                for (field, text) in MEMBER.into_iter().zip(row) {
                    typed.set(member(nth, field), text.as_str());
                }
            }
            let (new, read) = forms::read(&typed, None);
            let new =
                new.ok_or_else(|| wrong(format_args!("{}: {:?}", typed.get("name"), read.errors)))?;
            store::add(&mut tx, made, &new).await?;
        }
        Ok(tx.commit().await?)
    })
}
