//! Any text as an SVG file or path.
#![no_main]

use headwright::trim::section::{svg_file, svg_path};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Ok(path) = svg_file::path_of(text)
        && let Ok(outline) = svg_path::read(&path, 1.0 / 25.4)
    {
        assert!(outline.area().is_finite() && outline.corners(1e-4, 2_000).len() <= 40_000);
    }
});
