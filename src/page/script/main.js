// The page itself: controls to state, state to questions, answers to pictures.

const still = window.matchMedia("(prefers-reduced-motion: reduce)");

/** How long a newer question waits for the one under way, and how long that needs not say that it
    computes, ms. */
const PATIENCE = 200;

/** Moments of a laying, bridged to down, least. */
const FRAMES = 41;

/** What an option that may be taken does to the state. */
const TAKEN = {
  "film-class": (state, option) => { state.film = option.name; state.own = null; state.bridge = null; },
  "far-side-loose": (state) => { state.beside = "one-way"; },
  "more-clear": (state, option) => { state.more.clear_left_mm = Math.ceil(option.clear_left_mm); state.more.clear_right_mm = Math.ceil(option.clear_right_mm); state.bridge = null; },
};

/** A unit in a label; lengths follow what the page is read in. */
const inUnit = (unit) => (unit === "°" ? "degrees" : '<span class="unit">mm</span>');

/** A class of the comparison. */
function classRow(film, answer, mine) {
  const name = `<th scope="row"><button type="button" class="plain" data-film="${mine ? "" : escape(film.name)}">${escape(film.name)}</button></th>`;
  if (answer.error) return `<tr>${name}<td colspan="4">${escape(typeset(answer.error.message))}</td></tr>`;
  const r = answer.recommended;
  const check = answer.orders.find((c) => r && c.order.name === r.order) || answer.orders[0];
  const hold = check && check.hold && isNumber(check.hold.ratio) ? `${plain(check.hold.ratio, check.hold.ratio < 10 ? 1 : 0)} times` : "";
  return `<tr>${name}<td>${plain(answer.film.limit_pct)}${THIN}%</td><td>${r ? mm(r.bridge_mm) : "no width"}</td><td>${r ? percent(r.peak_pct) : ""}</td><td>${r ? hold : ""}</td></tr>`;
}

class Page {
  constructor(ask) {
    this.ask = ask;
    this.state = firstState();
    this.history = new History(this.state);
    this.advice = null; this.orders = null; this.seen = null; this.sweep = null; this.moments = null;
    /** @type {any} */
    this.catalogue = null; this.trace = null; this.first = 0; this.thinned = "";
    /** @type {any} */
    this.misread = null;
    this.place = null; this.busy = false; this.waiting = null; this.later = 0; this.most = 200;
    this.timing = [];
    this.editor = new Editor(byId("section-drawing"), byId("handles"), () => this.changed(true), () => this.settled());
  }

  /** The question, with the width that was set. */
  question() {
    return { ...requestOf(this.state), ...this.wide(this.state.bridge) };
  }

  /** As a file has it: the order beside deepest point first too. */
  job() {
    return { ...this.question(), order: besideIn(this.state) };
  }

  /** A width, unless bond lines say it. */
  wide(bridge) {
    const { bond_left_x_mm: left, bond_right_x_mm: right } = this.state.more;
    return bridge === null || left !== undefined || right !== undefined ? {} : { bridge_mm: bridge };
  }

  /** The question at the width shown: that which was set, else that which was answered. */
  request() {
    const answered = this.advice && this.advice.recommended ? this.advice.recommended.bridge_mm : null;
    return { ...requestOf(this.state), ...this.wide(this.state.bridge ?? answered) };
  }

  /** What a question about the section alone carries. */
  sectionRequest() {
    const drawn = this.state.way === "tape" && this.advice;
    // Of tape readings the shape that needs most.
    const shape = drawn ? { section: { points: this.advice.section.points.map((p) => p.join(",")).join(" ") } } : {};
    return { ...this.request(), film: undefined, tool: undefined, bay: undefined, bridge_mm: undefined, ...shape };
  }

