//! A film class: limits, layers, stiffness, adhesion and cost, as its TOML states them.

use super::deciding::FilmNumber;
use super::number::{
    ANGLE, FACTOR, Inspection, LIMIT, NOT_NEGATIVE, Number, POSITIVE, TEMPERATURE,
};
use crate::fault::{Bit, Fault};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The orders `minutes_per_m` may name.
const ORDERS: [&str; 4] = ["deepest-first", "edge-first", "middle-push", "one-way"];

/// A class of film. Fields keep the units of their keys; what is `None` or empty is unknown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, expecting = "a film class")]
pub struct FilmClass {
    /// Name: small letters, digits and hyphens.
    pub name: String,
    /// What it is, in a few words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub summary: String,
    /// Limit of local elongation, percent.
    pub limit_pct: Number,
    /// Lower limit for film laid between the lips, percent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recess_limit_pct: Option<Number>,
    /// Limit of the gain of area, percent, where film is stretched two ways.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_limit_pct: Option<Number>,
    /// Whether the class may be laid in a recess at all; yes unless the file says no.
    #[serde(default = "allowed")]
    pub recess: bool,
    /// Friction coefficient of this film on lips, as a trial piece told it; used where nothing is
    /// said of the lips.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lip_friction: Option<Number>,
    /// Drag of this film over flats, kPa, as a trial piece told it; used where nothing is said of
    /// the flats.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drag_kpa: Option<Number>,
    /// Thickness of the film without its further layers, µm.
    pub thickness_um: Number,
    /// Layers on top of the film, such as an overlaminate.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub layers: Vec<Layer>,
    /// Whether the adhesive has channels that let air out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_channels: Option<bool>,
    /// Least temperature of the film's surface when post-heated, degC.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub post_heat_min_c: Option<Number>,
    /// Most temperature of the film's surface when post-heated, degC.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub post_heat_max_c: Option<Number>,
    /// Modulus against temperature, coldest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub modulus: Vec<ModulusRow>,
    /// File with a tensile curve of the user's own, in place of `modulus`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tensile_csv: Option<String>,
    /// Peel test of the adhesive.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peel: Option<Peel>,
    /// Part of the peel energy that is left under a load that lasts, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub long_term_factor: Option<Number>,
    /// Part of the tension that post-heating leaves, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stress_left: Option<Number>,
    /// Temperature of the panel on a hot day, degC.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hot_day_c: Option<Number>,
    /// Hold ratio at which a trial piece of this film let go.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hold_let_go: Option<Number>,
    /// Force that one press of this film was measured to take, over the computed one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub force_factor: Option<Number>,
    /// Emissivity of the film's surface in the band of the thermometer, 0 to 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub emissivity: Option<Number>,
    /// Price of film, in the user's own money a square metre.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_per_m2: Option<Number>,
    /// Minutes to lay one metre of channel, by name of the order.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub minutes_per_m: BTreeMap<String, Number>,
}

/// One layer on top of the film. It stretches with the film and adds its own stiffness.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, expecting = "a layer")]
pub struct Layer {
    /// What the layer is.
    pub name: String,
    /// Thickness, µm.
    pub thickness_um: Number,
    /// Modulus of elasticity at the first temperature of the class's table, `MPa`. The layer
    /// is taken to soften with heat in the same proportion as the film below it.
    pub modulus_mpa: Number,
    /// The layer's own limit of local elongation, percent; the least limit counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit_pct: Option<Number>,
}

/// Modulus at one temperature; the source covers both.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    deny_unknown_fields,
    expecting = "a row with `temperature_c` and `modulus_mpa`"
)]
pub struct ModulusRow {
    /// Temperature of the film, degC.
    pub temperature_c: f64,
    /// Modulus of elasticity, `MPa`.
    pub modulus_mpa: Number,
}

/// A peel test: a strip pulled off at an angle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    deny_unknown_fields,
    expecting = "a peel test with `force_n`, `width_mm`, `angle_deg`"
)]
pub struct Peel {
    /// Force, N.
    pub force_n: Number,
    /// Width of the strip, mm.
    pub width_mm: Number,
    /// Angle between the strip and the panel, degrees; 180 is folded back.
    pub angle_deg: Number,
}

impl Peel {
    /// Returns the energy that peeling takes, N/mm, from the force of a strip that does not
    /// stretch: (F/b)(1 - cos angle). Source: Rivlin, Paint Technology 9 (1944) 215 (memory).
    #[must_use]
    pub fn energy(&self) -> f64 {
        let angle = self.angle_deg.value.to_radians();
        self.force_n.value / self.width_mm.value * (1.0 - angle.cos())
    }
}

fn allowed() -> bool {
    true
}

impl FilmClass {
    /// Returns the limit of local elongation as a plain ratio (0.20 for 20 %): the least
    /// of the film's own and its layers'.
    #[must_use]
    pub fn limit(&self) -> f64 {
        self.limiting().value / 100.0
    }

    /// Returns the source of the number [`Self::limit`] rests on.
    #[must_use]
    pub fn limit_source(&self) -> &str {
        &self.limiting().source
    }

    /// Returns the limit for film laid between the lips as a plain ratio, if there is one.
    #[must_use]
    pub fn recess_limit(&self) -> Option<f64> {
        self.recess_limit_pct.as_ref().map(|n| n.value / 100.0)
    }

    /// Returns the limit of the gain of area as a plain ratio, if there is one.
    #[must_use]
    pub fn area_limit(&self) -> Option<f64> {
        self.area_limit_pct.as_ref().map(|n| n.value / 100.0)
    }

    /// Returns the thickness of film and layers together, mm.
    #[must_use]
    pub fn thickness(&self) -> f64 {
        let layers: f64 = self.layers.iter().map(|l| l.thickness_um.value).sum();
        (self.thickness_um.value + layers) / 1000.0
    }

