//! The chart for the bay wall and the lesson sheet.

use crate::common;

use common::demo;
use common::pdf::Pdf;
use tautspan::advice::Assurance;
use tautspan::card::{
    Chart, ChartCell, ChartGrid, ChartSpec, EmptyCell, Lesson, LessonSpec, PaperSize, chart_cell,
    lesson,
};
use tautspan::laydown::OrderName;
use tautspan::{
    Bed, Handling, Job, Kind, Recess, Section, Split, Survey, Units, film_named, read_shape,
    tool_named,
};

/// A grid of one chart with sharp corners and 45 degree walls.
fn with_chart<T>(
    film: &str,
    paper: PaperSize,
    units: Units,
    use_it: impl Fn(&ChartSpec<'_>) -> T,
) -> T {
    let film = film_named(film).expect("a class");
    let tool = tool_named("fingertip").expect("a tool");
    use_it(&ChartSpec {
        film: &film,
        tool: &tool,
        handling: None,
        wall_deg: 70.0,
        lip_radius: 2.0,
        foot_radius: 2.0,
        clear: 300.0,
        units,
        paper,
    })
}

fn grid(spec: &ChartSpec<'_>, kind: Kind, depths: &[f64], across: &[f64]) -> ChartGrid {
    let cells: Vec<ChartCell> = depths
        .iter()
        .flat_map(|&d| across.iter().map(move |&x| (d, x)))
        .map(|(d, x)| chart_cell(spec, kind, d, x))
        .collect();
    ChartGrid {
        kind,
        depths_mm: depths.to_vec(),
        across_mm: across.to_vec(),
        cells,
    }
}

#[test]
fn a_cell_is_the_main_job_on_its_shape() {
    // Reference: the same shape through the reader and `recommend`.
    with_chart("wrap-cast", PaperSize::A4, Units::Mm, |spec| {
        let cell = chart_cell(spec, Kind::Channel, 25.0, 80.0);
        let shape =
            "channel:mouth=80,depth=25,left-wall=70,right-wall=70,lip-radius=2,foot-radius=2";
        let section = read_shape(shape, Units::Mm).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        let bed = Bed::new(&recess, spec.tool.pad(), spec.tool.tip_radius());
        let job = Job {
            assurance: Some(Assurance::default()),
            ends: None,
            ..Job::new(&bed, spec.film, spec.tool)
        };
        let answer = tautspan::recommend(&job, &[]);
        assert_eq!(cell.bridge_mm, answer.assured_bridge_mm);
        assert!(answer.assured_bridge_mm > answer.nominal_bridge_mm);
        // Reference: by hand. Sharp walls at 70 degrees, 25 deep: 25 / sin 70 = 26.604 each
        // over 25 / tan 70 = 9.099, so 35.01 mm of extra; two lips and two feet rounded with
        // 2 mm each take (2 tan 35 - 70 deg) 2 mm = 0.357 mm off, four times: 33.58 mm.
        let extra = cell.extra_mm.unwrap();
        assert!((extra - 33.58).abs() < 0.01, "{extra}");
        assert!((cell.plain_mm.unwrap() - extra / 0.2).abs() < 1e-9);
    });
}

#[test]
fn a_cell_without_a_width_says_why() {
    with_chart("monomeric", PaperSize::A4, Units::Mm, |spec| {
        // Walls at 70 degrees meet 27.5 mm under a mouth of 20 mm.
        let cell = chart_cell(spec, Kind::Channel, 30.0, 20.0);
        assert_eq!((cell.bridge_mm, cell.why), (None, Some(EmptyCell::NoShape)));
        let deep = chart_cell(spec, Kind::Channel, 40.0, 80.0);
        assert!(deep.bridge_mm.is_none() && deep.why.is_some());
        assert_ne!(deep.why, Some(EmptyCell::NoShape));
    });
}

#[test]
fn the_chart_is_one_page_with_every_width_and_the_plain_rule() {
    for (paper, units) in [(PaperSize::A4, Units::Mm), (PaperSize::Letter, Units::Inch)] {
        for film in ["wrap-cast", "monomeric"] {
            with_chart(film, paper, units, |spec| {
                let depths = [5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0];
                let channel = grid(spec, Kind::Channel, &depths, &[20.0, 40.0, 80.0, 160.0]);
                let step = grid(spec, Kind::Step, &[5.0, 10.0, 20.0], &[0.0, 10.0]);
                let chart = Chart::new(spec, vec![channel, step], None);
                let pdf = Pdf::read(&chart.pdf().unwrap());
                assert_eq!(pdf.pages(), 1);
                let size = pdf.size(0);
                for p in pdf.strokes(0).iter().flatten() {
                    assert!(p.0 > 20.0 && p.0 < size.0 - 20.0, "{p:?}");
                    assert!(p.1 > 20.0 && p.1 < size.1 - 20.0, "{p:?}");
                }
                assert!(pdf.says(0, "Extra = A − B"));
                assert!(pdf.says(0, "Training numbers"));
                for cell in chart.grids.iter().flat_map(|g| &g.cells) {
                    if cell.order != Some(OrderName::DeepestFirst) {
                        continue;
                    }
                    let mm = cell.bridge_mm.unwrap();
                    let words = match units {
                        Units::Mm | Units::Cm => format!("{mm:.0}"),
                        Units::Inch => tautspan::say::inch_words(mm).replace(' ', "\u{a0}"),
                    };
                    assert!(pdf.says(0, &words), "{words}");
                    assert!(chart.html_with("").contains(&format!("<td>{words}</td>")));
                }
                assert_eq!(chart.csv().lines().count(), 1 + 32 + 6);
            });
        }
    }
}

fn taught(section: Section, film: &str, paper: PaperSize, frames: usize) -> Lesson {
    let film = film_named(film).expect("a class");
    let tool = tool_named("fingertip").expect("a tool");
    let recess = Recess::find(section, Survey::default()).expect("a recess");
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let handling = Handling::new(&film, &tautspan::Bay::default()).expect("conditions");
    let job = Job {
        handling: Some(&handling),
        ..Job::new(&bed, &film, &tool)
    };
    let spec = LessonSpec {
        paper,
        frames,
        units: Units::Mm,
    };
    lesson(&job, &spec).expect("a lesson")
}

/// Lengths of the lines of a page that run level, mm.
fn level_lines(pdf: &Pdf, page: usize) -> Vec<f64> {
    pdf.strokes(page)
        .iter()
        .filter(|[a, b]| (a.1 - b.1).abs() < 0.01)
        .map(|[a, b]| (b.0 - a.0).abs() / 72.0 * 25.4)
        .collect()
}

#[test]
fn the_hundred_millimetre_bar_is_a_hundred_millimetres() {
    // Reference: 100 mm = 283.4646 pt. Single precision of the PDF: 1e-3 mm.
    for paper in [PaperSize::A4, PaperSize::Letter] {
        let pdf = Pdf::read(&taught(demo("deep-channel"), "wrap-cast", paper, 0).pdf);
        assert_eq!(pdf.pages(), 3);
        assert!(pdf.says(2, "this bar is 100 mm long"));
        for page in 0..3 {
            assert!(pdf.says(page, "Training numbers"), "{page}");
        }
        let found = level_lines(&pdf, 2);
        let bars = found.iter().filter(|l| (**l - 100.0).abs() < 0.1);
        let bars: Vec<_> = bars.collect();
        assert_eq!(bars.len(), 1, "{found:?}");
        assert!((bars[0] - 100.0).abs() < 1e-3, "{bars:?}");
        // The two tapes on the outline, posts 12 mm high, stand a bridge of 125 mm apart.
        let posts: Vec<f64> = pdf
            .strokes(2)
            .iter()
            .filter(|[a, b]| {
                (a.0 - b.0).abs() < 0.01 && ((a.1 - b.1).abs() / 72.0 * 25.4 - 12.0).abs() < 0.01
            })
            .map(|[a, _]| a.0 / 72.0 * 25.4)
            .filter(|x| *x > 11.5)
            .collect();
        let apart: Vec<f64> = posts.iter().map(|x| x - posts[0]).collect();
        assert!(apart.iter().any(|d| (d - 125.0).abs() < 2e-3), "{posts:?}");
    }
}

#[test]
fn the_strip_is_as_long_as_the_panel_and_its_ticks_stand_where_the_film_lands() {
    // Reference: the lay-down itself: bridge 125 mm, 25 marks of 5 mm and the first.
    let film = film_named("wrap-cast").unwrap();
    let tool = tool_named("fingertip").unwrap();
    let recess = Recess::find(demo("deep-channel"), Survey::default()).unwrap();
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let bonds = bed.bonds_for_bridge(125.0, Split::Even).unwrap();
    let laid = bed.lay(bonds, tautspan::Order::DeepestFirst).unwrap();
    let pdf = Pdf::read(&taught(demo("deep-channel"), "wrap-cast", PaperSize::A4, 0).pdf);
    let long = level_lines(&pdf, 2);
    assert!(
        long.iter().any(|l| (l - (laid.arc() - 0.2)).abs() < 0.01),
        "no strip of {} mm: {long:?}",
        laid.arc()
    );
    // Upright lines 4 or 6 mm long are the strips' ticks; the first strip stands higher.
    let mut ticks: Vec<(f64, f64)> = pdf
        .strokes(2)
        .iter()
        .filter(|[a, b]| (a.0 - b.0).abs() < 0.01)
        .map(|[a, b]| (a.0, (a.1 - b.1).abs() / 72.0 * 25.4, a.1.min(b.1)))
        .filter(|t| (t.1 - 4.0).abs() < 0.01 || (t.1 - 6.0).abs() < 0.01)
        .map(|t| (t.2, t.0 / 72.0 * 25.4))
        .collect();
    let top = ticks.iter().map(|t| t.0).fold(0.0, f64::max);
    ticks.retain(|t| (t.0 - top).abs() < 0.1);
    assert_eq!(ticks.len(), 26, "{ticks:?}");
    for (k, (_, x)) in ticks.iter().enumerate() {
        let s = laid.bonds().0 + x - ticks[0].1;
        let film = laid.film(s).unwrap();
        // The profile's rows are 1 mm apart: chords of the film map, good to 0.02 mm.
        assert!((film - 5.0 * k as f64).abs() < 0.02, "{k}: {film}");
    }
    let _ = film;
}

#[test]
fn a_wide_section_is_tiled_with_seams() {
    let section = read_shape("channel:mouth=260,floor=200,depth=40", Units::Mm)
        .unwrap()
        .named("a wide recess with a very long name that has to stay on its one line, whatever it says");
    let pdf = Pdf::read(&taught(section, "recess-cast", PaperSize::Letter, 0).pdf);
    assert!(pdf.pages() >= 4, "{} pages", pdf.pages());
    for page in 2..pdf.pages() {
        assert!(pdf.says(page, "this bar is 100 mm long"));
        let more = if page == 2 { "page 2" } else { "page 1" };
        assert!(pdf.says(page, more), "{page}");
    }
}

#[test]
fn frames_are_alike_in_size_and_begin_bridged_and_end_down() {
    let lesson = taught(demo("deep-channel"), "wrap-cast", PaperSize::A4, 4);
    assert_eq!(lesson.frames.len(), 4);
    assert!(lesson.frames[0].title().contains("bridged"));
    assert!(lesson.frames[3].title().contains("down"));
    for frame in &lesson.frames {
        // Reference: the PNG's header holds width and height, big-endian, from byte 16.
        assert_eq!(
            frame.picture().unwrap().png.unwrap()[16..24],
            [0, 0, 6, 64, 0, 0, 3, 132]
        );
    }
}

#[test]
fn every_demo_recess_has_a_lesson_with_every_film() {
    for (name, _) in tautspan::DEMO_RECESSES {
        for film in ["wrap-cast", "monomeric"] {
            let lesson = taught(demo(name), film, PaperSize::A4, 2);
            assert!(Pdf::read(&lesson.pdf).pages() >= 2, "{name} {film}");
        }
    }
}
