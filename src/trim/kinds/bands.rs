//! Smaller mouldings below the crown: a bed mould that follows the crown, a
//! neck mould level across the board.

use crate::measure::{Rounding, Unit};
use crate::trim::design::{Band, Body, Drops, End, Kind};
use crate::trim::sheet::{Bend, Finding, SectionPoint, Severity};
use crate::trim::solve::Rules;
use crate::trim::space::{Point, Vector};

use super::gable::{self, Drop};
use super::lower::lowered;
use super::overlap::{overlap, placed};
use super::parts::{self, Profile};
use super::{Plan, RunPlan, of_kind, path::Path};

/// Adds bed and neck mould, and what must be said about them.
pub(super) fn add(plan: &mut Plan, kind: &Kind, body: &Body, unit: Unit, rules: &Rules) {
    let say = rules.rounding;
    let bed = body.bed.as_ref().map(|band| Placed::new(band, unit));
    let neck = body.neck.as_ref().map(|band| Placed::new(band, unit));
    if let Some(bed) = &bed {
        add_bed(plan, kind, bed, unit, rules);
        below_board(plan, "bed mould", "bed", bed, body, say);
    }
    if let Some(neck) = &neck {
        add_neck(plan, kind, body, neck, say);
        below_board(plan, "neck mould", "neck", neck, body, say);
    }
    let crown = body.crown.as_ref().map(|crown| parts::crown(crown, unit));
    let crown = level_crown(kind, unit).or(crown).map(|profile| Placed {
        profile,
        below: 0.0,
    });
    let steep = 1.0 / slope_at_end(kind).cos();
    // Bed and crown run side by side; the neck stays level where they climb.
    let pairs = [
        (("crown", &crown, 1.0), ("bed mould", &bed, 1.0)),
        (("crown", &crown, steep), ("neck mould", &neck, 1.0)),
        (("bed mould", &bed, steep), ("neck mould", &neck, 1.0)),
    ];
    for ((one, a, k), (two, b, l)) in pairs {
        if let (Some(a), Some(b)) = (a, b)
            && overlap(&a.outline(k), &b.outline(l))
        {
            plan.findings.push(overlapping(one, two));
        }
    }
}

/// A band ready to be run, inches.
struct Placed {
    profile: Profile,
    below: f64,
}

impl Placed {
    fn new(band: &Band, unit: Unit) -> Self {
        Self {
            profile: parts::crown(&band.moulding, unit),
            below: band.below.inches(),
        }
    }

    fn outline(&self, times: f64) -> Vec<SectionPoint> {
        placed(&self.profile.section, -self.below * times, times)
    }

    /// From the top edge down to its lowest and its highest arris.
    fn reach(&self) -> (f64, f64) {
        let low = self.below + self.profile.largest(0.0, -1.0);
        (low, self.below - self.profile.largest(0.0, 1.0))
    }
}

/// The crown that a closed gable's lower mouldings stand under.
fn level_crown(kind: &Kind, unit: Unit) -> Option<Profile> {
    match kind {
        Kind::ClosedGable(closed) => closed.level_crown.as_ref().map(|c| parts::crown(c, unit)),
        _ => None,
    }
}

/// Slope of the crown where it starts at the board's end, radians.
fn slope_at_end(kind: &Kind) -> f64 {
    match kind {
        Kind::Gable(gable) if gable.wing.inches() <= 0.0 => gable.pitch.radians(),
        Kind::BrokenGable(broken) if broken.wing.inches() <= 0.0 => broken.pitch.radians(),
        Kind::Arched(arched) => {
            let rise = arched.rise.inches() / arched.body.span.inches();
            // Half the arc, kept off upright for a half circle and more.
            (2.0 * (2.0 * rise).atan()).min(1.4)
        }
        _ => 0.0,
    }
}

/// The bed mould along each run that the crown follows, or would follow.
fn add_bed(plan: &mut Plan, kind: &Kind, bed: &Placed, unit: Unit, rules: &Rules) {
    let (runs, bends) = crowns(plan, kind, unit, rules);
    for run in runs {
        let name = run
            .name
            .replace("level-crown", "bed")
            .replace("crown", "bed");
        let run = RunPlan {
            section: bed.profile.section.clone(),
            curves: bed.profile.curves.clone(),
            spring: bed.profile.spring,
            name: name.clone(),
            ..run
        };
        match lowered(run, bed.below) {
            Some(run) => plan.runs.push(run),
            None => plan.findings.push(no_room(&name)),
        }
    }
    for bend in bends {
        plan.bends.push(lowered_bend(&bend, bed));
    }
}

/// The runs and bends of the crown that a bed mould goes under; where the
/// head has no crown, those it would have.
fn crowns(plan: &Plan, kind: &Kind, unit: Unit, rules: &Rules) -> (Vec<RunPlan>, Vec<Bend>) {
    let level_only = matches!(kind, Kind::ClosedGable(_));
    let wanted = |name: &str| match name {
        "level-crown" => true,
        "crown" | "left-crown" | "right-crown" => !level_only,
        _ => false,
    };
    let of = |plan: &Plan| -> (Vec<RunPlan>, Vec<Bend>) {
        let runs = plan.runs.iter().filter(|run| wanted(&run.name));
        let bends = plan.bends.iter().filter(|bend| wanted(&bend.run));
        (runs.cloned().collect(), bends.cloned().collect())
    };
    let found = of(plan);
    if !found.0.is_empty() || !found.1.is_empty() {
        return found;
    }
    with_crown(kind)
        .and_then(|kind| of_kind(&kind, unit, rules).ok())
        .map_or(found, |twin| of(&twin))
}

