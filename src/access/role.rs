//! The one table of permissions: who may read and write what.

use std::fmt;

/// What a person does in the firm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// All of it, people and settings too.
    Owner,
    /// Buys, prices, invoices, keeps the papers.
    Office,
    /// Measures, draws, plans, leads jobs.
    Foreman,
    /// Cuts, builds, hangs.
    Carpenter,
}

impl Role {
    /// All roles, in the table's order.
    pub const ALL: [Self; 4] = [Self::Owner, Self::Office, Self::Foreman, Self::Carpenter];

    /// The role's word, as stored and as shown.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::Office => "office",
            Self::Foreman => "foreman",
            Self::Carpenter => "carpenter",
        }
    }

    /// From its word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// How far a right goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// Not at all: every such page is a 404.
    None,
    /// Heads one is assigned to, and what belongs to them.
    Assigned,
    /// Jobs one leads, and what belongs to them.
    Own,
    /// Everything of the firm.
    All,
}

/// What one role may do with one thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Level {
    /// Seeing it.
    pub read: Reach,
    /// Changing it.
    pub write: Reach,
}

/// What rights are given over: the rows of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Thing {
    /// People, settings, backup, audit.
    Firm,
    /// Clients, enquiries, visits and how to reach people.
    Clients,
    /// Estimates, change orders, approvals.
    Estimates,
    /// Invoices, payments, job cost, exports.
    Billing,
    /// Jobs, openings, surveys, permits.
    Jobs,
    /// Head designs, sections, saws.
    Heads,
    /// Cut sheets.
    Sheets,
    /// Ticks on a cut sheet and as-built values.
    Ticks,
    /// The steps of a head.
    Steps,
    /// Plan, crews, absences.
    Plan,
    /// What is sold, and prices.
    Shelf,
    /// Offcuts.
    Rack,
    /// Lumber orders and purchases.
    Orders,
    /// Receiving what was bought.
    Receiving,
    /// Hours.
    Hours,
    /// Photos and notes.
    Photos,
    /// Checklists and talks.
    Safety,
}

/// All things, in the table's order.
pub const THINGS: [Thing; 17] = [
    Thing::Firm,
    Thing::Clients,
    Thing::Estimates,
    Thing::Billing,
    Thing::Jobs,
    Thing::Heads,
    Thing::Sheets,
    Thing::Ticks,
    Thing::Steps,
    Thing::Plan,
    Thing::Shelf,
    Thing::Rack,
    Thing::Orders,
    Thing::Receiving,
    Thing::Hours,
    Thing::Photos,
    Thing::Safety,
];

const fn may(read: Reach, write: Reach) -> Level {
    Level { read, write }
}
const W: Level = may(Reach::All, Reach::All);
const R: Level = may(Reach::All, Reach::None);
const N: Level = may(Reach::None, Reach::None);
/// Writes on own jobs, reads the rest.
const WO_R: Level = may(Reach::All, Reach::Own);
/// Reads and writes on own jobs only.
const WO: Level = may(Reach::Own, Reach::Own);
const RO: Level = may(Reach::Own, Reach::None);
const RA: Level = may(Reach::Assigned, Reach::None);
const WA: Level = may(Reach::Assigned, Reach::Assigned);

impl Thing {
    /// The row of the table: owner, office, foreman, carpenter.
    ///
    /// Where a cell says less than its column (a carpenter sees a site's
    /// address but no telephone, the shelf's items but no prices; the office
    /// takes the steps *ordered* and *billed* only; a carpenter writes hours of
    /// their own only), the area's page gives that role its own view; the
    /// guard's reach is the outer wall.
    #[must_use]
    pub const fn row(self) -> [Level; 4] {
        match self {
            Self::Firm => [W, N, N, N],
            // A carpenter reads the site's address on the job.
            Self::Clients => [W, W, RO, N],
            Self::Estimates => [W, W, WO, N],
            Self::Billing => [W, W, N, N],
            Self::Jobs => [W, W, WO_R, RA],
            Self::Heads => [W, R, WO_R, RA],
            Self::Sheets => [R, R, RO, RA],
            Self::Ticks => [R, R, WO, WA],
            Self::Steps => [W, W, WO, WA],
            Self::Plan => [W, R, W, may(Reach::Assigned, Reach::None)],
            Self::Shelf => [W, W, R, R],
            Self::Rack => [W, W, W, W],
            Self::Orders => [W, W, WO, RA],
            Self::Receiving => [W, W, WO, WA],
            Self::Hours => [W, R, WO, WA],
            Self::Photos => [W, W, WO, WA],
            Self::Safety => [W, R, WO, WA],
        }
    }

    /// What `role` may do with this.
    #[must_use]
    pub const fn level(self, role: Role) -> Level {
        let [owner, office, foreman, carpenter] = self.row();
        match role {
            Role::Owner => owner,
            Role::Office => office,
            Role::Foreman => foreman,
            Role::Carpenter => carpenter,
        }
    }
}
