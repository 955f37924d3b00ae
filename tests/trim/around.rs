//! What goes with the pieces: movement (family F), lifting (family G),
//! flashing, paint, fasteners. Sources are in each row of
//! `tests/data/checks.json`; the rest is arithmetic by hand.

use headwright::trim::around::fasteners::{FixingRule, cartridges};
use headwright::trim::around::finish::{Coating, gallons};
use headwright::trim::around::flashing::{FlashingError, HeadFlashing};
use headwright::trim::around::movement::{
    Grain, MATERIALS, MovementError, SPECIES, Species, board_gap, equilibrium_moisture,
    equilibrium_moisture_celsius, thermal_change,
};
use headwright::trim::around::quantity::{quantities, total};
use headwright::trim::around::weight::{Lift, caution, pounds};
use headwright::trim::section::Outline;
use headwright::trim::{Design, Rules, solve};
use serde_json::json;

use super::published::{Check, family};

fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got}, want {want}"
    );
}

fn of_row(id: &str) -> &'static Species {
    let name = match id {
        "F-coef-western-redcedar" => "western redcedar",
        "F-coef-eastern-white-pine" => "eastern white pine",
        "F-coef-douglas-fir-coast" => "Douglas-fir, coast",
        "F-coef-yellow-poplar" => "yellow-poplar",
        "F-coef-redwood-old-growth" => "redwood, old growth",
        "F-coef-redwood-second-growth" => "redwood, second growth",
        "F-coef-yellow-cedar" => "yellow cedar",
        "F-coef-incense-cedar" => "incense cedar",
        "F-coef-red-alder-control" => "red alder",
        "F-coef-white-fir" => "white fir",
        "F-coef-mahogany" => "mahogany",
        other => panic!("no wood for {other}"),
    };
    Species::named(name).expect("a wood")
}

fn coefficients(check: &Check) {
    let wood = of_row(check.id());
    check.expect("C_R", wood.radial);
    check.expect("C_T", wood.tangential);
    let Some((radial, tangential)) = wood.shrinkage else {
        return;
    };
    near("S_R", radial, check.input("S_radial"), 0.0);
    near("S_T", tangential, check.input("S_tangential"), 0.0);
    near("F", wood.saturation, check.input("F"), 0.0);
    let from =
        |shrinkage: f64| 1.0 / (100.0 * wood.saturation / shrinkage - wood.saturation + 10.0);
    check.expect("C_R", from(radial));
    check.expect("C_T", from(tangential));
}

/// A movement row names the coefficient; the wood and grain that have it.
fn movement(check: &Check, width: f64) -> f64 {
    let key = if check.row["inputs"].get("C").is_some() {
        "C"
    } else {
        "C_T"
    };
    let coefficient = check.input(key);
    for wood in &SPECIES {
        for (grain, own) in [
            (Grain::Flat, wood.tangential),
            (Grain::Quarter, wood.radial),
        ] {
            if own == coefficient {
                return wood
                    .width_change(width, grain, 7.0, 7.0 + check.input("dMC"))
                    .expect("inside the range");
            }
        }
    }
    panic!("{}: no wood with {coefficient}", check.id());
}

#[test]
fn movement_meets_the_handbook() {
    family("F-", |check| {
        match check.id() {
            id if id.starts_with("F-emc") => {
                let emc = equilibrium_moisture(check.input("T_F"), check.input("RH_pct"));
                check.expect("emc_pct", emc);
            }
            id if id.starts_with("F-coef") => coefficients(check),
            id if id.starts_with("F-move") => {
                check.expect("change_in", movement(check, check.input("width_in")));
            }
            "F-wh-example" => check.expect("change_mm", movement(check, check.input("D_mm"))),
            id if id.starts_with("F-thermal") => {
                let (length, per) = (check.input("L_in"), check.input("alpha_per_F"));
                check.expect("dL_in", thermal_change(length, per, check.input("dT_F")));
                assert!(
                    MATERIALS
                        .iter()
                        .any(|m| m.per_fahrenheit.0 <= per && per <= m.per_fahrenheit.1),
                    "{}: no material spans {per}",
                    check.id()
                );
            }
            "F-fc-moisture" => {
                let cement = MATERIALS
                    .iter()
                    .find(|m| m.name == "fibre cement")
                    .expect("there");
                let (low, high) = cement.moisture.expect("it moves");
                check.expect("low_in", low * check.input("L_in"));
                check.expect("high_in", high * check.input("L_in"));
            }
            _ => return Err("not known to this test"),
        }
        Ok(())
    });
}

