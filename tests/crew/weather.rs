//! Weather against the limits of glue and paint. The limits are numbers typed
//! for these tests, not any maker's: common practice, no source.

use headwright::access::Role;
use headwright::crew::{Limit, Weather};
use headwright::heads::StepId;

use super::planned;
use crate::heads::a_site;

const PLAN: &str = "/crew/plan";

#[test]
fn a_day_is_unfit_only_past_a_limit_and_says_which() {
    let day = |low, high, wet| Weather {
        day: "2026-08-14".parse().expect("a day"),
        low,
        high,
        wet,
    };
    let limit = Limit {
        id: 0,
        name: "Primer".into(),
        step: StepId::new(7),
        low: Some(50.0),
        high: Some(90.0),
        dry: true,
    };
    assert_eq!(limit.unfit(&day(50.0, 90.0, false), false), None);
    let cold = limit
        .unfit(&day(38.0, 60.0, false), false)
        .expect("too cold");
    assert!(
        cold.contains("38 °F expected, at least 50 °F asked"),
        "{cold}"
    );
    let cold = limit
        .unfit(&day(38.0, 60.0, false), true)
        .expect("too cold");
    // (38 − 32)/1.8 = 3.3 and (50 − 32)/1.8 = 10.
    assert!(
        cold.contains("3 °C expected, at least 10 °C asked"),
        "{cold}"
    );
    let hot = limit
        .unfit(&day(60.0, 91.0, true), false)
        .expect("hot and wet");
    assert!(hot.contains("at most 90 °F allowed; wet expected"), "{hot}");
    let any = Limit {
        low: None,
        high: None,
        dry: false,
        ..limit
    };
    assert_eq!(any.unfit(&day(-40.0, 120.0, true), false), None);
}

#[tokio::test]
async fn the_plan_says_that_a_day_is_too_cold_for_the_primer_until_the_limit_ends() {
    let site = a_site().await;
    let cassia = site.firm.person("carpenter").await;
    planned(&site, "primed", cassia, "2026-08-14").await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let primed = site.step("primed").await.to_string();
    let nothing = [("limit_name", "Primer"), ("limit_step", primed.as_str())];
    let wrong = foreman.send(PLAN, "/crew/plan/limit", &nothing).await;
    assert_eq!(wrong.status, 422, "a limit asks for something");
    assert!(
        wrong.body.contains("value=\"Primer\""),
        "nothing typed is lost"
    );
    let fields = [
        ("limit_name", "Primer <b>"),
        ("limit_step", primed.as_str()),
        ("limit_low", "50"),
    ];
    let added = foreman.send_from(&wrong, "/crew/plan/limit", &fields).await;
    assert_eq!(added.status, 303, "{}", added.body);
    assert!(!foreman.get(PLAN).await.body.contains("Not the weather"));
    let cold = [
        ("weather_day", "2026-08-14"),
        ("weather_low", "38"),
        ("weather_high", "30"),
    ];
    let wrong = foreman.send(PLAN, "/crew/plan/weather", &cold).await;
    assert_eq!(wrong.status, 422, "the highest is below the lowest");
    let fields = [("weather_high", "55")];
    let kept = foreman
        .send_from(&wrong, "/crew/plan/weather", &fields)
        .await;
    assert_eq!(kept.status, 303, "{}", kept.body);
    let body = foreman.get(PLAN).await.body;
    assert!(
        body.contains("38 °F to 55 °F"),
        "the day's weather stands above it"
    );
    assert!(body.contains("Not the weather for Primer"), "{body}");
    assert!(!body.contains("Primer <b>"), "text stays text");
    let ended = foreman.send(PLAN, "/crew/plan/limit-end", &[]).await;
    assert_eq!(ended.status, 303);
    assert!(!foreman.get(PLAN).await.body.contains("Not the weather"));
}

#[tokio::test]
async fn a_planned_cut_says_that_the_drawing_has_no_yes_and_nothing_is_ordered() {
    let site = a_site().await;
    let cassia = site.firm.person("carpenter").await;
    planned(&site, "cut", cassia, "2026-08-14").await;
    let foreman = site.firm.client_as(Role::Foreman).await;
    let body = foreman.get(PLAN).await.body;
    assert!(body.contains("Not yet drawn, approved, ordered."), "{body}");
    let page = format!("/heads/{}", site.head);
    for _ in 0..3 {
        foreman
            .send(&page, &format!("{page}/step"), &[("do", "next")])
            .await;
    }
    assert!(!foreman.get(PLAN).await.body.contains("Not yet"));
}
