//! How film, lips and flats are at the time of laying, as typed.

use anyhow::{Context, Result, bail};
use clap::ValueEnum;
use std::path::Path;
use tautspan::{Bay, FilmClass, FlatState, Handling, Laying, LipShape, TensileCurve, WarmZone};

/// Lips.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum LipArg {
    /// A sharp edge
    Sharp,
    /// As round as a pencil
    Pencil,
    /// As round as a thumb
    Thumb,
}

/// Film over the flats.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum FlatsArg {
    /// Held off the panel
    Lifted,
    /// On its backing
    Backing,
    /// Touching with its adhesive
    Touching,
}

/// Laying rule.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum LayingArg {
    /// Rolled down
    Rolled,
    /// Dabbed down square to the panel
    Dabbed,
}

/// Conditions of the laying.
#[derive(Debug, clap::Args)]
pub(crate) struct HandlingArgs {
    /// How round the lips are; sets a friction (invented values) [default: no friction]
    #[arg(long, value_enum)]
    lip: Option<LipArg>,
    /// How the film lies over the flats; sets a drag (invented values) [default: lifted]
    #[arg(long, value_enum)]
    flats: Option<FlatsArg>,
    /// Friction coefficient of film on the lips, instead of --lip
    #[arg(long, value_name = "MU", allow_negative_numbers = true)]
    lip_friction: Option<f64>,
    /// Drag on film that slides over the flats, kPa, instead of --flats
    #[arg(long, value_name = "KPA", allow_negative_numbers = true)]
    drag: Option<f64>,
    /// Which film is warmed, and to what: whole, mouth or flats, as in mouth:80, degC
    /// [default: whole, at the softest row of the film's table]
    #[arg(long, value_name = "ZONE[:DEGC]", value_parser = warm)]
    warm: Option<(WarmZone, Option<f64>)>,
    /// Temperature of the rest of the film, degC [default: 20]
    #[arg(long, value_name = "DEGC", allow_negative_numbers = true)]
    ambient: Option<f64>,
    /// Laying rule
    #[arg(long, value_enum, default_value = "rolled")]
    laying: LayingArg,
}

/// Reads `mouth:80`.
fn warm(text: &str) -> Result<(WarmZone, Option<f64>), String> {
    let (zone, celsius) = match text.split_once(':') {
        Some((zone, celsius)) => (zone, Some(celsius)),
        None => (text, None),
    };
    let zone = match zone {
        "whole" => WarmZone::Whole,
        "mouth" => WarmZone::Mouth,
        "flats" => WarmZone::Flats,
        _ => return Err("`whole`, `mouth` or `flats` was expected, as in `mouth:80`".to_owned()),
    };
    let celsius = celsius
        .map(|c| match c.parse::<f64>() {
            Ok(c) if c.is_finite() => Ok(c),
            _ => Err(format!(
                "`{c}` was found, but degrees Celsius were expected"
            )),
        })
        .transpose()?;
    Ok((zone, celsius))
}

impl HandlingArgs {
    /// The conditions for a film class whose file lies in `folder`.
    pub(crate) fn handling(&self, film: &FilmClass, folder: &Path) -> Result<Handling> {
        for (option, value, most) in [
            ("--lip-friction", self.lip_friction, 100.0),
            ("--drag", self.drag, 1e6),
        ] {
            if let Some(v) = value
                && !(0.0..=most).contains(&v)
            {
                bail!(
                    "`{option}` is {v}, but a number from 0 to {most} was expected\n\nhint: friction of film on a lip is some 0.2 to 0.5, drag on a flat some 0 to 20 kPa"
                );
            }
        }
        let bay = Bay {
            lip: self.lip.map(|l| match l {
                LipArg::Sharp => LipShape::Sharp,
                LipArg::Pencil => LipShape::Pencil,
                LipArg::Thumb => LipShape::Thumb,
            }),
            flats: self.flats.map(|f| match f {
                FlatsArg::Lifted => FlatState::Lifted,
                FlatsArg::Backing => FlatState::Backing,
                FlatsArg::Touching => FlatState::Touching,
            }),
            lip_friction: self.lip_friction,
            drag_kpa: self.drag,
            warm: self.warm.map(|w| w.0),
            warm_c: self.warm.and_then(|w| w.1),
            ambient_c: self.ambient,
            laying: match self.laying {
                LayingArg::Rolled => Laying::Rolled,
                LayingArg::Dabbed => Laying::Dabbed,
            },
            curve: curve(film, folder)?,
        };
        Ok(Handling::new(film, &bay)?)
    }
}

/// The tensile curve that a class names.
fn curve(film: &FilmClass, folder: &Path) -> Result<Option<TensileCurve>> {
    let Some(name) = &film.tensile_csv else {
        return Ok(None);
    };
    let path = folder.join(name);
    let text = std::fs::read_to_string(&path)
        .with_context(|| format!("`{}` could not be read", path.display()))?;
    let file = path.display().to_string();
    Ok(Some(TensileCurve::read(&file, &text, film.thickness())?))
}
