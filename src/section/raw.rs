//! Readings as they were typed, before they are a section, and how they lie in its axes.

use super::length::TypedLength;
use super::notice::SectionNotice;
use super::{Marks, Section, Units};
use crate::fault::{Fault, Hint, Refused};
use crate::geometry::Point;

/// Most faults that are kept one by one, far more than anybody mends before trying again; a
/// million spoilt lines would fill the memory with their descriptions.
pub(super) const MOST_FAULTS: usize = 1000;

/// How a person types readings of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Typing {
    /// Units of bare numbers. `None`: not said; then typed lengths are millimetres, and a
    /// file has to say its own.
    pub units: Option<Units>,
    /// Heights are depths, positive into the panel, as a depth gauge shows them.
    pub depths: bool,
    /// The readings go from right to left along the panel: their order is turned round, and
    /// x too where it counts from the right.
    pub leftwards: bool,
}

impl From<Units> for Typing {
    fn from(units: Units) -> Self {
        Self {
            units: Some(units),
            ..Self::default()
        }
    }
}

/// What a reader found: points with their line or number, faults, and what is worth a note.
#[derive(Debug, Default)]
pub(super) struct Raw {
    pub(super) placed: Vec<(usize, Point)>,
    pub(super) faults: Vec<Fault>,
    pub(super) notes: Vec<SectionNotice>,
    pub(super) marks: Marks,
    more_faults: usize,
    last_digit: Option<f64>,
}

impl Raw {
    /// Notes a fault, or only counts it.
    pub(super) fn fault(&mut self, fault: Fault) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(fault);
        } else {
            self.more_faults += 1;
        }
    }

    /// Takes note of how a number was typed; of a height, also its last digit.
    pub(super) fn see(&mut self, place: usize, text: &str, read: &TypedLength, height: bool) {
        self.marks.see(Some(place), read.mark, text);
        if let (true, Some(step)) = (height, read.step) {
            self.last_digit = Some(self.last_digit.map_or(step, |d| d.min(step)));
        }
    }

    /// Turns the readings into the section's axes and takes them as one.
    pub(super) fn section(mut self, name: &str, typing: Typing) -> Result<Section, Refused> {
        self.faults.extend(self.marks.fault());
        if self.more_faults > 0 {
            let found = format!("{} more faults", self.more_faults);
            let fault = Fault::whole(found, "the same as above");
            self.faults.push(fault.hint(Hint::RightFile));
        }
        if typing.depths {
            for (_, p) in &mut self.placed {
                p.y = 0.0 - p.y;
            }
            self.notes.push(SectionNotice::Depths);
        }
        if typing.leftwards {
            self.turn_round();
        }
        let mut section = Section::surveyed(name, self.placed, self.faults, self.last_digit)?;
        section.warnings.splice(0..0, self.notes);
        Ok(section)
    }

    /// Puts readings that go from right to left the other way round; x that counts from the
    /// right becomes negative.
    fn turn_round(&mut self) {
        let ends = self.placed.first().zip(self.placed.last());
        let from_right = ends.is_some_and(|(first, last)| first.1.x < last.1.x);
        self.placed.reverse();
        if from_right {
            for (_, p) in &mut self.placed {
                p.x = 0.0 - p.x;
            }
        }
        self.notes.push(SectionNotice::TurnedRound { from_right });
    }
}

impl Section {
    /// The same section with its heights turned round: what was typed as depths, positive
    /// into the panel, becomes heights.
    #[must_use]
    pub fn flipped(&self) -> Self {
        self.moved(false, |p| Point::new(p.x, 0.0 - p.y))
    }

    /// The same section seen from behind: x turned round, and the order of the points with it.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        self.moved(true, |p| Point::new(0.0 - p.x, p.y))
    }

    /// The height a last digit counts, mm: of heights as typed, trailing zeros apart; of
    /// points that were given as numbers, the largest of 1, 0.1 .. 1e-9 of which all heights
    /// are multiples within 1e-9; 0 for a computed shape, which has none.
    ///
    /// # Example
    /// ```
    /// let v = tautspan::read_points("v", "-60,0 0,-12.25 60,0.5", tautspan::Units::Mm)?;
    /// assert_eq!(v.last_digit(), 0.01);
    /// # Ok::<(), tautspan::fault::Refused>(())
    /// ```
    pub fn last_digit(&self) -> f64 {
        self.last_digit
    }

    /// Says that the points were computed: no digit is the last one.
    pub(crate) fn computed(mut self) -> Self {
        self.last_digit = 0.0;
        self
    }
}

