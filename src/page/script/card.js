// The job card: the engine's own HTML, put into a root of its own so that neither its
// styles nor the page's reach the other, and printed from there.

/** Shows a card (a whole HTML document as text) in place of the page, for printing only. */
function showCard(html) {
  const host = byId("card");
  const root = host.shadowRoot || host.attachShadow({ mode: "open" });
  // Styles go in as a sheet: the content policy allows none that stand in a document.
  let css = "";
  const bare = html.replace(/<style>([\s\S]*?)<\/style>/g, (all, text) => { css += text; return ""; });
  const page = new DOMParser().parseFromString(bare, "text/html");
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(css.replace(/@page\s*\{[^}]*\}/g, "").replace(/^body \{/gm, ":host {"));
  root.adoptedStyleSheets = [sheet];
  root.replaceChildren(...page.body.childNodes);
  // Size and margins of the paper belong to the document.
  const paper = new CSSStyleSheet();
  paper.replaceSync((css.match(/@page\s*\{[^}]*\}/g) || []).join("\n"));
  document.adoptedStyleSheets = [paper];
}

/** Says on paper why there is no card. */
function showNoCard(words) {
  const host = byId("card");
  const root = host.shadowRoot || host.attachShadow({ mode: "open" });
  const said = document.createElement("p");
  said.textContent = words;
  root.adoptedStyleSheets = [];
  root.replaceChildren(said);
}
