//! The cut sheet as a phone keeps it: no client, no price, and forms that
//! wait for a signal.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;

use super::sheet::{Asked, loaded, mark_done, saw_at};
use super::{FindingWords, finding_words, may_write};
use crate::access::{Me, Post, Reach, Role, Start, Thing};
use crate::db::{Stamp, StoreError};
use crate::firm;
use crate::heads::dials::Dials;
use crate::heads::model::{Head, HeadId, LateTick, LateTickId};
use crate::heads::orders::{OrderWords, ordered};
use crate::heads::sheet::{SheetWords, other_ways, worded};
use crate::heads::shop::findings;
use crate::heads::store::from_site::{self, SentTick};
use crate::heads::store::{self, Filter, openings};
use crate::trim::solve::Order;
use crate::web::{AppState, Form, KeptPage, Page, WebError, may_be_kept, ok};

/// The most pages of ours that a phone is asked to keep.
const MOST: i64 = 200;

#[derive(Template)]
#[template(path = "heads/site.html")]
struct SitePage {
    page: Page,
    head: Head,
    now: i64,
    saw: String,
    findings: Vec<FindingWords>,
    sheet: SheetWords,
    walk: OrderWords,
    gang: OrderWords,
    ticks: Option<Form>,
    late: Vec<Late>,
    decides: bool,
    me: i64,
    pieces: usize,
    done: usize,
}

/// A late tick and what may be done about it.
struct Late {
    tick: LateTick,
    said: String,
    known: bool,
    form: Form,
}

/// GET `/heads/{id}/site`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    let saw = saw_at(&app, &me, &Asked::default()).await?;
    let (head, shop, design, sheet) = loaded(&app, id, &saw).await?;
    let dials = Dials(firm::tests_of(app.db().read(), saw.id).await?);
    let mut words = worded(&sheet, &shop.wording, &dials);
    other_ways(&sheet, &shop.saw, &mut words);
    let in_words = |order: &Order| ordered(&[&sheet], order, &shop.wording, &dials);
    let done = mark_done(&app, &head, &mut words).await?;
    let opening = openings::surveyed(&app, head.card.place.opening).await?;
    let ticks = may_write(&app, &me, Thing::Ticks, id).await?;
    let place = &head.card.place;
    let page = me
        .page(format!("{} {}", place.mark, head.card.name))
        .under("/site", "On site")
        .titled("Job", &place.job_code)
        .titled("Opening", &place.mark)
        .titled("Head", &head.card.name)
        .titled("Sheet", format!("version {}", head.card.sheet_version));
    let view = SitePage {
        page,
        now: app.now().millis(),
        findings: finding_words(&findings(&design, &sheet, Some(&opening), &shop)),
        walk: in_words(&sheet.walk_order()),
        gang: in_words(&sheet.gang_order()),
        saw: saw.facts.name.clone(),
        ticks: ticks
            .then(|| me.form(&app, format!("/heads/{id}/site/tick")))
            .transpose()?,
        decides: may_write(&app, &me, Thing::Heads, id).await?,
        late: late(&app, &me, id, &words).await?,
        me: me.id.get(),
        pieces: words.runs.iter().map(|run| run.rows.len()).sum(),
        done,
        sheet: words,
        head,
    };
    ok(&view).map(may_be_kept)
}

async fn late(
    app: &AppState,
    me: &Me,
    id: HeadId,
    words: &SheetWords,
) -> Result<Vec<Late>, WebError> {
    let zone = app.firm().zone;
    let all = from_site::undecided(app.db().read(), id).await?;
    let labels = || words.runs.iter().flat_map(|run| &run.rows);
    all.into_iter()
        .map(|tick| {
            Ok(Late {
                said: tick.said_at.local(zone),
                known: labels().any(|row| row.label == tick.label),
                form: me.form(app, format!("/heads/{id}/late"))?,
                tick,
            })
        })
        .collect()
}

