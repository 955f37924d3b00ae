//! What the eight people do: each sends a request and tells the model what must
//! come of it. A dropped request is never sent, so nothing comes of it.

use std::collections::BTreeSet;

use headwright::heads::{self, HeadId};

use super::{FIRST, HAND, World};

impl World {
    async fn slot(&self, head: i64, step: i64) -> (i64, i64) {
        sqlx::query_as("SELECT id, version FROM plan_slot WHERE head_id = ? AND step_id = ?")
            .bind(head)
            .bind(step)
            .fetch_one(self.firm.app.db().read())
            .await
            .expect("the slot")
    }

    fn a_slot(&mut self) -> Option<(i64, i64)> {
        let n = self.model.slots.len();
        (n > 0)
            .then(|| self.dice.below(n))
            .and_then(|n| self.model.slots.keys().nth(n).copied())
    }

    pub(super) async fn plan(&mut self, dropped: bool) {
        let (head, ..) = self.a_head();
        let step = self.steps[HAND[self.dice.below(HAND.len())]];
        let (to, day) = (self.carpenter(), self.a_day());
        let taken = self.model.slots.contains_key(&(head, step));
        if dropped || (taken && self.dice.chance(95)) {
            return;
        }
        let fields = [
            ("work", format!("{head}-{step}")),
            ("user", self.hands[to].id.to_string()),
            ("day", day.to_string()),
        ];
        let sent = self.sent(1, "/crew/plan/add", &fields, if taken { 422 } else { 303 });
        self.deliver(sent).await;
        if !taken {
            self.model.slots.insert((head, step), (to, day, 1));
            self.model
                .given
                .retain(|(h, s, _)| (*h, *s) != (head, step));
            self.model.given.insert((head, step, to));
        }
    }

    pub(super) async fn shift(&mut self, dropped: bool) {
        let Some((head, step)) = self.a_slot() else {
            return;
        };
        let (to, day, stale) = (self.carpenter(), self.a_day(), self.dice.chance(20));
        let (id, version) = self.slot(head, step).await;
        let fields = [
            ("slot", id.to_string()),
            ("_version", (version - i64::from(stale)).to_string()),
            ("user", self.hands[to].id.to_string()),
            ("day", day.to_string()),
        ];
        if dropped {
            return;
        }
        let sent = self.sent(2, "/crew/plan/move", &fields, if stale { 409 } else { 303 });
        self.deliver(sent).await;
        if !stale {
            self.model
                .slots
                .insert((head, step), (to, day, version + 1));
            self.model
                .given
                .retain(|(h, s, _)| (*h, *s) != (head, step));
            self.model.given.insert((head, step, to));
        }
    }

    pub(super) async fn off(&mut self, dropped: bool) {
        let Some((head, step)) = self.a_slot() else {
            return;
        };
        let (id, version) = self.slot(head, step).await;
        if dropped {
            return;
        }
        let fields = [("slot", id.to_string()), ("_version", version.to_string())];
        let sent = self.sent(0, "/crew/plan/remove", &fields, 303);
        self.deliver(sent).await;
        self.model.slots.remove(&(head, step));
    }

    pub(super) async fn away(&mut self, dropped: bool) {
        let (from, to, day) = (self.carpenter(), self.carpenter(), self.a_day());
        if dropped || from == to {
            return;
        }
        let fields = [
            ("away_user", self.hands[from].id.to_string()),
            ("away_first", day.to_string()),
            ("away_reason", "sick".to_owned()),
            ("away_to", self.hands[to].id.to_string()),
            ("away_lie", "left bench".to_owned()),
        ];
        let sent = self.sent(1, "/crew/plan/away", &fields, 303);
        self.deliver(sent).await;
        self.model.absences += 1;
        let mut told = BTreeSet::new();
        for ((head, step), slot) in &mut self.model.slots {
            if slot.0 == from && slot.1 == day {
                *slot = (to, day, slot.2 + 1);
                told.insert(*head);
                self.model.given.retain(|(h, s, _)| (h, s) != (head, step));
                self.model.given.insert((*head, *step, to));
            }
        }
        self.model.notes += told.len();
    }

