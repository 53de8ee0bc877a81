//! What is asked in the bay, turned into conditions of the laying.
//!
//! A person in the bay can say which film is warm, how round the lip is and how the film
//! lies over the flats; friction and drag follow from that. The values they set are
//! invented for the demo and marked so in every answer that rests on them; raw numbers
//! take their place.

use crate::film::{FilmClass, LawError, StretchLaw, TensileCurve};
use crate::laydown::{Conditions, FilmRange, Laying, Warm};
use crate::outcome::Ends;
use serde::{Deserialize, Serialize};

/// Temperature of film that nobody warmed, degC.
pub const AMBIENT: f64 = 20.0;

/// How round the lips are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum LipShape {
    /// A sharp edge
    Sharp,
    /// As round as a pencil
    Pencil,
    /// As round as a thumb
    Thumb,
}

impl LipShape {
    /// Friction coefficient, invented for the demo.
    pub fn friction(self) -> f64 {
        match self {
            Self::Sharp => 0.4,
            Self::Pencil => 0.3,
            Self::Thumb => 0.2,
        }
    }

    /// In words.
    fn words(self) -> &'static str {
        match self {
            Self::Sharp => "sharp",
            Self::Pencil => "pencil-round",
            Self::Thumb => "thumb-round",
        }
    }
}

/// How the film lies over the flats before it is laid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum FlatState {
    /// Held off the panel
    Lifted,
    /// On its backing
    Backing,
    /// Touching with its adhesive
    Touching,
}

impl FlatState {
    /// Drag, kPa, invented for the demo but for the 0 of lifted film.
    pub fn drag_kpa(self) -> f64 {
        match self {
            Self::Lifted => 0.0,
            Self::Backing => 0.5,
            Self::Touching => 5.0,
        }
    }

    /// In words.
    fn words(self) -> &'static str {
        match self {
            Self::Lifted => "lifted",
            Self::Backing => "on its backing",
            Self::Touching => "touching",
        }
    }
}

/// Which film is warmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum WarmZone {
    /// The whole bridge.
    #[default]
    Whole,
    /// The film between the lips.
    Mouth,
    /// The film over the flats.
    Flats,
}

impl WarmZone {
    /// The name used on the command line and in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Mouth => "mouth",
            Self::Flats => "flats",
        }
    }
}

/// A range of the flat film and its temperature.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WarmRange {
    /// Where it begins, mm of flat film from the left bond line.
    #[serde(rename = "from_mm")]
    pub from: f64,
    /// Where it ends, mm.
    #[serde(rename = "to_mm")]
    pub to: f64,
    /// Its temperature, degC.
    #[serde(rename = "warm_c")]
    pub celsius: f64,
}

/// What was said in the bay; `None` where nothing was.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Bay {
    /// How round the lips are.
    pub lip: Option<LipShape>,
    /// How the film lies over the flats.
    pub flats: Option<FlatState>,
    /// Friction coefficient of film on the lips, in place of what `lip` sets.
    pub lip_friction: Option<f64>,
    /// Drag on the flats, kPa, in place of what `flats` sets.
    pub drag_kpa: Option<f64>,
    /// Which film is warmed.
    pub warm: Option<WarmZone>,
    /// To what, degC; unsaid the softest row of the class's table.
    pub warm_c: Option<f64>,
    /// Warm ranges of the flat film, left to right, in place of `warm`; none.
    pub ranges: Vec<WarmRange>,
    /// The rest of the film, degC; unsaid [`AMBIENT`].
    pub ambient_c: Option<f64>,
    /// Laying rule.
    pub laying: Laying,
    /// The user's own tensile curve, in place of the class's table.
    #[serde(skip)]
    pub curve: Option<TensileCurve>,
    /// Whether the recess runs out at its ends along the vehicle; unsaid open.
    pub ends: Option<Ends>,
    /// What a hand gives at most, N; unsaid [`HAND_FORCE`](crate::HAND_FORCE).
    #[serde(rename = "hand_force_n")]
    pub hand_force: Option<f64>,
}

/// Conditions of the laying with what has to be said about them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Handling {
    /// What was said in the bay.
    pub bay: Bay,
    /// The conditions.
    pub conditions: Conditions,
    /// Which film is warmed and to what: `whole`, `mouth:80`.
    pub warm: String,
    /// What was taken for granted, as one sentence.
    pub assumption: String,
    /// Numbers that decide and are invented.
    pub invented: Vec<String>,
}

