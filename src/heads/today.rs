//! What heads put on the Today page: a carpenter's own in the order of the
//! work, a foreman's that wait or are stuck.

use super::model::Card;
use super::steps::{Step, StepId, Steps};
use super::store;
use crate::access::{Me, Role};
use crate::web::{AppState, TodayItem, TodayList, WebError};

/// The lists for this person.
///
/// # Errors
/// The database's.
pub async fn lists(app: AppState, me: Me) -> Result<Vec<TodayList>, WebError> {
    let pool = app.db().read();
    let steps = store::steps(pool).await?;
    match me.role {
        Role::Carpenter => {
            let work = store::waiting::waiting_for(pool, me.id.get()).await?;
            let items = work
                .into_iter()
                .map(|(card, next)| item(&steps, card, next, true));
            Ok(vec![TodayList {
                title: "Your heads".into(),
                items: items.collect(),
                empty: "No head waits for you.".into(),
            }])
        }
        Role::Foreman | Role::Owner => {
            let leads = (me.role == Role::Foreman).then(|| me.id.get());
            let held = store::waiting::held(pool, leads).await?;
            let unassigned = store::waiting::unassigned(pool, leads).await?;
            let held = held.into_iter().map(|card| {
                let note = card.held.clone().unwrap_or_default();
                TodayItem {
                    note,
                    needs_hand: true,
                    ..item(&steps, card, None, false)
                }
            });
            let waiting = unassigned
                .into_iter()
                .map(|(card, next)| item(&steps, card, next, false));
            let late = store::from_site::heads_to_look_at(pool, leads).await?;
            let late = late.into_iter().map(|(id, words, count)| TodayItem {
                href: format!("/heads/{id}/site"),
                words,
                note: match count {
                    1 => "one tick from the site to decide".to_owned(),
                    many => format!("{many} ticks from the site to decide"),
                },
                needs_hand: true,
            });
            let yours = store::waiting::at_the_desk(pool, leads, false).await?;
            let yours = yours
                .into_iter()
                .map(|(card, next)| item(&steps, card, next, false));
            let mut lists = vec![
                TodayList {
                    title: "Cut against an older sheet".into(),
                    items: late.collect(),
                    empty: String::new(),
                },
                TodayList {
                    title: "Heads held".into(),
                    items: held.collect(),
                    empty: String::new(),
                },
                TodayList {
                    title: "Heads whose next step is given to nobody".into(),
                    items: waiting.collect(),
                    empty: String::new(),
                },
                TodayList {
                    title: "Heads that wait for you".into(),
                    items: yours.collect(),
                    empty: String::new(),
                },
            ];
            if me.role == Role::Owner {
                lists.extend(desk(&app, &steps).await?);
            }
            Ok(lists)
        }
        Role::Office => desk(&app, &steps).await,
    }
}

/// What waits for the office: a list for each of its steps, *to be ordered*,
/// *to be billed*.
async fn desk(app: &AppState, steps: &Steps) -> Result<Vec<TodayList>, WebError> {
    let waiting = store::waiting::at_the_desk(app.db().read(), None, true).await?;
    let list = |step: &Step| TodayList {
        title: format!("To be {}", step.name),
        items: waiting
            .iter()
            .filter(|(_, next)| *next == Some(step.id))
            .map(|(card, _)| item(steps, card.clone(), None, false))
            .collect(),
        empty: String::new(),
    };
    Ok(steps.iter().filter(|s| s.by_office).map(list).collect())
}

fn item(steps: &Steps, card: Card, next: Option<StepId>, sheet: bool) -> TodayItem {
    let next = next
        .and_then(|id| steps.get(id))
        .map(|s| format!("next: {}", s.name));
    let note = match (&card.held, next) {
        (Some(why), _) => format!("held: {why}"),
        (None, Some(next)) => next,
        (None, None) => card.step_name.clone(),
    };
    TodayItem {
        href: if sheet {
            format!("/heads/{}/sheet", card.id)
        } else {
            format!("/heads/{}", card.id)
        },
        words: format!("{} {} {}", card.place.job_code, card.place.mark, card.name),
        needs_hand: card.held.is_some(),
        note,
    }
}
