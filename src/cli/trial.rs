//! `tautspan trial`: what trial pieces say of friction and limit, and a trial that would.

use super::files::{Draft, write_noted};
use super::handling::LayArgs;
use super::input::OrderArgs;
use super::named::{Files, one, read_file};
use super::{Outcome, note, out_as, own, words};
use anyhow::{Context, Result, bail};
use std::path::PathBuf;
use tautspan::advice::{Setting, WarmZone};
use tautspan::evidence::trial::{
    Case, Design, FitError, Laid, MARK_ERROR, NotTold, TrialReport, Unknown, design, judge,
    read_marks,
};
use tautspan::say::{Say, Voice, sentence};
use tautspan::{Bed, Conditions, Handling, Order};

pub(crate) const EXAMPLES: &str = "Examples:
  tautspan trial step.csv --film wrap-cast --design            which strips would settle it
  tautspan trial step.csv --film wrap-cast --marks strips.csv  what they say
  tautspan trial step.csv --film wrap-cast --marks strips.csv --write my-wrap.toml

Marks, a row each, from left to right, both counted from the inner edge of the left tape, the
second along the panel; `piece` and `bridge_mm` where a table has several strips; a row with a
`result` (held, whitened, tore, lifted, creased) says what became of one:
  piece,bridge_mm,flat_mm,panel_mm,result,after_h
  a,60,0,0,,
  a,60,5,5.6,,
  a,60,,34,lifted,240";

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    pub(super) lay: LayArgs,
    #[command(flatten)]
    order: OrderArgs,
    /// Tables of marks and results (CSV), of strips laid over this section
    #[arg(long, value_name = "FILE", num_args = 1.., conflicts_with = "design")]
    marks: Vec<PathBuf>,
    /// Error of a mark's place, mm: how closely the tape was read [default: 0.25]
    #[arg(long, value_name = "MM")]
    mark_error: Option<f64>,
    /// Say which strips would settle friction and limit
    #[arg(long)]
    design: bool,
    /// Write the film class to this TOML file, with what was measured and where it comes from
    #[arg(long, value_name = "FILE", conflicts_with = "design")]
    write: Option<PathBuf>,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
    /// Overwrite an existing file
    #[arg(long)]
    force: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let question = args.lay.question(&[&args.order], args.force)?;
    let voice = Voice::terminal(question.print_units());
    let (setting, section) = one(&question)?;
    let recess = setting.recess(section)?;
    let bed = setting.bed(&recess);
    let mark_error = args.mark_error.unwrap_or(MARK_ERROR);
    if !(mark_error > 0.0 && mark_error.is_finite()) {
        bail!("--mark-error: found {mark_error}, expected a length above 0, in mm");
    }
    let case = case(&setting, &bed, mark_error)?;
    let failed = |why: FitError| anyhow::anyhow!("found {}", why.say(voice));
    if args.design {
        let design = design(&case, setting.film.limit()).map_err(failed)?;
        out_as(args.json, &design, |design| {
            designed(design, &setting, voice)
        })?;
        return Ok(Outcome::of(design.reaches_limit));
    }
    if args.marks.is_empty() {
        bail!(
            "no marks, but a table of them was expected (`--marks FILE`)\n\nhint: `--design` says which strips to lay and where to mark them"
        );
    }
    let pieces = pieces(args, &setting, &bed)?;
    let report = judge(&case, &pieces).map_err(failed)?;
    out_as(args.json, &report, |report| {
        text(report, (&setting, recess.section().name()), voice)
    })?;
    if let Some(path) = &args.write {
        if report.misfit {
            bail!("nothing was written: the marks do not fit the laying that was said");
        }
        let film = question.film.as_deref().unwrap_or_default();
        let (changes, left) = changes(&report, recess.section().name(), voice);
        if changes.is_empty() {
            bail!(
                "nothing was written: the trial tells no number\n\nhint: `--design` says what would"
            );
        }
        let toml = own::changed(film, path, &changes)?;
        write_noted(&[Draft::new(path.clone(), toml)], args.force)?;
        for words in left {
            note(&words);
        }
        let still = own::still_invented(path)?;
        if !still.is_empty() {
            note(&format!("still invented in it: {}", still.join(", ")));
        }
    }
    Ok(Outcome::of(!report.misfit))
}

