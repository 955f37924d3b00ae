//! The gang order: the cuts of several heads, setting by setting.

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Response;

use super::may;
use super::sheet::choices;
use crate::access::{Me, Reach, Thing};
use crate::firm::{self, Saw, SawId};
use crate::heads::dials::Dials;
use crate::heads::model::{Card, Head, HeadId};
use crate::heads::orders::{CutLine, GroupWords, OrderWords, ordered};
use crate::heads::shop::{Shop, solved};
use crate::heads::store::{self, Filter, bench};
use crate::trim::sheet::Sheet;
use crate::trim::solve::{gang_order, saw_moves_of};
use crate::web::{AppState, Choice, Form, Page, WebError, ok};

/// The most heads ganged at once: a day's work, and a page that prints.
const MOST: usize = 24;
/// The most heads to choose from.
const CHOICE: i64 = 200;

/// A head to choose.
struct Pick {
    id: HeadId,
    words: String,
    step: String,
    chosen: bool,
}

/// One cut with its head and its tick.
struct Line {
    cut: CutLine,
    mark: String,
    head: HeadId,
    sheet_version: i64,
    nth: usize,
    /// Whether the piece is finished by this cut.
    last: bool,
    done: Option<String>,
    may_tick: bool,
}

/// One setting.
struct Setting {
    words: GroupWords,
    lines: Vec<Line>,
}

/// The heads ganged, solved.
struct Ganged {
    heads: Vec<Head>,
    sheets: Vec<Sheet>,
    /// Names of those that cannot be made as drawn.
    left_out: Vec<String>,
}

#[derive(Template)]
#[template(path = "heads/gang.html")]
struct GangPage {
    page: Page,
    picks: Vec<Pick>,
    job: String,
    saw: Saw,
    saws: Vec<Choice>,
    left_out: Vec<String>,
    settings: Vec<Setting>,
    order: OrderWords,
    heads: usize,
    pieces: usize,
    one_by_one: usize,
    form: Form,
    back: String,
}

/// What is asked for: a job, heads, a saw.
struct Asked {
    job: Option<i64>,
    heads: Vec<HeadId>,
    saw: Option<SawId>,
}

impl Asked {
    fn of(pairs: &[(String, String)]) -> Result<Self, WebError> {
        let all = |name: &'static str| {
            let named = pairs.iter().filter(move |(n, _)| n == name);
            named.filter_map(|(_, value)| value.parse::<i64>().ok())
        };
        let mut heads: Vec<HeadId> = Vec::new();
        for id in all("head").map(HeadId::new) {
            if !heads.contains(&id) {
                heads.push(id);
            }
        }
        if heads.len() > MOST {
            return Err(WebError::BadRequest(format!(
                "{} heads were chosen; at most {MOST} are ganged at once. Choose fewer.",
                heads.len()
            )));
        }
        Ok(Self {
            job: all("job").next(),
            heads,
            saw: all("saw").next().map(SawId::new),
        })
    }

    /// The same as an address's query.
    fn query(&self) -> String {
        let one = |name: &str, number: i64| format!("{name}={number}");
        let job = self.job.map(|id| one("job", id));
        let saw = self.saw.map(|id| one("saw", id.get()));
        let heads = self.heads.iter().map(|id| one("head", id.get()));
        heads.chain(job).chain(saw).collect::<Vec<_>>().join("&")
    }
}

/// GET `/heads/gang`.
///
/// # Errors
/// `Missing` for a head that is not this person's to see, the database's.
pub async fn page(
    State(app): State<AppState>,
    me: Me,
    Query(pairs): Query<Vec<(String, String)>>,
) -> Result<Response, WebError> {
    let asked = Asked::of(&pairs)?;
    let pool = app.db().read();
    let saw = match asked.saw {
        Some(id) => firm::saw(pool, id).await?,
        None => firm::saw_of(pool, me.id).await?,
    };
    let shop = Shop::at(&saw, &app.firm());
    let dials = Dials(firm::tests_of(pool, saw.id).await?);
    let ganged = ganged(&app, &me, &asked, &shop).await?;
    let sheets: Vec<&Sheet> = ganged.sheets.iter().collect();
    let order = ordered(&sheets, &gang_order(&sheets), &shop.wording, &dials);
    let each = sheets.iter().flat_map(|sheet| sheet.gang_order().groups);
    let one_by_one = saw_moves_of(each.map(|group| (group.swing, group.tilt)));
    let pieces = sheets.iter().flat_map(|s| &s.runs).map(|r| r.pieces.len());
    let view = GangPage {
        page: me.page("Gang order").under("/heads", "Heads"),
        picks: picks(&app, &me, &asked).await?,
        job: asked.job.map(|id| id.to_string()).unwrap_or_default(),
        saws: choices(firm::saws(pool).await?, saw.id),
        saw,
        settings: settings(&app, &me, &ganged, &order).await?,
        left_out: ganged.left_out,
        heads: ganged.heads.len(),
        pieces: pieces.sum(),
        one_by_one,
        order,
        form: me.form(&app, "/heads")?,
        back: asked.query(),
    };
    ok(&view)
}

