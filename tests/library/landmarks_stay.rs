//! Landmarks move with the readings and with nothing else: not with a micrometre, not with
//! where x is 0, which way x runs, points added along a facet, the length of the survey, the
//! clear panel stated, or the unit of length.

use crate::common::made;
use crate::common::recipes;

use made::{Recipe, typed};
use recipes::{Draw, FAMILIES, like_the_table, seed};
use tautspan::{
    Bed, Job, Kind, Point, Recess, Section, Side, Survey, film_named, recommend, tool_named,
};

/// How far a landmark may move where it should stay, mm.
const SAME: f64 = 0.01;
/// Shortest flat that is left of a survey cut short, mm: the least of the table's.
const SHORTEST: f64 = 15.0;
/// The move of a vertex, mm, and how far it may move a lip and a width.
const HAIR: f64 = 1e-3;
const LIP_MOVES: f64 = 0.05;
/// How far a foot may move for that, mm: it stands on a floor that may slope.
const FOOT_MOVES: f64 = 0.1;
const WIDTH_MOVES: f64 = 0.5;

/// Longest chain that is printed with what moved, points.
const PRINTED: usize = 30;

/// What was read, places as abscissas, mm.
#[derive(Debug, Clone)]
struct Reading {
    kind: Kind,
    lower: Option<Side>,
    outer: (f64, f64),
    feet: (Option<f64>, Option<f64>),
    depth: f64,
    mouth: f64,
}

fn read(points: &[Point], survey: Survey) -> Option<Reading> {
    let section = Section::new("stays", points).ok()?;
    let recess = Recess::find(section, survey).ok()?;
    let x = |s: f64| recess.panel().at(s).x;
    let (outer, feet) = (recess.outer(), recess.feet());
    Some(Reading {
        kind: recess.kind(),
        lower: recess.lower(),
        outer: (x(outer.0), x(outer.1)),
        feet: (feet.0.map(x), feet.1.map(x)),
        depth: recess.depth(),
        mouth: recess.mouth(),
    })
}

impl Reading {
    /// As if x had been stretched by `by` and moved by `dx`.
    fn placed(&self, by: f64, dx: f64) -> Self {
        let x = |x: f64| by * x + dx;
        Self {
            outer: (x(self.outer.0), x(self.outer.1)),
            feet: (self.feet.0.map(x), self.feet.1.map(x)),
            depth: by * self.depth,
            mouth: by * self.mouth,
            ..self.clone()
        }
    }

    fn mirrored(&self) -> Self {
        let back = |x: f64| -x;
        Self {
            lower: self.lower.map(|side| match side {
                Side::Left => Side::Right,
                Side::Right => Side::Left,
            }),
            outer: (-self.outer.1, -self.outer.0),
            feet: (self.feet.1.map(back), self.feet.0.map(back)),
            ..self.clone()
        }
    }

    /// The landmark that differs most, and by how much, mm, of a foot so many times that;
    /// infinitely if a kind does.
    fn differs(&self, other: &Self, feet: f64) -> (&'static str, f64) {
        if self.kind != other.kind || self.lower != other.lower {
            return ("kind", f64::INFINITY);
        }
        let foot = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => (a - b) * feet,
            (None, None) => 0.0,
            _ => f64::INFINITY,
        };
        let all = [
            ("left lip", self.outer.0 - other.outer.0),
            ("right lip", self.outer.1 - other.outer.1),
            ("left foot", foot(self.feet.0, other.feet.0)),
            ("right foot", foot(self.feet.1, other.feet.1)),
            ("depth", self.depth - other.depth),
            ("mouth", self.mouth - other.mouth),
        ];
        let most = all.into_iter().map(|(name, by)| (name, by.abs()));
        most.max_by(|a, b| a.1.total_cmp(&b.1)).unwrap()
    }
}

/// Random recipes like the table's, so many of each family, with their numbers.
fn recipes_of(each: u64) -> impl Iterator<Item = (u64, Recipe)> {
    println!("seed {}", seed());
    let families = FAMILIES.into_iter().zip(0..).cycle();
    let many = 5 * usize::try_from(each).unwrap();
    families
        .take(many)
        .zip(700_000..)
        .map(|((family, _), row)| {
            let recipe = like_the_table(&mut Draw::row(seed(), row), family);
            (row, recipe)
        })
}

/// Collects what moved, to print all of it before the test stops.
#[derive(Default)]
struct Moved {
    compared: u32,
    most: f64,
    wrong: Vec<String>,
}

impl Moved {
    /// Compares two readings of a row; they may differ by `within` mm, feet by the second.
    fn compare(
        &mut self,
        (row, what): (u64, &str),
        (change, points): (&str, &[Point]),
        before: &Reading,
        after: Option<&Reading>,
        within: (f64, f64),
    ) {
        self.compared += 1;
        let (name, by) = after.map_or(("no recess", f64::INFINITY), |after| {
            before.differs(after, within.0 / within.1)
        });
        if by > within.0 {
            let mut line = format!("row {row}, {change}: {name} by {by:.4} mm ({what})");
            if points.len() <= PRINTED {
                line += &format!("\n    --points=\"{}\"", typed(points));
            }
            self.wrong.push(line);
        } else {
            self.most = self.most.max(by);
        }
    }

