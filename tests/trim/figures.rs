//! Crown and hoppers (family A), the framing square (B) and units (J), row by
//! row of `tests/data/checks.json`, which names each row's source.
//!
//! A row whose number was seen in its source counts as *published*; a row
//! that was only recomputed counts as *derived*. The run prints both counts
//! and every row left out.

use headwright::measure::{Length, SpringAngle, Unit};
use headwright::trim::design::{Pitch, Run};
use headwright::trim::sheet::{Hold, Leg, Sheet};
use headwright::trim::solve::setting;
use headwright::trim::space::{Point, Vector};
use serde_json::{Value, json};

use super::heads::{Bend, array, bent_run, design, of_run, solved};
use super::published;

/// A row of the published figures.
struct Row(Value);

impl Row {
    fn id(&self) -> &str {
        self.0["id"].as_str().expect("an id")
    }

    fn input(&self, key: &str) -> f64 {
        let value = self.0["inputs"][key].as_f64();
        value.unwrap_or_else(|| panic!("{}: no {key}", self.id()))
    }

    /// Compares what was reckoned with what the row expects, all of it.
    fn expect(&self, got: &[(&str, f64)]) {
        let expected = self.0["expect"].as_object().expect("an object");
        let tolerance = self.0["tolerance"].as_f64().expect("a tolerance");
        assert_eq!(expected.len(), got.len(), "{}: every figure", self.id());
        for (key, got) in got {
            let want = expected[*key].as_f64().expect("a number");
            let off = (got - want).abs();
            assert!(
                off <= tolerance + 1e-9,
                "{} {key}: got {got}, want {want}",
                self.id()
            );
        }
    }
}

fn rows() -> Vec<Row> {
    let families = ["A-", "B-", "J-"].into_iter().flat_map(published::rows);
    families.map(|check| Row(check.row)).collect()
}

/// A sprung crown of face width 1 round one outside corner, lying flat.
fn crown(spring: f64, corner: f64) -> Run {
    let (sin, cos) = spring.to_radians().sin_cos();
    let section = [[0.0, -cos], [sin, 0.0], [sin * 0.9, 0.0]];
    let turn = (180.0 - corner).to_radians();
    Run {
        spring: Some(SpringAngle::from_degrees(spring)),
        holds: vec![Hold::SprungFlat],
        ..bent_run("crown", &section, &[30.0, 30.0], &[Bend::Plan(turn)])
    }
}

fn pieces(sheet: &Sheet) -> &[headwright::trim::sheet::Piece] {
    &sheet.runs[0].pieces
}

/// Swing and tilt at the corner, degrees without sign.
fn corner_setting(run: Run) -> (f64, f64) {
    let sheet = solved(&of_run(run));
    let setting = pieces(&sheet)[0].right.setting;
    (
        setting.swing.to_degrees().abs(),
        setting.tilt.to_degrees().abs(),
    )
}

fn crown_row(row: &Row) {
    let (miter, bevel) = corner_setting(crown(row.input("spring_deg"), row.input("corner_deg")));
    row.expect(&[("miter_deg", miter), ("bevel_deg", bevel)]);
}

fn nested_row(row: &Row) {
    let run = Run {
        holds: vec![Hold::Inverted],
        ..crown(38.0, row.input("corner_deg"))
    };
    let (miter, bevel) = corner_setting(run);
    row.expect(&[("miter_deg", miter), ("bevel_deg", bevel)]);
}

/// Where a leaning board's face looks: its back's normal at spring angle s.
fn face(leg: &Leg, spring: f64) -> Vector {
    leg.n * spring.cos() - leg.b * spring.sin()
}

fn hopper_row(row: &Row) {
    let (sides, lean) = (row.input("sides"), row.input("tilt_from_vertical_deg"));
    let sheet = solved(&of_run(crown(lean, 180.0 - 360.0 / sides)));
    let [one, two] = pieces(&sheet) else {
        panic!("two boards")
    };
    let setting = one.right.setting;
    let faces = face(&one.leg, lean.to_radians()).dot(face(&two.leg, lean.to_radians()));
    row.expect(&[
        ("miter_deg", setting.swing.to_degrees().abs()),
        ("bevel_deg", setting.tilt.to_degrees().abs()),
        ("dihedral_deg", 180.0 - faces.acos().to_degrees()),
    ]);
}

/// A butting board ends on its neighbour's face.
fn butt_row(row: &Row) {
    let lean = row.input("tilt_from_vertical_deg");
    let sheet = solved(&of_run(crown(lean, 90.0)));
    let [one, two] = pieces(&sheet) else {
        panic!("two boards")
    };
    let butt = setting(
        Hold::SprungFlat,
        lean.to_radians(),
        &one.leg,
        face(&two.leg, lean.to_radians()),
    );
    row.expect(&[("butt_bevel_deg", butt.tilt.to_degrees().abs())]);
}

/// The plane that slopes A along x and B along z: which way it falls, how
/// steeply.
fn wedge_row(row: &Row) {
    let slope = |key| row.input(key).to_radians().tan();
    let (a, b) = (slope("A_deg"), slope("B_deg"));
    let up = Vector::new(0.0, b, 1.0).cross(Vector::new(1.0, a, 0.0));
    row.expect(&[
        (
            "R_deg",
            up.z.atan2(up.x)
                .to_degrees()
                .abs()
                .min(180.0 - up.z.atan2(up.x).to_degrees().abs()),
        ),
        ("C_deg", (up.x.hypot(up.z) / up.y).atan().to_degrees()),
    ]);
}

