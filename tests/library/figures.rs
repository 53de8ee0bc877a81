//! The pictures as files: what every SVG and PNG promises. `TAUTSPAN_PICTURES=DIR` keeps
//! them to be looked at.

use tautspan::advice::{Invented, Sweep};
use tautspan::ends::{EndCase, EndKind, EndOrder, EndText, LaidEnd, Trapezoid, lay_end};
use tautspan::evidence::trial::{Case, Laid, MARK_ERROR, Unknown, judge, read_marks};
use tautspan::figure::{
    EndLook, FigureError, Look, Paper, Picture, TrialLook, elongation_along, end_above, end_fronts,
    end_rulers, film_on_panel, film_source_bars, laying_stages, peak_against_width,
    raw_against_read, stretched_ruler, tension_along, trial_pieces,
};
use tautspan::film::{FilmNumber, StretchLaw, ToolNumber};
use tautspan::laydown::OrderName;
use tautspan::outcome::SourceMark;
use tautspan::section::{Mark, Typing};
use tautspan::{
    Bed, Bonds, Check, Conditions, Job, Order, Recess, Split, Survey, Told, Units, film_named,
    read_csv, read_points, read_shape, tool_named,
};

#[path = "../../src/figure/sample.rs"]
mod sample;

/// Both orders over a channel, by the solver.
fn laid() -> Vec<Check> {
    let section = read_shape("channel:mouth=80,floor=40,depth=25", Units::Mm).unwrap();
    let recess = Recess::find(section, Survey::default()).unwrap();
    let (film, tool) = (
        film_named("print-cast").unwrap(),
        tool_named("roller").unwrap(),
    );
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let job = Job::new(&bed, &film, &tool);
    let bonds = Bonds::with_reach(&recess, 50.0, 50.0);
    [Order::DeepestFirst, Order::EdgeFirst]
        .map(|order| job.check(bonds, order, true).unwrap())
        .to_vec()
}

/// Pictures of a round end, and of a closed end that is laid edges first.
fn ends(paper: Paper) -> Vec<(String, Picture)> {
    let section = Trapezoid {
        mouth: 80.0,
        floor: 40.0,
        depth: 25.0,
    };
    let kinds = [
        ("rounded", EndKind::Rounded, EndOrder::DeepestFirst),
        ("rounded-edges", EndKind::Rounded, EndOrder::EdgeFirst),
        ("square", EndKind::Square, EndOrder::DeepestFirst),
        ("ramp", EndKind::Ramp, EndOrder::DeepestFirst),
    ];
    let mut found = Vec::new();
    for (name, kind, order) in kinds {
        let text = EndText {
            kind,
            run: (kind == EndKind::Ramp).then_some(80.0),
            ..EndText::default()
        };
        let case = EndCase {
            section,
            size: text.size(&section, 10.0, None).unwrap(),
            pad: 10.0,
            side_reach: 35.0,
            end_reach: 35.0,
            half_length: None,
        };
        let laid: LaidEnd = lay_end(&case, order, &StretchLaw::default()).unwrap();
        let end = EndLook {
            order: match order {
                EndOrder::DeepestFirst => OrderName::DeepestFirst,
                EndOrder::EdgeFirst => OrderName::EdgeFirst,
            },
            raised: 1.0,
            film_name: "wrap-cast",
            limit: 0.3,
            area_limit: None,
            doubt: 0.25,
            within: laid.most.stretch[0] <= 1.3,
            laid: &laid,
        };
        for (what, drawing) in [
            ("above", end_above(&end, paper)),
            ("fronts", end_fronts(&end, paper)),
            ("rulers", end_rulers(&end, paper)),
        ] {
            let picture = drawing.unwrap().picture().unwrap();
            found.push((format!("end-{name}-{what}"), picture));
        }
    }
    found
}

fn scanned(scan: &sample::Scan) -> Recess {
    let section = read_csv("scan", scan.csv().as_bytes()).unwrap();
    Recess::find(section, Survey::default()).unwrap()
}

