//! Time and chance, passed in: nothing else in the program reads a clock.

use std::fmt;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Duration;

use chrono::{DateTime, Utc};

/// An instant: whole milliseconds since 1970 in UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stamp(i64);

impl Stamp {
    /// From milliseconds since 1970, as stored.
    #[must_use]
    pub const fn from_millis(millis: i64) -> Self {
        Self(millis)
    }

    /// Milliseconds since 1970, to store.
    #[must_use]
    pub const fn millis(self) -> i64 {
        self.0
    }

    /// The instant `span` later.
    #[must_use]
    pub fn plus(self, span: Duration) -> Self {
        Self(
            self.0
                .saturating_add(i64::try_from(span.as_millis()).unwrap_or(i64::MAX)),
        )
    }

    /// How long after `earlier` this is; zero if the clock went back.
    #[must_use]
    pub fn since(self, earlier: Self) -> Duration {
        Duration::from_millis(u64::try_from(self.0.saturating_sub(earlier.0)).unwrap_or(0))
    }

    /// As a chrono instant.
    #[must_use]
    pub fn utc(self) -> DateTime<Utc> {
        DateTime::from_timestamp_millis(self.0).unwrap_or(DateTime::UNIX_EPOCH)
    }

    /// Day and minute in the firm's zone, `2026-08-14 07:42`.
    #[must_use]
    pub fn local(self, zone: chrono_tz::Tz) -> String {
        self.utc()
            .with_timezone(&zone)
            .format("%Y-%m-%d %H:%M")
            .to_string()
    }

    /// The civil date in the firm's zone.
    #[must_use]
    pub fn date(self, zone: chrono_tz::Tz) -> chrono::NaiveDate {
        self.utc().with_timezone(&zone).date_naive()
    }
}

impl fmt::Display for Stamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.utc().format("%Y-%m-%dT%H:%M:%S%.3fZ"))
    }
}

/// Where the time comes from.
pub trait Clock: Send + Sync + 'static {
    /// The present instant.
    fn now(&self) -> Stamp;
}

/// The machine's clock: the one place in the program that reads it.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    fn now(&self) -> Stamp {
        Stamp(Utc::now().timestamp_millis())
    }
}

/// A clock that moves only when told, for tests.
#[derive(Debug)]
pub struct FixedClock(AtomicI64);

impl FixedClock {
    /// A clock standing at `start`.
    #[must_use]
    pub const fn at(start: Stamp) -> Self {
        Self(AtomicI64::new(start.0))
    }

    /// Moves it on.
    pub fn advance(&self, span: Duration) {
        let millis = i64::try_from(span.as_millis()).unwrap_or(i64::MAX);
        self.0.fetch_add(millis, Ordering::SeqCst);
    }
}

impl Clock for FixedClock {
    fn now(&self) -> Stamp {
        Stamp(self.0.load(Ordering::SeqCst))
    }
}

/// Where random bytes come from.
pub trait Chance: Send + Sync + 'static {
    /// Fills `bytes` with bytes nobody can guess.
    ///
    /// # Errors
    /// The system has none to give.
    fn fill(&self, bytes: &mut [u8]) -> Result<(), std::io::Error>;
}

/// The operating system's randomness.
#[derive(Debug, Clone, Copy, Default)]
pub struct OsChance;

impl Chance for OsChance {
    fn fill(&self, bytes: &mut [u8]) -> Result<(), std::io::Error> {
        use rand::TryRngCore as _;
        rand::rngs::OsRng
            .try_fill_bytes(bytes)
            .map_err(std::io::Error::other)
    }
}
