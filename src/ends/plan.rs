//! The end of a recess in plan, as columns from the press line out to the bond line.
//!
//! The recess runs along z and ends at z = 0, the tip of its end lip; x is to the right, y out
//! of the panel. It is a trapezoid, mirrored in x = 0, of which the right half is kept. Lip and
//! foot are each a straight side, an arc and a straight end. Columns are straight in plan: square
//! to the recess as far as the press line goes, and rays from its end beyond; each has its lip
//! and its foot where it crosses them, and the wall is ruled between. Beyond the lip a column
//! goes square to the lip.

use std::f64::consts::FRAC_PI_2;

/// How far over the floor, part of it, a pad goes up the wall. Less leaves a row too thin to mesh.
const UP_THE_WALL: f64 = 0.15;

/// What a trapezoid and its end are, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Plan {
    pub(super) half_mouth: f64,
    pub(super) half_floor: f64,
    pub(super) depth: f64,
    /// Plan radius of the end's lip, at most the half mouth.
    pub(super) lip_radius: f64,
    /// From end lip to end foot along the recess.
    pub(super) run: f64,
    /// Plan radius at the end's foot, at most the half floor.
    pub(super) foot_radius: f64,
    /// From the end of the press line to the end's foot.
    pub(super) stop: f64,
    /// Half the pad.
    pub(super) half_pad: f64,
    /// Free film beyond the lip at the sides and at the end.
    pub(super) side_reach: f64,
    pub(super) end_reach: f64,
    /// From the end's lip to the far plane, where film keeps its place along the recess.
    pub(super) far: f64,
}

/// A place in space.
pub(super) type P3 = [f64; 3];

/// A column: places of the panel from the press line to the bond line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    /// On the press line.
    pub(super) centre: P3,
    /// Where the pad ends.
    pub(super) pad: P3,
    pub(super) foot: P3,
    pub(super) lip: P3,
    pub(super) bond: P3,
    /// Does the pad go up the wall?
    pub(super) up: bool,
}

/// A straight side at x = `half`, an arc of `radius`, a straight end at z = `tip`.
#[derive(Debug, Clone, Copy)]
struct Outline {
    half: f64,
    radius: f64,
    tip: f64,
}

impl Outline {
    /// Where the side ends.
    fn side_end(self) -> f64 {
        self.tip - self.radius
    }

    /// The straight end's half length.
    fn end(self) -> f64 {
        self.half - self.radius
    }

    /// Where a ray from (0, z) crosses it, and the direction square to it there, outwards.
    fn crossed(self, z: f64, [dx, dz]: [f64; 2]) -> ([f64; 2], [f64; 2]) {
        let at = |t: f64| [t * dx, z + t * dz];
        if dx > 0.0 {
            let side = at(self.half / dx);
            if side[1] <= self.side_end() {
                return (side, [1.0, 0.0]);
            }
        }
        if dz > 0.0 {
            let end = at((self.tip - z) / dz);
            if end[0] <= self.end() {
                return ([end[0], self.tip], [0.0, 1.0]);
            }
        }
        // The far crossing of the arc's circle.
        let (cx, cz) = (-self.end(), z - self.side_end());
        let half = cx * dx + cz * dz;
        let root = (half * half - cx * cx - cz * cz + self.radius * self.radius)
            .max(0.0)
            .sqrt();
        let on = at(root - half);
        let normal = [
            (on[0] - self.end()) / self.radius,
            (on[1] - self.side_end()) / self.radius,
        ];
        (on, normal)
    }
}

impl Plan {
    fn lip(&self) -> Outline {
        Outline {
            half: self.half_mouth,
            radius: self.lip_radius,
            tip: 0.0,
        }
    }

    fn foot(&self) -> Outline {
        Outline {
            half: self.half_floor,
            radius: self.foot_radius,
            tip: -self.run,
        }
    }

    /// Where the press line ends.
    pub(super) fn press_end(&self) -> f64 {
        -self.run - self.stop
    }

    /// Columns from the far plane to the end's tip; `fan` gaps round the end. The second number
    /// counts those that share the end of the press line.
    pub(super) fn columns(&self, fan: usize) -> (Vec<Column>, usize) {
        let round: Vec<Column> = (self.angles(fan).into_iter())
            .map(|angle| {
                let (sin, cos) = angle.sin_cos();
                let ray = if angle >= FRAC_PI_2 {
                    [0.0, 1.0]
                } else {
                    [cos, sin]
                };
                self.column(self.press_end(), ray)
            })
            .collect();
        let near = apart(round[0].lip, round[1].lip).min(2.0 * apart(round[0].foot, round[1].foot));
        let mut columns: Vec<Column> = self
            .side(near)
            .into_iter()
            .map(|z| self.column(z, [1.0, 0.0]))
            .collect();
        columns.extend(round);
        (columns, fan + 1)
    }

