//! The pictures: how errors fall, and what the answers hang on.

use crate::checks::readings::{arc, curves};
use crate::checks::round_ends;
use crate::common::bars::{difference, half_channel, march};
use crate::common::exact_recess;
use crate::coverage::{Truths, shares};
use crate::plot::{COLOURS, FONT, GREY, Made, SIZE, drawn, falling, sized};
use crate::range::{BRIDGE, Effect, usual};
use crate::scans::{SIGMAS, Scanned};
use plotters::prelude::*;
use tautspan::film::StretchLaw;
use tautspan::laydown::Warm;
use tautspan::{Bed, Bonds, Conditions, Order};

/// A picture and what it says.
#[derive(Debug)]
pub(crate) struct Picture {
    pub(crate) name: &'static str,
    pub(crate) title: &'static str,
    pub(crate) words: String,
    pub(crate) svg: String,
}

/// The channel 80, 40, 25 mm with 40 mm of reach, by the closed form and by the march, which meet
/// as the warm mouth comes to be as stiff as the rest.
pub(crate) fn march_against_front() -> Made<Picture> {
    let recess = exact_recess(&[
        (-200.0, 0.0),
        (-40.0, 0.0),
        (-20.0, -25.0),
        (20.0, -25.0),
        (40.0, 0.0),
        (200.0, 0.0),
    ]);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 40.0, 40.0);
    let exact = bed.lay(bonds, Order::DeepestFirst)?;
    let (left, right) = exact.bonds();
    let off = |conditions: &Conditions| -> Made<f64> {
        let laid = bed.lay_under(bonds, Order::DeepestFirst, conditions)?;
        let places = (0..=2000).map(|i| left + (right - left) * f64::from(i) / 2000.0);
        let apart = places.filter_map(|s| Some((laid.lambda(s)? - exact.lambda(s)?).abs()));
        Ok(apart.fold(0.0, f64::max))
    };
    let (mut mouth, mut lips) = (Vec::new(), Vec::new());
    for k in 0..8 {
        let more = 0.1_f64.powi(k);
        let soft = Conditions {
            warm: Warm::Mouth(StretchLaw::NeoHookean(1.0 / (1.0 + more))),
            ..Conditions::default()
        };
        mouth.push((more, off(&soft)?));
        let rough = Conditions {
            lip_friction: more,
            ..Conditions::default()
        };
        lips.push((more, off(&rough)?));
    }
    let last = mouth[7].1.max(lips[7].1);
    Ok(Picture {
        name: "march",
        title: "The march comes to the exact front as what it is for goes away",
        words: format!(
            "Largest difference in stretch from the closed form, against the softness of the mouth over 1 and against friction. Both fall in step with what causes them, down to {last:.0e}: the march's own steps."
        ),
        svg: falling(
            "softness of the mouth over 1, or friction",
            "difference in stretch",
            &[
                ("mouth softer".to_owned(), mouth),
                ("friction on the lips".to_owned(), lips),
            ],
        )?,
    })
}

pub(crate) fn bars_against_both() -> Made<Picture> {
    let mut lines = Vec::new();
    for (mu, soft, name) in [
        (0.0, 1.0, "even heat: the exact front"),
        (0.3, 1.0, "friction 0.3: the march"),
        (0.0, 1.0 / 3.0, "mouth 3 times softer: the march"),
        (0.3, 1.0 / 3.0, "both: the march"),
    ] {
        let laid = march(mu, soft);
        let points = [25_u32, 50, 100, 200, 400].map(|bars| {
            (
                f64::from(bars),
                difference(&laid, &half_channel(bars as usize, mu, soft)),
            )
        });
        lines.push((name.to_owned(), points.to_vec()));
    }
    Ok(Picture {
        name: "bars",
        title: "Film as bars comes to both solvers",
        words: "Film cut into bars and laid node by node, by a method that knows no front. At even heat four times as many bars leave a sixteenth of the difference; with friction and warm zones it falls less evenly, to under 1e-5 at 400.".to_owned(),
        svg: falling("bars a side", "difference in stretch", &lines)?,
    })
}

