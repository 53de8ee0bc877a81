//! Film laid round an end: presses and fronts, each moment a sheet in equilibrium.
//!
//! What is laid is frozen; on the front each column's film coordinates X are known. Ahead lies
//! free film. The front goes by D on the panel, t along it, and takes
//!
//! ```text
//! dX = (D.t) X_t + |D - (D.t) t| X_n
//! ```
//!
//! with `X_t` and `X_n` as in [`super::front`], the first of them followed along the front rather
//! than taken as a slope. Heun's rule with one sheet in equilibrium a step: the slopes at its
//! far end are those of the film foretold, and the next step sets out from them. That is good to
//! the second order and holds while a step is less than the first row of free film
//! ([`ROWS_A_STEP`]). What is laid has the principal stretches 1/singular values of the matrix of both.
//!
//! Guarantee: a sheet that does not come into equilibrium is an error. Both of its
//! meshes lay the plane-strain column to 0.1 points; the peak of a round end falls to
//! its limit by the square of the mesh (area 53.6, 55.9, 56.1, 56.0 % as it is refined).

use super::Spot;
use super::energy::{Corner, Law};
use super::front::{Front, Slopes, stretches};
use super::plan::{Column, P3, Plan, apart, between, count, dot, sub};
use super::sheet::{Free, Sheet, Unbalanced};
use crate::geometry::halved;

/// A step of Newton's that ends a search, part of the half mouth: 1e-2 mm on the check channel.
/// A tenth of it moves no peak by 1e-4 points.
const LAST_STEP: f64 = 2.5e-4;

/// Rows of free film that a step may take, turned over. Under 1 short waves along the front grow
/// from step to step; above 2 the first row sees too little of a narrow pad.
const ROWS_A_STEP: f64 = 1.7;

/// How fine the meshes and steps are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Fine {
    /// Columns round the end.
    pub(super) fan: usize,
    /// Rows of hanging film.
    pub(super) hanging: usize,
    /// Rows of film over the flat.
    pub(super) flat: usize,
    /// Rows under the pad.
    pub(super) pad: usize,
    /// Steps over the floor.
    pub(super) floor: usize,
    /// Steps up or down the wall.
    pub(super) wall: usize,
}

/// All film that was laid, as a grid.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    /// Columns from the far plane to the tip, each from the inside outwards.
    pub(super) columns: Vec<Vec<Spot>>,
    /// Foot, lip and bond line of each column.
    pub(super) lines: Vec<[P3; 3]>,
    /// Press line and edge of the pad of each column.
    pub(super) press: Vec<[P3; 2]>,
    /// Sheets brought into equilibrium, and steps of Newton.
    pub(super) solves: usize,
    pub(super) steps: usize,
}

struct March<'a> {
    law: &'a Law,
    plan: Plan,
    fine: Fine,
    columns: Vec<Column>,
    fanned: usize,
    solves: usize,
    steps: usize,
}

/// Where a column of a sheet starts: its film, the end of what is pressed, and the panel under
/// the pad with its length.
struct Start {
    film: [f64; 2],
    from: P3,
    under: Vec<(P3, f64)>,
    below: f64,
}

fn mixed(a: [f64; 2], b: [f64; 2], part: f64) -> [f64; 2] {
    [0, 1].map(|k| a[k] + part * (b[k] - a[k]))
}

impl<'a> March<'a> {
    fn new(law: &'a Law, plan: Plan, fine: Fine) -> Self {
        let (columns, fanned) = plan.columns(fine.fan);
        Self {
            law,
            plan,
            fine,
            columns,
            fanned,
            solves: 0,
            steps: 0,
        }
    }

