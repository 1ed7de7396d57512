// What is printed on paper, under the hand: a frame to move it by, and a corner that turns and sizes.
import { Mesh, MeshBasicMaterial, PlaneGeometry, SRGBColorSpace, Plane, Raycaster, TextureLoader, Vector2, Vector3 } from "three";

import { ask } from "./ask.js";
import { element } from "./cards.js";
import { facing, seenFrom, sheetPoint, spotOf } from "./paper-under.js";

const STILL_PX = { mouse: 3, pen: 5, touch: 8 };
// How far a key goes: mm, degrees, and by what share.
const STEP_MM = 1;
const STEP_DEG = 5;
const STEP_SHARE = 1.05;
// A print that is held lies so far over its paper, mm.
const HELD_MM = 0.6;
// The corner's knob stands beside the print, pixels.
const [BESIDE_PX, BESIDE_SMALL_PX, SMALL_PX] = [14, 30, 90];
const KEYS = "Arrows move it, + and − size it, [ and ] turn it, Delete takes it away";

export class Prints {
  /** @param page asks ({ asked, fail, say }), knows where words are typed ({ letters }). */
  constructor(viewer, page) {
    this.viewer = viewer;
    this.page = page;
    this.raycaster = new Raycaster();
    this.chosen = null;
    this.grip = null;
    this.box = element("section", { id: "print", "aria-label": "What is printed, under the hand", hidden: "" });
    const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    svg.setAttribute("aria-hidden", "true");
    // What is taken hold of is wider than what is seen.
    [this.frame, this.edge] = ["grab", "edge"].map((name) => {
      const polygon = document.createElementNS("http://www.w3.org/2000/svg", "polygon");
      polygon.setAttribute("class", name);
      svg.append(polygon);
      return polygon;
    });
    this.corner = element("button", { type: "button", class: "corner", "aria-describedby": "print-keys" });
    this.tag = element("p", { class: "tag", id: "print-keys" });
    this.box.append(svg, this.corner, this.tag);
    document.querySelector("main").append(this.box);
    for (const [part, how] of [[this.frame, "move"], [this.corner, "turn"]]) {
      part.addEventListener("pointerdown", (event) => this.down(event, how));
      part.addEventListener("pointermove", (event) => this.move(event));
      part.addEventListener("pointerup", (event) => this.up(event));
      part.addEventListener("pointercancel", (event) => this.up(event));
    }
    this.corner.addEventListener("keydown", (event) => this.key(event));
    document.addEventListener("keydown", (event) => event.key === "Escape" && this.escape());
    viewer.seen.push(() => this.follow());
  }

  get prints() {
    return this.viewer.stage.data.prints ?? [];
  }

  /** What is printed at a place of paper: the uppermost, or null. */
  at(hit) {
    const under = hit && sheetPoint(this.viewer.stage, hit);
    if (!under) return null;
    const side = seenFrom(this.viewer, hit) * under.facet.up;
    const found = this.prints.filter((print) => print.sheet === under.facet.sheet && print.side === side && inside(print, under.place));
    return found.at(-1) ?? null;
  }

  /** Take a print under the hand, or none (null). */
  choose(print) {
    this.drop();
    this.chosen = print && { piece: print.piece, key: print.key };
    this.box.hidden = true;
    if (!print) return;
    const words = print.text === undefined ? `the picture ${print.file}` : `“${print.text}”`;
    this.corner.setAttribute("aria-label", `Turn and size ${words} on ${print.piece}`);
    this.tell(KEYS);
    this.follow();
  }

  /** The chosen print as the design has it now, with the facet that its middle lies on. */
  get found() {
    const { chosen } = this;
    const print = chosen && this.prints.find(({ piece, key }) => piece === chosen.piece && key === chosen.key);
    if (!print) return null;
    const on = facetUnder(this.viewer.stage, print);
    return on ? { print, ...on } : null;
  }

