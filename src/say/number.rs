//! Numbers as people read them, each format once.

use super::{Medium, Voice};
use crate::section::Units;

/// Elongation beyond which a number says nothing more, percent.
const MOST_PERCENT: f64 = 9999.0;
/// Decimals of a percentage at most, where fewer would hide that it is over a limit.
const MOST_DECIMALS: usize = 3;
/// Least part of an inch that a steel rule shows.
const RULE: f64 = 64.0;

/// A number with at most `digits` decimals, without trailing zeros.
pub(super) fn trimmed(value: f64, digits: usize) -> String {
    let mut text = format!("{value:.digits$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

/// Inches in parts of `1/parts`, lowest terms: `4 15/16`.
fn fraction(inches: f64, parts: f64) -> String {
    let sign = if inches < 0.0 { "-" } else { "" };
    let count = (inches.abs() * parts).round();
    let (whole, mut n) = ((count / parts).floor(), count % parts);
    if n == 0.0 {
        return format!("{sign}{whole}");
    }
    let mut d = parts;
    while n % 2.0 == 0.0 {
        (n, d) = (n / 2.0, d / 2.0);
    }
    let whole = if whole > 0.0 {
        format!("{whole} ")
    } else {
        String::new()
    };
    format!("{sign}{whole}{n}/{d}")
}

/// Returns a length in inches as a tape shows it, in whole sixteenths: `4 15/16`, `-1/2`, `3`.
///
/// Less than a sixteenth (a gauge tolerance, a gap) is in thousandths, `0.02`, which no
/// rounding may turn into nothing.
pub fn inch_words(mm: f64) -> String {
    let inches = mm / 25.4;
    if inches.abs() < 1.0 / 16.0 {
        trimmed(inches, 3)
    } else {
        fraction(inches, 16.0)
    }
}

/// The text with its first letter large.
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}

/// The text with its first letter small.
pub(crate) fn lower(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_lowercase);
    first.chain(letters).collect()
}

impl Voice {
    /// Between a number and its unit: held together where lines break.
    fn space(self) -> char {
        match self.medium {
            Medium::Terminal | Medium::Screen | Medium::Page => ' ',
            Medium::Paper => '\u{a0}',
            Medium::Picture => '\u{2009}',
        }
    }

    /// A number's text with the minus sign and the spaces of the medium.
    fn typeset(self, text: String) -> String {
        match self.medium {
            Medium::Terminal | Medium::Screen | Medium::Page => text,
            Medium::Paper | Medium::Picture => text.replace('-', "\u{2212}").replace(' ', "\u{a0}"),
        }
    }

    /// A number with its unit.
    fn with(self, number: String, unit: &str) -> String {
        format!("{}{}{unit}", self.typeset(number), self.space())
    }

    /// A number with at most `digits` decimals, without trailing zeros.
    pub fn number(self, value: f64, digits: usize) -> String {
        self.typeset(trimmed(value, digits))
    }

    /// A number with exactly `digits` decimals.
    pub fn steady(self, value: f64, digits: usize) -> String {
        self.typeset(format!("{value:.digits$}"))
    }

    /// A length: tenths of a millimetre, sixteenths of an inch.
    pub fn length(self, mm: f64) -> String {
        match self.units {
            Units::Mm | Units::Cm => self.with(trimmed(mm, 1), "mm"),
            Units::Inch => self.with(inch_words(mm), "in"),
        }
    }

    /// A length without its unit.
    pub fn bare_length(self, mm: f64) -> String {
        match self.units {
            Units::Mm | Units::Cm => self.number(mm, 1),
            Units::Inch => self.typeset(inch_words(mm)),
        }
    }

    /// A width or another length of which tenths say nothing: whole millimetres, sixteenths of
    /// an inch.
    pub fn width(self, mm: f64) -> String {
        match self.units {
            Units::Mm | Units::Cm => self.with(trimmed(mm, 0), "mm"),
            Units::Inch => self.length(mm),
        }
    }

