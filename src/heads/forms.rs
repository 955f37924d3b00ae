//! A head's form: the table of kinds as fields for the page, and a posted
//! form as a design or as errors beside the fields.

use serde_json::Value;

use super::kinds::{Field, Input, KINDS, When};
use super::model::HeadName;
use super::shop::{Shop, findings, solved};
use super::slots::{self, Slot};
use super::taken::Shelf;
use super::typed::{self, Typed};
use crate::openings::Surveyed;
use crate::trim::design::Design;
use crate::trim::sheet::{Finding, Sheet};
use crate::web::{Check, Choice, Errors};

/// A field as the page draws it.
#[derive(Debug, Clone)]
pub struct FieldView {
    /// Its name and id.
    pub name: String,
    /// Beside it.
    pub label: &'static str,
    /// Under it.
    pub hint: &'static str,
    /// `length`, `number`, `pitch`, `choice`, `lines` or `text`.
    pub shape: &'static str,
    /// For a choice.
    pub choices: Vec<Choice>,
    /// Name of the select beside a pitch.
    pub written_as: String,
}

/// A group of fields as the page draws it.
#[derive(Debug, Clone)]
pub struct GroupView {
    /// Its heading.
    pub title: String,
    /// The name of its box, if it may be left out.
    pub tick: Option<String>,
    /// In a list: what the button asks that takes it out, and its word.
    pub leave: Option<(String, String)>,
    /// After a list's last: the list, and the word for one more.
    pub grows: Option<(String, String)>,
    /// Its fields.
    pub fields: Vec<FieldView>,
}

/// How a pitch may be written.
#[must_use]
pub fn pitch_choices() -> Vec<Choice> {
    vec![
        Choice::new("rise", "in 12"),
        Choice::new("degrees", "degrees"),
    ]
}

/// The kinds to choose from.
#[must_use]
pub fn kind_choices() -> Vec<Choice> {
    KINDS.iter().map(|k| Choice::new(k.kind, k.title)).collect()
}

/// The units to choose from.
#[must_use]
pub fn unit_choices() -> Vec<Choice> {
    vec![
        Choice::new("in", "inches"),
        Choice::new("mm", "millimetres"),
    ]
}

/// The groups of a form, in order: each part of an assembly is followed by
/// its own.
#[must_use]
pub fn groups(typed: &Typed, shelf: &Shelf) -> Vec<GroupView> {
    let mut all = Vec::new();
    for slot in slots::slots(typed) {
        if slot.group.when != When::Each {
            all.push(view(&slot, None, typed, shelf));
            continue;
        }
        let many = slot.many(typed);
        all.extend((0..many).map(|nth| view(&slot, Some(nth), typed, shelf)));
        if let Some(last) = all.last_mut() {
            last.grows = Some((slot.list(), slot.group.title.to_lowercase()));
        }
    }
    all
}

fn view(slot: &Slot, nth: Option<usize>, typed: &Typed, shelf: &Shelf) -> GroupView {
    let fields = slot.group.fields.iter();
    let fields = fields.map(|field| field_view(slot, field, nth.unwrap_or(0), (typed, shelf)));
    GroupView {
        title: match nth {
            None => slot.title(),
            Some(n) => format!("{} {}", slot.title(), n + 1),
        },
        tick: matches!(slot.group.when, When::Ticked(_)).then(|| slot.tick()),
        leave: nth.map(|n| {
            let word = slot.group.title.to_lowercase();
            (format!("remove:{}:{n}", slot.list()), word)
        }),
        grows: None,
        fields: fields.collect(),
    }
}

fn field_view(
    slot: &Slot,
    field: &Field,
    nth: usize,
    (typed, shelf): (&Typed, &Shelf),
) -> FieldView {
    let name = slot.name(field, nth);
    let shape = match field.input {
        Input::Length => "length",
        Input::Degrees | Input::Count => "number",
        Input::Pitch => "pitch",
        Input::Choice(_) | Input::Shelf => "choice",
        Input::Points(_) | Input::Directions | Input::Lengths | Input::Corners | Input::Path => {
            "lines"
        }
        Input::Name | Input::Words(_) | Input::End | Input::Pair => "text",
    };
    let choices = match field.input {
        Input::Choice(choices) => choices
            .iter()
            .map(|(value, words)| Choice::new(value, words))
            .collect(),
        Input::Pitch => pitch_choices(),
        Input::Shelf => shelf.choices(typed.get(&name)),
        _ => Vec::new(),
    };
    FieldView {
        written_as: format!("{name}.as"),
        name,
        label: field.label,
        hint: field.hint,
        shape,
        choices,
    }
}

