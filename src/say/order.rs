//! Orders of pressing and what the hands do, in words.

use super::{Say, Voice, when};
use crate::advice::{Bearing, Doing, End, Onto, PressAt, PressReport, PressSpot, Start};
use crate::laydown::OrderName;
use crate::section::Side;

/// Distance below which a place is at a landmark, mm: what a steel rule shows.
const AT: f64 = 0.5;
/// Distance from a foot from which it is worth a word, mm.
const OFF_FOOT: f64 = 1.0;

impl OrderName {
    /// The trade's name of it.
    pub fn word(self) -> &'static str {
        match self {
            Self::DeepestFirst => "deepest point first",
            Self::EdgeFirst => "edges first",
            Self::MiddlePush => "middle push",
            Self::OneWay => "one way, far side loose",
            Self::Custom => "steps of your own",
        }
    }
}

impl Say for PressReport {
    fn say(&self, voice: Voice) -> String {
        self.spot.say(voice)
    }
}

impl Say for PressSpot {
    fn say(&self, voice: Voice) -> String {
        let foot = |side: Side| {
            let word = side.word();
            let wall = match self.steeper {
                Some(steeper) if steeper == side => format!("steeper wall, on the {word}"),
                _ => format!("{word} wall"),
            };
            let wall = format!("at the foot of the {wall}");
            match self.from_foot_mm.filter(|mm| *mm >= OFF_FOOT) {
                Some(mm) => format!("{wall}, the tool's middle {} from it", voice.width(mm)),
                None => wall,
            }
        };
        match self.at {
            PressAt::Middle => "in the middle of the deepest part".to_owned(),
            PressAt::Foot => "in the foot of the step".to_owned(),
            PressAt::LeftFoot => foot(Side::Left),
            PressAt::RightFoot => foot(Side::Right),
            PressAt::Floor => match (self.nearer_foot, self.from_foot_mm) {
                (Some(side), Some(mm)) => format!(
                    "{} from the {} foot, towards the {}",
                    voice.width(mm),
                    side.word(),
                    side.other().word()
                ),
                _ => format!("{} from the middle", voice.width(self.offset_mm.abs())),
            },
        }
    }
}

impl Say for Doing {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::BondOutside => {
                "bond the film outside the two tapes, free and taut between them".to_owned()
            }
            Self::BondToLip => "bond the film down to the lip, free beyond it".to_owned(),
            Self::BondFlats => "bond both flats up to the lips".to_owned(),
            Self::LayFlats => "lay the flats up to the lips".to_owned(),
            Self::LayFlat { side } => format!("lay the {} flat", side.word()),
            Self::PressFoot => "press the film into the foot of the step".to_owned(),
            Self::PressFirst { at } => {
                let at = at.map_or_else(
                    || "on to the deepest part".to_owned(),
                    |at| format!("down {}", at.say(voice)),
                );
                format!("press the film {at}, along the whole recess")
            }
            Self::PushIn { at, open_end } => {
                let at = at.map_or_else(|| "along the middle".to_owned(), |at| at.say(voice));
                let towards = when(
                    *open_end,
                    ", towards the end that is open",
                    ", from one end to the other",
                );
                format!("push in {at}{towards}")
            }
            Self::PressLast { at } => {
                let at = at.map_or_else(|| "at the deepest part".to_owned(), |at| at.say(voice));
                format!("press the last film down {at}")
            }
            Self::UpAndOut => {
                "work up the wall and out along the lower flat to the tapes".to_owned()
            }
            Self::Outwards => "work outwards over floor, walls and lips to the tapes".to_owned(),
            Self::UpThenFlat => "work up the wall, then lay the lower flat".to_owned(),
            Self::UpWalls => "work outwards up both walls".to_owned(),
            Self::DownWalls => "work down the walls".to_owned(),
            Self::Across { loose } => format!(
                "work down the wall, over the floor and up the other wall, the {} side loose",
                loose.word()
            ),
            Self::Press { at, tool } => {
                let at = match at {
                    Onto::Foot => "into the foot".to_owned(),
                    Onto::Deepest { spot } => {
                        format!("on to the deepest part, {}", spot.say(voice))
                    }
                    Onto::Place { spot } => spot.say(voice),
                };
                let how = tool.as_ref().map_or_else(String::new, |tool| {
                    format!(", with the {tool}, all along the recess")
                });
                format!("press the film {at}{how}")
            }
            Self::Spread { from, side, to } => spread(from, *side, to, voice),
        }
    }
}

/// A step of spreading.
fn spread(from: &Start, side: Side, to: &End, voice: Voice) -> String {
    let start = match from {
        Start::There => "from there work".to_owned(),
        Start::PressedLast => "from the film pressed last work".to_owned(),
        Start::Tape { side } => format!("from the {} tape work inwards,", side.word()),
        Start::Step { number } => format!("from the film pressed in step {number} work"),
        Start::Place { spot } => format!("from the film {} work", spot.say(voice)),
    };
    let side = side.word();
    let end = match to {
        End::Tape => format!("on to the {side} tape"),
        End::Meets { spot } => {
            format!("until it meets the film that is down, {}", spot.say(voice))
        }
        End::Stop { spot } => format!("and stop {}", spot.say(voice)),
    };
    format!("{start} along the panel to the {side}, {end}")
}

/// `12 mm right of the left lip and 3 mm below it`.
impl Say for Bearing {
    fn say(&self, voice: Voice) -> String {
        let name = self.from.word();
        let along = if self.right_mm < 0.0 { "left" } else { "right" };
        let up = if self.up_mm < 0.0 { "below" } else { "above" };
        let length = |mm: f64| voice.length(mm.abs());
        match (self.right_mm.abs() < AT, self.up_mm.abs() < AT) {
            (true, true) => format!("at the {name}"),
            (true, false) => format!("{} {up} the {name}", length(self.up_mm)),
            (false, true) => format!("{} {along} of the {name}", length(self.right_mm)),
            (false, false) => format!(
                "{} {along} of the {name} and {} {up} it",
                length(self.right_mm),
                length(self.up_mm)
            ),
        }
    }
}
