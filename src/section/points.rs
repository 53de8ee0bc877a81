//! Sections typed as points, or as the heights of a comb gauge.

use super::Section;
use super::length::TypedLength;
use super::list::{piece, pieces, uneven};
use super::number::quoted;
use super::raw::{Raw, Typing};
use super::typed::Typed;
use crate::fault::{Bit, Fault, Hint, Phrase, Refused};
use crate::geometry::Point;

/// What parts one point from the next, and its x from its y.
#[derive(Debug, Clone, Copy)]
struct Notation {
    between: Between,
    within: Within,
}

/// What parts points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Between {
    /// Spaces and line ends.
    Space,
    Semicolon,
    Line,
}

/// What parts x from y; anything but a comma leaves the comma to be a decimal one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Within {
    Comma,
    Semicolon,
    Space,
}

/// The ways points may be typed: `x,y x,y`, `x,y; x,y`, `x;y x;y`, `x y; x y`, and one a
/// line. In each a mark has one role, so that hardly a text fits two of them; one that does,
/// with different points, is asked back.
const NOTATIONS: [Notation; 7] = [
    notation(Between::Space, Within::Comma),
    notation(Between::Semicolon, Within::Comma),
    notation(Between::Line, Within::Comma),
    notation(Between::Space, Within::Semicolon),
    notation(Between::Line, Within::Semicolon),
    notation(Between::Semicolon, Within::Space),
    notation(Between::Line, Within::Space),
];

const fn notation(between: Between, within: Within) -> Notation {
    Notation { between, within }
}

/// What was expected of a point.
const PAIR: &str = "a point `x,y`, apart from the next by a space";

impl Notation {
    /// The texts of the points.
    fn points<'a>(self, text: &'a str) -> Vec<&'a str> {
        let kept = |part: &&'a str| !part.is_empty();
        match self.between {
            Between::Space => text.split_whitespace().collect(),
            Between::Semicolon => {
                let all = text.trim().trim_end_matches(';');
                all.split(';').map(str::trim).collect()
            }
            Between::Line => text.lines().map(str::trim).filter(kept).collect(),
        }
    }

    /// The texts of x and y.
    fn pair(self, point: &str) -> Option<(&str, &str)> {
        let mut parts = match self.within {
            Within::Comma => point.split(',').map(str::trim).collect::<Vec<_>>(),
            Within::Semicolon => point.split(';').map(str::trim).collect(),
            Within::Space => point.split_whitespace().collect(),
        }
        .into_iter();
        match (parts.next(), parts.next(), parts.next()) {
            (Some(x), Some(y), None) if !x.is_empty() && !y.is_empty() => Some((x, y)),
            _ => None,
        }
    }

    /// Reads all points in this notation.
    fn read(self, text: &str, typing: Typing) -> Raw {
        let units = typing.units.unwrap_or_default();
        let mut raw = Raw::default();
        for (i, point) in self.points(text).into_iter().enumerate() {
            let Some((x, y)) = self.pair(point) else {
                let fault = Fault::at(i + 1, quoted(point), PAIR);
                raw.fault(fault.hint(Hint::DecimalPoints));
                continue;
            };
            match (piece(x, units), piece(y, units)) {
                (Ok(a), Ok(b)) => {
                    raw.see(i + 1, x, &a, false);
                    raw.see(i + 1, y, &b, true);
                    raw.placed.push((i + 1, Point::new(a.mm, b.mm)));
                }
                (x, y) => {
                    for e in [x, y].into_iter().filter_map(Result::err) {
                        raw.fault(e.fault(quoted(point)).placed(i + 1));
                    }
                }
            }
        }
        raw
    }
}

