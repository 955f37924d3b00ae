//! Findings on surveys. The limits and the advice are common practice, no
//! source; the geometry is held against coordinates worked out beside it.

use headwright::measure::{Length, Unit};
use headwright::openings::{
    self, HeadExtent, Measured, OpeningKind, Surveyed, compare, fit, of_measure, of_opening,
    other_diagonal, ready_to_order,
};
use headwright::trim::sheet::{Finding, Severity};
use proptest::prelude::*;

fn len(text: &str) -> Length {
    Length::parse(text, Unit::Inch).unwrap_or_else(|e| panic!("{e}"))
}

fn three(texts: [&str; 3]) -> [Option<Length>; 3] {
    texts.map(|text| (!text.is_empty()).then(|| len(text)))
}

/// 36 × 48, diagonals 60: a 3-4-5 triangle, exactly square.
fn true_opening() -> Measured {
    Measured {
        widths: three(["36", "36", "36"]),
        heights: three(["48", "48", "48"]),
        diagonals: [Some(len("60")), Some(len("60"))],
        plumb: Some(Length::ZERO),
        level: Some(Length::ZERO),
        ..Measured::default()
    }
}

fn window(first: Option<Measured>, second: Option<Measured>) -> Surveyed {
    Surveyed {
        kind: OpeningKind::Window,
        siding_depth: Some(len("5/8")),
        clear_above: Some(len("12")),
        first,
        second,
    }
}

fn head() -> HeadExtent {
    HeadExtent {
        span: len("45"),
        board_height: len("5 1/2"),
        rise: Length::ZERO,
        cap: len("3/4"),
        board_thickness: len("3/4"),
        casing: len("4 1/2"),
    }
}

fn codes(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|f| f.code).collect()
}

fn of(m: &Measured) -> Vec<Finding> {
    of_measure(OpeningKind::Window, m, Unit::Inch)
}

fn severity(findings: &[Finding], code: &str) -> Option<Severity> {
    findings.iter().find(|f| f.code == code).map(|f| f.severity)
}

#[test]
fn a_true_opening_measured_twice_has_no_findings_and_may_be_ordered_for() {
    let opening = window(Some(true_opening()), Some(true_opening()));
    assert_eq!(of_opening(&opening, Unit::Inch), vec![]);
    assert!(ready_to_order(&opening));
}

#[test]
fn widths_that_differ_by_an_eighth_pass_and_more_is_a_note_and_over_a_quarter_a_warning() {
    // Common practice, no source.
    let cases = [
        ("36 1/8", None),
        ("36 9/64", Some(Severity::Note)),
        ("36 1/4", Some(Severity::Note)),
        ("36 17/64", Some(Severity::Warning)),
    ];
    for (top, expected) in cases {
        let m = Measured {
            widths: three([top, "36", "36"]),
            diagonals: [None, None],
            ..true_opening()
        };
        assert_eq!(severity(&of(&m), "widths-differ"), expected, "{top}");
        let m = Measured {
            heights: three(["48", "48", "48"].map(|_| "36")),
            ..m
        };
        let m = Measured {
            heights: [Some(len(top)), m.heights[1], m.heights[2]],
            ..m
        };
        assert_eq!(severity(&of(&m), "heights-differ"), expected, "{top}");
    }
}

#[test]
fn plumb_and_level_follow_the_same_limits() {
    // Common practice, no source.
    for (off, expected) in [
        ("1/8", None),
        ("3/16", Some(Severity::Note)),
        ("5/16", Some(Severity::Warning)),
    ] {
        let m = Measured {
            plumb: Some(len(off)),
            level: Some(len(off)),
            ..true_opening()
        };
        assert_eq!(severity(&of(&m), "out-of-plumb"), expected, "{off}");
        assert_eq!(severity(&of(&m), "out-of-level"), expected, "{off}");
    }
}

#[test]
fn a_leaning_opening_says_by_how_much_its_sides_lean() {
    // 36 wide, sides 48 long leaning 1 over their height: by coordinates the
    // diagonals run from (0, 0) to (37, y) and from (36, 0) to (1, y).
    let y = (48.0_f64 * 48.0 - 1.0).sqrt();
    let diagonals =
        [37.0_f64.hypot(y), 35.0_f64.hypot(y)].map(|d| Length::from_f64(d, Unit::Inch).ok());
    let found = of(&Measured {
        diagonals,
        ..true_opening()
    });
    let square = found
        .iter()
        .find(|f| f.code == "out-of-square")
        .expect("found");
    assert_eq!(square.severity, Severity::Warning);
    assert!(
        square.text.contains("lean about 1 in over the height"),
        "{}",
        square.text
    );
    assert!(!codes(&found).contains(&"does-not-close"), "{found:?}");
}

