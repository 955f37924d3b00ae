//! The rules of the layout in DEVELOPERS.md, read off the source text; each
//! rule is tried on a planted breach too.

use std::fs;
use std::path::{Path, PathBuf};

/// Areas in the order in which they may use one another.
const AREAS: [&str; 18] = [
    "firm", "clients", "jobs", "openings", "sections", "heads", "stock", "orders", "billing",
    "crew", "safety", "photos", "permits", "outside", "calendar", "site", "backup", "app",
];

/// Folders, and what they may import of ours.
fn allowed(area: &str) -> Vec<&'static str> {
    match area {
        "measure" => vec![],
        "trim" => vec!["measure"],
        "cutting" => vec!["measure", "trim"],
        "db" => vec!["record_id", "choices"],
        "web" => vec!["db", "measure", "record_id", "choices"],
        "access" => vec!["db", "web", "record_id", "choices"],
        "backup" => vec!["db", "web"],
        _ => {
            let mut list = vec![
                "measure",
                "trim",
                "cutting",
                "db",
                "web",
                "access",
                "record_id",
                "choices",
            ];
            list.extend(AREAS.iter().take_while(|a| **a != area));
            list
        }
    }
}

struct Source {
    path: String,
    text: String,
}

impl Source {
    fn area(&self) -> &str {
        let rest = self.path.strip_prefix("src/").unwrap_or(&self.path);
        rest.split(['/', '.']).next().unwrap_or("")
    }

    fn is_store(&self) -> bool {
        self.path.ends_with("/store.rs") || self.path.contains("/store/")
    }

    /// Lines of code with their numbers, comments left out.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        let lines = self.text.lines().enumerate();
        lines
            .map(|(n, l)| (n + 1, l.trim()))
            .filter(|(_, l)| !l.starts_with("//"))
    }
}

fn sources() -> Vec<Source> {
    fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).expect("a folder").flatten() {
            let path = entry.path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut paths = Vec::new();
    walk(&root.join("src"), &mut paths);
    paths
        .into_iter()
        .map(|path| Source {
            text: fs::read_to_string(&path).expect("text"),
            path: path
                .strip_prefix(root)
                .expect("inside")
                .display()
                .to_string(),
        })
        .collect()
}

fn planted(path: &str, text: &str) -> Source {
    Source {
        path: path.to_owned(),
        text: text.to_owned(),
    }
}

/// The names that follow `crate::` in a line: `crate::web::{…}` gives `web`,
/// `crate::{db, web}` both.
fn crate_names(line: &str) -> Vec<String> {
    let mut names = Vec::new();
    for rest in line.split("crate::").skip(1) {
        let group = rest
            .strip_prefix('{')
            .map(|g| g.split('}').next().unwrap_or(""));
        let plain = rest
            .split(|c: char| !c.is_alphanumeric() && c != '_')
            .next();
        let list = group.or(plain).unwrap_or("");
        names.extend(
            list.split(',')
                .filter_map(|n| n.trim().split([':', ' ']).next().map(str::to_owned)),
        );
    }
    names.retain(|name| !name.is_empty());
    names
}

fn imports(source: &Source) -> Vec<String> {
    let (area, mut found) = (source.area(), Vec::new());
    if ["main", "lib", "app"].contains(&area) {
        return found;
    }
    let allowed = allowed(area);
    for (number, line) in source.code() {
        for name in crate_names(line) {
            if name != area && !allowed.contains(&name.as_str()) {
                found.push(format!(
                    "{}:{number}: {area} may not use {name}",
                    source.path
                ));
            }
        }
        for other in AREAS.iter().filter(|a| **a != area) {
            for inner in ["store", "forms", "pages", "model"] {
                if line.contains(&format!("crate::{other}::{inner}::")) {
                    found.push(format!(
                        "{}:{number}: goes round {other}'s mod.rs",
                        source.path
                    ));
                }
            }
        }
    }
    found
}

