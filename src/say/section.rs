//! What was seen in a survey and assumed of the panel, in words.

use super::{Say, Voice, when};
use crate::section::{
    Further, Kind, Mark, MemberShape, Narrower, SectionNotice, Side, Units, Zone,
};

/// Most slips that are named one by one.
const MOST_NAMED: usize = 6;
/// Radius below which a corner is sharp, mm.
const SHARP: f64 = 0.05;

/// `1 thing`, `2 things`.
pub(super) fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", when(n == 1, one, many))
}

impl Say for Side {
    fn say(&self, _: Voice) -> String {
        self.word().to_owned()
    }
}

impl Side {
    /// Its name.
    pub(crate) fn word(self) -> &'static str {
        self.pick("left", "right")
    }
}

impl Kind {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Channel => "channel",
            Self::Step => "step",
        }
    }
}

impl Zone {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Flat => "flat",
            Self::Lip => "lip",
            Self::Wall => "wall",
            Self::Foot => "foot",
            Self::Floor => "floor",
            Self::Pad => "pad",
        }
    }

    /// Where that is.
    pub fn place(self) -> &'static str {
        match self {
            Self::Flat => "out on the flat",
            Self::Lip => "at the lip",
            Self::Wall => "on the wall",
            Self::Foot => "at the foot",
            Self::Floor => "on the floor",
            Self::Pad => "under the press",
        }
    }
}

impl Mark {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Self::LeftLip => "left lip",
            Self::RightLip => "right lip",
            Self::LeftFoot => "left foot",
            Self::RightFoot => "right foot",
            Self::Foot => "foot",
            Self::DeepestFrom => "deepest zone from",
            Self::DeepestTo => "deepest zone to",
            Self::Press => "press",
        }
    }

    /// Its name without its side.
    pub(crate) fn short(self) -> &'static str {
        match self {
            Self::LeftLip | Self::RightLip => "lip",
            Self::LeftFoot | Self::RightFoot | Self::Foot => "foot",
            Self::DeepestFrom | Self::DeepestTo => "deepest",
            Self::Press => "press",
        }
    }
}

impl Say for SectionNotice {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::Repeated { count: n, first } => format!(
                "{} dropped (first at {first})",
                count(*n, "repeated point", "repeated points")
            ),
            Self::UnitsTaken { headless, unit } => {
                let what = when(*headless, "no header", "no unit in the header");
                let unit = match unit {
                    Units::Mm => "mm",
                    Units::Cm => "cm",
                    Units::Inch => "inches",
                };
                let says = voice.at_keyboard(", as `--units` says");
                format!("{what}: read as x and y in {unit}{says}")
            }
            Self::Depths => "heights were read as depths, positive into the panel".to_owned(),
            Self::TurnedRound { from_right: true } => {
                "the readings were turned round: x counted from the right is negative here"
                    .to_owned()
            }
            Self::TurnedRound { .. } => "the readings were turned round".to_owned(),
            Self::Tilted { deg, turned } => {
                let then = when(
                    *turned,
                    "it was turned level",
                    "lips and feet are found with its flats level, the points stay as they are",
                );
                let angle = voice.degrees(*deg, 1);
                format!("the survey is tilted by {angle}: {then}")
            }
            Self::Slips { all } => slips(all, voice),
            Self::Fitted {
                noise_mm,
                noise_over_mm,
                pieces,
                rounded,
                readings,
            } => {
                let errs = noise(*noise_mm, *noise_over_mm, voice);
                let corners = match rounded {
                    0 => String::new(),
                    n => format!(", {} rounded", count(*n, "corner", "corners")),
                };
                let pieces = count(*pieces, "straight piece", "straight pieces");
                format!(
                    "each reading errs by {errs}: a section of {pieces}{corners} was fitted to {readings} of them"
                )
            }
            Self::BetweenReadings { count: n, step_mm } => {
                let stand = when(*n == 1, "stands where it", "stand where they");
                let corners = format!(
                    "{} between them {stand} may lie at worst (read lips and feet themselves, or closer, for a narrower bridge); ",
                    count(*n, "corner", "corners"),
                );
                format!(
                    "readings lie up to {} apart: {}a rib or a ledge between two of them is not seen, so read it where there is one",
                    voice.fine(*step_mm),
                    when(*n == 0, "", corners.as_str())
                )
            }
            Self::Squared { mm } => format!(
                "walls that ran back by up to {} were squared off as vertical",
                voice.fine(*mm)
            ),
            Self::OneOfSeveral {
                count,
                number,
                equal,
            } => {
                let why = when(*equal, "the left one of equally deep ones", "the deepest");
                let other = voice.at_keyboard("; `--valley` picks another");
                format!(
                    "{count} recesses in this section; the answer is for number {number} from the left, {why}{other}"
                )
            }
            Self::NextRecess { side, mm } => format!(
                "reach to the {} stops {} out, at the next recess",
                side.word(),
                voice.width(*mm)
            ),
            Self::EndFalls { side, along_mouth } => {
                let on = when(
                    *along_mouth,
                    "along the mouth line",
                    "parallel to the other flat",
                );
                format!(
                    "the {} end of the survey falls inwards; beyond it the panel goes on {on}",
                    side.word()
                )
            }
        }
    }
}

/// Readings that were dropped.
fn slips(all: &[(usize, f64)], voice: Voice) -> String {
    let one = |(place, off): &(usize, f64)| format!("number {place} by {}", voice.length(*off));
    let named: Vec<String> = all.iter().take(MOST_NAMED).map(one).collect();
    let rest = match all.len().saturating_sub(MOST_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let what = count(
        all.len(),
        "reading stands off the panel and was dropped",
        "readings stand off the panel and were dropped",
    );
    format!("{what}: {}{rest}", named.join(", "))
}

/// How far readings err, and over which length alike.
pub(super) fn noise(mm: f64, over_mm: f64, voice: Voice) -> String {
    let over = format!(", neighbours alike over {}", voice.length(over_mm));
    voice.fine(mm) + when(over_mm > 0.0, over.as_str(), "")
}

impl Say for MemberShape {
    fn say(&self, voice: Voice) -> String {
        let (left, right) = (self.left_wall_deg, self.right_wall_deg);
        let (bare, right_words) = (voice.number(left, 0), voice.degrees(right, 0));
        let walls = if (left.round() - right.round()).abs() < 0.5 {
            format!("both walls {}", voice.degrees(left, 0))
        } else {
            format!("left wall {bare} and right wall {right_words}")
        };
        let radius = |name: &str, mm: f64| {
            if mm < SHARP {
                format!("{name} sharp")
            } else {
                format!("{name} radius {}", voice.length(mm))
            }
        };
        format!(
            "{walls}, floor {}, {}, {}",
            voice.length(self.floor_mm),
            radius("lip", self.lip_radius_mm),
            radius("foot", self.foot_radius_mm)
        )
    }
}

impl Say for Narrower {
    fn say(&self, voice: Voice) -> String {
        let what = match self.measure {
            Further::LeftWall => "the angle of the left wall",
            Further::RightWall => "the angle of the right wall",
            Further::Floor => "the width of the floor",
            Further::LipRadius => "the radius of the lips",
            Further::FootRadius => "the radius at the foot of the walls",
        };
        let error = match self.measure {
            Further::LeftWall | Further::RightWall => voice.degrees(self.error, 0),
            _ => voice.tolerance(self.error),
        };
        format!(
            "the nominal bridge lies between {} and {}; measure {what} (to {error}): the range left is then at most {}",
            voice.width(self.from_mm),
            voice.width(self.to_mm),
            voice.tolerance(self.left_mm.max(1.0))
        )
    }
}
