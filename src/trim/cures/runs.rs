//! Runs that turn from a level leg round a plan corner into a sloping one.

use crate::measure::SpringAngle;
use crate::trim::design::{Curves, Design, End, Kind, Run, Section};
use crate::trim::kinds::{lower_end, usual_holds};
use crate::trim::raked::{Form, RakeCorner};
use crate::trim::section::Affine;
use crate::trim::sheet::{SectionPoint, Sheet};
use crate::trim::solve::{Rules, solve};
use crate::trim::space::{Point, Vector};

use super::{Cure, Way, round_up};

/// What counts as level and as the same, of unit vectors.
const SAME: f64 = 1e-9;

/// A leg, inches.
#[derive(Debug, Clone, Copy)]
struct Leg {
    d: Vector,
    n: Vector,
    length: f64,
}

impl Leg {
    fn level(&self) -> bool {
        self.d.y.abs() < SAME
    }

    /// Its direction seen from above.
    fn along(&self) -> Option<Vector> {
        Vector::new(self.d.x, 0.0, self.d.z).unit()
    }
}

/// A run with open corners.
struct Open<'a> {
    run: &'a Run,
    inch: f64,
    legs: Vec<Leg>,
    /// The open vertices: between the leg before it and the leg of the same
    /// number, counted from 0.
    vertices: Vec<usize>,
}

pub(super) fn tried(design: &Design, list: &[Run], sheet: &Sheet, rules: &Rules) -> Vec<Cure> {
    let mut all = Vec::new();
    for (nth, run) in list.iter().enumerate() {
        let Some(open) = Open::of(run, design.unit.inches(), sheet) else {
            continue;
        };
        let put = |runs: Vec<Run>| {
            let mut changed = design.clone();
            let mut list = list.to_vec();
            list.splice(nth..=nth, runs);
            changed.kind = Kind::Runs(list);
            changed.as_built = None;
            changed
        };
        let cure = |way: Way, (text, runs): (String, Vec<Run>)| Cure {
            way,
            code: "corner-open",
            run: Some(run.name.clone()),
            text,
            design: put(runs),
        };
        let tried = [
            (Way::Transition, open.transition(rules)),
            (Way::RakedReturn, open.raked(true)),
            (Way::RakedRake, open.raked(false)),
            (Way::SquareReturn, open.square(rules)),
        ];
        let made = tried
            .into_iter()
            .filter_map(|(way, found)| Some(cure(way, found?)));
        all.extend(made);
    }
    all
}

impl<'a> Open<'a> {
    fn of(run: &'a Run, inch: f64, sheet: &Sheet) -> Option<Self> {
        let number = |piece: &str| {
            let (name, number) = piece.rsplit_once('-')?;
            (name == run.name).then(|| number.parse::<usize>().ok())?
        };
        let open = sheet.findings.iter().filter(|f| f.code == "corner-open");
        let mut vertices: Vec<usize> = open.filter_map(|f| number(f.piece.as_deref()?)).collect();
        vertices.sort_unstable();
        if vertices.is_empty() {
            return None;
        }
        let point = |p: &[f64; 3]| Point::new(p[0] * inch, p[1] * inch, p[2] * inch);
        let legs = run
            .path
            .iter()
            .zip(run.path.iter().skip(1))
            .zip(&run.normals);
        let leg = |((a, b), n): ((&[f64; 3], &[f64; 3]), &[f64; 3])| {
            let along = point(b) - point(a);
            let d = along.unit()?;
            let n = Vector::new(n[0], n[1], n[2]);
            Some(Leg {
                d,
                n: (n - d * n.dot(d)).unit()?,
                length: along.length(),
            })
        };
        Some(Self {
            run,
            inch,
            legs: legs.map(leg).collect::<Option<_>>()?,
            vertices,
        })
    }

    /// The level and the sloping leg at an open vertex, each with its number;
    /// `None` if the corner is of another sort.
    fn pair(&self, vertex: usize) -> Option<Pair> {
        let before = vertex.checked_sub(1)?;
        let (one, two) = (*self.legs.get(before)?, *self.legs.get(vertex)?);
        let upright = one.n.y.abs() < SAME && two.n.y.abs() < SAME;
        match (one.level(), two.level()) {
            _ if !upright => None,
            (true, false) => Some(Pair {
                level: one,
                slope: two,
                level_nth: before,
                slope_nth: vertex,
            }),
            (false, true) => Some(Pair {
                level: two,
                slope: one,
                level_nth: vertex,
                slope_nth: before,
            }),
            _ => None,
        }
    }

    fn pairs(&self) -> Option<Vec<Pair>> {
        self.vertices.iter().map(|v| self.pair(*v)).collect()
    }

