// The opening as a half-round protractor: read it, drag its arm, or turn it with the keys.
const SVG = "http://www.w3.org/2000/svg";
const RADIANS = Math.PI / 180;

export class Dial {
  /** @param root the element with role slider; @param limits first and last opening, degrees. */
  constructor(root, limits, choose) {
    this.root = root;
    this.choose = choose;
    this.svg = root.querySelector("svg");
    this.drawScale();
    this.setLimits(limits);
    root.addEventListener("pointerdown", (event) => this.grab(event));
  }

  setLimits([first, last]) {
    this.first = first;
    this.last = last;
    this.root.setAttribute("aria-valuemin", Math.round(first));
    this.root.setAttribute("aria-valuemax", Math.round(last));
    this.barred.replaceChildren();
    for (const [from, to] of [
      [0, first],
      [last, 180],
    ]) {
      if (to - from > 0.5) this.barred.append(draw("path", { d: band(from, to, 62, 97) }));
    }
  }

  drawScale() {
    this.sweep = draw("path", { class: "sweep" });
    this.barred = draw("g", { class: "barred" });
    const ticks = draw("g", { class: "ticks" });
    for (let angle = 0; angle <= 180; angle += 2) {
      const inner = angle % 10 === 0 ? 86 : angle % 5 === 0 ? 90 : 94;
      const [x1, y1] = at(angle, inner);
      const [x2, y2] = at(angle, 98);
      ticks.append(draw("line", { x1, y1, x2, y2, class: angle % 10 ? "" : "long" }));
    }
    const numbers = draw("g", { class: "numbers" });
    for (let angle = 0; angle <= 180; angle += 30) {
      const [x, y] = at(angle, 76);
      const text = draw("text", { x: x.toFixed(2), y: (y + (angle % 180 ? 2.5 : -2)).toFixed(2) });
      text.textContent = angle;
      numbers.append(text);
    }
    this.arm = draw("g", { class: "arm" });
    this.arm.append(
      draw("line", { x1: -51, y1: 0, x2: -67, y2: 0 }),
      draw("line", { x1: -85, y1: 0, x2: -98, y2: 0 }),
      draw("circle", { cx: -57, cy: 0, r: 5.2 }),
    );
    const body = draw("path", {
      class: "body",
      d: `M-104 8 V0 A104 104 0 0 1 104 0 V8 Q104 12 100 12 H-100 Q-104 12 -104 8 Z`,
    });
    this.svg.append(body, this.sweep, this.barred, ticks, numbers, this.arm);
  }

  show(opening) {
    this.sweep.setAttribute("d", band(this.first, opening, 62, 97));
    this.arm.setAttribute("transform", `rotate(${opening.toFixed(2)})`);
    const rounded = Math.round(opening);
    if (rounded === this.shown) return;
    this.shown = rounded;
    this.root.setAttribute("aria-valuenow", rounded);
    this.root.setAttribute("aria-valuetext", `${rounded} degrees open`);
  }

  grab(event) {
    if (event.button > 0 || event.target.closest("button")) return;
    event.preventDefault();
    this.root.focus({ preventScroll: true });
    this.root.setPointerCapture(event.pointerId);
    const move = (e) => this.choose(this.angle(e));
    const end = () => {
      this.root.removeEventListener("pointermove", move);
      this.root.removeEventListener("pointerup", end);
      this.root.removeEventListener("pointercancel", end);
    };
    this.root.addEventListener("pointermove", move);
    this.root.addEventListener("pointerup", end);
    this.root.addEventListener("pointercancel", end);
    move(event);
  }

  /** Where the pointer stands around the middle of the straight edge, degrees from the left. */
  angle(event) {
    const point = new DOMPoint(event.clientX, event.clientY);
    const { x, y } = point.matrixTransform(this.svg.getScreenCTM().inverse());
    // Below the straight edge the nearer end counts.
    if (y > 0) return x < 0 ? 0 : 180;
    return Math.atan2(-y, -x) / RADIANS;
  }
}

function at(angle, radius) {
  return [-radius * Math.cos(angle * RADIANS), -radius * Math.sin(angle * RADIANS)];
}

/** A ring sector between two angles and two radii. */
function band(from, to, inner, outer) {
  const [a, b, c, d] = [at(from, outer), at(to, outer), at(to, inner), at(from, inner)];
  const text = (p) => p.map((value) => value.toFixed(3)).join(" ");
  return (
    `M${text(a)} A${outer} ${outer} 0 0 1 ${text(b)} ` +
    `L${text(c)} A${inner} ${inner} 0 0 0 ${text(d)} Z`
  );
}

export function draw(name, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}
