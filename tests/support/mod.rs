//! The whole program on a port of its own with a folder of its own, a clock
//! that moves when told and cheap password hashing; and clients that act as a
//! browser would.

mod client;
pub mod html;
pub mod records;

use std::sync::Arc;
use std::time::Duration;

use headwright::access::{self, Role, Site};
use headwright::app::serve;
use headwright::db::{FixedClock, OsChance, Stamp};
use headwright::web::{AppState, Rules};
use tempfile::TempDir;
use tokio::net::TcpListener;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;

pub use client::{Client, Reply};

/// 14 August 2026, noon in UTC.
pub const START: Stamp = Stamp::from_millis(1_786_708_800_000);

/// The people of a test firm: sign-in name, name, role. All share [`PASSWORD`].
pub const PEOPLE: [(&str, &str, Role); 6] = [
    ("owner", "Odette Brandreth", Role::Owner),
    ("office", "Osric Fennimore", Role::Office),
    ("foreman", "Fenella Garrick", Role::Foreman),
    ("foreman2", "Florian Hazelby", Role::Foreman),
    ("carpenter", "Cassia Inglenook", Role::Carpenter),
    ("carpenter2", "Cuthbert Jessamy", Role::Carpenter),
];

/// The password of everyone in a test firm.
pub const PASSWORD: &str = "wet slate and nine tall ladders";

/// A running program.
pub struct TestApp {
    /// Where it listens, `http://127.0.0.1:…`.
    pub url: String,
    /// Its clock.
    pub clock: Arc<FixedClock>,
    /// Its state, for looking behind the pages.
    pub app: AppState,
    /// What its guards share.
    pub site: Arc<Site>,
    /// Its data folder.
    pub dir: TempDir,
    stop: Option<oneshot::Sender<()>>,
    task: Option<JoinHandle<()>>,
}

/// Rules for tests: hashing that costs next to nothing.
pub fn rules() -> Rules {
    Rules {
        argon: (8, 1, 1),
        per_minute: 100_000,
        ..Rules::default()
    }
}

/// A firm with [`PEOPLE`], nothing else.
pub async fn a_firm() -> TestApp {
    start(rules(), true).await
}

/// A program with these rules, with people or empty.
pub async fn start(rules: Rules, people: bool) -> TestApp {
    let dir = TempDir::new().expect("a folder for the test");
    start_in(dir, rules, people).await
}

/// The same in a folder that may hold data already.
pub async fn start_in(dir: TempDir, rules: Rules, people: bool) -> TestApp {
    let clock = Arc::new(FixedClock::at(START));
    let held = Arc::clone(&clock);
    let built = serve::build(&dir.path().join("data"), held, Arc::new(OsChance), rules)
        .await
        .expect("the program starts");
    let (app, site) = (built.app.clone(), Arc::clone(&built.site));
    if people && !access::has_people(&app).await.expect("people are counted") {
        for (sign_in, name, role) in PEOPLE {
            access::seed_person(&app, &built.site.hasher, (sign_in, name, role, PASSWORD))
                .await
                .expect("a person is added");
        }
    }
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
    let url = format!("http://{}", listener.local_addr().expect("an address"));
    let (stop, stopped) = oneshot::channel::<()>();
    let task = tokio::spawn(async move {
        let ended = async move {
            let _ = stopped.await;
        };
        serve::run(built, listener, ended)
            .await
            .expect("the program ends cleanly");
    });
    TestApp {
        url,
        clock,
        app,
        site,
        dir,
        stop: Some(stop),
        task: Some(task),
    }
}

impl TestApp {
    /// A browser nobody signed in with.
    pub fn anonymous(&self) -> Client {
        Client::at(&self.url)
    }

    /// A browser in which the first person of this role signed in.
    pub async fn client_as(&self, role: Role) -> Client {
        self.signed_in(role.word()).await
    }

    /// A browser in which this person signed in.
    pub async fn signed_in(&self, sign_in: &str) -> Client {
        let client = self.anonymous();
        let reply = client.sign_in(sign_in, PASSWORD).await;
        assert_eq!(reply.status, 303, "{sign_in} signs in: {}", reply.body);
        client
    }

    /// The id of a person, by sign-in name.
    pub async fn person(&self, sign_in: &str) -> access::UserId {
        let people = access::people(self.app.db().read())
            .await
            .expect("people are read");
        people
            .into_iter()
            .find(|p| p.sign_in == sign_in)
            .expect("such a person")
            .id
    }

    /// Moves the clock on.
    pub fn later(&self, seconds: u64) {
        self.clock.advance(Duration::from_secs(seconds));
    }

    /// Everything in the database as one text, table by table: equal texts,
    /// equal data.
    pub async fn dump(&self) -> String {
        let pool = self.app.db().read();
        let tables: Vec<String> =
            sqlx::query_scalar("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
                .fetch_all(pool)
                .await
                .expect("tables are listed");
        let mut text = String::new();
        for table in tables {
            text += &dump_table(pool, &table).await;
        }
        text
    }

    /// Stops it and hands the folder on.
    pub async fn stop(mut self) -> TempDir {
        if let Some(stop) = self.stop.take() {
            let _ = stop.send(());
        }
        if let Some(task) = self.task.take() {
            task.await.expect("the program ended");
        }
        std::mem::replace(&mut self.dir, TempDir::new().expect("a folder"))
    }
}

async fn dump_table(pool: &sqlx::SqlitePool, table: &str) -> String {
    let columns: Vec<String> = sqlx::query_scalar("SELECT name FROM pragma_table_info(?)")
        .bind(table)
        .fetch_all(pool)
        .await
        .expect("columns are listed");
    let row = columns
        .iter()
        .map(|c| format!("quote(\"{c}\")"))
        .collect::<Vec<_>>()
        .join("||','||");
    let sql = format!("SELECT {row} FROM \"{table}\" ORDER BY 1");
    let rows: Vec<String> = sqlx::query_scalar(sqlx::AssertSqlSafe(sql))
        .fetch_all(pool)
        .await
        .expect("rows are read");
    format!("{table}\n{}\n", rows.join("\n"))
}
