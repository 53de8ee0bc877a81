//! How the house is built: which folder may use which, no circle of files inside one, and no
//! sentence in the core.
//!
//! Reads the `use` lines of the sources, their own tests left out. What a folder may use
//! stands before it in [`ARROW`].

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The folders, each before those that may use it.
const ARROW: [&str; 16] = [
    "fault", "geometry", "survey", "section", "film", "laydown", "ends", "outcome", "advice",
    "evidence", "say", "draw", "figure", "card", "page", "cli",
];
/// Folders that hold typed values and leave the words to `say`.
const CORE: [&str; 7] = [
    "geometry", "survey", "laydown", "ends", "outcome", "advice", "evidence",
];
/// Files of those that hold phrases of a reader's fault or an example of what is typed, no
/// sentences. One without is taken off the list.
const WORDED: [&str; 12] = [
    "advice/question.rs",
    "evidence/heat/append.rs",
    "evidence/heat/columns.rs",
    "evidence/heat/judge.rs",
    "evidence/heat/read.rs",
    "evidence/table.rs",
    "evidence/trial/cells.rs",
    "evidence/trial/marks.rs",
    "evidence/trial/press.rs",
    "laydown/program.rs",
    "laydown/steps.rs",
    "laydown/steps_toml.rs",
];

/// A source file: its module path, from the folder on, and the paths that it uses.
struct Source {
    path: Vec<String>,
    uses: Vec<Vec<String>>,
}

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

/// The first two names of each path in the `use` lines of a text, as they are written.
fn uses(text: &str) -> Vec<Vec<String>> {
    let own = text.split("#[cfg(test)]\nmod tests").next().unwrap();
    let mut all = Vec::new();
    for line in own.split(';') {
        let Some((_, path)) = line.rsplit_once("use ") else {
            continue;
        };
        let flat = path.split_whitespace().collect::<String>();
        let (stem, names) = match flat.split_once("::{") {
            Some((stem, names)) => (stem, names.trim_end_matches('}')),
            None => match flat.rsplit_once("::") {
                Some((stem, name)) => (stem, name),
                None => continue,
            },
        };
        for name in names.split(',') {
            let path = stem.split("::").chain(name.split("::"));
            all.push(path.map(str::to_owned).collect());
        }
    }
    all
}

/// All sources below `src`, with what they use as paths from the crate's root.
fn sources() -> Vec<Source> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    files(&root, &mut found);
    let mut all = Vec::new();
    for file in found {
        let inside = file.strip_prefix(&root).unwrap().with_extension("");
        let mut path: Vec<String> = inside
            .iter()
            .map(|part| part.to_string_lossy().into_owned())
            .collect();
        if path.last().is_some_and(|name| name == "mod") {
            path.pop();
        }
        let uses = uses(&fs::read_to_string(&file).unwrap());
        let uses = uses.into_iter().filter_map(|used| from_root(&path, &used));
        all.push(Source {
            uses: uses.collect(),
            path,
        });
    }
    all
}

/// A path as written in a module, from the crate's root; none for other crates.
fn from_root(module: &[String], used: &[String]) -> Option<Vec<String>> {
    let ups = used.iter().take_while(|name| *name == "super").count();
    if used[0] == "crate" {
        return Some(used[1..].to_vec());
    }
    if ups == 0 {
        return None;
    }
    let kept = module.len().checked_sub(ups)?;
    Some(module[..kept].iter().chain(&used[ups..]).cloned().collect())
}

#[test]
fn knowledge_runs_one_way() {
    let place = |name: &str| ARROW.iter().position(|folder| *folder == name);
    let mut wrong = Vec::new();
    let mut seen = 0;
    for source in sources() {
        let Some(own) = place(&source.path[0]) else {
            continue;
        };
        for used in &source.uses {
            let Some(other) = place(&used[0]) else {
                continue;
            };
            seen += usize::from(other < own);
            if other > own {
                wrong.push(format!(
                    "{} uses {}",
                    source.path.join("/"),
                    used.join("::")
                ));
            }
        }
    }
    assert!(seen > 100, "only {seen} uses were seen");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Who uses whom among the files and folders inside a folder.
fn inside(folder: &str, all: &[Source]) -> BTreeMap<String, BTreeSet<String>> {
    let own = |path: &[String]| (path.len() > 1 && path[0] == folder).then(|| path[1].clone());
    let names: BTreeSet<String> = all.iter().filter_map(|s| own(&s.path)).collect();
    let mut graph: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for source in all {
        let Some(name) = own(&source.path) else {
            continue;
        };
        let used = source.uses.iter().filter_map(|used| own(used));
        let others = used.filter(|other| *other != name && names.contains(other));
        graph.entry(name.clone()).or_default().extend(others);
    }
    graph
}

/// All that is reached from a name.
fn reached(graph: &BTreeMap<String, BTreeSet<String>>, from: &str) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    let mut open: Vec<String> = graph[from].iter().cloned().collect();
    while let Some(name) = open.pop() {
        if all.insert(name.clone()) {
            open.extend(graph[&name].iter().cloned());
        }
    }
    all
}

