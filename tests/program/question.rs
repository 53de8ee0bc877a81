//! One question, one answer: the command line, the page's engine and the server are asked the same,
//! for each kind of reading and for every job file of the demo.

use crate::common::rows;
use crate::common::serving;

use rows::command_line;
use serde_json::{Value, json};
use serving::Served;
use std::fs;
use std::path::PathBuf;
use std::process::{Command, Output};
use tautspan::Question;
use tautspan::advice::read_job;
use tautspan::page::{Catalogue, answer};

const DEEP: &str = "profiles/recesses/deep-channel.csv";

fn engine(question: &Value) -> Value {
    serde_json::from_str(&answer(&Catalogue::builtin(), &question.to_string())).unwrap()
}

fn program(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tautspan"))
        .args(args)
        .output()
        .unwrap()
}

fn error(args: &[&str]) -> String {
    let output = program(args);
    assert_eq!(output.status.code(), Some(2), "{args:?}");
    String::from_utf8(output.stderr).unwrap()
}

/// Width, order and verdict of a recommendation, and of every order compared.
fn verdict(answer: &Value) -> Value {
    let orders = answer["orders"]
        .as_array()
        .unwrap_or_else(|| panic!("{answer}"));
    let each = |o: &Value| json!([o["order"]["name"], o["bridge_mm"], o["within_limit"]]);
    json!({
        "width": answer["nominal_bridge_mm"],
        "order": answer["recommended"]["order"],
        "tapes": [answer["recommended"]["reach_left_mm"], answer["recommended"]["reach_right_mm"]],
        "orders": orders.iter().map(each).collect::<Vec<_>>(),
    })
}

/// Width, order, verdict and peak of one lay-down.
fn laid(answer: &Value) -> Value {
    assert!(answer["peak_pct"].is_number(), "{answer}");
    json!([
        answer["bridge_mm"],
        answer["order"],
        answer["within_limit"],
        answer["peak_pct"],
        answer["reach_left_mm"]
    ])
}

/// The readings of each kind: as the page posts them, and as they are typed.
fn readings() -> Vec<(Value, Vec<String>)> {
    let comb = "pitch=5: 0 0 0 -2 -11 -18 -18 -18 -11 -2 0 0 0";
    let points = "-60;0 -40;0 -20;12,5 20;12,5 40;0 60;0";
    let shape = "channel:mouth=80,floor=40,depth=25,lip-radius=3";
    let tape = "mouth=3 1/8in,depth=25,tape=104";
    let text = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
    vec![
        (
            json!({"section": {"points": points}, "depths": true}),
            text(&["--points", points, "--depths"]),
        ),
        (
            json!({"section": {"csv": fs::read_to_string(DEEP).unwrap()}}),
            text(&[DEEP]),
        ),
        (json!({"section": {"comb": comb}}), text(&["--comb", comb])),
        (
            json!({"section": {"shape": shape}}),
            text(&["--shape", shape]),
        ),
        (json!({"section": {"tape": tape}}), text(&["--tape", tape])),
    ]
}

#[test]
fn command_line_page_and_server_give_one_answer_for_every_kind_of_reading() {
    let served = Served::start();
    for (section, typed) in readings() {
        for (ask, of, film) in [
            ("recommend", verdict as fn(&Value) -> Value, "wrap-cast"),
            ("recommend", verdict, "polymeric"),
            ("check", laid, "wrap-cast"),
        ] {
            let mut question = section.clone();
            question["ask"] = json!(ask);
            question["film"] = json!(film);
            question["tool"] = json!("felt-edge");
            question["clear_left_mm"] = json!(250);
            question["bay"] = json!({"ends": "open"});
            let mut args = vec![ask, "--film", film, "--tool", "felt-edge", "--json"];
            args.extend(["--clear-left", "25cm", "--ends", "open"]);
            if ask == "check" {
                question["bridge_mm"] = json!(150);
                question["order"] = json!("edge-first");
                question["bay"]["lip"] = json!("pencil");
                args.extend(["--bridge", "150", "--order", "edge-first"]);
                args.extend(["--lip", "pencil"]);
            }
            args.extend(typed.iter().map(String::as_str));
            let line = of(&command_line(&args));
            // The same readings in the same program: not a bit may differ.
            assert_eq!(of(&engine(&question)), line, "{args:?}");
            let reply = served.ask(&question.to_string());
            assert_eq!(of(&reply.json()), line, "{args:?}");
        }
    }
}

/// The job files of the demo.
fn jobs() -> Vec<PathBuf> {
    let files = fs::read_dir("profiles/jobs").unwrap();
    let mut all: Vec<PathBuf> = files.map(|f| f.unwrap().path()).collect();
    all.retain(|path| path.extension().is_some_and(|e| e == "toml"));
    assert!(all.len() >= 2);
    all
}

