//! Will laid film stay down: the hold, a ranking.
//!
//! Given laid film and its class; found is how many times the adhesive's energy is what the
//! film gives back where it lets go most readily,
//!
//! ```text
//! hold ratio = Gamma / u,   Gamma = long-term factor * (F/b)(1 - cos angle)
//! ```
//!
//! with u from [`super::lift`], for film as laid; after post-heating, which leaves a part r of
//! the tension, so that the film is as if stretched by k with N(k) = r N(l); and the same on a
//! hot day, when it is softer. The hot day is what it is judged by. Over a rounded foot of radius
//! R that is bonded the film pulls off with N/R.
//!
//! Assumed: Gamma is the same everywhere and at every temperature (a class does not say how its
//! adhesive softens), the bond lines hold, film is as stiff as its table says however it was
//! stretched. A tensile curve has no temperature: with it no hot day is computed.
//!
//! Its absolute size rests on numbers nobody has measured, so it ranks films, orders and widths
//! and points at a place. It decides nothing. A class may say at which ratio a trial piece let go
//! (`hold_let_go`); then what is said is above or below that.
//!
//! Sources: Rivlin, Paint Technology 9 (1944) 215; Kendall, J. Phys. D 8 (1975) 1449.

use super::lift::{Film, Held, Lift};
use super::notice::HoldNotice;
use crate::film::{FilmClass, FilmNumber, Number, StretchLaw};
use crate::geometry::cross;
use crate::laydown::{Bed, Laydown};
use crate::section::Zone;
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// Largest turn of a vertex that is part of a rounding, rad: 20 degrees. A surveyed foot turns more;
/// arcs are cut far finer.
const ROUNDED: f64 = 0.35;
/// Release below which nothing pulls, N/mm: rounding of film that is not stretched.
const NOTHING: f64 = 1e-12;
/// J/m² of a N/mm, kPa of a `MPa`.
const PER_M2: f64 = 1000.0;

/// A state of laid film.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoldWhen {
    /// As laid, cooled down.
    AsLaid,
    /// After post-heating, cooled down.
    PostHeated,
    /// After post-heating, on a hot day.
    HotDay,
}

/// The hold of laid film in one state.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct HoldState {
    /// Which.
    pub when: HoldWhen,
    /// Temperature of the film, degC; `None` for a tensile curve, which has none.
    pub temperature_c: Option<f64>,
    /// What the film gives back where it lets go most readily, J/m².
    pub release_j_per_m2: f64,
    /// What the adhesive takes, over that.
    pub ratio: f64,
    /// From where, abscissa, mm.
    pub from_x_mm: f64,
    /// To where, abscissa, mm; the same at the end of a gap.
    pub to_x_mm: f64,
    /// The panel furthest from the film that let go, or the end of the gap: abscissa, mm.
    pub at_x_mm: f64,
    /// Its zone.
    pub zone: Zone,
    /// Is it a gap that grows, where the tool does not reach?
    pub gap: bool,
    /// Largest pull off a rounded foot, kPa, where there is one that the tool reaches.
    pub pull_kpa: Option<f64>,
    /// Radius there, mm.
    pub pull_radius_mm: Option<f64>,
    /// Where, abscissa, mm.
    pub pull_x_mm: Option<f64>,
}

/// The hold of a lay-down.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Hold {
    /// What the adhesive takes under a load that lasts, J/m².
    pub adhesion_j_per_m2: Option<f64>,
    /// As laid, after post-heating, on a hot day: those that could be computed.
    pub states: Vec<HoldState>,
    /// The hold ratio on a hot day after post-heating, by which films, orders and widths rank;
    /// `None` where it is not known, or nothing pulls.
    pub ratio: Option<f64>,
    /// Hold ratio at which a trial piece of the class let go.
    pub let_go_ratio: Option<f64>,
    /// Why there is none, if so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_computed: Option<Told<HoldNotice>>,
    /// What is to be said of it.
    pub follows: Vec<Told<HoldNotice>>,
}

