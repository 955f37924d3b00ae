//! What the bench may measure on a head, as fields of a form.

use super::model::Head;
use super::shop::{Shop, read};
use crate::measure::{Length, parse_number};
use crate::trim::built::{self, AsBuilt, Ask, Is, Spot};
use crate::trim::design::Design;
use crate::trim::sheet::Sheet;
use crate::trim::{Rules, Wrong};
use crate::web::{Check, Choice, Errors, Fields};

/// How the angles of a form are written.
const WRITTEN: &str = "angles_as";

/// One field of the form.
#[derive(Debug, Clone)]
pub struct AskField {
    /// Its number on the drawing.
    pub nth: usize,
    /// Its name and id.
    pub name: String,
    /// Beside it.
    pub label: String,
    /// Under it: what is drawn.
    pub hint: String,
    /// A length; else an angle.
    pub length: bool,
}

/// Fields that stand together.
#[derive(Debug, Clone)]
pub struct AskGroup {
    /// Its heading.
    pub title: String,
    /// In the order of the wall.
    pub asks: Vec<AskField>,
}

/// What may be measured on this head.
///
/// # Errors
/// Where the design is wrong.
pub fn asks(design: &Design, shop: &Shop) -> Result<Vec<Ask>, Wrong> {
    built::asks(
        design,
        &Rules {
            short_piece: shop.wording.short,
            ..Rules::default()
        },
    )
}

/// The field of a spot. Runs are told by their place, since a run may have any
/// name.
fn name_of(asks: &[Ask], spot: &Spot) -> String {
    let place = |run: &String| {
        let mut names: Vec<&String> = Vec::new();
        for ask in asks {
            if let Spot::Leg(name, _) = &ask.spot
                && !names.contains(&name)
            {
                names.push(name);
            }
        }
        names.iter().position(|name| *name == run).unwrap_or(0)
    };
    match spot {
        Spot::Segment(n) => format!("segments.{n}"),
        Spot::Joint(n) => format!("joints.{n}"),
        Spot::Leg(run, n) => format!("runs.{}.legs.{n}", place(run)),
        Spot::Corner(run, n) => format!("runs.{}.corners.{n}", place(run)),
        named => named.path(),
    }
}

/// The field that an error of the engine is about; empty for the whole form.
#[must_use]
pub fn field_at(asks: &[Ask], at: &str) -> String {
    let found = asks
        .iter()
        .find(|ask| format!("as_built.{}", ask.spot.path()) == at);
    found.map_or_else(String::new, |ask| name_of(asks, &ask.spot))
}

/// The fields in groups: one for each run, or one for all.
#[must_use]
pub fn groups(asks: &[Ask], shop: &Shop) -> Vec<AskGroup> {
    let mut groups: Vec<AskGroup> = Vec::new();
    for (nth, ask) in asks.iter().enumerate() {
        let title = match &ask.spot {
            Spot::Leg(run, _) | Spot::Corner(run, _) => run.clone(),
            _ => "Edges and corners".to_owned(),
        };
        if groups.last().is_none_or(|group| group.title != title) {
            groups.push(AskGroup {
                title,
                asks: Vec::new(),
            });
        }
        let length = ask.spot.is() == Is::Length;
        let drawn = if length {
            shop.wording.rounding.words(ask.drawn)
        } else {
            format!("{:.1}°", ask.drawn)
        };
        if let Some(group) = groups.last_mut() {
            group.asks.push(AskField {
                nth: nth + 1,
                name: name_of(asks, &ask.spot),
                label: capital(&ask.spot.label()),
                hint: match ask.spot.is() {
                    Is::Length => format!("Drawn {drawn}."),
                    Is::Mitre => format!("Drawn {drawn}, half the turn."),
                    Is::Slope => format!("Drawn {drawn} from level."),
                },
                length,
            });
        }
    }
    groups
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// How angles may be written.
#[must_use]
pub fn written_choices() -> Vec<Choice> {
    vec![
        Choice::new("mitre", "mitres: half the turn, as the saw is set"),
        Choice::new("between", "what an angle finder shows between the edges"),
    ]
}

/// What is written down of a head, as the form's text.
#[must_use]
pub fn fields(head: &Head, shop: &Shop) -> Fields {
    let mut fields = Fields::default();
    let Ok(design) = read(&head.design, head.as_built.as_ref(), shop) else {
        return fields;
    };
    let (Ok(asks), Some(built)) = (asks(&design, shop), &design.as_built) else {
        return fields;
    };
    for ask in &asks {
        let name = name_of(&asks, &ask.spot);
        let length = built.lengths.get(&ask.spot);
        fields = fields.with_some(&name, length.map(|l| l.exact(design.unit)));
        fields = fields.with_some(&name, built.degrees.get(&ask.spot));
    }
    fields
}

/// What was typed.
///
/// # Errors
/// What is wrong, field by field.
pub fn typed(asks: &[Ask], fields: &Fields, shop: &Shop) -> Result<AsBuilt, Errors> {
    let between = fields.get(WRITTEN) == "between";
    let mut check = Check::of(fields);
    let mut built = AsBuilt::default();
    for ask in asks {
        let name = name_of(asks, &ask.spot);
        match ask.spot.is() {
            Is::Length => {
                let length = check.optional(&name, |text| Length::parse(text, shop.unit));
                built
                    .lengths
                    .extend(length.map(|length| (ask.spot.clone(), length)));
            }
            is => {
                let number = check.optional(&name, |text| {
                    parse_number(text.trim_end_matches(['°', ' ']))
                });
                let degrees = number.map(|n| match is {
                    Is::Mitre if between => half_the_turn(n),
                    _ => n,
                });
                built
                    .degrees
                    .extend(degrees.map(|degrees| (ask.spot.clone(), degrees)));
            }
        }
    }
    check.finish(built)
}

/// The mitre of a corner whose edges stand at this angle, either side of it
/// measured; to a millionth of a degree.
fn half_the_turn(between: f64) -> f64 {
    ((180.0 - between).abs() / 2.0 * 1e6).round() / 1e6
}

/// The pieces whose length or settings read otherwise: label, before, after.
#[must_use]
pub fn differs(old: &Sheet, new: &Sheet, shop: &Shop) -> Vec<(String, String, String)> {
    let said = |piece: &crate::trim::sheet::Piece| {
        let swing = crate::trim::words::swing_words;
        format!(
            "{}, {} and {}",
            shop.wording.rounding.words(piece.tape),
            swing(piece.left.setting.swing),
            swing(piece.right.setting.swing)
        )
    };
    let pieces = |sheet: &Sheet| -> Vec<(String, String)> {
        let all = sheet.runs.iter().flat_map(|run| &run.pieces);
        all.map(|piece| (piece.label.clone(), said(piece)))
            .collect()
    };
    let before = pieces(old);
    pieces(new)
        .into_iter()
        .filter_map(|(label, after)| {
            let was = before.iter().find(|(known, _)| *known == label);
            let was = was.map_or("none", |(_, text)| text.as_str());
            (was != after).then(|| (label, was.to_owned(), after))
        })
        .take(200)
        .collect()
}
