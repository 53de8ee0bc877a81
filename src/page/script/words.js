// Numbers and sentences as people read them.

const THIN = "\u202f";
const MINUS = "\u2212";

/** A number with at most `digits` decimals, without trailing zeros, with a real minus. */
function plain(value, digits = 1) {
  const text = value.toFixed(digits);
  return (text.includes(".") ? text.replace(/\.?0+$/, "") : text).replace(/^-0$/, "0").replace("-", MINUS);
}
/** Whether lengths are read in inches. */
const SHOWN = { inch: false };
const INCH = 25.4;
const EIGHTH = INCH / 8;
/** A length in inches as a tape shows it, in whole sixteenths; less than one in thousandths. */
function inchWords(value) {
  const inches = Math.abs(value) / INCH, sign = value < 0 ? MINUS : "";
  if (inches < 1 / 16) return plain(value / INCH, 3);
  const count = Math.round(inches * 16), whole = Math.floor(count / 16);
  let top = count % 16, parts = 16;
  while (top > 0 && top % 2 === 0) { top /= 2; parts /= 2; }
  return `${sign}${[whole || "", top ? `${top}/${parts}` : ""].filter((w) => w !== "").join("\u00a0") || "0"}`;
}
/** A length in words, given in mm. */
const mm = (value, digits = 1) => (SHOWN.inch ? `${inchWords(value)}${THIN}in` : `${plain(value, digits)}${THIN}mm`);
const unitWord = () => (SHOWN.inch ? "inches" : "mm");
/** As a field has a length, and back to mm. */
function toField(value) {
  if (!SHOWN.inch) return Math.round(value * 100) / 100;
  const sixteenths = (value / INCH) * 16;
  return Math.abs(sixteenths - Math.round(sixteenths)) < 1e-3 && Math.abs(sixteenths) > 0.5 ? inchWords(value).replace(MINUS, "-") : Math.round((value / INCH) * 1e4) / 1e4;
}
const fromField = (value) => (SHOWN.inch ? value * INCH : value);
/** A number as it is typed: 3.5, 3,5, 1/8, 3 1/8; not a number where it is none. */
function typedNumber(text) {
  const [, sign, whole, top, parts] = /^\s*(-?)\s*(?:(\d+)\s+)?(\d+)\s*\/\s*(\d+)\s*$/.exec(text) || [];
  if (parts) return (sign ? -1 : 1) * (Number(whole || 0) + Number(top) / Number(parts));
  return text.trim() === "" ? NaN : Number(text.replace(",", "."));
}
/** What a press of plus or minus is, mm: the step of a tape. */
const tapeStep = () => (SHOWN.inch ? INCH / 4 : 5);
/** As a field has it. */
const plainField = (value) => String(SHOWN.inch ? toField(value) : Math.round(value * 10) / 10);
/** Of fixed decimals, so that it does not jump about while it changes. */
const steady = (value, digits = 1) => value.toFixed(digits).replace("-", MINUS);
function percent(value) {
  if (value === null || value === undefined) return "no finite peak";
  return value > 9999 ? `over 9999${THIN}%` : `${steady(value)}${THIN}%`;
}
const ORDERS = { "deepest-first": "deepest point first", "edge-first": "edges first", "middle-push": "middle push", "one-way": "one way, far side loose", custom: "own steps" };
const orderWords = (name) => ORDERS[name] || name;
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const zoneWords = (zone) => ({ pad: "under the press", flat: "on the flat", lip: "at the lip", wall: "on the wall", foot: "at the foot", floor: "on the floor" }[zone] || zone);

