//! Sheets for the drawing tests, solved here in a few lines of their own so
//! that the drawings are not checked with the engine that feeds them. The
//! rotation of each hold is written from its words in trade terms: which
//! side of the stock faces the fence and which lies on the bed.

use headwright::trim::sheet::{
    Board, Cut, Hold, Joint, Leg, Piece, PointKind, SawMoves, SectionPoint, Setting, Sheet,
    SolvedRun,
};
use headwright::trim::space::{Point, Vector};

pub const HOLDS: [Hold; 6] = [
    Hold::OnEdge,
    Hold::Upright,
    Hold::Flat,
    Hold::Inverted,
    Hold::SprungFlat,
    Hold::SprungFlatTurned,
];

/// Turns a leg's frame into the saw's: images of d, b, n, from two facts
/// about the hold, "this side faces the fence, that side lies on the bed";
/// d follows as b × n.
pub fn held_frame(hold: Hold, spring: f64) -> [Vector; 3] {
    let (fence, down) = (Vector::Y, -Vector::Z);
    let (s, c) = spring.sin_cos();
    // Directions of the section as (along n, along b).
    let (to_fence, to_bed) = match hold {
        // The seat is the face at v = 0, looking along −b; the front edge
        // looks along n.
        Hold::OnEdge => ((0.0, -1.0), (1.0, 0.0)),
        // The back edge looks along −n, the seat along −b.
        Hold::Upright => ((-1.0, 0.0), (0.0, -1.0)),
        // The back looks along −n, the upper edge along b.
        Hold::Flat => ((0.0, 1.0), (-1.0, 0.0)),
        // The wall side looks along −n, the top along b.
        Hold::Inverted => ((-1.0, 0.0), (0.0, 1.0)),
        // The flat back rises from the wall along (sin s, cos s) to the
        // edge that meets the cap; it looks towards the wall and up.
        Hold::SprungFlat => ((s, c), (-c, s)),
        Hold::SprungFlatTurned => ((-s, -c), (-c, s)),
    };
    // n = (n·to_fence) fence + (n·to_bed) down, and likewise b.
    let n = fence * to_fence.0 + down * to_bed.0;
    let b = fence * to_fence.1 + down * to_bed.1;
    [b.cross(n), b, n]
}

/// A vector of the head's space in the saw's frame.
pub fn at_saw(frame: &[Vector; 3], leg: &Leg, v: Vector) -> Vector {
    frame[0] * v.dot(leg.d) + frame[1] * v.dot(leg.b) + frame[2] * v.dot(leg.n)
}

/// The saw set for `plane` held so.
pub fn setting(hold: Hold, spring: f64, leg: &Leg, plane: Vector) -> Setting {
    let frame = held_frame(hold, spring);
    let q = at_saw(&frame, leg, plane);
    let q = if q.x < 0.0 { -q } else { q };
    Setting {
        hold,
        swing: q.y.atan2(q.x),
        tilt: q.z.clamp(-1.0, 1.0).asin(),
    }
}

pub fn cut(leg: &Leg, plane: Vector, hook: SectionPoint, setting: Setting) -> Cut {
    let forward = plane.dot(leg.d);
    Cut {
        plane,
        point: PointKind::Mixed,
        joint: Joint::End,
        mate: None,
        hook,
        setting,
        per_u: -plane.dot(leg.n) / forward,
        per_v: -plane.dot(leg.b) / forward,
    }
}

pub fn leg(start: Point, end: Point, n: Vector) -> Leg {
    let d = (end - start).unit().expect("a leg has length");
    Leg {
        start,
        end,
        d,
        n,
        b: n.cross(d),
    }
}

