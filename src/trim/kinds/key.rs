//! The block at the centre, and what the mouldings do that meet it.

use crate::measure::Rounding;
use crate::trim::design::{Body, End, Key, Meets};
use crate::trim::sheet::{Board, Finding, Severity};
use crate::trim::space::{Point, Vector};

use super::{Plan, RunPlan, parts};

/// Nearer than this, inches, is the same.
const SAME: f64 = 1e-9;

/// The block, inches, seen from the front: an upright middle line and a side
/// that may lean.
struct Block {
    middle: f64,
    top: f64,
    bottom: f64,
    half_top: f64,
    half_bottom: f64,
    out: f64,
}

/// Adds the key, and breaks or butts what meets it.
pub(super) fn add(plan: &mut Plan, key: &Key, body: &Body, say: Rounding) {
    let Some((middle, edge, width)) = plan.boards.iter().find_map(middle_of) else {
        return;
    };
    let top = edge + key.above.inches();
    let out = key.projection.unwrap_or(key.thickness).inches();
    let block = Block {
        middle,
        top,
        bottom: top - key.height.inches(),
        half_top: key.width_top.inches() / 2.0,
        half_bottom: key.width_bottom.inches() / 2.0,
        out,
    };
    plan.boards.push(block.board(key.thickness.inches()));
    let runs = std::mem::take(&mut plan.runs);
    for run in runs {
        let made = block.meet(run, key.mouldings, say, &mut plan.findings);
        plan.runs.extend(made);
    }
    plan.findings.extend(block.findings(key, body, say));
    let widest = 2.0 * block.half_top.max(block.half_bottom);
    if widest >= width - SAME {
        plan.findings.push(too_wide("board"));
    }
    plan.findings.extend(block.cap_misses(&plan.runs, say));
    if !plan.bends.is_empty() {
        plan.findings.push(note(
            "key-on-bend",
            "The key stands on mouldings that are bent in one piece: bend them first, then cut \
             them to the key's sides, or hollow the key's back over them."
                .to_owned(),
        ));
    }
}

/// The middle of the face that looks out, the height of its top edge there,
/// and its width.
fn middle_of(board: &Board) -> Option<(f64, f64, f64)> {
    if !board.label.starts_with("board") || board.origin.z.abs() > SAME || board.along.x < 1.0 {
        return None;
    }
    let xs = board.outline.iter().map(|p| p.0);
    let (low, high) = xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| {
        (l.min(x), h.max(x))
    });
    let middle = f64::midpoint(low, high);
    let next = board.outline.iter().cycle().skip(1);
    let edges = board.outline.iter().zip(next);
    let heights = edges.filter_map(|(a, b)| {
        let wide = b.0 - a.0;
        let t = (middle - a.0) / wide;
        (wide.abs() > SAME && (-SAME..=1.0 + SAME).contains(&t)).then_some(a.1 + (b.1 - a.1) * t)
    });
    let top = heights.reduce(f64::max)?;
    Some((board.origin.x + middle, board.origin.y + top, high - low))
}

impl Block {
    fn board(&self, thickness: f64) -> Board {
        let (m, top, bottom) = (self.middle, self.top, self.bottom);
        let outline = [
            (m - self.half_bottom, bottom),
            (m + self.half_bottom, bottom),
            (m + self.half_top, top),
            (m - self.half_top, top),
        ];
        let mut board = parts::board("key", &outline, thickness);
        board.origin.z = self.out;
        board
    }

    /// Half its width at a height, also past its ends.
    fn half(&self, y: f64) -> f64 {
        let t = (y - self.bottom) / (self.top - self.bottom);
        self.half_bottom + (self.half_top - self.half_bottom) * t
    }

