//! An order's page: the take-off with what each is cut from, then what came
//! out for each moulding.

use askama::Template;
use axum::http::StatusCode;
use axum::response::Response;

use super::one::desk;
use super::{block, changed, groups, money, taken};
use crate::access::Me;
use crate::cutting::takeoff::{self, Group};
use crate::measure::{Length, Rounding, Unit};
use crate::orders::build::{Taken, stuff};
use crate::orders::draw::{self, Drawn, PHONE, SHEET, picture};
use crate::orders::hooks::held;
use crate::orders::model::{How, LumberOrder, OrderId, Outcome, PlanStick, Solve};
use crate::orders::store::{self, plans};
use crate::stock::{self, StockItem};
use crate::web::{AppState, Choice, Errors, Form, Page, Svg, WebError, html};

/// One group of the take-off.
struct GroupRow {
    key: String,
    name: String,
    count: usize,
    length: String,
    area: String,
    items: Vec<Choice>,
    chosen: String,
    pieces: Vec<PieceRow>,
}

/// One piece, traced to its head.
struct PieceRow {
    head: i64,
    code: String,
    head_name: String,
    label: String,
    length: String,
    ends: &'static str,
}

/// One cut of a stick, in words.
pub(super) struct CutRow {
    pub nth: usize,
    pub label: String,
    pub length: String,
    pub from: String,
    pub notes: String,
    pub mine: bool,
}

/// One stick of the plan.
pub(super) struct StickRow {
    pub nth: usize,
    pub stock: String,
    pub place: String,
    pub picture: Svg,
    pub small: Svg,
    pub cuts: Vec<CutRow>,
    pub left: String,
    pub kept: bool,
    pub done: Option<String>,
}

struct BuyRow {
    words: String,
    from: String,
    qty: i64,
    each: String,
    sum: String,
}

/// One moulding worked out.
struct SolveRow {
    id: i64,
    name: String,
    item: String,
    standing: String,
    found: bool,
    needs_hand: bool,
    cost: String,
    proof: String,
    waste: String,
    kept: String,
    nesting: String,
    findings: Vec<String>,
    buy: Vec<BuyRow>,
    sticks: Vec<StickRow>,
    seconds: String,
}

#[derive(Template)]
#[template(path = "orders/one.html")]
struct One {
    page: Page,
    order: LumberOrder,
    heads: Vec<(i64, String)>,
    groups: Vec<GroupRow>,
    solves: Vec<SolveRow>,
    total: String,
    all_proven: bool,
    running: bool,
    ready: bool,
    wrong: Vec<String>,
    changed: Vec<String>,
    /// Why it cannot be placed yet.
    held: Vec<String>,
    ask: Form,
    stop: Form,
    place: Form,
    back: Form,
    placed: String,
    end_trim: String,
}

/// Whether a solve is being worked out or waits for its turn.
pub(super) fn runs(app: &AppState, solve: &Solve) -> bool {
    solve.outcome.is_none() && desk(app).is_ok_and(|desk| desk.told(solve.id).is_some())
}

/// Where a solve stands, in words.
pub(super) fn standing(app: &AppState, solve: &Solve) -> String {
    match &solve.outcome {
        Some((How::Ended, _)) => "worked out".into(),
        Some((How::Stopped, _)) => "stopped, with the best so far".into(),
        Some((How::Failed, _)) => "could not be worked out; this is a fault of the program".into(),
        None => match desk(app).ok().and_then(|desk| desk.told(solve.id)) {
            Some(told) => match (told.begun, told.best) {
                (None, _) => "waits for its turn".into(),
                (Some(at), best) => {
                    let spent = app.now().since(at).as_secs();
                    let best = match best {
                        Some((cost, bound)) if bound > 0 => {
                            format!("; best so far {}, none under {}", money(cost), money(bound))
                        }
                        Some((cost, _)) => format!("; best so far {}", money(cost)),
                        None => String::new(),
                    };
                    format!("being worked out for {spent} s{best}")
                }
            },
            None => "broken off when the program stopped: work it out again".into(),
        },
    }
}

