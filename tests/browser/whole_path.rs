//! The whole way of one head in the browser, in an empty firm: the first
//! owner, a first call, the client, a visit, a job, an opening measured twice,
//! the head, its cut sheet on screen and on paper.

use thirtyfour::prelude::*;

use super::driver::Browser;
use super::look::Faults;
use super::page::{Page, Paper, View};
use super::program::Program;

const PASSWORD: &str = "seven wet planks lean there";

/// Makes the first owner and is signed in at the end.
pub async fn first_owner(page: &Page, program: &Program) -> WebDriverResult<()> {
    let code = program.setup_code.as_deref().unwrap_or_default();
    page.open(&program.url("/setup")).await?;
    page.fill("code", code).await?;
    page.fill("name", "Ada Holm").await?;
    page.fill("sign_in", "ada").await?;
    page.fill("password", PASSWORD).await?;
    page.fill("password_again", PASSWORD).await?;
    page.press("Go on").await?;
    if page.asks_to_sign_in().await? {
        page.sign_in("ada", PASSWORD).await?;
    }
    assert_eq!(page.path().await?, "/");
    Ok(())
}

/// Fills in several fields of a form.
async fn fill_all(page: &Page, fields: &[(&str, &str)]) -> WebDriverResult<()> {
    for (name, text) in fields {
        page.fill(name, text).await?;
    }
    Ok(())
}

/// From the first call to the client's page.
async fn client(page: &Page, program: &Program, faults: &mut Faults) -> WebDriverResult<()> {
    page.open(&program.url("/clients")).await?;
    faults.look(page, "clients-empty").await?;
    page.view(View::DESK).await?;
    page.press("Take a first call").await?;
    faults.look(page, "enquiry-form").await?;
    let call = [
        ("name", "Runa Ekholm"),
        ("phone", "555 0142"),
        ("wants", "A gabled head over the porch door."),
        ("heard_of", "The sign on the van"),
    ];
    fill_all(page, &call).await?;
    page.press("Save the call").await?;
    faults.look(page, "enquiry").await?;
    page.press("Make this a client").await?;
    let text = page.text().await?;
    assert!(
        text.contains("Runa Ekholm") && text.contains("555 0142"),
        "{text}"
    );
    faults.look(page, "client").await
}

/// From the client's page to the job's page.
async fn job(page: &Page, faults: &mut Faults) -> WebDriverResult<()> {
    page.press("Make a job").await?;
    faults.look(page, "job-form").await?;
    let facts = [
        ("code", "EK"),
        ("title", "Porch heads"),
        ("site_address", "4 Mill Lane"),
        ("access", "Key under the bench"),
        ("year_built", "1931"),
    ];
    fill_all(page, &facts).await?;
    page.press("Save the job").await?;
    assert!(page.text().await?.contains("Porch heads"));
    faults.look(page, "job").await
}

/// From the job's page to the opening's page, measured twice.
async fn opening(page: &Page, faults: &mut Faults) -> WebDriverResult<()> {
    page.press("Add an opening").await?;
    faults.look(page, "opening-form").await?;
    page.fill("mark", "D1").await?;
    page.fill("clear_above", "24 inches or so").await?;
    page.press("Save and measure").await?;
    // Wrong words come back as typed, with the reason beside them.
    assert_eq!(page.value("clear_above").await?, "24 inches or so");
    faults.look(page, "opening-wrong").await?;
    page.choose("kind", "door").await?;
    page.fill("clear_above", "24").await?;
    page.press("Save and measure").await?;
    for pass in ["first", "second"] {
        let tape = [
            ("width_top", "36 1/4"),
            ("width_middle", "36 5/16"),
            ("width_bottom", "3' 0 1/4\""),
            ("height_left", "80"),
            ("height_middle", "80 1/16"),
            ("height_right", "80 1/8"),
            ("rising", "87 7/8"),
            ("falling", "87 13/16"),
        ];
        fill_all(page, &tape).await?;
        if pass == "first" {
            faults.look(page, "measure").await?;
        }
        page.press("Keep this measure").await?;
        if pass == "first" {
            page.press("Take the second measure").await?;
        }
    }
    let text = page.text().await?;
    assert!(text.contains("36 5/16"), "{text}");
    faults.look(page, "opening").await
}

/// From the opening's page to the head's page.
async fn head(page: &Page, faults: &mut Faults) -> WebDriverResult<()> {
    page.press("Draw a head").await?;
    faults.look(page, "head-new").await?;
    page.fill("name", "Porch door").await?;
    page.choose("kind", "gable").await?;
    page.press("Draw it").await?;
    page.fill("span", "41 1/2").await?;
    page.fill("wing", "50").await?;
    page.press("Draw it").await?;
    // A wing wider than half the span: the words stay, the reason is told.
    assert_eq!(page.value("wing").await?, "50");
    faults.look(page, "head-wrong").await?;
    page.fill("wing", "7 1/4").await?;
    page.press("Draw it").await?;
    let drops = page
        .session
        .find(By::Css("input[name='with.drops']"))
        .await?;
    if !drops.is_selected().await? {
        drops.click().await?;
    }
    page.press("Draw it").await?;
    faults.look(page, "head-drawn").await?;
    page.press("Put this head down").await?;
    assert!(page.text().await?.contains("Porch door"));
    faults.look(page, "head").await
}

/// The cut sheet: pictures, a tick, and both papers.
async fn sheet(page: &Page, faults: &mut Faults) -> WebDriverResult<()> {
    let link = page.session.find(By::Css("a[href$='/sheet']")).await?;
    page.follow(&link).await?;
    faults.look(page, "sheet").await?;
    let rows = page.session.find_all(By::Css("tr.piece")).await?.len();
    assert_eq!(
        rows, 18,
        "a gable with drops has 4 pieces of cap, 14 of crown"
    );
    let pictures = page.session.find_all(By::Css("tr.piece svg")).await?.len();
    assert!(pictures >= 2 * rows, "{pictures} pictures of {rows} pieces");
    for paper in [Paper::LETTER, Paper::A4] {
        for (name, selector) in [("sheet", "tr.piece"), ("sheet-orders", ".order li")] {
            let found = page.print_faults(name, paper, selector).await?;
            faults.add(&format!("{name} on {}", paper.name), found);
        }
        page.print("sheet-clean", paper).await?;
    }
    faults.add("sheet in grey", page.pale_in_print().await?);
    Ok(())
}

#[test]
fn one_head_goes_from_the_first_call_to_the_printed_sheet() {
    let program = Program::empty();
    Browser::start().run(async |page| {
        page.view(View::DESK).await?;
        let mut faults = Faults::default();
        first_owner(page, &program).await?;
        client(page, &program, &mut faults).await?;
        job(page, &mut faults).await?;
        opening(page, &mut faults).await?;
        head(page, &mut faults).await?;
        sheet(page, &mut faults).await?;
        faults.none();
        Ok(())
    });
}