  /** Where the chosen print is seen: while it is held, on the paper that it is held over. */
  get shown() {
    const { found, grip } = this;
    if (!found || !grip?.change) return found;
    if (grip.other) return grip.other;
    const corners = cornersOf(found.print, grip.change);
    const middle = [0, 1].map((k) => (corners[0][k] + corners[2][k]) / 2);
    const on = facetUnder(this.viewer.stage, { sheet: found.print.sheet, placed: [1, 0, 0, 1, ...middle] });
    return { print: found.print, ...on };
  }

  /** The page has been given a scene. */
  loaded() {
    const { grip } = this;
    const { stage } = this.viewer;
    if (grip && !(grip.done && stage.data.made !== grip.made)) {
      if (grip.rest) stage.reprint(grip.rest); // it is held still
      return;
    }
    this.drop();
    if (this.chosen && !this.found) this.choose(null);
    this.tell(KEYS);
    this.follow();
  }

  /** Keep the frame on the paper as the book moves. */
  follow() {
    const { shown } = this;
    const hidden = !shown || !this.page.shaping || (!this.grip && !facing(this.viewer, shown));
    if (hidden !== this.box.hidden) this.box.hidden = hidden;
    if (hidden) return;
    const change = shown === this.grip?.other ? null : this.grip?.change;
    const corners = cornersOf(shown.print, change).map((place) => this.seen(place, shown));
    for (const polygon of [this.frame, this.edge]) polygon.setAttribute("points", corners.map((xy) => xy.join(",")).join(" "));
    const [x, y] = outwards(corners[2], corners[0]);
    Object.assign(this.corner.style, { left: `${x}px`, top: `${y}px` });
    this.beside(corners);
    this.hold(shown, change);
  }

  beside(corners) {
    const { offsetWidth: wide, offsetHeight: tall, style } = this.tag;
    const low = Math.max(...corners.map(([, y]) => y)) + 12;
    const middle = corners.reduce((sum, [x]) => sum + x, 0) / 4 - wide / 2;
    style.left = `${Math.max(8, Math.min(middle, innerWidth - wide - 8))}px`;
    style.top = `${Math.max(8, Math.min(low, innerHeight - tall - 8))}px`;
  }

  /** Where a point of the sheet is in the window, pixels. */
  seen([x, y], { facet, body, print }) {
    return this.viewer.projectScene(this.viewer.stage.bodyPoint(body, onBody(facet, [x, y], print.side)));
  }

  /** The paper under a point of the window: its facet, body and side, and the place on its sheet. */
  paper([x, y]) {
    const { stage, views } = this.viewer;
    const hit = stage.hit((2 * x) / innerWidth - 1, 1 - (2 * y) / innerHeight, views.camera);
    const under = hit && hit.piece !== "page" && sheetPoint(stage, hit);
    return under ? { ...under, hit, body: hit.body, side: seenFrom(this.viewer, hit) * under.facet.up } : null;
  }

  /**
   * The point of the print's sheet under a point of the window, on whichever facet of it; beside the
   * sheet, in the plane of the facet. null where that is seen from its edge.
   */
  under([x, y], { facet, body, print }) {
    const paper = this.paper([x, y]);
    if (paper?.facet.sheet === print.sheet && paper.side === print.side) return paper.place;
    const { stage, views } = this.viewer;
    this.raycaster.setFromCamera(new Vector2((2 * x) / innerWidth - 1, 1 - (2 * y) / innerHeight), views.camera);
    const back = stage.flat(body);
    const ray = this.raycaster.ray.clone().applyMatrix4(back);
    const place = ray.intersectPlane(new Plane(new Vector3(0, 0, 1), -facet.z), new Vector3());
    return place && fromBody(facet, place);
  }

  down(event, how) {
    const { found } = this;
    if (event.button > 0 || !found || this.grip) return;
    event.preventDefault();
    event.stopPropagation();
    event.target.setPointerCapture(event.pointerId);
    this.viewer.pause();
    if (how === "turn") this.corner.focus({ preventScroll: true });
    const at = [event.clientX, event.clientY];
    const from = this.under(at, found);
    if (from) this.grip = { how, pointer: event.pointerId, at, from, found, change: null, still: STILL_PX[event.pointerType] ?? 3 };
  }

