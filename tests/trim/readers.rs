//! Readers of drawn sections: SVG paths and DXF drawings. Any input ends in
//! an outline or in one line of words, soon.

use std::f64::consts::PI;
use std::time::{Duration, Instant};

use headwright::measure::Unit;
use headwright::trim::section::{Curve, Outline, dxf, settled, svg_path};
use proptest::prelude::*;

fn near(what: &str, got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9, "{what}: got {got}, want {want}");
}

fn svg(text: &str) -> Outline {
    svg_path::read(text, 1.0).unwrap_or_else(|wrong| panic!("{text}: {wrong}"))
}

fn svg_wrong(text: &str) -> String {
    svg_path::read(text, 1.0).expect_err(text).to_string()
}

#[test]
fn a_path_reads_the_same_absolute_and_relative() {
    let absolute = svg("M1 1 H4 V3 L1,3 Z");
    let relative = svg("m1,1h3v2l-3 0z");
    near("area", absolute.area(), 6.0);
    assert_eq!(absolute, relative);
    // y runs down in the drawing, v up in the section.
    let extents = absolute.extents();
    near("top", extents.v_high, -1.0);
    near("bottom", extents.v_low, -3.0);
}

#[test]
fn numbers_may_stand_as_close_as_the_standard_allows() {
    near("area", svg("M0 0L2-0 2.5.5.5.5Z").area(), 1.0);
    near("area", svg("M0,0 1e1,0 10 1E+1 0 10").area(), 100.0);
    near(
        "a pair of flags",
        svg("M1 0a1 1 0 01-2 0 1 1 0 012 0z").area(),
        PI,
    );
}

#[test]
fn arcs_stay_circles_and_ellipses() {
    let half = svg("M-2 0 A2 2 0 0 1 2 0 Z");
    near("half disc", half.area(), 2.0 * PI);
    assert!(matches!(half.curves()[0], Curve::Arc { .. }));
    // In the drawing the sweep flag goes over the top; so it does here.
    assert!(half.extents().v_high > 1.9, "{:?}", half.extents());
    let ellipse = svg("M-3 0 A3 1 0 0 0 3 0 A3 1 0 0 0 -3 0 Z");
    near("ellipse", ellipse.area(), 3.0 * PI);
    let turned = svg("M-3 0 A3 1 30 1 0 3 0 Z");
    assert!(
        turned
            .curves()
            .iter()
            .any(|c| matches!(c, Curve::Conic { .. }))
    );
    // Radii too small for the chord grow until they reach.
    near("grown", svg("M-2 0 A.1 .1 0 0 1 2 0 Z").area(), 2.0 * PI);
    // The large arc of a circle.
    near("large", svg("M1 0 A1 1 0 1 1 0 -1 L0 0Z").area(), 0.75 * PI);
}

#[test]
fn quadratics_are_parabolas_and_smooth_commands_mirror() {
    // Two thirds of the box below a parabola's half.
    near("parabola", svg("M0 0 Q1 2 2 0 Z").area(), 4.0 / 3.0);
    let smooth = svg("M0 0 Q1 1 2 0 T4 0 V9 H0Z");
    near("smooth", smooth.area(), 36.0);
    let cubic = svg("M0 0 C0 1 1 1 1 0 S2 -1 2 0 V9 H0 Z");
    near("cubic", cubic.area(), 18.0);
}

#[test]
fn a_wrong_path_says_where_and_what_is_allowed() {
    for (text, words) in [
        ("M0 0 L1 0 R", "character 12"),
        ("M0 0 L1 x", "number"),
        ("1 1", "command letter"),
        ("M0 0 L1 0 L1 1 Z M5 5 L6 5 L6 6 Z", "second outline"),
        ("M0 0 L1 0 1 1 0 0 M5 5 L6 5", "second outline"),
        ("M0 0 A1 1 0 2 0 1 1", "flag"),
        ("M0 0 L1 1", "no area"),
        ("", "too few"),
        ("M0 0 L2 2 2 0 0 2 -9 2Z", "crosses itself"),
        ("M0 0 L1e300 0", "1e9"),
        ("M0 0 L1e6 0 L1e6 5", "1200"),
    ] {
        let wrong = svg_wrong(text);
        assert!(wrong.contains(words), "{text}: {wrong}");
    }
    assert!(svg_path::read("M0 0", f64::NAN).is_err());
    let long = format!("M0 0{}", " 1 1".repeat(40_000));
    assert!(svg_wrong(&long).contains("longer"));
    let many = format!("M0 0{}", " l1 1".repeat(10_000));
    assert!(svg_wrong(&many).contains("curves"));
}

