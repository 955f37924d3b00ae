//! Readers against wrong input without end: lengths, heads, raked sections,
//! SVG paths, DXF drawings. A fixed seed, so that a failure comes again; the
//! numbers of tries are small enough for every run. `fuzz/` holds the same
//! readers for longer runs.
//!
//! Nothing is asserted about time: what a case may make others do is counted
//! (pieces, curves, corners, characters of output) and bounded.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

use headwright::measure::{Length, Rounding, Unit, parse_number};
use headwright::trim::contract::table;
use headwright::trim::draw::{Look, elevation};
use headwright::trim::section::{Cut, Outline, dxf, json as stored, rip, svg_file, svg_path};
use headwright::trim::{Design, Rules, paper, raked, solve};
use serde_json::Value;

use super::cases::cases;

/// Numbers that anybody can make again (Marsaglia's xorshift, from memory).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, most: usize) -> usize {
        (self.next() % most.max(1) as u64) as usize
    }

    fn pick<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
}

/// Words that readers trip over.
const WORDS: [&str; 44] = [
    "0",
    "-0",
    "1",
    "-1",
    "1e308",
    "-1e308",
    "1e-308",
    "1e400",
    "NaN",
    "inf",
    "99999999999999999999999999999999999999999999999999",
    "0.1",
    "1/0",
    "0/0",
    "3/4",
    "1 1/2",
    "1' 2\"",
    "864 mm",
    "½",
    "1⁄2",
    "−1",
    "'",
    "\"",
    "/",
    ".",
    ",",
    "e",
    "+",
    "-",
    "M",
    "m0 0",
    "A1 1 0 1 1 2 2",
    "a0,0 0 01 1e9 1e9",
    "Z",
    "C1 1 2 2 3 3",
    "Q1 1 2 2",
    "{",
    "[",
    "null",
    "true",
    "\u{0}",
    "0\nSECTION\n2\nENTITIES\n",
    "\n42\n1e300\n",
    "\n70\n1\n",
];

/// Changes a text at a few places: letters turned, words put in, stretches
/// taken out, doubled, or brought from another text.
fn mutated(chance: &mut Chance, seeds: &[String]) -> String {
    let mut letters: Vec<char> = chance.pick(seeds).chars().collect();
    for _ in 0..=chance.below(4) {
        let at = chance.below(letters.len() + 1);
        let end = (at + chance.below(20)).min(letters.len());
        match chance.below(6) {
            0 => {
                if let Some(letter) = letters.get_mut(at) {
                    *letter = char::from((chance.next() % 128) as u8);
                }
            }
            1 => {
                letters.splice(at..at, chance.pick(&WORDS).chars());
            }
            2 => {
                letters.splice(at..end, chance.pick(&WORDS).chars());
            }
            3 => {
                letters.drain(at..end);
            }
            4 => {
                let again: Vec<char> = letters[at..end].to_vec();
                for _ in 0..=chance.below(30) {
                    letters.splice(at..at, again.iter().copied());
                }
            }
            _ => {
                let other: Vec<char> = chance.pick(seeds).chars().collect();
                let from = chance.below(other.len() + 1);
                let to = (from + chance.below(200)).min(other.len());
                letters.splice(at..end, other[from..to].iter().copied());
            }
        }
        letters.truncate(20_000);
    }
    letters.into_iter().collect()
}

/// Changes values somewhere inside a document and leaves it a document.
fn changed_inside(chance: &mut Chance, value: &mut Value) {
    match value {
        Value::Object(map) if !map.is_empty() && chance.below(4) > 0 => {
            let nth = chance.below(map.len());
            let key = map.keys().nth(nth).expect("a key").clone();
            match chance.below(12) {
                0 => {
                    map.remove(&key);
                }
                1 => {
                    let moved = map[&key].clone();
                    map.insert(
                        (*chance.pick(&["section", "curves", "path", "x"])).into(),
                        moved,
                    );
                }
                _ => changed_inside(chance, &mut map[&key]),
            }
        }
        Value::Array(list) if !list.is_empty() && chance.below(4) > 0 => {
            let nth = chance.below(list.len());
            match chance.below(8) {
                0 => {
                    list.remove(nth);
                }
                1 => {
                    let again = list[nth].clone();
                    let many = if chance.below(10) == 0 { 1200 } else { 3 };
                    list.extend(std::iter::repeat_n(again, many));
                }
                _ => changed_inside(chance, &mut list[nth]),
            }
        }
        Value::Number(_) if chance.below(2) == 0 => {
            let factor = *chance.pick(&[-1.0, 0.0, 1e-9, 0.5, 2.0, 100.0, 1e7, 1e300]);
            let number = value.as_f64().unwrap_or(1.0) * factor;
            *value = serde_json::Number::from_f64(number).map_or(Value::Null, Value::Number);
        }
        other => {
            *other = match chance.below(7) {
                0 => Value::Null,
                1 => Value::Bool(true),
                2 => Value::from((*chance.pick(&WORDS)).replace('\u{0}', "")),
                3 => Value::Array(Vec::new()),
                4 => Value::Object(serde_json::Map::new()),
                5 => Value::from((chance.next() % 10_000) as i64 - 5_000),
                _ => Value::from(chance.next() as f64 / 1e17 - 90.0),
            };
        }
    }
}