/// POST `/heads/{id}/site/tick`: a tick from a phone, perhaps long after.
///
/// # Errors
/// `BadRequest` for a form that is not ours, `Missing`, the database's.
pub async fn take(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let label = post.fields.get("label").to_owned();
    let odd = || WebError::BadRequest("The form is not whole. Open the sheet again.".into());
    let sheet_version: i64 = post
        .fields
        .get("sheet_version")
        .parse()
        .map_err(|_| odd())?;
    if sheet_version < 1 || label.is_empty() || label.chars().count() > 120 {
        return Err(odd());
    }
    // A phone's clock may say anything; what cannot be a time is now.
    let said_at = post.fields.get("said_at").parse().ok();
    let said_at = said_at.filter(|at| *at > 0).map(Stamp::from_millis);
    let known = on_sheet(&app, &me, id, &label).await?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let sent = SentTick {
                label: &label,
                sheet_version,
                done: post.fields.get("do") != "undo",
                said_at: said_at.unwrap_or(work.made.at),
                known,
            };
            let late = from_site::take(&mut work.tx, work.made, id, &sent).await?;
            let detail = serde_json::json!({ "label": label, "done": sent.done, "late": late });
            work.audit("head.ticked_on_site", "head", id.get(), detail)
                .await?;
            work.done(format!("/heads/{id}/site")).await
        }
    }
}

/// Whether the present sheet has such a piece; one that cannot be solved has none.
async fn on_sheet(app: &AppState, me: &Me, id: HeadId, label: &str) -> Result<bool, WebError> {
    let saw = saw_at(app, me, &Asked::default()).await?;
    let sheet = match loaded(app, id, &saw).await {
        Ok((_, _, _, sheet)) => sheet,
        Err(WebError::Internal(_)) => return Ok(false),
        Err(error) => return Err(error),
    };
    let mut pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
    Ok(pieces.any(|piece| piece.label == label))
}

/// POST `/heads/{id}/late`: a tick that met a changed sheet counts, or not.
///
/// # Errors
/// `NotNow` if it is decided already or the sheet changed again.
pub async fn decide(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let odd = || WebError::BadRequest("The form is not whole. Open the sheet again.".into());
    let number = |name: &str| post.fields.get(name).parse::<i64>().map_err(|_| odd());
    let (tick, sheet_version) = (LateTickId::new(number("tick")?), number("sheet_version")?);
    let counts = post.fields.get("do") == "count";
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let key = (id, sheet_version);
            match from_site::decide_late(&mut work.tx, work.made, key, tick, counts).await {
                Ok(()) => {}
                Err(StoreError::Taken(_)) => {
                    return Err(WebError::NotNow(
                        "Somebody decided about it already.".into(),
                    ));
                }
                Err(StoreError::Stale(_)) => {
                    return Err(WebError::NotNow(
                        "The sheet changed once more. Look at it again.".into(),
                    ));
                }
                Err(other) => return Err(other.into()),
            }
            let detail = serde_json::json!({ "tick": tick.get(), "counts": counts });
            work.audit("head.late_tick_decided", "head", id.get(), detail)
                .await?;
            work.done(format!("/heads/{id}/site?saved")).await
        }
    }
}

/// The sheets that this person's phone should keep: those of the heads given
/// to them, and of the jobs that they lead.
pub async fn kept(app: AppState, me: Me) -> Result<Vec<KeptPage>, WebError> {
    let may = me.may_read(Thing::Sheets) != Reach::None;
    if !may || me.role == Role::Office {
        return Ok(Vec::new());
    }
    let pool = app.db().read();
    let user = Some(me.id.get());
    let of = |assignee, led_by| Filter {
        like: "%".to_owned(),
        assignee,
        led_by,
        ..Filter::default()
    };
    let mut cards = store::list(pool, &of(user, None), (MOST, 0)).await?;
    for card in store::list(pool, &of(None, user), (MOST, 0)).await? {
        if cards.iter().all(|known| known.id != card.id) {
            cards.push(card);
        }
    }
    let page = |card: crate::heads::model::Card| KeptPage {
        href: format!("/heads/{}/site", card.id),
        words: format!("{} {} {}", card.place.job_code, card.place.mark, card.name),
        edition: format!("version {}", card.sheet_version),
    };
    Ok(cards.into_iter().map(page).collect())
}
