//! Sign-in, sessions, permissions.

mod carry;
mod forgery;
mod invites;
mod matrix;
mod passwords;
mod sessions;
mod sign_in;
