// Numbers and sentences as people read them.

const THIN = "\u202f";
const MINUS = "\u2212";

/** A number with at most `digits` decimals, without trailing zeros, with a real minus. */
function plain(value, digits = 1) {
  const text = value.toFixed(digits);
  return (text.includes(".") ? text.replace(/\.?0+$/, "") : text).replace(/^-0$/, "0").replace("-", MINUS);
}
const mm = (value, digits = 1) => `${plain(value, digits)}${THIN}mm`;
/** Of fixed decimals, so that it does not jump about while it changes. */
const steady = (value, digits = 1) => value.toFixed(digits).replace("-", MINUS);
function percent(value) {
  if (value === null || value === undefined) return "no finite peak";
  return value > 9999 ? `over 9999${THIN}%` : `${steady(value)}${THIN}%`;
}
const ORDERS = { "deepest-first": "deepest point first", "edge-first": "edges first", "middle-push": "middle push", "one-way": "one way, far side loose" };
const orderWords = (name) => ORDERS[name] || name;
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
const zoneWords = (zone) => ({ pad: "under the press", flat: "on the flat", lip: "at the lip", wall: "on the wall", foot: "at the foot", floor: "on the floor" }[zone] || zone);

/** Words as they are set: no backticks, units with their number. */
const typeset = (text) => text.replace(/`/g, "").replace(/(\d) (%|mm|in|degC)\b/g, `$1${THIN}$2`).replace(/degC/g, "°C");

/** What an answer says, as a sentence begins. */
const saidWords = (list) => list.map((said) => capital(said.text));

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
  return checks.map((c, i) => `${capital(orderWords(c.order.name))}${atLips(c) ? ", bonded at the lips (middle push)," : ""}${i === 0 ? ` at ${mm(c.bridge_mm)}` : ""}: ${peakWords(c)}.`).join(" ");
}

/** Where to press, where that is not the middle, and what the middle would need. */
function pressWords(advice) {
  const press = advice.press;
  if (!press || press.at === "middle" || press.at === "foot") return "";
  const middle = press.middle_bridge_mm ? `pressed in the middle it would need ${mm(press.middle_bridge_mm)}` : "no width would do from the middle";
  return ` Press ${press.text}; ${middle}.`;
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
