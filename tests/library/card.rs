//! The job card: what it says, that it fits one page, and that no width stands bare where
//! it does not hold.

use crate::common;

use common::demo;
use common::pdf::Pdf;
use tautspan::advice::Notice;
use tautspan::card::{Asked, Card, PaperSize};
use tautspan::outcome::Ends;
use tautspan::{
    Bed, Bonds, Check, FilmClass, Job, Order, Recess, Recommendation, Section, Split, Survey, Tool,
    Units, film_named, tool_named,
};

/// Everything a card is made from.
struct Case {
    film: FilmClass,
    advice: Recommendation,
    fixed: Option<Check>,
}

fn case(section: Section, film: &FilmClass, survey: Survey, fix: Option<(f64, Order)>) -> Case {
    let tool: Tool = tool_named("fingertip").expect("a tool");
    let recess = Recess::find(section, survey).expect("a recess");
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let job = Job::new(&bed, film, &tool);
    let advice = tautspan::recommend(&job, &tautspan::builtin_films());
    let fixed = fix.map(|(bridge, order)| {
        let bonds = bed
            .bonds_for_bridge(bridge, Split::Even)
            .unwrap_or_else(|_| Bonds::with_reach(&recess, 0.0, 0.0));
        job.check(bonds, order, false).expect("a lay-down")
    });
    Case {
        film: film.clone(),
        advice,
        fixed,
    }
}

fn plain(name: &str, film: &str) -> Case {
    case(
        demo(name),
        &film_named(film).expect("a class"),
        Survey::default(),
        None,
    )
}

impl Case {
    fn card(&self, asked: &Asked) -> Card {
        Card::new(&self.film, &self.advice, self.fixed.as_ref(), asked).expect("a card")
    }
}

fn asked() -> Asked {
    Asked {
        gauge_tolerance: Some(0.5),
        ..Asked::default()
    }
}

/// All words of a card.
fn words(card: &Card) -> String {
    serde_json::to_string(card)
        .expect("JSON")
        .replace('\u{a0}', " ")
}

#[test]
fn the_deep_channel_card_says_tapes_order_and_warmth_in_the_pdf() {
    // Reference: `tautspan recommend` on the deep channel with wrap-cast: bridge 125 mm over
    // a mouth of 80.5 mm, so (125 - 80.5) / 2 = 22.3 mm on each side, deepest point first.
    let card = plain("deep-channel", "wrap-cast").card(&asked());
    let pdf = Pdf::read(&card.pdf().unwrap());
    for words in [
        "125 mm tape to tape",
        "22.3 mm out from the left lip",
        "Deepest point first",
        "Press the film on to the deepest",
        "Whole bridge",
        "80.5 mm lip to lip",
        "24.7 mm deep",
        "100 °C",
        "Training numbers",
        "Film lot number",
    ] {
        assert!(pdf.says(0, words), "{words}");
    }
}

/// Every line, down to the last blank, stands 8 mm or more from the edges.
fn within(pdf: &Pdf, size: (f64, f64)) {
    let edge = 8.0 / 25.4 * 72.0;
    let lines = pdf.strokes(0);
    assert!(lines.len() > 20, "{} lines", lines.len());
    for p in lines.iter().flatten() {
        assert!(p.0 > edge && p.0 < size.0 - edge, "{p:?}");
        assert!(p.1 > edge && p.1 < size.1 - edge, "{p:?}");
    }
}

#[test]
fn every_card_is_one_page_of_its_paper() {
    // Reference: ISO 216 A4, 210 x 297 mm; ANSI letter, 8.5 x 11 in of 72 points.
    let sizes = [
        (PaperSize::A4, (595.276, 841.890)),
        (PaperSize::Letter, (612.0, 792.0)),
    ];
    for (paper, size) in sizes {
        for (name, _) in tautspan::DEMO_RECESSES {
            for film in ["wrap-cast", "recess-cast", "monomeric"] {
                let asked = Asked { paper, ..asked() };
                let card = plain(name, film).card(&asked);
                let pdf = Pdf::read(&card.pdf().unwrap());
                assert_eq!(pdf.pages(), 1, "{name} {film}");
                // On A4 nothing is cut; what was seen is cut last, on none of these.
                let cut = pdf.says(0, "more, as the answer");
                assert!(!cut || paper == PaperSize::Letter, "{name} {film}");
                let html = card.html();
                for seen in &card.warnings {
                    assert!(html.contains(&seen[1..]), "{name} {film} {paper:?}: {seen}");
                }
                let found = pdf.size(0);
                // Single precision of a PDF's numbers.
                assert!((found.0 - size.0).abs() < 0.01, "{found:?}");
                assert!((found.1 - size.1).abs() < 0.01, "{found:?}");
                within(&pdf, size);
            }
        }
    }
}

