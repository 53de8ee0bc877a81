//! What a setting is called where somebody is, and lengths as they were measured.

use crate::fault::{Bit, Phrase};
use crate::say::number::trimmed;
use crate::say::{Medium, Voice};
use crate::section::Units;

/// What the controls of the page are called, by the keys that they set.
const CONTROLS: [(&str, &str); 27] = [
    ("clear_left_mm", "the clear panel"),
    ("clear_right_mm", "the clear panel"),
    ("gauge_tolerance_mm", "the gauge tolerance"),
    ("press_offset_mm", "how far the press is moved"),
    ("pad_mm", "the pad of the tool"),
    ("tip_radius_mm", "the tip radius"),
    ("lip_friction", "the friction on the lips"),
    ("drag_kpa", "the drag on the flats"),
    ("hand_force_n", "the force of a hand"),
    ("bridge_mm", "the bridge width"),
    ("bond_left_x_mm", "the left bond line"),
    ("bond_right_x_mm", "the right bond line"),
    ("ends", "the ends of the recess"),
    ("end_left", "the left end"),
    ("end_right", "the right end"),
    ("clear_end_mm", "the clear panel beyond an end"),
    ("press_stop_mm", "where the press line stops"),
    ("length_mm", "the length of the recess"),
    ("order", "the order"),
    ("film", "the film class"),
    ("section", "the section"),
    ("flats", "the film over the flats"),
    ("warm", "which film is warmed"),
    ("valley", "“Recess, counted from the left”"),
    ("units", "“Units of bare numbers”"),
    ("depths", "“Heights typed as depths”"),
    ("leftwards", "“Typed from right to left”"),
];

/// Units at the end of keys, which flags do without.
const UNITS: [&str; 5] = ["_x_mm", "_mm", "_kpa", "_n", "_pct"];

impl Voice {
    /// The name of a setting, by its key in a question: a flag, a control, or the key.
    pub fn name(self, key: &str) -> String {
        match self.medium {
            Medium::Terminal => {
                let bare = UNITS.iter().find_map(|unit| key.strip_suffix(unit));
                format!("--{}", bare.unwrap_or(key).replace('_', "-"))
            }
            Medium::Page => {
                let control = CONTROLS.iter().find(|control| control.0 == key);
                control.map_or(key, |control| control.1).to_owned()
            }
            Medium::Screen | Medium::Paper | Medium::Picture => key.to_owned(),
        }
    }

    /// The name of a setting as a sentence has it.
    pub(crate) fn called(self, key: &str) -> String {
        let name = self.name(key);
        match self.medium {
            Medium::Page => name,
            _ => format!("`{name}`"),
        }
    }

    /// One setting or the other; once if both are one control.
    pub(crate) fn either(self, a: &str, b: &str) -> String {
        let (a, b) = (self.called(a), self.called(b));
        if a == b { a } else { format!("{a} or {b}") }
    }

    /// The first at a terminal, the second in front of the page, else the third.
    pub(crate) fn choose<'a>(self, terminal: &'a str, page: &'a str, plain: &'a str) -> &'a str {
        match self.medium {
            Medium::Terminal => terminal,
            Medium::Page => page,
            Medium::Screen | Medium::Paper | Medium::Picture => plain,
        }
    }

    /// What was found or expected.
    pub(crate) fn phrase(self, phrase: &Phrase) -> String {
        let bit = |bit: &Bit| match bit {
            Bit::Words(words) => words.clone().into_owned(),
            Bit::Number(number) => short(*number),
            Bit::Length(mm) => self.measured(*mm),
            Bit::Most(mm) => self.at_most(*mm),
            Bit::Exact(mm) => self.rounded(*mm, 6),
        };
        let said: String = phrase.0.iter().map(bit).collect();
        said.replace("``", "nothing")
    }

    /// A length that was measured or typed: hundredths of a millimetre, thousandths of an inch.
    pub(crate) fn measured(self, mm: f64) -> String {
        self.rounded(mm, if self.units == Units::Inch { 3 } else { 2 })
    }

    /// The same rounded down, so that the length named is one that fits.
    pub(crate) fn at_most(self, mm: f64) -> String {
        let step = if self.units == Units::Inch {
            0.0254
        } else {
            0.01
        };
        self.measured(((mm / step + 1e-6).floor() * step).max(0.0))
    }

    /// A length to so many decimals of the unit.
    fn rounded(self, mm: f64, decimals: usize) -> String {
        let value = match self.units {
            Units::Mm | Units::Cm => mm,
            Units::Inch => mm / Units::Inch.in_mm(),
        };
        let number = if value.abs() < LARGE {
            trimmed(value, decimals)
        } else {
            short(value)
        };
        format!("{number} {}", self.unit())
    }
}

/// From here on a number is written with an exponent: more digits than anybody reads.
const LARGE: f64 = 1e9;

/// A number as it was typed, or with an exponent where that has many digits.
pub(crate) fn short(value: f64) -> String {
    let many = value.abs() >= LARGE || (value != 0.0 && value.abs() < 1e-6);
    if many && value.is_finite() {
        format!("{value:e}")
    } else {
        value.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_that_fits_is_never_rounded_up() {
        // Reference: by hand; 25.4 mm are an inch.
        assert_eq!(Voice::PLAIN.at_most(12.349), "12.34 mm");
        assert_eq!(Voice::PLAIN.at_most(12.0), "12 mm");
        assert_eq!(Voice::terminal(Units::Inch).at_most(25.4), "1 in");
    }

    #[test]
    fn no_number_has_more_digits_than_anybody_reads() {
        for (value, words) in [
            (1e300, "1e300"),
            (-1.5e12, "-1.5e12"),
            (0.1, "0.1"),
            (450.5, "450.5"),
            (1e-9, "1e-9"),
            (f64::NAN, "NaN"),
        ] {
            assert_eq!(short(value), words);
        }
        assert_eq!(Voice::PLAIN.measured(1e300), "1e300 mm");
        assert_eq!(Voice::PLAIN.measured(-0.001), "0 mm");
    }

    #[test]
    fn a_setting_is_called_as_it_is_where_one_is() {
        let terminal = Voice::terminal(Units::Mm);
        assert_eq!(terminal.called("bond_left_x_mm"), "`--bond-left`");
        assert_eq!(Voice::PLAIN.called("pad_mm"), "`pad_mm`");
        let page = Voice::page(Units::Mm);
        assert_eq!(
            page.either("clear_left_mm", "clear_right_mm"),
            "the clear panel"
        );
        let both = terminal.either("clear_left_mm", "clear_right_mm");
        assert_eq!(both, "`--clear-left` or `--clear-right`");
    }
}
