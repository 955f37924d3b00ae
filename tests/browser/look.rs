//! One look at a page as every person may meet it: phone and desk, light and
//! dark, with axe-core's rules, without scrolling sideways, with targets big
//! enough for gloves.

use thirtyfour::prelude::*;

use super::page::{Page, View};

/// Smallest target, CSS pixels.
const TARGET: u32 = 48;

/// What was found wrong on the way, page by page, so that one run tells all.
#[derive(Default)]
pub struct Faults(Vec<String>);

impl Faults {
    /// Looks at the page in the sizes and colours that the tests use, and
    /// keeps a picture of each.
    pub async fn look(&mut self, page: &Page, name: &str) -> WebDriverResult<()> {
        let views = [
            ("phone", View::PHONE),
            ("desk", View::DESK),
            ("phone-dark", View::PHONE.dark()),
        ];
        for (word, view) in views {
            page.view(view).await?;
            let place = format!("{name}-{word}");
            page.shot(&place).await?;
            self.add(&place, page.axe_faults().await?);
            self.add(&place, page.sticking_out().await?);
            self.add(&place, page.targets_under(TARGET).await?);
        }
        Ok(())
    }

    /// Adds faults of a place.
    pub fn add(&mut self, place: &str, faults: Vec<String>) {
        let placed = faults.into_iter().map(|fault| format!("{place}: {fault}"));
        self.0.extend(placed);
    }

    /// Fails with all that was found.
    pub fn none(self) {
        assert!(self.0.is_empty(), "{}", self.0.join("\n"));
    }
}
