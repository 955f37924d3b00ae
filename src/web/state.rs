//! What every handler is given: the database, time, chance, rules, the firm's basics.

use std::sync::{Arc, OnceLock, RwLock};
use std::time::Duration;

use crate::db::{Chance, Clock, Db, Stamp};
use crate::measure::{Length, Rounding, Unit};

use super::{Hooks, WebError};

/// The settings every page needs to word a length or a time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FirmBasics {
    /// The firm's name, in every title block.
    pub name: String,
    /// The firm's time zone.
    pub zone: chrono_tz::Tz,
    /// The unit of lengths typed without one.
    pub unit: Unit,
    /// What sheets round to.
    pub rounding: Rounding,
    /// Pieces shorter than this overall are not held by hand near a blade.
    pub short_piece: Length,
}

/// What differs between the real start, the demo and tests.
#[derive(Debug, Clone)]
pub struct Rules {
    /// Cookies marked Secure under the `__Host-` prefix, HSTS sent: the pages come over TLS.
    pub tls: bool,
    /// Argon2id memory in KiB, passes and lanes.
    pub argon: (u32, u32, u32),
    /// Requests allowed in a minute of one session.
    pub per_minute: u32,
    /// Longest time one request may take.
    pub request_limit: Duration,
    /// Proxies whose word for a browser's address is taken.
    pub trusted_proxies: Vec<std::net::IpAddr>,
}

impl Default for Rules {
    fn default() -> Self {
        Self {
            tls: false,
            argon: (65536, 3, 4),
            per_minute: 300,
            request_limit: Duration::from_secs(20),
            trusted_proxies: Vec::new(),
        }
    }
}

struct Inner {
    db: Db,
    clock: Arc<dyn Clock>,
    chance: Arc<dyn Chance>,
    rules: Rules,
    firm: RwLock<Arc<FirmBasics>>,
    hooks: OnceLock<Hooks>,
}

/// Cheap to clone; one for the whole program.
#[derive(Clone)]
pub struct AppState(Arc<Inner>);

impl AppState {
    /// Joins the parts.
    #[must_use]
    pub fn new(
        db: Db,
        clock: Arc<dyn Clock>,
        chance: Arc<dyn Chance>,
        rules: Rules,
        firm: FirmBasics,
    ) -> Self {
        Self(Arc::new(Inner {
            db,
            clock,
            chance,
            rules,
            firm: RwLock::new(Arc::new(firm)),
            hooks: OnceLock::new(),
        }))
    }

    /// The database.
    #[must_use]
    pub fn db(&self) -> &Db {
        &self.0.db
    }

    /// Keeps what later areas do for earlier ones; once, when all are joined.
    pub fn set_hooks(&self, hooks: Hooks) {
        // A second joining of the same areas would bring the same hooks.
        let _ = self.0.hooks.set(hooks);
    }

    /// A later area's hook, if there is such an area.
    #[must_use]
    pub fn hook<T: std::any::Any + Send + Sync>(&self) -> Option<&T> {
        self.0.hooks.get()?.get()
    }

    /// The present instant.
    #[must_use]
    pub fn now(&self) -> Stamp {
        self.0.clock.now()
    }

    /// The rules of this start.
    #[must_use]
    pub fn rules(&self) -> &Rules {
        &self.0.rules
    }

    /// `N` bytes nobody can guess.
    ///
    /// # Errors
    /// The system has none to give.
    pub fn random<const N: usize>(&self) -> Result<[u8; N], WebError> {
        let mut bytes = [0_u8; N];
        self.0.chance.fill(&mut bytes).map_err(WebError::internal)?;
        Ok(bytes)
    }

    /// A fresh key for a form, so that a double tap counts once.
    ///
    /// # Errors
    /// The system has no randomness to give.
    pub fn form_key(&self) -> Result<String, WebError> {
        Ok(data_encoding::BASE32_NOPAD
            .encode(&self.random::<16>()?)
            .to_lowercase())
    }

    /// The firm's basics as last saved.
    #[must_use]
    pub fn firm(&self) -> Arc<FirmBasics> {
        match self.0.firm.read() {
            Ok(firm) => Arc::clone(&firm),
            Err(poisoned) => Arc::clone(&poisoned.into_inner()),
        }
    }

    /// Takes newly saved basics into use.
    pub fn set_firm(&self, firm: FirmBasics) {
        match self.0.firm.write() {
            Ok(mut held) => *held = Arc::new(firm),
            Err(poisoned) => *poisoned.into_inner() = Arc::new(firm),
        }
    }
}
