//! What was seen in a lay-down and in the search for a width, in words.

use super::{Say, Voice, when};
use crate::advice::{Notice, TensionLoss};

pub(super) fn say(notice: &Notice, voice: Voice) -> Option<String> {
    let hint = |words| voice.at_keyboard(words);
    Some(match notice {
        Notice::NoFinitePeak => {
            let hint = hint(": `--pad`");
            format!(
                "edge first into a sharp corner with a pointed press has no finite peak; a tool with a pad gives one{hint}"
            )
        }
        Notice::OutOfReach { tool, gap_mm } => {
            let hint = hint(" (`--tip-radius`)");
            format!(
                "the {tool} leaves up to {} of the recess out of reach: the film bridges there and may lift; a smaller tip{hint} reaches deeper",
                voice.length(*gap_mm)
            )
        }
        Notice::BondInside { side, inside_mm } => format!(
            "the {} bond line stands {} inside the recess: film bonded there first gives nothing to what is pressed",
            side.word(),
            voice.length(*inside_mm)
        ),
        Notice::LosesTension { pct, then } => loses_tension(*pct, *then, voice),
        Notice::DragHolds { side, reach_mm } => {
            let hint = hint(" (`--flats lifted`)");
            format!(
                "drag ends the stretch {} beyond the {} lip: film left free further out gains nothing; lift it{hint}",
                voice.length(*reach_mm),
                side.word()
            )
        }
        Notice::BeyondTested { tested_pct } => format!(
            "the film is stretched beyond the {} its tensile curve was tested to, and the curve is taken to go on straight there; test further",
            voice.share(*tested_pct)
        ),
        Notice::Air {
            film,
            notice,
            push_helps,
        } => {
            let hint = hint(" (`--order middle-push`)");
            let or = format!("; in a middle push{hint} no film closes over the flats");
            format!(
                "{film}: {}{}",
                notice.say(voice),
                when(*push_helps, or.as_str(), "")
            )
        }
        Notice::NearClosedEnd { within_mm } => format!(
            "within {} of a closed end (a bridge width) no number here stands: film stretches two ways there; make a trial piece",
            voice.width(*within_mm)
        ),
        Notice::Force { notice } => notice.say(voice),
        Notice::HotterThanService {
            film,
            hot_day_c,
            service_max_c,
        } => format!(
            "a panel of {} on a hot day is hotter than {film} is made to bear, {}: nothing here says that it stays down then",
            voice.celsius(*hot_day_c),
            voice.celsius(*service_max_c)
        ),
        Notice::NotForRecesses { film, in_no_way } => {
            let how = when(*in_no_way, ", loose, in one piece or in several", "");
            format!("{film} is not meant for recesses{how}")
        }
        Notice::Unsolved { order, count } => {
            let hint = hint("; `tautspan check` at such a width says why");
            format!(
                "{}: {} taken as over the limit{hint}",
                order.word(),
                super::section::count(
                    *count,
                    "of the widths tried could not be solved and is",
                    "of the widths tried could not be solved and are"
                )
            )
        }
        Notice::OrderLeftOut { order, why } => format!("{} is left out: {why}", order.word()),
        Notice::RowsMissing { order, why } => format!("{} has rows missing: {why}", order.word()),
        Notice::WiderIsNotSafer { beyond_mm } => format!(
            "wider is not safer here: beyond a bridge of {} the peak is over the limit again",
            voice.width(*beyond_mm)
        ),
        Notice::EdgesLower {
            edge_pct,
            most_steps,
        } => {
            let hint = hint(": see `tautspan check --order edge-first`");
            format!(
                "both edges laid towards each other at the same time come to {}, below any list of at most {most_steps} steps that was found{hint}",
                voice.percent(*edge_pct)
            )
        }
        Notice::ForTheWidest => {
            let hint = hint("; `--bridge MM` takes another");
            format!("no width is recommended here, so this is for the widest bridge there is{hint}")
        }
        Notice::NotLaidAsHandled { why } => format!(
            "the order found could not be laid under the conditions given, so its peak is that of even heat with nothing dragging: {why}"
        ),
        _ => return None,
    })
}

/// Film that rests loses tension on the way.
fn loses_tension(pct: f64, then: TensionLoss, voice: Voice) -> String {
    let start = |share: String| {
        format!(
            "film that rests loses up to {share} of its tension on the way, which the model leaves out"
        )
    };
    match then {
        TensionLoss::NoVerdict => {
            let hint =
                voice.at_keyboard(" (`--flats lifted`), or a lower `--drag` or `--lip-friction`");
            format!(
                "{}: the peak is no verdict and counts as over the limit; lift the film off the flats{hint}",
                start(voice.share(pct))
            )
        }
        TensionLoss::MayDiffer => {
            let hint = voice.at_keyboard("; a lower `--lip-friction` shows by how much");
            start(voice.percent(pct)) + ": the true peak may differ" + hint
        }
        TensionLoss::NoMatter => start(voice.percent(pct)) + ": no matter for the width",
    }
}
