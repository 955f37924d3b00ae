//! The pages of heads: what they share.

pub mod around;
pub mod bench;
pub mod changes;
mod cures;
pub mod design;
pub mod firm_steps;
pub mod gang;
pub mod labels;
pub mod list;
pub mod one;
pub mod raked;
pub mod sheet;
pub mod site;
mod step_forms;
pub mod steps;

use crate::access::{Me, Reach, Thing};
use crate::trim::sheet::{Finding, Severity};
use crate::web::{AppState, WebError};

use super::HeadId;
use super::model::Head;
use super::shop::Shop;
use super::store::{self, saws as saw_store};

/// The firm's saw and wording, for every sheet.
pub(super) async fn shop(app: &AppState) -> Result<Shop, WebError> {
    Ok(saw_store::shop(app.db().read(), &app.firm()).await?)
}

/// A finding in words.
#[derive(Debug, Clone)]
pub(super) struct FindingWords {
    /// `error`, `warning`, `note`: for the shape beside the word.
    pub class: &'static str,
    /// The mark.
    pub mark: &'static str,
    /// How bad, in a word or two.
    pub word: &'static str,
    /// The pieces it is about.
    pub pieces: Vec<String>,
    /// What and what to do.
    pub text: String,
}

/// Findings in words; the same one about several pieces is said once.
pub(super) fn finding_words(all: &[Finding]) -> Vec<FindingWords> {
    let mut said: Vec<(&'static str, FindingWords)> = Vec::new();
    for finding in all {
        let (class, mark, word) = match finding.severity {
            Severity::Error => ("error", "✗", "Cannot be made"),
            Severity::Warning => ("warning", "!", "Take care"),
            Severity::Note => ("note", "i", "Good to know"),
        };
        let pieces: Vec<String> = finding.piece.iter().cloned().collect();
        let text = said_of_many(finding);
        match said
            .iter_mut()
            .find(|(code, f)| *code == finding.code && f.text == text)
        {
            Some((_, same)) => same.pieces.extend(pieces),
            None => said.push((
                finding.code,
                FindingWords {
                    class,
                    mark,
                    word,
                    pieces,
                    text,
                },
            )),
        }
    }
    said.into_iter().map(|(_, words)| words).collect()
}

/// A short piece's own length stands in its row: the caution is the same for
/// all of them.
fn said_of_many(finding: &Finding) -> String {
    match (finding.code, finding.text.split_once(": ")) {
        ("short-piece", Some((_, rest))) => format!("Short: {rest}"),
        _ => finding.text.clone(),
    }
}

/// Whether this person may change this thing of this head.
pub(super) async fn may_write(
    app: &AppState,
    me: &Me,
    thing: Thing,
    id: HeadId,
) -> Result<bool, WebError> {
    may(app, me, me.may_write(thing), id).await
}

async fn may(app: &AppState, me: &Me, reach: Reach, id: HeadId) -> Result<bool, WebError> {
    let pool = app.db().read();
    Ok(match reach {
        Reach::None => false,
        Reach::All => true,
        Reach::Own => store::foreman(pool, id).await? == Some(me.id.get()),
        Reach::Assigned => store::is_assigned(pool, id, me.id.get()).await?,
    })
}

/// The title block of a head's pages.
pub(super) fn block(app: &AppState, head: &Head, page: crate::web::Page) -> crate::web::Page {
    let zone = app.firm().zone;
    let drawn = match &head.drawn_by {
        Some(who) => format!("{who}, {}", head.drawn_at.local(zone)),
        None => head.drawn_at.local(zone),
    };
    page.titled(
        "Job",
        format!(
            "{} · {}",
            head.card.place.job_code, head.card.place.job_title
        ),
    )
    .titled("Opening", &head.card.place.mark)
    .titled("Head", &head.card.name)
    .titled("Sheet", format!("version {}", head.card.sheet_version))
    .titled("Drawn", drawn)
}
