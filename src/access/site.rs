//! What the guard and the sign-in pages share for the life of the program.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use crate::web::{AppState, Chrome, NavItem, WebError};

use super::limit::Limiter;
use super::{Hasher, Kind, Nav, Reach, Role};

/// One for the whole program.
pub struct Site {
    /// Password hashing.
    pub hasher: Hasher,
    pub(super) limiter: Limiter,
    kinds: HashMap<&'static str, Kind>,
    nav: Vec<Nav>,
    setup: Mutex<Option<[u8; 32]>>,
}

impl Site {
    /// With the areas' kinds and navigation.
    ///
    /// # Errors
    /// The hashing rules are out of range.
    pub fn new(app: &AppState, kinds: Vec<Kind>, nav: Vec<Nav>) -> Result<Arc<Self>, WebError> {
        let (memory, passes, lanes) = app.rules().argon;
        Ok(Arc::new(Self {
            hasher: Hasher::new(memory, passes, lanes)?,
            limiter: Limiter::default(),
            kinds: kinds.into_iter().map(|kind| (kind.name, kind)).collect(),
            nav,
            setup: Mutex::new(None),
        }))
    }

    pub(super) fn kind(&self, name: &str) -> Option<Kind> {
        self.kinds.get(name).copied()
    }

    /// The navigation of a role, the word of the page shown marked.
    pub(super) fn nav(&self, role: Role, path: &str) -> Vec<NavItem> {
        self.nav
            .iter()
            .filter(|row| row.need.reach(role) != Reach::None)
            .map(|row| NavItem {
                href: row.href,
                word: row.word,
                here: path == row.href
                    || (row.href != "/" && path.starts_with(&format!("{}/", row.href))),
            })
            .collect()
    }

    /// The frame of a page before sign-in.
    pub(super) fn bare_chrome(app: &AppState) -> Arc<Chrome> {
        Arc::new(Chrome {
            firm: app.firm().name.clone(),
            ..Chrome::default()
        })
    }

    /// Keeps the SHA-256 of the code printed on the console, in memory only.
    pub fn set_setup_code(&self, sha: [u8; 32]) {
        if let Ok(mut held) = self.setup.lock() {
            *held = Some(sha);
        }
    }

    /// Whether the set-up page is open and the code is the printed one.
    pub(super) fn setup_matches(&self, sha: &[u8; 32]) -> bool {
        use subtle::ConstantTimeEq as _;
        self.setup
            .lock()
            .ok()
            .and_then(|held| *held)
            .is_some_and(|held| held.ct_eq(sha).into())
    }

    /// Whether the set-up page is open at all.
    pub(super) fn setup_open(&self) -> bool {
        self.setup.lock().is_ok_and(|held| held.is_some())
    }

    /// Closes the set-up page for good.
    pub(super) fn close_setup(&self) {
        if let Ok(mut held) = self.setup.lock() {
            *held = None;
        }
    }
}
