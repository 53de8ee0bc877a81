//! Numbers of one's own, a question each: by option, at the terminal, or from a pipe.
//!
//! A [`Question`] is an option, its help, and what is asked where no option was given. An answer
//! is taken if the profile reads with it in its place, so ranges are those of the profile. What
//! nobody answered is lent by a profile of the catalogue, or not said.

use super::files::{Draft, unless_there, write_noted};
use super::{note, own};
use anyhow::{Context, Result, bail};
use clap::{Arg, ArgAction, ArgMatches, Command};
use std::io::{BufRead, IsTerminal, Write};
use std::marker::PhantomData;
use std::path::PathBuf;
use tautspan::Units;
use tautspan::fault::{At, Fault, Hint, Part, Refused, Slip};
use tautspan::film::Number;
use tautspan::say::{Voice, sentence};
use tautspan::section::{read_length, read_number};
use toml_edit::{DocumentMut, Item, value};

/// One thing that is asked.
#[derive(Debug)]
pub(crate) struct Question {
    /// Its option.
    pub(crate) option: &'static str,
    /// Its key in the profile, as `peel.width_mm` or `layers[1].limit_pct`.
    pub(crate) key: &'static str,
    pub(crate) kind: Kind,
    /// The option without which it is not asked.
    pub(crate) after: Option<&'static str>,
    /// What it is, and where it stands or how it is measured.
    pub(crate) what: &'static str,
}

/// What an answer is.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Kind {
    /// Where numbers are from that do not say it themselves.
    Source,
    /// A number in this unit, `: SOURCE` behind it where it has its own.
    Number(&'static str),
    /// A length, alike.
    Length,
    YesNo,
    /// Words that go behind the source of the number of the key.
    Test,
}

/// Other spellings of units.
const SPELLINGS: [(&str, &str); 5] = [
    ("um", "\u{b5}m"),
    ("um", "\u{3bc}m"),
    ("degC", "\u{b0}C"),
    ("degC", "C"),
    ("deg", "\u{b0}"),
];
/// Most characters of an answer that a message repeats.
const MOST_REPEATED: usize = 40;

impl Kind {
    fn value_name(self) -> &'static str {
        match self {
            Self::Source | Self::Test => "TEXT",
            Self::Number("%") => "PERCENT",
            Self::Number("um") => "UM",
            Self::Number("N") => "N",
            Self::Number("deg") => "DEG",
            Self::Number("degC") => "CELSIUS",
            Self::Number(_) => "NUMBER",
            Self::Length => "MM",
            Self::YesNo => "YES|NO",
        }
    }

    /// Reads the number of an answer.
    fn number(self, text: &str) -> Result<f64, Fault> {
        let Self::Number(unit) = self else {
            return read_length(text, Units::Mm);
        };
        let own = SPELLINGS.iter().filter(|s| s.0 == unit).map(|s| s.1);
        let mut ends = own.chain([unit]).filter_map(|end| text.strip_suffix(end));
        read_number(ends.next().unwrap_or(text)).map_err(|slip| match slip.hint {
            Some(Hint::Slip(Slip::Unit)) => fault(text, format!("a number in {unit}")),
            _ => slip,
        })
    }
}

/// The fault of an answer.
fn fault(found: &str, expected: impl Into<String>) -> Fault {
    let shown = found.chars().take(MOST_REPEATED);
    let shown: String = shown.flat_map(char::escape_debug).collect();
    Fault {
        at: At::default(),
        found: format!("`{shown}`").into(),
        expected: expected.into().into(),
        hint: None,
    }
}

/// What a person can have numbers of.
pub(crate) trait Profile: serde::Serialize + Sized {
    /// The command.
    const COMMAND: &'static str;
    const QUESTIONS: &'static [Question];
    /// The option without which there is none; else any number will do.
    const NEEDED: Option<&'static str>;
    /// What is said where that is missing.
    const MISSING: &'static str;
    /// The names of the catalogue.
    fn names() -> Vec<&'static str>;
    /// Reads one.
    fn read(file: &str, text: &str) -> Result<Self, Refused>;
    /// The profile of the catalogue that lends what was not answered, and what it lends.
    fn lent(answers: &Answers) -> (&'static str, DocumentMut);
}

/// What was answered.
#[derive(Debug, Default)]
pub(crate) struct Answers {
    source: Option<String>,
    all: Vec<(&'static Question, Item)>,
}

impl Answers {
    /// Was this asked for and answered?
    pub(crate) fn has(&self, option: &str) -> bool {
        self.all.iter().any(|(q, _)| q.option == option)
    }

