//! Made-up answers for the tests of the pictures: shapes by hand, elongations from simple
//! formulas, nothing from the solver.

use super::{Check, FilmNumber, Invented, OrderName, Sweep, Told, ToolNumber};
use serde_json::{Value, json};

/// A place on a polyline at arc length `s` from its first point.
fn place(points: &[[f64; 2]], s: f64) -> Value {
    let mut left = s;
    for w in points.windows(2) {
        let length = (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]);
        if left <= length + 1e-9 {
            let t = left / length;
            return json!({"s_mm": s, "x_mm": w[0][0] + t * (w[1][0] - w[0][0]), "y_mm": w[0][1] + t * (w[1][1] - w[0][1])});
        }
        left -= length;
    }
    let last = points[points.len() - 1];
    json!({"s_mm": s, "x_mm": last[0], "y_mm": last[1]})
}

/// Arc lengths of the vertices.
fn vertices(points: &[[f64; 2]]) -> Vec<f64> {
    let mut s = vec![0.0];
    for w in points.windows(2) {
        s.push(s[s.len() - 1] + (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]));
    }
    s
}

/// What a case is made of.
pub(super) struct Case<'a> {
    pub(super) name: &'a str,
    pub(super) kind: &'a str,
    pub(super) points: Vec<[f64; 2]>,
    /// Vertices that are bond lines, lips (or foot) and press; `None` presses mid-way.
    pub(super) bonds: [usize; 2],
    pub(super) lips: [usize; 2],
    pub(super) press: Option<usize>,
    pub(super) limit: f64,
    pub(super) zone: &'a str,
}

impl Case<'_> {
    /// The answer for elongations given at both ends of each facet, percent.
    pub(super) fn check(&self, order: &str, ends: &[[f64; 2]]) -> Check {
        let s = vertices(&self.points);
        let mut rows = Vec::new();
        let mut film = 0.0;
        let mut peak = (-1.0, s[self.bonds[0]]);
        let press = self
            .press
            .map_or((s[self.lips[0]] + s[self.lips[1]]) / 2.0, |i| s[i]);
        for (facet, i) in (self.bonds[0]..self.bonds[1]).enumerate() {
            let [from, to] = ends[facet];
            let length = s[i + 1] - s[i];
            let n = (1..1000)
                .find(|&n| f64::from(n) >= length)
                .unwrap_or(1000u32);
            for k in 0..=n {
                let t = f64::from(k) / f64::from(n);
                let e = from + t * (to - from);
                if k > 0 {
                    film += length / f64::from(n) / (1.0 + e / 100.0);
                }
                let here = s[i] + t * length;
                let nearer = (here - press).abs() < (peak.1 - press).abs() - 1e-6;
                if e > peak.0 + 1e-9 || (nearer && e > peak.0 - 1e-9) {
                    peak = (e, here);
                }
                let mut row = place(&self.points, s[i] + t * length);
                row["film_mm"] = json!(film);
                row["elongation_pct"] = json!(e);
                row["thickness_um"] = json!(90.0 / (1.0 + e / 100.0));
                rows.push(row);
            }
        }
        self.answer(order, &s, rows, Some(peak))
    }

    /// An order without a finite peak.
    pub(super) fn endless(&self, order: &str) -> Check {
        self.answer(order, &vertices(&self.points), Vec::new(), None)
    }

    fn answer(&self, order: &str, s: &[f64], rows: Vec<Value>, peak: Option<(f64, f64)>) -> Check {
        let at = |i: usize| place(&self.points, s[i]);
        let [a, b] = self.bonds;
        let [l, r] = self.lips;
        let press = self.press.map_or((s[l] + s[r]) / 2.0, |i| s[i]);
        let chord = |i: usize, j: usize| {
            (self.points[j][0] - self.points[i][0]).hypot(self.points[j][1] - self.points[i][1])
        };
        let bridge = chord(a, l) + chord(l, r) + chord(r, b);
        let mut peak_at = peak.map(|p| place(&self.points, p.1));
        if let Some(p) = &mut peak_at {
            p["zone"] = json!(self.zone);
        }
        let within = peak.is_some_and(|p| p.0 <= self.limit);
        let value = json!({
            "schema": 1, "program": "tautspan",
            "section": {"name": self.name, "kind": self.kind, "mouth_mm": chord(l, r), "depth_mm": 25.0, "points": self.points},
            "film": {"name": "wrap-cast", "limit_pct": self.limit, "recess_limit_pct": null, "provenance": "invented for the demo"},
            "order": {"name": order, "steps": []},
            "tool": {"name": "fingertip", "pad_mm": 0.0, "tip_radius_mm": 0.0, "contact_length_mm": null},
            "laying": "rolled", "lip_friction": 0.0, "warm": "whole",
            "bridge_mm": bridge, "reach_left_mm": s[l] - s[a], "reach_right_mm": s[b] - s[r],
            "bond_left": at(a), "bond_right": at(b), "lip_left": at(l), "lip_right": at(r), "press": place(&self.points, press),
            "arc_mm": s[b] - s[a], "extra_mm": s[b] - s[a] - bridge, "fed_in_mm": 0.0, "mean_pct": 100.0 * (s[b] - s[a] - bridge) / bridge,
            "peak_pct": peak.map(|p| p.0), "no_finite_peak": peak.is_none(), "recess_peak_pct": peak.map(|p| p.0),
            "deepest_pct": null, "peak_at": peak_at, "within_limit": within,
            "margin_pct": peak.map(|p| self.limit - p.0), "order_penalty": null,
            "out_of_reach": {"area_mm2": 0.0, "gap_mm": 0.0}, "profile": rows,
            "invented": ["limit of wrap-cast"], "warnings": [], "assumptions": [],
        });
        serde_json::from_value(value).unwrap()
    }
}

