// From the pixels of a photo to millimetres of a panel: the plane that a sheet or a length fixes,
// the dark-light edge to a part of a pixel, and how far all of it may be off. No control is known
// here. Places of a picture are [x, y] in pixels, y downwards, the first pixel's middle at 0.5;
// places of the panel in mm, y upwards.

/** Sheets that lie beside an edge: long and short side, mm. */
const SHEETS = { a4: ["A4", 297, 210], letter: ["US letter", 279.4, 215.9] };

/** What is taken to be off, as what 95 of 100 stay within. The edge found: blur and noise leave
    less of a sharp picture. A tap: with the magnifier. The sheet: between what its standard allows
    (2 mm) and what machines cut; the length: as a rule is read; both invented, as is how far
    off square a camera is held and from where. */
const DOUBT = { edge: 0.5, tap: 2, corner: 0.7, sheet: 1, length: 0.5, square: (5 * Math.PI) / 180, away: 1000 };
/** The gauge tolerance that is usual, mm. */
const USUAL = 0.5;

/** Fewest points among which the reading of a section looks for noise. */
const FEWEST_NOISY = 40;
/** How far a path may stand off the points it is given by, mm, at the least: more cuts roundings
    short, less is a tenth of a pixel. */
const LEAST_OFF = 0.05;

/** Longest piece at an end that may turn off by 20 degrees without being the panel's, mm: a flat so
    short says nothing of the panel beside it. */
const TURNED_END = 4;

/** Solves rows of coefficients with their right side last, by elimination with exchange of rows;
    nothing where a row says what another says. */
function solved(rows) {
  const n = rows.length, a = rows.map((row) => row.slice());
  for (let k = 0; k < n; k += 1) {
    let best = k;
    for (let i = k + 1; i < n; i += 1) if (Math.abs(a[i][k]) > Math.abs(a[best][k])) best = i;
    if (!(Math.abs(a[best][k]) > 1e-12)) return null;
    [a[k], a[best]] = [a[best], a[k]];
    for (let i = k + 1; i < n; i += 1) {
      const f = a[i][k] / a[k][k];
      for (let j = k; j <= n; j += 1) a[i][j] -= f * a[k][j];
    }
  }
  const x = new Array(n);
  for (let i = n - 1; i >= 0; i -= 1) {
    x[i] = a[i][n];
    for (let j = i + 1; j < n; j += 1) x[i] -= a[i][j] * x[j];
    x[i] /= a[i][i];
  }
  return x;
}

/** The homography that takes four places to four others, as a function; nothing where three of
    them lie on a line. With w = h6 x + h7 y + 1 each pair gives two rows,
    h0 x + h1 y + h2 = u w and h3 x + h4 y + h5 = v w, linear in h. */
function homographyOf(from, to) {
  const unit = Math.max(...from.flat().map(Math.abs), 1), out = Math.max(...to.flat().map(Math.abs), 1);
  const rows = from.flatMap(([px, py], i) => {
    const x = px / unit, y = py / unit, u = to[i][0] / out, v = to[i][1] / out;
    return [[x, y, 1, 0, 0, 0, -u * x, -u * y, u], [0, 0, 0, x, y, 1, -v * x, -v * y, v]];
  });
  const h = solved(rows);
  if (!h) return null;
  return ([px, py]) => {
    const x = px / unit, y = py / unit, w = h[6] * x + h[7] * y + 1;
    return [(out * (h[0] * x + h[1] * y + h[2])) / w, (out * (h[3] * x + h[4] * y + h[5])) / w];
  };
}

const crossOf = (a, b, c) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
const apart = (a, b) => Math.hypot(b[0] - a[0], b[1] - a[1]);
const between = (a, b, t = 0.5) => [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];

/** Four corners in whatever order they were tapped, as they follow each other clockwise on the
    screen from the upper left one; nothing where they make no sheet. */
