//! The demo's heads: put in through the stores, with a record that reads as
//! if the crew had worked on them for weeks.

use std::collections::BTreeMap;
use std::time::Duration;

use chrono::{Datelike as _, NaiveTime, Weekday};
use serde::Deserialize;
use serde_json::Value;

use super::model::{HeadId, HeadName, NewHead};
use super::steps::{Move, Reason, Step, Steps};
use super::store::{self, moves};
use crate::access::{Made, UserId};
use crate::db::{Stamp, Tx};
use crate::web::{AppState, WebError};

const JOBS: &str = include_str!("../../seed-data/jobs.json");
const DAY: u64 = 24 * 3600;

#[derive(Deserialize)]
struct DemoJob {
    code: String,
    foreman: String,
    openings: Vec<DemoOpening>,
}

#[derive(Deserialize)]
struct DemoOpening {
    mark: String,
    heads: Vec<DemoHead>,
}

#[derive(Deserialize)]
struct DemoHead {
    name: String,
    step: String,
    design: Value,
    carpenter: Option<String>,
    /// Why it is held now.
    held: Option<String>,
    /// It was sent back here once, from the step after, for this reason.
    sent_back: Option<String>,
    /// Steps that it does not need, with why.
    #[serde(default)]
    not_needed: BTreeMap<String, String>,
    /// Labels ticked off on the present sheet.
    #[serde(default)]
    ticked: Vec<String>,
    /// What the bench measured.
    as_built: Option<Value>,
}

/// The demo's people: `carpenter-2` is the second carpenter.
struct People(BTreeMap<String, UserId>);

impl People {
    async fn read(app: &AppState) -> Result<Self, WebError> {
        let mut all = crate::access::people(app.db().read()).await?;
        all.sort_by_key(|person| person.id);
        let mut count: BTreeMap<&str, usize> = BTreeMap::new();
        let mut named = BTreeMap::new();
        for person in all {
            let nth = count.entry(person.role.word()).or_default();
            *nth += 1;
            named.insert(format!("{}-{nth}", person.role.word()), person.id);
        }
        Ok(Self(named))
    }

    fn get(&self, key: &str) -> Option<UserId> {
        self.0.get(key).copied()
    }
}

/// Puts the demo's heads in.
///
/// # Errors
/// The demo's file or the database is not as it should be.
pub async fn seed(app: AppState) -> Result<(), WebError> {
    let jobs: Vec<DemoJob> = serde_json::from_str(JOBS).map_err(WebError::internal)?;
    let people = People::read(&app).await?;
    let steps = store::steps(app.db().read()).await?;
    let mut tx = app.db().write().await?;
    let mut nth = 0;
    for job in &jobs {
        for opening in &job.openings {
            for head in &opening.heads {
                nth += 1;
                let row = store::openings::opening_named(&mut tx, &job.code, &opening.mark).await?;
                let mut life = Life {
                    tx: &mut tx,
                    people: &people,
                    steps: &steps,
                    job,
                    head,
                    nth,
                    now: app.now(),
                    zone: app.firm().zone,
                };
                life.live(row).await?;
            }
        }
    }
    tx.commit().await?;
    Ok(())
}

/// One head's way up to now.
struct Life<'a> {
    tx: &'a mut Tx,
    people: &'a People,
    steps: &'a Steps,
    job: &'a DemoJob,
    head: &'a DemoHead,
    nth: u64,
    now: Stamp,
    zone: chrono_tz::Tz,
}

