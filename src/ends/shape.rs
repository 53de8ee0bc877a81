//! What is said of an end, and the dimensions it comes to.

use crate::fault::{Fault, Refused};
use crate::geometry::{Point, halved};
use crate::section::{Least, Recess, Section, Survey, Typed, Units};
use serde::{Deserialize, Serialize};

/// Least floor of a trapezoid, part of the mouth: a foot line round which columns can fan. Less
/// leaves a foot so tight that no mesh here answers; more makes another section of a groove.
const LEAST_FLOOR: f64 = 0.2;
/// Least plan radius of a foot that nobody gave, mm: what a hand can press film into.
const LEAST_FOOT: f64 = 5.0;
/// Least radius and run, part of the mouth: less is a corner in which the mesh sees nothing.
const LEAST_PART: f64 = 0.01;

/// How a recess ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EndKind {
    /// The section runs out.
    #[default]
    Open,
    /// The lip goes round in an arc.
    Rounded,
    /// The lip goes straight across, with round corners.
    Square,
    /// The floor comes up in a long slope.
    Ramp,
}

impl EndKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Open, Self::Rounded, Self::Square, Self::Ramp];

    /// Its name as typed and in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Rounded => "rounded",
            Self::Square => "square",
            Self::Ramp => "ramp",
        }
    }
}

/// An end as it was said; lengths in mm, none where nothing was said.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct EndText {
    /// How it ends.
    pub kind: EndKind,
    /// Plan radius of the end's lip, of a square one of its corners.
    pub radius: Option<f64>,
    /// From end lip to end foot along the recess.
    pub run: Option<f64>,
    /// Plan radius at the foot.
    pub foot_radius: Option<f64>,
}

/// Reads an end: `open`, or a kind with what is known of it, as in
/// `rounded:radius=40,run=20,foot-radius=20`, `square:corner=25,run=20`, `ramp:run=80`.
///
/// # Errors
/// What cannot be read, every fault of it.
///
/// # Example
/// ```
/// use tautspan::ends::{EndKind, read_end};
/// let end = read_end("end_left", "rounded:radius=40", tautspan::Units::Mm).unwrap();
/// assert_eq!((end.kind, end.radius, end.run), (EndKind::Rounded, Some(40.0), None));
/// assert!(read_end("end_left", "rounded:radius=-1", tautspan::Units::Mm).is_err());
/// ```
pub fn read_end(what: &str, text: &str, units: Units) -> Result<EndText, Refused> {
    let (name, rest) = text.split_once(':').unwrap_or((text, ""));
    let name = name.trim().to_ascii_lowercase();
    let Some(kind) = EndKind::ALL.into_iter().find(|k| k.name() == name) else {
        let found = format!("the end `{}`", name.escape_debug());
        let expected = "`open`, `rounded`, `square` or `ramp`, as in `rounded:radius=40,run=20`";
        return Err(Refused::new(what, vec![Fault::whole(found, expected)]));
    };
    let (radius, keys) = match kind {
        EndKind::Open => ("", ""),
        EndKind::Square => ("corner", "corner run foot-radius"),
        EndKind::Rounded | EndKind::Ramp => ("radius", "radius run foot-radius"),
    };
    let mut typed = Typed::split(rest, keys, units);
    let end = EndText {
        kind,
        radius: typed.length(radius, Least::Positive),
        run: typed.length("run", Least::Zero),
        foot_radius: typed.length("foot-radius", Least::Positive),
    };
    if typed.faulty() {
        return Err(typed.into_error(what));
    }
    Ok(end)
}

/// An even trapezoid, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Trapezoid {
    /// From lip to lip.
    #[serde(rename = "mouth_mm")]
    pub mouth: f64,
    /// From foot to foot.
    #[serde(rename = "floor_mm")]
    pub floor: f64,
    /// Below the lips.
    #[serde(rename = "depth_mm")]
    pub depth: f64,
}

impl Trapezoid {
    /// The one with the same mouth, depth and length of panel from lip to lip: the mean
    /// elongation, and with it the plain rule, stay as they are. Where no floor as wide as the
    /// least has all three, the depth gives way.
    ///
    /// # Arguments
    /// * `mouth`, `depth`: of the section, mm, above 0.
    /// * `arc`: its panel from lip to lip, mm.
    pub fn fitting(mouth: f64, depth: f64, arc: f64) -> Self {
        let long = |floor: f64| 2.0 * (0.5 * (mouth - floor)).hypot(depth) + floor;
        let (narrow, wide) = (LEAST_FLOOR * mouth, mouth);
        let (mut floor, mut depth) = (wide, depth);
        if arc <= long(narrow) {
            // A groove: the least floor, and as deep as its panel is long.
            floor = narrow;
            let (wall, run) = (0.5 * (arc - narrow), 0.5 * (mouth - narrow));
            depth = (wall * wall - run * run).max(0.0).sqrt();
        } else if arc < long(wide) {
            floor = halved((narrow, wide), 60, |floor| long(floor) >= arc).0;
        } else {
            // Walls that run back: upright ones, deeper.
            depth = 0.5 * (arc - mouth);
        }
        Self {
            mouth,
            floor,
            depth,
        }
    }

