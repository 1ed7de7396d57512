// Where the check found something, pinned to the paper; a cure that it has tried is one press away.
import { Matrix4, Vector3 } from "three";

import { element } from "./cards.js";

const GAP = 16;
// More would hide the paper; the list of the check has them all.
const MOST = 12;

export class Pins {
  /** @param page visits a finding ({ visit }) and writes into the file ({ edit }). */
  constructor(viewer, page) {
    this.viewer = viewer;
    this.page = page;
    this.box = document.getElementById("pins");
    this.card = document.getElementById("pin");
    this.pins = [];
    this.shown = false;
    document.addEventListener("keydown", ({ key }) => key === "Escape" && this.close());
  }

  /** Show the pins, or put them away. */
  show(shown) {
    this.shown = shown;
    this.fill();
  }

  /** Pin what the design's check has found, problems first. */
  fill() {
    const { data } = this.viewer.stage;
    const found = this.shown ? data.findings.filter(({ place, severity }) => place && severity !== "note") : [];
    const open = this.opened?.finding.said;
    this.close();
    this.pins = found.slice(0, MOST).map((finding) => {
      const button = element(
        "button",
        {
          type: "button",
          class: finding.severity,
          "aria-label": `${finding.severity}: ${finding.text}`,
          onclick: () => this.open(finding),
        },
        finding.sign,
      );
      return { finding, button, ...this.fixed(finding) };
    });
    this.box.replaceChildren(...this.pins.map(({ button }) => button));
    const again = this.pins.find(({ finding }) => finding.said === open);
    if (again) this.open(again.finding);
    this.follow();
  }

  /** The body to which a finding is pinned, and where on it: it goes along as the book moves. */
  fixed({ place, opening_deg: opening, pieces }) {
    const { stage } = this.viewer;
    const matrices = stage.bodies.map(() => new Matrix4());
    stage.motion.turn(stage.motion.clamp(opening ?? this.viewer.opening), matrices);
    const { bodies } = stage.data;
    const own = bodies.findIndex(({ facets }) => facets.some(({ piece }) => pieces.includes(piece)));
    const body = Math.max(own, 0);
    return { body, local: new Vector3(...place).applyMatrix4(matrices[body].invert()) };
  }

  /** Move the pins with the paper. */
  follow() {
    const { stage } = this.viewer;
    for (const { body, local, button } of this.pins) {
      const [x, y] = this.viewer.projectScene(stage.bodyPoint(body, local));
      button.style.left = `${x}px`;
      button.style.top = `${y}px`;
    }
    if (this.opened) this.beside();
  }

  /** Say what was found, with its cures. */
  open(finding) {
    this.opened = this.pins.find((pin) => pin.finding === finding);
    const cures = finding.cures.map((cure) =>
      element("button", { type: "button", class: "cure", onclick: () => this.cure(cure) }, cure.text),
    );
    const look = element("button", { type: "button", onclick: () => this.page.visit(finding) }, "Look there");
    this.card.replaceChildren(
      element("strong", { class: finding.severity }, `${finding.sign} ${finding.pieces.join(", ")}`),
      element("span", {}, finding.said),
      ...this.word(cures.length),
      element("div", { class: "buttons" }, ...cures, look),
    );
    this.card.hidden = false;
    this.beside();
  }

  /** Whether cures are found, still looked for, or none is known. */
  word(found) {
    const { cured } = this.viewer.stage.data;
    if (!found && cured) return [];
    return [element("span", { class: "ways" }, found ? "What was tried and helps" : "Trying what would help …")];
  }

  beside() {
    const { button } = this.opened;
    const { offsetWidth: wide, offsetHeight: tall, style } = this.card;
    const [x, y] = [parseFloat(button.style.left), parseFloat(button.style.top)];
    style.left = `${Math.max(8, Math.min(x + GAP, innerWidth - wide - 8))}px`;
    style.top = `${Math.max(8, Math.min(y + GAP, innerHeight - tall - 8))}px`;
  }

  async cure({ path, value }) {
    this.close();
    await this.page.edit([{ edit: "set", path, value }]);
  }

  close() {
    this.opened = null;
    this.card.hidden = true;
  }
}
