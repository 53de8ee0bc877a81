//! Axes, by plotters into the picture's own scene.
//!
//! plotters has the coordinate system and the key points on it; what it draws becomes marks
//! of the scene, in the picture's type and ink, so that labels find their room around them.

use super::canvas::{Canvas, Type};
use super::chart::Frame;
use super::ticks::{length_ticks, round_ticks};
use crate::draw::{INK, Scene, Side};
use plotters::coord::cartesian::{Cartesian2d, MeshLine};
use plotters::coord::combinators::WithKeyPointMethod;
use plotters::coord::ranged1d::BoldPoints;
use plotters::coord::types::RangedCoordf64;
use plotters::element::PathElement;
use plotters::prelude::{BindKeyPointMethod, DrawingBackend, IntoDrawingArea};
use plotters::style::{Color, RGBColor};
use plotters_backend::{BackendColor, BackendCoord, BackendStyle, DrawingErrorKind};
use std::convert::Infallible;

/// plotters counts whole numbers: so many are a unit of the picture, finer than SVG is written.
const FINE: f64 = 1000.0;
/// Length of a tick, and width of an axis and its ticks, units of the picture.
const TICK: f64 = 9.0;
const LINE: f64 = 1.5;

/// The scene as plotters draws into it.
struct Ink<'a> {
    scene: &'a mut Scene,
    size: [f64; 2],
}

/// An axis with key points of our choice.
type Axis = WithKeyPointMethod<RangedCoordf64>;
type Drawn = Result<(), DrawingErrorKind<Infallible>>;

#[expect(
    clippy::cast_possible_truncation,
    reason = "a picture is some million whole numbers wide; `as` saturates"
)]
fn whole(v: f64) -> i32 {
    (v * FINE).round() as i32
}

fn unit((x, y): BackendCoord) -> [f64; 2] {
    [f64::from(x) / FINE, f64::from(y) / FINE]
}

impl DrawingBackend for Ink<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        let [w, h] = self.size.map(|v| whole(v).unsigned_abs());
        (w, h)
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        Ok(())
    }

    fn draw_pixel(&mut self, at: BackendCoord, colour: BackendColor) -> Drawn {
        let (r, g, b) = colour.rgb;
        self.scene.dot(unit(at), [r, g, b], 0.5 / FINE);
        Ok(())
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Drawn {
        let points: Vec<[f64; 2]> = path.into_iter().map(unit).collect();
        let (r, g, b) = style.color().rgb;
        let width = f64::from(style.stroke_width()) / FINE;
        self.scene.stroke(&points, [r, g, b], width);
        Ok(())
    }
}

/// Draws the numbers at the left (as `value` writes them), the round lengths below and what
/// they are.
pub(super) fn axes(
    canvas: &mut Canvas,
    frame: &Frame,
    across: &str,
    up: &str,
    value: impl Fn(f64) -> String,
) {
    let (a, voice) = (frame.area, canvas.voice);
    let ([from, to], top) = (frame.x, frame.top);
    let most = [(a.width() / 110.0).min(12.0), (a.height() / 40.0).min(5.0)];
    let abscissa =
        (from..to).with_key_point_func(move |_| length_ticks(from, to, most[0], voice.units));
    let ordinate = (0.0..top).with_key_point_func(move |_| round_ticks(0.0, top, most[1]));
    let ranges = (whole(a.left)..whole(a.right), whole(a.bottom)..whole(a.top));
    let ink = Ink {
        size: [canvas.width, canvas.height],
        scene: &mut canvas.scene,
    };
    let area = ink
        .into_drawing_area()
        .apply_coord_spec(Cartesian2d::<Axis, Axis>::new(abscissa, ordinate, ranges));
    let ink_of = RGBColor(INK[0], INK[1], INK[2]);
    let style = Color::stroke_width(&ink_of, whole(LINE).unsigned_abs());
    // A scene takes every mark: nothing is refused, here and below.
    let _ = area.draw(&PathElement::new(vec![(from, 0.0), (to, 0.0)], style));
    let _ = area.draw_mesh(
        |ink, line| {
            let (tick, at, side, words) = match line {
                MeshLine::XMesh((x, _), _, v) => {
                    let x = f64::from(x) / FINE;
                    let tick = [[x, a.bottom], [x, a.bottom + TICK]];
                    (
                        tick,
                        [x, a.bottom + 38.0],
                        Side::Centre,
                        voice.bare_length(*v),
                    )
                }
                MeshLine::YMesh((_, y), _, v) => {
                    let y = f64::from(y) / FINE;
                    let at = [a.left - 17.0, y + Type::Body.em() * 0.35];
                    let tick = [[a.left - TICK, y], [a.left, y]];
                    (tick, at, Side::Right, value(*v))
                }
            };
            ink.scene.stroke(&tick, INK, LINE);
            ink.scene.text(Type::Body.text(words, at, side));
            Ok(())
        },
        BoldPoints(99),
        BoldPoints(99),
    );
    drop(area);
    if !across.is_empty() {
        canvas.write(across, [a.right, a.bottom + 74.0], Side::Right, Type::Body);
    }
    canvas.write(up, [a.left - 100.0, a.top - 58.0], Side::Left, Type::Body);
}
