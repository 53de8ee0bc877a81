// The page in front of a class: two layings side by side, large. Guess, then reveal; the laying
// step by step; worked lessons. It asks for answers of its own and leaves the page's state alone.

/** Moments of a laying, bridged to down. */
const CLASS_FRAMES = 121;
/** How long film takes from one stage to the next, and how long it then rests, ms. */
const SLOW = 2000, REST = 1100;
/** Answers kept: a few widths, to go back and forth between. */
const KEPT_ANSWERS = 12;
const STAGES = { bridged: "bridged", pressed: "pressed", flats: "flats down", floor: "floor down", wall: "walls down", "far-wall": "far wall down", step: "worked on", down: "all down" };
const ZONES = { whole: "Warmed from tape to tape", mouth: "Warmed between the lips", flats: "Warmed over the flats" };

/** Moments of both orders, so many at least that each step of one's own ends at one. */
function framesOf({ checks: [, { order }] }, least) {
  const steps = order.name === "custom" ? order.steps.length : 1;
  return steps * Math.ceil((least - 1) / steps) + 1;
}
/** The stages of steps of one's own: each has an even share of the moments. */
const stepsIn = ({ order: { steps } }, last) => [{ words: "bridged", at: 0 }].concat(steps.map((step, k) => ({
  words: k + 1 === steps.length ? "all down" : `step ${k + 1}`, say: `${capital(typeset(step.text))}.`, at: Math.round(((k + 1) / steps.length) * last),
})));

/** One order at one width, with its moments and where among them its stages are. */
function layingOf(orders, moments, check) {
  const found = moments.orders.find((o) => o.order === check.order.name);
  const frames = found ? found.frames : [];
  const last = Math.max(frames.length - 1, 0);
  const long = (spans) => (spans || []).reduce((sum, [a, b]) => sum + b - a, 0);
  const nearest = (stage) => {
    if (stage.stage === "bridged") return 0;
    if (stage.stage === "down") return last;
    const off = frames.map((f) => Math.abs(long(f.down) - long(stage.down_mm)));
    return off.indexOf(Math.min(...off));
  };
  const known = check.air && frames.length ? check.air.stages : [{ stage: "bridged" }, { stage: "down" }];
  const named = known.map((stage) => ({ words: STAGES[stage.stage] || stage.stage, at: nearest(stage) }));
  return { orders, check, frames, stages: frames.length && check.order.name === "custom" ? stepsIn(check, last) : named, last };
}
/** The moment of a laying at a stage; the last stage where it has fewer, or where none is named. */
const momentAt = (laying, stage) => (stage === undefined ? laying.last : laying.stages[Math.min(stage, laying.stages.length - 1)].at);
const frameAt = (laying, at) => (at >= laying.last ? null : laying.frames[Math.round(at)]);
const stretched = (frame) => Math.max(0, ...frame.free.map((span) => span.elongation_pct));
const freeAt = (laying, stage) => { const frame = frameAt(laying, momentAt(laying, stage)); return frame ? stretched(frame) : laying.check.peak_pct; };

/** A guess as typed: a number, a range, or what it is over. */
function guessOf(text) {
  const [, over, from, to] = /^\s*(over|>)?\s*(\d+(?:[.,]\d+)?)(?:\s*(?:-|\u2013|to|\.\.)\s*(\d+(?:[.,]\d+)?))?\s*%?\s*$/i.exec(text) || [];
  if (from === undefined) return null;
  const [a, b] = [from, to === undefined ? from : to].map((t) => Number(t.replace(",", ".")));
  if (over) return { from: a, to: Infinity, words: `over ${plain(a)}${THIN}%` };
  return { from: Math.min(a, b), to: Math.max(a, b), words: to === undefined ? `${plain(a)}${THIN}%` : `${plain(Math.min(a, b))} to ${plain(Math.max(a, b))}${THIN}%` };
}
/** A guess beside the truth, which is judged as it is shown: to a tenth. */
function judged(guess, check) {
  const truth = check.peak_pct === null ? Infinity : Math.round(check.peak_pct * 10) / 10;
  const off = truth < guess.from ? truth - guess.from : truth > guess.to ? truth - guess.to : 0;
  const by = Math.abs(off) === Infinity ? "far" : steady(Math.abs(off));
  return `guess ${guess.words}: ${off === 0 ? "right" : `${by} too ${off > 0 ? "low" : "high"}`}`;
}
/** Ranges to pick from, by the class's limit. */
const picksOf = (limit) => [0, 0.5, 1, 1.5].map((k) => `${plain(k * limit)}\u2013${plain((k + 0.5) * limit)}`).concat(`over ${plain(2 * limit)}`);

