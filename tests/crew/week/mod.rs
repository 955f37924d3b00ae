//! A simulated week from one seed: eight people, sixty heads, requests that
//! are dropped, doubled in turn, doubled at once and sent again much later. A
//! model beside the program says what must have come of it.

mod deeds;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate};
use headwright::access::{self, Role};
use headwright::heads::{self, HeadId};

use crate::heads::{a_gable, a_head, an_opening};
use crate::support::{self, Client, PASSWORD, TestApp, html};

const SEED: u64 = 0x5EED_0826;
const STEPS: usize = 10_000;
const HAND: [&str; 5] = ["cut", "assembled", "primed", "hung", "flashed"];
const FIRST: &str = "2026-08-10";

/// Small and good enough: a 64-bit shift-and-multiply generator, from memory.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33;
        usize::try_from(bits).expect("31 bits") % n
    }

    fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }
}

struct Hand {
    id: i64,
    client: Client,
    csrf: String,
}

/// A request: who sends what where, and the answer that must come.
#[derive(Clone)]
struct Sent {
    who: usize,
    path: String,
    fields: Vec<(String, String)>,
    status: u16,
}

/// What the books must say.
#[derive(Default)]
struct Model {
    slots: BTreeMap<(i64, i64), (usize, NaiveDate, i64)>,
    given: BTreeSet<(i64, i64, usize)>,
    hours: Vec<(usize, i64, bool)>,
    timers: BTreeMap<usize, i64>,
    ticks: BTreeMap<i64, BTreeSet<String>>,
    places: BTreeMap<i64, usize>,
    notes: usize,
    absences: usize,
    effects: usize,
}

struct World {
    firm: TestApp,
    dice: Dice,
    /// Owner, two foremen, five carpenters.
    hands: Vec<Hand>,
    heads: Vec<(i64, i64, usize)>,
    labels: Vec<String>,
    steps: BTreeMap<String, i64>,
    order: Vec<i64>,
    model: Model,
    late: Vec<(Sent, String)>,
    keys: usize,
    clock: i64,
}

async fn hand(firm: &TestApp, sign_in: &str) -> Hand {
    let client = firm.signed_in(sign_in).await;
    let page = client.get("/firm/profile").await;
    let form = html::form(&page.body, "/firm/profile").expect("a form");
    let csrf = form.into_iter().find(|(name, _)| name == "_csrf");
    Hand {
        id: firm.person(sign_in).await.get(),
        client,
        csrf: csrf.expect("a token").1,
    }
}

async fn world() -> World {
    let firm = support::a_firm().await;
    for (sign_in, name) in [
        ("c3", "Clemency Orrin"),
        ("c4", "Corwin Pask"),
        ("c5", "Calla Quill"),
    ] {
        let person = (sign_in, name, Role::Carpenter, PASSWORD);
        access::seed_person(&firm.app, &firm.site.hasher, person)
            .await
            .expect("a person");
    }
    let mut hands = Vec::new();
    for sign_in in [
        "owner",
        "foreman",
        "foreman2",
        "carpenter",
        "carpenter2",
        "c3",
        "c4",
        "c5",
    ] {
        hands.push(hand(&firm, sign_in).await);
    }
    let mut all = Vec::new();
    for n in 0..6 {
        let foreman = 1 + n % 2;
        let by = access::UserId::new(hands[foreman].id);
        let (job, opening) = an_opening(&firm.app, by, &format!("W{n}")).await;
        for _ in 0..10 {
            let head = a_head(&firm.app, by, opening, a_gable()).await;
            all.push((head.get(), job, foreman));
        }
    }
    let pool = firm.app.db().read();
    let shop = heads::shop_settings(pool, &firm.app.firm())
        .await
        .expect("a shop");
    let (_, sheet) = heads::solved(&a_gable(), None, &shop).expect("it solves");
    let labels = sheet
        .runs
        .iter()
        .flat_map(|run| &run.pieces)
        .map(|p| p.label.clone());
    let steps = heads::steps(pool).await.expect("steps");
    let mut world = World {
        dice: Dice(SEED),
        hands,
        labels: labels.collect(),
        steps: steps.iter().map(|s| (s.name.clone(), s.id.get())).collect(),
        order: steps.iter().map(|s| s.id.get()).collect(),
        model: Model::default(),
        late: Vec::new(),
        keys: 0,
        clock: 0,
        heads: all,
        firm,
    };
    for (head, ..) in &world.heads {
        world.model.places.insert(*head, 0);
    }
    world
}

