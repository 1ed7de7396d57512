// The panel: pieces, findings, building order and the picture, as cards under tabs.
const EYE =
  '<svg viewBox="0 0 24 24" aria-hidden="true"><path d="M2.5 12S6 5.8 12 5.8 21.5 12 21.5 12 18 18.2 12 18.2 2.5 12 2.5 12z"/><circle cx="12" cy="12" r="2.9"/><path class="slash" d="M4 20 20 4"/></svg>';

/** Make an element: attributes, then children (elements or texts). */
export function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "onclick") made.addEventListener("click", value);
    else if (value !== null) made.setAttribute(key, value);
  }
  made.append(...children);
  return made;
}

/** Tabs after the pattern of the ARIA Authoring Practices: arrows move, one panel is shown. */
export class Tabs {
  /** @param chose is told which card is shown, whenever one is. */
  constructor(list, cards, chose) {
    this.list = list;
    this.cards = cards;
    this.chose = chose;
    list.addEventListener("keydown", (event) => this.key(event));
  }

  fill(entries) {
    const chosen = this.chosen;
    this.list.replaceChildren();
    this.cards.replaceChildren();
    for (const { id, label, count, card } of entries) {
      const tab = element(
        "button",
        { type: "button", role: "tab", id: `tab-${id}`, "aria-controls": `card-${id}`, onclick: () => this.choose(id) },
        label,
      );
      if (count) tab.append(element("span", { class: "count" }, String(count)));
      card.id = `card-${id}`;
      card.className = "card";
      card.setAttribute("role", "tabpanel");
      card.setAttribute("aria-labelledby", `tab-${id}`);
      this.list.append(tab);
      this.cards.append(card);
    }
    this.choose(entries.some((entry) => entry.id === chosen) ? chosen : entries[0].id);
  }

  choose(id) {
    this.chosen = id;
    for (const tab of this.list.children) {
      const selected = tab.id === `tab-${id}`;
      tab.setAttribute("aria-selected", selected);
      tab.tabIndex = selected ? 0 : -1;
      document.getElementById(tab.getAttribute("aria-controls")).hidden = !selected;
    }
    this.cards.scrollTop = 0;
    this.chose(id);
  }

