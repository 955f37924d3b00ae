//! A phone without a signal: the server is really gone.

use std::time::Duration;

use serde_json::json;
use thirtyfour::prelude::*;

use super::driver::Browser;
use super::look::Faults;
use super::page::{Page, View};
use super::program::Program;

/// Every third reply to a form is lost on its way, after it took effect.
const LOSSY: &str = "const real = window.fetch; let n = 0;
    window.fetch = async (...all) => {
        const reply = await real(...all);
        if ((all[1] || {}).method === 'POST' && ++n % 3 === 0) throw new TypeError('lost');
        return reply;
    };";

/// Asks until the script says true; thirty seconds at most.
async fn until(page: &Page, what: &str, script: &str) -> WebDriverResult<()> {
    for _ in 0..150 {
        if page
            .script(script, vec![])
            .await
            .is_ok_and(|yes| yes == json!(true))
        {
            return Ok(());
        }
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    panic!("{what}: {}", page.text().await?);
}

/// Everything that the browser keeps of our pages, as one text.
async fn all_kept(page: &Page) -> WebDriverResult<String> {
    let script = "const done = arguments[0];
        (async () => {
            let text = '';
            for (const name of await caches.keys()) {
                if (name.startsWith('files-')) continue;
                const held = await caches.open(name);
                for (const key of await held.keys()) text += key.url + await (await held.match(key)).text();
            }
            const base = await new Promise((ok) => { const a = indexedDB.open('headwright', 1); a.onsuccess = () => ok(a.result); });
            for (const store of base.objectStoreNames) {
                text += JSON.stringify(await new Promise((ok) => { const a = base.transaction(store).objectStore(store).getAll(); a.onsuccess = () => ok(a.result); }));
            }
            base.close();
            return text;
        })().then(done);";
    let kept = page.session.execute_async(script, vec![]).await?;
    Ok(kept.json().as_str().unwrap_or_default().to_owned())
}

/// What no phone may keep: clients' names, telephones and addresses, prices.
fn canaries() -> Vec<String> {
    let clients: serde_json::Value =
        serde_json::from_str(include_str!("../../seed-data/clients.json")).expect("JSON");
    let mut found = vec!["$".to_owned()];
    for client in clients["clients"].as_array().expect("a list") {
        for field in ["name", "phone", "email", "address"] {
            let text = client[field].as_str().unwrap_or_default();
            found.extend((text.len() > 3).then(|| text.to_owned()));
        }
    }
    let jobs: serde_json::Value =
        serde_json::from_str(include_str!("../../seed-data/jobs.json")).expect("JSON");
    for job in jobs.as_array().expect("a list") {
        for field in ["site", "site_contact", "access"] {
            let text = job[field].as_str().unwrap_or_default();
            found.extend((text.len() > 3).then(|| text.to_owned()));
        }
    }
    found
}

async fn done_rows(page: &Page) -> WebDriverResult<usize> {
    Ok(page.session.find_all(By::Css("tr.piece.done")).await?.len())
}

#[test]
fn what_is_ticked_without_a_signal_is_sent_once_when_it_returns() {
    let mut program = Program::demo();
    let carpenter = program.person("carpenter").clone();
    let owner = program.person("owner").clone();
    Browser::start().run(async |page| {
        page.view(View::PHONE).await?;
        page.open(&program.url("/sign-in")).await?;
        page.sign_in(&carpenter.name, &carpenter.password).await?;
        page.open(&program.url("/site")).await?;
        let saved = "return document.querySelector('[data-kept-at]').textContent.startsWith('Saved')
            && [...document.querySelectorAll('[data-kept]')].every(k => k.textContent.startsWith('✓'))
            && navigator.serviceWorker.controller !== null;";
        until(page, "every sheet is kept", saved).await?;
        let mut faults = Faults::default();
        faults.look(page, "site").await?;
        page.view(View::PHONE).await?;
        let find = "return [...document.querySelectorAll('[data-keep]')].map(a => a.getAttribute('href'))";
        let kept: Vec<String> = page.session.execute(find, vec![]).await?.convert()?;
        assert!(!kept.is_empty(), "the demo gives the carpenter heads");

        program.cut_off();
        for sheet in &kept {
            page.open(&program.url(sheet)).await?;
            assert!(!page.session.find_all(By::Css("tr.piece")).await?.is_empty(), "{sheet} opens");
        }
        page.open(&program.url("/heads")).await?;
        assert!(page.text().await?.contains("Waiting to be sent"), "another page shows what is kept");
        let mut sheet = String::new();
        for one in &kept {
            page.open(&program.url(one)).await?;
            if page.session.find_all(By::Css("button.tick")).await?.len() >= 4 {
                sheet.clone_from(one);
                break;
            }
        }
        assert!(!sheet.is_empty(), "a sheet with pieces to cut");
        let before = done_rows(page).await?;
        let buttons = page.session.find_all(By::Css("button.tick")).await?;
        let pressed = buttons.len().min(8);
        for button in buttons.into_iter().take(pressed) {
            button.scroll_into_view().await?;
            button.click().await?;
            button.click().await?;
        }
        let waits = format!("return document.querySelectorAll('.waits').length === {pressed}");
        until(page, "every tick waits", &waits).await?;
        faults.look(page, "site-waiting").await?;
        page.view(View::PHONE).await?;
        page.open(&program.url(&sheet)).await?;
        until(page, "and still does after the page is opened again", &waits).await?;
        let text = all_kept(page).await?;
        assert!(text.len() > 10_000, "something is kept");
        for canary in canaries() {
            assert!(!text.contains(&canary), "{canary} is on the phone");
        }

        program.come_back();
        let source = json!({ "source": LOSSY });
        page.session.cdp().send_raw("Page.addScriptToEvaluateOnNewDocument", source).await?;
        page.open(&program.url(&sheet)).await?;
        let sent = format!(
            "window.dispatchEvent(new Event('online'));
             return document.querySelectorAll('.waits').length === 0
                 && document.querySelectorAll('tr.piece.done').length === {}
                 && document.querySelector('[data-signal]').textContent.includes('All sent')",
            before + pressed
        );
        until(page, "all is sent", &sent).await?;
        faults.none();

        // The page shows itself anew once all is sent: look when that is over.
        tokio::time::sleep(Duration::from_secs(2)).await;
        page.open(&program.url(&sheet)).await?;
        assert_eq!(done_rows(page).await?, before + pressed);
        let out = page.session.find(By::Css("form[action='/sign-out'] button")).await?;
        page.follow(&out).await?;
        until(page, "signed out", "return location.pathname === '/sign-in'").await?;
        let left = all_kept(page).await?;
        assert!(!left.contains("tr class"), "nothing stays after signing out");
        page.sign_in(&owner.name, &owner.password).await?;
        page.open(&program.url("/firm/record")).await?;
        let rows = page.text().await?.matches("head ticked on site").count();
        assert_eq!(rows, pressed, "each tick counted once, though replies were lost");
        Ok(())
    });
}
