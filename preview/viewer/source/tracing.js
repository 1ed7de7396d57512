// A tracing of the spread, laid over it: as it was before a change, or at another opening.
import { Color, DoubleSide, Group, LineBasicMaterial, LineSegments, Matrix4, Mesh, MeshBasicMaterial } from "three";

import { Motion } from "./motion.js";
import { Slabs } from "./paper.js";

// Tracing paper is bluish here, and the pencil a soft blue, which no notebook has.
const PAPER = new Color("#9fb7d6");
const PENCIL = new Color("#274b7d");
const CLEAR = 0.2;

export class Tracing {
  constructor(viewer) {
    this.viewer = viewer;
    this.group = new Group();
    this.paper = new MeshBasicMaterial({ color: PAPER, transparent: true, opacity: CLEAR, side: DoubleSide, depthWrite: false });
    this.pencil = new LineBasicMaterial({ color: PENCIL });
    // An outline shows through what lies over it, faintly, as a tracing does.
    this.through = new LineBasicMaterial({ color: PENCIL, transparent: true, opacity: 0.28, depthTest: false, depthWrite: false });
    viewer.stage.scene.add(this.group);
    viewer.listeners.push(() => this.follow());
  }

  get on() {
    return this.group.children.length > 0;
  }

  /**
   * Trace a design as it stands now.
   * @param data a scene. @param goes whether it opens along, or stays as it is.
   */
  trace(data, goes) {
    this.away();
    this.data = data;
    this.motion = new Motion(data);
    for (const [name, share] of this.viewer.stage.motion.shares) if (this.motion.shares.has(name)) this.motion.put(name, share);
    this.opening = this.motion.clamp(this.viewer.opening);
    this.goes = goes;
    data.bodies.forEach((body, b) => this.group.add(this.drawn(body, b)));
    this.follow();
    this.viewer.change();
  }

  drawn(body, b) {
    const slabs = new Slabs();
    for (const facet of body.facets) slabs.add(facet, facet.piece === "page");
    const made = new Group();
    made.matrixAutoUpdate = false;
    made.userData.traced = b;
    const lines = slabs.lines();
    const sheet = new Mesh(slabs.geometry(), this.paper);
    const [over, under] = [new LineSegments(lines, this.pencil), new LineSegments(lines, this.through)];
    // Pages lie under their own tracing: only their outlines are traced.
    sheet.visible = b > 1;
    made.add(sheet, over, under);
    return made;
  }

  away() {
    for (const made of [...this.group.children]) {
      made.traverse((one) => one.geometry?.dispose());
      this.group.remove(made);
    }
    this.viewer.change();
  }

  /** Let it open along, or hold it at the opening at which it was made. */
  let(goes) {
    this.goes = goes;
    if (!goes) this.opening = this.motion.clamp(this.viewer.opening);
    this.follow();
    this.viewer.change();
  }

  follow() {
    if (!this.on) return;
    if (this.goes) this.opening = this.motion.clamp(this.viewer.opening);
    const matrices = this.data.bodies.map(() => new Matrix4());
    this.motion.turn(this.opening, matrices);
    const lift = new Matrix4().makeTranslation(0, 0, this.viewer.stage.book.lift(this.opening));
    for (const made of this.group.children) {
      made.matrix.copy(matrices[made.userData.traced]).premultiply(lift);
      made.matrixWorldNeedsUpdate = true;
    }
  }

  /** Where the traced bodies are in the scene, by name: 4 × 4 matrices by columns, mm. */
  poses() {
    return Object.fromEntries(this.group.children.map((made) => [this.data.bodies[made.userData.traced].name, made.matrix.elements.slice()]));
  }
}
