//! Why a question has no answer; the faults of a section as data for JSON.

use super::Said;
use super::hints::hint;
use super::named::short;
use crate::advice::{CompareError, QuestionError, SectionFault};
use crate::fault::{Fault, Part, Refused};
use crate::film::closest;
use crate::say::{Medium, Voice};
use std::fmt;

impl Refused {
    /// The faults as data.
    pub fn rows(&self, to: Voice) -> Vec<SectionFault> {
        let row = |fault: &Fault| SectionFault {
            line: fault.at.place,
            key: match &fault.at.part {
                Part::Key(key) => Some(key.clone()),
                Part::Whole | Part::Step(_) => None,
            },
            found: to.phrase(&fault.found),
            expected: to.phrase(&fault.expected),
            hint: fault.hint.as_ref().map(|h| hint(h, to)),
        };
        self.faults.iter().map(row).collect()
    }
}

impl QuestionError {
    /// In words.
    pub fn said(&self, to: Voice) -> Said {
        match self {
            Self::NoSection => no_section(to),
            Self::NoFilm => Said::new("no film class", to.called("film")).hint(
                to.choose(
                    "`tautspan films` lists them, as in `--film wrap-cast`",
                    "choose one of the catalogue",
                    "`wrap-cast` is one of the catalogue",
                )
                .to_owned(),
            ),
            Self::NoFiles(path) => Said::new(
                format!("the file `{path}`"),
                "its text: no files are read here",
            ),
            Self::Turned { turned, section } => {
                let (turned, section) = (to.called(turned), to.called(section));
                Said::new(
                    format!("{turned} beside {section}"),
                    "it beside readings with heights: a file, points or a comb",
                )
                .hint(format!(
                    "leave {turned} out, the depth of {section} is positive as it is"
                ))
            }
            Self::OutOfRange {
                key,
                value,
                above,
                most,
            } => out_of_range(key, *value, *above, *most, to),
            Self::Unknown { what, name, names } => {
                let near = closest(name, names.iter().map(String::as_str));
                let own = to.choose("a file of your own is given by its path", "", "");
                let hint = near.map_or_else(|| own.to_owned(), |n| format!("did you mean `{n}`?"));
                Said::new(
                    format!("the {what} `{name}`"),
                    format!("one of the catalogue: {}", names.join(", ")),
                )
                .hint((!hint.is_empty()).then_some(hint))
            }
            Self::OpenWidth => Said::new(
                format!(
                    "{} with ranges of film, which count from a bond line where the width is still open",
                    to.called("warm")
                ),
                "film that is warmed alike wherever the bond lines are",
            )
            .hint("warm `whole`, `mouth` or `flats`, or ask for a check at a width".to_owned()),
            Self::LoneBond => {
                let bridge = to.called("bridge_mm");
                let lines = [to.called("bond_left_x_mm"), to.called("bond_right_x_mm")];
                let found = "a bond line without its fellow, or beside a width";
                Said::new(found, format!("{bridge}, or both {}", lines.join(" and ")))
                    .hint("leave one out".to_owned())
            }
            Self::PushWithBridge => Said::new(
                "a middle push with a bridge",
                "a middle push alone: it is bonded at the lips and takes no bridge",
            )
            .hint(format!(
                "leave {} or the bond lines out, or choose the order `deepest-first`",
                to.called("bridge_mm")
            )),
            Self::EndsDisagree => {
                let keys = [to.called("end_left"), to.called("end_right")];
                let (keys, ends) = (keys.join(" and "), to.called("ends"));
                Said::new(
                    format!("{keys} that contradict {ends}"),
                    "the same of each end",
                )
                .hint(format!("leave {ends} out"))
            }
            Self::NoClosedEnd(key) => Said::new(
                format!("{} where no end is closed", to.called(key)),
                "it beside a closed end",
            )
            .hint(format!(
                "say how it ends, as in {} `rounded`",
                to.called("end_left")
            )),
            Self::NoBridge(order) => Said::new(
                format!("no bridge for the order `{}`", order.name()),
                "one: it needs a width",
            )
            .hint(
                to.choose(
                    "add `--bridge LENGTH`, or `--bond-left X --bond-right X`; `tautspan recommend` finds the width",
                    "move the slider of the bridge width",
                    "give `bridge_mm`; the question `recommend` finds the width",
                )
                .to_owned(),
            ),
            Self::NoOrder => Said::new(
                "no order by which film could be laid on this section at all",
                "a section on which one can",
            ),
            Self::Unread(words) => Said {
                message: words.clone(),
                hint: None,
            },
            Self::Refused(error) => error.said(to),
            Self::Recess { name, error } if to.medium != Medium::Page => {
                error.said(to).at(name)
            }
            Self::Recess { error, .. } => error.said(to),
            Self::Law(error) => error.said(to),
            Self::Lay(error) => error.said(to),
        }
    }
}

fn no_section(to: Voice) -> Said {
    let expected = to.choose(
        "a file, --points, --shape, --tape or --comb",
        "points, a shape, tape readings or a file",
        "`section`",
    );
    let hint = to.choose(
        "`tautspan demo` writes five recesses to try; then `tautspan recommend fernhill/deep-channel.csv --film wrap-cast`",
        "type or load one, or take one of the demo van",
        "give one, for example {\"shape\": \"channel:mouth=80,floor=40,depth=25\"}",
    );
    Said::new("no section", expected).hint(hint.to_owned())
}

/// A number out of its range, from 0 unless `above` says more; see [`QuestionError`].
fn out_of_range(key: &str, value: f64, above: (f64, bool), most: f64, to: Voice) -> Said {
    let unit = match key {
        "assure_pct" => " %",
        "hand_force_n" => " N",
        "drag_kpa" => " kPa",
        _ => "",
    };
    let number = |value: f64| {
        if key.ends_with("_mm") {
            to.measured(value)
        } else {
            format!("{}{unit}", short(value))
        }
    };
    let (least, most) = (number(above.0), number(most));
    let expected = if above.1 {
        format!("more than {least} and at most {most}")
    } else {
        format!("{least} to {most}")
    };
    let hint = match key {
        "assure_pct" => "95 is usual; 50 gives about the width for the section as read",
        "length_mm" => "measure the recess along the panel, from end to end",
        "hand_force_n" => "press on a kitchen scale: 10 N show as 1 kg",
        "lip_friction" => "friction of film on a lip is some 0.2 to 0.5",
        "drag_kpa" => "drag on a flat is some 0 to 20 kPa",
        _ => "for a fingertip some 10 mm of pad and 6 mm of tip radius are usual",
    };
    let found = format!("{} for {}", number(value), to.called(key));
    Said::new(found, expected).hint(hint.to_owned())
}

impl CompareError {
    /// In words.
    pub fn said(&self, to: Voice) -> Said {
        let said = match self {
            Self::NoFilm => Said::new("no film class to compare", "at least one"),
            Self::Twice(name) => Said::new(
                format!("film class `{name}` twice"),
                "each once: its rows could not be told apart",
            ),
            Self::Rate(rate) => Said::new(
                format!("a rate of {} an hour", short(*rate)),
                "a finite number, 0 or more",
            ),
        };
        let help = to.choose("`tautspan compare --help` shows how to call it", "", "");
        said.hint((!help.is_empty()).then(|| help.to_owned()))
    }
}

impl fmt::Display for QuestionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.said(Voice::PLAIN).fmt(f)
    }
}

impl fmt::Display for CompareError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.said(Voice::PLAIN).fmt(f)
    }
}

impl std::error::Error for QuestionError {}
impl std::error::Error for CompareError {}