#[test]
fn a_diagonal_no_triangle_allows_is_an_error_that_says_why() {
    for (rising, why) in [
        ("36", "longer than the width"),
        ("47 1/2", "longer than the height"),
        ("84", "shorter than width and height together"),
    ] {
        let m = Measured {
            diagonals: [Some(len(rising)), Some(len("60"))],
            ..true_opening()
        };
        let found = of(&m);
        let error = found
            .iter()
            .find(|f| f.code == "impossible")
            .expect("found");
        assert_eq!(error.severity, Severity::Error);
        assert!(error.text.contains(why), "{}", error.text);
        assert!(error.text.contains("rising"), "{}", error.text);
        assert!(!ready_to_order(&window(Some(m), Some(m))));
    }
}

#[test]
fn a_slip_of_an_inch_in_one_side_shows_as_numbers_that_do_not_close() {
    // The left height was read as 49 for 48.
    let m = Measured {
        heights: three(["49", "48", "48"]),
        ..true_opening()
    };
    assert_eq!(severity(&of(&m), "does-not-close"), Some(Severity::Warning));
    // An arch is no four-sided figure, so nothing is said.
    let arch = of_measure(OpeningKind::Arch, &m, Unit::Inch);
    assert!(!codes(&arch).contains(&"does-not-close"));
}

#[test]
fn an_arch_must_be_highest_in_the_middle() {
    let flat = Measured {
        diagonals: [None, None],
        ..true_opening()
    };
    let found = of_measure(OpeningKind::Arch, &flat, Unit::Inch);
    assert_eq!(severity(&found, "arch-flat"), Some(Severity::Warning));
    let round = Measured {
        heights: three(["48", "54", "48"]),
        ..flat
    };
    let found = of_measure(OpeningKind::Arch, &round, Unit::Inch);
    assert!(!codes(&found).contains(&"arch-flat"));
    assert!(
        !codes(&found).contains(&"heights-differ"),
        "a rise is no fault"
    );
}

#[test]
fn places_the_tape_did_not_reach_are_named() {
    let m = Measured {
        widths: three(["36", "", "36"]),
        ..true_opening()
    };
    let found = of(&m);
    assert_eq!(found[0].text, "Not measured: width, middle.");
}

#[test]
fn once_measured_wants_a_second_measure_before_ordering() {
    let once = window(Some(true_opening()), None);
    assert_eq!(codes(&of_opening(&once, Unit::Inch)), ["second-missing"]);
    assert!(!ready_to_order(&once));
    assert!(!ready_to_order(&window(None, None)));
    assert!(!ready_to_order(&window(None, Some(true_opening()))));
}

#[test]
fn two_measures_more_than_an_eighth_apart_are_a_finding_with_both_numbers() {
    // Common practice, no source.
    let off = |width: &str| Measured {
        widths: three([width, "36", "36"]),
        ..true_opening()
    };
    let within = window(Some(true_opening()), Some(off("36 1/8")));
    assert!(ready_to_order(&within));
    let apart = window(Some(true_opening()), Some(off("36 5/32")));
    let found = of_opening(&apart, Unit::Inch);
    let differs = found
        .iter()
        .find(|f| f.code == "measures-differ")
        .expect("found");
    assert_eq!(
        differs.text,
        "Width, top: first 36 in, second 36 5/32 in, 5/32 in apart. Measure again."
    );
    assert!(!ready_to_order(&apart));
    let rows = compare(&true_opening(), &off("36 5/32"));
    assert_eq!(rows.len(), 10);
    assert_eq!(rows[0].difference(), Some(len("5/32")));
    assert_eq!(rows.iter().filter(|row| row.differs()).count(), 1);
}

#[test]
fn the_second_measure_is_the_one_that_counts() {
    let second = Measured {
        widths: three(["37", "37", "37"]),
        ..true_opening()
    };
    assert_eq!(
        window(Some(true_opening()), Some(second)).counts(),
        Some(&second)
    );
}

#[test]
fn a_head_that_fits_has_no_findings() {
    assert_eq!(
        fit(&window(Some(true_opening()), None), &head(), Unit::Inch),
        vec![]
    );
}

#[test]
fn a_head_taller_than_the_room_above_is_an_error_and_a_tight_one_a_warning() {
    // The head needs 5 1/2 + 3/4 = 6 1/4; 1/2 for the flashing is common
    // practice, no source.
    for (clear, expected) in [
        ("6 3/16", Some(("no-room-above", Severity::Error))),
        ("6 1/4", Some(("tight-above", Severity::Warning))),
        ("6 23/32", Some(("tight-above", Severity::Warning))),
        ("6 3/4", None),
    ] {
        let opening = Surveyed {
            clear_above: Some(len(clear)),
            ..window(Some(true_opening()), None)
        };
        let found = fit(&opening, &head(), Unit::Inch);
        assert_eq!(
            found.first().map(|f| (f.code, f.severity)),
            expected,
            "{clear}"
        );
    }
    let opening = Surveyed {
        clear_above: Some(len("6")),
        ..window(Some(true_opening()), None)
    };
    let found = fit(&opening, &head(), Unit::Inch);
    assert_eq!(
        found[0].text,
        "The head needs 6 1/4 in above the opening and 6 in is clear: it is 1/4 in too tall."
    );
}

