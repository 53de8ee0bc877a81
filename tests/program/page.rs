//! The page without a browser: the engine's answers are the command line's, the files hold
//! what they must, and the committed engine is made of these sources.

use crate::common::rows;

use assert_cmd::Command;
use rows::{alike, checked, command_line, questions};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};
use tautspan::page::{Catalogue, answer, page_file, page_folder, page_served};

fn ask(question: &Value) -> Value {
    serde_json::from_str(&answer(&Catalogue::builtin(), &question.to_string())).unwrap()
}

#[test]
fn the_engine_gives_what_check_json_gives() {
    for (question, args) in questions() {
        checked(&ask(&question), &command_line(&args), 1e-9);
    }
}

#[test]
fn recommendation_sweep_and_section_are_those_of_the_command_line() {
    for (section, args) in [
        (
            json!({"demo": "deep-channel"}),
            vec!["profiles/recesses/deep-channel.csv"],
        ),
        (
            json!({"demo": "shallow-step"}),
            vec!["profiles/recesses/shallow-step.csv"],
        ),
        (
            json!({"tape": "mouth=80,depth=25,tape=104"}),
            vec!["--tape", "mouth=80,depth=25,tape=104"],
        ),
        (
            json!({"shape": "groove:mouth=60,depth=20"}),
            vec!["--shape", "groove:mouth=60,depth=20"],
        ),
    ] {
        for (command, film) in [
            ("recommend", "wrap-cast"),
            ("recommend", "monomeric"),
            ("sweep", "wrap-cast"),
            ("section", ""),
        ] {
            if command == "sweep" && section["tape"].is_string() {
                continue;
            }
            let mut all = vec![command];
            all.extend(&args);
            all.push("--json");
            let mut question = json!({"ask": command, "section": section});
            if !film.is_empty() {
                all.extend(["--film", film]);
                question["film"] = json!(film);
            }
            let (mut page, mut line) = (ask(&question), command_line(&all));
            // What is said of options differs; what was found does not.
            for answer in [&mut page, &mut line] {
                let answer = answer.as_object_mut().unwrap();
                answer.remove("assumptions");
                for order in answer
                    .get_mut("orders")
                    .and_then(Value::as_array_mut)
                    .into_iter()
                    .flatten()
                {
                    order.as_object_mut().unwrap().remove("assumptions");
                }
            }
            alike(&page, &line, 1e-9, command);
        }
    }
}