impl Life<'_> {
    async fn live(&mut self, opening: i64) -> Result<(), WebError> {
        let reached = self
            .steps
            .named(&self.head.step)
            .and_then(|s| self.steps.place(s.id));
        let reached =
            reached.ok_or_else(|| WebError::internal(format!("no step {}", self.head.step)))?;
        let new = NewHead {
            opening,
            name: HeadName::parse(&self.head.name).map_err(WebError::internal)?,
            design: self.head.design.clone(),
        };
        let made = self.made(reached, 0, "foreman");
        let id = moves::create(self.tx, made, &new).await?;
        let mut version = self.plan(id, made).await?;
        for (place, step) in self.steps.iter().enumerate().take(reached + 1).skip(1) {
            if self.head.not_needed.contains_key(&step.name) {
                continue;
            }
            let made = self.made(reached, place, self.hand(step));
            version = self.step(id, version, made, Move::To(step.id)).await?;
        }
        version = self.troubles(id, version, reached).await?;
        self.bench(id, version, reached).await
    }

    /// Gives the work of hands to the head's carpenter and marks what is not
    /// needed.
    async fn plan(&mut self, id: HeadId, made: Made) -> Result<i64, WebError> {
        let mut version = 1;
        for (name, why) in &self.head.not_needed {
            let Some(step) = self.steps.named(name) else {
                continue;
            };
            let why = Reason::parse(why).map_err(WebError::internal)?;
            version = self
                .step(id, version, made, Move::NotNeeded(step.id, why))
                .await?;
        }
        if let Some(carpenter) = self
            .head
            .carpenter
            .as_deref()
            .and_then(|key| self.people.get(key))
        {
            let given: Vec<_> = self
                .steps
                .iter()
                .filter(|s| s.by_hand)
                .map(|s| s.id)
                .collect();
            let person = Some(carpenter.get());
            version = moves::assign(self.tx, made, (id, version), &given, person).await?;
        }
        Ok(version)
    }

    async fn troubles(
        &mut self,
        id: HeadId,
        mut version: i64,
        reached: usize,
    ) -> Result<i64, WebError> {
        if let Some(why) = &self.head.sent_back {
            let here = self.steps.iter().nth(reached).map(|s| s.id);
            let next = self.steps.iter().nth(reached + 1).map(|s| s.id);
            if let (Some(here), Some(next)) = (here, next) {
                let why = Reason::parse(why).map_err(WebError::internal)?;
                let made = self.made(reached, reached, "carpenter");
                version = self
                    .step(id, version, later(made, 5), Move::To(next))
                    .await?;
                version = self
                    .step(id, version, later(made, 8), Move::SendBack(here, why))
                    .await?;
            }
        }
        if let Some(why) = &self.head.held {
            let why = Reason::parse(why).map_err(WebError::internal)?;
            let made = self.made(reached, reached, "foreman");
            version = self
                .step(id, version, later(made, 9), Move::Hold(why))
                .await?;
        }
        Ok(version)
    }

    async fn bench(&mut self, id: HeadId, version: i64, reached: usize) -> Result<(), WebError> {
        let made = later(self.made(reached, reached, "carpenter"), 6);
        let mut sheet_version = 1;
        if let Some(as_built) = &self.head.as_built {
            moves::measure(self.tx, made, (id, version), Some(as_built)).await?;
            sheet_version += 1;
        }
        for label in &self.head.ticked {
            store::bench::tick(self.tx, made, (id, sheet_version), label, true).await?;
        }
        Ok(())
    }

    async fn step(
        &mut self,
        id: HeadId,
        version: i64,
        made: Made,
        asked: Move,
    ) -> Result<i64, WebError> {
        moves::step(self.tx, made, (id, version), &asked)
            .await
            .map_err(|error| WebError::internal(format!("{}: {error:?}", self.head.name)))
    }

    fn hand(&self, step: &Step) -> &'static str {
        match (step.by_hand, step.by_office) {
            (true, _) => "carpenter",
            (_, true) => "office",
            _ => "foreman",
        }
    }

    /// The morning of that day in the firm's zone; on a Sunday, of the day
    /// before.
    fn in_hours(&self, about: Stamp) -> Stamp {
        let day = about.date(self.zone);
        let day = if day.weekday() == Weekday::Sun {
            day.pred_opt().unwrap_or(day)
        } else {
            day
        };
        let (hour, minute) = (self.nth % 3, self.nth * 17 % 60);
        let at = u32::try_from(7 * 60 + hour * 60 + minute).ok();
        let time = at
            .and_then(|m| NaiveTime::from_hms_opt(m / 60, m % 60, 0))
            .unwrap_or_default();
        let local = day.and_time(time).and_local_timezone(self.zone).earliest();
        local.map_or(about, |local| Stamp::from_millis(local.timestamp_millis()))
    }

    /// Who reached the step at `place`, and when: about two days a step, in
    /// working hours, up to yesterday.
    fn made(&self, reached: usize, place: usize, hand: &str) -> Made {
        let steps_ago = u64::try_from(reached.saturating_sub(place)).unwrap_or(0);
        let ago = DAY + steps_ago * (2 * DAY + self.nth % 3 * DAY / 2) + self.nth % 5 * 2700;
        let millis = i64::try_from(ago * 1000).unwrap_or(0);
        let by = match hand {
            "foreman" => self.people.get(&self.job.foreman),
            "office" => self.people.get("office-1"),
            _ => self
                .head
                .carpenter
                .as_deref()
                .and_then(|key| self.people.get(key)),
        };
        let about = Stamp::from_millis(self.now.millis() - millis);
        Made {
            at: self.in_hours(about),
            by: by.or_else(|| self.people.get("owner-1")),
        }
    }
}

fn later(made: Made, hours: u64) -> Made {
    Made {
        at: made.at.plus(Duration::from_secs(hours * 3600)),
        ..made
    }
}
