//! Hours by the stated rule and corrected. The rule's numbers are common
//! practice, no source; the tests work them out again by hand.

use headwright::crew::{
    Labour, Work, by_rule, clock, correction, minutes, monday, next_working, parse_hours,
};

const GABLE: Work = Work {
    pieces: 20,
    cuts: 36,
};

#[test]
fn the_rule_is_what_the_page_says() {
    // 20 + 3 × 20 + 2.5 × 36 = 170; without the saw 80.
    assert!((by_rule(GABLE, Labour::Cutting) - 170.0).abs() < 1e-9);
    assert!((by_rule(GABLE, Labour::Other) - 80.0).abs() < 1e-9);
    assert_eq!(minutes(GABLE, Labour::Cutting, 1.0), 170);
    assert_eq!(
        minutes(GABLE, Labour::Other, 1.01),
        85,
        "up to the next five"
    );
}

#[test]
fn what_such_heads_took_corrects_the_rule_and_one_odd_head_does_not_decide() {
    assert!((correction(&[]) - 1.0).abs() < 1e-12);
    // One head of 100 that took 400: (400 + 200) / (100 + 200) = 2.
    assert!((correction(&[(100.0, 400.0)]) - 2.0).abs() < 1e-9);
    // Eighteen that took 1.5 times: (2700 + 200) / (1800 + 200) = 1.45.
    let many = vec![(100.0, 150.0); 18];
    assert!((correction(&many) - 1.45).abs() < 1e-9);
    assert!(correction(&vec![(100.0, 9000.0); 50]) <= 3.0);
    assert!(correction(&vec![(100.0, 1.0); 50]) >= 0.5);
    assert!((correction(&[(0.0, 50.0), (100.0, 0.0)]) - 1.0).abs() < 1e-12);
}

#[test]
fn hours_are_read_as_people_write_them() {
    for (text, minutes) in [
        ("1:30", 90),
        ("1.5", 90),
        ("1 1/2", 90),
        ("0:05", 5),
        ("24", 1440),
        ("0", 0),
    ] {
        assert_eq!(parse_hours(text), Ok(minutes), "{text}");
    }
    for wrong in [
        "",
        "1:60",
        "25",
        "-1",
        "1:-5",
        "two",
        "24:01",
        "1:2:3",
        "99999999999999999999:1",
    ] {
        assert!(parse_hours(wrong).is_err(), "{wrong}");
    }
    assert_eq!(clock(95), "1:35");
}

#[test]
fn weeks_begin_on_monday_and_work_stops_at_the_weekend() {
    let day = |text: &str| text.parse::<chrono::NaiveDate>().expect("a day");
    // 14 August 2026 is a Friday.
    assert_eq!(monday(day("2026-08-14")), day("2026-08-10"));
    assert_eq!(monday(day("2026-08-10")), day("2026-08-10"));
    assert_eq!(next_working(day("2026-08-14")), day("2026-08-17"));
    assert_eq!(next_working(day("2026-08-12")), day("2026-08-13"));
}
