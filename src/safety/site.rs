//! A job gathered for the rule, and what of its checklists is signed.

use super::model::{Hazards, Scope, Signed, Template};
use super::rule::{Asked, HeadFacts, Site, for_head, for_job};
use super::store::{self, signed, site as site_store};
use crate::db::StoreError;
use crate::heads::{self, Card, Head, HeadId, Shop};
use crate::jobs::{self, Job, JobId};
use crate::openings;
use crate::trim::around::quantity::quantities;
use crate::trim::around::weight::pounds;
use crate::web::AppState;

/// Feet from one floor to the next, and from the floor one stands on to one's
/// feet when working at an opening's head. Common practice, no source; the
/// site's page takes the real height.
const STOREY_FT: f64 = 10.0;
const STEP_UP_FT: f64 = 2.0;
/// Pounds a cubic foot when the stock is not said: a softwood, from memory.
const SOFTWOOD: f64 = 28.0;
/// Fibre cement, from memory.
const FIBRE_CEMENT: f64 = 90.0;

/// How high the feet stand at a head of this storey, feet.
#[must_use]
pub fn feet_up(storey: i64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "storeys are few")]
    let above = (storey - 1).max(0) as f64;
    above * STOREY_FT + STEP_UP_FT
}

/// A checklist that a job or head asks for, and where it stands.
#[derive(Debug, Clone)]
pub struct Wanted {
    /// The firm's checklist.
    pub template: Template,
    /// Why the rule picked it.
    pub why: String,
    /// For which head.
    pub head: Option<(HeadId, String)>,
    /// The row that counts: of today for a daily one.
    pub signed: Option<Signed>,
}

impl Wanted {
    /// Signed, and nothing answered with no.
    #[must_use]
    pub fn is_met(&self) -> bool {
        self.signed.as_ref().is_some_and(|s| s.clear)
    }
}

/// Everything about the safety of one job.
#[derive(Debug, Clone)]
pub struct JobSafety {
    /// The job.
    pub job: Job,
    /// The site as the rule sees it.
    pub site: Site,
    /// What is known of the site.
    pub hazards: Hazards,
    /// What is asked.
    pub wanted: Vec<Wanted>,
    /// What is signed: every row that counts and the last of the others, the
    /// newest first.
    pub signed: Vec<Signed>,
}

impl JobSafety {
    /// What the job itself, no one head, still asks for.
    pub fn open(&self) -> impl Iterator<Item = &Wanted> {
        let of_job = self.wanted.iter().filter(|w| w.head.is_none());
        of_job.filter(|w| !w.is_met())
    }

    /// How much of that was answered with no.
    #[must_use]
    pub fn refused(&self) -> usize {
        self.open().filter(|w| w.signed.is_some()).count()
    }
}

/// Whose heads are looked at: each has to be solved, so only those asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heads {
    /// What the job itself asks.
    None,
    /// That, and what this head asks.
    One(HeadId),
    /// That, and what every head of the job asks.
    All,
}

/// Gathers a job: its facts, what the rule asks, and what is signed.
///
/// # Errors
/// `Missing`, the database's.
pub async fn of_job(app: &AppState, id: JobId, heads: Heads) -> Result<JobSafety, StoreError> {
    let pool = app.db().read();
    let job = jobs::job(pool, id).await?;
    let (hazards, _) = site_store::hazards(pool, id).await?;
    let openings = openings::openings_of(pool, id, false).await?;
    let storey = openings.iter().map(|o| o.facts.storey).max();
    let site = Site {
        year_built: job.facts.year_built,
        lead_ruled_out: hazards.lead_ruled_out,
        old_paint_sqft: hazards.old_paint_sqft,
        window_replaced: hazards.window_replaced,
        work_height_ft: hazards
            .work_height
            .map_or_else(|| storey.map_or(0.0, feet_up), |h| h.inches() / 12.0),
        reach: hazards.reach,
        lines: hazards.lines,
        line_distance_ft: hazards.line_distance.map(|d| d.inches() / 12.0),
        line_kv: hazards.line_kv,
        line_insulated: hazards.line_insulated,
        asbestos: hazards.asbestos,
        sidings: openings.into_iter().map(|o| o.facts.siding).collect(),
        fibre_cement: hazards.fibre_cement,
        adhesive: hazards.adhesive,
        #[expect(clippy::cast_precision_loss, reason = "a temperature")]
        heat_index_f: hazards.heat_index_f.map(|f| f as f64),
        short_under_in: app.firm().short_piece.inches(),
    };
    let today = app.now().date(app.firm().zone).to_string();
    let signed = signed::of_job(pool, id, &today).await?;
    let templates = store::templates(pool).await?;
    let pick = Picker {
        templates: &templates,
        signed: &signed,
        today: &today,
    };
    let wanted = wanted(app, (id, heads), &site, &pick).await?;
    Ok(JobSafety {
        job,
        site,
        hazards,
        wanted,
        signed,
    })
}

