//! Rules that every template keeps.

use std::fs;
use std::path::{Path, PathBuf};

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            files(&path, found)
        } else {
            found.push(path)
        }
    }
}

/// What a template must not hold, and why.
fn faults(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for line in text.lines() {
        let low = line.to_lowercase();
        if low.contains(" style=") || low.contains("<style") {
            found.push(format!("style in the page: {line}"));
        }
        if low.contains("javascript:") || (low.contains("<script") && !low.contains("src=")) {
            found.push(format!("script in the page: {line}"));
        }
        let handler = |word: &str| {
            word.starts_with("on") && word.len() > 4 && word.chars().all(|c| c.is_ascii_lowercase())
        };
        for part in low.split('<').skip(1) {
            let tag = part.split('>').next().unwrap_or("");
            let names = tag.split('=').filter_map(|s| s.rsplit([' ', '"']).next());
            if tag.contains('=') && names.clone().any(handler) {
                found.push(format!("handler in the page: {line}"));
            }
        }
        if low.contains("|safe") || low.contains("| safe") || low.contains("escape(\"none\")") {
            found.push(format!("unescaped text: {line}"));
        }
    }
    found
}

#[test]
fn no_template_holds_style_script_or_unescaped_text() {
    let mut all = Vec::new();
    files(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("templates"),
        &mut all,
    );
    assert!(all.len() > 10);
    for path in all {
        let text = fs::read_to_string(&path).expect("text");
        assert_eq!(faults(&text), Vec::<String>::new(), "{}", path.display());
    }
}

#[test]
fn planted_faults_are_found() {
    for bad in [
        "<p style=\"color:red\">",
        "<a href=\"javascript:alert(1)\">",
        "<script>alert(1)</script>",
        "<button onclick=\"go()\">",
        "<img src=\"x\" onerror=\"go()\">",
        "{{ name|safe }}",
    ] {
        assert!(!faults(bad).is_empty(), "{bad}");
    }
    for good in [
        "<option value=\"one\">",
        "<p class=\"on\">",
        "<script src=\"x\" defer></script>",
    ] {
        assert!(faults(good).is_empty(), "{good}: {:?}", faults(good));
    }
}
