//! A carpenter with a phone at the saw.

use thirtyfour::prelude::*;

use super::driver::Browser;
use super::look::Faults;
use super::page::View;
use super::program::Program;

/// Smallest side of the button that ticks a piece off, CSS pixels.
const TICK: f64 = 64.0;

#[test]
fn a_piece_is_ticked_off_with_one_tap_and_the_tick_taken_back() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        page.view(View::PHONE).await?;
        let carpenter = program.person("carpenter");
        page.open(&program.url("/sign-in")).await?;
        page.sign_in(&carpenter.name, &carpenter.password).await?;
        page.open(&program.url("/heads")).await?;
        let find = "return [...document.querySelectorAll('main table a[href^=\"/heads/\"]')]
            .map(a => a.getAttribute('href'))";
        let heads: Vec<String> = page.session.execute(find, vec![]).await?.convert()?;
        assert!(!heads.is_empty(), "the demo gives the carpenter heads");
        let mut ticked = false;
        for head in heads {
            page.open(&program.url(&format!("{head}/sheet"))).await?;
            let Ok(tick) = page.session.find(By::Css("button.tick")).await else {
                continue;
            };
            let size = tick.rect().await?;
            assert!(size.height >= TICK, "a glove needs {TICK} px: {size:?}");
            let done = By::Css("tr.piece.done");
            let before = page.session.find_all(done.clone()).await?.len();
            tick.scroll_into_view().await?;
            page.follow(&tick).await?;
            let after = page.session.find_all(done.clone()).await?.len();
            assert_eq!(after, before + 1, "one more piece is cut");
            let mut faults = Faults::default();
            faults.look(page, "sheet-ticked").await?;
            page.view(View::PHONE).await?;
            let undo = By::Css("tr.piece.done button");
            let undo = page.session.find(undo).await?;
            undo.scroll_into_view().await?;
            page.follow(&undo).await?;
            let back = page.session.find_all(done).await?.len();
            assert_eq!(back, before, "the tick is taken back");
            faults.none();
            ticked = true;
            break;
        }
        assert!(ticked, "no sheet of the carpenter's has a piece to tick");
        Ok(())
    });
}

#[test]
fn a_head_is_measured_at_the_bench_on_a_phone() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        page.view(View::PHONE).await?;
        let carpenter = program.person("carpenter");
        page.open(&program.url("/sign-in")).await?;
        page.sign_in(&carpenter.name, &carpenter.password).await?;
        page.open(&program.url("/heads")).await?;
        let find = "return [...document.querySelectorAll('main table a[href^=\"/heads/\"]')]
            .map(a => a.getAttribute('href'))";
        let heads: Vec<String> = page.session.execute(find, vec![]).await?.convert()?;
        let head = heads.first().expect("the demo gives the carpenter heads");
        page.open(&program.url(&format!("{head}/bench"))).await?;
        let mut faults = Faults::default();
        faults.look(page, "bench").await?;
        page.view(View::PHONE).await?;
        let name = "return document.querySelector('.ask input').name";
        let name: String = page.session.execute(name, vec![]).await?.convert()?;
        let hint = "return document.querySelector('.ask .hint').textContent
            .replace('Drawn', '').replace('in.', '').trim().replace(/ (strong|scant)$/, '')";
        let drawn: String = page.session.execute(hint, vec![]).await?.convert()?;
        page.fill(&name, &drawn).await?;
        page.press("See first what changes").await?;
        assert!(page.text().await?.contains("What the measures come to"));
        assert_eq!(page.value(&name).await?, drawn, "what was typed stays");
        faults.look(page, "bench-looked-at").await?;
        page.view(View::PHONE).await?;
        page.script("document.querySelector('#agreed')?.click()", vec![])
            .await?;
        page.press("Solve the sheet again").await?;
        assert!(
            page.path().await?.contains("/sheet"),
            "{}",
            page.path().await?
        );
        assert!(page.text().await?.contains("measured at the bench"));
        faults.none();
        Ok(())
    });
}
