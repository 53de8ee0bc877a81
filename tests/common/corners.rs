//! Channels by their corners, and those that may have been read as one.

use super::made::{Radii, Recipe};
use super::survey::Source;
use tautspan::{Point, Recess, Section, Survey};

/// Deviations of a normal number to its 95 % half width.
pub(crate) const HALF_WIDTH: f64 = 1.959_964;

/// A channel by its corners: left lip, left foot, right foot, right lip.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Corners([Point; 4]);

impl Corners {
    pub(crate) fn random(rng: &mut Source) -> Self {
        let depth = rng.between(6.0, 35.0);
        let run = |rng: &mut Source| depth / rng.between(30.0, 85.0).to_radians().tan();
        let (left, floor, right) = (run(rng), rng.between(12.0, 70.0), run(rng));
        let feet = (left, left + floor);
        Self([
            Point::new(0.0, 0.0),
            Point::new(feet.0, -depth),
            Point::new(feet.1, -depth),
            Point::new(feet.1 + right, 0.0),
        ])
    }

    /// One of the channels that may have been read as this one.
    pub(crate) fn off(&self, rng: &mut Source, tolerance: f64) -> Self {
        let mut z = || tolerance / HALF_WIDTH * rng.normal();
        Self(self.0.map(|p| Point::new(p.x + z(), p.y + z())))
    }

    /// Radii of one of them: sharp or 1 to 4 mm, each corner by itself.
    pub(crate) fn radii(rng: &mut Source) -> Radii {
        let mut radius = || {
            if rng.uniform() < 0.5 {
                0.0
            } else {
                rng.between(1.0, 4.0)
            }
        };
        Radii {
            lips: (radius(), radius()),
            feet: (radius(), radius()),
        }
    }

    /// The section, built anew from its corners with roundings of the radii given.
    pub(crate) fn recess(&self, radii: Radii) -> Option<Recess> {
        let [ll, lf, rf, rl] = self.0;
        let degrees = |rise: f64, run: f64| rise.atan2(run).to_degrees();
        let recipe = Recipe {
            radii,
            floor_slope: degrees(rf.y - lf.y, rf.x - lf.x),
            rise: rl.y - ll.y,
            ..Recipe::channel(
                ll.y - lf.y,
                (
                    degrees(ll.y - lf.y, lf.x - ll.x).min(90.0),
                    degrees(rl.y - rf.y, rl.x - rf.x).min(90.0),
                ),
                rf.x - lf.x,
            )
        };
        let section = Section::new("made", &recipe.made().points).ok()?;
        Recess::find(section, Survey::default()).ok()
    }
}

/// The recess pressed beside where it is read, mm to the right.
pub(crate) fn pressed(recess: &Recess, off: f64) -> Option<Recess> {
    let survey = Survey {
        press_offset: off,
        ..*recess.survey()
    };
    Recess::find(recess.section().clone(), survey).ok()
}