    /// A sheet over rows of places; `film` is the first guess, `free` what each may do.
    fn sheet(
        &self,
        rows: &[Vec<Corner>],
        parts: Vec<f64>,
        front: usize,
        free: impl Fn(usize, usize) -> Free,
    ) -> Sheet {
        let shared = front > 0;
        let columns = rows.len();
        let count = rows[0].len();
        let mut sheet = Sheet {
            columns,
            rows: count,
            at: Vec::with_capacity(columns * count),
            nodes: Vec::new(),
            lift: Vec::new(),
            free: Vec::new(),
            front,
            parts,
        };
        let first_fanned = columns - self.fanned;
        let mut centre = None;
        for (i, column) in rows.iter().enumerate() {
            for (j, corner) in column.iter().enumerate() {
                if shared && j == 0 && i >= first_fanned {
                    if let Some(node) = centre {
                        sheet.at.push(node);
                        continue;
                    }
                    centre = Some(sheet.nodes.len());
                }
                sheet.at.push(sheet.nodes.len());
                sheet.nodes.push(*corner);
                sheet.lift.push(0.0);
                let mut free = free(i, j);
                // The far plane keeps its place along the recess, the plane of symmetry across.
                if i == 0 {
                    free.z = false;
                }
                if i + 1 == columns || (shared && j == 0) {
                    free.x = false;
                }
                sheet.free.push(free);
            }
        }
        sheet
    }

    /// Brings a sheet into equilibrium, from where film lay a moment before if that is known.
    fn balance(&mut self, sheet: &mut Sheet, before: Option<&Sheet>) -> Result<(), Unbalanced> {
        self.solves += 1;
        let last = LAST_STEP * self.plan.half_mouth;
        if let Some(before) = before {
            let mut warm = sheet.clone();
            warm.start_from(before);
            if let Ok(steps) = warm.balance(self.law, last) {
                self.steps += steps;
                *sheet = warm;
                return Ok(());
            }
        }
        self.steps += sheet.balance(self.law, last)?;
        Ok(())
    }

    /// Rows of the flat from lip to bond.
    fn flat_rows(&self) -> Vec<f64> {
        match self.fine.flat {
            0 => vec![0.0],
            rows => graded(1.0 / (1.6 * count(rows)), rows),
        }
    }

    /// The sheet ahead of an outward front: hanging film up to the lip, film on the flat beyond.
    /// `first`: part of the way to the lip of the first row.
    fn outer(&self, front: &Front, first: f64) -> Sheet {
        let start = |i: usize| Start {
            film: front.film[i],
            from: front.at[i],
            under: Vec::new(),
            below: 0.0,
        };
        self.ahead(first, 0, start)
    }

    /// The first press: film under the pad slides, all else hangs or lies on the flat.
    fn press(&self, first: f64) -> Sheet {
        let start = |i: usize| {
            let column = &self.columns[i];
            let path = self.pad_path(column);
            Start {
                film: [column.centre[0], column.centre[2]],
                from: column.pad,
                under: along(&path, self.fine.pad),
                below: path.windows(2).map(|w| apart(w[0], w[1])).sum(),
            }
        };
        self.ahead(first, self.fine.pad, start)
    }

    /// Film from where each column starts to the bond line, `pad` rows of it under the pad.
    fn ahead(&self, first: f64, pad: usize, start: impl Fn(usize) -> Start) -> Sheet {
        let hanging = graded(first, self.fine.hanging);
        let flat = self.flat_rows();
        let column = |(i, column): (usize, &Column)| {
            let start = start(i);
            let normal = square(start.from, column);
            let gap = apart(start.from, column.lip);
            let reach = apart(column.lip, column.bond);
            // First guess: one stretch along the column.
            let bond = [column.bond[0], column.bond[2]];
            let all = start.below + gap + reach;
            let corner = |s: f64, at: P3| Corner {
                film: mixed(start.film, bond, s / all),
                at,
                normal,
            };
            let under = start.under.iter().take(pad);
            let under = under.map(|&(at, part)| corner(part * start.below, at));
            let hangs = hanging
                .iter()
                .map(|&t| corner(start.below + t * gap, between(start.from, column.lip, t)));
            let lies = flat[1..].iter().map(|&t| {
                corner(
                    start.below + gap + t * reach,
                    between(column.lip, column.bond, t),
                )
            });
            under.chain(hangs).chain(lies).collect()
        };
        let rows: Vec<Vec<Corner>> = self.columns.iter().enumerate().map(column).collect();
        let under = (0..pad).map(|k| count(k) / count(pad) - 1.0);
        let lies = flat[1..].iter().map(|t| 1.0 + t);
        let parts = under.chain(hanging.iter().copied()).chain(lies).collect();
        let (lip, last) = (pad + self.fine.hanging, rows[0].len() - 1);
        self.sheet(&rows, parts, pad, |_, j| match j {
            // A front is given, what is under a pad slides.
            0 if pad == 0 => Free::NONE,
            j if j == last => Free::NONE,
            j if j > pad && j < lip => Free {
                lift: true,
                ..Free::FILM
            },
            _ => Free::FILM,
        })
    }

