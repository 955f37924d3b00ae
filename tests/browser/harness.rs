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
