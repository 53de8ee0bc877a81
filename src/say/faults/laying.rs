//! What keeps film from being laid: the recess, the stretch law, bond lines, the march.

use super::Said;
use super::named::short;
use crate::film::LawError;
use crate::laydown::{BondError, LayError, Spot};
use crate::say::{Voice, when};
use crate::section::{LONGEST, RecessError};
use std::fmt;

impl RecessError {
    /// In words.
    pub fn said(&self, to: Voice) -> Said {
        let length = |mm: f64| to.measured(mm);
        match *self {
            Self::NoRecess { deepest, tolerance } => {
                let found = format!("{} below a taut film at most", length(deepest));
                let least = length(tolerance);
                let expected = format!("a recess deeper than the gauge tolerance of {least}");
                let key = to.called("gauge_tolerance_mm");
                Said::new(found, expected).hint(format!(
                    "check that y points out of the panel, so that recesses are negative, or lower {key}"
                ))
            }
            Self::Coarse { depth, tolerance } => {
                let (deep, off) = (length(depth), length(tolerance));
                let key = to.called("gauge_tolerance_mm");
                Said::new(
                    format!("a recess {deep} deep with a gauge tolerance of {off}"),
                    "a tolerance of at most a third of the depth: what is read more coarsely tells no width",
                )
                .hint(format!("read it more closely, and lower {key}"))
            }
            Self::Sparse {
                mouth,
                step,
                most,
                gap,
            } => {
                let (mouth, most) = (length(mouth), length(most));
                let found = match gap {
                    Some((from, to)) => format!(
                        "no reading between x = {} and x = {}, in a recess {mouth} wide",
                        length(from),
                        length(to)
                    ),
                    None => format!("readings {} apart in a recess {mouth} wide", length(step)),
                };
                Said::new(found, format!("readings at most {most} apart")).hint(
                    "read lips, feet and every bend between them, wherever they lie".to_owned(),
                )
            }
            Self::Hill { height } => {
                let tick = "then tick “Heights typed as depths” under the text";
                let depths = to.choose("then say `--depths`", tick, "then say so");
                let by = length(height);
                Said::new(
                    format!("a section that rises by {by} and falls again, like a hill"),
                    "a recess: heights count out of the panel, so that recesses are negative",
                )
                .hint(format!(
                    "were depths typed as positive numbers? {depths}; for a step beside a ridge, survey that side alone"
                ))
            }
            Self::NoSuchValley { asked, found } => {
                let list = to.choose("; `tautspan section` lists them", "", "");
                Said::new(
                    format!("recess number {asked} asked for"),
                    format!("a number up to {found}, the recesses of this section"),
                )
                .hint(format!("they are counted from the left, from 1{list}"))
            }
            Self::PressOutside { offset } => Said::new(
                format!("a press moved by {}, outside the lips", length(offset)),
                "a press between them",
            )
            .hint(format!("lower {}", to.called("press_offset_mm"))),
            Self::BadSetting { key, value, least } => {
                let from = format!(" from 0 to {}", length(LONGEST));
                let expected = format!("a finite length{}", when(least < 0.0, "", from.as_str()));
                let found = format!("{} for {}", length(value), to.called(key));
                Said::new(found, expected).hint("leave it out for the usual one".to_owned())
            }
        }
    }
}

impl LawError {
    /// In words.
    pub fn said(&self, to: Voice) -> Said {
        match self {
            Self::NoTable { film, asked } => Said::new(
                format!("film {film} without a `[[modulus]]` table"),
                format!("one for film at {} degC", short(*asked)),
            )
            .hint(format!(
                "add rows of `temperature_c` and `modulus_mpa` to its TOML; without them leave out {}",
                to.either("warm", "drag_kpa")
            )),
            Self::OutsideTable {
                film,
                asked,
                from,
                to,
            } => Said::new(
                format!("{} degC asked for", short(*asked)),
                format!("{from} to {to} degC, where the modulus of film {film} is known"),
            )
            .hint("stay within the table, or add a row to the film's TOML".to_owned()),
        }
    }
}

