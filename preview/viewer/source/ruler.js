// Two points on the paper: how far apart they are now, and how far on the sheet as it lies flat.
import { Vector2, Vector3 } from "three";

import { element } from "./cards.js";

// A press that moved further than this was a pull or a turn.
const STILL_PX = 5;
// A corner of a sheet this near to the pointer is meant.
const SNAP_PX = 11;
const STEP_PX = 8;
const byId = (id) => document.getElementById(id);

export class Ruler {
  /** @param told is called when points or distances have changed. */
  constructor(viewer, told) {
    this.viewer = viewer;
    this.told = told;
    this.points = [];
    this.on = false;
    this.cross = null;
    const { canvas } = viewer;
    // Before the hand, which may keep it to itself.
    addEventListener("pointerdown", (event) => (this.pressed = event.target === canvas ? [event.clientX, event.clientY] : null), { capture: true });
    canvas.addEventListener("pointerup", (event) => this.up(event));
    addEventListener("keydown", (event) => this.key(event), { capture: true });
    viewer.seen.push(() => this.draw());
    viewer.listeners.push(() => this.told());
  }

  set(on) {
    this.on = on;
    this.cross = null;
    this.viewer.canvas.classList.toggle("ruler", on);
    if (!on) this.points = [];
    this.changed();
  }

  changed() {
    this.told();
    this.viewer.request();
  }

  up(event) {
    const [x, y] = this.pressed ?? [Infinity, 0];
    this.pressed = null;
    if (!this.on || event.button > 0 || Math.hypot(event.clientX - x, event.clientY - y) > STILL_PX) return;
    this.cross = null;
    this.mark(event.clientX, event.clientY);
  }

  /** Arrows move a cross over the picture, Enter marks what is under it. */
  key(event) {
    const { canvas } = this.viewer;
    if (!this.on || event.target !== canvas || event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!step && event.key !== "Enter" && event.key !== "Backspace") return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (event.key === "Backspace") {
      this.points.pop();
      this.changed();
      return;
    }
    const area = this.viewer.area();
    this.cross ??= [area.left + area.width / 2, area.top + area.height / 2];
    if (step) this.cross = this.cross.map((value, k) => value + STEP_PX * step[k]);
    else this.mark(...this.cross);
    this.viewer.request();
  }

  /** Mark the paper under a point of the window; a third point begins anew. */
  mark(x, y) {
    const point = this.under(x, y);
    if (!point) return;
    this.points = this.points.length === 2 ? [point] : [...this.points, point];
    this.changed();
  }

  /** The paper under a point of the window, a corner of it if one is near; null for none. */
  under(x, y) {
    const { stage, views } = this.viewer;
    const hit = stage.hit((x / innerWidth) * 2 - 1, 1 - (y / innerHeight) * 2, views.camera);
    if (!hit) return null;
    const { bodies } = stage.data;
    const facets = bodies[hit.body].facets.filter(({ piece }) => piece === hit.piece);
    const facet = nearest(facets, hit.local);
    if (!facet) return null;
    // In the middle of the paper, where the numbers of a design are.
    const local = new Vector3(hit.local.x, hit.local.y, facet.z);
    const corner = this.corner(hit.body, facet, x, y);
    if (corner) local.copy(corner);
    return { name: bodies[hit.body].name, facet: facet.name, corner: Boolean(corner), local, ...sheetPlace(facet, local) };
  }

  corner(body, facet, x, y) {
    let best = null;
    let least = SNAP_PX;
    for (const ring of facet.rings) {
      for (let k = 0; k < ring.length; k += 2) {
        const local = new Vector3(ring[k], ring[k + 1], facet.z);
        const [u, v] = this.viewer.projectScene(this.viewer.stage.bodyPoint(body, local));
        const far = Math.hypot(u - x, v - y);
        if (far < least) [best, least] = [local, far];
      }
    }
    return best;
  }

