//! What a printed page shows: rows whole, nothing cut off, dark enough in
//! grey.

use std::path::Path;
use std::process::Command;

use serde_json::json;
use thirtyfour::prelude::*;

use super::page::{Page, Paper};
use crate::tools;

/// A word on paper: its page from 1, and its box in points from the page's
/// upper left corner.
struct Word {
    page: usize,
    text: String,
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

/// The words of a PDF and the size of its pages in points.
struct Print {
    words: Vec<Word>,
    width: f64,
    height: f64,
}

impl Page {
    /// Prints the page and lists every element of the selector that is split
    /// between two pages, or reaches past the paper. An element's upper left
    /// and lower right corners are marked with tiny words for the print.
    pub async fn print_faults(
        &self,
        name: &str,
        paper: Paper,
        selector: &str,
    ) -> WebDriverResult<Vec<String>> {
        let marked = self
            .script(include_str!("mark_corners.js"), vec![json!(selector)])
            .await?;
        let pdf = self.print(name, paper).await?;
        let unmark = "document.querySelectorAll('[data-corner]').forEach(m => m.remove())";
        self.script(unmark, vec![]).await?;
        let count = marked.as_u64().unwrap_or(0);
        assert!(count > 0, "nothing on the page matches {selector}");
        let print = read(&pdf);
        Ok((0..count).filter_map(|k| corner_fault(&print, k)).collect())
    }

    /// Text that would be too pale in a grey print on white paper (under
    /// 4.5 to 1, WCAG 2.2 SC 1.4.3).
    pub async fn pale_in_print(&self) -> WebDriverResult<Vec<String>> {
        let media = |media: &str| json!({"media": media});
        let cdp = self.session.cdp();
        cdp.send_raw("Emulation.setEmulatedMedia", media("print"))
            .await?;
        let found = self
            .session
            .execute(include_str!("pale_text.js"), vec![])
            .await?;
        cdp.send_raw("Emulation.setEmulatedMedia", media(""))
            .await?;
        found.convert()
    }
}

/// What is wrong with the marked element `k`, if anything.
fn corner_fault(print: &Print, k: u64) -> Option<String> {
    let corner = |end: char| {
        let mark = format!("\u{a7}{k}{end}");
        print.words.iter().find(|word| word.text.contains(&mark))
    };
    let (Some(first), Some(last)) = (corner('a'), corner('z')) else {
        return Some(format!("element {k} is cut off or not printed"));
    };
    if first.page != last.page {
        let (from, to) = (first.page, last.page);
        return Some(format!(
            "element {k} is split between pages {from} and {to}"
        ));
    }
    let inside = first.left >= 0.0
        && first.top >= 0.0
        && last.right <= print.width
        && last.bottom <= print.height;
    (!inside).then(|| format!("element {k} reaches past the paper of page {}", first.page))
}

fn read(pdf: &Path) -> Print {
    let done = Command::new(tools::program("pdftotext"))
        .arg("-bbox")
        .arg(pdf)
        .arg("-")
        .output()
        .expect("pdftotext starts");
    assert!(done.status.success(), "pdftotext cannot read {pdf:?}");
    let text = String::from_utf8_lossy(&done.stdout);
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..Default::default()
    };
    let tree = roxmltree::Document::parse_with_options(&text, options).expect("XHTML");
    let number = |node: roxmltree::Node<'_, '_>, name: &str| -> f64 {
        let value = node.attribute(name).expect("a box has four sides");
        value.parse().expect("a number")
    };
    let sheets: Vec<_> = tree
        .descendants()
        .filter(|node| node.has_tag_name(("http://www.w3.org/1999/xhtml", "page")))
        .collect();
    let first = *sheets.first().expect("a PDF has a page");
    let words = sheets.iter().zip(1..).flat_map(|(sheet, page)| {
        let words = sheet.children().filter(|node| node.is_element());
        words.map(move |word| Word {
            page,
            text: word.text().unwrap_or_default().to_owned(),
            left: number(word, "xMin"),
            top: number(word, "yMin"),
            right: number(word, "xMax"),
            bottom: number(word, "yMax"),
        })
    });
    Print {
        width: number(first, "width"),
        height: number(first, "height"),
        words: words.collect(),
    }
}
