//! Enquiries, clients and visits: who asks for work, and the calls paid to them
//! before there is a job.
//!
//! A carpenter sees none of this: the site's address stands on the job.

mod enquiries;
mod forms;
mod hooks;
mod model;
mod pages;
mod seed;
mod store;
mod visits;

use crate::access::{Area, Kind, Nav, Need, Route, Thing};

pub use enquiries::forms::{enquiry as enquiry_form, enquiry_fields};
pub use enquiries::store::{
    add_enquiry, change_enquiry, enquiries, enquiries_of, enquiry, move_enquiries_on, tie_enquiry,
};
pub use forms::{client as client_form, client_fields};
pub use hooks::{ClientPart, ClientParts};
pub use model::{
    Client, ClientFacts, ClientId, Email, Enquiry, EnquiryFacts, EnquiryId, EnquiryState, Phone,
    Visit, VisitFacts, VisitId, parse_time,
};
pub use seed::{SeedClients, SeedVisit, seed_clients, seed_day, seed_user, seeded_clients};
pub use store::{
    add_client, archive_client, change_client, client, client_choices, clients, leads_client,
};
pub use visits::forms::{VisitChoices, visit as visit_form, visit_fields};
pub use visits::store::{add_visit, change_visit, visit, visits_between, visits_of};

/// Clients, enquiries, visits.
#[must_use]
pub fn area() -> Area {
    let mut routes = client_routes();
    routes.extend(enquiries::routes());
    routes.extend(visits::routes());
    Area {
        routes,
        kinds: vec![
            Kind {
                name: "client",
                ties: hooks::client_ties,
            },
            Kind {
                name: "enquiry",
                ties: hooks::enquiry_ties,
            },
            Kind {
                name: "visit",
                ties: hooks::visit_ties,
            },
        ],
        nav: vec![Nav {
            href: "/clients",
            word: "Clients",
            need: Need::Read(Thing::Clients),
        }],
        today: Some(hooks::today),
        keep: None,
        seed: Some(seed::seed),
    }
}

fn client_routes() -> Vec<Route> {
    let (read, write) = (Need::Read(Thing::Clients), Need::Write(Thing::Clients));
    vec![
        Route::get("/clients", read, pages::list),
        Route::get("/clients/new", write, pages::new),
        Route::post("/clients/new", write, pages::add),
        Route::get("/clients/{id}", read, pages::show).on("client"),
        Route::get("/clients/{id}/edit", write, pages::edit).on("client"),
        Route::post("/clients/{id}/edit", write, pages::save).on("client"),
        Route::post("/clients/{id}/archive", write, pages::archive).on("client"),
    ]
}
