//! Heads for the other tests: random ones, and short ways to write one.

use headwright::measure::{SpringAngle, Unit};
use headwright::trim::design::{End, Run, Section};
use headwright::trim::sheet::Hold;
use headwright::trim::space::Vector;
use headwright::trim::{Design, Rules, Sheet, design::Kind, solve};
use proptest::prelude::*;
use serde_json::{Value, json};

/// The design written as JSON.
pub fn design(value: &Value) -> Design {
    Design::from_json(value).unwrap_or_else(|wrong| panic!("{wrong}\n{value}"))
}

/// The design solved.
pub fn solved(design: &Design) -> Sheet {
    solve(design, &Rules::default()).unwrap_or_else(|wrong| panic!("{wrong}\n{design:?}"))
}

/// A head of one general run.
pub fn of_run(run: Run) -> Design {
    Design {
        unit: Unit::Inch,
        name: String::new(),
        kind: Kind::Runs(vec![run]),
        legs: None,
        saw: None,
        as_built: None,
    }
}

/// A turn at a corner: in plan (about **b**) or in the face (about **n**),
/// radians, positive towards the outside.
#[derive(Debug, Clone, Copy)]
pub enum Bend {
    Plan(f64),
    Rise(f64),
}

pub fn array(v: Vector) -> [f64; 3] {
    [v.x, v.y, v.z]
}

/// `v` turned about the unit axis `k` by `angle`, right-handed.
pub fn turned(v: Vector, k: Vector, angle: f64) -> Vector {
    let (sin, cos) = angle.sin_cos();
    v * cos + k.cross(v) * sin + k * (k.dot(v) * (1.0 - cos))
}

/// A run along legs of the given lengths with the given corners; every corner
/// turns the frame as a whole, so that it closes.
pub fn bent_run(name: &str, section: &[[f64; 2]], lengths: &[f64], bends: &[Bend]) -> Run {
    let (mut d, mut n) = (Vector::X, Vector::Z);
    let (mut path, mut normals) = (vec![[0.0; 3]], Vec::new());
    let mut at = Vector::new(0.0, 0.0, 0.0);
    for (i, &length) in lengths.iter().enumerate() {
        if let Some(bend) = i.checked_sub(1).and_then(|i| bends.get(i)) {
            let b = n.cross(d);
            match *bend {
                // Outside: the path turns away from n.
                Bend::Plan(angle) => {
                    d = turned(d, b, angle);
                    n = turned(n, b, angle);
                }
                // Outside: the path turns away from b.
                Bend::Rise(angle) => d = turned(d, n, -angle),
            }
        }
        at = at + d * length;
        path.push(array(at));
        normals.push(array(n));
    }
    Run {
        name: name.to_owned(),
        section: Section::Corners(section.to_vec()),
        holds: Vec::new(),
        spring: None,
        path,
        normals,
        start: End::Square,
        end: End::Square,
        meets: [None, None],
    }
}

/// The mirror image of a run in x = 0, running from its own left.
pub fn mirrored(run: &Run) -> Run {
    let flip = |p: &[f64; 3]| [-p[0], p[1], p[2]];
    Run {
        path: run.path.iter().rev().map(flip).collect(),
        normals: run.normals.iter().rev().map(flip).collect(),
        start: run.end,
        end: run.start,
        ..run.clone()
    }
}

/// The run `k` times as large.
pub fn scaled(run: &Run, k: f64) -> Run {
    let Section::Corners(corners) = &run.section else {
        panic!("a run of corners")
    };
    Run {
        path: run.path.iter().map(|p| p.map(|x| x * k)).collect(),
        section: Section::Corners(corners.iter().map(|p| p.map(|x| x * k)).collect()),
        ..run.clone()
    }
}

/// A solid or sprung section that goes with its holds.
fn profile() -> impl Strategy<Value = (Vec<[f64; 2]>, Vec<Hold>, Option<f64>, &'static str)> {
    let crown = (0.5..3.0_f64, 0.5..4.0_f64).prop_map(|(p, h)| {
        let section = vec![[0.0, 0.0], [p, 0.0], [p * 0.9, -h * 0.2], [0.0, -h]];
        (section, vec![Hold::Inverted, Hold::Flat], None, "crown")
    });
    let cap = (0.5..4.0_f64, 0.5..1.5_f64, 0.5..1.5_f64).prop_map(|(front, thick, back)| {
        let section = vec![[-back, 0.0], [front, 0.0], [front, thick], [-back, thick]];
        (section, vec![Hold::OnEdge, Hold::Upright], None, "cap")
    });
    let sprung = (20.0..70.0_f64, 2.0..5.0_f64, any::<bool>()).prop_map(|(s, w, turned)| {
        let (sin, cos) = s.to_radians().sin_cos();
        let section = vec![
            [0.0, -w * cos],
            [w * sin, 0.0],
            [w * sin - 0.2, 0.0],
            [0.0, 0.2 - w * cos],
        ];
        let hold = if turned {
            Hold::SprungFlatTurned
        } else {
            Hold::SprungFlat
        };
        (section, vec![hold], Some(s), "crown")
    });
    prop_oneof![crown, cap, sprung]
}

fn bend() -> impl Strategy<Value = Bend> {
    let angle = || prop_oneof![10.0..120.0_f64, -120.0..-10.0_f64].prop_map(f64::to_radians);
    prop_oneof![angle().prop_map(Bend::Plan), angle().prop_map(Bend::Rise)]
}

/// Any run whose corners all close.
pub fn any_run() -> impl Strategy<Value = Run> {
    let corners = proptest::collection::vec((bend(), 8.0..60.0_f64), 1..7);
    (profile(), 8.0..60.0_f64, corners).prop_map(|((section, holds, spring, name), first, rest)| {
        let lengths: Vec<f64> = std::iter::once(first)
            .chain(rest.iter().map(|r| r.1))
            .collect();
        let bends: Vec<Bend> = rest.iter().map(|r| r.0).collect();
        Run {
            holds,
            spring: spring.map(SpringAngle::from_degrees),
            ..bent_run(name, &section, &lengths, &bends)
        }
    })
}

/// A gable whose measures are whole sixteenths, with drops that fit.
pub fn any_gable() -> impl Strategy<Value = Value> {
    let sixteenths = |from: i32, to: i32| (from..to).prop_map(|n| f64::from(n) / 16.0);
    let drops = (
        sixteenths(8, 40),
        sixteenths(8, 16),
        sixteenths(0, 16),
        any::<bool>(),
    );
    let sizes = (sixteenths(16, 40), sixteenths(16, 60), sixteenths(12, 21));
    (sixteenths(480, 1500), sixteenths(112, 160), 5.0..60.0_f64, sizes, drops).prop_map(
        |(span, wing, pitch, (projection, height, thickness), drop)| {
            let (width, out, inset, with) = drop;
            let mut head = json!({
                "unit": "in", "name": "any gable", "kind": "gable", "span": span, "wing": wing,
                "pitch": {"degrees": pitch},
                "board": {"thickness": thickness, "height": 5.5},
                "cap": {"thickness": 0.75, "front": projection + 1.5, "overhang": projection + 0.5},
                "crown": {"projection": projection, "height": height, "back": "solid"},
            });
            if with {
                head["drops"] = json!({"width": width, "thickness": out, "inset": inset, "length": 7,
                    "point_degrees": 45});
            }
            head
        },
    )
}
