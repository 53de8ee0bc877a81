//! Answers that look fine and are not: flawed readings of a section that is known, answered as the
//! command line would, and the width laid on the true section.
//!
//! A true section is drawn, then read as people read: with a gauge's noise, a slip, tilted, rounded,
//! thinned, by a comb, by tape and rule, in other units, with a lip or foot left out. Where a width is
//! recommended (exit 0) the film is laid on the truth at those tapes, pressed where the instruction
//! says; an answer is unsafe where the true peak is over the limit by more than 2 points.
//!
//! `TAUTSPAN_FLAWED` asks for so many cases instead of the gate's, `TAUTSPAN_SEED` for others, and
//! `TAUTSPAN_SHOW` prints each unsafe answer with its input.
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "small numbers drawn from 0 up"
)]

use crate::common::{recipes, survey};

use recipes::{Draw, FAMILIES, HARDER, harder, like_the_table};
use std::fmt::Write as _;
use survey::Source;
use tautspan::advice::Readings;
use tautspan::advice::{
    PressAt, PressSpot, Recommended, SectionText, Setting, recommend_family, recommend_width,
};
use tautspan::page::Catalogue;
use tautspan::{Bed, Bonds, Job, Point, Question, Recess, Recommendation, Section, Side, Survey};

/// Points over the limit from which an answer is unsafe.
const OVER: f64 = 2.0;
/// Cases in the gate, and their seed.
const CASES: u64 = 300;
const SEED: u64 = 20_261_127;

/// What is wrong with the readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Flaw {
    /// Points on the corners and 1 mm apart, to 0.01 mm.
    None,
    /// Points 2 to 8 mm apart, each height off by 0.25 mm (95 % within the gauge's 0.5 mm).
    Gauge,
    /// One reading off by 2 to 10 mm.
    Slip,
    /// Level panel read up to 15 degrees askew.
    Tilt,
    /// Both numbers to whole millimetres.
    Rounded,
    /// One point in 5 to 20 mm, corners or not.
    Thinned,
    /// A comb of 2 to 10 mm pitch, to 0.5 mm.
    Comb,
    /// Mouth, depth and tape, to 1 mm.
    Tape,
    /// Headers in cm or inches, decimal commas, from the right, as depths.
    Header,
    /// Nothing read within 3 to 15 mm of a lip or a foot.
    LeftOut,
    /// A scan 0.3 mm apart, noise of 0.02 to 0.3 mm in both directions, alike over 0 or 3 mm.
    Scan,
}

const FLAWS: [Flaw; 11] = [
    Flaw::None,
    Flaw::Gauge,
    Flaw::Slip,
    Flaw::Tilt,
    Flaw::Rounded,
    Flaw::Thinned,
    Flaw::Comb,
    Flaw::Tape,
    Flaw::Header,
    Flaw::LeftOut,
    Flaw::Scan,
];

impl Flaw {
    /// Share of the cases that may be answered unsafely, as counted over 20 000 of them: what no
    /// reading tells. A comb steps over ribs and ledges; a tape feels no rib; of a gap in close
    /// readings only the sharpest corner is known; one slip among wide readings looks like panel.
    fn most_unsafe(self) -> f64 {
        match self {
            Self::None | Self::Header => 0.0,
            Self::LeftOut => 0.01,
            Self::Tilt | Self::Rounded | Self::Scan => 0.015,
            Self::Gauge | Self::Slip => 0.02,
            Self::Tape => 0.03,
            Self::Thinned | Self::Comb => 0.055,
        }
    }
}

/// The panel at an abscissa; its ends beyond them.
fn height(panel: &[Point], x: f64) -> f64 {
    let i = panel
        .partition_point(|p| p.x <= x)
        .clamp(1, panel.len() - 1);
    let (a, b) = (panel[i - 1], panel[i]);
    if b.x - a.x < 1e-9 {
        return b.y;
    }
    a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0)
}

/// The chain with points at most `spacing` apart.
fn dense(panel: &[Point], spacing: f64) -> Vec<Point> {
    let mut all = vec![panel[0]];
    for w in panel.windows(2) {
        let n = ((w[1] - w[0]).norm() / spacing).ceil().max(1.0) as u32;
        all.extend((1..=n).map(|i| w[0] + (w[1] - w[0]) * (f64::from(i) / f64::from(n))));
    }
    all
}

