//! The record of post-heating in words: its verdict, each place's, its gaps, what was seen.

use super::section::count;
use super::{Say, Voice, sentence};
use crate::evidence::heat::{
    GapKind, HeatGap, HeatLine, HeatNotice, HeatPlace, HeatReport, HeatVerdict,
};
use crate::film::Number;

/// Most line numbers that are written out.
const MOST_SHOWN: usize = 6;

/// Before and after the work that a record is of.
pub const HEAT_CAUTIONS: [&str; 4] = [
    "The film maker's instructions come before this: how hot, how long, in which order.",
    "Heat guns burn skin, crack cold glass and overheat paint; hot film sticks to skin. Gloves on.",
    "Ventilate: hot film and adhesive give off fumes. No open flame near solvents.",
    "A reading says how hot the surface was there and then, not how long or how deep. Hold the instrument so that its spot lies inside the floor, gun away.",
];

/// Line numbers: the first of them, and how many more.
fn listed<T: ToString>(what: &str, all: &[T]) -> String {
    let shown: Vec<String> = all.iter().take(MOST_SHOWN).map(T::to_string).collect();
    let more = all.len().saturating_sub(MOST_SHOWN);
    let more = super::when(more > 0, format!(" and {more} more"), String::new());
    let s = super::when(all.len() == 1, "", "s");
    format!("{what}{s} {}{more}", shown.join(", "))
}

impl HeatVerdict {
    /// In a word or two.
    pub fn word(self) -> &'static str {
        match self {
            Self::Reached => "reached",
            Self::WithinError => "not sure",
            Self::TooCold => "too cold",
            Self::TooHot => "too hot",
            Self::NotJudged => "not judged",
        }
    }
}

impl Voice {
    /// A temperature with its tenths, as an instrument shows it; more decimals where fewer would
    /// hide on which side of a bound it lies.
    pub fn kelvins(self, value: f64, bounds: &[f64]) -> String {
        let hides = |digits: usize| {
            let shown = format!("{value:.digits$}").parse::<f64>().unwrap_or(value);
            let crosses = |b: &f64| (value < *b) != (shown < *b) || (value > *b) != (shown > *b);
            bounds.iter().any(crosses)
        };
        let digits = (1..=3).find(|&digits| !hides(digits)).unwrap_or(3);
        self.steady(value, digits)
    }

    /// What a place's temperatures are held against.
    pub fn heat_bounds(self, report: &HeatReport) -> Vec<f64> {
        let bounds = [&report.post_heat_min_c, &report.post_heat_max_c];
        bounds.into_iter().flatten().map(|n| n.value).collect()
    }

    /// Was the recess post-heated, in one sentence without its full stop.
    pub fn heat_verdict(self, report: &HeatReport) -> String {
        let all = report.places().count();
        let places = |n: usize| count(n, "place", "places");
        let Some(least) = report.post_heat_min_c.as_ref().filter(|_| report.judged()) else {
            return format!("not judged: {} read", places(all));
        };
        let least = self.celsius(least.value);
        if report.passes {
            return match all {
                1 => format!("post-heated: the one place read reached {least}"),
                _ => format!("post-heated: all {all} places reached {least}"),
            };
        }
        let n = |verdict| report.count(verdict);
        let [cold, unsure, hot] = [
            HeatVerdict::TooCold,
            HeatVerdict::WithinError,
            HeatVerdict::TooHot,
        ]
        .map(n);
        let gaps = report.gaps();
        let unsure_words = |n: usize| {
            let is = super::when(n == 1, "is", "are");
            format!(
                "{} {is} over {least} by less than the instrument's error",
                places(n)
            )
        };
        let said = [
            (cold, format!("{} of {all} below {least}", places(cold))),
            (unsure, unsure_words(unsure)),
            (hot, format!("{} too hot", places(hot))),
            (
                gaps,
                format!("{} without a reading", count(gaps, "stretch", "stretches")),
            ),
        ];
        let said = said
            .into_iter()
            .filter(|(n, _)| *n > 0)
            .map(|(_, words)| words);
        format!("not yet: {}", said.collect::<Vec<_>>().join(", "))
    }

    /// The line of a record as a heading.
    pub fn heat_line(self, line: &HeatLine) -> String {
        match line.line.as_str() {
            "" => "Readings".to_owned(),
            named => sentence(&named.replace('-', " ")),
        }
    }

    /// A stretch without a reading.
    pub fn heat_gap(self, gap: &HeatGap, spacing: f64) -> String {
        let (from, to) = (self.length(gap.from_mm), self.length(gap.to_mm));
        let half = self.length(0.5 * spacing);
        match gap.at {
            GapKind::Between => format!(
                "no reading from {from} to {to}, more than {} apart",
                self.length(spacing)
            ),
            GapKind::LeftEnd => {
                format!("no reading within {half} of the left end: the first is at {to}")
            }
            GapKind::RightEnd => {
                format!("no reading within {half} of the right end: the last is at {from}")
            }
            GapKind::Whole => format!("no reading at all, from {from} to {to}"),
        }
    }

