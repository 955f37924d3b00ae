//! A head's form: the trade's lengths in, the contract's design out, every
//! error beside its field.

use headwright::heads::{KINDS, Typed, differences, field_at, from_json, kind, to_json};
use headwright::trim::{Design, Rules, Sheet, solve};
use serde_json::{Value, json};

use super::a_gable;

fn typed(changes: &[(&str, &str)]) -> Typed {
    let mut typed = from_json(&a_gable());
    for (name, text) in changes {
        typed.set(*name, *text);
    }
    typed
}

fn solved(design: &Value) -> Sheet {
    solve(
        &Design::from_json(design).expect("it is understood"),
        &Rules::default(),
    )
    .expect("solved")
}

/// The field that an attempt is refused at, by the form or by the engine, and
/// the words.
fn refused(typed: &Typed) -> Option<(String, String)> {
    match to_json(typed, "Porch") {
        Err(errors) => errors
            .iter()
            .next()
            .map(|(field, words)| (field.to_owned(), words.to_owned())),
        Ok(design) => {
            let read = Design::from_json(&design);
            let wrong = match read {
                Err(wrong) => wrong,
                Ok(read) => solve(&read, &Rules::default()).err()?,
            };
            Some((field_at(typed, &wrong.at).unwrap_or_default(), wrong.what))
        }
    }
}

fn refused_at(changes: &[(&str, &str)]) -> Option<String> {
    refused(&typed(changes)).map(|(field, _)| field)
}

#[test]
fn a_design_goes_through_the_form_unchanged() {
    assert_eq!(to_json(&typed(&[]), "Porch").expect("a design"), a_gable());
}

#[test]
fn a_new_head_of_every_kind_can_be_made_once_its_span_is_typed() {
    for kind in KINDS {
        let mut typed = Typed::fresh(kind);
        typed.set("span", "41 1/2");
        typed.set("runs.0.path", "0, 0, 0\n40, 0, 0");
        let design = to_json(&typed, "New").unwrap_or_else(|e| panic!("{}: {e:?}", kind.kind));
        let sheet = solved(&design);
        assert!(sheet.can_be_made(), "{}: {:?}", kind.kind, sheet.findings);
        assert_eq!(
            to_json(&from_json(&design), "New").expect("again"),
            design,
            "{}",
            kind.kind
        );
    }
}

#[test]
fn lengths_that_are_none_are_refused_beside_their_field() {
    let none = [
        "",
        "0",
        "-3",
        "1/0",
        "3/0x",
        "NaN",
        "inf",
        "101'",
        "1e400",
        "ten",
        "4 5/",
        "\0",
        "🪚",
        "\u{202e}41",
    ];
    for text in none {
        assert_eq!(
            refused_at(&[("span", text)]).as_deref(),
            Some("span"),
            "{text:?}"
        );
    }
    let long = "9".repeat(1_000_000);
    assert_eq!(refused_at(&[("span", &long)]).as_deref(), Some("span"));
}

#[test]
fn lengths_are_typed_as_the_trade_does() {
    for text in [
        "41 1/2",
        "41-1/2\"",
        "3' 5 1/2\"",
        "1054 mm",
        "105.4 cm",
        "41.5",
    ] {
        assert_eq!(refused_at(&[("span", text)]), None, "{text}");
    }
}

#[test]
fn a_pitch_is_more_than_level_and_less_than_80_degrees() {
    let wrong = [
        ("degrees", "0"),
        ("degrees", "80"),
        ("degrees", "90"),
        ("rise", "0"),
        ("rise", "69"),
    ];
    for (written_as, text) in wrong {
        let at = refused_at(&[("pitch", text), ("pitch.as", written_as)]);
        assert_eq!(at.as_deref(), Some("pitch"), "{text} {written_as}");
    }
    assert_eq!(
        refused_at(&[("pitch", "30.25°"), ("pitch.as", "degrees")]),
        None
    );
    assert_eq!(
        refused_at(&[("pitch", "6 1/2"), ("pitch.as", "rise")]),
        None
    );
}

