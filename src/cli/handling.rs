//! How film, lips and flats are at the time of laying, as typed.

use super::ends::EndArgs;
use super::input::{FilmArgs, SectionArgs, SplitArgs, Tell, put};
use super::length::TypedLength;
use anyhow::Result;
use clap::ValueEnum;
use tautspan::advice::{FlatState, LipShape, WarmRange, WarmZone};
use tautspan::fault::Fault;
use tautspan::laydown::Laying;
use tautspan::{Bay, Question, Units};

/// Conditions of the laying.
#[derive(Debug, clap::Args)]
pub(crate) struct HandlingArgs {
    /// How round the lips are; sets a friction (invented values) [default: no friction]
    #[arg(long, value_enum)]
    lip: Option<LipShape>,
    /// How the film lies over the flats; sets a drag (invented values) [default: lifted]
    #[arg(long, value_enum)]
    flats: Option<FlatState>,
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
    /// Laying rule [default: rolled]
    #[arg(long, value_enum)]
    laying: Option<Laying>,
}

/// What every laying rests on: section, film and tool, how they are, and where the bridge grows.
#[derive(Debug, clap::Args)]
pub(crate) struct LayArgs {
    #[command(flatten)]
    pub(crate) section: SectionArgs,
    #[command(flatten)]
    film: FilmArgs,
    #[command(flatten)]
    handling: HandlingArgs,
    #[command(flatten)]
    split: SplitArgs,
    #[command(flatten)]
    ends: EndArgs,
}

impl LayArgs {
    /// The question that these and `more` options ask, as of [`SectionArgs::question`].
    pub(crate) fn question(&self, more: &[&dyn Tell], force: bool) -> Result<Question> {
        let own: [&dyn Tell; 4] = [&self.film, &self.handling, &self.split, &self.ends];
        self.section.question(&[&own, more].concat(), force)
    }
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
    let zone = WarmZone::from_str(zone, false).map_err(|_| {
        "`whole`, `mouth`, `flats` or a range was expected, as in `mouth:80` or `20..60:80`"
            .to_owned()
    })?;
    Ok(Warmed::Zone(zone, celsius))
}

/// Reads `20..60:80`.
fn range(text: &str) -> Result<TypedRange, String> {
    let parts = text.trim().split_once("..");
    let parts = parts.and_then(|(from, rest)| Some((from, rest.split_once(':')?)));
    let Some((from, (to, celsius))) = parts else {
        return Err(format!(
            "`{text}` was found, but a range with its temperature was expected, as in `20..60:80`"
        ));
    };
    let length = |text: &str| text.parse().map_err(|e: Fault| e.to_string());
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

impl Tell for HandlingArgs {
    fn tell(&self, question: &mut Question, units: Units) -> Result<()> {
        let mut bay = question.bay.take().unwrap_or_default();
        if self.lip.is_some() {
            bay.lip_friction = None;
        }
        if self.flats.is_some() {
            bay.drag_kpa = None;
        }
        put(&mut bay.lip, self.lip);
        put(&mut bay.flats, self.flats);
        put(&mut bay.lip_friction, self.lip_friction);
        put(&mut bay.drag_kpa, self.drag);
        put(&mut bay.ambient_c, self.ambient);
        if let Some(warmed) = &self.warm {
            (bay.warm, bay.warm_c, bay.ranges) = match warmed {
                Warmed::Zone(zone, celsius) => (Some(*zone), *celsius, Vec::new()),
                Warmed::Ranges(ranges) => {
                    let ranges = ranges.iter().map(|r| r.range(units));
                    (None, None, ranges.collect::<Result<_>>()?)
                }
            };
        }
        bay.laying = self.laying.unwrap_or(bay.laying);
        question.bay = Some(bay).filter(|bay| *bay != Bay::default());
        Ok(())
    }
}
