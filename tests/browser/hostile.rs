//! Hostile and awkward text in every field of a form: nothing of it runs,
//! nothing of it is lost.

use serde_json::{Value, json};
use thirtyfour::prelude::*;

use super::driver::Browser;
use super::look::Faults;
use super::page::{Page, View};
use super::program::Program;

/// What is typed. A script that ran would set `window.hit`.
const TEXTS: [&str; 6] = [
    "\"><script>window.hit=1;alert(1)</script>",
    "'><img src=x onerror=window.hit=1><svg onload=alert(1)>",
    "</textarea></select><a href=javascript:window.hit=1 autofocus onfocus=window.hit=1>x",
    "{{7*7}} ${7*7} {% raw %} <!-- & &amp; %00 ' OR 1=1; --",
    "\u{202e}drawkcab \u{5d0}\u{5d1} \u{645}\u{631}\u{62d}\u{628}\u{627} \u{200b}end",
    "\u{1f477}\u{1f3fd}\u{200d}\u{2640}\u{fe0f}\u{1fa9a} na\u{ef}ve \u{1d4d7}",
];

/// The forms: where each is, and the button that sends it.
const FORMS: [(&str, &str); 3] = [
    ("/clients/new", "Save the client"),
    ("/clients/enquiries/new", "Save the call"),
    ("/firm/profile", "Save"),
];

/// Puts the text into every field that takes free text and sends the form.
/// Returns the names of the fields.
async fn send(page: &Page, button: &str, text: &str) -> WebDriverResult<Vec<String>> {
    let fill = include_str!("fill_all_fields.js");
    let names: Vec<String> = page
        .session
        .execute(fill, vec![json!(text)])
        .await?
        .convert()?;
    page.press(button).await?;
    Ok(names)
}

/// What of the text is no longer there, after the form was sent: either the
/// form came back with it, or a page shows it.
async fn lost(page: &Page, names: &[String], text: &str) -> WebDriverResult<Vec<String>> {
    let script = include_str!("lost_text.js");
    let arguments: Vec<Value> = vec![json!(names), json!(text)];
    page.session.execute(script, arguments).await?.convert()
}

async fn ran(page: &Page) -> WebDriverResult<bool> {
    // An open dialog makes every command fail, and so the test.
    Ok(page.script("return Boolean(window.hit)", vec![]).await? == json!(true))
}

#[test]
fn hostile_text_neither_runs_nor_gets_lost() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        let mut faults = Faults::default();
        let owner = program.person("owner");
        page.view(View::PHONE).await?;
        page.open(&program.url("/sign-in")).await?;
        page.sign_in(&owner.name, &owner.password).await?;
        for (path, button) in FORMS {
            for text in TEXTS {
                page.open(&program.url(path)).await?;
                let names = send(page, button, text).await?;
                let place = format!("{path} with {text}");
                faults.add(&place, lost(page, &names, text).await?);
                faults.add(&place, page.sticking_out().await?);
                assert!(!ran(page).await?, "{place}: a script ran");
            }
        }
        for path in ["/clients", "/clients/enquiries", "/"] {
            page.open(&program.url(path)).await?;
            faults.add(path, page.sticking_out().await?);
            faults.add(path, page.axe_faults().await?);
            assert!(!ran(page).await?, "{path}: a script ran");
        }
        faults.none();
        Ok(())
    });
}

#[test]
fn a_megabyte_and_a_nul_are_answered_in_words() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        let owner = program.person("owner");
        page.open(&program.url("/sign-in")).await?;
        page.sign_in(&owner.name, &owner.password).await?;
        for text in ["x".repeat(1 << 20), "before\0after".to_owned()] {
            page.open(&program.url("/clients/new")).await?;
            page.fill("name", "Runa Ekholm").await?;
            page.paste("note", &text).await?;
            page.press("Save the client").await?;
            let short = text.get(..20).unwrap_or(&text);
            assert_eq!(page.value("name").await?, "Runa Ekholm", "{short}");
            let kept = page.value("note").await?;
            let (kept, sent) = (kept.chars().count(), text.chars().count());
            assert_eq!(kept, sent, "{short} came back cut");
            assert!(!page.session.find_all(By::Css(".wrong")).await?.is_empty());
        }
        Ok(())
    });
}
