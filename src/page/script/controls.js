// What hands do: every control of the page, and its start.

/** Sets or takes away a number that may be left empty. */
function put(object, key, text) {
  const value = Number(text);
  if (text.trim() === "" || !Number.isFinite(value)) delete object[key];
  else object[key] = key === "valley" ? Math.max(1, Math.round(value)) : value;
}

function wireRecess(page) {
  const { state } = page;
  allOf("input[name=way]").forEach((input) => input.addEventListener("change", () => {
    const s = page.state;
    // Single points and text go on from what is drawn; points as few as a finger can take.
    const drawn = page.seen ? page.seen.points.map((p) => p.map((v) => Math.round(v * 100) / 100)) : [];
    if (input.value === "drag" && s.way !== "drag" && drawn.length) {
      const [points, off] = fewOf(drawn);
      s.points = points;
      page.thinned = points.length < drawn.length ? `Thinned from ${drawn.length} points, none further off than ${mm(off, 2)}. ` : "";
    }
    if (input.value === "text" && s.text.trim() === "" && drawn.length) { s.text = drawn.map((p) => p.join(",")).join("\n"); s.typed = {}; }
    s.way = input.value;
    page.misread = null;
    page.settled();
  }));
  byId("kind").addEventListener("change", () => {
    page.state.kind = byId("kind").value;
    page.state.shape = firstShape(page.state.kind);
    page.misread = null;
    page.settled();
  });
  const typed = (host, into) => {
    byId(host).addEventListener("input", (event) => {
      const input = event.target;
      input.dataset.hot = "1";
      into(input);
      page.changed(true);
    });
    byId(host).addEventListener("change", (event) => { event.target.dataset.hot = ""; page.settled(); });
  };
  const number = (input) => (input.dataset.length ? fromField(typedNumber(input.value)) : Number(input.value));
  // What is no number stands as it was typed, and says that it is none.
  const read = (input, empty) => {
    const value = number(input), { key } = input.dataset;
    const none = input.value.trim() === "" ? !empty : !Number.isFinite(value);
    page.misread = none ? { key, input, text: input.value, label: input.closest("label").firstElementChild.textContent } : null;
    return none ? null : value;
  };
  typed("shape-fields", (input) => { const v = read(input, false); if (v !== null) page.state.shape[input.dataset.key] = v; });
  typed("tape-fields", (input) => { if (read(input, true) !== null) page.state.tape[input.dataset.key] = input.value.trim() === "" ? "" : number(input); });
  typed("more-fields", (input) => { if (read(input, true) !== null) put(input.dataset.bay ? page.state.bay : page.state.more, input.dataset.key, input.value.trim() === "" ? "" : String(number(input))); });
  byId("text").addEventListener("input", () => { page.state.text = byId("text").value; page.changed(true); });
  byId("text").addEventListener("change", () => page.settled());
  for (const key of TYPED) {
    const input = byId(key);
    input.addEventListener("change", () => {
      const value = input.type === "checkbox" ? input.checked : input.value;
      if (value) page.state.typed[key] = value; else delete page.state.typed[key];
      page.settled();
    });
  }
  byId("demo").addEventListener("change", () => {
    const recess = page.catalogue.recesses.find((r) => r.name === byId("demo").value);
    if (recess) { page.state.text = recess.csv; page.state.typed = {}; byId("text").value = recess.csv; page.settled(); }
  });
  byId("csv").addEventListener("change", async () => {
    const file = byId("csv").files[0];
    if (!file) return;
    page.state.text = await file.text();
    byId("text").value = page.state.text;
    byId("csv").value = "";
    page.settled();
  });
  document.addEventListener("picked", () => page.paintPoint());
  byId("point-n").addEventListener("input", () => { page.editor.selected = Number(byId("point-n").value) - 1; page.paintPoint(); });
  for (const { id, k } of [{ id: "point-x", k: 0 }, { id: "point-y", k: 1 }]) {
    byId(id).addEventListener("change", () => {
      const value = fromField(typedNumber(byId(id).value)), point = page.state.points[page.editor.selected];
      if (point && Number.isFinite(value)) { point[k] = value; page.settled(); }
    });
  }
  byId("point-add").addEventListener("click", () => {
    const { points } = page.state, i = page.editor.selected;
    if (!points[i]) return;
    const next = points[i + 1] || [points[i][0] + 20, points[i][1]];
    points.splice(i + 1, 0, [(points[i][0] + next[0]) / 2, (points[i][1] + next[1]) / 2]);
    page.editor.selected = i + 1;
    page.settled();
  });
  byId("point-remove").addEventListener("click", () => {
    if (page.state.points.length > 3) { page.state.points.splice(page.editor.selected, 1); page.settled(); }
  });
  byId("undo").addEventListener("click", () => { const s = page.history.undo(); if (s) page.take(s); });
  byId("redo").addEventListener("click", () => { const s = page.history.redo(); if (s) page.take(s); });
  document.addEventListener("keydown", (event) => {
    const at = /** @type {Element} */ (event.target);
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || /^(INPUT|TEXTAREA)$/.test(at.tagName)) return;
    event.preventDefault();
    const s = event.shiftKey ? page.history.redo() : page.history.undo();
    if (s) page.take(s);
  });
  return state;
}