/** The stage of two layings, in words. */
function stageWords(shown, stage) {
  const words = shown.map((l) => { const s = l.stages[Math.min(stage, l.stages.length - 1)]; return s.say || s.words; });
  if (words.every((w) => w === words[0])) return `${capital(words[0])}.`;
  return `${capital(shown.map((l, i) => `${orderWords(l.check.order.name)}: ${words[i]}`).join("; "))}.`;
}

/** What the peaks of both orders come to beside each other. */
function comparedWords([first, other]) {
  if (!first.peak_pct || !other.peak_pct) return "Where a pointed press goes into a sharp corner, no peak is finite.";
  return `${capital(orderWords(other.order.name))} stretches the same film ${plain(other.peak_pct / first.peak_pct)} times as far as ${orderWords(first.order.name)}.`;
}

/** One word for a verdict. */
const wordOf = (check) => (check.within_limit ? "within" : withinWords(check).startsWith("not taken") ? "not taken" : "over");

/** Which zone of the film is warm, and how warm where that matters: `mouth:80`. */
const zoneOf = (check) => check.warm.split(":")[0];
const degreesOf = (check) => (check.warm.includes(":") ? ` ${check.warm.split(":")[1]}${THIN}°C` : "");

/** Which film is warm, along the foot of a picture. */
function warmMarks(check, view) {
  const at = [check.bond_left, check.lip_left, check.lip_right, check.bond_right].map((p) => view.x(p.x_mm));
  const warm = { whole: [true, true, true], mouth: [false, true, false], flats: [true, false, true] }[zoneOf(check)];
  if (!warm) return "";
  const e = em(), top = view.h - 1.4 * e, tall = 1.3 * e;
  // What is alike is one stretch.
  const parts = [];
  warm.forEach((is, i) => { const before = parts[parts.length - 1]; if (before && before.is === is) before.to = at[i + 1]; else parts.push({ is, from: at[i], to: at[i + 1] }); });
  return parts.map(({ is, from, to }) => {
    const words = is ? `warm${degreesOf(check)}` : "cold", room = to - from > wide(words);
    const rect = `<rect x="${fix(from + 1)}" y="${fix(top)}" width="${fix(Math.max(to - from - 2, 0))}" height="${fix(tall)}" fill="${is ? "var(--edge)" : "var(--sheet)"}" stroke="var(--edge)" stroke-width="2"/>`;
    return rect + (room ? text((from + to) / 2, top + 0.98 * e, words, "middle", is ? "warm" : "") : "");
  }).join("");
}

/** The recess and film of the lessons. */
const LESSON = { section: { demo: "deep-channel" }, film: "wrap-cast", tool: "fingertip" };
const toFive = (value) => 5 * Math.round(value / 5);
const points = (value) => `${steady(value)} points`;

