//! The cut sheet in words and pictures, made from the solved numbers.
//!
//! Everything here is text ready for the page: the page and the paper form
//! show the same words. Nothing is computed twice: lengths, angles and holds
//! are the engine's, worded by the trade's words.

use super::dials::Dials;
use crate::measure::Rounding;
use crate::trim::design::Saw;
use crate::trim::draw::{self, CutLook, End, LengthWords, Look, SvgOptions, svg};
use crate::trim::joint::{Errors, Opening, exterior_grade, openings};
use crate::trim::sheet::{Board, Piece, SectionPoint, Setting, Sheet, SolvedRun};
use crate::trim::solve::{Side, ways};
use crate::trim::words;
use crate::web::Svg;

/// A length for the page: `17`, `5/8`, `scant`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tape {
    /// Whole number, empty before a bare fraction; may carry a sign.
    pub whole: String,
    /// Over and under the line.
    pub fraction: Option<(String, String)>,
    /// `mm`, `strong`, `scant`, or nothing.
    pub rest: String,
}

impl Tape {
    /// Of a length already worded, such as `17 5/8 scant`.
    #[must_use]
    pub fn of(text: &str) -> Self {
        let mut tape = Self::default();
        let mut rest = Vec::new();
        for word in text.split(' ') {
            match word.split_once('/') {
                Some((over, under)) => tape.fraction = Some((over.to_owned(), under.to_owned())),
                None if tape.whole.is_empty() && tape.fraction.is_none() => {
                    word.clone_into(&mut tape.whole)
                }
                None => rest.push(word),
            }
        }
        tape.rest = rest.join(" ");
        tape
    }
}

/// How a firm words its lengths.
#[derive(Debug, Clone, Copy)]
pub struct Wording {
    /// What lengths are rounded to.
    pub rounding: Rounding,
    /// Under this a piece is not held by hand, inches.
    pub short: f64,
    /// What the blade eats, inches.
    pub kerf: f64,
}

impl Wording {
    /// The same rounding for the drawings.
    #[must_use]
    pub const fn words(&self) -> LengthWords {
        match self.rounding {
            Rounding::Sixteenth => |inches| Rounding::Sixteenth.text(inches),
            Rounding::ThirtySecond => |inches| Rounding::ThirtySecond.text(inches),
            Rounding::HalfMillimetre => |inches| Rounding::HalfMillimetre.text(inches),
        }
    }

    fn tape(&self, inches: f64) -> Tape {
        Tape::of(&self.rounding.text(inches))
    }

    /// With its unit, for a sentence.
    fn said(&self, inches: f64) -> String {
        let text = self.rounding.text(inches);
        match self.rounding {
            Rounding::HalfMillimetre => text,
            Rounding::Sixteenth | Rounding::ThirtySecond => format!("{text} in"),
        }
    }

    fn look(&self, width_px: f64) -> Look {
        Look {
            width_px,
            length: self.words(),
        }
    }
}

/// One end of a piece, at the saw.
#[derive(Debug, Clone, Default)]
pub struct CutWords {
    /// `swing right 15.1°`.
    pub swing: String,
    /// `tilt left 33.9°`, or empty where the blade stands upright.
    pub tilt: String,
    /// How the stock lies, in full.
    pub hold: String,
    /// `long point`.
    pub point: &'static str,
    /// What the end meets.
    pub joint: &'static str,
    /// The piece it closes on.
    pub mate: Option<String>,
    /// The arris the tape hooks on.
    pub hook: String,
    /// The other ways to hold sprung crown at this saw.
    pub others: Vec<String>,
    /// What to set on the scale where it is out, and why.
    pub dial: Vec<String>,
    /// The gap a quarter of a degree opens, in words; empty at a free end.
    pub gap: String,
    /// The picture of the cut.
    pub picture: Svg,
}

/// One piece: one row of the sheet.
#[derive(Debug, Clone, Default)]
pub struct PieceRow {
    /// Its label.
    pub label: String,
    /// What to measure.
    pub tape: Tape,
    /// What the stick must give.
    pub overall: Tape,
    /// Whether the stick must give more than the tape says.
    pub longer: bool,
    /// Least over the section.
    pub least: Tape,
    /// Too short to hold by hand.
    pub short: bool,
    /// The end at the left of the wall.
    pub left: CutWords,
    /// The end at the right.
    pub right: CutWords,
    /// Its place in the whole sheet, from 1.
    pub nth: usize,
    /// By whom and when it was cut.
    pub done: Option<String>,
    /// It was cut a moment ago: taking it back is offered.
    pub undo: bool,
    /// Why it is to be made again.
    pub again: Option<String>,
}

/// One run.
#[derive(Debug, Clone, Default)]
pub struct RunWords {
    /// Its name.
    pub name: String,
    /// Its section, square on.
    pub section: Svg,
    /// Its pieces in the order of the wall.
    pub rows: Vec<PieceRow>,
}

