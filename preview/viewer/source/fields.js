// Keys of the design file as fields to type into and choose from, each an edit of the file.
import { element } from "./cards.js";

export class Fields {
  /** @param page writes into the file ({ edit }); who extends this brings it up to date by `show`. */
  constructor(page) {
    this.page = page;
    this.shown = "";
  }

  /** A key is looked at or typed. */
  mark() {}

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
    made.addEventListener("pointerenter", () => this.mark(field));
    made.addEventListener("focusin", () => this.mark(field));
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
    const papers = field.holds === "paper" ? form.papers : null;
    const choices = papers ? Object.keys(papers) : field.choices;
    const select = element("select", { id });
    select.append(element("option", { value: "" }, field.default ? `as usual (${field.default})` : "–"));
    for (const choice of choices) select.append(element("option", { value: choice }, choice));
    select.value = field.value ?? "";
    select.addEventListener("change", () => change(select.value));
    if (!papers) return [select];
    const swatches = choices.map((name) => this.swatch(papers[name], `${field.key} ${name}`, () => change(name), name === field.value));
    return [select, element("span", { class: "swatches" }, ...swatches)];
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
    const swatches = form.colours.map((one) => this.swatch(one, `${field.key} ${one}`, () => change(one), one === field.value));
    return [input, element("span", { class: "swatches" }, ...swatches)];
  }

  swatch(colour, label, choose, chosen) {
    const button = element("button", { type: "button", class: "swatch", title: label, "aria-label": label, "aria-pressed": String(chosen), onclick: choose });
    button.style.background = colour;
    return button;
  }

  /** Write a value; what is refused goes back to what the file says. */
  async set(field, value) {
    if (value === field.value || (value === "" && !field.given)) return;
    const edit = value === "" ? { edit: "clear", path: field.path } : { edit: "set", path: field.path, value };
    if (await this.page.edit([edit])) return;
    this.shown = "";
    await this.show(); // what was typed goes back to what the file says
  }
}

/** What was typed: a number, also with a comma for a point, or an expression. */
function numeric(text) {
  const plain = text.trim().replace(/^([-+]?\d+),(\d+)$/, "$1.$2");
  return plain !== "" && Number.isFinite(Number(plain)) ? Number(plain) : plain;
}
