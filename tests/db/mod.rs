//! The database: opening, refusing, transactions, the records of every area.

use std::path::Path;
use std::time::Duration;

use headwright::access::{Made, UserId};
use headwright::db::{self, Db, KeyState, OpenError, Stamp, StoreError, version_number};
use tempfile::TempDir;

async fn open(dir: &TempDir) -> Db {
    Db::open(&dir.path().join("data")).await.expect("it opens")
}

fn folder() -> TempDir {
    TempDir::new().expect("a folder")
}

async fn a_person(db: &Db) -> i64 {
    let mut tx = db.write().await.expect("a transaction");
    let id: Option<i64> = sqlx::query_scalar(
        "INSERT INTO user (sign_in, name, role, password_hash, created_at)
         VALUES ('someone', 'Some One', 'owner', '', 0) RETURNING id",
    )
    .fetch_one(&mut *tx)
    .await
    .expect("added");
    tx.commit().await.expect("committed");
    id.expect("an id")
}

#[test]
fn versions_compare_as_numbers() {
    assert!(version_number("3.51.3") > version_number("3.51.2"));
    assert!(version_number("3.52.0") > version_number("3.51.30"));
    assert!(version_number("3.9.0") < version_number("3.51.3"));
    assert_eq!(version_number("three"), None);
    assert!(
        version_number("nonsense") < version_number(db::LEAST_SQLITE),
        "refused"
    );
}

#[tokio::test]
async fn the_built_in_sqlite_is_new_enough() {
    let dir = folder();
    let db = open(&dir).await;
    let found: String = sqlx::query_scalar("SELECT sqlite_version()")
        .fetch_one(db.read())
        .await
        .expect("read");
    assert!(
        version_number(&found) >= version_number("3.51.3"),
        "{found}"
    );
}

#[test]
fn there_is_one_sqlite_in_the_program() {
    let lock = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.lock"));
    let lock = lock.expect("Cargo.lock");
    assert_eq!(lock.matches("name = \"libsqlite3-sys\"").count(), 1);
    assert_eq!(lock.matches("name = \"sqlx\"\n").count(), 1);
    assert!(!lock.contains("name = \"rusqlite\""));
}

#[tokio::test]
async fn both_pools_hold_the_settings_that_must_hold() {
    let dir = folder();
    let db = open(&dir).await;
    let mut tx = db.write().await.expect("a transaction");
    for (pragma, wanted) in [
        ("synchronous", 2_i64),
        ("foreign_keys", 1),
        ("busy_timeout", 5000),
    ] {
        let sql = format!("PRAGMA {pragma}");
        let writer: i64 = sqlx::query_scalar(sqlx::AssertSqlSafe(sql.clone()))
            .fetch_one(&mut *tx)
            .await
            .expect("read");
        let reader: i64 = sqlx::query_scalar(sqlx::AssertSqlSafe(sql))
            .fetch_one(db.read())
            .await
            .expect("read");
        assert_eq!((writer, reader), (wanted, wanted), "{pragma}");
    }
    let trusted: i64 = sqlx::query_scalar("PRAGMA trusted_schema")
        .fetch_one(&mut *tx)
        .await
        .expect("read");
    let mapped: i64 = sqlx::query_scalar("PRAGMA mmap_size")
        .fetch_one(&mut *tx)
        .await
        .expect("read");
    assert_eq!((trusted, mapped), (0, 0));
}

#[tokio::test]
async fn readers_cannot_write() {
    let dir = folder();
    let db = open(&dir).await;
    let tried = sqlx::query("UPDATE firm SET name = 'x'")
        .execute(db.read())
        .await;
    let error = StoreError::from(tried.expect_err("a reader wrote"));
    assert!(matches!(error, StoreError::Full(_)), "{error:?}");
}

#[tokio::test]
async fn every_table_is_strict() {
    let dir = folder();
    let db = open(&dir).await;
    let loose: Vec<String> = sqlx::query_scalar(
        "SELECT name FROM pragma_table_list WHERE type = 'table' AND strict = 0
         AND name NOT LIKE 'sqlite%' AND name NOT LIKE '\\_sqlx%' ESCAPE '\\'",
    )
    .fetch_all(db.read())
    .await
    .expect("listed");
    assert_eq!(loose, Vec::<String>::new());
}

#[tokio::test]
async fn a_database_of_a_newer_program_is_refused() {
    let dir = folder();
    let db = open(&dir).await;
    let mut tx = db.write().await.expect("a transaction");
    sqlx::query("INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) VALUES (99999, 'later', 1, x'00', 0)")
        .execute(&mut *tx).await.expect("added");
    tx.commit().await.expect("committed");
    db.close().await;
    let error = Db::open(&dir.path().join("data"))
        .await
        .expect_err("opened a newer database");
    assert!(
        matches!(error, OpenError::Newer { found: 99999, .. }),
        "{error}"
    );
    assert!(error.to_string().contains("newer Headwright"));
}

#[tokio::test]
async fn a_damaged_file_is_refused_in_words() {
    let dir = folder();
    let db = open(&dir).await;
    let file = db.file().to_owned();
    db.close().await;
    let mut bytes = std::fs::read(&file).expect("read");
    let (from, to) = (4096 + 200, bytes.len().min(60_000));
    bytes[from..to].fill(0x5A);
    std::fs::write(&file, bytes).expect("written");
    assert!(
        Db::open(&dir.path().join("data")).await.is_err(),
        "opened a damaged file"
    );
}

