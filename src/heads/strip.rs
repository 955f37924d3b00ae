//! What jobs and openings show of heads: the façade strip, every head of a
//! job at one scale, and the heads of an opening with their step.

use std::collections::HashMap;

use askama::Template;

use super::marks::{StepMark, step_mark, step_sign};
use super::model::{Card, HeadId};
use super::sheet::drawn;
use super::shop::solved;
use super::steps::Steps;
use super::store::{self, saws};
use crate::access::{BoxFuture, Me, Reach, Thing, UserId};
use crate::db::StoreError;
use crate::jobs::{JobId, JobPart};
use crate::measure::Length;
use crate::openings::{self, HeadLine, Opening, OpeningId, Survey};
use crate::trim::draw::{self, Look, Over, Standing};
use crate::trim::sheet::Sheet;
use crate::web::{AppState, Fragment, Svg, WebError};

/// A head under the strip.
struct Under {
    id: HeadId,
    mark: String,
    name: String,
    step: StepMark,
}

#[derive(Template)]
#[template(path = "heads/strip.html")]
struct StripPart {
    picture: Option<Svg>,
    heads: Vec<Under>,
}

/// The façade strip of a job's page: its live heads, all at one scale.
pub fn job_part(app: AppState, _: Me, job: JobId) -> BoxFuture<Result<JobPart, WebError>> {
    Box::pin(async move {
        Ok(JobPart {
            above: strip(&app, job).await?,
            ..JobPart::default()
        })
    })
}

async fn strip(app: &AppState, job: JobId) -> Result<Fragment, WebError> {
    let pool = app.db().read();
    let heads = store::of_job(pool, job.get()).await?;
    if heads.is_empty() {
        return Ok(Fragment::default());
    }
    let steps = store::steps(pool).await?;
    let shop = saws::shop(pool, &app.firm()).await?;
    let over = overs(app, job).await?;
    let sheets: Vec<(Sheet, String, Option<Over>)> = heads
        .iter()
        .filter_map(|head| {
            let (_, sheet) = solved(&head.design, None, &shop).ok()?;
            let place = &head.card.place;
            let words = format!("{} {}", place.mark, head.card.step_name);
            Some((sheet, words, over.get(&place.opening).copied()))
        })
        .collect();
    let each: Vec<Standing<'_>> = sheets
        .iter()
        .map(|(sheet, label, over)| Standing {
            sheet,
            label,
            over: *over,
        })
        .collect();
    let look = Look {
        width_px: 1100.0,
        length: shop.wording.words(),
    };
    let picture = (!each.is_empty()).then(|| drawn(&draw::facade(&each, &look)));
    let under = heads.into_iter().map(|head| Under {
        id: head.card.id,
        step: step_mark(&steps, head.card.step, head.card.held.is_some()),
        mark: head.card.place.mark,
        name: head.card.name,
    });
    Ok(Fragment::of(&StripPart {
        picture,
        heads: under.collect(),
    })?)
}

/// A sill higher than this was measured from the ground below, not from its
/// own floor, inches: the floor is left out of the strip.
const FROM_THE_FLOOR: f64 = 60.0;

/// The measured size of each opening of a job, by its row.
async fn overs(app: &AppState, job: JobId) -> Result<HashMap<i64, Over>, StoreError> {
    let pool = app.db().read();
    let surveys = openings::last_surveys(pool, job).await?;
    let all = openings::openings_of(pool, job, false).await?;
    let over = |opening: &Opening| {
        let own: Vec<Survey> = surveys
            .iter()
            .filter(|survey| survey.opening == opening.id)
            .cloned()
            .collect();
        let measured = opening.surveyed(&own).counts().copied()?;
        let most = |all: &[Option<Length>]| all.iter().flatten().max().map(|l| l.inches());
        Some(Over {
            width: most(&measured.widths)?,
            height: most(&measured.heights)?,
            sill: opening
                .facts
                .sill_height
                .map(Length::inches)
                .filter(|sill| *sill <= FROM_THE_FLOOR),
        })
    };
    let found = all.iter().map(|opening| (opening.id.get(), over(opening)));
    Ok(found.filter_map(|(id, over)| Some((id, over?))).collect())
}

/// The jobs on which a person has a head to work on.
pub(super) fn jobs_assigned(
    app: AppState,
    user: UserId,
) -> BoxFuture<Result<Vec<JobId>, StoreError>> {
    Box::pin(async move {
        let rows = store::waiting::jobs_assigned(app.db().read(), user.get()).await?;
        Ok(rows.into_iter().map(JobId::new).collect())
    })
}

/// The openings over which a person has a head to work on.
pub(super) fn openings_assigned(
    app: AppState,
    user: UserId,
) -> BoxFuture<Result<Vec<OpeningId>, StoreError>> {
    Box::pin(async move {
        let rows = store::waiting::openings_assigned(app.db().read(), user.get()).await?;
        Ok(rows.into_iter().map(OpeningId::new).collect())
    })
}

/// The heads of a job as lines of its table of openings. Whoever may open the
/// job sees the names of all its heads; their pages have guards of their own.
pub(super) fn lines_of_job(
    app: AppState,
    _: Me,
    job: JobId,
) -> BoxFuture<Result<HashMap<OpeningId, Vec<HeadLine>>, WebError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let steps = store::steps(pool).await?;
        let mut lines: HashMap<OpeningId, Vec<HeadLine>> = HashMap::new();
        for head in store::of_job(pool, job.get()).await? {
            let line = head_line(&steps, &head.card);
            lines
                .entry(OpeningId::new(head.card.place.opening))
                .or_default()
                .push(line);
        }
        Ok(lines)
    })
}

fn head_line(steps: &Steps, card: &Card) -> HeadLine {
    HeadLine {
        name: card.name.clone(),
        href: format!("/heads/{}", card.id),
        step: if card.held.is_some() {
            format!("{}, held", card.step_name)
        } else {
            card.step_name.clone()
        },
        sign: step_sign(steps, card.step, card.held.is_some()).to_owned(),
        needs_hand: card.held.is_some(),
    }
}

#[derive(Template)]
#[template(path = "heads/of_opening.html")]
struct OpeningPart {
    opening: OpeningId,
    heads: Vec<(Card, StepMark)>,
    may_draw: bool,
}

/// The heads' part of an opening's page.
pub(super) fn opening_part(
    app: AppState,
    me: Me,
    opening: OpeningId,
) -> BoxFuture<Result<Fragment, WebError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let steps = store::steps(pool).await?;
        let mut cards = store::of_opening(pool, opening.get()).await?;
        if me.may_read(Thing::Heads) == Reach::Assigned {
            let mine = store::waiting::heads_assigned(pool, me.id.get()).await?;
            cards.retain(|card| mine.contains(&card.id.get()));
        }
        let may_draw = match me.may_write(Thing::Heads) {
            Reach::All => true,
            Reach::Own => store::openings::foreman(pool, opening.get()).await? == Some(me.id.get()),
            Reach::Assigned | Reach::None => false,
        };
        let heads = cards.into_iter().map(|card| {
            let mark = step_mark(&steps, card.step, card.held.is_some());
            (card, mark)
        });
        Ok(Fragment::of(&OpeningPart {
            opening,
            heads: heads.collect(),
            may_draw,
        })?)
    })
}
