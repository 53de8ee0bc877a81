//! Cells of a printed grid on film that was laid round an end: how far each was stretched, beside
//! what is computed there, and the limit of area bracketed by what became of the pieces.
//!
//! A cell is a square of side a on the flat film. Its sides across and along the recess, u and v,
//! and its diagonals p and q are four lengths read with a tape; they are the stretch there:
//!
//! ```text
//! C = | u²       (p² - q²)/4 | / a²      with one diagonal (p² - u² - v²)/2 beside the main
//!     | (p²-q²)/4       v²   |
//! l1², l2²: the roots of C     area = sqrt(det C)     2 (u² + v²) = p² + q²
//! ```
//!
//! What is computed is the same four lengths along the panel, as a tape laid over lip and foot
//! reads them, so that what a cell blurs is blurred in both. The last equation is a check: lengths that break it
//! by more than [`SLIPPED`](super::SLIPPED) errors were misread. A length is known to sqrt(2)
//! errors of a mark: on a cell of 10 mm read to 0.25 mm that is 3.5 %, on one of 20 mm half as much.
//!
//! A piece's gain of area is computed, with the doubt that an end has: one that held bears out its
//! lower end, one that failed its upper.

use super::SLIPPED;
use super::limit::{self, Limit, Tried};
use super::marks::Outcome;
use crate::advice::{Doubted, EndReport};
use crate::ends::LaidEnd;
use crate::evidence::table::{Known, Row, read};
use crate::fault::{Fault, Refused};
use serde::{Deserialize, Serialize};

/// Side of a cell on the printed grid, mm.
pub const CELL: f64 = 10.0;
/// Parts of a side whose lengths are summed: a bend is met to a third of a millimetre.
const PARTS: u32 = 64;

const COLUMNS: &[Known] = &[
    Known::word("piece"),
    Known::length("bridge"),
    Known::length("across"),
    Known::length("inside"),
    Known::length("flat"),
    Known::length("wide"),
    Known::length("long"),
    Known::length("diagonal"),
    Known::length("other"),
    Known::word("result"),
    Known::word("after_h"),
    Known::word("note"),
];

/// A cell as it was measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Cell {
    /// Middle of the cell on the flat film, across from the middle of the recess, mm.
    pub across_mm: f64,
    /// The same along, inwards from the tip of the end's lip, mm.
    pub inside_mm: f64,
    /// Its side on the flat film, mm.
    pub flat_mm: f64,
    /// Its side across, laid, mm.
    pub wide_mm: f64,
    /// Its side along, laid, mm.
    pub long_mm: f64,
    /// A diagonal, laid, mm.
    pub diagonal_mm: f64,
    /// The other, mm.
    pub other_mm: Option<f64>,
}

/// A piece laid round an end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EndPiece {
    /// Its name.
    pub name: String,
    /// Its bridge, mm, where the table says it.
    pub bridge_mm: Option<f64>,
    /// Its cells.
    pub cells: Vec<Cell>,
    /// What became of it.
    pub outcomes: Vec<Outcome>,
}

/// What four lengths say.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Strained {
    /// Greatest elongation, percent.
    pub elongation_pct: f64,
    /// Gain of area, percent.
    pub area_pct: f64,
}

/// A cell, measured beside computed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CellReport {
    /// As measured.
    pub cell: Cell,
    /// What its lengths say.
    pub measured: Strained,
    /// 95 % error of that, percentage points.
    pub error: Strained,
    /// The same as computed; none where no film was laid.
    pub computed: Option<Strained>,
    /// Do its lengths break the equation between them?
    pub misread: bool,
}

/// A piece round an end, judged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EndPieceReport {
    /// Its name.
    pub name: String,
    /// Its bridge at the end's sides, mm.
    pub bridge_mm: f64,
    /// Its greatest elongation, computed.
    pub elongation: Doubted,
    /// Its greatest gain of area, computed.
    pub area: Doubted,
    /// Its cells.
    pub cells: Vec<CellReport>,
    /// What became of it.
    pub outcomes: Vec<Outcome>,
}

/// Measured over computed, of all cells.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ratio {
    /// The ratio.
    pub value: f64,
    /// Its 95 % error.
    pub error: f64,
    /// Cells that count.
    pub cells: usize,
}

