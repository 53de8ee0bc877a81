//! What all pictures share: the check of their data, title, second line and foot.

use super::canvas::{Canvas, Type};
use super::paper::{FigureError, Look};
use crate::advice::Check;
use crate::draw::Box2;
use crate::draw::Side;

/// Most orders in one picture.
pub(super) const MOST: usize = 3;
/// Most times a picture is laid out: once, and higher; the third time for what breaks anew.
const MOST_TRIES: usize = 4;
/// Missing height that is not seen, and may be a rounding of numbers.
pub(super) const UNSEEN: f64 = 1.0;
/// Margin of every picture.
pub(super) const MARGIN: f64 = 64.0;

/// Refuses checks that no picture can be drawn from.
pub(super) fn examine(checks: &[Check]) -> Result<(), FigureError> {
    let Some(first) = checks.first() else {
        return Err(FigureError::Nothing {
            found: "no order",
            expected: "one to three",
        });
    };
    if checks.len() > MOST {
        return Err(FigureError::TooMany {
            found: checks.len(),
            most: MOST,
        });
    }
    for check in checks {
        if (check.film.limit_pct - first.film.limit_pct).abs() > 1e-9 {
            return Err(FigureError::Mixed { what: "limit" });
        }
        if check.section.points != first.section.points {
            return Err(FigureError::Mixed { what: "section" });
        }
        finite_check(check)?;
    }
    Ok(())
}

fn finite_check(check: &Check) -> Result<(), FigureError> {
    positive("limit_pct", check.film.limit_pct)?;
    if check.section.points.len() < 2 {
        return Err(FigureError::Nothing {
            found: "a section of fewer than two points",
            expected: "a section",
        });
    }
    let places = [
        check.bond_left,
        check.bond_right,
        check.lip_left,
        check.lip_right,
        check.press,
    ];
    let single = [
        check.bridge_mm,
        check.reach_left_mm,
        check.reach_right_mm,
        check.peak_pct.unwrap_or(0.0),
    ];
    let all = places
        .iter()
        .flat_map(|p| [p.s_mm, p.x_mm, p.y_mm])
        .chain(single)
        .chain(check.section.points.iter().flatten().copied())
        .chain(check.profile.iter().flat_map(|r| {
            [
                r.place.s_mm,
                r.place.x_mm,
                r.place.y_mm,
                r.film_mm,
                r.elongation_pct,
            ]
        }));
    for v in all {
        finite("a number of a check", v)?;
    }
    if check.bond_right.x_mm - check.bond_left.x_mm <= 0.0 {
        return Err(FigureError::Number {
            what: "the distance of the bond lines",
            found: (check.bond_right.x_mm - check.bond_left.x_mm).to_string(),
            expected: "more than 0 mm",
        });
    }
    Ok(())
}

/// Refuses NaN and infinity.
pub(super) fn finite(what: &'static str, v: f64) -> Result<(), FigureError> {
    if v.is_finite() {
        Ok(())
    } else {
        Err(FigureError::Number {
            what,
            found: v.to_string(),
            expected: "a finite number",
        })
    }
}

/// Refuses what is not a positive number.
pub(super) fn positive(what: &'static str, v: f64) -> Result<(), FigureError> {
    if v.is_finite() && v > 0.0 {
        Ok(())
    } else {
        Err(FigureError::Number {
            what,
            found: v.to_string(),
            expected: "a positive number",
        })
    }
}

/// Draws on paper that is as wide as ever, and higher where that is needed: `draw` returns
/// the height that is missing.
pub(super) fn high_enough(look: Look, draw: impl Fn(&mut Canvas) -> f64) -> Canvas {
    let mut canvas = Canvas::new(look);
    // A drawing that finds room may choose to lay itself out anew, and lack a little again.
    for _ in 0..MOST_TRIES {
        let lack = draw(&mut canvas);
        if lack < UNSEEN {
            break;
        }
        canvas = Canvas::sized(canvas.width, canvas.height + lack.ceil(), canvas.voice);
    }
    canvas
}

/// Writes title and second line; what is left under them.
pub(super) fn head(canvas: &mut Canvas, title: &str, second: &str) -> Box2 {
    let width = canvas.width - 2.0 * MARGIN;
    let y = canvas.paragraph(title, [MARGIN, 84.0], balanced(title, width), Type::Title);
    let y = canvas.paragraph(second, [MARGIN, y - 12.0], width, Type::Body);
    Box2 {
        left: MARGIN,
        top: y - 14.0,
        right: canvas.width - MARGIN,
        bottom: canvas.height - 36.0,
    }
}

/// The narrowest width that takes no more lines: no last line of one word.
fn balanced(title: &str, width: f64) -> f64 {
    let lines = |width: f64| Type::Title.wrap(title, width).len();
    let most = lines(width);
    let narrower = (1..40).map(|k| width * (1.0 - 0.015 * f64::from(k)));
    narrower
        .take_while(|&w| most > 1 && lines(w) == most)
        .last()
        .unwrap_or(width)
}

/// Writes the note at the bottom left, `width` wide, growing upwards; returns its top.
pub(super) fn foot(canvas: &mut Canvas, note: &str, width: f64) -> f64 {
    let lines = Type::Body.wrap(note, width);
    let mut y = canvas.height - 44.0;
    for line in lines.iter().rev() {
        canvas.write(line, [MARGIN, y], Side::Left, Type::Body);
        y -= Type::Body.leading();
    }
    y + Type::Body.leading() - Type::Body.em()
}
