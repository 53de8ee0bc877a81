// The lesson sheet: what a class gets on paper. Questions first, the answers over the leaf.

/** Three widths around one: narrower, itself, wider, on the steps of a tape where there is room. */
function threeWidths(orders) {
  const { least_bridge_mm: least, widest_bridge_mm: most, bridge_mm: now } = orders, step = tapeStep();
  const at = (width) => clamp(Math.round(width / step) * step, least, most);
  return now - least < 2 * step ? [now, at(1.5 * now), at(2.5 * now)] : [at(least + 0.4 * (now - least)), now, at(1.6 * now)];
}

const rowOf = (id, i) => `<figure><figcaption id="sheet-${id}-${i}"></figcaption><div class="drawing" id="sheet-${id}-picture-${i}"></div></figure>`;
const pairOf = (id, i) => `<div class="sheet-pair">${rowOf(id, i)}${rowOf(id, i + 1)}</div>`;

/** Fills the sheet with what is on the screen. */
async function fillSheet(page) {
  const host = byId("sheet"), { advice, orders } = page;
  const asked = { ...page.request(), ask: "orders", order: page.shownBeside() };
  const shown = [];
  for (const width of threeWidths(orders)) shown.push(await page.ask({ ...asked, ...page.wide(width) }));
  const sweep = page.sweep || await page.ask({ ...page.request(), ask: "sweep", bridge_mm: undefined });
  const { film, section, invented } = orders.checks[0], [, other] = orders.checks;
  const both = ["deepest point first", orderWords(other.order.name)];
  const limit = `${plain(film.limit_pct)}${THIN}%`;
  const head = (title) => `<h2>${title}</h2><p>${escape(section.name)}, ${escape(film.name)}, limit ${limit}.</p>`;
  const training = invented.length ? `<p class="sheet-training">Invented values decide here: ${escape(invented.map((i) => i.text).join("; "))}.</p>` : "";
  host.innerHTML = `<section>${head("Lesson sheet: your guess")}
    <p>The film is bonded outside the posts and free between them. How far will it be stretched where that is most, once it is down? The same film, the same recess, three bridge widths and two orders of pressing.</p>
    ${[0, 1, 2].map((i) => rowOf("ask", i)).join("")}
    <p>Which width keeps the film within its limit, in which order? ${"_".repeat(40)}</p></section>
    <section>${head("Lesson sheet: what it comes to")}
    <div class="sheet-pair">${both.map((name) => `<strong>${capital(name)}</strong>`).join("")}</div>
    ${[0, 2, 4].map((i) => pairOf("tell", i)).join("")}<p>${escape(doWords(advice))} ${escape(verdict(orders.checks))}</p></section>
    <section>${head("Lesson sheet: why")}
    <h3>Peak against bridge width</h3><p class="keys">${firstOf("#curve .keys").innerHTML}</p><div class="drawing" id="sheet-curve"></div>
    <ul><li>A wider bridge brings more film into the recess: the same extra panel is shared out further.</li><li>Deepest point first draws on all of the bridge; edges first has stuck the flats down by the time film is needed, so a wider bridge helps it little or not at all.</li><li>Film that is cold over the flats gives little: warm it up to the tapes.</li></ul>
    ${training}<h3>Before work</h3><p>${escape(byId("cautions").textContent)}</p></section>`;
  // Laid out beside the screen, so that there is a size to draw in; drawn in the paper's width.
  host.classList.add("drawn");
  const most = Math.max(...shown.map((o) => o.bridge_mm));
  const blank = `${"_".repeat(8)}${THIN}%`;
  enlarged(1, () => shown.forEach((at, i) => {
    const [first, second] = at.checks, bridged = first.air ? first.air.stages[0].free_mm : [];
    const bare = { down: [], free: bridged.map((path) => ({ path, elongation_pct: 0 })) };
    byId(`sheet-ask-${i}`).textContent = `Bridge ${mm(first.bridge_mm)}: ${both[0]} ${blank}, ${both[1]} ${blank}`;
    const ask = byId(`sheet-ask-picture-${i}`);
    drawOrder(ask, at, first, bare, viewOf(at, most, ask, 1.2), { hidden: true, bare: true });
    [first, second].forEach((check, k) => {
      const n = 2 * i + k, tell = byId(`sheet-tell-picture-${n}`);
      byId(`sheet-tell-${n}`).textContent = `${mm(check.bridge_mm)}: ${percent(check.peak_pct)}, ${wordOf(check)}`;
      drawOrder(tell, at, check, null, viewOf(at, most, tell), {});
    });
  }));
  const recommended = advice.recommended ? advice.recommended.bridge_mm : null;
  drawCurve(byId("sheet-curve"), sweep, Math.max(page.most, most), orders.bridge_mm, recommended);
  host.classList.remove("drawn");
}

/** Prints the sheet in place of the card, this once. */
function printSheet() {
  const root = document.documentElement;
  root.dataset.print = "sheet";
  window.addEventListener("afterprint", () => { delete root.dataset.print; }, { once: true });
  window.print();
}
