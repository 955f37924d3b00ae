//! A week's plan gathered: every slot with its head, its hours and what it
//! lacks.

use std::collections::{BTreeMap, HashMap};

use chrono::{Days, NaiveDate};

use super::estimate::{Labour, Work, by_rule, correction, minutes};
use super::model::{DAY_MINUTES, Slot};
use super::store;
use super::weather::{Limit, Weather};
use crate::access::{self, Person, Role, UserId};
use crate::heads::{self, Card, GateKind, Gates, Head, HeadId, Shop, Stage, Step, StepId, Steps};
use crate::web::{AppState, WebError};

/// A slot as the plan shows it.
#[derive(Debug, Clone)]
pub struct Planned {
    /// The slot.
    pub slot: Slot,
    /// Its head.
    pub card: Card,
    /// Minutes by the rule, corrected.
    pub minutes: i64,
    /// What it lacks, in sentences.
    pub lacks: Vec<String>,
    /// Where the head or its cut pieces stand, if somebody has said so.
    pub stand: Option<String>,
}

/// What one person does on one day.
#[derive(Debug, Clone, Default)]
pub struct PersonDay {
    /// In order.
    pub planned: Vec<Planned>,
    /// Minutes not done yet and done.
    pub minutes: i64,
    /// Why they are away.
    pub away: Option<String>,
    /// More than a day holds, or work on a day away.
    pub too_much: bool,
}

/// How long steps take: made once for a page.
pub struct Clockwork {
    shop: Shop,
    heads: HashMap<HeadId, Head>,
    /// By kind of head and step.
    corrections: HashMap<(String, StepId), f64>,
}

/// What the rule counts on a head; nothing on one that cannot be solved.
#[must_use]
pub fn work_of(head: &Head, shop: &Shop) -> Work {
    let Ok((_, sheet)) = heads::solved(&head.design, head.as_built.as_ref(), shop) else {
        return Work { pieces: 0, cuts: 0 };
    };
    let pieces: usize = sheet.runs.iter().map(|run| run.pieces.len()).sum();
    let whole = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Work {
        pieces: whole(pieces + sheet.boards.len()),
        cuts: whole(pieces * 2),
    }
}

fn labour(step: &Step) -> Labour {
    if step.name == "cut" {
        Labour::Cutting
    } else {
        Labour::Other
    }
}

impl Clockwork {
    /// Reads what such heads really took.
    ///
    /// # Errors
    /// The database's.
    pub async fn of(app: &AppState, steps: &Steps) -> Result<Self, WebError> {
        let pool = app.db().read();
        let mut clockwork = Self {
            shop: heads::shop_settings(pool, &app.firm()).await?,
            heads: HashMap::new(),
            corrections: HashMap::new(),
        };
        let mut done: HashMap<(String, StepId), Vec<(f64, f64)>> = HashMap::new();
        for (head, step, taken) in store::hours::taken(pool).await? {
            let Some(step) = steps.get(step) else {
                continue;
            };
            let head = clockwork.head(app, head).await?;
            let ruled = by_rule(work_of(&head, &clockwork.shop), labour(step));
            #[expect(clippy::cast_precision_loss, reason = "minutes of a head")]
            done.entry((head.card.kind.clone(), step.id))
                .or_default()
                .push((ruled, taken as f64));
        }
        clockwork.corrections = done
            .into_iter()
            .map(|(key, rows)| (key, correction(&rows)))
            .collect();
        Ok(clockwork)
    }

    /// A head, read once.
    ///
    /// # Errors
    /// `Missing`, the database's.
    pub async fn head(&mut self, app: &AppState, id: HeadId) -> Result<Head, WebError> {
        if let Some(head) = self.heads.get(&id) {
            return Ok(head.clone());
        }
        let head = heads::head(app.db().read(), id).await?;
        self.heads.insert(id, head.clone());
        Ok(head)
    }

    /// Minutes of a step of a head.
    #[must_use]
    pub fn minutes(&self, head: &Head, step: &Step) -> i64 {
        let key = (head.card.kind.clone(), step.id);
        let factor = self.corrections.get(&key).copied().unwrap_or(1.0);
        minutes(work_of(head, &self.shop), labour(step), factor)
    }
}

/// What every slot of a week is held against.
pub struct Measure {
    steps: Steps,
    today: NaiveDate,
    metric: bool,
    limits: Vec<Limit>,
    weather: HashMap<NaiveDate, Weather>,
    stands: HashMap<HeadId, String>,
}

impl Measure {
    /// For the days between two, both counted.
    ///
    /// # Errors
    /// The database's.
    pub async fn of(app: &AppState, days: (NaiveDate, NaiveDate)) -> Result<Self, WebError> {
        let pool = app.db().read();
        Ok(Self {
            steps: heads::steps(pool).await?,
            today: app.now().date(app.firm().zone),
            metric: app.firm().unit.is_metric(),
            limits: store::weather::limits(pool).await?,
            weather: store::weather::expected(pool, days).await?,
            stands: store::weather::stands(pool).await?,
        })
    }

