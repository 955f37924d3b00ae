//! On site: what a phone keeps for when there is no signal, and how what was
//! done there comes home.

mod pages;

use crate::access::{Area, KeepFn, Nav, Need, Route};

/// What each area lets a phone keep, in the areas' order.
#[derive(Default)]
pub struct Keepers(pub Vec<KeepFn>);

/// The list of kept pages, and the token that a phone sends with what it queued.
#[must_use]
pub fn area() -> Area {
    Area {
        routes: vec![
            Route::get("/site", Need::SignedIn, pages::list),
            Route::get("/site/token", Need::SignedIn, pages::token),
        ],
        nav: vec![Nav {
            href: "/site",
            word: "On site",
            need: Need::SignedIn,
        }],
        ..Area::default()
    }
}
