//! What the commands take in, told to a question.

use super::job::JobArgs;
use super::length::{TypedLength, given};
use super::named::path_text;
use anyhow::{Result, bail};
use clap::ValueEnum;
use clap::builder::{EnumValueParser, PossibleValue, TypedValueParser};
use tautspan::advice::{OrderChoice, SectionText};
use tautspan::laydown::OrderName;
use tautspan::{Question, Side, Split, Units};

/// Options that say something of a question.
pub(crate) trait Tell {
    /// Tells the question; bare lengths are in `units`.
    fn tell(&self, question: &mut Question, units: Units) -> Result<()>;
}

/// Where a section comes from, and how it is read.
#[derive(Debug, clap::Args)]
pub(crate) struct SectionArgs {
    /// Section file: CSV with a header `x_mm,y_mm` (or _cm, _in; `X (mm)`), x to the right, y
    /// out of the panel, recesses negative; columns apart by commas, semicolons, tabs or spaces
    #[arg(value_name = "SECTION")]
    file: Option<std::path::PathBuf>,
    /// Points: "x,y x,y .."; with decimal commas "x;y x;y .."
    #[arg(
        long,
        value_name = "POINTS",
        group = "typed",
        allow_hyphen_values = true
    )]
    points: Option<String>,
    /// A shape: "channel:mouth=80,floor=40,depth=25,lip-radius=3"; also groove, step, round
    #[arg(long, value_name = "SHAPE", group = "typed")]
    shape: Option<String>,
    /// Tape and rule: "mouth=80,depth=25,tape=104", tape being the length pressed along the
    /// recess lip to lip; left= and right= wall angles in degrees if known; inches as on the
    /// tape, "mouth=3 1/8in,.."
    #[arg(long, value_name = "READINGS", group = "typed")]
    tape: Option<String>,
    /// Heights of a comb gauge at a fixed spacing: "pitch=5: 0,0,-2,-11,.."; with decimal
    /// commas "pitch=2,5: 0;0;-2,5;-11;.."
    #[arg(
        long,
        value_name = "HEIGHTS",
        group = "typed",
        allow_hyphen_values = true
    )]
    comb: Option<String>,
    /// Units of bare numbers (any length may carry its own: 6in, 3 1/8in, 12.5cm, 125mm), of a
    /// file whose header has none, and of the printed text; JSON is always mm [default: mm]
    #[arg(long, value_enum)]
    units: Option<Units>,
    /// Heights of the file, --points or --comb are depths, positive into the panel
    #[arg(long)]
    depths: bool,
    /// Readings of the file, --points or --comb go from right to left: turn them round
    #[arg(long)]
    leftwards: bool,
    /// Name for headings and files (default: the file's)
    #[arg(long, value_name = "NAME")]
    name: Option<String>,
    /// Reading tolerance of the gauge [default: 0.5mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    gauge_tolerance: Option<TypedLength>,
    /// Clear panel beyond the left lip or foot (to trim, edge, handle, next recess) [default: 300mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    clear_left: Option<TypedLength>,
    /// Clear panel beyond the right lip or foot [default: 300mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    clear_right: Option<TypedLength>,
    /// Press moved along the panel, + to the right [default: 0mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    press_offset: Option<TypedLength>,
    /// Which recess, counted from the left from 1 [default: the deepest]
    #[arg(long, value_name = "N")]
    valley: Option<usize>,
    #[command(flatten)]
    job: JobArgs,
}

impl SectionArgs {
    /// The question that all options together ask: of the job file, with what the section's
    /// options and `parts` say in its place. It is saved if that was asked.
    pub(crate) fn question(&self, parts: &[&dyn Tell], force: bool) -> Result<Question> {
        let mut question = self.job.read()?.unwrap_or_default();
        match self.typed()? {
            Some(section) => {
                // What is said of a section's readings goes with them.
                question = Question {
                    section: Some(section),
                    units: self.units,
                    print: None,
                    depths: None,
                    leftwards: None,
                    name: None,
                    ..question
                };
            }
            // Readings of the job stay in the units they were typed in.
            None => question.print = self.units.or(question.print),
        }
        let units = question.print_units();
        self.tell(&mut question, units)?;
        for part in parts {
            part.tell(&mut question, units)?;
        }
        self.job.save(&question, force)?;
        Ok(question)
    }

