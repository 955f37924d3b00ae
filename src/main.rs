//! The command line: arguments in, an exit status out. The work is the library's.

use std::io::{BufRead as _, IsTerminal as _, Write as _};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use clap::{Args, Parser, Subcommand};
use headwright::app::serve::{self, StartError};
use headwright::web::Rules;
use headwright::{access, db};

/// Decorative exterior heads, from the tape to the saw.
#[derive(Parser)]
#[command(name = "headwright", version)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Serve the firm's own data.
    Serve(Listen),
    /// Serve an invented firm to try things out, on this machine only.
    Demo(Demo),
    /// Add an owner or set a forgotten password, from this console.
    User(User),
    #[command(flatten)]
    Solve(headwright::cli::Command),
}

#[derive(Args)]
struct Listen {
    /// Address and port; port 0 picks one.
    #[arg(long, default_value = "127.0.0.1:8080")]
    listen: SocketAddr,
    /// Folder of the database.
    #[arg(long, default_value = "data")]
    data: PathBuf,
    /// Browsers reach this over TLS, by a proxy in front: secure cookies, HSTS.
    #[arg(long)]
    tls: bool,
}

#[derive(Args)]
struct Demo {
    /// Address and port, on the loopback; port 0 picks one.
    #[arg(long, default_value = "127.0.0.1:8080")]
    listen: SocketAddr,
    /// Folder of the demo's database.
    #[arg(long, default_value = "demo-data")]
    data: PathBuf,
}

#[derive(Args)]
struct User {
    /// Folder of the database.
    #[arg(long, default_value = "data", global = true)]
    data: PathBuf,
    #[command(subcommand)]
    what: UserWhat,
}

#[derive(Subcommand)]
enum UserWhat {
    /// Add an owner; the password is asked, or read from standard input.
    AddOwner {
        /// What they sign in with.
        sign_in: String,
        /// Their name.
        name: String,
    },
    /// Set a new password and end the person's sessions.
    ResetPassword {
        /// What they sign in with.
        sign_in: String,
    },
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    match run(cli.command) {
        Ok(status) => status,
        Err(words) => {
            eprintln!("headwright: {words}");
            ExitCode::from(2)
        }
    }
}

fn run(command: Command) -> Result<ExitCode, String> {
    match command {
        Command::Solve(command) => return Ok(command.on_console()),
        Command::Serve(a) => serve_pages(
            a.listen,
            &a.data,
            false,
            Rules {
                tls: a.tls,
                ..Rules::default()
            },
        ),
        Command::Demo(a) => serve_pages(a.listen, &a.data, true, Rules::default()),
        Command::User(user) => on_runtime(change_user(user)),
    }
    .map(|()| ExitCode::SUCCESS)
}

fn serve_pages(listen: SocketAddr, data: &Path, demo: bool, rules: Rules) -> Result<(), String> {
    start_log();
    on_runtime(serve::start(listen, data, demo, rules))
}

fn on_runtime(work: impl Future<Output = Result<(), StartError>>) -> Result<(), String> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|error| format!("cannot start: {error}"))?;
    runtime.block_on(work).map_err(|error| error.to_string())
}

/// JSON lines on standard error; `HEADWRIGHT_LOG` sets how much.
fn start_log() {
    let filter = tracing_subscriber::EnvFilter::try_from_env("HEADWRIGHT_LOG")
        .unwrap_or_else(|_| tracing_subscriber::EnvFilter::new("info,sqlx=warn"));
    tracing_subscriber::fmt()
        .json()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .init();
}

async fn change_user(user: User) -> Result<(), StartError> {
    let chance = Arc::new(db::OsChance);
    let clock = Arc::new(db::SystemClock);
    let built = serve::build(&user.data, clock, chance, Rules::default()).await?;
    let hasher = &built.site.hasher;
    match user.what {
        UserWhat::AddOwner { sign_in, name } => {
            let password = ask_password()?;
            access::add_owner(&built.app, hasher, (&sign_in, &name, &password)).await?;
            println!("added owner {sign_in}");
        }
        UserWhat::ResetPassword { sign_in } => {
            let password = ask_password()?;
            access::reset_password(&built.app, hasher, (&sign_in, &password)).await?;
            println!("new password for {sign_in}");
        }
    }
    built.app.db().close().await;
    Ok(())
}

/// One line of standard input. Typed letters are seen: the console is the
/// machine's own, and no library is worth hiding them.
fn ask_password() -> Result<String, StartError> {
    let stdin = std::io::stdin();
    if stdin.is_terminal() {
        print!("new password (shown as you type): ");
        std::io::stdout().flush()?;
    }
    let mut line = String::new();
    stdin.lock().read_line(&mut line)?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}
