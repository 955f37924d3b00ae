//! What the forms of openings and surveys take and refuse.

use headwright::access::UserId;
use headwright::measure::{Length, Unit};
use headwright::openings::{
    High, Lean, Mark, NewSurvey, OpeningFacts, OpeningId, OpeningKind, Pass, Survey, SurveyChoices,
    SurveyId, opening_fields, opening_form, survey_fields, survey_form,
};
use headwright::web::{Errors, Fields};

fn fields(pairs: &[(&str, &str)], base: &[(&str, &str)]) -> Fields {
    let kept = base
        .iter()
        .filter(|(name, _)| !pairs.iter().any(|(n, _)| n == name));
    kept.chain(pairs)
        .fold(Fields::default(), |fields, (name, value)| {
            fields.with(name, value)
        })
}

fn opening(pairs: &[(&str, &str)]) -> Result<OpeningFacts, Errors> {
    let base = [("mark", "W1"), ("kind", "window"), ("storey", "1")];
    opening_form(&fields(pairs, &base), Unit::Inch)
}

fn choices() -> SurveyChoices {
    SurveyChoices {
        people: vec![(UserId::new(3), "Fenella".into())],
        today: "2026-08-14".parse().expect("a day"),
    }
}

fn survey(pairs: &[(&str, &str)]) -> Result<NewSurvey, Errors> {
    let base = [
        ("pass", "first"),
        ("width_top", "36"),
        ("height_left", "48"),
        ("by", "3"),
        ("on", "2026-08-14"),
    ];
    survey_form(&fields(pairs, &base), &choices(), Unit::Inch)
}

fn fails_at<T: std::fmt::Debug>(result: Result<T, Errors>, field: &str) {
    let errors = result.expect_err("refused");
    assert!(errors.of(field).is_some(), "{field}: {errors:?}");
}

#[test]
fn a_mark_is_up_to_eight_letters_and_figures_made_capital() {
    assert_eq!(Mark::parse("w1").map(|m| m.to_string()), Ok("W1".into()));
    assert!(Mark::parse("GARAGE-1").is_ok());
    for bad in [
        "",
        "-",
        "W 1",
        "W1.",
        "W\u{0}",
        "🪟",
        "GARAGE-10",
        &"W".repeat(1_000_000),
    ] {
        assert!(Mark::parse(bad).is_err());
    }
    fails_at(opening(&[("mark", "")]), "mark");
}

#[test]
fn marks_sort_as_people_count() {
    let mut marks: Vec<_> = ["W10", "D1", "W2", "W1A", "W1"]
        .iter()
        .map(|m| Mark::parse(m).expect("a mark"))
        .collect();
    marks.sort_by_key(Mark::order);
    let sorted: Vec<_> = marks.iter().map(Mark::as_str).collect();
    assert_eq!(sorted, ["D1", "W1", "W1A", "W2", "W10"]);
}

#[test]
fn every_kind_is_taken_and_other_asks_what_it_is() {
    for kind in OpeningKind::ALL {
        let with_note = opening(&[("kind", kind.code()), ("note", "Coal hatch")]);
        assert_eq!(with_note.map(|o| o.kind), Ok(*kind));
    }
    fails_at(opening(&[("kind", "other")]), "note");
    fails_at(opening(&[("kind", "porthole")]), "kind");
    fails_at(opening(&[("kind", "")]), "kind");
}

#[test]
fn a_storey_is_a_whole_number_from_the_cellar_up() {
    for (storey, good) in [
        ("0", true),
        ("20", true),
        ("21", false),
        ("-1", false),
        ("", false),
        ("1.5", false),
    ] {
        assert_eq!(opening(&[("storey", storey)]).is_ok(), good, "{storey}");
    }
}

#[test]
fn lengths_are_typed_as_the_trade_does_and_kept_exactly() {
    for (typed, nanometres) in [
        ("9 13/16", 249_237_500),
        ("9-13/16\"", 249_237_500),
        ("3' 4 1/2\"", 1_028_700_000),
        ("40.5", 1_028_700_000),
        ("1029 mm", 1_029_000_000),
        ("102.9 cm", 1_029_000_000),
        ("9½", 241_300_000),
    ] {
        let facts = opening(&[("clear_above", typed)]).expect("good");
        assert_eq!(
            facts.clear_above,
            Some(Length::from_nanometres(nanometres)),
            "{typed}"
        );
    }
    let facts = opening(&[]).expect("good");
    assert_eq!(
        (facts.clear_above, facts.siding_depth),
        (None, None),
        "empty is not measured"
    );
}

