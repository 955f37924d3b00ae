//! Drawing a head: a new one over an opening, or a change of one.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;

use super::{FindingWords, changes, finding_words, shop};
use crate::access::{Me, Post, Start};
use crate::heads::forms::{self, Drawing, Good, GroupView};
use crate::heads::model::{Head, HeadId, NewHead};
use crate::heads::sheet::{Tape, drawn};
use crate::heads::shop::{Shop, solved};
use crate::heads::showing::from_json;
use crate::heads::store::{self, bench, moves};
use crate::heads::taken::Shelf;
use crate::heads::typed::{Typed, label_of};
use crate::heads::{kinds, slots, store::openings};
use crate::trim::draw::{self, Look};
use crate::trim::sheet::Sheet;
use crate::web::{AppState, Choice, Errors, Form, Fragment, Page, Svg, WebError, html, ok};

/// Something wrong with a field, for the list beside the drawing.
struct Wrong {
    field: String,
    label: String,
    words: String,
}

/// The drawing with what a person must know about it.
#[derive(Template)]
#[template(path = "heads/drawn.html")]
struct Drawn {
    touched: Fragment,
    elevation: Option<Svg>,
    small: Option<Svg>,
    findings: Vec<FindingWords>,
    wrong: Vec<Wrong>,
    size: Option<(Tape, Tape)>,
    pieces: usize,
}

#[derive(Template)]
#[template(path = "heads/design.html")]
struct DesignPage {
    page: Page,
    form: Form,
    draw: String,
    cut: usize,
    proportion: Fragment,
    says: &'static str,
    kinds: Vec<Choice>,
    units: Vec<Choice>,
    groups: Vec<GroupView>,
    kept: Vec<(String, String)>,
    drawn: Fragment,
    save: &'static str,
}

/// What the form is about.
enum About {
    New { opening: i64 },
    Old { head: Box<Head> },
}

impl About {
    fn opening(&self) -> i64 {
        match self {
            Self::New { opening } => *opening,
            Self::Old { head } => head.card.place.opening,
        }
    }

    fn action(&self) -> String {
        match self {
            Self::New { opening } => format!("/heads/new/{opening}"),
            Self::Old { head } => format!("/heads/{}/design", head.card.id),
        }
    }
}

/// GET `/heads/new/{opening}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn new(
    State(app): State<AppState>,
    me: Me,
    Path(opening): Path<i64>,
) -> Result<Response, WebError> {
    let about = About::New { opening };
    let place = openings::place(app.db().read(), opening).await?;
    let kind = kinds::KINDS.first().ok_or(WebError::Missing)?;
    let mut typed = Typed::fresh(kind);
    typed.set("unit", app.firm().unit.symbol());
    let surveyed = openings::surveyed(&app, opening).await?;
    forms::suit(&mut typed, &surveyed, &place.name());
    let form = me.form(&app, about.action())?.filled(typed.fields());
    page(&app, &me, &about, form, &typed, StatusCode::OK).await
}

/// POST `/heads/new/{opening}`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn create(
    State(app): State<AppState>,
    me: Me,
    Path(opening): Path<i64>,
    post: Post,
) -> Result<Response, WebError> {
    let about = About::New { opening };
    let typed = Typed::of(&post.fields);
    let good = match checked(&app, &about, &typed).await? {
        Ok(good) => good,
        Err(errors) => return refused(&app, &me, &about, &post, &typed, errors).await,
    };
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            let new = NewHead {
                opening,
                name: good.name,
                design: good.design,
            };
            let id = moves::create(&mut work.tx, work.made, &new).await?;
            work.audit("head.drawn", "head", id.get(), serde_json::json!({}))
                .await?;
            work.done(format!("/heads/{id}?saved")).await
        }
    }
}