fn trapezoid(name: &str) -> Case<'_> {
    let points = vec![
        [-60.0, 0.0],
        [-35.0, 0.0],
        [0.0, 0.0],
        [20.0, -25.0],
        [60.0, -25.0],
        [80.0, 0.0],
        [115.0, 0.0],
        [140.0, 0.0],
    ];
    Case {
        name,
        kind: "channel",
        points,
        bonds: [1, 6],
        lips: [2, 5],
        press: None,
        limit: 20.0,
        zone: "foot",
    }
}

/// Mouth 80, floor 40, depth 25, bridge 150: mechanics.md, sections 3 and 6, near enough.
pub(super) fn channel() -> Vec<Check> {
    let case = Case {
        points: trapezoid("x").points.clone(),
        ..trapezoid("demo channel")
    };
    // The floor in two facets, so that the elongation rises from the press to both feet.
    let mut floor = case;
    floor.points.insert(4, [40.0, -25.0]);
    floor.bonds = [1, 7];
    floor.lips = [2, 6];
    let deepest = floor.check(
        "deepest-first",
        &[
            [17.1, 17.1],
            [17.1, 17.1],
            [17.1, 9.6],
            [9.6, 17.1],
            [17.1, 17.1],
            [17.1, 17.1],
        ],
    );
    floor.zone = "floor";
    let edges = floor.check(
        "edge-first",
        &[
            [0.0, 0.0],
            [0.0, 51.7],
            [51.7, 51.7],
            [51.7, 51.7],
            [51.7, 0.0],
            [0.0, 0.0],
        ],
    );
    floor.bonds = [2, 6];
    floor.zone = "foot";
    let middle = floor.check(
        "middle-push",
        &[[34.1, 34.1], [34.1, 12.0], [12.0, 34.1], [34.1, 34.1]],
    );
    vec![deepest, edges, middle]
}

/// A step down of 12 over a run of 6, lower flat to the right.
pub(super) fn step() -> Vec<Check> {
    let points = vec![
        [-40.0, 0.0],
        [0.0, 0.0],
        [6.0, -12.0],
        [106.0, -12.0],
        [130.0, -12.0],
    ];
    let case = Case {
        name: "sill step",
        kind: "step",
        points,
        bonds: [1, 3],
        lips: [1, 2],
        press: Some(2),
        limit: 20.0,
        zone: "wall",
    };
    vec![
        case.check("deepest-first", &[[6.3, 6.3], [6.1, 6.3]]),
        case.check("edge-first", &[[9.0, 14.0], [22.0, 22.0]]),
    ]
}

/// A sharp V: edge-first has no finite answer.
pub(super) fn groove() -> Vec<Check> {
    let points = vec![
        [-70.0, 0.0],
        [-55.0, 0.0],
        [0.0, 0.0],
        [15.0, -18.0],
        [30.0, 0.0],
        [85.0, 0.0],
        [100.0, 0.0],
    ];
    let case = Case {
        name: "sharp groove",
        kind: "channel",
        points,
        bonds: [1, 5],
        lips: [2, 4],
        press: Some(3),
        limit: 30.0,
        zone: "flat",
    };
    vec![
        case.check(
            "deepest-first",
            &[[14.0, 14.0], [9.0, 14.0], [14.0, 9.0], [14.0, 14.0]][..],
        ),
        case.endless("edge-first"),
    ]
}

