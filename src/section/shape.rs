//! Sections from a shape and its dimensions, `channel:mouth=80,floor=40,depth=25`.
//!
//! Dimensions are those of the sharp outline, as if the lines of flat, wall and floor met
//! in corners: `mouth` reaches from corner to corner, `floor` likewise, and the radii round
//! the corners off inside it. Walls are given in degrees from the mouth line, 90 for a
//! vertical one. Arcs become facets within 1e-3 mm. The middle of the mouth, or the upper
//! corner of a step, is the origin.
//!
//! | shape | needed | may be given |
//! |---|---|---|
//! | `channel` | `mouth`, `depth`, and `floor` or `left-wall` and `right-wall` | both, `lip-radius`, `foot-radius`, `flat` |
//! | `groove` (a V) | `mouth`, `depth` | `bottom` (to the right of the middle), `lip-radius`, `foot-radius`, `flat` |
//! | `step` | `drop`, and `run` or `wall` | `lip-radius`, `foot-radius`, `flat`, `rise=left\|right` (the higher side; left) |
//! | `round` (a circular segment) | `mouth`, `depth` | `lip-radius`, `flat`, `crown` (radius of the panel around) |
//!
//! `flat` is the panel on each side, 60 mm unless given; radii are 0 unless given.

use super::typed::{Least, Typed, quoted};
use super::{Section, Units};
use crate::fault::{Bit, Fault, Hint, Phrase, Refused};
use crate::geometry::{Corner, Outline, Rounding, arc, bracketed, facets, tidied};
use crate::geometry::{Point, Vector};

/// Flat on each side unless given, mm: more than a gauge needs to find the mouth line.
pub(crate) const FLAT: f64 = 60.0;

/// Two readings of one length agree within this, mm: half a step of a steel rule.
const AGREE: f64 = 0.5;

/// Most that a wall's run may fall below zero, mm, before it is an undercut.
const SLACK: f64 = 1e-9;
/// How near the largest lip radius is found, mm: far below the tenth that is said.
const LARGEST_LIP: f64 = 1e-9;

/// Reads a section from a shape: `channel:mouth=80,floor=40,depth=25,lip-radius=3`.
///
/// Shapes are `channel`, `groove`, `step` and `round`. The dimensions are those of the
/// sharp outline, before its corners are rounded: `mouth` and `floor` reach from corner to
/// corner. `flat` is the panel on each side (60 mm unless given). Walls are given in
/// degrees from the mouth line, 90 for a vertical one.
///
/// # Arguments
/// * `text`: the shape, a colon, and `key=value` pairs apart by commas; or by semicolons or
///   white space, and then a comma is a decimal one.
/// * `units`: what lengths without a unit are in.
///
/// # Accuracy
/// Arcs become facets whose vertices lie on them, at most 1e-3 mm apart from them.
///
/// # Errors
/// [`Refused`] with every fault: a shape, key or number that cannot be read, a
/// dimension that is missing, an undercut, and radii that do not fit, with the largest
/// that does.
///
/// # Example
/// ```
/// let section = tautspan::read_shape("channel:mouth=80,floor=40,depth=25", tautspan::Units::Mm)?;
/// let x: Vec<f64> = section.line().points().iter().map(|p| p.x).collect();
/// assert_eq!(x, [-100.0, -40.0, -20.0, 20.0, 40.0, 100.0]);
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn read_shape(text: &str, units: Units) -> Result<Section, Refused> {
    let (kind, rest) = text.split_once(':').unwrap_or((text, ""));
    match kind.trim().to_ascii_lowercase().as_str() {
        "channel" => channel(rest, units),
        "groove" => groove(rest, units),
        "step" => step(rest, units),
        "round" => round(rest, units),
        _ => {
            let found = format!("the shape {}", quoted(kind.trim()));
            let expected =
                "channel, groove, step or round, as in `channel:mouth=80,floor=40,depth=25`";
            Err(Refused::new("shape", vec![Fault::whole(found, expected)]))
        }
    }
}

/// The radii and the flat every shape may have.
struct Common {
    lip: f64,
    foot: f64,
    flat: f64,
}

impl Common {
    /// Reads them, each with its default.
    fn read(typed: &mut Typed<'_>) -> Self {
        let lip = typed.length("lip-radius", Least::Zero).unwrap_or(0.0);
        let foot = typed.length("foot-radius", Least::Zero).unwrap_or(0.0);
        Self {
            lip,
            foot,
            flat: typed.length("flat", Least::Positive).unwrap_or(FLAT),
        }
    }

