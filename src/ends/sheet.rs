//! A sheet of free film between what is laid and what is bonded, brought into equilibrium.
//!
//! The sheet is a grid: columns from the far plane round the end, rows along each column. A
//! node's place in space is given, but for a lift along its normal where film hangs free; what
//! is sought is where on the flat film it lies. Film flows through the mesh, so that a sharp lip
//! costs nothing and plane strain is exact.
//!
//! Found by Newton's method with exact second derivatives, on the energy of [`super::energy`],
//! each quad cut along both diagonals at half weight. A step that does not lower the energy is
//! halved; where the second derivatives are not positive they are shifted.

use super::energy::{Corner, Law, Local, energy, local};
use super::plan::{P3, apart};
use super::skyline::Skyline;

/// No unknown: the value is given.
pub(super) const GIVEN: u32 = u32::MAX;
/// Most steps of Newton: from a good start two or three are taken, from the first guess some
/// fifteen.
const MOST_STEPS: usize = 60;
/// A shift of the second derivatives that still leaves a step of Newton's nearly whole.
const SLIGHT: f64 = 1e-2;

/// What a node may do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Free {
    pub(super) x: bool,
    pub(super) z: bool,
    pub(super) lift: bool,
}

impl Free {
    pub(super) const NONE: Self = Self {
        x: false,
        z: false,
        lift: false,
    };
    pub(super) const FILM: Self = Self {
        x: true,
        z: true,
        lift: false,
    };
}

/// A grid of film.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// Node of each place of the grid, column by column.
    pub(super) at: Vec<usize>,
    pub(super) nodes: Vec<Corner>,
    pub(super) lift: Vec<f64>,
    pub(super) free: Vec<Free>,
    /// The row of the front.
    pub(super) front: usize,
    /// Where the rows are: 0 at the front or the pad, 1 at the lip or the press line.
    pub(super) parts: Vec<f64>,
}

/// A triangle in the sum of a sheet's energy: its weight and its unknowns' numbers.
struct Piece {
    nodes: [usize; 3],
    weight: f64,
    at: [u32; 9],
}

impl Piece {
    /// Adds its derivatives to all film's.
    fn add(&self, local: &Local, slope: &mut [f64], matrix: &mut Skyline) {
        for (i, &row) in self.at.iter().enumerate() {
            if row == GIVEN {
                continue;
            }
            slope[row as usize] += self.weight * local.slope[i];
            for (&column, bend) in self.at[..=i].iter().zip(&local.bend[i]) {
                if column != GIVEN {
                    matrix.add(row as usize, column as usize, self.weight * bend);
                }
            }
        }
    }
}

/// The film did not come into equilibrium.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Unbalanced;

impl Sheet {
    pub(super) fn node(&self, column: usize, row: usize) -> usize {
        self.at[column * self.rows + row]
    }

    /// Where a node is in space.
    pub(super) fn place(&self, node: usize) -> P3 {
        let (c, w) = (&self.nodes[node], self.lift[node]);
        [
            c.at[0] + w * c.normal[0],
            c.at[1] + w * c.normal[1],
            c.at[2] + w * c.normal[2],
        ]
    }

    fn corner(&self, node: usize) -> Corner {
        Corner {
            at: self.place(node),
            ..self.nodes[node]
        }
    }

    /// The triangles, their film turning left: both cuts of each quad, with their weight.
    pub(super) fn triangles(&self) -> Vec<([usize; 3], f64)> {
        let mut all = Vec::with_capacity(4 * self.columns * self.rows);
        for i in 0..self.columns - 1 {
            for j in 0..self.rows - 1 {
                all.extend(self.quad(i, j));
            }
        }
        all
    }

