//! Safety's forms: typed text to model.

use chrono::NaiveDate;

use super::model::{
    Answer, Answered, Doubt, Hazards, IncidentKind, Lines, NewIncident, NewTalk, NewTemplate,
    Reach, Scope, Template,
};
use crate::access::UserId;
use crate::heads::{StepId, Steps};
use crate::jobs::JobId;
use crate::measure::{Length, Unit};
use crate::web::{Check, Errors, Fields};

/// Most questions of one checklist: a longer one is not read.
const MOST_ASKS: usize = 20;

/// A checklist's words.
///
/// # Errors
/// What is wrong, beside its field.
pub fn template(fields: &Fields, steps: &Steps) -> Result<NewTemplate, Errors> {
    let mut check = Check::of(fields);
    let title = check.line("title", 80);
    let scope = check.one_of("scope", Scope::from_code);
    let asks: Vec<String> = check
        .lines("asks", 8000)
        .lines()
        .map(|line| line.trim().to_owned())
        .filter(|line| !line.is_empty())
        .collect();
    if asks.is_empty() && !check.failed("asks") {
        check.fail(
            "asks",
            "Write at least one question, each on a line of its own.",
        );
    }
    if asks.len() > MOST_ASKS {
        check.fail(
            "asks",
            format!("At most {MOST_ASKS} questions; this has {}.", asks.len()),
        );
    }
    if let Some(nth) = asks.iter().position(|ask| ask.chars().count() > 300) {
        check.fail(
            "asks",
            format!("Question {} has more than 300 characters.", nth + 1),
        );
    }
    let source = check.lines("source", 1000);
    let mut before = Vec::new();
    for text in fields.all("before") {
        match text
            .parse::<StepId>()
            .ok()
            .filter(|id| steps.get(*id).is_some())
        {
            Some(id) => before.push(id),
            None => check.fail("before", "Choose from the list."),
        }
    }
    check.finish_some(scope.map(|scope| NewTemplate {
        title,
        scope,
        asks,
        source,
        before,
    }))
}

/// A checklist as its form shows it.
#[must_use]
pub fn template_fields(template: &Template) -> Fields {
    let mut fields = Fields::default()
        .with("title", &template.title)
        .with("scope", template.scope.code())
        .with("asks", template.asks.join("\n"))
        .with("source", &template.source);
    for step in &template.before {
        fields = fields.with("before", step);
    }
    fields
}

/// The answers to a checklist's questions: every one is needed.
///
/// # Errors
/// Which are missing.
pub fn answers(fields: &Fields, asks: &[String]) -> Result<(Vec<Answered>, String), Errors> {
    let mut check = Check::of(fields);
    let mut all = Vec::new();
    for (nth, ask) in asks.iter().enumerate() {
        let (name, beside) = (format!("a{}", nth + 1), format!("n{}", nth + 1));
        let answer = check.parse(&name, |text| {
            Answer::from_code(text).ok_or_else(|| format!("Answer question {}.", nth + 1))
        });
        let note = check.optional_line(&beside, 300);
        if answer == Some(Answer::No) && note.is_empty() && !check.failed(&beside) {
            check.fail(
                &beside,
                format!(
                    "Question {}: say what is wrong and who sees to it.",
                    nth + 1
                ),
            );
        }
        if let Some(answer) = answer {
            all.push(Answered {
                ask: ask.clone(),
                answer: answer.code().to_owned(),
                note,
            });
        }
    }
    let note = check.lines("note", 2000);
    check.finish((all, note))
}

