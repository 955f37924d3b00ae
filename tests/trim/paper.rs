//! True-scale paper: PDF rasterised at a known resolution and measured, SVG
//! and DXF read back.

use std::f64::consts::FRAC_PI_2;
use std::path::Path;
use std::process::Command;

use headwright::measure::Unit;
use headwright::trim::draw::{Ink, Scene, Shape, at};
use headwright::trim::paper::{Named, OVERLAP_MM, Paper, Plate, Tiles, UNITS_A_MM, dxf, pdf, svg};
use headwright::trim::raked::{Form, RakeCorner, Raked};
use headwright::trim::section::parts::{BuiltBack, Conic, Order, Part, build};
use headwright::trim::section::{Affine, Curve, Outline, dxf as dxf_in, place, svg_path};

use super::sections::{crown, greek_crown};

/// Dots an inch of the raster; a dot is 0.04 mm.
const DPI: f64 = 635.0;
pub const DOT_MM: f64 = 25.4 / DPI;

/// A grey picture.
pub struct Raster {
    width: usize,
    pixels: Vec<u8>,
}

impl Raster {
    pub fn dark(&self, x: usize, y: usize) -> bool {
        self.pixels
            .get(y * self.width + x)
            .is_some_and(|p| *p < 128)
    }

    pub fn height(&self) -> usize {
        self.pixels.len() / self.width
    }

    /// Dots with this share of dark dots in their column or row, by runs:
    /// the middle of each run.
    pub fn lines(&self, across: bool, least: f64) -> Vec<f64> {
        let (outer, inner) = if across {
            (self.width, self.height())
        } else {
            (self.height(), self.width)
        };
        let mut found = Vec::new();
        let mut start = None;
        for i in 0..=outer {
            let dark = i < outer
                && (0..inner)
                    .filter(|j| {
                        if across {
                            self.dark(i, *j)
                        } else {
                            self.dark(*j, i)
                        }
                    })
                    .count() as f64
                    >= least;
            match (dark, start) {
                (true, None) => start = Some(i),
                (false, Some(from)) => {
                    found.push((from + i) as f64 / 2.0);
                    start = None;
                }
                _ => {}
            }
        }
        found
    }
}

/// Every page as a raster, by poppler.
pub fn raster(document: &[u8]) -> Vec<Raster> {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("sheet.pdf");
    std::fs::write(&file, document).expect("written");
    let ran = Command::new("pdftoppm")
        .args(["-gray", "-r", &DPI.to_string()])
        .arg(&file)
        .arg(folder.path().join("page"))
        .output()
        .expect("pdftoppm is installed: tests/run.sh sees to it");
    assert!(ran.status.success() && ran.stderr.is_empty(), "{ran:?}");
    let mut pages: Vec<_> = std::fs::read_dir(folder.path())
        .expect("a folder")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|e| e == "pgm"))
        .collect();
    pages.sort();
    pages.iter().map(|path| grey(path)).collect()
}

/// Reads a binary PGM: three numbers after P5, then bytes.
fn grey(path: &Path) -> Raster {
    let bytes = std::fs::read(path).expect("a picture");
    let mut at = 2;
    let mut numbers = Vec::new();
    while numbers.len() < 3 {
        while bytes[at].is_ascii_whitespace() {
            at += 1;
        }
        let end = (at..)
            .find(|i| bytes[*i].is_ascii_whitespace())
            .expect("an end");
        let number: usize = std::str::from_utf8(&bytes[at..end])
            .unwrap()
            .parse()
            .unwrap();
        numbers.push(number);
        at = end;
    }
    Raster {
        width: numbers[0],
        pixels: bytes[at + 1..].to_vec(),
    }
}

fn text(document: &[u8]) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("sheet.pdf");
    std::fs::write(&file, document).expect("written");
    let ran = Command::new("pdftotext")
        .arg("-layout")
        .arg(&file)
        .arg("-")
        .output()
        .expect("pdftotext");
    String::from_utf8(ran.stdout).expect("UTF-8")
}

/// A plain section this wide and tall, millimetres.
fn block(width: f64, height: f64) -> Plate {
    let (u, v) = (width / 25.4, -height / 25.4);
    let corners = [place(0.0, 0.0), place(u, 0.0), place(u, v), place(0.0, v)];
    Plate {
        title: "Test block".to_owned(),
        notes: vec![],
        sections: vec![Named {
            name: "block".to_owned(),
            outline: Outline::polygon_of(&corners).expect("a block"),
        }],
    }
}