/// The order's page; with what is wrong, if something is.
///
/// # Errors
/// `Missing`; the database's.
pub(super) async fn page(
    app: &AppState,
    me: &Me,
    id: OrderId,
    wrong: Errors,
) -> Result<Response, WebError> {
    let pool = app.db().read();
    let order = store::order(pool, id).await?;
    let (heads, kerf) = taken(app, &order).await?;
    let round = order.placed.as_ref().map_or(order.round, |p| p.round);
    let solved = plans::solves(pool, id, round).await?;
    let cut = plans::cut_sticks(pool, id, round).await?;
    // What was just refused says so itself.
    let kept_back = if order.placed.is_none() && wrong.is_empty() {
        held(app, &order).await?
    } else {
        Vec::new()
    };
    let items = stock::live_items(pool).await?;
    let rows = groups(&heads);
    let rows = rows
        .iter()
        .map(|group| group_row(group, &heads, (&items, kerf), &solved));
    let (zone, rounding) = (app.firm().zone, app.firm().rounding);
    let form = |what: &str| me.form(app, format!("/orders/{id}/{what}"));
    let words: Vec<String> = wrong.iter().map(|(_, words)| words.to_owned()).collect();
    let total = solved
        .iter()
        .filter_map(|s| s.outcome()?.plan.cost_cents)
        .sum();
    let view = One {
        page: block(
            app,
            &order,
            me.page(&order.facts.name).under("/orders", "Orders"),
        ),
        heads: heads
            .iter()
            .map(|h| (h.id, format!("{} {}", h.code, h.name)))
            .collect(),
        groups: rows.collect(),
        total: money(total),
        all_proven: solved
            .iter()
            .all(|s| s.outcome().is_some_and(|o| o.plan.status == "optimal")),
        running: solved.iter().any(|s| runs(app, s)),
        ready: !solved.is_empty() && solved.iter().all(|s| s.outcome().is_some()),
        solves: solved
            .iter()
            .map(|solve| {
                let sticks = sticks(
                    solve,
                    |nth| cut.get(&(solve.id, nth)).cloned(),
                    (&[], rounding),
                );
                solve_row(app, solve, sticks)
            })
            .collect(),
        ask: form("solve")?,
        stop: form("stop")?,
        place: form("place")?,
        back: form("back")?,
        placed: order.placed.as_ref().map_or_else(String::new, |p| {
            let who = p.by.as_deref().unwrap_or("somebody");
            format!("{who}, {}", p.at.local(zone))
        }),
        end_trim: order.facts.end_trim.to_string(),
        order,
        held: kept_back,
        changed: changed(app, &solved).await?,
        wrong: words,
    };
    let status = if view.wrong.is_empty() {
        StatusCode::OK
    } else {
        StatusCode::UNPROCESSABLE_ENTITY
    };
    html(status, &view)
}