  move(event) {
    const { grip } = this;
    if (!grip || grip.done || event.pointerId !== grip.pointer) return;
    const at = [event.clientX, event.clientY];
    if (!grip.change && Math.hypot(at[0] - grip.at[0], at[1] - grip.at[1]) < grip.still) return;
    if (!grip.change) this.lift(grip);
    this.box.classList.add("held");
    const now = this.under(at, grip.found);
    if (!now) return;
    grip.fine = event.altKey;
    grip.change = grip.how === "move" ? shift(grip, now) : spin(grip, now);
    grip.other = grip.how === "move" ? this.elsewhere(at, grip) : null;
    this.tell(grip.other ? `onto ${grip.other.hit.piece}` : inWords(grip.change, grip.found.print));
    this.viewer.change();
  }

  /** Other paper under the hand, with the print as it would lie there; null over its own sheet. */
  elsewhere(at, { found: { print }, from }) {
    const paper = this.paper(at);
    if (!paper || (paper.facet.sheet === print.sheet && paper.side === print.side)) return null;
    const { facet, body, side, place, hit } = paper;
    const [a, b, c, d, x, y] = print.placed;
    // How far the hand is from its middle, as who reads it sees it.
    const [right, up] = [print.side * (from[0] - x), from[1] - y];
    const turned = side === print.side ? [a, b, c, d] : [-a, -b, c, d];
    const placed = [...turned, place[0] - side * right, place[1] - up];
    return { print: { ...print, side, sheet: facet.sheet, placed }, facet, body, hit, right, up };
  }

  async up(event) {
    const { grip } = this;
    if (!grip || event.pointerId !== grip.pointer) return;
    if (event.type === "pointercancel") this.drop();
    else if (!grip.change) {
      this.grip = null;
      this.page.letters.tap(event, null, grip.found.print);
    } else await this.lay(grip);
  }

  /** Write where the print is now. */
  async lay(grip) {
    Object.assign(grip, { done: true, made: this.viewer.stage.data.made });
    if (grip.other) return this.carry(grip);
    const { right = 0, up = 0, turn = 0, scale = 1 } = grip.change;
    const { piece, key } = grip.found.print;
    const answer = await this.page.asked("/print/move", { made: grip.made, page: this.page.me, piece, key, right, up, turn, scale, fine: Boolean(grip.fine) });
    // Nothing will be told of what is refused, or moves it by less than a step.
    if (this.grip === grip && (!answer || answer.made === grip.made)) this.drop();
    if (answer) this.page.say(`${inWords(grip.change, grip.found.print)}`);
  }

  /** Write that the print lies on the paper that it was carried to. */
  async carry(grip) {
    const { piece, key } = grip.found.print;
    const { hit, right, up } = grip.other;
    const question = { made: grip.made, page: this.page.me, piece, key, spot: spotOf(this.viewer, hit), right, up, fine: Boolean(grip.fine) };
    try {
      const answer = await ask("/print/carry", this.page.secret, question);
      this.page.taken(answer, answer.key);
      this.page.say(`It lies on ${answer.piece}`);
      return true;
    } catch (error) {
      this.drop();
      this.page.fail(error.message);
      return false;
    }
  }

  /** Ask for the print by itself, so that it can be shown over its paper while it is held. */
  async lift(grip) {
    const { piece, key, size } = grip.found.print;
    try {
      const { look, rest } = await ask("/print/lift", this.page.secret, { piece, key });
      if (this.grip !== grip || !look) return;
      grip.rest = rest;
      this.viewer.stage.reprint(rest);
      const texture = new TextureLoader().load(look, () => this.viewer.change());
      texture.colorSpace = SRGBColorSpace;
      const material = new MeshBasicMaterial({ map: texture, transparent: true, depthWrite: false, toneMapped: false });
      grip.sheet = new Mesh(new PlaneGeometry(...size), material);
      grip.sheet.matrixAutoUpdate = false;
      this.viewer.stage.root.add(grip.sheet);
      this.viewer.setOpening(this.viewer.opening);
    } catch (error) {
      this.page.fail(error.message);
    }
  }

