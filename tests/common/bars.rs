//! A second method that knows nothing of fronts: the film as bars, laid node by node.
//!
//! The film is cut into bars of equal unstretched length. Bars that are not down yet are
//! in equilibrium along the taut path over the panel (found by wrapping): one tension in
//! the air, less by exp(-mu theta) beyond each corner (Euler-Eytelwein), each bar at the
//! stretch its own stiffness gives. Node after node goes down; a bar keeps the mean of the
//! stretches its tensions give before and after, which is second order in the bar's length.
//! The stretch law is inverted by bisection. Half of a symmetric recess, a pointed press.

use super::sections::wrapped;
use tautspan::film::StretchLaw;
use tautspan::laydown::Warm;
use tautspan::{Bed, Bonds, Conditions, Laydown, Order, Point, Recess, Section, Survey};

/// Stretch ratio of a bar: lambda - lambda^-3 = q by bisection.
fn stretch(q: f64) -> f64 {
    let (mut low, mut high) = (1.0, 2.0 + q);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if middle - f64::powi(middle, -3) < q {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Half a recess: the panel from the press out to the right bond line.
pub(crate) struct Half {
    panel: Vec<Point>,
    mu: f64,
    /// Unstretched length and stiffness of each bar, from the press outwards.
    bar: f64,
    stiffness: Vec<f64>,
}

impl Half {
    /// The panel from a length beyond the press on.
    fn ahead(&self, s: f64) -> Vec<Point> {
        let mut left = s;
        for (i, w) in self.panel.windows(2).enumerate() {
            let length = (w[1] - w[0]).norm();
            if left < length {
                let mut chain = vec![w[0] + (w[1] - w[0]) * (left / length)];
                chain.extend(&self.panel[i + 1..]);
                return chain;
            }
            left -= length;
        }
        vec![self.panel[self.panel.len() - 1]]
    }

    /// Film left over, mm, when bars from the `first` on have covered the taut path at a
    /// tension of the first; what the path lacks of them, mm of panel, below 0.
    fn left_over(&self, path: &[Point], first: usize, tension: f64) -> f64 {
        let (mut n, mut i, mut film) = (tension, first, self.bar);
        for (corner, w) in path.windows(2).enumerate() {
            if corner > 0 {
                let (a, b) = (w[0] - path[corner - 1], w[1] - w[0]);
                n *= (-self.mu * (a.x * b.y - a.y * b.x).abs().atan2(a.dot(&b))).exp();
            }
            let mut length = (w[1] - w[0]).norm();
            let (mut stiffness, mut lambda) = (f64::NAN, 1.0);
            while length > 0.0 {
                let Some(&own) = self.stiffness.get(i) else {
                    return -length;
                };
                if own.to_bits() != stiffness.to_bits() {
                    (stiffness, lambda) = (own, stretch(n / own));
                }
                if film * lambda <= length {
                    length -= film * lambda;
                    (i, film) = (i + 1, self.bar);
                } else {
                    film -= length / lambda;
                    length = 0.0;
                }
            }
        }
        film + self
            .stiffness
            .iter()
            .skip(i + 1)
            .map(|_| self.bar)
            .sum::<f64>()
    }

    /// Tension of the first bar in equilibrium with the front at `s`.
    fn tension(&self, s: f64, first: usize) -> f64 {
        let path = wrapped(&self.ahead(s));
        let (mut low, mut high) = (0.0, 1.0);
        while self.left_over(&path, first, high) < 0.0 {
            high *= 2.0;
        }
        for _ in 0..45 {
            let middle = 0.5 * (low + high);
            if self.left_over(&path, first, middle) < 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// Lays node after node; the middle of each bar on the panel with its stretch.
    pub(crate) fn lay(&self) -> Vec<(f64, f64)> {
        let mut laid = Vec::new();
        let mut s = 0.0;
        let mut before = self.tension(0.0, 0);
        let all: f64 = self.panel.windows(2).map(|w| (w[1] - w[0]).norm()).sum();
        for (i, &k) in self.stiffness.iter().enumerate() {
            let mut lambda = stretch(before / k);
            let mut after = before;
            if i + 1 < self.stiffness.len() {
                for _ in 0..6 {
                    let next = (s + self.bar * lambda).min(all);
                    after = self.tension(next, i + 1);
                    let better = 0.5 * (stretch(before / k) + stretch(after / k));
                    let done = (better - lambda).abs() < 1e-10;
                    lambda = better;
                    if done {
                        break;
                    }
                }
            }
            laid.push((s + 0.5 * self.bar * lambda, lambda));
            (s, before) = (s + self.bar * lambda, after);
        }
        laid
    }
}

/// The channel of mechanics.md section 3 with 40 mm of reach: half of it, in `bars` bars,
/// those of the mouth `soft` of the stiffness of the others.
pub(crate) fn half_channel(bars: usize, mu: f64, soft: f64) -> Half {
    let panel = [(0.0, -25.0), (20.0, -25.0), (40.0, 0.0), (80.0, 0.0)];
    let stiffness = (0..bars).map(|i| if 2 * i < bars { soft } else { 1.0 });
    #[expect(clippy::cast_precision_loss, reason = "some hundred bars")]
    let bar = 80.0 / bars as f64;
    Half {
        panel: panel.map(|(x, y)| Point::new(x, y)).to_vec(),
        mu,
        bar,
        stiffness: stiffness.collect(),
    }
}

/// The same by the library.
pub(crate) fn march(mu: f64, soft: f64) -> Laydown {
    let points = [-200.0, -40.0, -20.0, 20.0, 40.0, 200.0]
        .map(|x: f64| Point::new(x, if x.abs() < 30.0 { -25.0 } else { 0.0 }));
    let survey = Survey {
        gauge_tolerance: 0.0,
        ..Survey::default()
    };
    let recess = Recess::find(Section::new("channel", &points).expect("a section"), survey)
        .expect("a recess");
    let bed = Bed::new(&recess, 0.0, 0.0);
    let conditions = Conditions {
        lip_friction: mu,
        warm: if soft < 1.0 {
            Warm::Mouth(StretchLaw::NeoHookean(soft))
        } else {
            Warm::Whole
        },
        ..Conditions::default()
    };
    let bonds = Bonds::with_reach(&recess, 40.0, 40.0);
    bed.lay_under(bonds, Order::DeepestFirst, &conditions)
        .expect("film that lies")
}

/// Largest difference in stretch between bars and the library, bars that hold a corner of
/// the panel or the end of a zone left out: there the stretch has a kink or a jump inside.
pub(crate) fn difference(laid: &Laydown, half: &Half) -> f64 {
    let press = laid.press();
    let bars = half.lay();
    let mut most = 0.0_f64;
    for (i, &(s, lambda)) in bars.iter().enumerate() {
        let near = |place: f64| (s - place).abs() < 2.0 * half.bar;
        let wall = 25.0_f64.hypot(20.0);
        let end = 2 * i + 4 > bars.len() && 2 * i < bars.len() + 4;
        if near(20.0) || near(20.0 + wall) || end {
            continue;
        }
        most = most.max((laid.lambda(press + s).expect("a place on the film") - lambda).abs());
    }
    most
}