    fn start(&self) -> Option<Point> {
        let [x, y, z] = *self.run.path.first()?;
        Some(Point::new(x * self.inch, y * self.inch, z * self.inch))
    }

    /// A run of these legs from `start`, otherwise as this one.
    fn along(&self, start: Point, legs: &[Leg]) -> Run {
        // What floating point leaves of nothing, as nothing.
        let clean = |x: f64| if x.abs() < 1e-12 { 0.0 } else { x };
        let place = |p: Point| [p.x, p.y, p.z].map(|x| clean(x / self.inch));
        let mut at = start;
        let mut path = vec![place(at)];
        for leg in legs {
            at = at + leg.d * leg.length;
            path.push(place(at));
        }
        Run {
            path,
            normals: legs.iter().map(|leg| [leg.n.x, leg.n.y, leg.n.z]).collect(),
            ..self.run.clone()
        }
    }

    /// A level piece at every open corner, taken out of the rake.
    fn transition(&self, rules: &Rules) -> Option<(String, Vec<Run>)> {
        let pairs = self.pairs()?;
        let mut least = rules.thin;
        for pair in &pairs {
            least = least.max(self.least(pair, rules)?);
        }
        let metric = (self.inch * 25.4 - (self.inch * 25.4).round()).abs() < 1e-9
            && (self.inch - 1.0).abs() > 1e-9
            && (self.inch - 12.0).abs() > 1e-9;
        let length = round_up(least, metric);
        let mut legs = Vec::with_capacity(self.legs.len() + pairs.len());
        for (nth, leg) in self.legs.iter().enumerate() {
            let mut leg = *leg;
            let h = leg.along();
            let mut after = None;
            for pair in pairs.iter().filter(|pair| pair.slope_nth == nth) {
                let h = h?;
                let flat = Leg {
                    d: h,
                    n: leg.n,
                    length,
                };
                leg.length -= length / leg.d.dot(h);
                if pair.level_nth < nth {
                    legs.push(flat);
                } else {
                    after = Some(flat);
                }
            }
            (leg.length > rules.thin).then_some(())?;
            legs.push(leg);
            legs.extend(after);
        }
        let say = rules.rounding;
        let text = format!(
            "A level piece between the return and the rake, so that each corner turns one way \
             only. It needs at least {}, so that {} of wood is left at its shortest; drawn with \
             {}. The rake is shorter by as much, and what it leads to comes nearer its foot.",
            say.words(least),
            say.words(rules.thin),
            say.words(length)
        );
        Some((text, vec![self.along(self.start()?, &legs)]))
    }

    /// The least length of a level piece at this corner, inches: its shortest
    /// length is its own less what the two cuts take, whatever its length.
    fn least(&self, pair: &Pair, rules: &Rules) -> Option<f64> {
        const TRIAL: f64 = 100.0;
        let h = pair.slope.along()?;
        let long = |leg: Leg| Leg {
            length: TRIAL,
            ..leg
        };
        let flat = Leg {
            d: h,
            n: pair.slope.n,
            length: TRIAL,
        };
        let mut legs = vec![long(pair.level), flat, long(pair.slope)];
        if pair.level_nth > pair.slope_nth {
            legs.reverse();
        }
        let mut run = self.along(Point::new(0.0, 0.0, 0.0), &legs);
        (run.start, run.end) = (End::Square, End::Square);
        run.meets = [None, None];
        let design = Design {
            unit: crate::measure::Unit::Inch,
            name: String::new(),
            kind: Kind::Runs(vec![in_inches(run, self.inch)]),
            legs: None,
            saw: None,
            as_built: None,
        };
        let sheet = solve(&design, rules).ok()?;
        let piece = sheet.runs.first()?.pieces.get(1)?;
        Some(TRIAL - piece.shortest + rules.thin)
    }

