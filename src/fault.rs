//! What is wrong with something that was read: one shape for every reader.
//!
//! A fault says where, what was found, what was expected, and which [`Hint`] would help.
//! Phrases carry lengths as numbers in mm: they become words, in a person's own units, in
//! `say` alone, and so do hints, which there name what they are about by flag or control.

use std::borrow::Cow;

/// A piece of a phrase.
#[derive(Debug, Clone, PartialEq)]
pub enum Bit {
    /// A few words; a person's own text is in backticks.
    Words(Cow<'static, str>),
    /// A number without a unit.
    Number(f64),
    /// A length, mm.
    Length(f64),
    /// A length that must not be rounded up, mm.
    Most(f64),
    /// A length of which every digit may count, mm.
    Exact(f64),
}

impl From<&'static str> for Bit {
    fn from(words: &'static str) -> Self {
        Self::Words(Cow::Borrowed(words))
    }
}

impl From<String> for Bit {
    fn from(words: String) -> Self {
        Self::Words(Cow::Owned(words))
    }
}

/// What was found or expected.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Phrase(pub Vec<Bit>);

impl From<&'static str> for Phrase {
    fn from(words: &'static str) -> Self {
        Self(vec![words.into()])
    }
}

impl From<Bit> for Phrase {
    fn from(bit: Bit) -> Self {
        Self(vec![bit])
    }
}

impl From<String> for Phrase {
    fn from(words: String) -> Self {
        Self(vec![words.into()])
    }
}

impl<const N: usize> From<[Bit; N]> for Phrase {
    fn from(bits: [Bit; N]) -> Self {
        Self(bits.into())
    }
}

/// Which part of a text a fault is about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Part {
    /// All of the line, or of the text.
    #[default]
    Whole,
    /// A key, such as `modulus[2].temperature_c` (rows count from 1).
    Key(String),
    /// A step of an order, from 1.
    Step(usize),
}

/// Where a fault is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct At {
    /// Line of the file, or number of the point; `None` for the text as a whole.
    pub place: Option<usize>,
    /// Part of the line or the text.
    pub part: Part,
}

/// One fault: where, what was found, what was expected, what would help.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Where.
    pub at: At,
    /// What was found, with its number and unit.
    pub found: Phrase,
    /// What was expected instead.
    pub expected: Phrase,
    /// One thing to try.
    pub hint: Option<Hint>,
}

impl Fault {
    /// The fault of a line, or of a point by its number.
    pub(crate) fn at(place: usize, found: impl Into<Phrase>, expected: impl Into<Phrase>) -> Self {
        Self::whole(found, expected).placed(place)
    }

    /// The same at a line or number.
    pub(crate) fn placed(mut self, place: impl Into<Option<usize>>) -> Self {
        self.at.place = place.into();
        self
    }

    /// The fault of a text as a whole.
    pub(crate) fn whole(found: impl Into<Phrase>, expected: impl Into<Phrase>) -> Self {
        Self {
            at: At::default(),
            found: found.into(),
            expected: expected.into(),
            hint: None,
        }
    }

    /// The fault of what stands for a key.
    pub(crate) fn of_key(key: &str, found: impl Into<Phrase>, expected: impl Into<Phrase>) -> Self {
        Self::whole(found, expected).of(Part::Key(key.to_owned()))
    }

    /// The same of one part.
    pub(crate) fn of(mut self, part: Part) -> Self {
        self.at.part = part;
        self
    }

    /// The same with one thing to try.
    pub(crate) fn hint(mut self, hint: impl Into<Option<Hint>>) -> Self {
        self.hint = hint.into();
        self
    }
}

/// Every fault of a text that was refused.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    /// File, or what messages call the text.
    pub name: String,
    /// The faults, in the order of their places; never empty.
    pub faults: Vec<Fault>,
}

impl Refused {
    pub(crate) fn new(name: &str, faults: Vec<Fault>) -> Self {
        Self {
            name: name.to_owned(),
            faults,
        }
    }