pub(crate) fn facets_against_curves() -> Made<Picture> {
    let shown = ["parabola over", "half ellipse 3", "a period of", "circular"];
    let lines = curves()
        .into_iter()
        .filter(|curve| shown.iter().any(|s| curve.0.starts_with(s)))
        .map(|(name, length, printed, curve)| {
            let at = |n: u32| (f64::from(n), (length - arc(n, &curve)).abs() / length);
            let points = [16, 32, 64, 128, 256, 512, 1024].map(at);
            let above = points.into_iter().filter(|p| p.1 > 3.0 * printed / length);
            (
                name.split(" (").next().unwrap_or(name).to_owned(),
                above.collect(),
            )
        });
    Ok(Picture {
        name: "facets",
        title: "Facets come to the curve they stand for",
        words: "Part of the published length that facets lack: twice as many leave a quarter."
            .to_owned(),
        svg: falling("facets", "part of the length", &lines.collect::<Vec<_>>())?,
    })
}

/// What two meshes differ by, pressed ever nearer to the foot.
pub(crate) fn meshes_round_an_end() -> Made<Picture> {
    let (mut stretch, mut area) = (Vec::new(), Vec::new());
    for stop in [20.0, 15.0, 10.0, 7.5, 5.0] {
        let laid = round_ends::laid(Some(stop), &StretchLaw::default());
        stretch.push((stop, laid.mesh_doubt[0].max(1e-6)));
        area.push((stop, laid.mesh_doubt[1].max(1e-6)));
    }
    Ok(Picture {
        name: "meshes",
        title: "What two meshes of an end differ by",
        words: "Part of the peak by which the coarse mesh differs from the fine one, against how far from the foot the press line stops. Up to a fifth is told, as a doubt on the safe side; more is refused.".to_owned(),
        svg: falling("press stops short of the foot by, mm", "part of the peak", &[
            ("greatest stretch".to_owned(), stretch),
            ("greatest growth of area".to_owned(), area),
        ])?,
    })
}

/// The longest bar first.
pub(crate) fn effects(all: &[Effect]) -> Made<Picture> {
    let middle = usual();
    let most = all
        .iter()
        .flat_map(|e| [e.from.1, e.to.1])
        .fold(0.0, f64::max);
    let height = 60 + 44 * u32::try_from(all.len())?;
    let svg = sized((SIZE.0, height), |area| {
        let left = 330_u32;
        let scale = f64::from(SIZE.0 - left - 30) / (most * 1.02);
        #[expect(clippy::cast_possible_truncation, reason = "pixels of a picture")]
        let at = |pct: f64| (f64::from(left) + pct * scale) as i32;
        let small = (FONT, 15).into_font();
        for (k, effect) in all.iter().enumerate() {
            let y = 30 + 44 * i32::try_from(k)?;
            area.draw(&Text::new(effect.what, (8, y - 6), small.clone()))?;
            let (low, high) = if effect.from.1 <= effect.to.1 {
                (effect.from, effect.to)
            } else {
                (effect.to, effect.from)
            };
            area.draw(&Rectangle::new(
                [(at(low.1), y - 8), (at(high.1).max(at(low.1) + 2), y + 6)],
                COLOURS[0].filled(),
            ))?;
            let words = format!("{:.1} % {}, {:.1} % {}", low.1, low.0, high.1, high.0);
            area.draw(&Text::new(words, (8, y + 14), (FONT, 13).into_font()))?;
        }
        let bottom = i32::try_from(height)? - 26;
        area.draw(&PathElement::new(
            vec![(at(middle), 16), (at(middle), bottom)],
            BLACK.stroke_width(1),
        ))?;
        area.draw(&Text::new(
            format!("as it is: {middle:.1} %"),
            (at(middle) - 40, bottom + 4),
            small,
        ))?;
        Ok(())
    })?;
    Ok(Picture {
        name: "range",
        title: "What the peak hangs on",
        words: format!(
            "The channel 80, 40, 25 mm, {BRIDGE:.0} mm of bridge, deepest first, a fingertip, film warmed all over and rolled down; one thing changed at a time. Peaks in percent; the law's at a rounded end of that channel, where an end's geometry adds to it."
        ),
        svg,
    })
}