#[test]
fn two_hundred_millimetres_are_true_to_a_tenth_on_paper() {
    for paper in [Paper::A4, Paper::Letter] {
        let pages = raster(&pdf(&block(200.0, 100.0).scene(), paper));
        assert_eq!(pages.len(), 1);
        // The block's upright edges are the only columns, its level ones the
        // only rows, with so much ink; the bars are shorter.
        let across = pages[0].lines(true, 95.0 / DOT_MM);
        let down = pages[0].lines(false, 150.0 / DOT_MM);
        assert_eq!((across.len(), down.len()), (2, 2), "{across:?} {down:?}");
        let (width, height) = (
            (across[1] - across[0]) * DOT_MM,
            (down[1] - down[0]) * DOT_MM,
        );
        println!("{paper:?}: 200 mm measured {width:.3}, 100 mm measured {height:.3}");
        assert!((width - 200.0).abs() < 0.1, "{width}");
        assert!((height - 100.0).abs() < 0.1, "{height}");
    }
}

#[test]
fn the_check_bars_are_true() {
    let pages = raster(&pdf(&block(30.0, 20.0).scene(), Paper::Letter));
    let page = &pages[0];
    // The two longest rows of ink are the bars: longer than 90 mm.
    let rows = page.lines(false, 90.0 / DOT_MM);
    assert_eq!(rows.len(), 2, "{rows:?}");
    let mut lengths: Vec<f64> = rows
        .iter()
        .map(|row| {
            let y = *row as usize;
            // The bar's words stand on the same line; the bar itself is the
            // first stretch without a gap.
            let start = (0..page.width).find(|x| page.dark(*x, y)).expect("ink");
            let end = (start..page.width)
                .find(|x| !page.dark(*x, y))
                .expect("an end");
            (end - start) as f64 * DOT_MM
        })
        .collect();
    lengths.sort_by(f64::total_cmp);
    println!("bars measured {lengths:?}");
    assert!(
        (lengths[0] - 100.0).abs() < 0.2 && (lengths[1] - 101.6).abs() < 0.2,
        "{lengths:?}"
    );
}

#[test]
fn a_large_section_is_tiled_with_overlap_and_marks() {
    let scene = block(300.0, 350.0).scene();
    let tiles = Tiles::new(&scene, Paper::A4);
    assert!(tiles.count() >= 4, "{tiles:?}");
    let document = pdf(&scene, Paper::A4);
    let pages = raster(&document);
    assert_eq!(pages.len(), tiles.count() as usize);
    let words = text(&document);
    assert!(
        words.contains("Row 1 of") && words.contains("100 mm") && words.contains("4 in"),
        "{words}"
    );
    // A line near the seam shows on both sheets, the overlap apart from the
    // two sheets' edges.
    let mut scene = Scene::new(
        "seam".to_owned(),
        String::new(),
        300.0 * UNITS_A_MM,
        200.0 * UNITS_A_MM,
    );
    let x = (190.0 - OVERLAP_MM + 2.0) * UNITS_A_MM;
    scene.draw(
        Ink::Line,
        Shape::Line(at(x, 0.0), at(x, 200.0 * UNITS_A_MM)),
    );
    let tiles = Tiles::new(&scene, Paper::A4);
    assert_eq!((tiles.across, tiles.down), (2, 1), "{tiles:?}");
    let pages = raster(&pdf(&scene, Paper::A4));
    let places: Vec<f64> = pages
        .iter()
        .flat_map(|page| page.lines(true, 150.0 / DOT_MM))
        .map(|x| x * DOT_MM)
        .collect();
    assert_eq!(places.len(), 2, "{places:?}");
    // 10 mm margin; the second sheet begins 180 mm into the drawing.
    assert!(
        (places[0] - 192.0).abs() < 0.1 && (places[1] - 12.0).abs() < 0.1,
        "{places:?}"
    );
}

#[test]
fn names_that_the_font_lacks_do_not_spoil_the_paper() {
    let mut plate = block(20.0, 20.0);
    plate.title = "Porch “north” – 7½ × 3 é 門 \u{0} (a\\b)".to_owned();
    let words = text(&pdf(&plate.scene(), Paper::Letter));
    assert!(words.contains("Porch “north” – 7½ × 3 é ?"), "{words}");
    assert!(words.contains("(a\\b)"), "{words}");
}

fn plate() -> Plate {
    let corner = RakeCorner {
        pitch: 26.565_f64.to_radians(),
        plan_corner: FRAC_PI_2,
    };
    Plate::of_raked(
        "Crown, north porch",
        &Raked::new(&greek_crown().outline, Form::Return, corner),
    )
}

#[test]
fn three_sections_stand_side_by_side_on_paper() {
    let words = text(&pdf(&plate().scene(), Paper::Letter));
    for name in ["level return (as given)", "rake", "upper return", "26.6"] {
        assert!(words.contains(name), "{name}: {words}");
    }
}