    /// How far a wall runs sideways.
    pub fn run(&self) -> f64 {
        0.5 * (self.mouth - self.floor)
    }

    /// It as a recess.
    pub fn recess(&self) -> Option<Recess> {
        let (m, f, d) = (0.5 * self.mouth, 0.5 * self.floor, self.depth);
        let flat = 20.0 * self.mouth;
        let points: Vec<Point> = [
            (-m - flat, 0.0),
            (-m, 0.0),
            (-f, -d),
            (f, -d),
            (m, 0.0),
            (m + flat, 0.0),
        ]
        .map(|(x, y)| Point::new(x, y))
        .into();
        let section = Section::new("trapezoid", &points).ok()?;
        // To the size of the section, so that a small one is laid as a large one is.
        let survey = Survey {
            gauge_tolerance: 1e-3 * self.depth,
            ..Survey::default()
        };
        Recess::find(section, survey).ok()
    }
}

/// An end's dimensions, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndSize {
    /// How it ends.
    pub kind: EndKind,
    /// Plan radius of the end's lip.
    pub radius: f64,
    /// From end lip to end foot along the recess.
    pub run: f64,
    /// Plan radius at the foot.
    pub foot_radius: f64,
    /// From the end of the press line to the end's foot.
    pub press_stop: f64,
}

/// Why there is no number for an end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "why", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum EndError {
    /// A dimension that makes no end.
    Size {
        /// Its key.
        key: String,
        /// What was found, mm.
        found: f64,
        /// The least it may be, mm.
        least: f64,
        /// The most it may be, mm.
        most: f64,
    },
    /// Two ends overlap.
    TooShort {
        /// Half the length of the pocket, mm.
        half_length: f64,
        /// What one end takes of it, mm.
        needed: f64,
    },
    /// Film did not come into equilibrium.
    Unbalanced,
    /// Two meshes differ by too much.
    Mesh {
        /// By how much, percent of stretch.
        percent: f64,
        /// Of how much, percent.
        of: f64,
    },
    /// Far from the end the film is not in plane strain.
    OffPlane {
        /// The peak there, percent.
        found: f64,
        /// Plane strain, percent.
        expected: f64,
    },
}

impl EndText {
    /// The dimensions, with what nobody said taken from the section: an arc over the whole
    /// mouth (a square end: corners of half that), a wall as the side walls, a foot as far
    /// inside the lip as the wall runs. The press line ends at the arc's centre, lip's or
    /// foot's, the further in, and half the pad short of the foot at least: pressed on to the
    /// foot itself, film is drawn over a tight point.
    ///
    /// # Errors
    /// [`EndError::Size`]
    pub fn size(
        &self,
        section: &Trapezoid,
        pad: f64,
        press_stop: Option<f64>,
    ) -> Result<EndSize, EndError> {
        let (half, floor) = (0.5 * section.mouth, 0.5 * section.floor);
        let usual = if self.kind == EndKind::Square {
            0.5 * half
        } else {
            half
        };
        let radius = self.radius.unwrap_or(usual);
        let least = LEAST_PART * section.mouth;
        let run = self.run.unwrap_or_else(|| section.run()).max(least);
        let foot = match self.kind {
            EndKind::Ramp => floor,
            _ => (radius - run).max(LEAST_FOOT).min(floor),
        };
        let size = EndSize {
            kind: self.kind,
            radius,
            run,
            foot_radius: self.foot_radius.unwrap_or(foot),
            press_stop: 0.0,
        };
        let size = EndSize {
            press_stop: press_stop.unwrap_or_else(|| size.centre_stop().max(0.5 * pad)),
            ..size
        };
        size.inspect(section)?;
        Ok(size)
    }
}

impl EndSize {
    /// How far the arc's centre, lip's or foot's, is short of the end's foot.
    pub fn centre_stop(&self) -> f64 {
        self.foot_radius.max(self.radius - self.run)
    }

    /// Refuses dimensions that make no end of this section.
    ///
    /// # Errors
    /// [`EndError::Size`]
    pub fn inspect(&self, section: &Trapezoid) -> Result<(), EndError> {
        let least = LEAST_PART * section.mouth;
        let longest = 20.0 * section.mouth;
        for (key, found, least, most) in [
            ("radius", self.radius, least, 0.5 * section.mouth),
            ("run", self.run, least, longest),
            (
                "foot-radius",
                self.foot_radius,
                0.5 * least,
                0.5 * section.floor,
            ),
            ("press_stop_mm", self.press_stop, least, longest),
        ] {
            if !(least * (1.0 - 1e-9)..=most * (1.0 + 1e-9)).contains(&found) {
                return Err(EndError::Size {
                    key: key.to_owned(),
                    found,
                    least,
                    most,
                });
            }
        }
        Ok(())
    }
}
