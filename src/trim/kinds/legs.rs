//! What stands at both sides of the opening below a head, and what lies under
//! it: lengths from the opening and the reveals.

use crate::measure::Rounding;
use crate::trim::design::{Block, Legs};
use crate::trim::sheet::{Bevel, Board, Finding, Severity};
use crate::trim::space::{Point, Vector};

use super::Plan;

/// What the legs stand between, inches.
struct Under {
    /// The middle of the opening.
    middle: f64,
    /// Underside of the head.
    head: f64,
    /// Top of what lies under the opening.
    foot: f64,
    /// The wall's face.
    wall: f64,
    /// The head's board, left and right end, and its face.
    board: (f64, f64),
    face: f64,
}

/// Adds the legs of a head that is otherwise whole.
pub(super) fn add(plan: &mut Plan, legs: &Legs, say: Rounding) {
    let Some(under) = Under::of(plan, legs) else {
        return;
    };
    let length = under.length(legs);
    if length <= 1e-9 {
        plan.findings.push(no_leg(legs, length, say));
    }
    // The sill's fall takes the foot of what stands on it.
    let fall = legs
        .sill
        .map_or(0.0, |sill| sill.slope_degrees.to_radians());
    for (nth, side) in [(1, -1.0), (2, 1.0)] {
        let inner = legs.opening_width.inches() / 2.0 + legs.reveal.inches();
        let centre = under.middle + side * (inner + legs.width.inches() / 2.0);
        let mut at = under.foot;
        if let Some(plinth) = &legs.plinth {
            let size = sizes(plinth);
            plan.boards
                .push(under.upright(&format!("plinth-{nth}"), centre, at, size, fall));
            at += plinth.height.inches();
        }
        if length > 1e-9 {
            let size = (legs.width.inches(), length, legs.thickness.inches());
            let foot = if legs.plinth.is_some() { 0.0 } else { fall };
            let label = format!("{}-{nth}", legs.sort.word());
            plan.boards
                .push(under.upright(&label, centre, at, size, foot));
            at += length;
        }
        if let Some(block) = &legs.cap_block {
            let label = format!("cap-block-{nth}");
            plan.boards
                .push(under.upright(&label, centre, at, sizes(block), 0.0));
        }
    }
    under.sill_and_apron(plan, legs);
    plan.findings.extend(under.findings(legs, say));
}

fn sizes(block: &Block) -> (f64, f64, f64) {
    (
        block.width.inches(),
        block.height.inches(),
        block.thickness.inches(),
    )
}

impl Under {
    /// Where a head's underside and the wall are: by its boards, or where it
    /// has none by its mouldings.
    fn of(plan: &Plan, legs: &Legs) -> Option<Self> {
        let boards = || plan.boards.iter().filter(|b| b.label.contains("board"));
        let corners: Vec<Point> = boards()
            .flat_map(|b| b.outline.iter().map(|p| b.place(*p)))
            .collect();
        let edges: Vec<Point> = plan
            .runs
            .iter()
            .flat_map(|run| run.path.iter().copied())
            .collect();
        let hang = plan.runs.iter().flat_map(|run| &run.section);
        let hang = hang.map(|p| -p.v).fold(0.0, f64::max);
        let (all, lower) = if corners.is_empty() {
            (&edges, hang)
        } else {
            (&corners, 0.0)
        };
        let least = |f: fn(&Point) -> f64| all.iter().map(f).reduce(f64::min);
        let most = |f: fn(&Point) -> f64| all.iter().map(f).reduce(f64::max);
        let (left, right) = (least(|p| p.x)?, most(|p| p.x)?);
        let head = least(|p| p.y)? - lower;
        let back = boards().map(|b| b.origin.z - b.thickness).reduce(f64::min);
        let wall = back.or_else(|| edges.iter().map(|p| p.z).reduce(f64::min))?;
        let opening = legs.opening_height.inches() + legs.reveal.inches();
        Some(Self {
            middle: f64::midpoint(left, right),
            head,
            foot: head - opening,
            wall,
            board: (left, right),
            face: most(|p| p.z)?,
        })
    }

    /// Of the leg itself, between its blocks.
    fn length(&self, legs: &Legs) -> f64 {
        let height = |block: &Option<Block>| block.map_or(0.0, |b| b.height.inches());
        self.head - self.foot - height(&legs.plinth) - height(&legs.cap_block)
    }

