// The sheet of the notebook: size, cover, ruling, and its papers, each with its colours.
import { ask } from "./ask.js";
import { element } from "./cards.js";
import { Fields } from "./fields.js";

const OWN = "own";
const NEW_FRONT = "#f3e3c8";

export class Notebook extends Fields {
  constructor(page, works) {
    super(page);
    this.box = document.getElementById("notebook");
    this.opener = document.getElementById("notebook-open");
    this.opener.hidden = !works;
    if (works) this.opener.addEventListener("click", () => this.open(this.box.hidden));
  }

  async open(open) {
    if (open) this.page.paper.open(false);
    this.box.hidden = !open;
    this.opener.setAttribute("aria-expanded", open);
    if (open) await this.show();
    this.page.viewer.resize(); // the spread makes room
  }

  /** Bring the sheet up to date, if it lies open. */
  async show() {
    if (this.box.hidden) return;
    try {
      this.fill(await ask("/notebook", this.page.secret, {}));
    } catch (error) {
      this.page.fail(error.message);
    }
  }

  fill(form) {
    const text = JSON.stringify(form);
    if (text === this.shown) return;
    // What is being typed is not lost when an answer comes late; what was refused is.
    const own = this.shown ? [document.activeElement] : [];
    const typed = [...own, document.getElementById("paper-name")]
      .filter((field) => this.box.contains(field) && field.matches("input[type=text], input[type=number]"))
      .map(({ id, value }) => [id, value]);
    this.shown = text;
    const { id } = document.activeElement ?? {};
    const open = new Set([...this.box.querySelectorAll("details[open]")].map((one) => one.dataset.paper));
    this.box.replaceChildren(
      element("h2", {}, "The pages"),
      ...this.size(form.size),
      ...form.fields.map((field) => this.line(field, form)),
      element("h2", {}, "Papers"),
      ...form.papers.map((paper) => this.paper(paper, form, open.has(paper.name))),
      this.adding(form),
    );
    for (const [name, value] of typed) {
      const field = document.getElementById(name);
      if (field) field.value = value;
    }
    if (id) document.getElementById(id)?.focus({ preventScroll: true });
  }

  /** How large a page is: a size with a name, held upright or across, or two lengths. */
  size(size) {
    const id = "notebook-size";
    const names = size.names.map((name) => element("option", { value: name }, name));
    const select = element("select", { id }, ...names, element("option", { value: OWN }, "a size of its own"));
    select.value = size.names.find((name) => name.toLowerCase() === size.page.toLowerCase()) ?? OWN;
    select.addEventListener("change", () => this.resize(size, select.value));
    const lines = [this.row("notebook-size", "size", select)];
    if (select.value === OWN) {
      for (const key of ["width", "height"]) {
        const input = element("input", { id: `notebook-${key}`, type: "number", step: "1", min: "1", value: size[key] });
        input.addEventListener("change", () => this.measure({ ...size, [key]: Number(input.value) }));
        lines.push(this.row(input.id, key, input, element("span", { class: "unit" }, size.unit)));
      }
      return lines;
    }
    const held = element("select", { id: "notebook-held" }, ...["portrait", "landscape"].map((way) => element("option", { value: way }, way)));
    held.value = size.orientation;
    held.addEventListener("change", () => this.write([{ edit: "set", path: ["spread", "orientation"], value: held.value }]));
    return [...lines, this.row(held.id, "held", held)];
  }

  row(id, label, ...control) {
    return element("div", { class: "line" }, element("label", { for: id }, label), element("span", { class: "control" }, ...control));
  }

  resize(size, name) {
    if (name === OWN) return this.measure(size);
    const gone = ["width", "height"].filter((key) => size.given.includes(key));
    return this.write([
      ...gone.map((key) => ({ edit: "clear", path: ["spread", key] })),
      { edit: "set", path: ["spread", "page"], value: name },
    ]);
  }

  measure(size) {
    const gone = ["page", "orientation"].filter((key) => size.given.includes(key));
    return this.write([
      ...gone.map((key) => ({ edit: "clear", path: ["spread", key] })),
      ...["width", "height"].map((key) => ({ edit: "set", path: ["spread", key], value: size[key] })),
    ]);
  }

  /** One paper: its two sides, what is made of it; her own can be changed. */
  paper(paper, form, open) {
    const sides = ["front", "back"].map((side) => {
      const swatch = element("span", { class: "swatch" });
      swatch.style.background = paper[side];
      return swatch;
    });
    const used = paper.used.length ? `${paper.used.length} ${paper.used.length > 1 ? "pieces" : "piece"}` : "not used";
    const title = [element("span", { class: "sides", "aria-hidden": "true" }, ...sides), element("b", {}, paper.name), element("span", { class: "count" }, used)];
    if (!paper.own) return element("div", { class: "paper" }, ...title);
    const away = () => this.write([{ edit: "clear", path: ["papers", paper.name] }]);
    const made = element(
      "details",
      { class: "paper", "data-paper": paper.name },
      element("summary", {}, ...title),
      ...paper.fields.map((field) => this.line(field, form)),
      element("div", { class: "buttons" }, element("button", { type: "button", onclick: away }, `Take ${paper.name} away`)),
    );
    made.open = open;
    return made;
  }

  /** A line for a paper of her own: its name and the colour of its printed side. */
  adding(form) {
    const name = element("input", { id: "paper-name", type: "text", maxlength: "60", autocomplete: "off", spellcheck: "false", placeholder: "its name" });
    const front = element("input", { id: "paper-front", type: "color", value: NEW_FRONT, "aria-label": "Colour of the new paper" });
    const swatches = form.colours.map((one) => this.swatch(one, `new paper ${one}`, () => (front.value = one), false));
    const add = async () => {
      const key = name.value.trim();
      if (!key) {
        name.focus();
        return;
      }
      name.value = "";
      const added = await this.write([{ edit: "add-paper", name: key, table: { front: front.value } }]);
      if (!added) document.getElementById("paper-name").value = key;
    };
    name.addEventListener("keydown", (event) => event.key === "Enter" && add());
    return element(
      "div",
      { class: "line adding" },
      element("label", { for: "paper-name" }, "New paper"),
      element("span", { class: "control" }, name, front, element("span", { class: "swatches" }, ...swatches)),
      element("div", { class: "buttons" }, element("button", { type: "button", onclick: add }, "Add this paper")),
    );
  }

  async write(edits) {
    const done = await this.page.edit(edits);
    this.shown = "";
    await this.show();
    return done;
  }
}
