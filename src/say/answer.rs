//! What stands in every answer: verdicts, places, the range of a width, what a reading costs,
//! which numbers are invented, the usual cautions.

use super::{Say, Voice, notice};
use crate::advice::{
    Check, Cost, Costs, Invented, Measure, Notice, PeakAt, Recommendation, Scatter, WidthRange,
};
use crate::section::Units;
use crate::told::Told;

/// The usual cautions.
pub const CAUTIONS: [&str; 4] = [
    "The film maker's instructions, local codes and licensed practice come before this.",
    "Heat guns burn skin, crack cold glass and overheat paint; hot film sticks to skin. Gloves on.",
    "Ventilate: solvents and hot film give off fumes. No open flame near solvents.",
    "Never cut film on paint, nor near airbags, sensors and wiring. Blade sheathed when not in use.",
];

/// Least widening worth a word, mm.
const WORTH: f64 = 0.05;

impl Say for PeakAt {
    fn say(&self, voice: Voice) -> String {
        let (zone, x) = (self.zone.place(), voice.length(self.place.x_mm));
        format!("{zone}, x = {x}")
    }
}

/// Why a lay-down is not taken whose peaks are within its limits.
fn refused(check: &Check) -> &'static str {
    let said = |f: fn(&Notice) -> bool| check.warnings.iter().any(|w| f(w));
    let end = check.ends.iter().find(|end| !end.within_limit);
    if let Some(end) = end {
        return match end.unknown {
            Some(_) => "no number round a closed end, counts as over",
            None => "over the limit round a closed end",
        };
    }
    if said(|n| matches!(n, Notice::NotForRecesses { .. })) {
        "not taken: the class is not meant for recesses"
    } else if said(|n| matches!(n, Notice::CreasesAtClosedEnd)) {
        "not taken: film that feeds in creases at a closed end"
    } else {
        "no verdict, counts as over"
    }
}

impl Voice {
    /// The same in short, for a table.
    pub fn short_verdict(self, check: &Check) -> &'static str {
        let over = |value: Option<f64>, limit: f64| value.is_none_or(|v| v > limit);
        let inside = check.film.recess_limit_pct;
        if check.within_limit {
            "within the limit"
        } else if over(check.peak_pct, check.film.limit_pct)
            || inside.is_some_and(|l| over(check.recess_peak_pct, l))
        {
            "over the limit"
        } else {
            refused(check)
        }
    }

    /// Is a lay-down within its limits, in words: "over the limit of 20 % between the lips".
    pub fn verdict(self, check: &Check) -> String {
        let limit = self.limit(check.film.limit_pct);
        if check.within_limit {
            return format!("within the limit of {limit}");
        }
        let over = |value: Option<f64>, limit: f64| value.is_none_or(|v| v > limit);
        match check.film.recess_limit_pct {
            _ if check.no_finite_peak => "no finite peak".to_owned(),
            Some(inside)
                if over(check.recess_peak_pct, inside)
                    && !over(check.peak_pct, check.film.limit_pct) =>
            {
                format!("over the limit of {} between the lips", self.limit(inside))
            }
            _ if over(check.peak_pct, check.film.limit_pct) => format!("over the limit of {limit}"),
            _ => refused(check).to_owned(),
        }
    }

    /// Which numbers are invented, or nothing.
    pub fn training(self, invented: &[Told<Invented>]) -> Option<String> {
        let all = self.all(invented);
        let words = "Training numbers: invented values decide here";
        (!all.is_empty()).then(|| format!("{words} ({})", all.join("; ")))
    }

    /// How far off readings and hand are taken to be, in brackets; nothing where nothing is.
    pub fn allowed(self, range: &WidthRange) -> String {
        let tolerance = |mm: f64| (mm > 0.0).then(|| self.tolerance(mm));
        let off = |what: &str, mm: f64| Some(format!("{what} {} off", tolerance(mm)?));
        let read = tolerance(range.tolerance_mm).map(|mm| self.give_or_take(&mm));
        let hand = [
            off("press", range.press_off_mm),
            off("tapes", range.tapes_off_mm),
        ];
        let all: Vec<String> = read.into_iter().chain(hand.into_iter().flatten()).collect();
        if all.is_empty() {
            String::new()
        } else {
            format!(" ({})", all.join(", "))
        }
    }

    /// How much more a reading is for the unit whose cost is told: 1 mm, an eighth of an inch,
    /// 1 degree; with that unit.
    pub(crate) fn cost_unit(self, measure: Measure) -> (String, f64) {
        let eighth = 25.4 / 8.0;
        match self.units {
            _ if measure.is_angle() => (self.degrees(1.0, 0).replace("degrees", "degree"), 1.0),
            Units::Mm | Units::Cm => (self.length(1.0), 1.0),
            Units::Inch => (self.length(eighth), eighth),
        }
    }

    /// One unit of a reading: "1 mm more depth".
    pub fn one_more(self, measure: Measure, cost: Cost) -> String {
        let more = match measure {
            Measure::Press => "off with the",
            _ if measure.is_angle() && cost.more => "steeper",
            _ if measure.is_angle() => "flatter",
            _ if cost.more => "more",
            _ => "less",
        };
        format!("{} {more} {}", self.cost_unit(measure).0, measure.word())
    }

    /// What one unit of a reading costs: a width.
    pub fn wider(self, measure: Measure, cost: Cost) -> String {
        self.length(self.wider_mm(measure, cost))
    }

    /// The same, mm.
    pub(crate) fn wider_mm(self, measure: Measure, cost: Cost) -> f64 {
        self.cost_unit(measure).1 * cost.wider_mm
    }

    /// What the depth costs, or where it costs nothing the dearest reading: "1 mm more depth:
    /// 6 mm wider".
    pub fn dearest(self, costs: &Costs) -> Option<String> {
        let all = || costs.all().filter(|c| c.1.wider_mm >= WORTH);
        let depth = all().find(|c| c.0 == Measure::Depth);
        let dear = |a: &(Measure, Cost), b: &(Measure, Cost)| a.1.wider_mm.total_cmp(&b.1.wider_mm);
        let (measure, cost) = depth.or_else(|| all().max_by(dear))?;
        let (more, wider) = (self.one_more(measure, cost), self.wider(measure, cost));
        Some(format!("{more}: {wider} wider"))
    }

    /// How far the readings of a scan err.
    pub fn errs(self, scatter: &Scatter) -> String {
        notice::errs(scatter, self)
    }

    /// The reading that would narrow a width most, if that is worth a word.
    pub fn narrows(self, answer: &Recommendation) -> Option<String> {
        let range = answer.range.as_ref()?;
        let wider = answer.assured_bridge_mm > answer.nominal_bridge_mm;
        let measure = (range
            .narrow_by
            .filter(|_| answer.family.is_none() && wider)?)
        .word();
        Some(format!(
            "the {measure} read more closely would narrow it most"
        ))
    }
}
