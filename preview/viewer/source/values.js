// The values of the chosen piece, on a slip under its name: all that a hand can pull can be typed too.
import { ask } from "./ask.js";
import { element } from "./cards.js";
import { FlatSheets } from "./flat-sheets.js";

export class Values {
  /** @param page asks ({ asked, edit, fail, say }), knows what is chosen ({ chosen, row, choosePiece }). */
  constructor(page) {
    this.page = page;
    this.box = element("div", { class: "values" });
    this.flat = new FlatSheets(page);
  }

  /** Lay the slip under the name of the chosen piece and bring it up to date. */
  async show() {
    const { page } = this;
    const piece = page.data.made && page.desk.works ? page.chosen : null;
    if (!piece) {
      this.box.remove();
      this.shown = "";
      return;
    }
    const row = page.row(piece);
    if (this.box.parentElement !== row) this.moveTo(row);
    if (this.asking) {
      this.again = true;
      return;
    }
    this.asking = true;
    try {
      const form = await ask("/form", page.secret, { piece });
      if (page.chosen === piece && form.name) this.fill(form);
    } catch {
      this.box.remove(); // a file with a mistake has no values; the mistake is told
    } finally {
      this.asking = false;
    }
    if (this.again) {
      this.again = false;
      await this.show();
    }
  }

  moveTo(row) {
    const { id } = document.activeElement ?? {};
    row?.append(this.box);
    if (id) document.getElementById(id)?.focus({ preventScroll: true });
  }

  fill(form) {
    const text = JSON.stringify(form);
    if (text === this.shown) return;
    this.shown = text;
    const { id } = document.activeElement ?? {};
    const open = this.box.querySelector("details")?.open ?? false;
    const given = form.fields.filter((field) => field.given);
    const other = form.fields.filter((field) => !field.given);
    const more = element("details", {}, element("summary", {}, "What else it can have"), ...other.map((field) => this.line(field, form)));
    more.open = open;
    this.box.replaceChildren(this.head(form), this.flat.box, ...given.map((field) => this.line(field, form)), more);
    if (id) document.getElementById(id)?.focus({ preventScroll: true });
    // A file with a mistake has no sheets; the mistake is told.
    this.flat.show(this.page.chosen).catch(() => (this.flat.box.hidden = true));
  }

  head(form) {
    const name = element("input", { type: "text", id: "value-name", value: form.name, maxlength: "60", autocomplete: "off", spellcheck: "false" });
    name.addEventListener("change", () => this.rename(form.name, name.value.trim()));
    const act = (label, make) => element("button", { type: "button", onclick: make }, label);
    return element(
      "div",
      { class: "head" },
      element("p", {}, form.means),
      element("div", { class: "line" }, element("label", { for: "value-name" }, "Name"), name),
      element(
        "div",
        { class: "buttons" },
        act("Double", () => this.copy("double", form)),
        act("Mirror", () => this.copy("mirror", form)),
        act("Take away", () => this.takeAway(form)),
      ),
      element(
        "div",
        { class: "buttons" },
        act("Print a picture on it", () => this.page.pictures.onto(this.page.chosen)),
        act("Write on it", () => this.page.letters.openOn(this.page.chosen)),
      ),
    );
  }

  async rename(piece, name) {
    if (!name || name === piece) return;
    this.page.next = name;
    await this.page.edit([{ edit: "rename", piece, name }]);
  }

  async copy(edit, { name, copies }) {
    this.page.next = copies[name];
    await this.page.edit([{ edit, names: copies }]);
  }

  takeAway({ name, standing }) {
    const { page } = this;
    const go = () => {
      page.desk.away();
      return page.edit([{ edit: "take-away", pieces: [name, ...standing] }]);
    };
    if (!standing.length) return go();
    const all = standing.length > 3 ? `${standing.slice(0, 2).join(", ")} and ${standing.length - 2} more` : standing.join(", ");
    page.desk.tell(
      `${all} ${standing.length > 1 ? "stand" : "stands"} on ${name} and would go with it.`,
      element("button", { type: "button", onclick: go }, "Take all away"),
      element("button", { type: "button", onclick: () => page.desk.away() }, "Leave it"),
    );
    return null;
  }