#[test]
fn a_closed_end_takes_the_width_its_bareness_and_a_short_channel_takes_it_away() {
    let case = plain("deep-channel", "wrap-cast");
    let card = |length, ends| {
        case.card(&Asked {
            length,
            ends,
            ..asked()
        })
    };
    // Bridge 125: closed at one end within 125, at both ends within 250 there is no place.
    let open = card(Some(900.0), Some(Ends::Open));
    assert!(open.has_width && open.not_within_mm.is_none());
    assert!(!words(&open).contains("Not within"));
    for (length, ends, has_width) in [
        (Some(900.0), Some(Ends::OneOpen), true),
        (Some(126.0), Some(Ends::OneOpen), true),
        (Some(125.0), Some(Ends::OneOpen), false),
        (Some(251.0), Some(Ends::Closed), true),
        (Some(250.0), Some(Ends::Closed), false),
        (None, Some(Ends::Closed), true),
        (None, None, true),
        (Some(100.0), None, true),
    ] {
        let card = card(length, ends);
        assert_eq!(card.has_width, has_width, "{length:?} {ends:?}");
        if has_width {
            assert!((card.not_within_mm.unwrap() - 125.0).abs() < 1e-9);
            assert!(card.tasks[0].lines.iter().any(|l| l.contains("Not within")));
        } else {
            assert_eq!(card.bridge_mm, None);
            assert!(!words(&card).contains("tape to tape\""));
            assert!(!words(&card).contains("22.3 mm"));
        }
    }
}

#[test]
fn a_short_recess_with_unknown_ends_is_no_bare_width() {
    let case = plain("deep-channel", "wrap-cast");
    for (length, said) in [
        (100.0, "If an end is closed"),
        (200.0, "If both ends are closed"),
    ] {
        let card = case.card(&Asked {
            length: Some(length),
            ..asked()
        });
        assert!(words(&card).contains(said), "{length}");
    }
}

#[test]
fn what_was_not_asked_stands_as_a_blank_and_an_assumption() {
    let card = plain("deep-channel", "wrap-cast").card(&asked());
    let row = card
        .measured
        .iter()
        .find(|r| r.label.starts_with("Length"))
        .unwrap();
    assert!(row.value.starts_with("__"));
    assert!(card.assumptions[0].contains("length and ends of the recess were not given"));
}

#[test]
fn a_class_without_numbers_gives_blanks_and_no_invented_temperature() {
    let text = "name = \"bare\"\nlimit_pct = { value = 20.0, source = \"own test\" }\nthickness_um = { value = 90.0, source = \"own test\" }\n";
    let film = tautspan::film::parse_film("bare.toml", text).unwrap();
    let card = case(demo("deep-channel"), &film, Survey::default(), None).card(&asked());
    let after = card.after.join(" ").replace('\u{a0}', " ");
    assert!(after.contains("at least ______ °C"), "{after}");
    assert!(after.contains("Emissivity set: ______"), "{after}");
    let all = words(&card);
    assert!(
        !all.contains("100 °C") && !all.contains("80 °C"),
        "a temperature nobody gave"
    );
}

#[test]
fn no_width_says_so_with_the_reason_and_what_would_do() {
    // Reference: monomeric has a limit of 3 % and extra 23.2 mm, so the plain rule asks for
    // more than the 680 mm of mouth and clear panel.
    let card = plain("deep-channel", "monomeric").card(&asked());
    assert!(!card.has_width);
    assert_eq!(card.tasks[0].big, "No width");
    let pdf = Pdf::read(&card.pdf().unwrap());
    assert!(pdf.says(0, "No width"));
    assert!(pdf.says(0, "Film class polymeric"));
    assert!(!pdf.says(0, "tape to tape"));
    // A class meant for recesses, with 60 and 20 mm clear: a strip laid in would do.
    let film = film_named("polymeric").unwrap();
    let tight = Survey {
        clear_left: 60.0,
        clear_right: 20.0,
        ..Survey::default()
    };
    let pdf = Pdf::read(
        &case(demo("deep-channel"), &film, tight, None)
            .card(&asked())
            .pdf()
            .unwrap(),
    );
    assert!(pdf.says(0, "inlay strip"));
    within(&pdf, (595.276, 841.890));
}