/// Three strips of the made trial over the demo's deep channel, whose marks are there to be read.
fn trial(paper: Paper) -> Picture {
    let section = read_csv(
        "deep-channel",
        include_bytes!("../../profiles/recesses/deep-channel.csv"),
    );
    let recess = Recess::find(section.unwrap(), Survey::default()).unwrap();
    let (film, tool) = (
        film_named("wrap-cast").unwrap(),
        tool_named("fingertip").unwrap(),
    );
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let table = include_str!("../../profiles/trial/strips.csv");
    let pieces = read_marks("strips", table).unwrap().into_iter();
    let pieces: Vec<Laid> = pieces
        .map(|piece| Laid {
            bonds: bed
                .bonds_for_bridge(piece.bridge_mm.unwrap(), Split::default())
                .unwrap(),
            piece,
        })
        .collect();
    let case = Case {
        bed: &bed,
        order: Order::DeepestFirst,
        known: Conditions::default(),
        before: Conditions::default(),
        unknown: vec![Unknown::LipFriction],
        mark_error: MARK_ERROR,
    };
    let report = judge(&case, &pieces).unwrap();
    let trial = TrialLook {
        report: &report,
        section: recess.section().name(),
        film: &film.name,
        tool: &tool.name,
    };
    trial_pieces(&trial, paper).unwrap().picture().unwrap()
}

#[test]
fn a_trial_is_titled_by_what_it_tells() {
    // The strips were made with a friction of 0.25 and fates about a limit between their peaks.
    let title = trial(Paper::Slide).title;
    assert!(title.starts_with("Limit between 22."), "{title}");
    assert!(title.contains("friction on the lips 0.2"), "{title}");
}

fn all(paper: Paper) -> Vec<(String, Picture)> {
    let mut found = vec![("trial".to_owned(), trial(paper))];
    for (name, checks) in sample::all_checks() {
        found.push((
            format!("{name}-panel"),
            film_on_panel(&checks, paper).unwrap().picture().unwrap(),
        ));
        found.push((
            format!("{name}-along"),
            elongation_along(&checks, paper).unwrap().picture().unwrap(),
        ));
    }
    for (name, checks) in sample::many_sizes().into_iter().step_by(4) {
        found.push((
            name,
            film_on_panel(&checks, paper).unwrap().picture().unwrap(),
        ));
    }
    found.extend(ends(paper));
    let laid = laid();
    found.push((
        "laid-stages".to_owned(),
        laying_stages(&laid, paper).unwrap().picture().unwrap(),
    ));
    found.push((
        "laid-source".to_owned(),
        film_source_bars(&laid, paper).unwrap().picture().unwrap(),
    ));
    found.push((
        "laid-tension".to_owned(),
        tension_along(&laid, paper).unwrap().picture().unwrap(),
    ));
    found.push((
        "scan-reading".to_owned(),
        raw_against_read(&scanned(&sample::Scan::channel()), paper)
            .picture()
            .unwrap(),
    ));
    for (name, sweep) in sample::all_sweeps() {
        found.push((
            format!("{name}-width"),
            peak_against_width(&sweep, paper)
                .unwrap()
                .picture()
                .unwrap(),
        ));
    }
    found
}

/// Width and height from a PNG's header.
fn png_size(png: &[u8]) -> (u32, u32) {
    let number = |i: usize| u32::from_be_bytes(png[i..i + 4].try_into().unwrap());
    (number(16), number(20))
}

#[test]
fn every_picture_says_its_answer_and_carries_no_text_nodes() {
    let dir = std::env::var_os("TAUTSPAN_PICTURES").map(std::path::PathBuf::from);
    for (paper, size) in [(Paper::Slide, (1600, 900)), (Paper::Print, (2126, 1417))] {
        for (name, picture) in all(paper) {
            if let Some(dir) = &dir {
                let stem = dir.join(format!("{name}-{paper:?}"));
                std::fs::write(stem.with_extension("svg"), &picture.svg).unwrap();
                std::fs::write(stem.with_extension("png"), picture.png.as_ref().unwrap()).unwrap();
            }
            let title = format!(
                "stroke-linejoin=\"round\">\n<title>{}</title>\n<desc>",
                picture.title
            );
            assert!(
                picture.svg.contains(&title),
                "{name}: {}",
                &picture.svg[..400]
            );
            assert!(!picture.svg.contains("<desc></desc>"), "{name}");
            assert!(
                !picture.svg.contains("<text") && !picture.svg.contains("font-family"),
                "{name}"
            );
            assert!(
                !picture.svg.contains("NaN") && !picture.svg.contains("inf"),
                "{name}"
            );
            assert_eq!(png_size(picture.png.as_ref().unwrap()), size, "{name}");
        }
    }
}

