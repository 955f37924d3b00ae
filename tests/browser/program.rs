//! The built program, started on a free port with a data folder of its own.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// Someone who can sign in to the demo.
#[derive(Debug, Clone)]
pub struct Person {
    /// What they sign in with.
    pub name: String,
    /// Their password.
    pub password: String,
    /// Their role's word.
    pub role: String,
}

/// A running program. Dropped, it is asked to stop as a service would be.
pub struct Program {
    /// `http://127.0.0.1:PORT`.
    pub address: String,
    /// What an empty firm's console prints once.
    pub setup_code: Option<String>,
    /// Who can sign in to the demo.
    pub people: Vec<Person>,
    child: Child,
    data: TempDir,
}

impl Program {
    /// The demo: an invented firm full of work.
    pub fn demo() -> Self {
        Self::start("demo")
    }

    /// An empty firm.
    pub fn empty() -> Self {
        Self::start("serve")
    }

    fn start(command: &str) -> Self {
        let data = TempDir::new().expect("a data folder");
        let log = File::create(data.path().join("log.jsonl")).expect("a log");
        let mut child = Command::new(env!("CARGO_BIN_EXE_headwright"))
            .args([command, "--listen", "127.0.0.1:0", "--data"])
            .arg(data.path().join("data"))
            .stdout(Stdio::piped())
            .stderr(log)
            .spawn()
            .expect("the program starts");
        let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines();
        let mut program = Self {
            address: String::new(),
            setup_code: None,
            people: Vec::new(),
            child,
            data,
        };
        while let Some(Ok(line)) = lines.next() {
            if program.hears(&line) {
                std::thread::spawn(move || lines.for_each(drop));
                return program;
            }
        }
        panic!("the program ended before it listened: {}", program.log());
    }

    /// Takes in a line of its output; true once it listens and has named
    /// whoever can sign in.
    fn hears(&mut self, line: &str) -> bool {
        if let Some(code) = line.strip_prefix("set-up code ") {
            self.setup_code = Some(code.to_owned());
        }
        if let ["sign in", name, password, role] = line.split('\t').collect::<Vec<_>>()[..] {
            self.people.push(Person {
                name: name.to_owned(),
                password: password.to_owned(),
                role: role.to_owned(),
            });
        }
        if let Some(address) = line.strip_prefix("listening on ") {
            self.address = address.to_owned();
        }
        !self.address.is_empty()
    }

    /// The full address of a page.
    pub fn url(&self, path: &str) -> String {
        format!("{}{path}", self.address)
    }

    /// The first person of a role.
    pub fn person(&self, role: &str) -> &Person {
        let found = self.people.iter().find(|person| person.role == role);
        found.unwrap_or_else(|| panic!("the demo names no {role}"))
    }

    /// What it wrote to its log.
    pub fn log(&self) -> String {
        std::fs::read_to_string(self.data.path().join("log.jsonl")).unwrap_or_default()
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        if std::thread::panicking() {
            let log = self.log();
            let from = log.len().saturating_sub(4000);
            eprintln!(
                "the program's log ends:\n{}",
                log.get(from..).unwrap_or(&log)
            );
        }
        let pid = self.child.id().to_string();
        let _asked = Command::new("kill").args(["-TERM", &pid]).status();
        let patience = Instant::now() + Duration::from_secs(15);
        while Instant::now() < patience {
            if matches!(self.child.try_wait(), Ok(Some(_))) {
                return;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        let _ended = self.child.kill();
        let _waited = self.child.wait();
    }
}