#[test]
fn a_wing_is_less_than_half_the_span() {
    assert_eq!(refused_at(&[("wing", "20 3/4")]).as_deref(), Some("wing"));
    assert_eq!(refused_at(&[("with.drops", ""), ("wing", "20 1/2")]), None);
}

#[test]
fn drops_past_the_wing_are_a_finding_not_a_lost_form() {
    let design = to_json(&typed(&[("drops.inset", "6")]), "Porch").expect("a design");
    let sheet = solved(&design);
    assert!(
        sheet.findings.iter().any(|f| f.code == "drop-outside-wing"),
        "{:?}",
        sheet.findings
    );
}

#[test]
fn a_group_that_is_not_ticked_is_left_out_but_what_was_typed_stays() {
    let typed = typed(&[("with.drops", "")]);
    assert_eq!(
        to_json(&typed, "Porch").expect("a design").get("drops"),
        None
    );
    assert_eq!(typed.get("drops.length"), "7");
}

fn runs(path: &str, normals: &str) -> Typed {
    let mut typed = Typed::fresh(kind("runs").expect("the kind"));
    typed.set("runs.0.path", path);
    typed.set("runs.0.normals", normals);
    typed
}

#[test]
fn a_run_is_typed_line_by_line_and_an_error_names_the_line() {
    assert_eq!(
        refused(&runs("0, 0, 0\n9 1/2, 0, 0\n9 1/2, 0, -8", "out\nright")),
        None
    );
    let (field, words) = refused(&runs("0, 0, 0\n9, 0", "out")).expect("a line too short");
    assert_eq!(field, "runs.0.path");
    assert!(words.starts_with("Line 2: 3 lengths are needed"), "{words}");
    let (field, words) = refused(&runs("0, 0, 0\n9, 0, 0", "sideways")).expect("no such word");
    assert_eq!(field, "runs.0.normals");
    assert!(words.starts_with("Line 1: "), "{words}");
}

#[test]
fn a_leg_of_no_length_and_a_turn_right_back_are_refused_at_the_path() {
    for (path, normals) in [
        ("0, 0, 0\n0, 0, 0", "out"),
        ("0, 0, 0\n10, 0, 0\n4, 0, 0", "out\nout"),
    ] {
        let (field, _) =
            refused(&runs(path, normals)).unwrap_or_else(|| panic!("{path:?} is refused"));
        assert!(field.starts_with("runs.0."), "{path:?}: {field}");
    }
}

#[test]
fn a_head_of_more_than_500_pieces_is_refused_in_words() {
    let mut path = String::from("0, 0, 0");
    let mut normals = String::new();
    for n in 1..=501 {
        path += &format!("\n{}, {}, 0", n * 10, n % 2);
        normals += "out\n";
    }
    let (_, words) = refused(&runs(&path, &normals)).expect("too many");
    assert!(words.contains("500"), "{words}");
}

#[test]
fn a_path_is_typed_by_points_by_steps_or_by_angle_and_length() {
    let typed = runs(
        "1, 2, 0\nby 3, 0, -1 1/2\n30° 12\n+0, -4, 0",
        "out\nout\nout",
    );
    let design = to_json(&typed, "Path").expect("a design");
    let path = &design["runs"][0]["path"];
    assert_eq!(path[1], json!([4.0, 2.0, -1.5]));
    let far = 4.0 + 12.0 * 30_f64.to_radians().cos();
    assert!((path[2][0].as_f64().expect("a number") - far).abs() < 1e-12);
    assert!((path[2][1].as_f64().expect("a number") - 8.0).abs() < 1e-12);
    assert!((path[3][1].as_f64().expect("a number") - 4.0).abs() < 1e-12);
    for wrong in ["by 1, 0, 0\n2, 0, 0", "0, 0, 0\n30° ells", "0, 0, 0\n1, 2"] {
        let (field, words) = refused(&runs(wrong, "out")).expect("refused");
        assert_eq!(field, "runs.0.path");
        assert!(words.starts_with("Line "), "{words}");
    }
}

