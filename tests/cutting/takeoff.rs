//! The take-off: every piece of a head, what it is of, and what stock gives.

use headwright::cutting::takeoff::{
    Shape, Stuff, Yield, best_stuff, grouped, section, size, spares, take_off, yields,
};
use headwright::measure::{Length, Unit};
use headwright::trim::design::Design;
use headwright::trim::{Rules, solve};
use serde_json::{Value, json};

fn len(text: &str) -> Length {
    Length::parse(text, Unit::Inch).expect("a length")
}

fn gable(drops: bool) -> Value {
    let mut head = json!({
        "unit": "in", "kind": "gable", "name": "Porch", "span": "41 1/2", "wing": "7 1/4",
        "pitch": {"rise": 7.0, "run": 12},
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 3/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2", "back": "solid"}
    });
    if drops {
        head["drops"] = json!({"width": "3 1/2", "thickness": "3/4", "inset": "3/4",
                               "length": "7", "point_degrees": 45.0});
    }
    head
}

fn taken(head: &Value) -> Vec<headwright::cutting::takeoff::Needed> {
    let design = Design::from_json(head).expect("a design");
    let sheet = solve(&design, &Rules::default()).expect("a sheet");
    let needed = take_off(&sheet);
    let pieces = sheet.runs.iter().flat_map(|r| &r.pieces);
    for piece in pieces {
        let found = needed
            .iter()
            .find(|n| n.label == piece.label)
            .expect("taken off");
        let long = found.length.inches();
        assert!(long >= piece.overall - 1e-5, "{} is short", piece.label);
        assert!(long < piece.overall + 1.0 / 64.0, "{} is long", piece.label);
        assert!(found.on_sheet);
    }
    needed
}

#[test]
fn every_piece_of_a_gable_with_drops_is_taken_off() {
    let needed = taken(&gable(true));
    let of = |run: &str| needed.iter().filter(|n| n.run == run).count();
    assert_eq!(
        (of("cap"), of("crown"), of("board"), of("drop")),
        (4, 14, 1, 2)
    );
    let groups = grouped(&[needed.clone(), taken(&gable(false))]);
    let names: Vec<&str> = groups.iter().map(|g| g.name.as_str()).collect();
    // The cap is 2 3/4 + 3/4 wide, as wide as a drop; the gable's board rises
    // (41 1/2 / 2 - 7 1/4) * 7/12 = 7 7/8 above its wing: 5 1/2 + 7 7/8.
    assert_eq!(
        names,
        [
            "crown 1 1/2\" × 2\"",
            "cap, drop 3/4\" × 3 1/2\"",
            "board 3/4\" × 13 3/8\""
        ]
    );
    let counts: Vec<usize> = groups.iter().map(|g| g.pieces.len()).collect();
    // Without drops the crown is two returns, two wings and two rakes.
    assert_eq!(counts, [14 + 6, 4 + 2 + 4, 2]);
    assert_eq!(
        section(&groups[1].shape).len(),
        4,
        "mitred caps tell the section"
    );
    let area = groups[2].area.expect("a board has an area");
    assert!((area - 2.0 * 41.5 * 13.375 / 144.0).abs() < 0.02, "{area}");
}

/// A half circle of radius 10 in: the crown π·10 along its reference edge, its
/// bed mould π·8, each of its own section, in a head of several parts too.
#[test]
fn mouldings_bent_in_one_piece_are_taken_off_with_their_own_section() {
    let arch = json!({"kind": "arched", "span": 20, "rise": 10,
        "bent": {"kerf": "1/8", "depth": "1/2"},
        "board": {"thickness": 1, "height": 4},
        "crown": {"projection": 1, "height": 1, "back": "solid"},
        "bed": {"projection": "1/2", "height": "3/4", "below": 2}});
    let mut alone = arch.clone();
    alone["unit"] = "in".into();
    let whole = json!({"unit": "in", "kind": "assembly", "parts": [
        {"name": "left", "head": arch}, {"name": "right", "at": [30, 0], "head": arch}]});
    let reach = |needed: &[headwright::cutting::takeoff::Needed], label: &str| {
        let found = needed.iter().find(|n| n.label == label);
        let found = found.unwrap_or_else(|| panic!("no {label} in {needed:?}"));
        (size(&found.shape), found.length.inches())
    };
    let pi = std::f64::consts::PI;
    for (needed, part) in [(taken(&alone), ""), (taken(&whole), "right-")] {
        let (crown, long) = reach(&needed, &format!("{part}crown-bent"));
        assert_eq!(crown, (1.0, 1.0));
        assert!((long - 10.0 * pi).abs() < 1.0 / 64.0, "{long}");
        let (bed, long) = reach(&needed, &format!("{part}bed-bent"));
        assert_eq!(bed, (0.5, 0.75));
        assert!((long - 8.0 * pi).abs() < 1.0 / 64.0, "{long}");
    }
}

const fn board(thickness: Length, width: Length) -> Stuff {
    Stuff {
        moulding: false,
        thickness,
        width,
    }
}

/// By hand: 3 strips of 3 1/2 and two kerfs of 1/8 make 10 3/4 of 11 1/4; a
/// board of 13 3/8 takes two of 11 1/4 edge to edge.
#[test]
fn boards_are_ripped_or_glued_up_from_their_stock() {
    let kerf = len("1/8");
    let (wide, thin) = (
        board(len("3/4"), len("11 1/4")),
        board(len("3/4"), len("3 1/2")),
    );
    let strip = Shape::Board(0.75, 3.5, Vec::new());
    let panel = Shape::Board(0.75, 13.375, Vec::new());
    assert_eq!(
        yields(&strip, wide, wide.width, kerf),
        Some(Yield::Strips(3))
    );
    assert_eq!(
        yields(&strip, thin, thin.width, kerf),
        Some(Yield::Strips(1))
    );
    assert_eq!(
        yields(&panel, wide, wide.width, kerf),
        Some(Yield::GluedUp(2))
    );
    assert_eq!(
        yields(&panel, thin, thin.width, kerf),
        Some(Yield::GluedUp(4))
    );
    let thick = board(len("1 1/4"), len("11 1/4"));
    assert_eq!(yields(&strip, thick, thick.width, kerf), None);
    assert_eq!(best_stuff(&strip, &[thick, wide, thin], kerf), Some(2));
    assert_eq!(best_stuff(&panel, &[thin, wide], kerf), Some(1));
    let crown = Shape::Moulding(vec![[0.0, 0.0], [1.5, 0.0], [0.0, -2.0]]);
    assert_eq!(size(&crown), (1.5, 2.0));
    assert_eq!(yields(&crown, wide, wide.width, kerf), None);
    let moulding = Stuff {
        moulding: true,
        thickness: len("1 1/2"),
        width: len("2"),
    };
    assert_eq!(
        yields(&crown, moulding, moulding.width, kerf),
        Some(Yield::Strips(1))
    );
}

#[test]
fn a_waste_rule_adds_copies_of_the_longest_piece() {
    let lengths = [len("40"), len("30"), len("30")];
    assert_eq!(spares(&lengths, 0), (0, len("40")));
    assert_eq!(
        spares(&lengths, 5),
        (1, len("40")),
        "5 of 100 in: one of 40"
    );
    assert_eq!(
        spares(&lengths, 50),
        (2, len("40")),
        "50 of 100 in: two of 40"
    );
    assert_eq!(spares(&[], 5).0, 0);
}