/// A shallow round recess in a bridge of 600 mm, with a name that must wrap.
pub(super) fn wide() -> Vec<Check> {
    let mut points = vec![[-320.0, 0.0], [-250.0, 0.0]];
    points.extend((0..=40).map(|k| {
        let x = f64::from(k) * 2.5;
        [x, -10.0 * (std::f64::consts::PI * x / 100.0).sin()]
    }));
    points.extend([[350.0, 0.0], [420.0, 0.0]]);
    let name = "lower moulding recess of the left sliding door behind the rear wheel arch, third survey with the contour gauge";
    let case = Case {
        name,
        kind: "channel",
        points,
        bonds: [1, 43],
        lips: [2, 42],
        press: Some(22),
        limit: 20.0,
        zone: "lip",
    };
    let rise = |x: f64| 1.0 + 0.6 * ((x - 20.0) / 20.0).abs();
    let mut ends = vec![[1.6, 1.6]];
    ends.extend((0..40).map(|k| [rise(f64::from(k)), rise(f64::from(k) + 1.0)]));
    ends.push([1.6, 1.6]);
    let mut edges = vec![[0.0, 0.0]];
    edges.extend((0..40).map(|k| {
        let e = |x: f64| 8.0 * (1.0 - ((x - 20.0) / 20.0).abs());
        [e(f64::from(k)), e(f64::from(k) + 1.0)]
    }));
    edges.push([0.0, 0.0]);
    let flat = Case {
        zone: "floor",
        points: case.points.clone(),
        ..case
    };
    let case = Case {
        zone: "lip",
        points: flat.points.clone(),
        ..flat
    };
    vec![
        case.check("deepest-first", &ends),
        Case {
            zone: "floor",
            ..case
        }
        .check("edge-first", &edges),
    ]
}

/// A deep narrow channel with vertical walls, rounded lips and feet, far over the limit.
pub(super) fn deep() -> Vec<Check> {
    let arc = |cx: f64, cy: f64, r: f64, from: f64, to: f64| {
        (0..=12).map(move |k| {
            let a = (from + (to - from) * f64::from(k) / 12.0).to_radians();
            [cx + r * a.cos(), cy + r * a.sin()]
        })
    };
    let mut points = vec![[-80.0, 0.0], [-60.0, 0.0]];
    points.extend(arc(0.0, -3.0, 3.0, 90.0, 0.0));
    points.extend(arc(5.0, -32.0, 2.0, 180.0, 270.0));
    points.extend(arc(23.0, -32.0, 2.0, 270.0, 360.0));
    points.extend(arc(28.0, -3.0, 3.0, 180.0, 90.0));
    points.extend([[88.0, 0.0], [108.0, 0.0]]);
    let n = points.len();
    let case = Case {
        name: "deep rail",
        kind: "channel",
        points,
        bonds: [1, n - 2],
        lips: [2, n - 3],
        press: None,
        limit: 20.0,
        zone: "wall",
    };
    let facets = n - 3;
    let middle = (facets as f64 - 1.0) / 2.0;
    let up = |low: f64, high: f64| -> Vec<[f64; 2]> {
        (0..facets)
            .map(|k| ((k as f64 - middle) / middle).abs())
            .map(|t| [low + (high - low) * t; 2])
            .collect()
    };
    let mut edges = up(110.0, 0.0);
    edges[0] = [0.0, 0.0];
    vec![
        case.check("deepest-first", &up(25.0, 47.0)),
        Case {
            zone: "floor",
            ..case
        }
        .check("edge-first", &edges),
    ]
}

