//! What is typed becomes curves, or is refused beside its field with nothing
//! lost.

use headwright::sections::{self, MadeOf, Typed};
use headwright::trim::section::{Back, Curve};

use super::{new, typed};

fn wrong(changes: &[(&str, &str)], field: &str) -> String {
    let (new, read) = sections::read(&typed(changes), None);
    assert!(new.is_none(), "{changes:?} was taken");
    let words = read.errors.of(field);
    words
        .unwrap_or_else(|| panic!("{field}: {:?}", read.errors))
        .to_owned()
}

#[test]
fn members_are_struck_as_the_trade_sizes_them() {
    // Sizes typed as the trade does; 3/8 + 1 1/4 + 1/4 + 3/4 = 2 5/8.
    let section = new(&[]).drawing.section;
    let e = section.outline.extents();
    assert!((e.width() - 2.25).abs() < 1e-12 && (e.height() - 2.625).abs() < 1e-12);
    let arcs = section
        .outline
        .curves()
        .iter()
        .filter(|c| matches!(c, Curve::Arc { .. }));
    assert_eq!(arcs.count(), 3, "two of the cyma, one of the cavetto");
    let mm = new(&[
        ("unit", "mm"),
        ("projection", "57.15"),
        ("member.0.height", "9.525"),
        ("member.1.height", "31.75"),
        ("member.1.out", "1 1/4\""),
        ("member.2.height", "6.35"),
        ("member.3.height", "19.05"),
        ("member.3.out", "19.05"),
    ]);
    assert_eq!(mm.drawing.section, section, "a length's own unit wins");
}

#[test]
fn every_member_can_be_struck_every_way_it_has() {
    for is in [
        "fillet",
        "soffit",
        "splay",
        "ovolo",
        "cavetto",
        "cyma-recta",
        "cyma-reversa",
        "scotia",
        "astragal",
        "bead",
    ] {
        for struck in ["roman", "roman-full", "ellipse", "parabola", "hyperbola"] {
            let changes = [
                ("projection", "3"),
                ("member.1.is", is),
                ("member.1.struck", struck),
                ("member.1.depth", "1/4"),
                ("member.3.out", "1/2"),
            ];
            let (_, read) = sections::read(&typed(&changes), None);
            assert!(read.section.is_some(), "{is} {struck}: {:?}", read.errors);
        }
    }
}

#[test]
fn a_sprung_back_is_computed_flat_from_its_angle() {
    let section = new(&[("back", "sprung"), ("spring_degrees", "38°")])
        .drawing
        .section;
    let Back::Sprung(spring) = section.back else {
        panic!("sprung")
    };
    assert!((spring.degrees() - 38.0).abs() < 1e-9);
    let found = headwright::trim::section::flat_back(&section.outline).expect("a flat back");
    assert!((found.degrees() - 38.0).abs() < 1e-9, "{}", found.degrees());
}

#[test]
fn measured_points_make_arcs_and_smooth_curves_between_arrises() {
    let points = "0, 0\n2, 0\n2, \u{2212}3/8\n1 1/2, -5/8, smooth\n1 1/4, -1 1/4\n0, -2";
    let new = new(&[("kind", "points"), ("points", points)]);
    assert_eq!(new.drawing.made_of, MadeOf::Points);
    let curves = new.drawing.section.outline.curves().to_vec();
    assert_eq!(curves.len(), 5);
    assert!(curves.iter().any(|c| matches!(c, Curve::Arc { .. })));
    assert_eq!(new.drawing.typed["points"], points);
}

#[test]
fn a_path_and_a_drawing_are_read_and_stand_against_the_wall() {
    let path = "M10 10 h50 v10 q-20 0 -20 30 h-30 z";
    let one = new(&[("kind", "path"), ("path", path), ("drawn_in", "mm")]);
    let e = one.drawing.section.outline.extents();
    assert!((e.u_low, e.v_high) == (0.0, 0.0), "{e:?}");
    assert!((e.width() - 50.0 / 25.4).abs() < 1e-9);
    assert!(
        one.drawing.typed.get("path").is_none(),
        "the curves are kept, not the file"
    );
    let left = new(&[
        ("kind", "path"),
        ("path", path),
        ("drawn_in", "mm"),
        ("faces", "left"),
    ]);
    assert_ne!(left.drawing.section, one.drawing.section);
    let dxf = "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n90\n3\n70\n1\n10\n0\n20\n0\n10\n2\n20\n0\n10\n0\n20\n-3\n0\nTEXT\n1\nhello\n0\nENDSEC\n0\nEOF\n";
    let (new, read) = sections::read(&typed(&[("kind", "dxf"), ("dxf", dxf)]), None);
    let e = new.expect("a section").drawing.section.outline.extents();
    assert!((e.width() - 2.0).abs() < 1e-9 && (e.height() - 3.0).abs() < 1e-9);
    assert!(read.left_out.expect("said").contains("1 TEXT"));
}

