//! What is asked: all that an answer rests on, as the command line parses it, the page posts it
//! and a job file holds it. What is left out is said once, here and in [`Setting`](super::Setting).

use super::answer::Notice;
use super::assurance::Assurance;
use super::bay::{Bay, WarmZone};
use super::handling::Handling;
use super::question_error::QuestionError;
use crate::fault::Refused;
use crate::film::{FilmClass, Number, TensileCurve, Tool};
use crate::laydown::{OrderName, Split, Steps, read_steps};
use crate::section::{
    Kind, Recess, RecessError, Section, Side, Survey, TapeFamily, Typing, Units, read_comb,
    read_csv_as, read_pasted, read_points, read_shape, read_tape,
};
use crate::told::when;
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize};

/// Largest pad and tip radius, mm.
const LARGEST_TOOL: f64 = 1000.0;
/// Largest friction coefficient.
const MOST_FRICTION: f64 = 100.0;
/// Most drag, kPa.
const MOST_DRAG: f64 = 1e6;
/// Most that a hand gives, N.
const MOST_FORCE: f64 = 1000.0;
/// Longest recess along the panel, mm.
const LONGEST_RECESS: f64 = 100_000.0;

/// Where a section comes from; bare numbers of the texts are in the question's `units`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SectionText {
    /// A shape and its dimensions.
    Shape(String),
    /// Readings of tape and rule.
    Tape(String),
    /// Points.
    Points(String),
    /// Heights of a comb gauge.
    Comb(String),
    /// The text of a CSV file.
    Csv(String),
    /// Points, the heights of a comb or a table, whichever it is.
    Text(String),
    /// A recess of the demo vehicle, by name.
    Demo(String),
    /// A CSV file, by its path.
    File(String),
}

/// What an order may be, for those who typed another.
const ORDERS: [&str; 5] = [
    "deepest-first",
    "edge-first",
    "middle-push",
    "one-way",
    "press 0, spread left, spread right",
];

/// Order of pressing: a name, or steps of one's own.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(into = "String")]
pub enum OrderChoice {
    /// By name.
    Named(OrderName),
    /// Steps as text, or the TOML file that has them.
    Steps(String),
}

impl OrderChoice {
    /// Is a text meant as steps: inline with blanks, or a file?
    pub fn is_steps(text: &str) -> bool {
        Self::is_file(text) || text.trim().contains(char::is_whitespace)
    }

    /// Is a text meant as a file of steps?
    pub fn is_file(text: &str) -> bool {
        text.rsplit_once('.')
            .is_some_and(|(_, end)| end.eq_ignore_ascii_case("toml"))
    }
}

impl<'de> Deserialize<'de> for OrderChoice {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = String::deserialize(from)?;
        if let Some(name) = OrderName::ALL.into_iter().find(|n| n.name() == text) {
            return Ok(Self::Named(name));
        }
        if Self::is_steps(&text) {
            return Ok(Self::Steps(text));
        }
        Err(D::Error::unknown_variant(&text, &ORDERS))
    }
}

impl From<OrderChoice> for String {
    fn from(order: OrderChoice) -> Self {
        match order {
            OrderChoice::Named(name) => name.name().to_owned(),
            OrderChoice::Steps(text) => text,
        }
    }
}

/// Depth of a recess over a gauge tolerance that was said, least: nearer, the shapes that fit hold
/// flat panel too, and the width for most of them is that of none. More refuses what is told.
const COARSE: f64 = 3.0;

/// Steps in the mouth of a channel, at least, where readings stand at even ones: where the corners
/// between them were found, and where none was. Half as many in a step, which has one wall. Fewer miss
/// a ledge or a rib; more refuses combs that tell all there is. A gap in a scan is such a step.
const FEWEST: (f64, f64) = (5.0, 9.0);

