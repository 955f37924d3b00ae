//! The head's form with its drawing beside it: the drawing follows what is
//! typed, without the form being sent, and the button does the same.

use std::time::Duration;

use serde_json::json;
use thirtyfour::prelude::*;

use super::driver::Browser;
use super::page::{Page, View};
use super::program::Program;

/// Waits until the drawing says `words`, at most ten seconds.
async fn drawing_says(page: &Page, words: &str) -> WebDriverResult<bool> {
    let script = "return document.querySelector('#drawn .wide')?.textContent ?? '';";
    for _ in 0..100 {
        let text = page.script(script, vec![]).await?;
        if text.as_str().is_some_and(|text| text.contains(words)) {
            return Ok(true);
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    Ok(false)
}

/// Opens the form of the demo's head of this name.
async fn form_of(page: &Page, program: &Program, name: &str) -> WebDriverResult<()> {
    let owner = program.person("owner");
    page.view(View::DESK).await?;
    page.open(&program.url("/sign-in")).await?;
    page.sign_in(&owner.name, &owner.password).await?;
    page.open(&program.url("/heads")).await?;
    let link = format!("//main//a[contains(normalize-space(.), '{name}')]");
    let link = page.session.find(By::XPath(link)).await?;
    page.follow(&link).await?;
    page.press("Change the design").await
}

#[test]
fn the_drawing_follows_what_is_typed_without_the_form_being_sent() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        form_of(page, &program, "Lamp room, plain peak").await?;
        let before = page.path().await?;
        assert!(drawing_says(page, "42").await?, "the span as it was drawn");
        page.script("window.here = true;", vec![]).await?;
        page.fill("span", "47 3/8").await?;
        assert!(
            drawing_says(page, "47 3/8").await?,
            "the span as it is typed"
        );
        let here = page.script("return window.here === true;", vec![]).await?;
        assert_eq!(here, json!(true), "the page was not left");
        assert_eq!(page.path().await?, before);
        // A length that cannot be read keeps the last drawing and says why.
        page.fill("span", "47 ells").await?;
        for _ in 0..50 {
            let shown = By::Css("#span-error");
            if !page.session.find_all(shown).await?.is_empty() {
                break;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        assert!(
            drawing_says(page, "47 3/8").await?,
            "the last drawing stays"
        );
        assert_eq!(page.value("span").await?, "47 ells");
        // The same by the button, as it goes without script.
        page.fill("span", "39 5/8").await?;
        page.press("Draw it").await?;
        assert!(page.path().await?.ends_with("/draw"), "a page of its own");
        assert!(drawing_says(page, "39 5/8").await?);
        assert_eq!(page.value("span").await?, "39 5/8");
        Ok(())
    });
}

#[test]
fn the_points_of_a_path_are_moved_added_and_taken_out_with_the_keys() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        form_of(page, &program, "Lamp room, old rake").await?;
        let point = |nth: usize| format!("#drawn .wide [data-of='runs.0.path:{nth}']");
        let typed = async |key: &str, nth: usize| -> WebDriverResult<Vec<String>> {
            let script = "const mark = document.querySelector(arguments[0]); mark.focus(); \
                mark.dispatchEvent(new KeyboardEvent('keydown', {key: arguments[1], bubbles: true}));";
            page.script(script, vec![json!(point(nth)), json!(key)]).await?;
            // The drawing that follows carries its points again.
            tokio::time::sleep(Duration::from_millis(1500)).await;
            let lines = page.value("runs.0.path").await?;
            Ok(lines.lines().map(str::to_owned).collect())
        };
        let lines = typed("ArrowUp", 2).await?;
        assert_eq!(lines.get(2).map(String::as_str), Some("21, 10 3/4, 0"));
        let lines = typed("+", 2).await?;
        assert_eq!(lines.len(), 6, "{lines:?}");
        assert_eq!(page.value("runs.0.normals").await?.lines().count(), 5);
        let lines = typed("Delete", 3).await?;
        assert_eq!(lines.len(), 5, "{lines:?}");
        assert_eq!(page.value("runs.0.normals").await?.lines().count(), 4);
        // By its point the run is told to who cannot see it.
        let script = "return document.querySelector(arguments[0]).getAttribute('aria-label');";
        let said = page.script(script, vec![json!(point(2))]).await?;
        let said = said.as_str().unwrap_or_default().to_owned();
        assert!(said.contains("up 10 3/4"), "{said}");
        Ok(())
    });
}

#[test]
fn a_way_to_close_a_corner_is_taken_with_one_press_and_back_again() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        form_of(page, &program, "Lamp room, plain peak").await?;
        let head = page.path().await?.replace("/design", "");
        page.open(&program.url(&head)).await?;
        assert!(page.text().await?.contains("Ways to close it"));
        page.shot("cures").await?;
        page.press("Take this: A raked section for the return")
            .await?;
        let text = page.text().await?;
        assert!(!text.contains("Ways to close it"), "nothing is open now");
        assert!(
            text.contains("raked section"),
            "the record says what changed"
        );
        page.session
            .find(By::XPath("//summary[contains(., 'Back to the design')]"))
            .await?
            .click()
            .await?;
        let back = By::XPath("//button[contains(., 'Draw it as it was')]");
        let back = page.session.find(back).await?;
        page.follow(&back).await?;
        assert!(page.text().await?.contains("Ways to close it"), "as it was");
        Ok(())
    });
}
