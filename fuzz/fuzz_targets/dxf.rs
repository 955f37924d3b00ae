//! Any text as a DXF drawing.
#![no_main]

use headwright::measure::Unit;
use headwright::trim::section::dxf;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Ok(read) = dxf::read(text, Unit::Inch) {
        assert!(read.outline.area().is_finite());
    }
});
