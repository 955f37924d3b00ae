//! Designs in and out: exact round trips, and wrong input said in one line.

use headwright::trim::{Design, Rules, solve};
use proptest::prelude::*;
use serde_json::{Value, json};

use super::cases::cases;
use super::heads::{any_gable, any_run, of_run};

fn gable() -> Value {
    json!({
        "unit": "in", "name": "North porch door", "kind": "gable", "span": "41 1/2", "wing": "7 1/4",
        "pitch": {"rise": 7, "run": 12},
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 3/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2", "back": "solid"},
        "drops": {"width": "3 1/2", "thickness": "3/4", "inset": "3/4", "length": "7", "point_degrees": 45}
    })
}

fn runs() -> Value {
    json!({"unit": "in", "kind": "runs", "runs": [{
        "name": "crown", "section": [[0, 0], [1.5, 0], [0, -2]],
        "path": [[0, 0, 0], [30, 0, 0], [30, 0, -20]], "normals": [[0, 0, 1], [1, 0, 0]]}]})
}

/// What is said of a wrong input, by the reader or by the solver.
fn wrong(input: &Value) -> String {
    let solved = Design::from_json(input).and_then(|design| solve(&design, &Rules::default()));
    match solved {
        Ok(_) => panic!("solved: {input}"),
        Err(wrong) => wrong.to_string(),
    }
}

/// `input` with the value at a JSON pointer replaced.
fn with(input: &Value, pointer: &str, value: Value) -> Value {
    let mut changed = input.clone();
    let (parent, key) = pointer.rsplit_once('/').expect("a pointer");
    let parent = changed.pointer_mut(parent).expect("a parent");
    match parent {
        Value::Array(list) => list[key.parse::<usize>().expect("an index")] = value,
        other => other[key] = value,
    }
    changed
}

fn without(input: &Value, key: &str) -> Value {
    let mut changed = input.clone();
    changed.as_object_mut().map(|object| object.remove(key));
    changed
}

#[test]
fn wrong_measures_name_the_field_and_what_is_allowed() {
    for (pointer, value, start, part) in [
        ("/span", json!(0), "span: ", "more than 0"),
        ("/span", json!(-41.5), "span: ", "more than 0"),
        ("/span", json!("101'"), "span: ", "at most 100 ft"),
        ("/span", json!(1e300), "span: ", "not a length"),
        ("/span", json!("NaN"), "span: ", "not a length"),
        (
            "/span",
            json!("1/0"),
            "span: ",
            "bottom number of 1 or more",
        ),
        ("/span", json!("3/0x"), "span: ", "not a length"),
        ("/span", json!([1]), "span: ", "a length is needed"),
        ("/span", json!(true), "span: ", "a length is needed"),
        (
            "/wing",
            json!("20 3/4"),
            "wing: ",
            "less than half the span",
        ),
        ("/wing", json!(-1), "wing: ", "0 or more"),
        (
            "/pitch",
            json!({"degrees": 0}),
            "pitch.degrees: ",
            "at least 0.01",
        ),
        (
            "/pitch",
            json!({"degrees": 80}),
            "pitch.degrees: ",
            "less than 80",
        ),
        (
            "/pitch",
            json!({"rise": 0, "run": 12}),
            "pitch: ",
            "more than 0",
        ),
        (
            "/pitch",
            json!({"rise": 69, "run": 12}),
            "pitch: ",
            "under 80°",
        ),
        ("/pitch", json!({"rise": 7}), "pitch.run: ", "missing"),
        (
            "/pitch",
            json!({"rise": 7, "run": 12, "degrees": 30}),
            "pitch: ",
            "either",
        ),
        ("/pitch", json!(30), "pitch: ", "object"),
        ("/board/height", json!(0), "board.height: ", "more than 0"),
        ("/board/width", json!(3), "board.width: ", "no such field"),
        ("/drops/inset", json!("-1/4"), "drops.inset: ", "0 or more"),
        (
            "/drops/colour",
            json!("red"),
            "drops.colour: ",
            "allowed: width",
        ),
        (
            "/drops/length",
            json!("1 1/2"),
            "drops.length: ",
            "point alone takes",
        ),
        (
            "/drops/point_degrees",
            json!(80),
            "drops.point_degrees: ",
            "less than 80",
        ),
        (
            "/crown/back",
            json!("hollow"),
            "crown.back: ",
            "solid, sprung",
        ),
        (
            "/crown/back",
            json!("sprung"),
            "crown.spring_degrees: ",
            "missing",
        ),
        (
            "/crown/projection",
            Value::Null,
            "crown.projection: ",
            "missing",
        ),
        ("/cap", json!("thick"), "cap: ", "object"),
        ("/kind", json!("dome"), "kind: ", "flat, gable"),
        ("/unit", json!("furlong"), "unit: ", "in, ft, mm"),
        ("/name", json!(7), "name: ", "text"),
        ("/name", json!("a\u{0}b"), "name: ", "control character"),
        (
            "/name",
            json!("x".repeat(1_000_000)),
            "name: ",
            "200 characters",
        ),
        (
            "/saw",
            json!({"swing_left": 100}),
            "saw.swing_left: ",
            "0 to 90",
        ),
        (
            "/as_built",
            json!({"left_rake": 0}),
            "as_built.left_rake: ",
            "more than 0",
        ),
        (
            "/as_built",
            json!({"peak_degrees": 90}),
            "as_built.peak_degrees: ",
            "less than 80",
        ),
        (
            "/as_built",
            json!({"left_edge": 3}),
            "as_built.left_edge: ",
            "no such field",
        ),
    ] {
        let said = wrong(&with(&gable(), pointer, value.clone()));
        assert!(said.starts_with(start), "{pointer} {value}: {said}");
        assert!(said.contains(part), "{pointer} {value}: {said}");
        assert!(!said.contains('\n') && said.len() < 300, "{said}");
    }
}