function cornersInOrder(corners) {
  if (corners.length !== 4) return null;
  const m = [0, 1].map((k) => corners.reduce((sum, p) => sum + p[k], 0) / 4);
  const round = corners.slice().sort((a, b) => Math.atan2(a[1] - m[1], a[0] - m[0]) - Math.atan2(b[1] - m[1], b[0] - m[0]));
  const first = round.reduce((best, p, i) => (p[0] + p[1] < round[best][0] + round[best][1] ? i : best), 0);
  const order = [0, 1, 2, 3].map((i) => round[(first + i) % 4]);
  const size = apart(order[0], order[2]) * apart(order[1], order[3]);
  const convex = order.every((p, i) => crossOf(p, order[(i + 1) % 4], order[(i + 2) % 4]) > 0.02 * size);
  return convex ? order : null;
}

/** The plane of a sheet with its corners in order. `lies`: the long side lies `across` or `up` the
    picture, or as it looks; `more`: by how much its sides are longer than they should be, mm. */
function planeOfSheet(corners, sheet, lies = "", more = [0, 0]) {
  const across = apart(corners[0], corners[1]) + apart(corners[3], corners[2]);
  const up = apart(corners[0], corners[3]) + apart(corners[1], corners[2]);
  const [, long, short] = SHEETS[sheet];
  const isAcross = lies ? lies === "across" : across >= up;
  const w = (isAcross ? long : short) + more[0], h = (isAcross ? short : long) + more[1];
  return homographyOf(corners, [[0, 0], [w, 0], [w, -h], [0, -h]]);
}

/** The plane of a picture taken square on, in which two places are so far apart. */
function planeOfLength([a, b], length) {
  const scale = length / apart(a, b);
  return Number.isFinite(scale) && scale > 0 ? ([x, y]) => [x * scale, -y * scale] : null;
}

/** Millimetres a pixel at a place. */
function pixelAt(plane, [x, y]) {
  const a = plane([x, y]), b = plane([x + 1, y]), c = plane([x, y + 1]);
  return Math.sqrt(Math.abs(crossOf(a, b, c)));
}

/** Light of each of the 256 values of a screen, of 255. */
const LIGHT = Float32Array.from({ length: 256 }, (_, v) => 255 * (v <= 10 ? v / 3294.6 : ((v / 255 + 0.055) / 1.055) ** 2.4));

/** A picture in grey. Light adds up before a camera bends its scale, and there the middle of a
    blurred edge is where it should be: greys are kept in proportion to light. */
class GreyPicture {
  constructor(width, height, rgba) {
    this.width = width;
    this.height = height;
    this.light = new Float32Array(width * height);
    if (rgba) this.put(0, rgba);
  }

  /** Puts rows of the picture, from `y` downwards. */
  put(y, rgba) {
    for (let i = y * this.width, k = 0; k < rgba.length; i += 1, k += 4) {
      this.light[i] = 0.2126 * LIGHT[rgba[k]] + 0.7152 * LIGHT[rgba[k + 1]] + 0.0722 * LIGHT[rgba[k + 2]];
    }
  }

  /** Grey at any place, straight between the middles of pixels. */
  at(x, y) {
    const { width: w, height: h, light } = this;
    const px = Math.min(Math.max(x - 0.5, 0), w - 1.001), py = Math.min(Math.max(y - 0.5, 0), h - 1.001);
    const i = Math.floor(px), j = Math.floor(py), s = px - i, t = py - j, k = j * w + i;
    return (1 - t) * ((1 - s) * light[k] + s * light[k + 1]) + t * ((1 - s) * light[k + w] + s * light[k + w + 1]);
  }
}

/** Steps along the normal, px, and the slope of a bell of 1.3 px by which the change of grey is
    read there: wider rounds corners, narrower reads noise. */
const ALONG = 0.5;
const BELL = Array.from({ length: 17 }, (_, i) => {
  const s = (i - 8) * ALONG, v = 1.3 * 1.3;
  return (s / v) * Math.exp((-s * s) / (2 * v)) / Math.sqrt(2 * Math.PI * v) * ALONG;
});
/** Least change of grey that is an edge, of 255 a pixel, and in times the usual change there. */
const LEAST_CHANGE = [1.5, 4];

/** How far beyond the band greys are looked at for how they usually change, px: further than a blur
    reaches. */
const BESIDE = 10;

/** The edge along a normal: where grey changes most within `band` px either side of a place, the
    far ones counting less, to a part of a pixel by a parabola. `way`: 1 where it must grow lighter
    along the normal, -1 darker, 0 either. Nothing where there is none. */
