//! A custom order of pressing: a short list of presses and spreads.
//!
//! `press X`: the tool presses at x; all panel within its pad goes down at once.
//! `spread X`: the patch pressed last, or the one named by `from`, is worked on along the
//! panel as far as x; `spread left` and `spread right` go on to the next film that is down
//! on that side. `from left` and `from right` name the bonded flats.
//!
//! x is that of the section, mm, read on what the tool can press film on to. Where a wall
//! is vertical, x alone means its upper end, and `y` picks the place on it.
//!
//! Written inline `press 0, spread left, spread -40 from left`; as TOML see
//! [`read_steps_toml`](super::read_steps_toml).

use crate::fault::{Bit, Fault, Hint, Part, Phrase, Refused};
use crate::geometry::{Point, Polyline};
use crate::section::Side;
use std::fmt;
use std::iter::Peekable;

/// Abscissas this near to one another are one place's, mm: what is typed carries at most
/// two decimals.
const SAME_X: f64 = 0.005;
/// How far a typed y may lie off the panel before it is refused, mm.
const OFF_PANEL: f64 = 1.0;

/// A place as it is typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Abscissa of the section, mm.
    pub x: f64,
    /// Ordinate, mm; only needed on a vertical wall.
    pub y: Option<f64>,
}

/// How far a patch spreads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Goal {
    /// As far as a place.
    At(Spot),
    /// To the next film that is down on that side.
    Next(Side),
}

/// Which patch spreads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Patch {
    /// The one pressed last.
    Pressed,
    /// The one that has this place.
    At(Spot),
    /// A bonded flat.
    Flat(Side),
}

/// One step of a custom order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// The tool presses here.
    Press(Spot),
    /// A patch spreads along the panel.
    Spread {
        /// How far.
        to: Goal,
        /// Which patch.
        from: Patch,
    },
}

/// A custom order of pressing, one step at least.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    steps: Vec<Step>,
}

impl fmt::Display for Spot {
    /// As it is typed: `-40`, or `-40 y -12` on a vertical wall.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Nobody types three hundred digits.
        let number = |v: f64| {
            if v.abs() < 1e15 {
                v.to_string()
            } else {
                format!("{v:e}")
            }
        };
        f.write_str(&number(self.x))?;
        self.y.map_or(Ok(()), |y| write!(f, " y {}", number(y)))
    }
}

impl fmt::Display for Step {
    /// As it is typed: `press 0`, `spread -40 from left`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (to, from) = match self {
            Self::Press(spot) => return write!(f, "press {spot}"),
            Self::Spread { to, from } => (to, from),
        };
        match to {
            Goal::At(spot) => write!(f, "spread {spot}")?,
            Goal::Next(side) => write!(f, "spread {}", side_word(*side))?,
        }
        match from {
            Patch::Pressed => Ok(()),
            Patch::At(spot) => write!(f, " from {spot}"),
            Patch::Flat(side) => write!(f, " from {}", side_word(*side)),
        }
    }
}

impl fmt::Display for Steps {
    /// As they are typed inline.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let steps: Vec<String> = self.steps.iter().map(Step::to_string).collect();
        f.write_str(&steps.join(", "))
    }
}

/// `left` or `right`.
pub(crate) fn side_word(side: Side) -> &'static str {
    side.pick("left", "right")
}

impl Spot {
    /// The place on a line, arc length, mm; what is wrong with it otherwise.
    pub(super) fn place(self, line: &Polyline) -> Result<f64, Wrong> {
        let points = line.points();
        let (first, last) = (points[0].x, points[points.len() - 1].x);
        let out = || {
            let found: Phrase = ["x = ".into(), Bit::Length(self.x)].into();
            let on = "a place on the clear panel, from ".into();
            let ends = [on, Bit::Length(first), " to ".into(), Bit::Length(last)];
            (found, Phrase::from(ends))
        };
        let s = line.at_x(self.x).ok_or_else(out)?;
        let Some(y) = self.y else {
            return Ok(line.snap(s));
        };
        // All panel at this x, but for rounding of what was typed.
        let low = line.at_x((self.x - SAME_X).max(first)).ok_or_else(out)?;
        let high = line.at_x((self.x + SAME_X).min(last)).ok_or_else(out)?;
        let near = nearest(line, low, high, Point::new(self.x, y));
        let found = line.at(near).y;
        if (found - y).abs() > OFF_PANEL {
            let nearest = "a place of the panel, which is nearest at y = ".into();
            let given = [
                "y = ".into(),
                Bit::Length(y),
                " at x = ".into(),
                Bit::Length(self.x),
            ];
            return Err((given.into(), [nearest, Bit::Length(found)].into()));
        }
        Ok(line.snap(near))
    }

