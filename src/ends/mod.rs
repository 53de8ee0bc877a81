//! Where recesses end: film stretched two ways.
//!
//! Plane strain holds in the middle of a long recess. Round a closed end film is drawn in from
//! two sides, and that is where it lifts. Given a trapezoid, the shape of its end, where film is
//! bonded and how it is pressed, [`lay_end`] finds the film as it is laid round the end:
//!
//! ```text
//! l1, l2      greater and smaller principal stretch of laid film
//! l1 - 1      elongation: what a tape on the film reads, what a class's limit is for
//! l1 l2 - 1   area: what thins film and fades ink
//! ```
//!
//! In plane strain both are the same number. To read on: `plan` is the panel, `energy` the film,
//! `sheet` free film in equilibrium, `front` and `march` how it is laid.
//!
//! Assumptions: film without friction over a sharp lip, of one temperature, rolled down; the
//! press goes down at once along its whole line; the front goes on by the same part of the way
//! everywhere. Not computed: rounded lips, sections other than the trapezoid that fits
//! ([`Trapezoid::fitting`]), friction, warm zones, pressing along the line in time.
//!
//! Guarantee: no number without an equilibrium behind it; two meshes, whose difference is said
//! ([`LaidEnd::mesh_doubt`]) and refused above [`MOST_DOUBT`]; far from the end plane strain to
//! half a point, or it is refused. Nothing outside the project checks the peak of a channel's
//! end; a Mooney law of the same plane strain reads it lower by a sixth to higher by a twelfth
//! in elongation and lower by a quarter in area, so that a quarter is what is doubted
//! ([`LAW_DOUBT`]). A marked trial piece settles it.

mod energy;
mod front;
mod march;
mod place;
mod plan;
mod rules;
mod shape;
mod sheet;
mod skyline;
#[cfg(test)]
mod tests;

pub use rules::{AREA_POWER, bowl_stretch, edges_first_area};
pub use shape::{EndError, EndKind, EndSize, EndText, Trapezoid, read_end};

use crate::film::StretchLaw;
use crate::laydown::{Bed, Bonds, Order};
use crate::section::Zone;
use energy::Law;
use march::{Fine, Grid};
use plan::Plan;

/// Part of an end's elongation and area that is in doubt because film is not one law.
pub const LAW_DOUBT: f64 = 0.25;
/// Difference of the two meshes, part of the peak, from which there is no answer. Less refuses
/// square ends that a finer mesh bears out; more says numbers that it does not.
pub const MOST_DOUBT: f64 = 0.2;
/// What the middle may be off plane strain by, as a stretch.
const OFF_PLANE: f64 = 5e-3;
/// Least reach, part of the mouth: less at the sides is film bonded at the lip, which is on the
/// safe side.
const LEAST_REACH: f64 = 0.01;
/// Half bridges from the end's lip to the far plane. At four the middle is still felt by the end.
const FAR: f64 = 5.0;
/// Nearer to foot or lip than this part of the depth is at it.
const AT: f64 = 0.06;
/// Part of the middle's peak within which a column counts as the middle.
const FELT: f64 = 0.05;

/// The meshes, coarse and fine: 0.02 s and 0.05 s for a channel's end.
const DEEPEST: [Fine; 2] = [
    Fine {
        fan: 7,
        hanging: 10,
        flat: 5,
        pad: 3,
        floor: 8,
        wall: 6,
    },
    Fine {
        fan: 12,
        hanging: 12,
        flat: 6,
        pad: 3,
        floor: 10,
        wall: 6,
    },
];
const EDGES: [Fine; 2] = [
    Fine {
        fan: 8,
        hanging: 10,
        flat: 0,
        pad: 0,
        floor: 0,
        wall: 12,
    },
    Fine {
        fan: 14,
        hanging: 14,
        flat: 0,
        pad: 0,
        floor: 0,
        wall: 24,
    },
];

/// Which way film is laid round an end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EndOrder {
    /// Press line, floor, walls, flats.
    DeepestFirst,
    /// Flats, walls, floor.
    EdgeFirst,
}

/// What is laid: a trapezoid with an end, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndCase {
    /// The section.
    pub section: Trapezoid,
    /// The end.
    pub size: EndSize,
    /// Pad, across the press line.
    pub pad: f64,
    /// Free film beyond the lip, at the sides.
    pub side_reach: f64,
    /// Free film beyond the end's lip.
    pub end_reach: f64,
    /// Half the length of a pocket of two such ends; none for a long recess.
    pub half_length: Option<f64>,
}

/// Film as it was laid at a place of the panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Place of the panel: x to the right, y out of the panel, z along the recess from the tip
    /// of the end's lip, inwards negative, mm.
    pub at: [f64; 3],
    /// Place on the flat film, x and z, mm.
    pub film: [f64; 2],
    /// Greater and smaller principal stretch.
    pub stretch: [f64; 2],
}