/// The texts in quotes of a source, its comments and its own tests left out.
fn quoted(text: &str) -> Vec<String> {
    let own = text.split("#[cfg(test)]\nmod tests").next().unwrap();
    let mut all = Vec::new();
    let mut open: Option<String> = None;
    let mut chars = own.chars().peekable();
    while let Some(c) = chars.next() {
        match (&mut open, c) {
            (None, '/') if chars.peek() == Some(&'/') => {
                chars.by_ref().find(|c| *c == '\n');
            }
            // A character: `'"'` opens no text.
            (None, '\'') if chars.peek() == Some(&'"') => {
                chars.next();
            }
            (None, '"') => open = Some(String::new()),
            (Some(_), '"') => all.extend(open.take()),
            (Some(text), '\\') => text.extend(chars.next()),
            (Some(text), c) => text.push(c),
            _ => {}
        }
    }
    all
}

/// Is there a flag, `--word`, or a command line of the program in a text?
fn names_a_flag(text: &str) -> bool {
    ["--", "`tautspan "].iter().any(|mark| {
        let mut behind = text
            .match_indices(mark)
            .map(|(i, _)| &text[i + mark.len()..]);
        behind.any(|rest| rest.starts_with(|c: char| c.is_ascii_lowercase()))
    })
}

/// Files of `advice` that state what is asked, beside the folders before it.
const ASKED: [&str; 4] = ["question", "question_error", "job_file", "setting"];

#[test]
fn no_flag_is_named_before_the_words_are_made() {
    assert!(names_a_flag("say `--units mm`") && names_a_flag("`tautspan films` lists"));
    assert!(!names_a_flag("\n---\n--") && !names_a_flag("tautspan 0.1"));
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let core = ARROW.iter().take_while(|folder| **folder != "advice");
    let mut found = vec![root.join("fault.rs")];
    for folder in core.filter(|folder| **folder != "fault") {
        files(&root.join(folder), &mut found);
    }
    found.extend(ASKED.map(|file| root.join("advice").join(file).with_extension("rs")));
    let (mut seen, mut wrong) = (0, Vec::new());
    for file in found {
        let texts = quoted(&fs::read_to_string(&file).unwrap());
        seen += texts.len();
        let flags = texts.into_iter().filter(|text| names_a_flag(text));
        wrong.extend(flags.map(|text| format!("{}: {text}", file.display())));
    }
    assert!(seen > 300, "only {seen} texts were seen");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_circle_of_files_stands_in_a_folder() {
    let all = sources();
    let mut found: BTreeSet<(String, Vec<String>)> = BTreeSet::new();
    for folder in ARROW {
        let graph = inside(folder, &all);
        for name in graph.keys() {
            let from_here = reached(&graph, name);
            let circle: Vec<String> = from_here
                .iter()
                .filter(|other| reached(&graph, other).contains(name))
                .cloned()
                .collect();
            if !circle.is_empty() {
                found.insert((folder.to_owned(), circle));
            }
        }
    }
    assert_eq!(found, BTreeSet::new());
}

/// The literals of a text, without its comments, its own tests and what only a programmer reads.
fn literals(text: &str) -> Vec<String> {
    let own = text.split("#[cfg(test)]\nmod tests").next().unwrap();
    let code = own.lines().filter(|l| !l.trim_start().starts_with("//"));
    // A quotation mark as a character opens no literal.
    let code = code.collect::<Vec<_>>().join("\n").replace("'\"'", "");
    let (mut all, mut rest) = (Vec::new(), code.as_str());
    while let Some((before, after)) = rest.split_once('"') {
        let escaped = |at: usize| after[..at].chars().rev().take_while(|c| *c == '\\').count() % 2;
        let mut ends = after.match_indices('"').map(|(at, _)| at);
        let end = ends.find(|&at| escaped(at) == 0).expect("an end");
        let before = before.trim_end();
        let inner = ["expect(", "unreachable!(", "reason ="];
        if !inner.iter().any(|call| before.ends_with(call)) {
            all.push(after[..end].to_owned());
        }
        rest = &after[end + 1..];
    }
    all
}

/// Three or more words of small letters in a row.
fn is_sentence(literal: &str) -> bool {
    let words: Vec<&str> = literal.split_whitespace().collect();
    let small = |w: &&str| w.chars().all(|c| c.is_ascii_lowercase());
    let word = |w: &&str| small(&w.trim_end_matches([',', ';', ':', '.']));
    words.windows(3).any(|three| three.iter().all(word))
}

/// Files that write numbers for machines (SVG, CSS, CSV) and the pictures' made-up answers.
const FOR_MACHINES: [&str; 8] = [
    "card/chart.rs",
    "card/html.rs",
    "cli/compare.rs",
    "cli/sweep.rs",
    "draw/paper.rs",
    "draw/svg.rs",
    "figure/sample.rs",
    "outcome/source.rs",
];

#[test]
fn no_number_is_rounded_for_people_outside_say() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    files(&root, &mut found);
    let mut rounding = BTreeSet::new();
    for file in found {
        let text = fs::read_to_string(&file).unwrap();
        let own = text.split("#[cfg(test)]\nmod tests").next().unwrap();
        // Decimals in a format: `{:.2}`, `{v:.1}`, `{v:.digits$}`.
        let rounds = own.match_indices(":.").any(|(at, _)| {
            let name = own[..at].chars().rev();
            let inner = name
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .count();
            own[..at - inner].ends_with('{')
        });
        if rounds {
            let inside = file.strip_prefix(&root).unwrap().to_string_lossy();
            rounding.insert(inside.into_owned());
        }
    }
    assert!(rounding.remove("say/number.rs"), "{rounding:?}");
    rounding.retain(|file| !file.starts_with("say/"));
    assert!(rounding.iter().eq(FOR_MACHINES.iter()), "{rounding:#?}");
}