    pub(super) fn quad(&self, i: usize, j: usize) -> impl Iterator<Item = ([usize; 3], f64)> {
        let (a, b) = (self.node(i, j), self.node(i + 1, j));
        let (d, c) = (self.node(i, j + 1), self.node(i + 1, j + 1));
        let cuts = [[a, d, c], [a, c, b], [a, d, b], [d, c, b]];
        cuts.into_iter()
            .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0])
            .map(|t| (t, 0.5))
    }

    /// Numbers the unknowns column by column, nodes of several columns last.
    fn number(&self) -> (Vec<[u32; 3]>, usize) {
        let mut seen = vec![0usize; self.nodes.len()];
        for &node in &self.at {
            seen[node] += 1;
        }
        let mut numbers = vec![[GIVEN; 3]; self.nodes.len()];
        let mut count = 0u32;
        for shared in [false, true] {
            for &node in &self.at {
                if (seen[node] > 1) != shared || numbers[node] != [GIVEN; 3] {
                    continue;
                }
                let free = self.free[node];
                for (k, is) in [free.x, free.z, free.lift].into_iter().enumerate() {
                    if is {
                        numbers[node][k] = count;
                        count += 1;
                    }
                }
            }
        }
        (numbers, count as usize)
    }

    fn energy(&self, law: &Law, pieces: &[Piece]) -> f64 {
        let mut sum = 0.0;
        for piece in pieces {
            sum += piece.weight * energy(law, &piece.nodes.map(|n| self.corner(n)));
            if !sum.is_finite() {
                return f64::INFINITY;
            }
        }
        sum
    }

    /// Goes a part of a step from where film lay.
    fn go(&mut self, from: &[[f64; 3]], numbers: &[[u32; 3]], step: &[f64], part: f64) {
        for (node, (from, number)) in from.iter().zip(numbers).enumerate() {
            let to = |k: usize| match number[k] {
                GIVEN => from[k],
                at => from[k] + part * step[at as usize],
            };
            self.nodes[node].film = [to(0), to(1)];
            self.lift[node] = to(2);
        }
    }

    /// Where film lies and how far it is lifted, node by node.
    fn lies(&self) -> Vec<[f64; 3]> {
        let all = self.nodes.iter().zip(&self.lift);
        all.map(|(c, &lift)| [c.film[0], c.film[1], lift]).collect()
    }

    /// Starts from where film lay in a sheet a moment before, read between its rows; it goes
    /// along with its front the less the further from it it is.
    pub(super) fn start_from(&mut self, before: &Self) {
        let front = self.front;
        // What hangs goes along; on the flat film hardly moves, unless the front is there.
        let from = self.parts[front];
        let to = if from < 1.0 { 1.0 } else { 2.0 };
        for i in 0..self.columns {
            let now = self.nodes[self.node(i, front)].film;
            let (was, _) = before.read(i, from);
            let by = [now[0] - was[0], now[1] - was[1]];
            // A bulge goes by the square of what it spans.
            let (span, spanned) = (self.hangs(i), before.hangs(i));
            let bulge = if spanned > 0.0 {
                (span / spanned).powi(2)
            } else {
                0.0
            };
            for j in 0..self.rows {
                let (film, lift) = before.read(i, self.parts[j]);
                let part = ((to - self.parts[j]) / (to - from)).max(0.0);
                let node = self.node(i, j);
                let free = self.free[node];
                if free.x {
                    self.nodes[node].film[0] = film[0] + part * by[0];
                }
                if free.z {
                    self.nodes[node].film[1] = film[1] + part * by[1];
                }
                if free.lift {
                    self.lift[node] = bulge * lift;
                }
            }
        }
    }

    /// Length of the rows that hang in a column.
    fn hangs(&self, column: usize) -> f64 {
        let nodes = (0..self.rows).map(|j| self.node(column, j));
        let lifted = nodes
            .filter(|&n| self.free[n].lift)
            .map(|n| self.nodes[n].at);
        let (mut first, mut last) = (None, None);
        for at in lifted {
            first = first.or(Some(at));
            last = Some(at);
        }
        first.zip(last).map_or(0.0, |(a, b)| apart(a, b))
    }

    /// Film and lift at a part of a column.
    fn read(&self, column: usize, part: f64) -> ([f64; 2], f64) {
        let up = self.parts[self.rows - 1] > self.parts[0];
        let above = |x: &f64| if up { *x <= part } else { *x >= part };
        let k = self.parts.partition_point(above).clamp(1, self.rows - 1);
        let (p0, p1) = (self.parts[k - 1], self.parts[k]);
        let t = (part - p0) / (p1 - p0);
        let (a, b) = (self.node(column, k - 1), self.node(column, k));
        let (x, y) = (self.nodes[a].film, self.nodes[b].film);
        let film = [x[0] + t * (y[0] - x[0]), x[1] + t * (y[1] - x[1])];
        (film, self.lift[a] + t * (self.lift[b] - self.lift[a]))
    }

    /// Brings the sheet into equilibrium; returns the steps it took. A step of `last`, mm, ends
    /// the search: its square is what is left.
    pub(super) fn balance(&mut self, law: &Law, last: f64) -> Result<usize, Unbalanced> {
        let (numbers, count) = self.number();
        if count == 0 {
            return Ok(0);
        }
        let piece = |(nodes, weight): ([usize; 3], f64)| {
            let at: [u32; 9] = std::array::from_fn(|k| numbers[nodes[k / 3]][k % 3]);
            Piece { nodes, weight, at }
        };
        let pieces: Vec<Piece> = self.triangles().into_iter().map(piece).collect();
        let mut first: Vec<usize> = (0..count).collect();
        for piece in &pieces {
            let low = piece.at.into_iter().min().unwrap_or(GIVEN);
            for at in piece.at.into_iter().filter(|&at| at != GIVEN) {
                first[at as usize] = first[at as usize].min(low as usize);
            }
        }
        let mut matrix = Skyline::new(first);
        let mut shift = 0.0;
        let mut held = self.energy(law, &pieces);
        if !held.is_finite() {
            return Err(Unbalanced);
        }
        for taken in 1..=MOST_STEPS {
            matrix.clear();
            let mut slope = vec![0.0; count];
            for piece in &pieces {
                let corners = piece.nodes.map(|n| self.corner(n));
                let local = local(law, &corners).ok_or(Unbalanced)?;
                piece.add(&local, &mut slope, &mut matrix);
            }
            let factor = loop {
                if let Some(factor) = matrix.factor(shift) {
                    break factor;
                }
                shift = if shift == 0.0 { 1e-4 } else { 4.0 * shift };
                if shift > 1e6 {
                    return Err(Unbalanced);
                }
            };
            let mut step: Vec<f64> = slope.iter().map(|s| -s).collect();
            factor.solve(&mut step);
            let down: f64 = step.iter().zip(&slope).map(|(a, b)| a * b).sum();
            let far = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
            let mut part = 1.0;
            let from = self.lies();
            loop {
                self.go(&from, &numbers, &step, part);
                let energy = self.energy(law, &pieces);
                if energy <= held + 1e-4 * part * down
                    || (far < last && energy <= held + 1e-12 * held.abs())
                {
                    held = energy;
                    break;
                }
                part *= 0.5;
                if part < 1e-6 {
                    self.go(&from, &numbers, &step, 0.0);
                    return if far < 10.0 * last {
                        Ok(taken)
                    } else {
                        Err(Unbalanced)
                    };
                }
            }
            let tried = shift;
            shift *= 0.1;
            if shift < 1e-8 {
                shift = 0.0;
            }
            // What is left of the energy is the square of a step, where film is slack and gives.
            let slack = -down < last * last * 1e-2;
            if far * part < last && (part >= 1.0 && tried <= SLIGHT || slack) {
                return Ok(taken);
            }
        }
        Err(Unbalanced)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A flat sheet of five by five nodes at uneven places, its edge given the film of `film`,
    /// the rest a first guess beside it.
    fn patch(film: impl Fn(P3) -> [f64; 2]) -> Sheet {
        const N: usize = 5;
        let mut sheet = Sheet {
            columns: N,
            rows: N,
            at: (0..N * N).collect(),
            nodes: Vec::new(),
            lift: Vec::new(),
            free: Vec::new(),
            front: 0,
            parts: vec![0.0, 0.25, 0.5, 0.75, 1.0],
        };
        for (i, j) in (0..N * N).map(|k| (k / N, k % N)) {
            let inside = (1..N - 1).contains(&i) && (1..N - 1).contains(&j);
            let wave = |a: usize| {
                if inside {
                    [0.0, 0.31, -0.22, 0.17, -0.08][a % 5]
                } else {
                    0.0
                }
            };
            let at = [
                super::super::plan::count(j) + wave(i + 2 * j),
                0.0,
                super::super::plan::count(i) + wave(3 * i + j + 1),
            ];
            let mut lies = film(at);
            if inside {
                lies[0] += 0.05;
                lies[1] -= 0.03;
            }
            let normal = [0.0, 1.0, 0.0];
            sheet.nodes.push(Corner {
                film: lies,
                at,
                normal,
            });
            sheet.lift.push(if inside { 0.02 } else { 0.0 });
            sheet.free.push(if inside {
                Free {
                    lift: true,
                    ..Free::FILM
                }
            } else {
                Free::NONE
            });
        }
        sheet
    }

    #[test]
    fn an_uneven_patch_of_evenly_stretched_film_comes_out_even() {
        // Reference: the patch test (B. Irons; memory): a field that an element can show must be
        // found whatever the mesh. Stretched both ways and sheared.
        let even = |p: P3| [0.8 * p[0] + 0.06 * p[2], 0.7 * p[2] - 0.04 * p[0]];
        let mut sheet = patch(even);
        let steps = sheet
            .balance(&Law::NeoHookean, 1e-9)
            .expect("in equilibrium");
        assert!(steps < 15, "{steps}");
        for (node, lift) in sheet.nodes.iter().zip(&sheet.lift) {
            let expected = even(node.at);
            for (found, expected) in node.film.iter().zip(expected) {
                assert!((found - expected).abs() < 1e-9, "{found} {expected}");
            }
            // Taut film between level edges is level.
            assert!(lift.abs() < 1e-9, "{lift}");
        }
    }
}