    /// The sheet from the lip outwards, the front at the lip.
    fn flats(&self, front: &Front) -> Sheet {
        let flat = self.flat_rows();
        let rows: Vec<Vec<Corner>> = (self.columns.iter().enumerate())
            .map(|(i, column)| {
                let bond = [column.bond[0], column.bond[2]];
                (flat.iter())
                    .map(|&t| Corner {
                        film: mixed(front.film[i], bond, t),
                        at: between(column.lip, column.bond, t),
                        normal: [0.0, 1.0, 0.0],
                    })
                    .collect()
            })
            .collect();
        let last = self.fine.flat;
        let parts = flat.iter().map(|t| 1.0 + t).collect();
        self.sheet(&rows, parts, 0, |_, j| {
            if j == 0 || j == last {
                Free::NONE
            } else {
                Free::FILM
            }
        })
    }

    /// The panel under the pad, from the press line out.
    fn pad_path(&self, column: &Column) -> Vec<P3> {
        if column.up {
            vec![column.centre, column.foot, column.pad]
        } else {
            vec![column.centre, column.pad]
        }
    }

    /// The sheet inside an inward front: plane film up to the press line, or, `down`, on the
    /// panel.
    fn inner(&self, front: &Front, first: f64, down: bool) -> Sheet {
        let n = self.fine.hanging;
        let parts = graded(first, n);
        let rows: Vec<Vec<Corner>> = (self.columns.iter().enumerate())
            .map(|(i, column)| {
                let from = front.at[i];
                let over = [column.centre[0], from[1], column.centre[2]];
                let centre = [column.centre[0], column.centre[2]];
                let corner = |(at, part): (P3, f64)| Corner {
                    film: mixed(front.film[i], centre, part),
                    at,
                    normal: [0.0, 1.0, 0.0],
                };
                if down && column.up {
                    let path = along(&[from, column.foot, column.centre], n);
                    return path.into_iter().rev().map(corner).collect();
                }
                (0..=n)
                    .map(|j| corner((between(from, over, parts[n - j]), parts[n - j])))
                    .collect()
            })
            .collect();
        let places = (0..=n).map(|j| parts[n - j]).collect();
        self.sheet(&rows, places, n, |_, j| {
            if j == n { Free::NONE } else { Free::FILM }
        })
    }

    fn grid(&self, columns: Vec<Vec<Spot>>) -> Grid {
        Grid {
            columns,
            lines: self
                .columns
                .iter()
                .map(|c| [c.foot, c.lip, c.bond])
                .collect(),
            press: self.columns.iter().map(|c| [c.centre, c.pad]).collect(),
            solves: self.solves,
            steps: self.steps,
        }
    }

    fn spots(&self, front: &Front, slopes: &Slopes) -> Vec<Spot> {
        (0..self.columns.len())
            .map(|i| Spot {
                at: front.at[i],
                film: front.film[i],
                stretch: stretches(slopes.by_along[i], slopes.by_out[i]),
            })
            .collect()
    }

