//! The firm itself: settings, saws, people, one's own profile.

mod forms;
mod model;
mod pages;
mod saws;
mod store;

use crate::access::{Area, Kind, Nav, Need, Route, Thing, Ties};

pub use model::Firm;
pub use saws::{
    Saw, SawFacts, SawId, TestCut, add_saw, add_test, archive_saw, change_saw, counting,
    make_usual, saw, saw_of, saws, tests_of, usual_saw, work_at,
};
pub use store::{basics, firm, save};

/// Profile, people, settings, saws, what was done.
#[must_use]
pub fn area() -> Area {
    Area {
        routes: routes(),
        kinds: kinds(),
        nav: vec![
            Nav {
                href: "/firm/saws",
                word: "Saws",
                need: Need::Read(Thing::Heads),
            },
            Nav {
                href: "/firm",
                word: "Firm",
                need: Need::Read(Thing::Firm),
            },
        ],
        seed: Some(saws::seed::seed),
        ..Area::default()
    }
}

fn routes() -> Vec<Route> {
    use pages::{backup, people, person, profile, settings};
    let (read, write) = (Need::Read(Thing::Firm), Need::Write(Thing::Firm));
    let mut routes = vec![
        Route::get("/firm", read, settings::index),
        Route::get("/firm/record", read, settings::record),
        Route::get("/firm/backup", read, backup::page),
        Route::get("/firm/settings", write, settings::form).fresh(),
        Route::post("/firm/settings", write, settings::save).fresh(),
        Route::get("/firm/people", write, people::list).fresh(),
        Route::post("/firm/people", write, people::invite).fresh(),
        Route::post("/firm/invites/{id}/withdraw", write, people::withdraw)
            .on("invite")
            .fresh(),
        Route::get("/firm/people/{id}", write, person::form)
            .on("person")
            .fresh(),
        Route::post("/firm/people/{id}", write, person::save)
            .on("person")
            .fresh(),
        Route::post("/firm/people/{id}/door", write, person::door)
            .on("person")
            .fresh(),
        Route::post("/firm/people/{id}/sessions", write, person::end_session)
            .on("person")
            .fresh(),
        Route::get("/firm/profile", Need::SignedIn, profile::form),
        Route::post("/firm/profile", Need::SignedIn, profile::save),
        Route::post("/firm/profile/password", Need::SignedIn, profile::password),
        Route::post(
            "/firm/profile/sessions",
            Need::SignedIn,
            profile::end_session,
        ),
    ];
    routes.extend(saws::routes());
    routes
}

fn kinds() -> Vec<Kind> {
    vec![
        Kind {
            name: "person",
            ties: |app, me, id| {
                Box::pin(async move {
                    let found = store::has_person(app.db().read(), id).await?;
                    Ok(found.then_some(Ties {
                        own: me.get() == id,
                        assigned: false,
                    }))
                })
            },
        },
        Kind {
            name: "invite",
            ties: |app, _, id| {
                Box::pin(async move {
                    let found = store::has_invite(app.db().read(), id).await?;
                    Ok(found.then_some(Ties::default()))
                })
            },
        },
        saws::kind(),
    ]
}
