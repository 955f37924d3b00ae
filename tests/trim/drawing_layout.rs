//! Every drawing: sound XML, nothing hostile let through, no words over
//! words, dimensions equal to the sheet's numbers.

use headwright::trim::Sheet;
use headwright::trim::draw::{
    At, CutLook, End, Look, Mark, Scene, Shape, SvgOptions, Text, board, cut_picture, elevation,
    plan, section, strip, svg,
};
use proptest::prelude::*;
use roxmltree::Document;
use serde_json::{Value, json};

use super::drawing_fixture::{heads, sheet};

const WIDTHS: [f64; 4] = [320.0, 360.0, 768.0, 1100.0];

/// All drawings of a sheet at one width.
fn all(sheet: &Sheet, width: f64) -> Vec<(String, Scene)> {
    let look = Look::wide(width);
    let mut scenes = vec![("elevation".to_owned(), elevation(sheet, &look))];
    scenes.extend(plan(sheet, &look).map(|s| ("plan".to_owned(), s)));
    for b in &sheet.boards {
        scenes.push((format!("board {}", b.label), board(b, &look)));
    }
    for r in &sheet.runs {
        scenes.push((format!("section {}", r.name), section(r, &look)));
        for p in &r.pieces {
            for end in [End::Left, End::Right] {
                for look in [CutLook::PHONE, CutLook::WIDE] {
                    let scene = cut_picture(r, p, end, &look);
                    scenes.push((format!("cut {} {end:?}", p.label), scene));
                }
            }
        }
    }
    let row = [(sheet, "W1"), (sheet, "W2 with a long mark that goes on")];
    scenes.push(("strip".to_owned(), strip(&row, &look)));
    scenes
}

fn texts(scene: &Scene) -> Vec<&Text> {
    let text = |m: &'_ Mark| matches!(m.shape, Shape::Text(_));
    let marks = scene.marks.iter().filter(|m| text(m));
    marks
        .filter_map(|m| match &m.shape {
            Shape::Text(t) => Some(t),
            _ => None,
        })
        .collect()
}

/// Whether two convex boxes share some area: no side of either separates
/// them.
fn overlap(a: &[At; 4], b: &[At; 4]) -> bool {
    let separates = |one: &[At; 4], other: &[At; 4]| {
        (0..4).any(|i| {
            let (p, q) = (one[i], one[(i + 1) % 4]);
            let out = |r: &At| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
            other.iter().all(|r| out(r) <= 1e-6)
        })
    };
    !separates(a, b) && !separates(b, a)
}

fn words_are_clear(what: &str, scene: &Scene) {
    let texts = texts(scene);
    for (i, a) in texts.iter().enumerate() {
        assert!(a.size >= 16.0, "{what}: {:?} is too small", a.content);
        for p in a.corners() {
            let (x, y) = (p.x - scene.corner.x, p.y - scene.corner.y);
            let in_sheet = x > -1.0 && y > -1.0 && x < scene.width + 1.0 && y < scene.height + 1.0;
            assert!(in_sheet, "{what}: {:?} leaves the sheet", a.content);
        }
        for b in texts.iter().skip(i + 1) {
            let clash = overlap(&a.corners(), &b.corners());
            assert!(!clash, "{what}: {:?} over {:?}", a.content, b.content);
        }
    }
}