/// Points so far apart along the panel, from a first one on, and its end.
fn thinned(panel: &[Point], first: f64, spacing: f64) -> Vec<Point> {
    let mut all = vec![panel[0]];
    let (mut s, mut next) = (0.0, first);
    for w in panel.windows(2) {
        let length = (w[1] - w[0]).norm();
        while next <= s + length && length > 0.0 {
            all.push(w[0] + (w[1] - w[0]) * ((next - s) / length));
            next += spacing;
        }
        s += length;
    }
    all.push(panel[panel.len() - 1]);
    all
}

fn rows(points: &[Point], digits: usize) -> String {
    points
        .iter()
        .fold(String::from("x_mm,y_mm\n"), |mut text, p| {
            let _ = writeln!(text, "{:.digits$},{:.digits$}", p.x, p.y);
            text
        })
}

fn csv(points: &[Point], digits: usize) -> Question {
    Question {
        section: Some(SectionText::Csv(rows(points, digits))),
        ..Question::default()
    }
}

/// The question that flawed readings of a panel ask.
fn read(panel: &[Point], truth: &Recess, flaw: Flaw, s: &mut Source) -> Question {
    let close = dense(panel, 1.0);
    match flaw {
        Flaw::None => csv(&close, 2),
        Flaw::Gauge => {
            let spacing = s.between(2.0, 8.0);
            let mut points = dense(panel, spacing);
            for p in &mut points {
                p.y += 0.25 * s.normal();
            }
            csv(&points, 1)
        }
        Flaw::Slip => {
            let spacing = s.between(1.0, 8.0);
            let mut points = dense(panel, spacing);
            let i = (s.uniform() * points.len() as f64) as usize % points.len();
            let up = if s.uniform() < 0.5 { 1.0 } else { -1.0 };
            points[i].y += up * s.between(2.0, 10.0);
            csv(&points, 2)
        }
        Flaw::Tilt => {
            let (sin, cos) = s.between(-15.0, 15.0).to_radians().sin_cos();
            let spacing = s.between(1.0, 6.0);
            let turned = |p: &Point| Point::new(cos * p.x - sin * p.y, sin * p.x + cos * p.y);
            let points: Vec<Point> = dense(panel, spacing).iter().map(turned).collect();
            csv(&points, 2)
        }
        Flaw::Rounded => {
            let spacing = s.between(1.5, 8.0);
            let mut points = dense(panel, spacing);
            points.dedup_by_key(|p| (p.x.round() as i64, p.y.round() as i64));
            csv(&points, 0)
        }
        Flaw::Thinned => {
            let spacing = s.between(5.0, 20.0);
            csv(&thinned(panel, s.between(0.0, spacing), spacing), 2)
        }
        Flaw::Comb => {
            let pitch = (s.between(2.0, 10.0) * 2.0).round() / 2.0;
            let (first, last) = (panel[0].x, panel[panel.len() - 1].x);
            let mut x = first + s.between(0.0, pitch);
            let mut text = format!("pitch={pitch}: ");
            while x <= last {
                let _ = write!(text, "{:.1},", (2.0 * height(panel, x)).round() / 2.0);
                x += pitch;
            }
            Question {
                section: Some(SectionText::Comb(text.trim_end_matches(',').to_owned())),
                ..Question::default()
            }
        }
        Flaw::Tape => {
            let tape = truth.extra() + truth.mouth();
            let text = format!(
                "mouth={:.0},depth={:.0},tape={:.0}",
                truth.mouth(),
                truth.depth(),
                tape
            );
            Question {
                section: Some(SectionText::Tape(text)),
                ..Question::default()
            }
        }
        Flaw::Header => header(&close, s),
        Flaw::LeftOut => {
            let (lips, feet) = (truth.outer(), truth.feet());
            let places = [Some(lips.0), Some(lips.1), feet.0, feet.1];
            let which = (4.0 * s.uniform()) as usize % 4;
            let at = truth.panel().at(places[which].unwrap_or(lips.0));
            let radius = s.between(3.0, 15.0);
            let points: Vec<Point> = close
                .into_iter()
                .filter(|p| (p - at).norm() > radius)
                .collect();
            csv(&points, 2)
        }
        Flaw::Scan => {
            let (sigma, alike) = (s.between(0.02, 0.3), s.uniform() < 0.5);
            let r = if alike { (-0.1_f64).exp() } else { 0.0 };
            let fresh = (1.0 - r * r).sqrt();
            let mut e = (s.normal(), s.normal());
            let mut points = thinned(panel, 0.3, 0.3);
            for p in &mut points {
                e = (e.0 * r + s.normal() * fresh, e.1 * r + s.normal() * fresh);
                *p = Point::new(p.x + sigma * e.0, p.y + sigma * e.1);
            }
            csv(&points, 3)
        }
    }
}