#[test]
fn orders_and_moments_share_one_width() {
    let section = json!({"shape": "channel:mouth=80,floor=40,depth=25"});
    let mut question = json!({"ask": "orders", "section": section, "film": "wrap-cast"});
    let orders = ask(&question);
    question["ask"] = json!("recommend");
    let advice = ask(&question);
    assert_eq!(orders["bridge_mm"], advice["recommended"]["bridge_mm"]);
    let names: Vec<&Value> = orders["checks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| &c["order"]["name"])
        .collect();
    assert_eq!(names, ["deepest-first", "edge-first"]);
    // A slider that is ahead of the section is brought back to what there is.
    question["ask"] = json!("orders");
    question["bridge_mm"] = json!(1.0);
    assert_eq!(ask(&question)["bridge_mm"], orders["least_bridge_mm"]);
    question["ask"] = json!("moments");
    question["bridge_mm"] = json!(150.0);
    question["frames"] = json!(5);
    let moments = ask(&question);
    for order in moments["orders"].as_array().unwrap() {
        let frames = order["frames"].as_array().unwrap();
        assert_eq!(frames.len(), 5);
        assert_eq!(frames[0]["down"], json!([]));
        assert_eq!(frames[4]["free"], json!([]));
        // Film never slackens while it is laid; an even channel, so both spans are alike.
        let stretch = |f: &Value| f["free"][0]["elongation_pct"].as_f64().unwrap();
        assert!(
            stretch(&frames[1]) <= stretch(&frames[2])
                && stretch(&frames[2]) <= stretch(&frames[3])
        );
    }
}

#[test]
fn a_scan_of_thousands_of_points_is_answered() {
    // A round hollow, 5000 points.
    let points: Vec<String> = (0..5000)
        .map(|i| f64::from(i) / 4999.0 * 160.0 - 80.0)
        .map(|x| {
            format!(
                "{x},{}",
                if x.abs() < 40.0 {
                    x * x / 80.0 - 20.0
                } else {
                    0.0
                }
            )
        })
        .collect();
    let mut question =
        json!({"ask": "recommend", "film": "wrap-cast", "section": {"points": points.join(" ")}});
    assert!(ask(&question)["recommended"]["bridge_mm"].is_number());
    question["ask"] = json!("orders");
    assert_eq!(ask(&question)["checks"].as_array().unwrap().len(), 2);
    question["bay"] = json!({"warm": "mouth"});
    let error = ask(&question)["error"]["message"]
        .as_str()
        .unwrap()
        .to_owned();
    assert!(error.contains("at most 2000"), "{error}");
}

#[test]
fn a_fault_names_its_point_and_what_was_expected() {
    let error =
        &ask(&json!({"ask": "section", "section": {"points": "-60,0 0,-1O 60,0 x"}}))["error"];
    let lines: Vec<&Value> = error["faults"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| &f["line"])
        .collect();
    assert_eq!(lines, [2, 4]);
    let error = &ask(
        &json!({"ask": "check", "film": "wrap-cats", "section": {"demo": "v-groove"}}),
    )["error"];
    assert_eq!(error["hint"], "did you mean `wrap-cast`?");
}

#[test]
fn the_page_reads_what_the_command_line_reads() {
    let seen = |question: Value| ask(&question);
    let plain = "-60,0 -40,0 -20,-12.5 20,-12.5 40,0 60,0";
    let expected = seen(json!({"ask": "section", "section": {"points": plain}}));
    for question in [
        json!({"section": {"points": "-60;0 -40;0 -20;-12,5 20;-12,5 40;0 60;0"}}),
        json!({"section": {"points": "60,0 40,0 20,-12.5 -20,-12.5 -40,0 -60,0"}, "leftwards": true}),
        json!({"section": {"points": "-60,0 -40,0 -20,12.5 20,12.5 40,0 60,0"}, "depths": true}),
        json!({"section": {"csv": "X (mm);Y (mm)\n-60;0\n-40;0\n-20;-12,5\n20;-12,5\n40;0\n60;0\n"}}),
        json!({"section": {"csv": "x,y\n-60,0\n-40,0\n-20,-12.5\n20,-12.5\n40,0\n60,0\n"}, "units": "mm"}),
    ] {
        let mut question = question;
        question["ask"] = json!("section");
        assert_eq!(
            seen(question.clone())["landmarks"],
            expected["landmarks"],
            "{question}"
        );
    }
    let inches = json!({"ask": "section", "units": "in", "section": {"tape": "mouth=3 1/8 depth=1 tape=4 1/8"}});
    assert_eq!(ask(&inches)["error"], Value::Null);
    let bare = json!({"ask": "section", "section": {"csv": "x,y\n0,0\n1,-1\n2,0\n"}});
    assert!(
        ask(&bare)["error"]["message"]
            .as_str()
            .unwrap()
            .contains("no unit in the header")
    );
    let turned = json!({"ask": "section", "depths": true, "section": {"demo": "v-groove"}});
    assert!(
        ask(&turned)["error"]["message"]
            .as_str()
            .unwrap()
            .contains("“Heights typed as depths”")
    );
}

#[test]
fn units_and_text_mean_on_the_page_what_they_mean_on_the_command_line() {
    let mm = ask(
        &json!({"ask": "section", "section": {"points": "-60,0 -40,0 -20,-12.5 20,-12.5 40,0 60,0"}}),
    );
    let cm = "-6;0 -4;0 -2;-1,25 2;-1,25 4;0 6;0";
    for section in [json!({"points": cm}), json!({"text": cm})] {
        let seen = ask(&json!({"ask": "section", "units": "cm", "section": section}));
        assert_eq!(seen["points"], mm["points"]);
        assert_eq!(seen["landmarks"], mm["landmarks"]);
    }
    // Centimetres are taken, millimetres said: the tape goes by 5 mm, as in mm.
    let width = |question: Value| ask(&question)["recommended"]["bridge_mm"].clone();
    assert_eq!(
        width(
            json!({"ask": "recommend", "film": "wrap-cast", "units": "cm", "section": {"text": cm}})
        ),
        width(
            json!({"ask": "recommend", "film": "wrap-cast", "section": {"points": "-60,0 -40,0 -20,-12.5 20,-12.5 40,0 60,0"}})
        )
    );
    // A hill is asked back, and answered once it is said to be depths.
    let mut hill = json!({"ask": "section", "section": {"text": "-60\t0\n-40\t0\n-20\t12,5\n20\t12,5\n40\t0\n60\t0"}});
    let hint = ask(&hill)["error"]["hint"].as_str().unwrap().to_owned();
    assert!(hint.contains("tick “Heights typed as depths”"), "{hint}");
    hill["depths"] = json!(true);
    assert_eq!(ask(&hill)["landmarks"], mm["landmarks"]);
}

#[test]
fn the_picture_of_readings_is_that_of_the_command_line() {
    // A channel 80 mm wide and 25 mm deep, a point every 0.3 mm, each off by up to 0.2 mm.
    let mut state = 7_u64;
    let mut noise = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        f64::from(u32::try_from(state >> 32).unwrap()) / 4_294_967_296.0 * 0.4 - 0.2
    };
    let height = |x: f64| (-25.0_f64).max(-1.25 * (40.0 - x.abs()).max(0.0));
    let points: Vec<String> = (0..900)
        .map(|i| f64::from(i) * 0.3 - 135.0)
        .map(|x| format!("{:.3},{:.3}", x + noise(), height(x) + noise()))
        .collect();
    let text = points.join(" ");
    let section = tautspan::read_points("points", &text, tautspan::Units::Mm).unwrap();
    let recess = tautspan::Recess::find(section, tautspan::Survey::default()).unwrap();
    let drawn = tautspan::figure::raw_against_read(&recess, tautspan::figure::Paper::Slide);
    let mut question = json!({"ask": "reading", "section": {"text": text}, "width_em": 20.0});
    let read = ask(&question);
    assert_eq!(read["picture"]["title"], drawn.title());
    assert!(
        drawn.title().contains("each reading errs by"),
        "{}",
        drawn.title()
    );
    let reading = recess.section().reading().unwrap();
    let done = read["done"].as_array().unwrap();
    assert_eq!(done.len(), recess.section().done().len());
    assert_eq!(done[0]["what"], "fitted", "{done:?}");
    assert_eq!(done[0]["noise_mm"], json!(reading.noise_mm));
    assert!(
        done[0]["text"]
            .as_str()
            .unwrap()
            .starts_with("each reading errs by 0.")
    );
    let svg = read["picture"]["svg"].as_str().unwrap();
    // Twenty ems of 25 units; in the page's colours, none of its own.
    assert!(svg.starts_with("<svg viewBox=\"0 0 500 "), "{}", &svg[..60]);
    assert!(svg.contains("<title id=") && svg.contains("<desc id="));
    assert!(svg.contains("var(--reading)") && !svg.contains("rgb("));
    assert!(svg.len() < 60_000, "{} bytes", svg.len());
    // Nothing was done to a clean survey, nor to a shape; a width is a width.
    for section in [
        json!({"points": "-60,0 -40,0 -20,-12.5 20,-12.5 40,0 60,0"}),
        json!({"shape": "groove:mouth=60,depth=20"}),
    ] {
        let read = ask(&json!({"ask": "reading", "section": section}));
        assert_eq!(read, json!({"done": [], "picture": null}));
    }
    question["width_em"] = json!(-1.0);
    assert!(ask(&question)["error"]["message"].is_string());
}

