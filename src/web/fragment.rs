//! A piece of a page that another area drew.

use std::fmt;

use askama::Template;

/// HTML that came out of a template, which escaped what was typed: another
/// template prints it as it is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Fragment(String);

impl Fragment {
    /// Draws a template.
    ///
    /// # Errors
    /// The template's.
    pub fn of(template: &impl Template) -> Result<Self, askama::Error> {
        template.render().map(Self)
    }

    /// Whether there is nothing to show.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.trim().is_empty()
    }
}

impl fmt::Display for Fragment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl askama::filters::HtmlSafe for Fragment {}

impl askama::FastWritable for Fragment {
    fn write_into(&self, dest: &mut dyn fmt::Write, _: &dyn askama::Values) -> askama::Result<()> {
        Ok(dest.write_str(&self.0)?)
    }
}
