// The film on the panel: both orders on one scale, equal ticks on the film.

// Cividis, every eighth of its 32 rows and the last; the scale of src/figure/cividis.rs.
const CIVIDIS = [[0, 32, 77], [0, 38, 90], [0, 44, 105], [0, 48, 111], [6, 54, 110], [31, 60, 109], [45, 66, 108], [56, 72, 107], [65, 77, 107], [74, 83, 107], [82, 89, 108], [89, 95, 109], [97, 100, 111], [104, 106, 113], [111, 112, 115], [118, 118, 118], [125, 124, 120], [132, 129, 121], [139, 135, 121], [147, 142, 120], [155, 148, 119], [163, 154, 118], [172, 161, 116], [180, 168, 114], [188, 175, 111], [197, 181, 108], [206, 188, 104], [215, 196, 99], [224, 203, 94], [233, 211, 88], [242, 218, 80], [251, 226, 72], [255, 234, 70]];
const STEPS = 20;
const HUES = Array.from({ length: STEPS }, (_, i) => {
  const t = (i / (STEPS - 1)) * 32;
  const k = Math.min(31, Math.floor(t));
  return `rgb(${CIVIDIS[k].map((a, j) => Math.round(a + (CIVIDIS[k + 1][j] - a) * (t - k))).join(",")})`;
});
/** Ticks of flat film, mm, fine to coarse. */
const tickSteps = () => (SHOWN.inch ? [0.25, 0.5, 1, 2, 4, 10, 20, 40].map((v) => v * INCH) : [5, 10, 20, 50, 100, 200, 500, 1000]);

/** Size of the type, px; within `enlarged` it is asked for once, for asking makes the browser lay out anew. */
let knownEm = null;
const em = () => knownEm || parseFloat(getComputedStyle(document.documentElement).fontSize);
const fix = (v) => Math.round(v * 10) / 10;
const escape = (text) => String(text).replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;").replace(/"/g, "&quot;");
const clamp = (v, a, b) => Math.min(Math.max(v, a), b);

/** Size of a host, read once a layout. */
const sizes = new WeakMap();
const watcher = new ResizeObserver((entries) => {
  // A size of nothing is that of a page folded away or being printed.
  for (const entry of entries) if (entry.contentRect.width >= 1) sizes.set(entry.target, { w: entry.contentRect.width, h: entry.contentRect.height });
  document.dispatchEvent(new Event("resized"));
});
function sizeOf(host) {
  if (!sizes.has(host)) {
    sizes.set(host, { w: host.clientWidth, h: host.clientHeight });
    watcher.observe(host);
  }
  const { w, h } = sizes.get(host);
  return { w: w / zoom, h: h / zoom };
}

/** What is drawn in `work` is larger by this factor, type, lines and hatch alike. */
let zoom = 1;
function enlarged(factor, work) {
  knownEm = em();
  zoom = factor;
  try { work(); } finally { zoom = 1; knownEm = null; }
}

/** Number of a host, for names within its drawing: one that is hidden lends no hatch to others. */
const numbers = new WeakMap();
let hosts = 0;
const numberOf = (host) => { if (!numbers.has(host)) numbers.set(host, (hosts += 1)); return numbers.get(host); };

/** Puts a drawing into its host; `label` says it in words. */
function draw(host, label, content) {
  const { w, h } = sizeOf(host);
  // Nothing to draw on yet, or folded away.
  if (w < 1 || h < 1) return;
  host.innerHTML = `<svg viewBox="0 0 ${w} ${h}" role="img" aria-label="${escape(label)}">${content.replace(/(id="|url\(#)over\b/g, `$1over-${numberOf(host)}`)}</svg>`;
}
const text = (x, y, words, anchor = "start", kind = "") => `<text x="${fix(x)}" y="${fix(y)}" text-anchor="${anchor}" class="${kind}">${escape(words)}</text>`;
const line = (points) => points.map((p, i) => `${i ? "L" : "M"}${fix(p[0])} ${fix(p[1])}`).join("");
/** Rough width of a text, px; only to keep labels inside and apart. */
const wide = (words) => words.length * em() * 0.58;
const inside = (x, words, w) => clamp(x, wide(words) / 2 + 2, Math.max(w - wide(words) / 2 - 2, wide(words) / 2 + 2));

/** The window on the section: true to scale, the same for both orders and all widths of the
    slider, with `above` ems over the panel for words. */
