//! The crew: the plan, absences, lost days, pattern heads, hours, notes.

mod estimate;
mod forms;
mod gate;
mod gather;
mod hooks;
mod load;
mod model;
mod pages;
mod seed;
mod store;
mod weather;

use crate::access::{Area, Kind, Nav, Need, Route, Thing};
use crate::heads;

pub use estimate::{Labour, RULE, Work, by_rule, clock, correction, minutes, parse_hours};
pub use gate::PatternGate;
pub use gather::{PersonDay, Planned, Week, week, work_of};
pub use hooks::job_part;
pub use model::{
    Absence, AbsenceReason, DAY_MINUTES, Hours, HoursId, LostDay, NewHours, Note, NoteId, Slot,
    SlotId, Timer, monday, next_working,
};
pub use store::{
    absences, add_slot,
    hours::{add as add_hours, between as hours_between, timer, with_trace},
    lost_days,
    notes::{of_job as notes_of, waiting as notes_waiting},
    pattern_of, slots,
    weather::{add_limit, add_stand, add_weather, limits, stands},
};
pub use weather::{Limit, Weather};

/// Plan, hours and notes.
#[must_use]
pub fn area() -> Area {
    Area {
        routes: routes(),
        kinds: vec![Kind {
            name: "hours",
            ties: hooks::hours_ties,
        }],
        nav: vec![
            Nav {
                href: "/crew/plan",
                word: "Plan",
                need: Need::Read(Thing::Plan),
            },
            Nav {
                href: "/crew/hours",
                word: "Hours",
                need: Need::Read(Thing::Hours),
            },
        ],
        today: Some(|app, me| Box::pin(hooks::today(app, me))),
        seed: Some(|app| Box::pin(seed::seed(app))),
        ..Area::default()
    }
}

fn routes() -> Vec<Route> {
    use pages::{changes, hours, load, moves, notes, plan, shifts, weather};
    let (read, write) = (Need::Read(Thing::Plan), Need::Write(Thing::Plan));
    let (see, enter) = (Need::Read(Thing::Hours), Need::Write(Thing::Hours));
    let (notes_read, notes_write) = (Need::Read(Thing::Photos), Need::Write(Thing::Photos));
    vec![
        Route::get("/crew/plan", read, plan::page),
        Route::get("/crew/plan/changes", read, changes::stream),
        Route::post("/crew/plan/add", write, moves::add),
        Route::post("/crew/plan/move", write, moves::shift),
        Route::post("/crew/plan/remove", write, moves::remove),
        Route::post("/crew/plan/away", write, shifts::away),
        Route::post("/crew/plan/back", write, shifts::back),
        Route::post("/crew/plan/lost", write, shifts::lost),
        Route::post("/crew/plan/pattern", write, shifts::pattern),
        Route::post("/crew/plan/weather", write, weather::expect),
        Route::post("/crew/plan/limit", write, weather::limit),
        Route::post("/crew/plan/limit-end", write, weather::end),
        Route::get("/crew/load", read, load::page),
        Route::post(
            "/crew/heads/{id}/stand",
            Need::Write(Thing::Ticks),
            load::stand,
        )
        .on(heads::HEAD),
        Route::get("/crew/hours", see, hours::page),
        Route::post("/crew/hours", enter, hours::add),
        Route::post("/crew/hours/start", enter, hours::start),
        Route::post("/crew/hours/stop", enter, hours::stop),
        Route::get("/crew/hours/{id}", enter, hours::one).on("hours"),
        Route::post("/crew/hours/{id}", enter, hours::correct).on("hours"),
        Route::get("/crew/jobs/{id}/notes", notes_read, notes::page).on("job"),
        Route::post("/crew/jobs/{id}/notes", notes_write, notes::add).on("job"),
        Route::post("/crew/notes/seen", Need::SignedIn, notes::seen),
    ]
}
