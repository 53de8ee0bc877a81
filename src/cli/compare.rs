//! `tautspan compare`: film classes side by side.

use super::ends::EndArgs;
use super::handling::HandlingArgs;
use super::input::{AssureArgs, SectionArgs, SplitArgs, Tell, ToolArgs, put};
use super::named::{Files, film};
use super::outcome::OutcomeArgs;
use super::{Outcome, draw, options, out, out_as, words};
use anyhow::{Result, bail};
use tautspan::advice::{
    Candidate, Comparison, ComparisonRow, Notice, PressPlace, QuestionError, Readings, Setting,
    Site, Verdict,
};
use tautspan::figure::{Paper, films_compared};
use tautspan::film::LawError;
use tautspan::laydown::OrderName;
use tautspan::say::{Say, Voice};
use tautspan::{Bed, FilmClass, Question, Section, Tool, Units, builtin_films, compare};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan compare door.csv                                   the whole catalogue
  tautspan compare door.csv --film wrap-cast,my-film.toml --rate 45
  tautspan compare door.csv --csv > compare.csv
  tautspan compare door.csv --out out --force                 with a picture

Cost is in your own money: cost a metre of recess = film width x price per m2, and with
--rate also + minutes per m / 60 x rate. The film width is for the same panel in every row.
Exit 0: a class does; 1: none does; 2: bad input.";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) section: SectionArgs,
    /// Film classes, with commas between: names of the catalogue and TOML files of your own
    /// [default: the whole catalogue]
    #[arg(long, value_name = "A,B,..", value_delimiter = ',')]
    film: Option<Vec<String>>,
    #[command(flatten)]
    tool: ToolArgs,
    #[command(flatten)]
    assure: AssureArgs,
    #[command(flatten)]
    handling: HandlingArgs,
    #[command(flatten)]
    outcome: OutcomeArgs,
    /// What an hour of laying costs, in the money of the classes' prices [default: the cost is
    /// film alone]
    #[arg(long, value_name = "MONEY", allow_negative_numbers = true)]
    rate: Option<f64>,
    #[command(flatten)]
    split: SplitArgs,
    #[command(flatten)]
    ends: EndArgs,
    /// Print the answer as JSON
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Print the rows as CSV
    #[arg(long)]
    csv: bool,
    #[command(flatten)]
    save: draw::SaveArgs,
    /// Size of the picture: a slide (1600 x 900) or the width of an A4 page
    #[arg(long, value_enum, default_value = "slide")]
    paper: Paper,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let films = Films(args.film.as_ref().map(|names| names.join(",")));
    let parts: [&dyn Tell; 7] = [
        &films,
        &args.tool,
        &args.assure,
        &args.handling,
        &args.outcome,
        &args.split,
        &args.ends,
    ];
    let question = args.section.question(&parts, args.save.force)?;
    let question = question.with_open_width()?;
    let mut candidates = candidates(question)?;
    let tool = question.tool(&Files)?;
    let (section, note) = shape(question, &candidates, &tool)?;
    if note.is_some() {
        for candidate in candidates.iter_mut().filter(|c| judged(c)) {
            let (own, _) = shape(question, std::slice::from_ref(candidate), &tool)?;
            candidate.recess = Some(question.recess(own)?);
        }
    }
    let mut assumptions = question.assumptions();
    assumptions.extend(note);
    let recess = question.recess(section)?;
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let ends = question.closed_ends()?;
    let site = Site {
        step: question.print_units().into(),
        press: words::when(
            question.seeks_press(),
            PressPlace::Sought,
            PressPlace::AsGiven,
        ),
        bed: &bed,
        tool: &tool,
        split: question.split.unwrap_or_default(),
        assumptions: &assumptions,
        assurance: Some(question.assurance(&tool)?),
        ends: ends.as_ref(),
    };
    let named = |f: &FilmClass| candidates.iter().any(|c| c.film.name == f.name);
    let others: Vec<FilmClass> = builtin_films().into_iter().filter(|f| !named(f)).collect();
    let answer = compare(&site, &candidates, args.rate, &others)?;
    if let Some(folder) = &args.save.out {
        let picture = films_compared(&answer, draw::look(args.paper, question))?;
        let files = [("compare", picture)];
        draw::save(folder, recess.section().name(), &files, args.save.force)?;
    }
    if args.csv {
        out(&csv(&answer)?)?;
    } else {
        let voice = Voice::terminal(question.print_units());
        out_as(args.json, &answer, |answer| text(answer, voice))?;
    }
    // Too rough for one class and no other does: too rough to say.
    let rough = !answer.acceptable && answer.rows.iter().any(|row| row.too_rough);
    Ok(if rough {
        Outcome::TooRough
    } else {
        Outcome::of(answer.acceptable)
    })
}