/// What one case made: a count of things, bounded by the test.
type Work = usize;

/// Runs `tries` cases; prints how many were taken, the most work and the
/// slowest case. A panic is told with its input.
fn run(
    what: &str,
    tries: usize,
    bound: Work,
    mut make: impl FnMut(usize) -> String,
    read: impl Fn(&str) -> Option<Work>,
) {
    let (mut taken, mut most) = (0, 0);
    let mut slowest = (Duration::ZERO, String::new());
    for nth in 0..tries {
        let text = make(nth);
        let start = Instant::now();
        let outcome = catch_unwind(AssertUnwindSafe(|| read(&text)));
        let time = start.elapsed();
        let Ok(work) = outcome else {
            panic!("{what}: a panic at try {nth} on {text:?}")
        };
        taken += usize::from(work.is_some());
        let work = work.unwrap_or(0);
        assert!(
            work <= bound,
            "{what}: {work} things at try {nth} from {text:?}"
        );
        most = most.max(work);
        if time > slowest.0 {
            slowest = (time, text.chars().take(300).collect());
        }
    }
    println!(
        "{what}: {tries} tries, {taken} taken, at most {most} things made; slowest {:?}: {:?}",
        slowest.0, slowest.1
    );
    assert!(taken > 0, "{what}: nothing was ever taken");
}

#[test]
fn lengths_take_any_text_without_a_panic() {
    let seeds: Vec<String> = [
        "9 13/16",
        "3' 4 1/2\"",
        "864 mm",
        "9-13/16\"",
        "40.5",
        "102.9 cm",
        "1,029",
        "½",
        "7½",
        "5 ft 3 in",
        "1/64",
        "0.03125",
    ]
    .map(str::to_owned)
    .to_vec();
    let mut chance = Chance(0x5eed_1e57);
    run(
        "lengths",
        60_000,
        200,
        |_| mutated(&mut chance, &seeds),
        |text| {
            let _ = parse_number(text);
            let units = [
                Unit::Inch,
                Unit::Foot,
                Unit::Millimetre,
                Unit::Centimetre,
                Unit::Metre,
            ];
            let found = units.map(|unit| Length::parse(text, unit));
            let length = found.into_iter().flatten().next()?;
            let words = Rounding::Sixteenth.text(length.inches());
            assert_eq!(
                Length::parse(&length.exact(Unit::Inch), Unit::Inch),
                Ok(length)
            );
            Some(words.len())
        },
    );
}

fn heads() -> Vec<Value> {
    let mut all: Vec<Value> = cases().into_iter().map(|(input, _)| input).collect();
    all.push(super::curved::head_of_curves());
    all
}

/// Solves a head and writes its sheet; the pieces and the corners drawn.
fn head(text: &str) -> Option<Work> {
    let design = Design::from_json_text(text).ok()?;
    let again = Design::from_json(&design.to_json());
    assert_eq!(again.as_ref(), Ok(&design), "comes back as it was");
    let sheet = solve(&design, &Rules::default()).ok()?;
    let pieces: usize = sheet.runs.iter().map(|run| run.pieces.len()).sum();
    let corners: usize = sheet.runs.iter().map(|run| run.section.len()).sum();
    assert!(pieces <= 500, "{pieces} pieces");
    let _ = serde_json::to_string(&sheet.contract(Rounding::Sixteenth));
    let _ = table(&sheet, Rounding::Sixteenth);
    if pieces * corners < 5_000 {
        let _ = elevation(&sheet, &Look::PHONE);
    }
    Some(pieces + corners)
}

#[test]
fn heads_of_any_text_are_solved_or_refused_without_a_panic() {
    let heads = heads();
    let texts: Vec<String> = heads.iter().map(Value::to_string).collect();
    let mut chance = Chance(0xbead_ed01);
    run(
        "heads, texts",
        4_000,
        100_000,
        |_| mutated(&mut chance, &texts),
        head,
    );
    let mut chance = Chance(0xbead_ed02);
    let inside = |_| {
        let mut value = chance.pick(&heads).clone();
        for _ in 0..=chance.below(3) {
            changed_inside(&mut chance, &mut value);
        }
        value.to_string()
    };
    run("heads, documents", 8_000, 100_000, inside, head);
}

/// Rakes a section and writes every file of it; the curves of the outline.
fn rake(text: &str) -> Option<Work> {
    let input = raked::from_json_text(text).ok()?;
    let _ = input.to_json().to_string();
    let _ = input.table();
    let curves = input.curves().len();
    if let Some(found) = input.raked() {
        let plate = paper::Plate::of_raked("Any", &found);
        let drawn = paper::svg(&plate).len() + paper::dxf(&plate, Unit::Inch).len();
        // Sixteen cubics or 1,024 arcs a conic, some 60 letters each.
        assert!(drawn < 3 * 1_100 * 80 * (curves + 10), "{drawn} letters");
        if curves < 20 {
            let _ = paper::pdf(&plate.scene(), paper::Paper::A4);
        }
    }
    Some(curves)
}

