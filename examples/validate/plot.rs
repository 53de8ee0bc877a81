//! Lines on scales of powers of ten, and what all pictures share.

use plotters::coord::Shift;
use plotters::prelude::*;
use std::error::Error;

pub(crate) type Made<T> = Result<T, Box<dyn Error>>;

pub(crate) const SIZE: (u32, u32) = (760, 380);
/// Height of what is drawn in, within its labels.
const PLOT: f64 = 312.0;
/// Frames and helping lines.
pub(crate) const GREY: RGBColor = RGBColor(117, 117, 117);
pub(crate) const FONT: &str = "sans-serif";
/// Told apart by shape too; dark enough on white.
pub(crate) const COLOURS: [RGBColor; 4] = [
    RGBColor(29, 79, 145),
    RGBColor(143, 58, 12),
    RGBColor(40, 110, 60),
    RGBColor(91, 42, 134),
];

pub(crate) fn drawn(
    work: impl FnOnce(&DrawingArea<SVGBackend<'_>, Shift>) -> Made<()>,
) -> Made<String> {
    sized(SIZE, work)
}

pub(crate) fn sized(
    size: (u32, u32),
    work: impl FnOnce(&DrawingArea<SVGBackend<'_>, Shift>) -> Made<()>,
) -> Made<String> {
    let mut svg = String::new();
    {
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        area.fill(&WHITE)?;
        work(&area)?;
        area.present()?;
    }
    Ok(svg)
}

/// A line with a name and its points.
pub(crate) type Line = (String, Vec<(f64, f64)>);

/// Errors against something, both on scales of powers of ten.
pub(crate) fn falling(x: &str, y: &str, lines: &[Line]) -> Made<String> {
    let all = || lines.iter().flat_map(|line| &line.1).filter(|p| p.1 > 0.0);
    let least = |of: fn(&(f64, f64)) -> f64| all().map(of).fold(f64::INFINITY, f64::min);
    let most = |of: fn(&(f64, f64)) -> f64| all().map(of).fold(0.0, f64::max);
    let (x0, x1) = (least(|p| p.0), most(|p| p.0));
    let (y0, y1) = (least(|p| p.1) / 2.0, most(|p| p.1) * 2.0);
    // Room under the lines for their names.
    let names = (20.0 * lines.len() as f64 + 16.0) / PLOT;
    let floor = y0 / (y1 / y0).powf(names / (1.0 - names));
    // Tens alone over several of them, more within one or two.
    let few = |a: f64, b: f64| if b > 50.0 * a { 8 } else { 14 };
    let short = |v: &f64| {
        if (0.01..1e5).contains(v) {
            format!("{v}")
        } else {
            format!("{v:.0e}")
        }
    };
    drawn(|area| {
        let mut chart = ChartBuilder::on(area)
            .margin(10)
            .margin_right(24)
            .x_label_area_size(48)
            .y_label_area_size(72)
            .build_cartesian_2d((x0 / 1.3..x1 * 1.3).log_scale(), (floor..y1).log_scale())?;
        chart
            .configure_mesh()
            .x_desc(x)
            .y_desc(y)
            .light_line_style(WHITE)
            .y_label_formatter(&short)
            .x_label_formatter(&short)
            .x_labels(few(x0, x1))
            .y_labels(few(floor, y1))
            .label_style((FONT, 15))
            .draw()?;
        for (k, (name, points)) in lines.iter().enumerate() {
            let colour = COLOURS[k % COLOURS.len()];
            let shown: Vec<(f64, f64)> = points.iter().copied().filter(|p| p.1 > 0.0).collect();
            chart
                .draw_series(LineSeries::new(
                    shown.iter().copied(),
                    colour.stroke_width(2),
                ))?
                .label(name.clone())
                .legend(move |(x, y)| {
                    PathElement::new(vec![(x, y), (x + 22, y)], colour.stroke_width(2))
                });
            let mark = |&p: &(f64, f64)| {
                let size = 3 + i32::try_from(k).unwrap_or(0);
                Circle::new(p, size, colour.filled())
            };
            chart.draw_series(shown.iter().map(mark))?;
        }
        chart
            .configure_series_labels()
            .background_style(WHITE.mix(0.9))
            .border_style(GREY)
            .label_font((FONT, 15))
            .position(SeriesLabelPosition::LowerLeft)
            .draw()?;
        Ok(())
    })
}
