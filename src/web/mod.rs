//! What every page is made of: state, chrome, errors, forms, lists, layers.
//!
//! Nothing here knows an area or a role; `access` adds people, `app` joins all.

mod assets;
mod check;
mod error;
mod fields;
mod form;
mod fragment;
mod hooks;
mod kept;
mod layers;
mod list;
mod page;
mod state;
mod svg;
mod worker;

pub use assets::{Asset, asset, assets, serve_asset};
pub use check::Check;
pub use error::{Fault, WebError};
pub use fields::{Errors, Fields};
pub use form::{Choice, Form};
pub use fragment::Fragment;
pub use hooks::Hooks;
pub use kept::{KEPT, KeptPage, may_be_kept};
pub use layers::{LogUser, dress};
pub use list::{ListQuery, Paging, Sort, percent};
pub use page::{Chrome, NavItem, Page, html, ok, see_other};
pub use state::{AppState, FirmBasics, Rules};
pub use svg::Svg;
pub use today::{TodayItem, TodayList};
pub use worker::{serve_manifest, serve_worker};

mod today;
