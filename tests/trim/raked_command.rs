//! `headwright raked`: the contract's JSON, its schema, findings and exit
//! statuses.

use headwright::cli::{Documents, RakedArgs, Status, Streams, raked_command};
use serde_json::{Value, json};

struct Ran {
    status: Status,
    output: String,
    error: String,
}

fn run(input: &str, json: bool) -> Ran {
    let (mut output, mut error) = (Vec::new(), Vec::new());
    let args = RakedArgs {
        json,
        section: "-".to_owned(),
        ..RakedArgs::default()
    };
    let status = raked_command(
        &args,
        &mut Streams {
            input: &mut input.as_bytes(),
            output: &mut output,
            error: &mut error,
        },
    );
    Ran {
        status,
        output: String::from_utf8(output).expect("UTF-8"),
        error: String::from_utf8(error).expect("UTF-8"),
    }
}

fn solved(input: &Value) -> Value {
    let ran = run(&input.to_string(), true);
    assert_eq!(ran.status, Status::Solved, "{}", ran.error);
    let output: Value = serde_json::from_str(&ran.output).expect("JSON");
    let schema: Value = serde_json::from_str(Documents::Raked.schema()).expect("a schema");
    for (what, document) in [("input", input), ("output", &output)] {
        let validator = jsonschema::validator_for(&schema).expect("a good schema");
        let errors: Vec<String> = validator
            .iter_errors(document)
            .map(|e| e.to_string())
            .collect();
        assert!(errors.is_empty(), "{what}: {errors:?}");
    }
    output
}

fn contract_example() -> Value {
    json!({"unit": "in", "section": [[0, 0], ["1 1/2", 0], [0, -2]], "given": "return",
           "pitch": {"degrees": 26.565}, "plan_corner_degrees": 90})
}

fn points(output: &Value, key: &str) -> Vec<(f64, f64)> {
    let list = output[key].as_array().expect("a list");
    let pair = |p: &Value| (p[0].as_f64().expect("u"), p[1].as_f64().expect("v"));
    list.iter().map(pair).collect()
}

// Formulas of the contract, worked here by hand from the sources of family C.
#[test]
fn the_three_sections_come_in_the_order_given() {
    let (sin, cos) = 26.565_f64.to_radians().sin_cos();
    let output = solved(&contract_example());
    assert_eq!(output["ok"], true);
    assert_eq!(output["findings"], json!([]));
    let want = [
        ("return_in", [0.0, 0.0, -2.0]),
        ("rake_in", [0.0, 1.5 * sin, -2.0 * cos]),
        ("upper_return_in", [0.0, 3.0 * sin / cos, -2.0]),
    ];
    for (key, heights) in want {
        let got = points(&output, key);
        assert_eq!(got.len(), 3);
        for ((u, v), (want_u, want_v)) in got.iter().zip([0.0, 1.5, 0.0].iter().zip(heights)) {
            assert!(
                (u - want_u).abs() < 1e-12 && (v - want_v).abs() < 1e-12,
                "{key}: {u} {v}"
            );
        }
    }
}

#[test]
fn the_rake_given_back_gives_the_return() {
    let first = solved(&contract_example());
    let mut again = contract_example();
    again["given"] = json!("rake");
    again["section"] = first["rake_in"].clone();
    let second = solved(&again);
    for key in ["return_in", "rake_in", "upper_return_in"] {
        for (a, b) in points(&first, key).iter().zip(points(&second, key)) {
            assert!(
                (a.0 - b.0).abs() < 1e-12 && (a.1 - b.1).abs() < 1e-12,
                "{key}"
            );
        }
    }
}