#[test]
fn missing_fields_and_wrong_documents_are_named() {
    for key in ["unit", "kind", "span", "wing", "pitch", "board"] {
        let said = wrong(&without(&gable(), key));
        assert!(said.starts_with(&format!("{key}: is missing")), "{said}");
    }
    assert!(wrong(&json!([])).contains("object"));
    assert!(wrong(&json!({})).contains("kind: is missing"));
    for text in ["", "{", "nonsense", "{\"unit\": NaN}", "[[[["] {
        assert!(Design::from_json_text(text).is_err(), "{text}");
    }
    let deep = "[".repeat(100_000);
    assert!(Design::from_json_text(&deep).is_err());
}

#[test]
fn wrong_runs_name_the_run_and_the_place() {
    let many: Vec<Value> = (0..=501).map(|x| json!([x, 0, 0])).collect();
    let normals: Vec<Value> = (0..501).map(|_| json!([0, 0, 1])).collect();
    for (pointer, value, start, part) in [
        ("/runs", json!([]), "runs: ", "at least one"),
        (
            "/runs/0/name",
            json!(" "),
            "runs[0].name: ",
            "name of its own",
        ),
        (
            "/runs/0/path",
            json!([[0, 0, 0]]),
            "runs[0].path: ",
            "at least 2",
        ),
        (
            "/runs/0/path",
            json!([[0, 0, 0], [30, 0], [30, 0, -20]]),
            "runs[0].path[1]: ",
            "3 are needed",
        ),
        (
            "/runs/0/path",
            json!([[0, 0, 0], [0, 0, 0], [30, 0, -20]]),
            "run `crown`, leg 1: ",
            "no length",
        ),
        (
            "/runs/0/path",
            json!([[0, 0, 0], [1300, 0, 0], [1300, 0, -20]]),
            "run `crown`, leg 1: ",
            "100 ft",
        ),
        (
            "/runs/0/path",
            json!([[0, 0, 0], [1e9, 0, 0], [30, 0, -20]]),
            "runs[0].path[1]: ",
            "1000 ft",
        ),
        (
            "/runs/0/path",
            Value::Array(many.clone()),
            "runs[0].path: ",
            "at most 500",
        ),
        (
            "/runs/0/normals",
            json!([[0, 0, 1]]),
            "runs[0].normals: ",
            "one a leg",
        ),
        (
            "/runs/0/normals",
            json!([[0, 0, 0], [1, 0, 0]]),
            "runs[0].normals[0]: ",
            "no direction",
        ),
        (
            "/runs/0/normals",
            json!([[0.001, 0, 1], [1, 0, 0]]),
            "run `crown`, leg 1: ",
            "off square",
        ),
        (
            "/runs/0/section",
            json!([[0, 0], [1, 0]]),
            "runs[0].section: ",
            "3 to 1000",
        ),
        (
            "/runs/0/holds",
            json!(["sideways"]),
            "runs[0].holds[0]: ",
            "on-edge, upright",
        ),
        ("/runs/0/holds", json!([]), "runs[0].holds: ", "1 to 8"),
        (
            "/runs/0/holds",
            json!(["sprung-flat"]),
            "runs[0].spring_degrees: ",
            "missing",
        ),
        (
            "/runs/0/start",
            json!("ragged"),
            "runs[0].start: ",
            "square, plumb, level",
        ),
        (
            "/runs/0/start",
            json!(3),
            "runs[0].start: ",
            "square, plumb, level",
        ),
        (
            "/runs/0/start",
            json!({"plane": [0, 0, 1]}),
            "run `crown`, start: ",
            "parallel",
        ),
        (
            "/runs/0/start",
            json!("level"),
            "run `crown`, start: ",
            "parallel",
        ),
        (
            "/runs/0/colour",
            json!("red"),
            "runs[0].colour: ",
            "no such field",
        ),
    ] {
        let said = wrong(&with(&runs(), pointer, value));
        assert!(said.starts_with(start), "{pointer}: {said}");
        assert!(said.contains(part), "{pointer}: {said}");
    }
    let back = json!([[0, 0, 0], [30, 0, 0], [5, 0, 0]]);
    let back = with(&runs(), "/runs/0/path", back);
    let back = with(&back, "/runs/0/normals", json!([[0, 0, 1], [0, 0, 1]]));
    assert!(wrong(&back).contains("run `crown`, vertex 1: the path turns back"));
    let mut twice = runs();
    let run = twice["runs"][0].clone();
    twice["runs"] = json!([run, run]);
    assert!(wrong(&twice).contains("is taken"));
    let upright = json!([[0, 0, 0], [0, 30, 0], [0, 30, -20]]);
    let upright = with(&runs(), "/runs/0/path", upright);
    let upright = with(&upright, "/runs/0/normals", json!([[0, 0, 1], [1, 0, 0]]));
    let upright = with(&upright, "/runs/0/start", json!("plumb"));
    assert!(wrong(&upright).contains("parallel"));
    let long = with(&runs(), "/runs/0/path", Value::Array(many));
    let long = with(&long, "/runs/0/normals", Value::Array(normals));
    assert!(wrong(&long).contains("at most 500"));
}