pub(crate) fn scans(all: &[Scanned]) -> Made<Picture> {
    let off = |s: &Scanned| Some(s.read_mm? - s.true_mm);
    let most = all.iter().filter_map(off).map(f64::abs).fold(6.0, f64::max) * 1.1;
    let svg = drawn(|area| {
        let mut chart = ChartBuilder::on(area)
            .margin(10)
            .x_label_area_size(48)
            .y_label_area_size(64)
            .build_cartesian_2d(-0.5..3.5_f64, -most..most)?;
        chart
            .configure_mesh()
            .disable_x_mesh()
            .light_line_style(WHITE)
            .x_labels(4)
            .x_label_formatter(&|v| {
                let at = (0..)
                    .zip(SIGMAS)
                    .find(|(k, _)| (f64::from(*k) - v).abs() < 0.1);
                at.map_or_else(String::new, |(_, sigma): (i32, f64)| format!("{sigma} mm"))
            })
            .x_desc("noise of the scan, standard deviation")
            .y_desc("width read less true width, mm")
            .label_style((FONT, 15))
            .draw()?;
        for edge in [-5.0, 5.0] {
            chart.draw_series(LineSeries::new(
                [(-0.5, edge), (3.5, edge)],
                GREY.stroke_width(1),
            ))?;
        }
        let panels: Vec<&str> = all.iter().map(|s| s.panel).collect();
        let marks = all.iter().filter_map(|s| {
            let k = SIGMAS
                .iter()
                .position(|sigma| sigma.total_cmp(&s.sigma_mm).is_eq())?;
            let n = panels.iter().position(|p| *p == s.panel)? as f64 / panels.len() as f64;
            Some(Circle::new(
                (k as f64 - 0.35 + 0.7 * n, off(s)?),
                4,
                COLOURS[0].mix(0.6).filled(),
            ))
        });
        chart.draw_series(marks)?;
        Ok(())
    })?;
    let refused = all.iter().filter(|s| s.read_mm.is_none()).count();
    Ok(Picture {
        name: "scans",
        title: "Sections read against their truth",
        words: format!(
            "{} scans of seven panels, a dot each, the panels side by side within a noise; {refused} were refused. Lines: 5 mm.",
            all.len()
        ),
        svg,
    })
}

pub(crate) fn coverage(all: &[Truths]) -> Made<Picture> {
    let widest = all.iter().map(|t| t.assured_mm).fold(0.0, f64::max) * 1.05;
    let (assured, nominal) = shares(all);
    let svg = drawn(|area| {
        let mut chart = ChartBuilder::on(area)
            .margin(10)
            .x_label_area_size(48)
            .y_label_area_size(64)
            .build_cartesian_2d(0.0..widest, 0.0..104.0_f64)?;
        chart
            .configure_mesh()
            .light_line_style(WHITE)
            .x_desc("width, mm")
            .y_desc("truths in which the limit is kept, %")
            .label_style((FONT, 15))
            .draw()?;
        let share = |held: u32, t: &Truths| 100.0 * f64::from(held) / f64::from(t.tried.max(1));
        chart
            .draw_series(all.iter().map(|t| {
                TriangleMarker::new(
                    (t.nominal_mm, share(t.held_at_nominal, t)),
                    6,
                    COLOURS[1].stroke_width(1),
                )
            }))?
            .label("nominal width")
            .legend(|(x, y)| TriangleMarker::new((x + 10, y), 6, COLOURS[1].stroke_width(1)));
        chart
            .draw_series(
                all.iter()
                    .map(|t| Circle::new((t.assured_mm, share(t.held, t)), 4, COLOURS[0].filled())),
            )?
            .label("assured width")
            .legend(|(x, y)| Circle::new((x + 10, y), 4, COLOURS[0].filled()));
        chart
            .configure_series_labels()
            .background_style(WHITE.mix(0.9))
            .border_style(GREY)
            .label_font((FONT, 15))
            .position(SeriesLabelPosition::LowerRight)
            .draw()?;
        Ok(())
    })?;
    Ok(Picture {
        name: "coverage",
        title: "The assured width, and what the nominal one would keep",
        words: format!(
            "{} random channels read with a gauge good to 0.5 mm; of what each may truly be, the limit is kept in {assured:.1} % at the assured width and in {nominal:.1} % at the nominal one.",
            all.len()
        ),
        svg,
    })
}