function edgeAlong(grey, place, normal, band, way) {
  const [nx, ny] = normal, near = Math.ceil(band / ALONG), reach = near + BESIDE / ALONG, pad = 8;
  const row = new Float32Array(2 * (reach + pad) + 1);
  for (let i = 0; i < row.length; i += 1) {
    const s = (i - reach - pad) * ALONG;
    let sum = 0;
    // Along the edge greys are alike: a mean of five halves the noise.
    for (let k = -2; k <= 2; k += 1) sum += grey.at(place[0] + s * nx - k * ny, place[1] + s * ny + k * nx);
    row[i] = sum / 5;
  }
  const change = new Float32Array(2 * reach + 1), size = new Float32Array(2 * reach + 1);
  for (let i = 0; i < change.length; i += 1) {
    for (let k = 0; k < BELL.length; k += 1) change[i] += BELL[k] * row[i + k];
    size[i] = Math.abs(change[i]);
  }
  const usual = size.slice().sort()[size.length >> 2];
  let best = -1, score = 0;
  for (let i = reach - near; i <= reach + near; i += 1) {
    const v = size[i];
    if ((way && change[i] * way < 0) || v < size[i - 1] || v < size[i + 1]) continue;
    if (v < LEAST_CHANGE[0] || v < LEAST_CHANGE[1] * usual) continue;
    const off = (i - reach) / near, now = v * (1 - 0.8 * off * off);
    if (now > score) { score = now; best = i; }
  }
  if (best < 0) return null;
  const [a, b, c] = [size[best - 1], size[best], size[best + 1]], bend = a - 2 * b + c;
  const s = (best - reach + (bend < 0 ? (0.5 * (a - c)) / bend : 0)) * ALONG;
  return { place: [place[0] + s * nx, place[1] + s * ny], change: change[best], score };
}

/** The normal to the left of the way from a to b, as seen on the screen. */
function normalOf(a, b) {
  const length = apart(a, b) || 1;
  return [(b[1] - a[1]) / length, (a[0] - b[0]) / length];
}

/** The corners of a sheet from its four sides as the picture has them: a line through the edge
    found along each, without the stretches where something else lies. A corner whose sides are
    not seen stays where it was tapped. Gives the corners, and which were found. */
function cornersFound(grey, corners, band) {
  const sides = corners.map((a, i) => {
    const b = corners[(i + 1) % 4], normal = normalOf(a, b);
    let hits = [];
    for (let t = 0.08; t <= 0.921; t += 0.035) {
      const hit = edgeAlong(grey, between(a, b, t), normal, band, 0);
      if (hit) hits.push(hit);
    }
    const lighter = hits.filter((h) => h.change > 0);
    hits = (2 * lighter.length >= hits.length ? lighter : hits.filter((h) => h.change < 0)).map((h) => h.place);
    let fit = null;
    for (let round = 0; round < 4 && hits.length >= 8; round += 1) {
      fit = lineThrough(hits);
      const off = hits.map((p) => Math.abs((p[0] - fit.m[0]) * fit.n[0] + (p[1] - fit.m[1]) * fit.n[1]));
      const most = Math.max(0.5, 2.5 * off.slice().sort((x, y) => x - y)[off.length >> 1]);
      hits = hits.filter((_, k) => off[k] <= most);
    }
    return hits.length >= 8 ? fit : null;
  });
  const found = [];
  const at = corners.map((p, i) => {
    const before = sides[(i + 3) % 4], after = sides[i];
    const meet = before && after ? solved([before, after].map(({ m, n }) => [n[0], n[1], n[0] * m[0] + n[1] * m[1]])) : null;
    found.push(Boolean(meet) && apart(meet, p) <= 2 * band);
    return found[i] ? meet : p;
  });
  return { corners: at, found };
}

/** The line with the least squares square to it: a place on it and its normal. */
function lineThrough(places) {
  const m = [0, 1].map((k) => places.reduce((sum, p) => sum + p[k], 0) / places.length);
  let xx = 0, xy = 0, yy = 0;
  for (const p of places) { const x = p[0] - m[0], y = p[1] - m[1]; xx += x * x; xy += x * y; yy += y * y; }
  const turn = 0.5 * Math.atan2(2 * xy, xx - yy);
  return { m, n: [-Math.sin(turn), Math.cos(turn)] };
}