// Wood Handbook FPL-GTR-282 Table 4-2, seen quoted: printed to 0.1 %.
#[test]
fn both_forms_of_the_moisture_equation_agree_with_the_printed_table() {
    for (fahrenheit, humidity, printed) in [
        (70.0, 5.0, 1.3),
        (70.0, 30.0, 6.2),
        (70.0, 50.0, 9.2),
        (70.0, 75.0, 14.4),
        (70.0, 85.0, 17.9),
        (70.0, 95.0, 23.9),
        (30.0, 75.0, 14.9),
        (30.0, 95.0, 24.3),
        (100.0, 50.0, 8.7),
        (100.0, 90.0, 19.5),
    ] {
        near(
            "table",
            equilibrium_moisture(fahrenheit, humidity),
            printed,
            0.1,
        );
        let celsius = equilibrium_moisture_celsius((fahrenheit - 32.0) / 1.8, humidity);
        near("Celsius", celsius, printed, 0.15);
    }
}

#[test]
fn movement_outside_the_coefficients_range_uses_the_shrinkage() {
    let cedar = Species::named("western redcedar").expect("a wood");
    // From 10 % up to saturation: 5 % of (F − M)/F over the width at 10 %,
    // Wood Handbook form, from memory.
    let grows = cedar
        .width_change(10.0, Grain::Flat, 10.0, 22.0)
        .expect("known");
    near(
        "to saturation",
        grows,
        10.0 * 12.0 / (100.0 * 22.0 / 5.0 - 12.0),
        1e-12,
    );
    let more = cedar
        .width_change(10.0, Grain::Flat, 10.0, 60.0)
        .expect("known");
    near("beyond it nothing", more, grows, 0.0);
    // Both rules agree near 10 %.
    let outside = cedar
        .width_change(10.0, Grain::Flat, 10.0, 14.01)
        .expect("known");
    let inside = cedar
        .width_change(10.0, Grain::Flat, 10.0, 14.0)
        .expect("known");
    near("at the seam", outside, inside, 1e-3);
    let mahogany = Species::named("mahogany").expect("a wood");
    let error = mahogany.width_change(10.0, Grain::Flat, 10.0, 20.0);
    assert_eq!(error, Err(MovementError::NotKnown));
    assert_eq!(
        cedar.width_change(10.0, Grain::Flat, -1.0, 8.0),
        Err(MovementError::Moisture)
    );
}

#[test]
fn the_gap_covers_both_extremes() {
    let poplar = Species::named("yellow-poplar").expect("a wood");
    let gap = board_gap(poplar, 10.0, Grain::Flat, 9.0, (7.0, 13.0)).expect("known");
    near("leave", gap.leave, 10.0 * 0.002_89 * 4.0, 1e-12);
    near("opens", gap.opens, 10.0 * 0.002_89 * 2.0, 1e-12);
    let pvc = &MATERIALS[0];
    let gap = pvc.gap(216.0, 50.0, 0.0, 120.0);
    near("leave", gap.leave, 216.0 * 3.5e-5 * 70.0, 1e-12);
    near("opens", gap.opens, 216.0 * 3.5e-5 * 50.0, 1e-12);
}

#[test]
fn the_lifting_equation_meets_its_row_and_its_bounds() {
    family("G-niosh", |check| {
        let lift = Lift {
            reach: check.input("H"),
            height: check.input("V"),
            travel: check.input("D"),
            twist: check.input("A"),
            often: check.input("FM"),
            grip: check.input("CM"),
        };
        check.expect("RWL_lb", lift.limit());
        Ok(())
    });
    // NIOSH 94-110: the ideal lift is 51 lb, nothing beyond 25 in.
    let ideal = Lift {
        reach: 8.0,
        height: 30.0,
        travel: 5.0,
        twist: 0.0,
        often: 1.0,
        grip: 1.0,
    };
    near("ideal", ideal.limit(), 51.0, 1e-9);
    assert_eq!(
        Lift {
            reach: 25.5,
            ..ideal
        }
        .index(10.0),
        None
    );
    assert!(caution(30.0, &ideal).contains("one person"));
    assert!(caution(70.0, &ideal).contains("two people"));
    assert!(caution(300.0, &ideal).contains("hoist"));
}

