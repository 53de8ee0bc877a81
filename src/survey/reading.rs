//! What is made of a survey, and all that was found on the way.

use super::fit::{Fit, Price};
use super::noise::Noise;
use super::random::Random;
use super::redraw::{Arcs, Basis, of_means};
use super::slips::{Run, dense, distance, slips};
use super::square::squared;
use super::turn::{Frame, coarse_tilt, level_flats};
use super::{Sample, noise::neighbour};
use crate::geometry::{Point, Vector, sort_by_number};
use serde::{Deserialize, Serialize};

/// Fewest points noise can be read from; with fewer, each was placed by hand.
const FEWEST: usize = 40;
/// Fewest points a piece; with fewer, the points are the shape.
const FEWEST_A_PIECE: usize = 5;
/// Most samples that are fitted one by one; beyond, means of runs are. More: slower; fewer:
/// corners are cut by the length of a run.
const MOST_SAMPLES: usize = 20_000;
/// Distance from the fit, in deviations and in mm, from which a run of points is a slip.
const OFF_THE_FIT: (f64, f64) = (6.0, 0.5);
/// Longest run of such points.
const LONGEST_RUN: usize = 3;
/// Independent readings in a stretch whose distances are compared with the noise: a floor of
/// some centimetres. Fewer: chance alone; more: a rough floor hides among smooth flats.
const STRETCH: f64 = 40.0;
/// Distances from the fit, in those of the noise, from which a stretch is too rough. Less: a
/// rounding left out because it does not pay is called rough; more: a rough floor passes.
const MOST_OFF: f64 = 2.0;
/// Seed of the noise that the expected arc is drawn with.
const ARC_SEED: u64 = 0x7461_7574;

/// A reading that is none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Slip {
    /// Number of the point, counted from 1.
    pub place: usize,
    /// Abscissa as read, mm.
    pub x_mm: f64,
    /// Ordinate as read, mm.
    pub y_mm: f64,
    /// How far its run stands off the panel, mm.
    pub off_mm: f64,
}

/// A corner that was found rounded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RoundedCorner {
    /// Abscissa of the corner its two pieces meet at, mm, in the section's frame.
    pub x_mm: f64,
    /// Ordinate of that corner, mm.
    pub y_mm: f64,
    /// Radius, mm.
    pub radius_mm: f64,
}

/// Whether the fit and its noise explain the readings: arc lengths at a stride of some 3 mm,
/// and distances.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Roughness {
    /// Of the readings, slips left out, mm.
    pub read_mm: f64,
    /// Of the same places on the fit, mm.
    pub fitted_mm: f64,
    /// Of noise drawn on those places, mean, mm.
    pub expected_mm: f64,
    /// Its standard deviation, mm.
    pub spread_mm: f64,
    /// Root mean square distance from the fit, over that of the noise, of the stretch of some
    /// forty independent readings where it is largest.
    pub off_over_noise: f64,
    /// Whether arcs or distances differ by more than the noise explains.
    pub too_rough: bool,
}

/// A section made of readings.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Tilt that was found, degrees, positive where the survey rises to the right.
    pub turned_deg: f64,
    /// What keeps its place when the survey is turned level, mm: half way between its ends.
    pub turned_about_mm: [f64; 2],
    /// Whether `points` are turned by it: a clean survey is not, unless it must be.
    pub turned: bool,
    /// Readings that were dropped, left to right.
    pub slips: Vec<Slip>,
    /// Standard deviation of a reading in each direction, mm; 0 for fewer than 40 points.
    pub noise_mm: f64,
    /// Length over which neighbours err alike, mm; 0 where they do not.
    pub noise_over_mm: f64,
    /// Median distance of neighbours, mm.
    pub spacing_mm: f64,
    /// Whether `points` are fitted; else they are the readings without the slips.
    pub fitted: bool,
    /// Straight pieces of the fit; 0 where there is none.
    pub pieces: usize,
    /// Corners of the fit that are rounded, left to right.
    pub rounded: Vec<RoundedCorner>,
    /// Longest way a point of the fit was moved so that x does not fall, mm.
    pub squared_mm: f64,
    /// Whether the noise explains what the fit leaves; none where there is no fit.
    pub roughness: Option<Roughness>,
    /// The section, mm.
    #[serde(skip)]
    pub points: Vec<Point>,
    /// The readings as they came, mm.
    #[serde(skip)]
    pub raw: Vec<Point>,
    #[serde(skip)]
    basis: Option<Basis>,
}