    /// Returns which of the numbers that decide a width are invented.
    ///
    /// The least limit counts, so every invented limit decides, also one that is not the
    /// least: its true value might be.
    #[must_use]
    pub fn invented_deciding(&self) -> Vec<FilmNumber> {
        let own = (Some(&self.limit_pct), FilmNumber::Limit);
        let recess = (self.recess_limit_pct.as_ref(), FilmNumber::RecessLimit);
        let layers = self.layers.iter().map(|l| {
            let layer = l.name.clone();
            (l.limit_pct.as_ref(), FilmNumber::LayerLimit { layer })
        });
        [own, recess]
            .into_iter()
            .chain(layers)
            .filter(|(number, _)| number.is_some_and(Number::is_invented))
            .map(|(_, which)| which)
            .collect()
    }

    /// Returns every fault of the class, in the order of the fields; empty if there is none.
    ///
    /// [`parse_film`](super::parse_film) has done this; it is for a class that came
    /// another way, such as from JSON. Rows of a list are counted from 1.
    #[must_use]
    pub fn faults(&self) -> Vec<Fault> {
        let mut inspection = Inspection::default();
        let see = &mut inspection;
        see.name(&self.name);
        see.number("limit_pct", &self.limit_pct, LIMIT);
        see.optional("recess_limit_pct", &self.recess_limit_pct, LIMIT);
        see.optional("area_limit_pct", &self.area_limit_pct, LIMIT);
        see.optional("lip_friction", &self.lip_friction, NOT_NEGATIVE);
        see.optional("drag_kpa", &self.drag_kpa, NOT_NEGATIVE);
        see.number("thickness_um", &self.thickness_um, POSITIVE);
        self.inspect_layers(see);
        see.optional("post_heat_min_c", &self.post_heat_min_c, TEMPERATURE);
        see.optional("post_heat_max_c", &self.post_heat_max_c, TEMPERATURE);
        self.inspect_post_heat(see);
        self.inspect_stiffness(see);
        if let Some(peel) = &self.peel {
            see.number("peel.force_n", &peel.force_n, POSITIVE);
            see.number("peel.width_mm", &peel.width_mm, POSITIVE);
            see.number("peel.angle_deg", &peel.angle_deg, ANGLE);
        }
        see.optional("long_term_factor", &self.long_term_factor, FACTOR);
        see.optional("stress_left", &self.stress_left, FACTOR);
        see.optional("hot_day_c", &self.hot_day_c, TEMPERATURE);
        see.optional("hold_let_go", &self.hold_let_go, POSITIVE);
        see.optional("force_factor", &self.force_factor, POSITIVE);
        see.optional("emissivity", &self.emissivity, FACTOR);
        see.optional("price_per_m2", &self.price_per_m2, NOT_NEGATIVE);
        self.inspect_minutes(see);
        inspection.faults
    }

    /// The number that limits: the film's own, unless a layer's is lower.
    fn limiting(&self) -> &Number {
        self.layers
            .iter()
            .filter_map(|l| l.limit_pct.as_ref())
            .fold(&self.limit_pct, |least, n| {
                if n.value < least.value { n } else { least }
            })
    }

    fn inspect_layers(&self, see: &mut Inspection) {
        for (i, layer) in self.layers.iter().enumerate() {
            let key = |field: &str| format!("layers[{}].{field}", i + 1);
            if layer.name.trim().is_empty() {
                see.note(key("name"), "nothing", "what the layer is");
            }
            see.number(&key("thickness_um"), &layer.thickness_um, POSITIVE);
            see.number(&key("modulus_mpa"), &layer.modulus_mpa, POSITIVE);
            see.optional(&key("limit_pct"), &layer.limit_pct, LIMIT);
        }
    }

    fn inspect_post_heat(&self, see: &mut Inspection) {
        let both = self
            .post_heat_min_c
            .as_ref()
            .zip(self.post_heat_max_c.as_ref());
        if let Some((least, most)) = both.filter(|(least, most)| most.value <= least.value) {
            let expected = ["more than the least, ".into(), Bit::Number(least.value)];
            see.note("post_heat_max_c", Bit::Number(most.value), expected);
        }
    }

    fn inspect_stiffness(&self, see: &mut Inspection) {
        let mut colder = f64::NEG_INFINITY;
        for (i, row) in self.modulus.iter().enumerate() {
            let key = |field: &str| format!("modulus[{}].{field}", i + 1);
            see.value(&key("temperature_c"), row.temperature_c, TEMPERATURE);
            if row.temperature_c <= colder {
                let [this, before] = [row.temperature_c, colder].map(Bit::Number);
                let expected = "temperatures that rise from row to row";
                see.note(
                    key("temperature_c"),
                    [this, " after ".into(), before],
                    expected,
                );
            }
            colder = row.temperature_c;
            see.number(&key("modulus_mpa"), &row.modulus_mpa, POSITIVE);
        }
        if let Some(path) = &self.tensile_csv {
            if path.trim().is_empty() {
                see.note("tensile_csv", "nothing", "the path of a CSV file");
            }
            if !self.modulus.is_empty() {
                see.note("tensile_csv", "a `modulus` table as well", "one of the two");
            }
        }
    }

    fn inspect_minutes(&self, see: &mut Inspection) {
        for (order, minutes) in &self.minutes_per_m {
            let key = format!("minutes_per_m.{order}");
            if !ORDERS.contains(&order.as_str()) {
                let expected = format!("one of {}", ORDERS.join(", "));
                see.note(&key, format!("`{order}`"), expected);
            }
            see.number(&key, minutes, NOT_NEGATIVE);
        }
    }
}
