//! People and what they may do: sign-in, sessions, roles, and the guard that
//! stands before every route.

mod address;
mod area;
mod console;
mod cookies;
mod delay;
mod forms;
mod guard;
mod knocks;
mod limit;
mod me;
mod model;
mod pages;
mod passwords;
mod post;
mod role;
mod route;
mod site;
mod store;
mod tokens;
mod upload;

pub use address::{client_address, own_address};
pub use area::area;
pub use console::{add_owner, has_people, new_setup_code, reset_password, seed_person, sweep};
pub use delay::wait;
pub use forms::password as password_field;
pub use guard::{guarded, nowhere};
pub use knocks::{Knocks, by_link};
pub use me::Me;
pub use model::{Invite, InviteId, Person, SessionId, SessionRow, UserId};
pub use pages::again::is_own_password;
pub use passwords::{Hasher, Verdict, weakness};
pub use post::{Made, Post, Start, Work};
pub use role::{Level, Reach, Role, THINGS, Thing};
pub use route::{
    Area, BoxFuture, KeepFn, Kind, Nav, Need, Object, Route, SeedFn, Ties, TiesFn, TodayFn,
};
pub use site::Site;
pub use store::{
    count_owners, end_other_sessions, end_session, invite, invites, people, person, save_person,
    save_profile, sessions, set_disabled, set_password, set_role, withdraw_invite,
};
pub use tokens::{fresh_code, sha};
pub use upload::{FilePost, Upload};
