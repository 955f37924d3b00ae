//! Nominal sizes beside a drawn section, and lengths worded in findings.

use headwright::trim::design::Design;
use headwright::trim::solve::{Rules, solve};
use serde_json::json;

fn codes_and_texts(design: &serde_json::Value) -> Vec<(&'static str, String)> {
    let design = Design::from_json(design).expect("a design");
    let sheet = solve(&design, &Rules::default()).expect("a sheet");
    let findings = sheet.findings.into_iter();
    findings.map(|f| (f.code, f.text)).collect()
}

#[test]
fn a_nominal_size_beside_a_section_need_not_agree_and_the_section_counts() {
    let head = json!({
        "unit": "in", "kind": "flat", "span": 40,
        "board": {"thickness": 0.75, "height": 5.5},
        "crown": {"projection": "2", "height": "3", "section": [[0, 0], [1.5, 0], [0, -2.625]]},
    });
    let design = Design::from_json(&head).expect("a design");
    let sheet = solve(&design, &Rules::default()).expect("a sheet");
    let front = &sheet.runs[0].pieces[1];
    assert!((front.overall - 43.0).abs() < 1e-9, "{}", front.overall);
}

#[test]
fn findings_word_lengths_as_the_sheet_does() {
    let head = json!({
        "unit": "in", "kind": "flat", "span": 40,
        "board": {"thickness": 0.75, "height": 5.5},
        "crown": {"projection": 1.5, "height": 2},
    });
    let found = codes_and_texts(&head);
    assert!(found.iter().all(|(code, _)| *code == "short-piece"));
    assert!(found[0].1.starts_with("Only 2 1/4 in long:"), "{found:?}");
}
