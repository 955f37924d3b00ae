//! Passwords: argon2id, never more than two hashings at once, off the async threads.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use argon2::password_hash::phc::PasswordHash;
use argon2::{Algorithm, Argon2, Params, PasswordHasher as _, PasswordVerifier as _, Version};
use tokio::sync::Semaphore;

use crate::web::WebError;

/// Least characters of a password that stands alone, without a second factor.
pub const LEAST: usize = 15;
/// Most characters; all of them count.
pub const MOST: usize = 128;

const AT_ONCE: usize = 2;
const QUEUE: usize = 16;

/// What checking a password told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verdict {
    /// It is the right one.
    pub right: bool,
    /// Its hash was made by weaker rules: hash it again.
    pub stale: bool,
}

/// Makes and checks password hashes.
pub struct Hasher {
    params: Params,
    permits: Arc<Semaphore>,
    waiting: AtomicUsize,
    dummy: String,
}

impl Hasher {
    /// With memory in KiB, passes and lanes.
    ///
    /// # Errors
    /// The values are out of argon2's range.
    pub fn new(memory: u32, passes: u32, lanes: u32) -> Result<Self, WebError> {
        let params = Params::new(memory, passes, lanes, Some(32)).map_err(WebError::internal)?;
        // Checked in place of a hash that is not there, so that an unknown
        // name takes as long as a known one.
        let dummy = hash_with(&params, "no such person")?;
        let permits = Arc::new(Semaphore::new(AT_ONCE));
        Ok(Self {
            params,
            permits,
            waiting: AtomicUsize::new(0),
            dummy,
        })
    }

    async fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> Result<T, WebError> + Send + 'static,
    ) -> Result<T, WebError> {
        if self.waiting.fetch_add(1, Ordering::SeqCst) >= AT_ONCE + QUEUE {
            self.waiting.fetch_sub(1, Ordering::SeqCst);
            return Err(WebError::Busy("too many sign-ins at once".to_owned()));
        }
        let _leave = Leave(&self.waiting);
        let permit = Arc::clone(&self.permits)
            .acquire_owned()
            .await
            .map_err(WebError::internal)?;
        // The permit goes along: a caller that hangs up must not let a third hashing start.
        tokio::task::spawn_blocking(move || {
            let result = work();
            drop(permit);
            result
        })
        .await
        .map_err(WebError::internal)?
    }

    /// A new hash of `password`, as a PHC string.
    ///
    /// # Errors
    /// `Busy` when too many wait.
    pub async fn hash(&self, password: String) -> Result<String, WebError> {
        let params = self.params.clone();
        self.run(move || hash_with(&params, &password)).await
    }

    /// Checks `password` against a stored hash; `None` stands for an unknown
    /// person and takes as long.
    ///
    /// # Errors
    /// `Busy` when too many wait; a hash that does not parse.
    pub async fn check(
        &self,
        stored: Option<String>,
        password: String,
    ) -> Result<Verdict, WebError> {
        let known = stored.is_some();
        let stored = stored.unwrap_or_else(|| self.dummy.clone());
        let wanted = self.params.clone();
        self.run(move || {
            let hash = PasswordHash::new(&stored).map_err(WebError::internal)?;
            let right = Argon2::default()
                .verify_password(password.as_bytes(), &hash)
                .is_ok();
            let held = Params::try_from(&hash).map_err(WebError::internal)?;
            let stale = (held.m_cost(), held.t_cost(), held.p_cost())
                != (wanted.m_cost(), wanted.t_cost(), wanted.p_cost());
            Ok(Verdict {
                right: right && known,
                stale,
            })
        })
        .await
    }
}

struct Leave<'a>(&'a AtomicUsize);

impl Drop for Leave<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

fn hash_with(params: &Params, password: &str) -> Result<String, WebError> {
    let argon = Argon2::new(Algorithm::Argon2id, Version::V0x13, params.clone());
    Ok(argon
        .hash_password(password.as_bytes())
        .map_err(WebError::internal)?
        .to_string())
}

/// Why a password is refused, in words; `None` if it may be taken.
///
/// `known` are words a stranger could guess of this person: names, the firm.
#[must_use]
pub fn weakness(password: &str, known: &[&str]) -> Option<String> {
    let count = password.chars().count();
    if count < LEAST {
        return Some(format!(
            "At least {LEAST} characters; this has {count}. Four or five unrelated words do well."
        ));
    }
    if count > MOST {
        return Some(format!("At most {MOST} characters; this has {count}."));
    }
    let words: Vec<&str> = known
        .iter()
        .flat_map(|text| text.split(|c: char| !c.is_alphanumeric()).chain([*text]))
        .filter(|word| word.chars().count() >= 3)
        .chain([
            "headwright",
            "carpenter",
            "foreman",
            "owner",
            "office",
            "moulding",
            "mitre",
        ])
        .collect();
    let guessed = zxcvbn::zxcvbn(password, &words);
    let weak = u8::from(guessed.score()) < 3 || unknown_part(password, &words) < LEAST / 2;
    weak.then(|| {
        "Too easy to guess: leave out names, the firm, dates and common phrases. Four or five unrelated words do well.".to_owned()
    })
}

/// Letters and digits left when every known word is taken out.
fn unknown_part(password: &str, known: &[&str]) -> usize {
    let mut rest = password.to_lowercase();
    for word in known {
        rest = rest.replace(&word.to_lowercase(), "");
    }
    rest.chars().filter(|c| c.is_alphanumeric()).count()
}