    /// Rounds an outline off and takes it as a section.
    fn finish(
        &self,
        name: &str,
        outline: &Outline,
        mut typed: Typed<'_>,
    ) -> Result<Section, Refused> {
        radii_that_fit(&mut typed, outline, self.lip, self.foot);
        if typed.faulty() {
            return Err(typed.into_error(name));
        }
        let points = outline.rounded(Rounding::of(self.lip), Rounding::of(self.foot));
        Section::new(name, &points).map(Section::computed)
    }
}

/// Notes radii that do not fit an outline, each with the largest that does.
pub(crate) fn radii_that_fit(typed: &mut Typed<'_>, outline: &Outline, lip: f64, foot: f64) {
    // First the lip without a foot radius, then the foot beside the lip, if that fits.
    let most = outline.largest(Corner::Lip, 0.0);
    let lip_fits = lip <= most + SLACK;
    if !lip_fits {
        too_large(typed, "lip-radius", lip, most, None);
    }
    let beside = if lip_fits { lip } else { 0.0 };
    let most = outline.largest(Corner::Foot, beside);
    if foot > most + SLACK {
        too_large(typed, "foot-radius", foot, most, Some(beside));
    }
}

/// Notes one radius that does not fit, of a foot beside the lip's.
fn too_large(typed: &mut Typed<'_>, key: &str, radius: f64, most: f64, beside: Option<f64>) {
    let mut expected = vec![Bit::from("at most "), Bit::Most(most)];
    if let Some(lip) = beside {
        expected.extend([" beside a lip radius of ".into(), Bit::Length(lip)]);
    }
    expected.push(": no more fits between flat, wall and floor".into());
    typed.note(Fault::of_key(key, Bit::Length(radius), Phrase(expected)));
}

/// How far a wall of `angle` degrees runs sideways over `depth`, mm.
pub(crate) fn run_of(depth: f64, angle: f64) -> f64 {
    if angle >= 90.0 {
        0.0
    } else {
        depth / angle.to_radians().tan()
    }
}

/// A flat-bottomed channel.
fn channel(text: &str, units: Units) -> Result<Section, Refused> {
    let keys = "mouth depth floor left-wall right-wall lip-radius foot-radius flat";
    let mut typed = Typed::split(text, keys, units);
    let (mouth, depth) = (typed.needed("mouth"), typed.needed("depth"));
    let common = Common::read(&mut typed);
    let sizes = mouth.zip(depth);
    let runs = sizes.and_then(|(mouth, depth)| channel_runs(&mut typed, mouth, depth));
    let (Some(mouth), Some(depth), Some(runs)) = (mouth, depth, runs) else {
        return Err(typed.into_error("channel"));
    };
    let outline = Outline::channel(mouth, depth, runs, common.flat);
    common.finish("channel", &outline, typed)
}

/// How far both walls of a channel run sideways, mm; notes what does not close.
fn channel_runs(typed: &mut Typed<'_>, mouth: f64, depth: f64) -> Option<(f64, f64)> {
    let floor = typed.length("floor", Least::Positive);
    let left = typed.wall("left-wall").map(|a| run_of(depth, a));
    let right = typed.wall("right-wall").map(|a| run_of(depth, a));
    if typed.faulty() {
        return None;
    }
    if let Some(floor) = floor.filter(|&floor| floor > mouth + SLACK) {
        let (floor, mouth) = (Bit::Length(floor), Bit::Length(mouth));
        let found = ["a floor of ".into(), floor, " in a mouth of ".into(), mouth];
        typed.hinted(Hint::SquareOff, found, "a floor no wider than the mouth");
        return None;
    }
    let (left, right) = match (left, right, floor) {
        (None, None, Some(floor)) => ((mouth - floor) / 2.0, (mouth - floor) / 2.0),
        (Some(left), None, Some(floor)) => (left, mouth - floor - left),
        (None, Some(right), Some(floor)) => (mouth - floor - right, right),
        (Some(left), Some(right), floor) => {
            let computed = mouth - left - right;
            if let Some(floor) = floor.filter(|floor| (floor - computed).abs() > AGREE) {
                let (floor, computed) = (Bit::Length(floor), Bit::Length(computed));
                let found = ["a floor of ".into(), floor, " and both walls".into()];
                let expected = [computed, " from mouth, depth and walls".into()];
                typed.hinted(Hint::LeaveOneOut, found, expected);
            }
            (left, right)
        }
        (Some(_), None, None) => return missing(typed, "no `floor` and no `right-wall`"),
        (None, Some(_), None) => return missing(typed, "no `floor` and no `left-wall`"),
        (None, None, None) => return missing(typed, "no `floor` and no walls"),
    };
    closed(typed, mouth, left, right);
    (!typed.faulty()).then_some((left.max(0.0), right.max(0.0)))
}

