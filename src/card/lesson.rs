//! The lesson sheet: two orders at three widths, the peak against the width, whole against
//! mouth-only warmth, the 1:1 template; and frames of a lay-down for slides.

use super::leaf::{Block, Type};
use super::print::{first_that_fits, print};
use super::template;
use crate::advice::{Check, Handling, Job, PROGRAM, WarmZone, recommend_width, sweep};
use crate::draw::{PaperSize, PdfError, PdfPage, write_pdf};
use crate::figure::{
    Drawing, EndLook, FigureError, Look, Paper, end_above, end_fronts, film_on_panel, frame,
    peak_against_width,
};
use crate::laydown::{Bonds, LayError, Order, OrderName};
use crate::say::{CAUTIONS, Say, Voice};
use crate::section::Units;
use crate::told::Told;

/// Height of a printed picture, mm, most; a page that is too high has smaller ones.
const PICTURE: f64 = 120.0;

/// What a lesson sheet is made for.
#[derive(Debug, Clone, Copy)]
pub struct LessonSpec {
    /// The paper.
    pub paper: PaperSize,
    /// Number of frames of the lay-down, 2 or more; 0 for none.
    pub frames: usize,
    /// Units of the printed numbers.
    pub units: Units,
}

/// A lesson sheet.
#[derive(Debug, Clone)]
pub struct Lesson {
    /// The sheet, several pages.
    pub pdf: Vec<u8>,
    /// Frames of the recommended order, first to last.
    pub frames: Vec<Drawing>,
    /// What had to be left out, and why.
    pub notes: Vec<String>,
}