    /// Units of what is printed.
    pub(crate) fn units(&self) -> Units {
        let job = || self.job.read().ok().flatten();
        let of_job = || job().map(|question| question.print_units());
        self.units.or_else(of_job).unwrap_or_default()
    }

    /// The section typed, or its file.
    fn typed(&self) -> Result<Option<SectionText>> {
        let typed = self.points.clone().map(SectionText::Points);
        let typed = typed.or_else(|| self.shape.clone().map(SectionText::Shape));
        let typed = typed.or_else(|| self.comb.clone().map(SectionText::Comb));
        let typed = typed.or_else(|| self.tape.clone().map(SectionText::Tape));
        let Some(file) = &self.file else {
            return Ok(typed);
        };
        if typed.is_some() {
            bail!(
                "a section file and a typed section were given, but one of them was expected\n\nhint: leave the file out, or --points, --shape, --tape and --comb"
            );
        }
        Ok(Some(SectionText::File(path_text(file)?)))
    }
}

impl Tell for SectionArgs {
    fn tell(&self, question: &mut Question, units: Units) -> Result<()> {
        for (said, key) in [
            (self.depths, &mut question.depths),
            (self.leftwards, &mut question.leftwards),
        ] {
            if said {
                *key = Some(true);
            }
        }
        put(&mut question.name, self.name.clone());
        put(&mut question.valley, self.valley);
        for (key, typed, option) in [
            (
                &mut question.gauge_tolerance_mm,
                &self.gauge_tolerance,
                "--gauge-tolerance",
            ),
            (
                &mut question.clear_left_mm,
                &self.clear_left,
                "--clear-left",
            ),
            (
                &mut question.clear_right_mm,
                &self.clear_right,
                "--clear-right",
            ),
            (
                &mut question.press_offset_mm,
                &self.press_offset,
                "--press-offset",
            ),
        ] {
            put(key, given(typed.as_ref(), option, units)?);
        }
        Ok(())
    }
}

/// Puts what was typed in place of what was said before.
pub(crate) fn put<T>(key: &mut Option<T>, typed: Option<T>) {
    if typed.is_some() {
        *key = typed;
    }
}

/// Film class and tool.
#[derive(Debug, clap::Args)]
pub(crate) struct ClassArgs {
    /// Film class: a name of the catalogue (`tautspan films`) or a TOML file of your own
    #[arg(long, value_name = "CLASS")]
    film: Option<String>,
    #[command(flatten)]
    tool: ToolArgs,
}

/// Film class, tool, and how sure the width is to be.
#[derive(Debug, clap::Args)]
pub(crate) struct FilmArgs {
    #[command(flatten)]
    class: ClassArgs,
    #[command(flatten)]
    assure: AssureArgs,
}

/// How sure the width is to be.
#[derive(Debug, clap::Args)]
pub(crate) struct AssureArgs {
    /// Share of what the readings allow in which the limit is to be kept, 50 to 99 [default: 95]
    #[arg(long, value_name = "PCT", allow_negative_numbers = true)]
    assure: Option<f64>,
}

impl Tell for ClassArgs {
    fn tell(&self, question: &mut Question, units: Units) -> Result<()> {
        if self.film.is_some() {
            question.film_class = None;
        }
        put(&mut question.film, self.film.clone());
        self.tool.tell(question, units)
    }
}

impl Tell for FilmArgs {
    fn tell(&self, question: &mut Question, units: Units) -> Result<()> {
        self.class.tell(question, units)?;
        self.assure.tell(question, units)
    }
}

impl Tell for AssureArgs {
    fn tell(&self, question: &mut Question, _units: Units) -> Result<()> {
        put(&mut question.assure_pct, self.assure);
        Ok(())
    }
}

/// Tool.
#[derive(Debug, clap::Args)]
pub(crate) struct ToolArgs {
    /// Tool: fingertip, felt-edge, roller, or a TOML file [default: fingertip]
    #[arg(long, value_name = "TOOL")]
    tool: Option<String>,
    /// Contact width of the tool along the panel in the section, instead of the tool's
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pad: Option<TypedLength>,
    /// Radius of the tool's tip, instead of the tool's
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    tip_radius: Option<TypedLength>,
}

