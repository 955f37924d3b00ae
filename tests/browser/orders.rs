//! From chosen heads to the stick that is cut, in a real browser.

use thirtyfour::prelude::*;

use super::driver::Browser;
use super::look::Faults;
use super::page::{Page, Paper, View};
use super::program::{Person, Program};

/// Signs in as this person, whoever is signed in now.
async fn enter(page: &Page, program: &Program, person: &Person) -> WebDriverResult<()> {
    page.session.delete_all_cookies().await?;
    page.open(&program.url("/")).await?;
    page.sign_in(&person.name, &person.password).await
}

/// Waits until the order is worked out.
async fn settled(page: &Page, url: &str) -> WebDriverResult<String> {
    for _ in 0..240 {
        page.open(url).await?;
        let text = page.text().await?;
        if text.contains("Make the purchase list") {
            return Ok(text);
        }
        tokio::time::sleep(std::time::Duration::from_millis(500)).await;
    }
    panic!("the order is never worked out: {}", page.text().await?);
}

/// The office: heads chosen, worked out, bought. Gives the order's address.
async fn ordered(page: &Page, program: &Program, faults: &mut Faults) -> WebDriverResult<String> {
    enter(page, program, program.person("office")).await?;
    page.open(&program.url("/orders/new")).await?;
    faults.look(page, "order-new").await?;
    page.view(View::DESK).await?;
    let cut = page
        .session
        .find(By::XPath("//label[contains(., 'Street window 9')]/input"))
        .await;
    if let Ok(cut) = cut {
        cut.click().await?;
    }
    page.press("Take off these heads").await?;
    let order = program.url(&page.path().await?);
    faults.look(page, "order-begun").await?;
    page.view(View::DESK).await?;
    page.press("Work it out").await?;
    let text = settled(page, &order).await?;
    assert!(
        text.contains("No cheaper order is possible") || text.contains("best found"),
        "{text}"
    );
    faults.look(page, "order-worked-out").await?;
    page.view(View::DESK).await?;
    page.press("Make the purchase list").await?;
    let text = page.text().await?;
    assert!(text.contains("Sedge Lane Lumber"), "{text}");
    faults.look(page, "purchase").await?;
    for paper in [Paper::LETTER, Paper::A4] {
        let found = page.print_faults("purchase", paper, "tbody tr").await?;
        faults.add(&format!("purchase on {}", paper.name), found);
    }
    Ok(order)
}

/// A carpenter with a head in the order: cuts a stick, finds the left-over.
async fn cut(
    page: &Page,
    program: &Program,
    order: &str,
    faults: &mut Faults,
) -> WebDriverResult<()> {
    let hands = program.people.iter().filter(|p| p.role == "carpenter");
    for person in hands {
        enter(page, program, person).await?;
        page.open(&format!("{order}/sticks")).await?;
        let rows = page.session.find_all(By::Css(".tick-stick")).await?;
        if rows.is_empty() {
            continue;
        }
        faults.look(page, "stick-plan").await?;
        let text = page.text().await?;
        assert!(
            !text.contains('$') && !text.contains("Sum") && !text.contains("Cost"),
            "{text}"
        );
        for paper in [Paper::LETTER, Paper::A4] {
            let found = page.print_faults("stick-plan", paper, ".cuts tr").await?;
            faults.add(&format!("stick plan on {}", paper.name), found);
        }
        page.view(View::PHONE).await?;
        let place = By::Css(".tick-stick input[name='place']");
        let field = page.session.find(place).await?;
        field.send_keys("bench end").await?;
        let button = By::XPath("//input[@name='place']/following-sibling::button");
        let button = page.session.find(button).await?;
        page.follow(&button).await?;
        assert!(
            page.text().await?.contains("Cut,"),
            "{}",
            page.text().await?
        );
        page.open(&program.url("/stock/rack?q=bench+end")).await?;
        assert!(
            page.text().await?.contains("bench end"),
            "{}",
            page.text().await?
        );
        faults.look(page, "rack").await?;
        return Ok(());
    }
    panic!("no carpenter of the demo has a head in this order");
}

#[test]
fn heads_become_a_purchase_list_and_a_cut_stick_whose_left_over_lies_on_the_rack() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        page.view(View::DESK).await?;
        let mut faults = Faults::default();
        let order = ordered(page, &program, &mut faults).await?;
        cut(page, &program, &order, &mut faults).await?;
        faults.none();
        Ok(())
    });
}