  /** One key: its name, a field, and what it means. */
  line(field, form) {
    const id = `value-${field.path.join("-")}`;
    const change = (value) => this.set(field, value);
    const control = this.control(field, form, id, change);
    const words = [field.means, field.allowed && `${field.allowed}`, !field.given && field.default && `else ${field.default}`];
    const note = element("small", { id: `${id}-means` }, words.filter(Boolean).join("; "));
    for (const one of control) if (one.id === id) one.setAttribute("aria-describedby", note.id);
    const made = element(
      "div",
      { class: "line" },
      element("label", { for: id }, field.key),
      element("span", { class: "control" }, ...control, ...(field.unit ? [element("span", { class: "unit" }, field.unit)] : [])),
      note,
    );
    // What is looked at or typed is marked on the flat paper.
    made.addEventListener("pointerenter", () => this.flat.mark(field));
    made.addEventListener("focusin", () => this.flat.mark(field));
    return made;
  }

  control(field, form, id, change) {
    const kinds = { choice: "chooser", paper: "chooser", truth: "truth", colour: "colour", number: "number" };
    return this[kinds[field.holds] ?? "text"](field, id, change, form);
  }

  number(field, id, change) {
    const expression = typeof field.value === "string";
    const settings = expression ? { type: "text" } : { type: "number", step: "1", inputmode: "decimal" };
    const input = element("input", { id, ...settings, value: field.value ?? "", autocomplete: "off" });
    input.addEventListener("change", () => change(numeric(input.value)));
    if (!expression) return [input];
    const part = () => this.page.edit([{ edit: "part", path: field.path }]);
    return [
      input,
      element("span", { class: "unit" }, `= ${field.number ?? "?"}`),
      element("button", { type: "button", onclick: part }, "Part it"),
    ];
  }

  text(field, id, change) {
    const input = element("input", { id, type: "text", value: field.value ?? "", autocomplete: "off", spellcheck: "false" });
    input.addEventListener("change", () => change(input.value));
    return [input];
  }

  chooser(field, id, change, form) {
    const choices = field.holds === "paper" ? form.papers : field.choices;
    const select = element("select", { id });
    select.append(element("option", { value: "" }, field.default ? `as usual (${field.default})` : "–"));
    for (const choice of choices) select.append(element("option", { value: choice }, choice));
    select.value = field.value ?? "";
    select.addEventListener("change", () => change(select.value));
    return [select];
  }

  truth(field, id, change) {
    const input = element("input", { id, type: "checkbox" });
    input.checked = field.value ?? field.default === "true";
    input.addEventListener("change", () => change(input.checked));
    return [input];
  }

  colour(field, id, change, form) {
    const input = element("input", { id, type: "color", value: field.value ?? "#fbf8f1" });
    input.addEventListener("change", () => change(input.value));
    const swatches = form.colours.map((colour) => {
      const button = element("button", { type: "button", class: "swatch", "aria-label": `${field.key} ${colour}`, onclick: () => change(colour) });
      button.style.background = colour;
      return button;
    });
    return [input, element("span", { class: "swatches" }, ...swatches)];
  }

  /** Write a value; what is refused goes back to what the file says. */
  async set(field, value) {
    if (value === field.value || (value === "" && !field.given)) return;
    const edit = value === "" ? { edit: "clear", path: field.path } : { edit: "set", path: field.path, value };
    if (await this.page.edit([edit])) return;
    this.shown = "";
    await this.show();
  }
}

/** What was typed: a number, also with a comma for a point, or an expression. */
function numeric(text) {
  const plain = text.trim().replace(/^([-+]?\d+),(\d+)$/, "$1.$2");
  return plain !== "" && Number.isFinite(Number(plain)) ? Number(plain) : plain;
}