/// All that an answer rests on. Numbers are in the unit their key names.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default, expecting = "a question")]
pub struct Question {
    /// Name of the section for headings and files; the file's, the shape's.
    pub name: Option<String>,
    /// Units of bare numbers in the section's text; mm, and none for a table, which then has to
    /// say its own.
    pub units: Option<Units>,
    /// Units of what is printed, and of the step of width that a tape shows; those of `units`.
    pub print: Option<Units>,
    /// Heights of points, comb and table are depths, positive into the panel; no.
    pub depths: Option<bool>,
    /// Points, comb and table go from right to left; no.
    pub leftwards: Option<bool>,
    /// A class of the catalogue, or a file.
    pub film: Option<String>,
    /// A tool of the catalogue, or a file; fingertip.
    pub tool: Option<String>,
    /// Contact width of the tool in place of the tool's.
    pub pad_mm: Option<f64>,
    /// Radius of the tool's tip in place of the tool's.
    pub tip_radius_mm: Option<f64>,
    /// Reading tolerance of the gauge; 0.5.
    pub gauge_tolerance_mm: Option<f64>,
    /// Share of what the readings allow in which the limit is to be kept, percent, 50 to 99; 95.
    pub assure_pct: Option<f64>,
    /// Clear panel beyond the left lip or foot; 300.
    pub clear_left_mm: Option<f64>,
    /// Clear panel beyond the right lip or foot; 300.
    pub clear_right_mm: Option<f64>,
    /// Press moved along the panel, + to the right; where the narrowest bridge does.
    pub press_offset_mm: Option<f64>,
    /// Which recess, counted from the left from 1; the deepest.
    pub valley: Option<usize>,
    /// Where a growing bridge grows; even.
    pub split: Option<Split>,
    /// Bridge width: taut length of the unbonded film.
    pub bridge_mm: Option<f64>,
    /// Left bond line as x of the section, in place of a width.
    pub bond_left_x_mm: Option<f64>,
    /// Right bond line as x of the section.
    pub bond_right_x_mm: Option<f64>,
    /// Order of pressing; deepest-first.
    pub order: Option<OrderChoice>,
    /// The loose side of one-way; right.
    pub loose: Option<Side>,
    /// Length of the recess along the panel, from end to end.
    pub length_mm: Option<f64>,
    /// How the recess ends on the left along the vehicle, seen from the outside: `open`, or
    /// `rounded`, `square` or `ramp` with what is known of it; open.
    pub end_left: Option<String>,
    /// How it ends on the right.
    pub end_right: Option<String>,
    /// Clear panel beyond the lip of a closed end; 300.
    pub clear_end_mm: Option<f64>,
    /// How far short of a closed end's foot the press line stops; at the centre of the end's arc.
    pub press_stop_mm: Option<f64>,
    /// The section.
    pub section: Option<SectionText>,
    /// What was said in the bay.
    pub bay: Option<Bay>,
    /// A class of one's own, with the keys of its TOML, in place of `film`.
    pub film_class: Option<FilmClass>,
}

/// What names in a question stand for, and what its keys are called where it is asked.
pub trait Names {
    /// A film class.
    ///
    /// # Errors
    /// There is none of that name, or it cannot be read.
    fn film(&self, name: &str) -> Result<FilmClass, QuestionError>;

    /// A tool.
    ///
    /// # Errors
    /// There is none of that name, or it cannot be read.
    fn tool(&self, name: &str) -> Result<Tool, QuestionError>;

    /// The CSV of a recess of the demo vehicle.
    ///
    /// # Errors
    /// There is none of that name.
    fn recess(&self, name: &str) -> Result<String, QuestionError>;

    /// The section in a file.
    ///
    /// # Errors
    /// It cannot be read; nothing is read unless told here.
    fn file(&self, path: &str, _typing: Typing) -> Result<Section, QuestionError> {
        Err(QuestionError::NoFiles(path.to_owned()))
    }

    /// The tensile curve that a class names; `name` is what the class was asked for by.
    ///
    /// # Errors
    /// It cannot be read.
    fn curve(
        &self,
        _film: &FilmClass,
        _name: Option<&str>,
    ) -> Result<Option<TensileCurve>, QuestionError> {
        Ok(None)
    }

