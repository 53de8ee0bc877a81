//! Trapped air: what is between film and panel at each stage, and whether it can get out.
//!
//! Given a lay-down; found, for each of its stages, the area between the free film and the
//! panel, exactly, as polygons. The section goes on alike, so that 1 mm² of area is 1 cm³
//! of air in every metre of recess. A pocket is a run of panel with film over it that
//! touches at both ends; it is shut when neither end leads to the loose side. Film that
//! rests on a lip is taken to seal there, as adhesive does. What the tool's tip leaves out
//! of reach stays to the end and is counted at every stage. Pockets shallower than the gauge
//! tolerance are counted but not called pockets: they may be misreadings.
//!
//! Whether shut-in air gets out is not computed but looked up: air channels in the
//! adhesive, else an open end (common practice, no source).

use super::notice::AirNotice;
use super::stage::Stage;
use crate::geometry::{Point, cross, hull};
use crate::laydown::{Bed, Laydown, Moment};
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// Depth below which a pocket is rounding, mm.
const SPECK: f64 = 1e-6;

/// Whether the recess is open at its ends along the vehicle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Ends {
    /// Both run out
    #[default]
    Open,
    /// One runs out
    OneOpen,
    /// Neither runs out
    Closed,
}

/// How shut-in air gets out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WayOut {
    /// None is shut in.
    Free,
    /// Through the air channels of the adhesive.
    Channels,
    /// Along the recess to an open end, if it is worked there.
    OpenEnd,
    /// It does not.
    None,
}

/// Air between film and panel along one run of panel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct AirPocket {
    /// Where the film leaves the panel, abscissa, mm.
    pub from_x_mm: f64,
    /// Where it meets it again, abscissa, mm.
    pub to_x_mm: f64,
    /// Air in a metre of recess, cm³.
    pub cm3_per_m: f64,
    /// No way out on either side.
    pub shut: bool,
}

/// Air at one stage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AirStage {
    /// The stage.
    pub stage: Stage,
    /// All air between film and panel, cm³ in a metre of recess (mm² of the section).
    pub cm3_per_m: f64,
    /// The pockets under the free film, left to right.
    pub pockets: Vec<AirPocket>,
    /// Panel that the film is stuck to, arc lengths on the bed, left to right, mm. Where
    /// the profile was asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub down_mm: Vec<[f64; 2]>,
    /// Corners of the film still free, one chain a span, `[x, y]` in mm. Where the profile
    /// was asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub free_mm: Vec<Vec<[f64; 2]>>,
}

/// Trapped air of a lay-down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Air {
    /// Whether the recess is open at its ends.
    pub ends: Ends,
    /// How shut-in air gets out; `None` where it is not known whether the film has air
    /// channels.
    pub way_out: Option<WayOut>,
    /// Most air shut in at a stage once pressing has begun, cm³ in a metre of recess.
    pub shut_in_cm3_per_m: f64,
    /// Air that stays under the laid film because the tool's tip cannot reach, cm³ in a
    /// metre of recess.
    pub left_cm3_per_m: f64,
    /// The stages, in their order.
    pub stages: Vec<AirStage>,
    /// What follows for the hands.
    pub follows: Told<AirNotice>,
}

