// The tracing of a photo: a picture, its scale, the edge along the panel, the section. The picture
// stays in this tab; what leaves the dialog are points in mm, with how far they may be off.

/** Longest side a picture is kept at, px: 3000 is 0.15 mm a pixel over half a metre. */
const LONGEST_SIDE = 3000;
/** How near a finger takes hold of a point, within how much of it a tap is for that point and puts no
    other, and how far from a tap the edge is looked for; px of the screen. */
const HOLD = 22, SAME = 9, BAND = 9;
const TRACE_STEPS = ["Picture", "Scale", "Edge", "Section"];

class Tracer {
  constructor(page) {
    this.page = page;
    this.dialog = byId("trace");
    this.canvas = byId("trace-picture");
    this.glass = byId("trace-glass");
    this.fingers = new Map();
    this.fresh();
    this.wire();
  }

  /** Nothing traced yet. */
  fresh() {
    this.picture = this.grey = this.held = this.stroke = this.result = this.traced = null;
    this.scale = null;
    this.step = 0;
    this.sheet = []; this.length = []; this.points = []; this.chosen = -1;
    this.past = [];
    this.view = { zoom: 1, x: 0, y: 0 };
    this.overSaid = null;
    this.mirror = false;
  }

  // What is chosen in the controls.
  get bySheet() { return firstOf("input[name=trace-by]:checked").value === "sheet"; }
  get hand() { return firstOf("input[name=trace-hand]:checked").value; }
  get snaps() { return byId("trace-snap").checked; }
  /** The points in hand, and how many they may be. */
  get list() { return this.step === 2 ? this.points : this.bySheet ? this.sheet : this.length; }
  get most() { return this.step === 2 ? 400 : this.bySheet ? 4 : 2; }

  /** Takes a picture, from a file, a camera or whatever else can be drawn. */
  async take(source) {
    const say = byId("trace-say");
    say.textContent = "Opening the picture…";
    try {
      let picture = await createImageBitmap(source);
      const small = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
      const [w, h] = [picture.width, picture.height].map((v) => Math.max(1, Math.round(v * small)));
      if (small < 1) {
        const whole = picture;
        picture = await createImageBitmap(whole, { resizeWidth: w, resizeHeight: h, resizeQuality: "high" });
        whole.close();
      }
      const grey = new GreyPicture(w, h), rows = Math.max(8, Math.floor(200000 / w));
      const sheet = document.createElement("canvas");
      sheet.width = w;
      sheet.height = rows;
      const pen = sheet.getContext("2d", { willReadFrequently: true });
      for (let y = 0; y < h; y += rows) {
        const n = Math.min(rows, h - y);
        pen.drawImage(picture, 0, y, w, n, 0, 0, w, n);
        grey.put(y, pen.getImageData(0, 0, w, n).data);
        // In strips, so that nothing else waits for long.
        await new Promise((go) => setTimeout(go));
      }
      if (this.picture) this.picture.close();
      this.fresh();
      Object.assign(this, { picture, grey });
      this.go(1);
      this.fit();
    } catch (error) {
      say.textContent = `This picture could not be opened: ${error.message || "the browser does not know its kind"}. JPEG and PNG are what every browser reads.`;
    }
  }

  open() {
    if (!this.dialog.open) this.dialog.showModal();
    this.go(this.picture ? this.step : 0);
    this.fit();
  }

  /** What is traced stays, so that a point can still be put right. */
  close() { this.dialog.close(); }

  // The view.

