// The values of the chosen piece, on a slip under its name: all that a hand can pull can be typed too.
import { ask } from "./ask.js";
import { element } from "./cards.js";
import { Fields } from "./fields.js";
import { FlatSheets } from "./flat-sheets.js";

export class Values extends Fields {
  /** @param page asks ({ asked, edit, fail, say }), knows what is chosen ({ chosen, row, choosePiece }). */
  constructor(page) {
    super(page);
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
      ...this.twin(form),
      element(
        "div",
        { class: "buttons" },
        act("Print a picture on it", () => this.page.pictures.onto(this.page.chosen)),
        act("Write on it", () => this.page.letters.openOn(this.page.chosen)),
      ),
    );
  }

  /** A switch that keeps a piece and its mirror image on the other page alike. */
  twin({ name, twin }) {
    if (!twin) return [];
    const input = element("input", { id: "value-twin", type: "checkbox" });
    input.checked = twin.kept;
    input.addEventListener("change", async () => {
      const edit = { edit: "twin", piece: name, kept: input.checked, twin: input.checked ? twin.other : null };
      if (!(await this.page.edit([edit]))) input.checked = twin.kept;
    });
    const words = twin.kept ? "its twin on the other page follows" : twin.other ? `keep ${twin.other} mirrored` : "a twin on the other page that follows";
    return [element("div", { class: "twin" }, input, element("label", { for: "value-twin" }, words))];
  }

  async rename(piece, name) {
    if (!name || name === piece) return;
    await this.page.edit([{ edit: "rename", piece, name }], [name]);
  }

  async copy(edit, { name, copies }) {
    await this.page.edit([{ edit, names: copies }], [copies[name]]);
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

  mark(field) {
    this.flat.mark(field);
  }
}
