//! What a person's calendar holds: what they may see, by the same table of
//! rights as the pages.

use chrono::{Days, Duration, NaiveDate};

use super::feed::{Entry, When};
use crate::access::{Reach, Role, Thing, UserId};
use crate::clients;
use crate::heads;
use crate::jobs::{self, Job, Shown};
use crate::outside;
use crate::permits;
use crate::safety;
use crate::web::{AppState, ListQuery, WebError};

/// Whose calendar, and the program's own address for links.
#[derive(Debug, Clone)]
pub(super) struct Whose {
    pub user: UserId,
    pub role: Role,
    pub address: String,
    /// Marks this program's entries apart from any other's.
    pub mark: String,
}

/// Days back and ahead that are told.
const BACK: u64 = 60;
const AHEAD: u64 = 400;

impl Whose {
    fn uid(&self, kind: &str, id: impl std::fmt::Display) -> String {
        format!("{kind}-{id}-{}@headwright", self.mark)
    }

    fn days(&self, (kind, id): (&str, i64), days: (NaiveDate, NaiveDate), words: String) -> Entry {
        Entry {
            uid: self.uid(kind, id),
            when: When::Days(days.0, days.1),
            summary: words,
            url: String::new(),
            busy: false,
        }
    }
}

/// Everything, day by day.
pub(super) async fn entries(app: &AppState, whose: &Whose) -> Result<Vec<Entry>, WebError> {
    let today = app.now().date(app.firm().zone);
    let from = today.checked_sub_days(Days::new(BACK)).unwrap_or(today);
    let to = today.checked_add_days(Days::new(AHEAD)).unwrap_or(today);
    let mut all = visits(app, whose, (from, to)).await?;
    for job in jobs_of(app, whose).await? {
        all.extend(of_job(app, whose, &job).await?);
    }
    let within = |entry: &Entry| match entry.when {
        When::Days(first, last) => last >= from && first <= to,
        When::Span(..) => true,
    };
    all.retain(within);
    Ok(all)
}

/// The live jobs whose days this person is told: all, those led, or those
/// worked on.
async fn jobs_of(app: &AppState, whose: &Whose) -> Result<Vec<Job>, WebError> {
    let only = match whose.role {
        Role::Carpenter => Some((heads::jobs_assigned().0)(app.clone(), whose.user).await?),
        _ => None,
    };
    let shown = Shown {
        only,
        led_by: (whose.role == Role::Foreman).then_some(whose.user),
        by_client: false,
    };
    Ok(jobs::jobs(app.db().read(), &ListQuery::default(), &shown).await?)
}

async fn visits(
    app: &AppState,
    whose: &Whose,
    (from, to): (NaiveDate, NaiveDate),
) -> Result<Vec<Entry>, WebError> {
    let led_by = match Thing::Clients.level(whose.role).read {
        Reach::All => None,
        Reach::Own => Some(whose.user),
        Reach::Assigned | Reach::None => return Ok(Vec::new()),
    };
    let zone = app.firm().zone;
    let visits = clients::visits_between(app.db().read(), (from, to), led_by).await?;
    let entry = |visit: clients::Visit| {
        let day = visit.facts.day;
        // An hour that the clocks leave out has no instant: the day is told.
        let begins = visit
            .facts
            .time
            .and_then(|time| day.and_time(time).and_local_timezone(zone).earliest());
        let when = match begins.map(|at| at.to_utc()) {
            Some(at) => When::Span(at, at + Duration::hours(1)),
            None => When::Days(day, day),
        };
        Entry {
            uid: whose.uid("visit", visit.id),
            when,
            summary: match &visit.job_code {
                Some(code) => format!("Visit, {code}"),
                None => "Visit".to_owned(),
            },
            url: format!("{}/clients/visits/{}", whose.address, visit.id),
            busy: true,
        }
    };
    Ok(visits.into_iter().map(entry).collect())
}

async fn of_job(app: &AppState, whose: &Whose, job: &Job) -> Result<Vec<Entry>, WebError> {
    let pool = app.db().read();
    let (id, code) = (job.id.get(), job.facts.code.as_str());
    let url = format!("{}/jobs/{id}", whose.address);
    let mut all = Vec::new();
    if let Some(first) = job.facts.first_day.or(job.facts.last_day) {
        let last = job.facts.last_day.unwrap_or(first);
        all.push(whose.days(("job", id), (first, last), format!("{code}: days on site")));
    }
    for work in outside::of_job(pool, job.id).await? {
        if let Some(first) = work.facts.first_day.or(work.facts.last_day) {
            let last = work.facts.last_day.unwrap_or(first);
            let words = format!("{code}: {}", work.trade.words().to_lowercase());
            all.push(whose.days(("outside", work.id.get()), (first, last), words));
        }
    }
    for (nth, talk) in safety::talks(pool, job.id).await?.iter().rev().enumerate() {
        if let Ok(day) = talk.day.parse::<NaiveDate>() {
            let nth = i64::try_from(nth).unwrap_or(i64::MAX);
            let words = format!("{code}: five-minute safety talk");
            let mut entry = whose.days(("talk", nth), (day, day), words);
            entry.uid = whose.uid("talk", format_args!("{id}-{nth}"));
            all.push(entry);
        }
    }
    if whose.role != Role::Carpenter {
        for permit in permits::of_job(pool, job.id, false).await? {
            if let Some(last) = permit.facts.expires_on {
                let words = format!(
                    "{code}: {}, last day",
                    permit.facts.kind.words().to_lowercase()
                );
                all.push(whose.days(("permit", permit.id.get()), (last, last), words));
            }
        }
    }
    for entry in &mut all {
        entry.url.clone_from(&url);
    }
    Ok(all)
}