/** The edge through points as they were tapped. Each point is `{ at, band, off, free }`: its place,
    how far from it the edge is looked for, how far it may be off, and whether it stays where it is.
    `grey` is nothing where nothing is to snap; `step`: how far apart the edge is read, px.
    Gives the points where they come to lie, and the path: `{ at, off, found }`, found false where
    the edge was lost. */
function traceThrough(grey, points, step) {
  if (!grey || points.length === 0) {
    const path = points.map((p) => ({ at: p.at, off: p.off, found: false, tapped: true }));
    return { points: path, path };
  }
  let way = 0;
  let at = points.map((p) => p.at), hits = [];
  // First whichever way the grey changes, then as most of the points have it.
  for (let round = 0; round < 2; round += 1) {
    const sum = [0, 0];
    hits = points.map((p, i) => {
      if (p.free) return null;
      const a = at[i - 1] || at[i], b = at[i + 1] || at[i];
      let hit = null;
      if (a === b) {
        // A lone point: whichever way the change is largest.
        for (let k = 0; k < 8; k += 1) {
          const turn = (k * Math.PI) / 8, now = edgeAlong(grey, p.at, [Math.cos(turn), Math.sin(turn)], p.band, 0);
          if (now && (!hit || now.score > hit.score)) hit = now;
        }
      } else {
        // Beyond an end the edge turns off: there it is looked for close by alone.
        hit = edgeAlong(grey, p.at, normalOf(a, b), i > 0 && i < points.length - 1 ? p.band : Math.max(6, p.band / 3), way);
      }
      if (hit) sum[hit.change > 0 ? 0 : 1] += Math.abs(hit.change);
      return hit;
    });
    at = points.map((p, i) => (hits[i] ? hits[i].place : p.at));
    if (points.length > 2 && sum[0] !== sum[1]) way = sum[0] > sum[1] ? 1 : -1;
  }
  const placed = points.map((p, i) => ({ at: at[i], off: hits[i] ? DOUBT.edge : p.off, found: Boolean(hits[i]), tapped: true, free: p.free }));
  const path = [placed[0]];
  const walk = (a, b, band) => {
    const length = apart(a, b);
    if (length < 1.6 * step) return;
    const middle = between(a, b);
    const hit = edgeAlong(grey, middle, normalOf(a, b), Math.min(band, 2 + 0.5 * length), way);
    const m = hit ? hit.place : middle;
    walk(a, m, band);
    path.push({ at: m, off: DOUBT.edge, found: Boolean(hit), tapped: false });
    walk(m, b, band);
  };
  for (let i = 1; i < placed.length; i += 1) {
    walk(placed[i - 1].at, placed[i].at, Math.max(6, Math.min(points[i - 1].band, points[i].band)));
    path.push(placed[i]);
  }
  return { points: placed, path };
}

/** What of a path is read: not the places between where the edge was lost, nor two that lie on each
    other, nor one from which it runs back on itself, as beside two taps in the wrong order; and where most
    of it was found, no end that missed it. */
function keptOf(whole, step) {
  const sure = (p) => p.found || p.free, most = 2 * whole.filter((p) => p.found).length > whole.length;
  const ends = most ? [whole.findIndex(sure), whole.length - whole.slice().reverse().findIndex(sure)] : [0, whole.length];
  const path = whole.slice(...ends);
  let kept = [];
  path.forEach((p, i) => {
    if (!p.found && !p.tapped) return;
    const last = kept[kept.length - 1];
    if (last && apart(last.at, p.at) < 0.35 * step && i < path.length - 1) return;
    // Come back to where it was: what lies between is a loop.
    for (let k = Math.max(0, kept.length - 60); k < kept.length - 2; k += 1) {
      if (apart(kept[k].at, p.at) < 0.7 * step) { kept.length = k + 1; return; }
    }
    kept.push(p);
  });
  for (let before = 0; before !== kept.length;) {
    before = kept.length;
    const back = (p, i) => {
      if (i === 0 || i === kept.length - 1) return false;
      const a = kept[i - 1].at, c = kept[i + 1].at, [u, v] = [apart(a, p.at), apart(p.at, c)];
      const along = (p.at[0] - a[0]) * (c[0] - p.at[0]) + (p.at[1] - a[1]) * (c[1] - p.at[1]);
      return Math.min(u, v) < 4 * step && along < -0.94 * u * v;
    };
    const first = kept.findIndex(back);
    if (first > 0) kept = kept.filter((_, i) => i !== first);
  }
  return kept;
}