    /// The run parted at its open corners, the level parts (or the sloping
    /// ones) with a raked section.
    fn raked(&self, change_level: bool) -> Option<(String, Vec<Run>)> {
        let pairs = self.pairs()?;
        let stretches = self.stretches();
        let mut runs = Vec::with_capacity(stretches.len());
        let names = self.names(&stretches, change_level);
        let mut start = self.start()?;
        for (nth, (from, to)) in stretches.iter().copied().enumerate() {
            let legs = self.legs.get(from..to)?;
            let mut run = self.along(start, legs);
            start = legs.iter().fold(start, |at, leg| at + leg.d * leg.length);
            run.name.clone_from(names.get(nth)?);
            if run.holds.is_empty() {
                run.holds = usual_holds(&self.run.name);
            }
            if let Some(map) = self.map_of(&pairs, (from, to), change_level)? {
                run.section = mapped(&run.section, &map);
                run.spring = run.spring.map(|spring| {
                    SpringAngle::from_radians(lower_end::mapped_spring(spring.radians(), &map))
                });
            }
            if let Some(before) = nth.checked_sub(1) {
                run.start = joint_plane(pairs.get(before)?)?;
                let (before_from, _) = stretches.get(before)?;
                run.meets[0] = Some(format!("{}-{}", names.get(before)?, from - before_from));
            }
            if nth + 1 < stretches.len() {
                run.end = joint_plane(pairs.get(nth)?)?;
                run.meets[1] = Some(format!("{}-1", names.get(nth + 1)?));
            }
            runs.push(run);
        }
        Some((raked_text(change_level, &names, &self.run.name), runs))
    }

    /// The legs between the run's ends and its open corners: from, to.
    fn stretches(&self) -> Vec<(usize, usize)> {
        let ends = self.vertices.iter().copied().chain([self.legs.len()]);
        let starts = std::iter::once(0).chain(self.vertices.iter().copied());
        starts.zip(ends).collect()
    }

    /// Whether a stretch has a sloping leg at one of its open ends.
    fn slopes(&self, (from, to): (usize, usize)) -> bool {
        let legs = self.legs.get(from..to).unwrap_or_default();
        legs.iter().any(|leg| !leg.level())
    }

    /// A name for each stretch: those that keep their section keep the name,
    /// numbered if there are several.
    fn names(&self, stretches: &[(usize, usize)], change_level: bool) -> Vec<String> {
        let changed = |s: &(usize, usize)| self.slopes(*s) != change_level;
        let count = |what: bool| stretches.iter().filter(|s| changed(s) == what).count();
        let mut seen = [0, 0];
        let mut names = Vec::with_capacity(stretches.len());
        for stretch in stretches {
            let what = changed(stretch);
            let word = if what { "-raked" } else { "" };
            let slot = seen.get_mut(usize::from(what));
            let nth = slot.map_or(1, |n| {
                *n += 1;
                *n
            });
            let number = if count(what) > 1 {
                format!("-{nth}")
            } else {
                String::new()
            };
            names.push(format!("{}{word}{number}", self.run.name));
        }
        names
    }

    /// The map of a stretch's section: `Some(None)` if it keeps it, `None` if
    /// its two ends ask for different ones.
    fn map_of(
        &self,
        pairs: &[Pair],
        (from, to): (usize, usize),
        change_level: bool,
    ) -> Option<Option<Affine>> {
        if self.slopes((from, to)) == change_level {
            return Some(None);
        }
        let mut found: Option<Affine> = None;
        for pair in pairs {
            let nth = if change_level {
                pair.level_nth
            } else {
                pair.slope_nth
            };
            if !(from..to).contains(&nth) {
                continue;
            }
            let map = pair.map(change_level)?;
            match found {
                Some(known) if !alike(&known, &map) => return None,
                _ => found = Some(map),
            }
        }
        Some(found)
    }

    /// Level returns turned square to the rake, past the corner by as much
    /// as they need to stay clear of it.
    fn square(&self, rules: &Rules) -> Option<(String, Vec<Run>)> {
        let mut legs = self.legs.clone();
        let mut start = self.start()?;
        let mut most: f64 = 0.0;
        for pair in self.pairs()? {
            let at_start = pair.level_nth == 0 && pair.slope_nth == 1;
            let at_end = pair.slope_nth + 2 == legs.len() && pair.level_nth + 1 == legs.len();
            let h = pair.slope.along()?;
            let pitch = pair.slope.d.y.abs().atan2(pair.slope.d.dot(h));
            let past = self.past(pitch);
            most = most.max(past);
            let side = if at_start {
                -pair.slope.d
            } else {
                pair.slope.d
            };
            if !at_start && !at_end || side.dot(pair.level.d).abs() > SAME {
                return None;
            }
            legs.get_mut(pair.level_nth)?.n = side;
            legs.get_mut(pair.slope_nth)?.length += past;
            if at_start {
                start = start + side * past;
            }
        }
        let text = format!(
            "The return stands square to the rake instead of level, from the same stick; the \
             moulding runs on {} past the corner so that its return stays clear of it. A block \
             must go behind it.",
            rules.rounding.words(most)
        );
        Some((text, vec![self.along(start, &legs)]))
    }