#[test]
fn a_gable_counts_its_rise() {
    let gable = HeadExtent {
        rise: len("7"),
        ..head()
    };
    assert_eq!(gable.needs_above(), len("13 1/4"));
    let found = fit(&window(Some(true_opening()), None), &gable, Unit::Inch);
    assert_eq!(found[0].code, "no-room-above");
}

#[test]
fn a_board_must_reach_over_both_casings_at_the_widest_width() {
    let wide = Measured {
        widths: three(["36", "36 1/16", "36"]),
        ..true_opening()
    };
    let found = fit(&window(Some(wide), None), &head(), Unit::Inch);
    assert_eq!(found[0].code, "span-narrow");
    assert!(
        found[0].text.ends_with("it is 1/16 in short."),
        "{}",
        found[0].text
    );
    let bare = HeadExtent {
        casing: Length::ZERO,
        ..head()
    };
    assert_eq!(fit(&window(Some(wide), None), &bare, Unit::Inch), vec![]);
}

#[test]
fn a_board_no_thicker_than_the_siding_does_not_stand_proud() {
    for (depth, words) in [
        ("3/4", Some("flush")),
        ("7/8", Some("1/8 in behind")),
        ("11/16", None),
    ] {
        let opening = Surveyed {
            siding_depth: Some(len(depth)),
            ..window(Some(true_opening()), None)
        };
        let found = fit(&opening, &head(), Unit::Inch);
        assert_eq!(
            found.first().map(|f| f.code),
            words.map(|_| "not-proud"),
            "{depth}"
        );
        if let Some(words) = words {
            assert!(found[0].text.contains(words), "{}", found[0].text);
        }
    }
}

#[test]
fn level_is_carried_over_the_heads_span() {
    // 1/8 in 36 makes 5/32 in 45.
    let m = Measured {
        level: Some(len("1/8")),
        ..true_opening()
    };
    let found = fit(&window(Some(m), None), &head(), Unit::Inch);
    assert_eq!(codes(&found), ["span-out-of-level"]);
    assert!(found[0].text.contains("about 5/32 in"), "{}", found[0].text);
}

#[test]
fn what_was_not_measured_is_a_note_not_a_fault() {
    let bare = Surveyed {
        siding_depth: None,
        clear_above: None,
        ..window(None, None)
    };
    let found = fit(&bare, &head(), Unit::Inch);
    assert_eq!(
        codes(&found),
        ["clear-unknown", "width-unknown", "siding-unknown"]
    );
    assert!(found.iter().all(|f| f.severity == Severity::Note));
}

#[test]
fn a_metric_firm_reads_millimetres() {
    let m = Measured {
        widths: three(["900 mm", "910 mm", "900 mm"]),
        diagonals: [None, None],
        ..true_opening()
    };
    let found = of_measure(OpeningKind::Door, &m, Unit::Millimetre);
    let widths = found
        .iter()
        .find(|f| f.code == "widths-differ")
        .expect("found");
    assert!(
        widths.text.starts_with("The widths differ by 10 mm."),
        "{}",
        widths.text
    );
}

proptest! {
    /// Four corners give four sides and two diagonals; from the sides and one
    /// diagonal the other comes back.
    #[test]
    fn the_other_diagonal_agrees_with_coordinates(
        (ax, ay) in (-3.0..3.0_f64, -3.0..3.0_f64), (bx, by) in (30.0..40.0_f64, -3.0..3.0_f64),
        (cx, cy) in (30.0..40.0_f64, 50.0..60.0_f64), (dx, dy) in (-3.0..3.0_f64, 50.0..60.0_f64),
    ) {
        let gap = |p: (f64, f64), q: (f64, f64)| (p.0 - q.0).hypot(p.1 - q.1);
        let (a, b, c, d) = ((ax, ay), (bx, by), (cx, cy), (dx, dy));
        let found = other_diagonal([gap(d, c), gap(b, c), gap(a, b), gap(a, d)], gap(a, c));
        prop_assert!((found.expect("a figure") - gap(b, d)).abs() < 1e-9);
    }

    #[test]
    fn no_numbers_make_the_findings_panic(nm in proptest::collection::vec(proptest::option::of(any::<i64>()), 14)) {
        let at = |i: usize| nm[i].map(Length::from_nanometres);
        let m = Measured {
            widths: [at(0), at(1), at(2)], heights: [at(3), at(4), at(5)],
            diagonals: [at(6), at(7)], plumb: at(8), level: at(9), ..Measured::default()
        };
        let opening = Surveyed { siding_depth: at(10), clear_above: at(11), ..window(Some(m), Some(true_opening())) };
        let _ = of_opening(&opening, Unit::Inch);
        let head = HeadExtent { span: at(12).unwrap_or_default(), rise: at(13).unwrap_or_default(), ..head() };
        let _ = fit(&opening, &head, Unit::Millimetre);
        let _ = openings::sketch(OpeningKind::Window, &m, Unit::Inch);
    }
}