#[test]
fn kinds_that_leave_no_rake_are_refused() {
    let cap = json!({"thickness": 3, "front": 3, "overhang": 0});
    let base =
        json!({"unit": "in", "span": 40, "board": {"thickness": 1, "height": 5}, "cap": cap});
    let with_kind = |extra: Value| {
        let mut head = base.clone();
        for (key, value) in extra.as_object().expect("an object") {
            head[key] = value.clone();
        }
        head
    };
    let broken = json!({"kind": "broken-gable", "wing": 10, "gap": 20, "pitch": {"degrees": 30},
        "upper_end": "plumb"});
    assert!(wrong(&with_kind(broken)).starts_with("gap: "));
    let closed = json!({"kind": "closed-gable", "pitch": {"degrees": 5}, "foot": "level-cut"});
    assert!(wrong(&with_kind(closed)).starts_with("pitch: is too flat"));
    let arched = json!({"kind": "arched", "rise": 5, "segments": 0});
    assert!(wrong(&with_kind(arched)).starts_with("segments: "));
    let arched = json!({"kind": "arched", "rise": 5, "segments": 10_000});
    assert!(wrong(&with_kind(arched)).contains("1 to 500"));
    let mut arched = with_kind(json!({"kind": "arched", "rise": 5, "segments": 300}));
    arched["crown"] = json!({"projection": 1, "height": 1});
    assert!(wrong(&arched).contains("600 pieces"));
}

#[test]
fn every_worked_case_is_written_and_read_back_unchanged() {
    for (input, _) in cases() {
        let design = Design::from_json(&input).expect("a design");
        let text = serde_json::to_string(&design).expect("text");
        let again: Design = serde_json::from_str(&text).expect("read back");
        assert_eq!(design, again, "{text}");
    }
}

