//! Which backups are kept: all of the last day, the newest of each of the
//! last 7 days, 4 weeks and 12 months, and always the newest of all.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use chrono::{Datelike as _, Days, Months, NaiveDate, NaiveDateTime};

use crate::db::Stamp;

use super::BackupError;

const FORM: &str = "headwright-%Y-%m-%dT%H%M%SZ.age";

/// The file name of a backup made at this instant, in UTC.
#[must_use]
pub fn name_of(at: Stamp) -> String {
    at.utc().format(FORM).to_string()
}

/// The instant in a backup's file name, `None` for any other file.
#[must_use]
pub fn time_of(name: &str) -> Option<Stamp> {
    let at = NaiveDateTime::parse_from_str(name, FORM).ok()?;
    let stamp = Stamp::from_millis(at.and_utc().timestamp_millis());
    (name_of(stamp) == name).then_some(stamp)
}

/// Those of `all` that need not be kept any longer.
#[must_use]
pub fn doomed(all: &BTreeSet<Stamp>, now: Stamp) -> Vec<Stamp> {
    let today = now.utc().date_naive();
    let mut kept: BTreeSet<Stamp> = all.last().copied().into_iter().collect();
    let day = std::time::Duration::from_secs(24 * 60 * 60);
    kept.extend(all.iter().filter(|at| at.plus(day) >= now));
    let days = today.checked_sub_days(Days::new(6));
    kept.extend(newest_of_each(all, days, |date| date));
    let weeks = monday(today).checked_sub_days(Days::new(21));
    kept.extend(newest_of_each(all, weeks, monday));
    let months = first(today).checked_sub_months(Months::new(11));
    kept.extend(newest_of_each(all, months, first));
    all.difference(&kept).copied().collect()
}

fn monday(date: NaiveDate) -> NaiveDate {
    let back = u64::from(date.weekday().num_days_from_monday());
    date.checked_sub_days(Days::new(back)).unwrap_or(date)
}

fn first(date: NaiveDate) -> NaiveDate {
    date.with_day(1).unwrap_or(date)
}

/// The newest in each span since `from`; `span` gives the day that a span begins.
fn newest_of_each(
    all: &BTreeSet<Stamp>,
    from: Option<NaiveDate>,
    span: impl Fn(NaiveDate) -> NaiveDate,
) -> Vec<Stamp> {
    let mut last = None;
    let mut newest = Vec::new();
    for at in all.iter().rev() {
        let begins = span(at.utc().date_naive());
        if from.is_some_and(|from| begins >= from) && last != Some(begins) {
            last = Some(begins);
            newest.push(*at);
        }
    }
    newest
}

/// Lets go of what need not be kept; gives how many. Files that are no
/// backups are left alone.
pub(super) fn tidy(folder: &Path, now: Stamp) -> Result<usize, BackupError> {
    let mut all = BTreeSet::new();
    for found in fs::read_dir(folder).map_err(BackupError::at(folder))? {
        let found = found.map_err(BackupError::at(folder))?;
        all.extend(found.file_name().to_str().and_then(time_of));
    }
    let old = doomed(&all, now);
    for at in &old {
        let file = folder.join(name_of(*at));
        fs::remove_file(&file).map_err(BackupError::at(&file))?;
    }
    Ok(old.len())
}

/// The newest backup in a folder that was made by now: one that a wrong clock
/// dated in the future does not count.
pub(super) fn newest(folder: &Path, now: Stamp) -> Option<Stamp> {
    let names = fs::read_dir(folder).ok()?.flatten();
    names
        .filter_map(|f| f.file_name().to_str().and_then(time_of))
        .filter(|at| *at <= now)
        .max()
}
