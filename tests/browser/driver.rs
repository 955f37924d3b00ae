//! One Chromium, started and ended by the test that uses it.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tempfile::TempDir;
use thirtyfour::ChromeCapabilities;
use thirtyfour::prelude::*;
use tokio::runtime::Runtime;

use super::page::Page;
use crate::tools;

/// Browser tests take turns: two browsers at once on two cores time out.
static TURN: Mutex<()> = Mutex::new(());

/// Longest wait for a page or a script.
const PATIENCE: Duration = Duration::from_secs(60);

/// A running browser. Dropped, it is closed and its driver ended.
pub struct Browser {
    runtime: Runtime,
    session: Option<WebDriver>,
    driver: Child,
    _profile: TempDir,
    _turn: MutexGuard<'static, ()>,
}

impl Browser {
    /// Waits for its turn and starts Chromium with a profile of its own.
    pub fn start() -> Self {
        let turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
        let runtime = Runtime::new().expect("a runtime");
        let profile = TempDir::new().expect("a profile folder");
        let (driver, port) = start_driver();
        let mut browser = Self {
            runtime,
            session: None,
            driver,
            _profile: profile,
            _turn: turn,
        };
        let wanted = capabilities(&browser._profile);
        let session = browser.runtime.block_on(async {
            let session = WebDriver::new(format!("http://127.0.0.1:{port}"), wanted).await?;
            session.set_page_load_timeout(PATIENCE).await?;
            session.set_script_timeout(PATIENCE).await?;
            WebDriverResult::Ok(session)
        });
        browser.session = Some(session.expect("Chromium starts"));
        browser
    }

    /// Runs a test against a page of this browser.
    pub fn run<F>(&self, test: F)
    where
        F: AsyncFnOnce(&Page) -> WebDriverResult<()>,
    {
        let session = self.session.clone().expect("started");
        let done = self.runtime.block_on(async move {
            let page = Page::new(session);
            test(&page).await
        });
        if let Err(error) = done {
            panic!("the browser says: {error}");
        }
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        if let Some(session) = self.session.take() {
            // The test's own result matters more than a failure to close.
            let _closed = self.runtime.block_on(session.quit());
        }
        let _ended = self.driver.kill();
        let _waited = self.driver.wait();
    }
}

/// Starts chromedriver on a free port, which it prints.
fn start_driver() -> (Child, u16) {
    let mut driver = Command::new(tools::program("chromedriver"))
        .arg("--port=0")
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("chromedriver starts");
    let mut lines = BufReader::new(driver.stdout.take().expect("piped")).lines();
    let port = lines
        .by_ref()
        .map_while(Result::ok)
        .find_map(|line| port_in(&line))
        .expect("chromedriver says on which port it listens");
    // Read on, or the driver stops when the pipe is full.
    std::thread::spawn(move || lines.for_each(drop));
    (driver, port)
}

/// The port in "ChromeDriver was started successfully on port 43123."
fn port_in(line: &str) -> Option<u16> {
    let (_, port) = line.split_once("successfully on port ")?;
    port.trim_end_matches('.').parse().ok()
}

fn capabilities(profile: &TempDir) -> ChromeCapabilities {
    let mut wanted = DesiredCapabilities::chrome();
    let flags = [
        "--headless",
        // As root, as in most containers, Chromium's sandbox cannot start;
        // the only pages it opens here are our own.
        "--no-sandbox",
        "--disable-gpu",
        // A container's shared memory is often too small.
        "--disable-dev-shm-usage",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--hide-scrollbars",
    ];
    for flag in flags {
        wanted.add_arg(flag).expect("a flag");
    }
    let folder = format!("--user-data-dir={}", profile.path().display());
    wanted.add_arg(&folder).expect("a flag");
    let chromium = tools::program("chromium");
    wanted
        .set_binary(&chromium.to_string_lossy())
        .expect("a path");
    // Hostile text must raise no dialog; one that it did raise must stay for
    // the test to find.
    wanted
        .set("unhandledPromptBehavior", "ignore")
        .expect("a word");
    wanted
}