function viewOf(orders, most, host, above = 2.4) {
  const { w, h } = sizeOf(host);
  const check = orders.checks[0];
  const left = check.lip_left, right = check.lip_right;
  const room = Math.max(most, orders.bridge_mm) - orders.least_bridge_mm + 24;
  const step = check.section.kind === "step";
  const lowerRight = step && left.y_mm > right.y_mm;
  const toLeft = Math.max(step ? (lowerRight ? 40 : room) : room / 2, check.reach_left_mm + 12);
  const toRight = Math.max(step ? (lowerRight ? room : 40) : room / 2, check.reach_right_mm + 12);
  const x0 = left.x_mm - toLeft, x1 = right.x_mm + toRight;
  let top = -Infinity, low = Infinity;
  for (const [x, y] of orders.bed) if (x >= x0 && x <= x1) { top = Math.max(top, y); low = Math.min(low, y); }
  top = Math.max(top, left.y_mm, right.y_mm);
  const head = above * em(), foot = 2.0 * em(), tall = Math.max(h - head - foot, em());
  const scale = Math.min(w / (x1 - x0), tall / Math.max(top - low, 1));
  const mid = (x0 + x1) / 2;
  const ground = head + (tall - (top - low) * scale) / 2;
  return { w, h, scale, x: (x) => w / 2 + (x - mid) * scale, y: (y) => ground + (top - y) * scale, back: (px) => mid + (px - w / 2) / scale };
}

/** The panel: the bare survey, prolonged as the engine prolongs it. */
function panelPath(orders, view) {
  const survey = orders.checks[0].section.points;
  const from = survey[0][0], to = survey[survey.length - 1][0];
  const all = [...orders.bed.filter((p) => p[0] < from), ...survey, ...orders.bed.filter((p) => p[0] > to)];
  const path = all.map((p) => [clamp(view.x(p[0]), -9999, 9999), view.y(p[1])]);
  return `${line(path)}L${fix(path[path.length - 1][0])} ${view.h}L${fix(path[0][0])} ${view.h}Z`;
}

/** Profile points in px with the outward normal, both sides of a jump kept. */
function ribbonPoints(profile, view) {
  const at = profile.map((r) => [view.x(r.x_mm), view.y(r.y_mm)]);
  return at.map((p, i) => {
    let a = p, b = p;
    for (let j = i - 1; j >= 0 && a === p; j -= 1) if (Math.hypot(at[j][0] - p[0], at[j][1] - p[1]) > 1e-6) a = at[j];
    for (let j = i + 1; j < at.length && b === p; j += 1) if (Math.hypot(at[j][0] - p[0], at[j][1] - p[1]) > 1e-6) b = at[j];
    const unit = (u, v) => { const l = Math.hypot(v[0] - u[0], v[1] - u[1]) || 1; return [(v[0] - u[0]) / l, (v[1] - u[1]) / l]; };
    const into = a === p ? unit(p, b) : unit(a, p), out = b === p ? into : unit(p, b);
    let n = [into[1] + out[1], -into[0] - out[0]];
    const l = Math.hypot(n[0], n[1]) || 1;
    // A mitre keeps the drawn width; at a sharp corner it is cut short.
    const stretch = Math.min(1.6, 2 / l);
    n = [(n[0] / l) * stretch, (n[1] / l) * stretch];
    return { s: profile[i].s_mm, film: profile[i].film_mm, e: profile[i].elongation_pct, p, n };
  });
}

/** Is a place down at the moment shown? */
const isDown = (down, s) => !down || down.some(([a, b]) => s >= a - 1e-9 && s <= b + 1e-9);