#[test]
fn a_case_fixed_by_hand_over_the_limit_gets_no_width() {
    let film = film_named("wrap-cast").unwrap();
    let fix = |bridge| {
        let fix = Some((bridge, Order::DeepestFirst));
        case(demo("deep-channel"), &film, Survey::default(), fix).card(&asked())
    };
    let wide = fix(150.0);
    assert_eq!(wide.bridge_mm.map(f64::round), Some(150.0));
    let narrow = fix(90.0);
    assert!(!narrow.has_width);
    assert!(narrow.tasks[0].lines[0].contains("over the limit"));
    assert!(narrow.tasks[2].lines[0].contains("125"));
}

#[test]
fn inches_stand_everywhere_on_an_inch_card() {
    // Reference: in sixteenths 125 mm are 78.7, 22.3 mm 14.0, 25 mm 15.7.
    let asked = Asked {
        units: Units::Inch,
        paper: PaperSize::Letter,
        ..asked()
    };
    let card = plain("deep-channel", "wrap-cast").card(&asked);
    let pdf = Pdf::read(&card.pdf().unwrap());
    for words in ["4 15/16 in tape to tape", "7/8 in out from", "1 in deep"] {
        assert!(pdf.says(0, words), "{words}");
    }
    let tasks = card.tasks.iter().flat_map(|t| &t.lines);
    for line in tasks.chain(card.drawing.labels.iter()) {
        assert!(!line.contains("\u{a0}mm"), "{line}");
    }
}

#[test]
fn a_long_name_two_valleys_and_many_notes_stay_on_one_page() {
    let points = [
        (-80.0, 0.0),
        (0.0, 0.0),
        (10.0, -18.0),
        (30.0, -18.0),
        (40.0, 0.0),
        (90.0, 0.0),
        (95.0, -9.0),
        (105.0, -9.0),
        (110.0, 0.0),
        (170.0, 0.0),
    ];
    let name = "lower moulding recess of the left sliding door behind the rear wheel arch, third survey with the contour gauge, Überlänge, & <angle> \"quotes\"";
    let section = common::drawn(&points).named(name);
    let film = film_named("print-cast").unwrap();
    let mut case = case(section, &film, Survey::default(), None);
    for k in 0..30 {
        let why = format!(
            "note {k} of a long list: something was seen that matters for the width and takes a line and more to say"
        );
        case.advice.warnings.push(Notice::NotKnown { why }.into());
    }
    for paper in [PaperSize::A4, PaperSize::Letter] {
        let card = case.card(&Asked { paper, ..asked() });
        let pdf = Pdf::read(&card.pdf().unwrap());
        assert_eq!(pdf.pages(), 1);
        within(&pdf, pdf.size(0));
        assert!(pdf.says(0, "Deviations"), "the last field");
        assert!(pdf.says(0, "more, as the answer"), "notes are cut");
        let html = card.html();
        assert!(html.contains("&lt;angle&gt;") && !html.contains("<angle>"));
    }
}

#[test]
fn the_html_stands_alone() {
    let html = plain("deep-channel", "wrap-cast")
        .card(&asked())
        .html_with(&tautspan::figure::font_css());
    for outside in ["http://", "https://", "<script", "<link", "<img"] {
        let found = html.replace("http://www.w3.org/2000/svg", "");
        assert!(!found.contains(outside), "{outside}");
    }
    assert!(html.contains("@page { size: A4"));
}

#[test]
fn a_step_counts_its_reach_from_the_foot() {
    // Reference: the shallow step falls to the right, so its left tape stands at the lip.
    let film = film_named("wrap-cast").unwrap();
    let fix = Some((60.0, Order::DeepestFirst));
    let card = case(demo("shallow-step"), &film, Survey::default(), fix).card(&asked());
    let lines = &card.tasks[0].lines;
    assert_eq!(lines[0], "Left tape right at the lip");
    assert!(lines[1].contains("out from the foot"), "{lines:?}");
    let labels = &card.drawing.labels;
    assert!(labels[2].ends_with("lip to foot"), "{labels:?}");
}

#[test]
fn nothing_on_the_paper_asks_for_a_keyboard() {
    for (name, _) in tautspan::DEMO_RECESSES {
        for film in ["wrap-cast", "recess-cast", "monomeric"] {
            let all = words(&plain(name, film).card(&asked()));
            assert!(
                !all.contains('`') && !all.contains("--"),
                "{name} {film}: {all}"
            );
        }
    }
}