/// Notes that a dimension is missing.
fn missing<T>(typed: &mut Typed<'_>, found: &'static str) -> Option<T> {
    let expected = "`floor=…`, or both `left-wall=…` and `right-wall=…` in degrees";
    typed.fault(found, expected);
    None
}

/// Notes walls that meet above the floor or run back under the panel.
fn closed(typed: &mut Typed<'_>, mouth: f64, left: f64, right: f64) {
    if left < -SLACK || right < -SLACK {
        let back = Bit::Length(-left.min(right));
        let found = ["a wall that runs back by ".into(), back];
        typed.hinted(Hint::SmallerFloor, found, "walls that run inward");
    } else if mouth - left - right <= SLACK {
        let all = Bit::Length(left + right);
        let found = ["walls that run inward by ".into(), all, " in all".into()];
        let expected = ["less than the mouth of ".into(), Bit::Length(mouth)];
        typed.hinted(Hint::TakeGroove, found, expected);
    }
}

/// A V groove.
fn groove(text: &str, units: Units) -> Result<Section, Refused> {
    let keys = "mouth depth bottom lip-radius foot-radius flat";
    let mut typed = Typed::split(text, keys, units);
    let (mouth, depth) = (typed.needed("mouth"), typed.needed("depth"));
    let bottom = typed.length("bottom", Least::Any).unwrap_or(0.0);
    let common = Common::read(&mut typed);
    let (Some(mouth), Some(depth)) = (mouth, depth) else {
        return Err(typed.into_error("groove"));
    };
    let half = mouth / 2.0;
    if bottom.abs() > half + SLACK {
        let expected = [
            "at most ".into(),
            Bit::Length(half),
            " from the middle".into(),
        ];
        let fault = Fault::of_key("bottom", Bit::Length(bottom), expected);
        typed.note(fault.hint(Hint::SquareOff));
        return Err(typed.into_error("groove"));
    }
    let corners = vec![
        (Point::new(-half - common.flat, 0.0), Corner::End),
        (Point::new(-half, 0.0), Corner::Lip),
        (Point::new(bottom.clamp(-half, half), -depth), Corner::Foot),
        (Point::new(half, 0.0), Corner::Lip),
        (Point::new(half + common.flat, 0.0), Corner::End),
    ];
    common.finish("groove", &Outline { corners }, typed)
}

/// A step from one level to another.
fn step(text: &str, units: Units) -> Result<Section, Refused> {
    let keys = "drop run wall lip-radius foot-radius flat rise";
    let mut typed = Typed::split(text, keys, units);
    let drop = typed.needed("drop");
    let run = step_run(&mut typed, drop);
    let common = Common::read(&mut typed);
    let rises_right = rises_right(&mut typed);
    let (Some(drop), Some(run)) = (drop, run) else {
        return Err(typed.into_error("step"));
    };
    let mut corners = vec![
        (Point::new(-common.flat, 0.0), Corner::End),
        (Point::new(0.0, 0.0), Corner::Lip),
        (Point::new(run, -drop), Corner::Foot),
        (Point::new(run + common.flat, -drop), Corner::End),
    ];
    if rises_right {
        corners.reverse();
        for (p, _) in &mut corners {
            p.x = 0.0 - p.x;
        }
    }
    common.finish("step", &Outline { corners }, typed)
}

/// How far the wall of a step runs sideways, mm.
fn step_run(typed: &mut Typed<'_>, drop: Option<f64>) -> Option<f64> {
    let run = typed.length("run", Least::Zero);
    let wall = typed.wall("wall");
    if !typed.has("run") && !typed.has("wall") {
        let expected = "`run=…`, or `wall=…` in degrees from the flat";
        typed.fault("no `run` or `wall`", expected);
    }
    let by_wall = drop.zip(wall).map(|(drop, wall)| run_of(drop, wall));
    if let (Some(run), Some(computed)) = (run, by_wall)
        && (run - computed).abs() > AGREE
    {
        let found = [Bit::Length(run), " beside a wall".into()];
        let expected = [Bit::Length(computed), " from drop and wall".into()];
        typed.note(Fault::of_key("run", found, expected).hint(Hint::LeaveOneOut));
    }
    run.or(by_wall)
}

