// The light table: a scan of her own drawing lies on it, its edge is found, and it is laid on the paper.
import { ask } from "./ask.js";
import { element } from "./cards.js";
import { middleOf, spotOf } from "./paper-under.js";

const STILL_PX = 6;
const WAYS = [
  ["flat", "Cut out, lie flat"],
  ["stand", "Cut out, stand up"],
  ["print", "Printed as it is"],
];
// What can be set: least, most, step, first, unit, and how many of it the server counts as one.
const LINES = {
  contrast: { label: "Ground", means: "How far something is from the paper to count as drawn", range: [2, 60, 1, 10], unit: " %", share: 0.01 },
  gap: { label: "Gaps", means: "Gaps in lines that still enclose", range: [0, 30, 1, 0], unit: " px", share: 1 },
  border: { label: "Border", means: "Width of the border around it", range: [0, 8, 0.5, 2], unit: " mm", share: 1 },
  height: { label: "Height", means: "Height of the piece", range: [15, 160, 1, 60], unit: " mm", share: 1 },
};

export class LightTable {
  /** @param page asks ({ secret, me, heard, fail, say }), has a hand, files ({ pictures }) and lights ({ paper }). */
  constructor(viewer, page) {
    this.viewer = viewer;
    this.page = page;
    this.box = document.getElementById("light-table");
    this.opener = document.getElementById("drawing-open");
    this.opener.hidden = false;
    this.opener.addEventListener("click", () => this.page.pictures.choose((file) => this.bring(file)));
    this.build();
  }

  build() {
    this.picture = element("img", { alt: "Your drawing" });
    const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    svg.setAttribute("aria-hidden", "true");
    svg.setAttribute("preserveAspectRatio", "none");
    this.edge = document.createElementNS("http://www.w3.org/2000/svg", "path");
    svg.append(this.edge);
    this.svg = svg;
    this.look = element("div", { class: "look cut" }, element("div", {}, this.picture, svg));
    this.look.addEventListener("pointerdown", (event) => this.drag(event));
    this.said = element("p", { class: "said", role: "status" });
    this.ways = element("fieldset", { "aria-label": "What becomes of it" }, ...WAYS.map(([way, words]) => this.way(way, words)));
    this.lines = Object.entries(LINES).map(([name, line]) => this.line(name, line));
    const close = element("button", { type: "button", onclick: () => this.close() }, "Put away");
    const lay = element("button", { type: "button", id: "light-lay", onclick: () => this.layInTheMiddle() }, "Lay it on the paper");
    this.box.replaceChildren(
      element("div", { class: "top" }, element("h2", {}, "Light table"), close),
      this.look,
      this.said,
      this.ways,
      ...this.lines,
      element("div", { class: "buttons" }, lay),
    );
    this.box.addEventListener("keydown", (event) => event.key === "Escape" && this.close());
  }

  way(way, words) {
    const input = element("input", { type: "radio", name: "light-way", value: way });
    input.checked = way === "flat";
    input.addEventListener("change", () => this.inquire());
    return element("label", {}, input, words);
  }

  line(name, { label, means, range: [least, most, step, first], unit }) {
    const id = `light-${name}`;
    const output = element("output", { for: id }, `${first}${unit}`);
    const input = element("input", { type: "range", id, min: least, max: most, step, value: first, title: means });
    input.addEventListener("input", () => {
      output.textContent = `${input.value}${unit}`;
      this.inquire();
    });
    return element("div", { class: "line" }, element("label", { for: id }, label), input, output);
  }

  get chosenWay() {
    return this.ways.querySelector(":checked").value;
  }

  /** What is set, as the server asks for it. */
  get settings() {
    const value = (name) => Number(document.getElementById(`light-${name}`).value) * LINES[name].share;
    return Object.fromEntries(Object.keys(LINES).map((name) => [name, value(name)]));
  }

  async bring(file) {
    this.page.desk.tell("The picture is looked at …");
    const brought = await this.page.pictures.bring(file);
    this.page.desk.away();
    if (brought) this.show(file, brought);
  }

  /** Lay a picture that was brought on the table. */
  show(file, brought) {
    this.lying = { file, picture: brought.picture, clear: brought.clear };
    this.picture.src = brought.look;
    this.picture.onload = () => {
      this.svg.setAttribute("viewBox", `0 0 ${this.picture.naturalWidth} ${this.picture.naturalHeight}`);
      this.inquire();
    };
    this.box.hidden = false;
    this.opener.setAttribute("aria-expanded", "true");
    if (!this.page.shaping) this.page.shape(true);
    this.box.querySelector(":checked").focus({ preventScroll: true });
    this.viewer.resize();
  }

