//! The writing of a feed by itself.

use chrono::{NaiveDate, TimeZone as _, Utc};
use headwright::calendar::{Entry, When, written};
use proptest::prelude::*;

use super::{assert_lines, read, value};

fn day(text: &str) -> NaiveDate {
    text.parse().expect("a day")
}

fn an_entry(summary: &str) -> Entry {
    Entry {
        uid: "job-1-x@headwright".into(),
        when: When::Days(day("2026-08-14"), day("2026-08-16")),
        summary: summary.into(),
        url: "http://127.0.0.1:8080/jobs/1".into(),
        busy: false,
    }
}

/// Text as RFC 5545, 3.3.11 says it is read.
fn unescaped(value: &str) -> String {
    let (mut out, mut after) = (String::new(), false);
    for c in value.chars() {
        match (after, c) {
            (false, '\\') => after = true,
            (true, 'n' | 'N') => {
                out.push('\n');
                after = false;
            }
            (_, c) => {
                out.push(c);
                after = false;
            }
        }
    }
    out
}

#[test]
fn days_and_instants_are_written_as_the_standard_says() {
    let now = Utc
        .with_ymd_and_hms(2026, 8, 14, 12, 0, 0)
        .single()
        .expect("an instant");
    let mut timed = an_entry("Visit");
    timed.when = When::Span(now, now + chrono::Duration::hours(1));
    timed.busy = true;
    let text = written("A firm", &[an_entry("Days"), timed], now);
    assert_lines(&text);
    let calendar = read(&text);
    let [days, visit] = calendar.events.as_slice() else {
        panic!("two events: {text}");
    };
    // RFC 5545, 3.6.1: the end of whole days is the first that no longer counts.
    assert_eq!(value(days, "DTSTART"), "20260814");
    assert_eq!(value(days, "DTEND"), "20260817");
    assert_eq!(value(days, "TRANSP"), "TRANSPARENT");
    assert_eq!(value(visit, "DTSTART"), "20260814T120000Z");
    assert_eq!(value(visit, "DTEND"), "20260814T130000Z");
    for event in [days, visit] {
        assert_eq!(value(event, "DTSTAMP"), "20260814T120000Z");
        assert_eq!(value(event, "UID"), "job-1-x@headwright");
    }
    for (name, said) in [
        ("VERSION", "2.0"),
        ("CALSCALE", "GREGORIAN"),
        ("NAME", "A firm"),
    ] {
        let found = calendar.properties.iter().find(|p| p.name == name);
        assert_eq!(found.and_then(|p| p.value.as_deref()), Some(said), "{name}");
    }
}

/// The text of the one summary, unfolded as RFC 5545, 3.1 says.
fn summary_of(text: &str) -> String {
    let whole = text.replace("\r\n ", "");
    let line = whole.split("\r\n").find_map(|l| l.strip_prefix("SUMMARY:"));
    unescaped(line.expect("a summary"))
}

proptest! {
    #[test]
    fn any_text_is_folded_and_escaped(summary in "[^\\p{Cc}]{0,200}|[,;:\\\\ \n]{0,160}") {
        let text = written("Firm; the, best\\", &[an_entry(&summary)], Utc::now());
        assert_lines(&text);
        prop_assert_eq!(summary_of(&text), summary);
    }

    // This reader takes spaces off the end of a line before it joins the next,
    // and colons off the front of a value, which the standard does not say:
    // so there are none here.
    #[test]
    fn another_reader_reads_the_same(summary in "[^\\p{Cc}\\p{Z}:][^\\p{Cc}\\p{Z}]{0,200}|[,;\\\\\n]{1,160}") {
        let text = written("Firm; the, best\\", &[an_entry(&summary)], Utc::now());
        let calendar = read(&text);
        prop_assert_eq!(calendar.events.len(), 1);
        prop_assert_eq!(unescaped(&value(&calendar.events[0], "SUMMARY")), summary);
    }
}
