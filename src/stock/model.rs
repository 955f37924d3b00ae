//! What is sold and what lies on the rack.

use crate::db::Stamp;
use crate::measure::{Length, Money, Unit};
use crate::{choices, record_id};

record_id! {
    /// Whoever sells it.
    pub SupplierId
}
record_id! {
    /// A board or a moulding of the shelf.
    pub StockItemId
}
record_id! {
    /// One length that one supplier sells.
    pub StockLengthId
}
record_id! {
    /// One stick on the rack.
    pub OffcutId
}

choices! {
    /// What kind of stock.
    pub StockForm {
        /// Has a profile.
        Moulding = "moulding", "Moulding";
        /// Rectangular.
        Board = "board", "Board";
    }
}

choices! {
    /// Which ways round a piece may be taken from the stick.
    pub Flip {
        /// A moulding with a top and a bottom.
        Fixed = "fixed", "One way only";
        /// Alike on both edges.
        Turn = "turn", "May be turned end for end";
        /// Two good faces as well.
        Any = "any", "Any way, either face";
    }
}

choices! {
    /// What happened to a stick on the rack.
    pub StockMove {
        /// Put there.
        Racked = "racked", "put on the rack";
        /// Spoken for by an order.
        Reserved = "reserved", "reserved";
        /// Free again.
        Released = "released", "free again";
        /// Cut up.
        Used = "used", "used";
        /// Thrown away.
        Scrapped = "scrapped", "scrapped";
    }
}

impl StockMove {
    /// Where a stick stands after this.
    #[must_use]
    pub const fn state(self) -> RackState {
        match self {
            Self::Racked | Self::Released => RackState::Free,
            Self::Reserved => RackState::Reserved,
            Self::Used => RackState::Used,
            Self::Scrapped => RackState::Scrapped,
        }
    }
}

choices! {
    /// Where a stick of the rack stands.
    pub RackState {
        /// Anyone may take it.
        Free = "free", "free";
        /// An order counts on it.
        Reserved = "reserved", "reserved";
        /// It is gone into work.
        Used = "used", "used";
        /// It is thrown away.
        Scrapped = "scrapped", "scrapped";
    }
}

impl RackState {
    /// The shape beside the word.
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::Free => "wait",
            Self::Reserved => "now",
            Self::Used => "done",
            Self::Scrapped => "none",
        }
    }

    /// The sign beside the word.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Free => "○",
            Self::Reserved => "◐",
            Self::Used => "✓",
            Self::Scrapped => "✗",
        }
    }
}

/// A supplier as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SupplierFacts {
    /// Name, unique.
    pub name: String,
    /// Telephone as typed.
    pub phone: String,
    /// Account number, hours, delivery.
    pub note: String,
}

/// A supplier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Supplier {
    /// Which.
    pub id: SupplierId,
    /// As typed.
    pub facts: SupplierFacts,
    /// Goes up with every change.
    pub version: i64,
    /// When it was put away.
    pub archived_at: Option<Stamp>,
}

/// A board or moulding as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemFacts {
    /// Name, unique.
    pub name: String,
    /// Moulding or board.
    pub form: StockForm,
    /// Species or stuff.
    pub material: String,
    /// The section in words.
    pub section: String,
    /// Row of the drawn section, where there is one.
    pub drawn: Option<i64>,
    /// Nominal size in words, such as 5/4 x 6.
    pub nominal: String,
    /// Dressed thickness; a moulding's projection.
    pub thickness: Length,
    /// Dressed width; a moulding's height.
    pub width: Length,
    /// Ways round.
    pub flip: Flip,
    /// One visible run takes one mill run only.
    pub match_runs: bool,
    /// A left-over this long goes back to the rack.
    pub keep: Length,
    /// Anything else.
    pub note: String,
}

/// A board or moulding of the shelf.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockItem {
    /// Which.
    pub id: StockItemId,
    /// As typed.
    pub facts: ItemFacts,
    /// Goes up with every change.
    pub version: i64,
    /// When it was put away.
    pub archived_at: Option<Stamp>,
}