    /// Was anything answered that stands below a key?
    pub(crate) fn below(&self, key: &str) -> bool {
        self.all.iter().any(|(q, _)| q.key.starts_with(key))
    }

    /// The number of an answer.
    pub(crate) fn number(&self, option: &str) -> Option<f64> {
        let (_, item) = self.all.iter().find(|(q, _)| q.option == option)?;
        item.get("value")?.as_float()
    }

    /// The profile with the answers in their places, and who lent the rest.
    fn document<P: Profile>(&self, name: &str) -> (&'static str, DocumentMut) {
        let (lender, mut document) = P::lent(self);
        document["name"] = value(name);
        for (question, item) in &self.all {
            let place = place(&mut document, question.key);
            match question.kind {
                Kind::Test => {
                    let source = place["source"].as_str().unwrap_or_default();
                    let test = item.as_str().unwrap_or_default();
                    place["source"] = value(format!("{source}, {test}"));
                }
                _ => *place = item.clone(),
            }
        }
        (lender, document)
    }

    /// Takes an answer, if the profile reads with it.
    fn take<P: Profile>(
        &mut self,
        name: &str,
        question: &'static Question,
        text: &str,
    ) -> Result<(), Fault> {
        let text = text.trim();
        let item = match question.kind {
            Kind::Source | Kind::Test if text.is_empty() => {
                return Err(fault(text, "a few words"));
            }
            Kind::Source => {
                self.source = Some(text.to_owned());
                return Ok(());
            }
            Kind::Test => value(text),
            Kind::YesNo => match text.to_lowercase().as_str() {
                "yes" | "y" => value(true),
                "no" | "n" => value(false),
                _ => return Err(fault(text, "yes or no")),
            },
            Kind::Number(_) | Kind::Length => {
                let (typed, own) = text.split_once(':').unwrap_or((text, ""));
                let number = question.kind.number(typed.trim())?;
                let source = Some(own.trim()).filter(|own| !own.is_empty());
                let source = source.or(self.source.as_deref()).ok_or_else(|| {
                    fault(text, format!("where it is from: `--source TEXT`, or behind a colon, `{typed}: own trial`"))
                })?;
                own::number(number, source)
            }
        };
        self.all.push((question, item));
        let (_, document) = self.document::<P>(name);
        let Err(refused) = P::read("", &document.to_string()) else {
            return Ok(());
        };
        self.all.pop();
        let own = |part: &Part| *part == Part::Key(question.key.to_owned());
        let mut faults = refused.faults;
        let at = faults.iter().position(|f| own(&f.at.part)).unwrap_or(0);
        let mut fault = faults.swap_remove(at);
        (fault.at.place, fault.hint) = (None, None);
        if own(&fault.at.part) {
            fault.at.part = Part::Whole;
        }
        Err(fault)
    }