#[test]
fn no_sentence_in_the_core() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    for folder in CORE {
        files(&root.join(folder), &mut found);
    }
    assert!(found.len() > 50, "only {} files were seen", found.len());
    found.push(root.join("say/order.rs"));
    let mut worded = BTreeMap::new();
    for file in found {
        let text = fs::read_to_string(&file).unwrap();
        if let Some(literal) = literals(&text).into_iter().find(|l| is_sentence(l)) {
            let inside = file.strip_prefix(&root).unwrap();
            worded.insert(inside.to_string_lossy().into_owned(), literal);
        }
    }
    // What it looks for is seen where it is.
    assert!(worded.remove("say/order.rs").is_some());
    assert!(worded.keys().eq(WORDED.iter()), "{worded:#?}");
}

/// Names of the variants of an enum in a source: each stands alone at its depth.
fn variants(text: &str, name: &str) -> Vec<String> {
    let (_, body) = text.split_once(&format!("pub enum {name} {{")).unwrap();
    let (body, _) = body.split_once("\n}\n").unwrap();
    let named = |line: &str| {
        let inner = line.strip_prefix("    ")?;
        let name: String = inner.chars().take_while(|c| c.is_alphanumeric()).collect();
        name.starts_with(|c: char| c.is_ascii_uppercase())
            .then_some(name)
    };
    body.lines().filter_map(named).collect()
}

/// `Notice::say` asks one file after the other, so the compiler does not see one left out: it
/// would be said as nothing.
#[test]
fn every_notice_has_its_words() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let notices = fs::read_to_string(root.join("advice/answer/notice.rs")).unwrap();
    let mut of_say = Vec::new();
    files(&root.join("say"), &mut of_say);
    let read = |file: &PathBuf| fs::read_to_string(file).unwrap();
    // In `notice.rs` itself they are `Self`; `SectionNotice` and its kin are others.
    let own = read(&root.join("say/notice.rs")).replace("Self::", "Notice::");
    let said = of_say.iter().map(read).collect::<String>() + &own;
    let said: BTreeSet<&str> = said
        .split("Notice::")
        .zip(said.split("Notice::").skip(1))
        .filter(|(before, _)| !before.ends_with(char::is_alphanumeric))
        .map(|(_, arm)| arm.split(|c: char| !c.is_alphanumeric()).next().unwrap())
        .collect();
    let all = variants(&notices, "Notice");
    assert!(all.len() > 50, "only {} were seen", all.len());
    let unsaid: Vec<_> = all.iter().filter(|n| !said.contains(n.as_str())).collect();
    assert!(unsaid.is_empty(), "said as nothing: {unsaid:?}");
}
