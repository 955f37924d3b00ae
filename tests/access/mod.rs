//! Sign-in, sessions, permissions.

mod address;
mod carry;
mod forgery;
mod invites;
mod matrix;
mod passwords;
mod sessions;
mod sign_in;