    /// Steps as text.
    ///
    /// # Errors
    /// They cannot be read; a file is not read unless told here.
    fn steps(&self, text: &str) -> Result<Steps, QuestionError> {
        if OrderChoice::is_file(text) {
            return Err(QuestionError::NoFiles(text.to_owned()));
        }
        Ok(read_steps("order", text)?)
    }

    /// What a key is called.
    fn key(&self, key: &str) -> String {
        key.to_owned()
    }
}

/// What was read.
#[derive(Debug, Clone)]
pub enum Readings {
    /// One section.
    One(Section),
    /// The shapes that fit a tape reading.
    Family(TapeFamily),
}

impl Readings {
    /// One section, and what to say of it: for tape readings, the even, sharp one of the shapes
    /// that fit.
    pub fn one(self) -> (Section, Option<Notice>) {
        match self {
            Self::One(section) => (section, None),
            Self::Family(family) => {
                let member = family.nominal_member();
                let note = Notice::OneShape {
                    count: family.members().len(),
                    widest: false,
                    film: None,
                    shape: member.shape(),
                };
                (member.section.clone(), Some(note))
            }
        }
    }
}

impl Question {
    /// How the section's text is typed.
    pub fn typing(&self) -> Typing {
        Typing {
            units: self.units,
            depths: self.depths.unwrap_or(false),
            leftwards: self.leftwards.unwrap_or(false),
        }
    }

    /// Units of what is printed, and of the step of width that a tape shows.
    pub fn print_units(&self) -> Units {
        self.print.or(self.units).unwrap_or_default()
    }

    /// How the section is to be read.
    pub fn survey(&self) -> Survey {
        let usual = Survey::default();
        Survey {
            gauge_tolerance: self.gauge_tolerance_mm.unwrap_or(usual.gauge_tolerance),
            clear_left: self.clear_left_mm.unwrap_or(usual.clear_left),
            clear_right: self.clear_right_mm.unwrap_or(usual.clear_right),
            press_offset: self.press_offset_mm.unwrap_or(usual.press_offset),
            valley: self.valley,
        }
    }

    /// What the width is to be assured against: a shape is what was typed, unless a tolerance
    /// was said.
    ///
    /// # Errors
    /// [`QuestionError::OutOfRange`]: a share below 50 or above 99 %.
    pub fn assurance(&self, tool: &Tool) -> Result<Assurance, QuestionError> {
        let usual = Assurance::by_hand(tool);
        let percent = self.assure_pct.unwrap_or(100.0 * usual.share);
        within("assure_pct", percent, (50.0, false), 99.0)?;
        let shape = matches!(self.section, Some(SectionText::Shape(_)));
        let itself = shape && self.gauge_tolerance_mm.is_none();
        Ok(Assurance {
            share: percent / 100.0,
            tolerance: when(itself, 0.0, self.survey().gauge_tolerance),
            ..usual
        })
    }

    /// Reads the section, or the family behind tape readings.
    ///
    /// # Errors
    /// There is none, it cannot be read, or it is turned round where it cannot lie wrongly.
    pub fn read(&self, names: &dyn Names) -> Result<Readings, QuestionError> {
        let typing = self.typing();
        let units = typing.units.unwrap_or_default();
        let given = self.section.as_ref().ok_or(QuestionError::NoSection)?;
        let upright = match given {
            SectionText::Shape(_) => Some("shape"),
            SectionText::Tape(_) => Some("tape"),
            SectionText::Demo(_) => Some("demo"),
            _ => None,
        };
        let turned = [("depths", typing.depths), ("leftwards", typing.leftwards)];
        let turned = turned.into_iter().find(|t| t.1);
        if let (Some(section), Some((turned, _))) = (upright, turned) {
            return Err(QuestionError::Turned { turned, section });
        }
        let section = match given {
            SectionText::Shape(text) => read_shape(text, units)?,
            SectionText::Points(text) => read_points("points", text, typing)?,
            SectionText::Comb(text) => read_comb("comb", text, typing)?,
            SectionText::Csv(text) => read_csv_as("section", text.as_bytes(), typing)?,
            SectionText::Text(text) => read_pasted(text, typing)?,
            SectionText::Demo(name) => {
                let csv = names.recess(name)?;
                read_csv_as(name, csv.as_bytes(), Typing::default())?.named(name)
            }
            SectionText::File(path) => names.file(path, typing)?,
            SectionText::Tape(text) => return Ok(Readings::Family(read_tape(text, units)?)),
        };
        let drawn = matches!(given, SectionText::Shape(_) | SectionText::Demo(_));
        let section = if drawn {
            section
        } else {
            section.levelled().with_corners_between()
        };
        Ok(Readings::One(self.named(section)))
    }

