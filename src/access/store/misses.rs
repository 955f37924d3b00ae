//! Wrong passwords, written down before they are checked, so that a hundred
//! tries at once are counted as a hundred and a restart forgets none.

use std::time::Duration;

use crate::db::{Stamp, StoreError, Tx};

use super::super::delay::{FREE_ACCOUNT, FREE_ADDRESS, WINDOW, wait};

/// A try at signing in, counted as a miss until it is forgiven.
#[derive(Debug)]
pub struct Attempt {
    account: String,
    address_row: Option<i64>,
}

async fn waiting(
    tx: &mut Tx,
    (what, who): (&str, &str),
    now: Stamp,
    free: usize,
) -> Result<Option<Duration>, StoreError> {
    let (count, last): (i64, Option<i64>) = sqlx::query_as(
        "SELECT count(*), max(at) FROM sign_in_miss WHERE what = ? AND who = ? AND at > ?",
    )
    .bind(what)
    .bind(who)
    .bind(now.millis() - i64::try_from(WINDOW.as_millis()).unwrap_or(i64::MAX))
    .fetch_one(&mut **tx)
    .await?;
    let Some(last) = last else { return Ok(None) };
    Ok(wait(
        usize::try_from(count).unwrap_or(0),
        Stamp::from_millis(last),
        now,
        free,
    ))
}

async fn note(tx: &mut Tx, what: &str, who: &str, now: Stamp) -> Result<Option<i64>, StoreError> {
    Ok(
        sqlx::query_scalar(
            "INSERT INTO sign_in_miss (what, who, at) VALUES (?, ?, ?) RETURNING id",
        )
        .bind(what)
        .bind(who)
        .bind(now.millis())
        .fetch_one(&mut **tx)
        .await?,
    )
}

/// Counts a try as a miss of the account and of the address, or says how long
/// to wait; a try made while waiting is not counted.
pub async fn begin_attempt(
    tx: &mut Tx,
    account: &str,
    address: &str,
    now: Stamp,
) -> Result<Result<Attempt, Duration>, StoreError> {
    let by_account = waiting(tx, ("account", account), now, FREE_ACCOUNT).await?;
    let by_address = waiting(tx, ("address", address), now, FREE_ADDRESS).await?;
    if let Some(left) = by_account.max(by_address) {
        return Ok(Err(left));
    }
    note(tx, "account", account, now).await?;
    let address_row = note(tx, "address", address, now).await?;
    Ok(Ok(Attempt {
        account: account.to_owned(),
        address_row,
    }))
}

/// The password was right: the account starts afresh, the address loses this miss.
pub async fn forgive(tx: &mut Tx, attempt: &Attempt) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM sign_in_miss WHERE (what = 'account' AND who = ?) OR id = ?")
        .bind(&attempt.account)
        .bind(attempt.address_row)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Drops misses that no longer count.
pub async fn forget_old_misses(tx: &mut Tx, before: Stamp) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM sign_in_miss WHERE at < ?")
        .bind(before.millis())
        .execute(&mut **tx)
        .await?;
    Ok(())
}
