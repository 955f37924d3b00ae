//! Reads a drawing's SVG back: views with their scale, parts with their
//! places in inches; and two small tools of plane geometry.

use headwright::trim::space::Vector;
use roxmltree::{Document, Node};

/// A part of a view, its places in the view's inches, y up.
struct Part {
    view: String,
    name: String,
    points: Vec<(f64, f64)>,
    circle: bool,
}

/// What a drawing says.
pub struct Picture {
    parts: Vec<Part>,
    views: Vec<(String, f64)>,
}

impl Picture {
    pub fn read(text: &str) -> Self {
        let document = Document::parse(text).expect("the drawing is well-formed XML");
        let mut picture = Self {
            parts: Vec::new(),
            views: Vec::new(),
        };
        for view in document
            .descendants()
            .filter(|n| n.has_attribute("data-view"))
        {
            let name = view
                .attribute("data-view")
                .expect("a view's name")
                .to_owned();
            let value = |a: &str| number(&view, a);
            let (scale, x, y) = (value("data-scale"), value("data-x"), value("data-y"));
            for part in view.descendants().filter(|n| n.has_attribute("data-part")) {
                let circle = part.tag_name().name() == "circle";
                let raw = if circle {
                    vec![(number(&part, "cx"), number(&part, "cy"))]
                } else {
                    part.attribute("d").map_or_else(Vec::new, path)
                };
                picture.parts.push(Part {
                    view: name.clone(),
                    name: part
                        .attribute("data-part")
                        .expect("a part's name")
                        .to_owned(),
                    points: raw
                        .iter()
                        .map(|p| ((p.0 - x) / scale, (y - p.1) / scale))
                        .collect(),
                    circle,
                });
            }
            picture.views.push((name, scale));
        }
        picture
    }

    fn part(&self, view: &str, name: &str) -> &Part {
        let found = self.parts.iter().find(|p| p.view == view && p.name == name);
        found.unwrap_or_else(|| panic!("no {name} in view {view}"))
    }

    pub fn area(&self, view: &str, name: &str) -> Vec<(f64, f64)> {
        self.part(view, name).points.clone()
    }

    pub fn line(&self, view: &str, name: &str) -> Vec<(f64, f64)> {
        self.part(view, name).points.clone()
    }

    pub fn circle(&self, view: &str, name: &str) -> (f64, f64) {
        let part = self.part(view, name);
        assert!(part.circle, "{name} is a circle");
        part.points[0]
    }

    pub fn scale(&self, view: &str) -> f64 {
        let found = self.views.iter().find(|v| v.0 == view);
        found.map(|v| v.1).expect("the view is there")
    }

    pub fn has_view(&self, view: &str) -> bool {
        self.views.iter().any(|v| v.0 == view)
    }
}

fn number(node: &Node<'_, '_>, attribute: &str) -> f64 {
    let text = node.attribute(attribute).expect("the attribute is there");
    text.parse().expect("the attribute is a number")
}

/// The places of a path of straight lines.
fn path(d: &str) -> Vec<(f64, f64)> {
    d.split(['M', 'L', 'z'])
        .filter(|s| !s.is_empty() && !s.contains('A'))
        .filter_map(|pair| {
            let (x, y) = pair.split_once(' ')?;
            Some((x.parse().ok()?, y.parse().ok()?))
        })
        .collect()
}

/// Whether (x, y) is inside a polygon, even-odd.
pub fn inside(area: &[(f64, f64)], x: f64, y: f64) -> bool {
    let next = area.iter().cycle().skip(1);
    let crossed = area
        .iter()
        .zip(next)
        .filter(|(a, b)| (a.1 > y) != (b.1 > y) && x < a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1));
    crossed.count() % 2 == 1
}

/// The faces of the solid between two ends, dropped on to the bed.
pub fn shadow(near: &[Vector], far: &[Vector]) -> Vec<Vec<(f64, f64)>> {
    let drop = |p: &Vector| (p.x, p.y);
    let mut faces = vec![
        near.iter().map(drop).collect(),
        far.iter().map(drop).collect(),
    ];
    for i in 0..near.len() {
        let j = (i + 1) % near.len();
        faces.push(
            [near[i], near[j], far[j], far[i]]
                .iter()
                .map(drop)
                .collect(),
        );
    }
    faces
}
