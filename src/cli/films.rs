//! `tautspan films`: list, show, validate.

use super::{Outcome, named, out, out_json};
use anyhow::Result;
use tautspan::Units;
use tautspan::film::{Number, film_toml};
use tautspan::say::{Medium, Voice};
use tautspan::{FilmClass, builtin_films};

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// A class of the catalogue, or a TOML file to validate
    #[arg(value_name = "NAME|FILE")]
    class: Option<String>,
    /// Print as JSON, with the keys of the TOML
    #[arg(long)]
    json: bool,
    /// Print the TOML of a class of the catalogue, to copy from
    #[arg(long, requires = "class", conflicts_with = "json")]
    toml: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    match &args.class {
        None if args.json => out_json(&builtin_films()),
        None => out(&list()),
        Some(name) => {
            if let (true, Some(toml)) = (args.toml, film_toml(name)) {
                return out(toml);
            }
            let class = named::film(name)?;
            if args.json {
                out_json(&class)
            } else {
                out(&show(&class))
            }
        }
    }
}

/// Numbers stand here in the units of their files.
const VOICE: Voice = Voice {
    units: Units::Mm,
    medium: Medium::Terminal,
};

fn list() -> String {
    let mut text = format!(
        "{:<14}{:>8}{:>11}  {}\n",
        "Class", "limit", "in recess", "what it is"
    );
    for film in builtin_films() {
        text.push_str(&format!(
            "{:<14}{:>8}{:>11}  {}\n",
            film.name,
            VOICE.limit(100.0 * film.limit()),
            if film.recess { "yes" } else { "no" },
            film.summary
        ));
    }
    text.push_str("\nAll of them are invented for the demo. `tautspan films NAME` shows one, `tautspan films FILE` validates your own.\n");
    text
}

fn show(film: &FilmClass) -> String {
    let mut text = format!("{}: {}\n\n", film.name, film.summary);
    let mut row = |name: &str, unit: &str, number: &Number| {
        text.push_str(&format!(
            "  {name:<22}{:>8} {unit:<6} {}\n",
            VOICE.number(number.value, 3),
            number.source
        ));
    };
    row("limit", "%", &film.limit_pct);
    let optional = [
        ("limit between the lips", "%", &film.recess_limit_pct),
        ("post-heat, at least", "degC", &film.post_heat_min_c),
        ("long-term factor", "", &film.long_term_factor),
        ("stress left", "", &film.stress_left),
        ("hot day", "degC", &film.hot_day_c),
        ("emissivity", "", &film.emissivity),
        ("price per m2", "", &film.price_per_m2),
    ];
    row("thickness", "um", &film.thickness_um);
    for (name, unit, number) in optional {
        if let Some(number) = number {
            row(name, unit, number);
        }
    }
    for m in &film.modulus {
        row(
            &format!("modulus at {}", VOICE.celsius(m.temperature_c)),
            "MPa",
            &m.modulus_mpa,
        );
    }
    for layer in &film.layers {
        row(
            &format!("{}, thickness", layer.name),
            "um",
            &layer.thickness_um,
        );
        row(
            &format!("{}, modulus", layer.name),
            "MPa",
            &layer.modulus_mpa,
        );
    }
    let air = match film.air_channels {
        Some(true) => "yes",
        Some(false) => "no",
        None => "not said",
    };
    text.push_str(&format!(
        "\n  allowed in a recess: {}; air channels: {air}\n",
        if film.recess { "yes" } else { "no" }
    ));
    text
}
