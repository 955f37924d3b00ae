//! The firm's saws: what they can be set to, and what they can hold.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;

use crate::access::{Me, Post, Reach, Start, Thing};
use crate::heads::model::{SawFacts, SawId, SawRow};
use crate::heads::store::saws;
use crate::measure::{Length, Unit};
use crate::web::{self, AppState, Check, Errors, Fields, Form, Page, WebError, html, ok};

#[derive(Template)]
#[template(path = "heads/saws.html")]
struct SawsPage {
    page: Page,
    saws: Vec<SawRow>,
    may_write: bool,
}

#[derive(Template)]
#[template(path = "heads/saw.html")]
struct SawPage {
    page: Page,
    form: Form,
}

fn unit(app: &AppState) -> Unit {
    match app.firm().unit {
        web::Unit::Inch => Unit::Inch,
        web::Unit::Millimetre => Unit::Millimetre,
    }
}

/// GET `/heads/saws`.
///
/// # Errors
/// The database's.
pub async fn list(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    let view = SawsPage {
        page: me.page("Saws").under("/heads", "Heads"),
        saws: saws::all(app.db().read()).await?,
        may_write: me.may_write(Thing::Heads) != Reach::None,
    };
    ok(&view)
}

fn fields(saw: &SawFacts, unit: Unit) -> Fields {
    Fields::default()
        .with("name", &saw.name)
        .with("swing_left", saw.swing_left)
        .with("swing_right", saw.swing_right)
        .with("tilt_left", saw.tilt_left)
        .with("tilt_right", saw.tilt_right)
        .with("max_height", saw.max_height.exact(unit))
        .with("max_depth", saw.max_depth.exact(unit))
        .with("kerf", saw.kerf.exact(unit))
}

fn facts(fields: &Fields, unit: Unit) -> Result<SawFacts, Errors> {
    let mut check = Check::of(fields);
    let name = check.line("name", 80);
    let mut degrees = |field| check.number(field, 0.0..=89.0);
    let angles = (
        degrees("swing_left"),
        degrees("swing_right"),
        degrees("tilt_left"),
        degrees("tilt_right"),
    );
    let mut length = |field, most: f64| {
        check.parse(field, |text| {
            let length = Length::parse(text, unit).map_err(|e| format!("{e}."))?;
            if length > Length::ZERO && length.inches() <= most {
                Ok(length)
            } else {
                Err(format!("More than 0 and at most {most} in is allowed."))
            }
        })
    };
    let lengths = (
        length("max_height", 40.0),
        length("max_depth", 60.0),
        length("kerf", 0.5),
    );
    let saw = match (angles, lengths) {
        (
            (Some(swing_left), Some(swing_right), Some(tilt_left), Some(tilt_right)),
            (Some(max_height), Some(max_depth), Some(kerf)),
        ) => Some(SawFacts {
            name,
            swing_left,
            swing_right,
            tilt_left,
            tilt_right,
            max_height,
            max_depth,
            kerf,
        }),
        _ => None,
    };
    check.finish_some(saw)
}

fn drawn(me: &Me, title: &str, form: Form, status: StatusCode) -> Result<Response, WebError> {
    let page = me
        .page(title)
        .under("/heads", "Heads")
        .under("/heads/saws", "Saws");
    html(status, &SawPage { page, form })
}

/// GET `/heads/saws/new`.
///
/// # Errors
/// The system's randomness.
pub async fn new(State(app): State<AppState>, me: Me) -> Result<Response, WebError> {
    drawn(
        &me,
        "A new saw",
        me.form(&app, "/heads/saws/new")?,
        StatusCode::OK,
    )
}

/// POST `/heads/saws/new`.
///
/// # Errors
/// The database's.
pub async fn add(State(app): State<AppState>, me: Me, post: Post) -> Result<Response, WebError> {
    let saw = match facts(&post.fields, unit(&app)) {
        Ok(saw) => saw,
        Err(wrong) => {
            let form = post.again("/heads/saws/new").wrong(wrong);
            return drawn(&me, "A new saw", form, StatusCode::UNPROCESSABLE_ENTITY);
        }
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let id = saws::add(&mut work.tx, work.made, &saw).await?;
            work.audit("saw.added", "saw", id.get(), serde_json::json!({}))
                .await?;
            work.done("/heads/saws?saved").await
        }
    }
}

/// GET `/heads/saws/{saw}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SawId>,
) -> Result<Response, WebError> {
    let saw = saws::one(app.db().read(), id).await?;
    let form = me.form(&app, format!("/heads/saws/{id}"))?;
    let form = form
        .filled(fields(&saw.facts, unit(&app)))
        .at_version(saw.version);
    drawn(&me, &saw.facts.name, form, StatusCode::OK)
}

/// POST `/heads/saws/{saw}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<SawId>,
    post: Post,
) -> Result<Response, WebError> {
    let now = saws::one(app.db().read(), id).await?;
    let action = format!("/heads/saws/{id}");
    let saw = match facts(&post.fields, unit(&app)) {
        Ok(saw) => saw,
        Err(wrong) => {
            let form = post.again(&action).wrong(wrong);
            return drawn(&me, &now.facts.name, form, StatusCode::UNPROCESSABLE_ENTITY);
        }
    };
    let seen = post.version()?;
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => match saws::save(&mut work.tx, (id, seen), &saw).await {
            Ok(()) => {
                work.audit("saw.changed", "saw", id.get(), serde_json::json!({}))
                    .await?;
                work.done("/heads/saws?saved").await
            }
            Err(crate::db::StoreError::Stale(_)) => {
                let theirs = saws::one(app.db().read(), id).await?;
                let form = post
                    .again(&action)
                    .conflict(fields(&theirs.facts, unit(&app)), theirs.version);
                drawn(&me, &theirs.facts.name, form, StatusCode::CONFLICT)
            }
            Err(other) => Err(other.into()),
        },
    }
}
