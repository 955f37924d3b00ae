//! Calendar entries written as RFC 5545 asks: lines end in CRLF and are folded
//! at 75 octets, text is escaped. Pure.

use chrono::{DateTime, Days, NaiveDate, Utc};

/// When an entry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// Whole days, the last one counted in.
    Days(NaiveDate, NaiveDate),
    /// From an instant to another.
    Span(DateTime<Utc>, DateTime<Utc>),
}

/// One entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Never changes for the same thing, and is no other's.
    pub uid: String,
    /// When.
    pub when: When,
    /// What, in a line.
    pub summary: String,
    /// Where to read more; empty if nowhere.
    pub url: String,
    /// Takes up the person's time.
    pub busy: bool,
}

/// A calendar of this name, written at `now`.
#[must_use]
pub fn written(name: &str, entries: &[Entry], now: DateTime<Utc>) -> String {
    let mut out = String::new();
    for fixed in [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Headwright//Calendar//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
    ] {
        line(&mut out, fixed);
    }
    // RFC 7986 names a calendar and says how often to look; older readers know
    // the name by the X- property.
    line(&mut out, &format!("NAME:{}", escaped(name)));
    line(&mut out, &format!("X-WR-CALNAME:{}", escaped(name)));
    line(&mut out, "REFRESH-INTERVAL;VALUE=DURATION:PT1H");
    for entry in entries {
        event(&mut out, entry, now);
    }
    line(&mut out, "END:VCALENDAR");
    out
}

fn event(out: &mut String, entry: &Entry, now: DateTime<Utc>) {
    line(out, "BEGIN:VEVENT");
    line(out, &format!("UID:{}", escaped(&entry.uid)));
    line(out, &format!("DTSTAMP:{}", instant(now)));
    match entry.when {
        When::Days(first, last) => {
            // The end is the first day that no longer counts.
            let after = last.checked_add_days(Days::new(1)).unwrap_or(last);
            line(
                out,
                &format!("DTSTART;VALUE=DATE:{}", first.format("%Y%m%d")),
            );
            line(out, &format!("DTEND;VALUE=DATE:{}", after.format("%Y%m%d")));
        }
        When::Span(from, to) => {
            line(out, &format!("DTSTART:{}", instant(from)));
            line(out, &format!("DTEND:{}", instant(to)));
        }
    }
    line(out, &format!("SUMMARY:{}", escaped(&entry.summary)));
    if !entry.url.is_empty() {
        // An address is no text: it is not escaped.
        line(out, &format!("URL:{}", entry.url));
    }
    let transparency = if entry.busy { "OPAQUE" } else { "TRANSPARENT" };
    line(out, &format!("TRANSP:{transparency}"));
    line(out, "END:VEVENT");
}

fn instant(at: DateTime<Utc>) -> String {
    at.format("%Y%m%dT%H%M%SZ").to_string()
}

/// Text as a value: RFC 5545, 3.3.11.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '\\' | ';' | ',' => {
                out.push('\\');
                out.push(c);
            }
            '\n' => out.push_str("\\n"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// Octets of a line, its end left out: RFC 5545, 3.1.
const LINE: usize = 75;

/// A content line, folded without cutting a character in two; the space that
/// begins a further line counts.
fn line(out: &mut String, text: &str) {
    let mut used = 0;
    for c in text.chars() {
        if used + c.len_utf8() > LINE {
            out.push_str("\r\n ");
            used = 1;
        }
        out.push(c);
        used += c.len_utf8();
    }
    out.push_str("\r\n");
}
