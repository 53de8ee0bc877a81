//! What was assumed, in words.

use super::{Say, Voice, when};
use crate::advice::{FlatState, Handled, LipShape, Notice, WarmRange, Warmed};
use crate::laydown::Laying;

pub(super) fn say(notice: &Notice, voice: Voice) -> Option<String> {
    Some(match notice {
        Notice::ClearPanel { side, mm } => {
            let (place, hint) = match side {
                None => ("beyond each lip", " (`--clear-left`, `--clear-right`)"),
                Some(crate::Side::Left) => ("to the left", " (`--clear-left`)"),
                Some(crate::Side::Right) => ("to the right", " (`--clear-right`)"),
            };
            let hint = voice.at_keyboard(hint);
            format!("{} of clear panel {place}{hint}", voice.length(*mm))
        }
        Notice::Handled(handled) => handled.say(voice),
        Notice::OpenEnds => {
            let hint = voice.at_keyboard(" (`--ends`)");
            format!("the recess is open at both ends along the vehicle{hint}")
        }
        Notice::GoesOnAlike => {
            "the section goes on alike for more than a bridge width along the recess: ends and corners stretch two ways and are not modelled".to_owned()
        }
        Notice::OneShape {
            count,
            widest,
            film,
            shape,
        } => {
            let which = when(*widest, "the one that needs the widest bridge", "the plainest of them");
            let class = film.as_ref().map_or_else(String::new, |f| format!(" of {f}"));
            let each = when(film.is_some(), "; each class is answered for the one that needs most of it", "");
            let (fit, shape) = (super::section::count(*count, "shape fits", "shapes fit"), shape.say(voice));
            format!("{fit} these tape readings; this is for {which}{class}: {shape}{each}")
        }
        _ => return None,
    })
}

impl LipShape {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sharp => "sharp",
            Self::Pencil => "pencil-round",
            Self::Thumb => "thumb-round",
        }
    }
}

impl FlatState {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Lifted => "lifted",
            Self::Backing => "on its backing",
            Self::Touching => "touching",
        }
    }
}

/// Which film is warm, in a table.
impl Say for Warmed {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::Whole(None) => "whole bridge".to_owned(),
            Self::Whole(Some(c)) => format!("whole bridge at {}", voice.celsius(*c)),
            Self::Mouth(c) => format!("mouth only at {}", voice.celsius(*c)),
            Self::Flats(c) => format!("flats only at {}", voice.celsius(*c)),
            Self::Ranges(all) => ranges(all, voice),
        }
    }
}

/// Ranges of the flat film.
fn ranges(all: &[WarmRange], voice: Voice) -> String {
    let one = |r: &WarmRange| {
        format!(
            "{} to {} at {}",
            voice.bare_length(r.from),
            voice.length(r.to),
            voice.celsius(r.celsius)
        )
    };
    all.iter().map(one).collect::<Vec<_>>().join(", ")
}

impl Say for Handled {
    fn say(&self, voice: Voice) -> String {
        let rest = format!("the rest at {}", voice.celsius(self.ambient_c));
        let warm = match &self.warm {
            Warmed::Whole(None) => "the whole bridge at one temperature".to_owned(),
            Warmed::Whole(Some(c)) => format!("the whole bridge at {}", voice.celsius(*c)),
            Warmed::Mouth(c) => {
                format!("the film between the lips at {}, {rest}", voice.celsius(*c))
            }
            Warmed::Flats(c) => {
                format!("the film over the flats at {}, {rest}", voice.celsius(*c))
            }
            Warmed::Ranges(all) => {
                format!("the film warmed in ranges ({}), {rest}", ranges(all, voice))
            }
        };
        let mu = voice.number(self.lip_friction, 3);
        let lips = match self.lip {
            _ if self.friction_given => format!("friction {mu} on the lips as given"),
            None if self.friction_of_class => {
                format!("friction {mu} on the lips, the film class's own")
            }
            Some(lip) => format!("friction {mu} on lips that are {} (invented)", lip.word()),
            None => "no friction on the lips".to_owned(),
        };
        let kpa = voice.number(self.drag_kpa, 3);
        let flats = match self.flats {
            _ if self.drag_given => format!("drag of {kpa} kPa on the flats as given"),
            None if self.drag_of_class => {
                format!("drag of {kpa} kPa on the flats, the film class's own")
            }
            Some(FlatState::Lifted) => "film lifted off the flats".to_owned(),
            Some(flats) => format!(
                "drag of {kpa} kPa from film {} over the flats (invented)",
                flats.word()
            ),
            None => "no drag on the flats".to_owned(),
        };
        let how = match self.laying {
            Laying::Rolled => "film rolled down",
            Laying::Dabbed => "film dabbed down square to the panel",
        };
        format!("{warm}, {lips}, {flats}, {how}")
    }
}