/** How far places along a path err, as a standard deviation: second differences square to the path,
    of which the middle one takes no notice of corners; of neighbours and of every third place, as
    neighbours share pixels and err alike. */
function unrestOf(places) {
  return Math.max(...[1, 3].map((stride) => {
    const off = [];
    for (let i = stride; i + stride < places.length; i += 1) {
      const [a, b] = [places[i - stride], places[i + stride]];
      off.push(Math.abs(crossOf(a, b, places[i])) / (apart(a, b) || 1));
    }
    off.sort((x, y) => x - y);
    // A place against the middle of two: squares of 1 and twice 1/4.
    return off.length ? off[off.length >> 1] / (0.6745 * Math.sqrt(1.5)) : 0;
  }));
}

/** A path in mm as the corners it needs. The edge errs smoothly where it bends, which no reading of
    scattered points allows for: it is given by few points, none of it further off than it errs. */
function corneredOf(places, off) {
  if (places.length < FEWEST_NOISY) return places;
  let least = Math.max(LEAST_OFF, 3 * unrestOf(places)), points = thinned(places, least);
  while (points.length >= FEWEST_NOISY && least < 0.5 * off) { least *= 1.3; points = thinned(places, least); }
  // Round the corner of a card the edge goes on: what turns off in the last millimetres is not the panel.
  for (const end of [0, 1]) {
    if (end) points.reverse();
    for (let k = 0; k < 4 && points.length > 4; k += 1) {
      const [a, b, c] = points, [u, v] = [apart(a, b), apart(b, c)];
      const along = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]);
      if (u > TURNED_END || along > 0.94 * u * v) break;
      points = points.slice(1);
    }
    if (end) points.reverse();
  }
  return points;
}

/** Points left of which no more than `least` stand off the line through the rest. */
function thinned(places, least) {
  if (places.length < 3) return places;
  const a = places[0], b = places[places.length - 1], length = apart(a, b);
  let far = 0, k = 0;
  for (let i = 1; i < places.length - 1; i += 1) {
    const off = length > 0 ? Math.abs(crossOf(a, b, places[i])) / length : apart(a, places[i]);
    if (off > far) { far = off; k = i; }
  }
  if (far <= least) return [a, b];
  return [...thinned(places.slice(0, k + 1), least).slice(0, -1), ...thinned(places.slice(k), least)];
}

/** Direction of a path's first part, the eighth of its length. */
function endDirection(places) {
  const all = places.reduce((sum, p, i) => sum + (i ? apart(places[i - 1], p) : 0), 0);
  let length = 0, i = 0;
  while (i + 1 < places.length && (i === 0 || length < all / 8)) { i += 1; length += apart(places[i - 1], places[i]); }
  return [places[i][0] - places[0][0], places[i][1] - places[0][1]];
}

/** A path in mm laid level, its first point at 0, from left to right as the picture has it.
    The mean direction of its ends is taken for level, or the line from end to end where they
    run apart; what is left of a tilt is for the reading of the section. `over`: turned by half a
    turn; `mirror`: seen from behind. */
function laidLevel(places, over, mirror) {
  let path = places.slice();
  const ends = (p) => {
    const back = endDirection(p.slice().reverse());
    const [u, v] = [endDirection(p), [-back[0], -back[1]]].map((d) => { const l = Math.hypot(...d) || 1; return [d[0] / l, d[1] / l]; });
    return u[0] * v[0] + u[1] * v[1] > 0.9 ? [u[0] + v[0], u[1] + v[1]] : [p[p.length - 1][0] - p[0][0], p[p.length - 1][1] - p[0][1]];
  };
  let d = ends(path);
  if (d[0] < 0) { path.reverse(); d = ends(path); }
  const size = Math.hypot(...d) || 1, c = d[0] / size, s = d[1] / size, o = path[0];
  path = path.map(([x, y]) => [c * (x - o[0]) + s * (y - o[1]), c * (y - o[1]) - s * (x - o[0])]);
  if (over) path = path.map(([x, y]) => [-x, -y]);
  if (mirror) path = path.map(([x, y]) => [-x, y]);
  if (Boolean(over) !== Boolean(mirror)) path.reverse();
  const first = path[0];
  return path.map(([x, y]) => [x - first[0], y - first[1]]);
}