    /// The run as it stands with the key: one, or two that butt.
    fn meet(
        &self,
        run: RunPlan,
        how: Meets,
        say: Rounding,
        findings: &mut Vec<Finding>,
    ) -> Vec<RunPlan> {
        let (Some(left), Some(right)) = (self.crossing(&run, -1.0), self.crossing(&run, 1.0))
        else {
            return vec![run];
        };
        let Some((low, high)) = self.band(&run, left) else {
            return vec![run];
        };
        if low < self.bottom - SAME || high > self.top + SAME {
            findings.push(Finding {
                severity: Severity::Warning,
                code: "key-part-height",
                piece: None,
                text: format!(
                    "The key covers only part of the height of the {}: make it taller, or move \
                     it, so that the moulding has a whole side to meet.",
                    run.name
                ),
            });
        }
        let level = left.leg == right.leg && (left.at.y - right.at.y).abs() < SAME;
        if how == Meets::Break && level {
            return self.broken(run, left, (low, high), say, findings);
        }
        if how == Meets::Break {
            findings.push(note(
                "key-meets-slope",
                format!(
                    "The {} slopes where it meets the key, so it cannot break round it: it is \
                     cut to the key's sides.",
                    run.name
                ),
            ));
        }
        self.butted(run, left, right)
    }

    /// Where a run on the board's face crosses the key's left (−1) or right
    /// (+1) side.
    fn crossing(&self, run: &RunPlan, side: f64) -> Option<Crossing> {
        let apart = |p: &Point| p.x - self.middle - side * self.half(p.y);
        let legs = run
            .path
            .iter()
            .zip(run.path.iter().skip(1))
            .zip(&run.normals);
        legs.enumerate().find_map(|(leg, ((a, b), n))| {
            let on_face = n.z > 1.0 - SAME && a.z.abs() < SAME && b.z.abs() < SAME;
            let (from, to) = (apart(a), apart(b));
            if !on_face || from > -SAME || to < SAME {
                return None;
            }
            let at = *a + (*b - *a) * (from / (from - to));
            Some(Crossing { leg, at })
        })
    }