/// A piece from its leg and its two cuts; the lengths follow.
pub fn piece(label: &str, section: &[SectionPoint], leg: Leg, left: Cut, right: Cut) -> Piece {
    let reference = (leg.end - leg.start).length();
    let length = |p: &SectionPoint| {
        reference + (right.per_u - left.per_u) * p.u + (right.per_v - left.per_v) * p.v
    };
    let off = |c: &Cut, p: &SectionPoint| c.per_u * p.u + c.per_v * p.v;
    let fold = |c: &Cut, f: fn(f64, f64) -> f64, from: f64| {
        section.iter().map(|p| off(c, p)).fold(from, f)
    };
    Piece {
        label: label.to_owned(),
        leg,
        reference,
        tape: length(&left.hook),
        overall: reference + fold(&right, f64::max, f64::NEG_INFINITY)
            - fold(&left, f64::min, f64::INFINITY),
        shortest: section.iter().map(length).fold(f64::INFINITY, f64::min),
        left,
        right,
    }
}

pub fn points(section: &[(f64, f64)]) -> Vec<SectionPoint> {
    section
        .iter()
        .map(|&(u, v)| SectionPoint { u, v })
        .collect()
}

/// A run along a path, square at both ends, each cut in the first hold that
/// needs least tilt.
pub fn run(
    name: &str,
    section: &[(f64, f64)],
    spring: Option<f64>,
    holds: &[Hold],
    path: &[(f64, f64, f64)],
    normals: &[Vector],
) -> SolvedRun {
    let section = points(section);
    let path: Vec<Point> = path.iter().map(|&(x, y, z)| Point::new(x, y, z)).collect();
    let legs: Vec<Leg> = path
        .windows(2)
        .zip(normals)
        .map(|(w, n)| leg(w[0], w[1], *n))
        .collect();
    let plane = |i: usize| {
        let before = i.checked_sub(1).and_then(|i| legs.get(i));
        match (before, legs.get(i)) {
            (Some(a), Some(b)) => (a.d + b.d).unit().expect("no turn back"),
            (Some(l), None) | (None, Some(l)) => l.d,
            (None, None) => Vector::X,
        }
    };
    let hook = hook_of(&section);
    let one = |leg: &Leg, p: Vector| {
        let best = holds
            .iter()
            .map(|h| setting(*h, spring.unwrap_or(0.0), leg, p))
            .min_by(|a, b| {
                let key = |s: &Setting| (s.tilt.abs() * 1e7).round();
                key(a).total_cmp(&key(b))
            });
        cut(leg, p, hook, best.expect("a hold"))
    };
    let pieces = legs
        .iter()
        .enumerate()
        .map(|(i, leg)| {
            let label = format!("{name}-{}", i + 1);
            let (left, right) = (one(leg, plane(i)), one(leg, plane(i + 1)));
            piece(&label, &section, *leg, left, right)
        })
        .collect();
    SolvedRun {
        name: name.to_owned(),
        section,
        spring,
        pieces,
    }
}

fn hook_of(section: &[SectionPoint]) -> SectionPoint {
    let origin = |p: &&SectionPoint| p.u == 0.0 && p.v == 0.0;
    let nearest =
        |a: &&SectionPoint, b: &&SectionPoint| a.u.total_cmp(&b.u).then(a.v.total_cmp(&b.v));
    *section
        .iter()
        .find(origin)
        .or_else(|| section.iter().min_by(nearest))
        .expect("a section has points")
}

