//! How film, lips and flats were taken to be, as data.

use crate::advice::bay::{AMBIENT, FlatState, LipShape, WarmRange};
use crate::laydown::Laying;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Which film is warmed, and to how many degC where that matters: in JSON `whole`, `mouth:80`,
/// `20..60:80,90..100:60`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(into = "String", try_from = "String")]
pub enum Warmed {
    /// The whole bridge; `None`: its temperature does not matter.
    Whole(Option<f64>),
    /// The film between the lips.
    Mouth(f64),
    /// The film over the flats.
    Flats(f64),
    /// Ranges of the flat film.
    Ranges(Vec<WarmRange>),
}

impl Default for Warmed {
    fn default() -> Self {
        Self::Whole(None)
    }
}

impl fmt::Display for Warmed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Whole(None) => f.write_str("whole"),
            Self::Whole(Some(c)) => write!(f, "whole:{c}"),
            Self::Mouth(c) => write!(f, "mouth:{c}"),
            Self::Flats(c) => write!(f, "flats:{c}"),
            Self::Ranges(all) => {
                let one = |r: &WarmRange| format!("{}..{}:{}", r.from, r.to, r.celsius);
                f.write_str(&all.iter().map(one).collect::<Vec<_>>().join(","))
            }
        }
    }
}

impl From<Warmed> for String {
    fn from(warmed: Warmed) -> Self {
        warmed.to_string()
    }
}

impl TryFrom<String> for Warmed {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let number = |t: &str| t.parse::<f64>().map_err(|e| e.to_string());
        let (zone, celsius) = match text.rsplit_once(':') {
            Some((zone, celsius)) => (zone, Some(number(celsius)?)),
            None => (text.as_str(), None),
        };
        match (zone, celsius) {
            ("whole", celsius) => Ok(Self::Whole(celsius)),
            ("mouth", Some(celsius)) => Ok(Self::Mouth(celsius)),
            ("flats", Some(celsius)) => Ok(Self::Flats(celsius)),
            _ => text
                .split(',')
                .map(range)
                .collect::<Result<_, _>>()
                .map(Self::Ranges),
        }
    }
}

/// One range, `20..60:80`.
fn range(text: &str) -> Result<WarmRange, String> {
    let number = |t: &str| t.parse::<f64>().map_err(|e| e.to_string());
    let parts = text.split_once(':');
    let ends = parts.and_then(|(ends, celsius)| Some((ends.split_once("..")?, celsius)));
    let ((from, to), celsius) = ends.ok_or_else(|| text.to_owned())?;
    Ok(WarmRange {
        from: number(from)?,
        to: number(to)?,
        celsius: number(celsius)?,
    })
}

/// How film, lips and flats were taken to be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Handled {
    /// Which film is warmed.
    pub warm: Warmed,
    /// The rest of the film, degC.
    pub ambient_c: f64,
    /// Friction coefficient on the lips.
    pub lip_friction: f64,
    /// How round the lips are, where that set it.
    pub lip: Option<LipShape>,
    /// Was it given as a number?
    pub friction_given: bool,
    /// Is it the class's own?
    #[serde(default)]
    pub friction_of_class: bool,
    /// Drag on the flats, kPa.
    pub drag_kpa: f64,
    /// How the film lies over them, where that set it.
    pub flats: Option<FlatState>,
    /// Was it given as a number?
    pub drag_given: bool,
    /// Is it the class's own?
    #[serde(default)]
    pub drag_of_class: bool,
    /// Laying rule.
    pub laying: Laying,
}

impl Default for Handled {
    fn default() -> Self {
        Self {
            warm: Warmed::default(),
            ambient_c: AMBIENT,
            lip_friction: 0.0,
            lip: None,
            friction_given: false,
            friction_of_class: false,
            drag_kpa: 0.0,
            flats: None,
            drag_given: false,
            drag_of_class: false,
            laying: Laying::default(),
        }
    }
}
