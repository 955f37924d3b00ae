//! From chosen heads to what the solver is asked: one request for each
//! moulding or board.

use std::collections::{BTreeMap, HashSet};

use serde_json::{Value, json};

use crate::cutting::takeoff::{self, Group, Needed, Stuff, Yield};
use crate::measure::Length;
use crate::stock::{Offcut, StockForm, StockItem, StockLength, long_words};

use super::model::{PieceRef, Request, SoldRef, StockRef};

/// A chosen head with what it takes.
#[derive(Debug, Clone)]
pub struct Taken {
    /// Its row.
    pub id: i64,
    /// Row of its job.
    pub job: i64,
    /// Job code and mark: `SM W1`.
    pub code: String,
    /// Its name.
    pub name: String,
    /// The version of its sheet.
    pub sheet_version: i64,
    /// Its pieces.
    pub pieces: Vec<Needed>,
}

/// What the order and the saw lay down.
#[derive(Debug, Clone, Copy)]
pub struct Terms {
    /// What the blade eats.
    pub kerf: Length,
    /// Squared off each end.
    pub end_trim: Length,
    /// What the waste rule adds, per cent.
    pub spare: i64,
}

/// The item of the shelf, what is sold of it and what lies on the rack.
pub struct Source<'a> {
    /// The board or moulding.
    pub item: &'a StockItem,
    /// Lengths sold.
    pub sold: Vec<StockLength>,
    /// Free sticks.
    pub rack: Vec<Offcut>,
}

/// An item as the take-off sees it.
#[must_use]
pub fn stuff(item: &StockItem) -> Stuff {
    Stuff {
        moulding: item.facts.form == StockForm::Moulding,
        thickness: item.facts.thickness,
        width: item.facts.width,
    }
}

/// A label of its own for every piece: the head's code, its row where two
/// heads share the code, and the piece's label.
fn labels(heads: &[Taken]) -> Vec<String> {
    let mut count: BTreeMap<&str, u32> = BTreeMap::new();
    for head in heads {
        *count.entry(&head.code).or_default() += 1;
    }
    heads
        .iter()
        .map(|head| match count.get(head.code.as_str()) {
            Some(1) | None => head.code.clone(),
            Some(_) => format!("{} #{}", head.code, head.id),
        })
        .collect()
}

/// What the solver is asked for one group out of one item; none if the item
/// does not suit the group.
#[must_use]
pub fn request(
    group: &Group,
    heads: &[Taken],
    source: &Source<'_>,
    terms: &Terms,
) -> Option<Request> {
    let facts = &source.item.facts;
    let how = takeoff::yields(&group.shape, stuff(source.item), facts.width, terms.kerf)?;
    let mut out = Lines::default();
    pieces(group, heads, (how, facts.match_runs), &mut out);
    spares(terms.spare, &mut out);
    stock(group, heads, source, (how, terms), &mut out);
    let poses = facts.flip.code();
    let mut order = json!({
        "unit": "in",
        "name": group.name,
        "kerf": terms.kerf.to_string(),
        "end_trim": terms.end_trim.to_string(),
        "keep_at_least": facts.keep.to_string(),
        "stock": out.stock,
        "pieces": out.pieces,
        "poses": poses,
    });
    let section = takeoff::section(&group.shape);
    if let (false, Some(map)) = (section.is_empty(), order.as_object_mut()) {
        map.insert("section".into(), json!(section));
    }
    let (_, wide) = takeoff::size(&group.shape);
    let drawn = match how {
        Yield::Strips(_) => wide,
        Yield::GluedUp(parts) => wide / f64::from(parts),
    };
    Some(Request {
        order,
        pieces: out.piece_refs,
        stock: out.stock_refs,
        width_in: drawn,
        match_runs: facts.match_runs,
    })
}

#[derive(Default)]
struct Lines {
    pieces: Vec<Value>,
    piece_refs: Vec<PieceRef>,
    lengths: Vec<Length>,
    stock: Vec<Value>,
    stock_refs: Vec<StockRef>,
}

/// The group's pieces; a board wider than its stock in as many parts as it is
/// glued up from.
fn pieces(group: &Group, heads: &[Taken], (how, runs): (Yield, bool), out: &mut Lines) {
    let codes = labels(heads);
    let mut known = HashSet::new();
    for &(h, p) in &group.pieces {
        let Some((head, code, piece)) = heads
            .get(h)
            .zip(codes.get(h))
            .and_then(|(head, code)| Some((head, code, head.pieces.get(p)?)))
        else {
            continue;
        };
        let parts = match how {
            Yield::Strips(_) => 1,
            Yield::GluedUp(parts) => parts,
        };
        let run = runs.then(|| format!("{} {}", head.id, piece.run));
        for part in 0..parts {
            let mut label = format!("{code} {}", piece.label);
            if parts > 1 {
                label = format!("{label} part {}", part + 1);
            }
            let mut nth = 1;
            while !known.insert(label.clone()) {
                nth += 1;
                label = format!("{code} {} ({nth})", piece.label);
            }
            out.pieces
                .push(takeoff::line(&label, piece, run.as_deref()));
            out.lengths.push(piece.length);
            out.piece_refs.push(PieceRef {
                label,
                head: Some(head.id),
                tick: piece.on_sheet.then(|| piece.label.clone()),
                sheet_version: head.sheet_version,
            });
        }
    }
}