/// POST `/heads/new/{opening}/draw`: draws, saves nothing.
///
/// # Errors
/// `Missing`, the database's.
pub async fn draw_new(
    State(app): State<AppState>,
    me: Me,
    Path(opening): Path<i64>,
    headers: HeaderMap,
    post: Post,
) -> Result<Response, WebError> {
    draw_only(&app, &me, &About::New { opening }, &headers, &post).await
}

/// GET `/heads/{id}/design`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn edit(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
) -> Result<Response, WebError> {
    let about = about_old(&app, id).await?;
    let About::Old { head } = &about else {
        return Err(WebError::Missing);
    };
    let mut typed = from_json(&head.design);
    typed.set("name", head.card.name.as_str());
    let form = me
        .form(&app, about.action())?
        .filled(typed.fields())
        .at_version(head.card.version);
    page(&app, &me, &about, form, &typed, StatusCode::OK).await
}

async fn about_old(app: &AppState, id: HeadId) -> Result<About, WebError> {
    Ok(About::Old {
        head: Box::new(store::head(app.db().read(), id).await?),
    })
}

/// POST `/heads/{id}/design`.
///
/// # Errors
/// `Missing`, the database's.
pub async fn save(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    post: Post,
) -> Result<Response, WebError> {
    let about = about_old(&app, id).await?;
    let typed = Typed::of(&post.fields);
    let good = match checked(&app, &about, &typed).await? {
        Ok(good) => good,
        Err(errors) => return refused(&app, &me, &about, &post, &typed, errors).await,
    };
    let seen = post.version()?;
    let About::Old { head } = &about else {
        return Err(WebError::Missing);
    };
    let shop = shop(&app).await?;
    let after = redrawn(head, &good, &shop)?;
    let touched = changes::preview(&app, head, &shop, &after.sheet).await?;
    let fresh = head.card.version == seen;
    if fresh && touched.is_some_and(|t| t.count() > 0) && !post.fields.has(changes::AGREED) {
        let errors = Errors::one(changes::AGREED, changes::NOT_AGREED);
        return refused(&app, &me, &about, &post, &typed, errors).await;
    }
    match post.begin(&app, &me).await? {
        Start::Again(reply) => Ok(reply),
        Start::First(mut work) => {
            match moves::redraw(
                &mut work.tx,
                work.made,
                (id, seen),
                &good.name,
                &good.design,
            )
            .await
            {
                Ok(version) => {
                    changes::carry_over(&mut work, head, &shop, &after.sheet).await?;
                    if after.forget {
                        moves::forget(&mut work.tx, work.made, (id, version)).await?;
                    }
                    let detail = serde_json::json!({ "version": version });
                    work.audit("head.redrawn", "head", id.get(), detail).await?;
                    work.done(format!("/heads/{id}?saved")).await
                }
                Err(crate::db::StoreError::Stale(_)) => {
                    drop(work);
                    stale(&app, &me, id, &post, &typed).await
                }
                Err(other) => Err(other.into()),
            }
        }
    }
}

/// The sheet of a head once it is redrawn.
struct After {
    sheet: Sheet,
    /// What the bench measured does not belong to the new design.
    forget: bool,
}

fn redrawn(head: &Head, good: &Good, shop: &Shop) -> Result<After, WebError> {
    if let Ok((_, sheet)) = solved(&good.design, head.as_built.as_ref(), shop) {
        return Ok(After {
            sheet,
            forget: false,
        });
    }
    let (_, sheet) = solved(&good.design, None, shop).map_err(WebError::internal)?;
    Ok(After {
        sheet,
        forget: head.as_built.is_some(),
    })
}

/// The form again, what another saved meanwhile beside each field.
async fn stale(
    app: &AppState,
    me: &Me,
    id: HeadId,
    post: &Post,
    typed: &Typed,
) -> Result<Response, WebError> {
    let about = about_old(app, id).await?;
    let About::Old { head } = &about else {
        return Err(WebError::Missing);
    };
    let mut theirs = from_json(&head.design);
    theirs.set("name", head.card.name.as_str());
    let form = post
        .again(about.action())
        .conflict(theirs.fields(), head.card.version);
    page(app, me, &about, form, typed, StatusCode::CONFLICT).await
}