    /// What was read, unless there are faults.
    pub(crate) fn unless<T>(name: &str, faults: Vec<Fault>, read: T) -> Result<T, Self> {
        if faults.is_empty() {
            Ok(read)
        } else {
            Err(Self::new(name, faults))
        }
    }
}

/// The slip that would explain what is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slip {
    /// There is no text at all.
    Nothing,
    /// The letter O in place of a zero.
    LetterO,
    /// A letter in place of a one.
    LetterOne,
    /// Two signs.
    Signs,
    /// A dash in place of a minus sign.
    Dash,
    /// A semicolon in place of a comma.
    Semicolon,
    /// No decimal mark behind a leading zero.
    MarkLeftOut,
    /// Two numbers, or a space between thousands.
    Apart,
    /// A unit that is not known here.
    Unit,
    /// Several marks.
    Marks,
}

/// What would help with a fault.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Hint {
    /// A slip in a number.
    Slip(Slip),
    /// Say the units of a file that does not.
    SayUnits,
    /// Check that the units are mm.
    CheckUnits,
    /// Survey fewer points.
    ThinOut,
    /// Turn the order of the readings round.
    TurnRound,
    /// Square an undercut wall off as vertical.
    SquareOff,
    /// Save the file in UTF-8.
    SaveAsUtf8,
    /// Leave the separator at the end of a line out.
    TrailingComma,
    /// Columns parted by another character (a comma, semicolon or blank) than the header's.
    Separator(char),
    /// Decimal commas where commas part columns.
    DecimalColumns,
    /// Decimal commas where commas part a list, or pairs.
    DecimalList,
    /// Decimal commas where a comma parts x and y.
    DecimalPoints,
    /// More faults than anybody has: another file was meant.
    RightFile,
    /// A walled shape without a floor is a groove.
    TakeGroove,
    /// A bowl deeper than half its mouth is a channel with round feet.
    TakeChannel,
    /// Less floor, or a steeper wall.
    SmallerFloor,
    /// One dimension too many.
    LeaveOneOut,
    /// A tape that was not pressed in.
    PressTapeIn,
    /// A tape that was not marked at the lips.
    MarkAtLips,
    /// Measure the tape and these again.
    MeasureAgain(Vec<&'static str>),
    /// Measure mouth, depth and tape again.
    MeasureAll,
    /// Clean panel and gauge.
    CleanAndRepeat,
    /// Measure more slowly, or less.
    Smoother,
    /// Copy a class that is valid.
    CopyFilm,
    /// Copy a tool that is valid.
    CopyTool,
    /// Copy a job file that is valid.
    CopyJob,
    /// The name that was meant.
    Meant(String),
    /// A number of a profile carries its source.
    BringSource,
    /// Numbers of TOML have a point.
    WritePoint,
    /// The first line names the two columns of a tensile curve.
    NameColumns,
    /// What stands in a row of a tensile curve.
    CurveRow,
    /// Cut a tensile curve where it falls.
    CutCurve,
    /// Read a tensile test more often.
    ReadOften,
    /// How steps are written.
    StepsLookLike,
    /// A step too many.
    LeaveStepOut,
    /// Press where film is free.
    PressElsewhere,
    /// Say how far to spread.
    SayHowFar,
    /// Spread another patch.
    OtherPatch,
    /// Spread to the next film that is down on the side of this name.
    SpreadOn(&'static str),
    /// Places of steps are x of the section.
    SectionX,
    /// Move a bond line, or the step.
    MoveBondOrStep,
    /// The bonded flats can spread.
    FromFlat,
    /// Press before spreading.
    PressFirst,
    /// Columns of temperatures say their unit.
    SayDegrees,
    /// How a time with its distance from UTC is written.
    ZonedTime,
    /// Start a new record, which has every column.
    StartRecord,
    /// Correct the reading of this number instead.
    CorrectThat(u64),
}
