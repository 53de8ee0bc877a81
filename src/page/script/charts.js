// Peak against width, elongation along the panel, where the film came from.

/** Round steps for an axis, some `count` of them. */
function stepsOf(from, to, count) {
  const raw = (to - from) / Math.max(count, 1);
  const base = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((k) => k * base).find((s) => s >= raw) || 10 * base;
  const all = [];
  for (let v = Math.ceil(from / step - 1e-9) * step; v <= to + 1e-9; v += step) all.push(v);
  return all;
}

/** Axes of a chart: where values go, and the drawing of both axes. */
function axesOf(host, x0, x1, top, unit, head = 1.6) {
  const { w, h } = sizeOf(host);
  const e = em();
  const box = { l: 3.4 * e, r: w - 0.8 * e, t: head * e, b: h - 3.0 * e };
  const x = (v) => box.l + ((v - x0) / (x1 - x0)) * (box.r - box.l);
  const y = (v) => box.b - (Math.min(v, top) / top) * (box.b - box.t);
  const per = SHOWN.inch ? INCH : 1;
  let out = "";
  for (const v of stepsOf(0, top, (box.b - box.t) / (3 * e))) out += `<path d="M${fix(box.l)} ${fix(y(v))}H${fix(box.r)}" stroke="var(--grid)"/>${text(box.l - 6, y(v) + 0.35 * e, plain(v), "end", "soft")}`;
  out += text(0, 1.0 * e, "%", "start", "soft");
  for (const shown of stepsOf(x0 / per, x1 / per, (box.r - box.l) / (4.5 * e))) {
    const v = shown * per;
    out += `<path d="M${fix(x(v))} ${fix(box.b)}v5" stroke="var(--line)"/>${text(clamp(x(v), box.l, box.r - e), box.b + 1.3 * e, plain(shown, 2), "middle", "soft")}`;
  }
  out += text(box.r, h - 0.35 * e, unit, "end", "soft");
  return { w, h, e, box, x, y, back: (px) => x0 + ((px - box.l) / (box.r - box.l)) * (x1 - x0), out };
}

/** A line through values, cut off at the top of the chart. */
function curvePath(rows, x, y, top) {
  let out = "", pen = false;
  for (const [a, b] of rows) {
    if (b === null || b > top * 1.0001) {
      if (pen && b !== null) out += `L${fix(x(a))} ${fix(y(top))}`;
      pen = false;
      continue;
    }
    out += `${pen ? "L" : "M"}${fix(x(a))} ${fix(y(b))}`;
    pen = true;
  }
  return out;
}
// Lines are told apart by dash as well as colour; the names stand above the chart.
const DEEPEST = 'class="deepest"';
const EDGE = 'class="edge"';
const RULE = 'class="rule"';

/** Limit line with its value. */
const limitLine = (ax, limit) => `<path d="M${fix(ax.box.l)} ${fix(ax.y(limit))}H${fix(ax.box.r)}" stroke="var(--ink)" stroke-width="1.6"/>${text(ax.box.r, ax.y(limit) - 5, `limit ${plain(limit)}${THIN}%`, "end", "strong halo")}`;

/** The name of the flat line of edges first: on it, or at the top where it is off the scale. */
function edgeLabel(ax, flat, top, atLeft) {
  const words = `edges first ${percent(Number.isFinite(flat) ? flat : null)}`;
  const x = atLeft ? ax.box.l + 10 : ax.box.r, anchor = atLeft ? "start" : "end";
  if (flat < top) return text(x, ax.y(flat) - 5, words, anchor, "halo");
  const y = ax.box.t + 4;
  return `<path d="M${fix(ax.box.l)} ${fix(y)}H${fix(ax.box.r)}" ${EDGE}/><path d="M${fix(ax.box.l - 6)} ${fix(y + 12)}l12 -5M${fix(ax.box.l - 6)} ${fix(y + 17)}l12 -5" stroke="var(--ink)" stroke-width="1.6"/>${text(x, y + 1.1 * ax.e, `${words}, off the scale`, anchor, "halo")}`;
}

