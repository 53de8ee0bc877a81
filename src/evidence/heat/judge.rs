//! Whether film was post-heated: each place against the class, and the gaps between them.
//!
//! Each reading is corrected for its emissivity ([`corrected`]). The instrument's error is taken
//! on the safe side, carried through the correction where that widens it: a place counts as hot
//! enough if the least it can have been reaches `post_heat_min_c`, and as too hot if the most
//! it can have been is above `post_heat_max_c`. Film that was hot once has been post-heated, so
//! of several readings at one place the hottest counts, for both.
//!
//! A reading stands for half a spacing to either side of it. Two neighbours further apart than the
//! spacing leave a gap, and so does an end that is further than half of it from the nearest
//! reading. Each line that the record names (the floor, a lip) is judged on its own, all along.
//!
//! What it says is that film was hot where it was read. How long it was, and how deep the heat
//! went, no surface reading tells.

use super::correction::corrected;
use super::notice::HeatNotice;
use super::record::{Reading, Record};
use super::report::{GapKind, HeatAsked, HeatGap, HeatLine, HeatPlace, HeatReport, HeatVerdict};
use crate::advice::{Invented, PROGRAM, SCHEMA};
use crate::fault::{Bit, Fault, Refused};
use crate::film::{FilmClass, FilmNumber, Number};
use crate::geometry::sort_by_number;
use crate::told::Told;

/// Furthest that two readings may be apart unless it is said, mm. About the patch that a hand-held
/// gun warms at one time (common practice, no source). Wider, and a patch that was passed over is
/// not seen; narrower, and a metre of floor and two lips takes more than twenty readings.
pub const SPACING: f64 = 150.0;
/// How far an instrument is taken to be off unless it is said, degC: the usual statement of
/// hand-held ones (common practice, no source). Less passes film that was not hot; more asks
/// for heat that a class may not stand.
pub const ERROR: f64 = 2.0;
/// Lengths are alike within this, mm.
const ROUNDING: f64 = 1e-6;
/// The lines of a recess that are usually read.
const USUAL: [&str; 3] = ["left-lip", "floor", "right-lip"];

/// Judges a record against a film class.
///
/// # Arguments
/// * `record`: see [`read_record`](super::read_record).
/// * `film`: its `post_heat_min_c`, `post_heat_max_c` and `emissivity` count. Without the first or
///   the last nothing passes.
/// * `asked`: what is known beside the readings.
///
/// # Errors
/// [`Refused`] with every reading that lies beyond the length.
///
/// # Example
/// ```
/// use tautspan::evidence::heat::{HeatAsked, judge, read_record};
/// let text = "place_mm,reading_c,emissivity_set,surroundings_c,time\n\
///             50,104,0.95,20,2026-11-27T08:15:00Z\n";
/// let record = read_record("door.csv", text.as_bytes(), None)?;
/// let film = tautspan::film_named("wrap-cast").unwrap();
/// let asked = HeatAsked { length: Some(100.0), ..HeatAsked::default() };
/// assert!(judge(&record, &film, &asked)?.passes);
/// # Ok::<(), tautspan::fault::Refused>(())
/// ```
pub fn judge(record: &Record, film: &FilmClass, asked: &HeatAsked) -> Result<HeatReport, Refused> {
    let standing: Vec<&Reading> = record.standing().collect();
    let beyond = beyond(&standing, asked.length);
    if !beyond.is_empty() {
        return Err(Refused::new(&record.name, beyond));
    }
    let judge = Judge {
        least: film.post_heat_min_c.as_ref().map(|n| n.value),
        most: film.post_heat_max_c.as_ref().map(|n| n.value),
        emissivity: asked
            .emissivity
            .or(film.emissivity.as_ref().map(|n| n.value)),
        error: asked.error.unwrap_or(ERROR),
        spacing: asked.spacing.unwrap_or(SPACING),
        length: asked.length,
    };
    let lines = judge.lines(&standing, &asked.lines);
    let times = || standing.iter().map(|reading| reading.time);
    let fallback = super::Time::utc(0);
    let mut warnings = record.notices.clone();
    warnings.extend(replaced(record));
    warnings.extend(seen(&lines, film, &judge, &standing));
    let passes = !standing.is_empty() && lines.iter().all(HeatLine::passes);
    Ok(HeatReport {
        schema: SCHEMA,
        program: PROGRAM.to_owned(),
        record: record.name.clone(),
        passes,
        film: film.name.clone(),
        post_heat_min_c: film.post_heat_min_c.clone(),
        post_heat_max_c: film.post_heat_max_c.clone(),
        emissivity: judge.emissivity,
        emissivity_source: (film.emissivity.as_ref())
            .filter(|_| asked.emissivity.is_none())
            .map(|n| n.source.clone()),
        instrument: asked.instrument.clone(),
        instrument_error_c: judge.error,
        lot: asked.lot.clone(),
        by: asked.by.clone(),
        first: times().min_by_key(|time| time.utc_ms).unwrap_or(fallback),
        last: times().max_by_key(|time| time.utc_ms).unwrap_or(fallback),
        length_mm: judge.length,
        spacing_mm: judge.spacing,
        readings: standing.len(),
        lines,
        warnings: warnings.into_iter().map(Told).collect(),
        assumptions: taken(asked).into_iter().map(Told).collect(),
        invented: invented(film, asked),
    })
}