impl Spot {
    /// Area of laid film over what it was.
    pub fn area(&self) -> f64 {
        self.stretch[0] * self.stretch[1]
    }

    /// Part of its width that film has too much of, where it creases.
    fn crease(&self) -> f64 {
        1.0 - self.stretch[1] * self.stretch[0].sqrt()
    }
}

/// Film laid round an end: the right half of it.
#[derive(Debug, Clone)]
pub struct LaidEnd {
    /// What was laid.
    pub case: EndCase,
    /// Columns from the far plane round to the tip, each from the press line out.
    pub columns: Vec<Vec<Spot>>,
    /// Foot, lip and bond line of each column, mm.
    pub lines: Vec<[[f64; 3]; 3]>,
    /// Place of each column's press line, and the edge of the pad.
    pub press: Vec<[[f64; 3]; 2]>,
    /// Where film is stretched most.
    pub most: Spot,
    /// Where its area is greatest.
    pub thinnest: Spot,
    /// Peak of the far column.
    pub middle: f64,
    /// Difference of the two meshes in the greatest stretch and in the greatest area.
    pub mesh_doubt: [f64; 2],
    /// From the tip of the end's lip inwards, how far the peak is off the middle's by more than
    /// a twentieth of it, mm.
    pub felt: f64,
    /// The place with most film too much, if any has.
    pub creased: Option<(f64, Spot)>,
    /// Sheets brought into equilibrium, and steps of Newton, both meshes together.
    pub solves: usize,
    /// See `solves`.
    pub steps: usize,
}

impl LaidEnd {
    /// Where on the panel a spot is: at foot or lip within a sixteenth of the depth.
    pub fn zone(&self, spot: &Spot) -> Zone {
        let depth = self.case.section.depth;
        let near = |k: usize| {
            let apart = self.lines.iter().map(|line| plan::apart(line[k], spot.at));
            apart.fold(f64::INFINITY, f64::min) < AT * depth
        };
        match spot.at[1] {
            _ if near(1) => Zone::Lip,
            _ if near(0) => Zone::Foot,
            y if y > -1e-6 * depth => Zone::Flat,
            y if y < -(1.0 - 1e-6) * depth => Zone::Floor,
            _ => Zone::Wall,
        }
    }

    /// The greatest stretch of film between the lips.
    pub fn recess_peak(&self) -> f64 {
        let inside = self.columns.iter().flatten().filter(|s| s.at[1] < 0.0);
        inside.map(|s| s.stretch[0]).fold(1.0, f64::max)
    }
}

/// Lays film round an end.
///
/// # Arguments
/// * `case`: section, end, pad and reaches, mm.
/// * `order`: the way it is pressed.
/// * `law`: the film's; a stiffness alone changes nothing.
///
/// # Accuracy
/// The greatest stretch and area to 1 % for round ends; what the two meshes differ by is
/// returned. Lengths all scaled alike change nothing.
///
/// # Errors
/// [`EndError`]: dimensions that make no end, film that came into no equilibrium, meshes that
/// differ, a middle off plane strain.
pub fn lay_end(case: &EndCase, order: EndOrder, law: &StretchLaw) -> Result<LaidEnd, EndError> {
    let [coarse, fine] = meshes(order);
    let coarse = grid(case, order, law, coarse)?;
    let laid = read(case, &coarse, grid(case, order, law, fine)?);
    for (doubt, peak) in laid
        .mesh_doubt
        .into_iter()
        .zip([laid.most.stretch[0], laid.thinnest.area()])
    {
        if !peak.is_finite() || doubt > MOST_DOUBT * (peak - 1.0).max(0.02) {
            return Err(EndError::Mesh {
                percent: 100.0 * doubt,
                of: 100.0 * (peak - 1.0),
            });
        }
    }
    let plane = plane_strain(case, order);
    match plane {
        Some(plane)
            if case.half_length.is_none() && (laid.middle - plane).abs() > OFF_PLANE * plane =>
        {
            Err(EndError::OffPlane {
                found: 100.0 * (laid.middle - 1.0),
                expected: 100.0 * (plane - 1.0),
            })
        }
        _ => Ok(laid),
    }
}

/// The same on the coarse mesh alone, for a search: a third of the price, some per cent off, and
/// nothing known of the doubt.
///
/// # Errors
/// As [`lay_end`], but for what needs both meshes.
pub(crate) fn lay_roughly(
    case: &EndCase,
    order: EndOrder,
    law: &StretchLaw,
) -> Result<LaidEnd, EndError> {
    let coarse = grid(case, order, law, meshes(order)[0])?;
    Ok(read(case, &coarse.clone(), coarse))
}