fn sql(source: &Source) -> Vec<String> {
    let mut found = Vec::new();
    for (number, line) in source.code() {
        let names = line.contains("sqlx::") || line.contains("use sqlx");
        if names && source.area() != "db" && !source.is_store() {
            found.push(format!("{}:{number}: sqlx outside a store", source.path));
        }
        if line.contains("AssertSqlSafe") {
            found.push(format!(
                "{}:{number}: SQL put together at run time",
                source.path
            ));
        }
        let words = ["SELECT ", "INSERT INTO", "UPDATE ", "DELETE FROM"];
        if line.contains("format!(") && words.iter().any(|w| line.contains(w)) {
            found.push(format!("{}:{number}: SQL by format!", source.path));
        }
    }
    found
}

fn rows(source: &Source) -> Vec<String> {
    // The pure modules have no store; a row there is a row of a matrix.
    if ["measure", "trim", "cutting"].contains(&source.area()) {
        return Vec::new();
    }
    let public = |line: &str| {
        line.starts_with("pub") && line.contains("struct ") && {
            let name = line.split("struct ").nth(1).unwrap_or("");
            name.split(|c: char| !c.is_alphanumeric())
                .next()
                .is_some_and(|n| n == "Row" || n.ends_with("DbRow"))
        }
    };
    let mut found: Vec<String> = source
        .code()
        .filter(|(_, line)| source.is_store() && public(line))
        .map(|(n, _)| format!("{}:{n}: a row leaves its store", source.path))
        .collect();
    let lines: Vec<(usize, &str)> = source.code().collect();
    for pair in lines.windows(2) {
        if pair[0].1.contains("derive")
            && pair[0].1.contains("FromRow")
            && pair[1].1.starts_with("pub")
        {
            found.push(format!(
                "{}:{}: a row leaves its store",
                source.path, pair[1].0
            ));
        }
    }
    found
}

fn header(source: &Source) -> Vec<String> {
    let good = source.text.starts_with("//!");
    if good {
        Vec::new()
    } else {
        vec![format!("{}: no //! header", source.path)]
    }
}

fn clock(source: &Source) -> Vec<String> {
    let reads = [
        "Utc::now",
        "Local::now",
        "SystemTime::now",
        "Instant::now",
        "thread_rng",
        "rand::rng(",
    ];
    // The firm's clock, and a console command's own stop-watch.
    let own = ["src/db/time.rs", "src/cli/order.rs"].contains(&source.path.as_str());
    source
        .code()
        .filter(|(_, line)| !own && reads.iter().any(|r| line.contains(r)))
        .map(|(n, _)| format!("{}:{n}: reads a clock or chance of its own", source.path))
        .collect()
}

fn panics(source: &Source) -> Vec<String> {
    let words = [
        ".unwrap()",
        ".expect(",
        "panic!(",
        "unreachable!(",
        "todo!(",
        "unimplemented!(",
    ];
    source
        .code()
        .take_while(|(_, line)| *line != "#[cfg(test)]")
        .filter(|(_, line)| words.iter().any(|w| line.contains(w)))
        .map(|(n, line)| format!("{}:{n}: may panic: {line}", source.path))
        .collect()
}

/// Indexing that could miss: `name[…]` on a request path. The pure folders
/// index their own arrays of known size and have property tests instead.
fn indexing(source: &Source) -> Vec<String> {
    if ["measure", "trim", "cutting"].contains(&source.area()) {
        return Vec::new();
    }
    let bad = |line: &str| {
        let bytes = line.as_bytes();
        bytes.iter().enumerate().any(|(at, b)| {
            let before = at.checked_sub(1).and_then(|i| bytes.get(i));
            let name =
                before.is_some_and(|c| c.is_ascii_alphanumeric() || *c == b'_' || *c == b')');
            *b == b'[' && name
        })
    };
    source
        .code()
        .filter(|(_, line)| {
            !line.starts_with("#[") && bad(&without_fixed(source, &without_strings(line)))
        })
        .map(|(n, line)| format!("{}:{n}: indexing may miss: {line}", source.path))
        .collect()
}

/// Files whose literal indexes are into arrays of a fixed size, which the
/// compiler checks; a text cannot tell an array from a list.
const FIXED_ARRAYS: [&str; 3] = [
    "src/openings/sketch.rs",
    "src/openings/findings.rs",
    "src/heads/sheet.rs",
];