/// Readings beyond the length of the recess.
fn beyond(standing: &[&Reading], length: Option<f64>) -> Vec<Fault> {
    let Some(length) = length else {
        return Vec::new();
    };
    let off = standing.iter().filter(|r| r.place_mm > length + ROUNDING);
    let fault = |r: &&Reading| {
        let found = ["a reading at ".into(), Bit::Exact(r.place_mm)];
        let expected = ["at most ".into(), Bit::Exact(length), ", the length".into()];
        Fault::at(r.at, found, expected)
    };
    off.map(fault).collect()
}

/// What places are judged by.
struct Judge {
    least: Option<f64>,
    most: Option<f64>,
    emissivity: Option<f64>,
    error: f64,
    spacing: f64,
    length: Option<f64>,
}

impl Judge {
    /// The lines of a record in the order in which they first appear, and then those that must
    /// be there too.
    fn lines(&self, standing: &[&Reading], wanted: &[String]) -> Vec<HeatLine> {
        let mut names: Vec<&str> = Vec::new();
        let read = standing.iter().map(|r| r.line.as_str());
        for name in read.chain(wanted.iter().map(String::as_str)) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let places = standing.iter().map(|r| r.place_mm);
        let from = places.clone().fold(f64::INFINITY, f64::min);
        let whole = match self.length {
            Some(length) => [0.0, length],
            None => [from, places.fold(from, f64::max)],
        };
        let line = |name: &&str| self.line(name, standing, whole);
        names.iter().map(line).collect()
    }

    /// The places of one line and its gaps.
    fn line(&self, name: &str, standing: &[&Reading], whole: [f64; 2]) -> HeatLine {
        let own = standing.iter().filter(|r| r.line == name);
        let mut places: Vec<HeatPlace> = own.map(|reading| self.place(reading)).collect();
        sort_by_number(&mut places, |p| p.place_mm);
        // The hottest of each place, with how many there are.
        places.dedup_by(|next, kept| {
            let same = next.place_mm - kept.place_mm <= ROUNDING;
            if same {
                let count = kept.readings + next.readings;
                if next.corrected_c.unwrap_or(next.reading_c)
                    > kept.corrected_c.unwrap_or(kept.reading_c)
                {
                    std::mem::swap(next, kept);
                }
                kept.readings = count;
            }
            same
        });
        HeatLine {
            line: name.to_owned(),
            gaps: self.gaps(&places, whole),
            places,
        }
    }

    fn place(&self, reading: &Reading) -> HeatPlace {
        let true_at = |shown: f64| {
            let (set, around) = (reading.emissivity_set, reading.surroundings_c);
            corrected(shown, set, self.emissivity?, around)
        };
        let shown = reading.reading_c;
        let film = true_at(shown);
        // Below what the surroundings send there is no temperature: as cold as can be.
        let carried = |film: f64| {
            let cold = true_at(shown - self.error).map_or(f64::INFINITY, |low| film - low);
            let hot = true_at(shown + self.error).map_or(0.0, |high| high - film);
            [cold, hot].map(|off| off.max(self.error))
        };
        let [least, most] = match film {
            Some(film) => {
                let [cold, hot] = carried(film);
                [
                    Some(film - cold).filter(|t| t.is_finite()),
                    Some(film + hot),
                ]
            }
            None => [None, None],
        };
        HeatPlace {
            place_mm: reading.place_mm,
            no: reading.no,
            readings: 1,
            reading_c: shown,
            emissivity_set: reading.emissivity_set,
            surroundings_c: reading.surroundings_c,
            time: reading.time,
            corrected_c: film,
            least_c: least,
            most_c: most,
            verdict: self.verdict(film, least, most),
            note: reading.note.clone(),
        }
    }

