//! What photos give to the guard and to the pages of jobs, openings and heads.

use askama::Template;

use super::model::{Arranged, Photo, PhotoId, arranged};
use super::store;
use crate::access::{BoxFuture, Me, Reach, Thing, Ties, UserId};
use crate::db::StoreError;
use crate::heads::{self, HeadId};
use crate::jobs::{self, JobId, JobPart};
use crate::openings::{self, OpeningId};
use crate::web::{AppState, Fragment, WebError};

/// A person's ties to a photo are those to its head, or to its opening.
pub(super) fn photo_ties(
    app: AppState,
    user: UserId,
    id: i64,
) -> BoxFuture<Result<Option<Ties>, StoreError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let photo = match store::photo(pool, PhotoId::new(id)).await {
            Ok(photo) => photo,
            Err(StoreError::Missing(_)) => return Ok(None),
            Err(other) => return Err(other),
        };
        let own = jobs::leads_job(pool, user, photo.job.get()).await?;
        Ok(Some(Ties {
            own: own.unwrap_or(false),
            assigned: is_assigned(&app, user, &photo).await?,
        }))
    })
}

async fn is_assigned(app: &AppState, user: UserId, photo: &Photo) -> Result<bool, StoreError> {
    match &photo.head {
        Some((head, _)) => heads::is_assigned(app.db().read(), *head, user.get()).await,
        None => {
            let mine = (heads::opening_heads().assigned)(app.clone(), user).await?;
            Ok(mine.contains(&photo.opening))
        }
    }
}

/// Those of `photos` that this person may see.
///
/// # Errors
/// The database's.
pub(super) async fn seen_by(
    app: &AppState,
    me: &Me,
    job: JobId,
    photos: Vec<Photo>,
) -> Result<Vec<Photo>, WebError> {
    match me.may_read(Thing::Photos) {
        Reach::All => Ok(photos),
        Reach::None => Ok(Vec::new()),
        Reach::Own => {
            let leads = jobs::leads_job(app.db().read(), me.id, job.get()).await?;
            Ok(if leads == Some(true) {
                photos
            } else {
                Vec::new()
            })
        }
        Reach::Assigned => {
            let mut mine = Vec::new();
            for photo in photos {
                if is_assigned(app, me.id, &photo).await? {
                    mine.push(photo);
                }
            }
            Ok(mine)
        }
    }
}

/// Whether this person's rights reach photos of this job at all.
async fn reaches(app: &AppState, me: &Me, job: JobId) -> Result<bool, StoreError> {
    Ok(match me.may_read(Thing::Photos) {
        Reach::All | Reach::Assigned => true,
        Reach::None => false,
        Reach::Own => jobs::leads_job(app.db().read(), me.id, job.get()).await? == Some(true),
    })
}

#[derive(Template)]
#[template(path = "photos/part.html")]
struct Part {
    all: String,
    photos: Arranged,
}

/// Photos' part of an opening's page.
pub fn opening_part(app: AppState, me: Me, id: OpeningId) -> BoxFuture<Result<Fragment, WebError>> {
    Box::pin(async move {
        let pool = app.db().read();
        let job = openings::opening(pool, id).await?.job;
        if !reaches(&app, &me, job).await? {
            return Ok(Fragment::default());
        }
        let photos = store::photos_of_opening(pool, id, false).await?;
        let photos = arranged(seen_by(&app, &me, job, photos).await?);
        let all = format!("/photos/opening/{id}");
        Ok(Fragment::of(&Part { all, photos })?)
    })
}

/// Photos' part of a head's page.
pub fn head_part(app: AppState, me: Me, id: HeadId) -> BoxFuture<Result<Fragment, WebError>> {
    Box::pin(async move {
        let place = heads::head(app.db().read(), id).await?.card.place;
        let job = JobId::new(place.job);
        if !reaches(&app, &me, job).await? {
            return Ok(Fragment::default());
        }
        let photos = of_head(&app, &me, (id, OpeningId::new(place.opening), job)).await?;
        let all = format!("/photos/head/{id}");
        Ok(Fragment::of(&Part {
            all,
            photos: arranged(photos),
        })?)
    })
}

/// A head's photos and those of its opening that show no other head.
pub(super) async fn of_head(
    app: &AppState,
    me: &Me,
    (head, opening, job): (HeadId, OpeningId, JobId),
) -> Result<Vec<Photo>, WebError> {
    let mut photos = store::photos_of_opening(app.db().read(), opening, false).await?;
    photos.retain(|p| p.head.as_ref().is_none_or(|(id, _)| *id == head));
    seen_by(app, me, job, photos).await
}

#[derive(Template)]
#[template(path = "photos/of_job.html")]
struct OfJob {
    job: JobId,
    count: usize,
    pairs: usize,
}

/// Photos' part of a job's page: how many, and the way to them.
pub fn job_part(app: AppState, me: Me, job: JobId) -> BoxFuture<Result<JobPart, WebError>> {
    Box::pin(async move {
        if !reaches(&app, &me, job).await? {
            return Ok(JobPart::default());
        }
        let photos = store::photos_of_job(app.db().read(), job).await?;
        let photos = seen_by(&app, &me, job, photos).await?;
        let count = photos.len();
        let pairs = arranged(photos).pairs.len();
        Ok(JobPart {
            below: Fragment::of(&OfJob { job, count, pairs })?,
            ..JobPart::default()
        })
    })
}
