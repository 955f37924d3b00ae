//! The rule that picks, at its edges. The edges come from the published rows
//! of family G (tests/data/checks.json), read from there, not from the
//! program's own constants.

use headwright::safety::{
    Doubt, HeadFacts, Lines, Reach, Scope, Site, distance_to_keep_ft, for_head, for_job,
};

use crate::trim::published::rows;

/// A published number.
fn published(id: &str, key: &str) -> f64 {
    let row = rows(id)
        .into_iter()
        .find(|c| c.id() == id)
        .expect("the row");
    row.row["expect"][key].as_f64().expect("the number")
}

/// A new house with nothing near, worked on from the ground.
fn plain() -> Site {
    Site {
        year_built: Some(1995),
        lead_ruled_out: false,
        old_paint_sqft: None,
        window_replaced: false,
        work_height_ft: 0.0,
        reach: Reach::Ladder,
        lines: Lines::None,
        line_distance_ft: None,
        line_kv: None,
        line_insulated: false,
        asbestos: Doubt::Unknown,
        sidings: vec!["clapboard".into()],
        fibre_cement: false,
        adhesive: false,
        heat_index_f: None,
        short_under_in: 6.0,
    }
}

fn topics(site: &Site) -> Vec<&'static str> {
    for_job(site).into_iter().map(|a| a.topic).collect()
}

fn asks(site: &Site, topic: &str) -> bool {
    topics(site).contains(&topic)
}

fn why(site: &Site, topic: &str) -> String {
    let all = for_job(site);
    all.into_iter()
        .find(|a| a.topic == topic)
        .expect("asked")
        .why
}

#[test]
fn a_plain_site_asks_only_for_the_tools() {
    assert_eq!(
        topics(&plain()),
        ["saw", "ripping", "nailers", "eyes-ears-dust", "cords"]
    );
    assert!(for_job(&plain()).iter().all(|a| a.scope == Scope::Day));
}

#[test]
fn houses_before_1978_ask_for_lead_safe_work_and_so_do_houses_of_unknown_age() {
    // 40 CFR 745.82: housing before 1978 (facts: EPA snapshot).
    let of = |year_built| Site {
        year_built,
        ..plain()
    };
    assert!(asks(&of(Some(1977)), "lead") && asks(&of(None), "lead"));
    assert!(!asks(&of(Some(1978)), "lead"));
    let tested = Site {
        lead_ruled_out: true,
        ..of(Some(1900))
    };
    assert!(!asks(&tested, "lead"));
    let least = published("G-rrp", "exterior_sqft");
    let small = |sqft, window_replaced| Site {
        old_paint_sqft: Some(sqft),
        window_replaced,
        ..of(Some(1900))
    };
    assert!(why(&small(least, false), "lead").contains("outside the federal rule"));
    assert!(!why(&small(least + 0.1, false), "lead").contains("outside the federal rule"));
    assert!(!why(&small(1.0, true), "lead").contains("outside the federal rule"));
}

#[test]
fn height_asks_for_what_one_stands_on_and_for_fall_protection() {
    let up = |work_height_ft, reach| Site {
        work_height_ft,
        reach,
        ..plain()
    };
    assert!(asks(&up(2.0, Reach::Ladder), "ladders"));
    assert!(!asks(&up(2.0, Reach::Ladder), "falls"));
    // 29 CFR 1926.501(b)(1): 6 ft (facts: complianceregs.com, ishn.com).
    assert!(!asks(&up(5.9, Reach::Ladder), "falls") && asks(&up(6.0, Reach::Ladder), "falls"));
    let scaffold = published("G-scaffold-fall", "ft");
    assert!(!asks(&up(scaffold, Reach::Scaffold), "falls"));
    assert!(asks(&up(scaffold + 0.1, Reach::Scaffold), "falls"));
    assert!(asks(&up(4.0, Reach::Scaffold), "scaffold"));
    assert!(!asks(&up(4.0, Reach::Scaffold), "ladders"));
}

