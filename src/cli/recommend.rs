//! `tautspan recommend`: the main job.

use super::handling::HandlingArgs;
use super::input::{Files, FilmArgs, SectionArgs, SplitArgs, Tell};
use super::outcome::{self, OutcomeArgs};
use super::{Outcome, draw, note, options, out, out_json, words};
use anyhow::Result;
use tautspan::{
    Check, FamilyReport, Readings, Recess, Recommendation, Scatter, Section, Setting, TapeFamily,
    Units,
};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan recommend door.csv --film wrap-cast
  tautspan recommend --tape \"mouth=80,depth=25,tape=104\" --film wrap-cast
  tautspan recommend --shape \"step:drop=6,wall=60\" --film polymeric --clear-right 120
  tautspan recommend door.csv --film wrap-cast --out out --force    with pictures";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) section: SectionArgs,
    #[command(flatten)]
    film: FilmArgs,
    #[command(flatten)]
    handling: HandlingArgs,
    #[command(flatten)]
    outcome: OutcomeArgs,
    #[command(flatten)]
    split: SplitArgs,
    /// Also say what else would do where a width works: far side loose, another class, a
    /// relief cut, an inlay
    #[arg(long)]
    options: bool,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    save: draw::SaveArgs,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let parts: [&dyn Tell; 4] = [&args.film, &args.handling, &args.outcome, &args.split];
    let question = args.section.question(&parts, args.save.force)?;
    let question = question.with_open_width()?;
    let setting = Setting::new(question, &Files)?;
    let (section, answer) = match question.read(&Files)? {
        Readings::One(section) => {
            let answer = recommend(args, &setting, section.clone(), Asked::Alone)?;
            (section, answer)
        }
        Readings::Family(family) => recommend_family(args, &setting, &family)?,
    };
    if let Some(folder) = &args.save.out {
        let recess = setting.recess(section)?;
        let bed = setting.bed(&recess);
        let job = setting.job(&bed);
        let paper = tautspan::Paper::Slide;
        let mut files = draw::pictures(&job, &answer.orders, &[], paper)?;
        if answer.range.is_some() {
            files.push(("costs", tautspan::reading_costs(&answer, paper)?));
        }
        draw::save(folder, recess.section().name(), &files, args.save.force)?;
    }
    if args.json {
        out_json(&answer)?;
    } else {
        out(&text(&answer, question.print_units()))?;
    }
    let acceptable = answer.recommended.is_some();
    Ok(Outcome::unless_rough(answer.scatter.as_ref(), acceptable))
}

/// What is asked of a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Asked {
    /// Everything: it is the one there is, so that a list of steps can be made for it.
    Alone,
    /// The width as it is, of a member of a family.
    Member,
    /// The width assured, of the member that needs most.
    NeedsMost,
}

/// The answer for one section.
fn recommend(
    args: &Args,
    setting: &Setting,
    section: Section,
    asked: Asked,
) -> Result<Recommendation> {
    let recess: Recess = setting.recess(section)?;
    let bed = setting.bed(&recess);
    let (mut job, others) = (setting.job(&bed), tautspan::builtin_films());
    if asked == Asked::Member {
        job.assurance = None;
    }
    let mut answer = tautspan::recommend(&job, &others);
    let rough = answer.scatter.as_ref().is_some_and(|s| s.too_rough);
    if asked == Asked::Alone {
        answer.three_steps = tautspan::three_steps(&job, &answer);
    }
    if args.options && !rough && answer.alternatives.is_empty() {
        answer.alternatives = tautspan::alternatives(&job, &others);
    }
    Ok(answer)
}

