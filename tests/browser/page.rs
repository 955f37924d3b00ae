//! What a test does to a page, and what it reads from it.

use std::path::PathBuf;
use std::time::Duration;

use data_encoding::BASE64;
use serde_json::{Value, json};
use thirtyfour::prelude::*;

use crate::tools;

/// A window's size, in CSS pixels, and its colours.
#[derive(Debug, Clone, Copy)]
pub struct View {
    /// Across.
    pub width: u32,
    /// Down.
    pub height: u32,
    /// Whether the person asked for dark colours.
    pub dark: bool,
}

impl View {
    /// A phone held upright.
    pub const PHONE: Self = Self::new(360, 800);
    /// A desk.
    pub const DESK: Self = Self::new(1280, 800);

    /// A window in light colours.
    pub const fn new(width: u32, height: u32) -> Self {
        Self {
            width,
            height,
            dark: false,
        }
    }

    /// The same in dark colours.
    pub const fn dark(self) -> Self {
        Self { dark: true, ..self }
    }
}

/// Paper, inches.
#[derive(Debug, Clone, Copy)]
pub struct Paper {
    /// What it is called.
    pub name: &'static str,
    /// Across.
    pub width: f64,
    /// Down.
    pub height: f64,
}

impl Paper {
    /// North American.
    pub const LETTER: Self = Self {
        name: "letter",
        width: 8.5,
        height: 11.0,
    };
    /// ISO 216.
    pub const A4: Self = Self {
        name: "a4",
        width: 210.0 / 25.4,
        height: 297.0 / 25.4,
    };
}

/// The page that the browser shows.
pub struct Page {
    /// The session, for what has no helper here.
    pub session: WebDriver,
}

impl Page {
    /// The page of a session.
    pub const fn new(session: WebDriver) -> Self {
        Self { session }
    }

    /// Sizes the window and sets its colours.
    pub async fn view(&self, view: View) -> WebDriverResult<()> {
        let metrics = json!({
            "width": view.width, "height": view.height,
            "screenWidth": view.width, "screenHeight": view.height,
            "deviceScaleFactor": 1, "mobile": view.width < 600,
        });
        self.cdp("Emulation.setDeviceMetricsOverride", metrics)
            .await?;
        let scheme = if view.dark { "dark" } else { "light" };
        let media = json!({"features": [{"name": "prefers-color-scheme", "value": scheme}]});
        self.cdp("Emulation.setEmulatedMedia", media).await?;
        Ok(())
    }

    /// Opens an address.
    pub async fn open(&self, url: &str) -> WebDriverResult<()> {
        self.session.goto(url).await
    }

    /// Path and query of the page's address.
    pub async fn path(&self) -> WebDriverResult<String> {
        let url = self.session.current_url().await?;
        Ok(url
            .query()
            .map_or_else(|| url.path().to_owned(), |q| format!("{}?{q}", url.path())))
    }

    /// The text that a person sees.
    pub async fn text(&self) -> WebDriverResult<String> {
        self.session.find(By::Tag("body")).await?.text().await
    }

    /// Runs a script and reads what it returns.
    pub async fn script(&self, script: &str, arguments: Vec<Value>) -> WebDriverResult<Value> {
        let done = self.session.execute(script, arguments).await?;
        Ok(done.json().clone())
    }

    /// Types into a named field, in place of what it holds.
    pub async fn fill(&self, name: &str, text: &str) -> WebDriverResult<()> {
        let field = self.field(name).await?;
        field.clear().await?;
        field.send_keys(text).await
    }

    /// Puts text into a named field at once, as a paste does; for text that
    /// would take minutes to type or that no key can type.
    pub async fn paste(&self, name: &str, text: &str) -> WebDriverResult<()> {
        let field = self.field(name).await?;
        let script = "arguments[0].value = arguments[1]; \
                      arguments[0].dispatchEvent(new Event('input', {bubbles: true}));";
        self.script(script, vec![field.to_json()?, json!(text)])
            .await?;
        Ok(())
    }

    /// What a named field holds.
    pub async fn value(&self, name: &str) -> WebDriverResult<String> {
        Ok(self
            .field(name)
            .await?
            .prop("value")
            .await?
            .unwrap_or_default())
    }

    /// Chooses an option of a named list by its value.
    pub async fn choose(&self, name: &str, value: &str) -> WebDriverResult<()> {
        let option = format!("select[name='{name}'] option[value='{value}']");
        self.session.find(By::Css(option)).await?.click().await
    }

    /// The first named field that a person can fill in.
    pub async fn field(&self, name: &str) -> WebDriverResult<WebElement> {
        let css = format!(":is(input, select, textarea)[name='{name}']:not([type='hidden'])");
        self.session.find(By::Css(css)).await
    }