    /// How a place of a line is typed.
    pub(crate) fn of(line: &Polyline, s: f64) -> Self {
        let p = line.at(s);
        let tidy = |v: f64| (100.0 * v).round() / 100.0 + 0.0;
        let x = tidy(p.x);
        // x alone is enough unless a steep wall would lose the place.
        let back = Self { x, y: None }.place(line);
        let enough = back.is_ok_and(|back| (back - s).abs() <= 0.05);
        let y = (!enough).then(|| tidy(p.y));
        Self { x, y }
    }
}

/// The place between two arc lengths that is nearest to a point.
fn nearest(line: &Polyline, low: f64, high: f64, to: Point) -> f64 {
    let inside = line.lengths().iter().copied();
    let mut stops = vec![low];
    stops.extend(inside.filter(|&s| s > low && s < high));
    stops.push(high);
    let mut best = (f64::INFINITY, low);
    for w in stops.windows(2).filter(|w| w[1] > w[0]) {
        let (a, b) = (line.at(w[0]), line.at(w[1]));
        let t = ((to - a).dot(&(b - a)) / (b - a).norm_squared()).clamp(0.0, 1.0);
        let miss = (a + (b - a) * t - to).norm();
        if miss < best.0 {
            best = (miss, w[0] + t * (w[1] - w[0]));
        }
    }
    best.1
}

impl Steps {
    /// Takes a list of steps.
    ///
    /// # Errors
    /// [`Refused`] if it is empty or a number is not finite.
    pub fn new(steps: Vec<Step>) -> Result<Self, Refused> {
        let mut faults = Vec::new();
        for (i, step) in steps.iter().enumerate() {
            let spots = match *step {
                Step::Press(spot) => vec![spot],
                Step::Spread {
                    to: Goal::At(to),
                    from: Patch::At(from),
                } => vec![to, from],
                Step::Spread {
                    to: Goal::At(spot), ..
                } => vec![spot],
                Step::Spread {
                    from: Patch::At(spot),
                    ..
                } => vec![spot],
                Step::Spread { .. } => Vec::new(),
            };
            for spot in spots {
                if !(spot.x.is_finite() && spot.y.is_none_or(f64::is_finite)) {
                    faults.push(fault(i + 1, format!("`{spot}`"), "finite numbers"));
                }
            }
        }
        if steps.is_empty() {
            faults.push(no_steps());
        }
        Refused::unless("steps", faults, Self { steps })
    }

    /// The steps, first to last; never empty.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }
}

/// The fault of a list without steps.
pub(super) fn no_steps() -> Fault {
    let expected = "at least one `press` or `spread`";
    Fault::whole("no steps", expected).hint(Hint::StepsLookLike)
}

/// The fault of a step in its wording; of the list as a whole for 0.
pub(super) fn fault(step: usize, found: impl Into<Phrase>, expected: impl Into<Phrase>) -> Fault {
    let part = if step > 0 {
        Part::Step(step)
    } else {
        Part::Whole
    };
    let fault = Fault::whole(found, expected).of(part);
    fault.hint(Hint::StepsLookLike)
}

/// Reads steps typed inline: `press 0, spread left, spread -40 from left`.
///
/// Steps are parted by `,` or `;`. The words `at` and `to` and the unit `mm` may be there.
///
/// # Errors
/// [`Refused`]: all steps that cannot be read.
pub fn read_steps(name: &str, text: &str) -> Result<Steps, Refused> {
    let mut steps = Vec::new();
    let mut faults = Vec::new();
    let parts: Vec<&str> = text
        .split([',', ';', '\n'])
        .map(str::trim)
        .filter(|p| !p.is_empty())
        .collect();
    for (i, part) in parts.iter().enumerate() {
        match one(part) {
            Ok(step) => steps.push(step),
            Err((found, expected)) => faults.push(fault(i + 1, found, expected)),
        }
    }
    if parts.is_empty() {
        faults.push(no_steps());
    }
    Refused::unless(name, faults, Steps { steps })
}

