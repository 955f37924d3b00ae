//! Each store function of clients, enquiries and visits, with a NULL where
//! there can be one.

use headwright::access::Made;
use headwright::clients::{
    self, ClientFacts, ClientId, Enquiry, EnquiryFacts, EnquiryId, EnquiryState, VisitFacts,
};
use headwright::db::StoreError;
use headwright::web::ListQuery;

use crate::support::records::{a_client, a_job, an_enquiry, made, tx};
use crate::support::{TestApp, a_firm};

fn find(word: &str) -> ListQuery {
    ListQuery {
        q: word.into(),
        ..ListQuery::default()
    }
}

async fn names(firm: &TestApp, query: &ListQuery) -> Vec<String> {
    let found = clients::clients(firm.app.db().read(), query, None)
        .await
        .expect("read");
    found.into_iter().map(|client| client.facts.name).collect()
}

#[tokio::test]
async fn a_client_is_kept_found_changed_and_archived() {
    let firm = a_firm().await;
    let id = a_client(&firm, "Wren Abelard").await;
    a_client(&firm, "aaron 100%").await;
    assert_eq!(
        names(&firm, &ListQuery::default()).await,
        ["aaron 100%", "Wren Abelard"]
    );
    let newest = ListQuery {
        sort: "newest".into(),
        ..ListQuery::default()
    };
    assert_eq!(names(&firm, &newest).await, ["aaron 100%", "Wren Abelard"]);
    assert_eq!(names(&firm, &find("wren")).await, ["Wren Abelard"]);
    assert_eq!(
        names(&firm, &find("100%")).await,
        ["aaron 100%"],
        "% is a plain sign"
    );
    assert_eq!(
        names(&firm, &find("_ren")).await,
        Vec::<String>::new(),
        "_ is a plain sign"
    );
    let hostile = ListQuery {
        sort: "name; DROP TABLE client".into(),
        ..ListQuery::default()
    };
    assert_eq!(names(&firm, &hostile).await.len(), 2);

    let facts = ClientFacts {
        name: "Wren A.".into(),
        ..ClientFacts::default()
    };
    let mut work = tx(&firm).await;
    clients::change_client(&mut work, id, 1, &facts)
        .await
        .expect("changed");
    let stale = clients::change_client(&mut work, id, 1, &facts).await;
    assert!(matches!(stale, Err(StoreError::Stale("client"))));
    clients::archive_client(&mut work, made(&firm).await, id, 2, true)
        .await
        .expect("archived");
    work.commit().await.expect("kept");
    let kept = clients::client(firm.app.db().read(), id)
        .await
        .expect("there");
    assert_eq!((kept.facts, kept.version), (facts, 3));
    assert!(kept.archived_at.is_some());
    let away = ListQuery {
        archived: "yes".into(),
        ..ListQuery::default()
    };
    assert_eq!(names(&firm, &away).await, ["Wren A."]);
    let choices = clients::client_choices(firm.app.db().read())
        .await
        .expect("read");
    assert_eq!(choices.len(), 1, "an archived client gets no new job");
    let none = clients::client(firm.app.db().read(), ClientId::new(99)).await;
    assert!(matches!(none, Err(StoreError::Missing(_))));
}

#[tokio::test]
async fn a_client_belongs_to_the_foreman_of_a_job_or_of_a_visit() {
    let firm = a_firm().await;
    let pool = firm.app.db().read();
    let (one, two) = (firm.person("foreman").await, firm.person("foreman2").await);
    let client = a_client(&firm, "Wren").await;
    let leads = |user| clients::leads_client(pool, user, client.get());
    assert_eq!(leads(one).await.expect("read"), Some(false));
    a_job(&firm, client, "SM", Some(one)).await;
    assert_eq!(leads(one).await.expect("read"), Some(true));
    assert_eq!(leads(two).await.expect("read"), Some(false));
    assert_eq!(
        clients::leads_client(pool, one, 99).await.expect("read"),
        None
    );
    let mine = clients::clients(pool, &ListQuery::default(), Some(two))
        .await
        .expect("read");
    assert!(mine.is_empty());
    let mut work = tx(&firm).await;
    let visit = VisitFacts {
        goes: Some(two),
        ..look()
    };
    clients::add_visit(&mut work, made(&firm).await, client, &visit)
        .await
        .expect("added");
    work.commit().await.expect("kept");
    assert_eq!(leads(two).await.expect("read"), Some(true));
    let mine = clients::clients(pool, &ListQuery::default(), Some(two))
        .await
        .expect("read");
    assert_eq!(mine.len(), 1);
}

fn look() -> VisitFacts {
    VisitFacts {
        job: None,
        goes: None,
        day: "2026-08-15".parse().expect("a day"),
        time: None,
        purpose: "First look".into(),
        key_with: String::new(),
        access: String::new(),
        contact: String::new(),
        outcome: String::new(),
    }
}