  /** The whole picture in the frame. */
  fit() {
    if (!this.picture) return;
    const box = this.canvas.getBoundingClientRect();
    const zoom = Math.min(box.width / this.picture.width, box.height / this.picture.height) || 1;
    this.view = { zoom, x: (box.width - this.picture.width * zoom) / 2, y: (box.height - this.picture.height * zoom) / 2 };
    this.paint();
  }
  onScreen([x, y]) { return [this.view.x + x * this.view.zoom, this.view.y + y * this.view.zoom]; }
  inPicture([x, y]) { return [(x - this.view.x) / this.view.zoom, (y - this.view.y) / this.view.zoom]; }
  /** Nearer or further by a factor about a place of the screen. */
  zoomBy(factor, about) {
    const box = this.canvas.getBoundingClientRect(), chosen = this.placed()[this.chosen];
    const at = about || (chosen ? this.onScreen(chosen.at) : [box.width / 2, box.height / 2]);
    const zoom = clamp(this.view.zoom * factor, 0.05, 24), by = zoom / this.view.zoom;
    this.view = { zoom, x: at[0] - (at[0] - this.view.x) * by, y: at[1] - (at[1] - this.view.y) * by };
    this.follow();
    this.paint();
  }
  /** Brings the chosen point into the frame. */
  follow() {
    const chosen = this.placed()[this.chosen], box = this.canvas.getBoundingClientRect();
    if (!chosen) return;
    const [x, y] = this.onScreen(chosen.at);
    this.view.x += clamp(x, 24, box.width - 24) - x;
    this.view.y += clamp(y, 24, box.height - 24) - y;
  }

  // Points.

  /** Where the points in hand lie, snapped where they snap. */
  placed() { return this.step === 2 && this.traced ? this.traced.points : this.list; }
  /** How far a hand may be off, px of the picture. */
  unsure(px) { return Math.max(px, px / this.view.zoom); }
  pointAt(at) { return { at, off: this.unsure(DOUBT.tap), band: clamp(BAND / this.view.zoom, 6, 120), free: false }; }
  note() {
    this.past.push(JSON.stringify({ sheet: this.sheet, length: this.length, points: this.points }));
    if (this.past.length > 200) this.past.shift();
  }
  undo() {
    if (this.past.length === 0) return;
    Object.assign(this, JSON.parse(this.past.pop()));
    this.chosen = Math.min(this.chosen, this.list.length - 1);
    this.changed();
  }
  /** Puts a point: into the line where it is tapped, or at its end. */
  add(at) {
    const { list } = this;
    if (list.length >= this.most) { this.say(`There are ${this.most} already: drag one, or remove one.`); return; }
    this.note();
    let where = list.length;
    const placed = this.placed();
    for (let i = 1; this.step === 2 && i < placed.length; i += 1) {
      const a = placed[i - 1].at, b = placed[i].at, l = apart(a, b) || 1;
      const t = ((at[0] - a[0]) * (b[0] - a[0]) + (at[1] - a[1]) * (b[1] - a[1])) / (l * l);
      if (t > 0 && t < 1 && apart(at, between(a, b, t)) * this.view.zoom < HOLD / 2) { where = i; break; }
    }
    list.splice(where, 0, this.pointAt(at));
    this.chosen = where;
    this.changed();
  }
  /** Moves a point to a place of the picture. */
  move(i, at, free) {
    const point = this.list[i];
    if (!point) return;
    Object.assign(point, this.pointAt([clamp(at[0], 0, this.picture.width), clamp(at[1], 0, this.picture.height)]), { free }, free ? { off: DOUBT.tap } : {});
    this.changed();
  }
  remove() {
    if (!this.list[this.chosen]) return;
    this.note();
    this.list.splice(this.chosen, 1);
    this.chosen = Math.min(this.chosen, this.list.length - 1);
    this.changed();
  }
  /** Takes a line drawn along the edge, screen px, as the points it needs. */
  drawn(stroke) {
    // Where a hand wavers, one point will do.
    const few = thinned(stroke, 4), apartEnough = few.filter((p, i) => i === 0 || i === few.length - 1 || apart(p, few[i - 1]) > HOLD / 2);
    const points = apartEnough.map((p) => this.pointAt(this.inPicture(p)));
    if (points.length < 2) return;
    this.note();
    this.points.push(...points.slice(0, this.most - this.points.length));
    this.chosen = this.points.length - 1;
    this.changed();
  }

