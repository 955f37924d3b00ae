//! Starting and stopping: open the data folder, listen, leave cleanly.

use std::io::Write as _;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use thiserror::Error;
use tokio::net::TcpListener;

use crate::access::{self, Site};
use crate::backup::{self, BackupError};
use crate::db::{self, Chance, Clock, Db, OpenError};
use crate::firm;
use crate::orders;
use crate::web::{AppState, Rules, WebError};

use super::seed;

/// Why the program cannot start.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum StartError {
    /// The data folder.
    #[error("{0}")]
    Open(#[from] OpenError),
    /// The address.
    #[error("{address}: {error}")]
    Listen {
        /// The address asked for.
        address: SocketAddr,
        /// What the system said.
        error: std::io::Error,
    },
    /// The demo must not be reached from outside.
    #[error(
        "{0}: the demo's passwords are public, so it listens on the loopback only (127.0.0.1 or ::1)"
    )]
    NotLoopback(SocketAddr),
    /// A backup.
    #[error("{0}")]
    Backup(#[from] BackupError),
    /// Anything of the pages.
    #[error("{0}")]
    Web(String),
    /// The console or the network.
    #[error("{0}")]
    Io(#[from] std::io::Error),
}

impl From<WebError> for StartError {
    fn from(error: WebError) -> Self {
        match error {
            WebError::Internal(words) | WebError::BadRequest(words) => Self::Web(words),
            other => Self::Web(format!("{other:?}")),
        }
    }
}

/// The program put together, not yet listening.
pub struct Built {
    /// State, for the console and tests.
    pub app: AppState,
    /// The router.
    pub router: Router,
    /// What the guards share.
    pub site: Arc<Site>,
}

/// Opens `data` and joins everything.
///
/// # Errors
/// See [`StartError`].
pub async fn build(
    data: &Path,
    clock: Arc<dyn Clock>,
    chance: Arc<dyn Chance>,
    rules: Rules,
) -> Result<Built, StartError> {
    let db = Db::open(data).await?;
    let basics = firm::basics(db.read()).await.map_err(WebError::from)?;
    let app = AppState::new(db, clock, chance, rules, basics);
    access::sweep(&app).await?;
    let (router, site) = super::router(app.clone())?;
    crate::safety::lay_down(&app).await?;
    Ok(Built { app, router, site })
}

/// Listens until `stop` is done, then lets what is in flight end: ten seconds at most.
///
/// # Errors
/// The network's.
pub async fn run(
    built: Built,
    listener: TcpListener,
    stop: impl Future<Output = ()> + Send + 'static,
) -> Result<(), StartError> {
    let (told, heard) = tokio::sync::oneshot::channel::<()>();
    let service = built
        .router
        .into_make_service_with_connect_info::<SocketAddr>();
    let server = axum::serve(listener, service).with_graceful_shutdown(async move {
        stop.await;
        let _ = told.send(());
    });
    let late = async {
        let _ = heard.await;
        tokio::time::sleep(Duration::from_secs(10)).await;
    };
    tokio::select! {
        ended = server => ended?,
        () = late => tracing::warn!("some requests did not end within ten seconds"),
    }
    // A search of minutes must not hold the program's end up.
    if let Some(desk) = built.app.hook::<orders::Desk>() {
        desk.stop_all();
    }
    built.app.db().close().await;
    Ok(())
}

/// `serve` and `demo`: everything from the arguments to the clean end, with
/// a backup every hour if there is a plan for it.
///
/// # Errors
/// See [`StartError`].
pub async fn start(
    listen: SocketAddr,
    data: &Path,
    demo: bool,
    rules: Rules,
    backups: Option<backup::Plan>,
) -> Result<(), StartError> {
    if demo && !listen.ip().is_loopback() {
        return Err(StartError::NotLoopback(listen));
    }
    let built = build(
        data,
        Arc::new(db::SystemClock),
        Arc::new(db::OsChance),
        rules,
    )
    .await?;
    if demo {
        seed::demo(&built.app, &built.site).await?;
    }
    let listener = TcpListener::bind(listen)
        .await
        .map_err(|error| StartError::Listen {
            address: listen,
            error,
        })?;
    let stop = stop_signal()?;
    announce(&built, listener.local_addr()?, demo).await?;
    if let Some(plan) = backups {
        // Ends with the program: a half-made backup has no name yet.
        tokio::spawn(backup::every_hour(built.app.clone(), plan));
    }
    run(built, listener, stop).await
}

async fn announce(built: &Built, address: SocketAddr, demo: bool) -> Result<(), StartError> {
    let mut out = String::new();
    if demo {
        for line in seed::sign_ins()? {
            out += &format!(
                "sign in\t{}\t{}\t{}\n",
                line.sign_in, line.password, line.role
            );
        }
    } else if !access::has_people(&built.app).await? {
        let code = access::new_setup_code(&built.app, &built.site)?;
        out +=
            &format!("set-up code {code}\nopen http://{address}/setup to make the first owner\n");
    }
    out += &format!("listening on http://{address}\n");
    let mut stdout = std::io::stdout().lock();
    stdout.write_all(out.as_bytes())?;
    stdout.flush()?;
    Ok(())
}

/// SIGTERM or Ctrl-C. Set before listening, so that none is missed.
fn stop_signal() -> Result<impl Future<Output = ()> + Send + 'static, StartError> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut term = signal(SignalKind::terminate())?;
    let mut int = signal(SignalKind::interrupt())?;
    Ok(async move {
        tokio::select! {
            _ = term.recv() => {}
            _ = int.recv() => {}
        }
    })
}