/// One board.
#[derive(Debug, Clone, Default)]
pub struct BoardWords {
    /// What it is.
    pub label: String,
    /// Its thickness.
    pub thickness: Tape,
    /// Its outline.
    pub picture: Svg,
    /// Its corners from the lower left one: number, right, up.
    pub corners: Vec<(usize, Tape, Tape)>,
    /// What to rip and crosscut before the outline is marked.
    pub blank: (Tape, Tape),
    /// Edges that are not square to the face.
    pub bevels: Vec<String>,
}

/// The whole sheet.
#[derive(Debug, Clone, Default)]
pub struct SheetWords {
    /// The head from the front, for a wide page.
    pub elevation: Svg,
    /// The same for a phone.
    pub elevation_small: Svg,
    /// The corners from above.
    pub plan: Option<Svg>,
    /// The runs.
    pub runs: Vec<RunWords>,
    /// The joints, in the order of the pieces.
    pub joints: Vec<JointWords>,
    /// The boards.
    pub boards: Vec<BoardWords>,
    /// Whether any piece is too short to hold.
    pub has_short: bool,
    /// Under which length, in words.
    pub short_under: String,
}

/// The sheet in words and pictures.
#[must_use]
pub fn worded(sheet: &Sheet, wording: &Wording, dials: &Dials) -> SheetWords {
    let mut runs: Vec<RunWords> = sheet
        .runs
        .iter()
        .map(|run| run_words(run, wording, dials))
        .collect();
    for (nth, row) in runs.iter_mut().flat_map(|run| &mut run.rows).enumerate() {
        row.nth = nth + 1;
    }
    let opened = openings(sheet, &Errors::default());
    for row in runs.iter_mut().flat_map(|run| &mut run.rows) {
        for opening in &opened {
            let gap = || gap_words(opening.by_angle());
            if opening.piece == row.label {
                row.right.gap = gap();
            } else if opening.mate == row.label {
                row.left.gap = gap();
            }
        }
    }
    SheetWords {
        joints: opened.iter().map(|o| joint_words(o, wording)).collect(),
        elevation: drawn(&draw::elevation(sheet, &wording.look(1100.0))),
        elevation_small: drawn(&draw::elevation(sheet, &wording.look(360.0))),
        plan: draw::plan(sheet, &wording.look(360.0)).map(|scene| drawn(&scene)),
        has_short: runs.iter().flat_map(|r| &r.rows).any(|row| row.short),
        boards: boards_alike(&sheet.boards, wording),
        runs,
        short_under: wording.said(wording.short),
    }
}

/// A scene as a page of heads takes it; every such page brings `drawing.css`.
#[must_use]
pub fn drawn(scene: &draw::Scene) -> Svg {
    let dressed = SvgOptions {
        dressed: true,
        ..SvgOptions::default()
    };
    Svg::drawn(svg(scene, &dressed))
}

fn run_words(run: &SolvedRun, wording: &Wording, dials: &Dials) -> RunWords {
    RunWords {
        name: run.name.clone(),
        section: drawn(&draw::section(run, &wording.look(360.0))),
        rows: run
            .pieces
            .iter()
            .map(|piece| row(run, piece, wording, dials))
            .collect(),
    }
}

fn row(run: &SolvedRun, piece: &Piece, wording: &Wording, dials: &Dials) -> PieceRow {
    PieceRow {
        label: piece.label.clone(),
        tape: wording.tape(piece.tape),
        overall: wording.tape(piece.overall),
        longer: wording.rounding.text(piece.overall) != wording.rounding.text(piece.tape),
        least: wording.tape(piece.shortest),
        short: piece.overall < wording.short,
        left: cut_words(run, (piece, End::Left), wording, dials),
        right: cut_words(run, (piece, End::Right), wording, dials),
        nth: 0,
        done: None,
        undo: false,
        again: None,
    }
}

fn cut_words(
    run: &SolvedRun,
    (piece, end): (&Piece, End),
    wording: &Wording,
    dials: &Dials,
) -> CutWords {
    let cut = match end {
        End::Left => &piece.left,
        End::Right => &piece.right,
    };
    let dialled = dials.of(&cut.setting);
    let look = CutLook {
        kerf: wording.kerf,
        length: wording.words(),
        dial: Some((dialled.swing, dialled.tilt)),
        ..CutLook::PHONE
    };
    let tilted = !words::shows_as_zero(cut.setting.tilt);
    CutWords {
        swing: words::swing_words(cut.setting.swing),
        tilt: if tilted {
            words::tilt_words(cut.setting.tilt)
        } else {
            String::new()
        },
        hold: words::lay_words(&cut.setting),
        point: words::point_words(cut.point),
        joint: words::joint_words(cut.joint),
        mate: cut.mate.clone(),
        hook: hook_words(cut.hook, &run.section),
        gap: String::new(),
        picture: drawn(&draw::cut_picture(run, piece, end, &look)),
        dial: dialled.words,
        others: Vec::new(),
    }
}