/// Channels from a scratch to a gutter, with little and much flat: for the layout only.
pub(super) fn many_sizes() -> Vec<(String, Vec<Check>)> {
    let mut found = Vec::new();
    for mouth in [12.0, 40.0, 160.0] {
        for depth in [1.5, 20.0, 120.0] {
            for reach in [0.0_f64, 15.0, 290.0] {
                let points = vec![
                    [-reach - 30.0, 0.0],
                    [-reach, 0.0],
                    [0.0, 0.0],
                    [0.3 * mouth, -depth],
                    [0.7 * mouth, -depth],
                    [mouth, 0.0],
                    [mouth + reach.max(1.0), 0.0],
                    [mouth + reach + 30.0, 0.0],
                ];
                let first = if reach > 0.0 { 1 } else { 2 };
                let case = Case {
                    name: "channel",
                    kind: "channel",
                    points: if reach > 0.0 {
                        points
                    } else {
                        [&points[..1], &points[2..3], &points[2..]].concat()
                    },
                    bonds: [first, 6],
                    lips: [2, 5],
                    press: None,
                    limit: 20.0,
                    zone: "foot",
                };
                let facets = 6 - first;
                let low: Vec<[f64; 2]> = vec![[12.0, 15.0]; facets];
                let high: Vec<[f64; 2]> = (0..facets)
                    .map(|k| {
                        if k == facets / 2 {
                            [90.0, 95.0]
                        } else {
                            [0.0, 0.0]
                        }
                    })
                    .collect();
                let checks = vec![
                    case.check("deepest-first", &low),
                    case.check("edge-first", &high),
                    case.check("one-way", &low),
                ];
                found.push((format!("mouth {mouth} depth {depth} reach {reach}"), checks));
            }
        }
    }
    found
}

/// One order, and not stretched at all.
pub(super) fn flat() -> Vec<Check> {
    let case = trapezoid("almost nothing");
    vec![case.check("deepest-first", &[[0.0, 0.0]; 5])]
}

/// The channel with a lower limit in the recess and a long list of invented numbers.
fn capped() -> Vec<Check> {
    let mut checks = channel();
    for check in &mut checks {
        check.film.recess_limit_pct = Some(12.0);
        let film = ["wrap-cast", "print-cast"].map(str::to_owned);
        let film = film.into_iter().flat_map(|film| {
            [
                FilmNumber::Limit,
                FilmNumber::RecessLimit,
                FilmNumber::Thickness,
            ]
            .map(|number| Invented::Film {
                film: film.clone(),
                number,
            })
        });
        let tool = [ToolNumber::Pad, ToolNumber::TipRadius].map(|number| Invented::Tool {
            tool: "fingertip".to_owned(),
            number,
        });
        check.invented = film.chain(tool).map(Told).collect();
    }
    checks
}

/// Two orders that end alike, and a third.
fn alike() -> Vec<Check> {
    let mut checks = channel();
    checks[2] = checks[0].clone();
    checks[2].order.name = OrderName::MiddlePush;
    checks
}

/// Every case by name.
pub(super) fn all_checks() -> Vec<(&'static str, Vec<Check>)> {
    let channel = channel();
    vec![
        ("one", channel[..1].to_vec()),
        ("two", channel[..2].to_vec()),
        ("channel", channel),
        ("step", step()),
        ("groove", groove()),
        ("wide", wide()),
        ("deep", deep()),
        ("flat", flat()),
        ("capped", capped()),
        ("alike", alike()),
        ("endless", groove()[1..].to_vec()),
    ]
}

fn sweep(name: &str, limit: f64, extra: f64, nominal: Option<f64>, mut rows: Vec<Value>) -> Sweep {
    for row in &mut rows {
        row["mean_pct"] = json!(100.0 * extra / row["bridge_mm"].as_f64().unwrap());
    }
    let widest = 300.0;
    let feasible: Vec<[f64; 2]> = nominal.iter().map(|n| [n - 2.0, widest]).collect();
    serde_json::from_value(json!({
        "schema": 1, "program": "tautspan",
        "section": {"name": name, "kind": "channel", "mouth_mm": 80.0, "depth_mm": 25.0, "points": [[-60.0, 0.0], [0.0, 0.0], [40.0, -25.0], [80.0, 0.0], [140.0, 0.0]]},
        "film": {"name": "wrap-cast", "limit_pct": limit, "recess_limit_pct": null, "provenance": "invented for the demo"},
        "plain_rule": {"extra_mm": extra, "least_bridge_mm": 100.0 * extra / limit},
        "nominal_bridge_mm": nominal, "recommended_bridge_mm": nominal, "feasible": feasible, "rows": rows,
        "invented": ["limit of wrap-cast"], "warnings": [], "assumptions": [],
    }))
    .unwrap()
}

fn row(bridge: f64, order: &str, peak: Option<f64>) -> Value {
    json!({"bridge_mm": bridge, "order": order, "peak_pct": peak, "recess_peak_pct": peak})
}

