// What the page is about: everything that link and file hold, and undo goes back over.

/** Dimensions of each shape: key, label, first value, least, most, step, unit. */
const SHAPES = {
  channel: [
    ["mouth", "Mouth", 80, 4, 1000, 1, "mm"],
    ["depth", "Depth", 25, 1, 400, 0.5, "mm"],
    ["left-wall", "Left wall", 51, 5, 90, 1, "°"],
    ["right-wall", "Right wall", 51, 5, 90, 1, "°"],
    ["lip-radius", "Lip radius", 3, 0, 200, 0.5, "mm"],
    ["foot-radius", "Foot radius", 3, 0, 200, 0.5, "mm"],
  ],
  groove: [
    ["mouth", "Mouth", 60, 4, 1000, 1, "mm"],
    ["depth", "Depth", 20, 1, 400, 0.5, "mm"],
    ["bottom", "Bottom right of the middle", 0, -500, 500, 1, "mm"],
    ["lip-radius", "Lip radius", 2, 0, 200, 0.5, "mm"],
    ["foot-radius", "Foot radius", 2, 0, 200, 0.5, "mm"],
  ],
  step: [
    ["drop", "Drop", 12, 1, 400, 0.5, "mm"],
    ["wall", "Wall", 65, 5, 90, 1, "°"],
    ["lip-radius", "Lip radius", 3, 0, 200, 0.5, "mm"],
    ["foot-radius", "Foot radius", 3, 0, 200, 0.5, "mm"],
  ],
  round: [
    ["mouth", "Mouth", 90, 4, 1000, 1, "mm"],
    ["depth", "Depth", 15, 1, 400, 0.5, "mm"],
    ["lip-radius", "Lip radius", 3, 0, 200, 0.5, "mm"],
  ],
};

/** Readings of tape and rule; those without a first value may be left empty. */
const READINGS = [
  ["mouth", "Mouth", 80, "mm"], ["depth", "Depth", 25, "mm"], ["tape", "Tape, lip to lip", 104, "mm"],
  ["left", "Left wall", "", "°"], ["right", "Right wall", "", "°"], ["floor", "Floor", "", "mm"],
  ["lip-radius", "Lip radius", "", "mm"], ["foot-radius", "Foot radius", "", "mm"],
];

/** Further numbers of a request: lengths in mm, and what stands where nothing is said. */
const MORE = [
  ["clear_left_mm", "Clear panel, left", 300], ["clear_right_mm", "Clear panel, right", 300],
  ["pad_mm", "Pad of the tool", "the tool's"], ["tip_radius_mm", "Tip radius", "the tool's"],
  ["gauge_tolerance_mm", "Gauge tolerance", 0.5], ["press_offset_mm", "Press moved to the right by", 0], ["valley", "Recess, counted from the left", "deepest"], ["length_mm", "Length of the recess", ""],
  ["bond_left_x_mm", "Left bond line at x", "by the bridge"], ["bond_right_x_mm", "Right bond line at x", "by the bridge"],
  ["clear_end_mm", "Clear panel beyond an end", 300], ["press_stop_mm", "Press line stops short of an end's foot by", "at the arc's centre"],
  ["assure_pct", "Kept within the limit, in percent of what the readings allow", "95"],
];
const isLength = (key) => key.endsWith("_mm");
/** Further numbers of the handling. */
const MORE_BAY = [["warm_c", "Warmed to", "°C"], ["ambient_c", "Rest of the film", "20 °C"], ["lip_friction", "Friction on the lips", ""], ["drag_kpa", "Drag on the flats", "kPa"], ["hand_force_n", "What a hand gives", "N"]];
const BAY_WORDS = { warm: ["whole", "mouth", "flats"], lip: ["sharp", "pencil", "thumb"], flats: ["lifted", "backing", "touching"], laying: ["dabbed"], ends: ["open", "one-open", "closed"] };

/** What may be known of a closed end in plan; a square one has corners in place of a radius. */
const END_PARTS = [["radius", "Plan radius of a closed end's lip in mm"], ["run", "From its lip to its foot in mm"], ["foot-radius", "Plan radius at its foot in mm"]];
const ENDS = ["end_left", "end_right"];
/** An end's text as its kind and parts, and back. */
function endOf(text) {
  const [, kind, list] = /^(\w*):?(.*)$/.exec(text || "");
  const known = Object.fromEntries(list.split(",").filter(Boolean).map((part) => part.split("=").map((s) => s.trim())));
  return { kind, known: { ...known, radius: known.radius || known.corner } };
}
function endText(kind, known) {
  const name = (key) => (kind === "square" && key === "radius" ? "corner" : key);
  const list = END_PARTS.filter(([key]) => known[key]).map(([key]) => `${name(key)}=${known[key]}`).join(",");
  return kind && kind !== "open" && list ? `${kind}:${list}` : kind;
}

/** Warm ranges as they are typed, and back; none where it is not one. */
const rangesText = (ranges) => (ranges || []).map((r) => `${r.from_mm}..${r.to_mm}:${r.warm_c}`).join(",");

/** Orders that may stand beside deepest point first, and are in files and links as they are asked for;
    `steps` are of one's own. */
