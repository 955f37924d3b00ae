//! Typed bad stretches, read and written again.

use headwright::measure::Unit;
use headwright::stock::{defects_text, long_words, parse_defects};

use crate::support::records::len;

#[test]
fn bad_stretches_are_read_in_order_and_written_back() {
    let read = parse_defects("30 to 31; 12 to 14 1/2;", len("40"), Unit::Inch).expect("read");
    assert_eq!(read, [(len("12"), len("14 1/2")), (len("30"), len("31"))]);
    let text = defects_text(&read, Unit::Inch);
    assert_eq!(text, "12 to 14 1/2; 30 to 31");
    assert_eq!(parse_defects(&text, len("40"), Unit::Inch), Ok(read));
    assert_eq!(parse_defects("  ", len("40"), Unit::Inch), Ok(vec![]));
}

#[test]
fn bad_stretches_that_cannot_be_are_refused_in_words() {
    for text in [
        "12",
        "to",
        "14 to 12",
        "12 to 12",
        "-1 to 2",
        "39 to 41",
        "12 to 20; 15 to 30",
        "a to b",
    ] {
        let words = parse_defects(text, len("40"), Unit::Inch).expect_err(text);
        assert!(!words.is_empty(), "{text}");
    }
}

#[test]
fn whole_feet_are_said_as_feet() {
    assert_eq!(long_words(len("144")), "12 ft");
    assert_eq!(long_words(len("12")), "12\"");
    assert_eq!(long_words(len("31 1/4")), "31 1/4\"");
}
