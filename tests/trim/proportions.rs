//! Family D, proportions. Sources are in each row of `tests/data/checks.json`.

use headwright::trim::proportion::{Suggestion, around_opening, bands, cornice, pitches, segment};

use super::published::{Check, family};

fn measure(suggestion: &Suggestion, name: &str) -> f64 {
    let found = suggestion.measures.iter().find(|m| m.name == name);
    found
        .unwrap_or_else(|| panic!("no {name} in {suggestion:?}"))
        .inches
}

/// The suggestion whose work and rule hold these words.
fn rule<'a>(all: &'a [Suggestion], work: &str, words: &str) -> &'a Suggestion {
    let found = all
        .iter()
        .find(|s| s.source.work.contains(work) && s.rule.contains(words));
    found.unwrap_or_else(|| panic!("no rule {work}, {words}"))
}

fn degrees(suggestion: &Suggestion) -> f64 {
    suggestion.slope.expect("a slope").to_degrees()
}

fn pitch(check: &Check, work: &str, words: &str) {
    let all = pitches(check.input("L"), None);
    let found = rule(&all, work, words);
    for key in ["h", "tympanum_h"] {
        if check.row["expect"].get(key).is_some() {
            check.expect(key, measure(found, "height"));
        }
    }
    check.expect("slope_deg", degrees(found));
}

fn serlio(check: &Check) {
    let width = check.input("L");
    let all = pitches(width, None);
    let height = measure(rule(&all, "Serlio", "arc"), "height");
    check.expect("h", height);
    check.expect("centre_below", width / 2.0);
    // From half the width below the middle, the arc through the ends.
    check.expect("radius", width / 2.0 + height);
}

fn opening(check: &Check, work: &str, words: &str, names: &[(&str, &str)]) {
    let width = check.row["inputs"]
        .get("opening_w")
        .map_or(30.0, |_| check.input("opening_w"));
    let height = check.row["inputs"]
        .get("height")
        .map_or(80.0, |_| check.input("height"));
    let all = around_opening(width, height);
    let found = rule(&all, work, words);
    for (key, name) in names {
        check.expect(key, measure(found, name));
    }
}

fn fasciae(check: &Check) {
    let found = bands(check.input("architrave_h")).expect("a width");
    check.expect("cymatium", measure(&found, "moulding"));
    let want = check.row["expect"]["fasciae"].as_array().expect("three");
    for (want, name) in want.iter().zip(["inner band", "middle band", "outer band"]) {
        let got = measure(&found, name);
        assert!(
            (got - want.as_f64().expect("a number")).abs() < 1e-9,
            "{name}: {got}"
        );
    }
}

fn work(check: &Check) -> Result<(), &'static str> {
    match check.id() {
        "D-vitruvius" => pitch(check, "Vitruvius", "ninth"),
        "D-cyc-eighth" => pitch(check, "Cyclopedia", "eighth"),
        "D-vignola" => pitch(check, "Vignola", "arc"),
        "D-serlio" => serlio(check),
        "D-segmental" => {
            let found = segment(check.input("L")).expect("a width");
            check.expect("R", measure(&found, "radius"));
            check.expect("rise", measure(&found, "rise"));
            check.expect("sweep_deg", 2.0 * degrees(&found));
        }
        "D-daviler" => pitch(check, "Daviler", "fifth"),
        "D-eb1" => pitch(check, "Britannica", "quarter"),
        "D-palladio" => pitch(check, "Palladio", "two ninths"),
        "D-chambers-low" => pitch(check, "Chambers", "flattest"),
        "D-chambers-high" => pitch(check, "Chambers", "steepest"),
        id if id.starts_with("D-leveille") => {
            let all = pitches(100.0, Some(100.0 * check.input("c_over_L")));
            check.expect("slope_deg", degrees(rule(&all, "L'Eveille", "triangle")));
        }
        "D-riou-doric" => opening(check, "Riou", "Doric", &[("architrave_w", "architrave")]),
        "D-riou-ionic" => opening(check, "Riou", "Ionic", &[("architrave_w", "architrave")]),
        "D-riou-corinthian" => {
            opening(
                check,
                "Riou",
                "Corinthian",
                &[("architrave_w", "architrave")],
            );
        }
        "D-vit-door-doric" => opening(
            check,
            "Vitruvius",
            "Doric: opening",
            &[
                ("width", "width of opening"),
                ("jamb", "jamb"),
                ("cymatium", "its moulding"),
            ],
        ),
        "D-vit-door-ionic" => opening(
            check,
            "Vitruvius",
            "Ionic: opening",
            &[("width", "width of opening"), ("jamb", "jamb")],
        ),
        "D-vit-fasciae" => fasciae(check),
        "D-edin-door" => {
            let all = around_opening(1.0, 1.0);
            let of = |words| measure(rule(&all, "Edinburgh", words), "width of opening");
            check.expect("small", of("3 to 7"));
            check.expect("large", of("1 to 2"));
        }
        "D-cyc-literal" => return Err("contradicts Serlio, whom it reports: never suggested"),
        _ => return Err("a moulding, tested with the mouldings"),
    }
    Ok(())
}

#[test]
fn proportions_are_those_of_the_books() {
    // None may vanish: twelve are the mouldings', and one reading is refused
    // because it contradicts the author whom it reports.
    assert_eq!(family("D-", work), (19, 3, 13));
}

#[test]
fn nothing_is_suggested_for_a_width_that_is_none() {
    for width in [0.0, -3.0, f64::NAN, f64::INFINITY] {
        assert!(pitches(width, None).is_empty());
        assert!(around_opening(width, 80.0).is_empty());
        assert!(segment(width).is_none() && bands(width).is_none() && cornice(width).is_none());
    }
    // A cornice as deep as the arc's chord has no such pitch.
    assert_eq!(pitches(10.0, Some(6.0)).len(), pitches(10.0, None).len());
}

#[test]
fn every_suggestion_names_its_source_and_how_well_it_was_seen() {
    let all = pitches(40.0, Some(2.0))
        .into_iter()
        .chain(around_opening(30.0, 80.0));
    for suggestion in all
        .chain(segment(40.0))
        .chain(bands(4.0))
        .chain(cornice(3.0))
    {
        assert!(!suggestion.source.work.is_empty() && !suggestion.rule.is_empty());
        assert!(!suggestion.source.seen.words().is_empty());
        assert!(
            suggestion.measures.iter().all(|m| m.inches > 0.0),
            "{suggestion:?}"
        );
    }
}