    /// An upright board on the wall, its back's foot at `at`; `fall` is how
    /// its foot leans where it stands on a sill.
    fn upright(
        &self,
        label: &str,
        centre: f64,
        at: f64,
        (width, height, thickness): (f64, f64, f64),
        fall: f64,
    ) -> Board {
        let longer = thickness * fall.tan();
        Board {
            label: label.to_owned(),
            outline: vec![
                (0.0, 0.0),
                (width, 0.0),
                (width, height + longer),
                (0.0, height + longer),
            ],
            origin: Point::new(centre - width / 2.0, at - longer, self.wall + thickness),
            along: Vector::X,
            up: Vector::Y,
            thickness,
            bevels: if fall > 0.0 {
                vec![Bevel {
                    edge: 0,
                    angle: fall,
                }]
            } else {
                Vec::new()
            },
        }
    }

    fn outer(&self, legs: &Legs) -> f64 {
        legs.opening_width.inches() / 2.0 + legs.reveal.inches() + legs.width.inches()
    }

    fn sill_and_apron(&self, plan: &mut Plan, legs: &Legs) {
        let mut foot = self.foot;
        if let Some(sill) = &legs.sill {
            let half = self.outer(legs) + sill.horn.inches();
            let (sin, cos) = sill.slope_degrees.to_radians().sin_cos();
            // Both are measured level; the board lies down the slope.
            let (out, into) = (sill.front.inches(), sill.into.inches() / cos);
            let front = out / cos;
            let notch = half - legs.opening_width.inches() / 2.0;
            let mut outline = vec![(0.0, 0.0), (2.0 * half, 0.0), (2.0 * half, front)];
            if into > 0.0 {
                outline.extend([
                    (2.0 * half - notch, front),
                    (2.0 * half - notch, front + into),
                    (notch, front + into),
                    (notch, front),
                ]);
            }
            outline.push((0.0, front));
            plan.boards.push(Board {
                label: "sill".to_owned(),
                outline,
                origin: Point::new(self.middle - half, foot - front * sin, self.wall + out),
                along: Vector::X,
                // Seen from above: its y runs back to the wall.
                up: Vector::new(0.0, sin, -cos),
                thickness: sill.thickness.inches(),
                bevels: Vec::new(),
            });
            foot -= sill.thickness.inches() / cos;
        }
        if let Some(apron) = &legs.apron {
            let width = 2.0 * (self.outer(legs) - apron.inset.inches());
            let (height, thickness) = (apron.height.inches(), apron.thickness.inches());
            if width > 0.0 {
                let size = (width, height, thickness);
                plan.boards
                    .push(self.upright("apron", self.middle, foot - height, size, 0.0));
            }
        }
    }

    fn findings(&self, legs: &Legs, say: Rounding) -> Vec<Finding> {
        let warning = |code, text| Finding {
            severity: Severity::Warning,
            code,
            piece: None,
            text,
        };
        let word = legs.sort.word();
        let mut found = Vec::new();
        let past = self.outer(legs) - (self.board.1 - self.board.0) / 2.0;
        if past > 1e-9 {
            found.push(warning(
                "legs-past-head",
                format!(
                    "Each {word}'s outer edge stands {} past the head's end: a longer head, or \
                     narrower legs, are needed.",
                    say.words(past)
                ),
            ));
        }
        let under = legs
            .cap_block
            .map_or(legs.thickness, |block| block.thickness);
        let head = self.face - self.wall;
        if under.inches() > head + 1e-9 {
            found.push(warning(
                "legs-past-face",
                format!(
                    "Under the head stands {} of thickness, but the head's board is only {}: its \
                     end grain would show above.",
                    say.words(under.inches()),
                    say.words(head)
                ),
            ));
        }
        for (what, block) in [("plinth", legs.plinth), ("cap block", legs.cap_block)] {
            if let Some(block) = block
                && (block.width < legs.width || block.thickness < legs.thickness)
            {
                found.push(warning(
                    "block-too-small",
                    format!(
                        "The {what} is smaller than the {word}, which would stand out past it: \
                         common practice is wider and thicker."
                    ),
                ));
            }
        }
        if legs
            .apron
            .is_some_and(|a| a.inset.inches() >= self.outer(legs))
        {
            let text = "The apron's insets leave nothing of it: it is left out.".to_owned();
            found.push(warning("board-vanishes", text));
        }
        found
    }
}

fn no_leg(legs: &Legs, length: f64, say: Rounding) -> Finding {
    Finding {
        severity: Severity::Error,
        code: "board-vanishes",
        piece: None,
        text: format!(
            "Plinth and cap block are {} taller than the opening with its reveal: nothing is left \
             for the {}.",
            say.words(-length),
            legs.sort.word()
        ),
    }
}