/// POST `/heads/{id}/design/draw`: draws, saves nothing.
///
/// # Errors
/// `Missing`, the database's.
pub async fn draw_old(
    State(app): State<AppState>,
    me: Me,
    Path(id): Path<HeadId>,
    headers: HeaderMap,
    post: Post,
) -> Result<Response, WebError> {
    let about = about_old(&app, id).await?;
    draw_only(&app, &me, &about, &headers, &post).await
}

async fn checked(
    app: &AppState,
    about: &About,
    typed: &Typed,
) -> Result<Result<Good, Errors>, WebError> {
    let surveyed = openings::surveyed(app, about.opening()).await?;
    let shelf = Shelf::of(app, typed).await?;
    let (good, drawing) = forms::read(typed, Some(&surveyed), (&shop(app).await?, &shelf));
    Ok(good.ok_or(drawing.errors))
}

async fn refused(
    app: &AppState,
    me: &Me,
    about: &About,
    post: &Post,
    typed: &Typed,
    errors: Errors,
) -> Result<Response, WebError> {
    let form = post.again(about.action()).wrong(errors);
    page(
        app,
        me,
        about,
        form,
        typed,
        StatusCode::UNPROCESSABLE_ENTITY,
    )
    .await
}

/// The drawing alone for the script, else the whole form with its drawing.
async fn draw_only(
    app: &AppState,
    me: &Me,
    about: &About,
    headers: &HeaderMap,
    post: &Post,
) -> Result<Response, WebError> {
    let mut typed = Typed::of(&post.fields);
    if headers.contains_key("x-part") {
        return ok(&drawn_part(app, about, &typed).await?);
    }
    let asked = typed.get("do").to_owned();
    change_list(&mut typed, &asked);
    for (field, value) in crate::heads::proportion::pressed(&asked)
        .into_iter()
        .flatten()
    {
        typed.set(field, value);
    }
    typed.complete();
    let surveyed = openings::surveyed(app, about.opening()).await?;
    let shelf = Shelf::of(app, &typed).await?;
    let (_, drawing) = forms::read(&typed, Some(&surveyed), (&shop(app).await?, &shelf));
    let errors = if asked == "draw" {
        drawing.errors
    } else {
        Errors::default()
    };
    let form = post
        .again(about.action())
        .filled(typed.fields())
        .wrong(errors);
    page(app, me, about, form, &typed, StatusCode::OK).await
}

/// The published proportions for what is typed, if it can be drawn.
async fn suggestions(app: &AppState, about: &About, typed: &Typed) -> Result<Fragment, WebError> {
    let surveyed = openings::surveyed(app, about.opening()).await?;
    let shop = shop(app).await?;
    let shelf = Shelf::of(app, typed).await?;
    let (_, drawing) = forms::read(typed, Some(&surveyed), (&shop, &shelf));
    match &drawing.solved {
        Some((design, _)) => {
            let draw = format!("{}/draw", about.action());
            crate::heads::proportion::part(design, &surveyed, &shop, &draw)
        }
        None => Ok(Fragment::default()),
    }
}

/// Adds or removes an entry of a list that the form may grow.
fn change_list(typed: &mut Typed, asked: &str) {
    if let Some(list) = asked.strip_prefix("add:") {
        let slots = slots::slots(typed);
        if let Some(slot) = slots.iter().find(|slot| slot.list() == list) {
            typed.add_to(slot);
        }
    } else if let Some((list, nth)) = asked
        .strip_prefix("remove:")
        .and_then(|rest| rest.rsplit_once(':'))
    {
        let known = slots::slots(typed).iter().any(|slot| slot.list() == list);
        if let Some(nth) = nth.parse().ok().filter(|_| known) {
            typed.remove_from(list, nth);
        }
    }
}

