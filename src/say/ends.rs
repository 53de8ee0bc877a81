//! A closed end in words.

use super::{Voice, when};
use crate::advice::{Doubted, EndLaid, EndPlace, EndReport, FilmReport, Notice, WhichEnd};
use crate::ends::{EndError, EndKind};

pub(super) fn say(notice: &Notice, voice: Voice) -> Option<String> {
    let hint = |words| voice.at_keyboard(words);
    Some(match notice {
        Notice::EndsAssumed => {
            let hint = hint("; say yours with `--end-left`, `--end-right`");
            format!(
                "a closed end is rounded over the whole mouth, its wall as the side walls{hint}"
            )
        }
        Notice::EndsModel => {
            "the section goes on alike between its ends. Round an end it is the trapezoid that fits, sharp at the lip, with film that slides there; the numbers may be a quarter off, and nothing but a marked trial piece checks them".to_owned()
        }
        Notice::ClearEnd { mm } => {
            let hint = hint(" (`--clear-end`)");
            format!("{} of clear panel beyond a closed end's lip{hint}", voice.length(*mm))
        }
        Notice::EndOfStep => {
            "the closed end of a step is not computed: its foot turns a corner; make a trial piece".to_owned()
        }
        Notice::EndOfNoTrapezoid => {
            "no trapezoid comes near this section, so its end is not computed; make a trial piece".to_owned()
        }
        Notice::EndUnder => {
            "round an end film is computed rolled down, and no warmer over the flats than in the mouth".to_owned()
        }
        Notice::EndInOrder { order } => format!(
            "round an end film is computed deepest first and edges first, not in the order {}",
            order.word()
        ),
        Notice::OverAtEnd { pct: Some(pct) } => format!(
            "within the limit in the middle, up to {} round a closed end",
            voice.share(pct.ceil())
        ),
        Notice::OverAtEnd { pct: None } => {
            "within the limit in the middle, not known round a closed end".to_owned()
        }
        Notice::EndRefused { why } => refused(why, voice),
        _ => return None,
    })
}

fn refused(why: &EndError, voice: Voice) -> String {
    let length = |mm: f64| voice.length(mm);
    match why {
        EndError::Size { key, found, least, most } => {
            let what = match key.as_str() {
                "radius" => "a plan radius of the lip",
                "run" => "a run from lip to foot",
                "foot-radius" => "a plan radius of the foot",
                _ => "a press line that stops short of the foot by",
            };
            let of = when(what.ends_with("by"), " ", " of ");
            format!(
                "{what}{of}{} makes no end of this section: {} to {} were expected",
                length(*found),
                length(*least),
                length(*most)
            )
        }
        EndError::TooShort { half_length, needed } => format!(
            "the recess is too short for its ends: half of it is {}, and an end with its press line's stop takes {}",
            length(*half_length),
            length(*needed)
        ),
        EndError::Unbalanced => {
            "the film round the end did not come into equilibrium, so there is no number; a broader foot radius or pad, or a trial piece, would do".to_owned()
        }
        EndError::Mesh { percent, of } => format!(
            "two meshes differ by {} in {}: the end is too tight for a number; a broader foot radius or pad, or a trial piece, would do",
            voice.points(*percent),
            voice.percent(*of)
        ),
        EndError::OffPlane { found, expected } => format!(
            "the film in the middle came to {} where plane strain has {}, so there is no number",
            voice.percent(*found),
            voice.percent(*expected)
        ),
    }
}

impl WhichEnd {
    /// Which end: "left end".
    pub fn word(self) -> &'static str {
        match self {
            Self::Left => "left end",
            Self::Right => "right end",
            Self::Both => "both ends",
            Self::Closed => "closed end",
        }
    }
}

impl EndKind {
    /// Its shape, as an adjective.
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Rounded => "rounded",
            Self::Square => "square",
            Self::Ramp => "ramped",
        }
    }
}

impl EndPlace {
    /// Where it is: "on the floor 32 mm inside the end's lip".
    pub(crate) fn word(&self, voice: Voice) -> String {
        let zone = self.zone.place();
        if self.inside_mm.abs() < 0.5 {
            return "at the tip of the end's lip".to_owned();
        }
        if self.inside_mm < 0.0 {
            return format!(
                "{zone} {} beyond the end's lip",
                voice.length(-self.inside_mm)
            );
        }
        format!(
            "{zone} {} inside the end's lip",
            voice.length(self.inside_mm)
        )
    }
}

impl Voice {
    /// A percentage with what it may be: "33 % (25 to 42 %)".
    pub fn doubted(self, value: &Doubted) -> String {
        format!(
            "{} ({} to {})",
            self.share(value.pct),
            self.number(value.from_pct.floor(), 0),
            self.share(value.to_pct.ceil())
        )
    }

    /// The shape of an end: "rounded, lip radius 40 mm, run 20 mm, foot radius 20 mm".
    pub fn end_shape(self, end: &EndReport) -> String {
        if end.radius_mm <= 0.0 {
            return end.kind.word().to_owned();
        }
        let length = |mm: f64| self.length(mm);
        let radius = when(end.kind == EndKind::Square, "corner radius", "lip radius");
        format!(
            "{}, {radius} {}, run {}, foot radius {}{}",
            end.kind.word(),
            length(end.radius_mm),
            length(end.run_mm),
            length(end.foot_radius_mm),
            when(end.assumed, " (assumed)", "")
        )
    }