impl Reading {
    /// The same reading with its section turned level.
    pub(crate) fn levelled(&self, points: Vec<Point>) -> Self {
        let turned = true;
        Self {
            turned,
            points,
            ..self.clone()
        }
    }

    /// Sections of noise drawn anew on the fit and fitted again, each from its own seed,
    /// the same on every machine to rounding.
    ///
    /// A draw costs what the fit of at most 1500 samples does; of more readings, means of
    /// runs are drawn. Nothing is drawn where
    /// nothing was fitted: the section comes back as it is.
    pub fn redraw(&self, seed: u64, draws: usize) -> impl Iterator<Item = Vec<Point>> + '_ {
        let mut seeds = Random::new(seed);
        (0..draws).map(move |_| {
            let mut random = seeds.fork();
            match &self.basis {
                Some(basis) => basis.draw(&mut random),
                None => self.points.clone(),
            }
        })
    }
}

/// Makes a section out of readings.
///
/// # Arguments
/// * `points`: the readings in their order, mm.
/// * `last_digit`: what heights were rounded to, mm.
/// * `flats_slope`: mean slope of the two flats, rad, of a chain that may still be tilted;
///   `None` where it sees no recess between flats.
pub fn read_survey(
    points: &[Point],
    last_digit: f64,
    flats_slope: &dyn Fn(&[Point]) -> Option<f64>,
) -> Reading {
    read_survey_with(points, last_digit, flats_slope, &mut |_| {})
}

/// As [`read_survey`], and says now and then which part of the work is done.
pub fn read_survey_with(
    points: &[Point],
    last_digit: f64,
    flats_slope: &dyn Fn(&[Point]) -> Option<f64>,
    progress: &mut dyn FnMut(f64),
) -> Reading {
    let mut survey = Survey::of(points);
    progress(0.1);
    if survey.noise.is_some() {
        survey.drop_slips();
    }
    progress(0.2);
    let fit = survey
        .noise
        .filter(|noise| !noise.is_rounding(last_digit))
        .and_then(|_| survey.fit(progress));
    progress(0.9);
    let reading = match fit {
        Some(fitted) => survey.fitted(&fitted, flats_slope),
        None => survey.clean(flats_slope),
    };
    progress(1.0);
    reading
}

/// A survey while it is read.
struct Survey<'a> {
    raw: &'a [Point],
    /// Indices of the readings that are kept, and those points.
    kept: Vec<usize>,
    points: Vec<Point>,
    slips: Vec<Slip>,
    noise: Option<Noise>,
    frame: Frame,
}

/// What a fit leaves behind.
struct Fitted {
    chain: super::rounded::Rounded,
    feet: Vec<Point>,
    samples: Vec<Sample>,
    price: Price,
    alike: f64,
}

impl Fitted {
    /// Root mean square distance from the fit where it is largest, mm, over stretches that
    /// overlap by half.
    fn largest_off(&self) -> f64 {
        let squares: Vec<f64> = self
            .samples
            .iter()
            .zip(&self.feet)
            .map(|(s, f)| (s.p - f).norm_squared())
            .collect();
        let alike = (1.0 + self.alike) / (1.0 - self.alike);
        let count = super::rounded_count(STRETCH * alike).clamp(1, squares.len());
        squares
            .windows(count)
            .step_by(count.div_ceil(2))
            .map(|stretch| (stretch.iter().sum::<f64>() / count as f64).sqrt())
            .fold(0.0, f64::max)
    }

