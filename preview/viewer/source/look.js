// The card for looking closely: a ruler, and what else is laid over the spread or taken off it.
import { element } from "./cards.js";
import { Ruler, written } from "./ruler.js";
import { Section } from "./section.js";
import { layers, thickest } from "./shut.js";
import { Tracing } from "./tracing.js";

const SVG = "http://www.w3.org/2000/svg";
// The drawing of the closed spread: pixels across it, of each layer, and between layers.
const ACROSS = 300;
const LAYER = 9;
const BETWEEN = 3;

export class Look {
  /** @param page tells ({ viewer, data, say, shape }). */
  constructor(page) {
    this.page = page;
    const { viewer } = page;
    this.card = element("section", {});
    this.tracing = new Tracing(viewer);
    this.section = new Section(viewer);
    this.ruler = new Ruler(viewer, () => this.tellRuler());
    this.measured = element("p", { class: "measured", "aria-live": "polite" });
    this.measure = element("button", { type: "button", "aria-pressed": "false", onclick: () => this.toggleRuler() }, "Measure");
    this.card.append(
      element("h2", {}, "Look closely"),
      element("h3", {}, "Ruler"),
      element("div", { class: "buttons" }, this.measure),
      this.measured,
      ...this.tracingParts(),
      ...this.cutParts(),
      ...this.shutParts(),
    );
    this.tellRuler();
    this.tellTracing();
    this.loaded();
  }

  /** Another version of the design is shown; the one before can be traced. */
  loaded() {
    const { data } = this.page;
    if (this.last && this.last.made !== data.made) this.before = this.last;
    this.last = data;
    this.traceBefore.disabled = !this.before;
    this.height.max = Math.ceil(1.6 * Math.max(data.book.width, data.book.height));
    this.level.max = data.book.height;
    if (this.section.height !== null) this.section.follow();
    if (this.tracing.on) this.tracing.follow();
    this.stack = null;
    if (this.shut.open) this.drawShut();
  }