#[test]
fn lengths_keep_their_exact_values_in_the_stored_form() {
    let mut head = gable();
    head["span"] = json!("1054 mm");
    head["wing"] = json!(7.015_625);
    let stored = Design::from_json(&head).expect("a design").to_json();
    assert_eq!(stored["span"], "1054 mm");
    assert_eq!(stored["wing"], "7 1/64");
    assert_eq!(stored["cap"]["front"], "2 3/4");
    head["unit"] = json!("mm");
    let stored = Design::from_json(&with(&head, "/span", json!("41 1/2\""))).expect("a design");
    assert_eq!(stored.to_json()["span"], "1054.1 mm");
    assert_eq!(Design::from_json(&stored.to_json()), Ok(stored));
}

/// Any small JSON value.
fn any_json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<f64>().prop_map(|x| json!(x)),
        (-50.0..50.0_f64).prop_map(|x| json!(x)),
        any::<i64>().prop_map(Value::from),
        ".{0,12}".prop_map(Value::from),
        "[0-9 /'\".-]{0,8}".prop_map(Value::from),
    ];
    leaf.prop_recursive(3, 24, 6, |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 0..5).prop_map(Value::from),
            proptest::collection::hash_map("[a-z_]{1,8}", inner, 0..4)
                .prop_map(|map| Value::Object(map.into_iter().collect())),
        ]
    })
}

/// Every place in a document.
fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
    let mut go = |key: String, value: &Value| {
        let here = format!("{at}/{key}");
        found.push(here.clone());
        pointers(value, &here, found);
    };
    match value {
        Value::Array(list) => list
            .iter()
            .enumerate()
            .for_each(|(i, v)| go(i.to_string(), v)),
        Value::Object(map) => map.iter().for_each(|(k, v)| go(k.clone(), v)),
        _ => {}
    }
}

fn try_all(value: &Value) {
    if let Ok(design) = Design::from_json(value)
        && let Ok(sheet) = solve(&design, &Rules::default())
    {
        let rounding = headwright::measure::Rounding::for_unit(design.unit);
        let text = serde_json::to_string(&sheet.contract(rounding)).expect("finite numbers");
        // JSON has no word for what is not a number; it would come out null.
        assert!(!text.contains("_in\":null"), "{text}");
        let _ = headwright::trim::contract::table(&sheet, rounding);
        let _ = sheet.gang_order();
        assert_eq!(Design::from_json(&design.to_json()).as_ref(), Ok(&design));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn no_document_panics(value in any_json()) {
        try_all(&value);
    }

    #[test]
    fn no_document_near_a_head_panics(
        case in 0..30_usize,
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any_json()), 1..4),
    ) {
        let mut input = super::cases::input(case);
        for (place, value) in changes {
            let mut found = vec![String::new()];
            pointers(&input, "", &mut found);
            if let Some(slot) = input.pointer_mut(place.get(found.as_slice()).as_str()) {
                *slot = value;
            }
        }
        try_all(&input);
    }

    #[test]
    fn no_numbers_panic(
        case in 0..30_usize,
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<f64>()), 1..3),
    ) {
        let mut input = super::cases::input(case);
        let mut found = vec![String::new()];
        pointers(&input, "", &mut found);
        for (place, number) in changes {
            if let Some(slot) = input.pointer_mut(place.get(found.as_slice()).as_str()) && !slot.is_object() && !slot.is_array() {
                *slot = json!(number % 1e3);
            }
        }
        try_all(&input);
    }

    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..64)) {
        if let Ok(text) = std::str::from_utf8(&bytes) {
            let _ = Design::from_json_text(text);
        }
    }

    #[test]
    fn any_run_is_written_and_read_back_to_the_last_digit(run in any_run()) {
        let design = of_run(run);
        let text = design.to_json().to_string();
        prop_assert_eq!(Design::from_json_text(&text), Ok(design));
    }

    #[test]
    fn any_gable_is_written_and_read_back_unchanged(head in any_gable()) {
        let design = Design::from_json(&head).expect("a design");
        prop_assert_eq!(Design::from_json(&design.to_json()), Ok(design));
    }
}
