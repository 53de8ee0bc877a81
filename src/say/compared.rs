//! A comparison of film classes, in words.

use super::{Say, Voice, when};
use crate::advice::{Comparison, ComparisonRow, LimitsPct, Notice, Verdict};
use crate::outcome::WayOut;

pub(super) fn say(notice: &Notice, voice: Voice) -> Option<String> {
    Some(match notice {
        Notice::Within {
            limits,
            margin_pct,
            not_beyond_mm,
            needed_pct,
        } => {
            let only = not_beyond_mm.map_or_else(String::new, |mm| {
                format!(", but not beyond a bridge of {}", voice.width(mm))
            });
            let needed = needed_pct.map_or_else(String::new, |n| {
                format!("; readings need {}", voice.number(n, 1))
            });
            let (limits, by) = (both(*limits, voice), by(*margin_pct, voice));
            format!("within {limits} {by}{only}{needed}")
        }
        Notice::Over {
            limits,
            by_pct,
            at_widest,
        } => {
            let limits = both(*limits, voice);
            match by_pct {
                None => format!("over {limits} without bound"),
                Some(points) => {
                    let even = when(*at_widest, " even at the widest bridge", "");
                    format!("over {limits} {}{even}", by(*points, voice))
                }
            }
        }
        Notice::NoVerdict => {
            "no verdict: film that rests loses too much of its tension; counts as over".to_owned()
        }
        Notice::IsMiddlePush => "needs no reach: it is the middle push".to_owned(),
        Notice::HeldAtMost { share_pct } => format!(
            "within the limit in {} of what the readings allow at most",
            voice.share(*share_pct)
        ),
        Notice::IfArtworkMay { side, shift_mm } => format!(
            "no stretch, if artwork and sheet edge on the {} may move by {}; not at a closed end",
            side.word(),
            voice.length(*shift_mm)
        ),
        Notice::CostNotKnown {
            film,
            price,
            minutes,
        } => {
            let mut missing = Vec::new();
            if *price {
                missing.push("no price".to_owned());
            }
            if let Some(order) = minutes {
                missing.push(format!("no minutes for {}", order.word()));
            }
            format!("{film} has {}", missing.join(" and "))
        }
        _ => return None,
    })
}

/// The limit, or both.
fn both(limits: LimitsPct, voice: Voice) -> String {
    let all = voice.limit(limits.all_pct);
    match limits.recess_pct {
        Some(recess) => {
            let recess = voice.limit(recess);
            format!("the limits of {all} and {recess} between the lips")
        }
        None => format!("the limit of {all}"),
    }
}

/// How far within or over.
fn by(points: f64, voice: Voice) -> String {
    if points < 0.05 {
        "by less than 0.1 points".to_owned()
    } else {
        format!("by {}", voice.points(points))
    }
}

impl ComparisonRow {
    /// The verdict in words, with what is missing for the cost.
    pub fn verdict_words(&self, voice: Voice) -> String {
        let why = self.why.say(voice);
        let why = match (self.verdict, &self.why.0) {
            (Verdict::NotKnown, _) => format!("not known: {why}"),
            (_, Notice::NotForRecesses { .. }) => "not meant for recesses".to_owned(),
            _ => why,
        };
        match &self.cost_unknown {
            Some(missing) => format!("{why}; cost unknown: {}", missing.say(voice)),
            None => why,
        }
    }

    /// Where the air goes; nothing where it was not looked at.
    pub fn air_word(&self) -> Option<&'static str> {
        self.laid
            .then(|| self.air.map_or("not known", WayOut::word))
    }
}

impl Comparison {
    /// How the cost is counted.
    pub fn cost_words(&self, voice: Voice) -> String {
        let time = match self.rate_per_h {
            Some(rate) => format!(" + minutes per m / 60 x {} an hour", voice.number(rate, 2)),
            None => format!(
                ", film alone{}",
                voice.at_keyboard(" (`--rate` adds the time)")
            ),
        };
        let panel = self.covered_mm.map_or_else(String::new, |mm| {
            format!(
                "; film width: straight across the same {} of panel in every row, from the outermost left tape to the outermost right one (one way: along it), waste not counted",
                voice.width(mm)
            )
        });
        format!("cost a metre of recess = film width x price per m2{time}{panel}")
    }
}
