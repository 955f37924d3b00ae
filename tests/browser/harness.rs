//! The harness itself: a page with known faults must be found faulty, or the
//! tests that find nothing prove nothing.

use super::driver::Browser;
use super::page::{Paper, View};

const FAULTY: &str = "data:text/html,<main><h1>Faults</h1>\
    <img src='data:,'><input name='x' style='height:20px'>\
    <p style='width:900px'>A line far too long for a phone.</p></main>";
const SOUND: &str = "data:text/html,<html lang='en'>\
    <meta name='viewport' content='width=device-width'><title>Sound</title><main><h1>Sound</h1>\
    <p>Nothing wrong here.</p></main></html>";

#[test]
fn faults_of_a_page_are_found() {
    Browser::start().run(async |page| {
        page.view(View::PHONE).await?;
        page.open(FAULTY).await?;
        let faults = page.axe_faults().await?.join("\n");
        for rule in ["image-alt", "label", "html-has-lang"] {
            assert!(faults.contains(rule), "{rule} is not in\n{faults}");
        }
        assert!(!page.sticking_out().await?.is_empty());
        assert_eq!(page.targets_under(48).await?.len(), 1);
        Ok(())
    });
}

#[test]
fn a_sound_page_has_no_faults() {
    Browser::start().run(async |page| {
        for view in [View::PHONE, View::DESK, View::DESK.dark()] {
            page.view(view).await?;
            page.open(SOUND).await?;
            assert_eq!(page.axe_faults().await?, Vec::<String>::new());
            assert_eq!(page.sticking_out().await?, Vec::<String>::new());
            assert_eq!(page.targets_under(48).await?, Vec::<String>::new());
        }
        let picture = page.shot("harness").await?;
        assert!(picture.metadata().is_ok_and(|file| file.len() > 1000));
        let print = page.print("harness", Paper::A4).await?;
        assert!(print.metadata().is_ok_and(|file| file.len() > 1000));
        Ok(())
    });
}

/// Forty tall rows that may break between two pages, or may not.
fn tall_rows(breaking: &str, width: &str) -> String {
    let rows = "<tr><td>first<br>second<br>third<br>fourth<td>last".repeat(40);
    format!(
        "data:text/html,<html lang='en'><style>tr {{break-inside: {breaking}}} \
         table {{width: {width}}}</style><body><table>{rows}</table></html>"
    )
}

#[test]
fn rows_split_or_cut_off_by_paper_are_found() {
    Browser::start().run(async |page| {
        for paper in [Paper::LETTER, Paper::A4] {
            page.open(&tall_rows("avoid", "100%25")).await?;
            let faults = page.print_faults("whole-rows", paper, "tr").await?;
            assert_eq!(faults, Vec::<String>::new());
            page.open(&tall_rows("auto", "100%25")).await?;
            let faults = page.print_faults("split-rows", paper, "tr").await?;
            assert!(!faults.is_empty(), "no split row found on {}", paper.name);
            page.open(&tall_rows("avoid", "3000px")).await?;
            let faults = page.print_faults("wide-rows", paper, "tr").await?;
            assert!(!faults.is_empty(), "no wide row found on {}", paper.name);
        }
        Ok(())
    });
}

#[test]
fn pale_text_on_paper_is_found() {
    Browser::start().run(async |page| {
        page.open("data:text/html,<p style='color:silver'>pale<p>dark")
            .await?;
        let pale = page.pale_in_print().await?;
        assert!(
            matches!(&pale[..], [one] if one.ends_with("pale")),
            "{pale:?}"
        );
        Ok(())
    });
}