/// The same head with its bed mould in the crown's place.
fn with_crown(kind: &Kind) -> Option<Kind> {
    let mut kind = kind.clone();
    let body = match &mut kind {
        Kind::Flat(body) => body,
        Kind::Gable(gable) => &mut gable.body,
        Kind::BrokenGable(broken) => &mut broken.body,
        Kind::Arched(arched) => &mut arched.body,
        Kind::Bay(bay) => &mut bay.body,
        Kind::ClosedGable(closed) => {
            closed.level_crown = closed.body.bed.as_ref().map(|bed| bed.moulding.clone());
            &mut closed.body
        }
        Kind::Assembly(_) | Kind::Runs(_) => return None,
    };
    body.crown = body.bed.as_ref().map(|bed| bed.moulding.clone());
    Some(kind)
}

fn lowered_bend(bend: &Bend, bed: &Placed) -> Bend {
    let developed = |v: f64| bend.arc * (bend.radius - bed.below + v);
    Bend {
        run: bend.run.replace("crown", "bed"),
        section: bed.profile.section.clone(),
        radius: bend.radius - bed.below,
        developed: developed(0.0),
        inner: developed(-bed.profile.largest(0.0, -1.0)),
        outer: developed(bed.profile.largest(0.0, 1.0)),
        ..*bend
    }
}

/// Level across the board and back to the wall at both ends.
fn add_neck(plan: &mut Plan, kind: &Kind, body: &Body, neck: &Placed, say: Rounding) {
    let thickness = body.board.thickness.inches();
    let path = match kind {
        Kind::Bay(bay) => super::bay::wrapped(bay),
        Kind::Gable(gable) => {
            let drop = gable
                .drops
                .as_ref()
                .filter(|drops| fits(drops, gable.wing.inches()))
                .and_then(|drops| round_drop(plan, drops, neck, say));
            across(body.span.inches(), thickness, drop)
        }
        _ => across(body.span.inches(), thickness, None),
    };
    let (start, end) = match kind {
        Kind::Bay(bay) => super::bay::ends(bay),
        _ => (End::Square, End::Square),
    };
    let run = path.run("neck", &neck.profile, start, end);
    match lowered(run, neck.below) {
        Some(run) => plan.runs.push(run),
        None => plan.findings.push(no_room("neck")),
    }
}

fn across(span: f64, thickness: f64, drop: Option<Drop>) -> Path {
    let left = gable::lower_left(Point::new(0.0, 0.0, 0.0), Vector::X, thickness, drop);
    let middle = Point::new(span / 2.0, 0.0, 0.0);
    let right = Path::from(middle).then(&left.clone().to(middle, Vector::Z).mirrored(span));
    left.to(middle, Vector::Z).then(&right)
}

fn fits(drops: &Drops, wing: f64) -> bool {
    drops.inset.inches() + drops.width.inches() <= wing
}

/// The drop that a neck mould goes round, `None` if it passes below it.
fn round_drop(plan: &mut Plan, drops: &Drops, neck: &Placed, say: Rounding) -> Option<Drop> {
    let point = drops.width.inches() / 2.0 * drops.point_degrees.to_radians().tan();
    let (length, full) = (drops.length.inches(), drops.length.inches() - point);
    let (low, high) = neck.reach();
    if length <= high + 1e-9 {
        return None;
    }
    if full < low - 1e-9 {
        plan.findings.push(Finding {
            severity: Severity::Warning,
            code: "neck-meets-drop",
            piece: None,
            text: format!(
                "The neck mould lies between {} and {} below the top edge, but the drop is whole \
                 only down to {}: the neck mould would go round thin air. Move it or lengthen \
                 the drop.",
                say.words(high),
                say.words(low),
                say.words(full)
            ),
        });
    }
    let inset = drops.inset.inches();
    Some(Drop {
        inset,
        far: inset + drops.width.inches(),
        thickness: drops.thickness.inches(),
    })
}

fn no_room(name: &str) -> Finding {
    Finding {
        severity: Severity::Error,
        code: "piece-vanishes",
        piece: None,
        text: format!(
            "So far below the top edge one piece of the {name} has no length left: raise it, or \
             give the head a longer wing. It is left out of the sheet."
        ),
    }
}

fn overlapping(one: &str, two: &str) -> Finding {
    Finding {
        severity: Severity::Error,
        code: "mouldings-overlap",
        piece: None,
        text: format!(
            "The {one} and the {two} would stand in the same place: lower the {two}, or choose \
             smaller mouldings."
        ),
    }
}

fn below_board(plan: &mut Plan, what: &str, run: &str, band: &Placed, body: &Body, say: Rounding) {
    let (low, _) = band.reach();
    let height = body.board.height.inches();
    if low > height + 1e-9 {
        plan.findings.push(Finding {
            severity: Severity::Warning,
            code: "moulding-below-board",
            piece: Some(format!("{run}-1")),
            text: format!(
                "The {what} reaches {} below the top edge, past the board's lower edge at {}: it \
                 would have nothing behind it.",
                say.words(low),
                say.words(height)
            ),
        });
    }
}