/** The ribbon of laid film in flat colours, hatched where over the limit, with its ticks. */
function ribbon(points, limit, width, down) {
  const fills = Array.from({ length: STEPS + 1 }, () => "");
  let ticks = "";
  const corner = (q, k) => `${fix(q.p[0] + q.n[0] * k)} ${fix(q.p[1] + q.n[1] * k)}`;
  for (let i = 1; i < points.length; i += 1) {
    const a = points[i - 1], b = points[i];
    if (b.s - a.s < 1e-9 || !isDown(down, 0.5 * (a.s + b.s))) continue;
    const e = 0.5 * (a.e + b.e);
    const bin = e > limit * (1 + 1e-9) ? STEPS : clamp(Math.floor((e / limit) * STEPS), 0, STEPS - 1);
    fills[bin] += `M${corner(a, 0)}L${corner(b, 0)}L${corner(b, width)}L${corner(a, width)}Z`;
    const [tick] = tickSteps();
    for (let k = Math.ceil(a.film / tick); k * tick < b.film; k += 1) {
      const t = (k * tick - a.film) / (b.film - a.film);
      const mix = (u, v) => u + (v - u) * t;
      const p = [mix(a.p[0], b.p[0]), mix(a.p[1], b.p[1])], n = [mix(a.n[0], b.n[0]), mix(a.n[1], b.n[1])];
      ticks += `M${fix(p[0] + n[0] * width * 0.35)} ${fix(p[1] + n[1] * width * 0.35)}L${fix(p[0] + n[0] * (width + 5))} ${fix(p[1] + n[1] * (width + 5))}`;
    }
  }
  // An outline, so that its dark end shows on a dark ground and its light end on a light one.
  let edge = "", pen = false;
  for (let i = 0; i < points.length; i += 1) {
    if (!isDown(down, points[i].s)) { pen = false; continue; }
    edge += `${pen ? "L" : "M"}${corner(points[i], width)}`;
    pen = true;
  }
  const over = fills[STEPS];
  const paths = fills.slice(0, STEPS).map((d, i) => (d ? `<path d="${d}" fill="${HUES[i]}" stroke="${HUES[i]}" stroke-width="0.6"/>` : "")).join("");
  return `${paths}${over ? `<path d="${over}" fill="${HUES[STEPS - 1]}" stroke="${HUES[STEPS - 1]}" stroke-width="0.6"/><path d="${over}" fill="url(#over)"/>` : ""}<path d="${edge}" stroke="var(--line)" stroke-width="1" fill="none"/><path d="${ticks}" stroke="var(--ink)" stroke-width="1.3" fill="none"/>`;
}
const HATCH = `<defs><pattern id="over" width="5" height="5" patternUnits="userSpaceOnUse"><path d="M0 0L5 5M5 0L0 5" stroke="#000" stroke-width="1.1"/></pattern></defs>`;

/** The colour of an elongation on the class's scale. */
const hueOf = (elongation, limit) => HUES[clamp(Math.floor((elongation / limit) * STEPS), 0, STEPS - 1)];

/** A path cut where it passes an x, left part and right part. */
function cutAt(path, x) {
  const i = path.findIndex((p) => p[0] > x);
  if (i < 0) return [path, []];
  if (i === 0) return [[], path];
  const [a, b] = [path[i - 1], path[i]], t = (x - a[0]) / (b[0] - a[0]);
  const at = [x, a[1] + (b[1] - a[1]) * t];
  return [[...path.slice(0, i), at], [at, ...path.slice(i)]];
}

/** Is free film stretched alike all along? Zones of warmth, and friction and drag, forbid it. */
const isEven = (check) => check.warm.startsWith("whole") && !check.lip_friction && !check.drag_kpa;

/** A free span in colour. Its elongation is that at the front: where it is another beyond the
    lips, stretched film out there is left without. */
function freeFilm(span, check, view, width) {
  const limit = check.film.limit_pct;
  if (isEven(check) || span.elongation_pct < 1e-9) return tinted(span.path, view, width, span.elongation_pct, limit);
  const [left, rest] = cutAt(span.path, check.lip_left.x_mm), [mid, right] = cutAt(rest, check.lip_right.x_mm);
  return [left, right, mid].map((path) => (path.length > 1 ? tinted(path, view, width, path === mid ? span.elongation_pct : null, limit) : "")).join("");
}

/** Free film as wide as laid film, coloured as it stretches (if it is known), hatched where over the limit. */
function tinted(path, view, width, elongation, limit) {
  const points = ribbonPoints(path.map(([x_mm, y_mm]) => ({ x_mm, y_mm })), view);
  const d = line(points.map(({ p, n }) => [p[0] + n[0] * width * 0.5, p[1] + n[1] * width * 0.5]));
  const stroke = (colour, w, name = "") => `<path d="${d}" stroke="${colour}" stroke-width="${fix(w)}" stroke-linejoin="round" fill="none" ${name}/>`;
  const hatch = elongation > limit * (1 + 1e-9) ? stroke("url(#over)", width) : "";
  if (elongation === null) return stroke("var(--ink)", width + 3) + stroke("var(--sheet)", width);
  return stroke("var(--ink)", width + 3) + stroke(hueOf(elongation, limit), width, 'class="free"') + hatch;
}