#[test]
fn the_same_answer_gives_the_same_bytes() {
    let (a, b) = (
        film_on_panel(&sample::channel(), Paper::Slide),
        film_on_panel(&sample::channel(), Paper::Slide),
    );
    let [a, b] = [a, b].map(|drawing| drawing.unwrap().picture().unwrap());
    assert_eq!(a, b);
}

#[test]
fn the_title_is_the_answer() {
    let checks = sample::channel();
    let one = film_on_panel(&checks[..1], Paper::Slide)
        .unwrap()
        .picture()
        .unwrap();
    assert_eq!(
        one.title,
        "Deepest point first: within the limit of 20\u{2009}%"
    );
    let two = film_on_panel(&checks[..2], Paper::Slide)
        .unwrap()
        .picture()
        .unwrap();
    assert_eq!(
        two.title,
        "Deepest point first: within the limit of 20\u{2009}%; edges first: over"
    );
    assert!(
        two.svg
            .contains("peak 51.7\u{2009}% on the floor, over the limit of 20\u{2009}%.")
    );
}

#[test]
fn what_cannot_be_drawn_is_refused() {
    let mut checks = sample::channel();
    assert!(matches!(
        film_on_panel(&[], Paper::Slide),
        Err(FigureError::Nothing { .. })
    ));
    let four = [&checks[..], &checks[..1]].concat();
    assert_eq!(
        elongation_along(&four, Paper::Slide).map(|_| ()),
        Err(FigureError::TooMany { found: 4, most: 3 })
    );
    let mixed = [checks[0].clone(), sample::step()[0].clone()];
    assert_eq!(
        film_on_panel(&mixed, Paper::Slide).map(|_| ()),
        Err(FigureError::Mixed { what: "section" })
    );
    checks[0].profile[3].elongation_pct = f64::NAN;
    assert!(matches!(
        film_on_panel(&checks, Paper::Slide),
        Err(FigureError::Number { .. })
    ));
    let mut sweep = sample::all_sweeps().remove(0).1;
    sweep.rows.clear();
    assert!(matches!(
        peak_against_width(&sweep, Paper::Slide),
        Err(FigureError::Nothing { .. })
    ));
}

/// Boxes of all paths, mm.
fn boxes(group: &resvg::usvg::Group, found: &mut Vec<[f64; 4]>) {
    for node in group.children() {
        match node {
            resvg::usvg::Node::Group(inner) => boxes(inner, found),
            node => {
                let b = node.abs_bounding_box();
                found.push(
                    [b.left(), b.right(), b.top(), b.bottom()].map(|v| f64::from(v) * 25.4 / 96.0),
                );
            }
        }
    }
}

#[test]
fn the_ruler_measures_in_millimetres() {
    let check = &laid()[0];
    let ruler = stretched_ruler(check, Units::Mm)
        .unwrap()
        .picture()
        .unwrap();
    assert!(
        ruler
            .svg
            .contains(&format!("<title>{}</title>", ruler.title))
    );
    assert!(!ruler.svg.contains("<text") && !ruler.svg.contains("NaN"));
    // Reference: 180 mm of film (a bridge of 80 + 2 x 50) and margins of 8 mm; 96 px an inch.
    assert!(
        ruler
            .svg
            .starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"196mm\""),
        "{}",
        &ruler.svg[..90]
    );
    let tree = resvg::usvg::Tree::from_str(&ruler.svg, &resvg::usvg::Options::default()).unwrap();
    let mut found = Vec::new();
    boxes(tree.root(), &mut found);
    let near = |a: f64, b: f64| (a - b).abs() < 0.03;
    // The bar to check the scale with is 100 mm long.
    assert!(
        found
            .iter()
            .any(|b| near(b[1] - b[0], 100.0) && b[3] - b[2] < 0.1)
    );
    // So is the ruler itself as long as the film, from the margin on.
    assert!(found.iter().any(|b| near(b[0], 8.0) && near(b[1], 188.0)));
    // Upright ticks: every millimetre of film at itself, every one of panel where the film on it
    // came from (0.03 mm: the drawing's grid is 0.013 mm, and the SVG has two decimals of px).
    let upright = |x: f64| {
        found
            .iter()
            .any(|b| near(b[0], x) && near(b[1], x) && (1.0..4.0).contains(&(b[3] - b[2])))
    };
    for mm in 0..=180 {
        assert!(upright(8.0 + f64::from(mm)), "no tick at {mm} mm of film");
    }
    let source = check.source.as_ref().unwrap();
    let lip = source
        .rows
        .iter()
        .find(|r| r.marks.contains(&SourceMark::Of(Mark::LeftLip)))
        .unwrap();
    // Reference: the flat is stretched alike, so 30 mm of panel come from 30/lambda of film.
    let lambda = 1.0 + source.rows[0].elongation_pct / 100.0;
    assert!(lip.panel_mm > 40.0 && lambda > 1.01);
    for mm in [10.0, 20.0, 30.0, 40.0] {
        assert!(upright(8.0 + mm / lambda), "no tick for {mm} mm of panel");
    }
}

