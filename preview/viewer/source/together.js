// All paper as one mesh, for coarse pictures: a device without a graphics card takes its time for each
// draw and each triangle, and at so few pixels most of them show nothing.
import { BufferAttribute, BufferGeometry, DoubleSide, Mesh } from "three";

import { paperMaterial, plainly } from "./paper.js";

// What goes along as it is; places and normals follow the paper.
const STILL = ["color", "glow", "lit"];

export class Together {
  constructor() {
    this.mesh = new Mesh(new BufferGeometry(), paperMaterial(null, { layers: true }));
    this.mesh.castShadow = this.mesh.receiveShadow = true;
    this.mesh.frustumCulled = false;
    this.mesh.visible = false;
    // Behind the faces that are seen stand the sheets that throw their shadow.
    this.mesh.onBeforeShadow = (renderer, object, camera, light, geometry, material) => {
      material.side = DoubleSide;
      geometry.setDrawRange(this.faces, Infinity);
    };
    this.mesh.onAfterShadow = () => this.mesh.geometry.setDrawRange(0, this.faces);
    this.drawn = null;
  }

  /** Other meshes are seen from now on, or otherwise. */
  forget() {
    this.drawn = null;
  }

  /** Draw as one what was gathered; returns what undoes it. */
  show() {
    this.place();
    const hidden = this.drawn.map(({ mesh }) => mesh);
    this.mesh.visible = hidden.length > 0;
    for (const mesh of hidden) mesh.visible = false;
    return () => {
      this.mesh.visible = false;
      for (const mesh of hidden) mesh.visible = true;
    };
  }

  /**
   * Gather the `sheets` of meshes that are seen, unless nothing has changed; whether anything had.
   * What is marked keeps its colour and its outline: it is drawn by itself.
   */
  gather(meshes) {
    if (this.drawn) return false;
    const seen = meshes.filter(({ visible, userData: { sheets, lines } }) => visible && sheets && !lines.visible);
    for (const { userData } of seen) userData.plain ??= plainly(userData.sheets);
    const count = (name) => seen.reduce((sum, { userData }) => sum + userData.plain[name].attributes.position.count, 0);
    this.faces = count("faces");
    const total = this.faces + count("shadow");
    const geometry = new BufferGeometry();
    const add = (name, size) => geometry.setAttribute(name, new BufferAttribute(new Float32Array(size * total), size));
    for (const name of ["position", "normal", ...STILL]) add(name, 3);
    add("layer", 1);
    let next = 0;
    this.drawn = ["faces", "shadow"].flatMap((part) =>
      seen.map((mesh) => {
        const { attributes } = mesh.userData.plain[part];
        const start = next;
        next += attributes.position.count;
        for (const name of STILL) geometry.attributes[name].array.set(attributes[name].array, 3 * start);
        geometry.attributes.layer.array.fill(mesh.material.polygonOffsetUnits, start, next);
        return { mesh, attributes, start };
      }),
    );
    geometry.setDrawRange(0, this.faces);
    this.mesh.geometry.dispose();
    this.mesh.geometry = geometry;
    return true;
  }

  /** Bring each corner to where its paper is. */
  place() {
    const { position, normal } = this.mesh.geometry.attributes;
    for (const { mesh, attributes, start } of this.drawn) {
      const m = mesh.matrix.elements;
      turn(m, attributes.position.array, position.array, 3 * start, 1);
      turn(m, attributes.normal.array, normal.array, 3 * start, 0);
    }
    position.needsUpdate = normal.needsUpdate = true;
  }
}

/** Points (last = 1) or directions (0) by a 4 × 4 matrix by columns, into another array from `at` on. */
function turn(m, from, to, at, last) {
  for (let k = 0; k < from.length; k += 3) {
    const [x, y, z] = [from[k], from[k + 1], from[k + 2]];
    for (let i = 0; i < 3; i++) to[at + k + i] = m[i] * x + m[4 + i] * y + m[8 + i] * z + last * m[12 + i];
  }
}
