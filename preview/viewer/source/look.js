// The card for looking closely: a ruler, and what else is laid over the spread or taken off it.
import { element } from "./cards.js";
import { Ruler } from "./ruler.js";

export class Look {
  /** @param page tells ({ viewer, say, shape }). */
  constructor(page) {
    this.page = page;
    this.card = element("section", {});
    this.ruler = new Ruler(page.viewer, () => this.tellRuler());
    this.measured = element("p", { class: "measured", "aria-live": "polite" });
    this.measure = element("button", { type: "button", "aria-pressed": "false", onclick: () => this.toggleRuler() }, "Measure");
    this.card.append(
      element("h2", {}, "Look closely"),
      element("h3", {}, "Ruler"),
      element("div", { class: "buttons" }, this.measure),
      this.measured,
    );
    this.tellRuler();
  }

  toggleRuler() {
    const on = !this.ruler.on;
    if (on) this.page.shape(false);
    this.ruler.set(on);
    this.measure.setAttribute("aria-pressed", on);
    if (on) this.page.viewer.canvas.focus({ preventScroll: true });
  }

  tellRuler() {
    if (!this.measured) return;
    const text = this.ruler.on ? this.ruler.sentence : "";
    if (this.measured.textContent !== text) this.measured.textContent = text;
    this.measured.hidden = !text;
  }
}