/// What was found and what was expected.
pub(super) type Wrong = (Phrase, Phrase);

/// Reads one step.
fn one(text: &str) -> Result<Step, Wrong> {
    let lower = text.to_ascii_lowercase();
    let mut words = lower.split_whitespace().peekable();
    let step = match words.next() {
        Some("press") => {
            let place = "a place after `press`: x in mm, as in `press 12.5`";
            Step::Press(spot(text, &mut words, place)?)
        }
        Some("spread") => {
            let goal = "`left`, `right` or x in mm after `spread`, as in `spread -40`";
            let to = match side(&mut words) {
                Some(side) => Goal::Next(side),
                None => Goal::At(spot(text, &mut words, goal)?),
            };
            let patch = "`left`, `right` or x in mm after `from`, as in `from left`";
            let from = match words.next_if_eq(&"from").map(|_| side(&mut words)) {
                None => Patch::Pressed,
                Some(Some(side)) => Patch::Flat(side),
                Some(None) => Patch::At(spot(text, &mut words, patch)?),
            };
            Step::Spread { to, from }
        }
        _ => {
            let expected = "a step that begins with `press` or `spread`";
            return Err((format!("`{text}`").into(), expected.into()));
        }
    };
    let expected = "the end of the step, or `from` after a spread";
    match words.next() {
        None => Ok(step),
        Some(word) => Err((format!("`{word}` in `{text}`").into(), expected.into())),
    }
}

/// Reads a side, if one comes next.
fn side<'a>(words: &mut Peekable<impl Iterator<Item = &'a str>>) -> Option<Side> {
    let mut sides = [Side::Left, Side::Right].into_iter();
    sides.find(|&side| words.next_if_eq(&side_word(side)).is_some())
}

/// Reads a place: x, and y where a wall is vertical.
fn spot<'a>(
    text: &str,
    words: &mut Peekable<impl Iterator<Item = &'a str>>,
    expected: &'static str,
) -> Result<Spot, Wrong> {
    while words.next_if(|w| matches!(*w, "at" | "to" | "x")).is_some() {}
    let x = number(text, words.next(), expected)?;
    words.next_if_eq(&"mm");
    let behind = "y in mm after `y`, as in `press -40 y -12`";
    let y = words
        .next_if_eq(&"y")
        .map(|_| number(text, words.next(), behind));
    let y = y.transpose()?;
    words.next_if_eq(&"mm");
    Ok(Spot { x, y })
}

/// Reads a finite number, with or without its unit.
fn number(text: &str, word: Option<&str>, expected: &'static str) -> Result<f64, Wrong> {
    let Some(word) = word else {
        return Err((format!("`{text}`").into(), expected.into()));
    };
    let bare = word.strip_suffix("mm").unwrap_or(word);
    match bare.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err((format!("`{word}` in `{text}`").into(), expected.into())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_read_as_they_are_written() {
        let text = "press 0, spread left, spread -40 y -12.5 from left, spread right from 3.5";
        let steps = read_steps("order", text).unwrap();
        assert_eq!(steps.to_string(), text);
        assert_eq!(steps.steps().len(), 4);
        let loose = "Press at 0 mm; spread to -40mm from right";
        assert_eq!(
            read_steps("order", loose).unwrap().to_string(),
            "press 0, spread -40 from right"
        );
    }

    fn step_of(fault: &Fault) -> usize {
        match fault.at.part {
            Part::Step(step) => step,
            _ => 0,
        }
    }

    #[test]
    fn every_faulty_step_is_named() {
        let error =
            read_steps("order", "press, spread up, push 3, press 1 2, press 0,5").unwrap_err();
        let steps: Vec<usize> = error.faults.iter().map(step_of).collect();
        // `press 0,5` is `press 0` and a step `5`.
        assert_eq!(steps, [1, 2, 3, 4, 6]);
        let text = error.to_string();
        assert!(text.contains("order: step 2: found `up` in `spread up`, expected `left`"));
        assert!(text.contains("hint: "));
        assert!(read_steps("order", " , ").is_err());
        let (x, y) = (f64::NAN, None);
        let nan = Step::Press(Spot { x, y });
        assert!(Steps::new(vec![nan]).is_err());
        assert!(Steps::new(Vec::new()).is_err());
    }
}