#[test]
fn lines_are_asked_for_until_somebody_has_looked_and_too_near_means_stop() {
    let lines = |lines, line_distance_ft| Site {
        lines,
        line_distance_ft,
        ..plain()
    };
    assert!(asks(&lines(Lines::Unknown, None), "lines"));
    assert!(!asks(&lines(Lines::None, None), "lines"));
    let kv69 = |feet| Site {
        line_kv: Some(69.0),
        reach: Reach::Scaffold,
        ..lines(Lines::There, Some(feet))
    };
    let keep = published("G-scaffold-power", "ft");
    assert!((distance_to_keep_ft(&kv69(30.0)).expect("a figure") - keep).abs() < 1e-3);
    assert!(why(&kv69(keep - 0.01), "lines").starts_with("Stop"));
    assert!(!why(&kv69(keep + 0.01), "lines").starts_with("Stop"));
    // A lift goes by the other table.
    let lift = |kv, feet| Site {
        line_kv: Some(kv),
        reach: Reach::Lift,
        ..lines(Lines::There, Some(feet))
    };
    for kv in [50.0, 200.0, 350.0, 500.0, 750.0, 1000.0] {
        let keep = published(&format!("G-1408-{kv}"), "ft");
        assert!(
            why(&lift(kv, keep - 0.1), "lines").starts_with("Stop"),
            "{kv} kV"
        );
        assert!(
            !why(&lift(kv, keep), "lines").starts_with("Stop"),
            "{kv} kV"
        );
    }
    // A voltage nobody knows is not taken for a low one.
    assert_eq!(distance_to_keep_ft(&lines(Lines::There, None)), Some(10.0));
}

#[test]
fn fibre_cement_asks_for_silica_wherever_it_is_named() {
    assert!(!asks(&plain(), "silica"));
    assert!(asks(
        &Site {
            fibre_cement: true,
            ..plain()
        },
        "silica"
    ));
    let walls = Site {
        sidings: vec!["Fiber cement lap".into()],
        ..plain()
    };
    assert!(asks(&walls, "silica"));
}

#[test]
fn old_mineral_siding_is_taken_for_asbestos_until_somebody_decides() {
    // From memory: such sidings were made until about 1980.
    let old = |asbestos| Site {
        year_built: Some(1931),
        sidings: vec!["cement shingles".into()],
        asbestos,
        ..plain()
    };
    assert!(asks(&old(Doubt::Unknown), "asbestos") && asks(&old(Doubt::May), "asbestos"));
    assert!(!asks(&old(Doubt::No), "asbestos"));
    assert!(!asks(&plain(), "asbestos"));
}

#[test]
fn heat_is_asked_for_from_80_and_says_more_from_90() {
    // Federal rule as proposed in 2024, not law (facts: smacna.org).
    let at = |heat_index_f| Site {
        heat_index_f,
        ..plain()
    };
    assert!(!asks(&at(None), "heat") && !asks(&at(Some(79.0)), "heat"));
    assert!(asks(&at(Some(80.0)), "heat"));
    assert!(why(&at(Some(90.0)), "heat").contains("rest every two hours"));
}

#[test]
fn adhesive_is_asked_for_where_it_is_used() {
    assert!(asks(
        &Site {
            adhesive: true,
            ..plain()
        },
        "adhesive"
    ));
}

#[test]
fn a_head_asks_for_short_pieces_and_lifting_from_what_it_is() {
    let of = |shortest_in, pounds| {
        let facts = HeadFacts {
            shortest_in,
            pounds,
        };
        let all = for_head(&plain(), &facts);
        all.into_iter().map(|a| a.topic).collect::<Vec<_>>()
    };
    assert_eq!(of(6.0, 10.0), ["flashing"]);
    assert_eq!(of(5.9, 10.0), ["short", "flashing"]);
    // NIOSH 94-110 for 15 in out, from 30 in, raised 50 in, a poor grip:
    // 51 × 10/15 × 1 × (0.82 + 1.8/50) × 1 × 0.9 = 26.19 lb.
    assert_eq!(of(20.0, 26.1), ["flashing"]);
    assert_eq!(of(20.0, 26.3), ["lifting", "flashing"]);
}