    fn roughness(&self, noise: &Noise) -> Roughness {
        let read: Vec<Point> = self.samples.iter().map(|s| s.p).collect();
        let noise = Noise {
            sigma: self.price.sigma,
            spacing: self.price.spacing,
            ..*noise
        };
        let arcs = Arcs::of(&read, &self.feet, &noise, ARC_SEED);
        let off_over_noise = self.largest_off() / self.price.sigma;
        Roughness {
            read_mm: arcs.read,
            fitted_mm: arcs.fitted,
            expected_mm: arcs.expected,
            spread_mm: arcs.spread,
            off_over_noise,
            too_rough: arcs.too_rough() || off_over_noise > MOST_OFF,
        }
    }
}

impl<'a> Survey<'a> {
    fn of(raw: &'a [Point]) -> Self {
        let mut frame = Frame::level(raw);
        frame.tilt = coarse_tilt(raw);
        Self {
            raw,
            kept: (0..raw.len()).collect(),
            points: raw.to_vec(),
            slips: Vec::new(),
            noise: (raw.len() >= FEWEST).then(|| Noise::of(raw)),
            frame,
        }
    }

    /// Drops runs that stand off and reads the noise anew.
    fn drop_slips(&mut self) {
        let sigma = self.noise.map_or(0.0, |n| n.sigma);
        let runs = slips(&self.points, sigma);
        self.drop(&runs);
    }

    fn drop(&mut self, runs: &[Run]) {
        if runs.is_empty() {
            return;
        }
        let mut goes = vec![false; self.points.len()];
        for run in runs {
            let end = run.first + run.count;
            goes[run.first..end].fill(true);
            for (i, p) in self.points.iter().enumerate().take(end).skip(run.first) {
                self.slips.push(Slip {
                    place: self.kept[i] + 1,
                    x_mm: p.x,
                    y_mm: p.y,
                    off_mm: run.off,
                });
            }
        }
        sort_by_number(&mut self.slips, |slip| slip.place as f64);
        let mut stays = goes.iter().map(|goes| !goes);
        self.kept.retain(|_| stays.next().unwrap_or(true));
        self.points = self.kept.iter().map(|&i| self.raw[i]).collect();
        self.noise = (self.points.len() >= FEWEST).then(|| Noise::of(&self.points));
    }

    /// Fits the readings, twice where the first fit shows up slips; `None` where the
    /// points are the shape.
    fn fit(&mut self, progress: &mut dyn FnMut(f64)) -> Option<Fitted> {
        let first = self.fit_once()?;
        progress(0.6);
        let runs = self.off_the_fit(&first);
        if runs.is_empty() {
            return Some(first);
        }
        self.drop(&runs);
        self.fit_once()
    }

    fn fit_once(&self) -> Option<Fitted> {
        let noise = self.noise?;
        let count = self.points.len().div_ceil(MOST_SAMPLES).max(1);
        let samples = means(&self.points, count);
        let (part, alike) = of_means(count, neighbour(noise.spacing, noise.over));
        let price = Price {
            square: noise.alike() * noise.sigma * noise.sigma,
            log: (self.points.len() as f64 / noise.alike()).ln().max(1.0),
            sigma: noise.sigma * part,
            spacing: noise.spacing * count as f64,
        };
        let fit = Fit::start(&samples, price);
        if fit.partition * FEWEST_A_PIECE > self.points.len() {
            return None;
        }
        let fit = fit.finish();
        let feet = fit.feet();
        let chain = fit.chain;
        Some(Fitted {
            chain,
            feet,
            samples,
            price,
            alike,
        })
    }