  // What follows from the points.

  /** Everything anew after a change. */
  changed() {
    this.scale = this.scaleOf();
    const middle = this.points.length ? this.points[this.points.length >> 1].at : null;
    const pixel = this.scale && middle ? pixelAt(this.scale.plane, middle) : 0.25;
    this.spacing = Math.max(3, 1 / pixel);
    this.traced = this.picture && this.points.length ? traceThrough(this.snaps ? this.grey : null, this.points, this.spacing) : null;
    this.result = this.step === 3 ? this.resultOf() : null;
    this.paint();
    this.paintPanels();
  }

  /** The plane of the picture, from the marks. */
  scaleOf() {
    if (!this.picture) return null;
    if (this.bySheet) {
      const size = byId("trace-sheet").value, lies = byId("trace-lies").value;
      const order = cornersInOrder(this.sheet.map((m) => m.at));
      if (!order) return null;
      const tapped = order.map((at) => this.sheet.find((m) => m.at === at));
      const seen = this.snaps ? cornersFound(this.grey, order, clamp(BAND / this.view.zoom, 8, 40)) : { corners: order, found: [] };
      const found = tapped.map((m, i) => Boolean(seen.found[i]) && !m.free);
      const corners = order.map((at, i) => (found[i] ? seen.corners[i] : at));
      const build = (marks, more) => planeOfSheet(marks, size, lies, more);
      const plane = build(corners);
      return plane && { plane, build, marks: corners, found, offs: tapped.map((m, i) => (found[i] ? DOUBT.corner : m.off)), sizes: [[DOUBT.sheet, 0], [0, DOUBT.sheet]], by: `a sheet of ${SHEETS[size][0]}` };
    }
    const value = Number(byId("trace-long").value.replace(",", ".")), long = value * (byId("trace-unit").value === "in" ? 25.4 : 1);
    if (this.length.length !== 2 || !(long > 0)) return null;
    const build = (marks, more = 0) => planeOfLength(marks, long + more);
    const marks = this.length.map((m) => m.at), plane = build(marks);
    return plane && { plane, build, marks, offs: this.length.map((m) => m.off), sizes: [DOUBT.length], flat: true, by: `a length of ${mm(long)}` };
  }

  /** The section in mm, its words and its error. */
  resultOf() {
    const { scale, traced } = this;
    if (!scale || !traced || traced.points.length < 3) return null;
    const kept = keptOf(traced.path, this.spacing);
    const error = errorOf(scale, kept);
    const places = corneredOf(kept.map((p) => scale.plane(p.at)), error.all);
    const over = this.overSaid === null ? standsUp(laidLevel(places, false, false)) : this.overSaid;
    const path = upright(laidLevel(places, over, this.mirror), error.all);
    const between_ = traced.path.filter((p) => !p.tapped), lost = between_.filter((p) => !p.found).length;
    return { path, kept, error, over, lost: between_.length ? lost / between_.length : 0, snapped: between_.length > 0, by: scale.by };
  }

  /** How far the section may be off, in words. */
  errorWords() {
    const { error, snapped, by } = this.result, { scale } = this;
    const digit = (v) => mm(v, v < 0.095 ? 2 : 1);
    const causes = [`a pixel is ${digit(error.pixel)}`, `${snapped ? "the edge as found" : "the taps"} ${digit(error.line)}`];
    if (scale.flat) causes.push(`the ends of the length ${digit(error.marks)}`, `the length itself ${digit(error.size)}`, `the camera up to 5° off square ${digit(error.square)}`);
    else causes.push(`the sheet's corners ${digit(error.marks)}`, `the sheet as cut ${digit(error.size)}`);
    return { short: `Traced from a photo by ${by}, read to about ${digit(error.all)}`, long: `${causes.join("; ")}; what a lens bends is not counted` };
  }
  /** What the engine is told, mm; nothing where the usual is more. */
  tolerance() { return this.result.error.all > USUAL ? Math.ceil(this.result.error.all * 10 - 1e-9) / 10 : null; }

