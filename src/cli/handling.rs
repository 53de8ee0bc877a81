//! How film, lips and flats are at the time of laying, as typed.

use super::length::TypedLength;
use anyhow::{Context, Result, bail};
use clap::ValueEnum;
use std::path::Path;
use tautspan::{
    Bay, FilmClass, FlatState, Handling, Laying, LengthError, LipShape, TensileCurve, Units,
    WarmRange, WarmZone,
};

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
    /// Which film is warmed, and to what: whole, mouth or flats, as in mouth:80, degC; or
    /// ranges of flat film from the left bond line, as in 20..60:80,60..90:50
    /// [default: whole, at the softest row of the film's table]
    #[arg(long, value_name = "ZONE[:DEGC]", value_parser = warm)]
    warm: Option<Warmed>,
    /// Temperature of the rest of the film, degC [default: 20]
    #[arg(long, value_name = "DEGC", allow_negative_numbers = true)]
    ambient: Option<f64>,
    /// Laying rule
    #[arg(long, value_enum, default_value = "rolled")]
    laying: LayingArg,
}

/// What `--warm` says.
#[derive(Debug, Clone)]
enum Warmed {
    Zone(WarmZone, Option<f64>),
    Ranges(Vec<TypedRange>),
}

/// A range of flat film as typed, and its temperature, degC.
#[derive(Debug, Clone)]
struct TypedRange {
    from: TypedLength,
    to: TypedLength,
    celsius: f64,
}

/// Reads `mouth:80` or `20..60:80,60..90:50`.
fn warm(text: &str) -> Result<Warmed, String> {
    if text.contains("..") {
        return text
            .split(',')
            .map(range)
            .collect::<Result<_, _>>()
            .map(Warmed::Ranges);
    }
    let (zone, celsius) = match text.split_once(':') {
        Some((zone, celsius)) => (zone, Some(number(celsius, "degrees Celsius")?)),
        None => (text, None),
    };
    let zone = match zone {
        "whole" => WarmZone::Whole,
        "mouth" => WarmZone::Mouth,
        "flats" => WarmZone::Flats,
        _ => {
            return Err(
                "`whole`, `mouth`, `flats` or a range was expected, as in `mouth:80` or `20..60:80`"
                    .to_owned(),
            );
        }
    };
    Ok(Warmed::Zone(zone, celsius))
}

/// Reads `20..60:80`.
fn range(text: &str) -> Result<TypedRange, String> {
    let parts = text
        .trim()
        .split_once("..")
        .and_then(|(from, rest)| Some((from, rest.split_once(':')?)));
    let Some((from, (to, celsius))) = parts else {
        return Err(format!(
            "`{text}` was found, but a range with its temperature was expected, as in `20..60:80`"
        ));
    };
    let length = |text: &str| text.parse().map_err(|e: LengthError| e.to_string());
    Ok(TypedRange {
        from: length(from)?,
        to: length(to)?,
        celsius: number(celsius, "degrees Celsius")?,
    })
}

/// Reads a finite number.
fn number(text: &str, what: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(format!("`{text}` was found, but {what} were expected")),
    }
}

impl TypedRange {
    /// The range, bare lengths in `units`.
    fn range(&self, units: Units) -> Result<WarmRange> {
        Ok(WarmRange {
            from: self.from.mm("--warm", units)?,
            to: self.to.mm("--warm", units)?,
            celsius: self.celsius,
        })
    }
}

impl HandlingArgs {
    /// The conditions for a command that tries many widths: a range of film, counted from
    /// a bond line, says nothing there.
    pub(crate) fn for_any_width(&self, film: &FilmClass, folder: &Path) -> Result<Handling> {
        if let Some(Warmed::Ranges(_)) = self.warm {
            bail!(
                "`--warm` with ranges of film was found, but they count from a bond line, and here the width is still open\n\nhint: say `--warm whole`, `mouth` or `flats`, or give the ranges to `tautspan check --bridge LENGTH`"
            );
        }
        // Without ranges there is no length in the conditions.
        self.handling(film, folder, Units::Mm)
    }

    /// The conditions for a film class whose file lies in `folder`; bare lengths are in `units`.
    pub(crate) fn handling(
        &self,
        film: &FilmClass,
        folder: &Path,
        units: Units,
    ) -> Result<Handling> {
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
        let (zone, celsius, ranges) = match &self.warm {
            None => (None, None, Vec::new()),
            Some(Warmed::Zone(zone, celsius)) => (Some(*zone), *celsius, Vec::new()),
            Some(Warmed::Ranges(ranges)) => {
                let ranges = ranges.iter().map(|r| r.range(units));
                (None, None, ranges.collect::<Result<_>>()?)
            }
        };
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
            warm: zone,
            warm_c: celsius,
            ranges,
            ambient_c: self.ambient,
            laying: match self.laying {
                LayingArg::Rolled => Laying::Rolled,
                LayingArg::Dabbed => Laying::Dabbed,
            },
            curve: curve(film, folder)?,
            ..Bay::default()
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