#[test]
fn film_of_a_class_without_moduli_says_so_in_its_row() {
    let class = json!({"name": "bare", "limit_pct": 20.0, "thickness_um": 90.0});
    let mut class = class;
    for key in ["limit_pct", "thickness_um"] {
        class[key] = json!({"value": class[key], "source": "invented for the demo"});
    }
    let warmth =
        ask(&json!({"ask": "warmth", "film_class": class, "section": {"demo": "deep-channel"}}));
    assert!(warmth["zones"][0]["checks"][0]["peak_pct"].is_number());
    assert!(warmth["zones"][1]["error"]["message"].is_string());
    // With moduli, each way to warm has its own width: those of `recommend --warm`.
    let section = json!({"demo": "deep-channel"});
    let warmth = ask(&json!({"ask": "warmth", "film": "wrap-cast", "section": section}));
    for zone in warmth["zones"].as_array().unwrap() {
        let line = command_line(&[
            "recommend",
            "profiles/recesses/deep-channel.csv",
            "--film",
            "wrap-cast",
            "--json",
            "--warm",
            zone["zone"].as_str().unwrap(),
        ]);
        alike(
            &zone["nominal_bridge_mm"],
            &line["nominal_bridge_mm"],
            1e-9,
            "width",
        );
    }
}