function wireLesson(page) {
  const width = (value) => {
    page.state.bridge = value;
    delete page.state.more.bond_left_x_mm;
    delete page.state.more.bond_right_x_mm;
    page.changed(false);
  };
  byId("bridge").addEventListener("input", () => { if (!left) width(Number(byId("bridge").value)); });
  const ended = () => { page.history.note(page.state); page.paintHistory(); };
  byId("bridge").addEventListener("change", ended);
  // A finger that scrolls the page has not moved the slider it began on.
  // Firefox then puts the slider back itself, and says so as if a hand had.
  let before = null, left = false;
  byId("bridge").addEventListener("pointerdown", () => { left = false; before = { bridge: page.state.bridge, value: byId("bridge").value }; });
  byId("bridge").addEventListener("keydown", () => { left = false; });
  byId("bridge").addEventListener("pointercancel", () => {
    if (!before) return;
    left = true;
    byId("bridge").value = before.value;
    width(before.bridge);
  });
  byId("bridge-mm").addEventListener("change", () => {
    const field = byId("bridge-mm"), value = fromField(typedNumber(field.value));
    if (field.value !== "" && value > 0) { width(value); ended(); } else field.value = plainField(page.orders.bridge_mm);
  });
  for (const { id, by } of [{ id: "narrower", by: -1 }, { id: "wider", by: 1 }]) {
    byId(id).addEventListener("click", () => {
      if (!page.orders) return;
      const { bridge_mm: now, least_bridge_mm: least, widest_bridge_mm: most } = page.orders;
      // On the steps of a tape, unless it is at its end.
      const step = tapeStep();
      width(clamp((by > 0 ? Math.floor(now / step + 1e-6) + 1 : Math.ceil(now / step - 1e-6) - 1) * step, least, most));
      ended();
    });
  }
  allOf("input[name=shown]").forEach((input) => input.addEventListener("change", () => {
    byId("picture").dataset.shown = input.value;
    if (page.orders) { page.paintAnswer(); page.paintPicture(); page.paintStage(); }
  }));
  byId("take").addEventListener("click", () => { page.state.bridge = null; page.history.note(page.state); page.changed(false); page.paintHistory(); });
  const stage = byId("stage");
  const show = async () => { page.paintStage(); await page.replay(); page.paintPicture(); };
  const step = async (by) => {
    stop();
    if (!page.orders || page.fault) return;
    // From the end forth it begins anew.
    if (by > 0 && stage.value === stage.max) { stage.value = "0"; await show(); return; }
    await page.replay();
    const at = Number(stage.value), stages = page.stages();
    const to = by > 0 ? stages.find((s) => s.at > at) : stages.filter((s) => s.at < at).pop();
    if (to) stage.value = String(to.at);
    await show();
  };
  byId("step-on").addEventListener("click", () => step(1));
  byId("step-back").addEventListener("click", () => step(-1));
  stage.addEventListener("input", () => { stop(); show(); });
  let playing = 0;
  const play = byId("play");
  const label = () => { play.textContent = still.matches ? "Next stage" : playing ? "Stop" : "Play the laying"; play.setAttribute("aria-pressed", String(Boolean(playing))); };
  const stop = () => { clearInterval(playing); playing = 0; label(); };
  play.addEventListener("click", async () => {
    if (playing) { stop(); return; }
    const most = Number(stage.max);
    if (still.matches) {
      // Without motion: one stage a press.
      const at = Number(stage.value);
      stage.value = String(at >= most ? 0 : Math.min(most, Math.floor(at / 10) * 10 + 10));
      await show();
      return;
    }
    if (Number(stage.value) >= most) stage.value = "0";
    playing = setInterval(() => {
      if (Number(stage.value) >= most) { stop(); return; }
      stage.value = String(Number(stage.value) + 1);
      show();
    }, 90);
    label();
    await show();
  });
  still.addEventListener("change", stop);
  label();
  // Reading values: pointing at the picture or at the elongation, or the slider.
  const read = (s) => { page.place = s; page.along = drawAlong(byId("along").querySelector(".drawing"), page.orders.checks, null, s); page.paintPicture(); page.paintReading(); };
  // A bond line taken hold of moves with the finger: the bridge that goes with it.
  let held = null;
  const take = (event) => {
    const check = page.orders && page.orders.checks[0];
    if (!check || page.fault || !page.view) return;
    const px = event.clientX - event.currentTarget.getBoundingClientRect().left;
    const sum = check.reach_left_mm + check.reach_right_mm;
    const sides = [["left", -1], ["right", 1]].map(([side, out]) => ({ out, share: sum > 1e-9 ? check[`reach_${side}_mm`] / sum : 0.5, lip: check[`lip_${side}`].x_mm, far: Math.abs(px - page.view.x(check[`bond_${side}`].x_mm)) }));
    const [near] = sides.filter((side) => side.share > 0.02).sort((a, b) => a.far - b.far);
    if (!near || near.far > 24) return;
    held = { ...near, before: page.state.bridge, least: page.orders.least_bridge_mm, most: page.orders.widest_bridge_mm };
    event.currentTarget.setPointerCapture(event.pointerId);
  };
  const drag = (event) => {
    if (!held) return;
    const x = page.view.back(event.clientX - event.currentTarget.getBoundingClientRect().left);
    width(clamp(Math.round(held.least + Math.max(0, (x - held.lip) * held.out) / held.share), held.least, held.most));
  };
  const drop = (event) => {
    if (!held) return;
    if (event.type === "pointercancel") width(held.before);
    held = null;
    ended();
  };
  const overPicture = (event) => {
    if (held) return;
    if (!page.view || !page.orders || !page.orders.checks[0].profile) return;
    const box = event.currentTarget.getBoundingClientRect();
    const x = page.view.back(event.clientX - box.left), py = event.clientY - box.top;
    let best = null, far = Infinity;
    for (const r of page.orders.checks[0].profile) {
      const d = Math.hypot((r.x_mm - x) * page.view.scale, 0.3 * (page.view.y(r.y_mm) - py));
      if (d < far) { far = d; best = r; }
    }
    if (best) read(best.s_mm);
  };
  const overAlong = (event) => {
    if (!page.along) return;
    const box = event.currentTarget.getBoundingClientRect();
    read(clamp(page.along.s0 + page.along.back(event.clientX - box.left), page.along.s0, page.along.s1));
  };
  for (const id of ["deepest", "edge"]) {
    const drawing = byId(id).querySelector(".drawing");
    drawing.addEventListener("pointerdown", take);
    drawing.addEventListener("pointermove", drag);
    drawing.addEventListener("pointerup", drop);
    drawing.addEventListener("pointercancel", drop);
  }
  for (const type of ["pointermove", "pointerdown"]) {
    for (const id of ["deepest", "edge"]) byId(id).querySelector(".drawing").addEventListener(type, overPicture);
    byId("along").querySelector(".drawing").addEventListener(type, overAlong);
  }
  byId("place").addEventListener("input", () => {
    if (page.along) read(page.along.s0 + (Number(byId("place").value) / 1000) * (page.along.s1 - page.along.s0));
  });
  byId("curve").querySelector(".drawing").addEventListener("click", (event) => {
    if (!page.curve) return;
    const box = event.currentTarget.getBoundingClientRect();
    width(Math.round(clamp(page.curve.back(event.clientX - box.left), page.orders.least_bridge_mm, page.most)));
    page.history.note(page.state);
    page.paintHistory();
  });
  allOf("input[name=origin]").forEach((input) => input.addEventListener("change", () => page.paintCharts()));
}

