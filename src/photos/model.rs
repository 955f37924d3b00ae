//! A photo, and how photos stand side by side.

use crate::db::Stamp;
use crate::heads::HeadId;
use crate::jobs::JobId;
use crate::openings::OpeningId;
use crate::{choices, record_id};

record_id! {
    /// A photo's row.
    pub PhotoId
}

choices! {
    /// What a photo is taken for.
    pub PhotoKind {
        /// How it looked before anything was done.
        Before = "before", "Before the work";
        /// What the head will cover.
        Wall = "wall", "The wall before it is closed";
        /// The finished head.
        After = "after", "Finished work";
        /// Rot, a wrong profile, damage.
        Found = "found", "Something found";
    }
}

/// What is said of a photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PhotoFacts {
    /// What it is taken for.
    pub kind: PhotoKind,
    /// A line below it.
    pub caption: String,
    /// The photo before the work that finished work stands beside.
    pub beside: Option<PhotoId>,
}

/// A photo to be added, its files lying in their place already.
#[derive(Debug, Clone)]
pub struct NewPhoto {
    /// Of which opening.
    pub opening: OpeningId,
    /// Of which of its heads; none for the opening itself.
    pub head: Option<HeadId>,
    /// What is said of it.
    pub facts: PhotoFacts,
    /// The files' name.
    pub name: String,
    /// Width and height of the kept picture, pixels.
    pub size: (u32, u32),
}

/// A photo as kept.
#[derive(Debug, Clone)]
pub struct Photo {
    /// The row.
    pub id: PhotoId,
    /// Where it belongs.
    pub job: JobId,
    /// The job's code.
    pub job_code: String,
    /// Of which opening.
    pub opening: OpeningId,
    /// The opening's mark.
    pub mark: String,
    /// Of which head, and its name.
    pub head: Option<(HeadId, String)>,
    /// What is said of it.
    pub facts: PhotoFacts,
    /// The files' name.
    pub name: String,
    /// Width and height, pixels.
    pub size: (u32, u32),
    /// Who took it in.
    pub by: String,
    /// When.
    pub at: Stamp,
    /// Rises by one with each change.
    pub version: i64,
    /// Put away since.
    pub archived: bool,
}

impl Photo {
    /// What stands for the picture where it is not seen.
    #[must_use]
    pub fn words(&self) -> String {
        let of = match &self.head {
            Some((_, name)) => format!("{} {name}", self.mark),
            None => self.mark.clone(),
        };
        let what = self.facts.kind.words();
        if self.facts.caption.is_empty() {
            format!("{of}: {what}")
        } else {
            format!("{of}: {what}. {}", self.facts.caption)
        }
    }
}

/// Photos put in order for a page.
#[derive(Debug, Clone, Default)]
pub struct Arranged {
    /// Before and after, side by side.
    pub pairs: Vec<(Photo, Photo)>,
    /// All others, the newest first.
    pub rest: Vec<Photo>,
}

impl Arranged {
    /// Whether there is nothing to show.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.pairs.is_empty() && self.rest.is_empty()
    }
}

/// Puts finished work beside the photo it names, if that is among `photos`.
#[must_use]
pub fn arranged(photos: Vec<Photo>) -> Arranged {
    let before = |after: &Photo| {
        let beside = after.facts.beside?;
        photos
            .iter()
            .find(|p| p.id == beside && p.facts.kind == PhotoKind::Before)
            .cloned()
    };
    let finished = photos.iter().filter(|p| p.facts.kind == PhotoKind::After);
    let pairs: Vec<(Photo, Photo)> = finished
        .filter_map(|after| Some((before(after)?, after.clone())))
        .collect();
    let shown = |id: PhotoId| pairs.iter().any(|(b, a)| b.id == id || a.id == id);
    let rest = photos.iter().filter(|p| !shown(p.id)).cloned().collect();
    Arranged { pairs, rest }
}