#[test]
fn a_flashing_is_developed_bend_by_bend() {
    let flashing = HeadFlashing {
        length: 45.5,
        depth: 3.5,
        slope: (1.0_f64 / 6.0).atan(),
        upstand: 3.0,
        past: 0.25,
        drip: 0.75,
        hem: 0.375,
        dam: 0.75,
    };
    let blank = flashing.blank().expect("it can be bent");
    let top = 3.75 * (37.0_f64.sqrt() / 6.0);
    near(
        "developed",
        blank.developed_width,
        3.0 + top + 0.75 + 0.375,
        1e-12,
    );
    near("length", blank.blank_length, 47.0, 1e-12);
    near("fall", blank.fall, 0.625, 1e-12);
    near("bend", blank.bends[1], 3.0 + top, 1e-12);
    let level = HeadFlashing {
        slope: 0.0,
        ..flashing
    };
    assert_eq!(level.blank(), Err(FlashingError::Slope));
    let none = HeadFlashing {
        depth: f64::NAN,
        ..flashing
    };
    assert_eq!(none.blank(), Err(FlashingError::Measure));
}

#[test]
fn volume_and_surface_of_a_solved_head_are_exact() {
    // A flat head, crown a triangle 1 1/2 × 2: by hand.
    let design = Design::from_json(&json!({
        "unit": "in", "name": "North door", "kind": "flat", "span": 40,
        "board": {"thickness": "3/4", "height": 6},
        "crown": {"projection": 1.5, "height": 2, "back": "solid"}
    }))
    .expect("a design");
    let sheet = solve(&design, &Rules::default()).expect("a sheet");
    let found = quantities(&sheet);
    let piece = |label: &str| found.iter().find(|q| q.label == label).expect(label);
    // The triangle's centre stands 1/2 in out: each outside mitre adds that.
    near(
        "front",
        piece("crown-2").volume,
        1.5 * (40.0 + 2.0 * 0.5),
        1e-9,
    );
    near("return", piece("crown-1").volume, 1.5 * (0.75 + 0.5), 1e-9);
    near("board", piece("board").volume, 40.0 * 6.0 * 0.75, 1e-9);
    near(
        "mitred ends",
        piece("crown-2").ends,
        2.0 * 1.5 * 2.0_f64.sqrt(),
        1e-9,
    );
    let (volume, surface, ends) = total(&found);
    assert!(volume > 180.0 && surface > ends && ends > 0.0);
    near("pounds", pounds(1728.0, 23.0), 23.0, 0.0);
    // Against the outline's own area and perimeter.
    let outline = Outline::polygon_of(&sheet.runs[0].section).expect("an outline");
    let lateral = piece("crown-2").surface - piece("crown-2").ends;
    assert!(lateral > outline.perimeter() * 40.0 && lateral < outline.perimeter() * 43.0);
}

#[test]
fn paint_fasteners_and_adhesive_follow_the_stated_rule() {
    let coating = Coating {
        square_feet_a_gallon: 400.0,
        coats: 2,
        lost: 0.0,
    };
    near(
        "gallons",
        gallons(144.0 * 200.0, &coating).expect("cover"),
        1.0,
        1e-12,
    );
    assert_eq!(
        gallons(
            1.0,
            &Coating {
                lost: 1.0,
                ..coating
            }
        ),
        None
    );
    let rule = FixingRule::default();
    let count = |length, width| {
        let fixings = rule.fixings(length, width).expect("a piece");
        (fixings.rows, fixings.in_row)
    };
    assert_eq!(count(36.0, 3.5), (1, 3));
    assert_eq!(count(36.1, 5.5), (2, 4));
    assert_eq!(count(3.0, 9.25), (3, 2));
    assert_eq!(rule.fixings(f64::INFINITY, 1.0), None);
    assert!(rule.words().contains("no source"));
    // A quarter-inch bead: 18.2 cubic inches last about 371 in.
    near("cartridges", cartridges(333.0, 0.25), 1.0, 0.01);
}