  key(event) {
    const tabs = [...this.list.children];
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    const ends = { Home: 0, End: tabs.length - 1 };
    let next = ends[event.key];
    if (step) next = (tabs.indexOf(document.activeElement) + step + tabs.length) % tabs.length;
    if (next === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    tabs[next].focus();
    tabs[next].click();
  }
}

const EMPTY = "Nothing lies in the notebook yet. Open the paper drawer, and draw a piece onto a page or to the fold between the pages.";

/** @param actions show(name, shown), mark(name, marked), only(name or null). */
export function piecesCard(pieces, actions) {
  const list = element("ul");
  for (const { name, members } of grouped(pieces)) {
    const rows = members.map((piece) => pieceRow(piece, actions));
    list.append(...(members.length > 1 ? [groupRow(name, members, rows, actions)] : rows));
  }
  const heading = element("h2", {}, "Pieces");
  if (!pieces.length) return element("section", {}, heading, element("p", {}, EMPTY));
  return element(
    "section",
    {},
    heading,
    element("p", {}, "Choose a name to mark a piece and read its folds."),
    element(
      "div",
      { class: "buttons" },
      element("button", { type: "button", onclick: () => actions.all(true) }, "Show all"),
      element("button", { type: "button", onclick: () => actions.all(false) }, "Pages only"),
    ),
    list,
  );
}

/** What a piece, a fold or a hand is called: in a page to send as one says it, else by its key. */
export function called(thing) {
  return thing.called ?? thing.name.split(".").pop();
}

/** Pieces that follow each other and differ by a number at the end alone: {name, members}. */
export function grouped(pieces) {
  const groups = [];
  for (const piece of pieces) {
    const name = called(piece).replace(/[-_ ]?\d+$/, "") || called(piece);
    const last = groups.at(-1);
    if (last?.name === name) last.members.push(piece);
    else groups.push({ name, members: [piece] });
  }
  return groups;
}

/** Rows of equal pieces, folded away under their common name. */
function groupRow(name, members, rows, actions) {
  const eye = eyeButton(`Show all ${members.length} of ${name}`, () => actions.showAll(members.map((piece) => piece.name)));
  eye.dataset.group = name;
  const inner = element("details", { class: "group", "data-group": name });
  inner.append(
    element("summary", {}, swatch(members[0].colour), name, element("span", { class: "count" }, `× ${members.length}`)),
    element("ul", {}, ...rows),
  );
  return element("li", { class: "piece" }, element("div", { class: "row" }, inner, eye));
}

function eyeButton(label, act) {
  const eye = element("button", { class: "eye", type: "button", "aria-pressed": "true", "aria-label": label, onclick: act });
  eye.innerHTML = EYE;
  return eye;
}

function pieceRow(piece, actions) {
  const mark = element(
    "button",
    { class: "name", type: "button", "aria-pressed": "false", onclick: (event) => actions.mark(piece.name, event) },
    swatch(piece.colour),
    called(piece),
  );
  const eye = eyeButton(`Show ${called(piece)}`, () => actions.show(piece.name));
  const folds = element("div", { class: "folds", hidden: "" });
  return element("li", { class: "piece", "data-piece": piece.name }, element("div", { class: "row" }, mark, eye), folds);
}

function swatch(colour) {
  const made = element("span", { class: "swatch", "aria-hidden": "true" });
  made.style.background = colour;
  return made;
}

/** How a fold stands: its angle and direction in words. */
export function foldWords(degrees) {
  const size = Math.round(Math.abs(degrees));
  if (size === 0) return ["0°", "flat"];
  return [`${size}°`, degrees > 0 ? "mountain" : "valley"];
}

export function showFolds(row, folds, text) {
  const box = row.querySelector(".folds");
  box.hidden = !folds.length;
  box.replaceChildren(
    ...folds.flatMap((fold) => {
      const [angle, way] = text(fold.degrees);
      return [
        element("b", {}, called(fold)),
        element("span", {}, angle),
        element("span", {}, way),
      ];
    }),
  );
}

/** @param cures what would help with a finding, as elements; null in a page that changes nothing. */
export function checkCard({ findings, checked, trouble }, choose, cures = null) {
  const card = element("section", {}, element("h2", {}, "Check"));
  if (trouble) card.append(element("p", { class: "trouble" }, trouble));
  if (!findings.length) {
    if (trouble) return card;
    const text = checked ? "✓ Ready to cut: nothing found." : "Checking …";
    card.append(element("p", { class: checked ? "good" : "" }, text));
    return card;
  }
  card.append(element("p", {}, "Choose a finding to see where and when it happens."));
  for (const finding of findings) {
    const when = finding.opening_deg === null ? "" : ` · ${Math.round(finding.opening_deg)}° open`;
    card.append(
      element(
        "button",
        { class: "finding", type: "button", onclick: () => choose(finding) },
        element("span", { class: `severity ${finding.severity}` }, `${finding.sign} ${finding.severity}`),
        element("span", { class: "where" }, finding.pieces.join(", ") + when),
        element("span", {}, cures ? finding.said : finding.text),
      ),
    );
    if (cures) card.append(...cures(finding));
  }
  return card;
}

/** @param steps title and text each; null while they are being worked out. */
export function buildCard(steps, choose, leave, play) {
  const list = element("ol", { class: "steps" });
  (steps ?? []).forEach(({ title, text }, k) => {
    const words = element("span", {}, element("span", {}, title), element("span", { class: "how", hidden: "" }, text));
    list.append(
      element("li", {}, element("button", { type: "button", "data-step": k, onclick: () => choose(k) }, words)),
    );
  });
  const button = (id, label, act) => element("button", { type: "button", id, onclick: act }, label);
  return element(
    "section",
    {},
    element("h2", {}, "Building order"),
    element("p", {}, steps ? "Step by step; each piece flies to where it is glued." : "Working out the order …"),
    element(
      "div",
      { class: "buttons walk" },
      button("step-back", "Back", () => choose("back")),
      button("step-next", "Next step", () => choose("next")),
      button("step-play", "Play steps", play),
      button("step-leave", "Whole spread", leave),
    ),
    list,
  );
}

const HAND_WORDS = { flyleaf: "Turn the page", turn: "Turn", slide: "Slide" };

/** A slider for a part that a hand moves. @param hand name and kind; share 0 to 1. */
export function handField(hand, share, put) {
  const id = `hand-${hand.name}`;
  const slider = element("input", { type: "range", id, min: "0", max: "1", step: "0.005", "data-hand": hand.name });
  slider.addEventListener("input", () => put(slider.valueAsNumber));
  showShare(slider, share);
  const label = element("label", { for: id }, `${HAND_WORDS[hand.kind]}: ${called(hand).replaceAll("-", " ")}`);
  return element("div", { class: "hand" }, label, slider);
}

export function showShare(slider, share) {
  if (slider.valueAsNumber !== share) slider.value = share;
  slider.setAttribute("aria-valuetext", `${Math.round(100 * share)} percent of the way`);
}

/** @param fields [{id, label, options: [[value, label]], value, choose}], @param buttons. */
export function pictureCard(fields, buttons) {
  const card = element("section", {}, element("h2", {}, "Picture"));
  for (const { id, label, options, value, choose } of fields) {
    const select = element("select", { id });
    for (const [key, text] of options) select.append(element("option", { value: key }, text));
    select.value = value;
    select.addEventListener("change", () => choose(select.value));
    card.append(element("div", { class: "field" }, element("label", { for: id }, label), select));
  }
  const row = element("div", { class: "buttons" });
  for (const { id, label, act } of buttons) row.append(element("button", { type: "button", id, onclick: act }, label));
  card.append(row);
  return card;
}
