//! What the commands take in: sections, films, tools, bond lines.

use super::length::{TypedLength, given, given_or};
use super::words;
use anyhow::{Context, Result, anyhow, bail};
use clap::ValueEnum;
use clap::builder::{EnumValueParser, PossibleValue, TypedValueParser};
use std::io::Read;
use std::path::Path;
use tautspan::{
    Assurance, Bed, Bonds, FilmClass, Handling, Job, Number, Order, Recess, Section, Side, Split,
    Steps, Survey, TapeFamily, Tool, Typing, Units, closest,
};

/// Units of what is typed and printed.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(crate) enum UnitsArg {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

impl From<UnitsArg> for Units {
    fn from(units: UnitsArg) -> Self {
        match units {
            UnitsArg::Mm => Self::Mm,
            UnitsArg::In => Self::Inch,
        }
    }
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
    units: Option<UnitsArg>,
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
}

/// What was read.
pub(crate) enum Readings {
    /// One section.
    One(Section),
    /// The shapes that fit a tape reading.
    Family(TapeFamily),
}

impl SectionArgs {
    /// Units of bare numbers and of the printed text.
    pub(crate) fn units(&self) -> Units {
        self.units.map_or(Units::Mm, Into::into)
    }

    /// How the readings are typed.
    fn typing(&self) -> Typing {
        Typing {
            units: self.units.map(Into::into),
            depths: self.depths,
            leftwards: self.leftwards,
        }
    }

    /// Refuses to turn round what cannot lie wrongly.
    fn inspect(&self) -> Result<()> {
        let turned = [("--depths", self.depths), ("--leftwards", self.leftwards)];
        let typed = [("--shape", &self.shape), ("--tape", &self.tape)];
        for (flag, _) in turned.into_iter().filter(|t| t.1) {
            if let Some((option, _)) = typed.iter().find(|t| t.1.is_some()) {
                bail!(
                    "`{flag}` was found beside `{option}`, but it turns readings with heights: a file, --points or --comb\n\nhint: leave `{flag}` out, the depth of `{option}` is positive as it is"
                );
            }
        }
        Ok(())
    }

    /// Reads the section, or the family behind tape readings.
    pub(crate) fn read(&self) -> Result<Readings> {
        self.inspect()?;
        let (units, typing) = (self.units(), self.typing());
        let typed = [&self.points, &self.shape, &self.tape, &self.comb];
        if self.file.is_some() && typed.iter().any(|t| t.is_some()) {
            bail!(
                "a section file and a typed section were given, but one of them was expected\n\nhint: leave the file out, or --points, --shape, --tape and --comb"
            );
        }
        let section = if let Some(file) = &self.file {
            let bytes = read_file(file)?;
            let stem = file.file_stem().map_or_else(
                || "section".to_owned(),
                |s| s.to_string_lossy().into_owned(),
            );
            let name = file.display().to_string();
            tautspan::read_csv_as(&name, &bytes, typing)?.named(&stem)
        } else if let Some(text) = &self.points {
            tautspan::read_points("points", text, typing)?
        } else if let Some(text) = &self.shape {
            tautspan::read_shape(text, units)?
        } else if let Some(text) = &self.comb {
            tautspan::read_comb("comb", text, typing)?
        } else if let Some(text) = &self.tape {
            return Ok(Readings::Family(tautspan::read_tape(text, units)?));
        } else {
            bail!(
                "no section was given, but a file, --points, --shape, --tape or --comb was expected\n\nhint: `tautspan demo` writes five recesses to try; then `tautspan recommend fernhill/deep-channel.csv --film wrap-cast`"
            );
        };
        Ok(Readings::One(match &self.name {
            Some(name) => section.named(name),
            None => section,
        }))
    }

    /// One section: for tape readings, the even, sharp one of the shapes that fit.
    pub(crate) fn read_one(&self) -> Result<(Section, Vec<String>)> {
        Ok(match self.read()? {
            Readings::One(section) => (section, Vec::new()),
            Readings::Family(family) => {
                let member = family.nominal_member();
                let note = format!(
                    "{} shapes fit these tape readings; this is for the plainest of them: {}",
                    family.members().len(),
                    member.words
                );
                (self.renamed(member.section.clone()), vec![note])
            }
        })
    }

