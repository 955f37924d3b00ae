//! Backups: whole, sealed, kept by the rule, restored only into an empty place.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use chrono::{Datelike as _, NaiveDate};
use headwright::backup::{
    self, BackupError, Key, Made, PrivateKey, doomed, make, name_of, new_key, restore, time_of,
    verify,
};
use headwright::db::Stamp;
use proptest::prelude::*;
use tempfile::TempDir;

use crate::support::{self, TestApp};

struct Keys {
    public: Key,
    file: PathBuf,
}

fn keys(dir: &Path) -> Keys {
    let file = dir.join("firm.key");
    let public = new_key(&file).expect("a key is made");
    Keys { public, file }
}

fn private(keys: &Keys) -> PrivateKey {
    PrivateKey::read(&keys.file).expect("the key is read")
}

async fn rows_of(app: &TestApp, event: &str) -> i64 {
    sqlx::query_scalar("SELECT count(*) FROM audit WHERE event = ?")
        .bind(event)
        .fetch_one(app.app.db().read())
        .await
        .expect("rows are counted")
}

/// A backup of the firm in `kept`.
async fn kept(app: &TestApp, dir: &TempDir, keys: &Keys) -> Made {
    let to = dir.path().join("kept");
    let made = make(&data(app), &to, &keys.public, app.app.now()).await;
    made.expect("a backup is made")
}

fn data(app: &TestApp) -> PathBuf {
    app.app.db().file().parent().expect("a folder").to_owned()
}