  /** Hands the section to the page. */
  use() {
    if (!this.result) return;
    const { state } = this.page, words = this.errorWords(), tolerance = this.tolerance();
    const number = (v) => String(Math.round(v * 100) / 100 || 0);
    const asides = [words.short, words.long].map((w) => `# ${w.replace(/\u202f/g, " ")}\n`).join("");
    state.way = "text";
    state.text = asides + this.result.path.map((p) => p.map(number).join(",")).join("\n");
    state.typed = { units: "mm" };
    if (tolerance === null) delete state.more.gauge_tolerance_mm;
    else state.more.gauge_tolerance_mm = tolerance;
    this.said = state.text;
    byId("traced").textContent = `${words.short}: ${words.long}. ${this.toleranceWords()}`;
    this.close();
    this.page.settled();
  }
  toleranceWords() {
    const tolerance = this.tolerance();
    return tolerance === null ? `That is within the usual gauge tolerance of ${mm(USUAL)}, which stands.` : `The widths are looked for with a gauge tolerance of ${mm(tolerance)}.`;
  }

  // What is shown.

  say(words) { if (byId("trace-say").textContent !== words) byId("trace-say").textContent = words; }

  go(step) {
    this.step = step;
    this.chosen = -1;
    this.dialog.dataset.step = String(step);
    if (this.hand === "draw" && step !== 2) firstOf("input[name=trace-hand][value=place]").checked = true;
    this.changed();
  }

  /** Whether a step can be gone to. */
  ready(step) { return step === 0 || (Boolean(this.picture) && (step === 1 || (Boolean(this.scale) && (step === 2 || this.points.length > 2)))); }

  paintPanels() {
    const { step } = this;
    this.dialog.querySelectorAll("[data-at]").forEach((part) => { part.hidden = !part.dataset.at.includes(String(step)); });
    byId("trace-by-sheet").hidden = !this.bySheet;
    byId("trace-by-length").hidden = this.bySheet;
    this.dialog.querySelectorAll("[data-step]").forEach((button) => {
      const at = Number(button.dataset.step);
      button.disabled = !this.ready(at);
      if (at === step) button.setAttribute("aria-current", "step"); else button.removeAttribute("aria-current");
    });
    byId("trace-undo").disabled = this.past.length === 0;
    byId("trace-remove").disabled = byId("trace-before").disabled = byId("trace-after").disabled = this.list.length === 0;
    const next = byId("trace-next");
    next.hidden = step === 0 && !this.picture;
    next.textContent = step === 3 ? "Use this section" : `Next: ${TRACE_STEPS[step + 1].toLowerCase()}`;
    next.disabled = step === 3 ? !this.result : !this.ready(step + 1);
    this.say(this.stepWords());
    if (step === 3) this.paintResult();
  }

  stepWords() {
    const { step, scale } = this, n = this.list.length;
    const chosen = this.chosen >= 0 && n > 0 ? ` Point ${this.chosen + 1} is chosen.` : "";
    if (step === 0) return this.picture ? "Another picture starts anew." : "The picture stays on this device.";
    const pixel = scale ? `A pixel is ${mm(pixelAt(scale.plane, scale.marks[0]), 2)}.` : "";
    if (step === 1 && this.bySheet) {
      if (n < 4) return `Tap the four corners of the sheet: ${n} of 4.${chosen}`;
      if (!scale) return "These four corners make no sheet: drag them to its corners.";
      const found = scale.found.filter(Boolean).length;
      return `The sheet is known${this.snaps ? `; ${found === 4 ? "all corners" : `${found} of 4 corners`} found by its sides` : ""}. ${pixel}${chosen}`;
    }
    if (step === 1) {
      if (n < 2) return `Tap both ends of the known length: ${n} of 2.${chosen}`;
      return scale ? `The length is known. ${pixel}${chosen}` : "Type how long it is.";
    }
    if (step === 2) {
      if (n < 3) return `Tap along the edge, just inside its ends and wherever it turns: ${n} points.${chosen}`;
      const inner = this.traced.path.filter((p) => !p.tapped), found = inner.filter((p) => p.found).length;
      const lost = !this.snaps ? "Straight from point to point." : inner.length === 0 || found === inner.length ? "The edge is found all along." : `The edge is found along ${plain((100 * found) / inner.length, 0)}${THIN}% of the line; where it is dotted, put points on the edge.`;
      return `${n} points. ${lost}${chosen}`;
    }
    return this.result ? "Is this the section, the film's side up?" : "Three points at least make a section.";
  }