    /// Asks one question after the other. A wrong answer is told a `person` and asked again; where
    /// there is none it is an error, for what follows belongs to other questions.
    fn ask<P: Profile>(
        &mut self,
        name: &str,
        input: &mut impl BufRead,
        mut person: Option<&mut dyn Write>,
    ) -> Result<()> {
        for question in P::QUESTIONS {
            if question.after.is_some_and(|option| !self.has(option)) {
                continue;
            }
            loop {
                if let Some(person) = &mut person {
                    write!(person, "\n{}\n> ", sentence(question.what))?;
                    person.flush()?;
                }
                let mut line = String::new();
                if input.read_line(&mut line).context("no answer")? == 0 {
                    return Ok(());
                }
                if line.trim().is_empty() {
                    if P::NEEDED == Some(question.option) {
                        return Ok(());
                    }
                    break;
                }
                match (self.take::<P>(name, question, &line), &mut person) {
                    (Ok(()), _) => break,
                    (Err(fault), Some(person)) => {
                        writeln!(person, "{}", fault.said(Voice::terminal(Units::Mm)))?;
                    }
                    (Err(fault), None) => return Err(of_option(question.option, fault).into()),
                }
            }
        }
        Ok(())
    }
}

/// A fault of what was given for an option.
fn of_option(option: &str, fault: Fault) -> Refused {
    Refused {
        name: format!("--{option}"),
        faults: vec![fault],
    }
}

/// What stands at a key.
fn place<'a>(document: &'a mut DocumentMut, key: &str) -> &'a mut Item {
    let parts = key.split(['.', '[', ']']).filter(|part| !part.is_empty());
    parts.fold(document.as_item_mut(), |item, part| {
        match part.parse::<usize>() {
            Ok(row) => &mut item[row - 1],
            Err(_) => &mut item[part],
        }
    })
}

/// The options of a profile of one's own.
#[derive(Debug)]
pub(crate) struct New<P> {
    name: Option<String>,
    out: PathBuf,
    force: bool,
    given: Vec<(&'static Question, String)>,
    profile: PhantomData<P>,
}

/// A profile that was written.
pub(crate) struct Written<P> {
    pub(crate) path: PathBuf,
    pub(crate) profile: P,
    /// What stands in the file.
    pub(crate) document: DocumentMut,
    /// The profile that lent what was not answered.
    pub(crate) lender: &'static str,
}

impl<P: Profile> New<P> {
    /// Writes a profile, if one was asked for.
    pub(crate) fn write(&self) -> Result<Option<Written<P>>> {
        let Some(name) = &self.name else {
            return Ok(None);
        };
        if P::names().contains(&name.as_str()) {
            bail!(
                "--new: found `{name}`, which the catalogue has, expected a name of your own\n\nhint: `my-{name}`"
            );
        }
        let (_, empty) = Answers::default().document::<P>(name);
        if let Err(refused) = P::read("", &empty.to_string()) {
            let mut faults = refused.faults;
            let mut fault = faults.swap_remove(0);
            (fault.at, fault.hint) = (At::default(), None);
            return Err(of_option("new", fault).into());
        }
        let path = self.out.join(format!("{name}.toml"));
        unless_there([path.as_path()], self.force)?;
        let answers = self.answers(name)?;
        let (lender, document) = answers.document::<P>(name);
        let text = format!(
            "# {name}, written by `tautspan {} --new`. Numbers whose source begins with `invented` were lent\n# by {lender} of the catalogue: put your own in their places, with their sources.\n{document}",
            P::COMMAND
        );
        let profile = P::read(&path.display().to_string(), &text)?;
        write_noted(&[Draft::new(path.clone(), text)], self.force)?;
        Ok(Some(Written {
            path,
            profile,
            document,
            lender,
        }))
    }

