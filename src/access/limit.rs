//! Requests a minute of one session, counted in memory.

use std::collections::HashMap;
use std::sync::Mutex;
use std::time::Duration;

use crate::db::Stamp;

const MINUTE: Duration = Duration::from_secs(60);
/// Above this many sessions the finished minutes are swept out.
const SWEEP: usize = 1000;

/// Counts by session.
#[derive(Debug, Default)]
pub struct Limiter(Mutex<HashMap<i64, (Stamp, u32)>>);

impl Limiter {
    /// Counts one request; seconds to wait if the minute is used up.
    pub fn count(&self, session: i64, now: Stamp, most: u32) -> Option<u64> {
        let mut held = match self.0.lock() {
            Ok(held) => held,
            Err(poisoned) => poisoned.into_inner(),
        };
        if held.len() > SWEEP {
            held.retain(|_, (begun, _)| now.since(*begun) < MINUTE);
        }
        let (begun, count) = held.entry(session).or_insert((now, 0));
        if now.since(*begun) >= MINUTE || now < *begun {
            (*begun, *count) = (now, 0);
        }
        *count = count.saturating_add(1);
        (*count > most).then(|| MINUTE.saturating_sub(now.since(*begun)).as_secs().max(1))
    }
}
