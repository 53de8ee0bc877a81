//! Where to press, what a step is, and that a width never flips: the main job on sections
//! that are not even.

use crate::common;

use approx::assert_abs_diff_eq;
use common::{cases, said};
use proptest::prelude::*;
use tautspan::advice::{Cause, PressAt, TapeStep, WarmAdvice, WarmZone, Warmed, pressed_best};
use tautspan::card::{ChartSpec, PaperSize, chart_cell};
use tautspan::laydown::OrderName;
use tautspan::{
    Bay, Bed, FilmClass, Handling, Job, Kind, Order, Point, Recess, Recommendation, Section, Side,
    Split, Survey, Tool, Units, film_named, read_csv, read_shape, recommend, tool_named,
};

/// Everything but the recess.
#[derive(Clone)]
struct Bench {
    film: FilmClass,
    tool: Tool,
    handling: Option<Handling>,
    step: TapeStep,
}

impl Bench {
    fn new(film: &str) -> Self {
        Self {
            film: film_named(film).unwrap(),
            tool: tool_named("fingertip").unwrap(),
            handling: None,
            step: TapeStep::FiveMm,
        }
    }

    fn limited(mut self, percent: f64) -> Self {
        self.film.limit_pct.value = percent;
        self.film.recess_limit_pct = None;
        for layer in &mut self.film.layers {
            layer.limit_pct = None;
        }
        self
    }

    fn warmed(mut self, bay: &Bay) -> Self {
        self.handling = Some(Handling::new(&self.film, bay).unwrap());
        self
    }

