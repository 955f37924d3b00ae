//! Reading typed text, field by field, gathering every error before it says no.

use std::fmt::Display;

use chrono::NaiveDate;

use super::{Errors, Fields};

/// Reads a form's fields and keeps what is wrong with them.
#[derive(Debug)]
pub struct Check<'a> {
    fields: &'a Fields,
    errors: Errors,
}

impl<'a> Check<'a> {
    /// Of these fields.
    #[must_use]
    pub fn of(fields: &'a Fields) -> Self {
        Self {
            fields,
            errors: Errors::default(),
        }
    }

    /// Adds an error found by a rule over several fields.
    pub fn fail(&mut self, field: &str, words: impl Into<String>) {
        self.errors.add(field, words);
    }

    /// Whether this field has failed already.
    #[must_use]
    pub fn failed(&self, field: &str) -> bool {
        self.errors.of(field).is_some()
    }

    /// One line that must be there: trimmed, at most `most` characters.
    pub fn line(&mut self, field: &str, most: usize) -> String {
        let text = self.optional_line(field, most);
        if text.is_empty() && !self.failed(field) {
            self.fail(field, "Write something here; it cannot stay empty.");
        }
        text
    }

    /// One line that may stay empty.
    pub fn optional_line(&mut self, field: &str, most: usize) -> String {
        let text = self.fields.get(field).trim();
        self.clean(field, text, most, false)
    }

    /// Several lines that may stay empty.
    pub fn lines(&mut self, field: &str, most: usize) -> String {
        let text = self.fields.get(field).trim();
        self.clean(field, text, most, true)
    }

    fn clean(&mut self, field: &str, text: &str, most: usize, many: bool) -> String {
        let count = text.chars().count();
        if count > most {
            self.fail(
                field,
                format!("At most {most} characters; this has {count}."),
            );
            return String::new();
        }
        let bad =
            |c: char| (c.is_control() && !(many && matches!(c, '\n' | '\t'))) || hides_direction(c);
        if let Some(at) = text.chars().position(bad) {
            self.fail(
                field,
                format!(
                    "Character {} cannot be seen or printed. Delete it and type the text again.",
                    at + 1
                ),
            );
            return String::new();
        }
        text.to_owned()
    }

    /// Anything that parses itself; empty text goes to `parse` too.
    pub fn parse<T, E: Display>(
        &mut self,
        field: &str,
        parse: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<T> {
        match parse(self.fields.get(field).trim()) {
            Ok(value) => Some(value),
            Err(words) => {
                self.fail(field, words.to_string());
                None
            }
        }
    }

    /// The same, where empty text is `None` and no error.
    pub fn optional<T, E: Display>(
        &mut self,
        field: &str,
        parse: impl FnOnce(&str) -> Result<T, E>,
    ) -> Option<T> {
        if self.fields.get(field).trim().is_empty() {
            None
        } else {
            self.parse(field, parse)
        }
    }

    /// A day as the browser's date field sends it, `2026-08-14`; may stay empty.
    pub fn date(&mut self, field: &str) -> Option<NaiveDate> {
        self.optional(field, |text| {
            NaiveDate::parse_from_str(text, "%Y-%m-%d")
                .ok()
                .filter(|day| (1900..=2200).contains(&chrono::Datelike::year(day)))
                .ok_or("Write the day as year-month-day, such as 2026-08-14.")
        })
    }

    /// A whole number within a range; may stay empty.
    pub fn whole(&mut self, field: &str, range: std::ops::RangeInclusive<i64>) -> Option<i64> {
        self.optional(field, |text| {
            text.parse()
                .ok()
                .filter(|number| range.contains(number))
                .ok_or_else(|| {
                    format!(
                        "Write a whole number from {} to {}.",
                        range.start(),
                        range.end()
                    )
                })
        })
    }

    /// A number within a range; must be there.
    pub fn number(&mut self, field: &str, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
        self.parse(field, |text| {
            text.parse()
                .ok()
                .filter(|number| range.contains(number))
                .ok_or_else(|| format!("Write a number from {} to {}.", range.start(), range.end()))
        })
    }

    /// One of the given choices; must be one of them.
    pub fn one_of<T>(&mut self, field: &str, parse: impl FnOnce(&str) -> Option<T>) -> Option<T> {
        self.parse(field, |text| parse(text).ok_or("Choose one of the list."))
    }

    /// A tick box.
    #[must_use]
    pub fn ticked(&self, field: &str) -> bool {
        self.fields.has(field)
    }

    /// What is wrong so far.
    #[must_use]
    pub fn errors(self) -> Errors {
        self.errors
    }

    /// `value` if nothing was wrong.
    ///
    /// # Errors
    /// Everything that was wrong.
    pub fn finish<T>(self, value: T) -> Result<T, Errors> {
        if self.errors.is_empty() {
            Ok(value)
        } else {
            Err(self.errors)
        }
    }

    /// The same for a value that needs fields which may have failed.
    ///
    /// # Errors
    /// Everything that was wrong.
    pub fn finish_some<T>(self, value: Option<T>) -> Result<T, Errors> {
        match value {
            Some(value) if self.errors.is_empty() => Ok(value),
            _ if self.errors.is_empty() => {
                Err(Errors::one("", "Something is missing in this form."))
            }
            _ => Err(self.errors),
        }
    }
}

/// Marks that turn the direction of the text round them unseen.
const fn hides_direction(c: char) -> bool {
    matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
}
