//! Coming in: the first owner, signing in and out, one's own page.

use super::driver::Browser;
use super::look::Faults;
use super::page::View;
use super::program::Program;

const PASSWORD: &str = "seven wet planks lean there";

#[test]
fn the_first_owner_is_made_with_the_code_of_the_console() {
    let program = Program::empty();
    let code = program
        .setup_code
        .clone()
        .expect("an empty firm has a code");
    Browser::start().run(async |page| {
        let mut faults = Faults::default();
        page.open(&program.url("/setup")).await?;
        faults.look(page, "setup").await?;
        page.fill("code", "not the code").await?;
        page.fill("name", "Ada Holm").await?;
        page.fill("sign_in", "ada").await?;
        page.fill("password", "short").await?;
        page.press("Go on").await?;
        assert_eq!(page.value("name").await?, "Ada Holm");
        faults.look(page, "setup-wrong").await?;
        page.fill("code", &code).await?;
        page.fill("password", PASSWORD).await?;
        page.fill("password_again", PASSWORD).await?;
        page.press("Go on").await?;
        if page.asks_to_sign_in().await? {
            page.sign_in("ada", PASSWORD).await?;
        }
        assert_eq!(page.path().await?, "/");
        faults.look(page, "empty-today").await?;
        faults.none();
        Ok(())
    });
}

#[test]
fn one_signs_in_and_out() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        let mut faults = Faults::default();
        page.open(&program.url("/")).await?;
        assert!(page.asks_to_sign_in().await?);
        faults.look(page, "sign-in").await?;
        page.sign_in("nobody", "wrong").await?;
        assert_eq!(page.value("sign_in").await?, "nobody");
        faults.look(page, "sign-in-wrong").await?;
        for role in ["owner", "office", "foreman", "carpenter"] {
            let person = program.person(role);
            page.view(View::DESK).await?;
            page.open(&program.url("/sign-in")).await?;
            page.sign_in(&person.name, &person.password).await?;
            assert_eq!(page.path().await?, "/", "{role} is in");
            faults.look(page, &format!("today-{role}")).await?;
            page.press("Sign out").await?;
            page.open(&program.url("/")).await?;
            assert!(page.asks_to_sign_in().await?, "{role} is out");
        }
        faults.none();
        Ok(())
    });
}