/// The answer for the shape of a family that needs most, with the family's range.
fn recommend_family(
    args: &Args,
    setting: &Setting,
    family: &TapeFamily,
) -> Result<(Section, Recommendation)> {
    let (worst, answer) = tautspan::recommend_family(family, |section, assured| {
        let asked = if assured {
            Asked::NeedsMost
        } else {
            Asked::Member
        };
        recommend(args, setting, setting.question.named(section), asked)
    })?;
    note(&format!(
        "{} shapes fit these readings; the answer is for the one that needs most",
        family.members().len()
    ));
    let section = family.members()[worst].section.clone();
    Ok((setting.question.named(section), answer))
}

/// The answer as people read it.
fn text(answer: &Recommendation, units: Units) -> String {
    let length = |mm: f64| words::length(mm, units);
    let mut text = String::new();
    let s = &answer.section;
    let kind = format!("{:?}", s.kind).to_lowercase();
    text.push_str(&format!(
        "{}: {kind}, {} wide, {} deep; film {}\n\n",
        s.name,
        length(s.mouth_mm),
        length(s.depth_mm),
        answer.film.name
    ));
    let plain = answer.plain_rule;
    text.push_str(&format!(
        "  Plain rule  {} of extra panel, so at least ",
        length(plain.extra_mm)
    ));
    text.push_str(&format!(
        "{} of bridge for a limit of {} %\n",
        length(plain.least_bridge_mm.unwrap_or(0.0)),
        words::trimmed(answer.film.limit_pct, 1)
    ));
    text.push_str(&as_reached(answer, units));
    match &answer.recommended {
        Some(r) => {
            text.push_str(&format!(
                "  Bridge      {}, {}\n",
                length(r.bridge_mm),
                words::order(&r.order)
            ));
            text.push_str(&press(answer, units));
            text.push_str(&format!(
                "  Tape        {} beyond the left {}, {} beyond the right {}; {} from tape to tape\n",
                length(r.reach_left_mm),
                end_name(answer, true),
                length(r.reach_right_mm),
                end_name(answer, false),
                length(r.tape_to_tape_mm)
            ));
            let check = answer.orders.iter().find(|o| o.order.name == r.order);
            let at = check.map_or_else(String::new, |c| words::peak_place(c, units));
            text.push_str(&format!(
                "  Peak        {:.1} %, {at}; limit {} %{}, margin {:.1} points\n",
                r.peak_pct,
                words::trimmed(answer.film.limit_pct, 1),
                recess_limit(answer),
                check.and_then(|c| c.margin_pct).unwrap_or(0.0)
            ));
            if let Some(check) = check {
                text.push_str(&follows(check, units));
            }
        }
        None => text.push_str("  Bridge      none\n"),
    }
    text.push_str(&format!("  Why         {}\n", answer.reason));
    let rough = answer.scatter.as_ref().is_some_and(|s| s.too_rough);
    text.push_str(&range(answer, units));
    if let Some(scatter) = answer.scatter.as_ref().filter(|_| !rough) {
        text.push_str(&scattered(scatter, units));
    }
    text.push_str(&remarks(answer, units));
    if let Some(none) = &answer.no_width {
        text.push_str(&options::no_width(none, units));
    }
    text.push_str(&warmth(answer, units));
    if let Some(family) = &answer.family {
        text.push_str(&family_words(family, units));
    }
    if !rough {
        text.push_str(&orders(answer, units));
    }
    if let Some(check) = answer
        .recommended
        .as_ref()
        .and_then(|r| answer.orders.iter().find(|o| o.order.name == r.order))
    {
        text.push_str("\nOrder of work\n");
        for (i, step) in check.order.steps.iter().enumerate() {
            text.push_str(&format!("  {}. {step}\n", i + 1));
        }
    }
    text.push_str(&options::text(&answer.alternatives, units));
    text.push_str(&words::list("Note", &answer.warnings));
    text.push_str(&words::list("Assumed", &answer.assumptions));
    text.push_str(&words::training(&answer.invented));
    text.push_str(words::CAUTIONS);
    text
}