  /** Asks for everything (`whole`), or for what a moved slider changes. One question is
      under way at a time; the newest waits for it a moment, then ends it. */
  async changed(whole) {
    this.turn = null;
    this.dropCard();
    if (this.busy) {
      this.waiting = this.waiting || whole;
      this.again = true;
      if (performance.now() - this.from > PATIENCE) this.ask.stop();
      return;
    }
    this.busy = true;
    const main = firstOf("main");
    const slow = setTimeout(() => main.classList.add("working"), PATIENCE);
    do {
      this.again = false;
      const all = whole || this.waiting;
      this.waiting = null;
      await this.answer(all);
      whole = false;
    } while (this.again);
    this.busy = false;
    clearTimeout(slow);
    main.classList.remove("working");
  }

  async answer(whole) {
    const { kept, way, typed } = this.state;
    SHOWN.inch = (kept.print || (way === "text" ? typed.units : "")) === "in";
    const from = (this.from = performance.now());
    try {
      if (this.misread) {
        const { label, text, key } = this.misread;
        this.readable = false;
        throw new Refusal({ message: `${label}: found ${text.trim() ? `\u201c${text.trim()}\u201d` : "nothing"}, but a number was expected`, faults: [{ key }] });
      }
      if (whole) {
        const bare = requestOf(this.state);
        // The bridge round an end takes seconds: the card asks for it.
        const tape = this.state.way === "tape";
        this.readable = false;
        if (!tape) this.seen = await this.ask({ ...this.sectionRequest(), ask: "section" });
        this.readable = !tape;
        this.advice = await this.ask({ ...bare, ask: "recommend", round_ends: false });
        // Of tape readings that leave the shape open, the shape that needs most.
        if (tape) this.seen = await this.ask({ ...this.sectionRequest(), ask: "section" });
        this.sweep = null;
      }
      this.orders = await this.askOrders();
      this.moments = null;
      // The slider ends where the moments do; film that was down stays down.
      const stage = byId("stage"), down = stage.value === stage.max;
      stage.max = String(framesOf(this.orders, FRAMES) - 1);
      if (down) stage.value = stage.max;
      this.fault = null;
    } catch (error) {
      // Ended for a newer one, which asks for what this one had not got.
      if (this.again) { this.waiting = this.waiting || whole; return; }
      this.fault = error instanceof Refusal ? error : new Refusal({ message: String(error) });
    }
    this.asked = performance.now() - from;
    this.paint(whole);
    this.timing.push(performance.now() - from);
    if (this.timing.length > 500) this.timing.shift();
    clearTimeout(this.later);
    this.idle = false;
    this.turn = null;
    this.later = setTimeout(() => this.rest(), whole && !this.sweep ? 60 : 150);
  }

  /** Deepest point first, and beside it the order chosen; edges first where that cannot be laid. */
  async askOrders() {
    const asked = { ...this.request(), ask: "orders" }, order = besideIn(this.state);
    this.unlaid = null;
    try {
      return await this.ask({ ...asked, order });
    } catch (error) {
      if (!order || this.again) throw error;
      this.unlaid = error;
      return this.ask(asked);
    }
  }

  /** The order beside deepest point first that is shown. */
  shownBeside() { return this.unlaid ? undefined : besideIn(this.state); }

  /** What may come a moment later: curve, warmth, moments. */
  async rest() {
    const turn = (this.turn = {}), fresh = () => turn === this.turn;
    this.keep();
    await this.askRead();
    if (fresh() && !this.fault && this.orders) {
      await this.askEnd(fresh);
      if (fresh()) await this.card().catch(() => null);
      if (fresh()) await this.askRest(fresh);
      if (fresh()) await this.askClasses(fresh);
    }
    if (fresh()) this.idle = true;
  }

  /** The address holds the state: a reload or a tab brought back has it again. */
  keep() {
    const hash = `#s=${packState(this.state)}`;
    if (hash === this.kept) return;
    this.kept = hash;
    try {
      history.replaceState(null, "", hash);
    } catch {
      location.replace(hash);
    }
  }

  /** What prints: the card of what is on the screen, or why there is none. */
  dropCard() {
    this.asking = null;
    showNoCard("The job card of what is on the screen is still being computed. Print again in a moment.");
  }

  /** The card, asked for once a state. */
  card() {
    if (!this.asking) {
      const asking = (this.asking = this.ask({ ...this.question(), ask: "card" }));
      asking.then(
        ({ html }) => { if (asking === this.asking) showCard(html); },
        (error) => { if (asking === this.asking) { this.asking = null; showNoCard(`No job card: ${typeset(error.message)}`); } },
      );
    }
    return this.asking;
  }

