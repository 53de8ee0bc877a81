//! What the page may ask: one shape of request for all questions.

use crate::advice::{Assurance, Bay, FlatState, LipShape, WarmZone};
use crate::film::FilmClass;
use crate::laydown::{Laying, Order, Split};
use crate::outcome::Ends;
use crate::section::{Side, Survey, Typing, Units};
use serde::Deserialize;

/// A question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Ask {
    /// Film classes, tools, demo recesses.
    Catalogue,
    /// What is seen in the section: a [`crate::SectionSeen`].
    Section,
    /// What was done to its readings, in words and as a picture.
    Reading,
    /// One lay-down: a [`crate::Check`] with its profile.
    Check,
    /// The main job: a [`crate::Recommendation`].
    Recommend,
    /// Peak against width: a [`crate::Sweep`].
    Sweep,
    /// All orders at one width, with their profiles: what is redrawn as the width moves.
    Orders,
    /// The moments of the laying, for every order.
    Moments,
    /// The same width with the whole bridge, the mouth only, the flats only warmed.
    Warmth,
    /// The job card, as HTML: of `bridge_mm` deepest first, or of what is recommended.
    Card,
}

/// Units of bare numbers in a section's text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum UnitsText {
    /// Millimetres.
    Mm,
    /// Centimetres.
    Cm,
    /// Inches.
    In,
}

/// Where a section comes from; the texts are those of the command line's options, bare numbers
/// in `units`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum SectionText {
    /// A shape and its dimensions.
    Shape(String),
    /// Readings of tape and rule.
    Tape(String),
    /// Points.
    Points(String),
    /// Heights of a comb gauge.
    Comb(String),
    /// The text of a CSV file.
    Csv(String),
    /// Points, the heights of a comb or a table, whichever it is.
    Text(String),
    /// A recess of the demo vehicle, by name.
    Demo(String),
}

/// Which film is warmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum WarmText {
    /// The whole bridge.
    Whole,
    /// The film between the lips.
    Mouth,
    /// The film over the flats.
    Flats,
}

/// How round the lips are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum LipText {
    /// A sharp edge.
    Sharp,
    /// As round as a pencil.
    Pencil,
    /// As round as a thumb.
    Thumb,
}

/// How the film lies over the flats.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum FlatsText {
    /// Held off the panel.
    Lifted,
    /// On its backing.
    Backing,
    /// Touching with its adhesive.
    Touching,
}

/// Laying rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum LayingText {
    /// Rolled down.
    Rolled,
    /// Dabbed down square to the panel.
    Dabbed,
}

/// What was said in the bay. Numbers carry their unit.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct BayText {
    pub(super) warm: Option<WarmText>,
    pub(super) warm_c: Option<f64>,
    pub(super) ambient_c: Option<f64>,
    pub(super) lip: Option<LipText>,
    pub(super) flats: Option<FlatsText>,
    pub(super) lip_friction: Option<f64>,
    pub(super) drag_kpa: Option<f64>,
    pub(super) laying: Option<LayingText>,
    pub(super) ends: Option<Ends>,
    /// What a hand gives at most, N.
    pub(super) hand_force_n: Option<f64>,
}

impl BayText {
    /// As the core takes it.
    pub(super) fn bay(&self) -> Bay {
        Bay {
            lip: self.lip.map(|l| match l {
                LipText::Sharp => LipShape::Sharp,
                LipText::Pencil => LipShape::Pencil,
                LipText::Thumb => LipShape::Thumb,
            }),
            flats: self.flats.map(|f| match f {
                FlatsText::Lifted => FlatState::Lifted,
                FlatsText::Backing => FlatState::Backing,
                FlatsText::Touching => FlatState::Touching,
            }),
            lip_friction: self.lip_friction,
            drag_kpa: self.drag_kpa,
            warm: self.warm.map(|w| match w {
                WarmText::Whole => WarmZone::Whole,
                WarmText::Mouth => WarmZone::Mouth,
                WarmText::Flats => WarmZone::Flats,
            }),
            warm_c: self.warm_c,
            ambient_c: self.ambient_c,
            ends: self.ends,
            hand_force: self.hand_force_n,
            laying: match self.laying {
                Some(LayingText::Dabbed) => Laying::Dabbed,
                _ => Laying::Rolled,
            },
            ..Bay::default()
        }
    }
}

/// Order of pressing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum OrderText {
    /// The deepest part first.
    DeepestFirst,
    /// The flats first.
    EdgeFirst,
    /// Deepest first, bonded at the lips.
    MiddlePush,
    /// From one side to the other.
    OneWay,
}

