//! What clients give to the guard and to Today, and the room on a client's page
//! for later areas.

use chrono::Days;

use crate::access::{BoxFuture, Me, Reach, Role, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::web::{AppState, Fragment, TodayItem, TodayList, WebError};

use super::enquiries::store as enquiries;
use super::model::{ClientId, Enquiry, Visit};
use super::store;
use super::visits::store as visits;

/// Draws a later area's part of a client's page.
pub type ClientPart = fn(AppState, Me, ClientId) -> BoxFuture<Result<Fragment, WebError>>;

/// The parts of a client's page that later areas draw, in their order.
#[derive(Debug, Clone, Default)]
pub struct ClientParts(pub Vec<ClientPart>);

fn own(led: Option<bool>) -> Option<Ties> {
    led.map(|own| Ties {
        own,
        assigned: false,
    })
}

pub(super) fn client_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move { Ok(own(store::leads_client(app.db().read(), user, id).await?)) })
}

pub(super) fn enquiry_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        Ok(own(
            enquiries::leads_enquiry(app.db().read(), user, id).await?
        ))
    })
}

pub(super) fn visit_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move { Ok(own(visits::leads_visit(app.db().read(), user, id).await?)) })
}

/// Visits of the next days and calls that nobody has answered.
pub(super) fn today(app: AppState, me: Me) -> BoxFuture<Result<Vec<TodayList>, WebError>> {
    Box::pin(async move {
        if me.may_read(Thing::Clients) == Reach::None || me.role == Role::Carpenter {
            return Ok(Vec::new());
        }
        let today = app.now().date(app.firm().zone);
        let until = today.checked_add_days(Days::new(7)).unwrap_or(today);
        let led_by = (me.may_read(Thing::Clients) == Reach::Own).then_some(me.id);
        let due = visits::visits_due(app.db().read(), until, led_by).await?;
        let mut lists = vec![TodayList {
            title: "Visits this week".into(),
            items: due.iter().map(|visit| visit_item(visit, today)).collect(),
            empty: String::new(),
        }];
        if me.may_write(Thing::Clients) == Reach::All {
            let waiting = enquiries::unanswered(app.db().read()).await?;
            lists.push(TodayList {
                title: "Calls to answer".into(),
                items: waiting.iter().map(enquiry_item).collect(),
                empty: String::new(),
            });
        }
        Ok(lists)
    })
}

fn visit_item(visit: &Visit, today: chrono::NaiveDate) -> TodayItem {
    let day = visit.facts.day;
    let when = match (day - today).num_days() {
        0 => "today".to_owned(),
        1 => "tomorrow".to_owned(),
        _ => day.format("%a %-d %b").to_string(),
    };
    let time = visit
        .facts
        .time
        .map_or_else(String::new, |t| t.format(", %H:%M").to_string());
    TodayItem {
        href: format!("/clients/visits/{}", visit.id),
        words: format!("{}: {}", visit.client_name, visit.facts.purpose),
        note: format!("{when}{time}"),
        needs_hand: day < today,
    }
}

fn enquiry_item(enquiry: &Enquiry) -> TodayItem {
    TodayItem {
        href: format!("/clients/enquiries/{}", enquiry.id),
        words: format!(
            "{}: {}",
            enquiry.facts.name,
            first_line(&enquiry.facts.wants)
        ),
        note: enquiry.facts.day.format("%a %-d %b").to_string(),
        needs_hand: true,
    }
}

fn first_line(text: &str) -> String {
    let line = text.lines().next().unwrap_or_default();
    let short: String = line.chars().take(80).collect();
    if short.len() < text.len() {
        format!("{short}…")
    } else {
        short
    }
}