  close() {
    this.box.hidden = true;
    this.lying = null;
    this.edge.removeAttribute("d");
    this.opener.setAttribute("aria-expanded", "false");
    this.opener.focus({ preventScroll: true });
    this.viewer.resize();
  }

  /** Ask for the edge as things are set; while one question is under way, the latest waits. */
  async inquire() {
    const cuts = this.chosenWay !== "print";
    this.look.classList.toggle("cut", cuts);
    this.lines.forEach((line, k) => (line.hidden = !cuts || (k < 2 && this.lying?.clear)));
    this.edge.style.display = cuts ? "" : "none";
    if (!cuts) {
      this.tell("Draw it onto a piece, or onto a page.");
      return;
    }
    this.latest = true;
    if (this.asking) return;
    this.asking = true;
    while (this.latest && this.lying) {
      this.latest = false;
      const { lying } = this;
      try {
        const found = await ask("/picture/edge", this.page.secret, { picture: lying.picture, ...this.settings });
        if (this.lying === lying && this.chosenWay !== "print") this.outline(found);
      } catch (error) {
        this.edge.removeAttribute("d");
        this.tell(error.message, true);
      }
    }
    this.asking = false;
  }

  outline({ rings, size: [wide, tall], parts }) {
    this.edge.setAttribute("d", rings.map((ring) => `M${ring.map(([x, y]) => `${x} ${y}`).join("L")}Z`).join(""));
    const where = this.chosenWay === "flat" ? "onto the paper" : "onto a crease";
    const loose = parts > 1 ? ` It is in ${parts} parts, and the paper follows the largest alone: move Ground or Gaps.` : "";
    this.tell(`${wide} × ${tall} mm. Draw it from here ${where}.${loose}`, parts > 1);
  }

  tell(words, stopped = false) {
    this.said.textContent = words;
    this.said.classList.toggle("stopped", stopped);
  }

  // ------------------------------------------------------------------ onto the paper

  drag(event) {
    if (event.button > 0 || !this.lying) return;
    event.preventDefault();
    const { look, page } = this;
    const { ghost, lights } = page.paper;
    const from = [event.clientX, event.clientY];
    let held = false;
    look.setPointerCapture(event.pointerId);
    const move = (now) => {
      if (!held && Math.hypot(now.clientX - from[0], now.clientY - from[1]) <= STILL_PX) return;
      if (!held) this.takeUp(ghost, lights);
      held = true;
      look.classList.add("held");
      ghost.hidden = false;
      Object.assign(ghost.style, { left: `${now.clientX}px`, top: `${now.clientY}px` });
      ghost.classList.toggle("finds", Boolean(page.paper.under(now)));
    };
    const end = (now) => {
      for (const [name, listener] of listeners) look.removeEventListener(name, listener);
      look.classList.remove("held");
      ghost.hidden = true;
      ghost.className = "";
      lights.show([]);
      if (!held || now.type === "pointercancel") return;
      const hit = page.paper.under(now);
      if (hit) this.lay(spotOf(this.viewer, hit));
      else page.say("It went back onto the light table");
    };
    const listeners = [["pointermove", move], ["pointerup", end], ["pointercancel", end]];
    for (const [name, listener] of listeners) look.addEventListener(name, listener);
  }

  /** What could carry it lights up. */
  async takeUp(ghost, lights) {
    ghost.replaceChildren(this.picture.cloneNode());
    if (this.chosenWay === "print") return;
    const kind = this.chosenWay === "flat" ? "flat" : "v-fold";
    try {
      const { places } = await ask("/places", this.page.secret, { kind });
      if (!ghost.hidden) lights.show(places);
    } catch (error) {
      this.page.fail(error.message);
    }
  }

  /** Without a pointer: in the middle of the right page or of the gutter; a print on the chosen piece. */
  layInTheMiddle() {
    const way = this.chosenWay;
    if (way !== "print") return this.lay({ on: way === "flat" ? "page.right" : "gutter" });
    const hit = middleOf(this.viewer, this.page.chosen ?? "page");
    return hit && this.lay(spotOf(this.viewer, hit));
  }

  async lay(where) {
    const { page, lying } = this;
    const way = this.chosenWay;
    page.desk.tell(way === "print" ? "Printing it …" : "Cutting it out, and trying where it fits …");
    const about = { made: this.viewer.stage.data.made, page: page.me, picture: lying.picture, name: lying.file.name };
    try {
      const answer = way === "print" ? await ask("/picture/print", page.secret, { ...about, spot: where }) : await ask("/picture/cut", page.secret, { ...about, ...this.settings, way, ...where });
      page.desk.away();
      if (this.lying === lying) this.close(); // or another lies there by now
      page.taken(answer, answer.key);
      page.say(`${answer.piece} lies on the paper`);
    } catch (error) {
      page.desk.away();
      page.fail(error.message);
    }
  }
}