/// Readings without an error under another header.
fn header(points: &[Point], s: &mut Source) -> Question {
    let mut points = points.to_vec();
    let (depths, leftwards) = (s.uniform() < 0.3, s.uniform() < 0.3);
    if depths {
        points.iter_mut().for_each(|p| p.y = -p.y);
    }
    if leftwards {
        points.iter_mut().for_each(|p| p.x = -p.x);
    }
    if s.uniform() < 0.5 {
        // Listed from the other end: the same section, if x says so.
        points.reverse();
    }
    let kind = (4.0 * s.uniform()) as usize % 4;
    let (head, over, comma) = [
        ("x_cm,y_cm", 10.0, false),
        ("X (in);Y (in)", 25.4, true),
        ("y_mm\tx_mm", 1.0, false),
        ("\"x [mm]\" ; \"y [mm]\"", 1.0, true),
    ][kind];
    let mut text = format!("\u{feff}{head}\r\n");
    for p in &points {
        let (x, y) = (format!("{:.4}", p.x / over), format!("{:.4}", p.y / over));
        let line = match (kind, comma) {
            (2, _) => format!("{y}\t{x}"),
            (_, true) => format!("{x};{y}").replace('.', ","),
            _ => format!("{x},{y}"),
        };
        text.push_str(&line);
        text.push_str("\r\n");
    }
    // Half of those who read depths, or from the right, say so.
    Question {
        section: Some(SectionText::Csv(text)),
        depths: Some(depths && s.uniform() < 0.5),
        leftwards: Some(leftwards && s.uniform() < 0.5),
        ..Question::default()
    }
}

/// What a command line would say: the answer, if it is acceptable (exit 0).
fn accepted(question: &Question) -> Option<Recommendation> {
    let names = Catalogue::builtin();
    let setting = Setting::new(question, &names).unwrap();
    let one = |section: Section, assured: bool| -> Result<Recommendation, ()> {
        let recess = setting.recess(section).map_err(drop)?;
        let bed = setting.bed(&recess);
        let mut job = setting.job(&bed);
        if !assured {
            job.assurance = None;
        }
        Ok(recommend_width(&job))
    };
    let answer = match question.read(&names).ok()? {
        Readings::One(section) => one(section, true).ok()?,
        Readings::Family(family) => recommend_family(&family, one).ok()?.1,
    };
    let rough = answer.scatter.as_ref().is_some_and(|s| s.too_rough);
    (answer.recommended.is_some() && !rough).then_some(answer)
}

/// The truth pressed as the instruction says.
fn pressed(truth: &Recess, spot: &PressSpot) -> Option<Recess> {
    if matches!(spot.at, PressAt::Middle | PressAt::Foot) {
        return Some(truth.clone());
    }
    let offset = match (spot.nearer_foot, truth.feet()) {
        (Some(Side::Left), (Some(at), _)) => at + spot.from_foot_mm? - truth.press(),
        (Some(Side::Right), (_, Some(at))) => at - spot.from_foot_mm? - truth.press(),
        _ => spot.offset_mm,
    };
    let survey = Survey {
        press_offset: offset,
        ..*truth.survey()
    };
    Recess::find(truth.section().clone(), survey).ok()
}

/// The peak on the truth at the tapes that were recommended, percent; beyond any number where the
/// film cannot be laid so.
fn true_peak(truth: &Recess, answer: &Recommendation, chosen: &Recommended) -> f64 {
    let names = Catalogue::builtin();
    let question = Question {
        film: Some("wrap-cast".to_owned()),
        ..Question::default()
    };
    let setting = Setting::new(&question, &names).unwrap();
    let spot = answer.press.as_ref().map(|p| p.0.spot);
    let pressed = spot.and_then(|spot| pressed(truth, &spot));
    let recess = pressed.as_ref().unwrap_or(truth);
    let bed = Bed::new(recess, setting.tool.pad(), setting.tool.tip_radius());
    let job = Job::new(&bed, &setting.film, &setting.tool);
    let bonds = Bonds::with_reach(recess, chosen.reach_left_mm, chosen.reach_right_mm);
    let check = job.check(bonds, chosen.order.order(Side::Right), false);
    check.ok().and_then(|c| c.peak_pct).unwrap_or(f64::INFINITY)
}

/// A case: a true section, its flaw, what came of it.
struct Case {
    number: u64,
    family: &'static str,
    question: Question,
    /// The answer's bridge, the true peak and the limit, percent; none where no width was named.
    found: Option<(Recommendation, f64)>,
    truth: Recess,
}