/** The bridge before, as an outline over the picture, with lines down to where it was bonded. */
function ghost(before, view) {
  const e = em(), top = 0.3 * e, low = 1.9 * e;
  const [a, b] = [before.bond_left, before.bond_right].map((p) => [view.x(p.x_mm), view.y(p.y_mm)]);
  const words = `before: ${mm(before.bridge_mm)}`;
  const d = `M${fix(a[0])} ${fix(a[1])}V${fix(top)}H${fix(b[0])}V${fix(b[1])}M${fix(a[0])} ${fix(low)}H${fix(b[0])}`;
  return `<g class="ghost"><path d="${d}" stroke="var(--soft)" stroke-width="2.5" stroke-dasharray="7 6" fill="none"/>${text(inside((a[0] + b[0]) / 2, words, view.w), 1.45 * e, words, "middle", "halo")}</g>`;
}

/** One order. `frame` is a moment of its laying, or nothing when all is down. `look`: `bare`
    leaves the words at its top out; `film` is how many times as thick film is drawn; `hidden` says nothing of the peak; `tint` colours free
    film as it stretches; `before` is the check of the width before, shown as an outline;
    `more` adds marks of its own; `place` is where values are read, along the panel. */
function drawOrder(host, orders, check, frame, view, look = {}) {
  const width = Math.max(7, 0.55 * em()) * (look.film || 1);
  const limit = check.film.limit_pct;
  const down = frame ? frame.down : null;
  const up = (p, k = width) => [p[0], p[1] - k];
  let out = `${HATCH}<path d="${panelPath(orders, view)}" fill="var(--panel)"/>`;
  // Film bonded beyond the bridge.
  const bonded = (side, from) => {
    const ends = orders.bed.filter((p) => (side < 0 ? p[0] < from.x_mm : p[0] > from.x_mm));
    const path = (side < 0 ? [...ends, [from.x_mm, from.y_mm]] : [[from.x_mm, from.y_mm], ...ends]).map((p) => up([clamp(view.x(p[0]), -99, view.w + 99), view.y(p[1])], width / 2));
    return path.length > 1 ? `<path d="${line(path)}" stroke="var(--bonded)" stroke-width="${width}" fill="none"/>` : "";
  };
  out += bonded(-1, check.bond_left) + bonded(1, check.bond_right);
  if (check.profile) out += ribbon(ribbonPoints(check.profile, view), limit, width, down);
  if (frame) {
    for (const span of frame.free) {
      if (look.tint) { out += freeFilm(span, check, view, width); continue; }
      const path = span.path.map((p) => up([view.x(p[0]), view.y(p[1])], width));
      out += `<path d="${line(path)}" stroke="var(--ink)" stroke-width="2.5" fill="none"/>`;
    }
  }
  out += marks(check, view, width);
  if (isNumber(look.place) && check.profile) {
    const at = sampleAt(check.profile, clamp(look.place, check.bond_left.s_mm, check.bond_right.s_mm));
    const [x, y] = [view.x(at.x_mm), view.y(at.y_mm)];
    out += `<circle class="place" cx="${fix(x)}" cy="${fix(y)}" r="9" fill="none" stroke="var(--act)" stroke-width="3"/>`;
  }
  if (look.before) out += ghost(look.before, view);
  if (look.more) out += look.more(view);
  if (look.bare) out += frame || !check.peak_at ? "" : peakRing(check, view, width);
  else if (!frame) out += peakMark(check, view, width);
  else if (frame.free.length > 0) {
    const words = `free film ${percent(Math.max(...frame.free.map((f) => f.elongation_pct)))}`;
    out += text(view.w / 2, 1.2 * em(), words, "middle", "strong");
  }
  draw(host, `${capital(orderWords(check.order.name))}, bridge ${mm(check.bridge_mm)}: ${look.hidden ? "the peak is not shown yet" : peakWords(check)}.`, out);
}

/** Where the peak is, for a picture whose number stands beside it. */
function peakRing(check, view, width) {
  const x = fix(view.x(check.peak_at.x_mm)), y = fix(view.y(check.peak_at.y_mm) - width / 2), r = fix(width / 2 + 6);
  return `<circle cx="${x}" cy="${y}" r="${r}" fill="none" stroke="var(--sheet)" stroke-width="6"/><circle cx="${x}" cy="${y}" r="${r}" fill="none" stroke="var(--ink)" stroke-width="3"/>`;
}