/// Why a lesson sheet could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LessonError {
    /// A lay-down was refused or did not converge.
    #[error(transparent)]
    Lay(#[from] LayError),
    /// A picture was refused.
    #[error(transparent)]
    Figure(#[from] FigureError),
    /// The PDF was refused.
    #[error(transparent)]
    Pdf(#[from] PdfError),
}

/// Makes the lesson sheet of a job.
///
/// # Errors
/// [`LessonError`]: a lay-down that cannot be, or a fault of pictures or PDF.
pub fn lesson(job: &Job<'_>, spec: &LessonSpec) -> Result<Lesson, LessonError> {
    Author {
        job,
        paper: spec.paper,
        voice: Voice::paper(spec.units),
        notes: Vec::new(),
        pages: Vec::new(),
    }
    .write(spec.frames)
}

/// A lesson sheet under way.
struct Author<'a> {
    job: &'a Job<'a>,
    paper: PaperSize,
    voice: Voice,
    notes: Vec<String>,
    pages: Vec<PdfPage>,
}

impl Author<'_> {
    fn write(mut self, frames: usize) -> Result<Lesson, LessonError> {
        let advice = recommend_width(self.job);
        let chosen = advice.recommended.as_ref();
        let reach = chosen.map_or_else(
            || 0.5 * self.job.bed.most_reach(self.job.split),
            |r| r.reach_left_mm + r.reach_right_mm,
        );
        let first = match chosen.map(|r| r.order) {
            Some(OrderName::MiddlePush) => Order::MiddlePush,
            Some(OrderName::EdgeFirst) => Order::EdgeFirst,
            _ => Order::DeepestFirst,
        };
        let voice = self.voice;
        let said = chosen.map_or_else(
            || format!("No width: {}.", advice.reason.say(voice)),
            |r| {
                let nominal = match (&advice.range, advice.nominal_bridge_mm) {
                    // The nominal width is that of deepest point first.
                    (Some(range), Some(mm)) if r.order == OrderName::DeepestFirst => format!(
                        " (nominal {}; kept in {} of what the readings allow)",
                        voice.length(mm),
                        voice.share(range.share_pct)
                    ),
                    _ => String::new(),
                };
                format!(
                    "Recommended: {}{nominal}, {}.",
                    voice.length(r.bridge_mm),
                    r.order.word()
                )
            },
        );
        self.orders(reach, &said)?;
        self.curve_and_warmth(reach, &said)?;
        self.ends(reach, first)?;
        self.template(reach, first)?;
        let frames = self.frames(reach, first, frames)?;
        let title = format!("Lesson sheet: {}", self.name());
        Ok(Lesson {
            pdf: write_pdf(&self.pages, &title, PROGRAM)?,
            frames,
            notes: self.notes,
        })
    }

    fn look(&self, paper: Paper) -> Look {
        let units = self.voice.units;
        Look { paper, units }
    }

    fn name(&self) -> &str {
        self.job.bed.recess().section().name()
    }

    /// Bond lines of three widths around a total reach: narrower, itself, wider, in steps of
    /// a tape where there is room.
    fn widths(&self, reach: f64) -> [Bonds; 3] {
        let bed = self.job.bed;
        let width = |reach: f64| bed.bridge_for_reach(reach, self.job.split);
        let (least, itself) = (width(0.0), width(reach));
        let most = width(bed.most_reach(self.job.split));
        let at = |wanted: f64| {
            let step = self.job.step.mm();
            let stepped = (wanted / step).round() * step;
            let bridge = stepped.clamp(least, most);
            bed.bonds_for_bridge(bridge, self.job.split)
                .unwrap_or_else(|_| self.bonds(reach))
        };
        if reach < 2.0 * self.job.step.mm() {
            // At the lips already: two wider ones.
            return [self.bonds(reach), at(1.5 * itself), at(2.5 * itself)];
        }
        [
            at(least + 0.4 * (itself - least)),
            self.bonds(reach),
            at(1.6 * itself),
        ]
    }

    fn bonds(&self, reach: f64) -> Bonds {
        self.job.bed.bonds_for_reach(reach, self.job.split)
    }

    /// Page 1: deepest point first and edges first, each at three widths.
    fn orders(&mut self, reach: f64, said: &str) -> Result<(), LessonError> {
        let mut pictures = Vec::new();
        for order in [Order::DeepestFirst, Order::EdgeFirst] {
            let mut checks = Vec::new();
            for bonds in self.widths(reach) {
                let mut check = self.job.check(bonds, order, true)?;
                let width = self.voice.length(check.bridge_mm);
                // Said once a page, so that three widths have room.
                check.invented.clear();
                let name = match order {
                    Order::EdgeFirst => "Edges first",
                    _ => "Deepest first",
                };
                check.order.heading = Some(format!("{name}, {width}"));
                checks.push(check);
            }
            pictures.push(film_on_panel(&checks, self.look(Paper::Print))?);
        }
        let words = format!(
            "{said} Two orders, three bridge widths, one scale of colour: 0 to the limit of {}. Which order puts the stretch where, and what does a wider bridge buy?",
            self.voice.limit(100.0 * self.job.film.limit())
        );
        self.picture_page(&words, &pictures);
        Ok(())
    }

    /// Page 2: peak against width, and the whole bridge warm beside the mouth alone.
    fn curve_and_warmth(&mut self, reach: f64, said: &str) -> Result<(), LessonError> {
        let mut pictures = vec![peak_against_width(
            &sweep(self.job),
            self.look(Paper::Print),
        )?];
        match self.warmth(reach) {
            Ok(checks) => pictures.push(film_on_panel(&checks, self.look(Paper::Print))?),
            Err(why) => (self.notes).push(format!(
                "whole against mouth-only warmth is left out: {why}"
            )),
        }
        let words = format!(
            "{said} Above: the highest elongation against the bridge width. Below: the same width with the whole bridge warm and with the mouth alone: cold film beyond the lips hardly gives."
        );
        self.picture_page(&words, &pictures);
        Ok(())
    }

    /// Deepest-first with the whole bridge warm, and with the mouth alone.
    fn warmth(&self, reach: f64) -> Result<Vec<Check>, String> {
        let plain = Handling::default();
        let said = self.job.handling.unwrap_or(&plain);
        let mut checks = Vec::new();
        for (zone, name) in [
            (WarmZone::Whole, "Whole bridge warm"),
            (WarmZone::Mouth, "Mouth alone warm"),
        ] {
            let handling = said
                .with_warm(self.job.film, zone)
                .map_err(|e| e.message())?;
            let job = Job {
                handling: Some(&handling),
                ..*self.job
            };
            let mut check = job
                .check(self.bonds(reach), Order::DeepestFirst, true)
                .map_err(|e| e.message())?;
            check.order.heading = Some(name.to_owned());
            checks.push(check);
        }
        Ok(checks)
    }

    /// A page for a closed end, where one was said: from above, and how film goes down there.
    fn ends(&mut self, reach: f64, first: Order) -> Result<(), LessonError> {
        let bonds = self.bonds(if first == Order::MiddlePush {
            0.0
        } else {
            reach
        });
        let ends = self.job.ends_laid(bonds, first, false);
        let Some((end, laid)) = ends.first() else {
            return Ok(());
        };
        let Some(laid) = laid else {
            let why = end.unknown.as_ref().map(|why| why.say(self.voice));
            self.notes
                .extend(why.map(|why| format!("the closed end is left out: {why}")));
            return Ok(());
        };
        let (look, shown) = (self.look(Paper::Print), EndLook::of(self.job, end, laid));
        let pictures = [end_above(&shown, look)?, end_fronts(&shown, look)?];
        let rows = self.voice.end_rows(end, &self.job.film_report());
        let said: Vec<String> = rows
            .iter()
            .map(|(label, words)| format!("{label}: {words}."))
            .collect();
        let words = format!(
            "Round a closed end film is drawn in from two sides: why is it stretched most there, and what would a wider pad or more free film at the sides buy? {}",
            said.join(" ")
        );
        self.picture_page(&words, &pictures);
        Ok(())
    }

    /// A page of words over pictures.
    fn picture_page(&mut self, words: &str, pictures: &[Drawing]) {
        let title = format!("{}, {}", self.name(), self.job.film.name);
        let invented: Vec<_> = self.job.invented().into_iter().map(Told).collect();
        let training = self.voice.training(&invented);
        let blocks = |height: f64| {
            let mut blocks = vec![
                Block::Title(title.clone(), "Lesson sheet"),
                Block::Text(Type::Body, words.to_owned()),
            ];
            let training = training.as_ref().map(|t| format!("{t}."));
            blocks.extend(training.map(Block::Framed));
            blocks.extend(pictures.iter().map(|p| Block::Picture(p, height)));
            let cautions = format!("{} {}", CAUTIONS[0], CAUTIONS[1]);
            blocks.push(Block::Text(Type::Body, cautions));
            blocks
        };
        let heights: Vec<f64> = (0..80).map(|k| PICTURE - f64::from(k)).collect();
        let page = first_that_fits(&heights, self.paper, |height| {
            print(&blocks(height), self.paper, 1.0, PROGRAM)
        });
        self.pages.extend(page.map(|(page, _)| PdfPage {
            svg: page.scene.in_mm(self.paper.size(), &title),
            size: self.paper.size(),
        }));
    }

    /// The template: the recommended order's ticks, and edges first beside them.
    fn template(&mut self, reach: f64, first: Order) -> Result<(), LessonError> {
        let reach = if first == Order::MiddlePush {
            0.0
        } else {
            reach
        };
        let mut checks = vec![self.job.check(self.bonds(reach), first, true)?];
        let other = if first == Order::EdgeFirst {
            Order::DeepestFirst
        } else {
            Order::EdgeFirst
        };
        checks.push(self.job.check(self.bonds(reach), other, true)?);
        let pages = template::pages(&checks, self.paper, self.voice);
        if pages.is_empty() {
            self.notes.push(
                "the section is too deep for this paper, so the 1:1 template is left out"
                    .to_owned(),
            );
        }
        self.pages.extend(pages);
        Ok(())
    }

    /// Frames of the recommended order, the film bridged first and down last.
    fn frames(
        &mut self,
        reach: f64,
        first: Order,
        count: usize,
    ) -> Result<Vec<Drawing>, LessonError> {
        let bonds = self.bonds(if first == Order::MiddlePush {
            0.0
        } else {
            reach
        });
        let check = self.job.check(bonds, first, true)?;
        let laid = self.job.lay(bonds, first)?;
        let mut frames = Vec::with_capacity(count);
        for k in 0..count {
            let progress = k as f64 / count.saturating_sub(1).max(1) as f64;
            let Some(moment) = laid.moment(self.job.bed, progress) else {
                self.notes
                    .push("the frames are left out: this lay-down has no finite peak".to_owned());
                return Ok(Vec::new());
            };
            frames.push(frame(
                &check,
                &moment,
                (k + 1, count),
                self.look(Paper::Slide),
            )?);
        }
        Ok(frames)
    }
}
