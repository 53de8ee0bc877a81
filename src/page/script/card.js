// The job card as the page prints it: one sheet, what one does first.

function cardHtml(advice, checks, state) {
  const r = advice.recommended;
  const check = checks[0];
  const item = (words) => `<li>${escape(words)}</li>`;
  const width = state.bridge === null && r
    ? `Leave ${mm(r.bridge_mm)} free: tape ${mm(r.reach_left_mm)} left and ${mm(r.reach_right_mm)} right of the recess, ${mm(r.tape_to_tape_mm)} from tape to tape.`
    : `Leave ${mm(check.bridge_mm)} free: tape ${mm(check.reach_left_mm)} left and ${mm(check.reach_right_mm)} right of the recess.`;
  const use = state.bridge === null && r ? advice.orders.find((o) => o.order.name === r.order) || check : check;
  const verdictWords = use.within_limit ? "" : `<p class="do">Not acceptable: ${escape(peakWords(use))}.</p>`;
  const warm = { whole: "the whole bridge", mouth: "the film between the lips only", flats: "the film over the flats only" }[state.bay.warm] || "not said: ask before work";
  const drawing = byId("section-drawing").querySelector("svg");
  return `<h2>Job card: ${escape(advice.section.name)}, film ${escape(advice.film.name)}</h2>${verdictWords}
<p class="do">${escape(width)}</p><p class="do">${escape(capital(orderWords(use.order.name)))}. Warm: ${escape(warm)}.</p>
${drawing ? drawing.outerHTML : ""}
<h3>Order of work</h3><ol>${use.order.steps.map(capital).map(item).join("")}</ol>
<h3>Numbers</h3><p>${escape(capital(peakWords(use)))}. Mean ${percent(use.mean_pct)}. Mouth ${mm(advice.section.mouth_mm)}, depth ${mm(advice.section.depth_mm)}. Tool ${escape(use.tool.name)}.</p>
<h3>Checks</h3><ul>${["Panel clean, dry and at the temperature the film maker asks for; hardware in the way removed", "Post-heat as the film maker says, read on the film's surface with the gun away, in the recess too", "Look again after a day and after the first hot day; re-heat or cut what lifts"].concat(use.warnings.map(sayHere)).map(item).join("")}</ul>
<h3>Cautions</h3><p>The film maker's instructions and local codes come first. Heat guns burn skin and crack cold glass; see to air against fumes and solvents; never cut film on paint, or near airbags, sensors and wiring. Ends and corners stretch two ways and are not in these numbers.${advice.invented.length ? ` Training numbers: invented values decide here (${escape(inventedWords(advice.invented))}).` : ""}</p>
<div class="lines"><span>Vehicle and place</span><span>Film lot</span><span>Surface temperature, post-heat readings</span><span>Date and signature</span></div>`;
}