#[test]
fn the_pages_fonts_are_those_of_the_pictures_packed() {
    // WOFF2 (W3C): bytes 12 and 13 of the file are the number of tables, 16 to 19 the length of
    // the font once unpacked, whose outlines may be written a little longer.
    for name in ["regular", "semibold"] {
        let font = fs::read(format!("src/draw/font/{name}.ttf")).unwrap();
        let packed = fs::read(format!("src/draw/font/{name}.woff2")).unwrap();
        assert_eq!(&packed[..4], b"wOF2");
        assert_eq!(packed[12..14], font[4..6], "number of tables");
        let length = u32::from_be_bytes(packed[16..20].try_into().unwrap()) as usize;
        assert!(
            length.abs_diff(font.len()) < 400,
            "{length} for {}",
            font.len()
        );
    }
}

#[test]
fn the_page_is_small_and_asks_no_other_host() {
    let page = page_file();
    assert!(page.len() <= 800_000, "{} bytes", page.len());
    let folder = page_folder();
    let engine = folder.iter().find(|f| f.name == "engine.bin").unwrap();
    assert!(engine.bytes.len() < 450_000, "{} bytes", engine.bytes.len());
    let mut texts = vec![page];
    for file in folder.into_iter().chain(page_served()) {
        if file.kind.starts_with("text/") {
            texts.push(String::from_utf8(file.bytes).unwrap());
        }
    }
    for text in &texts {
        for outside in [
            "http://",
            "https://",
            "//cdn",
            "@import",
            "XMLHttpRequest",
            "WebSocket",
            "sendBeacon",
        ] {
            assert!(!text.contains(outside), "{outside}");
        }
        assert!(!text.contains("<!--head-->") && !text.contains("<!--engine-->"));
    }
    // Only the folder and the server's page fetch, from beside them.
    assert!(texts[0].contains("default-src 'none'") && !texts[0].contains("connect-src"));
}

#[test]
fn the_page_is_written_whole_and_not_over_a_file_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let run = |args: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_tautspan"))
            .arg("page")
            .args(args)
            .output()
            .unwrap();
        output.status.code()
    };
    let out = folder.path().join("out");
    let out = out.to_str().unwrap();
    assert_eq!(run(&["--out", out]), Some(0));
    assert_eq!(
        fs::read_to_string(Path::new(out).join("tautspan.html")).unwrap(),
        page_file()
    );
    assert_eq!(run(&["--out", out]), Some(2));
    assert_eq!(run(&["--out", out, "--force"]), Some(0));
    let site = folder.path().join("site");
    assert_eq!(run(&["--site", site.to_str().unwrap()]), Some(0));
    let mut names: Vec<String> = fs::read_dir(&site)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(
        names,
        [
            "engine.bin",
            "icon.svg",
            "index.html",
            "manifest.webmanifest",
            "regular.woff2",
            "script.js",
            "semibold.woff2",
            "style.css",
            "worker.js"
        ]
    );
}

/// What the engine is made of; the same list as in engine/build.sh.
fn sources() -> Vec<PathBuf> {
    fn walk(folder: &Path, into: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, into);
            } else {
                into.push(path);
            }
        }
    }
    let mut all = Vec::new();
    walk(Path::new("src"), &mut all);
    walk(Path::new("profiles"), &mut all);
    let of = |folder: &'static str, names: &str| {
        let file = |name| Path::new(folder).join(name).with_extension("rs");
        names.split(' ').map(file).collect::<Vec<PathBuf>>()
    };
    let page = of("src/page", "mod ask catalogue engine face laying reading");
    let figure = of(
        "src/figure",
        "mod canvas inline paper place reading reading_words residual sight view",
    );
    all.retain(|p| {
        let outside = p.starts_with("src/cli")
            || p.starts_with("src/main.rs")
            || p.starts_with("profiles/jobs");
        let aside = p.extension().is_some_and(|e| {
            ["md", "png", "txt", "py", "ttf", "woff2"]
                .iter()
                .any(|a| e == *a)
        });
        let of_page = !p.starts_with("src/page") || page.contains(p);
        let of_figure = !p.starts_with("src/figure") || figure.contains(p);
        !outside && !aside && of_page && of_figure
    });
    all.sort_by(|a, b| a.as_os_str().cmp(b.as_os_str()));
    all
}

#[test]
fn the_committed_engine_is_made_of_these_sources() {
    let hex = |bytes: &[u8]| bytes.iter().map(|b| format!("{b:02x}")).collect::<String>();
    let mut list = String::new();
    for path in sources() {
        let digest = hex(&Sha256::digest(fs::read(&path).unwrap()));
        list.push_str(&format!("{digest}  {}\n", path.display()));
    }
    let noted = fs::read_to_string("src/page/engine.sources").unwrap();
    assert_eq!(
        hex(&Sha256::digest(list)),
        noted.trim(),
        "the core has changed: run engine/build.sh and commit what it writes"
    );
}