/// Film classes with commas between.
struct Films(Option<String>);

impl Tell for Films {
    fn tell(&self, question: &mut Question, _units: Units) -> Result<()> {
        if self.0.is_some() {
            question.film_class = None;
        }
        put(&mut question.film, self.0.clone());
        Ok(())
    }
}

/// Is there anything to lay of this class?
fn judged(candidate: &Candidate) -> bool {
    candidate.film.recess && candidate.unknown.is_none()
}

/// One section for classes: of the shapes behind tape readings the one that needs the widest
/// bridge of the strictest of them.
fn shape(
    question: &Question,
    candidates: &[Candidate],
    tool: &Tool,
) -> Result<(Section, Option<Notice>)> {
    let readings = question.read(&Files)?;
    let meant = candidates.iter().filter(|c| judged(c));
    let strictest = meant.min_by(|a, b| a.film.limit().total_cmp(&b.film.limit()));
    let (Readings::Family(_), Some(strictest)) = (&readings, strictest) else {
        let (section, note) = readings.one();
        return Ok((question.named(section), note));
    };
    let setting = Setting {
        question: question.clone(),
        film: strictest.film.clone(),
        tool: tool.clone(),
        assumptions: Vec::new(),
        handling: strictest.handling.clone(),
        assurance: question.assurance(tool)?,
        ends: None,
    };
    let told = setting.section(readings, setting.handling.as_ref());
    let (section, mut note) = told?;
    if let Some(Notice::OneShape { film, .. }) = &mut note {
        *film = Some(strictest.film.name.clone());
    }
    Ok((section, note))
}

/// The classes asked for, each with its own handling.
fn candidates(question: &Question) -> Result<Vec<Candidate>> {
    if let Some(class) = &question.film_class {
        question.film(&Files)?;
        return Ok(vec![candidate(question, class.clone(), None)?]);
    }
    let names: Vec<&str> = match &question.film {
        Some(names) => names.split(',').map(str::trim).collect(),
        None => tautspan::film::film_names(),
    };
    if names.contains(&"") {
        bail!(
            "`--film {}` has an empty name in it, but names of film classes with commas between were expected\n\nhint: `--film wrap-cast,polymeric`, or leave it out for the whole catalogue",
            names.join(",")
        );
    }
    let mut all: Vec<Candidate> = Vec::with_capacity(names.len());
    for name in &names {
        let class = film(name)?;
        if let Some(j) = all.iter().position(|c| c.film.name == class.name) {
            bail!(
                "`{}` and `{name}` in `--film` are both film class `{}`, but each class was expected once\n\nhint: leave one out, or give your own class a name of its own in its TOML",
                names[j],
                class.name
            );
        }
        all.push(candidate(question, class, Some(name))?);
    }
    if let Some(why) = all.iter().find_map(|c| c.unknown.as_ref())
        && all.iter().all(|c| c.unknown.is_some())
    {
        bail!(
            "no class can be judged at these temperatures: {}\n\nhint: `tautspan films NAME` shows the temperatures a class's table has; leave `--warm` or `--drag` out without one",
            why.said(Voice::PLAIN).message
        );
    }
    Ok(all)
}

