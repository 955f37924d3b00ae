//! The figures against their published rows: family G of `tests/data/checks.json`,
//! each with its source there.

use headwright::safety::figures::{
    FALL_FT, GROUND_COVER_FT, LADDER_ABOVE_LANDING_FT, MINOR_INDOORS_SQFT, MINOR_OUTDOORS_SQFT,
    Near, SCAFFOLD_FALL_FT, SILICA_ACTION, SILICA_LIMIT, WOOD_DUST, is_minor_outdoors,
    ladder_foot_out, line_clearance_ft, needs_fall_protection, noise_dose, noise_hours,
};

use crate::trim::published::{Check, family};

fn one(check: &Check) -> Result<(), &'static str> {
    match check.id() {
        "G-ladder-ratio" => {
            let length = check.input("working_length_ft");
            let out = ladder_foot_out(length);
            check.expect("base_ft", out);
            check.expect("angle_deg", (out / length).acos().to_degrees());
        }
        "G-ladder-top" => check.expect("ft", LADDER_ABOVE_LANDING_FT),
        "G-scaffold-fall" => check.expect("ft", SCAFFOLD_FALL_FT),
        "G-scaffold-power" => check.expect(
            "ft",
            line_clearance_ft(Near::Scaffold, check.input("kV"), false).expect("a distance"),
        ),
        "G-noise-sample" => {
            check.expect(
                "Fe",
                noise_dose(&[(110.0, 0.25), (100.0, 0.5), (90.0, 1.5)]),
            );
        }
        "G-silica" => {
            check.expect("PEL", SILICA_LIMIT);
            check.expect("AL", SILICA_ACTION);
        }
        "G-rrp" => {
            check.expect("interior_sqft", MINOR_INDOORS_SQFT);
            check.expect("exterior_sqft", MINOR_OUTDOORS_SQFT);
        }
        "G-rrp-ground" => check.expect("ft", GROUND_COVER_FT),
        "G-wooddust" => {
            check.expect("osha_total", WOOD_DUST.total);
            check.expect("osha_resp", WOOD_DUST.respirable);
            check.expect("niosh", WOOD_DUST.niosh);
            check.expect("acgih_wrc", WOOD_DUST.cedar);
        }
        "G-niosh" => return Err("the lifting equation is the engine's and checked there"),
        id if id.starts_with("G-1408-") => check.expect(
            "ft",
            line_clearance_ft(Near::Equipment, check.input("kV"), false).expect("in the table"),
        ),
        id if id.starts_with("G-noise-") => check.expect(
            "hours",
            noise_hours(check.input("dBA")).expect("in the table"),
        ),
        _ => return Err("no figure of ours"),
    }
    Ok(())
}

#[test]
fn the_published_figures_of_family_g_hold() {
    family("G-", one);
}

#[test]
fn between_two_rows_the_stricter_one_counts() {
    // 29 CFR 1926.52 Table D-2 and 1926.1408 Table A, rows in checks.json.
    assert_eq!(noise_hours(93.0), Some(4.0));
    assert_eq!(noise_hours(89.9), None);
    assert_eq!(noise_hours(116.0), Some(0.0));
    assert_eq!(line_clearance_ft(Near::Equipment, 51.0, false), Some(15.0));
    assert_eq!(line_clearance_ft(Near::Equipment, 1001.0, false), None);
}

#[test]
fn only_an_insulated_line_below_300_volts_lets_a_scaffold_nearer_than_ten_feet() {
    // 29 CFR 1926.451(f)(6).
    assert_eq!(line_clearance_ft(Near::Scaffold, 0.24, true), Some(3.0));
    assert_eq!(line_clearance_ft(Near::Scaffold, 0.24, false), Some(10.0));
    assert_eq!(line_clearance_ft(Near::Scaffold, 0.3, true), Some(10.0));
    assert_eq!(line_clearance_ft(Near::Scaffold, 50.0, true), Some(10.0));
}

#[test]
fn fall_protection_begins_at_six_feet_and_on_a_scaffold_above_ten() {
    // 29 CFR 1926.501(b)(1) and 1926.451(g)(1).
    assert!(needs_fall_protection(FALL_FT, false) && !needs_fall_protection(5.99, false));
    assert!(!needs_fall_protection(10.0, true) && needs_fall_protection(10.01, true));
}

#[test]
fn a_replaced_window_is_never_minor_work() {
    // 40 CFR 745.83.
    assert!(is_minor_outdoors(20.0, false));
    assert!(!is_minor_outdoors(20.01, false) && !is_minor_outdoors(1.0, true));
}