/// Finds the air that a lay-down traps.
///
/// # Arguments
/// * `stages`: the stages of this lay-down.
/// * `channels`: whether the film has air channels, if known.
/// * `ends`: whether the recess is open at its ends.
/// * `drawn`: keep what pictures need of each stage.
pub fn trapped_air(
    laid: &Laydown,
    bed: &Bed<'_>,
    stages: &[(Stage, Moment)],
    channels: Option<bool>,
    ends: Ends,
    drawn: bool,
) -> Air {
    let (left, right) = laid.bonds();
    let left_behind = bed.out_of_reach(left, right).area;
    let loose = laid.order().feeds_in();
    let all: Vec<AirStage> = stages
        .iter()
        .map(|(stage, moment)| {
            let (free, pockets) = pockets(laid, bed, moment, !loose);
            let down = moment.down.iter().map(|d| [d.0, d.1]);
            let free_film = moment.free.iter();
            let free_film = free_film.map(|s| s.path.iter().map(|p| [p.x, p.y]).collect());
            AirStage {
                stage: *stage,
                cm3_per_m: free + left_behind,
                pockets,
                down_mm: down.filter(|_| drawn).collect(),
                free_mm: free_film.filter(|_| drawn).collect(),
            }
        })
        .collect();
    let shut = |s: &AirStage| {
        let shut = s.pockets.iter().filter(|p| p.shut);
        shut.map(|p| p.cm3_per_m).sum::<f64>()
    };
    let begun = all.iter().filter(|s| s.stage != Stage::Bridged);
    let shut_in = begun.map(shut).fold(0.0, f64::max);
    let way_out = match (channels, ends) {
        _ if shut_in <= 0.0 => Some(WayOut::Free),
        (Some(true), _) => Some(WayOut::Channels),
        (Some(false), Ends::Closed) => Some(WayOut::None),
        (Some(false), _) => Some(WayOut::OpenEnd),
        (None, _) => None,
    };
    Air {
        ends,
        way_out,
        shut_in_cm3_per_m: shut_in,
        left_cm3_per_m: left_behind,
        follows: follows(way_out, ends),
        stages: all,
    }
}

/// Area under the free film of a moment, mm², and its pockets, left to right.
fn pockets(laid: &Laydown, bed: &Bed<'_>, moment: &Moment, shut: bool) -> (f64, Vec<AirPocket>) {
    let shallow = bed.recess().survey().gauge_tolerance.max(SPECK);
    let (mut all, mut found) = (0.0, Vec::new());
    let (mut from, right) = laid.bonds();
    for (a, b) in moment.down.iter().copied().chain([(right, right)]) {
        if a > from {
            let chain = bed.line().between(from, a);
            for w in hull(&chain, 0.0).windows(2).filter(|w| w[1] > w[0] + 1) {
                let (area, depth) = under(&chain[w[0]..=w[1]]);
                all += area;
                if depth > shallow {
                    found.push(AirPocket {
                        from_x_mm: chain[w[0]].x,
                        to_x_mm: chain[w[1]].x,
                        cm3_per_m: area,
                        shut,
                    });
                }
            }
        }
        from = b;
    }
    (all, found)
}

/// Area between a chain that runs left to right and the chord over it, mm², and the largest
/// distance between them, mm.
fn under(chain: &[Point]) -> (f64, f64) {
    let (first, last) = (chain[0], chain[chain.len() - 1]);
    let chord = last - first;
    let (mut double, mut most) = (0.0, 0.0_f64);
    for w in chain.windows(2) {
        double += cross(w[0] - first, w[1] - first);
        most = most.max(cross(w[1] - first, chord));
    }
    (0.5 * double.abs(), most / chord.norm())
}

/// What follows for the hands.
fn follows(way_out: Option<WayOut>, ends: Ends) -> Told<AirNotice> {
    let way = match (way_out, ends) {
        (Some(WayOut::Free), _) => AirNotice::NoneShutIn,
        (Some(WayOut::Channels), _) => AirNotice::ByChannels,
        (Some(WayOut::OpenEnd), Ends::OneOpen) => AirNotice::FromClosedEnd,
        (Some(WayOut::OpenEnd), _) => AirNotice::ToOpenEnd,
        (Some(WayOut::None), _) => AirNotice::NoWayOut,
        (None, _) => AirNotice::ChannelsNotSaid,
    };
    Told(way)
}

#[cfg(test)]
mod tests {
    use super::under;
    use crate::geometry::Point;
    use approx::assert_abs_diff_eq;

    #[test]
    fn the_area_under_a_chord_is_that_of_the_polygon() {
        // Reference: by hand, a trapezoid 80 and 40 wide, 25 deep: 60 x 25; far from the
        // origin 1e6 costs 1e-10 relative.
        for x in [0.0, 1e6] {
            let chain = [(0.0, 0.0), (20.0, -25.0), (60.0, -25.0), (80.0, 0.0)]
                .map(|(a, b)| Point::new(x + a, b));
            let (area, depth) = under(&chain);
            assert_abs_diff_eq!(area, 1500.0, epsilon = 1e-6);
            assert_abs_diff_eq!(depth, 25.0, epsilon = 1e-9);
        }
    }
}
