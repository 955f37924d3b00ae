//! Records put in through the stores, with as little said as a test needs.

use headwright::access::{Made, UserId};
use headwright::clients::{
    self, ClientFacts, ClientId, EnquiryFacts, EnquiryId, EnquiryState, Phone, VisitFacts, VisitId,
};
use headwright::db::Tx;
use headwright::jobs::{self, JobCode, JobFacts, JobId};
use headwright::measure::{Length, Money, Unit};
use headwright::openings::{
    self, Mark, Measured, NewSurvey, OpeningFacts, OpeningId, OpeningKind, Pass,
};
use headwright::orders::{self, OrderFacts, OrderId};
use headwright::stock::{
    self, Flip, ItemFacts, OffcutFacts, OffcutId, Sold, StockForm, StockItemId, SupplierFacts,
    SupplierId,
};

use super::TestApp;

/// Now, by the office.
pub async fn made(firm: &TestApp) -> Made {
    Made {
        at: firm.app.now(),
        by: Some(firm.person("office").await),
    }
}

/// A write transaction.
pub async fn tx(firm: &TestApp) -> Tx {
    firm.app.db().write().await.expect("the writer")
}

/// A client of this name, with a telephone.
pub async fn a_client(firm: &TestApp, name: &str) -> ClientId {
    let facts = ClientFacts {
        name: name.into(),
        phone: Phone::parse("555-0114").expect("a number"),
        ..ClientFacts::default()
    };
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let id = clients::add_client(&mut tx, made, &facts)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    id
}

/// A new enquiry of this caller.
pub async fn an_enquiry(firm: &TestApp, name: &str) -> EnquiryId {
    let facts = EnquiryFacts {
        name: name.into(),
        phone: Phone::default(),
        email: clients::Email::default(),
        heard_of: "the van".into(),
        wants: "One head over a door.".into(),
        day: "2026-08-13".parse().expect("a day"),
        state: EnquiryState::New,
        reason: String::new(),
    };
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let id = clients::add_enquiry(&mut tx, made, &facts)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    id
}

/// What a job needs at least.
pub fn job_facts(client: ClientId, code: &str, foreman: Option<UserId>) -> JobFacts {
    JobFacts {
        client,
        code: JobCode::parse(code).expect("a code"),
        title: format!("House {code}"),
        site_address: "14 Heronry Lane".into(),
        access: String::new(),
        site_contact: String::new(),
        year_built: None,
        historic: false,
        zone: String::new(),
        foreman,
        first_day: None,
        last_day: None,
        terms: String::new(),
        note: String::new(),
    }
}

/// A job of this code.
pub async fn a_job(firm: &TestApp, client: ClientId, code: &str, foreman: Option<UserId>) -> JobId {
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let facts = job_facts(client, code, foreman);
    let id = jobs::add_job(&mut tx, made, &facts).await.expect("added");
    tx.commit().await.expect("kept");
    id
}

/// A length as typed, in inches without a unit.
pub fn len(text: &str) -> Length {
    Length::parse(text, Unit::Inch).expect("a length")
}

/// What an opening needs at least.
pub fn opening_facts(mark: &str) -> OpeningFacts {
    OpeningFacts {
        mark: Mark::parse(mark).expect("a mark"),
        kind: OpeningKind::Window,
        storey: 1,
        sill_height: None,
        wall: String::new(),
        siding: String::new(),
        siding_depth: None,
        clear_above: None,
        note: String::new(),
    }
}

/// A window of this mark.
pub async fn an_opening(firm: &TestApp, job: JobId, mark: &str) -> OpeningId {
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let facts = opening_facts(mark);
    let id = openings::add_opening(&mut tx, made, job, &facts)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    id
}

/// 36 × 48, square, the top as given.
pub fn measured(top: &str) -> Measured {
    Measured {
        widths: [Some(len(top)), Some(len("36")), Some(len("36"))],
        heights: [Some(len("48")); 3],
        diagonals: [Some(len("60")); 2],
        plumb: Some(Length::ZERO),
        level: Some(Length::ZERO),
        ..Measured::default()
    }
}

