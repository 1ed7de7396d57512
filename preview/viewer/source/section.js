// The spread cut level at a height: what is above is taken off, and the cut faces are filled in.
import { BufferAttribute, BufferGeometry, Color, DoubleSide, Mesh, MeshBasicMaterial, Plane, ShapeUtils, Vector2, Vector3 } from "three";

const FACE = new Color("#8a2f1f");
const HALO = new Color("#e8963c");
// Paper is thin: beside its true cut face, this much is coloured on each side so that it is seen, mm.
const HALO_MM = 0.8;
const OVER_MM = 0.02;
// The plane misses corners by so much, mm, so that it goes through edges only.
const ASIDE_MM = 1.3e-5;

export class Section {
  constructor(viewer) {
    this.viewer = viewer;
    this.height = null;
    this.plane = new Plane(new Vector3(0, 0, -1), 0);
    const material = (color, opacity) => new MeshBasicMaterial({ color, side: DoubleSide, transparent: opacity < 1, opacity, depthWrite: opacity === 1 });
    this.faces = new Mesh(new BufferGeometry(), material(FACE, 1));
    this.halo = new Mesh(new BufferGeometry(), material(HALO, 0.85));
    for (const mesh of [this.halo, this.faces]) {
      mesh.frustumCulled = false;
      mesh.visible = false;
      viewer.stage.scene.add(mesh);
    }
    viewer.studio.renderer.localClippingEnabled = true;
    viewer.listeners.push(() => this.follow());
  }

  /** Cut at a height over the table, mm, or make whole again (null). */
  cut(height) {
    this.height = height;
    this.follow();
    this.viewer.change();
  }

  follow() {
    const { stage } = this.viewer;
    const on = this.height !== null;
    this.faces.visible = this.halo.visible = on;
    const level = (this.height ?? 0) - stage.book.depth;
    this.plane.constant = level;
    stage.ceiling = on ? level : Infinity;
    const planes = on ? [this.plane] : null;
    if (!on && !this.clipped) return;
    this.clipped = on;
    stage.root.traverse(({ material }) => {
      if (!material) return;
      material.clippingPlanes = planes;
      material.clipShadows = on;
    });
    if (!on) return;
    stage.root.updateMatrixWorld();
    this.cuts = stage.meshes
      .filter((mesh) => mesh.visible && !mesh.userData.image)
      .map((mesh) => ({ piece: mesh.userData.piece, loops: loops(mesh, level + ASIDE_MM) }))
      .filter((cut) => cut.loops.length);
    const flat = this.cuts.flatMap((cut) => cut.loops);
    fill(this.faces.geometry, this.cuts.flatMap(({ loops: own }) => filled(own)), level + 2 * OVER_MM);
    fill(this.halo.geometry, flat.flatMap(ribbon), level + OVER_MM);
  }

  /** Areas of the cut faces by piece, mm². */
  areas() {
    const found = {};
    for (const { piece, loops: own } of this.cuts ?? []) {
      const area = filled(own).reduce((sum, [a, b, c]) => sum + Math.abs((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)) / 2, 0);
      found[piece] = (found[piece] ?? 0) + area;
    }
    return found;
  }
}

/** Where a closed mesh meets a level plane: closed loops of points. */
function loops(mesh, level) {
  const { position } = mesh.geometry.attributes;
  const points = [];
  for (let k = 0; k < position.count; k++) points.push(new Vector3().fromBufferAttribute(position, k).applyMatrix4(mesh.matrixWorld));
  const next = new Map();
  for (let k = 0; k < points.length; k += 3) {
    const own = points.slice(k, k + 3);
    const crossing = own.map((from, j) => met(from, own[(j + 1) % 3], level)).filter(Boolean);
    if (crossing.length !== 2) continue;
    // Seen along the way, the inside of the mesh is always on the same side.
    const [a, b] = crossing[0].down ? crossing : crossing.reverse();
    if (!next.has(a.key)) next.set(a.key, []);
    next.get(a.key).push([a, b]);
  }
  const found = [];
  for (const [key, list] of next) {
    while (list.length) {
      const loop = [];
      let [from, to] = list.pop();
      loop.push(from.at);
      while (to.key !== key) {
        const more = next.get(to.key)?.pop();
        if (!more) break; // a face alone, as a page is drawn, has an open end
        [from, to] = more;
        loop.push(from.at);
      }
      if (to.key === key && loop.length > 2) found.push(loop);
    }
  }
  return found;
}

/** Where an edge meets the plane; the same for both triangles that it belongs to. */
function met(from, to, level) {
  const down = from.z > level;
  if (down === to.z > level) return null;
  const [low, high] = down ? [to, from] : [from, to];
  const share = (level - low.z) / (high.z - low.z);
  const at = new Vector2(low.x + share * (high.x - low.x), low.y + share * (high.y - low.y));
  return { at, down, key: [low, high].flatMap(({ x, y, z }) => [x, y, z].map((value) => value.toFixed(4))).join() };
}

/** Loops as triangles; a loop within another is a hole. */
function filled(all) {
  const outer = all.filter((loop) => ShapeUtils.area(loop) > 0 === ShapeUtils.area(largest(all)) > 0);
  return outer.flatMap((outline) => {
    const holes = all.filter((loop) => !outer.includes(loop) && holds(outline, loop[0]));
    const corners = [outline, ...holes].flat();
    return ShapeUtils.triangulateShape(outline, holes).map((triangle) => triangle.map((k) => corners[k]));
  });
}

function largest(all) {
  return all.reduce((best, loop) => (Math.abs(ShapeUtils.area(loop)) > Math.abs(ShapeUtils.area(best)) ? loop : best));
}

function holds(loop, { x, y }) {
  let inside = false;
  loop.forEach((from, k) => {
    const to = loop[(k + 1) % loop.length];
    if (from.y > y !== to.y > y && x < from.x + ((y - from.y) / (to.y - from.y)) * (to.x - from.x)) inside = !inside;
  });
  return inside;
}

/** A band along a loop, so that thin paper is seen. */
function ribbon(loop) {
  return loop.flatMap((from, k) => {
    const to = loop[(k + 1) % loop.length];
    const along = to.clone().sub(from);
    if (along.length() < 1e-6) return [];
    along.setLength(HALO_MM);
    const side = new Vector2(-along.y, along.x);
    const [a, b] = [from.clone().sub(along), to.clone().add(along)];
    const [p, q, r, s] = [a.clone().add(side), b.clone().add(side), b.clone().sub(side), a.clone().sub(side)];
    return [
      [p, q, r],
      [p, r, s],
    ];
  });
}

function fill(geometry, triangles, z) {
  geometry.setAttribute("position", new BufferAttribute(new Float32Array(triangles.flat().flatMap(({ x, y }) => [x, y, z])), 3));
}
