//! Bond lines: where the film holds before the recess is laid.

use super::bed::Bed;
use crate::geometry::{ON_VERTEX, bracketed};
use crate::section::{Recess, Side, Zone};
use serde::{Deserialize, Serialize};

/// Where a growing bridge grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Split {
    /// On both sides alike until one is full (a step: on its lower flat)
    ///
    /// Equal reach on both sides, then the other alone.
    #[default]
    Even,
    /// To the left first
    Left,
    /// To the right first
    Right,
}

/// Both bond lines, arc lengths on the bare panel, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bonds {
    /// Left bond line.
    pub left: f64,
    /// Right bond line.
    pub right: f64,
}

/// Bond lines that cannot be.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum BondError {
    /// A bond line is not a finite number.
    NotFinite(f64),
    /// A bond line lies beyond the clear panel.
    OutsidePanel {
        /// Which of them.
        side: Side,
        /// Where it was asked for, mm.
        x: f64,
        /// Where the clear panel begins, mm.
        from: f64,
        /// Where it ends, mm.
        to: f64,
    },
    /// The press is not between the bond lines.
    PressOutside {
        /// Left bond line, x in mm.
        left: f64,
        /// Right bond line, x in mm.
        right: f64,
        /// The press, x in mm.
        press: f64,
    },
    /// Both bond lines on the floor.
    OnFloor {
        /// Left bond line, x in mm.
        left: f64,
        /// Right bond line, x in mm.
        right: f64,
    },
    /// A custom order came without its steps.
    NoSteps,
    /// The bridge is narrower than the mouth.
    TooNarrow {
        /// Bridge asked for, mm.
        asked: f64,
        /// Narrowest bridge, mm.
        least: f64,
    },
    /// The bridge is wider than the clear panel allows.
    TooWide {
        /// Bridge asked for, mm.
        asked: f64,
        /// Widest bridge, mm.
        most: f64,
    },
}

impl Bonds {
    /// Bond lines a given reach out on the flats, mm beyond each lip (or foot).
    pub fn with_reach(recess: &Recess, left: f64, right: f64) -> Self {
        let outer = recess.outer();
        Self {
            left: outer.0 - left,
            right: outer.1 + right,
        }
    }

    /// Bond lines at given abscissas of the section, mm.
    ///
    /// # Errors
    /// [`BondError::OutsidePanel`] beyond the clear panel, [`BondError::NotFinite`].
    pub fn at_x(recess: &Recess, left: f64, right: f64) -> Result<Self, BondError> {
        let panel = recess.panel();
        let points = panel.points();
        let (from, to) = (points[0].x, points[points.len() - 1].x);
        let place = |side, x: f64| {
            if !x.is_finite() {
                return Err(BondError::NotFinite(x));
            }
            panel
                .at_x(x)
                .ok_or(BondError::OutsidePanel { side, x, from, to })
        };
        Ok(Self {
            left: place(Side::Left, left)?,
            right: place(Side::Right, right)?,
        })
    }

    /// Unbonded panel beyond each lip (or foot), mm; negative for a bond line inside.
    pub fn reach(&self, recess: &Recess) -> (f64, f64) {
        let outer = recess.outer();
        (outer.0 - self.left, self.right - outer.1)
    }
}

/// Accuracy of a reach found for a bridge, mm.
const REACH_TOLERANCE: f64 = 1e-9;

