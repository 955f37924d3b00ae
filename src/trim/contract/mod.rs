//! The public, stable JSON of a solved head, and its table for people.
//!
//! Lengths end in `_in` (inches, unrounded), angles in `_deg`; every length
//! has a text for people beside it. Fields may be added, never renamed.

mod table;

use serde::Serialize;

use crate::measure::{Rounding, degrees};

use super::cures::Cure;
use super::design::Design;
use super::joint::{Errors, exterior_grade, openings};
use super::sheet::{
    Bend, Block, Board, Cut, Finding, Joint, Piece, PointKind, SectionPoint, Severity, Sheet,
    SolvedRun,
};
use super::solve::Side;
pub use table::table;

/// A sheet in the contract's form.
#[derive(Debug, Serialize)]
pub struct SheetOut<'a> {
    head: &'a str,
    ok: bool,
    findings: Vec<FindingOut<'a>>,
    runs: Vec<RunOut<'a>>,
    boards: Vec<BoardOut<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    bent: Vec<BendOut<'a>>,
    saw_moves: SawMovesOut,
    shortest_walk: WalkOut<'a>,
    joints: Vec<JointOut>,
}

/// A finding in the contract's form.
#[derive(Debug, Serialize)]
pub struct FindingOut<'a> {
    severity: &'static str,
    code: &'a str,
    piece: Option<&'a str>,
    text: &'a str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    cures: Vec<CureOut<'a>>,
}

/// A changed design that closes what the finding is about.
#[derive(Debug, Serialize)]
struct CureOut<'a> {
    cure: &'static str,
    run: Option<&'a str>,
    text: &'a str,
    design: &'a Design,
}

#[derive(Debug, Serialize)]
struct RunOut<'a> {
    name: &'a str,
    pieces: Vec<PieceOut<'a>>,
}

#[derive(Debug, Serialize)]
struct PieceOut<'a> {
    label: &'a str,
    reference_in: f64,
    reference_text: String,
    tape_in: f64,
    tape_text: String,
    overall_in: f64,
    overall_text: String,
    shortest_in: f64,
    shortest_text: String,
    left: CutOut<'a>,
    right: CutOut<'a>,
}

#[derive(Debug, Serialize)]
struct CutOut<'a> {
    point: &'static str,
    joint: &'static str,
    mate: Option<&'a str>,
    hook: [f64; 2],
    hold: &'static str,
    /// Where the stock stands against a block, square to the fence: the
    /// block's side of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    block: Option<&'static str>,
    swing_deg: f64,
    tilt_deg: f64,
    per_u: f64,
    per_v: f64,
}

#[derive(Debug, Serialize)]
struct BoardOut<'a> {
    label: &'a str,
    outline_in: Vec<[f64; 2]>,
    outline_text: Vec<[String; 2]>,
    thickness_in: f64,
    thickness_text: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    bevels: Vec<BevelOut>,
}

/// Edge 0 runs from the outline's first corner to its second.
#[derive(Debug, Serialize)]
struct BevelOut {
    edge: usize,
    bevel_deg: f64,
}

#[derive(Debug, Serialize)]
struct BendOut<'a> {
    name: &'a str,
    radius_in: f64,
    radius_text: String,
    arc_deg: f64,
    developed_in: f64,
    developed_text: String,
    inner_in: f64,
    inner_text: String,
    outer_in: f64,
    outer_text: String,
    kerfs: f64,
    kerf_turn_deg: f64,
}

/// The walk with the fewest saw moves: label and end of each cut in turn.
#[derive(Debug, Serialize)]
struct WalkOut<'a> {
    saw_moves: usize,
    cuts: Vec<(&'a str, &'static str)>,
}

/// How far a joint opens by a quarter of a degree in each mate, and by 1/32
/// in off one of them; the finest exterior grade that the angle's gap meets.
#[derive(Debug, Serialize)]
struct JointOut {
    piece: String,
    mate: String,
    face_in: f64,
    by_swing_in: f64,
    by_tilt_in: f64,
    by_length_in: f64,
    grade: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct SawMovesOut {
    walk: usize,
    gang: usize,
}

impl Sheet {
    /// Whether nothing stops the head from being made.
    #[must_use]
    pub fn can_be_made(&self) -> bool {
        self.findings
            .iter()
            .all(|finding| finding.severity != Severity::Error)
    }

    /// The sheet in the contract's form, texts rounded by `rounding`.
    #[must_use]
    pub fn contract(&self, rounding: Rounding) -> SheetOut<'_> {
        self.contract_with(&[], rounding)
    }

    /// As [`Sheet::contract`], with the cures of each finding beside it.
    #[must_use]
    pub fn contract_with<'a>(&'a self, cures: &'a [Cure], rounding: Rounding) -> SheetOut<'a> {
        SheetOut {
            head: &self.head,
            ok: self.can_be_made(),
            findings: self.findings.iter().map(|f| cured(f, cures)).collect(),
            runs: self.runs.iter().map(|run| run_out(run, rounding)).collect(),
            boards: self.boards.iter().map(|b| board(b, rounding)).collect(),
            bent: self.bends.iter().map(|b| bend(b, rounding)).collect(),
            saw_moves: SawMovesOut {
                walk: self.saw_moves.walk,
                gang: self.saw_moves.gang,
            },
            shortest_walk: walk(self),
            joints: joints(self),
        }
    }
}