/// The edge in which planes sloping A towards x and B towards z meet.
fn edge_row(row: &Row) {
    let slope = |key| row.input(key).to_radians().tan();
    let one = Vector::new(slope("A_deg"), 1.0, 0.0);
    let two = Vector::new(0.0, 1.0, slope("B_deg"));
    let edge = one.cross(two);
    row.expect(&[
        (
            "C_deg",
            (edge.y.abs() / edge.x.hypot(edge.z)).atan().to_degrees(),
        ),
        ("R_deg", (edge.z / edge.x).atan().to_degrees().abs()),
    ]);
}

/// The rake of a plain peak over a half span of `run`, inches.
fn rake(rise_per_foot: f64, run: f64) -> f64 {
    let head = json!({"unit": "in", "kind": "gable", "span": 2.0 * run, "wing": 0,
        "pitch": {"rise": rise_per_foot, "run": 12}, "board": {"thickness": 1, "height": 6},
        "crown": {"projection": 1, "height": 1, "back": "solid"}});
    pieces(&solved(&design(&head)))[0].reference
}

/// A leg from the origin, its normal upright above it.
fn leg_to(end: Vector) -> Leg {
    let d = end.unit().expect("a direction");
    let side = d.cross(Vector::Y).unit().expect("not upright");
    let n = side.cross(d);
    Leg {
        start: Point::new(0.0, 0.0, 0.0),
        end: Point::new(end.x, end.y, end.z),
        d,
        n,
        b: n.cross(d),
    }
}

/// Length of a hip over a square corner, from a run along it.
fn hip(run: f64, rise: f64) -> f64 {
    let leg = leg_to(Vector::new(run, rise, run));
    let line = Run {
        path: vec![[0.0; 3], [run, rise, run]],
        normals: vec![array(leg.n)],
        ..bent_run("hip", &[[0.0, 0.0], [1.0, 0.0], [0.0, -1.0]], &[1.0], &[])
    };
    pieces(&solved(&of_run(line)))[0].reference
}

/// What stands on the square's other arm for 12 along the timber.
fn side_cut(leg: &Leg, plane: Vector) -> f64 {
    12.0 / setting(Hold::Flat, 0.0, leg, plane).swing.tan().abs()
}

fn square_row(row: &Row, kind: &str) {
    let rise = row.input("rise_in_per_ft");
    match kind {
        "common" => {
            let pitch = Pitch::Slope { rise, run: 12.0 }.radians();
            row.expect(&[
                ("length_in", rake(rise, 12.0)),
                ("pitch_deg", pitch.to_degrees()),
            ]);
        }
        "hip" => row.expect(&[("length_in", hip(12.0, rise))]),
        "jack" => row.expect(&[
            ("diff16_in", rake(rise, 16.0)),
            ("diff24_in", rake(rise, 24.0)),
        ]),
        _ => {
            // A jack rafter ends in the hip's upright plane; a hip ends in the
            // ridge's.
            let jack = side_cut(
                &leg_to(Vector::new(12.0, rise, 0.0)),
                Vector::new(1.0, 0.0, -1.0),
            );
            let hip = side_cut(&leg_to(Vector::new(12.0, rise, 12.0)), Vector::X);
            row.expect(&[("jack_side_in", jack), ("hip_side_in", hip)]);
        }
    }
}

fn example_row(row: &Row) {
    match row.id() {
        "B-ex-navy" => {
            let run = row.input("common_run_ft");
            row.expect(&[("hip_ft", hip(run, run * row.input("rise_in_per_ft") / 12.0))]);
        }
        "B-ex-army" => {
            let length = rake(row.input("rise_in_per_ft"), 12.0 * row.input("run_ft"));
            row.expect(&[("length_ft", length / 12.0)]);
        }
        _ => {
            let length = rake(row.input("rise_in_per_ft"), 12.0 * row.input("run_ft"));
            row.expect(&[("length_in", length)]);
        }
    }
}

fn inch_row(row: &Row) {
    let length = Length::from_f64(row.input("in"), Unit::Inch).expect("a length");
    row.expect(&[("mm", length.millimetres())]);
}

/// Runs a row; `Err` says why it is left out.
fn run(row: &Row) -> Result<(), &'static str> {
    let mut words = row.id().split('-');
    let (family, kind) = (words.next().unwrap_or(""), words.next().unwrap_or(""));
    match (family, kind) {
        ("A", "crown") => crown_row(row),
        ("A", "nested") => nested_row(row),
        ("A", "hopper") if row.id().contains("butt") => butt_row(row),
        ("A", "hopper") => hopper_row(row),
        ("A", "MH") if row.id().ends_with("fig4") => wedge_row(row),
        ("A", "MH") => edge_row(row),
        ("B", "ex") => example_row(row),
        ("B", kind) => square_row(row, kind),
        ("J", "inch") => inch_row(row),
        _ => return Err("no check is written for this sort of row"),
    }
    Ok(())
}

#[test]
fn every_row_of_crown_square_and_unit_figures_is_met() {
    let (mut published, mut derived, mut left_out) = (0, 0, Vec::new());
    for row in rows() {
        match run(&row) {
            Err(reason) => left_out.push(format!("{}: {reason}", row.id())),
            Ok(()) if row.0["seen"] == "number" => published += 1,
            Ok(()) => derived += 1,
        }
    }
    println!(
        "families A, B, J: {published} published, {derived} derived, {} left out",
        left_out.len()
    );
    for line in &left_out {
        println!("left out: {line}");
    }
    // None may vanish.
    assert_eq!((published, derived, left_out.len()), (28, 161, 0));
}