/** The lessons: a name, and its screens from the engine's answers. `lab(width, warm)` asks. */
const LESSONS = {
  "why-wider": ["Why wider", async (lab) => {
    const best = await lab(), { bridge_mm: enough, least_bridge_mm: least } = best.orders;
    const lips = await lab(least), middle = await lab(toFive((least + enough) / 2)), wider = await lab(toFive(enough + 65));
    const [a, b, c, d] = [lips, middle, best, wider].map((l) => l.deepest.check);
    const slope = (p, q) => points((10 * (p.peak_pct - q.peak_pct)) / (q.bridge_mm - p.bridge_mm));
    return [
      { shown: [lips.deepest], stage: 0, say: `Bonded at the lips, ${mm(a.bridge_mm)} of film must cover ${mm(a.arc_mm)} of panel: ${percent(a.mean_pct)} more on average.` },
      { shown: [lips.deepest], say: `Pressed down it peaks at ${percent(a.peak_pct)}, ${withinWords(a)}.` },
      { shown: [middle.deepest], before: [a], say: `Any bridge must give some ${mm(b.extra_mm, 0)} more; ${mm(b.bridge_mm)} of film share that out further, and the peak is ${percent(b.peak_pct)}.` },
      { shown: [best.deepest], before: [b], say: `With ${mm(c.bridge_mm)} of film it is ${percent(c.peak_pct)}, ${withinWords(c)}.` },
      { shown: [wider.deepest], before: [c], say: `With ${mm(d.bridge_mm)} it is ${percent(d.peak_pct)}: up to ${mm(c.bridge_mm)} each ${mm(10)} took off ${slope(b, c)}, from there on ${slope(c, d)}.` },
    ];
  }],
  "why-deepest-first": ["Why deepest first", async (lab) => {
    const best = await lab(), wider = await lab(toFive(best.orders.bridge_mm + 65));
    const both = [best.deepest, best.edge], [d, e] = both.map((l) => l.check), [wd, we] = wider.orders.checks;
    return [
      { shown: both, stage: 0, say: `The same film, the same recess, the same bridge of ${mm(d.bridge_mm)}: only the order differs.` },
      { shown: both, stage: 1, say: `The press draws on the whole bridge, at ${percent(freeAt(best.deepest, 1))}; edges first, the flats are stuck down and give no more.` },
      { shown: both, stage: 2, say: `Edges first leaves ever less film free for the rest: it is at ${percent(freeAt(best.edge, 2))}, deepest point first at ${percent(freeAt(best.deepest, 2))}.` },
      { shown: both, say: `All down: ${percent(d.peak_pct)}, ${wordOf(d)}, against ${percent(e.peak_pct)}, ${wordOf(e)}: ${plain(e.peak_pct / d.peak_pct)} times as much.` },
      { shown: [wider.deepest, wider.edge], before: [d, e], say: `A bridge of ${mm(wd.bridge_mm)} takes deepest point first to ${percent(wd.peak_pct)}; edges first stays at ${percent(we.peak_pct)}.` },
    ];
  }],
  "why-warm-the-flats": ["Why warm the flats", async (lab) => {
    const enough = (await lab()).orders.bridge_mm;
    const warm = await lab(enough, "whole"), cold = await lab(enough, "mouth"), wider = await lab(toFive(enough + 65), "mouth");
    const both = [warm.deepest, cold.deepest], [w, c] = both.map((l) => l.check), far = wider.deepest.check;
    const flat = (check) => percent(check.profile[0].elongation_pct);
    return [
      { shown: both, stage: 0, say: `Twice deepest point first over ${mm(w.bridge_mm)}: the film warmed from tape to tape, and between the lips only.` },
      { shown: both, stage: 1, say: "The press pulls at all of it, but film left cold over the flats is stiff and holds back." },
      { shown: both, say: `Warm flats gave ${flat(w)}, cold ones ${flat(c)}; so the peaks are ${percent(w.peak_pct)}, ${wordOf(w)}, and ${percent(c.peak_pct)}, ${wordOf(c)}.` },
      { shown: [wider.deepest], before: [c], say: `More bridge does not make up for it: with ${mm(far.bridge_mm)} and cold flats the peak is ${percent(far.peak_pct)}, ${wordOf(far)}.` },
      { shown: [warm.deepest], say: `So warm the flats up to the tapes as well: ${mm(w.bridge_mm)} then peaks at ${percent(w.peak_pct)}, ${withinWords(w)}.` },
    ].map((screen) => ({ ...screen, zones: true }));
  }],
};

