//! The command line: arguments in, an exit status out. The work is the library's.

use std::io::{BufRead as _, IsTerminal as _};
use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

use clap::{Args, Parser, Subcommand};
use headwright::app::serve::{self, StartError};
use headwright::web::Rules;
use headwright::{access, backup, db};

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
    /// Make an encrypted backup, also while the pages are served.
    Backup(Backup),
    /// Restore a backup into a new data folder.
    Restore(Restore),
    /// Check a backup, or a data folder as it stands.
    Verify(Verify),
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
    /// Folder for a backup every hour; best on another disk.
    #[arg(long, requires = "backup_key")]
    backup_to: Option<PathBuf>,
    /// Public key of the backups, age1….
    #[arg(long, requires = "backup_to")]
    backup_key: Option<backup::Key>,
    /// Address of a proxy in front whose `X-Forwarded-For` is believed, so that
    /// sign-in delays count by the browser's address; may be given again.
    #[arg(long = "trusted-proxy", value_name = "ADDR")]
    trusted_proxies: Vec<std::net::IpAddr>,
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
struct Backup {
    /// Folder of the database.
    #[arg(long, default_value = "data")]
    data: PathBuf,
    /// Folder of the backups; best on another disk.
    #[arg(long, required_unless_present = "new_key")]
    to: Option<PathBuf>,
    /// Public key, age1….
    #[arg(long, required_unless_present = "new_key")]
    key: Option<backup::Key>,
    /// Make a new pair of keys instead: the private one into this new file.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["to", "key"])]
    new_key: Option<PathBuf>,
}

#[derive(Args)]
struct Restore {
    /// The backup.
    file: PathBuf,
    /// File of the private key.
    #[arg(long)]
    key: PathBuf,
    /// Folder to restore into; must not hold a database.
    #[arg(long, default_value = "data")]
    data: PathBuf,
}

#[derive(Args)]
struct Verify {
    /// The backup.
    #[arg(required_unless_present = "data", requires = "key")]
    file: Option<PathBuf>,
    /// File of the private key.
    #[arg(long)]
    key: Option<PathBuf>,
    /// A data folder instead of a backup.
    #[arg(long, conflicts_with = "file")]
    data: Option<PathBuf>,
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
        Command::Serve(a) => serve_pages(a),
        Command::Demo(a) => {
            start_log();
            on_runtime(serve::start(
                a.listen,
                &a.data,
                true,
                Rules::default(),
                None,
            ))
        }
        Command::User(user) => on_runtime(change_user(user)),
        Command::Backup(a) => on_runtime(make_backup(a)),
        Command::Restore(a) => on_runtime(restore(a)),
        Command::Verify(a) => on_runtime(verify(a)),
    }
    .map(|()| ExitCode::SUCCESS)
}

fn serve_pages(a: Listen) -> Result<(), String> {
    start_log();
    let rules = Rules {
        tls: a.tls,
        trusted_proxies: a.trusted_proxies,
        ..Rules::default()
    };
    let data = a.data.clone();
    let plan = a.backup_to.zip(a.backup_key);
    let plan = plan.map(|(to, key)| backup::Plan { data, to, key });
    on_runtime(serve::start(a.listen, &a.data, false, rules, plan))
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

async fn make_backup(a: Backup) -> Result<(), StartError> {
    if let Some(file) = a.new_key {
        let key = backup::new_key(&file)?;
        println!(
            "private key in {}: keep it off this machine",
            file.display()
        );
        println!("public key {key}");
        return Ok(());
    }
    let (Some(to), Some(key)) = (a.to, a.key) else {
        return Err(StartError::Web("--to and --key are needed".to_owned()));
    };
    let now = db::Clock::now(&db::SystemClock);
    let made = backup::make(&a.data, &to, &key, now).await?;
    println!("made {} ({} bytes)", made.file.display(), made.bytes);
    if made.dropped > 0 {
        println!("let go of {} older ones", made.dropped);
    }
    Ok(())
}

async fn restore(a: Restore) -> Result<(), StartError> {
    let key = backup::PrivateKey::read(&a.key)?;
    let manifest = backup::restore(&a.file, key, &a.data).await?;
    println!("restored into {}", a.data.display());
    say(&manifest);
    Ok(())
}

async fn verify(a: Verify) -> Result<(), StartError> {
    if let Some(data) = a.data {
        let step = backup::verify_data(&data).await?;
        println!("{} is whole (step {step})", data.display());
    } else if let (Some(file), Some(key)) = (a.file, a.key) {
        let manifest = backup::verify(&file, backup::PrivateKey::read(&key)?).await?;
        println!("{} is whole", file.display());
        say(&manifest);
    }
    Ok(())
}

fn say(manifest: &backup::Manifest) {
    let bytes: u64 = manifest.files.iter().map(|file| file.bytes).sum();
    println!(
        "made {} by {}, {} files, {bytes} bytes",
        db::Stamp::from_millis(manifest.made_at)
            .utc()
            .format("%Y-%m-%d %H:%M UTC"),
        manifest.program,
        manifest.files.len(),
    );
}

/// At a terminal the password is asked without showing it; else it is one line
/// of standard input.
fn ask_password() -> Result<String, StartError> {
    let stdin = std::io::stdin();
    if stdin.is_terminal() {
        return Ok(rpassword::prompt_password("new password (not shown): ")?);
    }
    let mut line = String::new();
    stdin.lock().read_line(&mut line)?;
    Ok(line.trim_end_matches(['\r', '\n']).to_owned())
}
