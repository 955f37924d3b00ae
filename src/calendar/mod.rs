//! A calendar feed for each person (RFC 5545), at a private address that can
//! be ended: visits, days on site, talks and papers that run out.
//!
//! What leaves the program here may lie on other people's machines, so it
//! says job codes only: no client, no address, no telephone, no price.

mod feed;
mod gather;
mod pages;
mod store;

use crate::access::{Area, Need, Route};

pub use feed::{Entry, When, written};

/// Calendar feeds.
#[must_use]
pub fn area() -> Area {
    let open = Need::Anyone("a private link is the key; it shows job codes and days only");
    Area {
        routes: vec![
            Route::get("/calendar", Need::SignedIn, pages::page),
            Route::post("/calendar/link", Need::SignedIn, pages::make),
            Route::post("/calendar/end", Need::SignedIn, pages::end),
            Route::get("/calendar/{file}", open, pages::file),
        ],
        ..Area::default()
    }
}