    fn done(self) {
        let Self {
            compared,
            most,
            wrong,
        } = self;
        println!(
            "{compared} compared, {} moved, the others by {most:.2e} mm at most",
            wrong.len()
        );
        for line in wrong.iter().take(40) {
            println!("  {line}");
        }
        assert!(wrong.is_empty(), "seed {}: {} moved", seed(), wrong.len());
    }
}

fn survey_of(clear: (f64, f64)) -> Survey {
    Survey {
        clear_left: clear.0,
        clear_right: clear.1,
        ..Survey::default()
    }
}

/// Vertices spread over a chain: both ends, and others that a draw takes.
fn some_vertices(draw: &mut Draw, points: usize, others: usize) -> Vec<usize> {
    let last = u32::try_from(points - 1).unwrap();
    let mut all = vec![0, points - 1];
    for _ in 0..others {
        let at = draw.from(0.0, f64::from(last)).round();
        all.push(
            (0..points)
                .find(|&i| f64::from(u32::try_from(i).unwrap()) >= at)
                .unwrap(),
        );
    }
    all
}

/// The chain with one vertex moved.
fn with_moved(points: &[Point], at: usize, (dx, dy): (f64, f64)) -> Vec<Point> {
    let mut moved = points.to_vec();
    moved[at] = Point::new(moved[at].x + dx, moved[at].y + dy);
    moved
}

/// Right, left, up, down.
const MOVES: [(f64, f64); 4] = [(HAIR, 0.0), (-HAIR, 0.0), (0.0, HAIR), (0.0, -HAIR)];

#[test]
fn a_vertex_moved_by_a_micrometre_moves_no_lip_by_more_than_a_twentieth() {
    let mut moved = Moved::default();
    for (row, recipe) in recipes_of(20) {
        let made = recipe.made();
        let survey = survey_of(made.clear);
        let Some(before) = read(&made.points, survey) else {
            continue;
        };
        let mut draw = Draw::row(seed(), row + 1_000_000);
        for at in some_vertices(&mut draw, made.points.len(), 10) {
            for by in MOVES {
                let points = with_moved(&made.points, at, by);
                // A vertical facet cannot be moved either way: x may not run back.
                if Section::new("moved", &points).is_err() {
                    continue;
                }
                let change = format!("vertex {at} moved by {by:?}");
                let after = read(&points, survey);
                moved.compare(
                    (row, &made.what),
                    (&change, &points),
                    &before,
                    after.as_ref(),
                    (LIP_MOVES, FOOT_MOVES),
                );
            }
        }
    }
    moved.done();
}

/// The width before it is rounded, mm.
fn width(points: &[Point], clear: (f64, f64)) -> Option<f64> {
    let section = Section::new("moved", points).ok()?;
    let recess = Recess::find(section, survey_of(clear)).ok()?;
    let (film, tool) = (
        film_named("wrap-cast").unwrap(),
        tool_named("fingertip").unwrap(),
    );
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let job = Job::new(&bed, &film, &tool);
    recommend(&job, &[]).unrounded_bridge_mm
}

