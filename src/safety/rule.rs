//! The rule that picks: which checklists a job asks for, from what it is.
//!
//! Pure: the site in, the topics out, each with the reason in words. Unknown is
//! never taken for safe: what is not known is asked.

use super::figures::{
    FALL_FT, HEAT_FIRST_F, HEAT_HIGH_F, Near, is_minor_outdoors, line_clearance_ft,
    needs_fall_protection,
};
use super::model::{Doubt, Lines, Reach, Scope};
use crate::jobs::LEAD_PAINT_YEAR;
use crate::trim::around::weight::{Lift, caution};

/// A job's site as the rule sees it; lengths in feet, small ones in inches.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// When the house was built.
    pub year_built: Option<i64>,
    /// A licensed test found no lead.
    pub lead_ruled_out: bool,
    /// Old paint to be disturbed outdoors, square feet.
    pub old_paint_sqft: Option<f64>,
    /// A window is replaced.
    pub window_replaced: bool,
    /// How high the feet stand at the highest work.
    pub work_height_ft: f64,
    /// How one gets up there.
    pub reach: Reach,
    /// Overhead lines.
    pub lines: Lines,
    /// Distance from the work, feet.
    pub line_distance_ft: Option<f64>,
    /// Their voltage, kilovolts.
    pub line_kv: Option<f64>,
    /// They are insulated.
    pub line_insulated: bool,
    /// Whether the siding may hold asbestos.
    pub asbestos: Doubt,
    /// What covers the walls, as the survey says.
    pub sidings: Vec<String>,
    /// Fibre cement is cut.
    pub fibre_cement: bool,
    /// Fast glue with accelerator is used.
    pub adhesive: bool,
    /// The highest heat index expected, °F.
    pub heat_index_f: Option<f64>,
    /// Under this a piece is not held by hand, inches.
    pub short_under_in: f64,
}

/// One head as the rule sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadFacts {
    /// Its shortest piece, inches over all; infinite if it has none.
    pub shortest_in: f64,
    /// Its weight, pounds.
    pub pounds: f64,
}

/// A checklist to ask: its topic, how often, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// The topic, as the templates name it.
    pub topic: &'static str,
    /// Each day, once for the job, or for each head.
    pub scope: Scope,
    /// Why, in a sentence.
    pub why: String,
}

fn asked(topic: &'static str, scope: Scope, why: impl Into<String>) -> Asked {
    Asked {
        topic,
        scope,
        why: why.into(),
    }
}

/// The checklists of a job, for each day and for the whole of it.
#[must_use]
pub fn for_job(site: &Site) -> Vec<Asked> {
    let mut all = vec![
        asked("saw", Scope::Day, "Every day a saw is used."),
        asked("ripping", Scope::Day, "Boards are ripped to width."),
        asked("nailers", Scope::Day, "Trim is nailed."),
        asked("eyes-ears-dust", Scope::Day, "Saws, nailers and dust."),
        asked("cords", Scope::Day, "Tools on cords outdoors."),
    ];
    all.extend(height(site));
    all.extend(power_lines(site));
    all.extend(lead(site));
    all.extend(asbestos(site));
    if site.fibre_cement || names(&site.sidings, &["fibre cement", "fiber cement"]) {
        all.push(asked(
            "silica",
            Scope::Day,
            "Fibre cement is cut here: its dust holds silica.",
        ));
    }
    if site.adhesive {
        all.push(asked(
            "adhesive",
            Scope::Job,
            "Fast glue with accelerator is used.",
        ));
    }
    all.extend(heat(site));
    all
}

/// The checklists of one head.
#[must_use]
pub fn for_head(site: &Site, head: &HeadFacts) -> Vec<Asked> {
    let mut all = Vec::new();
    if head.shortest_in < site.short_under_in {
        all.push(asked(
            "short",
            Scope::Head,
            format!(
                "Its shortest piece is about {:.1} in: under {:.0} in nothing is held by hand.",
                head.shortest_in, site.short_under_in
            ),
        ));
    }
    let lift = Lift::ONTO_THE_WALL;
    if head.pounds > lift.limit() || site.work_height_ft >= FALL_FT {
        all.push(asked("lifting", Scope::Head, caution(head.pounds, &lift)));
    }
    all.push(asked(
        "flashing",
        Scope::Head,
        "Every head over an opening is flashed.",
    ));
    all
}