  /** What was done to the readings, where something was: sentences, and raw against read. */
  async askRead() {
    const { seen } = this, reading = seen && seen.reading;
    const changed = reading && (reading.fitted || reading.turned || reading.slips.length > 0);
    if (this.fault || !changed) { byId("read").hidden = true; return; }
    const wide = Math.round((sizeOf(byId("section-drawing")).w / em()) * 10) / 10;
    if (wide < 1) return;
    const question = JSON.stringify({ ...this.sectionRequest(), ask: "reading", width_em: wide });
    try {
      if (question !== this.readFor) this.paintRead(await this.ask(JSON.parse(question)));
    } catch {
      byId("read").hidden = true;
      return;
    }
    this.readFor = question;
    byId("read").hidden = this.fault || seen !== this.seen;
  }

  paintRead({ done, picture }) {
    byId("read-done").innerHTML = saidWords(done).map((w) => `<li>${escape(w)}.</li>`).join("");
    // Numbers keep their units on their line.
    const joined = (words) => words.replace(/\u2009/g, THIN);
    byId("read-answer").textContent = picture ? `${joined(picture.title)}.` : "";
    byId("read-picture").innerHTML = picture ? picture.svg : "";
    byId("read-note").textContent = picture ? joined(picture.note) : "";
  }

  /** The closed end, from above, at the width shown; nothing where none is said. */
  async askEnd(fresh) {
    const host = byId("end"), verdict = byId("end-verdict");
    const closed = ENDS.some((key) => !["", "open"].includes(endOf(this.state.kept[key]).kind)) || ["one-open", "closed"].includes(this.state.bay.ends);
    host.hidden = verdict.hidden = !closed;
    if (!closed) { this.end = null; return; }
    const wide = Math.round((sizeOf(byId("end-picture")).w / em()) * 10) / 10;
    host.setAttribute("aria-busy", "true");
    byId("end-answer").textContent = verdict.textContent = `Laying film round the end at ${mm(this.orders.bridge_mm)}…`;
    try {
      const end = await this.ask({ ...this.request(), ask: "end", ...this.wide(this.orders.bridge_mm), width_em: wide });
      if (fresh()) this.paintEnd(end);
    } catch (error) {
      if (fresh()) this.paintEnd({ title: error.message, words: [] });
    }
  }

  paintEnd(end) {
    const joined = (words) => (words || "").replace(/\u2009/g, THIN);
    this.end = end.svg ? end : null;
    byId("end").removeAttribute("aria-busy");
    const title = joined(end.title || "No number round the end");
    byId("end-answer").textContent = byId("end-verdict").textContent = `${title}.`;
    byId("end-picture").innerHTML = end.svg || "";
    byId("end-note").textContent = joined(end.note);
    byId("end-words").innerHTML = end.words.map((w) => `<li>${escape(w)}.</li>`).join("");
    const box = byId("end-picture").getBoundingClientRect(), grip = byId("end-grip");
    grip.hidden = !end.svg;
    if (!end.svg) return;
    grip.style.left = `${0.4 * box.width}px`;
    grip.style.top = `${box.height / 2 - (end.bridge_mm / 2) * (box.width / end.mm_per_width)}px`;
  }

  async askRest(fresh) {
    try {
      const sweep = this.sweep || await this.ask({ ...this.request(), ask: "sweep", bridge_mm: undefined });
      if (!fresh()) return;
      this.sweep = sweep;
      this.paintCurve();
      if (byId("stage").value !== byId("stage").max) await this.replay();
      const warmth = await this.ask({ ...this.request(), ask: "warmth", ...this.wide(this.orders.bridge_mm) });
      if (fresh()) this.paintWarmth(warmth);
    } catch (error) {
      if (fresh()) byId("warmth-words").textContent = typeset(error.message);
    }
  }

