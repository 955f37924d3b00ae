//! The programs that tests lean on, all installed by `tests/run.sh`.

use std::path::{Path, PathBuf};

/// Where a run leaves what is not worth keeping.
pub fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("target"),
        PathBuf::from,
    )
}

/// A tool named by a variable of `tests/run.sh`, or left where it put it the
/// last time. A test without its tool fails and says what to do: a test that
/// skips itself looks as if it had passed.
fn tool(variable: &str, name: &str, what: &str) -> PathBuf {
    let path = std::env::var_os(variable)
        .map_or_else(|| target().join("test-tools").join(name), PathBuf::from);
    assert!(
        path.exists(),
        "no {what} at {}: run `bash tests/run.sh`, it installs what the tests need",
        path.display()
    );
    path
}

/// Python with the solid kernel.
pub fn python() -> PathBuf {
    tool(
        "HEADWRIGHT_TEST_PYTHON",
        "venv/bin/python",
        "Python environment",
    )
}

/// The text of axe-core.
pub fn axe() -> String {
    let path = tool("HEADWRIGHT_TEST_AXE", "axe.min.js", "axe-core");
    std::fs::read_to_string(path).expect("axe-core is text")
}

/// A program of the system, by name.
pub fn program(name: &str) -> PathBuf {
    std::env::var_os("PATH")
        .iter()
        .flat_map(std::env::split_paths)
        .map(|folder| folder.join(name))
        .find(|path| path.is_file())
        .unwrap_or_else(|| {
            panic!("no {name} here: run `bash tests/run.sh`, it installs what the tests need")
        })
}
