//! Any text as a raked section: refused in one line, or drawn in every form.
#![no_main]

use headwright::measure::Unit;
use headwright::trim::{paper, raked};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let Ok(input) = raked::from_json_text(text) else {
        return;
    };
    let _ = (input.to_json(), input.table());
    if let Some(found) = input.raked() {
        let plate = paper::Plate::of_raked("Any", &found);
        let _ = (paper::svg(&plate), paper::dxf(&plate, Unit::Inch));
        let _ = paper::pdf(&plate.scene(), paper::Paper::A4);
    }
});
