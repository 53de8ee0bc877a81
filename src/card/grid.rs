//! A grid of marks to print at full size, for film that is to be laid round an end.
//!
//! Squares of 10 mm (half an inch), their lines numbered by their distance from the middle of the
//! recess and from the tip of the end's lip, so that a cell's place is read off the film.
//! A bar of 100 mm (4 in) tells whether the printer kept the scale.

use super::leaf::{Block, Type};
use super::print::{MARGIN, Printed, print};
use super::template::bar;
use crate::draw::{Face, PaperSize, PdfError, PdfPage, Scene, Side, write_pdf};
use crate::evidence::trial::CELL;
use crate::say::Voice;
use crate::section::Units;

/// Side of a square where lengths are in inches, mm.
const HALF_INCH: f64 = 12.7;
/// Lines outside of the end's lip: film over the flat, as far as a tape is.
const OUTSIDE: usize = 4;
/// Width of a line, mm: a fine marker's. Wider ones make a cell's side a guess.
const THIN: f64 = 0.2;
const BOLD: f64 = 0.6;
/// Room for the numbers left and above, mm, and for the bar.
const NUMBERS: f64 = 10.0;
const BAR: f64 = 11.0;

/// The grid as a PDF of one page.
///
/// # Errors
/// [`PdfError`] if the page is refused; that is a fault of the program.
pub fn end_grid(paper: PaperSize, units: Units, program: &str) -> Result<Vec<u8>, PdfError> {
    let title = "Grid for an end";
    let page = PdfPage {
        svg: drawn(paper, Voice::paper(units), title, program).in_mm(paper.size(), title),
        size: paper.size(),
    };
    write_pdf(&[page], title, program)
}

fn drawn(paper: PaperSize, voice: Voice, title: &str, program: &str) -> Scene {
    let blocks = [
        Block::Title(title.to_owned(), "Print at full size"),
        Block::Text(Type::Body, voice.grid_sheet(cell(voice.units))),
    ];
    let Printed { mut scene, bottom } = print(&blocks, paper, 0.95, program);
    bar(&mut scene, [MARGIN, bottom + 5.0], voice);
    let [wide, high] = paper.size();
    // Above what stands at the foot of a page.
    let foot = high - MARGIN - 8.0;
    let corner = [MARGIN + NUMBERS, bottom + BAR + NUMBERS];
    let room = [wide - MARGIN - corner[0], foot - corner[1]];
    lines(&mut scene, corner, room, voice);
    scene
}

/// Side of a square, mm.
fn cell(units: Units) -> f64 {
    match units {
        Units::Mm | Units::Cm => CELL,
        Units::Inch => HALF_INCH,
    }
}

/// Squares into a room from its left upper corner, an even number across.
fn lines(sheet: &mut Scene, [left, top]: [f64; 2], [wide, high]: [f64; 2], voice: Voice) {
    let side = cell(voice.units);
    let count = |room: f64| {
        (0..)
            .take_while(|&k| f64::from(k + 1) * side <= room)
            .count()
    };
    let (across, along) = (count(wide) / 2 * 2, count(high));
    let (right, bottom) = (left + across as f64 * side, top + along as f64 * side);
    let (face, bold) = (Face::text(8.0), Face::bold(8.0));
    let middle = across / 2;
    for k in 0..=across {
        let x = left + k as f64 * side;
        let pen = if k == middle { BOLD } else { THIN };
        sheet.line(&[[x, top], [x, bottom]], pen);
        let number = voice.bare_length(k.abs_diff(middle) as f64 * side);
        let face = if k == middle { bold } else { face };
        sheet.print([x, top - 1.5], face, Side::Centre, &number);
    }
    for k in 0..=along {
        let y = top + k as f64 * side;
        let pen = if k == OUTSIDE { BOLD } else { THIN };
        sheet.line(&[[left, y], [right, y]], pen);
        let inside = (k as f64 - OUTSIDE as f64) * side;
        let face = if k == OUTSIDE { bold } else { face };
        let words = voice.bare_length(inside);
        sheet.print([left - 1.5, y + 1.0], face, Side::Right, &words);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::Mark;

    /// Every line of a sheet that is as long as the grid: its two ends, mm.
    fn long_lines(scene: &Scene) -> Vec<[[f64; 2]; 2]> {
        let lines = scene.marks.iter().filter_map(|mark| match mark {
            Mark::Stroke(line, _) if line.len() == 2 => Some([line[0], line[1]]),
            _ => None,
        });
        lines
            .filter(|[p, q]| (q[0] - p[0]).hypot(q[1] - p[1]) > 110.0)
            .collect()
    }

    #[test]
    fn squares_are_true_and_stay_on_the_paper() {
        for (units, side) in [(Units::Mm, 10.0), (Units::Inch, 12.7)] {
            for paper in [PaperSize::A4, PaperSize::Letter] {
                let scene = drawn(paper, Voice::paper(units), "Grid", "");
                let lines = long_lines(&scene);
                let mut across: Vec<f64> = (lines.iter())
                    .filter(|[p, q]| (p[0] - q[0]).abs() < 1e-9)
                    .map(|line| line[0][0])
                    .collect();
                across.sort_by(f64::total_cmp);
                assert!(across.len() > 12, "{}", across.len());
                for w in across.windows(2) {
                    assert!((w[1] - w[0] - side).abs() < 1e-9, "{w:?}");
                }
                let [wide, high] = paper.size();
                let inside = |p: &[f64; 2]| p[0] < wide - MARGIN + 0.1 && p[1] < high - MARGIN;
                assert!(lines.iter().flatten().all(inside));
            }
        }
    }
}
