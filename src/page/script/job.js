// The job file, which the command line opens and saves too (`--job`, `--save-job`): a question as
// TOML. Here and not in the engine, which a whole reader of TOML would make a fifth larger: read is
// what job files are made of, and all else is refused with its line.

/** A question as TOML. TOML has the escapes of JSON. */
function tomlOf(question) {
  const value = (v) => (Array.isArray(v) ? `[${v.map(value).join(", ")}]`
    : typeof v === "object" ? `{ ${Object.entries(v).map(([k, w]) => `${k} = ${value(w)}`).join(", ")} }`
    : JSON.stringify(v).replace(/\x7f/g, "\\u007f"));
  const lines = (v) => typeof v === "string" && /\n/.test(v) && !/'''|'$|[\x00-\x08\x0b-\x1f\x7f]/.test(v);
  const keys = (table) => Object.entries(table).filter(([, v]) => v !== null && v !== undefined)
    .map(([k, v]) => `${k} = ${lines(v) ? `'''\n${v}'''` : value(v)}\n`).join("");
  const isTable = ([, v]) => typeof v === "object" && v !== null && !Array.isArray(v);
  const all = Object.entries(question);
  return keys(Object.fromEntries(all.filter((e) => !isTable(e)))) + all.filter(isTable).map(([k, v]) => `\n[${k}]\n${keys(v)}`).join("");
}

/** The question in a job file. */
function questionOf(text) {
  let at = text.startsWith("\ufeff") ? 1 : 0;
  const question = {};
  const refuse = (expected) => {
    const line = text.slice(0, at).split("\n").length;
    throw new Error(`line ${line}: found \`${(text.slice(at).split("\n")[0] || "the end").slice(0, 40)}\`, but ${expected} was expected`);
  };
  const take = (pattern) => {
    const match = new RegExp(pattern, "y");
    match.lastIndex = at;
    const found = match.exec(text);
    if (found) at = match.lastIndex;
    return found && found[0];
  };
  const gap = () => take(/(?:\s|#[^\n]*)*/);
  const end = () => take(/[ \t]*(?:#[^\n]*)?(?:\r?\n|$)/) === null && refuse("the end of the line");
  const name = () => take(/[\w-]+/) || refuse("a key");
  const put = (table, key, value) => {
    if (Object.hasOwn(table, key)) refuse(`\`${key}\` once`);
    table[key] = value;
  };
  const list = (close, item) => {
    gap();
    while (!take(close)) {
      item();
      gap();
      if (take(/,/)) gap(); else if (!text.slice(at).match(new RegExp(`^${close.source}`))) refuse("a comma");
    }
  };
  const pair = (table) => {
    const path = [name()];
    while (take(/[ \t]*\.[ \t]*/)) path.push(name());
    const last = path.pop();
    for (const key of path) table = table[key] ??= {};
    if (!take(/[ \t]*=[ \t]*/)) refuse("`=`");
    put(table, last, value());
  };
  const value = () => {
    const from = at;
    let found = take(/'''[^]*?'''/);
    if (found) return found.slice(3, -3).replace(/^\r?\n/, "");
    if (text.startsWith('"""', at)) refuse("`'''` around several lines");
    found = take(/'[^'\n]*'/);
    if (found) return found.slice(1, -1);
    found = take(/"(?:[^"\\\n]|\\.)*"/);
    if (found) {
      try { return JSON.parse(found.replace(/\t/g, "\\t")); } catch { at = from; refuse("text without such an escape"); }
    }
    found = take(/true\b|false\b/);
    if (found) return found === "true";
    found = take(/[+-]?\d[\d_]*(?:\.\d[\d_]*)?(?:[eE][+-]?\d+)?(?![\w.:-])/);
    if (found) return Number(found.replaceAll("_", ""));
    const inside = take(/\[/) ? [] : take(/\{/) ? {} : refuse("a number, text in quotes, `true` or `false`");
    if (Array.isArray(inside)) list(/\]/, () => inside.push(value()));
    else list(/\}/, () => pair(inside));
    return inside;
  };
  let table = question;
  for (gap(); at < text.length; gap()) {
    const header = take(/\[\[?/);
    if (header) {
      const path = [name()];
      while (take(/\./)) path.push(name());
      if (!take(header === "[" ? /\]/ : /\]\]/)) refuse("`]`");
      const last = path.pop();
      table = path.reduce((t, key) => (Array.isArray(t[key] ??= {}) ? t[key].at(-1) : t[key]), question);
      if (header === "[[") { (table[last] ??= []).push({}); table = table[last].at(-1); } else table = table[last] ??= {};
    } else pair(table);
    end();
  }
  return question;
}

/** Keys of a question that are text, and handed on as they are. */
const KEPT_KEYS = ["name", "split", "print", "end_left", "end_right", "loose"];

/** The state that shows a question, and what of it the page leaves out. A section that it has
    neither sliders nor fields for becomes points, as the engine reads it. */
async function stateOf(question, ask) {
  const [[way, text] = []] = Object.entries(question.section || {});
  if (!way) throw new Error("it has no section");
  const left = [];
  const typed = Object.fromEntries(TYPED.filter((key) => question[key] !== undefined).map((key) => [key, question[key]]));
  const given = { v: 1, film: question.film, own: question.film_class, tool: question.tool || "fingertip", bridge: question.bridge_mm, bay: question.bay, more: question, kept: question, ...besideOf(question.order) };
  const [, kind, list] = /^(?:(\w+):)?(.*)$/s.exec(text);
  const numbers = Object.fromEntries(list.split(",").map((part) => part.split("=")).map(([key, v]) => [key.trim(), Number(v)]));
  const plain = !typed.units && Object.values(numbers).every(isNumber);
  const keys = way === "shape" && SHAPES[kind] ? SHAPES[kind].map(([key]) => key) : [];
  if (plain && keys.length > 0 && keys.every((key) => key in numbers) && Object.keys(numbers).length === keys.length) {
    return [readState({ ...given, way, kind, shape: numbers }), left];
  }
  if (plain && way === "tape" && Object.keys(numbers).every((key) => READINGS.some((r) => r[0] === key))) {
    const state = readState({ ...given, way });
    state.tape = { ...Object.fromEntries(READINGS.map(([key]) => [key, ""])), ...numbers };
    return [state, left];
  }
  if (["points", "comb", "csv", "text"].includes(way)) return [readState({ ...given, way: "text", text, typed }), left];
  const demo = way === "demo" && (await ask({ ask: "catalogue" })).recesses.find((r) => r.name === text);
  if (demo) return [readState({ ...given, way: "text", text: demo.csv }), left];
  const seen = await ask({ ...typed, section: question.section, ask: "section" });
  if (way === "tape") left.push("the other shapes that fit the tape");
  return [readState({ ...given, way: "drag", points: seen.points }), left];
}