/** The order beside deepest point first, and the search for the best. */
function wireBeside(page) {
  const taken = () => { page.history.note(page.state); page.paintHistory(); page.changed(false); };
  byId("beside").addEventListener("change", () => {
    const { state } = page;
    state.beside = byId("beside").value;
    // To begin with, deepest point first as steps.
    const press = page.orders && page.orders.checks[0].press.x_mm;
    if (state.beside === "steps" && !state.steps.trim()) state.steps = `press ${isNumber(press) ? Math.round(press * 10) / 10 : 0}, spread left, spread right`;
    taken();
  });
  byId("own-order").addEventListener("change", () => { page.state.steps = byId("own-order").value; taken(); });
  byId("find-steps").addEventListener("click", async () => {
    const said = (words) => { byId("found-steps").innerHTML = words.map((w) => `<li>${escape(w)}</li>`).join(""); };
    if (!page.orders || page.fault) return;
    said(["Computing…"]);
    const shown = page.orders;
    try {
      const found = await page.ask({ ...page.request(), ask: "steps", ...page.wide(shown.bridge_mm) });
      if (shown !== page.orders) { said([]); return; }
      Object.assign(page.state, { beside: "steps", steps: found.order });
      page.found = found;
      taken();
      const peak = found.under ? found.under.peak_pct : found.peak_pct;
      said([
        `Peak ${percent(peak)}, ${found.within_limit ? "within" : "over"} the limit of ${plain(found.film.limit_pct)}${THIN}%; deepest point first ${percent(found.under ? found.under.deepest_first_pct : found.deepest_first_pct)}.`,
        `The mean is ${percent(found.mean_pct)}: no order can be below it.`,
        ...(isNumber(found.peak_off_pct) ? [`With one press or turn ${mm(3)} off, ${percent(found.peak_off_pct)} at worst.`] : []),
        ...found.by_steps.map((row) => `With ${row.steps} ${row.steps === 1 ? "step" : "steps"}: ${percent(row.peak_pct)}.`),
        ...saidWords(found.warnings).map((w) => `${w}.`),
      ]);
    } catch (error) {
      said([`No steps: ${typeset(error.message)}.`]);
    }
  });
}