/// Is the right side of a step the higher one?
fn rises_right(typed: &mut Typed<'_>) -> bool {
    match typed.text("rise") {
        Some("right") => true,
        None | Some("left") => false,
        Some(other) => {
            let expected = "left or right, the higher side";
            typed.note(Fault::of_key("rise", quoted(other), expected));
            false
        }
    }
}

/// A circular segment, in a level or a crowned panel.
fn round(text: &str, units: Units) -> Result<Section, Refused> {
    let keys = "mouth depth lip-radius flat crown";
    let mut typed = Typed::split(text, keys, units);
    let (mouth, depth) = (typed.needed("mouth"), typed.needed("depth"));
    let crown = typed.length("crown", Least::Positive);
    let common = Common::read(&mut typed);
    let (Some(mouth), Some(depth)) = (mouth, depth) else {
        return Err(typed.into_error("round"));
    };
    let bowl = Bowl {
        half: mouth / 2.0,
        depth,
        crown,
        flat: common.flat,
    };
    bowl.check(&mut typed, common.lip);
    if typed.faulty() {
        return Err(typed.into_error("round"));
    }
    Section::new("round", &bowl.points(common.lip)).map(Section::computed)
}

/// A bowl: a circle of radius `r` about `(0, b)`, cut by the panel at `(±half, 0)`.
///
/// A lip of radius `ρ` touches the bowl from outside, so its centre `(px, py)` is `r + ρ`
/// from `(0, b)`; and it touches the panel from below: `py = -ρ` on a level one, and
/// `C - ρ` from `(0, -h)`, `h² = C² - half²`, on a crown of radius `C`.
struct Bowl {
    half: f64,
    depth: f64,
    crown: Option<f64>,
    flat: f64,
}

impl Bowl {
    /// Radius of the bowl, mm.
    fn radius(&self) -> f64 {
        (self.half * self.half / self.depth + self.depth) / 2.0
    }

    /// Height `b` of its centre, mm.
    fn centre(&self) -> f64 {
        (self.half * self.half / self.depth - self.depth) / 2.0
    }

    /// Centre of the right lip's circle of radius `lip`.
    fn lip_centre(&self, lip: f64) -> Point {
        let (r, b) = (self.radius(), self.centre());
        let py = match self.crown {
            None => -lip,
            Some(crown) => {
                let h = self.below(crown);
                // (py + h)² - (py - b)² = (C - ρ)² - (r + ρ)², and C² - h² = r² - b² = half².
                let (wide, sum) = (h + b, crown + r);
                if wide > 0.0 { -lip * sum / wide } else { -lip }
            }
        };
        let rise = py - b;
        Point::new(((r + lip) * (r + lip) - rise * rise).max(0.0).sqrt(), py)
    }

    /// Depth `h` of a crown's centre below the mouth, mm.
    fn below(&self, crown: f64) -> f64 {
        (crown * crown - self.half * self.half).max(0.0).sqrt()
    }

    /// How far out on the panel the lip reaches: x on a level one, radians on a crown.
    fn reach(&self, lip: f64) -> f64 {
        let centre = self.lip_centre(lip);
        self.crown.map_or(centre.x, |crown| {
            centre.x.atan2(centre.y + self.below(crown))
        })
    }

    /// Where the panel ends: x on a level one, radians on a crown.
    fn end(&self) -> f64 {
        match self.crown {
            None => self.half + self.flat,
            Some(crown) => (self.half / crown).asin() + self.flat / crown,
        }
    }

    /// Notes dimensions that do not make a bowl.
    fn check(&self, typed: &mut Typed<'_>, lip: f64) {
        if self.depth > self.half + SLACK {
            let expected = ["at most half the mouth, ".into(), Bit::Length(self.half)];
            let fault = Fault::of_key("depth", Bit::Length(self.depth), expected);
            typed.note(fault.hint(Hint::TakeChannel));
        }
        if let Some(crown) = self.crown
            && crown < 2.0 * self.half
        {
            let expected = ["at least the mouth, ".into(), Bit::Length(2.0 * self.half)];
            typed.note(Fault::of_key("crown", Bit::Length(crown), expected));
        } else if self.crown.is_some() && self.end() > std::f64::consts::FRAC_PI_2 {
            let expected = "less: it runs round the crown and back under the panel";
            typed.note(Fault::of_key("flat", Bit::Length(self.flat), expected));
        }
        if !typed.faulty() && self.reach(lip) > self.end() + SLACK {
            too_large(typed, "lip-radius", lip, self.largest_lip(lip), None);
        }
    }

