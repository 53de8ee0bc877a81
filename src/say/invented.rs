//! Numbers that decide and are invented, in words.

use super::{Say, Voice};
use crate::advice::Invented;
use crate::film::{FilmNumber, ToolNumber};
use crate::laydown::OrderName;

impl Say for Invented {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::Film { film, number } => match number {
                FilmNumber::Limit => format!("limit of {film}"),
                FilmNumber::Peel => format!("peel of {film}"),
                FilmNumber::LongTermFactor => format!("long-term factor of {film}"),
                FilmNumber::StressLeft => format!("stress left of {film}"),
                FilmNumber::HotDay => format!("hot day of {film}"),
                FilmNumber::LetGo => format!("hold ratio at which {film} let go"),
                FilmNumber::ForceFactor => format!("measured force of {film}"),
                FilmNumber::RecessLimit => format!("limit of {film} between the lips"),
                FilmNumber::LayerLimit { layer } => format!("limit of {film}'s layer {layer}"),
                FilmNumber::Stiffness => format!("stiffness of {film}"),
                FilmNumber::Thickness => format!("thickness of {film}"),
                FilmNumber::Layers => format!("layers of {film}"),
                FilmNumber::LipFriction => format!("friction of {film} on lips"),
                FilmNumber::Drag => format!("drag of {film} over flats"),
                FilmNumber::Price => format!("price of {film}"),
                FilmNumber::Minutes { order } => {
                    let named = OrderName::ALL.into_iter().find(|o| o.name() == order);
                    let order = named.map_or_else(|| order.clone(), |o| o.word().to_owned());
                    format!("minutes of {film}, {order}")
                }
                FilmNumber::PostHeatMin => format!("least post-heat of {film}"),
                FilmNumber::PostHeatMax => format!("most post-heat of {film}"),
                FilmNumber::Emissivity => format!("emissivity of {film}"),
            },
            Self::Tool { tool, number } => {
                let what = match number {
                    ToolNumber::Pad => "width",
                    ToolNumber::TipRadius => "tip radius",
                    ToolNumber::ContactLength => "contact length",
                };
                format!("{what} of the {tool}")
            }
            Self::LipFriction { lip, friction } => {
                format!(
                    "friction {} of a {} lip",
                    voice.number(*friction, 3),
                    lip.word()
                )
            }
            Self::Drag { flats, drag_kpa } => format!(
                "drag {} kPa of film {}",
                voice.number(*drag_kpa, 3),
                flats.word()
            ),
            Self::HandForce { force_n } => format!("hand force {}", voice.newtons(*force_n)),
            Self::HandOff { press_mm, tapes_mm } => {
                let off: Vec<String> = [("press", press_mm), ("tapes", tapes_mm)]
                    .into_iter()
                    .filter(|(_, mm)| **mm > 0.0)
                    .map(|(what, mm)| format!("{what} {}", voice.tolerance(*mm)))
                    .collect();
                format!("hand off the mark: {}", off.join(", "))
            }
        }
    }
}