  /** Lay the held print over its paper, where it is now. */
  hold({ print, facet, body }, change) {
    const { sheet } = this.grip ?? {};
    if (!sheet) return;
    const [low, right, , left] = cornersOf(print, change).map((place) => onBody(facet, place, print.side, HELD_MM));
    const [wide, tall] = print.size;
    const across = right.clone().sub(low).divideScalar(wide);
    const up = left.clone().sub(low).divideScalar(tall);
    const over = new Vector3(0, 0, print.side * facet.up);
    const middle = low.clone().add(right.clone().add(left).sub(low)).multiplyScalar(0.5);
    sheet.matrix.makeBasis(across, up, over).setPosition(middle).premultiply(this.viewer.stage.motion.matrices[body]);
    sheet.matrixWorldNeedsUpdate = true;
  }

  /** Put the print back as the design has it. */
  drop() {
    const { grip } = this;
    this.grip = null;
    this.box.classList.remove("held");
    if (!grip?.sheet) return;
    this.viewer.stage.root.remove(grip.sheet);
    grip.sheet.material.map.dispose();
    grip.sheet.material.dispose();
    grip.sheet.geometry.dispose();
    this.viewer.stage.endPreview();
    this.viewer.setOpening(this.viewer.opening);
  }

  escape() {
    if (this.grip && !this.grip.done) this.drop();
    else if (!this.box.hidden) this.choose(null);
  }

  async key(event) {
    const { found } = this;
    const [wide, shiftKey] = [event.altKey ? 0.1 : 1, event.shiftKey];
    const far = STEP_MM * wide * (shiftKey ? 5 : 1);
    const act = {
      ArrowLeft: { right: -far },
      ArrowRight: { right: far },
      ArrowUp: { up: far },
      ArrowDown: { up: -far },
      "[": { turn: STEP_DEG },
      "]": { turn: -STEP_DEG },
      "+": { scale: STEP_SHARE },
      "=": { scale: STEP_SHARE },
      "-": { scale: 1 / STEP_SHARE },
    }[event.key];
    if (!found || event.ctrlKey || event.metaKey) return;
    if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      await this.takeAway(found.print);
    } else if (event.key === "Enter" && found.print.text !== undefined) {
      event.preventDefault();
      this.page.letters.edit(found.print);
    } else if (act) {
      event.preventDefault();
      event.stopPropagation();
      // Steps follow each other: each is made where the last one has ended.
      this.steps = (this.steps ?? Promise.resolve()).then(() => this.lay({ change: act, found, fine: event.altKey || Boolean(act.scale) }));
      await this.steps;
    }
  }

  takeAway({ piece, key, text }) {
    this.choose(null);
    if (text !== undefined) return this.page.asked("/letter", { made: this.viewer.stage.data.made, page: this.page.me, text: "", piece, key });
    return this.page.asked("/print/away", { made: this.viewer.stage.data.made, page: this.page.me, piece, key });
  }

  tell(words) {
    this.tag.textContent = words;
  }
}

/** A little further from one point than another is, pixels; far enough that a finger can tell. */
function outwards([x, y], [x0, y0]) {
  const far = Math.hypot(x - x0, y - y0) || 1;
  const beside = far < SMALL_PX ? BESIDE_SMALL_PX : BESIDE_PX;
  return [x + (beside * (x - x0)) / far, y + (beside * (y - y0)) / far];
}