    /// Largest lip radius below `lip` whose arc ends on the panel, mm.
    fn largest_lip(&self, lip: f64) -> f64 {
        let beyond = |radius: f64| self.reach(radius) - self.end();
        let (sharp, round) = ((0.0, beyond(0.0)), (lip, beyond(lip)));
        bracketed(beyond, sharp, round, LARGEST_LIP).unwrap_or(0.0)
    }

    /// The section as points: built to the right of the middle, then mirrored.
    fn points(&self, lip: f64) -> Vec<Point> {
        let (r, b) = (self.radius(), self.centre());
        let lip_centre = self.lip_centre(lip);
        // From straight down to the direction of the lip's centre.
        let turn = lip_centre.x.atan2(b - lip_centre.y);
        let mut right = Vec::new();
        let (middle, down) = (Point::new(0.0, b), Vector::new(0.0, -r));
        arc(middle, down, turn, facets(turn, r), &mut right);
        let reach = self.reach(lip);
        if lip > 0.0 {
            let back = turn + self.crown.map_or(0.0, |_| reach);
            let spoke = Vector::new(-turn.sin(), turn.cos()) * lip;
            arc(lip_centre, spoke, -back, facets(back, lip), &mut right);
        }
        self.add_panel(reach, &mut right);
        let left = right.iter().skip(1).rev().map(|p| Point::new(-p.x, p.y));
        tidied(left.chain(right.iter().copied()).collect())
    }

