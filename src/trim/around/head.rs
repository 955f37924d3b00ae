//! Everything round one head in one reckoning: what its boards and mouldings
//! do with the seasons, its flashing, paint, fasteners, adhesive and weight.

use crate::trim::sheet::{Piece, Sheet, SolvedRun};
use crate::trim::source::Source;

use super::fasteners::{FixingRule, Fixings, cartridges};
use super::finish::{Coating, gallons};
use super::flashing::{Blank, HeadFlashing};
use super::movement::{Gap, Grain, MATERIALS, MovementError, SPECIES, board_gap};
use super::quantity::{quantities, total};
use super::weight::{DENSITIES, Lift, caution, pounds};

/// Bead of adhesive along what is glued, inches across. Common practice, no
/// source.
pub const BEAD: f64 = 0.25;
/// Flashing strips lap by this at each corner, inches. Common practice, no
/// source: the flashing's maker first.
pub const LAP: f64 = 4.0;
/// Narrower than this the movement is not worth a line, inches.
pub const WIDE: f64 = 2.0;

/// The air and sun that the head lives in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// Moisture of the wood in per cent: driest, at fixing, wettest.
    pub moisture: (f64, f64, f64),
    /// Of the surface, degrees Fahrenheit: coldest, at fixing, hottest.
    pub fahrenheit: (f64, f64, f64),
}

impl Default for Site {
    /// 8 to 16 %, fixed at 12 %; 0 to 120 °F, fixed at 60 °F. Common practice,
    /// no source: set what the place has.
    fn default() -> Self {
        Self {
            moisture: (8.0, 12.0, 16.0),
            fahrenheit: (0.0, 60.0, 120.0),
        }
    }
}

/// How one thing moves.
#[derive(Debug, Clone, PartialEq)]
pub struct Moves {
    /// What: the board's label, or the longest piece of a run.
    pub label: String,
    /// Across the width; else along the length.
    pub across: bool,
    /// That size, inches.
    pub size: f64,
    /// What to leave and what opens, inches.
    pub gap: Gap,
}

/// One strip of flashing.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// The piece that it covers.
    pub label: String,
    /// What to cut and bend.
    pub blank: Blank,
    /// Dams at the left and at the right end.
    pub dams: (bool, bool),
}

/// What fixes one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Fixed {
    /// Its label, or its run's name.
    pub label: String,
    /// How many.
    pub fixings: Fixings,
    /// How many pieces alike are counted in.
    pub pieces: usize,
}

/// All of it.
#[derive(Debug, Clone, PartialEq)]
pub struct AroundHead {
    /// What moves, and by what figures.
    pub moves: Vec<Moves>,
    /// Why movement is not told, if it is not.
    pub moves_unknown: Option<MovementError>,
    /// Where the movement's figures come from.
    pub moves_source: Source,
    /// Strips along each cap, from the left.
    pub strips: Vec<Strip>,
    /// Surface all round, square inches, and of it end grain and edges.
    pub surface: (f64, f64),
    /// Gallons of primer, one coat.
    pub primer: Option<f64>,
    /// Gallons of paint, two coats.
    pub paint: Option<f64>,
    /// Fasteners by board and run.
    pub fixed: Vec<Fixed>,
    /// Length of bead, inches.
    pub bead: f64,
    /// Cartridges of adhesive.
    pub cartridges: f64,
    /// Pounds of the assembled head, where the density is known.
    pub pounds: Option<f64>,
    /// Where the density comes from.
    pub pounds_source: Option<Source>,
    /// Who lifts it.
    pub caution: Option<String>,
}

/// The materials that a head may be made of: woods, cellular PVC, fibre
/// cement.
#[must_use]
pub fn materials() -> Vec<&'static str> {
    let boards = MATERIALS.iter().map(|m| m.name).take(2);
    SPECIES.iter().map(|s| s.name).chain(boards).collect()
}

/// Reckons all of it for a head of `material` (a name of [`materials`]).
/// `None` if there is no such material.
#[must_use]
pub fn around(sheet: &Sheet, material: &str, grain: Grain, site: &Site) -> Option<AroundHead> {
    let species = SPECIES.iter().find(|s| s.name == material);
    let other = MATERIALS.iter().find(|m| m.name == material);
    let (moves, moves_unknown, moves_source) = match (species, other) {
        (Some(wood), _) => {
            let (dry, now, wet) = site.moisture;
            let found: Result<Vec<Moves>, MovementError> = widths(sheet)
                .into_iter()
                .map(|(label, size)| {
                    let gap = board_gap(wood, size, grain, now, (dry, wet))?;
                    Ok(Moves {
                        label,
                        across: true,
                        size,
                        gap,
                    })
                })
                .collect();
            match found {
                Ok(moves) => (moves, None, wood.source),
                Err(why) => (Vec::new(), Some(why), wood.source),
            }
        }
        (None, Some(other)) => {
            let (cold, now, hot) = site.fahrenheit;
            let moves = lengths(sheet).into_iter().map(|(label, size)| Moves {
                label,
                across: false,
                size,
                gap: other.gap(size, now, cold, hot),
            });
            (moves.collect(), None, other.source)
        }
        (None, None) => return None,
    };
    let (volume, surface, ends) = total(&quantities(sheet));
    let density = DENSITIES.iter().find(|d| d.name == material);
    let weight = density.map(|d| pounds(volume, d.pounds_a_cubic_foot));
    let coat = |coats| {
        let coating = Coating {
            coats,
            ..Coating::default()
        };
        gallons(surface, &coating)
    };
    let bead = bead(sheet);
    Some(AroundHead {
        moves,
        moves_unknown,
        moves_source,
        strips: strips(sheet),
        surface: (surface, ends),
        primer: coat(1),
        paint: coat(2),
        fixed: fixed(sheet),
        bead,
        cartridges: cartridges(bead, BEAD),
        pounds: weight,
        pounds_source: density.map(|d| d.source),
        caution: weight.map(|w| caution(w, &Lift::ONTO_THE_WALL)),
    })
}