    /// Presses the button, or follows the link, of exactly these words.
    pub async fn press(&self, words: &str) -> WebDriverResult<()> {
        let quoted = quoted(words);
        let xpath = format!("//main//*[self::button or self::a][normalize-space(.)={quoted}]");
        let everywhere = format!("//*[self::button or self::a][normalize-space(.)={quoted}]");
        let found = match self.session.find(By::XPath(xpath)).await {
            Ok(found) => found,
            Err(_) => self.session.find(By::XPath(everywhere)).await?,
        };
        self.follow(&found).await
    }

    /// Clicks what leads to another page and waits until that page stands: a
    /// click returns before a form has gone and its answer has come. What
    /// leads nowhere else is given three seconds.
    pub async fn follow(&self, link: &WebElement) -> WebDriverResult<()> {
        link.scroll_into_view().await?;
        self.script("window.left = false;", vec![]).await?;
        link.click().await?;
        let there = "return window.left === undefined && document.readyState === 'complete';";
        for _ in 0..60 {
            // While one page makes way for the next there is none to ask.
            let answer = self.script(there, vec![]).await;
            if answer.is_ok_and(|yes| yes == json!(true)) {
                return Ok(());
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        Ok(())
    }

    /// Whether the page shows the sign-in form, wherever it stands.
    pub async fn asks_to_sign_in(&self) -> WebDriverResult<bool> {
        let form = By::Css("form[action^='/sign-in'] input[name='password']");
        Ok(!self.session.find_all(form).await?.is_empty())
    }

    /// Fills in the sign-in page and sends it.
    pub async fn sign_in(&self, name: &str, password: &str) -> WebDriverResult<()> {
        self.fill("sign_in", name).await?;
        self.fill("password", password).await?;
        self.press("Sign in").await
    }

    /// Keeps a picture of the whole page in `target/screens/`.
    pub async fn shot(&self, name: &str) -> WebDriverResult<PathBuf> {
        let wanted = json!({"format": "png", "captureBeyondViewport": true});
        let answer = self.cdp("Page.captureScreenshot", wanted).await?;
        Ok(keep("screens", &format!("{name}.png"), &answer))
    }

    /// Prints the page to a PDF in `target/print/`.
    pub async fn print(&self, name: &str, paper: Paper) -> WebDriverResult<PathBuf> {
        let wanted = json!({
            "paperWidth": paper.width, "paperHeight": paper.height,
            "printBackground": false, "preferCSSPageSize": false,
        });
        let answer = self.cdp("Page.printToPDF", wanted).await?;
        let file = format!("{name}-{}.pdf", paper.name);
        Ok(keep("print", &file, &answer))
    }

    /// Every accessibility fault that axe-core finds with all its usual rules
    /// and the one of WCAG 2.2, one a line.
    pub async fn axe_faults(&self) -> WebDriverResult<Vec<String>> {
        self.script(&tools::axe(), vec![]).await?;
        let run = "const done = arguments[0];
            axe.run(document, {rules: {'target-size': {enabled: true}}, resultTypes: ['violations']})
               .then(r => done(r.violations.flatMap(v => v.nodes.map(n =>
                   `${v.id}: ${n.html.slice(0, 160)}: ${n.failureSummary}`))))
               .catch(e => done(['axe-core did not run: ' + e]));";
        self.session.execute_async(run, vec![]).await?.convert()
    }

    /// What sticks out to the right of the window; empty if one need not
    /// scroll sideways.
    pub async fn sticking_out(&self) -> WebDriverResult<Vec<String>> {
        let script = include_str!("sticking_out.js");
        self.session.execute(script, vec![]).await?.convert()
    }

    /// Links, buttons and fields smaller than `least` CSS pixels either way,
    /// save links within a sentence.
    pub async fn targets_under(&self, least: u32) -> WebDriverResult<Vec<String>> {
        let script = include_str!("small_targets.js");
        let found = self.session.execute(script, vec![json!(least)]).await?;
        found.convert()
    }

    async fn cdp(&self, method: &str, parameters: Value) -> WebDriverResult<Value> {
        self.session.cdp().send_raw(method, parameters).await
    }
}

/// Writes the `data` of a browser's answer under the target folder.
fn keep(folder: &str, name: &str, answer: &Value) -> PathBuf {
    let folder = tools::target().join(folder);
    std::fs::create_dir_all(&folder).expect("a folder under target");
    let path = folder.join(name);
    let data = answer["data"].as_str().expect("the browser sends data");
    let bytes = BASE64.decode(data.as_bytes()).expect("base64");
    std::fs::write(&path, bytes).expect("written");
    path
}

/// A string as XPath writes it.
fn quoted(words: &str) -> String {
    if words.contains('\'') {
        format!("\"{words}\"")
    } else {
        format!("'{words}'")
    }
}