    /// Adds the panel from the end of the lip outwards.
    fn add_panel(&self, reach: f64, points: &mut Vec<Point>) {
        match self.crown {
            None => points.extend([Point::new(reach, 0.0), Point::new(self.end(), 0.0)]),
            Some(crown) => {
                let centre = Point::new(0.0, -self.below(crown));
                let spoke = Vector::new(reach.sin(), reach.cos()) * crown;
                let turn = self.end() - reach;
                arc(centre, spoke, -turn, facets(turn, crown), points);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn points(text: &str) -> Vec<Point> {
        let section = read_shape(text, Units::Mm).unwrap();
        section.line().points().to_vec()
    }

    fn refused(text: &str) -> Vec<Fault> {
        read_shape(text, Units::Mm).unwrap_err().faults
    }

    /// The number behind `at most`, as it is printed.
    fn most(fault: &Fault) -> String {
        let said = fault.to_string();
        let behind = said.split("expected at most ").nth(1).unwrap();
        behind.split(' ').next().unwrap().to_owned()
    }

    #[test]
    fn a_sharp_channel_has_its_six_vertices() {
        let expected = [
            (-100.0, 0.0),
            (-40.0, 0.0),
            (-20.0, -25.0),
            (20.0, -25.0),
            (40.0, 0.0),
            (100.0, 0.0),
        ];
        let expected: Vec<Point> = expected.iter().map(|&(x, y)| Point::new(x, y)).collect();
        assert_eq!(points("channel:mouth=80,floor=40,depth=25"), expected);
    }

    #[test]
    fn walls_close_the_channel_from_either_side() {
        let both = points("channel:mouth=80,depth=25,left-wall=90,right-wall=45");
        assert_relative_eq!(both[2].x, -40.0, epsilon = 1e-12);
        assert_relative_eq!(both[3].x, 15.0, epsilon = 1e-12);
        let one = points("channel:mouth=80,depth=25,right-wall=45,floor=55");
        for (a, b) in both.iter().zip(&one) {
            assert_relative_eq!((a - b).norm(), 0.0, epsilon = 1e-12);
        }
    }

    #[test]
    fn impossible_channels_say_why() {
        for line in [
            "channel:mouth=80,floor=90,depth=25 -> no wider than the mouth",
            "channel:mouth=80,depth=25 -> `floor=…`",
            "channel:mouth=80,depth=25,left-wall=51 -> `floor=…`",
            "channel:mouth=80,depth=25,left-wall=20,right-wall=20 -> less than the mouth",
            "channel:mouth=80,depth=25,left-wall=45,floor=70 -> run inward",
            "channel:mouth=80,depth=25,left-wall=95,floor=40 -> at most 90 degrees",
            "channel:mouth=80,depth=25,left-wall=60,right-wall=60,floor=40 -> leave one out",
            "channel:mouth=80,depth=25,floor=40,width=3 -> one of mouth, depth",
            "channel:mouth=8O,depth=25,floor=40 -> letter O",
            "channel:depth=25,floor=40 -> `mouth=…`",
            "canal:mouth=80 -> channel, groove, step or round",
            "round:mouth=80,depth=50 -> half the mouth",
            "round:mouth=80,depth=20,crown=70 -> at least the mouth",
            "round:mouth=80,depth=20,crown=100,flat=200 -> back under",
            "groove:mouth=40,depth=12,bottom=30 -> from the middle",
            "step:drop=6 -> `run=…`",
            "step:drop=6,run=0,rise=up -> left or right",
            "step:drop=6,run=6,wall=80 -> leave one out",
        ] {
            let (text, word) = line.split_once(" -> ").unwrap();
            let faults = refused(text);
            let said = faults.iter().any(|f| f.to_string().contains(word));
            assert!(said, "{text}: {faults:?}");
        }
    }

    #[test]
    fn radii_that_do_not_fit_name_the_largest_that_does() {
        let faults = refused("channel:mouth=80,floor=80,depth=25,lip-radius=30,foot-radius=26");
        assert!(
            faults[0].to_string().contains("at most 25 mm"),
            "{faults:?}"
        );
        assert!(
            faults[1].to_string().contains("at most 25 mm"),
            "{faults:?}"
        );
        let faults = refused("channel:mouth=80,floor=80,depth=25,lip-radius=10,foot-radius=16");
        assert!(
            faults[0].to_string().contains("at most 15 mm"),
            "{faults:?}"
        );
        assert_eq!(faults.len(), 1);
    }

    #[test]
    fn a_named_largest_radius_is_accepted() {
        for shape in [
            "channel:mouth=80,floor=40,depth=25",
            "groove:mouth=50,depth=12",
            "step:drop=6,run=4",
            "round:mouth=80,depth=25,crown=1500",
        ] {
            let faults = refused(&format!("{shape},lip-radius=9000"));
            let largest = format!("{shape},lip-radius={}", most(&faults[0]));
            assert!(read_shape(&largest, Units::Mm).is_ok(), "{largest}");
        }
    }

    #[test]
    fn a_step_falls_to_the_right_unless_it_rises_there() {
        let falls = points("step:drop=6,run=4,flat=50");
        assert_eq!(falls[2], Point::new(4.0, -6.0));
        let rises = points("step:drop=6,run=4,flat=50,rise=right");
        assert_eq!(rises[1], Point::new(-4.0, -6.0));
        assert_eq!(rises[3], Point::new(50.0, 0.0));
        assert_eq!(points("step:drop=6,wall=90")[2], Point::new(0.0, -6.0));
    }

    #[test]
    fn a_round_recess_has_the_arc_of_its_circle() {
        // Reference: Machinery's Handbook, 31st ed., p. 83: chord 21, rise 6 -> arc 25.308373.
        let section = read_shape("round:mouth=21,depth=6,flat=60", Units::Mm).unwrap();
        let arc = section.line().end() - 120.0;
        // Chords of sagitta 1e-3 on a radius of 12.2 shorten an arc by 2/3 of 1e-3/12.2.
        assert_relative_eq!(arc, 25.308373, max_relative = 6e-5);
        assert!(arc < 25.308373);
    }

    #[test]
    fn a_rounded_lip_meets_bowl_and_panel_without_a_kink() {
        for text in [
            "round:mouth=80,depth=20,lip-radius=8",
            "round:mouth=80,depth=20,lip-radius=8,crown=1500",
        ] {
            let p = points(text);
            let worst = p.windows(3).map(|w| {
                let (a, b) = (w[1] - w[0], w[2] - w[1]);
                crate::geometry::cross(a, b).abs().atan2(a.dot(&b))
            });
            // Facets of 1e-3 mm on a radius of 8 turn by 0.032 each; the sharp lip by 0.93.
            assert!(worst.fold(0.0, f64::max) < 0.05, "{text}");
            assert_relative_eq!(
                p.iter().map(|p| p.y).fold(0.0, f64::min),
                -20.0,
                epsilon = 1e-12
            );
        }
    }

    #[test]
    fn inches_scale_the_section() {
        let section = read_shape("channel:mouth=4,floor=2,depth=1,flat=2", Units::Inch).unwrap();
        assert_relative_eq!(section.line().points()[1].x, -50.8, epsilon = 1e-12);
    }
}
