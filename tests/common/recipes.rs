//! Random recipes, the same for the same seed and number: sections like those of the check
//! table, and harder families.

use super::made::{Ledge, Radii, Recipe, Rib, Scratched};
use tautspan::Kind;

/// Vigna's splitmix64: one add and three shifts a number, any seed will do.
///
/// # Reference
/// G. L. Steele, D. Lea, C. H. Flood (2014), "Fast splittable pseudorandom number
/// generators", OOPSLA '14, 453–472.
#[derive(Debug, Clone)]
pub(crate) struct Draw(u64);

impl Draw {
    /// The numbers of one row, whatever the rows before it drew.
    pub(crate) fn row(seed: u64, row: u64) -> Self {
        let mut of_row = Self(seed ^ row.wrapping_mul(0xd134_2543_de82_ef95));
        of_row.next();
        of_row
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Even between two numbers.
    pub(crate) fn from(&mut self, low: f64, high: f64) -> f64 {
        let high_bits = u32::try_from(self.next() >> 32).expect("32 bits");
        low + (high - low) * f64::from(high_bits) / f64::from(u32::MAX)
    }

    /// One chance in so many of `true`: `share` from 0 to 1.
    pub(crate) fn chance(&mut self, share: f64) -> bool {
        self.from(0.0, 1.0) < share
    }

    /// One of four.
    fn of<T: Copy>(&mut self, all: [T; 4]) -> T {
        all[usize::try_from(self.next() % 4).expect("below 4")]
    }

    fn twice(&mut self, low: f64, high: f64) -> (f64, f64) {
        (self.from(low, high), self.from(low, high))
    }
}

/// Families of the table.
pub(crate) const FAMILIES: [&str; 5] = ["channel", "step", "ledge", "rib", "scratch"];

/// Seed of the rows that the gate reads; `TAUTSPAN_SEED` tries others.
pub(crate) fn seed() -> u64 {
    let said = std::env::var("TAUTSPAN_SEED").ok();
    said.map_or(20_261_126, |said| said.parse().expect("a whole number"))
}

/// A recipe of a family, its ranges read off the rows of the table: mouths of 5 to 240 mm,
/// walls of 25 to 88 degrees, flats of 60 to 300 mm, one in ten 15 to 60.
pub(crate) fn like_the_table(draw: &mut Draw, family: &'static str) -> Recipe {
    let depth = 4.0 * 10.0_f64.powf(draw.from(0.0, 1.0));
    let walls = draw.twice(25.0, 88.0);
    let floor = draw.from(0.2, 2.5) * depth;
    let mut r = Recipe {
        family,
        ..Recipe::channel(depth, walls, floor)
    };
    if draw.chance(0.25) {
        let radius = draw.from(0.03, 0.2) * depth;
        r.radii.lips = (radius, radius);
    }
    if draw.chance(0.4) {
        let radius = draw.from(0.03, 0.2) * depth;
        r.radii.feet = (radius, radius);
    }
    match family {
        "step" => r.kind = Kind::Step,
        "ledge" => r.ledges.0 = Some(ledge(draw, depth)),
        "rib" => r.ribs = vec![middle_rib(depth)],
        "scratch" => r.scratches = vec![Scratched::LeftFlat],
        _ => {}
    }
    r.flats = (flat(draw), flat(draw));
    if draw.chance(0.55) {
        r.slopes = draw.twice(-3.0, 3.0);
    }
    if r.kind == Kind::Channel && draw.chance(0.4) {
        r.rise = draw.from(-0.5, 0.4) * depth;
    }
    survey(draw, &mut r);
    r
}

/// How it was surveyed: what must not move anything.
fn survey(draw: &mut Draw, r: &mut Recipe) {
    r.spacing = draw.chance(0.4).then(|| draw.from(4.0, 13.0));
    if draw.chance(0.4) {
        let radius = draw.from(2500.0, 8000.0);
        r.crown = Some(if draw.chance(0.25) { -radius } else { radius });
    }
    r.mirrored = draw.chance(0.5);
    if draw.chance(0.5) {
        r.shift = (draw.from(-1500.0, 1500.0) * 1000.0).round() / 1000.0;
    }
    r.decimals = draw.chance(0.45);
    let clear = [30.0, 60.0, 150.0, 300.0];
    r.clear = (draw.of(clear), draw.of(clear));
}

fn flat(draw: &mut Draw) -> f64 {
    if draw.chance(0.1) {
        draw.from(15.0, 60.0)
    } else {
        draw.from(60.0, 300.0)
    }
}

fn ledge(draw: &mut Draw, depth: f64) -> Ledge {
    Ledge {
        at: draw.from(0.4, 0.6),
        length: draw.from(0.15, 0.4) * depth,
    }
}

/// The table's rib: from 0.35 to 0.65 of the floor, 0.3 of the depth high.
fn middle_rib(depth: f64) -> Rib {
    Rib {
        at: [0.35, 0.44, 0.56, 0.65],
        height: 0.3 * depth,
    }
}

/// What makes a recipe harder.
type Harder = fn(&mut Draw, &mut Recipe);

/// Families beyond the table: what each changes in a random channel of the table.
pub(crate) const HARDER: [(&str, Harder); 17] = [
    ("vertical walls", |_, r| r.walls = (90.0, 90.0)),
    ("lips rounded by 0.05 to 0.5 mm", |d, r| {
        r.radii.lips = d.twice(0.05, 0.5);
    }),
    ("ledges in both walls", |d, r| {
        r.ledges = (Some(ledge(d, r.depth)), Some(ledge(d, r.depth)));
    }),
    ("two ribs", |d, r| {
        r.floor = d.from(1.5, 3.0) * r.depth;
        let rib = |from: f64, height: f64| Rib {
            at: [from, from + 0.07, from + 0.13, from + 0.2],
            height,
        };
        let (a, b) = d.twice(0.15, 0.45);
        r.ribs = vec![rib(0.2, a * r.depth), rib(0.6, b * r.depth)];
    }),
    ("scratches in a wall and both flats", |_, r| {
        use Scratched::{LeftFlat, LeftWall, RightFlat};
        r.scratches = vec![LeftFlat, LeftWall, RightFlat];
    }),
    ("flats of 8 to 20 mm", |d, r| {
        r.depth = d.from(3.0, 20.0);
        r.floor = d.from(0.2, 2.5) * r.depth;
        r.rise = 0.0;
        r.flats = d.twice(8.0, 20.0);
    }),
    ("floor sloped by up to 12 degrees", |d, r| {
        r.floor_slope = d.from(-12.0, 12.0);
        r.floor = r.floor.min(1.5 * r.depth);
        r.rise = 0.0;
    }),
    ("vee", |_, r| r.floor = 0.0),
    ("round bottom", |d, r| {
        r.floor = d.from(0.5, 1.0) * r.depth;
        r.radii.feet = (r.depth, r.depth);
    }),
    ("step, low crown, long survey", |d, r| {
        r.kind = Kind::Step;
        r.rise = 0.0;
        r.flats = d.twice(300.0, 400.0);
        // A flat without points between its ends is the crown's chord: 5 degrees of that and
        // 1.2 of slope stay flatter than a wall may be.
        r.slopes = (0.4 * r.slopes.0, 0.4 * r.slopes.1);
        let radius = d.from(2500.0, 4000.0);
        r.crown = Some(if d.chance(0.5) { radius } else { -radius });
        r.spacing = d.chance(0.5).then_some(10.0);
    }),
    ("step up or down, rounded", |d, r| {
        r.kind = Kind::Step;
        r.rise = 0.0;
        r.radii = Radii {
            lips: d.twice(0.1, 0.4),
            feet: d.twice(0.1, 0.4),
        };
        r.radii.lips.0 *= r.depth;
        r.radii.feet.0 *= r.depth;
    }),
    ("one wall gentle, the other steep", |d, r| {
        r.walls = (d.from(15.0, 25.0), d.from(80.0, 90.0));
    }),
    ("mouth line tilted", |d, r| {
        let up = d.chance(0.5);
        r.rise = r.depth
            * if up {
                d.from(0.4, 1.5)
            } else {
                d.from(-0.7, -0.4)
            };
    }),
    ("lips rounded by 6 to 20 mm", |d, r| {
        r.depth = d.from(20.0, 40.0);
        r.radii.lips = d.twice(6.0, 20.0);
        r.rise = 0.0;
    }),
    ("depth of 1.5 to 3 mm", |d, r| {
        r.depth = d.from(1.5, 3.0);
        r.floor = d.from(2.0, 20.0);
        r.radii.lips = (0.0, 0.0);
        r.rise = 0.0;
    }),
    ("floor of 5 to 10 times the depth", |d, r| {
        r.depth = r.depth.min(20.0);
        r.floor = d.from(5.0, 10.0) * r.depth;
        r.rise = 0.0;
    }),
    ("step with a ledge", |d, r| {
        r.kind = Kind::Step;
        r.rise = 0.0;
        r.ledges.0 = Some(ledge(d, r.depth));
    }),
];

/// A recipe of a harder family.
pub(crate) fn harder(draw: &mut Draw, which: usize) -> Recipe {
    let mut r = like_the_table(draw, "channel");
    let (family, change) = HARDER[which];
    r.family = family;
    change(draw, &mut r);
    r
}