function drawCurve(host, sweep, most, present, recommended) {
  const limit = sweep.film.limit_pct;
  const rows = sweep.rows.filter((r) => r.bridge_mm <= most * 1.02);
  const of = (order) => rows.filter((r) => r.order === order);
  const deepest = of("deepest-first"), edge = of("edge-first");
  const near = edge.reduce((a, b) => (Math.abs(b.bridge_mm - present) < Math.abs(a.bridge_mm - present) ? b : a), edge[0]);
  const flat = near && near.peak_pct !== null ? near.peak_pct : Infinity;
  const seen = Math.max(...deepest.map((r) => r.peak_pct || 0), 1.5 * limit, flat < 3 * limit ? flat : 0);
  // Tall orders are cut off at four limits, but never all of the main line.
  const top = Math.min(seen * 1.1, Math.max(4 * limit, 1.4 * Math.min(...deepest.map((r) => r.peak_pct || Infinity))));
  const x0 = rows[0].bridge_mm, x1 = Math.max(rows[rows.length - 1].bridge_mm, x0 + 1);
  const ax = axesOf(host, x0, x1, top, `bridge width, ${unitWord()}`, 2.7);
  let out = "";
  for (const [a, b] of sweep.feasible) if (a < x1 && b > x0) out += `<rect x="${fix(ax.x(Math.max(a, x0)))}" y="${fix(ax.box.t)}" width="${fix(ax.x(Math.min(b, x1)) - ax.x(Math.max(a, x0)))}" height="${fix(ax.box.b - ax.box.t)}" fill="var(--band)"/>`;
  out += ax.out + limitLine(ax, limit);
  out += `<path d="${curvePath(deepest.map((r) => [r.bridge_mm, r.mean_pct]), ax.x, ax.y, top)}" ${RULE}/>`;
  out += `<path d="${curvePath(edge.map((r) => [r.bridge_mm, r.peak_pct]), ax.x, ax.y, top)}" ${EDGE}/>`;
  if (edge.length > 0) out += edgeLabel(ax, flat, top, 2 * present > x0 + x1);
  out += `<path d="${curvePath(deepest.map((r) => [r.bridge_mm, r.peak_pct]), ax.x, ax.y, top)}" ${DEEPEST}/>`;
  const label = (x, y, words) => (x - wide(words) / 2 < ax.box.l ? text(x + (y > ax.box.t ? 6 : 0), y, words, "start", "strong halo") : text(inside(x, words, ax.w), y, words, "middle", "strong halo"));
  const post = (v, words, dash, row) => `<path d="M${fix(ax.x(v))} ${fix(ax.box.b)}V${fix(ax.box.t + row * 1.3 * ax.e)}" stroke="var(--act)" stroke-width="2.5" ${dash}/>${label(ax.x(v), ax.box.t + row * 1.3 * ax.e - 4, words)}`;
  if (recommended !== null && recommended <= x1) out += post(recommended, `recommended ${mm(recommended)}`, "", 0);
  out += post(clamp(present, x0, x1), `now ${mm(present)}`, 'stroke-dasharray="4 4"', 1);
  draw(host, `Peak elongation against bridge width. ${recommended === null ? "No width is recommended." : `Recommended ${mm(recommended)}.`} Now ${mm(present)}.`, out);
  return ax;
}

/** Value of a profile at a place along the panel, s in mm. */
function sampleAt(profile, s) {
  let a = 0, b = profile.length - 1;
  while (b - a > 1) {
    const m = (a + b) >> 1;
    if (profile[m].s_mm <= s) a = m; else b = m;
  }
  const p = profile[a], q = profile[b];
  const t = q.s_mm > p.s_mm ? clamp((s - p.s_mm) / (q.s_mm - p.s_mm), 0, 1) : 0;
  const mix = (k) => p[k] + (q[k] - p[k]) * t;
  return { s_mm: s, x_mm: mix("x_mm"), y_mm: mix("y_mm"), film_mm: mix("film_mm"), elongation_pct: mix("elongation_pct"), thickness_um: mix("thickness_um") };
}

function drawAlong(host, checks, landmarks, place) {
  const first = checks[0];
  const limit = first.film.limit_pct;
  const s0 = first.bond_left.s_mm, s1 = first.bond_right.s_mm;
  const profiles = checks.map((c) => c.profile || []);
  const most = (rows) => rows.reduce((m, r) => Math.max(m, r.elongation_pct), 0);
  const seen = Math.max(1.3 * limit, 1.12 * most(profiles[0]));
  const top = Math.min(Math.max(seen, 1.05 * most(profiles[1])), Math.max(4 * limit, seen));
  const ax = axesOf(host, 0, s1 - s0, top, `from the left bond line, ${unitWord()}`);
  let out = ax.out;
  // Names of places: outwards from the lips, the press between them where there is room.
  const tick = (s, words, anchor) => {
    const x = ax.x(s - s0);
    const at = anchor === "middle" ? inside(x, words, ax.w) : x + (anchor === "end" ? 6 : -6);
    return `<path d="M${fix(x)} ${fix(ax.box.t + 0.3 * ax.e)}V${fix(ax.box.b)}" stroke="var(--line)" stroke-dasharray="1 5"/>${words ? text(at, ax.box.t, words, anchor, "soft") : ""}`;
  };
  const [lipL, lipR] = [first.lip_left.s_mm, first.lip_right.s_mm];
  const foot = first.section.kind === "step" ? (first.lip_left.y_mm > first.lip_right.y_mm ? ["lip", "foot"] : ["foot", "lip"]) : ["lip", "lip"];
  out += tick(lipL, foot[0], ax.x(lipL - s0) - wide(foot[0]) > ax.box.l ? "end" : "start") + tick(lipR, foot[1], ax.x(lipR - s0) + wide(foot[1]) < ax.w ? "start" : "end");
  out += tick(first.press.s_mm, Math.min(ax.x(lipR) - ax.x(first.press.s_mm), ax.x(first.press.s_mm) - ax.x(lipL)) > wide("press") ? "press" : "", "middle");
  out += limitLine(ax, limit);
  const rows = (p) => p.map((r) => [r.s_mm - s0, r.elongation_pct]);
  out += `<path d="${curvePath(rows(profiles[1]), ax.x, ax.y, top)}" ${EDGE}/><path d="${curvePath(rows(profiles[0]), ax.x, ax.y, top)}" ${DEEPEST}/>`;
  if (place !== null) out += `<path d="M${fix(ax.x(place - s0))} ${fix(ax.box.t)}V${fix(ax.box.b)}" stroke="var(--act)" stroke-width="2"/>`;
  draw(host, `Elongation along the panel. ${verdict(checks)}`, out);
  return { ...ax, s0, s1 };
}