class ClassView {
  constructor(page) {
    this.page = page;
    this.dialog = byId("class");
    this.panes = [...allOf(".class-pane")].map((pane, i) => {
      const part = (name) => pane.querySelector(`.class-${name}`);
      const guess = { form: part("guess"), picks: part("picks"), typed: pane.querySelector("input") };
      guess.form.addEventListener("submit", (event) => { event.preventDefault(); this.forward(); });
      guess.typed.addEventListener("input", () => this.guess(i, guess.typed.value));
      return { pane, name: part("name"), host: part("drawing"), verdict: part("verdict"), ...guess };
    });
    this.answers = new Map();
    this.filled = new Map();
    this.guesses = [null, null];
    this.deck = [];
    this.step = 0;
  }

  /** Both orders at what is asked, each question asked once. */
  async at(asked) {
    const key = JSON.stringify(asked), { answers } = this;
    if (!answers.has(key)) {
      const orders = await this.page.ask({ ...asked, ask: "orders" });
      const moments = await this.page.ask({ ...asked, ask: "moments", bridge_mm: orders.bridge_mm, frames: framesOf(orders, CLASS_FRAMES) });
      const [deepest, edge] = orders.checks.map((check) => layingOf(orders, moments, check));
      if (answers.size >= KEPT_ANSWERS) answers.delete(answers.keys().next().value);
      answers.set(key, { orders, deepest, edge });
    }
    return answers.get(key);
  }

  /** Opens over the page with its present section, film and width; or with a lesson. */
  async open(lesson) {
    const { page, dialog } = this;
    if (!dialog.open) {
      dialog.showModal();
      byId("class-title").focus();
      this.asked = { ...page.request(), order: page.shownBeside() };
      this.width = page.orders ? page.orders.bridge_mm : null;
      this.most = 0;
      this.clear();
      this.step = 0;
      this.blank(false);
      // What stood here when it was closed is not of this section.
      for (const { pane, verdict } of this.panes) { pane.hidden = true; this.fill(verdict, ""); }
      byId("class-say").textContent = "Computing…";
    }
    await (lesson ? this.start(lesson) : this.free(0));
  }

  close() {
    this.turn = null;
    this.forget();
    this.answers.clear();
    this.deck = [];
    if (document.fullscreenElement) document.exitFullscreen().catch(() => {});
    if (this.dialog.open) this.dialog.close();
  }

  /** A lesson is over: a link to it has done its work. */
  forget() {
    this.lesson = null;
    if (location.hash.startsWith("#lesson=")) history.replaceState(null, "", location.href.split("#")[0]);
  }

  /** The page's own section: asked about, revealed, laid. `step` is where to go on. */
  async free(step, before) {
    const turn = (this.turn = {});
    this.lesson = null;
    this.most = Math.max(this.most, 1.1 * (this.width || 0));
    const fault = this.page.fault;
    const deck = await this.made(async () => {
      if (fault) throw fault;
      const { deepest, edge, orders } = await this.at({ ...this.asked, bridge_mm: this.width === null ? undefined : this.width });
      this.width = orders.bridge_mm;
      const shown = [deepest, edge], count = Math.max(...shown.map((l) => l.stages.length));
      const lay = Array.from({ length: count }, (_, stage) => ({ shown, stage, say: stageWords(shown, stage) }));
      return [
        { shown, before, stage: 0, hidden: true, say: "What will the peak be?" },
        { shown, before, say: comparedWords(orders.checks) },
        ...lay,
      ];
    });
    if (turn === this.turn) this.take(deck, step);
  }

  /** Starts a lesson; the page's own section comes back when it ends. */
  async start(name) {
    if (!LESSONS[name]) return this.free(0);
    const turn = (this.turn = {});
    if (!this.lesson) this.resume = this.step;
    this.lesson = name;
    byId("class-say").textContent = "Computing…";
    const lab = (width, warm) => this.at({ ...LESSON, bridge_mm: width, bay: warm ? { warm } : undefined });
    const deck = await this.made(() => LESSONS[name][1](lab));
    if (turn !== this.turn) return;
    this.take(deck, 0);
    // The space bar of a clicker presses what has the focus.
    byId("class-next").focus();
  }

  endLesson() {
    this.forget();
    byId("class-title").focus();
    return this.free(this.resume);
  }

