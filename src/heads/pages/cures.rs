//! The ways to close a head's open corners, each drawn, each to be taken by
//! one press; and the way back to an earlier design. Both send the design's
//! own form, so that they go the way of every other change.

use serde_json::Value;

use crate::access::Me;
use crate::heads::model::{Event, Head, What};
use crate::heads::sheet::drawn;
use crate::heads::shop::Shop;
use crate::heads::showing::from_json;
use crate::trim::cures;
use crate::trim::design::Design;
use crate::trim::draw::{self, Look};
use crate::trim::{Rules, solve};
use crate::web::{AppState, Form, Svg, WebError};

/// A form that saves one certain design, without anything to fill in.
pub(super) struct Take {
    /// Where it goes, and its version.
    pub form: Form,
    /// The design, field by field.
    pub fields: Vec<(String, String)>,
}

/// A way to close what is open.
pub(super) struct CureView {
    /// In a few words.
    pub title: &'static str,
    /// The run that it is for.
    pub run: Option<String>,
    /// What is done.
    pub text: String,
    /// The head as it would be.
    pub picture: Svg,
    /// The press, for whoever may draw.
    pub take: Option<Take>,
}

/// Every cure of this head that closes.
///
/// # Errors
/// If no form can be made for this person.
pub(super) fn of_head(
    app: &AppState,
    me: &Me,
    head: &Head,
    shop: &Shop,
    may: bool,
) -> Result<Vec<CureView>, WebError> {
    let rules = Rules {
        short_piece: shop.wording.short,
        rounding: shop.wording.rounding,
        ..Rules::default()
    };
    let Ok(design) = Design::from_json(&head.design) else {
        return Ok(Vec::new());
    };
    let look = Look {
        width_px: 360.0,
        length: shop.wording.words(),
    };
    let mut views = Vec::new();
    for cure in cures::cures(&design, &rules).unwrap_or_default() {
        let Ok(sheet) = solve(&cure.design, &rules) else {
            continue;
        };
        let take = may
            .then(|| take(app, me, head, &cure.design.to_json()))
            .transpose()?;
        views.push(CureView {
            title: cure.way.title(),
            run: cure.run,
            text: cure.text,
            picture: drawn(&draw::elevation(&sheet, &look)),
            take,
        });
    }
    Ok(views)
}

/// The way back to the design before this event.
///
/// # Errors
/// If no form can be made for this person.
pub(super) fn back(
    app: &AppState,
    me: &Me,
    head: &Head,
    event: &Event,
) -> Result<Option<Take>, WebError> {
    let old = event.old.as_deref().filter(|_| event.what == What::Redrawn);
    let old = old.and_then(|text| serde_json::from_str::<Value>(text).ok());
    let other = old.filter(|old| *old != head.design);
    other.map(|old| take(app, me, head, &old)).transpose()
}

fn take(app: &AppState, me: &Me, head: &Head, design: &Value) -> Result<Take, WebError> {
    let mut typed = from_json(design);
    typed.set("name", head.card.name.as_str());
    let form = me
        .form(app, format!("/heads/{}/design", head.card.id))?
        .at_version(head.card.version);
    let fields = typed.fields();
    let fields = fields.iter();
    Ok(Take {
        form,
        fields: fields.map(|(k, v)| (k.to_owned(), v.to_owned())).collect(),
    })
}
