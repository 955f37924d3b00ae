//! The commands: streams, exit statuses, schemas.

use headwright::cli::{Command, Documents, SchemaArgs, SolveArgs, Status, Streams};
use serde_json::{Value, json};

use super::cases::cases;

/// What a command said.
struct Said {
    status: Status,
    output: String,
    error: String,
}

fn run(command: &Command, input: &[u8]) -> Said {
    let (mut input, mut output, mut error) = (input, Vec::new(), Vec::new());
    let status = command.run(&mut Streams {
        input: &mut input,
        output: &mut output,
        error: &mut error,
    });
    Said {
        status,
        output: String::from_utf8(output).expect("text"),
        error: String::from_utf8(error).expect("text"),
    }
}

fn solve(json: bool, input: &Value) -> Said {
    let head = "-".to_owned();
    run(
        &Command::Solve(SolveArgs { json, head }),
        input.to_string().as_bytes(),
    )
}

/// Fails unless `value` is the `part` ("input" or "output") of a document.
fn fits(of: Documents, part: &str, value: &Value) {
    let mut schema: Value = serde_json::from_str(of.schema()).expect("JSON");
    if let Some(schema) = schema.as_object_mut() {
        schema.remove("anyOf");
        schema.insert("$ref".into(), format!("#/$defs/{part}").into());
    }
    let validator = jsonschema::validator_for(&schema).expect("a schema");
    let errors: Vec<String> = validator
        .iter_errors(value)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    assert!(errors.is_empty(), "{part}: {errors:?}\n{value}");
    // The whole document accepts either part.
    let whole: Value = serde_json::from_str(of.schema()).expect("JSON");
    assert!(jsonschema::is_valid(&whole, value));
}

fn refused(of: Documents, value: &Value) -> bool {
    let whole: Value = serde_json::from_str(of.schema()).expect("JSON");
    !jsonschema::is_valid(&whole, value)
}

#[test]
fn every_worked_case_exits_as_it_should_and_fits_the_schema() {
    for (input, expect) in cases() {
        let open = expect["open"]
            .as_object()
            .is_some_and(|open| !open.is_empty());
        let runs = expect["runs"].as_array().expect("runs").iter();
        let mut pieces = runs.flat_map(|run| run["pieces"].as_array().expect("pieces"));
        let gone = pieces.any(|piece| piece["shortest_in"].as_f64().is_some_and(|s| s <= 0.0));
        let said = solve(true, &input);
        let want = if open || gone {
            Status::CannotBeMade
        } else {
            Status::Solved
        };
        assert_eq!(said.status, want, "{input}");
        assert_eq!(said.error, "");
        let output: Value = serde_json::from_str(&said.output).expect("JSON");
        assert_eq!(output["ok"], json!(want == Status::Solved));
        fits(Documents::Solve, "input", &input);
        fits(Documents::Solve, "output", &output);
    }
}

/// The worked example of the contract, without its measured values.
fn porch() -> Value {
    json!({
        "unit": "in", "name": "North porch door", "kind": "gable", "span": "41 1/2", "wing": "7 1/4",
        "pitch": {"rise": 7, "run": 12},
        "board": {"thickness": "3/4", "height": "5 1/2"},
        "cap": {"thickness": "3/4", "front": "2 3/4", "overhang": "2"},
        "crown": {"projection": "1 1/2", "height": "2", "back": "solid"},
        "drops": {"width": "3 1/2", "thickness": "3/4", "inset": "3/4", "length": "7", "point_degrees": 45},
        "saw": {"swing_left": 50, "swing_right": 50, "tilt_left": 45, "tilt_right": 0, "max_height": "4",
            "max_depth": "8", "kerf": "1/8"}
    })
}

#[test]
fn the_contracts_example_gives_the_contracts_figures() {
    let said = solve(true, &porch());
    assert_eq!(said.status.code(), 0);
    let output: Value = serde_json::from_str(&said.output).expect("JSON");
    let cap = &output["runs"][0]["pieces"][0];
    assert_eq!(cap["label"], "cap-1");
    assert_eq!(cap["reference_text"], "9 1/4");
    assert_eq!(cap["tape_in"], 9.25);
    assert_eq!(cap["left"]["point"], "square");
    assert_eq!(cap["left"]["joint"], "end");
    assert_eq!(cap["left"]["mate"], Value::Null);
    assert_eq!(cap["left"]["hook"], json!([0.0, 0.0]));
    assert_eq!(cap["right"]["point"], "long");
    assert_eq!(cap["right"]["joint"], "rise-inside");
    assert_eq!(cap["right"]["mate"], "cap-2");
    let near = |value: &Value, want: f64| (value.as_f64().expect("a number") - want).abs() < 5e-4;
    assert!(near(&cap["shortest_in"], 9.0472));
    assert!(near(&cap["right"]["swing_deg"], -15.128));
    assert!(near(&cap["right"]["per_v"], -0.2703));
    assert_eq!(output["saw_moves"], json!({"walk": 28, "gang": 6}));
}