fn sound(what: &str, scene: &Scene) {
    let text = svg(scene, &SvgOptions::default());
    let document = Document::parse(&text).unwrap_or_else(|e| panic!("{what}: {e}"));
    let root = document.root_element();
    assert_eq!(root.attribute("role"), Some("img"), "{what}");
    for name in ["title", "desc"] {
        let found = root
            .children()
            .find(|n| n.has_tag_name(name))
            .and_then(|n| n.text());
        assert!(found.is_some_and(|t| !t.is_empty()), "{what}: no {name}");
    }
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        for attribute in node.attributes() {
            let (name, value) = (attribute.name(), attribute.value());
            assert!(
                name != "style" && name != "id" && !name.starts_with("on"),
                "{what}: {name}"
            );
            assert!(
                !value.contains("NaN") && !value.contains("inf"),
                "{what}: {name}={value}"
            );
        }
    }
    for m in &scene.marks {
        let finite = |p: &At| p.x.abs() < 1e5 && p.y.abs() < 1e5;
        let points: Vec<At> = match &m.shape {
            Shape::Line(a, b) => vec![*a, *b],
            Shape::Path(p) | Shape::Area(p) => p.clone(),
            Shape::Lines(l) => l.iter().flat_map(|(a, b)| [*a, *b]).collect(),
            Shape::Circle(c, r) | Shape::Arc(c, r, ..) => vec![*c, c.moved(*r, 0.0)],
            Shape::Text(t) => t.corners().to_vec(),
            Shape::Open(_) | Shape::Close => vec![],
        };
        assert!(points.iter().all(finite), "{what}: {m:?}");
    }
    assert!(
        scene.width > 0.0 && scene.height > 0.0 && scene.height < 1e4,
        "{what}: its size"
    );
}

#[test]
fn every_drawing_is_sound_and_its_words_are_clear_at_every_width() {
    for (name, design) in heads() {
        let sheet = sheet(&design);
        for width in WIDTHS {
            for (what, scene) in all(&sheet, width) {
                let what = format!("{name} at {width}, {what}");
                sound(&what, &scene);
                words_are_clear(&what, &scene);
                let most = if what.contains("cut") {
                    600.0
                } else {
                    width + 1.0
                };
                assert!(scene.width <= most, "{what}: {} wide", scene.width);
            }
        }
    }
}

/// The value that a dimension stands for.
fn dims(scene: &Scene, part: &str) -> Vec<f64> {
    let named = scene.marks.iter().filter(|m| m.part == Some(part));
    named.filter_map(|m| m.value).collect()
}

/// Rake, rise, wing, span, overhang and height are the sheet's own numbers,
/// here from the design by the gable's relations: rise (S/2 − w)·tan θ, rake
/// (S/2 − w)/cos θ; derived.
#[test]
fn the_elevation_carries_the_sheets_numbers() {
    let (_, design) = &heads()[0];
    let sheet = sheet(design);
    let scene = elevation(&sheet, &Look::SHEET);
    let slope = (7.0_f64 / 12.0).atan();
    let run = 41.5 / 2.0 - 7.25;
    let close = |got: Vec<f64>, want: &[f64]| {
        assert_eq!(got.len(), want.len(), "{got:?} for {want:?}");
        got.iter()
            .zip(want)
            .for_each(|(g, w)| assert!((g - w).abs() < 1e-6, "{g} for {w}"));
    };
    close(dims(&scene, "span"), &[41.5]);
    close(dims(&scene, "wing"), &[7.25, 7.25]);
    close(dims(&scene, "overhang"), &[2.0]);
    close(dims(&scene, "height"), &[5.5]);
    close(dims(&scene, "rise"), &[run * slope.tan()]);
    close(dims(&scene, "rake"), &[run / slope.cos()]);
    close(dims(&scene, "angle"), &[slope.to_degrees()]);
    let rake = &sheet.runs[0].pieces[1];
    close(dims(&scene, "rake"), &[rake.reference]);
}

/// Measured rakes that differ are both dimensioned.
#[test]
fn rakes_that_differ_are_both_dimensioned() {
    let (_, design) = &heads()[1];
    let scene = elevation(&sheet(design), &Look::SHEET);
    let mut rakes = dims(&scene, "rake");
    rakes.sort_by(f64::total_cmp);
    assert_eq!(rakes.len(), 2);
    assert!(
        (rakes[0] - 15.3125).abs() < 1e-6 && (rakes[1] - 15.625).abs() < 1e-6,
        "{rakes:?}"
    );
}

/// A phone's elevation keeps what is first: span, wings, height, rise, rake
/// and its angle.
#[test]
fn a_phones_elevation_keeps_the_first_dimensions() {
    for (name, design) in heads().iter().take(4) {
        let scene = elevation(&sheet(design), &Look::PHONE);
        for part in ["span", "wing", "height", "rise", "rake", "angle"] {
            assert!(!dims(&scene, part).is_empty(), "{name}: no {part}");
        }
    }
}

