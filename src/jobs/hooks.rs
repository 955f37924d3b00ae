//! What jobs give to the guard and to a client's page, and the room on a job's
//! page for later areas.

use askama::Template;

use crate::access::{BoxFuture, Me, Reach, Thing, Ties, UserId};
use crate::clients::ClientId;
use crate::db::StoreError;
use crate::web::{AppState, Fragment, WebError};

use super::model::JobId;
use super::store;

/// What a store hook gives back.
type Stored<T> = BoxFuture<Result<T, StoreError>>;
/// What a page hook gives back.
type Drawn<T> = BoxFuture<Result<T, WebError>>;

/// The jobs on which a person is assigned to a head: filled by the area that
/// knows heads. Without it nobody is assigned to anything.
#[derive(Debug, Clone, Copy)]
pub struct JobsAssigned(pub fn(AppState, UserId) -> Stored<Vec<JobId>>);

/// The jobs this person is assigned to.
pub(super) async fn assigned(app: &AppState, user: UserId) -> Result<Vec<JobId>, StoreError> {
    match app.hook::<JobsAssigned>() {
        Some(hook) => (hook.0)(app.clone(), user).await,
        None => Ok(Vec::new()),
    }
}

/// Something the job still lacks, and where to see to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// In plain words.
    pub words: String,
    /// Where it is seen to; empty if nowhere.
    pub href: String,
}

impl Missing {
    /// Says what and where.
    pub fn new(words: impl Into<String>, href: impl Into<String>) -> Self {
        Self {
            words: words.into(),
            href: href.into(),
        }
    }
}

/// A later area's part of a job's page.
#[derive(Debug, Clone, Default)]
pub struct JobPart {
    /// Above the facts: the façade strip.
    pub above: Fragment,
    /// Below the facts: a table.
    pub below: Fragment,
    /// What the job still lacks, the next first.
    pub missing: Vec<Missing>,
}

/// Draws one later area's part, for the person who looks, so that nobody is
/// shown too much.
pub type JobPartFn = fn(AppState, Me, JobId) -> Drawn<JobPart>;

/// The parts of a job's page that later areas draw, in their order.
#[derive(Debug, Clone, Default)]
pub struct JobParts(pub Vec<JobPartFn>);

pub(super) fn job_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        let Some(own) = store::leads_job(app.db().read(), user, id).await? else {
            return Ok(None);
        };
        let assigned = assigned(&app, user).await?.contains(&JobId::new(id));
        Ok(Some(Ties { own, assigned }))
    })
}

#[derive(Template)]
#[template(path = "jobs/of_client.html")]
struct OfClient {
    client: ClientId,
    jobs: Vec<(JobId, String, String)>,
    may_add: bool,
}

/// A client's jobs, for the client's page.
pub fn client_part(
    app: AppState,
    me: Me,
    client: ClientId,
) -> BoxFuture<Result<Fragment, WebError>> {
    Box::pin(async move {
        let jobs = store::jobs_of(app.db().read(), client).await?;
        let may_add = me.may_write(Thing::Clients) == Reach::All;
        Ok(Fragment::of(&OfClient {
            client,
            jobs,
            may_add,
        })?)
    })
}
