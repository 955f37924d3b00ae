//! Wrong private links, counted by address in memory: whoever guesses must
//! wait, for as long as at the sign-in.

use std::collections::HashMap;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Mutex, MutexGuard};

use axum::http::HeaderMap;

use super::address::client_address;
use super::delay::{FREE_ADDRESS, WINDOW, wait};
use crate::db::Stamp;
use crate::web::{AppState, WebError};

/// Above this many addresses those that no longer count are swept out.
const SWEEP: usize = 1000;

/// Misses by address; a hook.
#[derive(Debug, Default)]
pub struct Knocks(Mutex<HashMap<IpAddr, (usize, Stamp)>>);

impl Knocks {
    fn held(&self) -> MutexGuard<'_, HashMap<IpAddr, (usize, Stamp)>> {
        match self.0.lock() {
            Ok(held) => held,
            Err(poisoned) => poisoned.into_inner(),
        }
    }

    /// Seconds that this address must wait, if it must.
    #[must_use]
    pub fn waits(&self, who: IpAddr, now: Stamp) -> Option<u64> {
        let (count, last) = self.held().get(&who).copied()?;
        if now.since(last) > WINDOW {
            return None;
        }
        wait(count, last, now, FREE_ADDRESS).map(|left| left.as_secs().max(1))
    }

    /// Counts a wrong link.
    pub fn missed(&self, who: IpAddr, now: Stamp) {
        let mut held = self.held();
        if held.len() > SWEEP {
            held.retain(|_, (_, last)| now.since(*last) <= WINDOW);
        }
        let entry = held.entry(who).or_insert((0, now));
        if now.since(entry.1) > WINDOW {
            entry.0 = 0;
        }
        *entry = (entry.0.saturating_add(1), now);
    }
}

/// Looks a private link up for whoever stands at the door: `find` is asked
/// only if this address need not wait, and what it does not find counts as a
/// miss. A guessed, an expired and a revoked link end in the same answer.
///
/// # Errors
/// `TooMany`, `Gone`, what `find` fails with.
pub async fn by_link<T>(
    app: &AppState,
    (peer, headers): (SocketAddr, &HeaderMap),
    find: impl Future<Output = Result<Option<T>, WebError>>,
) -> Result<T, WebError> {
    let knocks = app
        .hook::<Knocks>()
        .ok_or_else(|| WebError::internal("nobody counts knocks"))?;
    let who = client_address(peer.ip(), headers, &app.rules().trusted_proxies);
    let now = app.now();
    if let Some(seconds) = knocks.waits(who, now) {
        return Err(WebError::TooMany(seconds));
    }
    match find.await? {
        Some(found) => Ok(found),
        None => {
            knocks.missed(who, now);
            let words = "This link is not good, or no longer. Ask the firm for a new one.";
            Err(WebError::Gone(words.to_owned()))
        }
    }
}
