//! Film laid round the ends of recesses: the plan's check table, row by row.
//!
//! The table's channel is 80 wide at the mouth, 40 at the floor and 25 deep, its end rounded
//! 40 at the lip and 20 at the foot, its press line ends at the centre of the lip's arc (what
//! is taken where nobody says), sides and end are free for 35 mm and the pad is 10. A row
//! changes what it names. "Plan" below is that table; its channel-end rows are values of an
//! earlier program of the same model, converged there over three meshes, and no outside source.

mod axisymmetric;
mod random;
mod said;
mod whole;

use approx::assert_abs_diff_eq;
use tautspan::ends::{
    EndCase, EndKind, EndOrder, EndText, LaidEnd, Trapezoid, bowl_stretch, edges_first_area,
    lay_end, plane_strain,
};
use tautspan::film::StretchLaw;
use tautspan::{Bed, Bonds, Order, Point, Recess, Section, Survey};

use EndOrder::{DeepestFirst, EdgeFirst};

/// The check channel.
const CHANNEL: Trapezoid = Trapezoid {
    mouth: 80.0,
    floor: 40.0,
    depth: 25.0,
};

/// The check case with another end.
fn ended(said: EndText) -> EndCase {
    let size = said.size(&CHANNEL, 10.0, None).expect("an end");
    EndCase {
        section: CHANNEL,
        size,
        pad: 10.0,
        side_reach: 35.0,
        end_reach: 35.0,
        half_length: None,
    }
}

/// The check case.
fn channel() -> EndCase {
    ended(EndText {
        kind: EndKind::Rounded,
        ..EndText::default()
    })
}

/// Two such ends that meet: a round pocket, its wall a cone.
fn pocket() -> EndCase {
    EndCase {
        half_length: Some(40.0),
        ..channel()
    }
}

fn laid(case: &EndCase, order: EndOrder) -> LaidEnd {
    lay_end(case, order, &StretchLaw::default()).expect("an answer")
}

/// Greatest area and elongation, percent.
fn peaks(case: &EndCase, order: EndOrder) -> [f64; 2] {
    let laid = laid(case, order);
    [
        100.0 * (laid.thinnest.area() - 1.0),
        100.0 * (laid.most.stretch[0] - 1.0),
    ]
}

#[test]
fn a_rounded_channel_end_is_stretched_as_the_plan_converged_to() {
    // Reference: plan, percent, to 1 point.
    for (order, area, l1) in [(DeepestFirst, 55.8, 33.0), (EdgeFirst, 99.2, 55.0)] {
        let found = peaks(&channel(), order);
        assert_abs_diff_eq!(found[0], area, epsilon = 1.0);
        assert_abs_diff_eq!(found[1], l1, epsilon = 1.0);
    }
}

#[test]
fn more_reach_at_the_end_helps_as_little_as_the_plan_has_it() {
    // Reference: plan, percent of area, to 1 point; the sides stay at 35.
    for (reach, area) in [
        (1.0, 59.0),
        (20.0, 57.0),
        (35.0, 56.0),
        (100.0, 52.0),
        (200.0, 49.0),
    ] {
        let case = EndCase {
            end_reach: reach,
            ..channel()
        };
        assert_abs_diff_eq!(peaks(&case, DeepestFirst)[0], area, epsilon = 1.0);
    }
}

#[test]
fn a_steeper_end_is_stretched_as_the_plan_converged_to() {
    // Reference: plan, end run 10, percent, to 3 points.
    let case = ended(EndText {
        kind: EndKind::Rounded,
        run: Some(10.0),
        ..EndText::default()
    });
    for (order, area, l1) in [(EdgeFirst, 156.0, 69.0), (DeepestFirst, 73.0, 34.0)] {
        let found = peaks(&case, order);
        assert_abs_diff_eq!(found[0], area, epsilon = 3.0);
        assert_abs_diff_eq!(found[1], l1, epsilon = 3.0);
    }
}

#[test]
fn a_ramp_is_stretched_as_the_plan_converged_to_but_for_its_area_edges_first() {
    // Reference: plan, ramp of run 80: area and l1, percent, 57 and 53 edges first, 37 and 25
    // deepest first, to 2 points. The first of the four is not met and not compared: where the
    // ramp turns into the side walls the plan does not say how the wall is ruled, ours is along
    // rays from the press line's end, and there the area reads 64 (74.1, 64.8, 64.5 on meshes
    // 1, 1.4 and 2 times the coarse one). The two meshes of the answer differ by ten points and
    // say so.
    let ramp = ended(EndText {
        kind: EndKind::Ramp,
        run: Some(80.0),
        ..EndText::default()
    });
    let edges = laid(&ramp, EdgeFirst);
    assert_abs_diff_eq!(100.0 * (edges.most.stretch[0] - 1.0), 53.0, epsilon = 2.0);
    assert!(edges.mesh_doubt[1] > 0.05, "{:?}", edges.mesh_doubt);
    let deepest = peaks(&ramp, DeepestFirst);
    assert_abs_diff_eq!(deepest[0], 37.0, epsilon = 2.0);
    assert_abs_diff_eq!(deepest[1], 25.0, epsilon = 2.0);
}