    /// A tolerance: tenths of a millimetre, or the nearest 64th of an inch, as on a steel rule,
    /// but not none.
    pub fn tolerance(self, mm: f64) -> String {
        match self.units {
            Units::Mm | Units::Cm => self.length(mm),
            Units::Inch => self.with(fraction((mm / 25.4).max(1.0 / RULE), RULE), "in"),
        }
    }

    /// A small length: hundredths of a millimetre, thousandths of an inch.
    pub fn fine(self, mm: f64) -> String {
        match self.units {
            Units::Mm | Units::Cm => self.with(format!("{mm:.2}"), "mm"),
            Units::Inch => self.with(format!("{:.3}", mm / 25.4), "in"),
        }
    }

    /// The unit of lengths.
    pub fn unit(self) -> &'static str {
        match self.units {
            Units::Mm | Units::Cm => "mm",
            Units::Inch => "in",
        }
    }

    /// A percentage that was computed: always one decimal, so that values compare at a glance.
    pub fn percent(self, value: f64) -> String {
        if value > MOST_PERCENT {
            let most = self.with(trimmed(MOST_PERCENT, 0), "%");
            return format!(">{}{most}", self.space());
        }
        self.with(format!("{value:.1}"), "%")
    }

    /// The same without its sign, the first of a range.
    pub(crate) fn bare_percent(self, value: f64) -> String {
        self.steady(value, 1)
    }

    /// The same, or the words for a peak that is not finite.
    pub fn peak(self, value: Option<f64>) -> String {
        value.map_or_else(|| "not finite".to_owned(), |v| self.percent(v))
    }

    /// A percentage beside its limit: more decimals where fewer would hide that it is over.
    pub fn beside(self, value: f64, limit: f64) -> String {
        let hides = |digits: usize| {
            let shown = format!("{value:.digits$}").parse::<f64>();
            value > limit && shown.is_ok_and(|v| v <= limit)
        };
        match (1..=MOST_DECIMALS).find(|&digits| !hides(digits)) {
            Some(1) => self.percent(value),
            Some(digits) => self.with(format!("{value:.digits$}"), "%"),
            None => format!("just over {}", self.limit(limit)),
        }
    }

    /// The same, or the words for a peak that is not finite.
    pub fn peak_beside(self, value: Option<f64>, limit: f64) -> String {
        value.map_or_else(|| self.peak(None), |v| self.beside(v, limit))
    }

    /// An amount of money, in the user's own.
    pub fn money(self, value: f64) -> String {
        self.steady(value, 2)
    }

    /// A percentage that was given, a limit: at most one decimal.
    pub fn limit(self, value: f64) -> String {
        self.with(trimmed(value, 1), "%")
    }

    /// A share: whole percent.
    pub fn share(self, value: f64) -> String {
        self.with(trimmed(value, 0), "%")
    }

    /// Percentage points: more decimals where fewer would hide that they are below 0.
    pub fn points(self, value: f64) -> String {
        let hides = |digits: usize| {
            let shown = format!("{value:.digits$}").parse::<f64>();
            value < 0.0 && shown.is_ok_and(|v| v >= 0.0)
        };
        let digits = (1..=MOST_DECIMALS).find(|&d| !hides(d));
        let number = self.steady(value, digits.unwrap_or(MOST_DECIMALS));
        format!("{number}{}points", self.space())
    }

    /// A length that is a least one, rounded up: tenths of a millimetre, sixteenths of an inch.
    pub fn at_least(self, mm: f64) -> String {
        let step = match self.units {
            Units::Mm | Units::Cm => 0.1,
            Units::Inch => 25.4 / 16.0,
        };
        self.length((mm / step - 1e-6).ceil() * step)
    }

    /// A temperature.
    pub fn celsius(self, value: f64) -> String {
        self.with(trimmed(value, 1), self.plain("degC", "\u{b0}C"))
    }

    /// A force: one decimal below 10 N, where it matters.
    pub fn newtons(self, value: f64) -> String {
        self.with(trimmed(value, usize::from(value < 9.95)), "N")
    }

    /// An angle.
    pub fn degrees(self, value: f64, digits: usize) -> String {
        let number = trimmed(value, digits);
        match self.medium {
            Medium::Terminal | Medium::Screen | Medium::Page => format!("{number} degrees"),
            Medium::Paper | Medium::Picture => self.typeset(number) + "\u{b0}",
        }
    }

    /// Air in a metre of recess.
    pub fn volume(self, cm3: f64) -> String {
        if cm3 >= 1000.0 {
            return self.with(trimmed(cm3 / 1000.0, 2), "l");
        }
        self.with(trimmed(cm3, 1), self.plain("cm3", "cm\u{b3}"))
    }

    /// So much to either side.
    pub fn give_or_take(self, words: &str) -> String {
        format!("{}{words}", self.plain("+-", "\u{b1}"))
    }

    /// Plain letters in a terminal, where there may be no others.
    fn plain(self, plain: &'static str, other: &'static str) -> &'static str {
        super::when(self.medium == Medium::Terminal, plain, other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::read_length;

    #[test]
    fn numbers_carry_a_real_minus_and_no_idle_zeros_on_paper() {
        let paper = Voice::paper(Units::Mm);
        assert_eq!(paper.number(-0.04, 1), "0");
        assert_eq!(paper.number(-1.50, 1), "\u{2212}1.5");
        assert_eq!(paper.length(12.5), "12.5\u{a0}mm");
        assert_eq!(Voice::terminal(Units::Mm).number(-1.5, 1), "-1.5");
    }

    #[test]
    fn inches_are_what_a_tape_shows() {
        let paper = Voice::paper(Units::Inch);
        assert_eq!(paper.length(25.4), "1\u{a0}in");
        // Reference: 125 mm are 78.7 sixteenths; 0.5 mm 1.26 sixty-fourths.
        assert_eq!(paper.length(125.0), "4\u{a0}15/16\u{a0}in");
        assert_eq!(paper.length(-12.7), "\u{2212}1/2\u{a0}in");
        assert_eq!(Voice::terminal(Units::Inch).tolerance(0.5), "1/64 in");
        assert_eq!(Voice::terminal(Units::Inch).tolerance(0.01), "1/64 in");
        assert_eq!(inch_words(0.5), "0.02");
        // Reference: 402.2 mm are 15.83 in, of which 15 13/16 are too few.
        assert_eq!(Voice::terminal(Units::Inch).at_least(402.2), "15 7/8 in");
        assert_eq!(Voice::terminal(Units::Mm).at_least(116.21), "116.3 mm");
        assert_eq!(Voice::terminal(Units::Mm).at_least(116.2), "116.2 mm");
    }

    #[test]
    fn a_peak_over_its_limit_is_never_printed_as_the_limit() {
        let voice = Voice::terminal(Units::Mm);
        assert_eq!(voice.beside(19.96, 20.0), "20.0 %");
        assert_eq!(voice.beside(20.04, 20.0), "20.04 %");
        assert_eq!(voice.beside(20.000_01, 20.0), "just over 20 %");
        assert_eq!(voice.beside(25.0, 20.0), "25.0 %");
        assert_eq!(voice.points(-0.01), "-0.01 points");
        assert_eq!(voice.points(0.04), "0.0 points");
    }

    #[test]
    fn inches_are_whole_sixteenths_in_lowest_terms() {
        // Reference: by hand; 125 mm are 4.9213 in, 78.7 sixteenths.
        for (mm, words) in [
            (125.0, "4 15/16"),
            (25.4, "1"),
            (-12.7, "-1/2"),
            (25.0, "1"),
            (28.6, "1 1/8"),
            (0.5, "0.02"),
            (1.5875, "1/16"),
            (0.0, "0"),
            (-0.001, "0"),
        ] {
            assert_eq!(inch_words(mm), words, "{mm}");
        }
    }

    #[test]
    fn what_is_printed_in_inches_reads_back_within_half_a_sixteenth() {
        for i in -4000..4000 {
            let mm = 0.137 * f64::from(i);
            let back = read_length(&inch_words(mm), Units::Inch).unwrap();
            assert!((back - mm).abs() <= 25.4 / 32.0 + 1e-9, "{mm}: {back}");
        }
    }
}