    /// Spots of a sheet that is laid as it lies, rows `from` to `to`.
    fn settle(&self, sheet: &Sheet, rows: impl Iterator<Item = usize> + Clone) -> Vec<Vec<Spot>> {
        // Each node's gradient: the mean over the triangles round it.
        let mut sums = vec![([0.0; 4], 0.0); sheet.nodes.len()];
        for (t, _) in sheet.triangles() {
            let p = t.map(|n| sheet.place(n));
            let x = t.map(|n| sheet.nodes[n].film);
            let (e1, e2) = (sub(p[1], p[0]), sub(p[2], p[0]));
            let l1 = dot(e1, e1).sqrt();
            let u = e1.map(|e| e / l1);
            let along = dot(e2, u);
            let rest = [0, 1, 2].map(|k| e2[k] - along * u[k]);
            let up = dot(rest, rest).sqrt();
            let d1 = [0, 1].map(|k| (x[1][k] - x[0][k]) / l1);
            let d2 = [0, 1].map(|k| (x[2][k] - x[0][k] - along * d1[k]) / up);
            let area = l1 * up;
            let metric = [
                d1[0] * d1[0] + d2[0] * d2[0],
                d1[0] * d1[1] + d2[0] * d2[1],
                d1[1] * d1[1] + d2[1] * d2[1],
                (d1[0] * d2[1] - d1[1] * d2[0]).abs(),
            ];
            for n in t {
                for (sum, m) in sums[n].0.iter_mut().zip(metric) {
                    *sum += area * m;
                }
                sums[n].1 += area;
            }
        }
        let spot = |n: usize| {
            let m = sums[n].0.map(|s| s / sums[n].1);
            let (half, gap) = (0.5 * (m[0] + m[2]), 0.5 * (m[0] - m[2]));
            let root = (gap * gap + m[1] * m[1]).sqrt();
            let large = (half + root).sqrt();
            Spot {
                at: sheet.place(n),
                film: sheet.nodes[n].film,
                stretch: [1.0 / (half - root).max(1e-12).sqrt(), 1.0 / large],
            }
        };
        (0..sheet.columns)
            .map(|i| rows.clone().map(|j| spot(sheet.node(i, j))).collect())
            .collect()
    }

    /// One step of Heun's from a sheet in equilibrium.
    fn step(
        &mut self,
        front: &Front,
        slopes: &Slopes,
        before: &Sheet,
        to: Vec<P3>,
        sheet: &dyn Fn(&Self, &Front) -> Sheet,
        (out, last): (bool, bool),
    ) -> Result<(Front, Sheet, Slopes), Unbalanced> {
        let from = slopes.left(front, &to);
        let moved = |by: &dyn Fn(usize, usize) -> f64| Front {
            film: (0..to.len())
                .map(|i| [0, 1].map(|k| from[i].film[k] + from[i].far * by(i, k)))
                .collect(),
            at: to.clone(),
        };
        let guess = moved(&|i, k| from[i].by_out[k]);
        let mut ahead = sheet(self, &guess);
        self.balance(&mut ahead, Some(before))?;
        let there = Slopes::of(&guess, &ahead, out);
        let next = moved(&|i, k| 0.5 * (from[i].by_out[k] + there.by_out[i][k]));
        if !last {
            // The next step sets out from these: good to the same order, at half the price.
            return Ok((next, ahead, there));
        }
        let first_try = ahead;
        let mut ahead = sheet(self, &next);
        self.balance(&mut ahead, Some(&first_try))?;
        let slopes = Slopes::of(&next, &ahead, out);
        Ok((next, ahead, slopes))
    }
}

/// Square to the chord from a front to the lip, upwards and inwards.
fn square(from: P3, column: &Column) -> P3 {
    let chord = sub(column.lip, from);
    let plan = sub(column.lip, column.foot);
    let plan = if plan[0].hypot(plan[2]) > 1e-9 {
        plan
    } else {
        sub(column.bond, column.lip)
    };
    // Level, and square to the column in plan.
    let side = [-plan[2], 0.0, plan[0]];
    let n = [
        side[1] * chord[2] - side[2] * chord[1],
        side[2] * chord[0] - side[0] * chord[2],
        side[0] * chord[1] - side[1] * chord[0],
    ];
    let size = dot(n, n).sqrt();
    if size < 1e-12 {
        [0.0, 1.0, 0.0]
    } else {
        n.map(|c| c / size)
    }
}