  /** A deck of screens, or one that says why there is none. */
  async made(make) {
    try {
      return await make();
    } catch (error) {
      return [{ shown: [], say: `Nothing to show: ${typeset(error.message)}` }];
    }
  }

  take(deck, step) {
    this.deck = deck;
    this.step = 0;
    this.moments = [];
    this.go(Math.min(step, deck.length - 1), false);
  }

  get screen() { return this.deck[this.step]; }

  /** Goes to a screen; `slowly`: film that is there already is laid before one's eyes. */
  async go(step, slowly) {
    if (!this.deck[step]) return;
    const turn = (this.turn = {}), from = this.screen;
    this.step = step;
    const { shown, stage } = this.screen;
    const aims = shown.map((laying) => momentAt(laying, stage));
    const same = !from.hidden && shown.length === from.shown.length && shown.every((laying, i) => laying === from.shown[i] && aims[i] >= this.moments[i]);
    const starts = this.moments;
    this.words();
    // One moment on is a press: nothing lies between.
    if (slowly && same && !still.matches && aims.some((aim, i) => aim - starts[i] > 1)) {
      const began = performance.now();
      for (let part = 0; part < 1; ) {
        const now = await new Promise(requestAnimationFrame);
        if (turn !== this.turn) return;
        part = Math.min(1, Math.max(0, now - began) / SLOW);
        this.moments = aims.map((aim, i) => starts[i] + (aim - starts[i]) * part);
        this.paint();
      }
    }
    this.moments = aims;
    this.paint();
  }

  forward() {
    if (this.step < this.deck.length - 1) this.go(this.step + 1, true);
    else if (this.lesson) this.endLesson();
  }

  back() {
    if (this.step > 0) this.go(this.step - 1, false);
  }

  /** All stages one after the other. */
  async play() {
    if (this.playing) { this.playing = null; this.turn = {}; this.words(); return; }
    const playing = (this.playing = {}), first = this.deck.findIndex((s) => s.shown.length && s.stage === 0 && !s.hidden);
    const goOn = () => this.playing === playing && this.dialog.open;
    for (let step = first; step < this.deck.length && goOn(); step += 1) {
      await this.go(step, true);
      if (goOn() && step < this.deck.length - 1) await new Promise((done) => setTimeout(done, REST));
    }
    if (this.playing === playing) { this.playing = null; this.words(); }
  }

  /** A width of five millimetres more or less; what was there stays as an outline. */
  widen(by) {
    const { shown } = this.screen;
    if (this.lesson || shown.length === 0) return;
    const { orders } = shown[0];
    const step = tapeStep();
    const next = clamp(step * (by > 0 ? Math.floor(this.width / step + 1 + 1e-9) : Math.ceil(this.width / step - 1 - 1e-9)), orders.least_bridge_mm, orders.widest_bridge_mm);
    if (Math.abs(next - this.width) < 1e-9) return;
    this.width = next;
    this.playing = null;
    this.clear();
    this.free(Math.min(this.step, 1), shown.map((laying) => laying.check));
  }

  /** No guess stands. */
  clear() { this.panes.forEach(({ typed }, i) => { typed.value = ""; this.guess(i, ""); }); }

  guess(i, text) {
    this.guesses[i] = guessOf(text);
    this.panes[i].typed.setAttribute("aria-invalid", String(text.trim() !== "" && !this.guesses[i]));
    for (const button of this.panes[i].picks.children) button.setAttribute("aria-pressed", String(button.value === text));
  }

  blank(dark) {
    byId("class-dark").hidden = !dark;
    if (dark) byId("class-dark").focus();
    else byId("class-title").focus();
  }

  escape() {
    if (!byId("class-dark").hidden) this.blank(false);
    else if (this.playing) this.play();
    else if (this.lesson) this.endLesson();
    else this.close();
  }