  /** The moments of the laying, asked for once a width. */
  async replay() {
    if (!this.moments && this.orders) {
      const { orders } = this;
      const moments = await this.ask({ ...this.request(), ask: "moments", order: this.shownBeside(), ...this.wide(this.orders.bridge_mm), frames: framesOf(orders, FRAMES) });
      if (orders !== this.orders) return;
      this.moments = moments;
      this.paintPicture();
      this.paintStage();
    }
  }

  /** A change has ended: undo knows it. */
  settled() {
    this.history.note(this.state);
    this.paintHistory();
    this.changed(true);
  }

  paint(whole) {
    this.paintFault();
    if (whole || this.fault) this.editor.show(this.state, this.seen, this.badPoints(), Boolean(this.fault));
    if (whole) this.paintFields();
    if (this.fault || !this.orders) return;
    const { orders, advice } = this;
    const recommended = advice.recommended ? advice.recommended.bridge_mm : null;
    // The slider's range, and with it the scale of the pictures, stays while it is moved.
    const range = Math.max(Math.ceil((recommended || 3 * orders.least_bridge_mm) * 0.16) * 10, Math.ceil(orders.least_bridge_mm * 0.25) * 10, Math.ceil(orders.least_bridge_mm / 10) * 10 + 100, whole ? 0 : this.most, orders.bridge_mm > (whole ? 0 : this.most) ? Math.ceil(orders.bridge_mm * 0.12) * 10 : 0);
    this.most = Math.min(orders.widest_bridge_mm, range);
    this.paintSlider();
    this.paintBeside();
    this.paintAnswer();
    this.paintPicture();
    this.paintWords();
    this.paintCharts();
  }

  badPoints() {
    return this.fault && this.state.way === "drag" ? this.fault.faults.map((f) => f.line).filter((n) => n) : [];
  }

  paintFault() {
    const fault = this.fault;
    if (!fault && !this.faulty) return;
    this.faulty = Boolean(fault);
    if (fault) byId("read").hidden = true;
    if (fault) showNoCard("No job card: the section or a setting has a fault, which the page shows.");
    const words = fault ? `${typeset(fault.message)}${fault.hint ? `\nTry: ${typeset(fault.hint)}` : ""}` : "";
    // The control that answers what is asked back.
    for (const key of TYPED) byId(key).setAttribute("aria-invalid", String(Boolean(fault) && fault.setting === key));
    if (byId("fault").textContent !== words) byId("fault").textContent = words;
    // A fault of no one reading is of all of them.
    const keys = fault ? fault.faults.map((f) => f.key).filter(Boolean) : [];
    const all = fault && !this.readable && keys.length === 0 && !fault.setting && (this.state.way !== "tape" || fault.message.startsWith("tape"));
    for (const input of allOf(".way input[data-key], .way textarea, #more-fields input")) {
      input.setAttribute("aria-invalid", String(Boolean(all && input.closest(".way")) || (keys.includes(input.dataset.key) && (!this.misread || this.misread.input === input))));
    }
    firstOf("main").classList.toggle("stale", Boolean(fault));
    if (fault) {
      byId("answer").textContent = `No answer: ${typeset(fault.message)}`;
      byId("headline").textContent = "No verdict: the section or a setting has a fault, shown under the drawing of the recess.";
    }
  }

  /** What to do, and whether the width shown holds, in one word. */
  paintAnswer() {
    const { orders, advice } = this;
    this.paintOrders();
    const check = orders.checks[byId("picture").dataset.shown === "edge" ? 1 : 0];
    byId("answer").textContent = doWords(advice);
    const word = check.within_limit ? "within" : "over";
    byId("within").dataset.word = word;
    byId("within").innerHTML = `<strong>${word}</strong> ${escape(`at ${mm(check.bridge_mm)}: ${percent(check.peak_pct)} of ${plain(check.film.limit_pct)}${THIN}%`)}`;
  }