#[test]
fn what_is_wrong_is_said_beside_its_field() {
    for (changes, field, part) in [
        (vec![("name", " ")], "name", "cannot stay empty"),
        (vec![("unit", "ell")], "unit", "inches or millimetres"),
        (vec![("kind", "guess")], "kind", "one of the ways"),
        (vec![("projection", "wide")], "projection", "wide"),
        (vec![("projection", "101'")], "projection", "100 ft"),
        (
            vec![("member.0.height", "")],
            "member.0.height",
            "Fill this in",
        ),
        (
            vec![("member.0.height", "-1")],
            "member.0.height",
            "may not be less than 0",
        ),
        (
            vec![("member.1.is", "swirl")],
            "member.1.is",
            "one of the list",
        ),
        (
            vec![("member.1.struck", "x")],
            "member.1.struck",
            "one of the list",
        ),
        (vec![("projection", "1")], "", "more than the top projects"),
        (vec![("back", "sprung")], "spring_degrees", "Fill this in"),
        (
            vec![("back", "sprung"), ("spring_degrees", "90")],
            "spring_degrees",
            "1 to 89",
        ),
        (
            vec![("kind", "points"), ("points", "1\n")],
            "points",
            "Line 1",
        ),
        (
            vec![("kind", "points"), ("points", "0,0\n1,0,round")],
            "points",
            "Line 2",
        ),
        (
            vec![("kind", "points"), ("points", "0,0\n2,0\n0,1\n1,1")],
            "points",
            "crosses itself",
        ),
        (
            vec![("kind", "path"), ("path", "M0 0 L1 x")],
            "path",
            "haracter 9",
        ),
        (
            vec![("kind", "path"), ("path", "")],
            "path",
            "Paste the path",
        ),
        (
            vec![("kind", "dxf"), ("dxf", "0\nSECTION\nX\n")],
            "dxf",
            "no lines or arcs",
        ),
        (
            vec![
                ("kind", "path"),
                ("path", "M0 0 h2 v-3 h-2 z"),
                ("back", "sprung"),
            ],
            "spring_degrees",
            "No flat leaning back",
        ),
    ] {
        let words = wrong(&changes, field);
        assert!(words.contains(part), "{changes:?}: {words}");
    }
}

#[test]
fn a_file_gives_its_one_path_and_refuses_what_would_be_read_wrongly() {
    use headwright::trim::section::svg_file::path_of;
    let svg = "<?xml version=\"1.0\"?><!-- d=\"M9 9\" --><svg><title>a > b</title><path fill='none' d='M0 0 h2 v-3 z'/></svg>";
    assert_eq!(path_of(svg).expect("a path"), "M0 0 h2 v-3 z");
    assert_eq!(path_of(" M0 0 h2 z ").expect("a path"), "M0 0 h2 z");
    for (text, part) in [
        ("<svg><rect/></svg>", "no path"),
        (
            "<svg><path d=\"M0 0\"/><path d=\"M1 1\"/></svg>",
            "more than one",
        ),
        (
            "<svg><g transform=\"scale(2)\"><path d=\"M0 0\"/></g></svg>",
            "transform",
        ),
        ("<svg><path d=\"M0", "no path"),
        ("<", "no path"),
    ] {
        let said = path_of(text).expect_err("refused").to_string();
        assert!(said.contains(part), "{text}: {said}");
    }
}

#[test]
fn members_are_added_moved_and_removed_without_losing_a_word() {
    let mut form = typed(&[("member.3.height", "7/8")]);
    let field =
        |form: &Typed, nth: usize, of: &str| form.get(&format!("member.{nth}.{of}")).to_owned();
    form.change_list("up-3");
    assert_eq!(
        (field(&form, 2, "is"), field(&form, 2, "height")),
        ("cavetto".into(), "7/8".into())
    );
    assert_eq!(field(&form, 3, "is"), "fillet");
    form.change_list("down-2");
    assert_eq!(field(&form, 3, "is"), "cavetto");
    form.change_list("add");
    assert_eq!(
        (form.members(), field(&form, 4, "is")),
        (5, "fillet".into())
    );
    form.change_list("remove-0");
    assert_eq!(
        (form.members(), field(&form, 0, "is")),
        (4, "cyma-recta".into())
    );
    let before = form.clone();
    for nothing in ["up-0", "down-3", "remove-9", "up-x", "draw", ""] {
        form.change_list(nothing);
        assert_eq!(form, before, "{nothing}");
    }
    for _ in 0..100 {
        form.change_list("add");
    }
    assert_eq!(form.members(), 40, "no more than a form holds");
    for _ in 0..100 {
        form.change_list("remove-0");
    }
    assert_eq!(form.members(), 0);
}