#[test]
fn what_has_no_source_or_tension_is_refused() {
    let bare = sample::channel();
    for refused in [
        laying_stages(&bare, Paper::Slide).map(|_| ()),
        film_source_bars(&bare[..2], Paper::Slide).map(|_| ()),
        tension_along(&bare, Paper::Slide).map(|_| ()),
        stretched_ruler(&bare[0], Units::Mm).map(|_| ()),
    ] {
        assert!(
            matches!(refused, Err(FigureError::Nothing { .. })),
            "{refused:?}"
        );
    }
    let three = [&laid()[..], &laid()[..1]].concat();
    assert_eq!(
        film_source_bars(&three, Paper::Slide).map(|_| ()),
        Err(FigureError::TooMany { found: 3, most: 2 })
    );
}

#[test]
fn a_reading_says_what_it_was_read_as_how_it_errs_and_what_was_dropped() {
    // Reference: the scan was made 80 mm wide and 25 mm deep, off by 0.1 mm, with 5 slips, 3
    // degrees off level. Chance: 0.1/sqrt(2 x 1000) mm of the noise, and five times that.
    let recess = scanned(&sample::Scan::channel());
    let picture = raw_against_read(&recess, Paper::Slide).picture().unwrap();
    let noise = recess.section().reading().unwrap().noise_mm;
    assert!((noise - 0.1).abs() < 0.0112, "{noise}");
    let mouth = recess.mouth();
    assert!((mouth - 80.0).abs() < 0.2, "{mouth}");
    let title = format!(
        "Read as a channel, {mouth:.1}\u{2009}mm\u{a0}wide, 25\u{2009}mm\u{a0}deep: each reading errs by {noise:.2}\u{2009}mm, 5 dropped"
    );
    assert_eq!(picture.title, title);
    assert!(picture.svg.contains("turned level by 3.0\u{b0}"));
    assert!(picture.svg.contains("Crosses: readings that were dropped."));
    let again = raw_against_read(&recess, Paper::Slide).picture().unwrap();
    assert_eq!(picture, again);
    let units = Units::Inch;
    let paper = Paper::Slide;
    let inches = raw_against_read(&recess, Look { paper, units })
        .picture()
        .unwrap();
    // Reference: 80 mm is 3 1/8 in to a sixteenth, 0.1 mm is 0.004 in.
    assert!(
        inches.title.contains("3\u{a0}1/8\u{2009}in\u{a0}wide")
            && inches.title.contains("0.004\u{2009}in"),
        "{}",
        inches.title
    );
}

#[test]
fn points_that_were_typed_and_shapes_are_drawn_as_they_are() {
    let text = "0,0 100,0 115,-18 160,-18 175,0 270,0";
    let typed = read_points("typed", text, Typing::default()).unwrap();
    let shape = read_shape("groove:mouth=60,depth=20", Units::Mm).unwrap();
    for (section, words) in [
        (typed, "6 points, taken as they are"),
        (shape, "Given as a channel, 60\u{2009}mm\u{a0}wide"),
    ] {
        let recess = Recess::find(section, Survey::default()).unwrap();
        let picture = raw_against_read(&recess, Paper::Print).picture().unwrap();
        assert!(picture.title.contains(words), "{}", picture.title);
    }
}

#[test]
fn a_long_scan_is_thinned_in_the_picture() {
    let scan = sample::Scan {
        spacing: 0.004,
        slips: 600,
        ..sample::Scan::channel()
    };
    let recess = scanned(&scan);
    let picture = raw_against_read(&recess, Paper::Slide).picture().unwrap();
    assert!(picture.svg.contains("Dots: readings, 2000 of "));
    assert!(picture.svg.contains("500 of "), "{}", &picture.svg[..900]);
    // 2000 dots twice and 500 crosses, some 300 bytes each.
    assert!(picture.svg.len() < 3_000_000, "{}", picture.svg.len());
}
