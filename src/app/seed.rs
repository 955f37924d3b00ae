//! The demo: an invented firm, put in through the stores, once.

use serde::Deserialize;

use crate::access::{self, Role, Site};
use crate::firm;
use crate::web::{AppState, WebError};

#[derive(Deserialize)]
struct DemoPerson {
    sign_in: String,
    name: String,
    role: String,
    password: String,
}

/// A way into the demo, to be printed.
#[derive(Debug, Clone)]
pub struct SignIn {
    /// What to sign in with.
    pub sign_in: String,
    /// The password.
    pub password: String,
    /// The role's word.
    pub role: String,
}

#[derive(Deserialize)]
struct DemoFirm {
    name: String,
    zone: String,
}

const FIRM: &str = include_str!("../../seed-data/firm.json");
const PEOPLE: &str = include_str!("../../seed-data/people.json");

fn people() -> Result<Vec<DemoPerson>, WebError> {
    serde_json::from_str(PEOPLE)
        .map_err(|error| WebError::internal(format_args!("people.json: {error}")))
}

/// The demo's sign-ins.
///
/// # Errors
/// The embedded file does not parse.
pub fn sign_ins() -> Result<Vec<SignIn>, WebError> {
    let line = |p: DemoPerson| SignIn {
        sign_in: p.sign_in,
        password: p.password,
        role: p.role,
    };
    Ok(people()?.into_iter().map(line).collect())
}

/// Fills an empty database with the demo; leaves any other alone.
///
/// # Errors
/// A store's.
pub async fn demo(app: &AppState, site: &Site) -> Result<(), WebError> {
    if access::has_people(app).await? {
        return Ok(());
    }
    name_firm(app).await?;
    for person in people()? {
        let role = Role::from_word(&person.role)
            .ok_or_else(|| WebError::internal(format_args!("people.json: role {}", person.role)))?;
        let new = (
            person.sign_in.as_str(),
            person.name.as_str(),
            role,
            person.password.as_str(),
        );
        access::seed_person(app, &site.hasher, new).await?;
    }
    for area in super::areas() {
        if let Some(seed) = area.seed {
            seed(app.clone()).await?;
        }
    }
    Ok(())
}

async fn name_firm(app: &AppState) -> Result<(), WebError> {
    let bad =
        |error: &dyn std::fmt::Display| WebError::internal(format_args!("firm.json: {error}"));
    let new: DemoFirm = serde_json::from_str(FIRM).map_err(|error| bad(&error))?;
    let mut firm = firm::firm(app.db().read()).await?;
    firm.basics.name = new.name;
    firm.basics.zone = new.zone.parse().map_err(|error| bad(&error))?;
    let mut tx = app.db().write().await?;
    firm::save(&mut tx, &firm).await?;
    tx.commit().await?;
    app.set_firm(firm.basics);
    Ok(())
}