    /// Readings of tape and rule as they were typed, if those are the section.
    pub fn typed_tape(&self) -> Option<&str> {
        match &self.section {
            Some(SectionText::Tape(text)) => Some(text),
            _ => None,
        }
    }

    /// The section under the name asked for.
    pub fn named(&self, section: Section) -> Section {
        match &self.name {
            Some(name) => section.named(name),
            None => section,
        }
    }

    /// One section, and what to say of it.
    ///
    /// # Errors
    /// As [`Question::read`].
    pub fn read_one(&self, names: &dyn Names) -> Result<(Section, Option<Notice>), QuestionError> {
        let (section, note) = self.read(names)?.one();
        Ok((self.named(section), note))
    }

    /// Finds the recess of a section.
    ///
    /// # Errors
    /// [`QuestionError::Recess`]: there is none, or a setting is out of range.
    pub fn recess(&self, section: Section) -> Result<Recess, QuestionError> {
        let name = section.name().to_owned();
        let tolerance = self.gauge_tolerance_mm.unwrap_or_default();
        let found = Recess::find(section, self.survey()).and_then(|recess| match recess.depth() {
            depth if depth < COARSE * tolerance => Err(RecessError::Coarse { depth, tolerance }),
            _ => dense_enough(recess),
        });
        found.map_err(|error| QuestionError::Recess { name, error })
    }

    /// Is the best press to be sought? Not where it was said; and of the shapes behind tape
    /// readings it is not known which wall is steeper.
    pub fn seeks_press(&self) -> bool {
        self.press_offset_mm.is_none() && !matches!(self.section, Some(SectionText::Tape(_)))
    }

    /// Was a width, or were bond lines given?
    pub fn has_width(&self) -> bool {
        self.bridge_mm.is_some() || self.bond_left_x_mm.is_some() || self.bond_right_x_mm.is_some()
    }

    /// For a question that tries many widths: ranges of film, counted from a bond line, say
    /// nothing there.
    ///
    /// # Errors
    /// [`QuestionError::OpenWidth`]
    pub fn with_open_width(&self) -> Result<&Self, QuestionError> {
        match &self.bay {
            Some(bay) if !bay.ranges.is_empty() => Err(QuestionError::OpenWidth),
            _ => Ok(self),
        }
    }

    /// Takes the whole bridge as warmed unless it says otherwise: a chart has one answer a cell,
    /// and says so.
    pub fn warm_throughout(&mut self) {
        let bay = self.bay.get_or_insert_default();
        if bay.ranges.is_empty() {
            bay.warm = bay.warm.or(Some(WarmZone::Whole));
        }
    }

    /// Length of the recess along the panel, mm.
    ///
    /// # Errors
    /// [`QuestionError::OutOfRange`]
    pub fn length(&self) -> Result<Option<f64>, QuestionError> {
        let length = |mm| within("length_mm", mm, (0.0, true), LONGEST_RECESS);
        self.length_mm.map(length).transpose()
    }

    /// The film class.
    ///
    /// # Errors
    /// None was given, or it is not known or faulty.
    pub fn film(&self, names: &dyn Names) -> Result<FilmClass, QuestionError> {
        if let Some(class) = &self.film_class {
            return match class.faults() {
                faults if faults.is_empty() => Ok(class.clone()),
                faults => Err(Refused::new("film_class", faults).into()),
            };
        }
        names.film(self.film.as_ref().ok_or(QuestionError::NoFilm)?)
    }

