//! Any text as a head: refused in one line, or solved, written and drawn.
#![no_main]

use headwright::measure::Rounding;
use headwright::trim::contract::table;
use headwright::trim::draw::{Look, elevation};
use headwright::trim::{Design, Rules, solve};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let Ok(design) = Design::from_json_text(text) else {
        return;
    };
    assert_eq!(Design::from_json(&design.to_json()).as_ref(), Ok(&design));
    let Ok(sheet) = solve(&design, &Rules::default()) else {
        return;
    };
    let pieces: usize = sheet.runs.iter().map(|run| run.pieces.len()).sum();
    assert!(pieces <= 500);
    let _ = table(&sheet, Rounding::Sixteenth);
    let _ = elevation(&sheet, &Look::PHONE);
});
