//! Whether laid film stays down, in words.

use super::{Say, Voice};
use crate::film::FilmNumber;
use crate::outcome::{Hold, HoldNotice};

/// A number that a class lacks, and its key.
fn lacking(number: &FilmNumber) -> (&'static str, &'static str) {
    match number {
        FilmNumber::Peel => ("no peel test", " (`[peel]`)"),
        FilmNumber::LongTermFactor => ("no long-term factor", " (`long_term_factor`)"),
        FilmNumber::StressLeft => ("no stress left by post-heating", " (`stress_left`)"),
        FilmNumber::HotDay => ("no hot day", " (`hot_day_c`)"),
        _ => ("no table of stiffness", " (`[[modulus]]`)"),
    }
}

impl Voice {
    /// A hold ratio, to two figures or more.
    pub fn times(self, ratio: f64) -> String {
        match ratio {
            r if r >= 9999.5 => format!("over {}", self.number(9999.0, 0)),
            r if r >= 9.95 => self.number(r, 0),
            r => self.number(
                r,
                if r < 0.1 {
                    3
                } else {
                    1 + usize::from(r < 0.995)
                },
            ),
        }
    }

    /// The hold of a lay-down in one line.
    pub fn hold(self, hold: &Hold) -> String {
        match &hold.not_computed {
            Some(why) => format!("not computed: {}", why.say(self)),
            None => self.all(hold.follows.iter().map(|f| &f.0)).join("; "),
        }
    }
}

impl Say for HoldNotice {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::Ratios {
                hot_day,
                post_heated,
                as_laid,
                zone,
                from_x_mm,
                to_x_mm,
            } => {
                let states = [
                    ("on a hot day after post-heating", *hot_day),
                    ("after post-heating", *post_heated),
                    ("as laid", *as_laid),
                ];
                let mut known = states.iter().filter_map(|(when, r)| Some((*when, (*r)?)));
                let first = known.next().map_or_else(String::new, |(when, ratio)| {
                    format!("{} times what pulls {when}", voice.times(ratio))
                });
                let rest: Vec<String> = known
                    .map(|(when, ratio)| format!("{when} {}", voice.times(ratio)))
                    .collect();
                let rest = match rest[..] {
                    [] => String::new(),
                    _ => format!(" ({})", rest.join(", ")),
                };
                // No place where film lets go is known better than to half a millimetre.
                let [near, far] = [from_x_mm, to_x_mm].map(|x| 0.5 * (2.0 * x).round() + 0.0);
                let from = voice.length(near);
                let place = if to_x_mm > from_x_mm {
                    format!("x = {} to {}", voice.bare_length(near), voice.length(far))
                } else {
                    format!("x = {from}, where the tool leaves a gap")
                };
                format!(
                    "{first}{rest}; would let go first {}, {place}",
                    zone.place()
                )
            }
            Self::Ranking => "a ranking, no trial piece has set it".to_owned(),
            Self::BesideTrial { ratio, let_go } => {
                let (over, at) = (ratio / let_go, voice.times(*let_go));
                let side = if over > 1.0 { "above" } else { "not above" };
                format!(
                    "{side} the {at} at which a trial piece let go, {} times it",
                    voice.times(over)
                )
            }
            Self::NothingPulls => "nothing pulls: no film is stretched over a hollow".to_owned(),
            Self::Missing { film, number } => {
                let (what, key) = lacking(number);
                format!("film {film} has {what}{}", voice.at_keyboard(key))
            }
            Self::NotAtHeat { film, hot_c } => format!(
                "the stiffness of film {film} on a hot day, {}, is not in its table",
                voice.celsius(*hot_c)
            ),
            Self::CurveHasNoHeat => {
                "a tensile curve has no temperature, so a hot day is not known".to_owned()
            }
            Self::NotFinite => "the peak is not finite".to_owned(),
            Self::NotKnown { why } => why.clone(),
        }
    }
}