/// Puts beside each cut of sprung crown the other ways that the saw can hold
/// it: flat on its back, or standing in its spring angle.
pub fn other_ways(sheet: &Sheet, saw: &Saw, said: &mut SheetWords) {
    for (run, words) in sheet.runs.iter().zip(&mut said.runs) {
        if run.spring.is_none() {
            continue;
        }
        for (piece, row) in run.pieces.iter().zip(&mut words.rows) {
            for (side, cut, words) in [
                (Side::Left, &piece.left, &mut row.left),
                (Side::Right, &piece.right, &mut row.right),
            ] {
                let all = ways(run, piece, side, saw).into_iter();
                let others = all.filter(|way| way.hold != cut.setting.hold);
                words.others = others.map(|way| way_words(&way)).collect();
            }
        }
    }
}

fn way_words(way: &Setting) -> String {
    let tilt = if words::shows_as_zero(way.tilt) {
        "no tilt".to_owned()
    } else {
        words::tilt_words(way.tilt)
    };
    format!(
        "{}: {}, {tilt}",
        words::lay_short(way),
        words::swing_words(way.swing)
    )
}

/// Which arris the tape hooks on, told by where it lies on the section.
fn hook_words(hook: SectionPoint, section: &[SectionPoint]) -> String {
    let reach = |pick: fn(&SectionPoint) -> f64| {
        let all = section.iter().map(pick);
        (
            all.clone().fold(f64::INFINITY, f64::min),
            all.fold(f64::NEG_INFINITY, f64::max),
        )
    };
    let place = |value: f64,
                 (low, high): (f64, f64),
                 low_mid_high: (&'static str, &'static str, &'static str)| {
        let size = (high - low).abs().max(1e-9);
        match (value - low) / size {
            t if t < 0.05 => low_mid_high.0,
            t if t > 0.95 => low_mid_high.2,
            _ => low_mid_high.1,
        }
    };
    let across = place(hook.v, reach(|p| p.v), ("lower", "mid-height", "upper"));
    let out = place(
        hook.u,
        reach(|p| p.u),
        ("back arris", "arris at the board’s face", "front arris"),
    );
    format!("{across} {out}")
}

/// A gap in thousandths of an inch and in millimetres.
fn gap_words(gap: f64) -> String {
    format!("{gap:.3} in ({:.1} mm)", gap * 25.4)
}

/// One joint and what an error opens it by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JointWords {
    /// The piece left of it.
    pub piece: String,
    /// Its mate.
    pub mate: String,
    /// Width of the joint's face.
    pub face: Tape,
    /// What a quarter of a degree opens, swing or tilt, whichever is more.
    pub by_angle: String,
    /// What 1/32 in off one of the two opens.
    pub by_length: String,
    /// The finest exterior grade that the quarter degree's gap meets.
    pub grade: &'static str,
}

fn joint_words(opening: &Opening, wording: &Wording) -> JointWords {
    JointWords {
        piece: opening.piece.clone(),
        mate: opening.mate.clone(),
        face: wording.tape(opening.face),
        by_angle: gap_words(opening.by_angle()),
        by_length: gap_words(opening.by_length),
        grade: exterior_grade(opening.by_angle()).map_or("past every grade", |grade| grade.name),
    }
}

/// The boards, those of one outline and thickness said once.
fn boards_alike(boards: &[Board], wording: &Wording) -> Vec<BoardWords> {
    let mut said: Vec<(&Board, BoardWords)> = Vec::new();
    for board in boards {
        let alike = |known: &Board| {
            known.outline == board.outline
                && known.thickness == board.thickness
                && known.bevels == board.bevels
        };
        match said.iter_mut().find(|(known, _)| alike(known)) {
            Some((_, words)) => words.label = format!("{}, {}", words.label, board.label),
            None => said.push((board, board_words(board, wording))),
        }
    }
    said.into_iter().map(|(_, words)| words).collect()
}

fn board_words(board: &Board, wording: &Wording) -> BoardWords {
    let reach = |pick: fn(&(f64, f64)) -> f64| board.outline.iter().map(pick).fold(0.0, f64::max);
    let corners = board.outline.iter().enumerate();
    BoardWords {
        label: board.label.clone(),
        thickness: wording.tape(board.thickness),
        picture: drawn(&draw::board(board, &wording.look(700.0))),
        corners: corners
            .map(|(i, (x, y))| (i + 1, wording.tape(*x), wording.tape(*y)))
            .collect(),
        blank: (wording.tape(reach(|p| p.0)), wording.tape(reach(|p| p.1))),
        bevels: words::bevel_words(board).collect(),
    }
}