/** A level path whose walls run back by no more than they may be off: among many points that is
    for the reading of the section, among few they are stood upright. */
function upright(path, off) {
  if (path.length >= FEWEST_NOISY) return path;
  let most = -Infinity;
  return path.map(([x, y]) => {
    const back = most - x;
    most = Math.max(most, x);
    return back > 0 && back <= Math.max(off, USUAL) ? [most, y] : [x, y];
  });
}

/** Does a level path rise above the line of its ends rather than fall below it? */
function standsUp(path) {
  const a = path[0], b = path[path.length - 1], length = apart(a, b) || 1;
  const off = path.map((p) => crossOf(a, b, p) / length);
  return Math.max(...off) > 2 * Math.max(0, -Math.min(...off));
}

/** Root mean square by which a path differs from another when laid on it as well as can be: where
    the whole lies, and how it is turned, is no error of a section. */
function differs(path, other) {
  const mean = (list, k) => list.reduce((sum, p) => sum + p[k], 0) / list.length;
  const [ax, ay, bx, by] = [mean(path, 0), mean(path, 1), mean(other, 0), mean(other, 1)];
  let dot = 0, turn = 0;
  path.forEach((p, i) => {
    const [x, y, u, v] = [p[0] - ax, p[1] - ay, other[i][0] - bx, other[i][1] - by];
    dot += x * u + y * v;
    turn += x * v - y * u;
  });
  const angle = Math.atan2(turn, dot), c = Math.cos(angle), s = Math.sin(angle);
  return Math.sqrt(path.reduce((sum, p, i) => {
    const [x, y, u, v] = [p[0] - ax, p[1] - ay, other[i][0] - bx, other[i][1] - by];
    return sum + (c * x - s * y - u) ** 2 + (s * x + c * y - v) ** 2;
  }, 0) / path.length);
}

/** How far a traced section may be off, mm, what 95 of 100 stay within, by its causes.
    `scale`: `{ marks, offs, build }`, the marks with how far each may be off in px, and the plane
    they make; `build` also takes by how much the sheet is larger or the length longer. */
function errorOf(scale, path) {
  const plane = scale.build(scale.marks), places = path.map((p) => p.at), base = places.map(plane);
  const of = (other) => (other ? differs(base, places.map(other)) : 0);
  let marks = 0;
  scale.marks.forEach((mark, i) => {
    for (const k of [0, 1]) {
      const moved = scale.marks.map((m, j) => (j === i ? m.map((v, l) => v + (l === k ? scale.offs[i] : 0)) : m));
      marks += of(scale.build(moved)) ** 2;
    }
  });
  const pixel = pixelAt(plane, places[places.length >> 1]);
  const unrest = path.length < FEWEST_NOISY ? 0 : unrestOf(base);
  const line = Math.hypot(pixel * Math.sqrt(path.reduce((sum, p) => sum + p.off * p.off, 0) / path.length), 2 * unrest);
  const size = Math.hypot(...scale.sizes.map((more) => of(scale.build(scale.marks, more))));
  // Not square on: what a tilt about either axis makes of the plane, its known length kept.
  let square = 0;
  if (scale.flat) {
    const [a, b] = scale.marks.map(plane), m = between(a, b);
    for (const k of [0, 1]) {
      const tilted = (p) => {
        const q = [p[0] - m[0], p[1] - m[1]], near = 1 + (q[k] * Math.sin(DOUBT.square)) / DOUBT.away;
        return q.map((v, l) => (v * (l === k ? Math.cos(DOUBT.square) : 1)) / near);
      };
      const kept = apart(a, b) / apart(tilted(a), tilted(b));
      square = Math.max(square, differs(base, base.map((p) => tilted(p).map((v) => v * kept))));
    }
  }
  return { pixel, line, marks: Math.sqrt(marks), size, square, all: Math.hypot(line, Math.sqrt(marks), size, square) };
}