/// Least and greatest of some numbers, apart.
fn spread(numbers: impl Iterator<Item = f64>) -> f64 {
    let (low, high) = numbers.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
        (low.min(x), high.max(x))
    });
    (high - low).max(0.0)
}

/// Depth out of the wall and height of a run's section.
fn size(run: &SolvedRun) -> (f64, f64) {
    (
        spread(run.section.iter().map(|p| p.u)),
        spread(run.section.iter().map(|p| p.v)),
    )
}

/// What is wide across the grain: each board's height, each run's broader
/// side.
fn widths(sheet: &Sheet) -> Vec<(String, f64)> {
    let boards = sheet.boards.iter().map(|board| {
        let height = spread(board.outline.iter().map(|p| p.1));
        let width = spread(board.outline.iter().map(|p| p.0));
        (board.label.clone(), height.min(width))
    });
    let runs = sheet.runs.iter().map(|run| {
        let (u, v) = size(run);
        (run.name.clone(), u.max(v))
    });
    boards
        .chain(runs)
        .filter(|(_, size)| *size >= WIDE)
        .collect()
}

/// What is long: each board, the longest piece of each run.
fn lengths(sheet: &Sheet) -> Vec<(String, f64)> {
    let boards = sheet.boards.iter().map(|board| {
        let long = spread(board.outline.iter().map(|p| p.0));
        let tall = spread(board.outline.iter().map(|p| p.1));
        (board.label.clone(), long.max(tall))
    });
    let runs = sheet.runs.iter().filter_map(|run| {
        let longest = run
            .pieces
            .iter()
            .max_by(|a, b| a.overall.total_cmp(&b.overall));
        longest.map(|piece| (piece.label.clone(), piece.overall))
    });
    boards.chain(runs).collect()
}

/// A strip over each straight piece of each cap, lapped at the corners, dammed
/// at the ends. Upstand 2 in, top at 1 in 6, 1/4 in past, 3/4 in drip, 1/2 in
/// hem, 3/4 in dams: figures of practitioners.
fn strips(sheet: &Sheet) -> Vec<Strip> {
    let caps = sheet.runs.iter().filter(|run| run.name.ends_with("cap"));
    caps.flat_map(|run| {
        let last = run.pieces.len().saturating_sub(1);
        let (depth, thick) = size(run);
        run.pieces
            .iter()
            .enumerate()
            .filter_map(move |(nth, piece)| strip(piece, (nth == 0, nth == last), (depth, thick)))
    })
    .collect()
}

fn strip(piece: &Piece, dams: (bool, bool), (depth, thick): (f64, f64)) -> Option<Strip> {
    let laps = [dams.0, dams.1].iter().filter(|end| !**end).count();
    let dammed = 2.0 - f64::from(u32::try_from(laps).unwrap_or(0));
    let dam = 0.75;
    let flashing = HeadFlashing {
        length: piece.overall,
        depth,
        slope: (1.0_f64 / 6.0).atan(),
        upstand: 2.0,
        past: 0.25,
        drip: 0.75_f64.min(thick.max(0.5)),
        hem: 0.5,
        dam: 0.0,
    };
    let mut blank = flashing.blank().ok()?;
    blank.blank_length += dammed * dam + (2.0 - dammed) * LAP / 2.0;
    blank.area = blank.blank_length * blank.developed_width;
    Some(Strip {
        label: piece.label.clone(),
        blank,
        dams,
    })
}

fn fixed(sheet: &Sheet) -> Vec<Fixed> {
    let rule = FixingRule::default();
    let boards = sheet.boards.iter().filter_map(|board| {
        let long = spread(board.outline.iter().map(|p| p.0));
        let tall = spread(board.outline.iter().map(|p| p.1));
        Some(Fixed {
            label: board.label.clone(),
            fixings: rule.fixings(long.max(tall), long.min(tall))?,
            pieces: 1,
        })
    });
    let runs = sheet.runs.iter().filter_map(|run| {
        let (u, v) = size(run);
        let each: Vec<Fixings> = run
            .pieces
            .iter()
            .filter_map(|piece| rule.fixings(piece.overall, u.min(v).max(0.1)))
            .collect();
        let first = each.first()?;
        Some(Fixed {
            label: run.name.clone(),
            fixings: Fixings {
                rows: first.rows,
                in_row: each.iter().map(|f| f.in_row).sum(),
            },
            pieces: each.len(),
        })
    });
    boards.chain(runs).collect()
}

/// Along the seat of every moulding and once round every mitre.
fn bead(sheet: &Sheet) -> f64 {
    let run = |run: &SolvedRun| {
        let (u, v) = size(run);
        let seats: f64 = run.pieces.iter().map(|piece| piece.reference).sum();
        let joints = run.pieces.iter().filter(|piece| piece.right.mate.is_some());
        let count = u32::try_from(joints.count()).unwrap_or(u32::MAX);
        seats + f64::from(count) * (u + v)
    };
    sheet.runs.iter().map(run).sum()
}
