//! The demo's clients, enquiries and visits.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use serde::Deserialize;

use crate::access::{self, BoxFuture, Made, Person, UserId};
use crate::web::{AppState, WebError};

use super::enquiries::store as enquiries;
use super::model::{ClientFacts, ClientId, Email, EnquiryFacts, EnquiryState, Phone};
use super::store;

/// `seed-data/clients.json`. Days count from today; people are named by role
/// and place, `foreman-1`.
#[derive(Debug, Deserialize)]
pub struct SeedClients {
    clients: Vec<SeedClient>,
    enquiries: Vec<SeedEnquiry>,
    /// For the area that knows the jobs.
    pub visits: Vec<SeedVisit>,
}

#[derive(Debug, Deserialize)]
struct SeedClient {
    key: String,
    name: String,
    firm: String,
    phone: String,
    email: String,
    address: String,
    note: String,
    heard: String,
}

#[derive(Debug, Deserialize)]
struct SeedEnquiry {
    client: Option<String>,
    name: String,
    phone: String,
    day: i64,
    heard: String,
    wants: String,
    state: String,
}

/// One visit of the demo.
#[derive(Debug, Deserialize)]
pub struct SeedVisit {
    /// Key of the client.
    pub client: String,
    /// Key of the job.
    pub job: Option<String>,
    /// Days from today.
    pub day: i64,
    /// Time of day.
    pub time: String,
    /// What for.
    pub purpose: String,
    /// Who has the key.
    pub key_with: String,
    /// How one gets in.
    pub access: String,
    /// Whom to ask for.
    pub contact: String,
    /// Who goes.
    pub goes: String,
    /// What came of it.
    pub outcome: String,
}

const FILE: &str = include_str!("../../seed-data/clients.json");

/// The file, parsed.
///
/// # Errors
/// It does not parse.
pub fn seed_clients() -> Result<SeedClients, WebError> {
    serde_json::from_str(FILE).map_err(|error| wrong(format_args!("clients.json: {error}")))
}

fn wrong(words: impl std::fmt::Display) -> WebError {
    WebError::internal(format_args!("seed-data: {words}"))
}

/// The day so many days from today.
#[must_use]
pub fn seed_day(today: NaiveDate, offset: i64) -> NaiveDate {
    let days = Days::new(offset.unsigned_abs());
    let moved = if offset < 0 {
        today.checked_sub_days(days)
    } else {
        today.checked_add_days(days)
    };
    moved.unwrap_or(today)
}

/// The person a key such as `foreman-2` stands for: the second foreman put in.
#[must_use]
pub fn seed_user(people: &[Person], key: &str) -> Option<UserId> {
    let (role, place) = key.rsplit_once('-')?;
    let place: usize = place.parse().ok()?;
    let mut ids: Vec<UserId> = people
        .iter()
        .filter(|p| p.role.word() == role)
        .map(|p| p.id)
        .collect();
    ids.sort_unstable();
    ids.get(place.checked_sub(1)?).copied()
}

/// Client keys of the demo and their rows, found again by name.
///
/// # Errors
/// The database's.
pub async fn seeded_clients(app: &AppState) -> Result<HashMap<String, ClientId>, WebError> {
    let known = store::client_names(app.db().read()).await?;
    let keyed = seed_clients()?.clients.into_iter().filter_map(|client| {
        known
            .iter()
            .find(|(_, name)| *name == client.name)
            .map(|(id, _)| (client.key, *id))
    });
    Ok(keyed.collect())
}

/// Puts clients and enquiries in.
pub(super) fn seed(app: AppState) -> BoxFuture<Result<(), WebError>> {
    Box::pin(async move {
        let file = seed_clients()?;
        let today = app.now().date(app.firm().zone);
        let by = seed_user(&access::people(app.db().read()).await?, "office-1");
        let made = Made { at: app.now(), by };
        let mut tx = app.db().write().await?;
        let mut keys = HashMap::new();
        for client in &file.clients {
            let id = store::add_client(&mut tx, made, &client_facts(client)?).await?;
            keys.insert(client.key.clone(), id);
        }
        for call in &file.enquiries {
            let id = enquiries::add_enquiry(&mut tx, made, &enquiry_facts(call, today)?).await?;
            if let Some(key) = &call.client {
                let client = *keys
                    .get(key)
                    .ok_or_else(|| wrong(format_args!("no client {key}")))?;
                enquiries::tie_enquiry(&mut tx, id, 1, client).await?;
            }
        }
        Ok(tx.commit().await?)
    })
}

fn client_facts(client: &SeedClient) -> Result<ClientFacts, WebError> {
    Ok(ClientFacts {
        name: client.name.clone(),
        firm: client.firm.clone(),
        phone: Phone::parse(&client.phone).map_err(wrong)?,
        email: Email::parse(&client.email).map_err(wrong)?,
        address: client.address.clone(),
        heard_of: client.heard.clone(),
        note: client.note.clone(),
    })
}

fn enquiry_facts(call: &SeedEnquiry, today: NaiveDate) -> Result<EnquiryFacts, WebError> {
    let state = call.state.replace(' ', "-");
    Ok(EnquiryFacts {
        name: call.name.clone(),
        phone: Phone::parse(&call.phone).map_err(wrong)?,
        email: Email::default(),
        heard_of: call.heard.clone(),
        wants: call.wants.clone(),
        day: seed_day(today, call.day),
        state: EnquiryState::from_code(&state)
            .ok_or_else(|| wrong(format_args!("no state {state}")))?,
        reason: String::new(),
    })
}
