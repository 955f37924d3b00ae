//! Published and derived figures: `tests/data/checks.json`, each row with its
//! source. A family's test works through every row, counts what is published
//! and what is derived, and says which rows it leaves out and why.

use serde_json::Value;

/// One row.
pub struct Check {
    /// The row as it stands.
    pub row: Value,
}

impl Check {
    pub fn id(&self) -> &str {
        self.row["id"].as_str().expect("an id")
    }

    /// An input.
    pub fn input(&self, key: &str) -> f64 {
        self.row["inputs"][key]
            .as_f64()
            .unwrap_or_else(|| panic!("{}: no input {key}", self.id()))
    }

    /// Checks one expected value, to the row's tolerance.
    pub fn expect(&self, key: &str, got: f64) {
        let want = self.row["expect"][key]
            .as_f64()
            .unwrap_or_else(|| panic!("{}: nothing expected for {key}", self.id()));
        let tolerance = self.row["tolerance"].as_f64().expect("a tolerance");
        assert!(
            (got - want).abs() <= tolerance.max(1e-12),
            "{} {key}: got {got}, want {want}; source: {}",
            self.id(),
            self.row["source"]
        );
    }

    /// Whether a number or a rule was seen in print, rather than derived here
    /// or remembered.
    fn published(&self) -> bool {
        self.row["seen"] != "nothing"
    }
}

/// The rows whose id begins so.
pub fn rows(start: &str) -> Vec<Check> {
    let text = include_str!("../data/checks.json");
    let all: Vec<Value> = serde_json::from_str(text).expect("the checks are JSON");
    all.into_iter()
        .map(|row| Check { row })
        .filter(|check| check.id().starts_with(start))
        .collect()
}

/// Works through a family; `check` says whether it knew the row, or why it
/// leaves it out. How many are published, derived, and left out.
pub fn family(
    start: &str,
    check: impl Fn(&Check) -> Result<(), &'static str>,
) -> (usize, usize, usize) {
    let (mut published, mut derived, mut left_out) = (0, 0, Vec::new());
    for row in rows(start) {
        match check(&row) {
            Ok(()) if row.published() => published += 1,
            Ok(()) => derived += 1,
            Err(why) => left_out.push(format!("{}: {why}", row.id())),
        }
    }
    println!(
        "family {start}: {published} rows published (number or rule seen), {derived} derived or \
         remembered, {} left out",
        left_out.len()
    );
    for line in &left_out {
        println!("  left out: {line}");
    }
    assert!(published + derived > 0, "family {start} is empty");
    (published, derived, left_out.len())
}