#[test]
fn a_vertex_moved_by_a_micrometre_moves_no_width_by_more_than_half_a_millimetre() {
    let mut wrong = Vec::new();
    for (row, recipe) in recipes_of(4) {
        let made = recipe.made();
        let before = width(&made.points, made.clear);
        let mut draw = Draw::row(seed(), row + 2_000_000);
        for at in some_vertices(&mut draw, made.points.len(), 2) {
            for by in [MOVES[1], MOVES[2]] {
                let points = with_moved(&made.points, at, by);
                if Section::new("moved", &points).is_err() {
                    continue;
                }
                let after = width(&points, made.clear);
                let same = match (before, after) {
                    (Some(a), Some(b)) => (a - b).abs() <= WIDTH_MOVES,
                    (None, None) => true,
                    _ => false,
                };
                if !same {
                    wrong.push(format!(
                        "row {row}, vertex {at} by {by:?}: {before:?} to {after:?} ({})",
                        made.what
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "seed {}: {wrong:#?}", seed());
}

#[test]
fn where_x_is_0_moves_nothing() {
    let mut moved = Moved::default();
    for (row, recipe) in recipes_of(30) {
        let made = recipe.made();
        let survey = survey_of(made.clear);
        let Some(before) = read(&made.points, survey) else {
            continue;
        };
        for dx in [240.0, -377.0, 1000.0, 0.1, -1234.567] {
            let points: Vec<Point> = made
                .points
                .iter()
                .map(|p| Point::new(p.x + dx, p.y))
                .collect();
            let after = read(&points, survey).map(|r| r.placed(1.0, -dx));
            // `placed` by 1: depth and mouth stay.
            let change = format!("x + {dx}");
            moved.compare(
                (row, &made.what),
                (&change, &points),
                &before,
                after.as_ref(),
                (SAME, SAME),
            );
        }
    }
    moved.done();
}

#[test]
fn the_mirrored_section_has_the_mirrored_landmarks() {
    let mut moved = Moved::default();
    for (row, recipe) in recipes_of(60) {
        let made = recipe.made();
        let Some(before) = read(&made.points, survey_of(made.clear)) else {
            continue;
        };
        let points: Vec<Point> = made
            .points
            .iter()
            .rev()
            .map(|p| Point::new(-p.x, p.y))
            .collect();
        let after = read(&points, survey_of((made.clear.1, made.clear.0)));
        let after = after.map(|r| r.mirrored());
        moved.compare(
            (row, &made.what),
            ("mirrored", &points),
            &before,
            after.as_ref(),
            (SAME, SAME),
        );
    }
    moved.done();
}

#[test]
fn points_along_a_facet_move_nothing() {
    let mut moved = Moved::default();
    for (row, recipe) in recipes_of(60) {
        let made = recipe.made();
        let survey = survey_of(made.clear);
        let Some(before) = read(&made.points, survey) else {
            continue;
        };
        let mut draw = Draw::row(seed(), row + 3_000_000);
        let mut points = vec![made.points[0]];
        for w in made.points.windows(2) {
            let mut at = [0.0; 3].map(|_| draw.from(0.01, 0.99));
            at.sort_by(f64::total_cmp);
            points.extend(at.map(|t| w[0] + (w[1] - w[0]) * t));
            points.push(w[1]);
        }
        let after = read(&points, survey);
        moved.compare(
            (row, &made.what),
            ("finer cut", &points),
            &before,
            after.as_ref(),
            (SAME, SAME),
        );
    }
    moved.done();
}

#[test]
fn the_length_of_the_survey_moves_nothing() {
    let mut moved = Moved::default();
    for (row, mut recipe) in recipes_of(60) {
        // Straight flats: of a crowned or scratched one, a part is another flat.
        recipe.crown = None;
        recipe.decimals = false;
        recipe.scratches.clear();
        let made = recipe.made();
        let survey = survey_of(made.clear);
        let Some(before) = read(&made.points, survey) else {
            continue;
        };
        let (left, right) = recipe.flats;
        let short = (
            left.min(SHORTEST.max(0.2 * left)),
            right.min(SHORTEST.max(0.2 * right)),
        );
        for flats in [
            (short.0, right),
            (left, short.1),
            short,
            (left + 400.0, right),
            (left, right + 400.0),
            (short.0, right + 400.0),
        ] {
            let other = Recipe {
                flats,
                ..recipe.clone()
            };
            let points = other.made().points;
            let after = read(&points, survey);
            let change = format!(
                "flats of {:.1} and {:.1}, {left:.1} and {right:.1} before",
                flats.0, flats.1
            );
            moved.compare(
                (row, &made.what),
                (&change, &points),
                &before,
                after.as_ref(),
                (SAME, SAME),
            );
        }
    }
    moved.done();
}

#[test]
fn the_clear_panel_stated_moves_nothing() {
    let mut moved = Moved::default();
    for (row, recipe) in recipes_of(60) {
        let made = recipe.made();
        let Some(before) = read(&made.points, survey_of((300.0, 300.0))) else {
            continue;
        };
        for clear in [(30.0, 30.0), (60.0, 60.0), (0.0, 150.0), (5.0, 1000.0)] {
            let after = read(&made.points, survey_of(clear));
            let change = format!("clear {clear:?}");
            moved.compare(
                (row, &made.what),
                (&change, &made.points),
                &before,
                after.as_ref(),
                (SAME, SAME),
            );
        }
    }
    moved.done();
}

#[test]
fn a_section_twice_the_size_has_landmarks_twice_as_far() {
    let mut moved = Moved::default();
    for (row, recipe) in recipes_of(60) {
        let made = recipe.made();
        let survey = survey_of(made.clear);
        let Some(before) = read(&made.points, survey) else {
            continue;
        };
        for by in [2.0, 0.5, 25.4] {
            let points: Vec<Point> = made
                .points
                .iter()
                .map(|p| Point::new(p.x * by, p.y * by))
                .collect();
            let scaled = Survey {
                gauge_tolerance: by * survey.gauge_tolerance,
                clear_left: by * survey.clear_left,
                clear_right: by * survey.clear_right,
                ..survey
            };
            let after = read(&points, scaled).map(|r| r.placed(1.0 / by, 0.0));
            let change = format!("{by} times the size");
            moved.compare(
                (row, &made.what),
                (&change, &points),
                &before,
                after.as_ref(),
                (SAME, SAME),
            );
        }
    }
    moved.done();
}