/// The live heads that this person may see the sheets of.
async fn picks(app: &AppState, me: &Me, asked: &Asked) -> Result<Vec<Pick>, WebError> {
    let filter = Filter {
        like: "%".to_owned(),
        job: asked.job,
        only_for: (me.reach == Reach::Assigned).then(|| me.id.get()),
        led_by: (me.reach == Reach::Own).then(|| me.id.get()),
        ..Filter::default()
    };
    let mut picks = Vec::new();
    for card in store::list(app.db().read(), &filter, (CHOICE, 0)).await? {
        if may(app, me, me.reach, card.id).await? {
            picks.push(Pick {
                id: card.id,
                words: words(&card),
                chosen: asked.heads.contains(&card.id),
                step: card.step_name,
            });
        }
    }
    Ok(picks)
}

fn words(card: &Card) -> String {
    let place = &card.place;
    format!("{} {} · {}", place.job_code, place.mark, card.name)
}

async fn ganged(app: &AppState, me: &Me, asked: &Asked, shop: &Shop) -> Result<Ganged, WebError> {
    let mut ganged = Ganged {
        heads: Vec::new(),
        sheets: Vec::new(),
        left_out: Vec::new(),
    };
    for id in &asked.heads {
        let head = store::head(app.db().read(), *id).await?;
        if !may(app, me, me.reach, *id).await? {
            return Err(WebError::Missing);
        }
        let (_, sheet) = solved(&head.design, head.as_built.as_ref(), shop)
            .map_err(|wrong| WebError::internal(format!("head {id}: stored design: {wrong}")))?;
        if sheet.can_be_made() {
            ganged.heads.push(head);
            ganged.sheets.push(sheet);
        } else {
            ganged.left_out.push(words(&head.card));
        }
    }
    Ok(ganged)
}

/// A head's ticks: label, and by whom and when.
type Ticked = Vec<(String, String)>;

async fn settings(
    app: &AppState,
    me: &Me,
    ganged: &Ganged,
    order: &OrderWords,
) -> Result<Vec<Setting>, WebError> {
    let zone = app.firm().zone;
    let mut ticked: Vec<(Ticked, bool)> = Vec::with_capacity(ganged.heads.len());
    for head in &ganged.heads {
        let id = head.card.id;
        let ticks = bench::ticks(app.db().read(), id, head.card.sheet_version).await?;
        let said = ticks.into_iter().map(|tick| {
            let who = tick.who.as_deref().unwrap_or("somebody");
            (tick.label, format!("{who}, {}", tick.at.local(zone)))
        });
        let may_tick = super::may_write(app, me, Thing::Ticks, id).await?;
        ticked.push((said.collect(), may_tick));
    }
    let mut nth = 0;
    let mut line = |cut: &CutLine| {
        let head = ganged.heads.get(cut.sheet)?;
        let (ticks, may_tick) = ticked.get(cut.sheet)?;
        nth += 1;
        let done = ticks.iter().find(|(label, _)| *label == cut.label);
        Some(Line {
            mark: head.card.place.mark.clone(),
            head: head.card.id,
            sheet_version: head.card.sheet_version,
            nth,
            last: cut.stop.is_some(),
            done: done.map(|(_, who)| who.clone()),
            may_tick: *may_tick,
            cut: cut.clone(),
        })
    };
    let setting = |group: &GroupWords| Setting {
        lines: group.cuts.iter().filter_map(&mut line).collect(),
        words: group.clone(),
    };
    Ok(order.groups.iter().map(setting).collect())
}
