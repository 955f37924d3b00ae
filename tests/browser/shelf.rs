//! The shelf of sections in the browser: drawn as it is typed, moved row by
//! row, ripped, raked, and taken by a head.

use super::driver::Browser;
use super::look::Faults;
use super::page::View;
use super::program::Program;

#[test]
fn the_shelf_can_be_seen_and_used_by_everyone_and_with_gloves_on() {
    let program = Program::demo();
    Browser::start().run(async |page| {
        page.view(View::DESK).await?;
        let owner = program.person("owner");
        page.open(&program.url("/sign-in")).await?;
        page.sign_in(&owner.name, &owner.password).await?;
        let mut faults = Faults::default();
        for (path, name) in [
            ("/sections", "sections"),
            ("/sections/1", "section"),
            ("/sections/new", "section-new"),
            ("/sections/1/edit", "section-edit"),
            ("/sections/11/edit", "section-points"),
            (
                "/sections/1/rip?keep=top&width=1+1/2+in&kerf=1/8",
                "section-rip",
            ),
            ("/sections/1/raked?pitch=6", "section-raked"),
        ] {
            page.view(View::DESK).await?;
            page.open(&program.url(path)).await?;
            faults.look(page, name).await?;
        }
        page.view(View::DESK).await?;
        page.open(&program.url("/sections/new")).await?;
        page.fill("name", "Browser crown").await?;
        page.press("Add a member").await?;
        let text = page.text().await?;
        assert!(text.contains("5 Fillet"), "{text}");
        page.press("Put it on the shelf").await?;
        let text = page.text().await?;
        assert!(
            text.contains("Browser crown") && text.contains("Saved."),
            "{text}"
        );
        faults.none();
        Ok(())
    });
}