/// What pieces round an end say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EndTrial {
    /// Error of a mark that was reckoned with, mm, standard deviation.
    pub mark_error_mm: f64,
    /// Gain of area, measured over computed; none without a cell that is computed.
    pub area_ratio: Option<Ratio>,
    /// The pieces.
    pub pieces: Vec<EndPieceReport>,
    /// What their fates say of the limit of area; none where none says.
    pub area_limit: Option<Limit>,
}

/// Reads the pieces of a table of cells; `name` as in [`read_marks`](super::read_marks).
///
/// # Errors
/// Every fault with its line.
pub fn read_cells(name: &str, text: &str) -> Result<Vec<EndPiece>, Refused> {
    let mut pieces: Vec<EndPiece> = Vec::new();
    let found = read(text, COLUMNS, |row| {
        let title = row.text("piece").map_err(|f| vec![f])?.unwrap_or(name);
        let k = pieces.iter().position(|p| p.name == title);
        let k = k.unwrap_or_else(|| {
            pieces.push(EndPiece {
                name: title.to_owned(),
                bridge_mm: None,
                cells: Vec::new(),
                outcomes: Vec::new(),
            });
            pieces.len() - 1
        });
        take(row, &mut pieces[k])
    });
    let mut faults = found.err().unwrap_or_default();
    if faults.is_empty() && pieces.is_empty() {
        faults.push(Fault::whole("no cells", "a row for each cell of the grid"));
    }
    Refused::unless(name, faults, pieces)
}

/// Takes one row over.
fn take(row: &Row<'_>, piece: &mut EndPiece) -> Result<(), Vec<Fault>> {
    let mut faults = Vec::new();
    super::marks::take_bridge(row, &piece.name, &mut piece.bridge_mm, &mut faults);
    let fate = super::marks::take_fate(row, None, &mut piece.outcomes, &mut faults);
    const LENGTHS: [&str; 7] = [
        "across", "inside", "flat", "wide", "long", "diagonal", "other",
    ];
    let found = LENGTHS.map(|name| {
        let read = row.number(name);
        read.unwrap_or_else(|fault| {
            faults.push(fault);
            None
        })
    });
    let none = found.iter().all(Option::is_none);
    if !faults.is_empty() || (none && fate.is_some()) {
        return Refused::unless("", faults, ()).map_err(|refused| refused.faults);
    }
    for (name, value) in LENGTHS.iter().zip(found).skip(2) {
        if let Some(mm) = value.filter(|&mm| mm <= 0.0) {
            faults.push(row.of(name, Fault::whole(format!("{mm}"), "a length above 0")));
        }
    }
    let [across, inside, flat, wide, long, diagonal, other_mm] = found;
    let (Some(across_mm), Some(inside_mm), Some(wide_mm), Some(long_mm), Some(diagonal_mm)) =
        (across, inside, wide, long, diagonal)
    else {
        let missing = LENGTHS
            .iter()
            .zip(found)
            .filter(|(name, value)| value.is_none() && !["flat", "other"].contains(name));
        let fault = |(name, _): (&&str, _)| {
            row.of(
                name,
                Fault::whole("nothing", "a length: each cell has its place and its three"),
            )
        };
        faults.extend(missing.map(fault));
        return Err(faults);
    };
    let cell = Cell {
        across_mm,
        inside_mm,
        flat_mm: flat.unwrap_or(CELL),
        wide_mm,
        long_mm,
        diagonal_mm,
        other_mm,
    };
    if faults.is_empty() && lengths(&cell).strained(cell.flat_mm).is_none() {
        let found = "sides and diagonals that make no cell";
        faults.push(Fault::at(
            row.line(),
            found,
            "a diagonal shorter than both sides together",
        ));
    }
    if faults.is_empty() {
        piece.cells.push(cell);
        Ok(())
    } else {
        Err(faults)
    }
}

/// Sides and diagonals of a cell, mm.
#[derive(Debug, Clone, Copy)]
struct Lengths {
    sides: [f64; 2],
    diagonals: [Option<f64>; 2],
}