function wireChoices(page) {
  const film = (name) => { if (name) { page.state.film = name; page.state.own = null; } page.settled(); };
  byId("film").addEventListener("change", () => film(byId("film").value));
  byId("tool").addEventListener("change", () => { page.state.tool = byId("tool").value; page.settled(); });
  // A limit of one's own, on the class chosen.
  byId("own-limit").addEventListener("change", () => {
    const value = Number(byId("own-limit").value), { state } = page;
    const base = state.own || page.catalogue.films.find((f) => f.name === state.film);
    // A lower limit between the lips stays; one above the new limit says nothing more.
    const lips = base && base.recess_limit_pct && base.recess_limit_pct.value < value ? base.recess_limit_pct : undefined;
    state.own = value > 0 && base ? { ...base, name: base.name.replace(/(-own)?$/, "-own"), recess_limit_pct: lips, limit_pct: { value, source: "typed on the page" } } : null;
    page.settled();
  });
  byId("own-file").addEventListener("change", async () => {
    const file = byId("own-file").files[0];
    if (!file) return;
    let said = "";
    try {
      const own = questionOf(await file.text());
      if (typeof own.name !== "string" || !own.limit_pct) throw new Error("it has no `name` and `limit_pct`: is it a film class?");
      if (own.tensile_csv) throw new Error("its `tensile_csv` is another file, which the page cannot open");
      page.state.own = own;
      page.settled();
    } catch (error) {
      said = `${file.name}: ${typeset(error.message)}`;
    }
    byId("own-fault").textContent = said;
    byId("own-file").value = "";
  });
  byId("read-in").addEventListener("change", () => {
    page.state.kept.print = byId("read-in").value;
    page.settled();
  });
  byId("split").addEventListener("change", () => {
    if (byId("split").value) page.state.kept.split = byId("split").value; else delete page.state.kept.split;
    page.settled();
  });
  byId("ranges").addEventListener("change", () => {
    const typed = byId("ranges").value.trim();
    const found = [...typed.matchAll(/(-?[\d.]+)\s*\.\.\s*(-?[\d.]+)\s*:\s*(-?[\d.]+)/g)].map(([, from, to, warm]) => ({ from_mm: Number(from), to_mm: Number(to), warm_c: Number(warm) }));
    const bad = found.length !== typed.split(",").filter((part) => part.trim()).length;
    byId("ranges").setAttribute("aria-invalid", String(bad));
    byId("ranges-fault").textContent = bad ? `found “${typed}”, expected ranges as 20..60:80, with commas between them` : "";
    if (bad) return;
    if (found.length > 0) page.state.bay.ranges = found; else delete page.state.bay.ranges;
    page.settled();
  });
  byId("options").addEventListener("click", (event) => {
    const option = page.advice.alternatives[event.target.dataset.option];
    if (option) { TAKEN[option.kind](page.state, option); page.settled(); }
  });
  byId("compared").addEventListener("click", (event) => { if (event.target.dataset.film) film(event.target.dataset.film); });
  byId("classes").addEventListener("toggle", () => { if (page.orders) page.rest(); });
  for (const key of Object.keys(BAY_WORDS)) {
    byId(key).addEventListener("change", () => {
      if (byId(key).value) page.state.bay[key] = byId(key).value; else delete page.state.bay[key];
      page.settled();
    });
  }
}