  /** The name of the order beside deepest point first, wherever it stands. */
  paintBeside() {
    const name = orderWords(this.orders.checks[1].order.name);
    for (const word of allOf(".beside")) word.textContent = word.classList.contains("low") ? name : capital(name);
    const { beside, steps } = this.state, fault = this.unlaid ? `${typeset(this.unlaid.message)}${this.unlaid.hint ? `\nTry: ${typeset(this.unlaid.hint)}` : ""}\nEdges first is shown.` : "";
    byId("beside").value = beside;
    byId("own-steps").hidden = beside !== "steps" && !fault;
    if (document.activeElement !== byId("own-order")) byId("own-order").value = steps;
    byId("own-order").setAttribute("aria-invalid", String(Boolean(fault)));
    if (byId("own-order-fault").textContent !== fault) byId("own-order-fault").textContent = fault;
    // Found at another width or in another recess, they are not what was found.
    if (this.found && this.found.order !== steps) { this.found = null; byId("found-steps").innerHTML = ""; }
  }

  /** Every order with the class chosen, each at a width of its own. */
  paintOrders() {
    const rows = this.advice.orders.map((c) => `<tr><th scope="row">${escape(capital(orderWords(c.order.name)))}</th><td>${mm(c.bridge_mm)}</td><td>${percent(c.peak_pct)}</td><td>${c.within_limit ? "within" : "over"}</td></tr>`);
    const loose = this.advice.alternatives.find((a) => a.kind === "far-side-loose");
    if (loose) rows.push(`<tr><th scope="row">${capital(orderWords("one-way"))}</th><td>any</td><td>${percent(loose.peak_pct)}</td><td>${loose.peak_pct <= this.advice.film.limit_pct ? "within" : "over"}</td></tr>`);
    byId("ordered").innerHTML = rows.join("");
  }

  /** The classes side by side, while their table is open. */
  async askClasses(fresh) {
    if (!byId("classes").open) return;
    const own = this.state.own ? [this.state.own] : [];
    const rows = [];
    for (const film of [...own, ...this.catalogue.films]) {
      const mine = own.includes(film);
      const asked = { ...requestOf({ ...this.state, film: film.name, own: mine ? film : null }), ask: "recommend", round_ends: false };
      const answer = await this.ask(asked, true).catch((error) => ({ error }));
      if (!fresh()) return;
      rows.push(classRow(film, answer, mine));
    }
    byId("compared").innerHTML = rows.join("");
  }

  paintSlider() {
    const { orders } = this;
    const slider = byId("bridge");
    slider.min = String(Math.ceil(orders.least_bridge_mm));
    slider.max = String(Math.max(Math.floor(this.most), Math.ceil(orders.least_bridge_mm) + 1));
    if (document.activeElement !== slider || Math.abs(Number(slider.value) - orders.bridge_mm) > 1) slider.value = String(orders.bridge_mm);
    slider.setAttribute("aria-valuetext", mm(orders.bridge_mm));
    if (document.activeElement !== byId("bridge-mm")) byId("bridge-mm").value = plainField(orders.bridge_mm);
    byId("bridge-mm").dataset.value = String(orders.bridge_mm);
    const recommended = this.advice.recommended;
    byId("take").disabled = !recommended || this.state.bridge === null;
    const asked = this.state.bridge, shown = orders.bridge_mm;
    byId("bridge-note").textContent = asked === null || Math.abs(asked - shown) < 0.05 ? ""
      : `${mm(asked)} cannot be laid here: from ${mm(orders.least_bridge_mm)} (bonded at the lips) to ${mm(orders.widest_bridge_mm)} (all the clear panel). Shown at ${mm(shown)}.`;
  }

  frameOf(order) {
    const stage = byId("stage");
    if (stage.value === stage.max || !this.moments) return null;
    const found = this.moments.orders.find((o) => o.order === order);
    return found && found.frames.length ? found.frames[Number(stage.value)] : null;
  }

  paintPicture() {
    if (!this.orders) return;
    const hosts = ["deepest", "edge"].map((id) => byId(id).querySelector(".drawing"));
    this.view = viewOf(this.orders, this.most, hosts[byId("picture").dataset.shown === "edge" && sizeOf(hosts[0]).w < 1 ? 1 : 0]);
    this.orders.checks.forEach((check, i) => {
      drawOrder(hosts[i], this.orders, check, this.frameOf(check.order.name), this.view, { place: this.place });
      const label = byId(["deepest-peak", "edge-peak"][i]);
      label.textContent = check.peak_pct === null ? "no finite peak" : `${percent(check.peak_pct)}, ${withinWords(check)}`;
      label.dataset.value = String(check.peak_pct);
    });
  }

