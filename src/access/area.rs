//! The routes of sign-in, set-up and invites.

use super::pages::{again, enter, join};
use super::{Area, Need, Route};

/// Sign-in, sign-out, set-up, answering an invite.
#[must_use]
pub fn area() -> Area {
    let open = Need::Anyone("nobody is signed in yet");
    Area {
        routes: vec![
            Route::get("/sign-in", open, enter::form),
            Route::post("/sign-in", open, enter::take),
            Route::post("/sign-out", Need::SignedIn, again::sign_out),
            Route::get("/sign-in/again", Need::SignedIn, again::form),
            Route::post("/sign-in/again", Need::SignedIn, again::take),
            Route::get("/setup", open, join::setup_form),
            Route::post("/setup", open, join::setup),
            Route::get("/join/{code}", open, join::invite_form),
            Route::post("/join/{code}", open, join::accept),
        ],
        ..Area::default()
    }
}
