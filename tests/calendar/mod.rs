//! The calendar feed, read back by a parser that is not ours.

mod feed;
mod pages;

use ical::parser::ical::component::{IcalCalendar, IcalEvent};

/// The one calendar of a feed.
pub fn read(text: &str) -> IcalCalendar {
    let mut found = ical::IcalParser::new(std::io::BufReader::new(text.as_bytes()));
    let calendar = found.next().expect("a calendar").expect("that parses");
    assert!(found.next().is_none(), "and no second one");
    calendar
}

/// A property's value, as it stands.
pub fn value(event: &IcalEvent, name: &str) -> String {
    let found = event.properties.iter().find(|p| p.name == name);
    found.and_then(|p| p.value.clone()).unwrap_or_default()
}

/// Every line's rule of RFC 5545, 3.1: CRLF ends it, 75 octets at most.
pub fn assert_lines(text: &str) {
    assert!(text.ends_with("\r\n"));
    for line in text.trim_end_matches("\r\n").split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.contains(['\r', '\n']), "{line:?}");
    }
}