/** The ends: what is known of one in plan is taken for both. */
function wireEnds(page) {
  const take = () => {
    const known = Object.fromEntries([...allOf("#end-fields input")].map((input) => [input.dataset.key, input.value]));
    for (const key of ENDS) {
      const text = endText(byId(key).value, known);
      if (text) page.state.kept[key] = text; else delete page.state.kept[key];
    }
    page.settled();
  };
  for (const key of ENDS) byId(key).addEventListener("change", take);
  byId("end-fields").addEventListener("change", take);
  // The tape at the side, dragged in the picture from above, is the bridge.
  const grip = byId("end-grip");
  const width = (mm) => { page.state.bridge = Math.round(clamp(mm, page.orders.least_bridge_mm, page.most) / 5) * 5; page.changed(false); };
  const kept = () => { page.history.note(page.state); page.paintHistory(); };
  grip.addEventListener("pointerdown", (event) => { if (page.end) grip.setPointerCapture(event.pointerId); });
  grip.addEventListener("pointermove", (event) => {
    if (!page.end || !grip.hasPointerCapture(event.pointerId)) return;
    const box = byId("end-picture").getBoundingClientRect();
    const out = box.top + box.height / 2 - event.clientY;
    grip.style.top = `${box.height / 2 - out}px`;
    width((2 * out * page.end.mm_per_width) / box.width);
  });
  grip.addEventListener("lostpointercapture", kept);
  grip.addEventListener("keydown", (event) => {
    const by = { ArrowUp: 10, ArrowDown: -10 }[event.key];
    if (!by || !page.orders) return;
    event.preventDefault();
    width(page.orders.bridge_mm + by);
    kept();
  });
}

function wireKeeping(page) {
  const said = (words) => { byId("kept").textContent = words; };
  byId("print").addEventListener("click", async () => {
    if (!page.orders || page.fault) { said("No card: there is a fault to mend first."); return; }
    try {
      await page.card();
      window.print();
    } catch (error) {
      said(`No card: ${typeset(error.message)}`);
    }
  });
  byId("print-lesson").addEventListener("click", async () => {
    if (!page.orders || page.fault) { said("No lesson sheet: there is a fault to mend first."); return; }
    said("Computing the lesson sheet…");
    try {
      await fillSheet(page);
      said("");
      printSheet();
    } catch (error) {
      said(`No lesson sheet: ${typeset(error.message)}`);
    }
  });
  byId("print-chart").addEventListener("click", async () => {
    said("Computing the chart…");
    try {
      const { html } = await page.ask({ ...page.question(), section: undefined, bridge_mm: undefined, ask: "chart" });
      said("");
      // The card stands where it stood once this is printed.
      window.addEventListener("afterprint", () => { page.dropCard(); page.card().catch(() => null); }, { once: true });
      page.asking = null;
      showCard(html);
      window.print();
    } catch (error) {
      said(`No chart: ${typeset(error.message)}`);
    }
  });
  window.addEventListener("pagehide", () => page.keep());
  const fileOf = () => {
    return new File([tomlOf(page.job())], "tautspan-job.toml", { type: "text/plain" });
  };
  // Where the device has a sheet for sharing, the job goes through it.
  if (navigator.canShare && navigator.canShare({ files: [fileOf()] })) {
    byId("share").hidden = false;
    byId("share").addEventListener("click", () => navigator.share({ files: [fileOf()], title: "Tautspan job" }).catch((error) => {
      if (error.name !== "AbortError") said(`Not shared: ${error.message}`);
    }));
  }
  byId("link").addEventListener("click", async () => {
    const address = `${location.href.split("#")[0]}#s=${packState(page.state)}`;
    byId("address").value = address;
    try {
      await navigator.clipboard.writeText(address);
      said(`The link is copied; it stands below too.${location.protocol === "file:" ? " It opens on this device alone, for this page is a file here: to others send the job file." : ""}`);
    } catch {
      byId("address").focus();
      byId("address").select();
      said("The link stands below, chosen: copy it from there.");
    }
  });
  byId("save").addEventListener("click", () => {
    const a = document.createElement("a");
    a.href = URL.createObjectURL(fileOf());
    a.download = "tautspan-job.toml";
    a.click();
    setTimeout(() => URL.revokeObjectURL(a.href), 1000);
    said("Saved as tautspan-job.toml, where this browser puts its downloads; `tautspan recommend --job` opens it too.");
  });
  const restore = async (make, from) => {
    try {
      const [state, left] = await make();
      page.history.note(state);
      page.take(state);
      said(`Taken over from the ${from}${left.length > 0 ? `, but for what the page has no place for: ${left.join(", ")}` : ""}.`);
    } catch (error) {
      said(`The ${from} could not be read: ${error.message}`);
    }
  };
  byId("open").addEventListener("change", async () => {
    const file = byId("open").files[0];
    if (!file) return;
    const text = await file.text();
    byId("open").value = "";
    // Files of earlier pages are states.
    restore(() => (text.startsWith("{") ? [readState(JSON.parse(text)), []] : stateOf(questionOf(text), page.ask)), "file");
  });
  const fromLink = () => { if (location.hash.startsWith("#s=") && location.hash !== page.kept) restore(() => [unpackState(location.hash.slice(3)), []], "link"); };
  window.addEventListener("hashchange", fromLink);
  return fromLink;
}

