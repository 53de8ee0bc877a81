//! `tautspan chart`: depth against mouth, for the bay wall.

use super::card::PaperArg;
use super::draw::file_stem;
use super::files::{Draft, write_all};
use super::handling::HandlingArgs;
use super::input::{FilmArgs, UnitsArg};
use super::{Outcome, note, out, out_json};
use anyhow::{Result, bail};
use std::path::PathBuf;
use tautspan::{Chart, ChartGrid, ChartSpec, Kind, Units, WarmZone, chart_cell};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan chart --film wrap-cast --tool fingertip
  tautspan chart --film wrap-cast --wall 90 --lip-radius 5 --depths 10,20,30 --mouths 60,80,100
  tautspan chart --film wrap-cast --csv > widths.csv";

/// Most rows and columns that fit a page.
const MOST: usize = 12;

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    film: FilmArgs,
    #[command(flatten)]
    handling: HandlingArgs,
    /// Depths of the channels, mm
    #[arg(long, value_name = "MM,..", value_delimiter = ',', default_values_t = [5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0])]
    depths: Vec<f64>,
    /// Mouths of the channels, mm from corner to corner of the sharp outline
    #[arg(long, value_name = "MM,..", value_delimiter = ',', default_values_t = [20.0, 30.0, 40.0, 60.0, 80.0, 100.0, 130.0, 160.0])]
    mouths: Vec<f64>,
    /// Drops of the steps, mm
    #[arg(long, value_name = "MM,..", value_delimiter = ',', default_values_t = [5.0, 10.0, 15.0, 20.0, 30.0])]
    drops: Vec<f64>,
    /// Runs of the steps' walls, mm: how far the wall leans out over its drop
    #[arg(long, value_name = "MM,..", value_delimiter = ',', default_values_t = [0.0, 5.0, 10.0, 20.0, 40.0])]
    runs: Vec<f64>,
    /// Wall angle of the channels, degrees from the mouth line
    #[arg(
        long,
        value_name = "DEG",
        default_value_t = 70.0,
        allow_negative_numbers = true
    )]
    wall: f64,
    /// Lip radius, mm
    #[arg(
        long,
        value_name = "MM",
        default_value_t = 2.0,
        allow_negative_numbers = true
    )]
    lip_radius: f64,
    /// Foot radius, mm
    #[arg(
        long,
        value_name = "MM",
        default_value_t = 2.0,
        allow_negative_numbers = true
    )]
    foot_radius: f64,
    /// Clear panel on each side, mm
    #[arg(
        long,
        value_name = "MM",
        default_value_t = 300.0,
        allow_negative_numbers = true
    )]
    clear: f64,
    /// Units of the printed chart; options, JSON and CSV are mm
    #[arg(long, value_enum, default_value = "mm")]
    units: UnitsArg,
    /// Size of the paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperArg,
    /// Print the chart as JSON, and write no file
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Print the chart as CSV, and write no file
    #[arg(long)]
    csv: bool,
    /// Folder to write to
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Overwrite existing files
    #[arg(long)]
    force: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    inspect(args)?;
    let (film, tool) = (args.film.film()?, args.film.tool()?);
    let mut handling = args.handling.for_any_width(&film, args.film.folder())?;
    if handling.bay.warm.is_none() {
        // A chart has one answer a cell: the whole bridge, and it says so.
        handling = handling.with_warm(&film, WarmZone::Whole)?;
    }
    let spec = ChartSpec {
        film: &film,
        tool: &tool,
        handling: Some(&handling),
        wall_deg: args.wall,
        lip_radius: args.lip_radius,
        foot_radius: args.foot_radius,
        clear: args.clear,
        units: match args.units {
            UnitsArg::Mm => Units::Mm,
            UnitsArg::In => Units::Inch,
        },
        paper: args.paper.into(),
    };
    let grids = vec![
        grid(&spec, Kind::Channel, &args.depths, &args.mouths),
        grid(&spec, Kind::Step, &args.drops, &args.runs),
    ];
    let chart = Chart::new(&spec, grids);
    let some = chart
        .grids
        .iter()
        .flat_map(|g| &g.cells)
        .any(|c| c.bridge_mm.is_some());
    if args.json {
        out_json(&chart)?;
    } else if args.csv {
        out(&chart.csv())?;
    } else {
        let stem = file_stem(&format!("{}-{}", film.name, tool.name));
        let path = |end: &str| args.out.join(format!("{stem}-chart.{end}"));
        let drafts = [
            Draft {
                path: path("html"),
                bytes: chart.html_with(&tautspan::font_css()).into_bytes(),
            },
            Draft {
                path: path("pdf"),
                bytes: chart.pdf()?,
            },
            Draft {
                path: path("csv"),
                bytes: chart.csv().into_bytes(),
            },
        ];
        write_all(&drafts, args.force)?;
        for draft in &drafts {
            note(&format!("wrote {}", draft.path.display()));
        }
    }
    Ok(Outcome::of(some))
}

/// All cells of one grid.
fn grid(spec: &ChartSpec<'_>, kind: Kind, depths: &[f64], across: &[f64]) -> ChartGrid {
    let cells = depths
        .iter()
        .flat_map(|&depth| across.iter().map(move |&x| (depth, x)))
        .map(|(depth, x)| chart_cell(spec, kind, depth, x))
        .collect();
    ChartGrid {
        kind,
        depths_mm: depths.to_vec(),
        across_mm: across.to_vec(),
        cells,
    }
}

/// Refuses sizes that no chart can be drawn for.
fn inspect(args: &Args) -> Result<()> {
    for (option, values, least) in [
        ("--depths", &args.depths, 0.6),
        ("--mouths", &args.mouths, 1.0),
        ("--drops", &args.drops, 0.6),
        ("--runs", &args.runs, 0.0),
    ] {
        if values.is_empty() || values.len() > MOST {
            bail!(
                "`{option}` has {} values, but 1 to {MOST} were expected, as many as fit the page\n\nhint: make two charts",
                values.len()
            );
        }
        if let Some(v) = values.iter().find(|v| !(least..=2000.0).contains(*v)) {
            bail!(
                "`{option}` has {v}, but lengths from {least} to 2000 mm were expected\n\nhint: give them in mm, as in `{option} 10,20,30`"
            );
        }
        if let Some(w) = values.windows(2).find(|w| w[0] >= w[1]) {
            bail!(
                "`{option}` has {} after {}, but rising values were expected\n\nhint: sort them, each once",
                w[1],
                w[0]
            );
        }
    }
    for (option, v, from, to) in [
        ("--wall", args.wall, 5.0, 90.0),
        ("--lip-radius", args.lip_radius, 0.0, 500.0),
        ("--foot-radius", args.foot_radius, 0.0, 500.0),
        ("--clear", args.clear, 0.0, 100_000.0),
    ] {
        if !(from..=to).contains(&v) {
            bail!("`{option}` is {v}, but a number from {from} to {to} was expected");
        }
    }
    Ok(())
}
