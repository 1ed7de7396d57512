// What the pointer does: names what it hovers over, and pulls a page by its edge.
import { called, foldWords } from "./cards.js";

const LABEL_GAP = 18;
const HINT_GAP = 10;
// What lies over the picture.
const OTHERS = "h1, header button, #opening, #hands, #panel, #drawer, [data-lies]";

export class Hand {
  /** @param tug pulls at the paper itself where it is on; null where nothing can be changed. */
  constructor(viewer, tug = null) {
    this.viewer = viewer;
    this.tug = tug;
    this.canvas = viewer.canvas;
    this.label = document.getElementById("label");
    this.hint = document.getElementById("hint");
    // Before the orbit controls, which would turn the view.
    this.canvas.addEventListener("pointerdown", (event) => this.down(event), { capture: true });
    this.canvas.addEventListener("pointermove", (event) => this.move(event));
    this.canvas.addEventListener("pointerup", (event) => this.up(event));
    this.canvas.addEventListener("pointercancel", (event) => this.up(event));
    this.canvas.addEventListener("pointerleave", () => this.leave());
  }

  hit(event) {
    const x = (event.clientX / innerWidth) * 2 - 1;
    const y = 1 - (event.clientY / innerHeight) * 2;
    return this.viewer.stage.hit(x, y, this.viewer.views.camera);
  }

  down(event) {
    this.label.hidden = true;
    if (event.button > 0 || this.pull || this.tug?.held) return;
    this.tug?.forget();
    const { stage, views } = this.viewer;
    const hit = this.hit(event);
    if (this.tug?.takes(hit)) {
      event.stopImmediatePropagation();
      this.canvas.setPointerCapture(event.pointerId);
      this.canvas.focus({ preventScroll: true });
      this.canvas.classList.add("tug");
      this.tug.down(event, hit);
      return;
    }
    const pulled = stage.pullable(hit);
    if (!pulled) return;
    event.stopImmediatePropagation();
    views.journey = null;
    this.viewer.pause();
    this.canvas.setPointerCapture(event.pointerId);
    this.canvas.focus({ preventScroll: true });
    this.pull = { ...pulled, pointer: event.pointerId };
    this.canvas.classList.add("pull");
  }

  move(event) {
    if (this.tug?.held) {
      this.tug.move(event);
      return;
    }
    if (this.pull) {
      if (event.pointerId !== this.pull.pointer) return;
      if (this.pull.hand) this.viewer.put(this.pull.hand.name, this.movedTo(event));
      else this.viewer.choose(this.pulledTo(event));
      return;
    }
    if (event.buttons || event.pointerType === "touch") return;
    this.latest = event;
    this.looking ??= requestAnimationFrame(() => {
      this.looking = null;
      if (this.latest) this.look(this.latest);
    });
  }

  up(event) {
    if (this.tug?.held && event.pointerId === this.tug.held.pointer) {
      this.canvas.classList.remove("tug");
      if (event.type === "pointercancel") this.tug.drop();
      else this.tug.up(event);
      return;
    }
    if (event.pointerId !== this.pull?.pointer) return;
    this.pull = null;
    this.canvas.classList.remove("pull");
  }

  leave() {
    this.latest = null;
    this.label.hidden = true;
  }

  /** The opening at which the pulled point of the page comes nearest to the pointer. */
  pulledTo(event) {
    const { stage, opening } = this.viewer;
    const { first, last } = stage.motion;
    const { side, local } = this.pull;
    const away = (angle) => {
      const [x, y] = this.viewer.projectScene(stage.pagePoint(side, local, angle));
      // Of two places that look alike, the one that needs less movement.
      return Math.hypot(x - event.clientX, y - event.clientY) + 0.02 * Math.abs(angle - opening);
    };
    return nearest(away, first, last, 2, opening);
  }

