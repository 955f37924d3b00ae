//! Money: whole cents, checked.

use headwright::measure::Money;
use proptest::prelude::*;

#[test]
fn amounts_are_read_and_written() {
    for (text, cents) in [
        ("0", 0),
        ("12", 1200),
        ("12.5", 1250),
        ("1,234.50", 123_450),
        ("$1,234,567.89", 123_456_789),
        ("-0.05", -5),
        (" 7.00 ", 700),
    ] {
        assert_eq!(Money::parse(text), Ok(Money::from_cents(cents)), "{text}");
    }
    assert_eq!(Money::from_cents(123_450).to_string(), "1,234.50");
    assert_eq!(Money::from_cents(-5).to_string(), "-0.05");
    assert_eq!(Money::from_cents(99).to_string(), "0.99");
}

#[test]
fn what_is_no_amount_is_refused() {
    for text in [
        "", "x", "1.234", "1,23", ",123", "1..2", "1.", "$", "--1", "1e3", "12 34", "1,2345",
    ] {
        assert!(Money::parse(text).is_err(), "{text}");
    }
    assert!(Money::parse(&"9".repeat(100)).is_err());
}

#[test]
fn sums_past_the_largest_are_errors() {
    let most = Money::from_cents(i64::MAX);
    assert!(most.checked_add(Money::from_cents(1)).is_err());
    assert!(
        Money::from_cents(i64::MIN)
            .checked_sub(Money::from_cents(1))
            .is_err()
    );
    assert!(most.checked_mul(2).is_err());
    assert!(most.basis_points(20_000).is_err());
}

#[test]
fn a_share_in_basis_points_goes_to_the_nearest_cent_ties_to_even() {
    let share = |cents, points| {
        Money::from_cents(cents)
            .basis_points(points)
            .map(Money::cents)
    };
    assert_eq!(share(10_000, 825), Ok(825));
    assert_eq!(share(50, 100), Ok(0));
    assert_eq!(share(150, 100), Ok(2));
    assert_eq!(share(-150, 100), Ok(-2));
}

proptest! {
    #[test]
    fn an_amount_is_read_back_from_its_text(cents in any::<i32>()) {
        let money = Money::from_cents(cents.into());
        prop_assert_eq!(Money::parse(&money.to_string()), Ok(money));
    }

    #[test]
    fn no_text_panics(text in any::<String>()) {
        let _ = Money::parse(&text);
    }
}