  /** What is said and what can be pressed; the pictures are `paint`'s. */
  words() {
    const { screen, lesson, step, deck } = this;
    const first = screen.shown[0], last = step === deck.length - 1;
    const set = (id, words) => { if (byId(id).textContent !== words) byId(id).textContent = words; };
    const film = first ? `${first.check.film.name}, limit ${plain(first.check.film.limit_pct)}${THIN}%` : "";
    set("class-what", lesson ? `Demo ${LESSON.section.demo}, ${film}` : film);
    set("class-count", lesson ? `${step + 1} of ${deck.length}` : "");
    set("class-say", screen.say);
    /** @type {any} */
    const here = document.activeElement;
    byId("class-back").disabled = step === 0;
    set("class-back", !lesson && step === 1 ? "Ask again" : "Back");
    byId("class-next").disabled = last && !lesson;
    set("class-next", last && lesson ? "End the lesson" : lesson ? "Next" : ["Reveal", "Lay it"][step] || "Next step");
    byId("class-play").hidden = Boolean(lesson) || still.matches || screen.hidden || !first;
    set("class-play", this.playing ? "Stop" : "Play");
    byId("class-end").hidden = !lesson || last;
    byId("class-width").hidden = Boolean(lesson) || !first;
    set("class-less", `${MINUS} ${mm(tapeStep())}`);
    set("class-more", `+ ${mm(tapeStep())}`);
    set("class-mm", first ? mm(first.check.bridge_mm) : "");
    for (const link of byId("class-lessons").children) {
      if (link.dataset.lesson === lesson) link.setAttribute("aria-current", "true"); else link.removeAttribute("aria-current");
    }
    this.panes.forEach(({ pane, form, picks, typed, verdict }, i) => {
      const laying = screen.shown[i];
      pane.hidden = !laying;
      if (!laying) { this.fill(verdict, ""); return; }
      form.hidden = !screen.hidden;
      verdict.hidden = Boolean(screen.hidden);
      const limit = laying.check.film.limit_pct, text = typed.value;
      if (picks.dataset.limit === String(limit)) return;
      picks.dataset.limit = String(limit);
      picks.innerHTML = picksOf(limit).map((words) => `<button type="button" value="${words}" aria-pressed="${words === text}">${words}</button>`).join("");
      for (const button of picks.children) button.addEventListener("click", () => { typed.value = button.value; this.guess(i, button.value); });
    });
    byId("class-screen").classList.toggle("one", screen.shown.length === 1);
    // A control that goes or sleeps hands the keys on.
    if (here.disabled || here.closest("#class [hidden]")) byId("class-title").focus();
  }

  paint() {
    const { screen, moments } = this;
    if (!this.dialog.open || !screen) return;
    const factor = parseFloat(getComputedStyle(byId("class-screen")).fontSize) / em();
    const most = this.lesson ? Math.max(0, ...this.deck.flatMap((s) => s.shown.map((l) => l.orders.bridge_mm))) : this.most;
    enlarged(factor, () => {
      screen.shown.forEach((laying, i) => {
        const { name, host, verdict } = this.panes[i], { check, orders } = laying;
        const frame = frameAt(laying, moments[i]);
        const title = screen.zones ? ZONES[zoneOf(check)] : capital(orderWords(check.order.name));
        const at = laying.stages.filter((s) => s.at <= moments[i] + 1e-9).pop();
        this.fill(name, `<span class="what">${title}</span> <span>${screen.hidden ? "" : at.words}</span>`);
        this.fill(verdict, screen.hidden ? "" : this.verdict(check, frame, i));
        const look = { bare: true, film: 1.5, tint: true, hidden: screen.hidden, before: screen.before && screen.before[i], more: screen.zones && ((view) => warmMarks(check, view)) };
        drawOrder(host, orders, check, screen.hidden ? laying.frames[0] || { down: [], free: [] } : frame, viewOf(orders, most, host, 3.2), look);
      });
      if (!screen.shown[0]) return;
      const { film } = screen.shown[0].check, host = byId("class-scale"), key = `${film.limit_pct} ${host.clientWidth} ${factor}`;
      if (this.filled.get(host) !== key) drawScale(host, film);
      this.filled.set(host, key);
    });
  }

  /** Puts HTML where it is not what stands there. */
  fill(host, html) {
    if (this.filled.get(host) !== html) host.innerHTML = html;
    this.filled.set(host, html);
  }