/// Returns the largest of 1, 0.1 .. 1e-9 mm of which all heights are multiples within 1e-9 mm.
pub(super) fn last_digit_of(points: &[Point]) -> f64 {
    let mut decimals = 0;
    for p in points {
        let multiple = |decimals: i32| {
            let tens = 10_f64.powi(decimals);
            ((p.y * tens).round() / tens - p.y).abs() <= 1e-9
        };
        while decimals < 9 && !multiple(decimals) {
            decimals += 1;
        }
    }
    10_f64.powi(-decimals)
}

#[cfg(test)]
mod tests {
    use super::super::{read_comb, read_csv_as, read_points, read_shape};
    use super::*;
    use approx::assert_relative_eq;

    const LEVEL: &str = "-60,0 -30,0 -20,-12.5 20,-12 40,0 60,0";

    #[test]
    fn depths_and_right_to_left_are_turned_round_on_request() {
        let section = read_points("p", LEVEL, Units::Mm).unwrap();
        let read = |text: &str, typing: Typing| read_points("p", text, typing).unwrap();
        let mm: Typing = Units::Mm.into();
        let depths = Typing { depths: true, ..mm };
        let typed = "-60,0 -30,0 -20,12.5 20,12 40,0 60,0";
        assert_eq!(read(typed, depths).line(), section.line());
        assert_eq!(read(typed, mm).flipped().line(), section.line());
        let leftwards = Typing {
            leftwards: true,
            ..mm
        };
        let listed = "60,0 40,0 20,-12 -20,-12.5 -30,0 -60,0";
        assert_eq!(read(listed, leftwards).line(), section.line());
        let counted = "-60,0 -40,0 -20,-12 20,-12.5 30,0 60,0";
        assert_eq!(read(counted, leftwards).line(), section.line());
        assert_eq!(read(counted, mm).mirrored().line(), section.line());
        let comb = read_comb("c", "pitch=5: 0 0 -2 -7 0", leftwards).unwrap();
        let x: Vec<f64> = comb.line().points().iter().map(|p| p.x).collect();
        assert_eq!(x, [-20.0, -15.0, -10.0, -5.0, 0.0]);
        assert_eq!(comb.line().points()[1], Point::new(-15.0, -7.0));
        assert_eq!(comb.warnings().len(), 1);
    }

    #[test]
    fn the_last_digit_is_that_of_the_heights_as_typed() {
        let digit = |text: &str| {
            let read = read_csv_as("a", text.as_bytes(), Typing::default());
            read.unwrap().last_digit()
        };
        // Reference: by hand.
        assert_relative_eq!(digit("x_mm,y_mm\n0.125,0\n1,-2.50\n2,0.0\n"), 0.1);
        assert_relative_eq!(digit("x_mm;y_mm\n0;0\n1;-2,55\n2;0\n"), 0.01);
        assert_relative_eq!(digit("x_cm,y_cm\n0,0\n1,-0.25\n2,0\n"), 0.1);
        assert_relative_eq!(digit("x_in,y_in\n0,0\n1,-0.25\n2,0\n"), 0.254);
        assert_relative_eq!(digit("x_mm,y_mm\n0,0\n1,-2\n2,0\n"), 1.0);
        let points = |y: f64| [(0.0, 0.0), (1.0, y), (2.0, 0.0)].map(|(x, y)| Point::new(x, y));
        let third = 1.0 / 3.0;
        for (y, expected) in [(-3.0, 1.0), (-3.25, 0.01), (0.1 + 0.2, 0.1), (third, 1e-9)] {
            let section = Section::new("a", &points(y)).unwrap();
            assert_relative_eq!(section.last_digit(), expected);
        }
        let shape = read_shape("channel:mouth=80,depth=25,floor=40", Units::Mm).unwrap();
        assert_relative_eq!(shape.last_digit(), 0.0);
        let sixteenth = read_points("p", "-9,0 0,-1/16in 9,0", Units::Mm).unwrap();
        assert_relative_eq!(sixteenth.last_digit(), 25.4 / 16.0);
    }
}
