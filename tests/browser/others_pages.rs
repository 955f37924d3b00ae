//! Pages that are not for one: the same page as one that does not exist.

use thirtyfour::prelude::*;

use super::driver::Browser;
use super::page::{Page, View};
use super::program::Program;

/// The status of the page that the browser shows.
async fn status(page: &Page) -> WebDriverResult<u64> {
    let script = "return performance.getEntriesByType('navigation')[0].responseStatus";
    Ok(page.script(script, vec![]).await?.as_u64().unwrap_or(0))
}

/// Heading and words of the page.
async fn words(page: &Page) -> WebDriverResult<String> {
    let script = "return document.querySelector('main h1').textContent + ': ' +
        document.querySelector('main .lead').textContent";
    let found = page.script(script, vec![]).await?;
    Ok(found.as_str().unwrap_or_default().to_owned())
}

/// Addresses on a page that begin so, in order.
async fn links(page: &Page, start: &str) -> WebDriverResult<Vec<String>> {
    let script = "return [...document.querySelectorAll('main a[href]')].map(a => a.getAttribute('href'))
        .filter(h => h.startsWith(arguments[0]) && /^(?!new$)[\\w-]+$/.test(h.slice(arguments[0].length)))";
    let found = page.session.execute(script, vec![start.into()]).await?;
    found.convert()
}

async fn come_in(page: &Page, program: &Program, role: &str) -> WebDriverResult<()> {
    page.session.delete_all_cookies().await?;
    let person = program.person(role);
    page.open(&program.url("/sign-in")).await?;
    page.sign_in(&person.name, &person.password).await
}

#[test]
fn a_page_not_for_ones_role_looks_like_none() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        page.view(View::DESK).await?;
        come_in(page, &program, "owner").await?;
        page.open(&program.url("/jobs")).await?;
        let jobs = links(page, "/jobs/").await?;
        let job = jobs.first().expect("the demo has jobs").clone();
        page.open(&program.url(&job)).await?;
        let openings = links(page, "/openings/").await?;
        let opening = openings.first().expect("the job has openings").clone();
        page.open(&program.url("/no/such/page")).await?;
        let missing = words(page).await?;
        for (role, closed) in [
            ("office", vec!["/firm/people".to_owned()]),
            ("foreman", vec!["/firm/people".to_owned()]),
            (
                "carpenter",
                vec![
                    "/firm/people".to_owned(),
                    "/clients/new".to_owned(),
                    "/clients/enquiries".to_owned(),
                    "/jobs/new".to_owned(),
                    format!("{job}/edit"),
                    format!("{opening}/edit"),
                    format!("{opening}/measure"),
                ],
            ),
        ] {
            come_in(page, &program, role).await?;
            page.open(&program.url("/")).await?;
            assert_eq!(status(page).await?, 200);
            for path in closed {
                page.open(&program.url(&path)).await?;
                assert_eq!(status(page).await?, 404, "{role} at {path}");
                assert_eq!(words(page).await?, missing, "{role} at {path}");
            }
        }
        page.session.delete_all_cookies().await?;
        for path in [
            "/",
            "/clients",
            job.as_str(),
            opening.as_str(),
            "/firm/people",
        ] {
            page.open(&program.url(path)).await?;
            assert!(page.asks_to_sign_in().await?, "anyone at {path}");
        }
        Ok(())
    });
}
