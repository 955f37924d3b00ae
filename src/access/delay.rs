//! How long to wait after wrong passwords: growing, never for ever.

use std::time::Duration;

use crate::db::Stamp;

/// Misses older than this no longer count.
pub const WINDOW: Duration = Duration::from_secs(15 * 60);
/// Misses of one account before it must wait.
pub const FREE_ACCOUNT: usize = 5;
/// Misses from one address before it must wait.
pub const FREE_ADDRESS: usize = 20;

const FIRST: u64 = 15;
const LONGEST: u64 = 15 * 60;

/// What is left to wait at `now` after `misses` within the window, the last
/// at `last`; `None` if one may try. Doubles from 15 s to 15 min.
#[must_use]
pub fn wait(misses: usize, last: Stamp, now: Stamp, free: usize) -> Option<Duration> {
    let over = u32::try_from(misses.checked_sub(free)?).unwrap_or(u32::MAX);
    let seconds = 2_u64
        .checked_pow(over)
        .and_then(|f| f.checked_mul(FIRST))
        .unwrap_or(LONGEST);
    let until = Duration::from_secs(seconds.min(LONGEST));
    until
        .checked_sub(now.since(last))
        .filter(|left| !left.is_zero())
}
