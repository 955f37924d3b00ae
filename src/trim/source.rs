//! How well a published figure was seen.

/// How well a figure or rule was seen in its source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// The text or number itself.
    InSource,
    /// Only in a quotation or a digest.
    Quoted,
    /// The rule in the source; the number is computed from it.
    RuleOnly,
    /// Nowhere: from memory.
    FromMemory,
    /// Own derivation, checked independently.
    Derived,
    /// Common practice of the trade, no source.
    Practice,
}

impl Seen {
    /// In words, to stand beside the figure.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::InSource => "seen in the source",
            Self::Quoted => "seen quoted",
            Self::RuleOnly => "rule seen, number computed",
            Self::FromMemory => "from memory: check before use",
            Self::Derived => "own derivation",
            Self::Practice => "common practice, no source",
        }
    }
}

/// Where a figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// The work, in a few words.
    pub work: &'static str,
    /// How well it was seen.
    pub seen: Seen,
}

impl Source {
    /// The work and how well it was seen.
    #[must_use]
    pub const fn new(work: &'static str, seen: Seen) -> Self {
        Self { work, seen }
    }

    /// Common practice of the trade, no source.
    pub const PRACTICE: Self = Self::new("", Seen::Practice);
}