#[test]
fn lengths_out_of_reason_are_refused_with_what_is_allowed() {
    for field in ["clear_above", "sill_height"] {
        for (typed, good) in [
            ("0", true),
            ("100'", true),
            ("100' 1/64", false),
            ("-1", false),
        ] {
            assert_eq!(opening(&[(field, typed)]).is_ok(), good, "{field} {typed}");
        }
    }
    for (typed, good) in [
        ("0", true),
        ("12", true),
        ("12 1/64", false),
        ("-1/64", false),
    ] {
        assert_eq!(opening(&[("siding_depth", typed)]).is_ok(), good, "{typed}");
        assert_eq!(survey(&[("plumb", typed)]).is_ok(), good, "{typed}");
        assert_eq!(survey(&[("level", typed)]).is_ok(), good, "{typed}");
    }
    for field in [
        "width_top",
        "width_middle",
        "width_bottom",
        "height_left",
        "height_middle",
        "height_right",
        "rising",
        "falling",
    ] {
        for (typed, good) in [
            ("1/64", true),
            ("100 ft", true),
            ("0", false),
            ("-36", false),
            ("101'", false),
        ] {
            assert_eq!(survey(&[(field, typed)]).is_ok(), good, "{field} {typed}");
        }
        let million = "1".repeat(1_000_000);
        for bad in [
            "1/0",
            "3/0x",
            "NaN",
            "inf",
            "thirty",
            "3 6 16",
            "a\0",
            "🪟",
            "36 5/16 5",
            million.as_str(),
        ] {
            fails_at(survey(&[(field, bad)]), field);
        }
    }
}

#[test]
fn one_width_and_one_height_are_the_least_to_measure() {
    fails_at(survey(&[("width_top", "")]), "width_top");
    fails_at(survey(&[("height_left", "")]), "height_left");
    assert!(survey(&[("width_top", ""), ("width_bottom", "36")]).is_ok());
    let both = survey(&[("width_top", "x"), ("height_left", "x")]).expect_err("refused");
    assert!(
        both.iter()
            .all(|(_, words)| !words.contains("at least one")),
        "one error a field is enough"
    );
}

#[test]
fn nobody_has_measured_tomorrow() {
    fails_at(survey(&[("on", "2026-08-15")]), "on");
    fails_at(survey(&[("on", "")]), "on");
    fails_at(survey(&[("by", "9")]), "by");
    fails_at(survey(&[("by", "")]), "by");
    fails_at(survey(&[("pass", "third")]), "pass");
    fails_at(survey(&[("lean", "left")]), "lean");
    fails_at(survey(&[("high", "up")]), "high");
}

#[test]
fn every_text_field_refuses_a_million_characters_nul_and_hidden_direction_and_takes_emoji() {
    let million = "x".repeat(1_000_000);
    for bad in [million.as_str(), "a\0b", "a\u{202B}b"] {
        for field in ["wall", "siding", "note"] {
            fails_at(opening(&[(field, bad)]), field);
        }
        fails_at(survey(&[("note", bad)]), "note");
    }
    for field in ["wall", "siding", "note"] {
        assert!(opening(&[(field, "🧱 кирпич שלום")]).is_ok(), "{field}");
    }
}

#[test]
fn an_opening_and_a_survey_fill_their_own_forms_and_read_back_the_same() {
    for unit in [Unit::Inch, Unit::Millimetre] {
        let facts = opening(&[
            ("sill_height", "31 5/64"),
            ("siding_depth", "16.3 mm"),
            ("clear_above", "17 1/2"),
            ("wall", "frame"),
            ("siding", "shingle"),
            ("note", "x"),
        ])
        .expect("good");
        assert_eq!(
            opening_form(&opening_fields(&facts, unit), unit).as_ref(),
            Ok(&facts)
        );
        let new = survey(&[
            ("width_middle", "36 5/16"),
            ("width_bottom", "922 mm"),
            ("height_middle", "48"),
            ("height_right", "47 15/16"),
            ("rising", "60"),
            ("falling", "60 1/8"),
            ("plumb", "1/8"),
            ("lean", "out"),
            ("level", "1/16"),
            ("high", "right"),
            ("note", "dusk"),
        ])
        .expect("good");
        assert_eq!(
            (new.measured.lean, new.measured.high),
            (Some(Lean::Out), Some(High::Right))
        );
        let kept = Survey {
            id: SurveyId::new(1),
            opening: OpeningId::new(1),
            pass: Pass::First,
            measured: new.measured,
            by: "Fenella".into(),
            on: new.on,
            note: new.note.clone(),
        };
        let again = survey_fields(&kept, unit).with("by", 3).with("on", new.on);
        assert_eq!(survey_form(&again, &choices(), unit).as_ref(), Ok(&new));
    }
}
