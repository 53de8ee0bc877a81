//! `tautspan films` and `tautspan tools`: list, show, validate.

use super::{Outcome, named, out, out_as};
use anyhow::Result;
use tautspan::advice::QuestionError;
use tautspan::film::{Number, builtin_tools, film_toml, tool_toml};
use tautspan::say::{Medium, Voice};
use tautspan::{FilmClass, Tool, Units, builtin_films};

/// What is asked of the film classes or of the tools.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// A name of the catalogue, or a TOML file to validate
    #[arg(value_name = "NAME|FILE")]
    name: Option<String>,
    /// Print as JSON, with the keys of the TOML
    #[arg(long)]
    json: bool,
    /// Print the TOML of a name of the catalogue, to copy from
    #[arg(long, requires = "name", conflicts_with = "json")]
    toml: bool,
}

/// A catalogue: the TOML and the thing of a name, and how many and one are shown.
struct Catalogue<T> {
    all: Vec<T>,
    toml: fn(&str) -> Option<&'static str>,
    named: fn(&str) -> Result<T, QuestionError>,
    list: fn(&[T]) -> String,
    show: fn(&T) -> String,
}

impl<T: serde::Serialize> Catalogue<T> {
    fn run(&self, args: &Args) -> Result<Outcome> {
        let Some(name) = &args.name else {
            return out_as(args.json, &self.all, |all| (self.list)(all));
        };
        match (self.toml)(name).filter(|_| args.toml) {
            Some(toml) => out(toml),
            None => out_as(args.json, &(self.named)(name)?, self.show),
        }
    }
}

/// The film classes.
pub(crate) fn films(args: &Args) -> Result<Outcome> {
    let films = Catalogue {
        all: builtin_films(),
        toml: film_toml,
        named: named::film,
        list,
        show,
    };
    films.run(args)
}

/// The tools.
pub(crate) fn tools(args: &Args) -> Result<Outcome> {
    let tools = Catalogue {
        all: builtin_tools(),
        toml: tool_toml,
        named: named::tool,
        list: table,
        show: |tool| table(std::slice::from_ref(tool)),
    };
    tools.run(args)
}

/// Numbers stand here in the units of their files.
const VOICE: Voice = Voice {
    units: Units::Mm,
    medium: Medium::Terminal,
};

fn list(films: &[FilmClass]) -> String {
    let mut text = format!(
        "{:<14}{:>8}{:>11}  {}\n",
        "Class", "limit", "in recess", "what it is"
    );
    for film in films {
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
        ("limit of area gained", "%", &film.area_limit_pct),
        ("friction on lips", "", &film.lip_friction),
        ("drag over flats", "kPa", &film.drag_kpa),
        ("post-heat, at least", "degC", &film.post_heat_min_c),
        ("post-heat, at most", "degC", &film.post_heat_max_c),
        ("long-term factor", "", &film.long_term_factor),
        ("stress left", "", &film.stress_left),
        ("hot day", "degC", &film.hot_day_c),
        ("let go at a hold of", "", &film.hold_let_go),
        ("force, measured over computed", "", &film.force_factor),
        ("emissivity", "", &film.emissivity),
        ("price per m2", "", &film.price_per_m2),
    ];
    row("thickness", "um", &film.thickness_um);
    for (name, unit, number) in optional {
        if let Some(number) = number {
            row(name, unit, number);
        }
    }
    if let Some(peel) = &film.peel {
        row("peel force", "N", &peel.force_n);
        row("peel width", "mm", &peel.width_mm);
        row("peel angle", "deg", &peel.angle_deg);
    }
    for m in &film.modulus {
        let name = format!("modulus at {}", VOICE.celsius(m.temperature_c));
        row(&name, "MPa", &m.modulus_mpa);
    }
    for layer in &film.layers {
        let name = &layer.name;
        row(&format!("{name}, thickness"), "um", &layer.thickness_um);
        row(&format!("{name}, modulus"), "MPa", &layer.modulus_mpa);
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

fn table(tools: &[Tool]) -> String {
    let mut text = format!(
        "{:<12}{:>8}{:>12}{:>16}  {}\n",
        "Tool", "pad", "tip radius", "contact length", "what it is"
    );
    let mm = |v: f64| VOICE.length(v);
    for tool in tools {
        text.push_str(&format!(
            "{:<12}{:>8}{:>12}{:>16}  {} ({})\n",
            tool.name,
            mm(tool.pad()),
            mm(tool.tip_radius()),
            tool.contact_length()
                .map_or_else(|| "not said".to_owned(), mm),
            tool.summary,
            tool.pad_mm.source
        ));
    }
    text
}
