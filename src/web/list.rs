//! Lists: a search word, a sort chosen from a fixed set, pages of fifty.

use serde::Deserialize;

/// What a list page's address may carry.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct ListQuery {
    /// A word to look for.
    pub q: String,
    /// The column's name; anything unknown falls back to the first.
    pub sort: String,
    /// The page, from 1.
    pub page: String,
    /// Archived records instead of the live ones.
    pub archived: String,
    /// A choice that narrows the list, of the list's own words.
    pub only: String,
}

/// Rows on one page.
const PAGE: i64 = 50;

impl ListQuery {
    /// The word with `LIKE`'s own signs made plain, between two `%`.
    /// To be used with `ESCAPE '\'`.
    #[must_use]
    pub fn like(&self) -> String {
        let word: String = self
            .q
            .trim()
            .chars()
            .take(100)
            .filter(|c| *c != '\0')
            .collect();
        format!(
            "%{}%",
            word.replace('\\', "\\\\")
                .replace('%', "\\%")
                .replace('_', "\\_")
        )
    }

    /// The page asked for, from 1; anything unreadable is 1.
    #[must_use]
    pub fn number(&self) -> i64 {
        self.page
            .parse()
            .ok()
            .filter(|n| (1..=1_000_000).contains(n))
            .unwrap_or(1)
    }

    /// `LIMIT` and `OFFSET` to bind: one row more than a page, to see if more follow.
    #[must_use]
    pub fn window(&self) -> (i64, i64) {
        (PAGE + 1, (self.number() - 1) * PAGE)
    }

    /// Whether archived records are asked for.
    #[must_use]
    pub fn wants_archived(&self) -> bool {
        !self.archived.is_empty()
    }

    /// Cuts the extra row off and says which pages lie beside this one.
    pub fn paging<T>(&self, rows: &mut Vec<T>) -> Paging {
        let more = i64::try_from(rows.len()).unwrap_or(i64::MAX) > PAGE;
        rows.truncate(usize::try_from(PAGE).unwrap_or(usize::MAX));
        let number = self.number();
        Paging {
            earlier: (number > 1).then(|| self.address(number - 1)),
            later: more.then(|| self.address(number + 1)),
            number,
        }
    }

    fn address(&self, page: i64) -> String {
        let mut parts = vec![format!("page={page}")];
        for (name, value) in [
            ("q", &self.q),
            ("sort", &self.sort),
            ("archived", &self.archived),
            ("only", &self.only),
        ] {
            if !value.is_empty() {
                parts.push(format!("{name}={}", percent(value)));
            }
        }
        format!("?{}", parts.join("&"))
    }
}

/// The pages beside a list's page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paging {
    /// Address of the page before.
    pub earlier: Option<String>,
    /// Address of the page after.
    pub later: Option<String>,
    /// This page.
    pub number: i64,
}

/// A sort that a list knows: name in the address, words, and a whole `SELECT`
/// written out in the store, so that no column name is ever pasted into SQL.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sort {
    /// Name in the address.
    pub name: &'static str,
    /// What is read.
    pub words: &'static str,
}

/// Percent-encodes a query value.
#[must_use]
pub fn percent(text: &str) -> String {
    use std::fmt::Write as _;
    let mut out = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}
