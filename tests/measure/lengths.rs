//! Lengths as the trade writes them. The forms and their values are common
//! practice, no source; 1 in = 25.4 mm exactly: NIST SP 811 App. B (from
//! memory), 1/64 in = 0.396875 mm exactly (own derivation).

use headwright::measure::{Length, Unit};
use proptest::prelude::*;

fn nm(text: &str) -> i64 {
    let parsed = Length::parse(text, Unit::Inch);
    parsed
        .unwrap_or_else(|error| panic!("{error}"))
        .nanometres()
}

fn error(text: &str) -> String {
    match Length::parse(text, Unit::Inch) {
        Ok(length) => panic!("`{text}` reads as {length}"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn an_inch_is_25_400_000_nanometres_and_a_64th_is_whole() {
    assert_eq!(nm("1"), 25_400_000);
    assert_eq!(nm("1/64"), 396_875);
    assert_eq!(nm("25.4 mm"), nm("1"));
}

#[test]
fn the_forms_of_the_trade_are_read_exactly() {
    let sixteenth = 1_587_500;
    for (text, expected) in [
        ("9 13/16", 157 * sixteenth),
        ("9-13/16\"", 157 * sixteenth),
        ("9 13/16 in", 157 * sixteenth),
        ("9 13/16 in.", 157 * sixteenth),
        ("9 13/16 inches", 157 * sixteenth),
        ("  9   13 / 16  ", 157 * sixteenth),
        ("9\u{a0}13\u{2044}16\u{2033}", 157 * sixteenth),
        ("3' 4 1/2\"", 648 * sixteenth),
        ("3'-4 1/2\"", 648 * sixteenth),
        ("3'4-1/2\"", 648 * sixteenth),
        ("3\u{2032} 4\u{bd}\u{2033}", 648 * sixteenth),
        ("3\u{2019} 4 1/2\u{201d}", 648 * sixteenth),
        ("3' 4 1/2", 648 * sixteenth),
        ("3' 4 1/2''", 648 * sixteenth),
        ("3 ft 4 in", 640 * sixteenth),
        ("3 feet 4 inches", 640 * sixteenth),
        ("3'", 576 * sixteenth),
        ("3 1/2'", 672 * sixteenth),
        ("40.5", 648 * sixteenth),
        (".5", 8 * sixteenth),
        ("9.", 144 * sixteenth),
        ("9\u{bd}", 152 * sixteenth),
        ("\u{be}", 12 * sixteenth),
        ("\u{215b}\"", 2 * sixteenth),
        ("17/16", 17 * sixteenth),
        ("0", 0),
        ("-1/2", -8 * sixteenth),
        ("\u{2212}2", -32 * sixteenth),
        ("1029 mm", 1_029_000_000),
        ("102.9 cm", 1_029_000_000),
        ("1.2 m", 1_200_000_000),
        ("864mm", 864_000_000),
        ("864 MM", 864_000_000),
        ("0.000001 mm", 1),
    ] {
        assert_eq!(nm(text), expected, "{text}");
    }
}

#[test]
fn a_length_that_is_no_whole_nanometre_goes_to_the_nearest() {
    // 1/3 in = 8,466,666.67 nm; 1/128 in = 198,437.5 nm, a tie to even.
    assert_eq!(nm("1/3"), 8_466_667);
    assert_eq!(nm("1/128"), 198_438);
    assert_eq!(nm("3/128"), 595_312);
}

#[test]
fn a_text_without_a_unit_is_in_the_unit_given_and_its_own_unit_wins() {
    let parse = |text, unit| Length::parse(text, unit).expect("a length");
    assert_eq!(parse("40", Unit::Millimetre).nanometres(), 40_000_000);
    assert_eq!(parse("40", Unit::Foot).nanometres(), 12_192_000_000);
    assert_eq!(parse("40 in", Unit::Millimetre), parse("40", Unit::Inch));
    assert_eq!(parse("1' 6", Unit::Millimetre), parse("18", Unit::Inch));
}

#[test]
fn what_is_not_a_length_is_refused_in_words() {
    assert_eq!(
        error("1/0"),
        "`1/0`: a fraction needs a bottom number of 1 or more"
    );
    assert_eq!(
        error("3 1/0"),
        "`3 1/0`: a fraction needs a bottom number of 1 or more"
    );
    assert!(error("").contains("nothing is typed"));
    assert!(error("9 17/16").contains("less than 1"));
    assert!(error("9.5 1/2").contains("whole number"));
    assert!(error("1.5/2").contains("whole number"));
    assert!(error("3' 4 mm").contains("after feet come inches"));
    for text in [
        "3/0x",
        "x",
        "9 13",
        "1e3",
        "NaN",
        "inf",
        "3'' 4'",
        "1 m 20 cm",
        "5 in 3 in",
        "1/2/3",
        "--5",
        "5-",
        "/2",
        "1/",
        "5 1/-2",
        "..",
        "1.2.3",
        "٣",
        "９",
        "五",
        "9 13\u{0}/16",
        "\u{202e}9",
        "🪚",
        "0x10",
        "1_000",
        "1,5",
        "12 kg",
    ] {
        assert!(!error(text).is_empty(), "{text}");
        assert!(!error(text).contains('\n'), "{text}");
    }
}

#[test]
fn lengths_past_reason_are_refused_and_long_texts_are_not_repeated() {
    assert!(error("9999999999999999").contains("digits"));
    assert!(error("2000 km").contains("not a length"));
    assert!(error("2000000 m").contains("too long"));
    assert!(error(&"9".repeat(1_000_000)).len() < 200);
    assert!(error(&"\u{301}".repeat(1_000_000)).len() < 300);
    assert!(Length::from_f64(f64::NAN, Unit::Inch).is_err());
    assert!(Length::from_f64(f64::INFINITY, Unit::Inch).is_err());
    assert!(Length::from_f64(1e300, Unit::Metre).is_err());
    assert_eq!(
        Length::from_f64(13.1, Unit::Inch).map(Length::nanometres),
        Ok(332_740_000)
    );
}

#[test]
fn every_64th_up_to_4_ft_is_read_back_from_its_own_text() {
    for n in 0..=(48 * 64) {
        let length = Length::from_nanometres(n * 396_875);
        for text in [length.to_string(), length.exact(Unit::Inch)] {
            assert_eq!(Length::parse(&text, Unit::Inch), Ok(length), "{text}");
        }
    }
}

proptest! {
    #[test]
    fn any_length_is_read_back_from_its_exact_text(n in -40_000_000_000_i64..40_000_000_000) {
        let length = Length::from_nanometres(n);
        for unit in [Unit::Inch, Unit::Millimetre, Unit::Foot] {
            prop_assert_eq!(Length::parse(&length.exact(unit), unit), Ok(length));
            prop_assert_eq!(Length::parse(&length.to_string(), unit), Ok(length));
        }
    }

    #[test]
    fn feet_inches_and_fractions_add_up(feet in 0_i64..99, inch in 0_i64..12, top in 0_i64..64) {
        let text = format!("{feet}' {inch} {top}/64\"");
        let expected = (feet * 12 + inch) * 25_400_000 + top * 396_875;
        prop_assert_eq!(Length::parse(&text, Unit::Millimetre).map(Length::nanometres), Ok(expected));
    }

    #[test]
    fn no_text_panics(text in any::<String>()) {
        let _ = Length::parse(&text, Unit::Inch);
    }

    #[test]
    fn no_text_of_the_trades_own_signs_panics(text in "[0-9 ./'\"\u{2033}\u{2032}½¾⁄−mcinft-]{0,24}") {
        let _ = Length::parse(&text, Unit::Millimetre);
    }
}
