// What hands do: every control of the page, and its start.

/** Sets or takes away a number that may be left empty. */
function put(object, key, text) {
  const value = Number(text);
  if (text.trim() === "" || !Number.isFinite(value)) delete object[key];
  else object[key] = key === "valley" ? Math.max(1, Math.round(value)) : value;
}

function wireRecess(page) {
  const { state } = page;
  document.querySelectorAll("input[name=way]").forEach((input) => input.addEventListener("change", () => {
    const s = page.state;
    // Single points and text go on from what is drawn.
    const drawn = page.seen ? page.seen.points.map((p) => p.map((v) => Math.round(v * 100) / 100)) : [];
    if (input.value === "drag" && s.way !== "drag" && drawn.length) s.points = drawn;
    if (input.value === "text" && s.text.trim() === "" && drawn.length) { s.text = drawn.map((p) => p.join(",")).join("\n"); s.typed = {}; }
    s.way = input.value;
    page.settled();
  }));
  byId("kind").addEventListener("change", () => {
    page.state.kind = byId("kind").value;
    page.state.shape = firstShape(page.state.kind);
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
  typed("shape-fields", (input) => { const v = Number(input.value); if (input.value !== "" && Number.isFinite(v)) page.state.shape[input.dataset.key] = v; });
  typed("tape-fields", (input) => { page.state.tape[input.dataset.key] = input.value === "" ? "" : Number(input.value); });
  typed("more-fields", (input) => put(input.dataset.bay ? page.state.bay : page.state.more, input.dataset.key, input.value));
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
  for (const [id, k] of [["point-x", 0], ["point-y", 1]]) {
    byId(id).addEventListener("change", () => {
      const value = Number(byId(id).value), point = page.state.points[page.editor.selected];
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
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || /^(INPUT|TEXTAREA)$/.test(event.target.tagName)) return;
    event.preventDefault();
    const s = event.shiftKey ? page.history.redo() : page.history.undo();
    if (s) page.take(s);
  });
  return state;
}

function wireLesson(page) {
  const width = (value) => { page.state.bridge = value; page.changed(false); };
  byId("bridge").addEventListener("input", () => width(Number(byId("bridge").value)));
  byId("bridge").addEventListener("change", () => { page.history.note(page.state); page.paintHistory(); });
  byId("bridge-mm").addEventListener("change", () => {
    const value = Number(byId("bridge-mm").value);
    if (value > 0) { width(value); page.history.note(page.state); page.paintHistory(); }
  });
  byId("take").addEventListener("click", () => { page.state.bridge = null; page.history.note(page.state); page.changed(false); page.paintHistory(); });
  const stage = byId("stage");
  const show = async () => { page.paintStage(); await page.replay(); page.paintPicture(); };
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
  const read = (s) => { page.place = s; page.along = drawAlong(byId("along").querySelector(".drawing"), page.orders.checks, null, s); page.paintReading(); };
  const overPicture = (event) => {
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
  document.querySelectorAll("input[name=origin]").forEach((input) => input.addEventListener("change", () => page.paintCharts()));
}

function wireChoices(page) {
  for (const key of ["film", "tool"]) byId(key).addEventListener("change", () => { page.state[key] = byId(key).value; page.settled(); });
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
    const known = Object.fromEntries([...document.querySelectorAll("#end-fields input")].map((input) => [input.dataset.key, input.value]));
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
      showCard((await page.ask({ ...page.request(), ask: "card" })).html);
      window.print();
    } catch (error) {
      said(`No card: ${typeset(error.message)}`);
    }
  });
  byId("link").addEventListener("click", async () => {
    const address = `${location.href.split("#")[0]}#s=${packState(page.state)}`;
    byId("address").value = address;
    try {
      await navigator.clipboard.writeText(address);
      said("The link is copied; it stands below too.");
    } catch {
      byId("address").focus();
      byId("address").select();
      said("The link stands below, chosen: copy it from there.");
    }
  });
  byId("save").addEventListener("click", () => {
    const a = document.createElement("a");
    const question = requestOf(page.state);
    if (page.state.bridge !== null) question.bridge_mm = page.state.bridge;
    a.href = URL.createObjectURL(new Blob([tomlOf(question)], { type: "application/toml" }));
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
  const fromLink = () => { if (location.hash.startsWith("#s=")) restore(() => [unpackState(location.hash.slice(3)), []], "link"); };
  window.addEventListener("hashchange", fromLink);
  return fromLink;
}

async function startPage() {
  const ask = await openEngine();
  const page = new Page(ask);
  page.catalogue = await ask({ ask: "catalogue" });
  const option = (value, words) => `<option value="${escape(value)}">${escape(words)}</option>`;
  byId("film").innerHTML = page.catalogue.films.map((f) => option(f.name, `${f.name}, limit ${plain(f.limit_pct.value)} %`)).join("");
  byId("tool").innerHTML = page.catalogue.tools.map((t) => option(t.name, t.name)).join("");
  byId("demo").innerHTML += page.catalogue.recesses.map((r) => option(r.name, r.name)).join("");
  const number = (key, label, hint, bay) => `<label class="field">${label} <input type="number" inputmode="decimal" step="any" data-key="${key}" ${bay ? 'data-bay="1"' : ""} placeholder="${hint}"></label>`;
  byId("tape-fields").innerHTML = READINGS.map(([key, label, , unit]) => number(key, `${label} in ${unit === "°" ? "degrees" : unit}`, "")).join("");
  byId("more-fields").innerHTML = MORE.map(([key, label, hint]) => number(key, label, hint)).join("") + MORE_BAY.map(([key, label, hint]) => number(key, label, hint, true)).join("");
  wireRecess(page);
  wireLesson(page);
  byId("end-fields").innerHTML = END_PARTS.map(([key, label]) => number(key, label, "from the section")).join("");
  wireChoices(page);
  wireEnds(page);
  const fromLink = wireKeeping(page);
  let frame = 0;
  document.addEventListener("resized", () => {
    cancelAnimationFrame(frame);
    frame = requestAnimationFrame(() => { document.querySelector(".scale").dataset.limit = ""; page.paint(true); page.askRead(); });
  });
  if (location.hash.startsWith("#s=")) fromLink();
  await page.changed(true);
  page.first = performance.now();
  wireClass(page);
  window.tautspan = { ask, page, engineFrom, job: { questionOf, requestOf, stateOf, tomlOf } };
  document.documentElement.dataset.ready = "1";
  if (document.documentElement.dataset.engine === "beside" && "serviceWorker" in navigator) {
    navigator.serviceWorker.register("worker.js").catch(() => {});
  }
}

startPage().catch((error) => {
  byId("headline").textContent = `The engine does not start in this browser: ${error.message}. A browser of 2023 or later has what it needs.`;
});
