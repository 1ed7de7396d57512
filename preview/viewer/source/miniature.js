// Small pictures of what lies in the paper drawer: pieces that open and close, and outlines.
const SPACE = "http://www.w3.org/2000/svg";
const CYCLE_MS = 2600;
const STANDING = 0.72; // of the way from shut to flat: where everything stands
const PAGES = 2;

export class Miniature {
  /** @param item with `outline`, or `faces`, `shades` and `order` for each opening. */
  constructor(item) {
    this.item = item;
    this.element = document.createElementNS(SPACE, "svg");
    this.element.setAttribute("viewBox", "0 0 100 100");
    this.element.setAttribute("aria-hidden", "true");
    if (item.outline) {
      const path = document.createElementNS(SPACE, "path");
      path.setAttribute("d", item.outline);
      this.element.append(path);
      return;
    }
    this.shapes = item.faces[0].map((_, f) => {
      const shape = document.createElementNS(SPACE, "polygon");
      if (f < PAGES) shape.classList.add("ground");
      return shape;
    });
    this.show(STANDING);
  }

  /** The piece at a share of the way from nearly shut (0) to flat open (1). */
  show(share) {
    const { faces, shades, order } = this.item;
    const place = share * (faces.length - 1);
    const [low, high] = [Math.floor(place), Math.ceil(place)];
    const part = place - low;
    const near = Math.round(place);
    this.shapes.forEach((shape, f) => {
      const [from, to] = [faces[low][f], faces[high][f]];
      shape.setAttribute("points", from.map((x, k) => (x + (to[k] - x) * part).toFixed(1)).join(" "));
      shape.style.setProperty("--lit", `${shades[near][f]}%`);
    });
    if (this.near === near) return;
    this.near = near;
    this.element.append(...order[near].map((f) => this.shapes[f]));
  }

  /** Open and close once, from where it stands, or go back there; calm where motion is unwanted. */
  play(on) {
    if (this.item.outline || matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    cancelAnimationFrame(this.frame);
    if (!on) {
      this.show(STANDING);
      return;
    }
    let since = null;
    const start = Math.acos(1 - 2 * STANDING) / (2 * Math.PI);
    const step = (now) => {
      since ??= now;
      const phase = start + (now - since) / CYCLE_MS;
      this.show((1 - Math.cos(2 * Math.PI * phase)) / 2);
      this.frame = requestAnimationFrame(step);
    };
    this.frame = requestAnimationFrame(step);
  }
}
