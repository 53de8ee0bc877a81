//! What is asked in the bay, turned into conditions of the laying.
//!
use super::answer::{Handled, Invented, Warmed};
use super::bay::{AMBIENT, Bay, FlatState, WarmRange, WarmZone};
use crate::film::{FilmClass, FilmNumber, LawError, Number, StretchLaw};
use crate::laydown::{Conditions, FilmRange, Warm};

/// Conditions of the laying with what has to be said about them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Handling {
    /// What was said in the bay.
    pub bay: Bay,
    /// The conditions.
    pub conditions: Conditions,
    /// What was taken for granted.
    pub assumption: Handled,
    /// Numbers that decide and are invented.
    pub invented: Vec<Invented>,
}

impl Handling {
    /// Turns what was said into conditions for a film class.
    ///
    /// # Errors
    /// [`LawError`]: the class's table is missing or does not reach a temperature that
    /// matters to the answer.
    pub fn new(film: &FilmClass, bay: &Bay) -> Result<Self, LawError> {
        let mut invented = Vec::new();
        let lip_friction = friction(film, bay, &mut invented);
        let drag_kpa = drag(film, bay, &mut invented);
        let ambient = bay.ambient_c.unwrap_or(AMBIENT);
        let mut conditions = Conditions {
            lip_friction,
            drag: drag_kpa / 1000.0,
            laying: bay.laying,
            ..Conditions::default()
        };
        let asked = bay.warm_c.or_else(|| film.softest_temperature());
        let warm = match bay.warm.unwrap_or_default() {
            _ if !bay.ranges.is_empty() => {
                conditions.law = film.law_at(ambient)?;
                conditions.warm = Warm::Ranges(ranges(film, &bay.ranges)?);
                Warmed::Ranges(bay.ranges.clone())
            }
            WarmZone::Whole => {
                // The stiffness of film that is alike all over matters only against drag.
                if let Some(curve) = &bay.curve {
                    conditions.law = StretchLaw::Curve(curve.clone());
                } else if drag_kpa > 0.0 || (bay.warm_c.is_some() && !film.modulus.is_empty()) {
                    conditions.law = film.law_at(asked.unwrap_or(ambient))?;
                }
                let matters = bay.warm_c.or(asked.filter(|_| drag_kpa > 0.0));
                Warmed::Whole(matters.filter(|_| bay.curve.is_none()))
            }
            zone => {
                let hot = asked.unwrap_or(ambient);
                conditions.law = film.law_at(ambient)?;
                let law = film.law_at(hot)?;
                let (laws, warm) = match zone {
                    WarmZone::Mouth => (Warm::Mouth(law), Warmed::Mouth(hot)),
                    _ => (Warm::Flats(law), Warmed::Flats(hot)),
                };
                conditions.warm = laws;
                warm
            }
        };
        if !matches!(warm, Warmed::Whole(_)) || (drag_kpa > 0.0 && bay.curve.is_none()) {
            invented.extend(invented_stiffness(film, drag_kpa > 0.0));
        }
        Ok(Self {
            bay: bay.clone(),
            conditions,
            assumption: Handled {
                warm,
                ambient_c: ambient,
                lip_friction,
                lip: bay.lip.filter(|_| bay.lip_friction.is_none()),
                friction_given: bay.lip_friction.is_some(),
                friction_of_class: bay.lip.is_none() && film.lip_friction.is_some(),
                drag_kpa,
                flats: bay.flats.filter(|_| bay.drag_kpa.is_none()),
                drag_given: bay.drag_kpa.is_some(),
                drag_of_class: bay.flats.is_none() && film.drag_kpa.is_some(),
                laying: bay.laying,
            },
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

/// Warm ranges as laws.
fn ranges(film: &FilmClass, ranges: &[WarmRange]) -> Result<Vec<FilmRange>, LawError> {
    let one = |r: &WarmRange| {
        Ok(FilmRange {
            from: r.from,
            to: r.to,
            law: film.law_at(r.celsius)?,
        })
    };
    ranges.iter().map(one).collect()
}

/// A number of the class that is used where nothing is said in the bay.
fn of_class(
    film: &FilmClass,
    number: Option<&Number>,
    which: FilmNumber,
    invented: &mut Vec<Invented>,
) -> f64 {
    let Some(known) = number else {
        return 0.0;
    };
    invented.extend(known.is_invented().then(|| Invented::Film {
        film: film.name.clone(),
        number: which,
    }));
    known.value
}

/// Friction coefficient on the lips.
fn friction(film: &FilmClass, bay: &Bay, invented: &mut Vec<Invented>) -> f64 {
    match (bay.lip_friction, bay.lip) {
        (Some(mu), _) => mu,
        (None, Some(lip)) => {
            let friction = lip.friction();
            invented.push(Invented::LipFriction { lip, friction });
            friction
        }
        (None, None) => of_class(
            film,
            film.lip_friction.as_ref(),
            FilmNumber::LipFriction,
            invented,
        ),
    }
}

/// Drag on the flats, kPa.
fn drag(film: &FilmClass, bay: &Bay, invented: &mut Vec<Invented>) -> f64 {
    match (bay.drag_kpa, bay.flats) {
        (Some(kpa), _) => kpa,
        (None, Some(flats)) if flats != FlatState::Lifted => {
            let drag_kpa = flats.drag_kpa();
            invented.push(Invented::Drag { flats, drag_kpa });
            drag_kpa
        }
        (None, Some(_)) => 0.0,
        (None, None) => of_class(film, film.drag_kpa.as_ref(), FilmNumber::Drag, invented),
    }
}

/// Invented numbers of a class's stiffness.
pub(super) fn invented_stiffness(film: &FilmClass, thickness: bool) -> Vec<Invented> {
    let mut all = Vec::new();
    let mut note = |invented: bool, number: FilmNumber| {
        let film = || film.name.clone();
        all.extend(invented.then(|| Invented::Film {
            film: film(),
            number,
        }));
    };
    let stiffness = film.modulus.iter().any(|r| r.modulus_mpa.is_invented());
    note(stiffness, FilmNumber::Stiffness);
    if thickness {
        note(film.thickness_um.is_invented(), FilmNumber::Thickness);
        let layer =
            |l: &crate::film::Layer| l.modulus_mpa.is_invented() || l.thickness_um.is_invented();
        note(film.layers.iter().any(layer), FilmNumber::Layers);
    }
    all
}