fn lengths(cell: &Cell) -> Lengths {
    Lengths {
        sides: [cell.wide_mm, cell.long_mm],
        diagonals: [Some(cell.diagonal_mm), cell.other_mm],
    }
}

impl Lengths {
    /// What they say of a cell of this side; none where they make none.
    fn strained(&self, flat: f64) -> Option<Strained> {
        let [uu, vv] = self.sides.map(|side| side * side);
        let shear = match self.diagonals {
            [Some(p), Some(q)] => 0.25 * (p * p - q * q),
            [Some(p), None] | [None, Some(p)] => 0.5 * (p * p - uu - vv),
            [None, None] => 0.0,
        };
        let squared = uu * vv - shear * shear;
        let most = 0.5 * (uu + vv) + (0.25 * (uu - vv).powi(2) + shear * shear).sqrt();
        (squared > 0.0).then(|| Strained {
            elongation_pct: 100.0 * (most.sqrt() / flat - 1.0),
            area_pct: 100.0 * (squared.sqrt() / (flat * flat) - 1.0),
        })
    }

    /// 95 % error of what they say, each known to `error`.
    fn error(&self, flat: f64, error: f64) -> Option<Strained> {
        let mut sum = [0.0; 2];
        let all = [
            Some(self.sides[0]),
            Some(self.sides[1]),
            self.diagonals[0],
            self.diagonals[1],
        ];
        for (k, _) in all
            .iter()
            .enumerate()
            .filter(|(_, length)| length.is_some())
        {
            let moved = |by: f64| {
                let mut moved = *self;
                match k {
                    0 | 1 => moved.sides[k] += by,
                    _ => moved.diagonals[k - 2] = moved.diagonals[k - 2].map(|d| d + by),
                }
                moved.strained(flat)
            };
            let step = 1e-4 * flat;
            let (up, down) = (moved(step)?, moved(-step)?);
            for (sum, off) in sum.iter_mut().zip([
                up.elongation_pct - down.elongation_pct,
                up.area_pct - down.area_pct,
            ]) {
                *sum += (0.5 * off / step * error).powi(2);
            }
        }
        let [elongation_pct, area_pct] = sum.map(|sum: f64| 1.96 * sum.sqrt());
        Some(Strained {
            elongation_pct,
            area_pct,
        })
    }

    /// Do four lengths, each known to `error`, break the equation between them?
    fn broken(&self, error: f64) -> bool {
        let [Some(p), Some(q)] = self.diagonals else {
            return false;
        };
        let sides: f64 = self.sides.iter().map(|s| s * s).sum();
        let diagonals = p * p + q * q;
        let known = 2.0 * error * (diagonals + 4.0 * sides).sqrt();
        (diagonals - 2.0 * sides).abs() > SLIPPED * known
    }
}

/// The lengths of a cell as it came to lie; sides are the means of two.
fn computed(laid: &LaidEnd, cell: &Cell) -> Option<Lengths> {
    let half = 0.5 * cell.flat_mm;
    let corner = |x: f64, z: f64| [cell.across_mm + x * half, z * half - cell.inside_mm];
    let [a, b, c, d] =
        [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]].map(|[x, z]| corner(x, z));
    let along = |p: [f64; 2], q: [f64; 2]| laid_length(laid, p, q);
    Some(Lengths {
        sides: [
            0.5 * (along(a, b)? + along(c, d)?),
            0.5 * (along(a, d)? + along(b, c)?),
        ],
        diagonals: [Some(along(a, c)?), Some(along(b, d)?)],
    })
}

/// Length of a straight line of the flat film where it lies on the panel, over lip and foot.
fn laid_length(laid: &LaidEnd, p: [f64; 2], q: [f64; 2]) -> Option<f64> {
    let at = |k: u32| {
        let t = f64::from(k) / f64::from(PARTS);
        laid.panel_of([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])])
    };
    let steps = (0..PARTS).map(|k| {
        let squares = at(k)?
            .into_iter()
            .zip(at(k + 1)?)
            .map(|(p, q)| (p - q).powi(2));
        Some(squares.sum::<f64>().sqrt())
    });
    steps.sum()
}

