// Photos of known sections, as a camera held askew takes them: a dark card cut to the section on a
// sheet of paper on a table, under the homography of a camera, blurred in light, bent to the
// scale of a screen, with noise. Nothing here is of the page.

/** Numbers from 0 to 1 that come again with the same seed (mulberry32). */
function randomOf(seed) {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
const rangeOf = (random) => (a, b) => a + (b - a) * random();
const normalOf = (random) => () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());

/** A shape as the engine is asked for it; `n` chooses the kind. */
function shapeOf(n, random) {
  const range = rangeOf(random), say = (kind, list) => `${kind}:${Object.entries(list).map(([k, v]) => `${k}=${v.toFixed(2)}`).join(",")}`;
  const radii = { "lip-radius": range(0.5, 5), "foot-radius": range(0.5, 5) };
  if (n % 10 < 6) return say("channel", { mouth: range(60, 110), depth: range(8, 30), "left-wall": range(50, 85), "right-wall": range(50, 85), ...radii });
  if (n % 10 < 8) return say("groove", { mouth: range(50, 100), depth: range(8, 22), bottom: range(-8, 8), ...radii });
  if (n % 10 < 9) return say("round", { mouth: range(60, 110), depth: range(8, 20), "lip-radius": radii["lip-radius"] });
  return say("step", { drop: range(8, 20), wall: range(50, 80), ...radii });
}

/** A pinhole camera: the place in the picture of a place of the plane, mm. `bend`: how much a lens
    bends, as a part at the picture's corner. */
function cameraOf({ width, height, away, span, tilt, about, roll, middle, bend = 0 }) {
  const f = (width * away) / span, [c, s] = [Math.cos(tilt), Math.sin(tilt)], [cr, sr] = [Math.cos(roll), Math.sin(roll)];
  const [ax, ay] = [Math.cos(about), Math.sin(about)], corner = Math.hypot(width, height) / 2;
  return ([px, py]) => {
    const x = px - middle[0], y = py - middle[1];
    // Rodrigues: turned by `tilt` about an axis in the plane.
    const along = ax * x + ay * y, u = x * c + ax * along * (1 - c), v = y * c + ay * along * (1 - c), z = away - (ax * y - ay * x) * s;
    let [i, j] = [(f * (cr * u - sr * v)) / z, (-f * (sr * u + cr * v)) / z];
    const more = 1 + bend * ((i * i + j * j) / (corner * corner));
    i *= more; j *= more;
    return [width / 2 + i, height / 2 + j];
  };
}

/** A polygon with places added along its sides, so that a lens may bend them. */
const finely = (polygon) => polygon.flatMap((p, i) => {
  const q = polygon[(i + 1) % polygon.length], n = Math.max(1, Math.ceil(Math.hypot(q[0] - p[0], q[1] - p[1]) / 5));
  return Array.from({ length: n }, (_, k) => [p[0] + ((q[0] - p[0]) * k) / n, p[1] + ((q[1] - p[1]) * k) / n]);
});

/** How much of each pixel polygons cover. */
function coverOf(width, height, polygon) {
  const canvas = new OffscreenCanvas(width, height), pen = canvas.getContext("2d", { willReadFrequently: true });
  pen.fillStyle = "#fff";
  pen.beginPath();
  polygon.forEach(([x, y], i) => (i ? pen.lineTo(x, y) : pen.moveTo(x, y)));
  pen.fill();
  return pen.getImageData(0, 0, width, height).data;
}

/** Blurs a row-wise picture of numbers by a bell of so many pixels. */
function blurred(light, width, height, sigma) {
  const r = Math.ceil(3 * sigma), bell = Float32Array.from({ length: 2 * r + 1 }, (_, i) => Math.exp(-((i - r) ** 2) / (2 * sigma * sigma)));
  const sum = bell.reduce((a, b) => a + b);
  let from = light;
  for (const [stride, count, other, lines] of [[1, width, width, height], [width, height, 1, width]]) {
    const to = new Float32Array(from.length), row = new Float32Array(count + 2 * r);
    for (let l = 0; l < lines; l += 1) {
      for (let i = -r; i < count + r; i += 1) row[i + r] = from[l * other + Math.min(Math.max(i, 0), count - 1) * stride];
      for (let i = 0; i < count; i += 1) {
        let v = 0;
        for (let k = 0; k < bell.length; k += 1) v += bell[k] * row[i + k];
        to[l * other + i * stride] = v / sum;
      }
    }
    from = to;
  }
  return from;
}