fn spares(per_cent: i64, out: &mut Lines) {
    let (count, length) = takeoff::spares(&out.lengths, per_cent);
    for n in 1..=count.min(1000) {
        let label = format!("spare-{n}");
        out.pieces
            .push(json!({"label": label, "length": length.to_string(), "qty": 1}));
        out.piece_refs.push(PieceRef {
            label,
            head: None,
            tick: None,
            sheet_version: 0,
        });
    }
}

/// Sticks of the rack that these heads may use, then the lengths sold. A stick
/// kept for a job is taken only for an order of that job alone.
fn stock(
    group: &Group,
    heads: &[Taken],
    source: &Source<'_>,
    (how, terms): (Yield, &Terms),
    out: &mut Lines,
) {
    let facts = &source.item.facts;
    let only = heads
        .first()
        .map(|h| h.job)
        .filter(|job| heads.iter().all(|h| h.job == *job));
    let strips_of = |width: Length| match (how, width == facts.width) {
        (Yield::GluedUp(_), whole) => whole.then_some(1),
        (Yield::Strips(_), _) => {
            match takeoff::yields(&group.shape, stuff(source.item), width, terms.kerf) {
                Some(Yield::Strips(n)) => Some(n),
                _ => None,
            }
        }
    };
    for stick in &source.rack {
        let width = stick.facts.width.unwrap_or(facts.width);
        let mine = stick.facts.job.is_none() || stick.facts.job == only;
        let Some(strips) = strips_of(width).filter(|_| mine) else {
            continue;
        };
        let bad: Vec<[String; 2]> = stick
            .facts
            .defects
            .iter()
            .map(|(f, t)| [f.to_string(), t.to_string()])
            .collect();
        let strips = if bad.is_empty() { strips } else { 1 };
        let id = stick.code();
        let batch = if stick.facts.batch.is_empty() {
            format!("of {id} alone")
        } else {
            stick.facts.batch.clone()
        };
        let mut line = json!({
            "id": id, "length": stick.facts.length.to_string(), "price_cents": 0, "limit": 1,
            "strips": strips,
        });
        put(&mut line, "defects", (!bad.is_empty()).then(|| json!(bad)));
        put(&mut line, "batch", facts.match_runs.then(|| json!(batch)));
        out.stock.push(line);
        out.stock_refs.push(StockRef {
            id,
            sold: None,
            offcut: Some(stick.id),
            words: long_words(stick.facts.length),
            place: stick.facts.place.clone(),
            batch: stick.facts.batch.clone(),
            ripped_nm: ripped(strips, group).or(stick.facts.width.map(Length::nanometres)),
        });
    }
    let strips = strips_of(facts.width).unwrap_or(1);
    for length in &source.sold {
        let sold = &length.sold;
        let id = format!("{}, {}", length.long(), length.supplier_name);
        let mut line = json!({
            "id": id, "length": sold.length.to_string(), "price_cents": sold.price.cents(),
            "strips": strips,
        });
        let batch = format!("new from {}", length.supplier_name);
        put(&mut line, "batch", facts.match_runs.then(|| json!(batch)));
        out.stock.push(line);
        out.stock_refs.push(StockRef {
            id,
            words: length.long(),
            place: String::new(),
            batch: String::new(),
            offcut: None,
            ripped_nm: ripped(strips, group),
            sold: Some(SoldRef {
                id: length.id,
                supplier: sold.supplier,
                supplier_name: length.supplier_name.clone(),
                length_nm: sold.length.nanometres(),
                price_cents: sold.price.cents(),
                lead_days: sold.lead_days,
            }),
        });
    }
}

/// The width of the strips, where a stick is ripped.
fn ripped(strips: u32, group: &Group) -> Option<i64> {
    let (_, wide) = takeoff::size(&group.shape);
    let length = Length::from_f64(wide, crate::measure::Unit::Inch).ok()?;
    (strips > 1).then(|| length.nanometres())
}

fn put(line: &mut Value, key: &str, value: Option<Value>) {
    if let (Some(map), Some(value)) = (line.as_object_mut(), value) {
        map.insert(key.into(), value);
    }
}
