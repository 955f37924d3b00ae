//! What the job form takes and refuses.

use headwright::access::UserId;
use headwright::clients::ClientId;
use headwright::jobs::{JobChoices, JobCode, JobFacts, job_fields, job_form};
use headwright::web::{Errors, Fields};

fn job(pairs: &[(&str, &str)]) -> Result<JobFacts, Errors> {
    let mut all = vec![
        ("client", "1"),
        ("code", "SM"),
        ("title", "House"),
        ("site_address", "1 Quay"),
    ];
    all.retain(|(name, _)| !pairs.iter().any(|(n, _)| n == name));
    all.extend(pairs);
    let fields = all.iter().fold(Fields::default(), |fields, (name, value)| {
        fields.with(name, value)
    });
    let choices = JobChoices {
        clients: vec![(ClientId::new(1), "Wren".into())],
        foremen: vec![(UserId::new(3), "Fenella".into())],
    };
    job_form(&fields, &choices)
}

fn fails_at(pairs: &[(&str, &str)], field: &str) {
    let errors = job(pairs).expect_err("refused");
    assert!(errors.of(field).is_some(), "{field}: {errors:?}");
}

#[test]
fn a_job_needs_client_code_title_and_address() {
    assert!(job(&[]).is_ok());
    for field in ["client", "code", "title", "site_address"] {
        fails_at(&[(field, "")], field);
    }
}

#[test]
fn a_code_is_up_to_twelve_letters_figures_and_hyphens_made_capital() {
    assert_eq!(
        JobCode::parse("sm-26").map(|c| c.to_string()),
        Ok("SM-26".into())
    );
    assert!(JobCode::parse(&"A".repeat(12)).is_ok());
    for bad in [
        "",
        "-",
        "A B",
        "SÖ",
        "a/b",
        "A\u{0}",
        "😀",
        &"A".repeat(13),
        &"A".repeat(1_000_000),
    ] {
        assert!(JobCode::parse(bad).is_err());
    }
}

#[test]
fn the_last_day_does_not_lie_before_the_first() {
    assert!(job(&[("first_day", "2026-08-14"), ("last_day", "2026-08-14")]).is_ok());
    assert!(job(&[("last_day", "2026-08-14")]).is_ok());
    fails_at(
        &[("first_day", "2026-08-14"), ("last_day", "2026-08-13")],
        "last_day",
    );
    fails_at(&[("first_day", "2026-13-01")], "first_day");
}

#[test]
fn a_house_is_between_1500_and_2200() {
    for (year, good) in [
        ("1500", true),
        ("2200", true),
        ("", true),
        ("1499", false),
        ("2201", false),
        ("19th", false),
        ("1894.5", false),
    ] {
        assert_eq!(job(&[("year_built", year)]).is_ok(), good, "{year}");
    }
}

#[test]
fn old_paint_is_minded_before_1978_only() {
    let lead = |year| job(&[("year_built", year)]).expect("good").may_hold_lead();
    assert!(lead("1977"));
    assert!(!lead("1978"));
    assert!(!lead(""));
}

#[test]
fn only_a_client_and_a_foreman_of_the_list_can_be_chosen() {
    assert!(job(&[("foreman", "3")]).is_ok());
    fails_at(&[("foreman", "4")], "foreman");
    fails_at(&[("client", "2")], "client");
    fails_at(&[("client", "1; DROP TABLE job")], "client");
}

#[test]
fn every_text_field_refuses_a_million_characters_nul_and_hidden_direction_and_takes_emoji() {
    let million = "x".repeat(1_000_000);
    for field in [
        "title",
        "site_address",
        "access",
        "site_contact",
        "zone",
        "terms",
        "note",
    ] {
        for bad in [million.as_str(), "a\0b", "a\u{2066}b"] {
            fails_at(&[(field, bad)], field);
        }
        assert!(job(&[(field, "🏚 Großes Haus שלום")]).is_ok(), "{field}");
    }
}

#[test]
fn a_job_fills_its_own_form_and_reads_back_the_same() {
    let facts = job(&[
        ("access", "Gate\nDog"),
        ("site_contact", "Mrs W"),
        ("year_built", "1894"),
        ("historic", "yes"),
        ("zone", "Harbour"),
        ("foreman", "3"),
        ("first_day", "2026-08-14"),
        ("last_day", "2026-09-14"),
        ("terms", "A third"),
        ("note", "Old paint"),
    ])
    .expect("good");
    let choices = JobChoices {
        clients: vec![(ClientId::new(1), "Wren".into())],
        foremen: vec![(UserId::new(3), "Fenella".into())],
    };
    assert_eq!(job_form(&job_fields(&facts), &choices).as_ref(), Ok(&facts));
}
