//! Any text as a length: never a panic, and what is taken comes back exactly.
#![no_main]

use headwright::measure::{Length, Unit, parse_number};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let _ = parse_number(text);
    for unit in [Unit::Inch, Unit::Foot, Unit::Millimetre, Unit::Centimetre, Unit::Metre] {
        if let Ok(length) = Length::parse(text, unit) {
            assert_eq!(Length::parse(&length.exact(Unit::Inch), Unit::Inch), Ok(length));
        }
    }
});
