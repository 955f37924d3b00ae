//! People, sessions, invites.

use std::time::Duration;

use crate::db::Stamp;
use crate::record_id;

use super::Role;

record_id! {
    /// A person of the firm.
    pub UserId
}
record_id! {
    /// One signed-in device.
    pub SessionId
}
record_id! {
    /// An invite that a new person answers.
    pub InviteId
}

/// A person of the firm, as others see them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// Their id.
    pub id: UserId,
    /// What they sign in with.
    pub sign_in: String,
    /// What they are called.
    pub name: String,
    /// Their telephone.
    pub phone: String,
    /// Their role.
    pub role: Role,
    /// Since when they may no longer sign in.
    pub disabled_at: Option<Stamp>,
    /// The record's version.
    pub version: i64,
}

/// One signed-in device, as its owner sees it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionRow {
    /// Its id.
    pub id: SessionId,
    /// Whose.
    pub user: UserId,
    /// What the browser calls itself, shortened.
    pub agent: String,
    /// Signed in at.
    pub created_at: Stamp,
    /// Last used at, to five minutes.
    pub seen_at: Stamp,
    /// The password was last given at.
    pub asked_at: Stamp,
}

/// An invite still open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invite {
    /// Its id.
    pub id: InviteId,
    /// The name it is for.
    pub name: String,
    /// The role it gives.
    pub role: Role,
    /// Good until.
    pub ends_at: Stamp,
}

const HOUR: u64 = 3600;
const DAY: u64 = 24 * HOUR;

/// How long an invite is good.
pub const INVITE_LIFE: Duration = Duration::from_secs(72 * HOUR);
/// How long a given password counts for changes to people and settings.
pub const ASKED_LIFE: Duration = Duration::from_secs(15 * 60);
/// Sessions a person may have at once.
pub const MOST_SESSIONS: i64 = 5;
/// A session's last use is written down this seldom.
pub const TOUCH_EVERY: Duration = Duration::from_secs(5 * 60);

/// How long a session may lie idle, and how long it may live at all.
#[must_use]
pub const fn session_life(role: Role) -> (Duration, Duration) {
    let (idle, most) = match role {
        Role::Owner | Role::Office => (8 * HOUR, DAY),
        Role::Foreman => (7 * DAY, 30 * DAY),
        Role::Carpenter => (14 * DAY, 30 * DAY),
    };
    (Duration::from_secs(idle), Duration::from_secs(most))
}

impl SessionRow {
    /// Whether it still counts.
    #[must_use]
    pub fn is_live(&self, role: Role, now: Stamp) -> bool {
        let (idle, most) = session_life(role);
        now.since(self.seen_at) < idle && now.since(self.created_at) < most
    }
}