    /// What the weather of the day speaks against at this step.
    fn weather_against(&self, slot: &Slot) -> Vec<String> {
        let Some(weather) = self.weather.get(&slot.day) else {
            return Vec::new();
        };
        let of_step = self.limits.iter().filter(|limit| limit.step == slot.step);
        of_step
            .filter_map(|limit| limit.unfit(weather, self.metric))
            .collect()
    }
}

/// Steps before this one that nobody does by hand and that the head has not
/// reached: a drawing without its yes, lumber not ordered.
fn not_yet(steps: &Steps, card: &Card, to: StepId, stages: &[Stage]) -> Option<String> {
    let at = steps.place(card.step)?;
    let skipped = |id: StepId| stages.iter().any(|s| s.step == id && s.not_needed);
    let missing: Vec<&str> = steps
        .before(to)
        .skip(at + 1)
        .filter(|step| !step.by_hand && !skipped(step.id))
        .map(|step| step.name.as_str())
        .collect();
    (!missing.is_empty()).then(|| format!("Not yet {}.", missing.join(", ")))
}

/// What a planned step lacks. Checklists of a day are asked on that day only.
async fn lacks(
    app: &AppState,
    card: &Card,
    step: &Step,
    (slot, measure): (&Slot, &Measure),
) -> Result<Vec<String>, WebError> {
    let mut all: Vec<String> = card.held.iter().map(|why| format!("Held: {why}")).collect();
    let stages = heads::stages(app.db().read(), card.id).await?;
    all.extend(not_yet(&measure.steps, card, step.id, &stages));
    let mut asked = step.clone();
    if slot.day != measure.today {
        asked.gates.retain(|gate| *gate != GateKind::Safety);
    }
    if let Some(gates) = app.hook::<Gates>() {
        all.extend(gates.closed(app, card.id, &asked).await?);
    }
    if slot.day < measure.today {
        all.push("Late: its day has passed.".to_owned());
    } else {
        all.extend(measure.weather_against(slot));
    }
    Ok(all)
}

/// A whole week.
pub struct Week {
    /// Monday to Saturday.
    pub days: Vec<NaiveDate>,
    /// Live carpenters, and whoever else has a slot.
    pub crew: Vec<Person>,
    /// By person and day.
    pub cells: BTreeMap<(UserId, NaiveDate), PersonDay>,
    /// Planned before today and not done, of this week and earlier ones.
    pub late: Vec<Planned>,
    /// What the days are expected to be, where somebody has said so.
    pub weather: HashMap<NaiveDate, Weather>,
}

/// Gathers the week that begins on this Monday, for one person or all.
///
/// # Errors
/// The database's.
pub async fn week(
    app: &AppState,
    monday: NaiveDate,
    only: Option<UserId>,
) -> Result<Week, WebError> {
    let pool = app.db().read();
    let days: Vec<NaiveDate> = (0..6)
        .filter_map(|n| monday.checked_add_days(Days::new(n)))
        .collect();
    let last = days.last().copied().unwrap_or(monday);
    let measure = Measure::of(app, (monday, last)).await?;
    let mut clockwork = Clockwork::of(app, &measure.steps).await?;
    let mut slots = store::slots(pool, monday, last).await?;
    let mut late = store::late(pool, measure.today).await?;
    if let Some(only) = only {
        slots.retain(|slot| slot.user == only);
        late.retain(|slot| slot.user == only);
    }
    let mut crew = access::people(pool).await?;
    crew.retain(|p| {
        let works = p.role == Role::Carpenter && p.disabled_at.is_none();
        (works || slots.iter().any(|s| s.user == p.id)) && only.is_none_or(|only| only == p.id)
    });
    let mut cells: BTreeMap<(UserId, NaiveDate), PersonDay> = BTreeMap::new();
    for slot in slots {
        let planned = plan(app, &mut clockwork, &measure, slot).await?;
        let cell = cells
            .entry((planned.slot.user, planned.slot.day))
            .or_default();
        cell.minutes += planned.minutes;
        cell.planned.push(planned);
    }
    for absence in store::absences(pool, monday, last).await? {
        for day in days
            .iter()
            .filter(|d| (absence.first..=absence.last).contains(d))
        {
            let cell = cells.entry((absence.user, *day)).or_default();
            cell.away = Some(absence.reason.words().to_owned());
        }
    }
    for cell in cells.values_mut() {
        cell.too_much = cell.minutes > DAY_MINUTES || (cell.away.is_some() && cell.minutes > 0);
    }
    let mut behind = Vec::new();
    for slot in late {
        behind.push(plan(app, &mut clockwork, &measure, slot).await?);
    }
    Ok(Week {
        days,
        crew,
        cells,
        late: behind,
        weather: measure.weather,
    })
}

async fn plan(
    app: &AppState,
    clockwork: &mut Clockwork,
    measure: &Measure,
    slot: Slot,
) -> Result<Planned, WebError> {
    let head = clockwork.head(app, slot.head).await?;
    let step = measure.steps.get(slot.step);
    let lacks = match step {
        Some(step) if !slot.done => lacks(app, &head.card, step, (&slot, measure)).await?,
        _ => Vec::new(),
    };
    Ok(Planned {
        minutes: step.map_or(0, |step| clockwork.minutes(&head, step)),
        stand: measure.stands.get(&slot.head).cloned(),
        card: head.card,
        lacks,
        slot,
    })
}