  paintWords() {
    const { orders, advice } = this;
    const say = (id, said) => { const words = typeset(said); if (byId(id).textContent !== words) byId(id).textContent = words; };
    const fill = (id, items) => {
      const html = (items.length ? items : ["none"]).map((w) => `<li>${escape(w)}</li>`).join("");
      if (byId(id).innerHTML !== html) byId(id).innerHTML = html;
    };
    say("headline", verdict(orders.checks));
    say("advice", adviceWords(advice) + (advice.family ? ` ${advice.family.members} shapes fit these readings${advice.family.from_mm === null ? "" : `, from ${mm(advice.family.from_mm)} to ${mm(advice.family.to_mm)}`}; this is for ${advice.family.answered_for.text}. ${advice.family.narrow_by ? capital(advice.family.narrow_by.text) + "." : ""}` : ""));
    say("reason", `${capital(advice.reason.text)}.`);
    say("assured", assuredWords(advice));
    const options = advice.alternatives.map((a, i) => {
      const [words] = saidWords([a]);
      return `<li>${TAKEN[a.kind] ? `<button type="button" data-option="${i}">${escape(words)}: ${a.kind === "far-side-loose" ? "show" : "take"} it</button>` : escape(words)}</li>`;
    });
    const cutting = advice.alternatives.some((a) => a.seams) ? this.catalogue.cutting.map((w) => `<li>${escape(capital(w))}</li>`) : [];
    byId("options").innerHTML = [...options, ...cutting].join("");
    fill("steps", saidWords(orders.checks[0].order.steps));
    const first = orders.checks[0];
    fill("follows", [...airWords(first.air), ...forceWords(first.force), ...holdWords(first.hold)]);
    fill("notes", [...new Set(saidWords([...advice.warnings, ...orders.checks.flatMap((c) => c.warnings)]))]);
    fill("assumed", saidWords(orders.checks[0].assumptions));
    const invented = orders.checks[0].invented;
    say("training", invented.length ? `Invented values decide here: ${invented.map((i) => i.text).join("; ")}. Measure your own before you rely on it.` : "None of the deciding numbers is invented.");
  }

  paintCharts() {
    const { checks } = this.orders;
    this.along = drawAlong(byId("along").querySelector(".drawing"), checks, this.seen && this.seen.landmarks, this.place);
    this.paintReading();
    const order = firstOf("input[name=origin]:checked").value;
    byId("origin-words").textContent = drawOrigin(byId("origin").querySelector(".drawing"), checks[order]) || "";
    this.paintCurve();
  }

  paintCurve() {
    if (!this.sweep || !this.orders) return;
    const recommended = this.advice.recommended ? this.advice.recommended.bridge_mm : null;
    this.curve = drawCurve(byId("curve").querySelector(".drawing"), this.sweep, this.most, this.orders.bridge_mm, recommended);
    const ranges = this.sweep.feasible.map(([a, b]) => `${mm(a)} to ${mm(b)}`).join(", ");
    byId("curve-words").textContent = ranges ? `Within the limit, deepest point first (shaded): ${ranges}.` : "Deepest point first is within the limit at no width.";
  }

  /** Values at a place of the panel, under both orders. */
  paintReading() {
    const { checks } = this.orders;
    const s0 = checks[0].bond_left.s_mm, s1 = checks[0].bond_right.s_mm;
    const s = this.place === null ? null : clamp(this.place, s0, s1);
    let words = "Touch or point at a picture, or move the slider “Read a place”, to read values.";
    if (s !== null && checks[0].profile) {
      const a = sampleAt(checks[0].profile, s);
      const edge = checks[1].profile ? `; ${orderWords(checks[1].order.name)} ${percent(sampleAt(checks[1].profile, s).elongation_pct)}` : "";
      words = `At x ${SHOWN.inch ? mm(a.x_mm) : `${steady(a.x_mm)}${THIN}mm`}: deepest point first ${percent(a.elongation_pct)}, ${steady(a.thickness_um, 0)}${THIN}µm thick, film from ${SHOWN.inch ? mm(a.film_mm) : `${steady(a.film_mm)}${THIN}mm`}${edge}.`;
    }
    byId("reading").textContent = words;
    byId("place-reading").textContent = words;
    byId("place").setAttribute("aria-valuetext", words);
  }