    /// The section under the name asked for.
    pub(crate) fn renamed(&self, section: Section) -> Section {
        match &self.name {
            Some(name) => section.named(name),
            None => section,
        }
    }

    /// How the section is to be read.
    pub(crate) fn survey(&self) -> Result<Survey> {
        let (usual, units) = (Survey::default(), self.units());
        let or = |given: &Option<TypedLength>, usual: f64, option: &str| {
            given_or(given.as_ref(), usual, option, units)
        };
        Ok(Survey {
            gauge_tolerance: or(
                &self.gauge_tolerance,
                usual.gauge_tolerance,
                "--gauge-tolerance",
            )?,
            clear_left: or(&self.clear_left, usual.clear_left, "--clear-left")?,
            clear_right: or(&self.clear_right, usual.clear_right, "--clear-right")?,
            press_offset: or(&self.press_offset, usual.press_offset, "--press-offset")?,
            valley: self.valley,
        })
    }

    /// What was assumed because it was not said.
    pub(crate) fn assumptions(&self) -> Vec<String> {
        let usual = Survey::default();
        let units = self.units();
        match (&self.clear_left, &self.clear_right) {
            (None, None) => vec![format!(
                "{} of clear panel beyond each lip (`--clear-left`, `--clear-right`)",
                words::length(usual.clear_left, units)
            )],
            (None, _) => vec![format!(
                "{} of clear panel to the left (`--clear-left`)",
                words::length(usual.clear_left, units)
            )],
            (_, None) => vec![format!(
                "{} of clear panel to the right (`--clear-right`)",
                words::length(usual.clear_right, units)
            )],
            _ => Vec::new(),
        }
    }

    /// Is the best press to be sought?
    pub(crate) fn seeks_press(&self) -> bool {
        self.press_offset.is_none() && self.tape.is_none()
    }

    /// Finds the recess of a section.
    pub(crate) fn recess(&self, section: Section) -> Result<Recess> {
        let name = section.name().to_owned();
        Recess::find(section, self.survey()?).map_err(|e| anyhow!("{name}: {e}"))
    }
}

/// Film class and tool.
#[derive(Debug, clap::Args)]
pub(crate) struct FilmArgs {
    /// Film class: a name of the catalogue (`tautspan films`) or a TOML file of your own
    #[arg(long, value_name = "CLASS")]
    film: String,
    #[command(flatten)]
    tool: ToolArgs,
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

impl AssureArgs {
    /// What the width of a section is to be assured against: a shape is what was typed, unless
    /// a tolerance was said.
    pub(crate) fn assurance(&self, section: &SectionArgs) -> Result<Assurance> {
        let usual = Assurance::default();
        let percent = self.assure.unwrap_or(100.0 * usual.share);
        if !(50.0..=99.0).contains(&percent) {
            bail!(
                "`--assure` is {percent}, but a share from 50 to 99 % was expected\n\nhint: 95 is usual; 50 gives about the width for the section as read"
            );
        }
        let itself = section.shape.is_some() && section.gauge_tolerance.is_none();
        Ok(Assurance {
            share: percent / 100.0,
            tolerance: if itself {
                0.0
            } else {
                section.survey()?.gauge_tolerance
            },
            ..usual
        })
    }
}

/// Tool.
#[derive(Debug, clap::Args)]
pub(crate) struct ToolArgs {
    /// Tool: fingertip, felt-edge, roller, or a TOML file
    #[arg(long, value_name = "TOOL", default_value = "fingertip")]
    tool: String,
    /// Contact width of the tool along the panel in the section, instead of the tool's
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pad: Option<TypedLength>,
    /// Radius of the tool's tip, instead of the tool's
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    tip_radius: Option<TypedLength>,
}

impl FilmArgs {
    /// The film class.
    pub(crate) fn film(&self) -> Result<FilmClass> {
        film(&self.film)
    }

    /// The folder of the film's file, against which paths in it count.
    pub(crate) fn folder(&self) -> &Path {
        folder(&self.film)
    }