fn height(site: &Site) -> Vec<Asked> {
    let feet = site.work_height_ft;
    if feet <= 0.0 {
        return Vec::new();
    }
    let mut all = match site.reach {
        Reach::Ladder => vec![asked(
            "ladders",
            Scope::Day,
            format!("The highest work is reached by ladder, about {feet:.0} ft up."),
        )],
        Reach::Scaffold => vec![asked(
            "scaffold",
            Scope::Day,
            format!("The highest work is reached by scaffold, about {feet:.0} ft up."),
        )],
        Reach::Lift => Vec::new(),
    };
    let scaffold = site.reach == Reach::Scaffold;
    if needs_fall_protection(feet, scaffold) {
        let from = if scaffold {
            "above 10 ft on a scaffold"
        } else {
            "from 6 ft up"
        };
        all.push(asked(
            "falls",
            Scope::Job,
            format!("Feet about {feet:.0} ft up: fall protection is asked {from}."),
        ));
    }
    all
}

/// The distance to keep from the site's lines, feet; `None` beyond the table.
/// Where the voltage is not known it is taken for what stands in streets, up
/// to 50 kV, and never as insulated.
#[must_use]
pub fn distance_to_keep_ft(site: &Site) -> Option<f64> {
    let near = if site.reach == Reach::Lift {
        Near::Equipment
    } else {
        Near::Scaffold
    };
    match site.line_kv {
        Some(kv) => line_clearance_ft(near, kv, site.line_insulated),
        None => line_clearance_ft(near, 50.0, false),
    }
}

fn power_lines(site: &Site) -> Option<Asked> {
    let keep = distance_to_keep_ft(site);
    let words = keep.map_or_else(
        || "as far as the utility says".to_owned(),
        |feet| format!("{feet:.1} ft"),
    );
    let why = match (site.lines, site.line_distance_ft) {
        (Lines::None, _) => return None,
        (Lines::Unknown, _) => {
            "Nobody has said yet whether there are lines near: look first.".to_owned()
        }
        (Lines::There, None) => {
            format!("There are lines; keep {words}. Measure or ask the utility.")
        }
        (Lines::There, Some(feet)) if keep.is_none_or(|keep| feet < keep) => format!(
            "Stop: the line is {feet:.1} ft away and the distance to keep is {words}. Call the utility."
        ),
        (Lines::There, Some(feet)) => format!("The line is {feet:.1} ft away; keep {words}."),
    };
    Some(asked("lines", Scope::Job, why))
}

fn lead(site: &Site) -> Option<Asked> {
    if site.lead_ruled_out || site.year_built.is_some_and(|year| year >= LEAD_PAINT_YEAR) {
        return None;
    }
    let minor = site
        .old_paint_sqft
        .is_some_and(|sqft| is_minor_outdoors(sqft, site.window_replaced));
    let why = match (site.year_built, minor) {
        (None, _) => "Year built not known: take the paint for lead paint until it is.".to_owned(),
        (Some(year), false) => {
            format!("Built {year}, before 1978: paint that is disturbed is taken for lead paint.")
        }
        (Some(year), true) => format!(
            "Built {year}, before 1978. So little paint (20 sq ft or less, no window replaced) \
             stands outside the federal rule; the care stays the same."
        ),
    };
    Some(asked("lead", Scope::Job, why))
}

/// Sidings of these words were made with asbestos until about 1980 (from
/// memory); nobody can tell by looking.
const MAY_HOLD_ASBESTOS: [&str; 5] = ["asbestos", "transite", "mineral", "cement shingle", "fibro"];

fn asbestos(site: &Site) -> Option<Asked> {
    let old = site.year_built.is_none_or(|year| year < 1981);
    let by_word = old && names(&site.sidings, &MAY_HOLD_ASBESTOS);
    let why = match site.asbestos {
        Doubt::No => return None,
        Doubt::May => "The siding may hold asbestos: nobody touches it before it is sampled.",
        Doubt::Unknown if by_word => "Old cement or mineral siding: it may hold asbestos.",
        Doubt::Unknown => return None,
    };
    Some(asked("asbestos", Scope::Job, why))
}

fn heat(site: &Site) -> Option<Asked> {
    let index = site.heat_index_f.filter(|index| *index >= HEAT_FIRST_F)?;
    let why = if index >= HEAT_HIGH_F {
        format!("Heat index {index:.0} °F: rest every two hours, nobody alone.")
    } else {
        format!("Heat index {index:.0} °F: water, shade, breaks.")
    };
    Some(asked("heat", Scope::Day, why))
}

fn names(sidings: &[String], words: &[&str]) -> bool {
    sidings.iter().any(|siding| {
        let siding = siding.to_lowercase();
        words.iter().any(|word| siding.contains(word))
    })
}