/// Parts of a way from 0 to 1 in `n` rows whose first is `first`, each longer than the last by
/// the same factor.
fn graded(first: f64, n: usize) -> Vec<f64> {
    let first = first.clamp(1e-4, 0.45);
    let sum = |r: f64| (0..n).fold(0.0, |s, _| 1.0 + r * s);
    let least = 0.02_f64.powf(1.0 / count(n - 1));
    let r = halved((least, 10.0), 60, |r| sum(r) >= 1.0 / first).1;
    let all = sum(r);
    let mut places = vec![0.0];
    let (mut at, mut gap) = (0.0, 1.0 / all);
    for _ in 0..n {
        at += gap;
        gap *= r;
        places.push(at);
    }
    if let Some(last) = places.last_mut() {
        *last = 1.0;
    }
    places
}

/// Places along a path in `n` rows, its corner among them, and the part of the way each is at.
fn along(path: &[P3], n: usize) -> Vec<(P3, f64)> {
    let legs: Vec<f64> = path.windows(2).map(|w| apart(w[0], w[1])).collect();
    let all: f64 = legs.iter().sum();
    let place = |leg: usize, j: usize, rows: usize| {
        let t = count(j) / count(rows);
        let gone: f64 = legs[..leg].iter().sum::<f64>() + t * legs[leg];
        (between(path[leg], path[leg + 1], t), gone / all)
    };
    if legs.len() == 1 {
        return (0..=n).map(|j| place(0, j, n)).collect();
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most n"
    )]
    let first = ((count(n) * legs[0] / all).round() as usize).clamp(1, n - 1);
    let mut places: Vec<(P3, f64)> = (0..first).map(|j| place(0, j, first)).collect();
    places.extend((0..=n - first).map(|j| place(1, j, n - first)));
    places
}

/// Largest part of the way to the lip (or press line) that a step takes.
fn share(from: &[P3], to: &[P3], ahead: &[P3]) -> f64 {
    let parts = from
        .iter()
        .zip(to)
        .zip(ahead)
        .map(|((a, b), end)| apart(*a, *b) / apart(*a, *end).max(1e-9));
    ROWS_A_STEP * parts.fold(0.0, f64::max)
}

/// Lays film deepest first: press, floor, wall, flats.
pub(super) fn deepest_first(law: &Law, plan: Plan, fine: Fine) -> Result<Grid, Unbalanced> {
    // Film bonded at the lip: nothing lies over the flat.
    let stuck = plan.bonded_at_lip();
    let fine = Fine {
        flat: if stuck { 0 } else { fine.flat },
        ..fine
    };
    let mut m = March::new(law, plan, fine);
    let lips: Vec<P3> = m.columns.iter().map(|c| c.lip).collect();
    let mut stations: Vec<Vec<P3>> = vec![m.columns.iter().map(|c| c.pad).collect()];
    if plan.pad_on_floor() {
        let grows = (plan.half_floor / plan.half_pad.max(1e-3 * plan.half_floor))
            .powf(1.0 / count(fine.floor));
        for k in 1..=fine.floor {
            let part = (grows.powi(i32::try_from(k).unwrap_or(0)) - 1.0)
                / (grows.powi(i32::try_from(fine.floor).unwrap_or(0)) - 1.0);
            stations.push(
                m.columns
                    .iter()
                    .map(|c| {
                        if c.up {
                            c.pad
                        } else {
                            between(c.pad, c.foot, part)
                        }
                    })
                    .collect(),
            );
        }
    }
    let start = stations[stations.len() - 1].clone();
    for k in 1..=fine.wall {
        let part = count(k) / count(fine.wall);
        stations.push(
            start
                .iter()
                .zip(&lips)
                .map(|(a, b)| between(*a, *b, part))
                .collect(),
        );
    }
    let firsts: Vec<f64> = stations
        .windows(2)
        .map(|w| share(&w[0], &w[1], &lips))
        .collect();
    if stuck {
        // Beyond the last front there is no free film: the strip to the lip lies as it hangs.
        stations.pop();
    }

    let mut sheet = m.press(firsts[0]);
    m.balance(&mut sheet, None)?;
    let mut laid = m.settle(&sheet, 0..fine.pad);
    let mut front = Front {
        at: stations[0].clone(),
        film: (0..m.columns.len())
            .map(|i| sheet.nodes[sheet.node(i, fine.pad)].film)
            .collect(),
    };
    let press = sheet;
    let mut sheet = m.outer(&front, firsts[0]);
    m.balance(&mut sheet, Some(&press))?;
    let mut slopes = Slopes::of(&front, &sheet, true);
    for k in 1..stations.len() {
        for (column, spot) in laid.iter_mut().zip(m.spots(&front, &slopes)) {
            column.push(spot);
        }
        let last = !stuck && k + 1 == stations.len();
        let first = firsts[k.min(firsts.len() - 1)];
        let make = move |m: &March<'_>, front: &Front| {
            if last {
                m.flats(front)
            } else {
                m.outer(front, first)
            }
        };
        (front, sheet, slopes) = m.step(
            &front,
            &slopes,
            &sheet,
            stations[k].clone(),
            &make,
            (true, last),
        )?;
    }
    if stuck {
        for (i, spot) in m.spots(&front, &slopes).into_iter().enumerate() {
            let lip = m.columns[i].lip;
            laid[i].push(spot);
            laid[i].push(Spot {
                at: lip,
                film: [lip[0], lip[2]],
                ..spot
            });
        }
        return Ok(m.grid(laid));
    }
    // The film over the flats lies where it is.
    let flats = m.settle(&sheet, 1..fine.flat + 1);
    for (column, (spot, flats)) in laid
        .iter_mut()
        .zip(m.spots(&front, &slopes).into_iter().zip(flats))
    {
        column.push(spot);
        column.extend(flats);
    }
    Ok(m.grid(laid))
}