    /// Runs of one to three points that are far off the fit, where points are dense.
    fn off_the_fit(&self, fitted: &Fitted) -> Vec<Run> {
        let sigma = self.noise.map_or(0.0, |n| n.sigma);
        let far = (OFF_THE_FIT.0 * sigma).max(OFF_THE_FIT.1);
        let count = self.points.len().div_ceil(fitted.feet.len());
        let off = |i: usize| {
            // The place of the reading's run, and the chain to its neighbours'.
            let k = i / count;
            let last = fitted.feet.len() - 1;
            let (before, at, after) = (
                fitted.feet[k.saturating_sub(1)],
                fitted.feet[k],
                fitted.feet[last.min(k + 1)],
            );
            let p = self.points[i];
            distance(p, before, at).min(distance(p, at, after))
        };
        let mut runs: Vec<Run> = Vec::new();
        let mut i = 0;
        while i < self.points.len() {
            let first = i;
            let mut least = f64::INFINITY;
            while i < self.points.len() {
                let now = off(i);
                if now < far {
                    break;
                }
                least = least.min(now);
                i += 1;
            }
            let length = i - first;
            if (1..=LONGEST_RUN).contains(&length) && dense(&self.points, first, i) {
                runs.push(Run {
                    first,
                    count: length,
                    off: least,
                });
            }
            i += 1;
        }
        runs
    }

    /// The reading of a clean survey: not moved.
    fn clean(self, flats_slope: &dyn Fn(&[Point]) -> Option<f64>) -> Reading {
        let frame = level_flats(self.frame, |f| f.turned(&self.points), flats_slope);
        let runs_back = |points: &[Point]| points.windows(2).any(|w| w[1].x < w[0].x);
        let turned = frame.turned(&self.points);
        let must = runs_back(&self.points) && !runs_back(&turned);
        let points = if must { turned } else { self.points.clone() };
        self.reading(frame, must, points)
    }

    /// The reading of a fitted survey.
    fn fitted(self, fitted: &Fitted, flats_slope: &dyn Fn(&[Point]) -> Option<f64>) -> Reading {
        let facets = fitted.chain.facets();
        let frame = level_flats(self.frame, |f| squared(&f.turned(&facets)).0, flats_slope);
        let (points, squared_mm) = squared(&frame.turned(&facets));
        let corners = frame.turned(&fitted.chain.corners);
        let rounded = corners.iter().zip(&fitted.chain.radii);
        let roughness = self.noise.map(|noise| fitted.roughness(&noise));
        Reading {
            fitted: true,
            pieces: fitted.chain.pieces(),
            rounded: rounded
                .filter(|&(_, &radius)| radius > 0.0)
                .map(|(c, &radius_mm)| RoundedCorner {
                    x_mm: c.x,
                    y_mm: c.y,
                    radius_mm,
                })
                .collect(),
            squared_mm,
            roughness,
            basis: Some(
                Basis {
                    feet: fitted.feet.clone(),
                    weights: fitted.samples.iter().map(|s| s.weight).collect(),
                    price: fitted.price,
                    alike: fitted.alike,
                    frame,
                }
                .thinned(),
            ),
            ..self.reading(frame, true, points)
        }
    }

    /// What every reading says.
    fn reading(self, frame: Frame, turned: bool, points: Vec<Point>) -> Reading {
        Reading {
            turned_deg: frame.tilt.to_degrees(),
            turned_about_mm: [frame.origin.x, frame.origin.y],
            turned: turned && frame.tilt.abs() > 0.0,
            slips: self.slips,
            noise_mm: self.noise.map_or(0.0, |n| n.sigma),
            noise_over_mm: self.noise.map_or(0.0, |n| n.over),
            spacing_mm: self.noise.map_or(0.0, |n| n.spacing),
            points,
            raw: self.raw.to_vec(),
            ..Reading::default()
        }
    }
}

/// Means of runs of `count` points.
fn means(points: &[Point], count: usize) -> Vec<Sample> {
    let mean = |run: &[Point]| {
        let weight = run.len() as f64;
        let sum = run.iter().fold(Vector::zeros(), |sum, p| sum + p.coords);
        Sample::new(Point::from(sum / weight), weight)
    };
    points.chunks(count).map(mean).collect()
}
