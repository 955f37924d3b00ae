//! A drawing that may stand in a page as it is.

use std::fmt;

/// SVG text written by the drawing code, never typed by a person: the one
/// thing that templates print without escaping.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Svg(String);

impl Svg {
    /// Wraps what `trim`'s drawing wrote. Text in it must already be escaped.
    #[must_use]
    pub const fn drawn(text: String) -> Self {
        Self(text)
    }
}

impl fmt::Display for Svg {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl askama::filters::HtmlSafe for Svg {}

impl askama::FastWritable for Svg {
    fn write_into(&self, dest: &mut dyn fmt::Write, _: &dyn askama::Values) -> askama::Result<()> {
        Ok(dest.write_str(&self.0)?)
    }
}