  paintResult() {
    const { result } = this, host = byId("trace-section");
    byId("trace-over").checked = Boolean(result && result.over);
    byId("trace-mirror").checked = this.mirror;
    if (!result) { host.replaceChildren(); byId("trace-error").textContent = ""; return; }
    const xs = result.path.map((p) => p[0]), ys = result.path.map((p) => p[1]);
    const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    const w = host.clientWidth || 300, pad = em(), scale = Math.min((w - 2 * pad) / Math.max(x1 - x0, 1), (9 * em()) / Math.max(y1 - y0, 1));
    const h = (y1 - y0) * scale + 5 * em(), left = (w - (x1 - x0) * scale) / 2;
    const at = ([x, y]) => [left + (x - x0) * scale, 2 * em() + (y1 - y) * scale];
    const shape = line(result.path.map(at)), [a, b] = [at(result.path[0]), at(result.path[result.path.length - 1])];
    const words = `${mm(x1 - x0, 0)} of panel, ${mm(y1 - y0)} from highest to lowest`;
    host.innerHTML = `<svg viewBox="0 0 ${fix(w)} ${fix(h)}" role="img" aria-label="The section: ${escape(words)}"><path d="${shape}L${fix(b[0])} ${fix(h)}L${fix(a[0])} ${fix(h)}Z" fill="var(--panel)"/><path d="${shape}" fill="none" stroke="var(--ink)" stroke-width="2"/>${text(w / 2, 1.2 * em(), "film on this side", "middle")}${text(w / 2, h - 0.6 * em(), "panel", "middle")}</svg>`;
    const error = this.errorWords();
    const lost = result.lost > 0.02 ? ` The edge was lost along ${plain(100 * result.lost, 0)}${THIN}% of the line, which is drawn straight there.` : "";
    byId("trace-error").textContent = `${words}, ${result.path.length} points. ${error.short}: ${error.long}. ${this.toleranceWords()}${lost}`;
  }

  /** Draws the picture with what is on it, at the next frame. */
  paint() {
    cancelAnimationFrame(this.frame);
    this.frame = requestAnimationFrame(() => this.paintNow());
  }
  paintNow() {
    const { canvas, picture, view } = this;
    if (!picture || !this.dialog.open || canvas.clientWidth === 0) { this.glass.hidden = true; return; }
    const ratio = Math.min(window.devicePixelRatio || 1, 2), w = canvas.clientWidth, h = canvas.clientHeight;
    if (canvas.width !== Math.round(w * ratio) || canvas.height !== Math.round(h * ratio)) { canvas.width = Math.round(w * ratio); canvas.height = Math.round(h * ratio); }
    const pen = canvas.getContext("2d");
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.clearRect(0, 0, w, h);
    pen.imageSmoothingEnabled = view.zoom < 3;
    pen.drawImage(picture, view.x, view.y, picture.width * view.zoom, picture.height * view.zoom);
    this.mark(pen, (p) => this.onScreen(p), 1);
    if (this.stroke) this.trail(pen, this.stroke, []);
    this.paintGlass(ratio);
  }