#[test]
fn every_job_of_the_demo_is_answered_the_same_everywhere() {
    let served = Served::start();
    for path in jobs() {
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains("invented for the demo"), "{}", path.display());
        let job = read_job("job", &text).unwrap();
        let mut question = serde_json::to_value(&job).unwrap();
        question["ask"] = json!("recommend");
        let file = path.to_str().unwrap();
        let line = verdict(&command_line(&["recommend", "--job", file, "--json"]));
        assert!(line["width"].is_number(), "{file}: {line}");
        assert_eq!(verdict(&engine(&question)), line, "{file}");
        let reply = served.ask(&question.to_string());
        assert_eq!(verdict(&reply.json()), line, "{file}");
    }
}

#[test]
fn a_saved_job_asks_the_same_again_from_any_folder() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    fs::copy(DEEP, at("deep.csv")).unwrap();
    let film = fs::read_to_string("profiles/films/wrap-cast.toml").unwrap();
    fs::write(at("own.toml"), film.replace("\"wrap-cast\"", "\"own\"")).unwrap();
    fs::create_dir(at("jobs")).unwrap();
    let (csv, own) = (at("deep.csv"), at("own.toml"));
    for (k, saved) in [at("job.toml"), at("jobs/job.toml")].iter().enumerate() {
        let typed = [
            "check",
            &csv,
            "--film",
            &own,
            "--bridge",
            "6in",
            "--tool",
            "roller",
            "--pad",
            "12mm",
            "--warm",
            "20mm..60mm:40",
            "--ambient",
            "22",
            "--units",
            "in",
            "--order",
            "press 0, spread left, spread right",
            "--json",
        ];
        let mut saving = typed.to_vec();
        saving.extend(["--save-job", saved]);
        let whole = command_line(&saving);
        let text = fs::read_to_string(saved).unwrap();
        // Reference: 6 in of 25.4 mm.
        let bridge = read_job(saved, &text).unwrap().bridge_mm.unwrap();
        assert!((bridge - 152.4).abs() < 1e-9, "{text}");
        if k == 0 {
            // In the job's own folder paths are bare.
            assert!(text.contains("film = \"own.toml\"") && text.contains("file = \"deep.csv\""));
        }
        assert_eq!(command_line(&["check", "--job", saved, "--json"]), whole);
        // Never over an existing file, unless it is forced.
        let again = error(&saving);
        assert!(
            again.contains("is there already") && again.contains("`--force`"),
            "{again}"
        );
        assert_eq!(fs::read_to_string(saved).unwrap(), text);
        saving.push("--force");
        assert_eq!(command_line(&saving), whole);
    }
}

#[test]
fn options_override_a_job() {
    let job = "profiles/jobs/sliding-door.toml";
    let plain = command_line(&["recommend", "--job", job, "--json"]);
    assert_eq!(plain["film"]["name"], "wrap-cast");
    assert_eq!(plain["section"]["name"], "sliding-door");
    let other = command_line(&[
        "recommend",
        "--job",
        job,
        "--film",
        "recess-cast",
        "--tool",
        "roller",
        "--name",
        "left",
        "--json",
    ]);
    assert_eq!(other["film"]["name"], "recess-cast");
    assert_eq!(other["section"]["name"], "left");
    assert_eq!(other["orders"][0]["tool"]["name"], "roller");
    // The clear panel of the job is still meant: what is assumed is what neither says.
    let clear = other["assumptions"].to_string();
    assert!(!clear.contains("\"clear-panel\""), "{clear}");
    // A section typed brings its own name and units; readings of the job keep theirs.
    let groove = "groove:mouth=60,depth=20";
    let typed = command_line(&["section", "--job", job, "--shape", groove, "--json"]);
    assert_eq!(typed["name"], "groove");
    let inches = "profiles/jobs/tail-gate.toml";
    let typed = command_line(&["section", "--job", inches, "--shape", groove, "--json"]);
    assert_eq!(typed["depth_mm"], 20.0);
    let mm = command_line(&["section", "--job", inches, "--units", "mm", "--json"]);
    assert_eq!(mm["depth_mm"], 25.4);
    let said =
        String::from_utf8(program(&["section", "--job", inches, "--units", "mm"]).stdout).unwrap();
    // Reference: 1 in deep.
    assert!(said.contains("25.4 mm deep"), "{said}");
}