#[test]
fn film_bonded_at_the_ends_lip_alone_leaves_the_middle_its_reach() {
    // Reference: the least reach, a hundredth of the mouth; the middle is in plane strain, and
    // less reach at the end stretches no less.
    let bonded = EndCase {
        end_reach: 0.0,
        ..channel()
    };
    let free = EndCase {
        end_reach: 0.8,
        ..channel()
    };
    let plane = plane_strain(&bonded, DeepestFirst).expect("finite");
    let (bonded, free) = (laid(&bonded, DeepestFirst), laid(&free, DeepestFirst));
    assert_abs_diff_eq!(bonded.middle, plane, epsilon = 1e-3);
    assert_abs_diff_eq!(
        bonded.most.stretch[0],
        free.most.stretch[0],
        epsilon = 1e-12
    );
}

#[test]
fn halved_lengths_change_nothing() {
    // Reference: the model has no length of its own (plan: equal to 1e-6).
    let half = |mm: f64| 0.5 * mm;
    for order in [DeepestFirst, EdgeFirst] {
        let whole = channel();
        let mut size = whole.size;
        for mm in [
            &mut size.radius,
            &mut size.run,
            &mut size.foot_radius,
            &mut size.press_stop,
        ] {
            *mm = half(*mm);
        }
        let small = EndCase {
            section: Trapezoid {
                mouth: half(CHANNEL.mouth),
                floor: half(CHANNEL.floor),
                depth: half(CHANNEL.depth),
            },
            size,
            pad: half(whole.pad),
            side_reach: half(whole.side_reach),
            end_reach: half(whole.end_reach),
            half_length: None,
        };
        let (large, small) = (laid(&whole, order), laid(&small, order));
        for (a, b) in (large.columns.iter().flatten()).zip(small.columns.iter().flatten()) {
            for k in 0..2 {
                assert_abs_diff_eq!(a.stretch[k], b.stretch[k], epsilon = 1e-6);
            }
        }
    }
}

#[test]
fn far_from_the_end_film_is_in_plane_strain() {
    // Reference: plan, percent: bridge 100, 150, 200 with a pad of 1, to 0.1 points, and edges
    // first to 0.2. A pad of 1 draws film over a tight point at the end itself, which the two
    // meshes are too coarse for; so plane strain is held to the plan with a pad of 1, and the
    // far column to plane strain with the pad of 10, to the same 0.1.
    for (reach, expected) in [(10.0, 26.56), (35.0, 17.10), (60.0, 12.61)] {
        let broad = EndCase {
            side_reach: reach,
            end_reach: reach,
            ..channel()
        };
        let thin = EndCase { pad: 1.0, ..broad };
        let plane = plane_strain(&thin, DeepestFirst).expect("finite");
        assert_abs_diff_eq!(100.0 * (plane - 1.0), expected, epsilon = 0.1);
        let plane = plane_strain(&broad, DeepestFirst).expect("finite");
        let middle = laid(&broad, DeepestFirst).middle;
        assert_abs_diff_eq!(100.0 * middle, 100.0 * plane, epsilon = 0.1);
    }
    let middle = laid(&channel(), EdgeFirst).middle;
    assert_abs_diff_eq!(100.0 * (middle - 1.0), 51.65, epsilon = 0.2);
}

#[test]
fn a_rounded_end_laid_edges_first_is_no_worse_than_the_rule() {
    // Reference: the plan measured powers of 1.51 to 1.71; the check channel's end is one of
    // them. The rule takes the most, so it is above and by less than the spread of the powers.
    let laid = laid(&channel(), EdgeFirst);
    let power = laid.thinnest.area().ln() / laid.middle.ln();
    assert!((1.51..=1.71).contains(&power), "{power}");
    assert!(laid.thinnest.area() <= edges_first_area(laid.middle));
}

/// A bowl, its section an arc of a circle of radius 50 in facets, the middle one level.
fn bowl(rim: f64) -> Recess {
    const FACETS: u32 = 4001;
    let (radius, flat) = (50.0, 20.0);
    let half = radius * rim.sin();
    let mut points = vec![Point::new(-half - flat, 0.0)];
    points.extend((0..=FACETS).map(|i| {
        let angle = rim * (2.0 * f64::from(i) / f64::from(FACETS) - 1.0);
        Point::new(radius * angle.sin(), radius * (rim.cos() - angle.cos()))
    }));
    points.push(Point::new(half + flat, 0.0));
    let section = Section::new("bowl", &points).expect("a section");
    Recess::find(section, Survey::default()).expect("a recess")
}

#[test]
fn the_bowls_closed_form_is_what_the_lay_down_of_its_section_comes_to() {
    // Reference: plan: closed form 2/(1 + cos rim), as printed there to 8 figures.
    for (degrees, expected) in [(30.0_f64, 1.071_796_8), (60.0, 4.0 / 3.0), (90.0, 2.0)] {
        let rim = degrees.to_radians();
        assert_abs_diff_eq!(bowl_stretch(rim), expected, epsilon = 5e-8);
        // Independent: the plane-strain lay-down of the section, edges first on to its middle
        // facet. 4001 facets leave an error that falls by their square: 1e-6.
        let recess = bowl(rim);
        let bed = Bed::new(&recess, 0.0, 0.0);
        let laid = bed.lay(Bonds::with_reach(&recess, 5.0, 5.0), Order::EdgeFirst);
        let peak = laid.expect("laid").peak(&bed).expect("finite").lambda;
        assert_abs_diff_eq!(peak, expected, epsilon = 1e-6);
    }
}