    /// The tool, with what the options put in place of its numbers.
    pub(crate) fn tool(&self, units: Units) -> Result<Tool> {
        self.tool.tool(units)
    }
}

impl ToolArgs {
    /// The tool, with what the options put in place of its numbers; bare ones are in `units`.
    pub(crate) fn tool(&self, units: Units) -> Result<Tool> {
        let mut tool = tool(&self.tool)?;
        let number = |option: &str, length: &TypedLength| {
            let value = length.mm(option, units)?;
            if !(0.0..=1000.0).contains(&value) {
                bail!(
                    "`{option}` is {value} mm, but a length from 0 to 1000 mm was expected\n\nhint: for a fingertip some 10 mm of pad and 6 mm of tip radius are usual"
                );
            }
            Ok(Number {
                value,
                source: format!("given by {option}"),
            })
        };
        if let Some(pad) = &self.pad {
            tool.pad_mm = number("--pad", pad)?;
        }
        if let Some(radius) = &self.tip_radius {
            tool.tip_radius_mm = number("--tip-radius", radius)?;
        }
        Ok(tool)
    }
}

/// Most bytes of a file that are read: a million points with room to spare.
const MOST_BYTES: u64 = 256 << 20;

/// Reads a file, unless it has no end.
fn read_file(path: &Path) -> Result<Vec<u8>> {
    let failed = || format!("`{}` could not be read", path.display());
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).with_context(failed)?;
    file.take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .with_context(failed)?;
    if bytes.len() as u64 > MOST_BYTES {
        bail!(
            "`{}` is larger than 256 MiB, which no section or class is\n\nhint: is it the right file?",
            path.display()
        );
    }
    Ok(bytes)
}

/// Is the name meant as a file?
fn is_file(name: &str) -> bool {
    Path::new(name).exists() || name.contains(['/', '\\']) || name.ends_with(".toml")
}

/// The folder of a film's file, against which paths in it count.
pub(crate) fn folder(film: &str) -> &Path {
    match Path::new(film).parent() {
        Some(folder) if is_file(film) && tautspan::film_named(film).is_none() => folder,
        _ => Path::new(""),
    }
}

/// A film class by name or file.
pub(crate) fn film(name: &str) -> Result<FilmClass> {
    if let Some(class) = tautspan::film_named(name) {
        return Ok(class);
    }
    if is_file(name) {
        let text = String::from_utf8_lossy(&read_file(Path::new(name))?).into_owned();
        return tautspan::parse_film(name, &text).map_err(|e| anyhow!("{e}\n\nhint: {}", e.hint()));
    }
    Err(unknown("film class", name, &tautspan::film_names()))
}

/// A tool by name or file.
pub(crate) fn tool(name: &str) -> Result<Tool> {
    if let Some(tool) = tautspan::tool_named(name) {
        return Ok(tool);
    }
    if is_file(name) {
        let text = String::from_utf8_lossy(&read_file(Path::new(name))?).into_owned();
        return tautspan::parse_tool(name, &text).map_err(|e| anyhow!("{e}\n\nhint: {}", e.hint()));
    }
    Err(unknown("tool", name, &tautspan::tool_names()))
}

fn unknown(what: &str, name: &str, names: &[&str]) -> anyhow::Error {
    let hint = closest(name, names.iter().copied()).map_or_else(
        || "a file of your own is given by its path".to_owned(),
        |n| format!("did you mean `{n}`?"),
    );
    anyhow!(
        "{what} `{name}` is not in the catalogue, which has: {}\n\nhint: {hint}",
        names.join(", ")
    )
}

/// Order of pressing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum OrderArg {
    /// Press the deepest part first, then work outwards
    DeepestFirst,
    /// Lay the flats, then work down the walls
    EdgeFirst,
    /// Deepest first with the film bonded right at the lips
    MiddlePush,
    /// Lay from one side to the other, the far side feeding in
    OneWay,
}

/// An order by name, or the steps of a custom one.
#[derive(Debug, Clone)]
pub(crate) enum OrderChoice {
    /// By name.
    Named(OrderArg),
    /// Steps typed inline, or the TOML file that has them.
    Steps(String),
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
        if is_toml(&text) || text.trim().contains(char::is_whitespace) {
            return Ok(OrderChoice::Steps(text.into_owned()));
        }
        EnumValueParser::<OrderArg>::new()
            .parse_ref(command, arg, value)
            .map(OrderChoice::Named)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        let names = OrderArg::value_variants().iter();
        Some(Box::new(names.filter_map(ValueEnum::to_possible_value)))
    }
}

fn is_toml(name: &str) -> bool {
    Path::new(name)
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("toml"))
}

