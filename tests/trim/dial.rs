//! What to set on a scale that is out. The rule is trade practice, no source;
//! the figures are worked by hand.

use headwright::trim::dial::{Axis, Hand, Reading, counts};

const fn read(axis: Axis, side: Hand, set: f64, measured: f64) -> Reading {
    Reading {
        axis,
        side,
        set,
        measured,
    }
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9, "{a} is not {b}");
}

#[test]
fn a_blade_that_cuts_less_than_its_scale_shows_is_set_more_to_the_same_side() {
    // Set 45, measured 44.8: 0.2 short. For 22.5 the scale must show 22.7.
    near(read(Axis::Swing, Hand::Right, 45.0, 44.8).dial(22.5), 22.7);
    near(read(Axis::Swing, Hand::Left, 45.0, 44.8).dial(-22.5), -22.7);
    near(read(Axis::Tilt, Hand::Left, 30.0, 29.9).dial(33.9), 34.0);
    near(read(Axis::Tilt, Hand::Right, 30.0, 29.9).dial(-33.9), -34.0);
}

#[test]
fn a_blade_that_cuts_more_than_its_scale_shows_is_set_less() {
    near(read(Axis::Swing, Hand::Right, 45.0, 45.2).dial(22.5), 22.3);
    near(read(Axis::Swing, Hand::Left, 45.0, 45.2).dial(-22.5), -22.3);
}

#[test]
fn setting_what_is_dialled_cuts_what_the_sheet_says() {
    // A saw whose scale reads the true turn less a fixed part, both ways.
    for zero in [-0.4, -0.1, 0.0, 0.25] {
        let cuts = |scale: f64| scale + zero;
        for set in [-45.0_f64, -22.5, 22.5, 45.0] {
            let side = if set > 0.0 { Hand::Right } else { Hand::Left };
            let test = read(Axis::Swing, side, set.abs(), cuts(set).abs());
            for want in [-50.0, -31.62, -10.0, 10.0, 31.62, 50.0] {
                if want * set > 0.0 {
                    near(cuts(test.dial(want)), want);
                }
            }
        }
    }
}

#[test]
fn a_test_cut_speaks_of_its_own_side_and_axis_only() {
    let test = read(Axis::Swing, Hand::Right, 45.0, 44.8);
    assert!(counts([&test], Axis::Swing, 10.0).is_some());
    for (axis, angle) in [
        (Axis::Swing, -10.0),
        (Axis::Swing, 0.0),
        (Axis::Tilt, 10.0),
        (Axis::Tilt, -10.0),
    ] {
        assert!(counts([&test], axis, angle).is_none(), "{axis:?} {angle}");
    }
}

#[test]
fn a_test_cut_at_square_counts_both_ways_with_opposite_effect() {
    // Square on the scale cuts 0.3 to the right: a swing right is set less,
    // a swing left more, and square is set 0.3 to the left.
    let test = read(Axis::Swing, Hand::Right, 0.0, 0.3);
    near(test.dial(0.0), -0.3);
    near(test.dial(22.5), 22.2);
    near(test.dial(-22.5), -22.8);
    assert!(counts([&test], Axis::Swing, -22.5).is_some());
}

#[test]
fn the_newest_test_cut_that_speaks_of_the_side_counts() {
    let all = [
        read(Axis::Swing, Hand::Left, 45.0, 45.1),
        read(Axis::Swing, Hand::Right, 30.0, 29.9),
        read(Axis::Swing, Hand::Right, 45.0, 44.0),
    ];
    let found = counts(&all, Axis::Swing, 20.0).expect("one of the right");
    near(found.measured, 29.9);
}