#[test]
fn a_settled_outline_hangs_from_its_reference_edge() {
    let outline = settled(&svg("M5 5 H8 V6 H7 V9 H5 Z"), false);
    let extents = outline.extents();
    near("back", extents.u_low, 0.0);
    near("top", extents.v_high, 0.0);
    near("bottom", extents.v_low, -4.0);
    let mirrored = settled(&svg("M8 5 H5 V6 H6 V9 H8 Z"), true);
    near("same area", mirrored.area(), outline.area());
    near("same centre", mirrored.centroid().u, outline.centroid().u);
}

fn drawing(entities: &str) -> String {
    format!("0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n")
}

const QUARTER: &str = "0\nLINE\n8\n0\n10\n0.0\n20\n0.0\n11\n2.0\n21\n0.0\n\
    0\nLINE\n8\n0\n10\n0.0\n20\n2.0\n11\n0.0\n21\n0.0\n\
    0\nARC\n8\n0\n10\n0.0\n20\n0.0\n40\n2.0\n50\n0.0\n51\n90.0\n";

#[test]
fn a_drawing_is_put_together_in_any_order_and_direction() {
    let drawn = dxf::read(&drawing(QUARTER), Unit::Inch).expect("a quarter disc");
    near("area", drawn.outline.area(), PI);
    assert_eq!(drawn.unit, Unit::Inch);
    let mm = dxf::read(&drawing(QUARTER), Unit::Millimetre).expect("a quarter disc");
    assert!((mm.outline.area() * 645.16 - PI).abs() < 1e-9);
}

#[test]
fn a_drawing_names_its_own_unit_and_what_is_left_out() {
    let text = format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n{}",
        drawing(&format!("0\nTEXT\n10\n1\n20\n1\n1\nnote\n{QUARTER}"))
    );
    let drawn = dxf::read(&text, Unit::Inch).expect("a quarter disc");
    assert_eq!(drawn.unit, Unit::Millimetre);
    assert_eq!(drawn.left_out.get("TEXT"), Some(&1));
}

#[test]
fn polylines_keep_their_bulges() {
    // A stadium: two straight sides and two half circles.
    let light = "0\nLWPOLYLINE\n90\n4\n70\n1\n10\n0\n20\n0\n10\n3\n20\n0\n42\n1\n\
        10\n3\n20\n2\n10\n0\n20\n2\n42\n1\n";
    let old = "0\nPOLYLINE\n66\n1\n70\n1\n\
        0\nVERTEX\n10\n0\n20\n0\n0\nVERTEX\n10\n3\n20\n0\n42\n1\n\
        0\nVERTEX\n10\n3\n20\n2\n0\nVERTEX\n10\n0\n20\n2\n42\n1\n0\nSEQEND\n";
    for entity in [light, old] {
        let drawn = dxf::read(&drawing(entity), Unit::Inch).expect("a stadium");
        near("area", drawn.outline.area(), 6.0 + PI);
        assert_eq!(drawn.outline.curves().len(), 4);
    }
    let round = "0\nCIRCLE\n10\n1\n20\n1\n40\n1.5\n";
    let drawn = dxf::read(&drawing(round), Unit::Inch).expect("a circle");
    near("circle", drawn.outline.area(), 2.25 * PI);
}

#[test]
fn a_wrong_drawing_says_what_and_what_is_allowed() {
    let wrong = |text: &str| dxf::read(text, Unit::Inch).expect_err(text).to_string();
    let two = format!("{QUARTER}0\nCIRCLE\n10\n9\n20\n9\n40\n1\n");
    for (text, words) in [
        (String::new(), "no lines"),
        ("hello\nworld\n".to_owned(), "line 1"),
        (drawing("0\nSPLINE\n"), "release 12"),
        (
            drawing("0\nLINE\n10\n0\n20\n0\n11\nabc\n21\n0\n"),
            "group 11",
        ),
        (drawing("0\nLINE\n10\n0\n20\n0\n11\n5\n21\n0\n"), "open"),
        (drawing(&two), "left over"),
        ("0\n".repeat(600_000), "larger"),
    ] {
        let said = wrong(&text);
        assert!(said.contains(words), "{said}");
    }
}

/// The longest that any input may take, from the bar for parsers; debug
/// builds on a busy machine are given room.
const SOON: Duration = Duration::from_millis(2000);

fn soon(what: &str, read: impl FnOnce()) {
    let start = Instant::now();
    read();
    assert!(start.elapsed() < SOON, "{what}: {:?}", start.elapsed());
}