    fn on<T>(&self, recess: &Recess, f: impl FnOnce(&Job<'_>) -> T) -> T {
        let bed = Bed::new(recess, self.tool.pad(), self.tool.tip_radius());
        f(&Job {
            step: self.step,
            handling: self.handling.as_ref(),
            ..Job::new(&bed, &self.film, &self.tool)
        })
    }

    /// As the commands do: pressed at the best place.
    fn answer(&self, recess: &Recess) -> Recommendation {
        let best = self.on(recess, pressed_best);
        self.on(best.as_ref().unwrap_or(recess), |job| recommend(job, &[]))
    }
}

fn bundled(name: &str) -> Recess {
    let path = format!(
        "{}/profiles/recesses/{name}.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let section = read_csv(name, &std::fs::read(path).unwrap()).unwrap();
    Recess::find(section, Survey::default()).unwrap()
}

fn shaped(shape: &str) -> Recess {
    Recess::find(read_shape(shape, Units::Mm).unwrap(), Survey::default()).unwrap()
}

/// A channel with walls of its own on each side.
fn lopsided(left_run: f64, floor: f64, right_run: f64, depth: f64) -> Vec<Point> {
    let x = [
        0.0,
        left_run,
        left_run + floor,
        left_run + floor + right_run,
    ];
    vec![
        Point::new(-60.0, 0.0),
        Point::new(x[0], 0.0),
        Point::new(x[1], -depth),
        Point::new(x[2], -depth),
        Point::new(x[3], 0.0),
        Point::new(x[3] + 60.0, 0.0),
    ]
}

fn through(points: &[Point]) -> Recess {
    Recess::find(Section::new("drawn", points).unwrap(), Survey::default()).unwrap()
}

#[test]
fn the_foot_of_the_steeper_wall_saves_what_the_middle_wastes() {
    // Reference: the project's worked values for this section, 20 %: about 105 mm at the foot
    // of the steep wall, 150 mm from the middle. With the fingertip's pad and tip 106.0 mm,
    // so 110 on a tape.
    let answer = Bench::new("wrap-cast").answer(&bundled("asymmetric-channel"));
    let press = answer.press.unwrap();
    assert_eq!(
        (press.spot.at, press.spot.steeper),
        (PressAt::LeftFoot, Some(Side::Left))
    );
    assert_eq!(press.middle_bridge_mm, Some(150.0));
    assert_abs_diff_eq!(answer.unrounded_bridge_mm.unwrap(), 105.0, epsilon = 2.0);
    assert!(said(&press).contains("foot of the steeper wall, on the left"));
    let first = &answer.orders[0];
    assert_abs_diff_eq!(first.press.x_mm, press.place.x_mm, epsilon = 1e-9);
    assert!(said(&first.order.steps[1]).contains("foot of the steeper wall"));
}

/// Reference: by definition, 5 degrees; a wall of 45 against one of 41 and one of 39, 20 deep.
#[test]
fn a_wall_is_the_steeper_one_from_five_degrees_on() {
    for (degrees, steeper) in [(41.0_f64, None), (39.0, Some(Side::Left))] {
        let run = 20.0 / degrees.to_radians().tan();
        let recess = through(&lopsided(20.0, 40.0, run, 20.0));
        let answer = Bench::new("wrap-cast").on(&recess, |job| recommend(job, &[]));
        assert_eq!(answer.press.unwrap().0.spot.steeper, steeper, "{degrees}");
    }
}

#[test]
fn an_even_recess_stays_pressed_in_its_middle() {
    for name in ["deep-channel", "crowned-round", "v-groove", "shallow-step"] {
        let recess = bundled(name);
        let moved = Bench::new("wrap-cast").on(&recess, pressed_best);
        assert!(moved.is_none(), "{name}");
    }
}

#[test]
fn a_press_that_was_given_is_not_moved() {
    let section = bundled("asymmetric-channel").section().clone();
    let survey = Survey {
        press_offset: 5.0,
        ..Survey::default()
    };
    let recess = Recess::find(section, survey).unwrap();
    let bench = Bench::new("wrap-cast");
    assert!(bench.on(&recess, pressed_best).is_none());
    let press = bench.answer(&recess).press.unwrap();
    assert_eq!(
        press.middle_bridge_mm,
        Some(150.0),
        "the middle stands beside it"
    );
}

proptest! {
    #![proptest_config(cases(48))]

    #[test]
    fn the_press_mirrors_and_never_needs_more_than_the_middle(
        left in 2.0..30.0_f64, floor in 15.0..60.0_f64, right in 2.0..40.0_f64,
        depth in 8.0..25.0_f64,
    ) {
        let bench = Bench::new("wrap-cast");
        let points = lopsided(left, floor, right, depth);
        let mirrored: Vec<Point> = points.iter().rev().map(|p| Point::new(-p.x, p.y)).collect();
        let (a, b) = (bench.answer(&through(&points)), bench.answer(&through(&mirrored)));
        prop_assert_eq!(a.nominal_bridge_mm.is_some(), b.nominal_bridge_mm.is_some());
        let (p, q) = (a.press.unwrap(), b.press.unwrap());
        // The golden section is good to a tenth of a millimetre of place.
        prop_assert!((p.spot.offset_mm + q.spot.offset_mm).abs() < 0.5, "{} {}", p.spot.offset_mm, q.spot.offset_mm);
        if let (Some(w), Some(v)) = (a.unrounded_bridge_mm, b.unrounded_bridge_mm) {
            prop_assert!((w - v).abs() < 0.5, "{w} {v}");
        }
        let middle = bench.on(&through(&points), |job| recommend(job, &[]));
        if let (Some(w), Some(m)) = (a.unrounded_bridge_mm, middle.unrounded_bridge_mm) {
            let saved = if p.spot.at == PressAt::Middle { 0.0 } else { 5.0 };
            prop_assert!(w <= m - saved + 1e-9, "{w} against {m}");
        }
    }

    #[test]
    fn a_micrometre_moves_the_width_by_less_than_half_a_millimetre(
        left in 2.0..12.0_f64, floor in 25.0..60.0_f64, right in 15.0..40.0_f64,
        depth in 10.0..22.0_f64, vertex in 1..5_usize, up in any::<bool>(),
    ) {
        let bench = Bench::new("wrap-cast");
        let mut points = lopsided(left, floor, right, depth);
        let before = bench.answer(&through(&points));
        points[vertex].y += if up { 1e-3 } else { -1e-3 };
        let after = bench.answer(&through(&points));
        let at = |a: &Recommendation| a.press.as_ref().unwrap().spot.at == PressAt::Middle;
        // Whether the place is taken is a tie at a saving of one step, and stated as such.
        if at(&before) == at(&after)
            && let (Some(w), Some(v)) = (before.unrounded_bridge_mm, after.unrounded_bridge_mm)
        {
            prop_assert!((w - v).abs() < 0.5, "{w} {v}");
        }
    }

    #[test]
    fn a_stricter_limit_never_bridges_a_step_more_narrowly(
        drop in 3.0..25.0_f64, run in 0.0..25.0_f64, lip in 0.0..4.0_f64,
        mouth_only in any::<bool>(),
    ) {
        let shape = format!("step:drop={drop},run={run},lip-radius={lip}");
        let Ok(section) = read_shape(&shape, Units::Mm) else { return Ok(()) };
        let recess = Recess::find(section, Survey::default()).unwrap();
        let bay = Bay {
            warm: Some(if mouth_only { WarmZone::Mouth } else { WarmZone::Whole }),
            ..Bay::default()
        };
        let mut widest = f64::INFINITY;
        for limit in [5.0, 8.0, 12.0, 20.0, 50.0] {
            for class in ["wrap-cast", "recess-cast"] {
                let bench = Bench::new(class).limited(limit).warmed(&bay);
                let answer = bench.answer(&recess);
                let width = answer.nominal_bridge_mm.unwrap_or(f64::INFINITY);
                let reach = answer.recommended.map(|r| r.reach_left_mm + r.reach_right_mm);
                prop_assert!(reach.is_none_or(|r| r >= 5.0 - 1e-6), "{reach:?} is no bridge");
                if class == "wrap-cast" {
                    prop_assert!(width <= widest, "{width} at {limit} %, {widest} at less");
                    widest = width;
                } else if !mouth_only {
                    // One temperature: a class is its limit.
                    let same = width.total_cmp(&widest).is_eq() || (width - widest).abs() <= 1e-9;
                    prop_assert!(same, "{width} and {widest}");
                }
            }
        }
    }

    #[test]
    fn every_width_listed_is_within_the_limit(
        lean in (0.3..2.5_f64, 0.3..2.5_f64), depth in 6.0..25.0_f64, half in 20.0..45.0_f64,
        limit in 6.0..30.0_f64, friction in prop::sample::select(vec![0.0, 0.2]),
        warm in prop::sample::select(vec![WarmZone::Mouth, WarmZone::Flats]),
        celsius in 30.0..100.0_f64,
    ) {
        // A bowl of eight chords with shoulders that lean towards it.
        let mut points = vec![Point::new(-160.0, 120.0 * lean.0.to_radians().tan())];
        for i in 0..=8 {
            let t = f64::from(i) / 4.0 - 1.0;
            points.push(Point::new(half * t, -depth * (1.0 - t * t)));
        }
        points.push(Point::new(160.0, 120.0 * lean.1.to_radians().tan()));
        let Ok(recess) = Recess::find(Section::new("bowl", &points).unwrap(), Survey::default())
        else { return Ok(()) };
        let bay = Bay {
            warm: Some(warm),
            warm_c: Some(celsius),
            lip_friction: Some(friction),
            ..Bay::default()
        };
        let bench = Bench::new("wrap-cast").limited(limit).warmed(&bay);
        let answer = bench.answer(&recess);
        bench.on(&recess, |job| {
            for &[from, to] in &answer.feasible {
                for i in 0..=11 {
                    let width = from + (to - from) * f64::from(i) / 11.0;
                    let Ok(bonds) = job.bed.bonds_for_bridge(width, job.split) else { continue };
                    let peak = job.check(bonds, Order::DeepestFirst, false).unwrap().peak_pct.unwrap();
                    // The march is good to 1e-6 points.
                    prop_assert!(peak <= limit + 1e-5, "{peak} at {width} of {from} to {to}");
                }
            }
            Ok(())
        })?;
    }
}

#[test]
fn a_low_step_is_bridged_or_laid_through() {
    let answer = Bench::new("wrap-cast").answer(&bundled("shallow-step"));
    let bridge = answer.nominal_bridge_mm.unwrap();
    assert!(bridge > answer.section.mouth_mm, "{bridge}");
    // At least one step of a tape is left free beyond the foot.
    assert!(answer.recommended.unwrap().reach_right_mm >= 5.0 - 1e-6);
    assert!(
        answer
            .orders
            .iter()
            .all(|o| o.order.name != OrderName::MiddlePush)
    );
    let through = answer.laid_through.unwrap();
    assert_eq!(through.loose, Side::Right);
    // Arc less taut length over all the clear panel, by the one-way lay-down.
    assert!(through.artwork_shift_mm > 0.0);
}

#[test]
fn edges_first_is_a_remark_beside_a_width() {
    let answer = Bench::new("wrap-cast").answer(&shaped("channel:mouth=120,floor=60,depth=5"));
    let order = answer.recommended.as_ref().unwrap().order;
    assert_ne!(order, OrderName::EdgeFirst);
    assert!(answer.edges_first_too);
}

#[test]
fn a_chart_rises_with_depth_and_never_jumps() {
    let (film, tool) = (
        film_named("wrap-cast").unwrap(),
        tool_named("fingertip").unwrap(),
    );
    let spec = ChartSpec {
        film: &film,
        tool: &tool,
        handling: None,
        wall_deg: 70.0,
        lip_radius: 2.0,
        foot_radius: 2.0,
        clear: 300.0,
        units: Units::Mm,
        paper: PaperSize::A4,
    };
    for mouth in [60.0, 80.0, 100.0] {
        let mut last: Option<f64> = None;
        for depth in 2..=30 {
            let cell = chart_cell(&spec, Kind::Channel, f64::from(depth), mouth);
            assert_ne!(cell.order, Some(OrderName::EdgeFirst), "{mouth} x {depth}");
            let Some(width) = cell.bridge_mm else { break };
            if let Some(before) = last {
                // Deeper never needs less, but for the rounding of a tape; and a millimetre of
                // depth asks for at most its extra over the limit, some 2 mm / 20 %, a step or
                // two of a tape more.
                assert!(
                    width >= before - 5.0,
                    "{mouth} x {depth}: {width} after {before}"
                );
                assert!(
                    width <= before + 20.0,
                    "{mouth} x {depth}: {width} after {before}"
                );
            }
            last = Some(width);
        }
    }
}

#[test]
fn a_mouth_only_width_beyond_three_mouths_is_none() {
    // Reference: this section used to be answered "mouth only: 620 mm".
    let bench = Bench::new("wrap-cast").warmed(&Bay::default());
    let answer = bench.answer(&bundled("deep-channel"));
    let zones: Vec<&Warmed> = answer.warmth.iter().map(|r| &r.warm).collect();
    let expected = [
        &Warmed::Whole(None),
        &Warmed::Mouth(100.0),
        &Warmed::Flats(100.0),
    ];
    assert_eq!(zones, expected);
    let mouth = &answer.warmth[1];
    assert_eq!(
        (mouth.bridge_mm, mouth.advice),
        (None, Some(WarmAdvice::FlatsToo))
    );
    for row in [&answer.warmth[0], &answer.warmth[2]] {
        assert!(row.recess_peak_pct.unwrap() <= row.peak_pct.unwrap() + 1e-9);
    }
    let only = Bay {
        warm: Some(WarmZone::Mouth),
        ..Bay::default()
    };
    let answer = Bench::new("wrap-cast")
        .warmed(&only)
        .answer(&bundled("deep-channel"));
    assert!(answer.recommended.is_none() && answer.impractical_bridge_mm.unwrap() > 600.0);
    assert_eq!(answer.no_width.unwrap().cause, Cause::MouthOnly);
    // Reference: by definition, three mouths of 80 are 240; depths on either side of that.
    let bench = Bench::new("wrap-cast").warmed(&only);
    let near = bench.answer(&shaped("channel:mouth=80,floor=40,depth=20"));
    assert!((160.0..=240.0).contains(&near.recommended.unwrap().bridge_mm));
    let far = bench.answer(&shaped("channel:mouth=80,floor=40,depth=21"));
    assert!((240.0..320.0).contains(&far.impractical_bridge_mm.unwrap()));
}

#[test]
fn in_inches_a_width_is_whole_quarters() {
    let mut bench = Bench::new("wrap-cast");
    bench.step = TapeStep::QuarterInch;
    let answer = bench.answer(&bundled("deep-channel"));
    let quarters = answer.nominal_bridge_mm.unwrap() / 6.35;
    assert_abs_diff_eq!(quarters, quarters.round(), epsilon = 1e-9);
    assert!(answer.nominal_bridge_mm >= answer.unrounded_bridge_mm);
}

/// What is recommended on a shape with so much clear panel on each side, for a pointed tool.
fn between(shape: &str, clear: f64) -> Recommendation {
    let survey = Survey {
        clear_left: clear,
        clear_right: clear,
        ..common::exact()
    };
    let recess = Recess::find(read_shape(shape, Units::Mm).unwrap(), survey).unwrap();
    let (film, tool) = (film_named("wrap-cast").unwrap(), common::pointed());
    let bed = Bed::new(&recess, 0.0, 0.0);
    recommend(&Job::new(&bed, &film, &tool), &[])
}

/// Reference: by definition. A step is bridged by one step of a tape, 5 mm, at least; 2 mm of
/// panel on each side give 4, 20 mm give 40.
#[test]
fn a_step_with_less_panel_than_a_step_of_the_tape_has_no_width() {
    let step = "step:drop=12,wall=45";
    assert!(between(step, 20.0).nominal_bridge_mm.is_some());
    assert_eq!(between(step, 2.0).nominal_bridge_mm, None);
}

/// Reference: the same channel with panel enough. Where what it needs lies within the panel
/// and the tape's next mark does not, the whole panel is the width; a little less is none.
#[test]
fn the_widest_bridge_is_a_width_where_the_next_mark_lies_beyond_it() {
    let channel = "channel:mouth=80,floor=40,depth=25";
    let wide = between(channel, 300.0);
    let (needed, mark) = (
        wide.unrounded_bridge_mm.unwrap(),
        wide.nominal_bridge_mm.unwrap(),
    );
    let widest = 0.5 * (needed + mark);
    let named = between(channel, 0.5 * (widest - 80.0)).nominal_bridge_mm;
    assert_abs_diff_eq!(named.unwrap(), widest, epsilon = 1e-6);
    let short = between(channel, 0.5 * (needed - 0.5 - 80.0));
    assert_eq!(short.nominal_bridge_mm, None);
}

/// A channel 20 deep between lips at `lip` to both sides, each flat with a scratch, and so much
/// clear panel.
fn scratched(lip: f64, clear: f64) -> Recess {
    let right = [
        (20.0, -20.0),
        (lip, 0.0),
        (42.41, 0.0),
        (42.43, -0.01),
        (42.45, 0.0),
        (150.0, 0.0),
    ];
    let left = right.iter().rev().map(|&(x, y)| (-x, y));
    let corners: Vec<Point> = left.chain(right).map(|(x, y)| Point::new(x, y)).collect();
    let survey = Survey {
        clear_left: clear,
        clear_right: clear,
        ..Survey::default()
    };
    Recess::find(Section::new("scratched", &corners).unwrap(), survey).unwrap()
}

/// Reference: by hand. Widths are tried at the mouth of 61 and every 5 mm from there: 81 is too
/// little, 86 does, and so does all from 82.5 to 84.8. At 85, the tape's mark, each bond line
/// lies 0.05 mm beyond a scratch 0.04 wide and 0.01 deep, whose arc is 0.04 (sqrt 1.25 - 1) =
/// 0.0047 longer than that, and this the last 0.05 mm of film must give: 9 % on top. 90 is clear
/// of it.
#[test]
fn a_width_is_laid_before_it_is_named() {
    let recess = scratched(30.5, 100.0);
    let mut bench = Bench::new("wrap-cast").limited(34.5);
    bench.tool = common::pointed();
    bench.on(&recess, |job| {
        let peak = |width| {
            let bonds = job.bed.bonds_for_bridge(width, Split::Even).unwrap();
            let check = job.check(bonds, Order::DeepestFirst, false).unwrap();
            check.peak_pct.unwrap()
        };
        assert!(peak(81.0) > 34.5 && peak(84.8) < 34.5 && peak(86.0) < 34.5);
        assert!(peak(85.0) > 40.0, "{}", peak(85.0));
        let answer = recommend(job, &[]);
        let unrounded = answer.unrounded_bridge_mm.unwrap();
        assert!((82.0..83.0).contains(&unrounded), "{unrounded}");
        assert_abs_diff_eq!(answer.nominal_bridge_mm.unwrap(), 90.0, epsilon = 1e-9);
    });
}

/// Reference: by hand. A ball of radius R between two walls at 45 degrees stays R (sqrt 2 - 1)
/// above their edge, 30 deep: 13.3 mm for R = 32, which is 44 %, and 15.7 for 38, which is 52.
#[test]
fn a_tool_that_stays_out_of_more_than_half_the_depth_gets_no_width() {
    let corners = [
        (-90.0, 0.0),
        (-30.0, 0.0),
        (0.0, -30.0),
        (30.0, 0.0),
        (90.0, 0.0),
    ];
    let recess = through(&corners.map(|(x, y)| Point::new(x, y)));
    let mut bench = Bench::new("wrap-cast").limited(300.0);
    for (radius, named) in [(32.0, true), (38.0, false)] {
        bench.tool = common::pointed();
        bench.tool.tip_radius_mm.value = radius;
        let answer = bench.on(&recess, |job| recommend(job, &[]));
        assert_eq!(answer.nominal_bridge_mm.is_some(), named, "{radius}");
    }
}

/// Reference: by hand. Of a mouth of 63 widths from 81.5 to 84.86 do, at 85 and at the widest,
/// 85.2, the scratch stretches the end of the film too far: no mark of the tape does.
#[test]
fn the_widest_bridge_is_no_width_where_it_is_over_the_limit() {
    let recess = scratched(31.5, 11.1);
    let mut bench = Bench::new("wrap-cast").limited(33.5);
    bench.tool = common::pointed();
    let answer = bench.on(&recess, |job| recommend(job, &[]));
    let [[from, to]] = answer.feasible[..] else {
        panic!("{:?}", answer.feasible)
    };
    assert!((81.0..82.0).contains(&from), "{from}");
    // Along the panel to the bottom of the scratch, from which the bond lines go up again.
    let bottom = 42.41 + 0.02_f64.hypot(0.01);
    assert_abs_diff_eq!(to, 2.0 * bottom, epsilon = 1e-6);
    assert_eq!(answer.nominal_bridge_mm, None);
}