/** Words as they are set: no backticks, units with their number. */
const typeset = (text) => text.replace(/`/g, "").replace(/(\d) (%|mm|in|degC)\b/g, `$1${THIN}$2`).replace(/degC/g, "°C");

/** What an answer says, as a sentence begins. */
const saidWords = (list) => list.map((said) => capital(typeset(said.text)));

/** Is the peak of a check within its limits, in words. */
function withinWords(check) {
  const limit = `${plain(check.film.limit_pct)}${THIN}%`;
  if (check.within_limit) return `within the limit of ${limit}`;
  const said = (kind) => check.warnings.some((w) => w.kind === kind);
  if (said("not-for-recesses")) return "not taken: the class is not meant for recesses";
  const recess = check.film.recess_limit_pct;
  if (check.peak_pct !== null && check.peak_pct <= check.film.limit_pct && recess) return `over the limit of ${plain(recess)}${THIN}% between the lips`;
  if (check.peak_pct !== null && check.peak_pct <= check.film.limit_pct) return "no verdict, counts as over";
  return `over the limit of ${limit}`;
}
const peakWords = (check) => check.peak_pct === null
  ? "has no finite peak with a pointed press: over any limit"
  : `peak ${percent(check.peak_pct)} ${check.peak_at ? zoneWords(check.peak_at.zone) : ""}, ${withinWords(check)}`;

/** The verdict on both orders at the width shown. */
function verdict(checks) {
  const atLips = (c) => c.order.name === "deepest-first" && c.reach_left_mm < 0.05 && c.reach_right_mm < 0.05;
  return checks.map((c, i) => `${capital(orderWords(c.order.name))}${atLips(c) ? ", bonded at the lips (middle push)," : ""}${i === 0 || Math.abs(c.bridge_mm - checks[0].bridge_mm) > 0.05 ? ` at ${mm(c.bridge_mm)}` : ""}: ${peakWords(c)}.`).join(" ");
}

/** Where to press, where that is not the middle, and what the middle would need. */
function pressWords(advice) {
  const press = advice.press;
  if (!press || press.at === "middle" || press.at === "foot") return "";
  const middle = press.middle_bridge_mm ? `pressed in the middle it would need ${mm(press.middle_bridge_mm)}` : "no width would do from the middle";
  return ` Press ${press.text}; ${middle}.`;
}

/** What to do, in one line. */
const DO = { "deepest-first": "Press the deepest point first.", "edge-first": "Press the edges first.", "middle-push": "Bond at the lips, then push the middle in.", "one-way": "Bond one side, lay it one way, far side loose." };
function doWords(advice) {
  const r = advice.recommended;
  return r ? `Leave ${mm(r.bridge_mm)} free. ${DO[r.order] || ""}` : `No width of ${advice.film.name} holds here. See the verdict for what would.`;
}

/** What the width covers, and what a closer reading would save. */
const READ = { depth: "depth", mouth: "mouth", floor: "floor", left_wall: "left wall", right_wall: "right wall", press: "place of the press" };
function assuredWords(advice) {
  const { range } = advice;
  if (!range || !range.draws) return "";
  const cost = Object.entries(range.per_mm || {}).filter(([, c]) => c).sort((a, b) => b[1].wider_mm - a[1].wider_mm)[0];
  return `Read exactly, ${mm(range.nominal_mm)} would do; the width above holds in ${plain(range.share_pct)}${THIN}% of what the readings leave open.`
    + (cost ? ` The ${READ[cost[0]] || cost[0]} counts most: ${SHOWN.inch ? mm(EIGHTH) : mm(1)} ${cost[1].more ? "more" : "less"} of it asks for ${mm(cost[1].wider_mm * (SHOWN.inch ? EIGHTH : 1))} more of bridge.` : "");
}

/** What to do in the bay. */
function adviceWords(advice) {
  const r = advice.recommended;
  const rule = advice.plain_rule;
  // Of the bare panel: a tip that leaves corners free needs less.
  const reached = r && r.bridge_mm < rule.least_bridge_mm ? ", which the tool does not reach into every corner" : "";
  const least = rule.least_bridge_mm === null ? "" : `, so at least ${mm(rule.least_bridge_mm)} of bridge for the bare panel${reached}`;
  const plainly = `Plain rule: ${mm(rule.extra_mm)} of extra panel${least}.`;
  if (!r) return `No width is recommended. ${plainly}`;
  return `Recommended: ${mm(r.bridge_mm)}, ${orderWords(r.order)}; tape ${mm(r.reach_left_mm)} beyond the left and ${mm(r.reach_right_mm)} beyond the right, ${mm(r.tape_to_tape_mm)} from tape to tape.${pressWords(advice)} ${plainly}`;
}

/** Trapped air, in words. */
function airWords(air) {
  if (!air) return [];
  return [`Air: at most ${plain(air.shut_in_cm3_per_m, 0)}${THIN}cm³ shut in in a metre of recess`, air.follows.text].map((w) => `${capital(w)}.`);
}

/** The force of the fingers, in words. */
function forceWords(force) {
  if (!force) return [];
  if (force.largest_n === null || force.largest_n === undefined) return force.not_computed ? [`No finger force: ${force.not_computed.text}.`] : [];
  return [`Finger force: ${typeset(force.ranked.text)}`, ...force.follows.map((f) => f.text)].map((w) => `${capital(w)}.`);
}

/** Whether the film stays down, in words. */
function holdWords(hold) {
  if (!hold) return [];
  return [hold.not_computed ? `No hold: ${hold.not_computed.text}.` : `Hold: ${typeset(hold.follows.map((f) => f.text).join("; "))}.`];
}