/** Whether a point of the sheet lies in a print. */
function inside({ placed, size: [wide, tall] }, [x, y]) {
  const [a, b, c, d, x0, y0] = placed;
  const [u, v] = [x - x0, y - y0];
  return Math.abs(a * u + c * v) <= wide / 2 && Math.abs(b * u + d * v) <= tall / 2;
}

/** The corners of a print on its sheet: lower left, lower right, upper right, upper left as it is read. */
function cornersOf({ placed, size: [wide, tall], side }, change) {
  const { right = 0, up = 0, turn = 0, scale = 1 } = change ?? {};
  const [a, b, c, d, x0, y0] = placed;
  const angle = (side * turn * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle) * scale, Math.sin(angle) * scale];
  return [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([i, j]) => {
    const [u, v] = [(i * wide) / 2, (j * tall) / 2];
    const [x, y] = [a * u + b * v, c * u + d * v];
    return [x0 + side * right + cos * x - sin * y, y0 + up + sin * x + cos * y];
  });
}

/** The facet of its sheet that the middle of a print lies on, or the nearest. */
function facetUnder(stage, { sheet, placed: [, , , , x, y] }) {
  let best = null;
  stage.data.bodies.forEach(({ facets }, body) => {
    for (const facet of facets) {
      if (facet.sheet !== sheet) continue;
      const away = apart(facet.rings[0], onBody(facet, [x, y], 1));
      if (!best || away < best.away) best = { facet, body, away };
    }
  });
  return best;
}

/** How far a point lies outside a ring of x, y, x, y …; 0 inside. */
function apart(ring, { x, y }) {
  let [within, least] = [false, Infinity];
  for (let k = 0, j = ring.length - 2; k < ring.length; j = k, k += 2) {
    const [x1, y1, x2, y2] = [ring[j], ring[j + 1], ring[k], ring[k + 1]];
    if (y1 > y !== y2 > y && x < ((x2 - x1) * (y - y1)) / (y2 - y1) + x1) within = !within;
    const along = Math.max(0, Math.min(1, ((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / ((x2 - x1) ** 2 + (y2 - y1) ** 2 || 1)));
    least = Math.min(least, Math.hypot(x - x1 - along * (x2 - x1), y - y1 - along * (y2 - y1)));
  }
  return within ? 0 : least;
}

function onBody({ placed: [a, b, c, d, x0, y0], z, up, caliper }, [x, y], side, over = 0) {
  return new Vector3(a * x + b * y + x0, c * x + d * y + y0, z + side * up * (caliper / 2 + over));
}

function fromBody({ placed: [a, b, c, d, x0, y0] }, { x, y }) {
  const [u, v] = [x - x0, y - y0];
  return [a * u + c * v, b * u + d * v];
}

function shift({ from, found }, now) {
  return { right: found.print.side * (now[0] - from[0]), up: now[1] - from[1] };
}

function spin({ from, found }, now) {
  const [, , , , x, y] = found.print.placed;
  const [before, after] = [from, now].map(([u, v]) => [u - x, v - y]);
  const turned = Math.atan2(after[1], after[0]) - Math.atan2(before[1], before[0]);
  const degrees = ((((turned * 180) / Math.PI + 540) % 360) - 180) * found.print.side;
  const scale = Math.hypot(...after) / Math.max(1e-6, Math.hypot(...before));
  return { turn: degrees, scale: Math.max(0.05, Math.min(20, scale)) };
}

/** A move in words: how far, how much turned, how large. */
function inWords({ right, up, turn, scale }, { size }) {
  const amount = (value) => String(Math.abs(Math.round(value)));
  const words = [];
  if (right) words.push(`${amount(right)} mm ${right > 0 ? "right" : "left"}`);
  if (up) words.push(`${amount(up)} mm ${up > 0 ? "up" : "down"}`);
  if (turn) words.push(`turned ${amount(turn)}° ${turn > 0 ? "anticlockwise" : "clockwise"}`);
  if (scale && scale !== 1) words.push(`${amount(size[0] * scale)} mm wide`);
  return words.join(", ") || "as it was";
}