    pub(super) async fn hours(&mut self, dropped: bool) {
        let who = self.carpenter();
        let mine: Vec<(i64, i64)> = self
            .model
            .given
            .iter()
            .filter(|g| g.2 == who)
            .map(|g| (g.0, g.1))
            .collect();
        if dropped || mine.is_empty() {
            return;
        }
        let (head, step) = mine[self.dice.below(mine.len())];
        let minutes = i64::try_from(5 + self.dice.below(90)).expect("small");
        let fields = [
            ("work", format!("{head}-{step}")),
            ("time", format!("0:{:02}", minutes % 60)),
            ("worked", FIRST.to_owned()),
        ];
        let (minutes, status) = (minutes % 60, if minutes % 60 == 0 { 422 } else { 303 });
        let sent = self.sent(who, "/crew/hours", &fields, status);
        self.deliver(sent).await;
        if status == 303 {
            self.model.hours.push((who, minutes, true));
        }
    }

    pub(super) async fn correct(&mut self, dropped: bool) {
        if dropped || self.model.hours.is_empty() {
            return;
        }
        let nth = self.dice.below(self.model.hours.len());
        let (who, _, counts) = self.model.hours[nth];
        let minutes = i64::try_from(self.dice.below(59)).expect("small");
        let fields = [
            ("time", format!("0:{minutes:02}")),
            ("worked", FIRST.to_owned()),
            ("note", "counted again".to_owned()),
        ];
        // Rows of hours are only ever added, in this order, so the row is known.
        let path = format!("/crew/hours/{}", nth + 1);
        let sent = self.sent(who, path, &fields, if counts { 303 } else { 409 });
        self.deliver(sent).await;
        if counts {
            self.model.hours[nth].2 = false;
            self.model.hours.push((who, minutes, true));
        }
    }

    pub(super) async fn timer(&mut self, dropped: bool) {
        let who = self.carpenter();
        let mine: Vec<(i64, i64)> = self
            .model
            .given
            .iter()
            .filter(|g| g.2 == who)
            .map(|g| (g.0, g.1))
            .collect();
        if dropped || mine.is_empty() {
            return;
        }
        if self.dice.chance(50) {
            let (head, step) = mine[self.dice.below(mine.len())];
            let running = self.model.timers.contains_key(&who);
            let fields = [("start_work", format!("{head}-{step}"))];
            let sent = self.sent(
                who,
                "/crew/hours/start",
                &fields,
                if running { 409 } else { 303 },
            );
            self.deliver(sent).await;
            self.model.timers.entry(who).or_insert(self.clock);
        } else {
            let since = self.model.timers.remove(&who);
            let sent = self.sent(
                who,
                "/crew/hours/stop",
                &[],
                if since.is_some() { 303 } else { 409 },
            );
            self.deliver(sent).await;
            if let Some(since) = since {
                let minutes = (self.clock - since + 59) / 60;
                self.model.hours.push((who, minutes.clamp(1, 960), true));
            }
        }
    }

    pub(super) async fn tick(&mut self, dropped: bool) {
        let n = self.model.given.len();
        if dropped || n == 0 {
            return;
        }
        let n = self.dice.below(n);
        let (head, _, who) = *self.model.given.iter().nth(n).expect("one");
        let label = self.labels[self.dice.below(self.labels.len())].clone();
        let undo = self.dice.chance(20);
        let mut fields = vec![("label", label.clone()), ("sheet_version", "1".to_owned())];
        if undo {
            fields.push(("do", "undo".to_owned()));
        }
        let sent = self.sent(who, format!("/heads/{head}/tick"), &fields, 303);
        self.deliver(sent).await;
        let ticks = self.model.ticks.entry(head).or_default();
        if undo {
            ticks.remove(&label);
        } else {
            ticks.insert(label);
        }
    }

    pub(super) async fn step(&mut self, dropped: bool) {
        let (head, _, foreman) = self.a_head();
        let place = self.model.places[&head];
        // Cutting waits for gates of its own; other tests try those.
        if dropped || place >= 3 {
            return;
        }
        let at = heads::at(self.firm.app.db().read(), HeadId::new(head))
            .await
            .expect("it stands");
        let fields = [
            ("do", "next".to_owned()),
            ("step", self.order[place + 1].to_string()),
            ("_version", at.version.to_string()),
        ];
        let sent = self.sent(foreman, format!("/heads/{head}/step"), &fields, 303);
        self.deliver(sent).await;
        self.model.places.insert(head, place + 1);
    }

    pub(super) async fn note(&mut self, dropped: bool) {
        let (head, job, foreman) = self.a_head();
        let to = self.carpenter();
        if dropped {
            return;
        }
        let fields = [
            ("words", "Look at the reveal".to_owned()),
            ("head", head.to_string()),
            ("to", self.hands[to].id.to_string()),
        ];
        let sent = self.sent(foreman, format!("/crew/jobs/{job}/notes"), &fields, 303);
        self.deliver(sent).await;
        self.model.notes += 1;
    }
}