fn walk(sheet: &Sheet) -> WalkOut<'_> {
    let order = sheet.shortest_walk();
    let cuts = order.groups.iter().flat_map(|group| &group.cuts);
    let named = cuts.filter_map(|cut| {
        let piece = sheet.runs.get(cut.run)?.pieces.get(cut.piece)?;
        let side = match cut.side {
            Side::Left => "left",
            Side::Right => "right",
        };
        Some((piece.label.as_str(), side))
    });
    WalkOut {
        cuts: named.collect(),
        saw_moves: order.saw_moves,
    }
}

fn joints(sheet: &Sheet) -> Vec<JointOut> {
    let all = openings(sheet, &Errors::default()).into_iter();
    let out = all.map(|opening| JointOut {
        face_in: opening.face,
        by_swing_in: opening.by_swing,
        by_tilt_in: opening.by_tilt,
        by_length_in: opening.by_length,
        grade: exterior_grade(opening.by_angle()).map(|grade| grade.name),
        piece: opening.piece,
        mate: opening.mate,
    });
    out.collect()
}

/// A finding in the contract's form.
pub(super) fn finding(finding: &Finding) -> FindingOut<'_> {
    FindingOut {
        severity: finding.severity.word(),
        code: finding.code,
        piece: finding.piece.as_deref(),
        text: &finding.text,
        cures: Vec::new(),
    }
}

fn cured<'a>(of: &'a Finding, cures: &'a [Cure]) -> FindingOut<'a> {
    let answers = cures.iter().filter(|cure| cure.answers(of));
    let cures = answers.map(|cure| CureOut {
        cure: cure.way.word(),
        run: cure.run.as_deref(),
        text: &cure.text,
        design: &cure.design,
    });
    FindingOut {
        cures: cures.collect(),
        ..finding(of)
    }
}

fn run_out(run: &SolvedRun, rounding: Rounding) -> RunOut<'_> {
    RunOut {
        name: &run.name,
        pieces: run.pieces.iter().map(|p| piece(p, rounding)).collect(),
    }
}

fn piece(piece: &Piece, rounding: Rounding) -> PieceOut<'_> {
    PieceOut {
        label: &piece.label,
        reference_in: piece.reference,
        reference_text: rounding.text(piece.reference),
        tape_in: piece.tape,
        tape_text: rounding.text(piece.tape),
        overall_in: piece.overall,
        overall_text: rounding.text(piece.overall),
        shortest_in: piece.shortest,
        shortest_text: rounding.text(piece.shortest),
        left: cut(&piece.left),
        right: cut(&piece.right),
    }
}

fn cut(cut: &Cut) -> CutOut<'_> {
    let SectionPoint { u, v } = cut.hook;
    CutOut {
        point: cut.point.word(),
        joint: cut.joint.word(),
        mate: cut.mate.as_deref(),
        hook: [u, v],
        hold: cut.setting.hold.word(),
        block: cut.setting.block.map(Block::word),
        swing_deg: degrees(cut.setting.swing),
        tilt_deg: degrees(cut.setting.tilt),
        per_u: cut.per_u,
        per_v: cut.per_v,
    }
}

fn board(board: &Board, rounding: Rounding) -> BoardOut<'_> {
    let corners = || board.outline.iter();
    BoardOut {
        label: &board.label,
        outline_in: corners().map(|&(x, y)| [x, y]).collect(),
        outline_text: corners()
            .map(|&(x, y)| [rounding.text(x), rounding.text(y)])
            .collect(),
        thickness_in: board.thickness,
        thickness_text: rounding.text(board.thickness),
        bevels: board
            .bevels
            .iter()
            .map(|bevel| BevelOut {
                edge: bevel.edge,
                bevel_deg: degrees(bevel.angle),
            })
            .collect(),
    }
}

fn bend(bend: &Bend, rounding: Rounding) -> BendOut<'_> {
    BendOut {
        name: &bend.run,
        radius_in: bend.radius,
        radius_text: rounding.text(bend.radius),
        arc_deg: degrees(bend.arc),
        developed_in: bend.developed,
        developed_text: rounding.text(bend.developed),
        inner_in: bend.inner,
        inner_text: rounding.text(bend.inner),
        outer_in: bend.outer,
        outer_text: rounding.text(bend.outer),
        kerfs: bend.kerfs,
        kerf_turn_deg: degrees(bend.kerf_turn),
    }
}

impl Block {
    /// The contract's word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}

impl PointKind {
    /// The contract's word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Square => "square",
            Self::Short => "short",
            Self::Long => "long",
            Self::Mixed => "mixed",
        }
    }
}

impl Joint {
    /// The contract's word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::End => "end",
            Self::PlanOutside => "plan-outside",
            Self::PlanInside => "plan-inside",
            Self::RiseOutside => "rise-outside",
            Self::RiseInside => "rise-inside",
        }
    }
}

impl Severity {
    /// The contract's word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}
