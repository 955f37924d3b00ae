//! Sign-in, sessions, permissions.

mod forgery;
mod invites;
mod matrix;
mod passwords;
mod sessions;
mod sign_in;