  paintWarmth(warmth) {
    const peak = (c) => `${percent(c.peak_pct)}${c.within_limit ? "" : " (over)"}`;
    byId("warmth").innerHTML = warmth.zones.map((z) => {
      const name = { whole: "The whole bridge", mouth: "Between the lips only", flats: "Over the flats only" }[z.zone];
      if (z.error) return `<tr><th scope="row">${name}</th><td colspan="3">${escape(typeset(z.error.message))}</td></tr>`;
      const [d, e] = z.checks;
      return `<tr data-zone="${z.zone}"><th scope="row">${name}${!z.width_sought ? "" : z.nominal_bridge_mm === null ? ": no width does" : `: needs ${mm(z.nominal_bridge_mm)}`}</th><td>${peak(d)}</td><td>${percent(d.recess_peak_pct)}</td><td>${peak(e)}</td></tr>`;
    }).join("");
    const [whole, mouth] = warmth.zones.map((z) => z.checks[0]);
    byId("warmth-words").textContent = whole && mouth && whole.peak_pct !== null && mouth.peak_pct !== null
      ? `At ${mm(warmth.bridge_mm)}, film warmed between the lips only peaks at ${percent(mouth.peak_pct)}, film warmed all over at ${percent(whole.peak_pct)}: cold film over the flats gives little. Say under “Film warmed” what is warmed and every picture shows it.`
      : "";
  }

  paintHistory() {
    byId("undo").disabled = this.history.past.length === 0;
    byId("redo").disabled = this.history.next.length === 0;
  }

  /** Controls follow the state (after undo, a link, a drag). */
  paintFields() {
    const { state } = this;
    for (const way of ["shape", "tape", "text", "drag"]) byId(`way-${way}`).hidden = state.way !== way;
    firstOf(`input[name=way][value=${state.way}]`).checked = true;
    byId("kind").value = state.kind;
    const fill = (input, value) => { if (this.misread && this.misread.input === input) return; if (document.activeElement !== input || input.dataset.hot !== "1") input.value = value === undefined ? "" : String(value); };
    if (byId("shape-fields").dataset.kind !== state.kind) this.makeShapeFields();
    // What is no number stays as it was typed.
    const length = (input, value) => (Number.isNaN(value) ? input.value : input.dataset.length && typeof value === "number" ? toField(value) : value);
    for (const word of allOf(".unit")) word.textContent = unitWord();
    // Fractions have a blank and a stroke, which the keys of a number have not.
    for (const input of allOf("input[data-length]")) input.inputMode = SHOWN.inch ? "text" : "decimal";
    for (const input of allOf("#shape-fields input")) fill(input, length(input, state.shape[input.dataset.key]));
    for (const input of allOf("#tape-fields input")) fill(input, length(input, state.tape[input.dataset.key]));
    for (const input of allOf("#more-fields input")) {
      fill(input, length(input, (input.dataset.bay ? state.bay : state.more)[input.dataset.key]));
      if (input.dataset.usual) input.placeholder = mm(Number(input.dataset.usual));
    }
    byId("read-in").value = SHOWN.inch ? "in" : "mm";
    for (const [id, words] of [["narrower", MINUS], ["wider", "+"]]) {
      byId(id).textContent = `${words} ${SHOWN.inch ? "1/4" : "5"}`;
      byId(id).setAttribute("aria-label", `${SHOWN.inch ? "a quarter inch" : "5 mm"} ${id}`);
    }
    byId("split").value = state.kept.split || "";
    fill(byId("ranges"), rangesText(state.bay.ranges));
    fill(byId("own-limit"), state.own ? state.own.limit_pct.value : "");
    if (document.activeElement !== byId("text")) byId("text").value = state.text;
    byId("units").value = state.typed.units || "";
    for (const key of ["depths", "leftwards"]) byId(key).checked = state.typed[key] === true;
    const mine = byId("film").querySelector("[value='']");
    mine.hidden = !state.own;
    mine.textContent = state.own ? `${state.own.name}, limit ${plain(state.own.limit_pct.value)} %` : "";
    byId("film").value = state.own ? "" : state.film;
    byId("tool").value = state.tool;
    for (const key of Object.keys(BAY_WORDS)) byId(key).value = state.bay[key] || "";
    const ends = ENDS.map((key) => endOf(state.kept[key]));
    ENDS.forEach((key, i) => { byId(key).value = ends[i].kind; });
    const said = ends.find((end) => !["", "open"].includes(end.kind));
    byId("end-fields").hidden = !said;
    for (const input of allOf("#end-fields input")) fill(input, said && said.known[input.dataset.key]);
    const film = state.own || this.catalogue.films.find((f) => f.name === state.film);
    byId("film-words").textContent = film ? `${capital(film.summary || film.name)}; limit ${plain(film.limit_pct.value)}${THIN}% (${film.limit_pct.source}).` : "";
    const n = state.points.length;
    byId("drag-note").textContent = (this.thinned || "") + (n > MOST_HANDLES ? `${n} points are too many to drag one by one: choose one by its number.` : "Drag a point, or choose it and use the arrow keys; those too near another are chosen by number.");
    this.paintPoint();
    const scale = firstOf(".scale");
    if (this.advice && scale.dataset.limit !== String(this.advice.film.limit_pct)) {
      scale.dataset.limit = String(this.advice.film.limit_pct);
      drawScale(scale, this.advice.film);
    }
  }

