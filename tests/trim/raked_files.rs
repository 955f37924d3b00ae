//! The files of `headwright raked`: PDF rasterised and measured, SVG read
//! back as XML, DXF by a strict reader of its own, written from the format's
//! published reference (pairs of a group code and a value, one a line; the
//! value's sort follows from the code's range; POLYLINE, VERTEX and SEQEND of
//! release 12, bulge = tan of a quarter of the swept angle; from memory). No
//! other reader could be had without a network.

use std::path::Path;

use headwright::cli::{PaperArg, RakedArgs, Status, Streams, raked_command};
use serde_json::{Value, json};

use super::paper::{DOT_MM, raster};

/// Runs the command on `input`; status and what it says.
fn run(input: &Value, args: RakedArgs) -> (Status, String) {
    let (mut output, mut error) = (Vec::new(), Vec::new());
    let args = RakedArgs {
        section: "-".into(),
        ..args
    };
    let status = raked_command(
        &args,
        &mut Streams {
            input: &mut input.to_string().as_bytes(),
            output: &mut output,
            error: &mut error,
        },
    );
    output.extend(error);
    (status, String::from_utf8(output).expect("UTF-8"))
}

/// A block 20 mm out and 100 mm high, given on the level return at 30°.
fn block() -> Value {
    json!({"unit": "mm", "section": [[0, 0], [20, 0], [20, -100], [0, -100]], "given": "return",
           "pitch": {"degrees": 30}, "plan_corner_degrees": 90})
}

/// A crown of arcs and a conic.
fn crown() -> Value {
    json!({"unit": "in", "curves": super::curved::crown(), "given": "return",
           "pitch": {"rise": 6, "run": 12}})
}

#[test]
fn the_paper_is_true_for_the_source_and_for_what_is_changed() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("raked.pdf");
    for paper in [PaperArg::Letter, PaperArg::A4] {
        let args = RakedArgs {
            pdf: Some(file.clone()),
            paper,
            ..RakedArgs::default()
        };
        let (status, said) = run(&block(), args);
        assert_eq!(status, Status::Solved, "{said}");
        let pages = raster(&std::fs::read(&file).expect("a file"));
        assert_eq!(pages.len(), 1, "three blocks of 20 mm fit one sheet turned");
        let page = &pages[0];
        // Upright edges: the only columns with 75 mm of ink. Their length is
        // 100 mm on both returns, 100·cos 30° on the rake (HATF art. 323).
        let columns = page.lines(true, 75.0 / DOT_MM);
        assert_eq!(columns.len(), 6, "{columns:?}");
        let rake = 100.0 * 30.0_f64.to_radians().cos();
        for (nth, pair) in columns.chunks(2).enumerate() {
            let &[left, right] = pair else { continue };
            let out = (right - left) * DOT_MM;
            assert!((out - 20.0).abs() < 0.1, "block {nth} is {out} mm out");
            // The edge away from the cross that marks (0, 0): the longest
            // unbroken stretch of ink, less the line's own thickness.
            let x = right as usize;
            let dark: Vec<usize> = (0..page.height()).filter(|y| page.dark(x, *y)).collect();
            let (mut best, mut length, mut middle) = (0, 0, 0);
            for (i, y) in dark.iter().enumerate() {
                let on = i > 0 && dark[i - 1] + 1 == *y;
                length = if on { length + 1 } else { 1 };
                if length > best {
                    (best, middle) = (length, y - length / 2);
                }
            }
            let thick = (0..20).filter(|dx| page.dark(x + dx - 10, middle)).count();
            let high = (best - thick) as f64 * DOT_MM;
            let want = if nth == 1 { rake } else { 100.0 };
            println!("{paper:?} block {nth}: {high:.3} mm, want {want:.3}");
            assert!((high - want).abs() < 0.1, "block {nth} is {high} mm high");
        }
    }
}

/// One group of a drawing.
#[derive(Debug, Clone)]
struct Group {
    code: i32,
    value: String,
}

/// Reads pairs strictly: every code a whole number of a known range, every
/// number a number, the last pair EOF.
fn groups(text: &str) -> Vec<Group> {
    let lines: Vec<&str> = text.lines().collect();
    assert!(lines.len().is_multiple_of(2), "pairs of lines");
    let pairs = lines.chunks(2).map(|pair| {
        let code: i32 = pair[0].trim().parse().expect("a group code");
        let value = pair[1].to_owned();
        match code {
            0..=9 | 999 => assert!(value.is_ascii() && value.len() <= 255, "{value}"),
            10..=59 | 140..=147 => {
                let number: f64 = value.trim().parse().expect("a number");
                assert!(number.is_finite());
            }
            60..=79 => {
                value.trim().parse::<i16>().expect("a whole number");
            }
            other => panic!("group {other} is none of release 12's that we write"),
        }
        Group { code, value }
    });
    let groups: Vec<Group> = pairs.collect();
    let last = groups.last().expect("an end");
    assert_eq!((last.code, last.value.as_str()), (0, "EOF"));
    groups
}

/// Vertices with bulges of every closed polyline, in the drawing's unit.
fn polylines(groups: &[Group]) -> Vec<Vec<(f64, f64, f64)>> {
    let mut found: Vec<Vec<(f64, f64, f64)>> = Vec::new();
    let mut entity = "";
    let mut in_entities = false;
    for (i, group) in groups.iter().enumerate() {
        if group.code == 0 {
            entity = &group.value;
            match entity {
                "SECTION" => in_entities = groups[i + 1].value == "ENTITIES",
                "POLYLINE" => {
                    assert!(in_entities, "curves stand among the entities");
                    found.push(Vec::new());
                }
                "VERTEX" => found.last_mut().expect("a polyline").push((0.0, 0.0, 0.0)),
                _ => {}
            }
        }
        let number = || group.value.trim().parse::<f64>().expect("a number");
        match (entity, group.code) {
            ("POLYLINE", 70) => assert_eq!(number() as i32 & 1, 1, "closed"),
            ("VERTEX", 10) => found.last_mut().unwrap().last_mut().unwrap().0 = number(),
            ("VERTEX", 20) => found.last_mut().unwrap().last_mut().unwrap().1 = number(),
            ("VERTEX", 42) => found.last_mut().unwrap().last_mut().unwrap().2 = number(),
            _ => {}
        }
    }
    found
}

