// Photos of known sections traced as the page traces them, and the widths against the true ones.

const { trace, ask } = tautspan;

/** A photo traced by taps on the sheet's corners and along the edge. */
function tracedOf(photo, section, snap) {
  const { random } = photo, grey = new trace.GreyPicture(photo.width, photo.height, photo.rgba);
  const corners = trace.cornersInOrder(photo.corners.map((p) => tapNear(p, random)));
  const seen = snap ? trace.cornersFound(grey, corners, 8) : { corners, found: corners.map(() => false) };
  const build = (marks, more) => trace.planeOfSheet(marks, photo.sheet, "", more);
  const scale = { build, marks: seen.corners, offs: seen.found.map((f) => (f ? trace.DOUBT.corner : trace.DOUBT.tap)), sizes: [[trace.DOUBT.sheet, 0], [0, trace.DOUBT.sheet]] };
  const plane = build(seen.corners);
  const points = tapsOf(section).map((i) => ({ at: tapNear(photo.at[i], random), band: 6, off: trace.DOUBT.tap, free: false }));
  const middle = points[points.length >> 1].at, step = Math.max(3, 1 / trace.pixelAt(plane, middle));
  const { path } = trace.traceThrough(snap ? grey : null, points, step);
  const kept = trace.keptOf(path, step), error = trace.errorOf(scale, kept);
  const places = trace.laidLevel(trace.corneredOf(kept.map((p) => plane(p.at)), error.all), false, false);
  const inner = path.filter((p) => !p.tapped);
  return { places: trace.upright(places, error.all), error, found: inner.length ? inner.filter((p) => p.found).length / inner.length : 0, corners: seen.found.filter(Boolean).length, off: Math.max(...seen.corners.map((c) => Math.min(...photo.corners.map((p) => Math.hypot(p[0] - c[0], p[1] - c[1]))))) };
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

/** One photo: the true widths, and those traced with and without snapping. */
async function trialOf(n, given = {}) {
  const film = "wrap-cast";
  for (let again = 0; ; again += 1) {
    const seed = 1000 * n + again, shape = shapeOf(n, randomOf(seed));
    const whole = (await ask({ ask: "section", section: { shape } })).points;
    const lips = (await ask({ ask: "section", section: { shape } })).landmarks.map((m) => m.x_mm);
    // The flats as far as the card goes: 45 mm.
    const [from, to] = [Math.min(...lips) - 45, Math.max(...lips) + 45];
    const inside = whole.filter((p) => p[0] > from && p[0] < to);
    const section = [[from, whole[0][1]], ...inside, [to, whole[whole.length - 1][1]]];
    const tolerance = 0.5, truth = await widthOf(textOf(section), tolerance, film);
    // A section that no width does for has none to compare.
    if (truth.none) { if (again > 20) throw new Error(`${shape}: ${truth.why}`); continue; }
    const photo = photoOf(section, seed, given), row = { n, shape, truth };
    for (const snap of [true, false]) {
      const t = tracedOf(photo, section, snap);
      const g = Math.max(tolerance, Math.ceil(t.error.all * 10 - 1e-9) / 10);
      row[snap ? "snapped" : "tapped"] = { ...(await widthOf(textOf(t.places), g, film)), truth: g === tolerance ? truth : await widthOf(textOf(section), g, film), error: t.error, found: t.found, corners: t.corners, off: t.off, points: t.places.length, tolerance: g, text: textOf(t.places) };
    }
    return row;
  }
}
