//! Help: the words of the trade as the pages use them, and the usual cautions.

use askama::Template;
use axum::response::Response;

use crate::access::Me;
use crate::web::{Page, WebError, ok};

#[derive(Template)]
#[template(path = "app/help.html")]
struct Help {
    page: Page,
    words: &'static [(&'static str, &'static str)],
}

const WORDS: &[(&str, &str)] = &[
    (
        "Head",
        "The built-up trim over a door or window: board, cap, mouldings.",
    ),
    (
        "Board",
        "The head's flat body, fixed to the wall. Everything else hangs on it.",
    ),
    (
        "Wing",
        "The level part of the board's top edge, at each side.",
    ),
    (
        "Rake",
        "A sloping part. Two rakes meet at the peak; a rake meets a wing at the foot.",
    ),
    (
        "Cap",
        "The little roof that lies along the board's top edge.",
    ),
    (
        "Crown",
        "The moulding under the cap, against the board's face.",
    ),
    (
        "Drop",
        "A small pendant block on the board's face, often pointed below.",
    ),
    (
        "Run",
        "One moulding followed along its way. A run is cut into pieces.",
    ),
    (
        "Outside and inside corner",
        "A corner that the moulding wraps round; a corner that it turns into.",
    ),
    (
        "Long point, short point",
        "Where the tape hooks: at the short point the rest of the end reaches past the mark, at the long point it falls short of it.",
    ),
    (
        "Spring angle",
        "Between a sprung crown's flat back and the wall. A solid crown sits with its back on the wall.",
    ),
    (
        "Swing",
        "The saw turned about the upright: the mitre. To the right means the handle goes to your right.",
    ),
    ("Tilt", "The blade leaned: the bevel."),
    ("Kerf", "What the blade eats."),
    ("Mate", "The other cut of the same joint."),
    (
        "Stick, offcut, rip",
        "One length of stock; what is left of it; a lengthwise cut to width.",
    ),
    (
        "Strong, scant",
        "A little over the mark; a little under it.",
    ),
    (
        "Twins",
        "The left and the right piece of a symmetrical head.",
    ),
];

/// The help page.
pub async fn page(me: Me) -> Result<Response, WebError> {
    ok(&Help {
        page: me.page("Help"),
        words: WORDS,
    })
}