/** A photo of a section given by its points: `{ width, height, rgba, corners, at, onSheet }`, the
    sheet's corners and the section's points where they truly are, in the picture and on the sheet. */
function photoOf(section, seed, given = {}) {
  const random = randomOf(seed), range = rangeOf(random), normal = normalOf(random);
  const { width = 1600, height = 1200, bend = 0 } = given;
  const sheet = given.sheet || "a4", [long, short] = sheet === "a4" ? [297, 210] : [279.4, 215.9];
  // The card lies on the sheet, a little turned.
  const xs = section.map((p) => p[0]), ys = section.map((p) => p[1]);
  const mx = (Math.min(...xs) + Math.max(...xs)) / 2, my = (Math.min(...ys) + Math.max(...ys)) / 2;
  const turn = range(-0.1, 0.1), put = [long / 2 + range(-15, 15), -short / 2 + range(-10, 25)];
  const onSheet = ([x, y]) => [put[0] + (x - mx) * Math.cos(turn) - (y - my) * Math.sin(turn), put[1] + (x - mx) * Math.sin(turn) + (y - my) * Math.cos(turn)];
  const low = Math.min(...ys) - 40;
  const card = [...section, [xs[xs.length - 1], low], [xs[0], low]].map(onSheet);
  const paper = [[0, 0], [long, 0], [long, -short], [0, -short]];
  const tilt = given.tilt === undefined ? range(0, 0.35) : given.tilt;
  const at = cameraOf({ width, height, away: range(700, 1100), span: range(400, 440), tilt, about: range(0, 2 * Math.PI), roll: range(-0.15, 0.15), middle: [long / 2, -short / 2], bend });
  const covers = [paper, card].map((polygon) => coverOf(width, height, finely(polygon).map(at)));
  const [table, white, dark] = [range(0.18, 0.4), range(0.65, 0.9), range(0.03, 0.15)], [gx, gy] = [range(-0.3, 0.3), range(-0.3, 0.3)];
  let light = new Float32Array(width * height);
  for (let i = 0; i < light.length; i += 1) {
    const [p, c] = covers.map((cover) => cover[4 * i + 3] / 255);
    const lit = 1 + gx * ((i % width) / width - 0.5) + gy * (i / width / height - 0.5);
    light[i] = (table + p * (white - table)) * (1 - c) * lit + dark * c * lit;
  }
  light = blurred(light, width, height, given.blur || range(0.8, 2));
  const noise = given.noise === undefined ? range(2, 8) : given.noise, rgba = new Uint8ClampedArray(4 * light.length);
  const screen = Float32Array.from({ length: 4097 }, (_, i) => 255 * (i <= 12 ? (12.92 * i) / 4096 : 1.055 * (i / 4096) ** (1 / 2.4) - 0.055));
  const speckle = Float32Array.from({ length: 1 << 14 }, () => noise * normal());
  for (let i = 0; i < light.length; i += 1) {
    const v = screen[Math.round(4096 * Math.min(light[i], 1))] + speckle[(random() * speckle.length) | 0];
    rgba[4 * i] = rgba[4 * i + 1] = rgba[4 * i + 2] = v;
    rgba[4 * i + 3] = 255;
  }
  return { width, height, rgba, sheet, corners: paper.map(at), at: section.map((p) => at(onSheet(p))), onSheet: section.map(onSheet), random };
}

/** Where a hand taps: off by 1 to 2 px whichever way. */
function tapNear([x, y], random) {
  const r = 1 + random(), turn = 2 * Math.PI * random();
  return [x + r * Math.cos(turn), y + r * Math.sin(turn)];
}

/** Which points of a section a hand taps: its ends, and where it has turned by 10 degrees, 3 mm
    apart at least. */
function tapsOf(section) {
  const taps = [0], far = (i, j) => Math.hypot(section[i][0] - section[j][0], section[i][1] - section[j][1]) >= 3;
  let turned = 0;
  for (let i = 1; i + 1 < section.length; i += 1) {
    const [a, b, c] = [section[i - 1], section[i], section[i + 1]];
    turned += Math.atan2(c[1] - b[1], c[0] - b[0]) - Math.atan2(b[1] - a[1], b[0] - a[0]);
    if (Math.abs(turned) > 0.17 && far(taps[taps.length - 1], i)) { taps.push(i); turned = 0; }
  }
  return [...taps, section.length - 1];
}
