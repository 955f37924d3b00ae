//! The crew's pages.

pub mod changes;
pub mod hours;
pub mod load;
pub mod moves;
pub mod notes;
pub mod plan;
pub mod shifts;
pub mod weather;

use crate::access::{self, Person, Role, UserId};
use crate::web::{AppState, WebError};

/// Carpenters who may be given work.
async fn carpenters(app: &AppState) -> Result<Vec<Person>, WebError> {
    let mut all = access::people(app.db().read()).await?;
    all.retain(|p| p.role == Role::Carpenter && p.disabled_at.is_none());
    Ok(all)
}

/// Their rows.
fn ids(people: &[Person]) -> Vec<UserId> {
    people.iter().map(|p| p.id).collect()
}