#[test]
fn raked_sections_of_any_text_are_drawn_or_refused_without_a_panic() {
    let corners = serde_json::json!({"unit": "in", "section": [[0, 0], ["1 1/2", 0], [0.25, -1], [0, -2]],
        "given": "return", "pitch": {"degrees": 26.565}, "plan_corner_degrees": 90});
    let curves = serde_json::json!({"unit": "mm", "curves": super::curved::crown(),
        "given": "rake", "pitch": {"rise": 7, "run": 12}});
    let seeds = [corners, curves];
    let texts: Vec<String> = seeds.iter().map(Value::to_string).collect();
    let mut chance = Chance(0xca5e_0001);
    run(
        "raked, texts",
        3_000,
        1_000,
        |_| mutated(&mut chance, &texts),
        rake,
    );
    let mut chance = Chance(0xca5e_0002);
    let inside = |_| {
        let mut value = chance.pick(&seeds).clone();
        for _ in 0..=chance.below(3) {
            changed_inside(&mut chance, &mut value);
        }
        value.to_string()
    };
    run("raked, documents", 4_000, 1_000, inside, rake);
}

/// Measures, rips and keeps an outline; its curves and corners.
fn use_outline(outline: &Outline) -> Work {
    let curves = outline.curves().len();
    assert!(curves <= 400 * 8, "{curves} curves");
    let corners = outline.corners(1e-4, 2_000).len();
    assert!(
        corners <= 2_000.max(4 * curves),
        "{corners} corners compared"
    );
    assert!(outline.area().is_finite() && outline.perimeter().is_finite());
    let e = outline.extents();
    let cut = Cut {
        per_u: 0.0,
        per_v: 1.0,
        keep: (e.v_low + e.v_high) / 2.0,
        kerf: 0.125,
    };
    let _ = rip(outline, &cut);
    let kept = stored::outline_value(outline);
    if let Err(wrong) = stored::outline(&kept, "", Unit::Inch) {
        // More curves than a stored outline may have come of ellipses only.
        assert!(curves > 400, "{wrong}");
    }
    curves + corners
}

#[test]
fn svg_paths_of_any_text_are_read_or_refused_without_a_panic() {
    let seeds: Vec<String> = [
        "M0 0 H57 V9 A31 31 0 0 1 30 40 Q20 45 20 60 C20 70 10 70 0 70 Z",
        "m 10,10 l 50,0 0,10 c -10,0 -20,10 -20,30 s -5 9 -9 9 t-3 8 h -18 z",
        "M0 0a30 20 15 1 1 40 40L0 60z",
        "<svg viewBox=\"0 0 9 9\"><g><path d=\"M0 0 h2 v-3 z\" fill='none'/></g></svg>",
    ]
    .map(str::to_owned)
    .to_vec();
    let mut chance = Chance(0xdeca_f001);
    run(
        "SVG paths",
        12_000,
        10_000,
        |_| mutated(&mut chance, &seeds),
        |text| {
            let path = svg_file::path_of(text).ok()?;
            let outline = svg_path::read(&path, 1.0 / 25.4).ok()?;
            Some(use_outline(&outline))
        },
    );
}

#[test]
fn dxf_drawings_of_any_text_are_read_or_refused_without_a_panic() {
    let outline = stored::outline(&super::curved::crown(), "", Unit::Inch).expect("an outline");
    let plate = paper::Plate {
        title: "seed".into(),
        notes: Vec::new(),
        sections: vec![paper::Named {
            name: "crown".into(),
            outline,
        }],
    };
    let lines = "0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n0\n20\n0\n11\n2\n21\n0\n0\nLINE\n10\n2\n20\n0\n11\n0\n21\n-3\n0\nLINE\n10\n0\n20\n-3\n11\n0\n21\n0\n0\nENDSEC\n0\nEOF\n";
    let circle = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n10\n5\n20\n5\n40\n9\n0\nENDSEC\n0\nEOF\n";
    let arc = "0\nSECTION\n2\nENTITIES\n0\nARC\n10\n0\n20\n0\n40\n1\n50\n0\n51\n180\n0\nLINE\n10\n-1\n20\n0\n11\n1\n21\n0\n0\nENDSEC\n0\nEOF\n";
    let seeds: Vec<String> = [paper::dxf(&plate, Unit::Inch).as_str(), lines, circle, arc]
        .map(str::to_owned)
        .to_vec();
    let mut chance = Chance(0xd0d0_0001);
    run(
        "DXF drawings",
        12_000,
        10_000,
        |_| mutated(&mut chance, &seeds),
        |text| Some(use_outline(&dxf::read(text, Unit::Inch).ok()?.outline)),
    );
}