fn group_row(
    group: &Group,
    heads: &[Taken],
    (items, kerf): (&[StockItem], Length),
    solved: &[Solve],
) -> GroupRow {
    let suits: Vec<&StockItem> = items
        .iter()
        .filter(|i| takeoff::yields(&group.shape, stuff(i), i.facts.width, kerf).is_some())
        .collect();
    let choices: Vec<_> = suits.iter().map(|i| stuff(i)).collect();
    let best = takeoff::best_stuff(&group.shape, &choices, kerf).and_then(|i| suits.get(i));
    // What was chosen last time stays.
    let before = solved.iter().find(|s| s.name == group.name).map(|s| s.item);
    let chosen = before.or(best.map(|i| i.id));
    let none = Choice::new("", "not in this order");
    let choice = |i: &&StockItem| {
        let how = takeoff::yields(&group.shape, stuff(i), i.facts.width, kerf);
        let words = match how {
            Some(takeoff::Yield::Strips(n)) if n > 1 => {
                format!("{}, ripped into {n}", i.facts.name)
            }
            Some(takeoff::Yield::GluedUp(n)) => format!("{}, glued up from {n}", i.facts.name),
            _ => i.facts.name.clone(),
        };
        Choice::new(i.id, words)
    };
    GroupRow {
        key: group.key.clone(),
        name: group.name.clone(),
        count: group.pieces.len(),
        length: feet(group.length),
        area: group
            .area
            .map_or_else(String::new, |a| format!("{a:.1} sq ft")),
        items: std::iter::once(none)
            .chain(suits.iter().map(choice))
            .collect(),
        chosen: chosen.map_or_else(String::new, |id| id.to_string()),
        pieces: group
            .pieces
            .iter()
            .filter_map(|&(h, p)| {
                let head = heads.get(h)?;
                let piece = head.pieces.get(p)?;
                let square = |e: crate::cutting::EndCut| e.per_u.abs() + e.per_v.abs() < 1e-9;
                Some(PieceRow {
                    head: head.id,
                    code: head.code.clone(),
                    head_name: head.name.clone(),
                    label: piece.label.clone(),
                    length: piece.length.to_string(),
                    ends: match (square(piece.left), square(piece.right)) {
                        (true, true) => "square",
                        (false, true) => "left end cut",
                        (true, false) => "right end cut",
                        (false, false) => "both ends cut",
                    },
                })
            })
            .collect(),
    }
}

/// A sum of lengths in feet, to a tenth.
fn feet(length: Length) -> String {
    format!("{:.1} ft", length.in_unit(Unit::Foot))
}

/// The sticks of a plan; `done` says who cut one, `mine` which heads are the
/// reader's own, `rounding` how the firm words lengths.
pub(super) fn sticks(
    solve: &Solve,
    done: impl Fn(i64) -> Option<String>,
    (mine, rounding): (&[i64], Rounding),
) -> Vec<StickRow> {
    let Some(outcome) = solve.outcome() else {
        return Vec::new();
    };
    let Ok(order) = crate::cutting::from_json(&solve.request.order) else {
        return Vec::new();
    };
    let lengths = |id: &str| order.stock.iter().find(|s| s.id == id);
    let used = outcome.plan.sticks.iter().filter_map(|s| lengths(&s.stock));
    let longest = used.map(|s| s.length.inches()).fold(1.0, f64::max);
    let keep = order.keep_at_least.map_or(f64::INFINITY, Length::inches);
    let each = outcome.plan.sticks.iter().enumerate().map(|(i, stick)| {
        let nth = i64::try_from(i + 1).unwrap_or(i64::MAX);
        let line = lengths(&stick.stock);
        let stock = solve.stock(&stick.stock);
        let left = stick.left_overs();
        let drawn = draw::Stick {
            length: line.map_or(0.0, |l| l.length.inches()),
            width: solve.request.width_in,
            strips: left.len(),
            bad: line.map_or_else(Vec::new, |l| {
                let inch = |d: &(Length, Length)| (d.0.inches(), d.1.inches());
                l.defects.iter().map(inch).collect()
            }),
            cuts: cuts(outcome, i, stick),
            section: order.section.clone(),
            longest,
            words: format!("Stick {nth}, {}, {} cuts", stick.stock, stick.cuts.len()),
        };
        StickRow {
            nth: i + 1,
            stock: stick.stock.clone(),
            place: stock.map_or_else(String::new, |s| s.place.clone()),
            picture: picture(&drawn, SHEET),
            small: picture(&drawn, PHONE),
            cuts: cut_rows(solve, stick, (mine, rounding)),
            kept: left.iter().any(|l| *l >= keep),
            left: left
                .iter()
                .map(|l| rounding.text(*l))
                .collect::<Vec<_>>()
                .join(", "),
            done: done(nth),
        }
    });
    each.collect()
}

fn cuts(outcome: &Outcome, stick: usize, of: &PlanStick) -> Vec<Drawn> {
    let ends = outcome.ends.get(stick);
    let cuts = of.cuts.iter().enumerate();
    cuts.map(|(c, cut)| Drawn {
        nth: c + 1,
        from: cut.from_in,
        to: cut.to_in,
        ends: ends.and_then(|e| e.get(c)).copied().unwrap_or_default(),
        strip: cut.strip.map_or(0, |s| s.saturating_sub(1) as usize),
    })
    .collect()
}