const BESIDES = ["", "middle-push", "one-way", "steps"];
/** The order of a file as a state has it. */
const besideOf = (order = "") => (/\s/.test(order.trim()) ? { beside: "steps", steps: order } : { beside: order });

/** What typed text means; the ids of its controls, and the names of the engine. */
const TYPED = ["units", "depths", "leftwards"];

const firstShape = (kind) => Object.fromEntries(SHAPES[kind].map(([key, , value]) => [key, value]));

function firstState() {
  return {
    v: 1, way: "shape", kind: "channel", shape: firstShape("channel"),
    tape: Object.fromEntries(READINGS.map(([key, , value]) => [key, value])),
    text: "", typed: {}, points: [], film: "wrap-cast", own: null, tool: "fingertip", bridge: null, bay: {}, more: {}, kept: {}, beside: "", steps: "",
  };
}

const isNumber = (value) => typeof value === "number" && Number.isFinite(value);

/** Takes over what can be used of a state from a link or a file; the rest stays as new. */
function readState(given) {
  const state = firstState();
  if (typeof given !== "object" || given === null || given.v !== 1) {
    throw new Error("this is no state of this page (`v` is not 1)");
  }
  const oneOf = (key, values) => { if (values.includes(given[key])) state[key] = given[key]; };
  oneOf("way", ["shape", "tape", "text", "drag"]);
  oneOf("kind", Object.keys(SHAPES));
  oneOf("beside", BESIDES);
  state.shape = firstShape(state.kind);
  const numbers = (into, from, keys) => {
    for (const key of keys) if (from && isNumber(from[key])) into[key] = from[key];
  };
  numbers(state.shape, given.shape, Object.keys(state.shape));
  numbers(state.tape, given.tape, Object.keys(state.tape));
  for (const key of ["text", "film", "tool", "steps"]) if (typeof given[key] === "string") state[key] = given[key];
  if (Array.isArray(given.points)) {
    state.points = given.points.filter((p) => Array.isArray(p) && isNumber(p[0]) && isNumber(p[1])).map((p) => [p[0], p[1]]);
  }
  const typed = given.typed || {};
  if (["mm", "cm", "in"].includes(typed.units)) state.typed.units = typed.units;
  for (const key of ["depths", "leftwards"]) if (typed[key] === true) state.typed[key] = true;
  if (isNumber(given.bridge)) state.bridge = given.bridge;
  if (given.own && typeof given.own === "object" && typeof given.own.name === "string") state.own = given.own;
  if (given.bay && Array.isArray(given.bay.ranges)) state.bay.ranges = given.bay.ranges;
  for (const key of KEPT_KEYS) if (given.kept && typeof given.kept[key] === "string") state.kept[key] = given.kept[key];
  numbers(state.more, given.more, MORE.map((m) => m[0]));
  numbers(state.bay, given.bay, MORE_BAY.map((m) => m[0]));
  for (const [key, values] of Object.entries(BAY_WORDS)) {
    if (given.bay && values.includes(given.bay[key])) state.bay[key] = given.bay[key];
  }
  return state;
}

const pairs = (object) => Object.entries(object).filter(([, v]) => v !== "" && v !== null).map(([k, v]) => `${k}=${v}`).join(",");

/** The section as a request has it. */
function sectionOf(state) {
  if (state.way === "shape") return { shape: `${state.kind}:${pairs(state.shape)}` };
  if (state.way === "tape") return { tape: pairs(state.tape) };
  if (state.way === "drag") return { points: state.points.map((p) => p.join(",")).join(" ") };
  return { text: state.text };
}

/** What every question carries. */
function requestOf(state) {
  const request = { section: sectionOf(state), ...(state.way === "text" ? state.typed : {}), film: state.film, tool: state.tool, ...state.more, ...state.kept };
  // A class of one's own stands in place of the catalogue's.
  if (state.own) { delete request.film; request.film_class = state.own; }
  if (Object.keys(state.bay).length > 0) request.bay = state.bay;
  return request;
}

/** The order that stands beside deepest point first, as it is asked for; none: edges first. */
const besideIn = ({ beside, steps }) => (beside === "steps" ? steps.trim() : beside) || undefined;

/** A state as text for a link, and back. */
const packState = (state) => btoa(Array.from(new TextEncoder().encode(JSON.stringify(state)), (b) => String.fromCharCode(b)).join("")).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
const unpackState = (text) => readState(JSON.parse(new TextDecoder().decode(fromBase64(text.replace(/-/g, "+").replace(/_/g, "/")))));

/** Undo and redo over whole states. */
class History {
  constructor(state) { this.past = []; this.next = []; this.now = JSON.stringify(state); }
  /** Notes a state that a change ended in. */
  note(state) {
    const text = JSON.stringify(state);
    if (text === this.now) return;
    this.past.push(this.now);
    if (this.past.length > 200) this.past.shift();
    this.now = text;
    this.next = [];
  }
  step(from, to) {
    if (from.length === 0) return null;
    to.push(this.now);
    this.now = from.pop();
    return readState(JSON.parse(this.now));
  }
  undo() { return this.step(this.past, this.next); }
  redo() { return this.step(this.next, this.past); }
}