    fn verdict(&self, film: Option<f64>, least: Option<f64>, most: Option<f64>) -> HeatVerdict {
        let (Some(wanted), true) = (self.least, self.emissivity.is_some()) else {
            return HeatVerdict::NotJudged;
        };
        if self
            .most
            .is_some_and(|top| most.is_some_and(|most| most > top))
        {
            HeatVerdict::TooHot
        } else if least.is_some_and(|least| least >= wanted) {
            HeatVerdict::Reached
        } else if film.is_some_and(|film| film >= wanted) {
            HeatVerdict::WithinError
        } else {
            HeatVerdict::TooCold
        }
    }

    /// The stretches of a line that no reading stands for.
    fn gaps(&self, places: &[HeatPlace], [from, to]: [f64; 2]) -> Vec<HeatGap> {
        let gap = |from_mm: f64, to_mm: f64, at: GapKind| HeatGap { from_mm, to_mm, at };
        let (Some(first), Some(last)) = (places.first(), places.last()) else {
            return vec![gap(from, to, GapKind::Whole)];
        };
        let (first, last) = (first.place_mm, last.place_mm);
        let between = places.windows(2).map(|w| {
            let [from, to] = [w[0].place_mm, w[1].place_mm];
            (gap(from, to, GapKind::Between), self.spacing)
        });
        // Without a length the ends are not known, and lines are not held against one another.
        let ends = self.length.map(|length| {
            let half = 0.5 * self.spacing;
            let left = (gap(0.0, first, GapKind::LeftEnd), half);
            [left, (gap(last, length, GapKind::RightEnd), half)]
        });
        let [left, right] = ends.map_or([None, None], |ends| ends.map(Some));
        let all = left.into_iter().chain(between).chain(right);
        let wide = all.filter(|(gap, most)| gap.to_mm - gap.from_mm > most + ROUNDING);
        wide.map(|(gap, _)| gap).collect()
    }
}

/// Which readings were replaced, and by which.
fn replaced(record: &Record) -> Option<HeatNotice> {
    let all = record
        .readings
        .iter()
        .filter_map(|r| Some((r.corrects?, r.no)));
    let numbers: Vec<(u64, u64)> = all.collect();
    (!numbers.is_empty()).then_some(HeatNotice::Replaced { numbers })
}

/// What keeps a record from being judged, and what it lacks.
fn seen(
    lines: &[HeatLine],
    film: &FilmClass,
    judge: &Judge,
    standing: &[&Reading],
) -> Vec<HeatNotice> {
    let film = film.name.clone();
    let mut all = Vec::new();
    if judge.least.is_none() {
        all.push(HeatNotice::NoMinimum { film: film.clone() });
    }
    if judge.emissivity.is_none() {
        all.push(HeatNotice::NoEmissivity { film });
    }
    let lost = |r: &&&Reading| judge.emissivity.is_some() && judge.place(r).corrected_c.is_none();
    let lost: Vec<usize> = standing.iter().filter(lost).map(|r| r.at).collect();
    if !lost.is_empty() {
        all.push(HeatNotice::Impossible { lines: lost });
    }
    let there = |name: &&str| lines.iter().any(|line| line.line == **name);
    if USUAL.iter().any(there) {
        let missing = USUAL.iter().filter(|name| !there(name));
        let lines: Vec<String> = missing.map(|&name| name.to_owned()).collect();
        if !lines.is_empty() {
            all.push(HeatNotice::LinesNotRead { lines });
        }
    }
    all
}

/// What was taken because nobody said it, and what was said in place of the class.
fn taken(asked: &HeatAsked) -> Vec<HeatNotice> {
    let error = asked.error.is_none();
    let spacing = asked.spacing.is_none();
    let length = asked.length.is_none();
    let emissivity = asked.emissivity;
    let all = [
        error.then_some(HeatNotice::ErrorTaken { error_c: ERROR }),
        spacing.then_some(HeatNotice::SpacingTaken {
            spacing_mm: SPACING,
        }),
        length.then_some(HeatNotice::NoLength),
        emissivity.map(|emissivity| HeatNotice::EmissivitySaid { emissivity }),
    ];
    all.into_iter().flatten().collect()
}

/// Which of the numbers that decide are invented.
fn invented(film: &FilmClass, asked: &HeatAsked) -> Vec<Told<Invented>> {
    let own = film
        .emissivity
        .as_ref()
        .filter(|_| asked.emissivity.is_none());
    let numbers = [
        (film.post_heat_min_c.as_ref(), FilmNumber::PostHeatMin),
        (film.post_heat_max_c.as_ref(), FilmNumber::PostHeatMax),
        (own, FilmNumber::Emissivity),
    ];
    let made_up = numbers
        .into_iter()
        .filter(|(n, _)| n.is_some_and(Number::is_invented));
    let film = |number| Invented::Film {
        film: film.name.clone(),
        number,
    };
    made_up.map(|(_, number)| Told(film(number))).collect()
}