fn case(seed: u64, number: u64, flaw: Flaw) -> Option<Case> {
    let mut draw = Draw::row(seed, number);
    let mut source = Source::new(seed ^ (number << 8));
    let recipe = if draw.chance(0.6) {
        let k = (draw.from(0.0, FAMILIES.len() as f64) as usize).min(FAMILIES.len() - 1);
        like_the_table(&mut draw, FAMILIES[k])
    } else {
        let k = (draw.from(0.0, HARDER.len() as f64) as usize).min(HARDER.len() - 1);
        harder(&mut draw, k)
    };
    let made = recipe.made();
    let section = Section::new("truth", &made.points).ok()?;
    let truth = Recess::find(section, Survey::default()).ok()?;
    let mut question = read(&made.points, &truth, flaw, &mut source);
    question.film = Some("wrap-cast".to_owned());
    let found = accepted(&question).map(|answer| {
        let chosen = answer.recommended.clone().unwrap();
        let mut peak = true_peak(&truth, &answer, &chosen);
        if flaw == Flaw::Header && peak > answer.film.limit_pct {
            // Read from the right, left is right for him who reads.
            let mirrored = Recess::find(truth.section().mirrored(), *truth.survey());
            peak = mirrored.map_or(peak, |t| peak.min(true_peak(&t, &answer, &chosen)));
        }
        (answer, peak)
    });
    Some(Case {
        number,
        family: recipe.family,
        question,
        found,
        truth,
    })
}

fn show(case: &Case, flaw: Flaw) {
    let Some((answer, peak)) = &case.found else {
        return;
    };
    let chosen = answer.recommended.as_ref().unwrap();
    let t = &case.truth;
    println!(
        "UNSAFE {flaw:?} case {} {}: true {:?} mouth {:.1} depth {:.1} extra {:.2}; read {:?} mouth {:.1} depth {:.1} extra {:.2}; {:?} {:.0} mm, reach {:.1} {:.1}, said {:.1} %, true {peak:.1} %",
        case.number,
        case.family,
        t.kind(),
        t.mouth(),
        t.depth(),
        t.extra(),
        answer.section.kind,
        answer.section.mouth_mm,
        answer.section.depth_mm,
        answer.plain_rule.extra_mm,
        chosen.order,
        chosen.bridge_mm,
        chosen.reach_left_mm,
        chosen.reach_right_mm,
        chosen.peak_pct,
    );
    if std::env::var("TAUTSPAN_SHOW").is_ok_and(|v| v == "all") {
        println!("{:?}\n{:?}", case.question.section, answer.warnings);
    }
}

fn hunted(cases: u64, seed: u64) -> Vec<(Flaw, u64, u64, u64)> {
    let shows = std::env::var("TAUTSPAN_SHOW").is_ok();
    let mut table = Vec::new();
    for (k, flaw) in FLAWS.into_iter().enumerate() {
        let (mut asked, mut answered, mut unsafe_) = (0, 0, 0);
        for i in 0..cases / FLAWS.len() as u64 {
            let Some(case) = case(seed, i * FLAWS.len() as u64 + k as u64, flaw) else {
                continue;
            };
            asked += 1;
            if let Some((answer, peak)) = &case.found {
                answered += 1;
                if *peak > answer.film.limit_pct + OVER {
                    unsafe_ += 1;
                    if shows {
                        show(&case, flaw);
                    }
                }
            }
        }
        println!("{flaw:?}: {asked} asked, {answered} answered, {unsafe_} unsafe");
        table.push((flaw, asked, answered, unsafe_));
    }
    table
}

#[test]
fn flawed_readings_seldom_lead_to_a_width_that_overstretches_film_on_the_true_section() {
    let said = |name: &str| std::env::var(name).ok().and_then(|t| t.parse::<u64>().ok());
    let cases = said("TAUTSPAN_FLAWED").unwrap_or(CASES);
    for (flaw, asked, answered, unsafe_) in hunted(cases, said("TAUTSPAN_SEED").unwrap_or(SEED)) {
        let most = flaw.most_unsafe() * asked as f64;
        // Two standard errors of so few cases beside the share that is known.
        let most = most + 2.0 * most.sqrt();
        assert!(
            unsafe_ as f64 <= most,
            "{flaw:?}: {unsafe_} of {answered} answered"
        );
        // Refusing all would be safe too.
        let few = matches!(flaw, Flaw::Thinned | Flaw::LeftOut);
        let least = asked as f64 * if few { 0.1 } else { 0.25 };
        assert!(
            answered as f64 >= least,
            "{flaw:?}: {answered} of {asked} answered"
        );
    }
}