#[tokio::test]
async fn opening_twice_keeps_what_is_there() {
    let dir = folder();
    let db = open(&dir).await;
    a_person(&db).await;
    db.close().await;
    let db = open(&dir).await;
    let count: i64 = sqlx::query_scalar("SELECT count(*) FROM user")
        .fetch_one(db.read())
        .await
        .expect("read");
    assert_eq!(count, 1);
}

#[tokio::test]
async fn a_transaction_dropped_leaves_nothing() {
    let dir = folder();
    let db = open(&dir).await;
    let mut tx = db.write().await.expect("a transaction");
    sqlx::query("UPDATE firm SET name = 'gone'")
        .execute(&mut *tx)
        .await
        .expect("set");
    drop(tx);
    let name: String = sqlx::query_scalar("SELECT name FROM firm")
        .fetch_one(db.read())
        .await
        .expect("read");
    assert_ne!(name, "gone");
    db.write()
        .await
        .expect("the writer is free again")
        .commit()
        .await
        .expect("committed");
}

#[tokio::test]
async fn writers_queue_and_readers_do_not_wait() {
    let dir = folder();
    let db = open(&dir).await;
    let mut first = db.write().await.expect("a transaction");
    sqlx::query("UPDATE firm SET name = 'first'")
        .execute(&mut *first)
        .await
        .expect("set");
    let other = db.clone();
    let second = tokio::spawn(async move {
        let mut tx = other.write().await.expect("in its turn");
        let seen: String = sqlx::query_scalar("SELECT name FROM firm")
            .fetch_one(&mut *tx)
            .await
            .expect("read");
        seen
    });
    tokio::time::sleep(Duration::from_millis(50)).await;
    let read: String = sqlx::query_scalar("SELECT name FROM firm")
        .fetch_one(db.read())
        .await
        .expect("read");
    assert_ne!(read, "first", "a reader sees what is committed");
    first.commit().await.expect("committed");
    assert_eq!(second.await.expect("the second"), "first");
}

#[tokio::test]
async fn audit_rows_can_be_neither_changed_nor_removed() {
    let dir = folder();
    let db = open(&dir).await;
    let who = a_person(&db).await;
    let mut tx = db.write().await.expect("a transaction");
    let (at, none) = (Stamp::from_millis(7), serde_json::json!({}));
    db::audit(&mut tx, at, Some(who), "job.added", ("job", Some(3)), &none)
        .await
        .expect("added");
    db::audit(&mut tx, at, None, "job.saved", ("job", Some(3)), &none)
        .await
        .expect("added");
    tx.commit().await.expect("committed");
    let rows = db::audit_of(db.read(), "job", 3).await.expect("read");
    assert_eq!(rows[0].who.as_deref(), Some("Some One"));
    assert_eq!(
        (rows[1].who.as_deref(), rows[1].event.as_str()),
        (None, "job.saved")
    );
    for sql in ["UPDATE audit SET event = 'x'", "DELETE FROM audit"] {
        let mut tx = db.write().await.expect("a transaction");
        assert!(sqlx::query(sql).execute(&mut *tx).await.is_err(), "{sql}");
    }
    assert_eq!(
        db::recent_audit(db.read(), (1, 0))
            .await
            .expect("read")
            .len(),
        1
    );
}

#[tokio::test]
async fn a_posted_key_is_new_once_then_known_by_its_body() {
    let dir = folder();
    let db = open(&dir).await;
    let who = a_person(&db).await;
    let (key, body, other) = ("a-key-of-twenty-letters", [1_u8; 32], [2_u8; 32]);
    let mut tx = db.write().await.expect("a transaction");
    assert_eq!(
        db::key_state(&mut tx, who, key, &body).await.expect("read"),
        KeyState::New
    );
    let at = Stamp::from_millis(1000);
    db::keep_key(&mut tx, at, who, (key, &body), "/there")
        .await
        .expect("kept");
    let done = KeyState::Done("/there".to_owned());
    assert_eq!(
        db::key_state(&mut tx, who, key, &body).await.expect("read"),
        done
    );
    assert_eq!(
        db::key_state(&mut tx, who, key, &other)
            .await
            .expect("read"),
        KeyState::OtherBody
    );
    assert_eq!(
        db::key_state(&mut tx, who + 1, key, &body)
            .await
            .expect("read"),
        KeyState::New
    );
    assert_eq!(db::forget_old_keys(&mut tx, at).await.expect("swept"), 0);
    assert_eq!(
        db::forget_old_keys(&mut tx, Stamp::from_millis(1001))
            .await
            .expect("swept"),
        1
    );
}

#[test]
fn an_instant_counts_milliseconds_and_knows_its_day() {
    let at = Stamp::from_millis(1_786_708_800_000);
    assert_eq!(at.to_string(), "2026-08-14T12:00:00.000Z");
    assert_eq!(at.local(chrono_tz::America::New_York), "2026-08-14 08:00");
    let late = at.plus(Duration::from_secs(15 * 3600));
    assert_eq!(
        late.date(chrono_tz::America::New_York).to_string(),
        "2026-08-14"
    );
    assert_eq!(late.date(chrono_tz::UTC).to_string(), "2026-08-15");
    assert_eq!(
        at.since(late),
        Duration::ZERO,
        "a clock that went back gives no span"
    );
    let made = Made { at, by: None };
    assert_eq!((made.user(), UserId::new(3).get()), (None, 3));
}
