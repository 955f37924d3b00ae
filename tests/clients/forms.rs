//! What the forms of clients, enquiries and visits take and refuse.

use headwright::access::UserId;
use headwright::clients::{
    Email, EnquiryState, Phone, VisitChoices, client_fields, client_form, enquiry_fields,
    enquiry_form, parse_time, visit_fields, visit_form,
};
use headwright::web::{Errors, Fields};

fn fields(pairs: &[(&str, &str)]) -> Fields {
    pairs
        .iter()
        .fold(Fields::default(), |fields, (name, value)| {
            fields.with(name, value)
        })
}

fn client(pairs: &[(&str, &str)]) -> Result<(), Errors> {
    let mut all = vec![("name", "Wren Abelard")];
    all.retain(|(name, _)| !pairs.iter().any(|(n, _)| n == name));
    all.extend(pairs);
    client_form(&fields(&all)).map(|_| ())
}

fn enquiry(pairs: &[(&str, &str)]) -> Result<(), Errors> {
    let mut all = vec![
        ("name", "Wren"),
        ("wants", "A head"),
        ("day", "2026-08-14"),
        ("state", "new"),
    ];
    all.retain(|(name, _)| !pairs.iter().any(|(n, _)| n == name));
    all.extend(pairs);
    enquiry_form(&fields(&all)).map(|_| ())
}

fn visit(pairs: &[(&str, &str)]) -> Result<(), Errors> {
    let mut all = vec![("day", "2026-08-14"), ("purpose", "First look")];
    all.retain(|(name, _)| !pairs.iter().any(|(n, _)| n == name));
    all.extend(pairs);
    let choices = VisitChoices {
        jobs: vec![(7, "SM".into())],
        people: vec![(UserId::new(3), "Fenella".into())],
    };
    visit_form(&fields(&all), &choices).map(|_| ())
}

fn fails_at(result: Result<(), Errors>, field: &str) {
    let errors = result.expect_err("refused");
    assert!(errors.of(field).is_some(), "{field}: {errors:?}");
}

#[test]
fn a_name_is_needed_and_may_have_120_characters() {
    assert_eq!(client(&[]), Ok(()));
    assert_eq!(client(&[("name", &"n".repeat(120))]), Ok(()));
    fails_at(client(&[("name", &"n".repeat(121))]), "name");
    fails_at(client(&[("name", "")]), "name");
    fails_at(client(&[("name", " \u{2003} ")]), "name");
    fails_at(client_form(&Fields::default()).map(|_| ()), "name");
}

#[test]
fn every_text_field_refuses_a_million_characters_nul_and_hidden_direction_and_takes_emoji() {
    let million = "x".repeat(1_000_000);
    let bad = [million.as_str(), "a\0b", "a\u{202E}b"];
    let good = ["🪚 Ärger & Söhne", "مرحبا"];
    for field in ["name", "firm", "address", "heard_of", "note"] {
        bad.iter()
            .for_each(|text| fails_at(client(&[(field, text)]), field));
        good.iter()
            .for_each(|text| assert_eq!(client(&[(field, text)]), Ok(()), "{field} {text}"));
    }
    for field in ["name", "wants", "heard_of", "reason"] {
        bad.iter()
            .for_each(|text| fails_at(enquiry(&[(field, text)]), field));
        good.iter()
            .for_each(|text| assert_eq!(enquiry(&[(field, text)]), Ok(()), "{field} {text}"));
    }
    for field in ["purpose", "key_with", "access", "contact", "outcome"] {
        bad.iter()
            .for_each(|text| fails_at(visit(&[(field, text)]), field));
        good.iter()
            .for_each(|text| assert_eq!(visit(&[(field, text)]), Ok(()), "{field} {text}"));
    }
    for field in ["phone", "email"] {
        bad.iter()
            .for_each(|text| fails_at(client(&[(field, text)]), field));
    }
}

#[test]
fn a_telephone_number_is_figures_with_their_usual_marks() {
    for good in [
        "",
        "555-0114",
        "+1 (555) 0114",
        "555.0114 ext 12",
        "55501",
        "555 0114 ext.2",
    ] {
        assert!(Phone::parse(good).is_ok(), "{good}");
    }
    for bad in [
        "call me",
        "5550",
        "1234567890123456789",
        "555-0114; DROP",
        "5550114+",
        "555 0114 ext abc",
    ] {
        assert!(Phone::parse(bad).is_err(), "{bad}");
    }
    assert_eq!(
        Phone::parse("+1 (555) 0114 ext 2").map(|p| p.dial()),
        Ok("+15550114".into())
    );
}