/// One length sold, as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sold {
    /// By whom.
    pub supplier: SupplierId,
    /// How long.
    pub length: Length,
    /// For how much each.
    pub price: Money,
    /// Days from the order to the shop.
    pub lead_days: Option<i64>,
}

/// One length sold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockLength {
    /// Which.
    pub id: StockLengthId,
    /// As typed.
    pub sold: Sold,
    /// The supplier's name.
    pub supplier_name: String,
}

impl StockLength {
    /// Its length for people.
    #[must_use]
    pub fn long(&self) -> String {
        long_words(self.sold.length)
    }
}

/// A bad stretch, from and to measured from the stick's left end.
pub type Defect = (Length, Length);

/// A stick on the rack as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OffcutFacts {
    /// Of what.
    pub item: StockItemId,
    /// How long.
    pub length: Length,
    /// Ripped to this width; none for the item's own.
    pub width: Option<Length>,
    /// Where it lies.
    pub place: String,
    /// Row of the job it is kept for.
    pub job: Option<i64>,
    /// Its mill run; empty when nobody knows.
    pub batch: String,
    /// Its bad stretches, in order, apart from each other.
    pub defects: Vec<Defect>,
    /// Anything else.
    pub note: String,
}

/// A stick on the rack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offcut {
    /// Which.
    pub id: OffcutId,
    /// As typed.
    pub facts: OffcutFacts,
    /// What it is of.
    pub item_name: String,
    /// Code of the job it is kept for.
    pub job_code: Option<String>,
    /// Where it stands.
    pub state: RackState,
    /// The order that reserved or used it.
    pub order: Option<i64>,
    /// Goes up with every change.
    pub version: i64,
}

impl Offcut {
    /// What is written on the stick: R and its number.
    #[must_use]
    pub fn code(&self) -> String {
        format!("R{}", self.id)
    }

    /// Its length for people.
    #[must_use]
    pub fn long(&self) -> String {
        long_words(self.facts.length)
    }
}

/// One thing that happened to a stick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoveRow {
    /// When.
    pub at: Stamp,
    /// By whom, by name.
    pub who: Option<String>,
    /// What.
    pub what: StockMove,
    /// For which order.
    pub order: Option<i64>,
    /// Why.
    pub reason: String,
}

/// A length for people: `12 ft` where it is whole feet, else exact.
#[must_use]
pub fn long_words(length: Length) -> String {
    let foot = Unit::Foot.nanometres();
    let nm = length.nanometres();
    if nm % foot == 0 && nm >= 2 * foot {
        format!("{} ft", nm / foot)
    } else {
        length.to_string()
    }
}

/// Bad stretches as typed: `12 - 14 1/2; 30 - 31`.
#[must_use]
pub fn defects_text(defects: &[Defect], unit: Unit) -> String {
    let one = |(from, to): &Defect| format!("{} to {}", from.exact(unit), to.exact(unit));
    defects.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// Reads bad stretches: each from *to* to, `;` between them.
///
/// # Errors
/// What is wrong, for the person who typed it.
pub fn parse_defects(text: &str, length: Length, unit: Unit) -> Result<Vec<Defect>, String> {
    let mut out: Vec<Defect> = Vec::new();
    for part in text.split(';').map(str::trim).filter(|p| !p.is_empty()) {
        let (from, to) = part.split_once("to").ok_or_else(|| {
            format!("“{part}”: write each bad stretch as from to to, such as 12 to 14 1/2; more of them with ; between.")
        })?;
        let read = |text: &str| Length::parse(text.trim(), unit).map_err(|e| e.to_string());
        let (from, to) = (read(from)?, read(to)?);
        if from < Length::ZERO || to <= from || to > length {
            return Err(format!(
                "“{part}”: a bad stretch lies within the stick and ends after it begins."
            ));
        }
        out.push((from, to));
    }
    if out.len() > 20 {
        return Err("At most 20 bad stretches; a stick with more is scrap.".into());
    }
    out.sort();
    if out.windows(2).any(|w| matches!(w, [a, b] if b.0 < a.1)) {
        return Err("Two bad stretches overlap: write them as one.".into());
    }
    Ok(out)
}