    /// Directions of the rays: close where lip and foot turn, and where they are long.
    fn angles(&self, fan: usize) -> Vec<f64> {
        const PARTS: usize = 400;
        let mut sums = [vec![0.0], vec![0.0], vec![0.0], vec![0.0]];
        let mut before: Option<[([f64; 2], [f64; 2]); 2]> = None;
        for k in 0..=PARTS {
            let (sin, cos) = (FRAC_PI_2 * count(k) / count(PARTS)).sin_cos();
            let now = [self.lip(), self.foot()].map(|o| o.crossed(self.press_end(), [cos, sin]));
            if let Some(was) = before {
                for o in 0..2 {
                    let (p, n) = now[o];
                    let (q, m) = was[o];
                    let long = (p[0] - q[0]).hypot(p[1] - q[1]);
                    let turn = (n[0] - m[0]).hypot(n[1] - m[1]);
                    for (sum, by) in [(2 * o, long), (2 * o + 1, turn)] {
                        let last = sums[sum][sums[sum].len() - 1];
                        sums[sum].push(last + by);
                    }
                }
            }
            before = Some(now);
        }
        let all: Vec<f64> = (0..=PARTS)
            .map(|k| sums.iter().map(|s| s[k] / s[PARTS].max(1e-9)).sum())
            .collect();
        let whole = all[PARTS];
        (0..=fan)
            .map(|k| {
                let wanted = whole * count(k) / count(fan);
                let i = all.partition_point(|&a| a < wanted).clamp(1, PARTS);
                let t = (wanted - all[i - 1]) / (all[i] - all[i - 1]).max(1e-300);
                match k {
                    k if k == fan => FRAC_PI_2,
                    _ => FRAC_PI_2 * (count(i - 1) + t.clamp(0.0, 1.0)) / count(PARTS),
                }
            })
            .collect()
    }

    /// Places along the press line, from the far plane up to its end; `near` apart there.
    fn side(&self, near: f64) -> Vec<f64> {
        const GROWS: f64 = 1.35;
        // Until the sides run straight the places stay close.
        let straight = self.lip().side_end().min(self.foot().side_end());
        let mut places = Vec::new();
        let (mut z, mut gap) = (self.press_end(), near);
        while z - 1.5 * gap > -self.far {
            z -= gap;
            places.push(z);
            if z <= straight {
                gap *= GROWS;
            }
        }
        if self.press_end() > -self.far + 1e-9 {
            places.push(-self.far);
        }
        places.reverse();
        places
    }

    /// The column that leaves the press line at `z` in this direction.
    fn column(&self, z: f64, ray: [f64; 2]) -> Column {
        let low = |p: [f64; 2]| [p[0], -self.depth, p[1]];
        let (l, n) = self.lip().crossed(z, ray);
        let foot = low(self.foot().crossed(z, ray).0);
        let lip = [l[0], 0.0, l[1]];
        let reach = self.side_reach * n[0] * n[0] + self.end_reach * n[1] * n[1];
        let centre = [0.0, -self.depth, z];
        // A pad wider than the floor goes up the wall.
        let (floor, wall) = (apart(centre, foot), apart(foot, lip));
        let up = self.half_pad > (1.0 + UP_THE_WALL) * floor;
        let pad = if up {
            between(foot, lip, ((self.half_pad - floor) / wall).min(0.9))
        } else {
            between(centre, foot, (self.half_pad / floor).min(1.0))
        };
        Column {
            centre,
            pad,
            foot,
            lip,
            bond: [l[0] + reach * n[0], 0.0, l[1] + reach * n[1]],
            up,
        }
    }

    /// Is film bonded at the lip itself?
    pub(super) fn bonded_at_lip(&self) -> bool {
        self.side_reach <= 0.0
    }

    /// Does the pad lie on the floor of the long channel alone?
    pub(super) fn pad_on_floor(&self) -> bool {
        self.half_pad < self.half_floor
    }
}

#[expect(clippy::cast_precision_loss, reason = "some tens")]
pub(super) fn count(n: usize) -> f64 {
    n as f64
}

pub(super) fn between(a: P3, b: P3, part: f64) -> P3 {
    [
        a[0] + part * (b[0] - a[0]),
        a[1] + part * (b[1] - a[1]),
        a[2] + part * (b[2] - a[2]),
    ]
}

pub(super) fn sub(a: P3, b: P3) -> P3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

pub(super) fn dot(a: P3, b: P3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn apart(a: P3, b: P3) -> f64 {
    let d = sub(a, b);
    dot(d, d).sqrt()
}