  /** A line light on dark, to be seen on any picture. */
  trail(pen, places, dash) {
    pen.lineJoin = "round";
    for (const [colour, width] of [["#000", 4], [dash.length ? "#fff" : "#7fd4ff", 2]]) {
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.setLineDash(dash);
      pen.beginPath();
      places.forEach((p, i) => (i ? pen.lineTo(...p) : pen.moveTo(...p)));
      pen.stroke();
    }
    pen.setLineDash([]);
  }

  /** Marks, points and line. */
  mark(pen, at, size) {
    const { scale, traced, step } = this;
    const marks = this.bySheet ? this.sheet : this.length;
    if (scale) this.trail(pen, [...scale.marks, ...(scale.flat ? [] : [scale.marks[0]])].map(at), step === 1 ? [] : [2, 5]);
    else if (!this.bySheet && marks.length === 2) this.trail(pen, marks.map((m) => at(m.at)), [2, 5]);
    if (traced && step > 1) {
      // Pieces along which the edge is found, and those where it is not.
      const solid = (p) => !this.snaps || p.found || p.tapped;
      let piece = [traced.path[0]];
      for (let i = 1; i < traced.path.length; i += 1) {
        const p = traced.path[i], last = piece[piece.length - 1];
        if (piece.length > 1 && (solid(p) && solid(last)) !== (solid(piece[1]) && solid(piece[0]))) {
          this.trail(pen, piece.map((q) => at(q.at)), solid(piece[1]) && solid(piece[0]) ? [] : [2, 5]);
          piece = [last];
        }
        piece.push(p);
      }
      if (piece.length > 1) this.trail(pen, piece.map((q) => at(q.at)), solid(piece[1]) && solid(piece[0]) ? [] : [2, 5]);
    }
    if (step === 0 || step === 3) return;
    this.placed().forEach((p, i) => {
      const [x, y] = at(p.at), r = (i === this.chosen ? 10 : 6) * size;
      for (const [colour, width] of [["#000", 4], ["#fff", 2]]) {
        pen.strokeStyle = colour;
        pen.lineWidth = width;
        pen.beginPath();
        pen.arc(x, y, r, 0, 2 * Math.PI);
        if (i === this.chosen) { for (const [u, v] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) { pen.moveTo(x + 0.5 * r * u, y + 0.5 * r * v); pen.lineTo(x + 1.5 * r * u, y + 1.5 * r * v); } }
        pen.stroke();
      }
    });
  }

  /** The magnifier, beside the finger: what is under it, with a cross. */
  paintGlass(ratio) {
    const { glass, view } = this, chosen = this.placed()[this.chosen];
    const under = this.pressed ? this.inPicture(this.pressed) : this.lens && chosen ? chosen.at : null;
    glass.hidden = !under;
    if (!under) return;
    const size = glass.clientWidth, zoom = Math.max(4, 2.5 * view.zoom);
    if (glass.width !== Math.round(size * ratio)) glass.width = glass.height = Math.round(size * ratio);
    const [sx] = this.onScreen(under);
    glass.classList.toggle("right", sx < this.canvas.clientWidth / 2);
    const pen = glass.getContext("2d");
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.fillStyle = "#000";
    pen.fillRect(0, 0, size, size);
    pen.imageSmoothingEnabled = false;
    const at = ([x, y]) => [size / 2 + (x - under[0]) * zoom, size / 2 + (y - under[1]) * zoom];
    const [x, y] = at([0, 0]);
    pen.drawImage(this.picture, x, y, this.picture.width * zoom, this.picture.height * zoom);
    this.mark(pen, at, 0.8);
    if (this.pressed) {
      for (const [colour, width] of [["#000", 3], ["#fff", 1]]) {
        pen.strokeStyle = colour;
        pen.lineWidth = width;
        pen.beginPath();
        pen.moveTo(size / 2 - 14, size / 2); pen.lineTo(size / 2 + 14, size / 2);
        pen.moveTo(size / 2, size / 2 - 14); pen.lineTo(size / 2, size / 2 + 14);
        pen.stroke();
      }
    }
  }

  // Hands.