fn meshes(order: EndOrder) -> [Fine; 2] {
    match order {
        EndOrder::DeepestFirst => DEEPEST,
        EndOrder::EdgeFirst => EDGES,
    }
}

/// All film as it is laid on one mesh.
fn grid(case: &EndCase, order: EndOrder, law: &StretchLaw, fine: Fine) -> Result<Grid, EndError> {
    case.size.inspect(&case.section)?;
    let (plan, law) = (plan(case, order)?, Law::new(law));
    let laid = match order {
        EndOrder::DeepestFirst => march::deepest_first(&law, plan, fine),
        EndOrder::EdgeFirst => march::edges_first(&law, plan, fine),
    };
    laid.map_err(|_| EndError::Unbalanced)
}

/// The panel of a case.
fn plan(case: &EndCase, order: EndOrder) -> Result<Plan, EndError> {
    let (section, size) = (case.section, case.size);
    let bridge = section.mouth + 2.0 * case.side_reach;
    let far = FAR * 0.5 * bridge + size.run + size.press_stop;
    let far = case.half_length.map_or(far, |half| half.min(far));
    // Edges first no press line decides: rays leave where the arcs' centres are.
    let stop = match order {
        EndOrder::DeepestFirst => size.press_stop,
        EndOrder::EdgeFirst => size.centre_stop().min(far - size.run),
    };
    if size.run + stop > far * (1.0 + 1e-9) {
        return Err(EndError::TooShort {
            half_length: far,
            needed: size.run + stop,
        });
    }
    // A strip of flat too narrow to mesh is none at the sides, and the least there is at the end:
    // film bonded at the end's lip alone leaves the middle its reach.
    let least = LEAST_REACH * section.mouth;
    let (side_reach, end_reach) = if case.side_reach < least {
        (0.0, 0.0)
    } else {
        (case.side_reach, case.end_reach.max(least))
    };
    Ok(Plan {
        half_mouth: 0.5 * section.mouth,
        half_floor: 0.5 * section.floor,
        depth: section.depth,
        lip_radius: size.radius,
        run: size.run,
        foot_radius: size.foot_radius,
        stop,
        half_pad: 0.5 * case.pad,
        side_reach,
        end_reach,
        far,
    })
}

/// The peak of the trapezoid in plane strain; none where it is not finite.
pub fn plane_strain(case: &EndCase, order: EndOrder) -> Option<f64> {
    let recess = case.section.recess()?;
    let bed = Bed::new(&recess, case.pad, 0.0);
    let bonds = Bonds::with_reach(&recess, case.side_reach, case.side_reach);
    let order = match order {
        EndOrder::DeepestFirst => Order::DeepestFirst,
        EndOrder::EdgeFirst => Order::EdgeFirst,
    };
    Some(bed.lay(bonds, order).ok()?.peak(&bed)?.lambda)
}

/// What is asked of a grid, beside what a coarser one says.
fn read(case: &EndCase, coarse: &Grid, fine: Grid) -> LaidEnd {
    let peaks = |grid: &Grid| {
        let all = grid.columns.iter().flatten();
        let first = grid.columns[0][0];
        let most = all.clone().fold(
            first,
            |m, s| if s.stretch[0] > m.stretch[0] { *s } else { m },
        );
        let thin = all.fold(first, |m, s| if s.area() > m.area() { *s } else { m });
        (most, thin)
    };
    let (most, thinnest) = peaks(&fine);
    let (rough, roughly) = peaks(coarse);
    let of = |column: &[Spot]| column.iter().map(|s| s.stretch[0]).fold(1.0, f64::max);
    let middle = of(&fine.columns[0]);
    let off = |column: &&Vec<Spot>| (of(column) - middle).abs() > FELT * (middle - 1.0);
    let felt = fine.columns.iter().find(off).map_or(0.0, |c| -c[0].at[2]);
    let creases = fine.columns.iter().flatten().map(|s| (s.crease(), *s));
    let creased = creases.fold(None, |m: Option<(f64, Spot)>, s| match m {
        Some(m) if m.0 >= s.0 => Some(m),
        _ => Some(s),
    });
    LaidEnd {
        case: *case,
        mesh_doubt: [
            (most.stretch[0] - rough.stretch[0]).abs(),
            (thinnest.area() - roughly.area()).abs(),
        ],
        most,
        thinnest,
        middle,
        felt,
        creased: creased.filter(|c| c.0 > 1e-3),
        solves: coarse.solves + fine.solves,
        steps: coarse.steps + fine.steps,
        columns: fine.columns,
        lines: fine.lines,
        press: fine.press,
    }
}