#[test]
fn the_parts_of_an_assembly_have_forms_of_their_own() {
    let kind = kind("assembly").expect("the kind");
    let mut typed = Typed::fresh(kind);
    typed.add(kind.groups[0]);
    typed.set("parts.1.at", "30, -4 1/2");
    typed.set("parts.1.head.kind", "gable");
    typed.complete();
    typed.set("parts.1.head.pitch", "9");
    let design = to_json(&typed, "Two").expect("a design");
    assert_eq!(design["parts"][1]["head"]["pitch"]["rise"], json!(9.0));
    assert_eq!(to_json(&from_json(&design), "Two").expect("again"), design);
    let sheet = solved(&design);
    assert!(sheet.can_be_made(), "{:?}", sheet.findings);
    // An error of a part's own is beside its own field.
    typed.set("parts.1.head.wing", "20");
    let (field, _) = refused(&typed).expect("half the span");
    assert_eq!(field, "parts.1.head.wing");
    typed.remove(kind.groups[0], 0);
    assert_eq!(typed.get("parts.0.head.pitch"), "9");
    assert_eq!(typed.count(kind.groups[0]), 1);
}

#[test]
fn what_belongs_to_legs_counts_only_with_legs() {
    let typed_with = |legs: &str| {
        typed(&[
            ("with.legs", legs),
            ("with.legs.sill", "on"),
            ("legs.sill.front", "2"),
            ("legs.sill.thickness", "1"),
            ("legs.width", "4"),
            ("legs.thickness", "3/4"),
            ("legs.opening.width", "30"),
            ("legs.opening.height", "60"),
            ("legs.sort", "casing"),
        ])
    };
    let with = to_json(&typed_with("on"), "Legs").expect("a design");
    assert_eq!(with["legs"]["sill"]["front"], "2");
    let without = to_json(&typed_with(""), "Legs").expect("a design");
    assert_eq!(without.get("legs"), None);
}

#[test]
fn directions_keep_every_digit() {
    let typed = runs(
        "0, 0, 0\n9, 0, 9",
        "-0.6427876096865394, 0, 0.766044443118978",
    );
    let design = to_json(&typed, "Bay").expect("a design");
    let kept = json!([-0.642_787_609_686_539_4, 0.0, 0.766_044_443_118_978]);
    assert_eq!(design["runs"][0]["normals"][0], kept);
}

#[test]
fn runs_are_added_and_removed_without_losing_the_others() {
    let group = kind("runs").expect("the kind").groups[0];
    let mut typed = runs("0, 0, 0\n9, 0, 0", "out");
    typed.add(group);
    typed.set("runs.1.path", "0, 1, 0\n9, 1, 0");
    assert_eq!(typed.count(group), 2);
    typed.remove(group, 0);
    assert_eq!(typed.count(group), 1);
    assert_eq!(typed.get("runs.0.path"), "0, 1, 0\n9, 1, 0");
}

#[test]
fn a_difference_is_told_in_the_forms_words() {
    let mut new = a_gable();
    new["span"] = Value::from("42");
    new.as_object_mut().expect("an object").remove("drops");
    let told = differences(&a_gable(), &new);
    assert!(
        told.contains(&("Shape: Span".into(), "41 1/2".into(), "42".into())),
        "{told:?}"
    );
    assert!(
        told.contains(&("Drops: Length".into(), "7".into(), String::new())),
        "{told:?}"
    );
    new["lower_end"] = "raked-return".into();
    let told = differences(&a_gable(), &new);
    let words = "returned level, with a raked section";
    assert!(
        told.contains(&("Shape: Lower ends".into(), "cut plumb".into(), words.into())),
        "{told:?}"
    );
}

#[test]
fn designs_that_came_from_elsewhere_never_panic_the_form() {
    for odd in [
        json!(null),
        json!([1, 2]),
        json!({"kind": "runs", "runs": "none"}),
        json!({"kind": "gable", "pitch": 3}),
        json!({"kind": "no-such", "span": {"a": []}}),
    ] {
        let _ = to_json(&from_json(&odd), "Odd");
    }
}
