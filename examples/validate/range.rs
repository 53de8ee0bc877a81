//! What the answer hangs on: the peak of one recess at one width, one thing changed at a time.

use crate::checks::round_ends;
use serde::Serialize;
use tautspan::film::{StretchLaw, TensileCurve};
use tautspan::laydown::{Laying, Warm};
use tautspan::{Bed, Bonds, Conditions, Order, Recess, Survey, Units, read_shape};

/// The channel, mm.
const SHAPE: &str = "channel:mouth=80,floor=40,depth=25";
/// The bridge, mm.
pub(crate) const BRIDGE: f64 = 150.0;

/// One thing, and the peak at both ends of what it may be, percent.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Effect {
    pub(crate) what: &'static str,
    pub(crate) from: (&'static str, f64),
    pub(crate) to: (&'static str, f64),
}

impl Effect {
    pub(crate) fn spread(&self) -> f64 {
        (self.to.1 - self.from.1).abs()
    }
}

fn peak(
    shape: &str,
    bridge: f64,
    (pad, tip): (f64, f64),
    order: Order,
    conditions: &Conditions,
) -> f64 {
    let found = || {
        let section = read_shape(shape, Units::Mm).ok()?;
        let recess = Recess::find(section, Survey::default()).ok()?;
        let bed = Bed::new(&recess, pad, tip);
        let split = tautspan::Split::Even;
        let bonds: Bonds = bed.bonds_for_bridge(bridge, split).ok()?;
        let laid = bed.lay_under(bonds, order, conditions).ok()?;
        Some(100.0 * (laid.peak(&bed)?.lambda - 1.0))
    };
    found().unwrap_or(f64::NAN)
}

/// The peak as it is, percent: a fingertip, 150 mm of bridge, warmed all over, rolled down.
pub(crate) fn usual() -> f64 {
    peak(
        SHAPE,
        BRIDGE,
        (10.0, 5.0),
        Order::DeepestFirst,
        &Conditions::default(),
    )
}

/// Film whose force is as its elongation.
fn straight() -> StretchLaw {
    let curve = "elongation_pct,force_n_per_mm\n100,1\n";
    StretchLaw::Curve(TensileCurve::read("straight", curve, 1.0).expect("a curve"))
}

/// The greatest stretch round an end, percent.
fn at_an_end(law: &StretchLaw) -> f64 {
    100.0 * (round_ends::laid(None, law).most.stretch[0] - 1.0)
}

/// Everything that may be otherwise, the most important first.
pub(crate) fn effects() -> Vec<Effect> {
    let plain = Conditions::default();
    let tool = (10.0, 5.0);
    let with = |conditions: &Conditions| peak(SHAPE, BRIDGE, tool, Order::DeepestFirst, conditions);
    let warm = |warm: Warm| Conditions {
        warm,
        ..Conditions::default()
    };
    let softer = |times: f64| StretchLaw::NeoHookean(1.0 / times);
    let shaped = |shape: &str| peak(shape, BRIDGE, tool, Order::DeepestFirst, &plain);
    let mut all = vec![
        Effect {
            what: "order of pressing",
            from: ("deepest first", usual()),
            to: (
                "edges first",
                peak(SHAPE, BRIDGE, tool, Order::EdgeFirst, &plain),
            ),
        },
        Effect {
            what: "bridge width",
            from: (
                "200 mm",
                peak(SHAPE, 200.0, tool, Order::DeepestFirst, &plain),
            ),
            to: (
                "100 mm",
                peak(SHAPE, 100.0, tool, Order::DeepestFirst, &plain),
            ),
        },
        Effect {
            what: "where film is warm",
            from: ("all over", usual()),
            to: (
                "between the lips, 3 times softer",
                with(&warm(Warm::Mouth(softer(3.0)))),
            ),
        },
        Effect {
            what: "friction on the lips",
            from: ("none", usual()),
            to: (
                "0.3",
                with(&Conditions {
                    lip_friction: 0.3,
                    ..Conditions::default()
                }),
            ),
        },
        Effect {
            what: "laying",
            from: ("rolled down", usual()),
            to: (
                "dabbed down square",
                with(&Conditions {
                    laying: Laying::Dabbed,
                    ..Conditions::default()
                }),
            ),
        },
        Effect {
            what: "pad of the tool",
            from: (
                "20 mm",
                peak(SHAPE, BRIDGE, (20.0, 5.0), Order::DeepestFirst, &plain),
            ),
            to: (
                "5 mm",
                peak(SHAPE, BRIDGE, (5.0, 2.5), Order::DeepestFirst, &plain),
            ),
        },
        Effect {
            what: "radius of roller or tip",
            from: (
                "10 mm",
                peak(SHAPE, BRIDGE, (10.0, 10.0), Order::DeepestFirst, &plain),
            ),
            to: (
                "0",
                peak(SHAPE, BRIDGE, (10.0, 0.0), Order::DeepestFirst, &plain),
            ),
        },
        Effect {
            what: "depth, a millimetre either way",
            from: ("24 mm", shaped("channel:mouth=80,floor=40,depth=24")),
            to: ("26 mm", shaped("channel:mouth=80,floor=40,depth=26")),
        },
        Effect {
            what: "radius of lips and feet",
            from: (
                "5 mm",
                shaped("channel:mouth=80,floor=40,depth=25,lip-radius=5,foot-radius=5"),
            ),
            to: ("0", shaped(SHAPE)),
        },
        Effect {
            what: "law of the film, at a rounded end",
            from: ("rubber's", at_an_end(&StretchLaw::default())),
            to: ("force as elongation", at_an_end(&straight())),
        },
    ];
    all.sort_by(|a, b| b.spread().total_cmp(&a.spread()));
    all
}