/// The laying with what is not said of it left open.
fn case<'a>(setting: &Setting, bed: &'a Bed<'a>, mark_error: f64) -> Result<Case<'a>> {
    let (order, steps) = setting.order(&Files)?;
    if steps.is_some() || order == Order::Custom {
        bail!(
            "--order: found steps of one's own, expected a named order: a trial is laid in one\n\nhint: `--order deepest-first`"
        );
    }
    let bay = setting.question.bay.clone().unwrap_or_default();
    let mut known = setting
        .handling
        .as_ref()
        .map_or_else(Conditions::default, |h| h.conditions.clone());
    let mut unknown = Vec::new();
    if bay.lip.is_none() && bay.lip_friction.is_none() {
        known.lip_friction = 0.0;
        unknown.push(Unknown::LipFriction);
    }
    if bay.flats.is_none() && bay.drag_kpa.is_none() {
        known.drag = 0.0;
        // Against drag the film's stiffness counts.
        let mut dragged = bay.clone();
        dragged.drag_kpa = Some(1.0);
        if let Ok(with) = Handling::new(&setting.film, &dragged) {
            known.law = with.conditions.law;
            known.warm = with.conditions.warm;
            unknown.push(Unknown::Drag);
        }
    }
    if matches!(bay.warm, Some(WarmZone::Mouth | WarmZone::Flats)) && bay.ranges.is_empty() {
        unknown.push(Unknown::Warmth);
    }
    Ok(Case {
        bed,
        order,
        known,
        unknown,
        mark_error,
    })
}

/// The pieces of all tables, with their bond lines.
fn pieces(args: &Args, setting: &Setting, bed: &Bed<'_>) -> Result<Vec<Laid>> {
    let asked = setting.bonds(bed)?;
    let split = setting.question.split.unwrap_or_default();
    let mut all: Vec<Laid> = Vec::new();
    for path in &args.marks {
        let bytes = read_file(path)?;
        let text = String::from_utf8_lossy(&bytes);
        let name = path.display().to_string();
        for piece in read_marks(&name, &text)? {
            let bonds = match (piece.bridge_mm, asked) {
                (Some(bridge), _) => bed
                    .bonds_for_bridge(bridge, split)
                    .with_context(|| format!("{name}: piece `{}`", piece.name))?,
                (None, Some(bonds)) => bonds,
                (None, None) => bail!(
                    "{name}: no bridge of the piece `{}`, but one was expected\n\nhint: a column `bridge_mm`, or `--bridge`",
                    piece.name
                ),
            };
            if all.iter().any(|laid| laid.piece.name == piece.name) {
                bail!(
                    "{name}: a second piece `{}`\n\nhint: give each piece a name of its own in a column `piece`",
                    piece.name
                );
            }
            all.push(Laid { piece, bonds });
        }
    }
    Ok(all)
}

/// The numbers to write, with their sources, and what is left as it was.
fn changes(report: &TrialReport, section: &str, voice: Voice) -> (Vec<own::Change>, Vec<String>) {
    let (mut changes, mut left) = (Vec::new(), Vec::new());
    if let Some(limit) = &report.limit {
        match limit.limit_pct {
            Some(pct) => changes.push(own::Change {
                key: "limit_pct",
                // Down to a tenth: the safe way.
                value: (10.0 * pct).floor() / 10.0,
                source: format!("own trial over {section}: {}", voice.bracket(limit)[0]),
            }),
            None => left.push("limit_pct is left as it was: every piece failed".to_owned()),
        }
    }
    for told in &report.told {
        let key = match told.unknown {
            Unknown::LipFriction => "lip_friction",
            Unknown::Drag => "drag_kpa",
            Unknown::Warmth => continue,
        };
        match told.not_told {
            None => changes.push(own::Change {
                key,
                value: (1000.0 * told.value.max(0.0)).round() / 1000.0,
                source: format!("own trial over {section}: {}", told.say(voice)),
            }),
            // At most so much: kept out of the way on the safe side by the limit's own interval.
            Some(NotTold::NoTrace { .. } | NotTold::NoEffect | NotTold::Alike { .. }) => {
                left.push(format!("{key} is left as it was: {}", told.say(voice)));
            }
        }
    }
    (changes, left)
}