async fn wanted(
    app: &AppState,
    (id, which): (JobId, Heads),
    site: &Site,
    pick: &Picker<'_>,
) -> Result<Vec<Wanted>, StoreError> {
    let pool = app.db().read();
    let mut all = pick.of(&for_job(site), None);
    all.extend(pick.own(|scope| scope != Scope::Head, None));
    let asked = match which {
        Heads::None => Vec::new(),
        Heads::One(head) => vec![heads::head(pool, head).await?],
        Heads::All => heads::of_job(pool, id.get()).await?,
    };
    let shop = heads::shop_settings(pool, &app.firm()).await?;
    for head in asked {
        let facts = head_facts(&head, &shop, site.fibre_cement);
        let card = Some(&head.card);
        all.extend(pick.of(&for_head(site, &facts), card));
        all.extend(pick.own(|scope| scope == Scope::Head, card));
    }
    Ok(all)
}

/// Joins what the rule asks with the firm's checklists and what is signed.
struct Picker<'a> {
    templates: &'a [Template],
    signed: &'a [Signed],
    today: &'a str,
}

impl Picker<'_> {
    fn of(&self, asked: &[Asked], head: Option<&Card>) -> Vec<Wanted> {
        let one = |asked: &Asked| {
            let template = self
                .templates
                .iter()
                .find(|t| !t.archived && t.topic.as_deref() == Some(asked.topic))?;
            Some(self.wanted(template, asked.why.clone(), head))
        };
        asked.iter().filter_map(one).collect()
    }

    /// The firm's own checklists, which no rule picks: asked everywhere.
    fn own(&self, of: impl Fn(Scope) -> bool, head: Option<&Card>) -> Vec<Wanted> {
        self.templates
            .iter()
            .filter(|t| !t.archived && t.topic.is_none() && of(t.scope))
            .map(|t| self.wanted(t, "The firm asks it everywhere.".to_owned(), head))
            .collect()
    }

    fn wanted(&self, template: &Template, why: String, head: Option<&Card>) -> Wanted {
        let head = match template.scope {
            Scope::Head => head.map(|c| (c.id, format!("{} {}", c.place.mark, c.name))),
            Scope::Day | Scope::Job => None,
        };
        let mine = |s: &&Signed| {
            s.template == template.id
                && s.head == head.as_ref().map(|(id, _)| *id)
                && (template.scope != Scope::Day || s.day == self.today)
        };
        Wanted {
            signed: self.signed.iter().find(mine).cloned(),
            template: template.clone(),
            why,
            head,
        }
    }
}

/// What the rule needs to know of a head. One whose design cannot be solved
/// counts as having short pieces: unknown is not safe.
#[must_use]
pub fn head_facts(head: &Head, shop: &Shop, fibre_cement: bool) -> HeadFacts {
    let Ok((_, sheet)) = heads::solved(&head.design, head.as_built.as_ref(), shop) else {
        return HeadFacts {
            shortest_in: 0.0,
            pounds: 0.0,
        };
    };
    let pieces = sheet.runs.iter().flat_map(|run| &run.pieces);
    let volume: f64 = quantities(&sheet).iter().map(|q| q.volume).sum();
    let density = if fibre_cement { FIBRE_CEMENT } else { SOFTWOOD };
    HeadFacts {
        shortest_in: pieces.map(|p| p.overall).fold(f64::INFINITY, f64::min),
        pounds: pounds(volume, density),
    }
}