  toggleRuler() {
    const on = !this.ruler.on;
    if (on) this.page.shape?.(false);
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

  // ------------------------------------------------------------------ a tracing over it

  tracingParts() {
    const act = (text, data) => element("button", { type: "button", onclick: () => this.trace(data()) }, text);
    this.traceNow = act("Trace what I see", () => this.page.data);
    this.traceBefore = act("Trace the version before", () => this.before);
    this.traceAway = element("button", { type: "button", onclick: () => this.trace(null) }, "Take it off");
    this.goes = element("input", { type: "checkbox", id: "tracing-goes" });
    this.goes.addEventListener("change", () => {
      this.tracing.let(this.goes.checked);
      this.tellTracing();
    });
    this.going = element("div", { class: "line" }, this.goes, element("label", { for: "tracing-goes" }, "It opens and closes along"));
    this.traced = element("p", { class: "measured", "aria-live": "polite" });
    return [element("h3", {}, "Tracing"), element("div", { class: "buttons" }, this.traceNow, this.traceBefore, this.traceAway), this.going, this.traced];
  }

  /** Lay a tracing of a design over the spread; of the version before it opens along. */
  trace(data) {
    if (data) {
      this.goes.checked = data !== this.page.data;
      this.tracing.trace(data, this.goes.checked);
    } else this.tracing.away();
    this.tellTracing();
  }

  tellTracing() {
    const { on, goes, opening, data } = this.tracing;
    this.traceAway.hidden = this.going.hidden = this.traced.hidden = !on;
    if (!on) return;
    const what = data.made === this.page.data.made ? "the spread" : "the version before";
    this.traced.textContent = goes ? `In blue: ${what}, opened as far as this one.` : `In blue: ${what} at ${Math.round(opening)}° open.`;
  }

  // ------------------------------------------------------------------ a cut through it

  cutParts() {
    this.cutting = element("input", { type: "checkbox", id: "cut-on" });
    this.height = element("input", { type: "range", id: "cut-height", min: "0", max: "200", step: "0.5", value: "30", "aria-label": "Height of the cut" });
    this.cutAt = element("output", { for: "cut-height" });
    const act = () => {
      const height = this.height.valueAsNumber;
      this.height.disabled = !this.cutting.checked;
      this.cutAt.textContent = `${written(height)} mm over the table`;
      this.height.setAttribute("aria-valuetext", this.cutAt.textContent);
      this.section.cut(this.cutting.checked ? height : null);
    };
    for (const input of [this.cutting, this.height]) input.addEventListener("input", act);
    this.height.disabled = true;
    this.cutAt.textContent = "30.0 mm over the table";
    return [
      element("h3", {}, "Cut"),
      element("div", { class: "line" }, this.cutting, element("label", { for: "cut-on" }, "Cut level, and take off what is above")),
      element("div", { class: "sliding" }, this.height, this.cutAt),
    ];
  }

  // ------------------------------------------------------------------ the closed spread

  shutParts() {
    this.shut = element("details", { class: "shut" }, element("summary", {}, "Shut, seen from its foot edge"));
    this.level = element("input", { type: "range", id: "shut-level", min: "0", max: "210", step: "1", "aria-label": "Height over the foot of the page" });
    this.levelAt = element("output", { for: "shut-level" });
    this.level.addEventListener("input", () => this.drawShut());
    this.picture = element("div", { class: "stack" });
    this.order = element("ol", { class: "order" });
    this.shut.append(this.picture, element("div", { class: "sliding" }, this.level, this.levelAt), element("p", {}), this.order);
    this.shut.addEventListener("toggle", () => this.shut.open && this.drawShut());
    return [element("h3", {}, "Layers"), this.shut];
  }

  /** The stack of layers at the height that is chosen; at first where it is thickest. */
  drawShut() {
    const { data, viewer } = this.page;
    const { motion } = viewer.stage;
    if (!this.stack) this.level.value = thickest(data, motion);
    const y = this.level.valueAsNumber;
    this.stack = layers(data, motion, y);
    const { strips, sure } = this.stack;
    this.levelAt.textContent = `${Math.round(y)} mm over the foot`;
    this.level.setAttribute("aria-valuetext", this.levelAt.textContent);
    this.picture.replaceChildren(drawing(strips));
    const scale = Math.max(1, ...strips.map(({ to }) => to)) / ACROSS;
    const thin = Math.min(...strips.map(({ caliper }) => caliper).filter((caliper) => caliper > 0));
    const times = Number.isFinite(thin) ? Math.round((LAYER * scale) / thin) : 0;
    const unsure = sure ? "" : " Some of it touches even when the book is ajar; their order is not sure.";
    this.shut.querySelector("p").textContent = `Drawn ${times} times as thick as it is, the left page at the foot. From the left page to the right one:${unsure}`;
    this.order.replaceChildren(
      ...strips.map(({ name, colour, from, to, level }) => {
        const swatch = element("span", { class: "swatch", "aria-hidden": "true" });
        swatch.style.background = colour;
        return element("li", { value: level + 1 }, swatch, name, element("small", {}, `${Math.round(from)} to ${Math.round(to)} mm`));
      }),
    );
  }
}

/** Strips over each other, the gutter on the left. */
function drawing(strips) {
  const reach = Math.max(1, ...strips.map(({ to }) => to));
  const top = Math.max(0, ...strips.map(({ level }) => level)) + 1;
  const high = top * (LAYER + BETWEEN) + BETWEEN;
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", `0 0 ${ACROSS} ${high}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", `${top} layers over each other`);
  for (const { from, to, level, colour, name } of strips) {
    const strip = document.createElementNS(SVG, "rect");
    const title = document.createElementNS(SVG, "title");
    title.textContent = name;
    strip.append(title);
    for (const [key, value] of Object.entries({
      x: (from / reach) * ACROSS,
      y: high - (level + 1) * (LAYER + BETWEEN),
      width: ((to - from) / reach) * ACROSS,
      height: LAYER,
      rx: 1.5,
      fill: colour,
    })) strip.setAttribute(key, value);
    svg.append(strip);
  }
  return svg;
}
