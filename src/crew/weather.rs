//! Whether a day is fit for a glue, a primer or a paint. Pure.
//!
//! The limits are those of the maker's data sheet, typed by the firm: the
//! program knows none of its own.

use chrono::NaiveDate;

use crate::heads::StepId;

/// What one glue, primer or paint asks of the day.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Its row; 0 for one that is not kept yet.
    pub id: i64,
    /// What it is.
    pub name: String,
    /// The step that it is used at.
    pub step: StepId,
    /// Not below this, degrees Fahrenheit.
    pub low: Option<f64>,
    /// Not above this, degrees Fahrenheit.
    pub high: Option<f64>,
    /// Not in the wet.
    pub dry: bool,
}

/// What a day is expected to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weather {
    /// Which day.
    pub day: NaiveDate,
    /// Lowest, degrees Fahrenheit.
    pub low: f64,
    /// Highest, degrees Fahrenheit.
    pub high: f64,
    /// Rain, snow or fog.
    pub wet: bool,
}

/// Degrees in the firm's unit, to the nearest whole one.
#[must_use]
pub fn degrees(fahrenheit: f64, metric: bool) -> String {
    if metric {
        format!("{:.0} °C", (fahrenheit - 32.0) / 1.8)
    } else {
        format!("{fahrenheit:.0} °F")
    }
}

impl Weather {
    /// In words, `38 to 55 °F, wet`.
    #[must_use]
    pub fn words(&self, metric: bool) -> String {
        let wet = if self.wet { ", wet" } else { "" };
        format!(
            "{} to {}{wet}",
            degrees(self.low, metric),
            degrees(self.high, metric)
        )
    }
}

impl Limit {
    /// What it asks, in words.
    #[must_use]
    pub fn words(&self, metric: bool) -> String {
        let mut asks = Vec::new();
        if let Some(low) = self.low {
            asks.push(format!("not below {}", degrees(low, metric)));
        }
        if let Some(high) = self.high {
            asks.push(format!("not above {}", degrees(high, metric)));
        }
        if self.dry {
            asks.push("not in the wet".to_owned());
        }
        format!("{}: {}", self.name, asks.join(", "))
    }

    /// Why the day is not fit for it; `None` if it is. The whole day must lie
    /// within the limits, since what is glued at noon cures through the night.
    #[must_use]
    pub fn unfit(&self, day: &Weather, metric: bool) -> Option<String> {
        let mut why = Vec::new();
        if let Some(low) = self.low.filter(|low| day.low < *low) {
            why.push(format!(
                "{} expected, at least {} asked",
                degrees(day.low, metric),
                degrees(low, metric)
            ));
        }
        if let Some(high) = self.high.filter(|high| day.high > *high) {
            why.push(format!(
                "{} expected, at most {} allowed",
                degrees(day.high, metric),
                degrees(high, metric)
            ));
        }
        if self.dry && day.wet {
            why.push("wet expected".to_owned());
        }
        (!why.is_empty()).then(|| {
            format!(
                "Not the weather for {} outdoors: {}. Work under cover, or move it.",
                self.name,
                why.join("; ")
            )
        })
    }
}