  wire() {
    const { canvas, dialog } = this, on = (id, type, act) => byId(id).addEventListener(type, act);
    on("trace-open", "click", () => this.open());
    on("trace-close", "click", () => this.close());
    dialog.addEventListener("cancel", (event) => { event.preventDefault(); this.close(); });
    for (const id of ["trace-camera", "trace-file"]) on(id, "change", () => { const [file] = byId(id).files; if (file) this.take(file); byId(id).value = ""; });
    dialog.querySelectorAll(".trace-steps button").forEach((button) => button.addEventListener("click", () => this.go(Number(button.dataset.step))));
    on("trace-next", "click", () => { if (this.step === 3) this.use(); else this.go(this.step + 1); });
    on("trace-undo", "click", () => this.undo());
    on("trace-remove", "click", () => this.remove());
    on("trace-before", "click", () => this.choose(-1));
    on("trace-after", "click", () => this.choose(1));
    on("trace-near", "click", () => this.zoomBy(1.6));
    on("trace-far", "click", () => this.zoomBy(1 / 1.6));
    on("trace-whole", "click", () => this.fit());
    on("trace-over", "change", () => { this.overSaid = byId("trace-over").checked; this.changed(); });
    on("trace-mirror", "change", () => { this.mirror = byId("trace-mirror").checked; this.changed(); });
    for (const id of ["trace-snap", "trace-sheet", "trace-lies", "trace-unit"]) on(id, "change", () => this.changed());
    on("trace-long", "input", () => this.changed());
    allOf("input[name=trace-by]").forEach((input) => input.addEventListener("change", () => { this.chosen = -1; this.changed(); }));
    canvas.addEventListener("pointerdown", (event) => this.down(event));
    canvas.addEventListener("pointermove", (event) => this.drag(event));
    for (const type of ["pointerup", "pointercancel"]) canvas.addEventListener(type, (event) => this.up(event));
    canvas.addEventListener("wheel", (event) => { event.preventDefault(); if (this.picture) this.zoomBy(Math.exp(-event.deltaY / 400), this.whereOf(event)); }, { passive: false });
    canvas.addEventListener("keydown", (event) => this.key(event));
    canvas.addEventListener("blur", () => { this.lens = false; this.paint(); });
    new ResizeObserver(() => { if (this.dialog.open && this.picture) { if (this.past.length === 0 && this.step === 1) this.fit(); else this.paint(); } }).observe(canvas);
    // The words on a trace stand while its points do.
    for (const type of ["click", "input", "change"]) document.addEventListener(type, () => { if (this.page.state.text !== this.said || this.page.state.way !== "text") byId("traced").textContent = ""; });
  }

  whereOf(event) { const box = this.canvas.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; }

  down(event) {
    if (!this.picture || event.button > 0) return;
    this.canvas.setPointerCapture(event.pointerId);
    const at = this.whereOf(event);
    this.fingers.set(event.pointerId, at);
    this.lens = false;
    if (this.fingers.size > 1) {
      // A second finger: the picture is moved, nothing is put.
      if (this.held && this.held.moved) this.undo();
      this.held = this.stroke = this.pressed = null;
      this.paint();
      return;
    }
    if (this.step === 0 || this.step === 3 || this.hand === "move") return;
    const placed = this.placed().map((p) => this.onScreen(p.at));
    const near = placed.reduce((best, p, i) => (apart(p, at) < (best < 0 ? HOLD : apart(placed[best], at)) ? i : best), -1);
    if (near >= 0 && this.hand === "place") {
      this.held = { i: near, from: at, was: placed[near], moved: false };
      this.chosen = near;
      this.pressed = placed[near];
      this.paintPanels();
    } else if (this.hand === "draw") {
      this.stroke = [at];
      this.pressed = at;
    } else {
      this.pressed = at;
    }
    this.paint();
  }

