//! Trapped air and the force of the fingers, in words.

use super::{Say, Voice, when};
use crate::advice::Check;
use crate::outcome::{
    Air, AirNotice, Effort, Ends, Force, ForceNotice, Source, SourceMark, Stage, WayOut,
};

impl Say for AirNotice {
    fn say(&self, _: Voice) -> String {
        match self {
            Self::NoneShutIn => "no air is shut in",
            Self::ByChannels => {
                "the air leaves through the film's air channels: press no faster than it goes"
            }
            Self::FromClosedEnd => {
                "no air channels: begin at the closed end and work the air along the recess to the open one; what stays is lifted and laid again, not pierced"
            }
            Self::ToOpenEnd => {
                "no air channels: work the air along the recess to an open end before the film closes there; what stays is lifted and laid again, not pierced"
            }
            Self::NoWayOut => {
                "no air channels and no open end: the air does not get out; choose a film with air channels; piercing is no remedy"
            }
            Self::ChannelsNotSaid => {
                "whether the film has air channels is not said in its class: take it that it has none, and work the air to an open end"
            }
        }
        .to_owned()
    }
}

impl Say for ForceNotice {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::Ranked {
                effort,
                largest_n,
                at_x_mm,
                hand_n,
                hand_invented,
                temperature_c,
                measured,
            } => {
                let (takes, hand) = (voice.newtons(*largest_n), voice.newtons(*hand_n));
                let warm = temperature_c
                    .map_or_else(String::new, |t| format!(", film at {}", voice.celsius(t)));
                let at = format!("at x = {}{warm}", voice.length(*at_x_mm));
                let invented = when(*hand_invented, " (invented)", "");
                let effort = effort.word();
                if *measured {
                    format!(
                        "{effort}: up to {takes} {at}, by a press that was measured; a hand gives {hand}{invented}"
                    )
                } else {
                    format!(
                        "{effort}, a ranking: {takes} of the {hand} a hand gives{invented}, {at}; film beside the tool and the adhesive are left out, no press was measured"
                    )
                }
            }
            Self::TooMuch {
                largest_n,
                hand_n,
                enough_at_c,
                least_at_c,
            } => {
                let start = format!(
                    "pressing takes up to {}, more than the {} a hand gives",
                    voice.newtons(*largest_n),
                    voice.newtons(*hand_n)
                );
                let shorter = "press a shorter length at a time";
                match (enough_at_c, least_at_c) {
                    (Some(c), _) => format!(
                        "{start}: warm the film to {} or more if its maker allows that, or {shorter}",
                        voice.celsius(c.ceil())
                    ),
                    (None, Some([c, n])) => format!(
                        "{start}; even at {}, where the class's table leaves least, it takes {}: {shorter}, or choose a softer class",
                        voice.celsius(*c),
                        voice.newtons(*n)
                    ),
                    _ => format!("{start}: {shorter}"),
                }
            }
            Self::NoStiffness { film } => {
                let key = voice.at_keyboard(" (`[[modulus]]`)");
                format!("film {film} has no table of stiffness{key}, so its tension is not known")
            }
            Self::NoContactLength { tool } => {
                let key = voice.at_keyboard(" (`contact_length_mm`)");
                format!("tool {tool} has no contact length{key}, so the force is not known")
            }
            Self::NotFinite => "the peak is not finite, and neither is the force".to_owned(),
            Self::NotKnown { why } => why.clone(),
        }
    }
}

impl Effort {
    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Easy => "easy",
            Self::Firm => "firm",
            Self::TooCold => "too cold",
            Self::TooStiff => "too stiff",
        }
    }
}

impl Voice {
    /// A word for a force, with its number.
    pub fn effort(self, effort: Option<Effort>, force_n: f64) -> String {
        let n = self.newtons(force_n);
        effort.map_or_else(|| n.clone(), |effort| format!("{}, {n}", effort.word()))
    }
}

impl Stage {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Bridged => "bridged",
            Self::Pressed => "pressed",
            Self::Flats => "flats down",
            Self::Floor => "floor down",
            Self::Wall => "wall down",
            Self::FarWall => "far wall down",
            Self::Step => "after a step",
            Self::Down => "all down",
        }
    }
}

impl Ends {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "both open",
            Self::OneOpen => "one open, one closed",
            Self::Closed => "both closed",
        }
    }
}

impl SourceMark {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Self::LeftBond => "left bond line",
            Self::RightBond => "right bond line",
            Self::Of(mark) => mark.word(),
        }
    }
}

impl WayOut {
    /// Where the air goes, in a table.
    pub fn word(self) -> &'static str {
        match self {
            Self::Free => "none shut in",
            Self::Channels => "through its channels",
            Self::OpenEnd => "to an open end",
            Self::None => "shut in",
        }
    }
}

/// Trapped air in one line.
impl Say for Air {
    fn say(&self, voice: Voice) -> String {
        let shut = voice.volume(self.shut_in_cm3_per_m);
        match self.way_out {
            Some(WayOut::Free) => "none shut in".to_owned(),
            Some(WayOut::Channels) => format!("{shut} a metre shut in; leaves by the air channels"),
            Some(WayOut::OpenEnd) => {
                format!("{shut} a metre shut in; must be worked to an open end")
            }
            Some(WayOut::None) => format!("{shut} a metre shut in, with no way out"),
            None => format!("{shut} a metre shut in; air channels not known"),
        }
    }
}

impl Voice {
    /// The force of the fingers of a lay-down in one line; nothing where it was not asked for.
    pub fn force(self, check: &Check) -> Option<String> {
        let force: &Force = check.force.as_ref()?;
        Some(match (&force.ranked, &force.not_computed) {
            (Some(ranked), _) => ranked.say(self),
            (None, Some(why)) => format!("not computed: {}", why.say(self)),
            (None, None) => "not computed".to_owned(),
        })
    }
}

/// Where the film came from in one line.
impl Say for Source {
    fn say(&self, voice: Voice) -> String {
        let more = when(self.drawn_in_mm < 0.0, "less", "more");
        format!(
            "{} of film go into the recess, {} {more} than lay over it; a mark lands up to {} further along, ink fades to {}",
            voice.length(self.film_in_recess_mm),
            voice.length(self.drawn_in_mm.abs()),
            voice.length(self.largest_shift_mm.abs()),
            voice.share(self.least_ink_pct)
        )
    }
}