/// The steps typed inline, or in a file.
pub(crate) fn steps(text: &str) -> Result<Steps> {
    if is_toml(text) {
        let content = String::from_utf8_lossy(&read_file(Path::new(text))?).into_owned();
        return Ok(tautspan::read_steps_toml(text, &content)?);
    }
    Ok(tautspan::read_steps("--order", text)?)
}

/// A side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SideArg {
    /// The left
    Left,
    /// The right
    Right,
}

/// Where the bridge grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SplitArg {
    /// On both sides alike until one is full (a step: on its lower flat)
    Even,
    /// To the left first
    Left,
    /// To the right first
    Right,
}

/// Width and bond lines.
#[derive(Debug, clap::Args)]
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

impl BridgeArgs {
    /// Was a width, or were bond lines given?
    pub(crate) fn is_given(&self) -> bool {
        self.bridge.is_some() || self.bond_left.is_some()
    }

    /// Bond lines for an order, bare numbers in `units`; `None` where no width was given.
    pub(crate) fn bonds(&self, bed: &Bed<'_>, split: Split, units: Units) -> Result<Option<Bonds>> {
        let left = given(self.bond_left.as_ref(), "--bond-left", units)?;
        let right = given(self.bond_right.as_ref(), "--bond-right", units)?;
        if let (Some(left), Some(right)) = (left, right) {
            return Ok(Some(Bonds::at_x(bed.recess(), left, right)?));
        }
        given(self.bridge.as_ref(), "--bridge", units)?
            .map(|b| bed.bonds_for_bridge(b, split))
            .transpose()
            .map_err(Into::into)
    }
}

impl From<SplitArg> for Split {
    fn from(split: SplitArg) -> Self {
        match split {
            SplitArg::Even => Self::Even,
            SplitArg::Left => Self::Left,
            SplitArg::Right => Self::Right,
        }
    }
}

/// The order meant by the options.
pub(crate) fn order(order: OrderArg, loose: SideArg) -> Order {
    match order {
        OrderArg::DeepestFirst => Order::DeepestFirst,
        OrderArg::EdgeFirst => Order::EdgeFirst,
        OrderArg::MiddlePush => Order::MiddlePush,
        OrderArg::OneWay => Order::OneWay {
            loose: if loose == SideArg::Left {
                Side::Left
            } else {
                Side::Right
            },
        },
    }
}

/// Everything a command with a film needs, for one section after another.
pub(crate) struct Setting {
    pub(crate) film: FilmClass,
    pub(crate) tool: Tool,
    pub(crate) split: Split,
    pub(crate) step: tautspan::TapeStep,
    pub(crate) assumptions: Vec<String>,
    pub(crate) handling: Option<Handling>,
    pub(crate) assurance: Assurance,
}

impl Setting {
    pub(crate) fn new(section: &SectionArgs, film: &FilmArgs, split: SplitArg) -> Result<Self> {
        Ok(Self {
            film: film.film()?,
            tool: film.tool(section.units())?,
            split: split.into(),
            step: section.units().into(),
            assumptions: section.assumptions(),
            handling: None,
            assurance: film.assure.assurance(section)?,
        })
    }

    /// Prepares the bed of a recess for the tool.
    pub(crate) fn bed<'a>(&self, recess: &'a Recess) -> Bed<'a> {
        Bed::new(recess, self.tool.pad(), self.tool.tip_radius())
    }

    /// The recess of a section, pressed at the best place unless it was said where. The shapes
    /// behind tape readings are pressed in the middle: which wall is steeper is not known.
    pub(crate) fn recess(&self, args: &SectionArgs, section: Section) -> Result<Recess> {
        let recess = args.recess(section)?;
        if !args.seeks_press() {
            return Ok(recess);
        }
        let best = tautspan::pressed_best(&self.job(&self.bed(&recess)));
        Ok(best.unwrap_or(recess))
    }

    /// The job on a bed.
    pub(crate) fn job<'a>(&'a self, bed: &'a Bed<'a>) -> Job<'a> {
        Job {
            step: self.step,
            bed,
            film: &self.film,
            tool: &self.tool,
            split: self.split,
            assumptions: &self.assumptions,
            handling: self.handling.as_ref(),
            assurance: Some(self.assurance),
        }
    }
}
