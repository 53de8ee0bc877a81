//! `tautspan chart`: depth against mouth, for the bay wall.

use super::draw::file_stem;
use super::files::{Draft, FolderArgs, write_noted};
use super::handling::HandlingArgs;
use super::input::{ClassArgs, Tell};
use super::length::{TypedLength, TypedLengths, given_or};
use super::named::Files;
use super::{Outcome, out, out_json};
use anyhow::{Result, bail};
use tautspan::advice::Setting;
use tautspan::card::{Chart, ChartSizes, ChartSpec, PaperSize};
use tautspan::{Question, Units};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan chart --film wrap-cast --tool fingertip
  tautspan chart --film wrap-cast --wall 90 --lip-radius 5 --depths 10,20,30 --mouths 60,80,100
  tautspan chart --film wrap-cast --units in --depths 1/2,1,1-1/2 --mouths 2,3,4
  tautspan chart --film wrap-cast --csv > widths.csv";

/// Most rows and columns that fit a page.
const MOST: usize = 12;

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    film: ClassArgs,
    #[command(flatten)]
    handling: HandlingArgs,
    /// Depths of the channels [default: eight from 5mm to 50mm, or from 1/4in to 2in]
    #[arg(long, value_name = "LENGTH,..", allow_hyphen_values = true)]
    depths: Option<TypedLengths>,
    /// Mouths of the channels from corner to corner of the sharp outline [default: eight from
    /// 20mm to 160mm, or from 3/4in to 6in]
    #[arg(long, value_name = "LENGTH,..", allow_hyphen_values = true)]
    mouths: Option<TypedLengths>,
    /// Drops of the steps [default: five from 5mm to 30mm, or from 1/4in to 1-1/4in]
    #[arg(long, value_name = "LENGTH,..", allow_hyphen_values = true)]
    drops: Option<TypedLengths>,
    /// Runs of the steps' walls: how far the wall leans out over its drop [default: five from 0
    /// to 40mm, or from 0 to 1-1/2in]
    #[arg(long, value_name = "LENGTH,..", allow_hyphen_values = true)]
    runs: Option<TypedLengths>,
    /// Wall angle of the channels, degrees from the mouth line
    #[arg(
        long,
        value_name = "DEG",
        default_value_t = 70.0,
        allow_negative_numbers = true
    )]
    wall: f64,
    /// Lip radius [default: 2mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    lip_radius: Option<TypedLength>,
    /// Foot radius [default: 2mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    foot_radius: Option<TypedLength>,
    /// Clear panel on each side [default: 300mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    clear: Option<TypedLength>,
    /// Units of bare numbers and of the printed chart; JSON and CSV are mm
    #[arg(long, value_enum, default_value = "mm")]
    units: Units,
    /// Size of the paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperSize,
    /// Print the chart as JSON, and write no file
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Print the chart as CSV, and write no file
    #[arg(long)]
    csv: bool,
    #[command(flatten)]
    folder: FolderArgs,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let units = args.units;
    let sizes = Sizes::new(args, units)?;
    sizes.inspect()?;
    let mut question = Question::default();
    args.film.tell(&mut question, units)?;
    args.handling.tell(&mut question, units)?;
    question.warm_throughout();
    let question = question.with_open_width()?;
    let setting = Setting::new(question, &Files)?;
    let (film, tool) = (&setting.film, &setting.tool);
    let spec = ChartSpec {
        film,
        tool,
        handling: setting.handling.as_ref(),
        wall_deg: sizes.wall,
        lip_radius: sizes.lip_radius,
        foot_radius: sizes.foot_radius,
        clear: sizes.clear,
        units,
        paper: args.paper,
    };
    let chart = Chart::of(&spec, &sizes.lists, true);
    let mut cells = chart.grids.iter().flat_map(|g| &g.cells);
    let some = cells.any(|c| c.bridge_mm.is_some());
    if args.json {
        out_json(&chart)?;
    } else if args.csv {
        out(&chart.csv())?;
    } else {
        let stem = file_stem(&format!("{}-{}", film.name, tool.name));
        let path = |end: &str| args.folder.out.join(format!("{stem}-chart.{end}"));
        let html = chart.html_with(&tautspan::figure::font_css());
        let drafts = [
            Draft::new(path("html"), html),
            Draft::new(path("pdf"), chart.pdf()?),
            Draft::new(path("csv"), chart.csv()),
        ];
        write_noted(&drafts, args.folder.force)?;
    }
    Ok(Outcome::of(some))
}

/// The sizes of a chart, mm and degrees.
struct Sizes {
    lists: ChartSizes,
    wall: f64,
    lip_radius: f64,
    foot_radius: f64,
    clear: f64,
}

impl Sizes {
    /// The sizes given, or the usual ones.
    fn new(args: &Args, units: Units) -> Result<Self> {
        let usual = ChartSizes::usual(units);
        let list = |given: &Option<TypedLengths>, usual: Vec<f64>, option: &str| match given {
            Some(lengths) => lengths.mm(option, units),
            None => Ok(usual),
        };
        let one = |given: &Option<TypedLength>, usual: f64, option: &str| {
            given_or(given.as_ref(), usual, option, units)
        };
        Ok(Self {
            lists: ChartSizes {
                depths: list(&args.depths, usual.depths, "--depths")?,
                mouths: list(&args.mouths, usual.mouths, "--mouths")?,
                drops: list(&args.drops, usual.drops, "--drops")?,
                runs: list(&args.runs, usual.runs, "--runs")?,
            },
            wall: args.wall,
            lip_radius: one(&args.lip_radius, 2.0, "--lip-radius")?,
            foot_radius: one(&args.foot_radius, 2.0, "--foot-radius")?,
            clear: one(&args.clear, 300.0, "--clear")?,
        })
    }

    /// Refuses sizes that no chart can be drawn for.
    fn inspect(&self) -> Result<()> {
        for (option, values, least) in [
            ("--depths", &self.lists.depths, 0.6),
            ("--mouths", &self.lists.mouths, 1.0),
            ("--drops", &self.lists.drops, 0.6),
            ("--runs", &self.lists.runs, 0.0),
        ] {
            if values.is_empty() || values.len() > MOST {
                bail!(
                    "`{option}` has {} values, but 1 to {MOST} were expected, as many as fit the page\n\nhint: make two charts",
                    values.len()
                );
            }
            if let Some(v) = values.iter().find(|v| !(least..=2000.0).contains(*v)) {
                bail!(
                    "`{option}` has {v} mm, but lengths from {least} to 2000 mm were expected\n\nhint: as in `{option} 10,20,30`, in `--units`, or each with its unit"
                );
            }
            if let Some(w) = values.windows(2).find(|w| w[0] >= w[1]) {
                let (a, b) = (w[0], w[1]);
                bail!(
                    "`{option}` has {b} after {a}, but rising values were expected\n\nhint: sort them, each once"
                );
            }
        }
        for (option, v, unit, from, to) in [
            ("--wall", self.wall, "degrees", 5.0, 90.0),
            ("--lip-radius", self.lip_radius, "mm", 0.0, 500.0),
            ("--foot-radius", self.foot_radius, "mm", 0.0, 500.0),
            ("--clear", self.clear, "mm", 0.0, 100_000.0),
        ] {
            if !(from..=to).contains(&v) {
                bail!("`{option}` is {v} {unit}, but {from} to {to} {unit} were expected");
            }
        }
        Ok(())
    }
}