/// Finds the hold of laid film.
///
/// # Arguments
/// * `film`: its class; a number that is missing is said.
/// * `law`: as stiff as the film is when cool.
/// * `celsius`: how cool, degC; `None` for a tensile curve.
pub fn hold(
    laid: &Laydown,
    bed: &Bed<'_>,
    film: &FilmClass,
    law: &StretchLaw,
    celsius: Option<f64>,
) -> Hold {
    let missing = |number: FilmNumber| HoldNotice::Missing {
        film: film.name.clone(),
        number,
    };
    let none = |why: HoldNotice| Hold {
        not_computed: Some(Told(why)),
        ..Hold::default()
    };
    let (Some(peel), Some(lasting)) = (&film.peel, &film.long_term_factor) else {
        let peel = film.peel.is_none();
        return none(missing(if peel {
            FilmNumber::Peel
        } else {
            FilmNumber::LongTermFactor
        }));
    };
    let Some(strip) = Film::of(laid, bed) else {
        return none(HoldNotice::NotFinite);
    };
    let adhesion = peel.energy() * lasting.value;
    let mut hold = Hold {
        adhesion_j_per_m2: Some(PER_M2 * adhesion),
        let_go_ratio: film.hold_let_go.as_ref().map(|n| n.value),
        ..Hold::default()
    };
    let seen = Seen {
        bed,
        laid,
        strip: &strip,
        law,
        adhesion,
    };
    hold.states
        .extend(seen.state(HoldWhen::AsLaid, 1.0, celsius));
    if hold.states.is_empty() {
        hold.follows.push(Told(HoldNotice::NothingPulls));
        return hold;
    }
    let mut lacks = None;
    if let Some(left) = &film.stress_left {
        let heated = seen.state(HoldWhen::PostHeated, left.value, celsius);
        hold.states.extend(heated);
        match (hot(film, law, celsius), heated) {
            (Ok((softer, hot)), Some(heated)) => hold.states.push(heated.softer(softer, hot)),
            (Err(why), _) => lacks = Some(why),
            (Ok(_), None) => {}
        }
    } else {
        lacks = Some(missing(FilmNumber::StressLeft));
    }
    hold.ratio = (hold.states.last())
        .filter(|s| s.when == HoldWhen::HotDay)
        .map(|s| s.ratio);
    let ratio = |when: HoldWhen| hold.states.iter().find(|s| s.when == when).map(|s| s.ratio);
    if let Some(least) = hold.states.last() {
        let mut follows = vec![HoldNotice::Ratios {
            hot_day: ratio(HoldWhen::HotDay),
            post_heated: ratio(HoldWhen::PostHeated),
            as_laid: ratio(HoldWhen::AsLaid),
            zone: least.zone,
            from_x_mm: least.from_x_mm,
            to_x_mm: least.to_x_mm,
        }];
        follows.extend(lacks);
        follows.push(match (hold.ratio, hold.let_go_ratio) {
            (Some(ratio), Some(let_go)) => HoldNotice::BesideTrial { ratio, let_go },
            _ => HoldNotice::Ranking,
        });
        hold.follows = follows.into_iter().map(Told).collect();
    }
    hold
}

/// How many times softer the film is on a hot day, and how hot that is, degC.
fn hot(film: &FilmClass, law: &StretchLaw, celsius: Option<f64>) -> Result<(f64, f64), HoldNotice> {
    let missing = |number: FilmNumber| HoldNotice::Missing {
        film: film.name.clone(),
        number,
    };
    if celsius.is_none() {
        return Err(HoldNotice::CurveHasNoHeat);
    }
    let Some(Number { value: hot, .. }) = film.hot_day_c else {
        return Err(missing(FilmNumber::HotDay));
    };
    // Every layer softens alike, so the whole is softer by one factor.
    match film.law_at(hot) {
        Ok(soft) => Ok((soft.scale() / law.scale(), hot)),
        Err(_) => Err(HoldNotice::NotAtHeat {
            film: film.name.clone(),
            hot_c: hot,
        }),
    }
}

/// Laid film with what holds it.
struct Seen<'a> {
    bed: &'a Bed<'a>,
    laid: &'a Laydown,
    strip: &'a Film,
    law: &'a StretchLaw,
    /// N/mm.
    adhesion: f64,
}

impl Seen<'_> {
    /// The hold with a part of the tension left; nothing where no film pulls.
    fn state(&self, when: HoldWhen, left: f64, celsius: Option<f64>) -> Option<HoldState> {
        let held = Held::new(self.strip, self.law, left);
        let Lift { release, ends, at } = held.worst().filter(|l| l.release > NOTHING)?;
        let x = |s: f64| self.bed.line().at(s).x;
        let pull = self.pull(&held);
        Some(HoldState {
            when,
            temperature_c: celsius,
            release_j_per_m2: PER_M2 * release,
            ratio: self.adhesion / release,
            from_x_mm: x(ends.0),
            to_x_mm: x(ends.1),
            at_x_mm: x(at),
            zone: self.bed.zone(at),
            gap: ends.1 <= ends.0,
            pull_kpa: pull.map(|p| PER_M2 * p.0),
            pull_radius_mm: pull.map(|p| p.1),
            pull_x_mm: pull.map(|p| x(p.2)),
        })
    }

    /// The largest pull N/R off a rounded foot, `MPa`, with radius and place, mm. A vertex between
    /// facets a and b of an arc turns by 2 asin(min(a, b)/2R); what turns more is no rounding.
    fn pull(&self, held: &Held<'_>) -> Option<(f64, f64, f64)> {
        let ((left, right), line) = (self.laid.bonds(), self.bed.line());
        let gaps = self.bed.gaps(left, right);
        let (points, lengths) = (line.points(), line.lengths());
        let inside = |s: f64| left < s && s < right && !gaps.iter().any(|g| g.0 <= s && s <= g.1);
        let feet = (1..points.len() - 1)
            .filter(|&k| inside(lengths[k]))
            .filter_map(|k| {
                let (a, b) = (points[k] - points[k - 1], points[k + 1] - points[k]);
                let turn = cross(a, b).atan2(a.dot(&b));
                let radius = a.norm().min(b.norm()) / (2.0 * (0.5 * turn).sin());
                let rounded = turn > 0.0 && turn <= ROUNDED;
                rounded.then(|| (held.tension(lengths[k]) / radius, radius, lengths[k]))
            });
        feet.filter(|f| f.0 > NOTHING)
            .reduce(|a, b| if b.0 > a.0 { b } else { a })
    }
}

impl HoldState {
    /// The same film at another temperature, so many times as stiff: what it gives back is in
    /// proportion, and it lets go at the same place.
    fn softer(self, times: f64, celsius: f64) -> Self {
        Self {
            when: HoldWhen::HotDay,
            temperature_c: Some(celsius),
            release_j_per_m2: times * self.release_j_per_m2,
            ratio: self.ratio / times,
            pull_kpa: self.pull_kpa.map(|p| times * p),
            ..self
        }
    }
}