    /// The tool, with what was put in place of its numbers.
    ///
    /// # Errors
    /// It is not known, or a number is out of range.
    pub fn tool(&self, names: &dyn Names) -> Result<Tool, QuestionError> {
        let mut tool = names.tool(self.tool.as_deref().unwrap_or("fingertip"))?;
        let given = |key: &'static str, value: f64| {
            within(key, value, (0.0, false), LARGEST_TOOL)?;
            let source = format!("given by {}", names.key(key));
            Ok::<_, QuestionError>(Number { value, source })
        };
        if let Some(pad) = self.pad_mm {
            tool.pad_mm = given("pad_mm", pad)?;
        }
        if let Some(radius) = self.tip_radius_mm {
            tool.tip_radius_mm = given("tip_radius_mm", radius)?;
        }
        Ok(tool)
    }

    /// How film, lips and flats are; `name` is what the class was asked for by.
    ///
    /// # Errors
    /// A number is out of range, or the class's stiffness is not known where it matters.
    pub fn handling(
        &self,
        film: &FilmClass,
        name: Option<&str>,
        names: &dyn Names,
    ) -> Result<Handling, QuestionError> {
        let mut bay = self.bay.clone().unwrap_or_default();
        inspect(&bay)?;
        bay.curve = names.curve(film, name)?;
        bay.ends = self.closed_ends()?.map(|ends| ends.open).or(bay.ends);
        Ok(Handling::new(film, &bay)?)
    }

    /// What was assumed because it was not said.
    pub fn assumptions(&self) -> Vec<Notice> {
        let usual = Survey::default();
        let clear = |side, mm| vec![Notice::ClearPanel { side, mm }];
        match (self.clear_left_mm, self.clear_right_mm) {
            (None, None) => clear(None, usual.clear_left),
            (None, _) => clear(Some(Side::Left), usual.clear_left),
            (_, None) => clear(Some(Side::Right), usual.clear_right),
            _ => Vec::new(),
        }
    }
}

/// A recess, unless it lies between its readings.
fn dense_enough(recess: Recess) -> Result<Recess, RecessError> {
    let (panel, lips) = (recess.panel(), recess.outer());
    let within = (panel.at(lips.0).x, panel.at(lips.1).x);
    let gap = || recess.section().widest_gap(within.0, within.1);
    let (step, few, gap) = match (recess.section().even_step(), gap()) {
        (Some((step, found)), _) => (step, when(found, FEWEST.0, FEWEST.1), None),
        (None, Some(gap)) => (gap.1 - gap.0, FEWEST.0, Some(gap)),
        (None, None) => return Ok(recess),
    };
    let few = when(recess.kind() == Kind::Step, 0.5 * few, few);
    let (mouth, most) = (recess.mouth(), recess.mouth() / few);
    let sparse = RecessError::Sparse {
        mouth,
        step,
        most,
        gap,
    };
    when(step > most, Err(sparse), Ok(recess))
}

/// Numbers said in the bay.
fn inspect(bay: &Bay) -> Result<(), QuestionError> {
    for (key, value, open, most) in [
        ("lip_friction", bay.lip_friction, false, MOST_FRICTION),
        ("drag_kpa", bay.drag_kpa, false, MOST_DRAG),
        ("hand_force_n", bay.hand_force, true, MOST_FORCE),
    ] {
        value
            .map(|value| within(key, value, (0.0, open), most))
            .transpose()?;
    }
    Ok(())
}

/// A number, unless it is out of range; `above`: the least, and whether it is so itself.
pub(super) fn within(
    key: &'static str,
    value: f64,
    above: (f64, bool),
    most: f64,
) -> Result<f64, QuestionError> {
    if (above.0..=most).contains(&value) && !(above.1 && value <= above.0) {
        return Ok(value);
    }
    Err(QuestionError::OutOfRange {
        key,
        value,
        above,
        most,
    })
}
