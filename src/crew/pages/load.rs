//! The load list for the van, and where a head stands.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use chrono::NaiveDate;
use serde::Deserialize;
use serde_json::json;

use super::super::load::{self, LoadedHead, words};
use super::super::store;
use super::carpenters;
use crate::access::{Me, Post, Reach, Start, Thing, UserId};
use crate::heads::{self, HeadId};
use crate::measure::Rounding;
use crate::trim::around::fasteners::FixingRule;
use crate::trim::around::{DEFER, flashing};
use crate::web::{AppState, Choice, Form, Page, WebError, ok};

/// Which day, and whose.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    day: String,
    who: String,
}

struct HeadRow {
    id: HeadId,
    words: String,
    who: String,
    steps: String,
    at: String,
    stand: Option<String>,
    weight: Option<String>,
    caution: Option<String>,
    lacks: Vec<String>,
}

struct StripRow {
    head: String,
    label: String,
    width: String,
    length: String,
    dams: &'static str,
}

#[derive(Template)]
#[template(path = "crew/load.html")]
struct LoadPage {
    page: Page,
    day: NaiveDate,
    who: String,
    whose: Vec<Choice>,
    heads: Vec<HeadRow>,
    hung: Vec<(HeadId, String, String)>,
    strips: Vec<StripRow>,
    fasteners: u32,
    rule: String,
    cartridges: String,
    unknown: Vec<String>,
    tools: Vec<&'static str>,
    flashing_caution: &'static str,
    defer: &'static str,
    form: Option<Form>,
}

/// GET `/crew/load`.
///
/// # Errors
/// The database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Query(asked): Query<Asked>,
) -> Result<Response, WebError> {
    let today = app.now().date(app.firm().zone);
    let day = asked.day.parse().unwrap_or(today);
    let mine = me.may_read(Thing::Plan) == Reach::Assigned;
    let crew = carpenters(&app).await?;
    let asked_for = asked.who.parse::<UserId>().ok();
    let only = if mine {
        Some(me.id)
    } else {
        asked_for.filter(|id| crew.iter().any(|p| p.id == *id))
    };
    let load = load::load(&app, day, only).await?;
    let mut whose = vec![Choice::new("", "everybody")];
    whose.extend(crew.iter().map(|p| Choice::new(p.id, &p.name)));
    let unit = app.firm().unit;
    let around = || load.heads.iter().filter_map(|one| one.around.as_ref());
    let view = LoadPage {
        page: me
            .page("Load list")
            .under("/crew/plan", "Plan")
            .titled("Day", day.to_string()),
        day,
        who: only.map_or_else(String::new, |id| id.to_string()),
        whose: if mine { Vec::new() } else { whose },
        strips: strips(&load.heads, Rounding::for_unit(unit)),
        fasteners: around()
            .flat_map(|a| &a.fixed)
            .map(|f| f.fixings.count())
            .sum(),
        rule: FixingRule::default().words(),
        cartridges: format!("{:.0}", around().map(|a| a.cartridges).sum::<f64>().ceil()),
        unknown: load
            .heads
            .iter()
            .filter(|one| one.around.is_none())
            .map(|one| words(&one.planned))
            .collect(),
        heads: load
            .heads
            .iter()
            .map(|one| row(one, unit.is_metric()))
            .collect(),
        hung: load.hung,
        tools: load.tools,
        flashing_caution: flashing::CAUTION,
        defer: DEFER,
        form: (me.may_write(Thing::Ticks) != Reach::None)
            .then(|| me.form(&app, ""))
            .transpose()?,
    };
    ok(&view)
}

fn row(one: &LoadedHead, metric: bool) -> HeadRow {
    let pounds = one.around.as_ref().and_then(|a| a.pounds);
    HeadRow {
        id: one.planned.card.id,
        words: words(&one.planned),
        who: one.who.clone(),
        steps: one.steps.join(", "),
        at: one.planned.card.step_name.clone(),
        stand: one.planned.stand.clone(),
        weight: pounds.map(|pounds| {
            if metric {
                format!("{:.0} kg", pounds * 0.453_592_37)
            } else {
                format!("{pounds:.0} lb")
            }
        }),
        caution: one.around.as_ref().and_then(|a| a.caution.clone()),
        lacks: one.planned.lacks.clone(),
    }
}

fn strips(heads: &[LoadedHead], rounding: Rounding) -> Vec<StripRow> {
    let mut all = Vec::new();
    for one in heads {
        for strip in one.around.iter().flat_map(|a| &a.strips) {
            all.push(StripRow {
                head: words(&one.planned),
                label: strip.label.clone(),
                width: rounding.words(strip.blank.developed_width),
                length: rounding.words(strip.blank.blank_length),
                dams: match strip.dams {
                    (true, true) => "both ends",
                    (true, false) => "left",
                    (false, true) => "right",
                    (false, false) => "none",
                },
            });
        }
    }
    all
}

/// POST `/crew/heads/{id}/stand`: where a head or its cut pieces stand.
///
/// # Errors
/// The database's.
pub async fn stand(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    heads::head(app.db().read(), id).await?;
    let words = post.fields.get("stand").trim().to_owned();
    if words.is_empty() || words.chars().count() > 300 || words.chars().any(char::is_control) {
        return Err(WebError::BadRequest(
            "Say in one line of at most 300 characters where it stands.".into(),
        ));
    }
    let today = app.now().date(app.firm().zone);
    let day: NaiveDate = post.fields.get("day").parse().unwrap_or(today);
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            store::weather::add_stand(&mut work.tx, work.made, id, &words).await?;
            work.audit("head.stands", "head", id.get(), json!({}))
                .await?;
            work.done(format!("/crew/load?day={day}&saved")).await
        }
    }
}
