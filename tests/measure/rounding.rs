//! Rounding for a sheet: nearest, ties to even (NIST SP 811 B.7, from
//! memory); strong and scant past a quarter of a division (our own rule).

use headwright::measure::Rounding::{HalfMillimetre, Sixteenth, ThirtySecond};
use headwright::measure::{Length, Remainder, Unit};
use headwright::trim::words;
use proptest::prelude::*;

#[test]
fn sixteenths_say_strong_and_scant_past_a_quarter_of_a_division() {
    for (inches, text) in [
        (0.0, "0"),
        (0.75, "3/4"),
        (9.25, "9 1/4"),
        (15.629, "15 5/8"),
        (17.6, "17 5/8 scant"),
        (15.0 + 1.0 / 64.0, "15"),
        (15.0 + 1.1 / 64.0, "15 strong"),
        (15.0 - 1.1 / 64.0, "15 scant"),
        (-0.5, "-1/2"),
    ] {
        assert_eq!(Sixteenth.text(inches), text, "{inches}");
    }
}

#[test]
fn ties_go_to_the_even_division() {
    // 1/32 lies between 0 and 1/16, 3/32 between 1/16 and 1/8.
    assert_eq!(Sixteenth.text(1.0 / 32.0), "0 strong");
    assert_eq!(Sixteenth.text(3.0 / 32.0), "1/8 scant");
    assert_eq!(HalfMillimetre.text(0.25 / 25.4), "0 mm");
    assert_eq!(HalfMillimetre.text(0.75 / 25.4), "1 mm");
}

#[test]
fn thirty_seconds_and_half_millimetres_are_worded() {
    assert_eq!(ThirtySecond.text(9.0 + 3.0 / 32.0), "9 3/32");
    assert_eq!(ThirtySecond.text(9.012), "9 strong");
    assert_eq!(HalfMillimetre.text(864.4 / 25.4), "864.5 mm");
    assert_eq!(HalfMillimetre.text(-0.5 / 25.4), "-0.5 mm");
    assert_eq!(HalfMillimetre.round(40.0).rest, Remainder::On);
}

#[test]
fn the_pages_words_round_by_the_same_rule() {
    for inches in [0.0, 9.25, 17.6, 15.629, 1.0 / 32.0, 3.0 / 32.0, 7.777] {
        assert_eq!(words::sixteenths(inches), Sixteenth.text(inches));
        assert_eq!(words::thirty_seconds(inches), ThirtySecond.text(inches));
        assert_eq!(words::millimetres(inches), HalfMillimetre.text(inches));
    }
}

#[test]
fn what_is_not_a_number_has_a_text_too() {
    for rounding in [Sixteenth, ThirtySecond, HalfMillimetre] {
        for inches in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300] {
            assert!(!rounding.text(inches).is_empty());
        }
    }
}

proptest! {
    #[test]
    fn a_rounded_text_is_within_half_a_division(inches in -1200.0..1200.0_f64) {
        for (rounding, most) in [
            (Sixteenth, 1.0 / 32.0),
            (ThirtySecond, 1.0 / 64.0),
            (HalfMillimetre, 0.25 / 25.4),
        ] {
            let text = rounding.text(inches);
            let plain = text.trim_end_matches(" strong").trim_end_matches(" scant");
            let back = Length::parse(plain, Unit::Inch).expect("a length").inches();
            prop_assert!((back - inches).abs() <= most + 1e-7, "{inches} {text}");
        }
    }
}