#[test]
fn lengths_take_their_own_unit_and_the_corner_is_square_if_left_out() {
    let mut input = contract_example();
    input["unit"] = json!("mm");
    input["section"] = json!([[0, 0], ["1.5 in", 0], [0, -50.8]]);
    input
        .as_object_mut()
        .expect("an object")
        .remove("plan_corner_degrees");
    let (one, two) = (solved(&contract_example()), solved(&input));
    for (a, b) in points(&one, "rake_in").iter().zip(points(&two, "rake_in")) {
        assert!((a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9);
    }
}

// Facts, family C: on the return from a given rake a member turns over where
// q < p·sin t.
#[test]
fn a_part_that_turns_over_is_a_finding() {
    let flat = json!({"unit": "in", "section": [[0, 0], [3, 0], [3, -0.25], [0, -1]],
                      "given": "rake", "pitch": {"rise": 12, "run": 12}});
    let output = solved(&flat);
    assert_eq!(output["ok"], true);
    let findings = output["findings"].as_array().expect("a list");
    assert_eq!(findings.len(), 1, "{findings:?}");
    assert_eq!(findings[0]["code"], "part-turns-over");
    assert_eq!(findings[0]["severity"], "warning");
    assert_eq!(findings[0]["piece"], Value::Null);
    let text = findings[0]["text"].as_str().expect("words");
    assert!(
        text.contains("part 3") && text.contains("level return"),
        "{text}"
    );
    let mut steep = flat.clone();
    steep["section"] = json!([[0, 0], [3, 0], [3, -0.25], [0, -4]]);
    assert_eq!(solved(&steep)["findings"], json!([]));
}

#[test]
fn heights_of_every_arris_and_changes_of_every_part_stand_beside() {
    let output = solved(&contract_example());
    let arrises = output["arrises"].as_array().expect("a list");
    assert_eq!(arrises.len(), 3);
    for (arris, (u, w)) in arrises.iter().zip(points(&output, "rake_in")) {
        assert_eq!(arris["u_in"], json!(u));
        assert_eq!(arris["rake_in"], json!(w));
    }
    let parts = output["parts"].as_array().expect("a list");
    assert_eq!(parts.len(), 3);
    assert_eq!(parts[0]["shape"], "flat");
}

#[test]
fn curves_given_come_back_as_curves() {
    let output = solved(&json!({
        "unit": "in", "given": "return", "pitch": {"rise": 6, "run": 12},
        "curves": {"start": [0, 0], "curves": [
            {"line": [2, 0]}, {"line": [2, "-1/4"]},
            {"arc": [1, "-1 1/4"], "bulge": 0.414_213_562_373_095_1},
            {"conic": [0.5, -2], "control": [0.5, -1.25], "weight": 0.8},
            {"line": [0, -2]}, {"line": [0, 0]}]}
    }));
    let rake = &output["rake_curves"]["curves"];
    let kinds: Vec<&str> = rake
        .as_array()
        .expect("a list")
        .iter()
        .map(|c| {
            if c.get("line").is_some() {
                "line"
            } else {
                "conic"
            }
        })
        .collect();
    // The arc becomes one conic: a quarter turn.
    assert_eq!(kinds, ["line", "line", "conic", "conic", "line", "line"]);
    assert!(
        (rake[2]["weight"].as_f64().expect("a weight") - std::f64::consts::FRAC_1_SQRT_2).abs()
            < 1e-12
    );
}

#[test]
fn a_wrong_input_is_one_line_and_status_2() {
    let change = |key: &str, value: Value| {
        let mut input = contract_example();
        input[key] = value;
        input.to_string()
    };
    for (input, words) in [
        ("{".to_owned(), "JSON"),
        ("[]".to_owned(), "object"),
        (change("given", json!("eave")), "return, rake"),
        (change("section", json!([])), "section"),
        (change("section", json!([[1, 2, 3]])), "section[0]"),
        (change("section", json!([[1, "x"]])), "section[0]"),
        (change("pitch", json!({"degrees": 90})), "pitch.degrees"),
        (change("pitch", json!({"rise": 1})), "pitch.run"),
        (
            change("plan_corner_degrees", json!(0)),
            "plan_corner_degrees",
        ),
        (change("plan_corner_degrees", json!(0.5)), "1 to 359"),
        (change("unit", json!("yd")), "unit"),
        (change("curves", json!({})), "not both"),
        (change("colour", json!(1)), "colour"),
    ] {
        let ran = run(&input, true);
        assert_eq!(ran.status, Status::WrongInput, "{input}");
        assert_eq!(ran.output, "");
        assert_eq!(ran.error.lines().count(), 1, "{}", ran.error);
        assert!(ran.error.contains(words), "{input}: {}", ran.error);
    }
}

#[test]
fn people_get_a_table_with_every_arris() {
    let ran = run(&contract_example().to_string(), false);
    assert_eq!(ran.status, Status::Solved);
    for words in [
        "pitch 26.6°",
        "1 1/2",
        "upper return",
        "plumb at peak",
        "arris",
    ] {
        assert!(ran.output.contains(words), "{words}:\n{}", ran.output);
    }
}