#[tokio::test]
async fn a_visit_without_job_time_or_goer_reads_back_as_it_was() {
    let firm = a_firm().await;
    let client = a_client(&firm, "Wren").await;
    let mut work = tx(&firm).await;
    let id = clients::add_visit(&mut work, made(&firm).await, client, &look())
        .await
        .expect("added");
    work.commit().await.expect("kept");
    let kept = clients::visit(firm.app.db().read(), id)
        .await
        .expect("there");
    assert_eq!(kept.facts, look());
    assert_eq!(
        (kept.job_code, kept.goes_name),
        (None, None),
        "no empty text for nothing"
    );
    let full = VisitFacts {
        time: "09:30".parse::<chrono::NaiveTime>().ok(),
        outcome: "Measured".into(),
        ..look()
    };
    let mut work = tx(&firm).await;
    clients::change_visit(&mut work, id, 1, &full)
        .await
        .expect("changed");
    assert!(matches!(
        clients::change_visit(&mut work, id, 1, &full).await,
        Err(StoreError::Stale("visit"))
    ));
    work.commit().await.expect("kept");
    assert_eq!(
        clients::visit(firm.app.db().read(), id)
            .await
            .expect("there")
            .facts,
        full
    );
    let all = clients::visits_of(firm.app.db().read(), client, None)
        .await
        .expect("read");
    assert_eq!(all.len(), 1);
    let of_job = clients::visits_of(firm.app.db().read(), client, Some(1))
        .await
        .expect("read");
    assert!(of_job.is_empty());
}

async fn state(firm: &TestApp, id: EnquiryId) -> Enquiry {
    clients::enquiry(firm.app.db().read(), id)
        .await
        .expect("there")
}

#[tokio::test]
async fn an_enquiry_moves_on_with_the_visit_and_the_job_and_never_back() {
    let firm = a_firm().await;
    let id = an_enquiry(&firm, "Wren").await;
    assert_eq!(state(&firm, id).await.client, None);
    let client = a_client(&firm, "Wren").await;
    let other = an_enquiry(&firm, "Someone else").await;
    let mut work = tx(&firm).await;
    clients::tie_enquiry(&mut work, id, 1, client)
        .await
        .expect("tied");
    let twice = clients::tie_enquiry(&mut work, id, 2, client).await;
    assert!(matches!(twice, Err(StoreError::Stale(_))), "once only");
    for to in [
        EnquiryState::VisitAgreed,
        EnquiryState::Won,
        EnquiryState::VisitAgreed,
    ] {
        clients::move_enquiries_on(&mut work, client, to)
            .await
            .expect("moved");
    }
    work.commit().await.expect("kept");
    let kept = state(&firm, id).await;
    assert_eq!(
        (kept.client, kept.facts.state),
        (Some(client), EnquiryState::Won)
    );
    assert_eq!(state(&firm, other).await.facts.state, EnquiryState::New);
    let of = clients::enquiries_of(firm.app.db().read(), client)
        .await
        .expect("read");
    assert_eq!(of.len(), 1);
}

#[tokio::test]
async fn an_enquiry_that_is_not_ours_keeps_its_reason() {
    let firm = a_firm().await;
    let id = an_enquiry(&firm, "Wren").await;
    let facts = EnquiryFacts {
        state: EnquiryState::NotOurs,
        reason: "Too far".into(),
        ..state(&firm, id).await.facts
    };
    let mut work = tx(&firm).await;
    clients::change_enquiry(&mut work, id, 1, &facts)
        .await
        .expect("changed");
    let bare = EnquiryFacts {
        reason: String::new(),
        ..facts.clone()
    };
    assert!(
        clients::change_enquiry(&mut work, id, 2, &bare)
            .await
            .is_err(),
        "the table refuses"
    );
    work.commit().await.expect("kept");
    assert_eq!(state(&firm, id).await.facts, facts);
    let found = |only: &'static str| {
        let pool = firm.app.db().read();
        async move {
            clients::enquiries(pool, &ListQuery::default(), only)
                .await
                .expect("read")
                .len()
        }
    };
    assert_eq!(
        (found("").await, found("not-ours").await, found("new").await),
        (1, 1, 0)
    );
}

#[tokio::test]
async fn what_the_console_makes_has_nobody_as_its_maker() {
    let firm = a_firm().await;
    let mut work = tx(&firm).await;
    let nobody = Made {
        at: firm.app.now(),
        by: None,
    };
    let facts = ClientFacts {
        name: "Wren".into(),
        ..ClientFacts::default()
    };
    clients::add_client(&mut work, nobody, &facts)
        .await
        .expect("added");
    work.commit().await.expect("kept");
    assert!(firm.dump().await.contains("'Wren'"));
}