#[test]
fn the_table_names_every_piece_and_every_finding() {
    let said = solve(false, &porch());
    assert_eq!(said.status.code(), 0);
    for part in [
        "North porch door",
        "cap-1",
        "crown-14",
        "short-piece",
        "28 in walk order",
        "board",
    ] {
        assert!(said.output.contains(part), "{part}\n{}", said.output);
    }
    assert!(said.output.lines().all(|line| line == line.trim_end()));
}

#[test]
fn wrong_input_is_one_line_and_status_2_and_nothing_on_output() {
    let mut head = porch();
    head["span"] = json!("1/0");
    let said = solve(true, &head);
    assert_eq!(said.status.code(), 2);
    assert_eq!(said.output, "");
    assert_eq!(
        said.error,
        "span: `1/0`: a fraction needs a bottom number of 1 or more\n"
    );
    for bytes in [&b"\xff\xfe"[..], b"", b"{", b"null", b"[1, 2"] {
        let args = SolveArgs {
            json: true,
            head: "-".into(),
        };
        let said = run(&Command::Solve(args), bytes);
        assert_eq!(said.status.code(), 2);
        assert_eq!(said.error.lines().count(), 1, "{}", said.error);
    }
    let head = "/no/such/file".to_owned();
    let said = run(&Command::Solve(SolveArgs { json: false, head }), b"");
    assert_eq!(said.status.code(), 2);
    assert!(said.error.starts_with("/no/such/file: cannot be read"));
}

#[test]
fn the_program_itself_exits_as_the_contract_says() {
    use std::io::Write as _;
    use std::process::{Command as Program, Stdio};
    let mut gone = porch();
    gone["drops"]["width"] = json!("5 1/2");
    for (input, code) in [
        (porch().to_string(), 0),
        (gone.to_string(), 1),
        ("{".to_owned(), 2),
    ] {
        let mut program = Program::new(env!("CARGO_BIN_EXE_headwright"))
            .args(["solve", "--json", "-"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut stdin = program.stdin.take().expect("a pipe");
        stdin.write_all(input.as_bytes()).expect("it reads");
        drop(stdin);
        let done = program.wait_with_output().expect("it ends");
        assert_eq!(done.status.code(), Some(code));
        assert_eq!(done.stdout.is_empty(), code == 2);
        assert_eq!(
            String::from_utf8_lossy(&done.stderr).lines().count(),
            usize::from(code == 2)
        );
    }
}

#[test]
fn input_of_more_than_8_mb_is_refused_without_reading_on() {
    struct Endless(u64);
    impl std::io::Read for Endless {
        fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
            buffer.fill(b' ');
            self.0 += buffer.len() as u64;
            assert!(self.0 < 32 * 1024 * 1024, "read on without end");
            Ok(buffer.len())
        }
    }
    let (mut output, mut error) = (Vec::new(), Vec::new());
    let args = SolveArgs {
        json: true,
        head: "-".into(),
    };
    let status = Command::Solve(args).run(&mut Streams {
        input: &mut Endless(0),
        output: &mut output,
        error: &mut error,
    });
    assert_eq!(status, Status::WrongInput);
    assert!(String::from_utf8_lossy(&error).contains("8 MB"));
}

#[test]
fn schemas_are_printed_and_refuse_what_is_not_theirs() {
    for of in [Documents::Solve, Documents::Raked, Documents::Order] {
        let said = run(&Command::Schema(SchemaArgs { of }), b"");
        assert_eq!(said.status.code(), 0);
        let schema: Value = serde_json::from_str(&said.output).expect("JSON");
        assert!(jsonschema::meta::is_valid(&schema));
        assert!(refused(of, &json!({})));
    }
    let mut head = porch();
    head["colour"] = json!("red");
    assert!(refused(Documents::Solve, &head));
    // The contract's own example of an order, and of its answer.
    let order = json!({"unit": "in", "kerf": "1/8", "end_trim": "1/4", "keep_at_least": "18",
        "stock": [{"id": "crown-12", "length": 144, "price_cents": 2140, "limit": null},
            {"id": "rack-7", "length": "31 1/4", "price_cents": 0, "limit": 1, "end_trim": 0}],
        "section": [[0, 0], [1.5, 0], [0, -2]], "poses": "fixed",
        "pieces": [{"label": "n1-crown-7", "length": "13.5", "qty": 2, "reference": "13",
            "left": {"per_u": 0.0, "per_v": 0.25}, "right": {"per_u": 0.0, "per_v": 0.0}}]});
    fits(Documents::Order, "input", &order);
    let answer = json!({"status": "optimal", "proven": ["cost", "waste", "sticks"], "cost_cents": 8560,
        "bound_cents": 8560, "sticks": [{"stock": "crown-12", "cuts": [{"label": "n1-crown-7",
            "from_in": 0.25, "to_in": 13.75}], "left_over_in": 3.1}],
        "buy": [{"stock": "crown-12", "qty": 4}], "waste_in": 20.4, "kept_in": 0.0, "elapsed_ms": 3.2});
    fits(Documents::Order, "output", &answer);
}
