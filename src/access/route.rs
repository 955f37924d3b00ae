//! The route table: one row drives the router, its guard and the tests.

use std::future::Future;
use std::pin::Pin;

use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
use axum::http::Method;
use axum::routing::{self, MethodRouter};

use crate::db::StoreError;
use crate::web::{AppState, KeptPage, TodayList, WebError};

use super::{Me, Reach, Role, Thing, UserId};

/// A future of any kind, boxed, so that hooks can stand in a table.
pub type BoxFuture<T> = Pin<Box<dyn Future<Output = T> + Send>>;

/// Looks up a person's ties to one record; `None` if there is no such record.
pub type TiesFn = fn(AppState, UserId, i64) -> BoxFuture<Result<Option<Ties>, StoreError>>;

/// Draws up an area's lists of the Today page.
pub type TodayFn = fn(AppState, Me) -> BoxFuture<Result<Vec<TodayList>, WebError>>;

/// Lists an area's pages that this person's phone should keep.
pub type KeepFn = fn(AppState, Me) -> BoxFuture<Result<Vec<KeptPage>, WebError>>;

/// Puts an area's part of the demo in.
pub type SeedFn = fn(AppState) -> BoxFuture<Result<(), WebError>>;

/// Who may pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// Anyone, for the reason given (sign-in, static files, bare health).
    Anyone(&'static str),
    /// Any person of the firm: own profile, help.
    SignedIn,
    /// Whoever may see the thing.
    Read(Thing),
    /// Whoever may change the thing.
    Write(Thing),
}

impl Need {
    /// How far `role` reaches under this need.
    #[must_use]
    pub const fn reach(self, role: Role) -> Reach {
        match self {
            Self::Anyone(_) | Self::SignedIn => Reach::All,
            Self::Read(thing) => thing.level(role).read,
            Self::Write(thing) => thing.level(role).write,
        }
    }
}

/// The record a route is about: a kind and the part of the address with its id.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Object {
    /// The kind's name, as registered by its area.
    pub kind: &'static str,
    /// The address's part, as `id` in `/jobs/{id}`.
    pub param: &'static str,
}

/// How a person is tied to a record.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Ties {
    /// It lies on a job that the person leads.
    pub own: bool,
    /// The person is assigned to it.
    pub assigned: bool,
}

impl Ties {
    /// Whether a right that reaches this far covers a record so tied.
    #[must_use]
    pub const fn within(self, reach: Reach) -> bool {
        match reach {
            Reach::None => false,
            Reach::Assigned => self.assigned,
            Reach::Own => self.own,
            Reach::All => true,
        }
    }
}

/// A kind of record and how to tell a person's ties to one: `None` if there is
/// no such record.
#[derive(Clone, Copy)]
pub struct Kind {
    /// Its name, as in [`Object::kind`].
    pub name: &'static str,
    /// Looks the ties up.
    pub ties: TiesFn,
}

/// One row of the table.
#[derive(Clone)]
pub struct Route {
    /// GET or POST (or what an interface needs).
    pub method: Method,
    /// The address's pattern.
    pub path: &'static str,
    /// Who may pass.
    pub need: Need,
    /// The record it is about.
    pub object: Option<Object>,
    /// The password must have been given within the last 15 minutes.
    pub fresh: bool,
    /// What runs.
    pub handler: MethodRouter<AppState>,
}

impl Route {
    /// A page that only reads.
    pub fn get<H, T>(path: &'static str, need: Need, handler: H) -> Self
    where
        H: Handler<T, AppState>,
        T: 'static,
    {
        Self::row(Method::GET, path, need, routing::get(handler))
    }

    /// A form taken.
    pub fn post<H, T>(path: &'static str, need: Need, handler: H) -> Self
    where
        H: Handler<T, AppState>,
        T: 'static,
    {
        Self::row(Method::POST, path, need, routing::post(handler))
    }

    fn row(
        method: Method,
        path: &'static str,
        need: Need,
        handler: MethodRouter<AppState>,
    ) -> Self {
        Self {
            method,
            path,
            need,
            object: None,
            fresh: false,
            handler,
        }
    }

    /// It is about the record `{id}` of this kind.
    #[must_use]
    pub fn on(self, kind: &'static str) -> Self {
        self.about(kind, "id")
    }

    /// It is about the record of this kind named by another part of the address.
    #[must_use]
    pub fn about(mut self, kind: &'static str, param: &'static str) -> Self {
        self.object = Some(Object { kind, param });
        self
    }

    /// Its form may be this long, in bytes, in place of the usual bound.
    #[must_use]
    pub fn up_to(mut self, bytes: usize) -> Self {
        self.handler = self.handler.layer(DefaultBodyLimit::max(bytes));
        self
    }

    /// Asks the password again after 15 minutes.
    #[must_use]
    pub fn fresh(mut self) -> Self {
        self.fresh = true;
        self
    }
}

/// A word of the navigation and who sees it.
#[derive(Debug, Clone, Copy)]
pub struct Nav {
    /// Where it leads.
    pub href: &'static str,
    /// The word.
    pub word: &'static str,
    /// Who sees it.
    pub need: Need,
}

/// What an area gives to `app`.
#[derive(Clone, Default)]
pub struct Area {
    /// Its routes.
    pub routes: Vec<Route>,
    /// Its kinds of record.
    pub kinds: Vec<Kind>,
    /// Its words in the navigation.
    pub nav: Vec<Nav>,
    /// Its lists on the Today page.
    pub today: Option<TodayFn>,
    /// Its pages that a phone keeps for when there is no signal.
    pub keep: Option<KeepFn>,
    /// Its part of the demo, put in through its own stores; run once, in the
    /// order of the areas, into an empty database.
    pub seed: Option<SeedFn>,
}