#[test]
fn a_mail_address_has_one_at_and_a_dot_after_it() {
    for good in ["", "a@b.co", "first.last+trim@example.org", "ödön@példa.hu"] {
        assert!(Email::parse(good).is_ok(), "{good}");
    }
    for bad in [
        "a",
        "a@b",
        "@b.co",
        "a@.co",
        "a@b.co\n",
        "a b@c.de",
        "a@b@c.de",
        "a@-b.co",
        "javascript:alert(1)@x",
    ] {
        let text = if bad.ends_with('\n') { "a@b\n.co" } else { bad };
        assert!(Email::parse(text).is_err(), "{bad:?}");
    }
}

#[test]
fn not_ours_asks_for_the_reason() {
    fails_at(enquiry(&[("state", "not-ours")]), "reason");
    assert_eq!(
        enquiry(&[("state", "not-ours"), ("reason", "Too far")]),
        Ok(())
    );
    fails_at(enquiry(&[("state", "lost")]), "state");
    fails_at(enquiry(&[("state", "")]), "state");
}

#[test]
fn a_day_is_a_day_of_the_calendar() {
    for bad in [
        "",
        "2026-02-29",
        "14.8.2026",
        "1899-12-31",
        "2201-01-01",
        "99999-01-01",
    ] {
        fails_at(enquiry(&[("day", bad)]), "day");
        fails_at(visit(&[("day", bad)]), "day");
    }
    for good in ["2028-02-29", "1900-01-01", "2200-12-31"] {
        assert_eq!(enquiry(&[("day", good)]), Ok(()));
    }
}

#[test]
fn a_time_is_hours_and_minutes_or_left_open() {
    assert_eq!(visit(&[("time", "")]), Ok(()));
    assert_eq!(visit(&[("time", "23:59")]), Ok(()));
    for bad in ["24:00", "9", "nine", "09:60"] {
        fails_at(visit(&[("time", bad)]), "time");
    }
    assert!(parse_time("07:05").is_ok());
}

#[test]
fn only_what_the_form_offers_can_be_chosen() {
    assert_eq!(visit(&[("job", "7"), ("goes", "3")]), Ok(()));
    fails_at(visit(&[("job", "8")]), "job");
    fails_at(visit(&[("job", "seven")]), "job");
    fails_at(visit(&[("goes", "4")]), "goes");
}

#[test]
fn every_error_comes_at_once() {
    let errors = enquiry_form(&fields(&[("phone", "x"), ("day", "x")])).expect_err("refused");
    for field in ["name", "phone", "wants", "day", "state"] {
        assert!(errors.of(field).is_some(), "{field}");
    }
}

#[test]
fn a_record_fills_its_own_form_and_reads_back_the_same() {
    let typed = fields(&[
        ("name", "Wren"),
        ("firm", "W & Co"),
        ("phone", "555-0114"),
        ("email", "w@example.org"),
        ("address", "1 Quay\nMarram Bay"),
        ("heard_of", "the van"),
        ("note", "Dog"),
    ]);
    let facts = client_form(&typed).expect("good");
    assert_eq!(client_form(&client_fields(&facts)).as_ref(), Ok(&facts));
    let typed = fields(&[
        ("name", "Wren"),
        ("wants", "A head"),
        ("day", "2026-08-14"),
        ("state", "visit-agreed"),
    ]);
    let facts = enquiry_form(&typed).expect("good");
    assert_eq!(facts.state, EnquiryState::VisitAgreed);
    assert_eq!(enquiry_form(&enquiry_fields(&facts)).as_ref(), Ok(&facts));
    let choices = VisitChoices {
        jobs: vec![(7, "SM".into())],
        people: vec![(UserId::new(3), "F".into())],
    };
    let typed = fields(&[
        ("day", "2026-08-14"),
        ("time", "09:30"),
        ("purpose", "Look"),
        ("job", "7"),
        ("goes", "3"),
    ]);
    let facts = visit_form(&typed, &choices).expect("good");
    assert_eq!(
        visit_form(&visit_fields(&facts), &choices).as_ref(),
        Ok(&facts)
    );
}
