//! The demo's saws and their test cuts.

use serde::Deserialize;

use super::model::{SawFacts, TestCut, axis_from, hand_from};
use super::store;
use crate::access::{self, BoxFuture, Made, UserId};
use crate::measure::{Length, Unit};
use crate::trim::design::SprungWay;
use crate::trim::dial::Reading;
use crate::web::{AppState, WebError};

#[derive(Deserialize)]
struct Seed {
    usual: SeedSaw,
    others: Vec<SeedSaw>,
}

#[derive(Deserialize)]
struct SeedSaw {
    name: String,
    #[serde(default)]
    user: String,
    used_by: String,
    #[serde(default)]
    sprung: String,
    /// Left, right.
    swing: [f64; 2],
    /// Left, right.
    tilt: [f64; 2],
    height: String,
    depth: String,
    kerf: String,
    tests: Vec<SeedTest>,
}

#[derive(Deserialize)]
struct SeedTest {
    days_ago: u64,
    axis: String,
    side: String,
    set: f64,
    measured: f64,
    note: String,
}

const SAWS: &str = include_str!("../../../seed-data/saws.json");

fn bad(what: impl std::fmt::Display) -> WebError {
    WebError::internal(format_args!("saws.json: {what}"))
}

impl SeedSaw {
    fn facts(&self, user: Option<UserId>) -> Result<SawFacts, WebError> {
        let length = |text: &str| Length::parse(text, Unit::Inch).map_err(bad);
        let ([swing_left, swing_right], [tilt_left, tilt_right]) = (self.swing, self.tilt);
        Ok(SawFacts {
            name: self.name.clone(),
            user,
            used_by: self.used_by.clone(),
            swing_left,
            swing_right,
            tilt_left,
            tilt_right,
            max_height: length(&self.height)?,
            max_depth: length(&self.depth)?,
            kerf: length(&self.kerf)?,
            sprung: SprungWay::from_word(&self.sprung),
        })
    }
}

/// Puts them in, the firm's usual saw first.
pub fn seed(app: AppState) -> BoxFuture<Result<(), WebError>> {
    Box::pin(async move {
        let seed: Seed = serde_json::from_str(SAWS).map_err(bad)?;
        let people = access::people(app.db().read()).await?;
        let named = |sign_in: &str| people.iter().find(|p| p.sign_in == sign_in).map(|p| p.id);
        let foreman = people.iter().find(|p| p.role == access::Role::Foreman);
        let made = Made {
            at: app.now(),
            by: foreman.map(|p| p.id),
        };
        let usual = store::usual_saw(app.db().read()).await?;
        let mut tx = app.db().write().await?;
        let facts = seed.usual.facts(None)?;
        store::change_saw(&mut tx, (usual.id, usual.version), &facts).await?;
        let mut all = vec![(usual.id, seed.usual)];
        for saw in seed.others {
            let facts = saw.facts(named(&saw.user))?;
            all.push((store::add_saw(&mut tx, made, &facts).await?, saw));
        }
        let today = app.now().date(app.firm().zone);
        for (id, saw) in all {
            for test in saw.tests {
                let day = today.checked_sub_days(chrono::Days::new(test.days_ago));
                let cut = TestCut {
                    day: day.ok_or_else(|| bad("days_ago"))?,
                    reading: Reading {
                        axis: axis_from(&test.axis).ok_or_else(|| bad(&test.axis))?,
                        side: hand_from(&test.side).ok_or_else(|| bad(&test.side))?,
                        set: test.set,
                        measured: test.measured,
                    },
                    note: test.note,
                    who: None,
                };
                store::add_test(&mut tx, made, id, &cut).await?;
            }
        }
        tx.commit().await?;
        Ok(())
    })
}
