//! The pages of lumber orders: what they share.

pub mod list;
pub mod one;
pub mod purchase;
pub mod show;
pub mod sticks;

use std::collections::BTreeSet;

use crate::access::{Me, Reach};
use crate::cutting::takeoff::{self, take_off};
use crate::heads::{self, HeadId};
use crate::measure::Money;
use crate::web::{AppState, Page, WebError};

use super::build::Taken;
use super::model::{LumberOrder, Solve};

/// The person whose jobs a list is limited to.
fn only_led(me: &Me) -> Option<i64> {
    (me.reach == Reach::Own).then(|| me.id.get())
}

fn money(cents: i64) -> String {
    Money::from_cents(cents).to_string()
}

/// Every chosen head with its take-off, and what the saw eats.
///
/// # Errors
/// A stored design that no longer solves; the database's.
async fn taken(
    app: &AppState,
    order: &LumberOrder,
) -> Result<(Vec<Taken>, crate::measure::Length), WebError> {
    let pool = app.db().read();
    let shop = heads::shop_settings(pool, &app.firm()).await?;
    let mut out = Vec::new();
    for id in &order.facts.heads {
        let head = heads::head(pool, HeadId::new(*id)).await?;
        let (_, sheet) = heads::solved(&head.design, head.as_built.as_ref(), &shop)
            .map_err(|wrong| WebError::internal(format!("head {id}: {wrong}")))?;
        out.push(Taken {
            id: *id,
            job: head.card.place.job,
            code: format!("{} {}", head.card.place.job_code, head.card.place.mark),
            name: head.card.name,
            sheet_version: head.card.sheet_version,
            pieces: take_off(&sheet),
        });
    }
    let inch = crate::measure::Unit::Inch;
    let kerf = crate::measure::Length::from_f64(shop.wording.kerf, inch)
        .map_err(|e| WebError::internal(e.to_string()))?;
    Ok((out, kerf))
}

/// Heads whose sheet is another one by now than when this was worked out.
///
/// # Errors
/// The database's.
async fn changed(app: &AppState, solves: &[Solve]) -> Result<Vec<String>, WebError> {
    let known: BTreeSet<(i64, i64)> = solves
        .iter()
        .flat_map(|solve| &solve.request.pieces)
        .filter_map(|piece| Some((piece.head?, piece.sheet_version)))
        .collect();
    let mut out = Vec::new();
    for (id, version) in known {
        let card = heads::head(app.db().read(), HeadId::new(id)).await?.card;
        if card.sheet_version != version {
            let place = card.place;
            out.push(format!("{} {} {}", place.job_code, place.mark, card.name));
        }
    }
    Ok(out)
}

/// The take-off in groups.
fn groups(heads: &[Taken]) -> Vec<takeoff::Group> {
    let pieces: Vec<_> = heads.iter().map(|h| h.pieces.clone()).collect();
    takeoff::grouped(&pieces)
}

/// The title block of an order's pages.
fn block(app: &AppState, order: &LumberOrder, page: Page) -> Page {
    let zone = app.firm().zone;
    let by = match &order.by {
        Some(who) => format!("{who}, {}", order.at.local(zone)),
        None => order.at.local(zone),
    };
    page.titled(
        "Lumber order",
        format!("{} · {}", order.id, order.facts.name),
    )
    .titled("Begun", by)
}