/// The fields of the form that the present kind does not show, so that what
/// was typed for another kind is not lost: name and text.
#[must_use]
pub fn kept(typed: &Typed) -> Vec<(String, String)> {
    let shown: Vec<String> = groups(typed, &Shelf::default())
        .into_iter()
        .flat_map(|g| {
            let fields = g.fields.into_iter().flat_map(|f| [f.name, f.written_as]);
            fields.chain(g.tick).collect::<Vec<_>>()
        })
        .chain(["kind", "unit", "name", "do"].map(str::to_owned))
        .collect();
    let fields = typed.fields();
    let hidden = fields
        .iter()
        .filter(|(name, _)| !shown.iter().any(|s| s == name));
    hidden
        .map(|(name, text)| (name.to_owned(), text.to_owned()))
        .collect()
}

/// A form that can be saved.
#[derive(Debug, Clone)]
pub struct Good {
    /// The head's name.
    pub name: HeadName,
    /// The design's JSON.
    pub design: Value,
}

/// What a form draws.
#[derive(Debug, Default)]
pub struct Drawing {
    /// The solved head, if every field can be read.
    pub solved: Option<(Design, Sheet)>,
    /// What a person must know, worst first.
    pub findings: Vec<Finding>,
    /// What is wrong with which field.
    pub errors: Errors,
}

/// Reads a form and draws it. A head that cannot be made may still be saved:
/// it is drawn as it is wanted, and its findings say what is wrong.
#[must_use]
pub fn read(
    typed: &Typed,
    opening: Option<&Surveyed>,
    (shop, shelf): (&Shop, &Shelf),
) -> (Option<Good>, Drawing) {
    let fields = typed.fields();
    let mut check = Check::of(&fields);
    let line = check.line("name", HeadName::LONGEST);
    let named = HeadName::parse(&line);
    let mut drawing = Drawing {
        errors: check.errors(),
        ..Drawing::default()
    };
    let plain = named.as_ref().map_or("", HeadName::as_str);
    match typed::to_json(typed, plain).and_then(|design| shelf.filled(design)) {
        Err(errors) => errors
            .iter()
            .for_each(|(field, words)| drawing.errors.add(field, words)),
        Ok(design) => match solved(&design, None, shop) {
            Err(wrong) => {
                let field = typed::field_at(typed, &wrong.at);
                let words = match &field {
                    Some(name) => format!("{} {}.", place(name, &wrong.at), wrong.what),
                    None => format!("{wrong}."),
                };
                drawing
                    .errors
                    .add(&field.unwrap_or_default(), capital(words.trim()));
            }
            Ok((whole, sheet)) => {
                drawing.findings = findings(&whole, &sheet, opening, shop);
                drawing.solved = Some((whole, sheet));
                if let (Ok(name), true) = (named, drawing.errors.is_empty()) {
                    return (Some(Good { name, design }), drawing);
                }
            }
        },
    }
    (None, drawing)
}

/// Which line of a field with many, from the engine's path.
fn place(field: &str, path: &str) -> String {
    if path.starts_with("run `") {
        return format!("{path}:");
    }
    let path = path.replace('[', ".").replace(']', "");
    let rest = path
        .strip_prefix(field)
        .unwrap_or("")
        .trim_start_matches('.');
    match rest.split('.').next().and_then(|n| n.parse::<usize>().ok()) {
        Some(nth) => format!("Line {}", nth + 1),
        None => "This".to_owned(),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// What suits an opening: the board covers it and a casing at each side.
/// 4 1/2 in a casing is common practice, no source.
pub fn suit(typed: &mut Typed, opening: &Surveyed, name: &str) {
    use crate::measure::{Length, Unit};
    const CASING: i64 = 114_300_000;
    let unit = if typed.get("unit") == "mm" {
        Unit::Millimetre
    } else {
        Unit::Inch
    };
    let widest = opening
        .counts()
        .and_then(|m| m.widths.iter().flatten().copied().max());
    let span = widest.and_then(|w| w.checked_add(Length::from_nanometres(2 * CASING)));
    if let Some(span) = span {
        typed.set("span", round_up(span).exact(unit));
    }
    typed.set("name", name);
}

/// To the next 1/8 in, as a board is marked.
fn round_up(length: crate::measure::Length) -> crate::measure::Length {
    const EIGHTH: i64 = 3_175_000;
    let whole =
        length.nanometres().div_euclid(EIGHTH) + i64::from(length.nanometres() % EIGHTH > 0);
    crate::measure::Length::from_nanometres(whole * EIGHTH)
}
