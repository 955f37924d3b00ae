//! The program itself: what it prints, where it listens, what its log holds,
//! how it stops.

use std::io::{BufRead as _, BufReader, Read as _};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

fn headwright(arguments: &[&str], data: &TempDir) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_headwright"));
    command
        .args(arguments)
        .arg("--data")
        .arg(data.path().join("data"));
    command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// Starts it and reads what it prints up to the address.
fn started(arguments: &[&str], data: &TempDir) -> (Child, Vec<String>, String) {
    let mut child = headwright(arguments, data).spawn().expect("it starts");
    let mut lines = Vec::new();
    for line in BufReader::new(child.stdout.take().expect("stdout")).lines() {
        let line = line.expect("a line");
        if let Some(url) = line.strip_prefix("listening on ") {
            return (child, lines, url.to_owned());
        }
        lines.push(line);
    }
    let end = child.wait_with_output().expect("its end");
    panic!(
        "never listened: {lines:?} {}",
        String::from_utf8_lossy(&end.stderr)
    );
}

/// Asks it to stop by SIGTERM; its exit code and what it logged.
fn stopped(mut child: Child) -> (Option<i32>, String) {
    let told = Command::new("kill")
        .arg(child.id().to_string())
        .status()
        .expect("kill runs");
    assert!(told.success());
    let begun = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("its state") {
            break status;
        }
        assert!(
            begun.elapsed() < Duration::from_secs(15),
            "it does not stop"
        );
        std::thread::sleep(Duration::from_millis(20));
    };
    let mut log = String::new();
    child
        .stderr
        .take()
        .expect("stderr")
        .read_to_string(&mut log)
        .expect("text");
    (status.code(), log)
}

#[tokio::test]
async fn the_demo_prints_its_sign_ins_and_logs_nothing_private() {
    let data = TempDir::new().expect("a folder");
    let (child, lines, url) = started(&["demo", "--listen", "127.0.0.1:0"], &data);
    let people: Vec<Vec<&str>> = lines.iter().map(|l| l.split('\t').collect()).collect();
    assert!(people.len() >= 8);
    assert!(
        people.iter().all(|p| p.len() == 4 && p[0] == "sign in"),
        "{lines:?}"
    );
    for role in ["owner", "office", "foreman", "carpenter"] {
        assert!(people.iter().any(|p| p[3] == role), "{role}");
    }
    let client = crate::support::Client::at(&url);
    let owner = people.iter().find(|p| p[3] == "owner").expect("an owner");
    assert_eq!(client.sign_in(owner[1], owner[2]).await.status, 303);
    let fields = [("name", "Canaryname"), ("phone", "555-canary")];
    client.send("/firm/profile", "/firm/profile", &fields).await;
    client.get("/clients?q=canaryquery").await;
    client.get("/join/canarytoken").await;
    let stranger = crate::support::Client::at(&url);
    assert_eq!(
        stranger
            .sign_in("canaryuser", "canary password typed")
            .await
            .status,
        422
    );
    let (code, log) = stopped(child);
    assert_eq!(code, Some(0));
    assert!(log.contains("\"route\":\"/firm/profile\""), "{log}");
    for line in log.lines() {
        let parsed: serde_json::Value = serde_json::from_str(line).expect("a JSON line");
        assert!(
            parsed["timestamp"]
                .as_str()
                .is_some_and(|t| t.ends_with('Z')),
            "{line}"
        );
    }
    let low = log.to_lowercase();
    for canary in ["canary", owner[2], "set-cookie", "_csrf"] {
        assert!(!low.contains(canary), "{canary} in {log}");
    }
}

#[test]
fn the_demo_refuses_any_address_but_the_loopback() {
    let data = TempDir::new().expect("a folder");
    let end = headwright(&["demo", "--listen", "0.0.0.0:0"], &data)
        .output()
        .expect("it ends");
    assert_eq!(end.status.code(), Some(2));
    let words = String::from_utf8_lossy(&end.stderr);
    assert!(words.contains("loopback"), "{words}");
    assert!(!data.path().join("data").exists(), "nothing was made");
}

#[test]
fn an_empty_firm_prints_its_set_up_code_and_stops_cleanly() {
    let data = TempDir::new().expect("a folder");
    let (child, lines, _) = started(&["serve", "--listen", "127.0.0.1:0"], &data);
    let code = lines
        .iter()
        .find_map(|l| l.strip_prefix("set-up code "))
        .expect("a code")
        .to_owned();
    assert_eq!(code.len(), 26, "128 bits in base 32");
    let (end, log) = stopped(child);
    assert_eq!(end, Some(0));
    assert!(!log.contains(&code), "the code is for the console only");
}

#[test]
fn the_console_adds_an_owner_and_refuses_a_weak_password() {
    use std::io::Write as _;
    let data = TempDir::new().expect("a folder");
    let add = |password: &str| {
        let arguments = ["user", "add-owner", "odette", "Odette Brandreth"];
        let mut command = headwright(&arguments, &data);
        let mut child = command.stdin(Stdio::piped()).spawn().expect("it starts");
        let line = format!("{password}\n");
        child
            .stdin
            .take()
            .expect("stdin")
            .write_all(line.as_bytes())
            .expect("typed");
        child.wait_with_output().expect("its end").status.code()
    };
    assert_eq!(add("short"), Some(2));
    assert_eq!(add("wet slate and nine tall ladders"), Some(0));
    assert_eq!(
        add("wet slate and nine tall ladders"),
        Some(2),
        "the name is taken"
    );
    let (child, lines, _) = started(&["serve", "--listen", "127.0.0.1:0"], &data);
    assert!(
        lines.is_empty(),
        "no set-up code once there is an owner: {lines:?}"
    );
    assert_eq!(stopped(child).0, Some(0));
}