/// Reads a section from typed points, `x,y x,y ..`.
///
/// Other ways to type them: `x,y; x,y`, and, with decimal commas where there are any,
/// `x;y x;y` and `x y; x y`; or one point a line with a comma, semicolon, tab or space
/// within. A number may carry its unit, `2.5in`.
///
/// # Arguments
/// * `name`: what messages call the section.
/// * `text`: the points, left to right unless `typing` says otherwise.
/// * `typing`: units of bare numbers, and how the readings lie; [`Units`](super::Units)
///   alone will do.
///
/// # Errors
/// [`Refused`] with every fault, each with the number of its point. A text that two
/// notations would read as different points, and one whose commas may be decimal or part
/// thousands, is asked back.
///
/// # Example
/// ```
/// use tautspan::{Units, read_points};
/// let v = read_points("v", "-60,0 0,-12.5 60,0", Units::Mm)?;
/// assert_eq!(v.line().points()[1].y, -12.5);
/// assert_eq!(v, read_points("v", "-60;0 0;-12,5 60;0", Units::Mm)?);
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn read_points(name: &str, text: &str, typing: impl Into<Typing>) -> Result<Section, Refused> {
    let typing = typing.into();
    let mut best: Option<Raw> = None;
    for notation in NOTATIONS {
        let raw = notation.read(text, typing);
        if !raw.faults.is_empty() {
            // Where none fits, that which fits most points has the faults that help.
            let better = |b: &Raw| !b.faults.is_empty() && raw.placed.len() > b.placed.len();
            if best.as_ref().is_none_or(better) {
                best = Some(raw);
            }
            continue;
        }
        match &mut best {
            Some(other) if other.faults.is_empty() => {
                if let Some(fault) = two_ways(&raw, other) {
                    other.fault(fault);
                    break;
                }
            }
            _ => best = Some(raw),
        }
    }
    best.unwrap_or_default().section(name, typing)
}

/// The fault of a text that two notations read as different points.
fn two_ways(a: &Raw, b: &Raw) -> Option<Fault> {
    let same =
        a.placed.len() == b.placed.len() && a.placed.iter().zip(&b.placed).all(|(p, q)| p.1 == q.1);
    let mut found = vec![Bit::from("points that may be ")];
    for (raw, then) in [(b, " .. or "), (a, " ..")] {
        for (i, (_, p)) in raw.placed.iter().take(2).enumerate() {
            let open = if i == 0 { "(" } else { ", (" };
            found.extend([open.into(), Bit::Exact(p.x), "; ".into(), Bit::Exact(p.y)]);
            found.push(")".into());
        }
        found.push(then.into());
    }
    let fault = Fault::whole(Phrase(found), "one way to read them");
    (!same).then(|| fault.hint(Hint::DecimalPoints))
}

/// Reads a section from the heights of a comb gauge, `pitch=5: 0,0,-2,-11,..`.
///
/// The heights stand `pitch` apart, the first at x = 0. They are separated by commas, or by
/// semicolons or white space, and then a comma is a decimal one: `pitch=5: 0;0;-2,5;-11`.
///
/// # Arguments
/// * `name`: what messages call the section.
/// * `text`: pitch and heights, left to right unless `typing` says otherwise, y out of the
///   panel.
/// * `typing`: units of bare numbers, and how the readings lie; [`Units`](super::Units)
///   alone will do.
///
/// # Errors
/// [`Refused`] with every fault, each with the number of its height.
///
/// # Example
/// ```
/// let step = tautspan::section::read_comb("step", "pitch=5: 0,0,-6,-6", tautspan::Units::Mm)?;
/// assert_eq!(step.line().points()[2], tautspan::Point::new(10.0, -6.0));
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn read_comb(name: &str, text: &str, typing: impl Into<Typing>) -> Result<Section, Refused> {
    let typing = typing.into();
    let units = typing.units.unwrap_or_default();
    let mut raw = Raw::default();
    let Some((head, body)) = text.split_once(':') else {
        raw.fault(Fault::whole(quoted(text), "`pitch=5: 0,0,-2,..`"));
        return raw.section(name, Typing::default());
    };
    let mut typed = Typed::one(head, "pitch", units);
    let pitch = typed.needed("pitch").unwrap_or(1.0);
    if let Some(text) = typed.text("pitch").filter(|_| !typed.faulty()) {
        let read = |text| piece(text, units).ok().map(|read: TypedLength| read.mark);
        if let Some(mark) = read(text) {
            raw.marks.see(None, mark, text);
        }
    }
    for fault in typed.into_error(name).faults {
        raw.fault(fault);
    }
    if let Some(fault) = uneven(body) {
        raw.fault(fault);
    }
    let mut x = 0.0;
    for (i, height) in pieces(body).into_iter().enumerate() {
        match piece(height, units) {
            Ok(y) => {
                raw.see(i + 1, height, &y, true);
                raw.placed.push((i + 1, Point::new(x * pitch, y.mm)));
            }
            Err(e) => {
                let found = format!("the height {}", quoted(height));
                raw.fault(e.fault(found).placed(i + 1));
            }
        }
        x += 1.0;
    }
    raw.section(name, typing)
}