/// The outline of each section as an independent reader of the file sees it.
fn read_svg(text: &str) -> Vec<Outline> {
    let tree = roxmltree::Document::parse(text).expect("XML");
    let root = tree.root_element();
    let size = |name: &str| -> f64 {
        let value = root.attribute(name).expect("a size");
        value
            .strip_suffix("mm")
            .expect("millimetres")
            .parse()
            .expect("a number")
    };
    let view: Vec<f64> = root
        .attribute("viewBox")
        .expect("a view")
        .split(' ')
        .map(|n| n.parse().expect("a number"))
        .collect();
    assert_eq!(
        &view[2..],
        [size("width"), size("height")],
        "one unit is a millimetre"
    );
    let paths = root.children().filter(|n| n.has_tag_name("path"));
    let closed = paths.filter_map(|n| n.attribute("d").filter(|d| d.ends_with('Z')));
    closed
        .map(|d| svg_path::read(d, 1.0 / 25.4).unwrap_or_else(|wrong| panic!("{d}: {wrong}")))
        .collect()
}

fn alike(what: &str, got: &Outline, want: &Outline, tolerance: f64) {
    let (a, b) = (got.extents(), want.extents());
    let off = |x: f64, y: f64| assert!((x - y).abs() < tolerance, "{what}: {x} for {y}");
    off(a.width(), b.width());
    off(a.height(), b.height());
    off(got.area(), want.area());
    off(got.perimeter(), want.perimeter());
    off(got.centroid().u - a.u_low, want.centroid().u - b.u_low);
    off(got.centroid().v - a.v_low, want.centroid().v - b.v_low);
}

/// Sections with every sort of curve.
fn shelf() -> Plate {
    let hyperbola = build(
        2.0,
        &[Part::Cavetto {
            height: 1.5,
            projection: 1.5,
            order: Order::Greek(Conic::Hyperbola(3.0)),
        }],
        BuiltBack::Solid,
    );
    let drawn = svg_path::read("M0 0 H2 C2 1.5 1 1 1 2 Q.5 2 .25 3 H0 Z", 1.0).expect("drawn");
    let mut plate = plate();
    for (name, outline) in [
        ("roman", crown().outline),
        (
            "turned over",
            crown().outline.mapped(&Affine::scaled(1.0, -1.0)),
        ),
        ("hyperbola", hyperbola.expect("struck").outline),
        ("drawn", drawn),
    ] {
        plate.sections.push(Named {
            name: name.to_owned(),
            outline,
        });
    }
    plate
}

#[test]
fn svg_keeps_every_curve_to_a_micrometre() {
    let plate = shelf();
    let text = svg(&plate);
    let found = read_svg(&text);
    assert_eq!(found.len(), plate.sections.len());
    for (got, named) in found.iter().zip(&plate.sections) {
        alike(&named.name, got, &named.outline, 4e-5);
    }
    // The crown's own arcs are still circles, the raked ones ellipses.
    assert!(
        found[3]
            .curves()
            .iter()
            .any(|c| matches!(c, Curve::Arc { .. }))
    );
    assert!(
        found[1]
            .curves()
            .iter()
            .any(|c| matches!(c, Curve::Conic { .. }))
    );
    assert!(text.contains("100 mm") && text.contains("4 in"));
}

#[test]
fn dxf_is_true_to_a_ten_thousandth_in_either_unit() {
    for named in shelf().sections {
        let one = Plate {
            title: "Höhe\n(1)".to_owned(),
            notes: vec![],
            sections: vec![named.clone()],
        };
        for unit in [Unit::Inch, Unit::Millimetre] {
            let text = dxf(&one, unit);
            assert!(text.is_ascii());
            let drawn = dxf_in::read(&text, Unit::Foot).unwrap_or_else(|wrong| panic!("{wrong}"));
            assert_eq!(drawn.unit, unit);
            assert_eq!(drawn.left_out.get("TEXT"), Some(&1));
            alike(&named.name, &drawn.outline, &named.outline, 8e-4);
            // Places of the source curve lie on the arcs that stand for it.
            let back = drawn.outline.extents();
            let home = named.outline.extents();
            for curve in named.outline.curves() {
                for i in 0..=16 {
                    let p = curve.at(f64::from(i) / 16.0);
                    let p = place(p.u - home.u_low + back.u_low, p.v - home.v_low + back.v_low);
                    let off = nearest(&drawn.outline, p);
                    assert!(off < 2e-4, "{}: {off}", named.name);
                }
            }
        }
    }
}

/// Distance from a place to an outline of lines and arcs.
fn nearest(outline: &Outline, p: headwright::trim::sheet::SectionPoint) -> f64 {
    let polygon = outline.polygon(1e-6);
    let next = polygon.iter().cycle().skip(1);
    polygon
        .iter()
        .zip(next)
        .map(|(a, b)| {
            let side = *b - *a;
            let t = ((p - *a).dot(side) / side.dot(side)).clamp(0.0, 1.0);
            a.towards(*b, t).distance(p)
        })
        .fold(f64::INFINITY, f64::min)
}