  /** Where the marked points are in the scene now, mm; those whose paper is gone are forgotten. */
  places() {
    const { stage } = this.viewer;
    const found = this.points.map((point) => [point, stage.bodies.findIndex(({ name }) => name === point.name)]);
    if (found.some(([, body]) => body < 0)) this.points = [];
    return found.filter(([, body]) => body >= 0).map(([{ local }, body]) => stage.bodyPoint(body, local));
  }

  /** Distances, mm: apart now, and on the flat sheet (null where they are on two). */
  get distances() {
    const places = this.places();
    if (places.length < 2 || this.points.length < 2) return null;
    const [one, two] = this.points;
    const flat = one.sheet === two.sheet && one.flat && two.flat ? one.flat.distanceTo(two.flat) : null;
    return { apart: places[0].distanceTo(places[1]), flat };
  }

  /** The ruler over the picture. */
  draw() {
    const box = byId("ruler");
    box.toggleAttribute("hidden", !this.on);
    if (!this.on) return;
    const places = this.places().map((place) => this.viewer.projectScene(place));
    const [line, ...dots] = box.querySelectorAll("line, circle");
    const [from, to] = [places[0], places[1] ?? places[0]];
    line.toggleAttribute("hidden", places.length < 2);
    if (places.length === 2) for (const [key, value] of Object.entries({ x1: from[0], y1: from[1], x2: to[0], y2: to[1] })) line.setAttribute(key, value);
    dots.forEach((dot, k) => {
      dot.toggleAttribute("hidden", !places[k]);
      if (!places[k]) return;
      dot.setAttribute("cx", places[k][0]);
      dot.setAttribute("cy", places[k][1]);
    });
    const cross = box.querySelector("path");
    cross.toggleAttribute("hidden", !this.cross);
    if (this.cross) cross.setAttribute("transform", `translate(${this.cross})`);
    const tag = byId("measured");
    const found = this.distances;
    tag.hidden = !found;
    if (!found) return;
    tag.replaceChildren(element("strong", {}, `${written(found.apart)} mm`), ...(found.flat === null ? [] : [element("span", {}, `${written(found.flat)} mm on the flat sheet`)]));
    tag.style.left = `${(from[0] + to[0]) / 2}px`;
    tag.style.top = `${(from[1] + to[1]) / 2}px`;
  }

  /** What is measured, in a sentence. */
  get sentence() {
    const found = this.distances;
    const names = this.points.map(({ facet, corner }) => (corner ? `a corner of ${facet}` : facet));
    if (!found) return names.length ? `From ${names[0]} to …` : "Click two points of the paper; corners are found by themselves.";
    const now = `${written(found.apart)} mm from ${names[0]} to ${names[1]} at ${Math.round(this.viewer.opening)}° open`;
    return found.flat === null ? `${now}.` : `${now}, and ${written(found.flat)} mm with the sheet laid flat.`;
  }
}

export function written(mm) {
  return mm.toFixed(1);
}

/** The facet in which a point lies, or else the one whose plane is nearest. */
function nearest(facets, { x, y, z }) {
  const inside = facets.filter(({ rings }) => holds(rings, x, y));
  return inside.sort((one, two) => Math.abs(one.z - z) - Math.abs(two.z - z))[0] ?? facets[0];
}

/** Whether a point lies within an outline and outside its holes (even-odd rule). */
function holds(rings, x, y) {
  let inside = false;
  for (const ring of rings) {
    for (let k = 0, before = ring.length - 2; k < ring.length; before = k, k += 2) {
      const [x0, y0, x1, y1] = [ring[before], ring[before + 1], ring[k], ring[k + 1]];
      if (y0 > y !== y1 > y && x < x0 + ((y - y0) / (y1 - y0)) * (x1 - x0)) inside = !inside;
    }
  }
  return inside;
}

/** Where a point of a body is on the flat sheet. */
function sheetPlace({ sheet, placed }, { x, y }) {
  // The placement is a turn, perhaps mirrored, so its inverse is its transpose.
  const [a, b, c, d, u, v] = placed;
  return { sheet, flat: new Vector2(a * (x - u) + c * (y - v), b * (x - u) + d * (y - v)) };
}