#[test]
fn a_job_that_cannot_be_says_where_and_what_was_meant() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("job.toml");
    let file = file.to_str().unwrap();
    for (text, line, hint) in [
        (
            "film = \"wrap-cast\"\nbrigde_mm = 150\n",
            ":2: ",
            "did you mean `bridge_mm`?",
        ),
        ("[bay]\nlip = \"pencl\"\n", ":2: ", ""),
        ("bridge_mm = \"wide\"\n", ":1: `bridge_mm`", ""),
        ("bridge_mm = 1,5\n", ":1: ", ""),
        ("order = \"lunch\"\n", ":1: `order`", ""),
        ("[section]\nsketch = \"a\"\n", ":2: ", ""),
    ] {
        fs::write(file, text).unwrap();
        let said = error(&["recommend", "--job", file]);
        assert!(said.contains(&format!("job.toml{line}")), "{text}: {said}");
        assert!(said.contains(hint), "{text}: {said}");
    }
    fs::write(file, "film = \"wrap-cast\"\n").unwrap();
    assert!(error(&["recommend", "--job", file]).contains("found no section"));
    assert!(error(&["recommend", "--shape", "groove:mouth=60,depth=20"]).contains("`--film"));
    // A page reads no files.
    let asked = json!({"ask": "section", "section": {"file": "a.csv"}});
    assert!(
        engine(&asked)["error"]["message"]
            .to_string()
            .contains("no files are read")
    );
}

#[test]
fn keys_of_the_job_files_readme_are_those_of_a_question() {
    let readme = fs::read_to_string("profiles/jobs/README.md").unwrap();
    let Value::Object(keys) = serde_json::to_value(Question::default()).unwrap() else {
        panic!("a question is a table");
    };
    for key in keys.keys() {
        let named = readme.contains(&format!("`{key}`")) || readme.contains(&format!("`[{key}]`"));
        assert!(
            named,
            "profiles/jobs/README.md does not say what `{key}` is"
        );
    }
}

#[test]
fn tape_readings_have_one_answer_in_every_command() {
    // Reference: the recommendation itself. The plainest of the shapes that fit is within the limit
    // at 125 mm; the one that needs most is over it there, and at 135 mm.
    let tape = "mouth=80,depth=25,tape=104";
    let json = |command: &str, more: &[&str]| -> Value {
        let mut args = vec![command, "--tape", tape, "--film", "wrap-cast", "--json"];
        args.extend(more);
        serde_json::from_slice(&program(&args).stdout).unwrap()
    };
    let width = json("recommend", &[])["recommended"]["bridge_mm"].clone();
    assert!(width.as_f64().unwrap() > 150.0, "{width}");
    assert_eq!(json("sweep", &[])["recommended_bridge_mm"], width);
    let card = json("card", &[]);
    assert_eq!(card["bridge_mm"], width);
    // As typed, and not the numbers of the shape under the name of a reading.
    let said = card["measured"].to_string();
    assert!(
        said.contains(tape) && !said.contains("lip to lip"),
        "{said}"
    );
    assert_eq!(json("order", &[])["bridge_mm"], width);
    let rows = json("compare", &[])["rows"].clone();
    let taken = rows
        .as_array()
        .unwrap()
        .iter()
        .find(|r| r["recommended"] == true);
    assert_eq!(taken.unwrap()["bridge_mm"], width);
    for (bridge, within) in [("125", false), ("135", false), (&*width.to_string(), true)] {
        let laid = json("check", &["--bridge", bridge]);
        assert_eq!(laid["within_limit"], within, "{bridge}");
        let mut question = json!({"ask": "check", "section": {"tape": tape}, "film": "wrap-cast"});
        question["bridge_mm"] = json!(bridge.parse::<f64>().unwrap());
        assert_eq!(engine(&question)["peak_pct"], laid["peak_pct"]);
    }
    let asked = json!({"ask": "card", "section": {"tape": tape}, "film": "wrap-cast"});
    let card = engine(&asked);
    assert!(card["html"].as_str().unwrap().contains("185"), "{card}");
}

/// The class for which a shape is the worst was strictest of all: `recommend` 61.2 mm in a middle
/// push, `compare` 59.5 mm, "`recommend` takes it"; and no width beside one.
#[test]
fn every_class_of_a_comparison_has_the_answer_that_it_has_alone() {
    let films = ["wrap-cast", "print-cast", "recess-cast", "polymeric"];
    for tape in ["mouth=58,depth=13,tape=66", "mouth=77,depth=39,tape=148"] {
        let json = |args: &[&str]| -> Value {
            let args = [args, &["--tape", tape, "--json"]].concat();
            serde_json::from_slice(&program(&args).stdout).unwrap()
        };
        let compared = json(&["compare", "--film", &films.join(",")]);
        let rows = compared["rows"].as_array().unwrap();
        for film in films {
            let own = |r: &&Value| r["film"]["name"] == film && r["recommended"] == true;
            let taken = rows.iter().find(own);
            let answer = json(&["recommend", "--film", film]);
            for key in ["bridge_mm", "order", "peak_pct"] {
                let alone = &answer["recommended"][key];
                let beside = taken.map_or(&Value::Null, |row| &row[key]);
                assert_eq!(beside, alone, "{tape} {film} {key}");
            }
        }
    }
}