impl Tell for ToolArgs {
    fn tell(&self, question: &mut Question, units: Units) -> Result<()> {
        if self.tool.is_some() {
            // Pad and tip belong to the tool they were given with.
            question.pad_mm = None;
            question.tip_radius_mm = None;
        }
        put(&mut question.tool, self.tool.clone());
        let pad = given(self.pad.as_ref(), "--pad", units)?;
        put(&mut question.pad_mm, pad);
        let radius = given(self.tip_radius.as_ref(), "--tip-radius", units)?;
        put(&mut question.tip_radius_mm, radius);
        Ok(())
    }
}

/// Where the bridge grows.
#[derive(Debug, clap::Args)]
pub(crate) struct SplitArgs {
    /// Where the bridge grows [default: even]
    #[arg(long, value_enum)]
    split: Option<Split>,
}

impl Tell for SplitArgs {
    fn tell(&self, question: &mut Question, _units: Units) -> Result<()> {
        put(&mut question.split, self.split);
        Ok(())
    }
}

/// Width and bond lines.
#[derive(Debug, Clone, clap::Args)]
pub(crate) struct BridgeArgs {
    /// Bridge width: taut length of the unbonded film
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, conflicts_with_all = ["bond_left", "bond_right"])]
    bridge: Option<TypedLength>,
    /// Left bond line as x of the section, instead of a width
    #[arg(
        long,
        value_name = "X",
        requires = "bond_right",
        allow_hyphen_values = true
    )]
    bond_left: Option<TypedLength>,
    /// Right bond line as x of the section
    #[arg(
        long,
        value_name = "X",
        requires = "bond_left",
        allow_hyphen_values = true
    )]
    bond_right: Option<TypedLength>,
}

impl Tell for BridgeArgs {
    fn tell(&self, question: &mut Question, units: Units) -> Result<()> {
        if self.bridge.is_none() && self.bond_left.is_none() {
            return Ok(());
        }
        question.bridge_mm = given(self.bridge.as_ref(), "--bridge", units)?;
        question.bond_left_x_mm = given(self.bond_left.as_ref(), "--bond-left", units)?;
        question.bond_right_x_mm = given(self.bond_right.as_ref(), "--bond-right", units)?;
        Ok(())
    }
}

/// Width, order and loose side. The bridge is told last: a middle push takes the place of a
/// job's width, but not of one typed beside it.
#[derive(Debug, clap::Args)]
pub(crate) struct OrderArgs {
    #[command(flatten)]
    pub(crate) bridge: BridgeArgs,
    /// Order of pressing: a name, or steps of your own, inline (`press` and `spread` with x of
    /// the section, in mm whatever --units says) or in a TOML file, as in `--order "press 0, spread left, spread right"`
    /// [default: deepest-first; draw: edge-first beside it]
    #[arg(long, value_name = "ORDER", value_parser = OrderParser)]
    pub(crate) order: Option<OrderChoice>,
    /// Which side runs loose, for --order one-way [default: right]
    #[arg(long, value_enum)]
    pub(crate) loose: Option<Side>,
}

impl Tell for OrderArgs {
    fn tell(&self, question: &mut Question, units: Units) -> Result<()> {
        if self.order == Some(OrderChoice::Named(OrderName::MiddlePush)) {
            question.bridge_mm = None;
            question.bond_left_x_mm = None;
            question.bond_right_x_mm = None;
        }
        put(&mut question.order, self.order.clone());
        put(&mut question.loose, self.loose);
        self.bridge.tell(question, units)
    }
}

/// Reads `--order`: what ends in `.toml` is a file, what has a space is steps, all else is
/// a name.
#[derive(Debug, Clone)]
pub(crate) struct OrderParser;

impl TypedValueParser for OrderParser {
    type Value = OrderChoice;

    fn parse_ref(
        &self,
        command: &clap::Command,
        arg: Option<&clap::Arg>,
        value: &std::ffi::OsStr,
    ) -> Result<OrderChoice, clap::Error> {
        let text = value.to_string_lossy();
        if OrderChoice::is_steps(&text) {
            return Ok(OrderChoice::Steps(text.into_owned()));
        }
        EnumValueParser::<OrderName>::new()
            .parse_ref(command, arg, value)
            .map(OrderChoice::Named)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        let names = OrderName::value_variants().iter();
        Some(Box::new(names.filter_map(ValueEnum::to_possible_value)))
    }
}