    /// Elongation and area of an end, and where: "33 % (24 to 42 %) on the floor 32 mm inside
    /// the end's lip; area 56 % (41 to 71 %)".
    pub fn end_numbers(self, laid: &EndLaid) -> String {
        format!(
            "{}, {}; area {}",
            self.doubted(&laid.elongation),
            laid.at.word(self),
            self.doubted(&laid.area)
        )
    }

    /// Where to tape round an end.
    pub fn end_tapes(self, laid: &EndLaid) -> String {
        format!(
            "{} beyond the lips at the sides, {} beyond the end's lip",
            self.width(laid.side_reach_mm),
            self.width(laid.end_reach_mm)
        )
    }

    /// How far along the end's tapes hold: the end is felt so far, and a bridge is given time to
    /// narrow.
    pub fn end_holds(self, laid: &EndLaid) -> String {
        format!(
            "the last {} from the end's lip",
            self.width(laid.felt_mm.max(laid.end_reach_mm))
        )
    }

    /// What a closed end says, line by line, each under a word.
    pub fn end_rows(self, end: &EndReport, film: &FilmReport) -> Vec<(&'static str, String)> {
        let limit = self.limit(film.limit_pct);
        let mut rows = vec![("Shape", self.end_shape(end))];
        if let Some(why) = &end.unknown {
            rows.push(("No number", self.all([why]).concat()));
            return rows;
        }
        let Some(middle) = &end.middle else {
            return rows;
        };
        let verdict = |keeps: bool| when(keeps, "within", "over");
        let there = end.wide.as_ref().or(end.middle.as_ref()).unwrap_or(middle);
        let widened = end
            .wide
            .filter(|wide| wide.side_reach_mm > middle.side_reach_mm + 0.5);
        let as_middle = match end.held {
            Some(_) => "if nothing holds it at the lip",
            None => "at the bridge of the middle",
        };
        let keeps = end.within_limit && widened.is_none();
        let first = format!("{} {as_middle}", self.end_numbers(middle));
        rows.push((
            "Stretch",
            match &end.held {
                Some(held) => format!(
                    "{first}; if the lip holds it all: {}: {} the limit of {limit}",
                    self.end_numbers(held),
                    verdict(end.within_limit)
                ),
                None => format!("{first}: {} the limit of {limit}", verdict(keeps)),
            },
        ));
        if let Some(wide) = &widened {
            rows.push((
                "Bridge",
                format!(
                    "{} round the end, on {}: {}; {}",
                    self.width(wide.bridge_mm),
                    self.end_holds(wide),
                    self.end_tapes(wide),
                    self.end_numbers(wide)
                ),
            ));
        } else if end.within_limit {
            rows.push((
                "Tape",
                format!(
                    "as in the middle; {} beyond the end's lip",
                    self.width(there.end_reach_mm)
                ),
            ));
        } else if end.sought {
            rows.push(("Bridge", none(end, self)));
        }
        if let Some(pad) = end.pad.filter(|_| end.wide.is_some()) {
            rows.push((
                "Or",
                format!(
                    "a pad or plug of {}: a bridge of {} does there",
                    self.width(pad.pad_mm),
                    self.width(pad.bridge_mm)
                ),
            ));
        }
        rows.push((
            "Press line",
            format!(
                "ends {} short of the end's foot",
                self.width(end.press_stop_mm)
            ),
        ));
        if let Some((pct, at)) = there.crease_pct.zip(there.crease_at).filter(|c| c.0 >= 1.0) {
            rows.push((
                "Creases",
                format!(
                    "{} too much film {}: more reach at the end makes more of it",
                    self.percent(pct),
                    at.word(self)
                ),
            ));
        }
        rows.push((
            "Felt",
            format!("to {} inside the end's lip", self.width(there.felt_mm)),
        ));
        if let Some(area) = end.edges_first_area_pct {
            rows.push((
                "Edges first",
                format!("would gain up to {} of area there", self.share(area)),
            ));
        }
        let shown = end.section_peak_pct.zip(end.trapezoid_peak_pct);
        if let Some((own, other)) = shown.filter(|(own, other)| (own - other).abs() >= 0.05) {
            rows.push(("Computed on", format!(
                "a trapezoid of mouth {}, floor {}, depth {}: {} in the middle where the section has {}",
                self.length(end.section.mouth),
                self.length(end.section.floor),
                self.length(end.section.depth),
                self.percent(other),
                self.percent(own)
            )));
        }
        rows
    }
}

/// Why no bridge does round an end, and what would.
fn none(end: &EndReport, voice: Voice) -> String {
    let pad = end.pad.map(|pad| {
        format!(
            "a pad or plug of {} with a bridge of {}",
            voice.width(pad.pad_mm),
            voice.width(pad.bridge_mm)
        )
    });
    let relief = "a relief cut at the end, an inlay there, film that takes more, or film warmed all round on a trial piece";
    let would: Vec<&str> = pad.as_deref().into_iter().chain([relief]).collect();
    format!("none does round the end; {} would", would.join(", or "))
}