impl BondError {
    /// In words.
    pub fn said(&self, to: Voice) -> Said {
        let length = |mm: f64| to.measured(mm);
        let clear = || to.either("clear_left_mm", "clear_right_mm");
        match *self {
            Self::NotFinite(value) => {
                let found = format!("a bond line at {}", short(value));
                Said::new(found, "a finite position").hint("give it as x of the section".to_owned())
            }
            Self::OutsidePanel { side, x, from, to } => {
                let side = side.word();
                let (x, from, to, clear) = (length(x), length(from), length(to), clear());
                Said::new(
                    format!("the {side} bond line at x = {x}"),
                    format!("one on the clear panel, from {from} to {to}"),
                )
                .hint(format!(
                    "move it in, or raise {clear} if the panel really goes on"
                ))
            }
            Self::PressOutside { left, right, press } => Said::new(
                format!("bond lines at x = {} and {}", length(left), length(right)),
                format!("the press at x = {} between them", length(press)),
            )
            .hint("one bond line belongs on each side of the recess, left before right".to_owned()),
            Self::OnFloor { left, right } => {
                let (left, right) = (length(left), length(right));
                Said::new(
                    format!("both bond lines (x = {left} and {right}) on the floor of the recess"),
                    "at least one on a wall or a flat",
                )
                .hint("film bonded on the floor at both ends bridges nothing".to_owned())
            }
            Self::NoSteps => {
                let example = ", as in `--order \"press 0, spread left, spread right\"`";
                let example = to.choose(example, "", "");
                Said::new("the order `custom` without steps", "a list of steps")
                    .hint(format!("lay it by its steps{example}"))
            }
            Self::TooNarrow { asked, least } => Said::new(
                format!("a bridge of {}", length(asked)),
                format!("one that spans the mouth of {}", length(least)),
            )
            .hint({
                let plain = "the order `middle-push`";
                let push = to.choose("`--order middle-push`", "the middle push", plain);
                format!("give at least that width, or {push} for film bonded at the lips")
            }),
            Self::TooWide { asked, most } => {
                let (asked, most, clear) = (length(asked), to.at_most(most), clear());
                Said::new(
                    format!("a bridge of {asked}"),
                    format!(
                        "at most {most}, the widest here: mouth and the clear panel on both sides"
                    ),
                )
                .hint(format!(
                    "narrow it, or raise {clear} if the panel really is clear"
                ))
            }
        }
    }
}

impl LayError {
    /// In words.
    pub fn said(&self, to: Voice) -> Said {
        let less = format!(
            "less extreme {}, {} or stiffness",
            to.called("lip_friction"),
            to.called("drag_kpa")
        );
        match self {
            Self::Bonds(error) => error.said(to),
            Self::Condition { key, found } => Said::new(
                format!("{} for {}", short(*found), to.called(key)),
                "a finite number, 0 or more",
            ),
            Self::Ranges { from, to: end } => {
                let (from, end) = (to.measured(*from), to.measured(*end));
                let found = format!("a film range from {from} to {end}");
                Said::new(found, "ranges that run left to right without overlap")
            }
            Self::Step(fault) => fault.said(to),
            Self::StillFree { free, next } => Said::new(
                format!("film still free {} after the last step", spans(free)),
                "all of it down",
            )
            .hint(format!("add `{next}`")),
            Self::Ridge => Said::new(
                "film over a ridge between two fronts with friction, where it may slide either way",
                "an order in which it slides one way",
            )
            .hint(format!(
                "leave friction and drag out for this order, or choose {}",
                to.choose(
                    "`--order deepest-first`",
                    "deepest point first",
                    "the order `deepest-first`"
                )
            )),
            Self::LosesTension { percent } => Said::new(
                format!("film that rests and loses up to {percent:.0} % of its tension on the way"),
                "film that loses little, for which alone the model holds",
            )
            .hint(format!(
                "lift the film off the flats{}, or less friction and drag",
                to.choose(" (`--flats lifted`)", "", "")
            )),
            Self::NotConverged { at } => Said::new(
                format!("no tension of the free film at s = {}", to.measured(*at)),
                "one that its solver settles on",
            )
            .hint(format!("{less}; otherwise please report the section")),
            Self::Stalled { at, steps } => {
                let at = to.measured(*at);
                let found = format!("a march stalled at s = {at} after {steps} steps");
                Said::new(found, "one that reaches the bond lines")
                    .hint(format!("thin the survey out, or {less}"))
            }
        }
    }
}

/// Where film is free.
fn spans(free: &[(Spot, Spot)]) -> String {
    let span = |(from, to): &(Spot, Spot)| format!("from x = {from} to {to} mm");
    free.iter().map(span).collect::<Vec<_>>().join(", ")
}

impl LawError {
    /// What is wrong, in plain words and without a hint.
    pub(crate) fn message(&self) -> String {
        self.said(Voice::PLAIN).message
    }
}

impl LayError {
    /// What is wrong, in plain words and without a hint.
    pub(crate) fn message(&self) -> String {
        self.said(Voice::PLAIN).message
    }
}

impl fmt::Display for RecessError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.said(Voice::PLAIN).fmt(f)
    }
}

impl fmt::Display for LawError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.said(Voice::PLAIN).fmt(f)
    }
}

impl fmt::Display for BondError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.said(Voice::PLAIN).fmt(f)
    }
}

impl fmt::Display for LayError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.said(Voice::PLAIN).fmt(f)
    }
}

impl std::error::Error for RecessError {}
impl std::error::Error for LawError {}
impl std::error::Error for BondError {}
impl std::error::Error for LayError {}
