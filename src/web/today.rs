//! What an area puts on the Today page.

/// A short list with a heading.
#[derive(Debug, Clone, Default)]
pub struct TodayList {
    /// Heading, as `Heads to cut`.
    pub title: String,
    /// Its rows, the most pressing first.
    pub items: Vec<TodayItem>,
    /// Said when there are none; an empty text hides the list then.
    pub empty: String,
}

/// One row.
#[derive(Debug, Clone, Default)]
pub struct TodayItem {
    /// Where it leads.
    pub href: String,
    /// What it is.
    pub words: String,
    /// A word or two at the end of the row.
    pub note: String,
    /// It waits for a hand: marked by the red pencil.
    pub needs_hand: bool,
}
