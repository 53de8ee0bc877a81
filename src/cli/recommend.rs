//! `tautspan recommend`: the main job.

use super::handling::LayArgs;
use super::named::Files;
use super::outcome::OutcomeArgs;
use super::{Outcome, draw, note, options, out_as, words};
use anyhow::Result;
use tautspan::advice::{FamilyReport, Readings, Scatter, Setting};
use tautspan::say::{Say, Voice};
use tautspan::section::TapeFamily;
use tautspan::{Check, Recess, Recommendation, Section, Told};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan recommend door.csv --film wrap-cast
  tautspan recommend --tape \"mouth=80,depth=25,tape=104\" --film wrap-cast
  tautspan recommend --shape \"step:drop=6,wall=60\" --film polymeric --clear-right 120
  tautspan recommend door.csv --film wrap-cast --out out --force    with pictures";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) lay: LayArgs,
    #[command(flatten)]
    outcome: OutcomeArgs,
    /// Also say what else would do where a width works: far side loose, another class, a
    /// relief cut, an inlay
    #[arg(long)]
    options: bool,
    /// Not here: the order is part of the answer
    #[arg(long, hide = true, value_parser = no_order)]
    order: Option<String>,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    save: draw::SaveArgs,
}

/// Refuses an order, which is an answer here.
fn no_order(_: &str) -> Result<String, String> {
    Err("`recommend` finds the order itself; `check` and `draw` take one".to_owned())
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let question = (args.lay).question(&[&args.outcome], args.save.force)?;
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
        let look = draw::slide(question);
        let mut files = draw::pictures(&job, &answer.orders, &[], look)?;
        if answer.range.is_some() {
            files.push(("costs", tautspan::figure::reading_costs(&answer, look)?));
        }
        let ends = answer.ends.iter();
        let ends: Vec<_> = ends.map(|end| (end.clone(), job.lay_round(end))).collect();
        files.extend(draw::ends(&job, &ends, &[], look)?);
        draw::save(folder, recess.section().name(), &files, args.save.force)?;
    }
    let voice = Voice::terminal(question.print_units());
    out_as(args.json, &answer, |answer| text(answer, voice))?;
    let ends = answer.ends.iter().all(|end| end.within_limit);
    let acceptable = answer.recommended.is_some() && ends;
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
        return Ok(tautspan::advice::recommend_width(&job));
    }
    let mut answer = tautspan::recommend(&job, &others);
    job.widen_the_ends(&mut answer);
    job.hold_the_chosen(&mut answer);
    let rough = answer.scatter.as_ref().is_some_and(|s| s.too_rough);
    if asked == Asked::Alone {
        answer.three_steps = tautspan::advice::three_steps(&job, &answer);
    }
    if args.options && !rough && answer.alternatives.is_empty() {
        let options = tautspan::advice::alternatives(&job, &others);
        answer.alternatives = options.into_iter().map(Told).collect();
    }
    Ok(answer)
}

/// The answer for the shape of a family that needs most, with the family's range.
fn recommend_family(
    args: &Args,
    setting: &Setting,
    family: &TapeFamily,
) -> Result<(Section, Recommendation)> {
    let (worst, answer) = tautspan::advice::recommend_family(family, |section, assured| {
        let asked = words::when(assured, Asked::NeedsMost, Asked::Member);
        recommend(args, setting, setting.question.named(section), asked)
    })?;
    let fit = match family.members().len() {
        1 => "1 shape fits these readings".to_owned(),
        n => format!("{n} shapes fit these readings; the answer is for the one that needs most"),
    };
    note(&fit);
    let section = family.members()[worst].section.clone();
    Ok((setting.question.named(section), answer))
}

