//! What is wrong with an input: one line saying where, what, and what is
//! allowed.

use std::fmt;

/// A wrong input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wrong {
    /// The field, such as `drops.inset` or `runs[0].path[2]`; empty for the
    /// whole.
    pub at: String,
    /// What is wrong and what is allowed.
    pub what: String,
}

impl Wrong {
    /// A wrong input at the field `at`.
    pub fn new(at: impl Into<String>, what: impl Into<String>) -> Self {
        Self {
            at: at.into(),
            what: what.into(),
        }
    }
}

impl fmt::Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let line = |s: &str| s.replace(|c: char| c.is_control(), " ");
        if self.at.is_empty() {
            write!(f, "{}", line(&self.what))
        } else {
            write!(f, "{}: {}", line(&self.at), line(&self.what))
        }
    }
}

impl std::error::Error for Wrong {}
