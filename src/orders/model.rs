//! Lumber orders as the program knows them: what was asked and what came out,
//! both frozen as JSON.

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::db::Stamp;
use crate::measure::{Length, Money};
use crate::record_id;
use crate::stock::{OffcutId, StockItemId, StockLengthId, SupplierId};

record_id! {
    /// A lumber order.
    pub OrderId
}
record_id! {
    /// One moulding or board worked out.
    pub SolveId
}

/// A lumber order as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderFacts {
    /// What people call it.
    pub name: String,
    /// What the waste rule adds, per cent of each length.
    pub spare: i64,
    /// Squared off each end of a stick.
    pub end_trim: Length,
    /// Longest search for one moulding.
    pub seconds: i64,
    /// Rows of the heads.
    pub heads: Vec<i64>,
}

/// A lumber order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LumberOrder {
    /// Which.
    pub id: OrderId,
    /// As typed.
    pub facts: OrderFacts,
    /// When it was begun.
    pub at: Stamp,
    /// By whom, by name.
    pub by: Option<String>,
    /// The last round worked out; 0 for none.
    pub round: i64,
    /// Placed: with which round, when, which event.
    pub placed: Option<Placed>,
}

/// How an order is placed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    /// Row of the event.
    pub event: i64,
    /// The round that was bought.
    pub round: i64,
    /// When.
    pub at: Stamp,
    /// By whom, by name.
    pub by: Option<String>,
}

/// An order as a list shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderCard {
    /// Which.
    pub id: OrderId,
    /// Its name.
    pub name: String,
    /// When it was begun.
    pub at: Stamp,
    /// How many heads.
    pub heads: i64,
    /// Codes of its jobs.
    pub jobs: String,
    /// The last round worked out.
    pub round: i64,
    /// Whether it is placed.
    pub placed: bool,
}

/// A head that an order may take in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choosable {
    /// Its row.
    pub id: i64,
    /// Its job's row.
    pub job: i64,
    /// Code and title of the job.
    pub job_words: String,
    /// Mark of the opening.
    pub mark: String,
    /// Its name.
    pub name: String,
    /// The step it stands at.
    pub step: String,
    /// It is in an order that was placed.
    pub ordered: bool,
}

/// One moulding or board as it was asked: frozen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Request {
    /// The contract's order.
    pub order: Value,
    /// Its pieces' origin, in their order.
    pub pieces: Vec<PieceRef>,
    /// Its stock's origin, in its order.
    pub stock: Vec<StockRef>,
    /// Dressed width of the item, for the drawing, inches.
    pub width_in: f64,
    /// Whether mill runs are kept apart.
    pub match_runs: bool,
}

/// Where a piece of an order comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PieceRef {
    /// Its label in the order.
    pub label: String,
    /// Row of its head; none for a spare.
    pub head: Option<i64>,
    /// Its label on the head's sheet, where it is to be ticked.
    pub tick: Option<String>,
    /// The version of that sheet.
    pub sheet_version: i64,
}

/// Where a stick of an order comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StockRef {
    /// Its id in the order.
    pub id: String,
    /// The length sold; none for a stick of the rack.
    pub sold: Option<SoldRef>,
    /// The stick of the rack; none for one to buy.
    pub offcut: Option<OffcutId>,
    /// Its length in words.
    pub words: String,
    /// Where it lies, for a stick of the rack.
    pub place: String,
    /// Its mill run, where known.
    pub batch: String,
    /// Width of its strips when ripped, nanometres; none for its own width.
    pub ripped_nm: Option<i64>,
}

/// A length as it was sold when the order was asked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SoldRef {
    /// Row of the length.
    pub id: StockLengthId,
    /// By whom.
    pub supplier: SupplierId,
    /// The supplier's name.
    pub supplier_name: String,
    /// How long, nanometres.
    pub length_nm: i64,
    /// Cents each.
    pub price_cents: i64,
    /// Days from the order to the shop.
    pub lead_days: Option<i64>,
}

/// What came out, frozen: the contract's plan and what the pages need beside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Outcome {
    /// The plan.
    pub plan: Plan,
    /// Slopes (left u, v, right u, v) of each cut as it lies, stick by stick.
    #[serde(default)]
    pub ends: Vec<Vec<[f64; 4]>>,
    /// Cost with every mitre kept apart, where it was proven.
    #[serde(default)]
    pub flat_cents: Option<i64>,
    /// Whether the pieces have mitred ends at all.
    #[serde(default)]
    pub mitred: bool,
}