  /** The share of its way at which the pulled point of a flyleaf, wheel or slide is at the pointer. */
  movedTo(event) {
    const { stage } = this.viewer;
    const { motion, opening } = stage;
    const { hand, body, local } = this.pull;
    const now = motion.shares.get(hand.name);
    const away = (share) => {
      motion.shares.set(hand.name, share);
      motion.turn(opening);
      const [x, y] = this.viewer.projectScene(stage.bodyPoint(body, local));
      return Math.hypot(x - event.clientX, y - event.clientY) + 4 * Math.abs(share - now);
    };
    const best = nearest(away, 0, 1, 1 / 90, now);
    motion.shares.set(hand.name, now);
    return best;
  }

  look(event) {
    const { stage } = this.viewer;
    const hit = this.hit(event);
    const tug = Boolean(this.tug?.takes(hit));
    this.canvas.classList.toggle("paper", tug);
    this.canvas.classList.toggle("pull", !tug && stage.pullable(hit) !== null);
    this.label.hidden = !hit || hit.piece === "page";
    if (this.label.hidden) return;
    this.describe(hit.piece);
    const right = event.clientX + LABEL_GAP + 260 > innerWidth;
    const { style } = this.label;
    style.left = `${event.clientX + (right ? -LABEL_GAP : LABEL_GAP)}px`;
    style.top = `${Math.max(8, Math.min(event.clientY + LABEL_GAP, innerHeight - 160))}px`;
    style.translate = right ? "-100% 0" : "none";
  }

  describe(piece) {
    const name = document.createElement("strong");
    name.textContent = called(this.viewer.stage.pieces.get(piece));
    const folds = this.viewer.stage.folds(piece).map((fold) => {
      const line = document.createElement("span");
      line.textContent = `${called(fold)} ${foldWords(fold.degrees).join(" ")}`;
      return line;
    });
    const most = 8;
    if (folds.length > most) {
      const rest = document.createElement("span");
      rest.textContent = `and ${folds.length - most} more folds`;
      folds.splice(most, folds.length, rest);
    }
    this.label.replaceChildren(name, ...folds);
  }

  /** Say once that the pages can be pulled. */
  invite() {
    const wanted = Boolean(this.viewer.views.name) && !this.hint.hidden;
    const place = wanted ? this.beside() : null;
    this.hint.classList.toggle("shown", place !== null);
    if (place) Object.assign(this.hint.style, { left: `${place.left}px`, top: `${place.top}px` });
  }

  /** Where the hint covers nothing, pixels: below the spread at the right page, else over it. */
  beside() {
    const { stage, opening } = this.viewer;
    const { width } = stage.book;
    const [edge] = this.viewer.projectScene(stage.pagePoint(1, { x: width, y: 0, z: 0 }, opening));
    const { offsetWidth: wide, offsetHeight: tall } = this.hint;
    const heights = stage.reach([opening]).map((point) => this.viewer.projectScene(point)[1]);
    const area = this.viewer.area();
    const most = area.left + area.width - wide;
    const left = Math.max(area.left, Math.min(edge - wide / 2, most));
    const others = [...document.querySelectorAll(OTHERS)].map((one) => one.getBoundingClientRect());
    const free = (top) =>
      top >= 0 &&
      top + tall <= innerHeight &&
      others.every(
        (box) =>
          box.right < left || left + wide < box.left || box.bottom < top || top + tall < box.top,
      );
    const below = Math.max(...heights) + HINT_GAP;
    const over = Math.min(...heights) - HINT_GAP - tall;
    const top = [below, over].find(free);
    return top === undefined ? null : { left, top };
  }
}

/** Where a function is least: first by equal steps from one end to the other, then ever finer. */
function nearest(away, first, last, step, start) {
  let [best, least] = [start, away(start)];
  const look = (value) => {
    if (value < first || value > last) return;
    const found = away(value);
    if (found < least) [best, least] = [value, found];
  };
  for (let value = first; value <= last; value += step) look(value);
  for (let part = step; part > 0.01 * step; part /= 2) {
    for (const value of [best - part, best + part]) look(value);
  }
  return best;
}