/// Judges pieces that were laid round an end, each with the end as it is computed.
///
/// # Arguments
/// * `pieces`: what was measured, the end's report and its film; those without a number are left
///   out.
/// * `mark_error`: error of a mark's place, mm, standard deviation.
pub fn judge_end(pieces: &[(EndPiece, EndReport, LaidEnd)], mark_error: f64) -> EndTrial {
    let all = pieces.iter();
    let pieces: Vec<EndPieceReport> = all
        .filter_map(|(piece, end, laid)| report(piece, end, laid, mark_error))
        .collect();
    let tried: Vec<Tried> = pieces.iter().filter_map(tried).collect();
    EndTrial {
        mark_error_mm: mark_error,
        area_ratio: ratio(&pieces),
        pieces,
        area_limit: limit::bracket(&tried),
    }
}

fn report(
    piece: &EndPiece,
    end: &EndReport,
    laid: &LaidEnd,
    mark_error: f64,
) -> Option<EndPieceReport> {
    let shown = end.middle.as_ref()?;
    // What the numbers of an end are raised by where its trapezoid falls short of the section.
    let raised = end.section_peak_pct.zip(end.trapezoid_peak_pct);
    let raised = raised.map_or(1.0, |(own, plane)| (own / plane.max(1e-9)).max(1.0));
    let error = std::f64::consts::SQRT_2 * mark_error;
    let one = |cell: &Cell| {
        let lengths = lengths(cell);
        let computed = computed(laid, cell).and_then(|found| found.strained(cell.flat_mm));
        Some(CellReport {
            cell: *cell,
            measured: lengths.strained(cell.flat_mm)?,
            error: lengths.error(cell.flat_mm, error)?,
            computed: computed.map(|s| Strained {
                elongation_pct: raised * s.elongation_pct,
                area_pct: raised * s.area_pct,
            }),
            misread: lengths.broken(error),
        })
    };
    // Where friction holds film at the lip, the truth lies between.
    let up_to = |free: Doubted, held: Option<Doubted>| Doubted {
        to_pct: held.map_or(free.to_pct, |held| free.to_pct.max(held.to_pct)),
        ..free
    };
    let held = end.held.as_ref();
    Some(EndPieceReport {
        name: piece.name.clone(),
        bridge_mm: shown.bridge_mm,
        elongation: up_to(shown.elongation, held.map(|h| h.elongation)),
        area: up_to(shown.area, held.map(|h| h.area)),
        cells: piece.cells.iter().filter_map(one).collect(),
        outcomes: piece.outcomes.clone(),
    })
}

/// Gain of area, measured over computed: least squares through nought, each cell by its error; the
/// scatter counts where it is more.
fn ratio(pieces: &[EndPieceReport]) -> Option<Ratio> {
    let cells = pieces.iter().flat_map(|piece| &piece.cells);
    let counted: Vec<[f64; 2]> = cells
        .filter(|cell| !cell.misread)
        .filter_map(|cell| {
            let error = cell.error.area_pct / 1.96;
            Some([
                cell.measured.area_pct / error,
                cell.computed?.area_pct / error,
            ])
        })
        .collect();
    let weight: f64 = counted.iter().map(|[_, c]| c * c).sum();
    let value = counted.iter().map(|[m, c]| m * c).sum::<f64>() / weight;
    let off: f64 = counted.iter().map(|[m, c]| (m - value * c).powi(2)).sum();
    let free = counted.len().saturating_sub(1);
    #[expect(clippy::cast_precision_loss, reason = "some cells")]
    let scatter = (off / free.max(1) as f64).max(1.0);
    let reach = super::least_squares::student(free.max(1));
    let reach = if scatter > 1.0 { reach } else { 1.96 };
    value.is_finite().then(|| Ratio {
        value,
        error: reach * (scatter / weight).sqrt(),
        cells: counted.len(),
    })
}