    /// The heights between which the run's wood meets the block; `None` if it
    /// passes over or under it.
    fn band(&self, run: &RunPlan, at: Crossing) -> Option<(f64, f64)> {
        let (a, b) = (run.path.get(at.leg)?, run.path.get(at.leg + 1)?);
        let d = (*b - *a).unit()?;
        let up = |v: f64| at.at.y + v / d.x.max(0.1);
        let vs = run.section.iter().map(|p| p.v);
        let (low, high) = vs.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(v), h.max(v))
        });
        let (low, high) = (up(low), up(high));
        (high > self.bottom + SAME && low < self.top - SAME).then_some((low, high))
    }

    /// Round the block: in, out, across, back.
    fn broken(
        &self,
        mut run: RunPlan,
        left: Crossing,
        (low, high): (f64, f64),
        say: Rounding,
        findings: &mut Vec<Finding>,
    ) -> Vec<RunPlan> {
        let (low, high) = (low.max(self.bottom), high.min(self.top));
        let half = self.half(low).max(self.half(high));
        let behind = half - self.half(low).min(self.half(high));
        if behind > 1.0 / 64.0 {
            findings.push(note(
                "key-tapers",
                format!(
                    "The key narrows behind the returns of the {}: they are cut for its widest \
                     place, and up to {} is left behind each to be packed.",
                    run.name,
                    say.words(behind)
                ),
            ));
        }
        let y = left.at.y;
        let ends = (run.path.get(left.leg), run.path.get(left.leg + 1));
        let room = matches!(ends, (Some(a), Some(b))
            if a.x < self.middle - half - SAME && b.x > self.middle + half + SAME);
        if !room {
            findings.push(too_wide(&run.name));
            return vec![run];
        }
        let at = |side: f64, z: f64| Point::new(self.middle + side * half, y, z);
        let corners = [
            at(-1.0, 0.0),
            at(-1.0, self.out),
            at(1.0, self.out),
            at(1.0, 0.0),
        ];
        let normals = [-Vector::X, Vector::Z, Vector::X, Vector::Z];
        run.path.splice(left.leg + 1..left.leg + 1, corners);
        run.normals.splice(left.leg + 1..left.leg + 1, normals);
        vec![run]
    }

    /// Two runs that stop at the block's sides.
    fn butted(&self, run: RunPlan, left: Crossing, right: Crossing) -> Vec<RunPlan> {
        let plane = |side: f64| {
            let lean = side * (self.half_top - self.half_bottom);
            let size = (self.top - self.bottom).hypot(lean);
            End::Plane([(self.top - self.bottom) / size, -lean / size, 0.0])
        };
        let mut one = run.clone();
        one.path.truncate(left.leg + 1);
        one.path.push(left.at);
        one.normals.truncate(left.leg + 1);
        one.end = plane(-1.0);
        one.meets[1] = None;
        let mut two = run;
        two.path.drain(..=right.leg);
        two.path.insert(0, right.at);
        two.normals.drain(..right.leg);
        two.start = plane(1.0);
        two.meets[0] = None;
        two.name = format!("right-{}", one.name);
        one.name = format!("left-{}", one.name);
        vec![one, two]
    }

    fn findings(&self, key: &Key, body: &Body, say: Rounding) -> Vec<Finding> {
        let mut found = Vec::new();
        let bottom = -body.board.height.inches();
        if self.bottom < bottom - SAME {
            found.push(Finding {
                severity: Severity::Warning,
                code: "key-below-board",
                piece: Some("key".to_owned()),
                text: format!(
                    "The key hangs {} below the board: a shorter key or a higher board is \
                     needed, unless it is meant to stand into the opening.",
                    say.words(bottom - self.bottom)
                ),
            });
        }
        let into = key.thickness.inches() - self.out;
        let board = body.board.thickness.inches();
        if into > board + SAME {
            found.push(Finding {
                severity: Severity::Warning,
                code: "key-too-thick",
                piece: Some("key".to_owned()),
                text: format!(
                    "Let in so that it stands out {}, the key goes {} past the board's back.",
                    say.words(self.out),
                    say.words(into - board)
                ),
            });
        } else if into > SAME {
            found.push(note(
                "key-let-in",
                format!(
                    "The key is let into the board by {}: cut the board out for it.",
                    say.words(into)
                ),
            ));
        }
        found
    }

    /// A cap that goes straight on over a crown that breaks forward.
    fn cap_misses(&self, runs: &[RunPlan], say: Rounding) -> Option<Finding> {
        let breaks = |run: &&RunPlan| run.path.iter().any(|p| (p.z - self.out).abs() < SAME);
        let out = |run: &RunPlan| run.section.iter().map(|p| p.u).fold(0.0, f64::max);
        let over = |run: &RunPlan| {
            let ys = run.path.iter().map(|p| p.y);
            ys.fold(f64::NEG_INFINITY, f64::max) > self.top - SAME
        };
        let crown = runs
            .iter()
            .filter(breaks)
            .filter(|run| !run.name.ends_with("cap"));
        let most = crown.map(out).reduce(f64::max)? + self.out;
        let cap = runs.iter().find(|run| {
            run.name.ends_with("cap") && over(run) && self.crossing(run, -1.0).is_some()
        })?;
        (out(cap) < most - SAME).then(|| Finding {
            severity: Severity::Warning,
            code: "cap-misses-key",
            piece: None,
            text: format!(
                "At the key the mouldings stand out {} from the board, but the cap's front only \
                 {}. Let the key stand above the top edge by the cap's thickness, so that the \
                 cap breaks round it too, or use a wider cap.",
                say.words(most),
                say.words(out(cap))
            ),
        })
    }
}

/// Where a run's edge crosses a side of the block.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    leg: usize,
    at: Point,
}

fn too_wide(of: &str) -> Finding {
    Finding {
        severity: Severity::Error,
        code: "key-too-wide",
        piece: Some("key".to_owned()),
        text: format!("The key takes the whole length of the {of}: a narrower key is needed."),
    }
}

fn note(code: &'static str, text: String) -> Finding {
    Finding {
        severity: Severity::Note,
        code,
        piece: None,
        text,
    }
}