impl Bed<'_> {
    /// Both bond lines as arc lengths on the bed, checked, mm.
    pub(crate) fn place(&self, bonds: Bonds) -> Result<(f64, f64), BondError> {
        let recess = self.recess();
        for s in [bonds.left, bonds.right] {
            if !s.is_finite() {
                return Err(BondError::NotFinite(s));
            }
        }
        let panel = recess.panel();
        let x = |s: f64| panel.at(s).x;
        let slack = 1e-9 * (1.0 + panel.end().abs());
        for (side, s) in [(Side::Left, bonds.left), (Side::Right, bonds.right)] {
            if s < panel.start() - slack || s > panel.end() + slack {
                let (x, from, to) = (x(s), x(panel.start()), x(panel.end()));
                return Err(BondError::OutsidePanel { side, x, from, to });
            }
        }
        let press = self.press();
        // A bond line at the press, but for rounding, is at the press.
        let snap = |s: f64| {
            if (s - press).abs() <= ON_VERTEX {
                press
            } else {
                s
            }
        };
        let [left, right] = [bonds.left, bonds.right].map(|s| snap(self.locate(s)));
        if !(left <= press && press <= right && left < right) {
            return Err(BondError::PressOutside {
                left: x(bonds.left),
                right: x(bonds.right),
                press: self.line().at(press).x,
            });
        }
        if recess.zone(bonds.left) == Zone::Floor && recess.zone(bonds.right) == Zone::Floor {
            return Err(BondError::OnFloor {
                left: x(bonds.left),
                right: x(bonds.right),
            });
        }
        Ok((left, right))
    }

    /// Largest total reach, mm.
    pub(crate) fn most_reach(&self, split: Split) -> f64 {
        let limit = self.recess().reach_limit();
        match (split, self.recess().lower()) {
            // Unless told, a step's bridge grows on its lower flat alone.
            (Split::Even, Some(Side::Left)) => limit.0,
            (Split::Even, Some(Side::Right)) => limit.1,
            _ => limit.0 + limit.1,
        }
    }

    /// Reach on each side for a total reach, mm.
    pub(crate) fn share(&self, total: f64, split: Split) -> (f64, f64) {
        let (l, r) = self.recess().reach_limit();
        match (split, self.recess().lower()) {
            (Split::Even, Some(Side::Left)) => (total.min(l), 0.0),
            (Split::Even, Some(Side::Right)) => (0.0, total.min(r)),
            (Split::Even, None) => {
                let half = 0.5 * total;
                if half > l {
                    (l, (total - l).min(r))
                } else if half > r {
                    ((total - r).min(l), r)
                } else {
                    (half, half)
                }
            }
            (Split::Left, _) => (total.min(l), (total - l).clamp(0.0, r)),
            (Split::Right, _) => ((total - r).clamp(0.0, l), total.min(r)),
        }
    }

    /// Bond lines for a total reach, mm.
    pub(crate) fn bonds_for_reach(&self, total: f64, split: Split) -> Bonds {
        let (left, right) = self.share(total, split);
        Bonds::with_reach(self.recess(), left, right)
    }

    /// Bridge width for a total reach, mm.
    pub(crate) fn bridge_for_reach(&self, total: f64, split: Split) -> f64 {
        let bonds = self.bonds_for_reach(total, split);
        self.taut(self.locate(bonds.left), self.locate(bonds.right))
    }

    /// Bond lines for a bridge width, mm.
    ///
    /// # Errors
    /// [`BondError::TooNarrow`], [`BondError::TooWide`], [`BondError::NotFinite`].
    pub fn bonds_for_bridge(&self, bridge: f64, split: Split) -> Result<Bonds, BondError> {
        if !bridge.is_finite() {
            return Err(BondError::NotFinite(bridge));
        }
        let most = self.most_reach(split);
        let [least, widest] = [0.0, most].map(|reach| self.bridge_for_reach(reach, split));
        let slack = 1e-9 * (1.0 + widest);
        if bridge < least - slack {
            return Err(BondError::TooNarrow {
                asked: bridge,
                least,
            });
        }
        if bridge > widest + slack {
            return Err(BondError::TooWide {
                asked: bridge,
                most: widest,
            });
        }
        let miss = |reach: f64| self.bridge_for_reach(reach, split) - bridge;
        // On level flats the reach is the rest of the bridge.
        let guess = (bridge - least).clamp(0.0, most);
        let at_guess = miss(guess);
        let reach = if at_guess.abs() <= 1e-12 * bridge {
            guess
        } else if bridge - least <= slack {
            0.0
        } else if widest - bridge <= slack {
            most
        } else {
            let (low, high) = ((0.0, least - bridge), (most, widest - bridge));
            bracketed(miss, low, high, REACH_TOLERANCE).unwrap_or(guess)
        };
        Ok(self.bonds_for_reach(reach, split))
    }
}