    /// The film's temperature at a place, and the least it can have been.
    pub fn heat_cells(self, place: &HeatPlace, bounds: &[f64]) -> [String; 3] {
        let shown = |t: Option<f64>| t.map_or_else(|| "-".to_owned(), |t| self.kelvins(t, bounds));
        [
            self.steady(place.reading_c, 1),
            shown(place.corrected_c),
            shown(place.least_c),
        ]
    }

    /// A bound with its source.
    fn sourced(self, number: &Number) -> String {
        format!("{} ({})", self.celsius(number.value), number.source)
    }

    /// What was held against what: label and words.
    pub fn heat_rows(self, report: &HeatReport) -> Vec<(&'static str, String)> {
        let unsaid = || "not said".to_owned();
        let bound = |n: &Option<Number>| n.as_ref().map_or_else(unsaid, |n| self.sourced(n));
        let emissivity = report.emissivity.map_or_else(unsaid, |e| {
            let source = report.emissivity_source.as_deref().unwrap_or("as said");
            format!("{} ({source})", self.number(e, 3))
        });
        let error = self.celsius(report.instrument_error_c);
        let instrument = report.instrument.as_deref().unwrap_or("not said");
        let along = report.length_mm.map_or_else(unsaid, |mm| self.length(mm));
        vec![
            ("Film class", report.film.clone()),
            ("Film at least", bound(&report.post_heat_min_c)),
            ("Film at most", bound(&report.post_heat_max_c)),
            ("Emissivity of the film", emissivity),
            (
                "Instrument",
                format!("{instrument}, {}", self.give_or_take(&error)),
            ),
            ("Lot of film", report.lot.clone().unwrap_or_else(unsaid)),
            ("Read by", report.by.clone().unwrap_or_else(unsaid)),
            ("First reading", report.first.to_string()),
            ("Last reading", report.last.to_string()),
            ("Length of the recess", along),
            ("Readings at most apart", self.length(report.spacing_mm)),
        ]
    }
}

impl Say for HeatNotice {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::CutOff { line } => format!(
                "line {line} was cut off while it was written and is set aside; read that place again"
            ),
            Self::Unclosed { line } => format!(
                "line {line}, the last, has no line end: it counts as it stands; if it was cut off, its end is missing"
            ),
            Self::Alike { lines } => {
                let pairs: Vec<String> =
                    lines.iter().map(|(a, b)| format!("{a} and {b}")).collect();
                format!(
                    "{} say the same place, reading and time; each place counts once",
                    listed("line", &pairs)
                )
            }
            Self::OutOfOrder { lines } => format!(
                "{}: earlier than the reading above; they stand as they are",
                listed("line", lines)
            ),
            Self::Unused { columns } => {
                format!("nothing is read from {}", listed("column", columns))
            }
            Self::Replaced { numbers } => {
                let pair = |(old, new): &(u64, u64)| format!("{old} by {new}");
                let pairs: Vec<String> = numbers.iter().map(pair).collect();
                format!(
                    "{} replaced and not counted: {}",
                    count(numbers.len(), "reading is", "readings are"),
                    pairs.join(", ")
                )
            }
            Self::NoMinimum { film } => format!(
                "film class {film} has no least temperature of post-heating, so nothing passes{}",
                voice.at_keyboard(
                    ": put `post_heat_min_c` with its source into a class of your own"
                )
            ),
            Self::NoEmissivity { film } => format!(
                "film class {film} does not say its emissivity, so no reading is corrected and nothing passes{}",
                voice.at_keyboard(": say `--emissivity`, or put it into a class of your own")
            ),
            Self::EmissivitySaid { emissivity } => format!(
                "emissivity {} as said, not that of the class",
                voice.number(*emissivity, 3)
            ),
            Self::ErrorTaken { error_c } => {
                let error = voice.celsius(*error_c);
                format!(
                    "the instrument is off by {} (common practice, no source){}",
                    voice.give_or_take(&error),
                    voice.at_keyboard(": `--instrument-error`")
                )
            }
            Self::SpacingTaken { spacing_mm } => format!(
                "readings at most {} apart, about the patch a heat gun warms at one time (common practice, no source){}",
                voice.length(*spacing_mm),
                voice.at_keyboard(": `--spacing`")
            ),
            Self::NoLength => format!(
                "the length of the recess was not said, so its ends are not judged{}",
                voice.at_keyboard(": `--length`")
            ),
            Self::LinesNotRead { lines } => {
                let names: Vec<String> = lines.iter().map(|line| line.replace('-', " ")).collect();
                format!(
                    "no reading names the {}{}",
                    names.join(" or the "),
                    voice.at_keyboard(": `--lines` says which must be read")
                )
            }
            Self::Impossible { lines } => format!(
                "{}: the surroundings alone would show more than was read; check them and the emissivity set",
                listed("line", lines)
            ),
        }
    }
}