impl Handling {
    /// Turns what was said into conditions for a film class.
    ///
    /// # Errors
    /// [`LawError`]: the class's table is missing or does not reach a temperature that
    /// matters to the answer.
    pub fn new(film: &FilmClass, bay: &Bay) -> Result<Self, LawError> {
        let mut invented = Vec::new();
        let (lip_friction, lip_words) = friction(bay, &mut invented);
        let (drag_kpa, flat_words) = drag(bay, &mut invented);
        let zone = bay.warm.unwrap_or_default();
        let ambient = bay.ambient_c.unwrap_or(AMBIENT);
        let asked = bay.warm_c.or_else(|| film.softest_temperature());
        let mut conditions = Conditions {
            lip_friction,
            drag: drag_kpa / 1000.0,
            laying: bay.laying,
            ..Conditions::default()
        };
        let (warm, warm_words);
        if !bay.ranges.is_empty() {
            conditions.law = film.law_at(ambient)?;
            (conditions.warm, warm) = ranges(film, &bay.ranges)?;
            warm_words = format!("the film warmed in ranges ({warm}), the rest at {ambient} degC");
        } else if zone == WarmZone::Whole {
            // The stiffness of film that is alike all over matters only against drag.
            if let Some(curve) = &bay.curve {
                conditions.law = StretchLaw::Curve(curve.clone());
            } else if drag_kpa > 0.0 || (bay.warm_c.is_some() && !film.modulus.is_empty()) {
                conditions.law = film.law_at(asked.unwrap_or(ambient))?;
            }
            match (bay.warm_c.or(asked.filter(|_| drag_kpa > 0.0)), &bay.curve) {
                (Some(t), None) => {
                    warm = format!("whole:{t}");
                    warm_words = format!("the whole bridge at {t} degC");
                }
                _ => {
                    warm = "whole".to_owned();
                    warm_words = "the whole bridge at one temperature".to_owned();
                }
            }
        } else {
            let hot = asked.unwrap_or(ambient);
            conditions.law = film.law_at(ambient)?;
            let law = film.law_at(hot)?;
            let place;
            (conditions.warm, place) = if zone == WarmZone::Mouth {
                (Warm::Mouth(law), "between the lips")
            } else {
                (Warm::Flats(law), "over the flats")
            };
            warm = format!("{}:{hot}", zone.name());
            warm_words = format!("the film {place} at {hot} degC, the rest at {ambient} degC");
        }
        if zone != WarmZone::Whole
            || !bay.ranges.is_empty()
            || (drag_kpa > 0.0 && bay.curve.is_none())
        {
            invented.extend(invented_stiffness(film, drag_kpa > 0.0));
        }
        let how = match bay.laying {
            Laying::Rolled => "film rolled down",
            Laying::Dabbed => "film dabbed down square to the panel",
        };
        Ok(Self {
            bay: bay.clone(),
            conditions,
            warm,
            assumption: format!("{warm_words}, {lip_words}, {flat_words}, {how}"),
            invented,
        })
    }

    /// The same bay with other film: a tensile curve belongs to the film it was tested on.
    ///
    /// # Errors
    /// As [`Handling::new`].
    pub fn with_film(&self, film: &FilmClass) -> Result<Self, LawError> {
        let bay = Bay {
            curve: None,
            ..self.bay.clone()
        };
        Self::new(film, &bay)
    }

    /// The same film with another zone warmed.
    ///
    /// # Errors
    /// As [`Handling::new`].
    pub fn with_warm(&self, film: &FilmClass, zone: WarmZone) -> Result<Self, LawError> {
        let bay = Bay {
            warm: Some(zone),
            ..self.bay.clone()
        };
        Self::new(film, &bay)
    }
}

/// Warm ranges as laws, and their name: `20..60:80`.
fn ranges(film: &FilmClass, ranges: &[WarmRange]) -> Result<(Warm, String), LawError> {
    let mut all = Vec::with_capacity(ranges.len());
    let mut names = Vec::with_capacity(ranges.len());
    for r in ranges {
        all.push(FilmRange {
            from: r.from,
            to: r.to,
            law: film.law_at(r.celsius)?,
        });
        names.push(format!("{}..{}:{}", r.from, r.to, r.celsius));
    }
    Ok((Warm::Ranges(all), names.join(",")))
}

/// Friction coefficient and what is said of it.
fn friction(bay: &Bay, invented: &mut Vec<String>) -> (f64, String) {
    match (bay.lip_friction, bay.lip) {
        (Some(mu), _) => (mu, format!("friction {mu} on the lips as given")),
        (None, Some(lip)) => {
            let mu = lip.friction();
            invented.push(format!("lip {}: friction {mu}", lip.words()));
            (
                mu,
                format!("friction {mu} on lips that are {} (invented)", lip.words()),
            )
        }
        (None, None) => (0.0, "no friction on the lips".to_owned()),
    }
}

/// Drag, kPa, and what is said of it.
fn drag(bay: &Bay, invented: &mut Vec<String>) -> (f64, String) {
    match (bay.drag_kpa, bay.flats) {
        (Some(kpa), _) => (kpa, format!("drag of {kpa} kPa on the flats as given")),
        (None, Some(flats)) if flats != FlatState::Lifted => {
            let kpa = flats.drag_kpa();
            invented.push(format!("flats {}: drag {kpa} kPa", flats.words()));
            (
                kpa,
                format!(
                    "drag of {kpa} kPa from film {} over the flats (invented)",
                    flats.words()
                ),
            )
        }
        (None, said) => {
            let lifted = if said.is_some() {
                "film lifted off the flats"
            } else {
                "no drag on the flats"
            };
            (0.0, lifted.to_owned())
        }
    }
}

/// Invented numbers of a class's stiffness.
pub(super) fn invented_stiffness(film: &FilmClass, thickness: bool) -> Vec<String> {
    let mut all = Vec::new();
    let mut note = |invented: bool, key: &str| {
        if invented {
            all.push(format!("film {}: {key}", film.name));
        }
    };
    note(
        film.modulus.iter().any(|r| r.modulus_mpa.is_invented()),
        "modulus",
    );
    if thickness {
        note(film.thickness_um.is_invented(), "thickness_um");
        let layer =
            |l: &crate::film::Layer| l.modulus_mpa.is_invented() || l.thickness_um.is_invented();
        note(film.layers.iter().any(layer), "layers");
    }
    all
}