    /// How far down the rake past the corner a return square to it must
    /// stand to stay clear of the upright line through it.
    fn past(&self, pitch: f64) -> f64 {
        let (sin, cos) = pitch.sin_cos();
        let most = match &self.run.section {
            Section::Curves(curves) => curves.outline.reach(-cos, -sin).1,
            Section::Corners(corners) => corners
                .iter()
                .map(|p| (-p[1] * sin - p[0] * cos) * self.inch)
                .fold(0.0, f64::max),
        };
        (most / cos).max(0.0)
    }
}

/// An open corner between a level and a sloping leg.
#[derive(Debug, Clone, Copy)]
struct Pair {
    level: Leg,
    slope: Leg,
    level_nth: usize,
    slope_nth: usize,
}

impl Pair {
    fn in_order(&self) -> (Leg, Leg) {
        if self.level_nth < self.slope_nth {
            (self.level, self.slope)
        } else {
            (self.slope, self.level)
        }
    }

    /// The upright plane half way round the corner.
    fn plane(&self) -> Option<Vector> {
        let (one, two) = self.in_order();
        (one.along()? + two.along()?).unit()
    }

    /// The map of the rake's section to the level return's, or back.
    fn map(&self, to_level: bool) -> Option<Affine> {
        let (one, two) = self.in_order();
        let (a, b) = (one.along()?, two.along()?);
        let turn = a.dot(b).clamp(-1.0, 1.0).acos();
        let outside = b.dot(one.n) < 0.0;
        let h = self.slope.along()?;
        let corner = RakeCorner {
            pitch: self.slope.d.y.abs().atan2(self.slope.d.dot(h)),
            plan_corner: if outside {
                std::f64::consts::PI - turn
            } else {
                std::f64::consts::PI + turn
            },
        };
        // Which way the rake goes, away from the corner.
        let away = if self.level_nth < self.slope_nth {
            self.slope.d.y
        } else {
            -self.slope.d.y
        };
        let form = if away > 0.0 {
            Form::Return
        } else {
            Form::UpperReturn
        };
        let map = corner.map(Form::Rake, form);
        self.agrees(&map).then_some(())?;
        Some(if to_level {
            map
        } else {
            corner.map(form, Form::Rake)
        })
    }

    /// Whether a rake's section point and its image on the level leg meet in
    /// the corner's plane: the check that the map is for a corner like this.
    fn agrees(&self, map: &Affine) -> bool {
        let Some(p) = self.plane() else {
            return false;
        };
        let place = |leg: &Leg, at: SectionPoint| {
            let b = leg.n.cross(leg.d);
            let off = leg.n * at.u + b * at.v;
            off - leg.d * (p.dot(off) / p.dot(leg.d))
        };
        let trials = [(1.0, 0.0), (0.0, 1.0), (1.0, -2.0)];
        trials.into_iter().all(|(u, v)| {
            let at = SectionPoint { u, v };
            let apart = place(&self.slope, at) - place(&self.level, map.apply(at));
            apart.length() < 1e-9
        })
    }
}

fn joint_plane(pair: &Pair) -> Option<End> {
    let p = pair.plane()?;
    Some(End::Plane([p.x, p.y, p.z]))
}

fn mapped(section: &Section, map: &Affine) -> Section {
    let corner = |p: &[f64; 2]| {
        let q = map.apply(SectionPoint { u: p[0], v: p[1] });
        [q.u, q.v]
    };
    match section {
        Section::Corners(corners) => Section::Corners(corners.iter().map(corner).collect()),
        // Another section than the one on the shelf.
        Section::Curves(curves) => Section::Curves(Box::new(Curves {
            outline: curves.outline.mapped(map),
            shelf: None,
        })),
    }
}

fn alike(a: &Affine, b: &Affine) -> bool {
    [(a.uu, b.uu), (a.uv, b.uv), (a.vu, b.vu), (a.vv, b.vv)]
        .iter()
        .all(|(x, y)| (x - y).abs() < 1e-9)
}

/// The same run with its lengths in inches.
fn in_inches(mut run: Run, inch: f64) -> Run {
    if let Section::Corners(corners) = &mut run.section {
        for p in corners {
            *p = p.map(|x| x * inch);
        }
    }
    for p in &mut run.path {
        *p = p.map(|x| x * inch);
    }
    run
}

fn raked_text(change_level: bool, names: &[String], name: &str) -> String {
    let changed: Vec<&str> = names
        .iter()
        .filter(|n| n.contains("-raked"))
        .map(String::as_str)
        .collect();
    let (keeps, what) = if change_level {
        ("rake", "the level return")
    } else {
        ("level return", "the rake")
    };
    format!(
        "The {keeps} keeps the section of {name}; {what} ({}) gets one drawn for this corner, \
         made by a knife grinder or with a router and a template. Both are cut in the upright \
         plane half way round the corner.",
        changed.join(", ")
    )
}
