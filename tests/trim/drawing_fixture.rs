//! Pieces for the drawing tests, made here in a few lines of their own so
//! that the pictures are not checked with the engine that feeds them, and
//! whole heads from the engine. The rotation of each hold is written from its words in trade terms: which
//! side of the stock faces the fence and which lies on the bed.

use headwright::trim::sheet::{
    Block, Cut, Hold, Joint, Leg, Piece, PointKind, SectionPoint, Setting,
};
use headwright::trim::space::{Point, Vector};
use headwright::trim::{Design, Rules, Sheet, solve};
use serde_json::{Value, json};

pub const HOLDS: [Hold; 8] = [
    Hold::OnEdge,
    Hold::Upright,
    Hold::Flat,
    Hold::Inverted,
    Hold::SprungFlat,
    Hold::SprungFlatTurned,
    Hold::FlatTurned,
    Hold::SprungNested,
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
        // The back looks along −n, the lower edge along −b.
        Hold::FlatTurned => ((0.0, -1.0), (-1.0, 0.0)),
        // The wall side looks along −n, the top along b; so do a sprung
        // crown's two narrow lands when it stands in its spring angle.
        Hold::Inverted | Hold::SprungNested => ((-1.0, 0.0), (0.0, 1.0)),
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

/// The stock turned a quarter about the upright: against a block at the right
/// what was right along the fence comes towards the operator, against one at
/// the left what was left.
pub fn quarter(block: Option<Block>, v: Vector) -> Vector {
    match block {
        None => v,
        Some(Block::Right) => Vector::new(v.y, -v.x, v.z),
        Some(Block::Left) => Vector::new(-v.y, v.x, v.z),
    }
}

/// The saw set for `plane` held so.
pub fn setting(hold: Hold, spring: f64, leg: &Leg, plane: Vector) -> Setting {
    blocked(hold, None, spring, (leg, plane))
}

/// The same against a block.
pub fn blocked(
    hold: Hold,
    block: Option<Block>,
    spring: f64,
    (leg, plane): (&Leg, Vector),
) -> Setting {
    let frame = held_frame(hold, spring);
    let q = quarter(block, at_saw(&frame, leg, plane));
    let q = if q.x < 0.0 { -q } else { q };
    Setting {
        hold,
        swing: q.y.atan2(q.x),
        tilt: q.z.clamp(-1.0, 1.0).asin(),
        block,
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

/// A sprung crown at 38°: flat back, no wood at (0, 0).
pub const SPRUNG: [(f64, f64); 8] = [
    (0.0, -2.816),
    (0.0, -3.2),
    (0.4, -3.2),
    (1.0, -2.3),
    (1.5, -1.1),
    (2.6, -0.5),
    (2.6, 0.0),
    (2.2, 0.0),
];

/// The sheet of a design in the contract's form.
pub fn sheet(design: &Value) -> Sheet {
    let read = Design::from_json(design).unwrap_or_else(|wrong| panic!("{design}: {wrong}"));
    solve(&read, &Rules::default()).unwrap_or_else(|wrong| panic!("{design}: {wrong}"))
}

/// Heads of several kinds, invented.
pub fn heads() -> Vec<(&'static str, Value)> {
    let board = json!({"thickness": "3/4", "height": "5 1/2"});
    let cap = json!({"thickness": "3/4", "front": "2 3/4", "overhang": "2"});
    let crown = json!({"projection": "1 1/2", "height": "2", "back": "solid"});
    let sprung = |hold: &str| {
        let run = |x: f64| json!([x, 0, -0.75]);
        json!({"unit": "in", "kind": "runs", "name": "Bay", "runs": [{
            "name": "crown", "section": SPRUNG.map(|(u, v)| [u, v]), "spring_degrees": 38,
            "holds": [hold], "path": [run(0.0), [0, 0, 0], [38, 0, 0], run(38.0)],
            "normals": [[-1, 0, 0], [0, 0, 1], [1, 0, 0]], "start": "square", "end": "square"}]})
    };
    let turned = json!({"unit": "in", "kind": "runs", "name": "Bay", "runs": [{
        "name": "crown", "section": [[0, 0], [1.5, 0], [0, -2]],
        "path": [[0, 0, 0], [20, 0, 0], [34, 0, 14]], "normals": [[0, 0, 1], [-0.5_f64.sqrt(), 0, 0.5_f64.sqrt()]],
        "start": "square", "end": "square"}]});
    let gable = |name: &str| {
        json!({"unit": "in", "kind": "gable", "name": name, "span": "41 1/2", "wing": "7 1/4",
            "pitch": {"rise": 7, "run": 12}, "board": board, "cap": cap, "crown": crown})
    };
    let mut drops = gable("North porch door");
    drops["drops"] = json!({"width": "3 1/2", "thickness": "3/4", "inset": "3/4", "length": "7", "point_degrees": 45});
    let mut built = drops.clone();
    built["as_built"] = json!({"left_rake": "15 5/8", "right_rake": "15 5/16",
        "left_foot_degrees": 15.1, "right_foot_degrees": 15.1, "peak_degrees": 30.2});
    let mut low = gable("Shallow gable");
    (low["span"], low["pitch"]) = (json!("69 5/8"), json!({"degrees": 9}));
    let mut steep = gable("Steep gable");
    (steep["span"], steep["pitch"]) = (json!(30), json!({"degrees": 58}));
    let mut peak = gable("Plain peak");
    peak["wing"] = json!(0);
    let saw = json!({"swing_left": 50, "swing_right": 50, "tilt_left": 45, "tilt_right": 0,
        "max_height": 4, "max_depth": 8, "kerf": "1/8"});
    let closed = json!({"unit": "in", "kind": "closed-gable", "name": "Pediment", "span": 44,
        "pitch": {"rise": 7, "run": 12}, "board": board, "cap": cap, "crown": crown,
        "foot": "level-cut", "saw": saw});
    let mut nested = sprung("sprung-flat");
    nested["saw"] = json!({"sprung": "nested"});
    let flat = json!({"unit": "in", "kind": "flat", "name": "Kitchen window", "span": 38,
        "board": board, "cap": cap, "crown": crown});
    vec![
        ("drops", drops),
        ("built", built),
        ("low", low),
        ("steep", steep),
        ("peak", peak),
        ("flat", flat),
        ("sprung", sprung("sprung-flat")),
        ("turned", sprung("sprung-flat-turned")),
        ("bay", turned),
        ("block", closed),
        ("nested", nested),
    ]
}