    /// The answers, by option, or asked for where there are none.
    fn answers(&self, name: &str) -> Result<Answers> {
        let mut answers = Answers::default();
        if self.given.is_empty() {
            let mut input = std::io::stdin().lock();
            let mut person = std::io::stderr();
            if std::io::stdin().is_terminal() {
                note(
                    "A question a number; empty if unknown. `22: own trial` for one from elsewhere. Ctrl-C stops, and writes nothing.",
                );
                answers.ask::<P>(name, &mut input, Some(&mut person))?;
            } else {
                answers.ask::<P>(name, &mut input, None)?;
            }
        }
        let has = |option: &str| {
            answers.has(option) || self.given.iter().any(|(q, _)| q.option == option)
        };
        let needed = |q: &&Question| match P::NEEDED {
            Some(option) => q.option == option,
            None => !matches!(q.kind, Kind::Source),
        };
        if !P::QUESTIONS.iter().filter(needed).any(|q| has(q.option)) {
            bail!("{}", P::MISSING);
        }
        for (question, text) in &self.given {
            (answers.take::<P>(name, question, text))
                .map_err(|fault| of_option(question.option, fault))?;
        }
        Ok(answers)
    }
}

impl<P: Profile> Written<P> {
    /// Keys of which a number is invented still.
    pub(crate) fn invented(&self) -> Result<Vec<String>> {
        let serde_json::Value::Object(keys) = serde_json::to_value(&self.profile)? else {
            return Ok(Vec::new());
        };
        let invented = keys.into_iter().filter(|(_, v)| has_invented(v));
        Ok(invented.map(|(key, _)| key).collect())
    }
}

fn has_invented(found: &serde_json::Value) -> bool {
    let number = serde_json::from_value::<Number>(found.clone());
    match found {
        _ if number.as_ref().is_ok_and(Number::is_invented) => true,
        serde_json::Value::Object(inner) => inner.values().any(has_invented),
        serde_json::Value::Array(rows) => rows.iter().any(has_invented),
        _ => false,
    }
}

impl<P: Profile> clap::Args for New<P> {
    fn augment_args(command: Command) -> Command {
        let option = |name: &'static str, value: &'static str, help: &'static str| {
            let arg = Arg::new(name).long(name).value_name(value).help(help);
            arg.help_heading("Of your own")
        };
        let new = option("new", "NAME", "Write NAME.toml with numbers of your own: those of the options below, else they are asked for")
            .conflicts_with_all(["name", "json"]);
        let out = option(
            "out",
            "DIR",
            "Folder to write to [default: the current one]",
        );
        let force = option("force", "", "Overwrite an existing file")
            .action(ArgAction::SetTrue)
            .requires("new");
        let command = command.arg(new).arg(out.requires("new")).arg(force);
        P::QUESTIONS.iter().fold(command, |command, q| {
            let arg = option(q.option, q.kind.value_name(), q.what);
            command.arg(
                arg.requires(q.after.unwrap_or("new"))
                    .allow_hyphen_values(true),
            )
        })
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl<P: Profile> clap::FromArgMatches for New<P> {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let text = |name: &str| matches.get_one::<String>(name).cloned();
        let given = P::QUESTIONS.iter();
        Ok(Self {
            name: text("new"),
            out: text("out").unwrap_or_default().into(),
            force: matches.get_flag("force"),
            given: given.filter_map(|q| Some((q, text(q.option)?))).collect(),
            profile: PhantomData,
        })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tautspan::FilmClass;

    /// Answers to the questions of a film class, asked by a person or piped.
    fn asked(typed: &str, person: Option<&mut dyn Write>) -> Result<Answers> {
        let mut answers = Answers::default();
        answers.ask::<FilmClass>("x", &mut typed.as_bytes(), person)?;
        Ok(answers)
    }

    #[test]
    fn a_wrong_answer_is_asked_again_where_somebody_sits() {
        let typed = "sheet\n-3\ntwenty\n22\n20\n180\n";
        let mut told = Vec::new();
        let answers = asked(typed, Some(&mut told)).unwrap();
        assert_eq!(answers.number("limit"), Some(22.0));
        // 20 is not above the limit, so it was asked again.
        assert_eq!(answers.number("break"), Some(180.0));
        let told = String::from_utf8(told).unwrap();
        assert_eq!(told.matches("found -3, expected").count(), 1, "{told}");
        assert_eq!(
            told.matches("\nMost stretch to work with").count(),
            3,
            "{told}"
        );
        assert!(asked(typed, None).is_err());
    }

    #[test]
    fn without_a_limit_nothing_more_is_asked() {
        let answers = asked("sheet\n\n180\n\n80\n", Some(&mut Vec::new())).unwrap();
        assert!(answers.all.is_empty());
    }

    #[test]
    fn units_are_taken_as_sheets_write_them() {
        for (text, value) in [
            ("80", 80.0),
            ("80um", 80.0),
            ("80 \u{b5}m", 80.0),
            ("0,5 um", 0.5),
        ] {
            assert_eq!(Kind::Number("um").number(text), Ok(value), "{text}");
        }
        assert_eq!(Kind::Number("degC").number("100 \u{b0}C"), Ok(100.0));
        assert!(Kind::Number("degC").number("100 \u{b0}F").is_err());
        assert_eq!(Kind::Length.number("1in"), Ok(25.4));
    }
}