/// Sweeps by name: the channel, one that no width satisfies, one far above its limit, a
/// single width.
pub(super) fn all_sweeps() -> Vec<(&'static str, Sweep)> {
    let widths: Vec<f64> = (0..45).map(|k| 80.0 + 5.0 * f64::from(k)).collect();
    let deepest = |b: f64| 26.6 * (100.0 / b).powf(1.06);
    let mut rows: Vec<Value> = Vec::new();
    for &b in &widths {
        rows.push(row(b, "deepest-first", Some(deepest(b))));
        rows.push(row(b, "edge-first", Some(51.7)));
    }
    let mut with_push = rows.clone();
    with_push.push(row(80.0, "middle-push", Some(34.1)));
    let endless = widths.iter().flat_map(|&b| {
        [
            row(b, "deepest-first", Some(1.5 * deepest(b))),
            row(b, "edge-first", None),
        ]
    });
    let near = |part: f64| {
        let line = |&b: &f64| row(b, "deepest-first", Some(2600.0 / b * part));
        widths.iter().map(line).collect::<Vec<_>>()
    };
    let far = widths.iter().flat_map(|&b| {
        [
            row(b, "deepest-first", Some(3.0 * deepest(b))),
            row(b, "edge-first", Some(400.0)),
        ]
    });
    vec![
        (
            "channel",
            sweep("demo channel", 20.0, 24.0, Some(135.0), with_push),
        ),
        ("two", sweep("demo channel", 20.0, 24.0, Some(135.0), rows)),
        (
            "none",
            sweep("deep rail", 10.0, 24.0, None, endless.collect()),
        ),
        ("far", sweep("deep rail", 10.0, 28.0, None, far.collect())),
        // The plain rule nearly as the line itself, and exactly.
        (
            "close",
            sweep("deep rail", 20.0, 26.0, Some(135.0), near(0.995)),
        ),
        (
            "same",
            sweep("deep rail", 20.0, 26.0, Some(135.0), near(1.0)),
        ),
        (
            "single",
            sweep(
                "one width",
                20.0,
                24.0,
                None,
                vec![row(150.0, "deepest-first", Some(17.1))],
            ),
        ),
    ]
}

/// A scan of a channel or step: corners, mm, walked at a spacing; noise in x and y; slips
/// evenly along it; turned about the origin.
#[derive(Clone)]
pub(super) struct Scan {
    pub(super) corners: &'static [[f64; 2]],
    pub(super) spacing: f64,
    pub(super) noise: f64,
    pub(super) slips: usize,
    pub(super) tilt: f64,
}

impl Scan {
    /// 80 mm wide, 25 mm deep, each reading off by 0.1 mm, 5 slips of 8 mm, 3 degrees off level.
    pub(super) fn channel() -> Self {
        Self {
            corners: &[
                [-140.0, 0.0],
                [-40.0, 0.0],
                [-20.0, -25.0],
                [20.0, -25.0],
                [40.0, 0.0],
                [140.0, 0.0],
            ],
            spacing: 0.3,
            noise: 0.1,
            slips: 5,
            tilt: 3.0,
        }
    }

    /// The scan as a file, three decimals.
    pub(super) fn csv(&self) -> String {
        let mut points = vec![self.corners[0]];
        for w in self.corners.windows(2) {
            let length = (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]);
            let mut s = self.spacing;
            while s < length {
                let t = s / length;
                points.push([0, 1].map(|k| w[0][k] + t * (w[1][k] - w[0][k])));
                s += self.spacing;
            }
            points.push(w[1]);
        }
        let mut text = "x_mm,y_mm\n".to_owned();
        let (sin, cos) = self.tilt.to_radians().sin_cos();
        let every = points.len() / (self.slips + 1);
        let mut state = 7_u64;
        for (i, [x, y]) in points.iter().enumerate() {
            let slip = self.slips > 0 && i % every == every / 2 && i / every < self.slips;
            let off = match (slip, i / every % 2) {
                (false, _) => 0.0,
                (true, 0) => 8.0,
                (true, _) => -8.0,
            };
            let x = x + self.noise * normal(&mut state);
            let y = y + self.noise * normal(&mut state) + off;
            text.push_str(&format!(
                "{:.3},{:.3}\n",
                cos * x - sin * y,
                sin * x + cos * y
            ));
        }
        text
    }
}

/// A standard normal number: twelve uniform ones less six.
fn normal(state: &mut u64) -> f64 {
    let uniform = |_| {
        *state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(*state >> 32).unwrap()) / 4_294_967_296.0
    };
    (0..12).map(uniform).sum::<f64>() - 6.0
}