/// Lays film edges first: flats as they are, wall, floor.
pub(super) fn edges_first(law: &Law, plan: Plan, fine: Fine) -> Result<Grid, Unbalanced> {
    let mut m = March::new(law, plan, fine);
    let ends: Vec<P3> = m
        .columns
        .iter()
        .map(|c| if c.up { c.pad } else { c.foot })
        .collect();
    let mut stations: Vec<Vec<P3>> = Vec::new();
    for k in 0..=fine.wall {
        let part = count(k) / count(fine.wall);
        stations.push(
            m.columns
                .iter()
                .zip(&ends)
                .map(|(c, end)| between(c.lip, *end, part))
                .collect(),
        );
    }
    let mut front = Front {
        at: stations[0].clone(),
        film: m.columns.iter().map(|c| [c.lip[0], c.lip[2]]).collect(),
    };
    let first = |m: &March<'_>, k: usize| {
        let (from, to) = (&stations[k], &stations[(k + 1).min(stations.len() - 1)]);
        let ahead: Vec<P3> = m
            .columns
            .iter()
            .zip(from)
            .map(|(c, f)| [c.centre[0], f[1], c.centre[2]])
            .collect();
        share(from, to, &ahead).max(0.3 / count(m.fine.hanging))
    };
    let f0 = first(&m, 0);
    // Not stretched yet, film lies as it is.
    let mut sheet = m.inner(&front, f0, false);
    let mut slopes = Slopes::of(&front, &sheet, false);
    let mut inwards: Vec<Vec<Spot>> = Vec::new();
    for k in 1..stations.len() {
        inwards.push(m.spots(&front, &slopes));
        let last = k + 1 == stations.len();
        let f = first(&m, k);
        let make = move |m: &March<'_>, front: &Front| m.inner(front, f, false);
        let to = stations[k].clone();
        (front, sheet, slopes) = m.step(&front, &slopes, &sheet, to, &make, (false, last))?;
    }
    // What is left goes down in one press.
    let mut down = m.inner(&front, first(&m, fine.wall), true);
    m.balance(&mut down, Some(&sheet))?;
    let sheet = down;
    inwards.push(m.spots(&front, &slopes));
    let mut laid = m.settle(&sheet, 0..fine.hanging);
    for (i, column) in laid.iter_mut().enumerate() {
        column.extend(inwards.iter().rev().map(|row| row[i]));
        let c = &m.columns[i];
        column.push(Spot {
            at: c.bond,
            film: [c.bond[0], c.bond[2]],
            stretch: [1.0, 1.0],
        });
    }
    Ok(m.grid(laid))
}