/// Where to press, and what the middle would need.
fn press(answer: &Recommendation, units: Units) -> String {
    let Some(press) = answer.press.as_ref().filter(|p| !p.is_middle()) else {
        return String::new();
    };
    let length = |mm: f64| words::length(mm, units);
    let middle = press.middle_bridge_mm.map_or_else(
        || "no width would do from the middle".to_owned(),
        |mm| format!("pressed in the middle it would need {}", length(mm)),
    );
    format!("  Press       {}; {middle}\n", press.words(length))
}

/// What else one should know: edges first, a step laid through.
fn remarks(answer: &Recommendation, units: Units) -> String {
    let mut text = String::new();
    if answer.edges_first_too {
        text.push_str("  Also        edges first does it too, at the same tapes\n");
    }
    if let Some(list) = &answer.three_steps {
        text.push_str(&format!(
            "  Or          three steps, nominal {}, peak {:.1} %: `check --order \"{}\"`\n",
            words::length(list.bridge_mm, units),
            list.peak_pct,
            list.order
        ));
    }
    if let Some(through) = &answer.laid_through {
        text.push_str(&format!(
            "  Or          lay on down the wall, lower side loose: nothing stretches; artwork on the {} moves by {}\n",
            if through.loose == tautspan::Side::Left { "left" } else { "right" },
            words::length(through.artwork_shift_mm, units)
        ));
    }
    text
}

/// The width with what the readings and the hand leave open.
fn range(answer: &Recommendation, units: Units) -> String {
    let (Some(range), Some(chosen)) = (&answer.range, &answer.recommended) else {
        return String::new();
    };
    let length = |mm: f64| words::length(mm, units);
    let nominal = answer
        .nominal_bridge_mm
        .map_or_else(String::new, |mm| format!("; nominal {}", length(mm)));
    let mut text = format!(
        "  Range       {}{nominal}; limit kept in {:.0} % of what the readings allow{}",
        length(chosen.bridge_mm),
        range.share_pct,
        words::allowed(range, units)
    );
    if let Some(cost) = words::dearest(&range.per_mm, units) {
        text.push_str(&format!("; {cost}"));
    }
    text.push('\n');
    if range.draws > 0 && range.doubt_pct >= 4.0 {
        text.push_str(&format!(
            "              {} draws: the share is known to {:.0} points\n",
            range.draws, range.doubt_pct
        ));
    }
    if let Some(measure) = range
        .narrow_by
        .filter(|_| answer.family.is_none() && answer.assured_bridge_mm > answer.nominal_bridge_mm)
    {
        text.push_str(&format!(
            "              the {} read more closely would narrow it most\n",
            measure.words()
        ));
    }
    text
}

/// What the noise of the readings alone leaves open.
fn scattered(scatter: &Scatter, units: Units) -> String {
    let Some((from, to)) = scatter.from_mm.zip(scatter.to_mm) else {
        return String::new();
    };
    format!(
        "  Scan        {}, so nominal between {} and {}; lips to +-{}\n",
        scatter.errs(),
        words::length(from, units),
        words::length(to, units),
        words::length(scatter.lips_mm, units)
    )
}

/// Air and force of the recommended order.
fn follows(check: &Check, units: Units) -> String {
    let mut text = String::new();
    if let Some(air) = &check.air {
        text.push_str(&format!("  Air         {}\n", outcome::air_line(air)));
    }
    if let Some(force) = &check.force {
        text.push_str(&format!(
            "  Force       {}\n",
            outcome::force_line(force, units)
        ));
    }
    text
}

/// The limit between the lips, if the class has one.
fn recess_limit(answer: &Recommendation) -> String {
    answer
        .film
        .recess_limit_pct
        .map_or_else(String::new, |limit| {
            format!(", {} % between the lips", words::trimmed(limit, 1))
        })
}