  /** The number, the word, and what they are of. */
  verdict(check, frame, i) {
    const large = (words) => `<span class="class-number">${words}</span>`;
    if (frame) return `${large(percent(stretched(frame)))} <span class="class-of">free film${isEven(check) ? "" : " between the lips"}</span>`;
    const word = wordOf(check), before = this.screen.before && this.screen.before[i], guess = this.lesson ? null : this.guesses[i];
    const said = [check.peak_at ? `peak ${zoneWords(check.peak_at.zone)}` : "no finite peak: a pointed press in a sharp corner", guess ? `<strong>${judged(guess, check)}</strong>` : "", before ? `before: ${percent(before.peak_pct)}` : ""].filter(Boolean);
    return `${large(check.peak_pct === null ? "\u221e" : percent(check.peak_pct))} <strong class="class-word" data-word="${word}">${word}</strong> <span class="class-of">${said.join("; ")}</span>`;
  }

  /** Keys of a presenter's clicker, and of a keyboard. */
  key(event) {
    // The page under it hears none of them.
    event.stopPropagation();
    if (event.ctrlKey || event.altKey || event.metaKey || event.key === "Tab") return;
    const typing = event.target.matches("input"), button = event.target.matches("button, a");
    const dark = !byId("class-dark").hidden;
    const does = {
      Escape: () => this.escape(), PageDown: () => this.forward(), PageUp: () => this.back(),
      ...(typing ? {} : { ArrowRight: () => this.forward(), ArrowLeft: () => this.back(), b: () => this.blank(!dark), B: () => this.blank(!dark), ".": () => this.blank(!dark) }),
      ...(typing || button ? {} : { " ": () => this.forward() }),
    }[event.key];
    if (!does && !dark) return;
    event.preventDefault();
    if (dark) this.blank(false);
    else if (event.key === "Escape" || !event.repeat) { if (event.key !== "Escape") this.playing = null; does(); }
  }
}

function wireClass(page) {
  const view = new ClassView(page), { dialog } = view, screen = byId("class-screen");
  const on = (id, does) => byId(id).addEventListener("click", does);
  byId("class-lessons").innerHTML = Object.entries(LESSONS).map(([name, [title]]) => `<a class="button" id="lesson=${name}" href="#lesson=${name}" data-lesson="${name}">${title}</a>`).join("");
  byId("class-lessons").addEventListener("click", (event) => {
    const link = event.target.closest("a");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    view.playing = null;
    view.start(link.dataset.lesson);
  });
  const full = async (whole) => {
    // Where there is no full screen, or none without a tap, the window is filled.
    try {
      if (whole) await screen.requestFullscreen(); else await document.exitFullscreen();
    } catch { /* filled already */ }
  };
  byId("class-full").hidden = !document.fullscreenEnabled;
  document.addEventListener("fullscreenchange", () => { byId("class-full").textContent = document.fullscreenElement ? "Leave full screen" : "Full screen"; });
  on("show-class", () => { view.open(); full(true); });
  on("class-full", () => full(!document.fullscreenElement));
  on("class-close", () => view.close());
  on("class-blank", () => view.blank(true));
  on("class-dark", () => view.blank(false));
  on("class-back", () => { view.playing = null; view.back(); });
  on("class-next", () => { view.playing = null; view.forward(); });
  on("class-play", () => view.play());
  on("class-end", () => view.endLesson());
  on("class-less", () => view.widen(-5));
  on("class-more", () => view.widen(5));
  // Wherever the focus is: a click beside every control leaves it nowhere.
  document.addEventListener("keydown", (event) => { if (dialog.open) view.key(event); }, true);
  dialog.addEventListener("cancel", (event) => { event.preventDefault(); view.escape(); });
  dialog.addEventListener("close", () => view.close());
  still.addEventListener("change", () => { if (dialog.open && view.screen) view.words(); });
  let frame = 0;
  document.addEventListener("resized", () => {
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(() => view.paint());
  });
  const fromLink = () => { if (location.hash.startsWith("#lesson=")) view.open(location.hash.slice(8)); };
  window.addEventListener("hashchange", fromLink);
  fromLink();
  return view;
}