/// One measure of an opening.
pub async fn a_survey(firm: &TestApp, opening: OpeningId, pass: Pass, top: &str) {
    let made = made(firm).await;
    let new = NewSurvey {
        pass,
        measured: measured(top),
        by: firm.person("foreman").await,
        on: "2026-08-14".parse().expect("a day"),
        note: String::new(),
    };
    let mut tx = tx(firm).await;
    openings::add_survey(&mut tx, made, opening, &new)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
}

/// A visit without a job, of tomorrow.
pub async fn a_visit(firm: &TestApp, client: ClientId, goes: Option<UserId>) -> VisitId {
    let facts = VisitFacts {
        job: None,
        goes,
        day: "2026-08-15".parse().expect("a day"),
        time: None,
        purpose: "First look".into(),
        key_with: String::new(),
        access: String::new(),
        contact: String::new(),
        outcome: String::new(),
    };
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let id = clients::add_visit(&mut tx, made, client, &facts)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    id
}

/// A supplier of this name.
pub async fn a_supplier(firm: &TestApp, name: &str) -> SupplierId {
    let facts = SupplierFacts {
        name: name.into(),
        ..SupplierFacts::default()
    };
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let id = stock::add_supplier(&mut tx, made, &facts)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    id
}

/// A moulding 1 1/2 by 2 of this name.
pub fn item_facts(name: &str) -> ItemFacts {
    ItemFacts {
        name: name.into(),
        form: StockForm::Moulding,
        material: "pine".into(),
        section: "crown".into(),
        drawn: None,
        nominal: String::new(),
        thickness: len("1 1/2"),
        width: len("2"),
        flip: Flip::Fixed,
        match_runs: false,
        keep: len("12"),
        note: String::new(),
    }
}

/// A moulding of this name on the shelf, sold by nobody yet.
pub async fn an_item(firm: &TestApp, name: &str) -> StockItemId {
    an_item_of(firm, &item_facts(name)).await
}

/// A board or moulding on the shelf.
pub async fn an_item_of(firm: &TestApp, facts: &ItemFacts) -> StockItemId {
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let id = stock::add_item(&mut tx, made, facts).await.expect("added");
    tx.commit().await.expect("kept");
    id
}

/// One length of it, at so many cents.
pub async fn a_length(
    firm: &TestApp,
    item: StockItemId,
    supplier: SupplierId,
    long: &str,
    cents: i64,
) {
    let sold = Sold {
        supplier,
        length: len(long),
        price: Money::from_cents(cents),
        lead_days: None,
    };
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    stock::put_length(&mut tx, made, item, &sold)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
}

/// A stick for anyone, free.
pub fn stick_facts(item: StockItemId, long: &str) -> OffcutFacts {
    OffcutFacts {
        item,
        length: len(long),
        width: None,
        place: "slot 4".into(),
        job: None,
        batch: String::new(),
        defects: Vec::new(),
        note: String::new(),
    }
}

/// A stick of this length on the rack.
pub async fn a_stick(firm: &TestApp, item: StockItemId, long: &str) -> OffcutId {
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let id = stock::add_offcut(&mut tx, made, &stick_facts(item, long), None)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    id
}

/// A lumber order of one head on a job that nobody of the test leads.
pub async fn a_lumber_order(firm: &TestApp) -> OrderId {
    let owner = firm.person("owner").await;
    let (_, opening) = crate::heads::an_opening(&firm.app, owner, "LO").await;
    let head = crate::heads::a_head(&firm.app, owner, opening, crate::heads::a_gable()).await;
    let facts = OrderFacts {
        name: "Lot".into(),
        spare: 0,
        end_trim: Length::ZERO,
        seconds: 20,
        heads: vec![head.get()],
    };
    let made = made(firm).await;
    let mut tx = tx(firm).await;
    let id = orders::add_order(&mut tx, made, &facts)
        .await
        .expect("added");
    tx.commit().await.expect("kept");
    id
}