#[test]
fn hostile_names_are_escaped_and_cut_short() {
    let hostile = [
        "<script>alert(1)</script>\"'&",
        "]]><svg onload=alert(1)>",
        "nul\u{0}, bell\u{7}, not a character \u{fffe}\u{ffff}",
        "\u{202e}right to left עברית",
        "🏠🏠🏠 e\u{301}\u{301}\u{301}",
        "",
    ];
    let long = "1/2 ".repeat(250_000);
    let (_, design) = &heads()[0];
    let plain = sheet(design);
    for name in hostile.iter().copied().chain([long.as_str()]) {
        let mut sheet = plain.clone();
        name.clone_into(&mut sheet.head);
        for run in &mut sheet.runs {
            name.clone_into(&mut run.name);
            for piece in &mut run.pieces {
                name.clone_into(&mut piece.label);
            }
        }
        for board in &mut sheet.boards {
            name.clone_into(&mut board.label);
        }
        for (what, scene) in all(&sheet, 768.0) {
            let text = svg(&scene, &SvgOptions::default());
            assert!(Document::parse(&text).is_ok(), "{what}");
            assert!(
                !text.contains("<script") && !text.contains("<svg onload"),
                "{what}"
            );
            assert!(text.len() < 100_000, "{what}: {}", text.len());
        }
    }
}

/// Numbers that are no piece give a picture that says so, never a panic.
#[test]
fn numbers_that_are_no_piece_are_drawn_without_panic() {
    let (_, design) = &heads()[0];
    let plain = sheet(design);
    for bad in [f64::NAN, f64::INFINITY, -1e300, 0.0] {
        let mut broken = plain.clone();
        for run in &mut broken.runs {
            for piece in &mut run.pieces {
                piece.reference = bad;
                piece.left.plane.x = bad;
                piece.right.setting.swing = bad;
                piece.leg.end.x = bad;
            }
            run.section.iter_mut().for_each(|p| p.u = bad);
        }
        for board in &mut broken.boards {
            board.outline.iter_mut().for_each(|p| p.0 = bad);
        }
        for (what, scene) in all(&broken, 360.0) {
            let text = svg(&scene, &SvgOptions::default());
            assert!(!text.contains("NaN") && !text.contains("inf"), "{what}");
        }
        let mut empty = plain.clone();
        empty.runs.clear();
        empty.boards.clear();
        all(&empty, 360.0);
    }
}

fn designs() -> impl Strategy<Value = Value> {
    let sizes = (20.0..140.0_f64, 0.0..0.4_f64, 4.0..62.0_f64, 3.0..14.0_f64);
    let mould = (0.5..4.0_f64, 0.5..6.0_f64, 0.5..2.0_f64, 0.2..2.0_f64);
    (sizes, mould, any::<bool>()).prop_map(
        |((span, wing, pitch, height), (p, h, ct, more), drops)| {
            let wing = (span * wing).round();
            let mut design = json!({"unit": "in", "kind": "gable", "name": "Any", "span": span,
            "wing": wing, "pitch": {"degrees": pitch},
            "board": {"thickness": "3/4", "height": height},
            "cap": {"thickness": ct, "front": p + more, "overhang": p + more},
            "crown": {"projection": p, "height": h, "back": "solid"}});
            if drops && wing > 6.0 {
                design["drops"] = json!({"width": "3 1/2", "thickness": "3/4", "inset": "3/4",
                "length": height + 1.5, "point_degrees": 45});
            }
            design
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn any_gables_drawings_are_sound_and_their_words_clear(design in designs(), width in prop::sample::select(WIDTHS.to_vec())) {
        let sheet = sheet(&design);
        for (what, scene) in all(&sheet, width) {
            sound(&what, &scene);
            words_are_clear(&format!("{what} at {width}"), &scene);
        }
    }
}