#[cfg(test)]
mod tests {
    use super::super::Units;
    use super::*;
    use approx::assert_relative_eq;

    fn points(text: &str) -> Vec<Point> {
        let section = read_points("p", text, Units::Mm).unwrap();
        section.line().points().to_vec()
    }

    #[test]
    fn points_are_read_in_every_notation() {
        let expected = points("-60.5,0 0,-12.5 10,-12.25 60.5,0");
        assert_eq!(expected[2], Point::new(10.0, -12.25));
        for text in [
            "-60.5,0; 0,-12.5; 10,-12.25; 60.5,0",
            "-60.5, 0; 0, -12.5; 10, -12.25; 60.5, 0;",
            "-60.5,0\n0,-12.5\n10, -12.25\r\n\n60.5,0\n",
            "-60,5;0 0;-12,5 10;-12,25 60,5;0",
            "-60,5;0,0 0,0;-12,5 10,0;-12,25 60,5;0,0",
            "-60,5 0,0; 0,0 -12,5; 10,0 -12,25; 60,5 0,0",
            "-60,5; 0\n0; -12,5\n10; -12,25\n60,5; 0",
            "-60.5\t0\n0\t-12.5\n10\t-12.25\n60.5\t0\n",
            "-60.5mm,0 0,-1.25cm 1cm,-12.25 60.5,0in",
        ] {
            assert_eq!(points(text), expected, "{text}");
        }
    }

    #[test]
    fn points_that_read_two_ways_are_asked_back() {
        for text in ["0,5 10,0\n20,5 30,0\n40,5 50,0", "1,234;0 2,345;-1 3,456;0"] {
            let e = read_points("p", text, Units::Mm).unwrap_err();
            assert!(e.to_string().contains("may be"), "{text}: {e}");
        }
    }

    #[test]
    fn typed_points_name_the_number_of_a_fault() {
        let section = read_points("p", " -1,0 0,-1  1,0\n", Units::Inch).unwrap();
        assert_eq!(section.line().points()[2], Point::new(25.4, 0.0));
        let e = read_points("p", "0,0 1, 0 2,5,1,0 3", Units::Mm).unwrap_err();
        let places: Vec<_> = e.faults.iter().map(|f| f.at.place).collect();
        assert_eq!(places, [Some(2), Some(3), Some(4), Some(5)]);
    }

    #[test]
    fn a_comb_stands_at_its_pitch() {
        let section = read_comb("c", "pitch=0.5: 0, 0, -1,-1", Units::Inch).unwrap();
        let last = section.line().points()[3];
        let off = (last - Point::new(38.1, -25.4)).norm();
        assert_relative_eq!(off, 0.0, epsilon = 1e-12);
        let e = read_comb("c", "pich=5: 0,,1O", Units::Mm).unwrap_err();
        assert_eq!(e.faults.len(), 4);
    }

    #[test]
    fn a_comb_with_semicolons_has_decimal_commas() {
        let expected = read_comb("c", "pitch=2.5: 0,0,-2.5,-11,0", Units::Mm).unwrap();
        for text in [
            "pitch=2,5: 0;0;-2,5;-11;0",
            "pitch=2,5: 0 0 -2,5 -11 0",
            "pitch = 2.5mm : 0; 0; -0.25cm; -11; 0",
        ] {
            let read = read_comb("c", text, Units::Mm).unwrap();
            assert_eq!(read.line(), expected.line(), "{text}");
        }
        for text in [
            "pitch=2.5: 0;0;-2,5;-11;0",
            "pitch=1,234: 0,0,-2,0",
            "pitch=5: 0,0 -2,5 -11,0;0",
            "pitch=2,5,pitch=3: 0,0,-2,0",
        ] {
            assert!(read_comb("c", text, Units::Mm).is_err(), "{text}");
        }
    }
}
