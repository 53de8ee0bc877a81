//! The width over all the shapes that fit the readings, and what each reading costs, as data.

use serde::{Deserialize, Serialize};

/// The width over all the shapes that fit the readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WidthRange {
    /// Unrounded width for the section as read, mm.
    pub nominal_mm: f64,
    /// Width that is enough in the other share of the draws (of 95 % asked for: in 5 %), mm,
    /// to 0.1 mm; not more than `to_mm`.
    pub from_mm: f64,
    /// Unrounded width that is enough in the share asked for, mm, to 0.1 mm, not less than the
    /// nominal one; `None` where there is none.
    pub to_mm: Option<f64>,
    /// Share of the draws in which the limit is kept at the width recommended (where there is
    /// none: at the one with the highest share), percent.
    pub share_pct: f64,
    /// Share asked for, percent.
    pub asked_pct: f64,
    /// Draws.
    pub draws: usize,
    /// How well such a share is known from so many draws, percentage points (95 %).
    pub doubt_pct: f64,
    /// 95 % half width of the corners, mm.
    pub tolerance_mm: f64,
    /// 95 % half width of the press, mm.
    pub press_off_mm: f64,
    /// 95 % half width of each tape, mm.
    pub tapes_off_mm: f64,
    /// What each reading costs.
    pub per_mm: Costs,
    /// The reading that would narrow the width most.
    pub narrow_by: Option<Measure>,
}

/// What can be measured, or missed, on a recess.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Measure {
    /// Depth, mm.
    Depth,
    /// Mouth, lip to lip, mm; the floor stays as it is.
    Mouth,
    /// Floor, foot to foot, mm; the mouth stays as it is.
    Floor,
    /// Angle of the left wall, degrees; its lip stays where it is.
    LeftWall,
    /// Angle of the right wall, degrees; its lip stays where it is.
    RightWall,
    /// Place of the press, mm either way.
    Press,
}

impl Measure {
    /// Is it an angle, in degrees, and not a length, in mm?
    pub fn is_angle(self) -> bool {
        matches!(self, Self::LeftWall | Self::RightWall)
    }
}

/// What one unit of a reading costs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Cost {
    /// Does more of it need the wider bridge, or less?
    pub more: bool,
    /// How much wider, mm, for 1 mm or 1 degree; 0 if neither way is.
    pub wider_mm: f64,
}

/// What one unit of each reading costs; a reading the recess has not is left out.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Costs {
    /// Of the depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<Cost>,
    /// Of the mouth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mouth: Option<Cost>,
    /// Of the floor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor: Option<Cost>,
    /// Of the left wall, for a degree.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_wall: Option<Cost>,
    /// Of the right wall, for a degree.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub right_wall: Option<Cost>,
    /// Of the press, off the mark either way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub press: Option<Cost>,
}

impl Costs {
    /// What there is, in the order of the fields.
    pub fn all(&self) -> impl Iterator<Item = (Measure, Cost)> + '_ {
        let all = [
            (Measure::Depth, self.depth),
            (Measure::Mouth, self.mouth),
            (Measure::Floor, self.floor),
            (Measure::LeftWall, self.left_wall),
            (Measure::RightWall, self.right_wall),
            (Measure::Press, self.press),
        ];
        all.into_iter().filter_map(|(m, cost)| Some((m, cost?)))
    }
}