impl World {
    fn carpenter(&mut self) -> usize {
        3 + self.dice.below(5)
    }

    fn a_day(&mut self) -> NaiveDate {
        let first: NaiveDate = FIRST.parse().expect("a day");
        let on = u64::try_from(self.dice.below(5)).expect("small");
        first.checked_add_days(Days::new(on)).expect("a day")
    }

    fn a_head(&mut self) -> (i64, i64, usize) {
        let n = self.dice.below(self.heads.len());
        self.heads[n]
    }

    fn sent(
        &mut self,
        who: usize,
        path: impl Into<String>,
        fields: &[(&str, String)],
        status: u16,
    ) -> Sent {
        self.keys += 1;
        let mut all = vec![
            ("_csrf".to_owned(), self.hands[who].csrf.clone()),
            (
                "_key".to_owned(),
                format!("a-week-of-one-seed-{:08}", self.keys),
            ),
        ];
        all.extend(
            fields
                .iter()
                .map(|(name, value)| ((*name).to_owned(), value.clone())),
        );
        Sent {
            who,
            path: path.into(),
            fields: all,
            status,
        }
    }

    async fn post(&self, sent: &Sent) -> support::Reply {
        let fields: Vec<(&str, &str)> = sent
            .fields
            .iter()
            .map(|(n, v)| (n.as_str(), v.as_str()))
            .collect();
        self.hands[sent.who]
            .client
            .post_raw(&sent.path, &fields)
            .await
    }

    /// Sends it as the network pleases: once, twice, twice at once, or again
    /// much later.
    async fn deliver(&mut self, sent: Sent) {
        let how = self.dice.below(10);
        let reply = if how == 0 {
            let (one, two) = tokio::join!(self.post(&sent), self.post(&sent));
            assert_eq!(
                (one.status, one.location()),
                (two.status, two.location()),
                "{}",
                sent.path
            );
            one
        } else {
            self.post(&sent).await
        };
        assert_eq!(
            reply.status, sent.status,
            "{} {:?}: {}",
            sent.path, sent.fields, reply.body
        );
        if reply.status != 303 {
            return;
        }
        self.model.effects += 1;
        let told = reply.location().to_owned();
        if how == 1 {
            assert_eq!(self.post(&sent).await.location(), told, "doubled in turn");
        } else if how == 2 {
            self.late.push((sent, told));
        }
    }

    /// A request of long ago arrives again: the same answer, no effect.
    async fn again(&mut self) {
        if self.late.is_empty() {
            return;
        }
        let n = self.dice.below(self.late.len());
        let (sent, told) = self.late.swap_remove(n);
        let reply = self.post(&sent).await;
        // Whoever has lost the head meanwhile is told of nothing there.
        let lost = self.heads.iter().any(|(head, ..)| {
            sent.path == format!("/heads/{head}/tick")
                && !self
                    .model
                    .given
                    .iter()
                    .any(|g| (g.0, g.2) == (*head, sent.who))
        });
        let meant = if lost {
            (404, "")
        } else {
            (303, told.as_str())
        };
        assert_eq!((reply.status, reply.location()), meant, "{}", sent.path);
    }