fn cut_rows(solve: &Solve, stick: &PlanStick, (mine, rounding): (&[i64], Rounding)) -> Vec<CutRow> {
    let cuts = stick.cuts.iter().enumerate();
    cuts.map(|(c, cut)| {
        let head = solve.piece(&cut.label).and_then(|p| p.head);
        let mut notes = Vec::new();
        if let Some(strip) = cut.strip {
            notes.push(format!("strip {strip}"));
        }
        if cut.turned {
            notes.push("turned end for end".to_owned());
        }
        if cut.flipped {
            notes.push("other face up".to_owned());
        }
        CutRow {
            nth: c + 1,
            label: cut.label.clone(),
            length: rounding.text(cut.to_in - cut.from_in),
            from: rounding.text(cut.from_in),
            notes: notes.join(", "),
            mine: head.is_some_and(|h| mine.contains(&h)),
        }
    })
    .collect()
}

fn buy_rows(solve: &Solve, outcome: &Outcome) -> Vec<BuyRow> {
    let rows = outcome.plan.buy.iter().filter_map(|buy| {
        let stock = solve.stock(&buy.stock)?;
        let each = stock.sold.as_ref().map_or(0, |s| s.price_cents);
        Some(BuyRow {
            words: match stock.offcut {
                Some(_) => format!("{} {}", stock.id, stock.words),
                None => stock.words.clone(),
            },
            from: match &stock.sold {
                Some(sold) => sold.supplier_name.clone(),
                None => format!("the rack: {}", stock.place),
            },
            qty: buy.qty,
            each: money(each),
            sum: money(each.saturating_mul(buy.qty)),
        })
    });
    rows.collect()
}

/// What nesting saved, in words.
fn nesting_words(outcome: &Outcome) -> String {
    match (outcome.mitred, outcome.flat_cents, outcome.plan.cost_cents) {
        (false, ..) => "No mitred ends here.".into(),
        (true, Some(flat), Some(cost)) if flat > cost => format!(
            "Letting mitred ends share cuts saved {}: with every end kept apart it would cost {}.",
            money(flat - cost),
            money(flat)
        ),
        (true, Some(_), _) => "Letting mitred ends share cuts saved nothing here.".into(),
        (true, None, _) => {
            "What sharing the mitred cuts saved was not worked out in the time.".into()
        }
    }
}

fn solve_row(app: &AppState, solve: &Solve, sticks: Vec<StickRow>) -> SolveRow {
    let plan = solve
        .outcome
        .as_ref()
        .and_then(|(_, outcome)| outcome.as_ref())
        .map(|o| &o.plan);
    let found = solve.outcome();
    let running = runs(app, solve);
    let rounding = app.firm().rounding;
    SolveRow {
        id: solve.id.get(),
        name: solve.name.clone(),
        item: solve.item_name.clone(),
        standing: standing(app, solve),
        found: found.is_some(),
        needs_hand: found.is_none() && !running,
        cost: found
            .and_then(|o| o.plan.cost_cents)
            .map_or_else(String::new, money),
        proof: plan.map_or_else(String::new, |p| p.gap_text.clone()),
        waste: found
            .and_then(|o| o.plan.waste_in)
            .map_or_else(String::new, |w| rounding.text(w)),
        kept: plan.map_or_else(String::new, |p| rounding.text(p.kept_in)),
        nesting: found.map_or_else(String::new, nesting_words),
        findings: plan.map_or_else(Vec::new, |p| {
            p.findings.iter().map(|f| f.text.clone()).collect()
        }),
        buy: found.map_or_else(Vec::new, |o| buy_rows(solve, o)),
        sticks,
        seconds: plan.map_or_else(String::new, |p| format!("{:.1} s", p.elapsed_ms / 1000.0)),
    }
}