/** Bond lines with their distance from the lip, lips, press. */
function marks(check, view, width) {
  let out = "";
  const post = (place) => {
    const x = view.x(place.x_mm), y = view.y(place.y_mm);
    return `<path d="M${fix(x)} ${fix(y + 10)}V${fix(y - width - 12)}" stroke="var(--ink)" stroke-width="3"/>`;
  };
  out += post(check.bond_left) + post(check.bond_right);
  const base = view.h - 0.45 * em();
  const reach = (value, lip, bond) => {
    const words = mm(value);
    const y = Math.max(view.y(lip.y_mm), view.y(bond.y_mm)) + 1.45 * em();
    const x = value < 0.05 ? view.x(lip.x_mm) : (view.x(lip.x_mm) + view.x(bond.x_mm)) / 2;
    const outward = bond.x_mm <= check.press.x_mm ? -1 : 1;
    const room = Math.abs(view.x(lip.x_mm) - view.x(bond.x_mm));
    const at = room > wide(words) ? x : view.x(lip.x_mm) + outward * (wide(words) / 2 + 6);
    return { words, x: inside(at, words, view.w), y: Math.min(y, base) };
  };
  const a = reach(check.reach_left_mm, check.lip_left, check.bond_left), b = reach(check.reach_right_mm, check.lip_right, check.bond_right);
  // Where one would lie over the other, it stands a line away.
  if (b.x - a.x < (wide(a.words) + wide(b.words)) / 2 && Math.abs(b.y - a.y) < 1.2 * em()) b.y = a.y + (a.y + 1.2 * em() > base ? -1.2 : 1.2) * em();
  for (const { words, x, y } of [a, b]) out += text(x, y, words, "middle");
  const p = [view.x(check.press.x_mm), view.y(check.press.y_mm)];
  for (const lip of [check.lip_left, check.lip_right]) {
    const x = view.x(lip.x_mm), y = view.y(lip.y_mm);
    // At the foot of a step the press stands in its place.
    if (Math.hypot(x - p[0], y - p[1]) < 14) continue;
    out += `<path d="M${fix(x)} ${fix(y + 2)}l-5 9h10Z" fill="var(--ink)"/>`;
  }
  out += `<path d="M${fix(p[0])} ${fix(p[1] + 3)}l-6 6l6 6l6 -6Z" fill="none" stroke="var(--ink)" stroke-width="2"/>`;
  return out;
}

/** The peak, labelled. */
function peakMark(check, view, width) {
  if (!check.peak_at) return text(view.w / 2, 1.2 * em(), "no finite peak: a pointed press in a sharp corner", "middle", "strong");
  const x = view.x(check.peak_at.x_mm), y = view.y(check.peak_at.y_mm) - width - 7;
  const over = check.within_limit ? "" : ", over";
  // Where the place has no room, the verdict has it.
  const words = [` ${zoneWords(check.peak_at.zone)}`, ""].map((zone) => `peak ${percent(check.peak_pct)}${zone}${over}`).find((w) => wide(w) < view.w) || percent(check.peak_pct);
  const at = inside(x, words, view.w);
  return `<path d="M${fix(x)} ${fix(y)}V${fix(1.55 * em())}" stroke="var(--ink)" stroke-width="1.2"/><circle cx="${fix(x)}" cy="${fix(y)}" r="3.2" fill="var(--ink)"/>${text(at, 1.25 * em(), words, "middle", "strong")}`;
}

/** The colour scale from 0 to the limit, and what the ticks mean. */
function drawScale(host, film) {
  // Watched, so that it is drawn once it is unfolded.
  sizeOf(host);
  const box = host.getBoundingClientRect(), e = em();
  const [w, tall] = [box.width, box.height].map((side) => Math.floor(side) / zoom);
  if (w < 12 * e) { host.replaceChildren(); return; }
  const bar = Math.min(w - 8 * e, 26 * e), h = 0.9 * e;
  let out = HATCH.replace(/over"/g, 'over-scale"');
  for (let i = 0; i < STEPS; i += 1) out += `<rect x="${fix((i * bar) / STEPS)}" y="2" width="${fix(bar / STEPS + 0.5)}" height="${h}" fill="${HUES[i]}"/>`;
  out += `<rect x="${bar + 6}" y="2" width="${2.4 * e}" height="${h}" fill="${HUES[STEPS - 1]}"/><rect x="${bar + 6}" y="2" width="${2.4 * e}" height="${h}" fill="url(#over-scale)"/>`;
  const y = h + 1.15 * e;
  out += text(0, y, `0${THIN}%`) + text(bar, y, `${plain(film.limit_pct)}${THIN}% limit`, "end") + text(bar + 6, y, "over");
  out += text(0, y + 1.3 * e, `Ticks: every ${mm(tickSteps()[0])} of flat film`, "start", "soft");
  host.innerHTML = `<svg viewBox="0 0 ${w} ${tall}" role="img" aria-label="colour scale">${out}</svg>`;
}