/// Area of a closed polyline with bulges: the polygon's, and a segment for
/// each arc, r²(φ − sin φ)/2 (elementary).
fn area(vertices: &[(f64, f64, f64)]) -> f64 {
    let mut sum = 0.0;
    for (i, a) in vertices.iter().enumerate() {
        let b = vertices[(i + 1) % vertices.len()];
        sum += 0.5 * (a.0 * b.1 - b.0 * a.1);
        if a.2 != 0.0 {
            let sweep = 4.0 * a.2.atan();
            let chord = (b.0 - a.0).hypot(b.1 - a.1);
            let radius = chord / (2.0 * (sweep / 2.0).sin().abs());
            sum += 0.5 * radius * radius * (sweep - sweep.sin());
        }
    }
    sum.abs()
}

/// Areas of the three sections as the command's own JSON gives them.
fn areas(input: &Value) -> [f64; 3] {
    let args = RakedArgs {
        json: true,
        ..RakedArgs::default()
    };
    let (_, text) = run(input, args);
    let output: Value = serde_json::from_str(&text).expect("JSON");
    ["return_curves", "rake_curves", "upper_return_curves"].map(|key| {
        let unit = headwright::measure::Unit::Inch;
        let outline = headwright::trim::section::json::outline(&output[key], key, unit);
        outline.expect("an outline").area()
    })
}

#[test]
fn the_drawing_is_read_by_another_reader_and_holds_the_three_sections() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("raked.dxf");
    let args = RakedArgs {
        dxf: Some(file.clone()),
        ..RakedArgs::default()
    };
    let (status, said) = run(&crown(), args);
    assert_eq!(status, Status::Solved, "{said}");
    let text = std::fs::read_to_string(&file).expect("a file");
    let found = polylines(&groups(&text));
    assert_eq!(found.len(), 3);
    for (vertices, want) in found.iter().zip(areas(&crown())) {
        let got = area(vertices);
        assert!((got - want).abs() < 1e-3, "{got} of {want} sq in");
    }
}

#[test]
fn the_svg_is_xml_in_millimetres_with_one_path_a_section() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("raked.svg");
    let args = RakedArgs {
        svg: Some(file.clone()),
        ..RakedArgs::default()
    };
    let (status, said) = run(&crown(), args);
    assert_eq!(status, Status::Solved, "{said}");
    let text = std::fs::read_to_string(&file).expect("a file");
    let document = roxmltree::Document::parse(&text).expect("XML");
    let root = document.root_element();
    assert!(root.attribute("width").expect("a width").ends_with("mm"));
    let sections: Vec<&str> = document
        .descendants()
        .filter(|node| {
            node.tag_name().name() == "path" && node.attribute("stroke-width") == Some("0.1")
        })
        .filter_map(|node| node.attribute("d"))
        .collect();
    assert_eq!(sections.len(), 3);
    for (d, want) in sections.iter().zip(areas(&crown())) {
        let outline = headwright::trim::section::svg_path::read(d, 1.0 / 25.4).expect("a path");
        assert!((outline.area() - want).abs() < 1e-5, "{}", outline.area());
    }
}

fn left_over(folder: &Path) -> Vec<String> {
    let names = std::fs::read_dir(folder).expect("a folder");
    let name = |entry: std::io::Result<std::fs::DirEntry>| {
        entry
            .expect("an entry")
            .file_name()
            .into_string()
            .expect("a name")
    };
    names.map(name).collect()
}

#[test]
fn a_file_is_whole_or_not_there_and_a_wrong_input_writes_none() {
    let folder = tempfile::tempdir().expect("a folder");
    let (pdf, svg) = (folder.path().join("a.pdf"), folder.path().join("a.svg"));
    let both = || RakedArgs {
        pdf: Some(pdf.clone()),
        svg: Some(svg.clone()),
        ..RakedArgs::default()
    };
    let line = json!({"unit": "in", "section": [[0, 0], [1, 0]], "given": "rake", "pitch": {"degrees": 20}});
    for wrong in [line, json!({"unit": "in"})] {
        let (status, said) = run(&wrong, both());
        assert_eq!(status, Status::WrongInput, "{said}");
        assert_eq!(said.trim_end().lines().count(), 1, "{said}");
        assert_eq!(left_over(folder.path()), Vec::<String>::new());
    }
    let nowhere = RakedArgs {
        pdf: Some(folder.path().join("no/such/folder/a.pdf")),
        ..RakedArgs::default()
    };
    let (status, said) = run(&crown(), nowhere);
    assert_eq!(status, Status::WrongInput);
    assert!(said.contains("cannot be written"), "{said}");
    // An older file is replaced by a whole one, and nothing else is left.
    std::fs::write(&pdf, "old").expect("written");
    let (status, said) = run(&crown(), both());
    assert_eq!(status, Status::Solved, "{said}");
    assert!(
        said.contains("Raked sections"),
        "the table is still printed: {said}"
    );
    let mut names = left_over(folder.path());
    names.sort();
    assert_eq!(names, ["a.pdf", "a.svg"]);
    assert!(std::fs::read(&pdf).expect("a file").ends_with(b"%%EOF"));
}