/// What is known of a site.
///
/// # Errors
/// What is wrong, beside its field.
pub fn hazards(fields: &Fields, unit: Unit) -> Result<Hazards, Errors> {
    let mut check = Check::of(fields);
    let long = |check: &mut Check<'_>, name: &str| {
        check.optional(name, |text| {
            Length::parse(text, unit)
                .map_err(|e| e.to_string())
                .and_then(|length| {
                    if (0.0..=12_000.0).contains(&length.inches()) {
                        Ok(length)
                    } else {
                        Err("Between 0 and 1000 ft.".to_owned())
                    }
                })
        })
    };
    let number = |check: &mut Check<'_>, name: &str, most: f64| {
        check.optional(name, |text| {
            text.parse::<f64>()
                .ok()
                .filter(|n| (0.0..=most).contains(n))
                .ok_or_else(|| format!("Write a number from 0 to {most}."))
        })
    };
    let work_height = long(&mut check, "work_height");
    let line_distance = long(&mut check, "line_distance");
    let line_kv = number(&mut check, "line_kv", 2000.0);
    let old_paint_sqft = number(&mut check, "old_paint_sqft", 100_000.0);
    let heat_index_f = check.whole("heat_index_f", -60..=160);
    let reach = check.one_of("reach", Reach::from_code);
    let lines = check.one_of("lines", Lines::from_code);
    let asbestos = check.one_of("asbestos", Doubt::from_code);
    let ticks = [
        "line_insulated",
        "lead_ruled_out",
        "window_replaced",
        "fibre_cement",
        "adhesive",
    ]
    .map(|name| check.ticked(name));
    let [
        line_insulated,
        lead_ruled_out,
        window_replaced,
        fibre_cement,
        adhesive,
    ] = ticks;
    let chosen = reach.zip(lines).zip(asbestos);
    check.finish_some(chosen.map(|((reach, lines), asbestos)| Hazards {
        work_height,
        reach,
        lines,
        line_distance,
        line_kv,
        line_insulated,
        lead_ruled_out,
        old_paint_sqft,
        window_replaced,
        asbestos,
        fibre_cement,
        adhesive,
        heat_index_f,
    }))
}

/// What is known of a site as its form shows it.
#[must_use]
pub fn hazard_fields(h: &Hazards) -> Fields {
    let mut fields = Fields::default()
        .with_some("work_height", h.work_height)
        .with("reach", h.reach.code())
        .with("lines", h.lines.code())
        .with_some("line_distance", h.line_distance)
        .with_some("line_kv", h.line_kv)
        .with_some("old_paint_sqft", h.old_paint_sqft)
        .with("asbestos", h.asbestos.code())
        .with_some("heat_index_f", h.heat_index_f);
    for (name, on) in [
        ("line_insulated", h.line_insulated),
        ("lead_ruled_out", h.lead_ruled_out),
        ("window_replaced", h.window_replaced),
        ("fibre_cement", h.fibre_cement),
        ("adhesive", h.adhesive),
    ] {
        if on {
            fields = fields.with(name, "yes");
        }
    }
    fields
}

/// A day not after today; empty is today.
fn past_day(check: &mut Check<'_>, today: NaiveDate) -> NaiveDate {
    let day = check.date("day").unwrap_or(today);
    if day > today {
        check.fail(
            "day",
            format!("This is written down afterwards: at latest today, {today}."),
        );
    }
    day
}

/// A talk.
///
/// # Errors
/// What is wrong, beside its field.
pub fn talk(
    fields: &Fields,
    job: JobId,
    today: NaiveDate,
    people: &[UserId],
) -> Result<NewTalk, Errors> {
    let mut check = Check::of(fields);
    let day = past_day(&mut check, today);
    let topic = check.line("topic", 120);
    let said = check.lines("said", 4000);
    let others = check.optional_line("others", 300);
    let mut there = Vec::new();
    for text in fields.all("there") {
        match text.parse::<UserId>().ok().filter(|id| people.contains(id)) {
            Some(id) => there.push(id),
            None => check.fail("there", "Choose from the list."),
        }
    }
    if there.is_empty() && others.is_empty() {
        check.fail("there", "Tick who was there, or name them below.");
    }
    check.finish(NewTalk {
        job,
        day,
        topic,
        said,
        there,
        others,
    })
}

/// An accident or near miss.
///
/// # Errors
/// What is wrong, beside its field.
pub fn incident(fields: &Fields, job: JobId, today: NaiveDate) -> Result<NewIncident, Errors> {
    let mut check = Check::of(fields);
    let day = past_day(&mut check, today);
    let time = check.optional_line("time", 20);
    let kind = check.one_of("kind", IncidentKind::from_code);
    let what = check.lines("what", 4000);
    if what.is_empty() && !check.failed("what") {
        check.fail("what", "Say what happened.");
    }
    let who = check.optional_line("who", 300);
    let care = check.lines("care", 2000);
    let changed = check.lines("changed", 2000);
    check.finish_some(kind.map(|kind| NewIncident {
        job,
        day,
        time,
        kind,
        what,
        who,
        care,
        changed,
    }))
}