/// The answer as people read it.
fn text(answer: &Recommendation, voice: Voice) -> String {
    let length = |mm: f64| voice.length(mm);
    let mut text = String::new();
    let section = words::section(&answer.section, voice);
    text.push_str(&format!("{section}; film {}\n\n", answer.film.name));
    let plain = answer.plain_rule;
    text.push_str(&format!(
        "  Plain rule  {} of extra panel, so at least {} of bridge for a limit of {}\n",
        length(plain.extra_mm),
        voice.at_least(plain.least_bridge_mm.unwrap_or(0.0)),
        voice.limit(answer.film.limit_pct)
    ));
    text.push_str(&as_reached(answer, voice));
    let chosen = answer.recommended.as_ref();
    let chosen = chosen.and_then(|r| answer.orders.iter().find(|o| o.order.name == r.order));
    match &answer.recommended {
        Some(r) => {
            text.push_str(&format!(
                "  Bridge      {}, {}\n",
                length(r.bridge_mm),
                r.order.word()
            ));
            text.push_str(&press(answer, voice));
            text.push_str(&format!(
                "  Tape        {} beyond the left {}, {} beyond the right {}; {} from tape to tape\n",
                length(r.reach_left_mm),
                end_name(answer, true),
                length(r.reach_right_mm),
                end_name(answer, false),
                length(r.tape_to_tape_mm)
            ));
            let at = chosen.and_then(|c| c.peak_at);
            let at = at.map_or_else(String::new, |p| p.say(voice));
            text.push_str(&format!(
                "  Peak        {}, {at}; limit {}{}, margin {}\n",
                voice.beside(r.peak_pct, answer.film.limit_pct),
                voice.limit(answer.film.limit_pct),
                recess_limit(answer, voice),
                voice.points(chosen.and_then(|c| c.margin_pct).unwrap_or(0.0))
            ));
            text.push_str(&chosen.map_or_else(String::new, |check| follows(check, voice)));
        }
        None => text.push_str("  Bridge      none\n"),
    }
    text.push_str(&format!("  Why         {}\n", answer.reason.say(voice)));
    let rough = answer.scatter.as_ref().is_some_and(|s| s.too_rough);
    text.push_str(&range(answer, voice));
    if let Some(scatter) = answer.scatter.as_ref().filter(|_| !rough) {
        text.push_str(&scattered(scatter, voice));
    }
    text.push_str(&remarks(answer, voice));
    if let Some(none) = &answer.no_width {
        text.push_str(&options::no_width(none, voice));
    }
    text.push_str(&words::ends(&answer.ends, &answer.film, voice));
    text.push_str(&warmth(answer, voice));
    if let Some(family) = &answer.family {
        text.push_str(&family_words(family, voice));
    }
    if !rough {
        text.push_str(&orders(answer, voice));
    }
    if let Some(check) = chosen {
        text.push_str("\nOrder of work\n");
        text.push_str(&words::numbered(&check.order.steps, voice));
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

/// Where to press, and what the middle would need.
fn press(answer: &Recommendation, voice: Voice) -> String {
    let Some(press) = answer.press.as_ref().filter(|p| !p.spot.is_middle()) else {
        return String::new();
    };
    let length = |mm: f64| voice.length(mm);
    let middle = press.middle_bridge_mm.map_or_else(
        || "no width would do from the middle".to_owned(),
        |mm| format!("pressed in the middle it would need {}", length(mm)),
    );
    format!("  Press       {}; {middle}\n", press.say(voice))
}

/// What else one should know: edges first, a step laid through.
fn remarks(answer: &Recommendation, voice: Voice) -> String {
    let mut text = String::new();
    if answer.edges_first_too {
        text.push_str("  Also        edges first does it too, at the same tapes\n");
    }
    if let Some(list) = &answer.three_steps {
        text.push_str(&format!(
            "  Or          three steps, nominal {}, peak {}: `check --order \"{}\"`\n",
            voice.length(list.bridge_mm),
            voice.percent(list.peak_pct),
            list.order
        ));
    }
    if let Some(through) = &answer.laid_through {
        text.push_str(&format!(
            "  Or          lay on down the wall, lower side loose: nothing stretches; artwork on the {} moves by {}\n",
            through.loose.say(voice),
            voice.length(through.artwork_shift_mm)
        ));
    }
    text
}

/// The width with what the readings and the hand leave open.
fn range(answer: &Recommendation, voice: Voice) -> String {
    let (Some(range), Some(chosen)) = (&answer.range, &answer.recommended) else {
        return String::new();
    };
    let length = |mm: f64| voice.length(mm);
    let nominal = (answer.nominal_bridge_mm).filter(|mm| *mm <= chosen.bridge_mm);
    let nominal = nominal.map_or_else(String::new, |mm| format!("; nominal {}", length(mm)));
    let mut text = format!(
        "  Range       {}{nominal}; limit kept in {} of what the readings allow{}",
        length(chosen.bridge_mm),
        voice.share(range.share_pct),
        voice.allowed(range)
    );
    if let Some(cost) = voice.dearest(&range.per_mm) {
        text.push_str(&format!("; {cost}"));
    }
    text.push('\n');
    if range.draws > 0 && range.doubt_pct >= 4.0 {
        text.push_str(&format!(
            "              {} draws: the share is known to {} points\n",
            range.draws,
            voice.number(range.doubt_pct, 0)
        ));
    }
    if let Some(narrows) = voice.narrows(answer) {
        text.push_str(&format!("              {narrows}\n"));
    }
    text
}

/// What the noise of the readings alone leaves open.
fn scattered(scatter: &Scatter, voice: Voice) -> String {
    let Some((from, to)) = scatter.from_mm.zip(scatter.to_mm) else {
        return String::new();
    };
    format!(
        "  Scan        {}, so nominal between {} and {}; lips to {}\n",
        voice.errs(scatter),
        voice.length(from),
        voice.length(to),
        voice.give_or_take(&voice.length(scatter.lips_mm))
    )
}

/// Air, force and hold of the recommended order.
fn follows(check: &Check, voice: Voice) -> String {
    let mut text = String::new();
    if let Some(air) = &check.air {
        text.push_str(&format!("  Air         {}\n", air.say(voice)));
    }
    if let Some(force) = voice.force(check) {
        text.push_str(&format!("  Force       {force}\n"));
    }
    if let Some(hold) = &check.hold {
        text.push_str(&format!("  Hold        {}\n", voice.hold(hold)));
    }
    text
}

/// The limit between the lips, if the class has one.
fn recess_limit(answer: &Recommendation, voice: Voice) -> String {
    let limit = answer.film.recess_limit_pct.map(|limit| voice.limit(limit));
    limit.map_or_else(String::new, |limit| format!(", {limit} between the lips"))
}

/// The extra as the tool's tip reaches it, where that differs from the bare panel's.
fn as_reached(answer: &Recommendation, voice: Voice) -> String {
    let bare = answer.plain_rule.extra_mm;
    let differs = |o: &&Check| (o.extra_mm - bare).abs() >= 0.1;
    let Some(order) = answer.orders.iter().find(differs) else {
        return String::new();
    };
    let length = |mm: f64| voice.length(mm);
    if answer.section.kind == tautspan::Kind::Step {
        // A step's extra grows with the bridge: only the chosen one compares.
        let first = answer.orders.first().filter(differs);
        return first.map_or_else(String::new, |first| {
            let (tool, extra) = (&first.tool.name, length(first.extra_mm));
            format!(
                "              at the bridge below, as the {tool} reaches it: {extra} of extra\n"
            )
        });
    }
    format!(
        "              as the {} reaches it: {} of extra, so at least {}\n",
        order.tool.name,
        length(order.extra_mm),
        voice.at_least(order.extra_mm / answer.film.limit_pct * 100.0)
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
fn warmth(answer: &Recommendation, voice: Voice) -> String {
    let mut text = String::new();
    for row in &answer.warmth {
        let answer = match (&row.unknown, row.bridge_mm, &row.order, row.peak_pct) {
            (Some(why), ..) => format!("not known: {}", why.say(voice)),
            (None, Some(mm), Some(order), Some(peak)) => format!(
                "{}, {}, peak {}, between the lips {}",
                voice.length(mm),
                order.word(),
                voice.percent(peak),
                voice.peak(row.recess_peak_pct)
            ),
            _ if row.advice == Some(tautspan::advice::WarmAdvice::FlatsToo) => {
                "no practical width: warm the flats too".to_owned()
            }
            _ => "no width does".to_owned(),
        };
        let title = if text.is_empty() { "Warm film" } else { "" };
        text.push_str(&format!("  {title:<12}{}: {answer}\n", row.warm.say(voice)));
    }
    if !text.is_empty() {
        text.push_str(
            "              where the film is warm decides more than anything else: cold film beyond the lips\n              hardly gives. Nominal widths; the answer here is for the whole bridge; say yours with `--warm`\n",
        );
    }
    text
}

/// The range over the shapes that fit.
fn family_words(family: &FamilyReport, voice: Voice) -> String {
    let range = match (family.from_mm, family.to_mm) {
        (Some(a), Some(b)) => format!("{} to {}", voice.length(a), voice.length(b)),
        _ => "no width for some or all".to_owned(),
    };
    let mut text = format!(
        "  Shapes      nominal {range} for the {} that fit the readings; the answer is for {}\n",
        family.members,
        family.answered_for.say(voice)
    );
    if let Some(narrow) = &family.narrow_by {
        text.push_str(&format!("  Measure     {}\n", narrow.say(voice)));
    }
    text
}

/// The table of orders.
fn orders(answer: &Recommendation, voice: Voice) -> String {
    let mut text = format!(
        "\n  {:<22}{:>10}{:>12}{:>10}{:>14}  {}\n",
        "Order", "bridge", "peak", "mean", "peak / mean", "verdict"
    );
    for o in &answer.orders {
        text.push_str(&format!(
            "  {:<22}{:>10}{:>12}{:>10}{:>14}  {}\n",
            o.order.name.word(),
            voice.length(o.bridge_mm),
            voice.peak_beside(o.peak_pct, answer.film.limit_pct),
            voice.percent(o.mean_pct),
            o.order_penalty
                .map_or_else(|| "-".to_owned(), |p| voice.steady(p, 2)),
            voice.short_verdict(o)
        ));
    }
    text
}
