//! Film from a bond line inwards, zone by zone.

use crate::film::StretchLaw;

/// Most steps of Newton for the tension at a zone's end; it takes two or three.
const MOST_NEWTON: usize = 20;
/// Change, as a part of the tension, after which Newton, being quadratic, has met rounding.
const LAST_CHANGE: f64 = 1e-8;

/// Film from a bond line inwards: where each zone ends, mm, and its law.
#[derive(Debug)]
pub(super) struct Strip<'a> {
    zones: Vec<(f64, &'a StretchLaw)>,
}

impl<'a> Strip<'a> {
    /// Zones counted from the left bond line.
    pub(super) fn from_left(zones: &[(f64, &'a StretchLaw)]) -> Self {
        let mut zones = zones.to_vec();
        if let Some(last) = zones.last_mut() {
            last.0 = f64::INFINITY;
        }
        Self { zones }
    }

    /// The same zones counted from the right bond line.
    pub(super) fn from_right(zones: &[(f64, &'a StretchLaw)]) -> Self {
        let taut = zones.last().map_or(0.0, |z| z.0);
        let n = zones.len();
        let zones = (0..n)
            .rev()
            .map(|i| {
                let begin = if i > 0 { zones[i - 1].0 } else { 0.0 };
                let end = if i > 0 { taut - begin } else { f64::INFINITY };
                (end, zones[i].1)
            })
            .collect();
        Self { zones }
    }

    /// The zone just outside of a place (towards the bond line).
    pub(super) fn outside(&self, y: f64) -> usize {
        let at = self.zones.partition_point(|z| z.0 < y);
        at.min(self.zones.len() - 1)
    }

    /// The zone just inside of a place.
    pub(super) fn inside(&self, y: f64) -> usize {
        let at = self.zones.partition_point(|z| z.0 <= y);
        at.min(self.zones.len() - 1)
    }

    /// Where a zone ends, mm; the innermost never does.
    pub(super) fn end(&self, zone: usize) -> f64 {
        self.zones[zone].0
    }

    /// End, mm, and law of a zone.
    pub(super) fn zone(&self, zone: usize) -> (f64, &'a StretchLaw) {
        self.zones[zone]
    }

    /// Number of zones.
    pub(super) fn count(&self) -> usize {
        self.zones.len()
    }

    /// Can all laws be differentiated at will?
    pub(super) fn is_smooth(&self) -> bool {
        let smooth = |z: &(f64, &StretchLaw)| matches!(z.1, StretchLaw::NeoHookean(_));
        self.zones.iter().all(smooth)
    }

    /// Where a zone begins, mm.
    pub(super) fn begin(&self, zone: usize) -> f64 {
        zone.checked_sub(1)
            .map_or(f64::NEG_INFINITY, |before| self.zones[before].0)
    }

    pub(super) fn law(&self, zone: usize) -> &'a StretchLaw {
        self.zones[zone].1
    }

    /// Moves (y, dy/dN) inwards over a length (l, dl/dN) at constant tension (n, dn/dN).
    pub(super) fn fill(&self, y: &mut (f64, f64), mut l: (f64, f64), n: (f64, f64)) {
        let mut zone = self.inside(y.0);
        loop {
            let (end, law) = self.zones[zone];
            let (lambda, slope) = law.lambda_and_slope(n.0);
            let dlambda = slope * n.1;
            let room = end - y.0;
            if room * lambda < l.0 {
                l.0 -= room * lambda;
                l.1 -= room * dlambda - lambda * y.1;
                *y = (end, 0.0);
                zone += 1;
            } else {
                let film = l.0 / lambda;
                y.0 += film;
                y.1 += (l.1 - film * dlambda) / lambda;
                return;
            }
        }
    }

    /// The same over film that drags by `tau` per mm, from its inner tension outwards until
    /// there is none.
    pub(super) fn fill_dragged(&self, y: &mut (f64, f64), length: f64, n: (f64, f64), tau: f64) {
        let slack = length - n.0.max(0.0) / tau;
        if slack > 0.0 {
            let slope = if n.0 > 0.0 { -n.1 / tau } else { 0.0 };
            self.fill(y, (slack.min(length), slope), (0.0, 0.0));
            self.fill_rising(y, (0.0, 0.0), n, tau);
        } else {
            self.fill_rising(y, (n.0 - tau * length, n.1), n, tau);
        }
    }

    /// The same where the tension rises inwards from `a` to `b` by `tau` per mm.
    pub(super) fn fill_rising(
        &self,
        y: &mut (f64, f64),
        mut a: (f64, f64),
        b: (f64, f64),
        tau: f64,
    ) {
        let mut zone = self.inside(y.0);
        while a.0 < b.0 {
            let (end, law) = self.zones[zone];
            let ((la, phi), (lb, phi_b)) =
                (law.lambda_and_integral(a.0), law.lambda_and_integral(b.0));
            let film = (phi_b - phi) / tau;
            let room = end - y.0;
            if film <= room {
                y.0 += film;
                y.1 += (b.1 / lb - a.1 / la) / tau;
                return;
            }
            // The tension at the zone's end: Phi(c) = Phi(a) + tau room, Newton kept inside.
            let mut c = a.0 + (b.0 - a.0) * room / film;
            for _ in 0..MOST_NEWTON {
                let (lambda, at) = law.lambda_and_integral(c);
                let step = (at - phi - tau * room) * lambda;
                c = (c - step).clamp(a.0, b.0);
                if step.abs() <= LAST_CHANGE * b.0 {
                    break;
                }
            }
            a = (c, law.lambda(c) * (a.1 / la - tau * y.1));
            *y = (end, 0.0);
            zone += 1;
        }
    }
}