/// The extra as the tool's tip reaches it, where that differs from the bare panel's.
fn as_reached(answer: &Recommendation, units: Units) -> String {
    let bare = answer.plain_rule.extra_mm;
    let Some(order) = answer
        .orders
        .iter()
        .find(|o| (o.extra_mm - bare).abs() >= 0.1)
    else {
        return String::new();
    };
    let length = |mm: f64| words::length(mm, units);
    if answer.section.kind == tautspan::Kind::Step {
        // A step's extra grows with the bridge: only the chosen one compares.
        return match answer.orders.first() {
            Some(first) if (first.extra_mm - bare).abs() >= 0.1 => format!(
                "              at the bridge below, as the {} reaches it: {} of extra\n",
                first.tool.name,
                length(first.extra_mm)
            ),
            _ => String::new(),
        };
    }
    format!(
        "              as the {} reaches it: {} of extra, so at least {}\n",
        order.tool.name,
        length(order.extra_mm),
        length(order.extra_mm / answer.film.limit_pct * 100.0)
    )
}

/// What the reach on a side is counted from.
fn end_name(answer: &Recommendation, left: bool) -> &'static str {
    if answer.section.kind == tautspan::Kind::Channel {
        return "lip";
    }
    // The lower side of a step is where the film is lower.
    let points = &answer.section.points;
    let falls = points.first().map_or(0.0, |p| p[1]) > points.last().map_or(0.0, |p| p[1]);
    if falls == left { "lip" } else { "foot" }
}

/// The whole bridge, the mouth alone and the flats alone warmed, side by side.
fn warmth(answer: &Recommendation, units: Units) -> String {
    let mut text = String::new();
    for row in &answer.warmth {
        let answer = match (&row.unknown, row.bridge_mm, &row.order, row.peak_pct) {
            (Some(why), ..) => format!("not known: {}", why.lines().next().unwrap_or_default()),
            (None, Some(mm), Some(order), Some(peak)) => format!(
                "{}, {}, peak {peak:.1} %, between the lips {}",
                words::length(mm, units),
                words::order(order),
                words::percent(row.recess_peak_pct)
            ),
            _ if row.advice == Some(tautspan::WarmAdvice::FlatsToo) => {
                "no practical width: warm the flats too".to_owned()
            }
            _ => "no width does".to_owned(),
        };
        let title = if text.is_empty() { "Warm film" } else { "" };
        text.push_str(&format!(
            "  {title:<12}{}: {answer}\n",
            words::warm(&row.warm)
        ));
    }
    if !text.is_empty() {
        text.push_str(
            "              where the film is warm decides more than anything else: cold film beyond the lips\n              hardly gives. Nominal widths; the answer here is for the whole bridge; say yours with `--warm`\n",
        );
    }
    text
}

/// The range over the shapes that fit.
fn family_words(family: &FamilyReport, units: Units) -> String {
    let range = match (family.from_mm, family.to_mm) {
        (Some(a), Some(b)) => format!("{} to {}", words::length(a, units), words::length(b, units)),
        _ => "no width for some or all".to_owned(),
    };
    let mut text = format!(
        "  Shapes      nominal {range} for the {} that fit the readings; the answer is for {}\n",
        family.members, family.answered_for
    );
    if let Some(narrow) = &family.narrow_by {
        text.push_str(&format!("  Measure     {narrow}\n"));
    }
    text
}

/// The table of orders.
fn orders(answer: &Recommendation, units: Units) -> String {
    let mut text = format!(
        "\n  {:<22}{:>10}{:>12}{:>10}{:>14}  {}\n",
        "Order", "bridge", "peak", "mean", "peak / mean", "verdict"
    );
    for o in &answer.orders {
        text.push_str(&format!(
            "  {:<22}{:>10}{:>12}{:>10}{:>14}  {}\n",
            words::order(&o.order.name),
            words::length(o.bridge_mm, units),
            words::percent(o.peak_pct),
            words::percent(Some(o.mean_pct)),
            o.order_penalty
                .map_or_else(|| "-".to_owned(), |p| format!("{p:.2}")),
            if o.within_limit {
                "within the limit"
            } else {
                "over the limit"
            }
        ));
    }
    text
}
