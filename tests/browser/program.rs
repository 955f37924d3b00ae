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
    command: &'static str,
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

    fn start(command: &'static str) -> Self {
        let data = TempDir::new().expect("a data folder");
        let child = child(command, "127.0.0.1:0", &data);
        let mut program = Self {
            address: String::new(),
            setup_code: None,
            people: Vec::new(),
            command,
            child,
            data,
        };
        program.listen();
        program
    }

    /// Reads its output until it listens.
    fn listen(&mut self) {
        let mut lines = BufReader::new(self.child.stdout.take().expect("piped")).lines();
        while let Some(Ok(line)) = lines.next() {
            if self.hears(&line) {
                std::thread::spawn(move || lines.for_each(drop));
                return;
            }
        }
        panic!("the program ended before it listened: {}", self.log());
    }

    /// Ends it: as seen from a phone, there is no signal.
    pub fn cut_off(&mut self) {
        self.end();
    }

    /// Starts it again at the same address on the same data.
    pub fn come_back(&mut self) {
        let listen = self.address.trim_start_matches("http://").to_owned();
        self.child = child(self.command, &listen, &self.data);
        self.address.clear();
        self.people.clear();
        self.listen();
    }

    /// Asks it to stop as a service would be, and waits.
    fn end(&mut self) {
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
        if !matches!(self.child.try_wait(), Ok(Some(_))) {
            self.end();
        }
    }
}

fn child(command: &str, listen: &str, data: &TempDir) -> Child {
    let log = File::options()
        .create(true)
        .append(true)
        .open(data.path().join("log.jsonl"))
        .expect("a log");
    Command::new(env!("CARGO_BIN_EXE_headwright"))
        .args([command, "--listen", listen, "--data"])
        .arg(data.path().join("data"))
        .stdout(Stdio::piped())
        .stderr(log)
        .spawn()
        .expect("the program starts")
}