/// A gable; with drops if `drop` gives inset, width and thickness.
pub fn gable(span: f64, wing: f64, pitch: f64, drop: Option<(f64, f64, f64)>) -> Sheet {
    let (board_t, height, over) = (0.75, 5.5, 2.0);
    let rise = (span / 2.0 - wing) * pitch.tan();
    let (z, x) = (Vector::Z, Vector::X);
    let half_cap = [(-over, 0.0, 0.0), (wing, 0.0, 0.0)];
    let mut half: Vec<((f64, f64, f64), Vector)> =
        vec![((0.0, 0.0, -board_t), -x), ((0.0, 0.0, 0.0), z)];
    if let Some((a, d, e)) = drop {
        half.extend([
            ((a, 0.0, 0.0), -x),
            ((a, 0.0, e), z),
            ((a + d, 0.0, e), x),
            ((a + d, 0.0, 0.0), z),
        ]);
    }
    half.push(((wing, 0.0, 0.0), z));
    let mirror = |(px, py, pz): (f64, f64, f64)| (span - px, py, pz);
    let peak = (span / 2.0, rise, 0.0);
    let mut path: Vec<_> = half.iter().map(|(p, _)| *p).collect();
    path.push(peak);
    path.extend(half.iter().rev().map(|(p, _)| mirror(*p)));
    let mut normals: Vec<_> = half.iter().map(|(_, n)| *n).collect();
    normals.extend(half.iter().rev().map(|(_, n)| Vector::new(-n.x, n.y, n.z)));
    let mut cap = half_cap.to_vec();
    cap.push(peak);
    cap.extend(half_cap.iter().rev().map(|p| mirror(*p)));
    let outline = vec![
        (0.0, 0.0),
        (span, 0.0),
        (span, height),
        (span - wing, height),
        (span / 2.0, height + rise),
        (wing, height),
        (0.0, height),
    ];
    let mut boards = vec![Board {
        label: "board".to_owned(),
        outline,
        origin: Point::new(0.0, -height, -board_t),
        thickness: board_t,
    }];
    for left in drop
        .map(|(a, d, e)| [(a, d, e), (span - a - d, d, e)])
        .into_iter()
        .flatten()
    {
        let (a, d, e) = left;
        boards.push(Board {
            label: "drop".to_owned(),
            outline: vec![
                (d / 2.0, 0.0),
                (d, d / 2.0),
                (d, 7.0),
                (0.0, 7.0),
                (0.0, d / 2.0),
            ],
            origin: Point::new(a, -7.0, 0.0),
            thickness: e,
        });
    }
    Sheet {
        head: "North porch door".to_owned(),
        findings: Vec::new(),
        runs: vec![
            run(
                "cap",
                &CAP,
                None,
                &[Hold::OnEdge, Hold::Upright],
                &cap,
                &[z; 4],
            ),
            run(
                "crown",
                &CROWN,
                None,
                &[Hold::Inverted, Hold::Flat],
                &path,
                &normals,
            ),
        ],
        boards,
        saw_moves: SawMoves { walk: 28, gang: 6 },
    }
}

pub const CAP: [(f64, f64); 4] = [(-0.75, 0.0), (2.75, 0.0), (2.75, 0.75), (-0.75, 0.75)];
pub const CROWN: [(f64, f64); 3] = [(0.0, 0.0), (1.5, 0.0), (0.0, -2.0)];
/// A sprung crown at 38°: flat back, no wood at (0, 0).
pub const SPRUNG: [(f64, f64); 8] = [
    (2.2, 0.0),
    (2.2, -0.35),
    (1.8, -0.9),
    (1.0, -1.7),
    (0.6, -2.6),
    (0.25, -2.816),
    (0.0, -2.816),
    (1.9, -0.384),
];

/// A flat head with a sprung crown that returns at both ends.
pub fn flat_sprung(span: f64, hold: Hold) -> Sheet {
    let (z, x) = (Vector::Z, Vector::X);
    let path = [
        (0.0, 0.0, -0.75),
        (0.0, 0.0, 0.0),
        (span, 0.0, 0.0),
        (span, 0.0, -0.75),
    ];
    let spring = Some(38_f64.to_radians());
    let cap = [(-2.75, 0.0, 0.0), (span + 2.75, 0.0, 0.0)];
    Sheet {
        head: "Kitchen window".to_owned(),
        findings: Vec::new(),
        runs: vec![
            run(
                "cap",
                &[(-0.75, 0.0), (3.25, 0.0), (3.25, 0.75), (-0.75, 0.75)],
                None,
                &[Hold::OnEdge, Hold::Upright],
                &cap,
                &[z],
            ),
            run("crown", &SPRUNG, spring, &[hold], &path, &[-x, z, x]),
        ],
        boards: vec![Board {
            label: "board".to_owned(),
            outline: vec![(0.0, 0.0), (span, 0.0), (span, 7.25), (0.0, 7.25)],
            origin: Point::new(0.0, -7.25, -0.75),
            thickness: 0.75,
        }],
        saw_moves: SawMoves { walk: 6, gang: 2 },
    }
}