  paintPoint() {
    const { points } = this.state;
    const i = clamp(this.editor.selected, 0, Math.max(points.length - 1, 0));
    this.editor.selected = i;
    byId("point-n").max = String(points.length);
    byId("point-n").value = String(i + 1);
    if (!points[i]) return;
    byId("point-x").value = String(toField(points[i][0]));
    byId("point-y").value = String(toField(points[i][1]));
  }

  makeShapeFields() {
    const host = byId("shape-fields");
    host.dataset.kind = this.state.kind;
    host.innerHTML = SHAPES[this.state.kind].map(([key, label, , least, most, step, unit]) => `<label class="field"><span>${label} in ${inUnit(unit)}</span> <input ${unit === "mm" ? 'type="text" data-length="1"' : `type="number" inputmode="decimal" min="${least}" max="${most}" step="any"`} data-key="${key}" data-step="${step}"></label>`).join("");
  }

  /** Takes over a whole state. */
  take(state) {
    this.state = state;
    this.misread = null;
    this.advice = null;
    byId("stage").value = byId("stage").max;
    this.paintStage();
    this.paintHistory();
    return this.changed(true);
  }

  /** The stages of the order in front, once its moments are there. */
  stages() {
    const { orders, moments } = this;
    if (!orders || !moments) return [];
    return layingOf(orders, moments, orders.checks[byId("picture").dataset.shown === "edge" ? 1 : 0]).stages;
  }

  paintStage() {
    const stage = byId("stage"), at = Number(stage.value), stages = this.stages();
    const now = stages.filter((s) => s.at <= at).pop();
    const next = stages.find((s) => s.at > at);
    const words = at === Number(stage.max) ? "all down" : at === 0 || !now ? "bridged" : at === now.at ? now.words : `on to ${next ? next.words : "all down"}`;
    byId("stage-words").textContent = words;
    stage.setAttribute("aria-valuetext", words);
    // Steps of one's own, the one under way marked.
    const own = stages.filter((s) => s.say), host = byId("stage-steps");
    host.hidden = own.length === 0;
    const done = own.findIndex((s) => s.at >= at);
    const html = own.map((s, i) => `<li${i === done && at > 0 ? ' aria-current="step"' : ""}>${escape(s.say)}</li>`).join("");
    if (host.innerHTML !== html) host.innerHTML = html;
  }
}
