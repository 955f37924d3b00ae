//! Dressed sizes and board feet against published tables.

use headwright::cutting::lumber::{board_feet, dressed_thickness, dressed_width};

use crate::trim::published::family;

/// Every row of family E, counted; each names its own source.
#[test]
fn every_row_of_sizes_and_board_feet_is_checked() {
    family("E-", |row| {
        if row.id().starts_with("E-width") {
            let width = dressed_width(row.input("nominal_in")).ok_or("no such width")?;
            row.expect("dressed_in", width);
        } else if row.id().starts_with("E-thick") {
            let nominal = row.input("nominal_in");
            let (dry, green) = dressed_thickness(nominal).ok_or("no such thickness")?;
            row.expect("dry_in", dry);
            row.expect("green_in", green);
        } else if row.id().starts_with("E-bf") {
            let feet = board_feet(row.input("T"), row.input("W"), row.input("L_ft"));
            row.expect("bf", feet);
        } else {
            return Err("an unknown kind of row");
        }
        Ok(())
    });
}

/// American Softwood Lumber Standard PS 20 sizes as tabulated at
/// engineeringtoolbox.com (softwood-lumber-standard); the table, not the
/// standard itself, was seen.
#[test]
fn dressed_widths_are_those_of_ps_20() {
    let table = [
        (2.0, 1.5),
        (3.0, 2.5),
        (4.0, 3.5),
        (5.0, 4.5),
        (6.0, 5.5),
        (7.0, 6.5),
        (8.0, 7.25),
        (9.0, 8.25),
        (10.0, 9.25),
        (11.0, 10.25),
        (12.0, 11.25),
        (14.0, 13.25),
        (16.0, 15.25),
    ];
    for (nominal, dressed) in table {
        assert_eq!(dressed_width(nominal), Some(dressed), "{nominal}");
    }
    assert_eq!(dressed_width(13.0), None);
}

/// The same source; 5/4 is nominal 1 1/4.
#[test]
fn dressed_thicknesses_are_those_of_ps_20() {
    let table = [
        (0.375, 0.3125, 0.34375),
        (0.5, 0.4375, 0.46875),
        (0.625, 0.5625, 0.59375),
        (0.75, 0.625, 0.6875),
        (1.0, 0.75, 0.78125),
        (1.25, 1.0, 1.03125),
        (1.5, 1.25, 1.28125),
        (2.0, 1.5, 1.5625),
    ];
    for (nominal, dry, green) in table {
        assert_eq!(dressed_thickness(nominal), Some((dry, green)), "{nominal}");
    }
    assert_eq!(dressed_thickness(f64::NAN), None);
}

/// Board-foot definition, and the printed example 1 x 3 x 8 = 2
/// (furnituremaking.us, all-science-fair-projects.com); the others computed
/// from the definition.
#[test]
fn board_feet_follow_the_definition() {
    let table = [
        (1.0, 3.0, 8.0, 2.0),
        (1.0, 6.0, 12.0, 6.0),
        (1.25, 6.0, 16.0, 10.0),
        (1.0, 12.0, 16.0, 16.0),
        (2.0, 4.0, 10.0, 6.6667),
        (1.0, 4.0, 14.0, 4.6667),
    ];
    for (t, w, l, feet) in table {
        assert!(
            (board_feet(t, w, l) - feet).abs() < 0.005,
            "{t} x {w} x {l}"
        );
    }
}

/// Common practice, from memory: thinner than 1 in counts as 1 in.
#[test]
fn thin_boards_count_as_an_inch_thick() {
    assert_eq!(board_feet(0.75, 6.0, 12.0), board_feet(1.0, 6.0, 12.0));
    assert_eq!(board_feet(-1.0, 6.0, 12.0), 0.0);
}