/// A piece as the limit of area sees it: one that held bears out the lower end of what is
/// computed, one that failed the upper.
fn tried(piece: &EndPieceReport) -> Option<Tried> {
    let (failed, after) = super::fate_of(&piece.outcomes)?;
    let end = if failed {
        piece.area.to_pct
    } else {
        piece.area.from_pct
    };
    Some(Tried {
        peak: piece.area.pct,
        error: (end - piece.area.pct).abs() / 1.96,
        failed,
        after,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::trial::Fate;
    use approx::assert_relative_eq;

    /// The lengths of a square of side 10 under a map of the plane.
    fn mapped([[a, b], [c, d]]: [[f64; 2]; 2]) -> Lengths {
        let long = |x: f64, y: f64| 10.0 * (a * x + b * y).hypot(c * x + d * y);
        Lengths {
            sides: [long(1.0, 0.0), long(0.0, 1.0)],
            diagonals: [Some(long(1.0, 1.0)), Some(long(1.0, -1.0))],
        }
    }

    #[test]
    fn sides_and_diagonals_give_the_stretches_of_a_map_however_it_turns() {
        // Reference: by hand. Stretched by 1.3 and 1.1, turned by 30 and 20 degrees: l1 = 1.3,
        // area 1.43.
        let turn = |degrees: f64| {
            let (s, c) = degrees.to_radians().sin_cos();
            nalgebra::Matrix2::new(c, -s, s, c)
        };
        let stretch = nalgebra::Matrix2::new(1.3, 0.0, 0.0, 1.1);
        let map = turn(30.0) * stretch * turn(20.0);
        let four = mapped([[map[(0, 0)], map[(0, 1)]], [map[(1, 0)], map[(1, 1)]]]);
        let three = Lengths {
            diagonals: [four.diagonals[0], None],
            ..four
        };
        for found in [four, three].map(|lengths| lengths.strained(10.0).unwrap()) {
            assert_relative_eq!(found.elongation_pct, 30.0, epsilon = 1e-9);
            assert_relative_eq!(found.area_pct, 43.0, epsilon = 1e-9);
        }
        assert!(!four.broken(0.35));
    }

    #[test]
    fn the_error_of_a_square_cell_is_that_of_its_lengths() {
        // Reference: by hand. Of an unstretched square the area is u v, a diagonal does not move
        // it: sqrt(2) times 1 % are 1.414 %, 95 % of that 2.772.
        let error = mapped([[1.0, 0.0], [0.0, 1.0]]).error(10.0, 0.1).unwrap();
        assert_relative_eq!(error.area_pct, 1.96 * 2.0_f64.sqrt(), epsilon = 1e-4);
    }

    #[test]
    fn a_misread_diagonal_breaks_the_equation() {
        let mut lengths = mapped([[1.2, 0.1], [0.0, 1.1]]);
        assert!(!lengths.broken(0.35));
        lengths.diagonals[1] = lengths.diagonals[1].map(|d| d + 5.0);
        assert!(lengths.broken(0.35));
    }

    #[test]
    fn a_cell_without_a_diagonal_or_that_closes_nowhere_is_refused_with_its_line() {
        let lines = |rows: &str| -> Vec<Option<usize>> {
            let head = "piece,bridge_mm,across_mm,inside_mm,flat_mm,wide_mm,long_mm,diagonal_mm,other_mm,result";
            let refused = read_cells("t", &format!("{head}\n{rows}")).unwrap_err();
            refused.faults.iter().map(|f| f.at.place).collect()
        };
        assert_eq!(lines("a,120,0,20,10,11,11,,,\n"), [Some(2)]);
        assert_eq!(lines("a,120,0,20,10,11,11,25,,\n"), [Some(2)]);
        assert_eq!(lines("a,120,0,20,-10,11,11,15,,\n"), [Some(2)]);
        assert_eq!(lines("a,120,,,,,,,,fell\n"), [Some(2)]);
    }

    #[test]
    fn a_table_of_cells_is_read_with_its_pieces_and_fates() {
        let table = "piece,bridge_mm,across_mm,inside_mm,wide_mm,long_mm,diagonal_mm,result,after_h\na,120,-15,25,11,10.5,15,,\na,,,,,,,held,200\n";
        let pieces = read_cells("t", table).unwrap();
        assert_eq!((pieces.len(), pieces[0].cells.len()), (1, 1));
        assert_relative_eq!(pieces[0].cells[0].flat_mm, CELL);
        assert_eq!(pieces[0].outcomes[0].fate, Fate::Held);
        assert_eq!(pieces[0].outcomes[0].after_h, Some(200.0));
    }
}
