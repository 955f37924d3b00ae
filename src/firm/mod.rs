//! The firm itself: settings, people, one's own profile.

mod forms;
mod model;
mod pages;
mod store;

use crate::access::{Area, Nav, Need, Route};

pub use model::Firm;
pub use store::basics;

/// Profile, people, settings.
#[must_use]
pub fn area() -> Area {
    Area {
        routes: vec![
            Route::get("/firm/profile", Need::SignedIn, pages::profile::form),
            Route::post("/firm/profile", Need::SignedIn, pages::profile::save),
        ],
        nav: vec![Nav {
            href: "/firm/profile",
            word: "Profile",
            need: Need::SignedIn,
        }],
        ..Area::default()
    }
}
