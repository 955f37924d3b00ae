//! Where mouldings are worked out: in the background, one at a time, each to a
//! proof, a time limit or a press of *stop*, with the best so far kept.
//!
//! What runs is known only here, in memory. A solve without a result that does
//! not run was broken off by a stop of the program; its page says so and offers
//! to work it out again.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use tokio::sync::Semaphore;

use crate::cutting::{self, Order, OrderPlan, Progress};
use crate::db::{Stamp, StoreError};
use crate::web::AppState;

use super::model::{How, Outcome, Request, SolveId};
use super::store::plans;

/// One solve on its way.
#[derive(Debug, Default)]
pub struct Run {
    stop: AtomicBool,
    told: Mutex<Told>,
}

/// How far a solve has come.
#[derive(Debug, Clone, Copy, Default)]
pub struct Told {
    /// When it began; none while it waits for its turn.
    pub begun: Option<Stamp>,
    /// Cost of the best order so far and what none can beat, cents.
    pub best: Option<(i64, i64)>,
}

impl Run {
    /// How far it has come.
    #[must_use]
    pub fn told(&self) -> Told {
        *self.told.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn tell(&self, change: impl FnOnce(&mut Told)) {
        change(&mut self.told.lock().unwrap_or_else(PoisonError::into_inner));
    }
}

/// Everything that is being worked out.
#[derive(Clone)]
pub struct Desk(Arc<Inner>);

struct Inner {
    runs: Mutex<BTreeMap<SolveId, Arc<Run>>>,
    turn: Arc<Semaphore>,
}

impl Default for Desk {
    fn default() -> Self {
        Self(Arc::new(Inner {
            runs: Mutex::default(),
            // One at a time, so that pages stay quick on a small machine.
            turn: Arc::new(Semaphore::new(1)),
        }))
    }
}

impl Desk {
    /// Begins a solve in the background.
    pub fn start(&self, app: AppState, id: SolveId, request: Request, seconds: i64) {
        let run = Arc::new(Run::default());
        self.with(|runs| runs.insert(id, Arc::clone(&run)));
        let desk = self.clone();
        tokio::spawn(async move {
            let limit = Duration::from_secs(u64::try_from(seconds).unwrap_or(1));
            let (how, outcome) = desk.work(&app, run, request, limit).await;
            if let Err(error) = keep(&app, id, how, outcome.as_ref()).await {
                tracing::error!(solve = id.get(), cause = %error, "a result was not kept");
            }
            desk.with(|runs| runs.remove(&id));
        });
    }

    async fn work(
        &self,
        app: &AppState,
        run: Arc<Run>,
        request: Request,
        limit: Duration,
    ) -> (How, Option<Outcome>) {
        let Ok(_turn) = Arc::clone(&self.0.turn).acquire_owned().await else {
            return (How::Failed, None);
        };
        let (clock, of) = (app.clone(), Arc::clone(&run));
        let done = tokio::task::spawn_blocking(move || solved(&clock, &of, &request, limit)).await;
        match done {
            Ok(Some(outcome)) if run.stop.load(Ordering::Relaxed) => (How::Stopped, Some(outcome)),
            Ok(Some(outcome)) => (How::Ended, Some(outcome)),
            Ok(None) => (How::Failed, None),
            Err(error) => {
                tracing::error!(cause = %error, "a solve broke");
                (How::Failed, None)
            }
        }
    }

    /// How far a solve has come; none if it does not run.
    #[must_use]
    pub fn told(&self, id: SolveId) -> Option<Told> {
        self.with(|runs| runs.get(&id).map(|run| run.told()))
    }

    /// Ends a solve with the best so far; nothing if it does not run.
    pub fn stop(&self, id: SolveId) {
        self.with(|runs| {
            if let Some(run) = runs.get(&id) {
                run.stop.store(true, Ordering::Relaxed);
            }
        });
    }

    /// Ends every solve: the program stops.
    pub fn stop_all(&self) {
        self.with(|runs| {
            for run in runs.values() {
                run.stop.store(true, Ordering::Relaxed);
            }
        });
    }

    fn with<T>(&self, act: impl FnOnce(&mut BTreeMap<SolveId, Arc<Run>>) -> T) -> T {
        act(&mut self.0.runs.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// Keeps a result. The writer may be busy for a while: a result that took a
/// minute is worth three tries.
async fn keep(
    app: &AppState,
    id: SolveId,
    how: How,
    outcome: Option<&Outcome>,
) -> Result<(), StoreError> {
    let mut last = Err(StoreError::Missing("result"));
    for _ in 0..3 {
        last = async {
            let mut tx = app.db().write().await?;
            plans::put_result(&mut tx, app.now(), id, how, outcome).await?;
            tx.commit().await
        }
        .await;
        if !matches!(last, Err(StoreError::Busy(_))) {
            return last;
        }
    }
    last
}

/// The whole search for one moulding, with and without nesting.
fn solved(app: &AppState, run: &Run, request: &Request, limit: Duration) -> Option<Outcome> {
    let order = cutting::from_json(&request.order).ok()?;
    let begun = app.now();
    run.tell(|told| told.begun = Some(begun));
    let stop = || run.stop.load(Ordering::Relaxed) || app.now().since(begun) >= limit;
    let plan = cutting::plan(&order, true, &stop, &mut |p: Progress| {
        run.tell(|told| told.best = Some((p.cost_cents, p.bound_cents)));
    });
    let elapsed = app.now().since(begun).as_secs_f64() * 1000.0;
    let mitred = order
        .pieces
        .iter()
        .any(|p| slanted(p.left) || slanted(p.right));
    let flat_cents = if mitred && plan.status.has_plan() {
        flat(app, run, &order, &plan, limit)
    } else {
        None
    };
    let ends = plan.sticks.iter().map(|stick| {
        let ends = stick.cuts.iter().map(|cut| {
            let (l, r) = cutting::ends_as_cut(&order, cut);
            [l.per_u, l.per_v, r.per_u, r.per_v]
        });
        ends.collect()
    });
    Some(Outcome {
        ends: ends.collect(),
        plan: serde_json::from_value(cutting::json(&order, &plan, elapsed)).ok()?,
        flat_cents,
        mitred,
    })
}

fn slanted(end: Option<cutting::EndCut>) -> bool {
    end.is_some_and(|e| e.per_u.abs() > 1e-9 || e.per_v.abs() > 1e-9)
}

/// What the order costs with every mitre kept apart: told by the plan, or
/// worked out in half the time again; none if that is not proven.
fn flat(
    app: &AppState,
    run: &Run,
    order: &Order,
    plan: &OrderPlan,
    limit: Duration,
) -> Option<i64> {
    if let Some(nesting) = plan.nesting {
        return Some(plan.cost_cents + nesting.saved_cents);
    }
    let begun = app.now();
    let stop = || run.stop.load(Ordering::Relaxed) || app.now().since(begun) >= limit / 2;
    let flat = cutting::plan(order, false, &stop, &mut |_| ());
    flat.proven
        .first()
        .copied()
        .unwrap_or(false)
        .then_some(flat.cost_cents)
}