function drawOrigin(host, check) {
  const { w, h } = sizeOf(host);
  const e = em();
  if (!check.profile) { draw(host, "No picture: no finite peak.", text(w / 2, h / 2, "no picture: no finite peak", "middle")); return; }
  const rows = check.profile;
  const s0 = rows[0].s_mm, arc = rows[rows.length - 1].s_mm - s0, film = rows[rows.length - 1].film_mm;
  const scale = (w - 0.4 * e) / Math.max(arc, film);
  const left = (length) => (w - length * scale) / 2;
  const px = (v) => left(arc) + (v - s0) * scale, fx = (v) => left(film) + v * scale;
  const bar = 1.5 * e, t1 = 1.6 * e, b1 = t1 + bar, b2 = h - 1.8 * e, t2 = b2 - bar;
  const band = (a, b, y0, y1, fill) => `<rect x="${fix(a)}" y="${fix(y0)}" width="${fix(Math.max(b - a, 0))}" height="${fix(y1 - y0)}" fill="${fill}"/>`;
  const lipL = clamp(check.lip_left.s_mm, s0, s0 + arc), lipR = clamp(check.lip_right.s_mm, s0, s0 + arc);
  const fl = sampleAt(rows, lipL).film_mm, fr = sampleAt(rows, lipR).film_mm;
  let out = `<path d="M${fix(fx(fl))} ${fix(b1)}L${fix(px(lipL))} ${fix(t2)}H${fix(px(lipR))}L${fix(fx(fr))} ${fix(b1)}Z" fill="var(--grid)"/>`;
  out += band(fx(0), fx(film), t1, b1, "var(--bonded)") + band(px(s0), px(s0 + arc), t2, b2, "var(--panel)") + band(px(lipL), px(lipR), t2, b2, "var(--bonded)");
  let lines = "", j = 0;
  const every = tickSteps().find((k) => k * scale > 5);
  for (let k = 0; k <= film + 1e-9; k += every) {
    while (j < rows.length - 2 && rows[j + 1].film_mm < k) j += 1;
    const a = rows[j], b = rows[j + 1];
    const t = b.film_mm > a.film_mm ? clamp((k - a.film_mm) / (b.film_mm - a.film_mm), 0, 1) : 0;
    lines += `M${fix(fx(k))} ${fix(t1)}V${fix(b1)}L${fix(px(a.s_mm + (b.s_mm - a.s_mm) * t))} ${fix(t2)}V${fix(b2)}`;
  }
  out += `<path d="${lines}" stroke="var(--ink)" stroke-width="1.2" fill="none"/>`;
  out += text(w / 2, 1.1 * e, `flat film, ${mm(film)}`, "middle") + text(w / 2, h - 0.5 * e, `panel unrolled, ${mm(arc)}`, "middle");
  draw(host, `${capital(orderWords(check.order.name))}: ${mm(film)} of flat film cover ${mm(arc)} of panel, of them ${mm(fr - fl)} cover the ${mm(lipR - lipL)} between the lips.`, out);
  return `The recess is the darker part of the panel. A line every ${mm(every)} of flat film. ${mm(fr - fl)} of film cover the ${mm(lipR - lipL)} between the lips, so artwork there is ${plain(((lipR - lipL) / (fr - fl) - 1) * 100)}${THIN}% longer and its ink ${plain((1 - (fr - fl) / (lipR - lipL)) * 100)}${THIN}% thinner, on average.`;
}