fn text(report: &TrialReport, (setting, section): (&Setting, &str), voice: Voice) -> String {
    let mut text = format!("Trial of {}, {}\n\n", setting.film.name, section);
    for told in &report.told {
        text.push_str(&format!(
            "  {:<12}{}\n",
            short(told.unknown),
            told.say(voice)
        ));
    }
    if let Some(scatter) = report.scatter_mm {
        text.push_str(&format!(
            "  {:<12}{} about the laying that fits best; a mark is read to {}\n",
            "Marks",
            voice.fine(scatter),
            voice.fine(report.mark_error_mm)
        ));
    }
    if let Some(limit) = &report.limit {
        for (i, words) in voice.bracket(limit).into_iter().enumerate() {
            text.push_str(&format!(
                "  {:<12}{words}\n",
                if i == 0 { "Limit" } else { "" }
            ));
        }
    }
    for piece in &report.pieces {
        text.push_str(&format!(
            "\n{}: {}\n",
            sentence(&piece.name),
            voice.piece(piece)
        ));
        if piece.spans.is_empty() {
            continue;
        }
        text.push_str(&format!(
            "  {:<22}{:<24}{:<18}{:>9}\n",
            "flat film", "now on the panel at", "elongation", "computed"
        ));
        for span in &piece.spans {
            let range = |[from, to]: [f64; 2]| {
                format!("{} to {}", voice.bare_length(from), voice.length(to))
            };
            let elongation = format!(
                "{} +- {}",
                voice.percent(span.elongation_pct),
                voice.number(span.error_pct, 1)
            );
            text.push_str(&format!(
                "  {:<22}{:<24}{elongation:<18}{:>9}\n",
                range(span.flat_mm),
                range(span.panel_mm),
                voice.percent(span.predicted_pct)
            ));
        }
    }
    text.push_str(&words::lines("Note", &voice.marks_faults(report)));
    text.push_str(&words::lines("Assumed", &assumed(setting, voice)));
    text + words::CAUTIONS
}

/// A row's title.
fn short(unknown: Unknown) -> &'static str {
    match unknown {
        Unknown::LipFriction => "Friction",
        Unknown::Drag => "Drag",
        Unknown::Warmth => "Warmth",
    }
}

/// What was taken for granted of the trial.
fn assumed(setting: &Setting, voice: Voice) -> Vec<String> {
    let bay = setting.question.bay.clone().unwrap_or_default();
    let tool = &setting.tool;
    let mut all = vec![format!(
        "pressed with the {}, its pad {} wide: `--tool` or `--pad` for another",
        tool.name,
        voice.length(tool.pad())
    )];
    if bay.warm.is_none() {
        all.push("the film was of one temperature all over (`--warm`)".to_owned());
    }
    if setting.ends.is_some() {
        all.push(
            "strips of the middle: what is said of the ends counts for nothing here".to_owned(),
        );
    }
    all
}

fn designed(design: &Design, setting: &Setting, voice: Voice) -> String {
    let title = format!(
        "A trial of {} for a limit of about {}\n",
        setting.film.name,
        voice.limit(100.0 * setting.film.limit())
    );
    title + &words::lines("Lay", &voice.design(design)) + words::CAUTIONS
}