fn stamp(text: &str) -> Stamp {
    let at = chrono::DateTime::parse_from_rfc3339(text).expect("a time");
    Stamp::from_millis(at.timestamp_millis())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_restored_firm_is_equal_to_the_one_backed_up() {
    let (app, dir) = (support::a_firm().await, TempDir::new().expect("a folder"));
    let keys = keys(dir.path());
    let photos = data(&app).join("photos");
    fs::create_dir_all(&photos).expect("a folder");
    fs::write(photos.join("ab12.jpg"), b"not really a photo").expect("a photo");
    let before = app.dump().await;
    let made = kept(&app, &dir, &keys).await;
    let listed = verify(&made.file, private(&keys))
        .await
        .expect("it is whole");
    assert_eq!(listed.files.len(), 2, "the database and one photo");
    let new = TempDir::new().expect("a folder");
    restore(&made.file, private(&keys), &new.path().join("data"))
        .await
        .expect("it is restored");
    let photo = fs::read(new.path().join("data/photos/ab12.jpg")).expect("the photo");
    assert_eq!(photo, b"not really a photo");
    let again = support::start_in(new, support::rules(), false).await;
    assert_eq!(again.dump().await, before);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_backup_under_eight_writers_is_a_whole_instant() {
    let (app, dir) = (support::a_firm().await, TempDir::new().expect("a folder"));
    let keys = keys(dir.path());
    let going = Arc::new(AtomicBool::new(true));
    let writers: Vec<_> = (0..8)
        .map(|writer| {
            let (app, going) = (app.app.clone(), Arc::clone(&going));
            tokio::spawn(async move {
                let mut turn = 0;
                while going.load(Ordering::Relaxed) {
                    turn += 1;
                    let mut tx = app.db().write().await.expect("its turn");
                    for half in ["first", "second"] {
                        let what = (half, Some(writer * 1_000 + turn));
                        headwright::db::audit(
                            &mut tx,
                            app.now(),
                            None,
                            "test.pair",
                            what,
                            &serde_json::json!({}),
                        )
                        .await
                        .expect("a row");
                    }
                    tx.commit().await.expect("kept");
                }
            })
        })
        .collect();
    let mut last = 0;
    for round in 0..3 {
        // A backup of a later instant must hold more.
        while rows_of(&app, "test.pair").await <= last {
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
        let to = dir.path().join(format!("kept{round}"));
        let made = make(&data(&app), &to, &keys.public, app.app.now())
            .await
            .expect("made while others write");
        let into = dir.path().join(format!("restored{round}"));
        restore(&made.file, private(&keys), &into)
            .await
            .expect("it is whole");
        let db = headwright::db::Db::open(&into).await.expect("it opens");
        let (first, second): (i64, i64) = sqlx::query_as(
            "SELECT coalesce(sum(thing = 'first'), 0), coalesce(sum(thing = 'second'), 0)
             FROM audit WHERE event = 'test.pair'",
        )
        .fetch_one(db.read())
        .await
        .expect("rows are counted");
        assert_eq!(first, second, "no half of a transaction is in a backup");
        assert!(first * 2 > last, "what was kept before is in it");
        last = first * 2;
        db.close().await;
    }
    going.store(false, Ordering::Relaxed);
    for writer in writers {
        writer.await.expect("it ends");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn no_backup_with_a_flipped_bit_or_a_lost_end_is_restored() {
    let (app, dir) = (support::a_firm().await, TempDir::new().expect("a folder"));
    let keys = keys(dir.path());
    let made = kept(&app, &dir, &keys).await;
    let whole = fs::read(&made.file).expect("it is read");
    let spoilt = dir.path().join("spoilt.age");
    let into = dir.path().join("never");
    let mut spoil: Vec<Vec<u8>> = (0..40_usize)
        .map(|n| {
            // Spread over the file, the header and the end among them.
            let at = n * (whole.len() - 1) / 39;
            let mut bytes = whole.clone();
            bytes[at] ^= 1 << (n % 8);
            bytes
        })
        .collect();
    spoil.extend([0, 1, 100, whole.len() / 2, whole.len() - 1].map(|n| whole[..n].to_vec()));
    for (n, bytes) in spoil.iter().enumerate() {
        fs::write(&spoilt, bytes).expect("a spoilt file");
        let got = restore(&spoilt, private(&keys), &into).await;
        assert!(got.is_err(), "spoilt file {n} was taken");
        assert!(
            !into.join("headwright.sqlite").exists(),
            "spoilt file {n} left a database"
        );
    }
    restore(&made.file, private(&keys), &into)
        .await
        .expect("the whole one is taken where the spoilt ones were not");
}

#[tokio::test(flavor = "multi_thread")]
async fn another_key_and_a_used_folder_are_refused_in_words() {
    let (app, dir) = (support::a_firm().await, TempDir::new().expect("a folder"));
    let (ours, other) = (keys(dir.path()), TempDir::new().expect("a folder"));
    let other = keys(other.path());
    let made = kept(&app, &dir, &ours).await;
    let wrong = restore(&made.file, private(&other), &dir.path().join("new")).await;
    assert!(matches!(wrong, Err(BackupError::WrongKey(_))), "{wrong:?}");
    let used = restore(&made.file, private(&ours), &data(&app)).await;
    assert!(matches!(used, Err(BackupError::Used(_))), "{used:?}");
    let none = make(
        &dir.path().join("nothing"),
        &dir.path().join("kept"),
        &ours.public,
        app.app.now(),
    )
    .await;
    assert!(none.is_err());
    let left: Vec<_> = fs::read_dir(dir.path().join("kept"))
        .expect("a folder")
        .flatten()
        .collect();
    assert_eq!(left.len(), 1, "no half file is left");
}

#[cfg(unix)]
#[test]
fn a_private_key_that_others_can_read_is_refused() {
    use std::os::unix::fs::PermissionsExt as _;
    let dir = TempDir::new().expect("a folder");
    let keys = keys(dir.path());
    assert!(PrivateKey::read(&keys.file).is_ok());
    fs::set_permissions(&keys.file, fs::Permissions::from_mode(0o640)).expect("changed");
    assert!(matches!(
        PrivateKey::read(&keys.file),
        Err(BackupError::OpenKey(_))
    ));
    assert!(new_key(&keys.file).is_err(), "a key is never written over");
}

#[test]
fn a_backups_name_gives_its_time_and_no_other_file_has_one() {
    let at = stamp("2026-02-28T23:59:59Z");
    assert_eq!(name_of(at), "headwright-2026-02-28T235959Z.age");
    assert_eq!(time_of(&name_of(at)), Some(at));
    for other in [
        "headwright-2026-02-30T000000Z.age",
        "notes.txt",
        "headwright-2026-2-3T000000Z.age",
    ] {
        assert_eq!(time_of(other), None, "{other}");
    }
}

/// Runs the rule hour by hour, as the program does.
fn kept_after(hours: i64, start: Stamp) -> (BTreeSet<Stamp>, Stamp) {
    let mut all = BTreeSet::new();
    let mut now = start;
    for hour in 0..hours {
        now = Stamp::from_millis(start.millis() + hour * 3_600_000);
        all.insert(now);
        for old in doomed(&all, now) {
            all.remove(&old);
        }
    }
    (all, now)
}

#[test]
fn a_year_of_hourly_backups_keeps_a_day_a_week_a_month_and_a_year() {
    let (kept, now) = kept_after(400 * 24, stamp("2025-01-01T00:00:00Z"));
    let date = |at: &Stamp| at.utc().date_naive();
    let today = date(&now);
    let days: BTreeSet<NaiveDate> = kept
        .iter()
        .map(date)
        .filter(|d| (today - *d).num_days() < 7)
        .collect();
    assert_eq!(days.len(), 7, "each of seven days");
    for back in 0..4 {
        // The last hour of that week, or now in this one.
        let monday = today - chrono::Days::new(u64::from(today.weekday().num_days_from_monday()));
        let next = monday + chrono::Days::new(7) - chrono::Days::new(7 * back);
        let end = next
            .and_time(chrono::NaiveTime::MIN)
            .and_utc()
            .timestamp_millis();
        let newest = Stamp::from_millis((end - 3_600_000).min(now.millis()));
        assert!(kept.contains(&newest), "the newest of {back} weeks ago");
    }
    let months: BTreeSet<_> = kept
        .iter()
        .map(|a| (date(a).year(), date(a).month()))
        .collect();
    assert_eq!(months.len(), 12, "each of twelve months");
    assert!(
        kept.len() <= 25 + 6 + 4 + 12,
        "and few more: {}",
        kept.len()
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn the_newest_backup_is_never_let_go(times in prop::collection::btree_set(0_i64..4_000_000_000_000, 1..60), now in 0_i64..4_000_000_000_000) {
        let all: BTreeSet<Stamp> = times.into_iter().map(Stamp::from_millis).collect();
        let gone = doomed(&all, Stamp::from_millis(now));
        let newest = *all.last().expect("at least one");
        prop_assert!(!gone.contains(&newest));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_copy_is_kept_before_a_newer_program_changes_the_database() {
    let app = support::a_firm().await;
    let newest = headwright::db::newest();
    let people: i64 = sqlx::query_scalar("SELECT count(*) FROM user")
        .fetch_one(app.app.db().read())
        .await
        .expect("people");
    let dir = app.stop().await;
    let folder = dir.path().join("data");
    let copies = || -> Vec<String> {
        let found = fs::read_dir(&folder).expect("a folder").flatten();
        let names = found.filter_map(|f| f.file_name().into_string().ok());
        names.filter(|n| n.starts_with("at-step-")).collect()
    };
    assert!(copies().is_empty(), "a new database needs no copy");
    // As if the newest step had not run yet. It then fails, as its tables are
    // there: the copy stays.
    let file = folder.join("headwright.sqlite");
    let base = sqlx::SqlitePool::connect(&format!("sqlite:{}", file.display()))
        .await
        .expect("it opens");
    sqlx::query("DELETE FROM _sqlx_migrations WHERE version = ?")
        .bind(newest)
        .execute(&base)
        .await
        .expect("undone");
    let step: i64 = sqlx::query_scalar("SELECT max(version) FROM _sqlx_migrations")
        .fetch_one(&base)
        .await
        .expect("a step");
    base.close().await;
    assert!(headwright::db::Db::open(&folder).await.is_err());
    let name = format!("at-step-{step:04}.sqlite");
    assert_eq!(copies(), [name.as_str()], "named by the step that it holds");
    // It is a whole database of that step with the firm in it.
    let other = TempDir::new().expect("a folder");
    fs::copy(folder.join(&name), other.path().join("headwright.sqlite")).expect("copied");
    assert_eq!(
        backup::verify_data(other.path()).await.expect("whole"),
        step
    );
    let copy = other.path().join("headwright.sqlite");
    let copy = sqlx::SqlitePool::connect(&format!("sqlite:{}", copy.display()))
        .await
        .expect("it opens");
    let kept: i64 = sqlx::query_scalar("SELECT count(*) FROM user")
        .fetch_one(&copy)
        .await
        .expect("people");
    copy.close().await;
    assert_eq!(kept, people);
    // A second start does not lose it.
    assert!(headwright::db::Db::open(&folder).await.is_err());
    assert_eq!(copies(), [name]);
}

#[tokio::test(flavor = "multi_thread")]
async fn old_backups_go_and_other_files_stay() {
    let (app, dir) = (support::a_firm().await, TempDir::new().expect("a folder"));
    let (keys, to) = (keys(dir.path()), dir.path().join("kept"));
    fs::create_dir_all(&to).expect("a folder");
    let future = name_of(app.app.now().plus(Duration::from_secs(90 * 24 * 60 * 60)));
    for name in ["headwright-2001-01-01T000000Z.age", "notes.txt", &future] {
        fs::write(to.join(name), b"").expect("a file");
    }
    let made = kept(&app, &dir, &keys).await;
    assert_eq!(made.dropped, 1);
    assert!(!to.join("headwright-2001-01-01T000000Z.age").exists());
    assert!(to.join("notes.txt").exists() && to.join(&future).exists() && made.file.exists());
    let left: Vec<_> = fs::read_dir(&to).expect("a folder").flatten().collect();
    assert_eq!(left.len(), 3, "nothing unfinished is left");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_start_cut_off_leaves_no_plain_copy_for_long() {
    let (app, dir) = (support::a_firm().await, TempDir::new().expect("a folder"));
    let keys = keys(dir.path());
    // No process has this number: the system's highest is far below.
    let stale = data(&app).join(".headwright-999999999-0");
    fs::create_dir_all(&stale).expect("a folder");
    fs::write(stale.join("headwright.sqlite"), b"plain").expect("a file");
    let _made = kept(&app, &dir, &keys).await;
    assert!(!stale.exists());
}

#[tokio::test(flavor = "multi_thread")]
async fn the_owner_sees_when_the_last_backup_was_made() {
    let app = support::a_firm().await;
    let owner = app.client_as(headwright::access::Role::Owner).await;
    let page = owner.get("/firm/backup").await;
    assert!(page.body.contains("None yet"), "{}", page.body);
    let mut tx = app.app.db().write().await.expect("a turn");
    headwright::db::audit(
        &mut tx,
        app.app.now(),
        None,
        "backup.made",
        ("backup", None),
        &serde_json::json!({}),
    )
    .await
    .expect("a row");
    tx.commit().await.expect("kept");
    let page = owner.get("/firm/backup").await;
    assert!(
        page.body.contains("Last made on") && !page.body.contains("Late"),
        "{}",
        page.body
    );
    app.later(26 * 60 * 60);
    let owner = app.client_as(headwright::access::Role::Owner).await;
    assert!(owner.get("/firm/backup").await.body.contains("Late"));
}