  drag(event) {
    const before = this.fingers.get(event.pointerId);
    if (!before) return;
    const at = this.whereOf(event);
    this.fingers.set(event.pointerId, at);
    if (this.fingers.size > 1) {
      const other = [...this.fingers].find(([id]) => id !== event.pointerId)[1];
      const [m0, m1] = [between(before, other), between(at, other)];
      this.view.x += m1[0] - m0[0];
      this.view.y += m1[1] - m0[1];
      const chosen = this.chosen;
      this.chosen = -1;
      this.zoomBy(apart(at, other) / Math.max(apart(before, other), 1), m1);
      this.chosen = chosen;
    } else if (this.held) {
      const { held } = this;
      if (!held.moved && apart(at, held.from) < 3) return;
      if (!held.moved) { this.note(); held.moved = true; }
      this.pressed = [held.was[0] + at[0] - held.from[0], held.was[1] + at[1] - held.from[1]];
      this.move(held.i, this.inPicture(this.pressed), false);
    } else if (this.stroke) {
      if (apart(at, this.stroke[this.stroke.length - 1]) >= 2) this.stroke.push(at);
      this.pressed = at;
      this.paint();
    } else if (this.pressed) {
      this.pressed = at;
      this.paint();
    } else {
      this.view.x += at[0] - before[0];
      this.view.y += at[1] - before[1];
      this.paint();
    }
  }

  up(event) {
    if (!this.fingers.delete(event.pointerId)) return;
    const { held, stroke, pressed } = this, ended = event.type === "pointerup";
    this.held = this.stroke = this.pressed = null;
    if (ended && stroke && stroke.length > 2) this.drawn(stroke);
    else if (ended && pressed && (!held || (!held.moved && apart(held.from, held.was) > SAME))) {
      const at = this.inPicture(held ? held.from : pressed);
      if (at[0] >= 0 && at[1] >= 0 && at[0] <= this.picture.width && at[1] <= this.picture.height) this.add(at);
    }
    this.paint();
  }

  choose(by) {
    const n = this.list.length;
    if (n === 0) return;
    this.chosen = this.chosen < 0 ? (by > 0 ? 0 : n - 1) : (this.chosen + by + n) % n;
    this.follow();
    this.lens = true;
    this.paint();
    this.paintPanels();
  }

  key(event) {
    if (!this.picture || event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.shiftKey ? 10 : 1;
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    const marks = this.step === 1 || this.step === 2;
    const acts = {
      Enter: () => {
        if (!marks) return;
        const box = this.canvas.getBoundingClientRect(), last = this.placed()[this.list.length - 1];
        // The next one a little to the right of the last; the first in the middle of the frame.
        const at = last ? this.onScreen(last.at) : [box.width / 2 - 3 * HOLD, box.height / 2];
        this.chosen = this.list.length - 1;
        this.add(this.inPicture([at[0] + (last ? 2 * HOLD : 0), at[1]]));
        this.follow();
        this.lens = true;
      },
      PageDown: () => this.choose(1), PageUp: () => this.choose(-1),
      Delete: () => this.remove(), Backspace: () => this.undo(),
      "+": () => this.zoomBy(1.6), "-": () => this.zoomBy(1 / 1.6), 0: () => this.fit(),
    };
    if (way) {
      const chosen = marks && this.placed()[this.chosen];
      if (chosen) {
        // By keys a point goes where it is sent: it no longer snaps.
        if (!event.repeat) this.note();
        this.move(this.chosen, [chosen.at[0] + way[0] * step, chosen.at[1] + way[1] * step], true);
        this.follow();
        this.lens = true;
      } else {
        this.view.x -= 40 * way[0];
        this.view.y -= 40 * way[1];
      }
    } else if (acts[event.key]) {
      acts[event.key]();
    } else {
      return;
    }
    event.preventDefault();
    this.paint();
  }
}

/** Starts the tracing of photos; gives what a test of it needs. */
const wireTrace = (page) => ({ tool: new Tracer(page), planeOfSheet, cornersInOrder, laidLevel, standsUp, differs });