/// A class with its handling; one whose stiffness is not known takes part as not known.
fn candidate(question: &Question, film: FilmClass, name: Option<&str>) -> Result<Candidate> {
    let (handling, unknown) = match question.handling(&film, name, &Files) {
        Ok(handling) => (Some(handling), None),
        Err(QuestionError::Law(
            law @ (LawError::NoTable { .. } | LawError::OutsideTable { .. }),
        )) => (None, Some(law)),
        Err(error) => return Err(error.into()),
    };
    Ok(Candidate {
        film,
        handling,
        unknown,
        recess: None,
    })
}

/// The rows as CSV, one a class and order.
fn csv(answer: &Comparison) -> Result<String> {
    let voice = Voice::terminal(Units::Mm);
    let mut table = csv::Writer::from_writer(Vec::new());
    for (i, row) in answer.rows.iter().enumerate() {
        let cells = cells(row, voice)?;
        if i == 0 {
            table.write_record(cells.each_ref().map(|cell| cell.0))?;
        }
        table.write_record(cells.map(|cell| cell.1))?;
    }
    Ok(String::from_utf8(table.into_inner()?)?)
}

/// The cells of a row, each with its header.
fn cells(row: &ComparisonRow, voice: Voice) -> Result<[(&'static str, String); 24]> {
    let number = |v: Option<f64>| v.map_or_else(String::new, |v| format!("{v:.6}"));
    let why = row.no_force.as_ref().map(|why| why.say(voice));
    let newtons = row.force_n.map(|n| voice.effort(row.effort, n));
    let unknown = row.cost_unknown.as_ref().map(|why| why.say(voice));
    let air = row.air_word().unwrap_or_default();
    Ok([
        ("film", row.film.name.clone()),
        ("order", row.order.map_or("", OrderName::name).to_owned()),
        ("verdict", key(row.verdict)?),
        ("bridge_mm", number(row.bridge_mm)),
        ("reach_left_mm", number(row.reach_left_mm)),
        ("reach_right_mm", number(row.reach_right_mm)),
        ("artwork_shift_mm", number(row.artwork_shift_mm)),
        ("peak_pct", number(row.peak_pct)),
        ("recess_peak_pct", number(row.recess_peak_pct)),
        ("limit_pct", number(Some(row.film.limit_pct))),
        ("recess_limit_pct", number(row.film.recess_limit_pct)),
        ("margin_pct", number(row.margin_pct)),
        ("air", air.to_owned()),
        ("force_n", number(row.force_n)),
        ("force", newtons.or(why).unwrap_or_default()),
        ("hold_ratio", number(row.hold_ratio)),
        (
            "hold_rank",
            row.hold_rank.map_or_else(String::new, |k| k.to_string()),
        ),
        ("post_heat_min_c", number(row.post_heat_min_c)),
        ("film_mm", number(row.film_mm)),
        ("price_per_m2", number(row.price_per_m2)),
        ("minutes_per_m", number(row.minutes_per_m)),
        ("cost_per_m", number(row.cost_per_m)),
        ("cost_unknown", unknown.unwrap_or_default()),
        ("words", row.verdict_words(voice)),
    ])
}

/// A verdict as in JSON.
fn key(verdict: Verdict) -> Result<String> {
    Ok(serde_json::to_value(verdict)?
        .as_str()
        .unwrap_or_default()
        .to_owned())
}

/// The answer as people read it.
fn text(answer: &Comparison, voice: Voice) -> String {
    let length = |mm: f64| voice.length(mm);
    let (section, tool) = (words::section(&answer.section, voice), &answer.tool.name);
    let mut text = format!("{section}; {tool}\n\n  {}\n", headline(answer, voice));
    text.push_str(&format!(
        "  {} of extra panel, mouth and clear panel {}\n\n",
        length(answer.extra_mm),
        length(answer.widest_bridge_mm)
    ));
    text.push_str(&table(answer, voice));
    if answer.covered_mm.is_some() {
        text.push_str(&format!("\n  {}\n", answer.cost_words(voice)));
    }
    if let (Some(film), Some(none)) = (&answer.alternatives_for, &answer.no_width) {
        text.push_str(&format!("\nWhy none does, for {film}\n"));
        text.push_str(&options::no_width(none, voice));
    }
    text.push_str(&options::text(&answer.alternatives, voice));
    text.push_str(&words::below(
        &answer.warnings,
        &answer.assumptions,
        &answer.invented,
        voice,
    ));
    text + words::CAUTIONS
}

/// The answer in one line.
fn headline(answer: &Comparison, voice: Voice) -> String {
    let Some(best) = answer.rows.first().filter(|_| answer.acceptable) else {
        return "No class does in any order.".to_owned();
    };
    let order = best.order.map_or("", OrderName::word);
    let bridge = voice.length(best.bridge_mm.unwrap_or(0.0));
    if !best.sure {
        return format!(
            "No class does with the margin that readings need; within the limit on paper: {}, {bridge}, {order}, margin {} of {}.",
            best.film.name,
            voice.number(best.margin_pct.unwrap_or(0.0), 1),
            voice.points(best.margin_needed_pct.unwrap_or(0.0))
        );
    }
    match best.cost_per_m {
        Some(cost) => format!(
            "Cheapest that does: {}, {bridge}, {order}, {} a metre",
            best.film.name,
            voice.money(cost)
        ),
        None => format!("Most margin: {}, {bridge}, {order}", best.film.name),
    }
}

/// The rows as a table.
fn table(answer: &Comparison, voice: Voice) -> String {
    let name = |r: &ComparisonRow| r.film.name.chars().count();
    let wide = answer.rows.iter().map(name).max().unwrap_or(0).max(4) + 2;
    let mut text = format!(
        "  {:<wide$}{:<24}{:>9}{:>13}{:>8}{:>9}  {:<22}{:<17}{:<13}{:<11}verdict\n",
        "Film",
        "order",
        "bridge",
        "peak",
        "margin",
        "cost/m",
        "air",
        "force",
        "hold (rank)",
        "post-heat"
    );
    let none = || "-".to_owned();
    for r in &answer.rows {
        let cost = match (&r.cost_per_m, &r.cost_unknown) {
            (Some(cost), _) => voice.money(*cost),
            (None, Some(_)) => "unknown".to_owned(),
            (None, None) => none(),
        };
        let taken = words::when(r.recommended, " (`recommend` takes it)", "");
        let verdict = r.verdict_words(voice);
        let peak = match r.peak_pct {
            None if !r.laid => none(),
            peak => voice.peak_beside(peak, r.film.limit_pct),
        };
        let force = match r.force_n {
            Some(n) => voice.effort(r.effort, n),
            None if r.laid => "not computed".to_owned(),
            None => none(),
        };
        let hold = r.hold_ratio.zip(r.hold_rank);
        let hold = hold.map_or_else(none, |(ratio, rank)| {
            format!("{} ({rank})", voice.times(ratio))
        });
        text.push_str(&format!(
            "  {:<wide$}{:<24}{:>9}{:>13}{:>8}{:>9}  {:<22}{:<17}{:<13}{:<11}{verdict}{taken}\n",
            r.film.name,
            r.order.map_or("-", OrderName::word),
            r.bridge_mm.map_or_else(none, |mm| voice.length(mm)),
            peak,
            r.margin_pct.map_or_else(none, |m| voice.steady(m, 1)),
            cost,
            r.air_word().unwrap_or("-"),
            force,
            hold,
            r.post_heat_min_c
                .map_or_else(|| "not said".to_owned(), |c| voice.celsius(c)),
        ));
    }
    text
}