/** Folded on a phone, where one screen is the answer; open where there is room. */
function unfold() {
  const roomy = window.matchMedia("(min-width: 700px) and (min-height: 480px)").matches;
  for (const fold of allOf(".fold")) fold.open = roomy;
}

async function startPage() {
  unfold();
  const ask = await openEngine();
  const page = new Page(ask);
  page.catalogue = await ask({ ask: "catalogue" });
  const option = (value, words) => `<option value="${escape(value)}">${escape(words)}</option>`;
  byId("film").innerHTML = '<option value="" hidden></option>' + page.catalogue.films.map((f) => option(f.name, `${f.name}, limit ${plain(f.limit_pct.value)} %`)).join("");
  byId("tool").innerHTML = page.catalogue.tools.map((t) => option(t.name, t.name)).join("");
  byId("demo").innerHTML += page.catalogue.recesses.map((r) => option(r.name, r.name)).join("");
  const number = (key, label, hint, bay, length) => `<label class="field"><span>${label}</span> <input ${length ? 'type="text" data-length="1"' : 'type="number" inputmode="decimal" step="any"'} data-key="${key}" ${bay ? 'data-bay="1"' : ""} ${typeof hint === "number" && hint > 0 ? `data-usual="${hint}"` : ""} placeholder="${hint}"></label>`;
  byId("tape-fields").innerHTML = READINGS.map(([key, label, , unit]) => number(key, `${label} in ${inUnit(unit)}`, "", false, unit === "mm")).join("");
  byId("more-fields").innerHTML = MORE.map(([key, label, hint]) => number(key, isLength(key) ? `${label}, in ${inUnit("mm")}` : label, hint, false, isLength(key))).join("") + MORE_BAY.map(([key, label, hint]) => number(key, label, hint, true)).join("");
  wireRecess(page);
  wireLesson(page);
  wireBeside(page);
  byId("end-fields").innerHTML = END_PARTS.map(([key, label]) => number(key, label, "from the section")).join("");
  wireChoices(page);
  page.trace = wireTrace(page);
  wireEnds(page);
  const fromLink = wireKeeping(page);
  let frame = 0;
  document.addEventListener("resized", () => {
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(() => { firstOf(".scale").dataset.limit = ""; page.paint(true); page.askRead(); });
  });
  // With large type the answer may fill the window: it then scrolls with the rest.
  const view = byId("picture");
  new ResizeObserver(() => view.classList.toggle("free", view.offsetHeight > 0.75 * window.innerHeight)).observe(view);
  if (location.hash.startsWith("#s=")) fromLink();
  await page.changed(true);
  page.first = performance.now();
  const engineFrom = async (packed, catalogue) => engineOf(await moduleOf(packed), catalogue);
  wireClass(page);
  /** @type {any} */ (window).tautspan = { ask, page, engineFrom, job: { questionOf, requestOf, stateOf, tomlOf } };
  document.documentElement.dataset.ready = "1";
  if (document.documentElement.dataset.engine === "beside" && "serviceWorker" in navigator) {
    navigator.serviceWorker.register("worker.js").catch(() => {});
  }
}

startPage().catch((error) => {
  byId("headline").textContent = `The engine does not start in this browser: ${error.message}. A browser of 2023 or later has what it needs.`;
});