#[test]
fn the_largest_inputs_are_read_or_refused_soon() {
    let spiral = |turns: u32| -> String {
        let arcs = (0..turns).map(|i| format!(" a{r} {r} 0 1 1 .1 .1", r = 1 + i));
        format!("M0 0{}", arcs.collect::<String>())
    };
    soon("arcs", || drop(svg_path::read(&spiral(399), 1.0)));
    let wave: String = (0..398).map(|_| " c1 9 2 -9 3 0").collect();
    soon("waves", || {
        drop(svg_path::read(&format!("M0 0{wave} V99 H0Z"), 0.5))
    });
    let star: String = (0..399)
        .map(|i| format!(" L{} {}", (i * 7919) % 1000, (i * 104_729) % 997))
        .collect();
    soon("star", || drop(svg_path::read(&format!("M0 0{star}"), 1.0)));
    let many = "0\nARC\n10\n0\n20\n0\n40\n9\n50\n0\n51\n1\n".repeat(399);
    soon("arcs", || drop(dxf::read(&drawing(&many), Unit::Inch)));
    let lines = "0\nTEXT\n".repeat(100_000);
    soon("texts", || drop(dxf::read(&drawing(&lines), Unit::Inch)));
}

/// Bytes that are likely to mean something to the readers.
fn near_path() -> impl Strategy<Value = String> {
    proptest::collection::vec(
        prop_oneof![
            Just("M".to_owned()),
            Just("l".to_owned()),
            Just("A".to_owned()),
            Just("c".to_owned()),
            Just("q".to_owned()),
            Just("T".to_owned()),
            Just("s".to_owned()),
            Just("Z".to_owned()),
            Just("h".to_owned()),
            Just("V".to_owned()),
            Just(",".to_owned()),
            Just("-".to_owned()),
            Just("0".to_owned()),
            Just("1".to_owned()),
            Just("1e308".to_owned()),
            Just("é".to_owned()),
            (-9.0..9.0_f64).prop_map(|n| format!(" {n:.2}")),
        ],
        0..60,
    )
    .prop_map(|words| format!("M0 0 L{}", words.concat()))
}

fn near_drawing() -> impl Strategy<Value = String> {
    proptest::collection::vec(
        prop_oneof![
            Just("0\nLINE\n".to_owned()),
            Just("0\nARC\n".to_owned()),
            Just("0\nCIRCLE\n".to_owned()),
            Just("0\nPOLYLINE\n".to_owned()),
            Just("0\nVERTEX\n".to_owned()),
            Just("0\nSEQEND\n".to_owned()),
            Just("0\nLWPOLYLINE\n".to_owned()),
            Just("70\n1\n".to_owned()),
            Just("0\nENDSEC\n".to_owned()),
            Just("0\nSECTION\n2\nENTITIES\n".to_owned()),
            Just("230\n-1\n".to_owned()),
            Just("junk\n".to_owned()),
            (
                prop_oneof![
                    Just(10),
                    Just(20),
                    Just(11),
                    Just(21),
                    Just(40),
                    Just(42),
                    Just(50),
                    Just(51)
                ],
                -9.0..9.0_f64
            )
                .prop_map(|(code, n)| format!("{code}\n{n:.1}\n")),
        ],
        0..60,
    )
    .prop_map(|groups| drawing(&groups.concat()))
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 3000,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_text_is_an_outline_or_a_message(text in any::<String>(), scale in any::<f64>()) {
        drop(svg_path::read(&text, scale));
        drop(dxf::read(&text, Unit::Inch));
    }

    #[test]
    fn any_bytes_are_an_outline_or_a_message(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let text = String::from_utf8_lossy(&bytes);
        drop(svg_path::read(&text, 1.0));
        drop(dxf::read(&drawing(&text), Unit::Foot));
    }

    #[test]
    fn near_misses_of_a_path_end_soon(text in near_path()) {
        let start = Instant::now();
        if let Ok(outline) = svg_path::read(&text, 0.25) {
            prop_assert!(outline.area().is_finite() && outline.area() > 0.0);
            prop_assert!(outline.perimeter().is_finite());
        }
        prop_assert!(start.elapsed() < SOON);
    }

    #[test]
    fn near_misses_of_a_drawing_end_soon(text in near_drawing()) {
        let start = Instant::now();
        if let Ok(drawn) = dxf::read(&text, Unit::Centimetre) {
            prop_assert!(drawn.outline.area().is_finite() && drawn.outline.area() > 0.0);
        }
        prop_assert!(start.elapsed() < SOON);
    }
}
