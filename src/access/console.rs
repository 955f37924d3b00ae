//! What the console may do: the set-up code, the first owner, a forgotten password.

use crate::db::audit;
use crate::web::{AppState, Check, Fields, WebError};

use super::store::{self, NewPerson};
use super::{Hasher, Made, Person, Role, Site, UserId, forms, tokens};

/// Whether the firm has any people yet.
///
/// # Errors
/// The database's.
pub async fn has_people(app: &AppState) -> Result<bool, WebError> {
    Ok(store::count_people(app.db().read()).await? > 0)
}

/// Opens the set-up page and gives the code to print.
///
/// # Errors
/// The system has no randomness to give.
pub fn new_setup_code(app: &AppState, site: &Site) -> Result<String, WebError> {
    let code = tokens::fresh_code(app)?;
    site.set_setup_code(tokens::sha(code.as_bytes()));
    Ok(code)
}

fn checked(sign_in: &str, name: &str, password: &str) -> Result<(String, String), WebError> {
    let fields = Fields::default()
        .with("sign_in", sign_in)
        .with("name", name)
        .with("password", password)
        .with("password_again", password);
    let mut check = Check::of(&fields);
    let sign_in = forms::sign_in_name(&mut check, "sign_in");
    let name = check.line("name", 120);
    let _ = forms::password(
        &mut check,
        &fields,
        &[&name, sign_in.as_deref().unwrap_or("")],
    );
    check
        .finish_some(sign_in.map(|sign_in| (sign_in, name)))
        .map_err(|errors| {
            let words: Vec<String> = errors
                .iter()
                .map(|(field, words)| format!("{field}: {words}"))
                .collect();
            WebError::BadRequest(words.join(" "))
        })
}

/// Adds an owner from the console.
///
/// # Errors
/// `BadRequest` with words for what was typed wrong; the database's.
pub async fn add_owner(
    app: &AppState,
    hasher: &Hasher,
    (sign_in, name, password): (&str, &str, &str),
) -> Result<UserId, WebError> {
    let (sign_in, name) = checked(sign_in, name, password)?;
    seed_person(app, hasher, (&sign_in, &name, Role::Owner, password)).await
}

/// Adds a person without asking: the demo's people, and whoever the console names.
///
/// # Errors
/// The sign-in name is taken; the database's.
pub async fn seed_person(
    app: &AppState,
    hasher: &Hasher,
    (sign_in, name, role, password): (&str, &str, Role, &str),
) -> Result<UserId, WebError> {
    let hash = hasher.hash(password.to_owned()).await?;
    let made = Made {
        at: app.now(),
        by: None,
    };
    let mut tx = app.db().write().await?;
    let new = NewPerson {
        sign_in,
        name,
        role,
        hash: &hash,
    };
    let id = store::add_person(&mut tx, &new, made).await?;
    let detail = serde_json::json!({ "role": role.word(), "from": "console" });
    audit(
        &mut tx,
        made.at,
        None,
        "person.added",
        ("person", Some(id.get())),
        &detail,
    )
    .await?;
    tx.commit().await?;
    Ok(id)
}

/// Gives a person a new password from the console and ends their sessions.
///
/// # Errors
/// `Missing` if nobody has that name; `BadRequest` for a weak password.
pub async fn reset_password(
    app: &AppState,
    hasher: &Hasher,
    (sign_in, password): (&str, &str),
) -> Result<Person, WebError> {
    let wanted = forms::folded(sign_in);
    let people = store::people(app.db().read()).await?;
    let person = people
        .into_iter()
        .find(|p| p.sign_in == wanted)
        .ok_or(WebError::Missing)?;
    checked(&person.sign_in, &person.name, password)?;
    let hash = hasher.hash(password.to_owned()).await?;
    let mut tx = app.db().write().await?;
    store::set_password(&mut tx, person.id, &hash).await?;
    store::set_role(&mut tx, person.id, person.role).await?;
    let thing = ("person", Some(person.id.get()));
    let detail = serde_json::json!({ "from": "console" });
    audit(&mut tx, app.now(), None, "person.password", thing, &detail).await?;
    tx.commit().await?;
    Ok(person)
}

/// Drops what no longer counts, at start.
///
/// # Errors
/// The database's.
pub async fn sweep(app: &AppState) -> Result<(), WebError> {
    let mut tx = app.db().write().await?;
    store::sweep(&mut tx, app.now()).await?;
    Ok(tx.commit().await?)
}
