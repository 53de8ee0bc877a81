// Photos of known sections traced as the page traces them, and the widths against the true ones.

const { ask, page: { trace } } = tautspan;

/** Distance of a place from a chain. */
const offChain = (p, chain) => Math.min(...chain.slice(1).map((b, i) => {
  const a = chain[i], d = [b[0] - a[0], b[1] - a[1]], l = d[0] * d[0] + d[1] * d[1] || 1;
  const t = Math.min(Math.max(((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / l, 0), 1);
  return Math.hypot(p[0] - a[0] - t * d[0], p[1] - a[1] - t * d[1]);
}));
const rmsOf = (list) => Math.sqrt(list.reduce((sum, v) => sum + v * v, 0) / list.length);

/** A photo traced by taps on the sheet's corners and along the edge, 1 to 2 px off. */
async function tracedOf(photo, section, snap) {
  const { random } = photo, { tool, planeOfSheet, differs } = trace;
  await tool.take(new ImageData(photo.rgba, photo.width, photo.height));
  document.getElementById("trace-snap").checked = snap;
  document.getElementById("trace-sheet").value = photo.sheet;
  // A screen on which the picture has its size.
  tool.view = { zoom: 1, x: 0, y: 0 };
  for (const p of photo.corners) tool.add(tapNear(p, random));
  tool.go(2);
  tool.points = tapsOf(section).map((i) => tool.pointAt(tapNear(photo.at[i], random)));
  tool.go(3);
  const { path: places, kept, error, lost } = tool.result;
  // What it is off by, in truth: beside the edge, and across the plane.
  const truly = planeOfSheet(photo.corners, photo.sheet), at = kept.map((p) => truly(p.at));
  const off = Math.hypot(rmsOf(at.map((p) => offChain(p, photo.onSheet))), differs(at, kept.map((p) => tool.scale.plane(p.at))));
  return { places, error, lost, off, corners: tool.scale.found.filter(Boolean).length, tolerance: tool.tolerance() };
}

const textOf = (places) => places.map((p) => p.map((v) => String(Math.round(v * 100) / 100 || 0)).join(",")).join("\n");

/** The bridge of a section given as text, nominal and assured, or why there is none. */
async function widthOf(text, tolerance, film) {
  try {
    const answer = await ask({ ask: "recommend", section: { text }, units: "mm", film, tool: "fingertip", gauge_tolerance_mm: tolerance, round_ends: false });
    if (!answer.recommended) return { none: true, why: "no width is recommended" };
    return { assured: answer.recommended.bridge_mm, nominal: answer.nominal_bridge_mm, exact: answer.unrounded_bridge_mm };
  } catch (error) { return { none: true, why: error.message }; }
}

/** A section that some width does for, of shape `n`, with flats of 45 mm, as far as the card goes. */
async function sectionFor(n, film) {
  for (let again = 0; again < 20; again += 1) {
    const shape = shapeOf(n, randomOf(1000 * n + again)), seen = await ask({ ask: "section", section: { shape } });
    const lips = seen.landmarks.map((m) => m.x_mm), [from, to] = [Math.min(...lips) - 45, Math.max(...lips) + 45];
    const all = seen.points, section = [[from, all[0][1]], ...all.filter((p) => p[0] > from && p[0] < to), [to, all[all.length - 1][1]]];
    const truth = await widthOf(textOf(section), 0.5, film);
    if (!truth.none) return { shape, section, truth, seed: 1000 * n + again };
  }
  throw new Error(`no section for ${n}`);
}

/** One photo: the true widths and those traced, by taps alone where `snap` is false. The true section
    is read with the gauge tolerance that the photo is. */
async function trialOf(n, snap, given = {}) {
  const film = "wrap-cast", { shape, section, truth, seed } = await sectionFor(n, film);
  const { places, ...traced } = await tracedOf(photoOf(section, seed, given), section, snap), tolerance = traced.tolerance || 0.5;
  const found = await widthOf(textOf(places), tolerance, film), known = tolerance > 0.5 ? await widthOf(textOf(section), tolerance, film) : truth;
  return { n, shape, truth: known, found, points: places.length, ...traced };
}