async fn drawn_part(app: &AppState, about: &About, typed: &Typed) -> Result<Drawn, WebError> {
    let surveyed = openings::surveyed(app, about.opening()).await?;
    let shop = shop(app).await?;
    let shelf = Shelf::of(app, typed).await?;
    let (_, drawing) = forms::read(typed, Some(&surveyed), (&shop, &shelf));
    let mut view = drawn_of(&drawing, typed, &shop);
    if let (About::Old { head }, Some((design, sheet))) = (about, &drawing.solved) {
        let built = solved(&design.to_json(), head.as_built.as_ref(), &shop).ok();
        let sheet = built.as_ref().map_or(sheet, |(_, sheet)| sheet);
        let touched = changes::preview(app, head, &shop, sheet).await?;
        view.touched = changes::part(touched.as_ref(), &shop)?;
    }
    Ok(view)
}

fn drawn_of(drawing: &Drawing, typed: &Typed, shop: &Shop) -> Drawn {
    let look = |width_px| Look {
        width_px,
        length: shop.wording.words(),
    };
    let sheet = drawing.solved.as_ref().map(|(_, sheet)| sheet);
    let wrong = drawing.errors.iter().map(|(field, words)| Wrong {
        field: field.to_owned(),
        label: if field == "name" {
            "Name".to_owned()
        } else {
            label_of(typed, field)
        },
        words: words.to_owned(),
    });
    Drawn {
        touched: Fragment::default(),
        elevation: sheet.map(|s| drawn(&draw::elevation(s, &look(900.0)))),
        small: sheet.map(|s| drawn(&draw::elevation(s, &look(360.0)))),
        findings: finding_words(&drawing.findings),
        wrong: wrong.collect(),
        size: sheet.and_then(|s| s.boards.first()).map(|board| {
            let reach =
                |pick: fn(&(f64, f64)) -> f64| board.outline.iter().map(pick).fold(0.0, f64::max);
            let tape = |inches| Tape::of(&shop.wording.rounding.text(inches));
            (tape(reach(|p| p.0)), tape(reach(|p| p.1)))
        }),
        pieces: sheet.map_or(0, |s| s.runs.iter().map(|run| run.pieces.len()).sum()),
    }
}

async fn page(
    app: &AppState,
    me: &Me,
    about: &About,
    form: Form,
    typed: &Typed,
    status: StatusCode,
) -> Result<Response, WebError> {
    let kind = kinds::kind(typed.get("kind"));
    let page = match about {
        About::New { opening } => {
            let place = openings::place(app.db().read(), *opening).await?;
            me.page("Draw a head")
                .under(format!("/jobs/{}", place.job), place.job_code)
                .under(format!("/openings/{opening}"), place.mark)
        }
        About::Old { head } => {
            let place = &head.card.place;
            let page = me
                .page(format!("Change the design of {}", head.card.name))
                .under(format!("/jobs/{}", place.job), place.job_code.as_str())
                .under(
                    format!("/heads/{}", head.card.id),
                    format!("{} {}", place.mark, head.card.name),
                );
            super::block(app, head, page)
        }
    };
    let cut = match about {
        About::New { .. } => 0,
        About::Old { head } => {
            let (id, version) = (head.card.id, head.card.sheet_version);
            bench::ticks(app.db().read(), id, version).await?.len()
        }
    };
    let proportion = suggestions(app, about, typed).await?;
    let view = DesignPage {
        cut,
        proportion,
        draw: format!("{}/draw", about.action()),
        says: kind.map_or("", |k| k.says),
        kinds: forms::kind_choices(),
        units: forms::unit_choices(),
        groups: forms::groups(typed, &Shelf::of(app, typed).await?),
        kept: forms::kept(typed),
        drawn: Fragment::of(&drawn_part(app, about, typed).await?)?,
        save: if matches!(about, About::New { .. }) {
            "Put this head down"
        } else {
            "Save the design"
        },
        page,
        form,
    };
    html(status, &view)
}