/// Where the bridge grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum SplitText {
    /// On both sides alike.
    Even,
    /// To the left first.
    Left,
    /// To the right first.
    Right,
}

/// A request: the question, and all that may decide its answer. What is left out is taken
/// as the command line takes it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Request {
    pub(super) ask: Ask,
    pub(super) section: Option<SectionText>,
    /// Units of bare numbers in the section's text; mm, and none for a table, which then has to
    /// say its own.
    pub(super) units: Option<UnitsText>,
    /// Heights of points, comb and table are depths, positive into the panel.
    pub(super) depths: Option<bool>,
    /// Points, comb and table go from right to left.
    pub(super) leftwards: Option<bool>,
    pub(super) name: Option<String>,
    /// A class of the catalogue.
    pub(super) film: Option<String>,
    /// A class of one's own, with the keys of its TOML, in place of `film`.
    pub(super) film_class: Option<FilmClass>,
    /// A tool of the catalogue; fingertip.
    pub(super) tool: Option<String>,
    pub(super) pad_mm: Option<f64>,
    pub(super) tip_radius_mm: Option<f64>,
    pub(super) gauge_tolerance_mm: Option<f64>,
    /// Share of what the readings allow in which the limit is to be kept, percent, 50 to 99; 95.
    pub(super) assure_pct: Option<f64>,
    pub(super) clear_left_mm: Option<f64>,
    pub(super) clear_right_mm: Option<f64>,
    pub(super) press_offset_mm: Option<f64>,
    pub(super) valley: Option<usize>,
    pub(super) split: Option<SplitText>,
    pub(super) bridge_mm: Option<f64>,
    pub(super) bond_left_x_mm: Option<f64>,
    pub(super) bond_right_x_mm: Option<f64>,
    /// deepest-first.
    pub(super) order: Option<OrderText>,
    /// The loose side of one-way; right.
    pub(super) loose: Option<Side>,
    /// Length of the recess along the panel, for the card.
    pub(super) length_mm: Option<f64>,
    pub(super) bay: Option<BayText>,
    /// How many moments; 41.
    pub(super) frames: Option<u16>,
    /// Width of the picture of the readings, in ems of its text; 40.
    pub(super) width_em: Option<f64>,
}

impl Request {
    /// How the section's text is typed.
    pub(super) fn typing(&self) -> Typing {
        Typing {
            units: self.units.map(|units| match units {
                UnitsText::Mm => Units::Mm,
                UnitsText::Cm => Units::Cm,
                UnitsText::In => Units::Inch,
            }),
            depths: self.depths.unwrap_or(false),
            leftwards: self.leftwards.unwrap_or(false),
        }
    }

    /// What the width is to be assured against: a shape is what was typed, unless a tolerance
    /// was said.
    pub(super) fn assurance(&self) -> Assurance {
        let usual = Assurance::default();
        let itself = matches!(self.section, Some(SectionText::Shape(_)))
            && self.gauge_tolerance_mm.is_none();
        Assurance {
            share: self
                .assure_pct
                .map_or(usual.share, |percent| percent / 100.0),
            tolerance: if itself {
                0.0
            } else {
                self.survey().gauge_tolerance
            },
            ..usual
        }
    }

    /// How the section is to be read.
    pub(super) fn survey(&self) -> Survey {
        let usual = Survey::default();
        Survey {
            gauge_tolerance: self.gauge_tolerance_mm.unwrap_or(usual.gauge_tolerance),
            clear_left: self.clear_left_mm.unwrap_or(usual.clear_left),
            clear_right: self.clear_right_mm.unwrap_or(usual.clear_right),
            press_offset: self.press_offset_mm.unwrap_or(usual.press_offset),
            valley: self.valley,
        }
    }

    /// Where a growing bridge grows.
    pub(super) fn split(&self) -> Split {
        match self.split {
            Some(SplitText::Left) => Split::Left,
            Some(SplitText::Right) => Split::Right,
            _ => Split::Even,
        }
    }

    /// The order of a single lay-down.
    pub(super) fn order(&self) -> Order {
        match self.order {
            Some(OrderText::EdgeFirst) => Order::EdgeFirst,
            Some(OrderText::MiddlePush) => Order::MiddlePush,
            Some(OrderText::OneWay) => Order::OneWay {
                loose: self.loose.unwrap_or(Side::Right),
            },
            _ => Order::DeepestFirst,
        }
    }
}