/// The contract's plan, read back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// optimal, feasible, infeasible or unknown.
    pub status: String,
    /// Which goals are proven.
    pub proven: Vec<String>,
    /// Its cost.
    pub cost_cents: Option<i64>,
    /// No order costs less.
    pub bound_cents: Option<i64>,
    /// The sticks.
    pub sticks: Vec<PlanStick>,
    /// What is taken of each stock line.
    pub buy: Vec<PlanBuy>,
    /// Waste, inches.
    pub waste_in: Option<f64>,
    /// What goes back to the rack, inches.
    pub kept_in: f64,
    /// What is proven, in words.
    #[serde(default)]
    pub gap_text: String,
    /// Findings.
    #[serde(default)]
    pub findings: Vec<PlanFinding>,
    /// How long it took.
    #[serde(default)]
    pub elapsed_ms: f64,
}

impl Plan {
    /// Whether there is something to buy and cut.
    #[must_use]
    pub fn has_plan(&self) -> bool {
        self.status == "optimal" || self.status == "feasible"
    }
}

/// One stick.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanStick {
    /// Id of its stock line.
    pub stock: String,
    /// Its cuts.
    pub cuts: Vec<PlanCut>,
    /// What is left over.
    pub left_over_in: f64,
    /// Of each strip of a ripped stick.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left_overs_in: Vec<f64>,
}

impl PlanStick {
    /// What is left over of each strip, inches.
    #[must_use]
    pub fn left_overs(&self) -> Vec<f64> {
        if self.left_overs_in.is_empty() {
            vec![self.left_over_in]
        } else {
            self.left_overs_in.clone()
        }
    }
}

/// One cut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlanCut {
    /// The piece.
    pub label: String,
    /// From the stick's left end, inches.
    pub from_in: f64,
    /// To.
    pub to_in: f64,
    /// Turned end for end.
    #[serde(default)]
    pub turned: bool,
    /// Other face up.
    #[serde(default)]
    pub flipped: bool,
    /// Which strip of a ripped stick, from 1.
    #[serde(default)]
    pub strip: Option<u32>,
}

/// So many of a stock line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlanBuy {
    /// Id of the line.
    pub stock: String,
    /// How many.
    pub qty: i64,
}

/// A finding of the plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlanFinding {
    /// error, warning or note.
    pub severity: String,
    /// What and what to do.
    pub text: String,
}

/// How a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// By itself, or at its time limit.
    Ended,
    /// By a person.
    Stopped,
    /// By a fault of ours; there is no plan.
    Failed,
}

impl How {
    /// As stored.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Ended => "ended",
            Self::Stopped => "stopped",
            Self::Failed => "failed",
        }
    }

    /// From what is stored.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        [Self::Ended, Self::Stopped, Self::Failed]
            .into_iter()
            .find(|how| how.code() == code)
    }
}

/// One moulding or board of an order: asked, and what came out if it has.
#[derive(Debug, Clone, PartialEq)]
pub struct Solve {
    /// Which.
    pub id: SolveId,
    /// What is cut.
    pub name: String,
    /// From what.
    pub item: StockItemId,
    /// The item's name.
    pub item_name: String,
    /// As asked.
    pub request: Request,
    /// What came out; none while it runs, or when the program stopped.
    pub outcome: Option<(How, Option<Outcome>)>,
}

impl Solve {
    /// The plan, if there is one to buy and cut.
    #[must_use]
    pub fn outcome(&self) -> Option<&Outcome> {
        let (_, outcome) = self.outcome.as_ref()?;
        outcome.as_ref().filter(|o| o.plan.has_plan())
    }

    /// Where a stock line comes from.
    #[must_use]
    pub fn stock(&self, id: &str) -> Option<&StockRef> {
        self.request.stock.iter().find(|s| s.id == id)
    }

    /// Where a piece comes from.
    #[must_use]
    pub fn piece(&self, label: &str) -> Option<&PieceRef> {
        self.request.pieces.iter().find(|p| p.label == label)
    }
}

/// One line of a purchase.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PurchaseLine {
    /// Of what.
    pub item: StockItemId,
    /// Its name.
    pub item_name: String,
    /// How long each.
    pub length: Length,
    /// How many.
    pub qty: i64,
    /// Each.
    pub price: Money,
    /// Days from the order to the shop.
    pub lead_days: Option<i64>,
    /// One mill run is asked for.
    pub match_runs: bool,
}

impl PurchaseLine {
    /// Its length for people.
    #[must_use]
    pub fn long(&self) -> String {
        crate::stock::long_words(self.length)
    }

    /// What the line comes to.
    #[must_use]
    pub fn sum(&self) -> Money {
        self.price.checked_mul(self.qty).unwrap_or_default()
    }
}

/// What is bought of one supplier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Purchase {
    /// Its row.
    pub id: i64,
    /// The supplier's name.
    pub supplier_name: String,
    /// The supplier's telephone.
    pub phone: String,
    /// Its lines.
    pub lines: Vec<PurchaseLine>,
}

impl Purchase {
    /// What it comes to.
    #[must_use]
    pub fn sum(&self) -> Money {
        let cents = self.lines.iter().map(|l| l.sum().cents()).sum();
        Money::from_cents(cents)
    }
}