    async fn one(&mut self) {
        let dropped = self.dice.chance(10);
        // Seconds: all of it within one sign-in.
        let pass = 1 + self.dice.below(4);
        self.firm.later(u64::try_from(pass).expect("small"));
        self.clock += i64::try_from(pass).expect("small");
        match self.dice.below(40) {
            0..=5 => self.plan(dropped).await,
            6..=10 => self.shift(dropped).await,
            11 => self.off(dropped).await,
            12 => self.away(dropped).await,
            13..=18 => self.hours(dropped).await,
            19..=21 => self.correct(dropped).await,
            22..=25 => self.timer(dropped).await,
            26..=33 => self.tick(dropped).await,
            34..=36 => self.step(dropped).await,
            37 => self.note(dropped).await,
            _ => self.again().await,
        }
    }

    async fn count(&self, sql: &'static str) -> usize {
        let n: i64 = sqlx::query_scalar(sql)
            .fetch_one(self.firm.app.db().read())
            .await
            .expect("counted");
        usize::try_from(n).expect("not below nothing")
    }

    /// The books and the model agree.
    async fn compare(&self) {
        let pool = self.firm.app.db().read();
        let rows: Vec<(i64, i64, i64, String, i64)> = sqlx::query_as(
            "SELECT head_id, step_id, user_id, day, version FROM plan_slot ORDER BY 1, 2",
        )
        .fetch_all(pool)
        .await
        .expect("the plan");
        let meant: Vec<_> = self
            .model
            .slots
            .iter()
            .map(|((h, s), (who, day, v))| (*h, *s, self.hands[*who].id, day.to_string(), *v))
            .collect();
        assert_eq!(rows, meant, "the plan");
        let rows: Vec<(i64, i64)> = sqlx::query_as(
            "SELECT user_id, sum(minutes) FROM hours h WHERE NOT EXISTS
             (SELECT 1 FROM hours n WHERE n.replaces = h.id) GROUP BY 1 ORDER BY 1",
        )
        .fetch_all(pool)
        .await
        .expect("the hours");
        let mut meant: BTreeMap<i64, i64> = BTreeMap::new();
        for (who, minutes, _) in self.model.hours.iter().filter(|h| h.2) {
            *meant.entry(self.hands[*who].id).or_default() += minutes;
        }
        assert_eq!(
            rows,
            meant.into_iter().collect::<Vec<_>>(),
            "hours by person"
        );
        assert_eq!(
            self.count("SELECT count(*) FROM hours").await,
            self.model.hours.len()
        );
        for (head, meant) in &self.model.ticks {
            let ticks = heads::ticks(pool, HeadId::new(*head), 1)
                .await
                .expect("ticks");
            let found: BTreeSet<String> = ticks.into_iter().map(|t| t.label).collect();
            assert_eq!(&found, meant, "ticks of head {head}");
        }
        for (head, place) in &self.model.places {
            let at = heads::at(pool, HeadId::new(*head))
                .await
                .expect("it stands");
            assert_eq!(
                at.standing.step.get(),
                self.order[*place],
                "step of head {head}"
            );
        }
        assert_eq!(
            self.count("SELECT count(*) FROM note").await,
            self.model.notes,
            "notes"
        );
        assert_eq!(
            self.count("SELECT count(*) FROM absence").await,
            self.model.absences
        );
        assert_eq!(
            self.count("SELECT count(*) FROM timer").await,
            self.model.timers.len()
        );
        assert_eq!(
            self.count(
                "SELECT count(*) FROM audit WHERE event LIKE 'plan.%' OR event LIKE 'hours.%'
                        OR event IN ('note.added', 'head.ticked', 'head.step')"
            )
            .await,
            self.model.effects,
            "one row of the audit for each thing done"
        );
    }
}

#[tokio::test]
async fn a_week_of_dropped_and_doubled_requests_leaves_the_books_as_the_model_has_them() {
    let mut world = world().await;
    for n in 0..STEPS {
        world.one().await;
        if n % 500 == 499 {
            world.compare().await;
        }
    }
    while !world.late.is_empty() {
        world.again().await;
    }
    world.compare().await;
    assert!(
        world.model.effects > STEPS / 2,
        "{} effects",
        world.model.effects
    );
}