/// Without `[0]` to `[9]` in those files.
fn without_fixed(source: &Source, line: &str) -> String {
    let mut text = line.to_owned();
    if FIXED_ARRAYS.contains(&source.path.as_str()) {
        for digit in 0..10 {
            text = text.replace(&format!("[{digit}]"), "");
        }
    }
    text
}

fn without_strings(line: &str) -> String {
    let mut inside = false;
    line.chars()
        .filter(|c| {
            if *c == '"' {
                inside = !inside;
            }
            !inside
        })
        .collect()
}

fn pure(source: &Source) -> Vec<String> {
    if !["measure", "trim", "cutting"].contains(&source.area()) {
        return Vec::new();
    }
    let words = [
        "std::fs",
        "std::net",
        "std::env",
        "tokio",
        "async fn",
        "println!",
        "eprintln!",
    ];
    source
        .code()
        .filter(|(_, line)| words.iter().any(|w| line.contains(w)))
        .map(|(n, line)| format!("{}:{n}: not pure: {line}", source.path))
        .collect()
}

fn drawings(source: &Source) -> Vec<String> {
    let own = ["src/web/svg.rs", "src/web/fragment.rs"].contains(&source.path.as_str());
    source
        .code()
        .filter(|(_, line)| !own && line.contains("HtmlSafe"))
        .map(|(n, _)| format!("{}:{n}: only Svg and Fragment go unescaped", source.path))
        .collect()
}

type Rule = fn(&Source) -> Vec<String>;

fn assert_kept(rule: Rule) {
    let found: Vec<String> = sources().iter().flat_map(rule).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

fn assert_found(rule: Rule, path: &str, text: &str) {
    assert!(!rule(&planted(path, text)).is_empty(), "not found: {text}");
}

#[test]
fn areas_import_only_what_comes_before_them() {
    assert_kept(imports);
    assert_found(imports, "src/clients/pages.rs", "use crate::jobs::JobId;");
    assert_found(imports, "src/web/page.rs", "use crate::{access, db};");
    assert_found(imports, "src/trim/solve.rs", "let x = crate::db::Stamp;");
    assert_found(
        imports,
        "src/heads/pages.rs",
        "use crate::jobs::store::job;",
    );
}

#[test]
fn sql_stays_in_stores_and_is_never_pasted_together() {
    assert_kept(sql);
    assert_found(sql, "src/jobs/pages.rs", "use sqlx::query;");
    assert_found(
        sql,
        "src/jobs/store.rs",
        "let q = format!(\"SELECT {x} FROM job\");",
    );
    assert_found(sql, "src/jobs/store.rs", "sqlx::query(AssertSqlSafe(q))");
}

#[test]
fn rows_stay_private() {
    assert_kept(rows);
    assert_found(rows, "src/jobs/store.rs", "pub struct Row {");
    assert_found(
        rows,
        "src/jobs/store.rs",
        "#[derive(sqlx::FromRow)]\npub struct Job {",
    );
}

#[test]
fn every_file_opens_with_what_it_is_for() {
    assert_kept(header);
    assert_found(header, "src/jobs/store.rs", "use x;");
}

#[test]
fn time_and_chance_are_passed_in() {
    assert_kept(clock);
    assert_found(clock, "src/jobs/pages.rs", "let now = chrono::Utc::now();");
}

#[test]
fn no_input_path_may_panic() {
    assert_kept(panics);
    assert_kept(indexing);
    assert_found(panics, "src/jobs/pages.rs", "let x = y.unwrap();");
    assert_found(indexing, "src/jobs/pages.rs", "let x = list[3];");
}

#[test]
fn the_engine_is_pure() {
    assert_kept(pure);
    assert_found(pure, "src/trim/x.rs", "let text = std::fs::read(path);");
}

#[test]
fn only_drawings_go_unescaped() {
    assert_kept(drawings);
    assert_found(drawings, "src/jobs/pages.rs", "impl HtmlSafe for Job {}");
}
