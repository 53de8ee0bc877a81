// The section editor: dimensions and points dragged on the drawing, by hand or by keys.

/** Most points that are dragged one by one. */
const MOST_HANDLES = 80;

/** Nearest that two handles of points stand, px: nearer, a finger takes the wrong one. */
const APART = 28;

/** Most points that a line is thinned to. */
const FEW = 16;

/** A line thinned to points that a finger can take (Douglas and Peucker 1973), and how far the
    furthest of the others lies off, mm.
    @type {(points: number[][]) => [number[][], number]} */
function fewOf(points) {
  const off = (p, a, b) => {
    const d = [b[0] - a[0], b[1] - a[1]], l = d[0] * d[0] + d[1] * d[1];
    const t = l > 0 ? clamp(((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / l, 0, 1) : 0;
    return Math.hypot(p[0] - a[0] - t * d[0], p[1] - a[1] - t * d[1]);
  };
  const kept = [0, points.length - 1];
  for (;;) {
    let far = 0, at = 0;
    for (let k = 1; k < kept.length; k += 1) {
      for (let i = kept[k - 1] + 1; i < kept[k]; i += 1) {
        const d = off(points[i], points[kept[k - 1]], points[kept[k]]);
        if (d > far) { far = d; at = i; }
      }
    }
    if (far < 0.05 || kept.length >= FEW) return [kept.map((i) => [...points[i]]), far];
    kept.push(at);
    kept.sort((a, b) => a - b);
  }
}

const runOf = (depth, angle) => (angle >= 90 ? 0 : depth / Math.tan((angle * Math.PI) / 180));
const angleOf = (depth, run) => (run <= 0 ? 90 : (Math.atan2(depth, run) * 180) / Math.PI);

/** A dimension in words. */
const lengthOr = (value, unit) => (unit === "mm" ? mm(value) : `${plain(value)} ${unit}`);

/** How far a handle stands off what it moves, px. */
const OFF = 34;

/** Where each dimension of a shape is dragged: the place it moves (mm), how its handle
    stands off that (px, y down), and the value that a place gives. */
function shapeHandles(kind, d) {
  const half = d.mouth / 2;
  switch (kind) {
    case "channel": {
      const l = -half + runOf(d.depth, d["left-wall"]), r = half - runOf(d.depth, d["right-wall"]);
      return {
        "lip-radius": [[-half - d["lip-radius"], 0], [-8, -OFF], (x) => -half - x],
        mouth: [[half, 0], [8, -OFF], (x) => 2 * x],
        "left-wall": [[(-half + l) / 2, -d.depth / 2], [-OFF, 6], (x) => angleOf(d.depth / 2, x + half)],
        "right-wall": [[(half + r) / 2, -d.depth / 2], [OFF, 6], (x) => angleOf(d.depth / 2, half - x)],
        "foot-radius": [[l + d["foot-radius"], -d.depth], [0, OFF], (x) => x - l],
        depth: [[r, -d.depth], [0, OFF], (x, y) => -y],
      };
    }
    case "groove":
      return {
        "lip-radius": [[-half - d["lip-radius"], 0], [-8, -OFF], (x) => -half - x],
        mouth: [[half, 0], [8, -OFF], (x) => 2 * x],
        "foot-radius": [[d.bottom + d["foot-radius"], -d.depth], [2 * OFF, 0], (x) => x - d.bottom],
        depth: [[d.bottom, -d.depth], [OFF, OFF], (x, y) => -y],
        bottom: [[d.bottom, -d.depth], [-OFF, OFF], (x) => x],
      };
    case "step": {
      const run = runOf(d.drop, d.wall);
      return {
        "lip-radius": [[-d["lip-radius"], 0], [-8, -OFF], (x) => -x],
        wall: [[run / 2, -d.drop / 2], [-2 * OFF, 12], (x) => angleOf(d.drop / 2, x)],
        "foot-radius": [[run + d["foot-radius"], -d.drop], [0, -OFF], (x) => x - run],
        drop: [[run, -d.drop], [2 * OFF, OFF], (x, y) => -y],
      };
    }
    default:
      return {
        "lip-radius": [[-half - d["lip-radius"], 0], [-8, -OFF], (x) => -half - x],
        mouth: [[half, 0], [8, -OFF], (x) => 2 * x],
        depth: [[0, -d.depth], [0, OFF], (x, y) => -y],
      };
  }
}

/** The editor's drawing and handles; `tell` is called with every change, `done` at its end. */
class Editor {
  constructor(host, layer, tell, done) {
    this.host = host; this.layer = layer; this.tell = tell; this.done = done;
    this.view = null; this.dragging = false; this.selected = 0; this.points = [];
  }

  /** Fits the drawing to a section, but never under a finger. */
  fit(points) {
    if (this.dragging && this.view) return;
    const { w, h } = sizeOf(this.host);
    const xs = points.map((p) => p[0]), ys = points.map((p) => p[1]);
    const x0 = Math.min(...xs), x1 = Math.max(...xs), y0 = Math.min(...ys), y1 = Math.max(...ys);
    const scale = Math.min((w - 32) / Math.max(x1 - x0, 1), Math.max(h - 9 * em(), 2 * em()) / Math.max(y1 - y0, 1));
    const mx = (x0 + x1) / 2, my = (y0 + y1) / 2;
    this.view = { w, h, scale, x: (x) => w / 2 + (x - mx) * scale, y: (y) => h / 2 - 0.4 * em() - (y - my) * scale, backX: (px) => mx + (px - w / 2) / scale, backY: (py) => my - (py - h / 2 + 0.4 * em()) / scale };
  }

  /** Draws the section the engine read; `bad` are numbers of points with a fault. */
  show(state, seen, bad, stale) {
    const drawn = seen ? seen.points : this.points;
    if (!drawn || drawn.length < 2) { this.layer.replaceChildren(); draw(this.host, "No section yet.", ""); return; }
    this.points = drawn;
    this.fit(state.way === "drag" && state.points.length > 1 ? state.points : drawn);
    const v = this.view;
    const at = (p) => [v.x(p[0]), v.y(p[1])];
    const path = line(drawn.map(at));
    const first = at(drawn[0]), last = at(drawn[drawn.length - 1]);
    let out = `<path d="${path}L${fix(last[0])} ${v.h}L${fix(first[0])} ${v.h}Z" fill="var(--panel)" ${stale ? 'opacity="0.5"' : ""}/>`;
    if (state.way === "drag") out += `<path d="${line(state.points.map(at))}" fill="none" stroke="var(--ink)" stroke-width="2" ${bad.length ? 'stroke-dasharray="6 4"' : ""}/>`;
    if (state.way === "shape") {
      for (const [p, off] of Object.values(shapeHandles(state.kind, state.shape))) {
        const [x, y] = at(p);
        out += `<path d="M${fix(x)} ${fix(y)}l${off[0]} ${off[1]}" stroke="var(--act)" stroke-width="1.4" class="lead"/><circle class="lead" cx="${fix(x)}" cy="${fix(y)}" r="3" fill="var(--act)"/>`;
      }
    }
    let said = "Section.";
    if (seen && !stale) {
      const lips = seen.landmarks.filter((m) => /lip/.test(m.name));
      const foot = seen.kind === "step" ? seen.landmarks.find((m) => /foot/.test(m.name)) : null;
      const a = lips[0], b = lips[1] || foot;
      if (a && b) {
        const y = v.y(Math.max(a.y_mm, b.y_mm)) - 0.6 * em();
        out += `<path d="M${fix(v.x(a.x_mm))} ${fix(y)}H${fix(v.x(b.x_mm))}M${fix(v.x(a.x_mm))} ${fix(y - 5)}v10M${fix(v.x(b.x_mm))} ${fix(y - 5)}v10" stroke="var(--ink)" stroke-width="1.4" fill="none"/>`;
        out += text(inside((v.x(a.x_mm) + v.x(b.x_mm)) / 2, "mouth 800 mm", v.w), y - 0.5 * em(), `mouth ${mm(seen.mouth_mm)}`, "middle");
      }
      out += text(v.w / 2, v.h - 0.5 * em(), this.dragging && this.held && this.held.point === undefined ? `${this.held.label} ${lengthOr(state.shape[this.held.id], this.held.unit)}` : `${seen.kind}, depth ${mm(seen.depth_mm)}, ${seen.points.length} points`, "middle");
      said = `Section: ${seen.kind}, mouth ${mm(seen.mouth_mm)}, depth ${mm(seen.depth_mm)}.`;
    }
    draw(this.host, said, out);
    this.place(state, bad);
  }

  /** Puts the handles where they belong, making and removing as few as can be. */
  place(state, bad) {
    const v = this.view;
    /** @type {any[]} */
    const wanted = [];
    if (state.way === "shape") {
      const handles = shapeHandles(state.kind, state.shape);
      for (const [key, label, , least, most, step, unit] of SHAPES[state.kind]) {
        if (!handles[key]) continue;
        const [at, off, value] = handles[key];
        const set = (x) => { state.shape[key] = clamp(Math.round(x / step) * step, least, most); };
        wanted.push({ id: key, at, off, label, unit, value: state.shape[key], least, most, small: key.endsWith("radius"),
          move: (x, y) => set(value(x, y)), key: (by) => set(state.shape[key] + by * step) });
      }
    } else if (state.way === "drag" && state.points.length <= MOST_HANDLES) {
      // Handles stand a finger apart; what has a fault or is held comes first, the rest by number.
      const shown = [];
      const first = (i) => (i === this.selected ? 2 : 0) + (bad.includes(i + 1) ? 1 : 0);
      for (const i of [...state.points.keys()].sort((a, b) => first(b) - first(a) || a - b)) {
        const at = [v.x(state.points[i][0]), v.y(state.points[i][1])];
        if (shown.every((q) => Math.hypot(q.at[0] - at[0], q.at[1] - at[1]) >= APART)) shown.push({ i, at });
      }
      shown.sort((a, b) => a.i - b.i).map(({ i }) => [state.points[i], i]).forEach(([p, i]) => wanted.push({ id: `point${i}`, at: p, label: `Point ${i + 1}`, unit: "mm", value: p[1], least: -400, most: 400, small: true, bad: bad.includes(i + 1), point: i,
        move: (x, y) => { p[0] = Math.round(x * 2) / 2; p[1] = Math.round(y * 2) / 2; },
        key: (by, across) => { p[across ? 0 : 1] += by * 0.5; } }));
    }
    const there = new Map(Array.from(this.layer.children, (b) => [b.dataset.id, b]));
    for (const h of wanted) {
      let button = there.get(h.id);
      if (!button) { button = this.button(h.id); this.layer.append(button); }
      there.delete(h.id);
      button.handle = h;
      button.className = `handle${h.small ? " small" : ""}${h.bad ? " bad" : ""}`;
      const off = h.off || [0, 0];
      button.style.left = `${clamp(v.x(h.at[0]) + off[0], 22, v.w - 22)}px`;
      button.style.top = `${clamp(v.y(h.at[1]) + off[1], 22, v.h - 22)}px`;
      const words = h.point === undefined ? lengthOr(h.value, h.unit) : `x ${mm(h.at[0])}, y ${mm(h.at[1])}`;
      button.setAttribute("aria-label", `${h.label}${h.bad ? ", has a fault" : ""}`);
      button.setAttribute("aria-valuenow", String(h.value));
      button.setAttribute("aria-valuemin", String(h.least));
      button.setAttribute("aria-valuemax", String(h.most));
      button.setAttribute("aria-valuetext", words);
      button.title = `${h.label}: ${words}`;
    }
    for (const old of there.values()) old.remove();
  }

  button(id) {
    /** @type {any} */
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.id = id;
    button.setAttribute("role", "slider");
    button.addEventListener("pointerdown", (event) => {
      button.setPointerCapture(event.pointerId);
      this.dragging = true;
      this.hold(true);
      // Where the finger is against the place that moves.
      const box = this.host.getBoundingClientRect(), at = button.handle.at;
      this.grip = [event.clientX - box.left - this.view.x(at[0]), event.clientY - box.top - this.view.y(at[1])];
      this.pick(button);
      event.preventDefault();
      button.focus({ preventScroll: true });
    });
    button.addEventListener("pointermove", (event) => {
      if (!button.hasPointerCapture(event.pointerId)) return;
      const box = this.host.getBoundingClientRect();
      button.handle.move(this.view.backX(event.clientX - box.left - this.grip[0]), this.view.backY(event.clientY - box.top - this.grip[1]));
      this.tell();
    });
    button.addEventListener("blur", () => { this.held = null; });
    const end = () => { if (this.dragging) { this.dragging = false; this.hold(false); this.done(); } };
    button.addEventListener("pointerup", end);
    button.addEventListener("pointercancel", end);
    button.addEventListener("focus", () => this.pick(button));
    button.addEventListener("keydown", (event) => {
      const by = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 10, PageDown: -10 }[event.key];
      if (by === undefined) return;
      event.preventDefault();
      button.handle.key(event.shiftKey ? by * 10 : by, event.key === "ArrowLeft" || event.key === "ArrowRight");
      this.tell();
      this.done();
    });
    return button;
  }

  /** What stands above the drawing keeps its height while a finger is on it. */
  hold(on) {
    const above = firstOf(".verdict");
    above.style.height = on ? `${above.offsetHeight}px` : "";
    above.style.overflow = on ? "hidden" : "";
  }

  pick(button) {
    this.held = button.handle;
    const point = button.handle.point;
    if (point === undefined) return;
    this.selected = point;
    document.dispatchEvent(new Event("picked"));
  }
}
