// The notebook under the pop-up: page blocks and covers on the pages, and the spine between them.
import { BoxGeometry, BufferAttribute, BufferGeometry, Color, Mesh } from "three";

import { floatAttribute, paperMaterial } from "./paper.js";

const RADIANS = Math.PI / 180;
// The page lies this far under its own plane, so that paper that lies flat on it wins.
export const PAGE_DROP = 0.06;

export class Book {
  /** @param book width, height, paper, cover, block, board, overhang, ruling; mm. */
  constructor(book, tooth) {
    Object.assign(this, book);
    this.depth = this.block + this.board;
    this.materials = {
      block: paperMaterial(tooth, { strength: 0.5, leaves: true, surface: "other" }),
      cover: paperMaterial(tooth, { strength: 1.3, surface: "other" }),
    };
    this.halves = [-1, 1].map((side) => this.half(side));
    this.middle = new Middle(this);
  }

  /** How far the book must rise so that it stands on the table at this opening, mm. */
  lift(opening) {
    const tilt = ((180 - opening) / 2) * RADIANS;
    return -this.depth + this.depth * Math.cos(tilt) + this.board * Math.sin(tilt);
  }

  /** Page block and cover of one half, in the frame of its page. */
  half(side) {
    const { width, height, block, board, overhang } = this;
    const top = -PAGE_DROP - 0.02;
    const pages = box(0, width, 0, height, -block, top, side, this.paper);
    const cover = box(
      0,
      width + overhang,
      -overhang,
      height + overhang,
      -block - board,
      -block,
      side,
      this.cover,
    );
    return [
      shadowed(new Mesh(pages, this.materials.block)),
      shadowed(new Mesh(cover, this.materials.cover)),
    ];
  }
}

function shadowed(mesh) {
  mesh.castShadow = mesh.receiveShadow = true;
  return mesh;
}

function box(x0, x1, y0, y1, z0, z1, side, colour) {
  const geometry = new BoxGeometry(x1 - x0, y1 - y0, z1 - z0);
  geometry.translate((side * (x0 + x1)) / 2, (y0 + y1) / 2, (z0 + z1) / 2);
  return tinted(geometry, colour);
}

function tinted(geometry, colour) {
  const { r, g, b } = new Color(colour);
  const count = geometry.getAttribute("position").count;
  const values = new Float32Array(3 * count);
  for (let k = 0; k < count; k++) values.set([r, g, b], 3 * k);
  geometry.setAttribute("color", new BufferAttribute(values, 3));
  geometry.setAttribute("glow", new BufferAttribute(new Float32Array(3 * count), 3));
  return geometry;
}

/** What bends while the book opens: the fold of the page block and the spine of the cover. */
class Middle {
  constructor(book) {
    this.book = book;
    this.fold = shadowed(new Mesh(blank(2, book.paper), book.materials.block));
    this.spine = shadowed(new Mesh(blank(12 + 8, book.cover), book.materials.cover));
    this.meshes = [this.fold, this.spine];
    for (const mesh of this.meshes) mesh.frustumCulled = false;
  }

  update(opening) {
    const { block, depth, board, height, overhang } = this.book;
    const tilt = ((180 - opening) / 2) * RADIANS;
    const [s, c] = [Math.sin(tilt), Math.cos(tilt)];
    const right = [block * s, -block * c];
    const edge = [depth * s, -depth * c];
    const low = [edge[0], edge[1] - board * s];
    const mirror = ([x, z]) => [-x, z];
    const gutter = [0, 0];
    const open = edge[0] > 0.02;
    for (const mesh of this.meshes) mesh.visible = open;
    if (!open) return;

    const fold = new Writer(this.fold.geometry);
    fold.triangle(at(gutter, 0), at(mirror(right), 0), at(right, 0));
    fold.triangle(at(gutter, height), at(right, height), at(mirror(right), height));
    fold.done();

    const ring = [mirror(right), mirror(edge), mirror(low), low, edge, right];
    const [start, end] = [-overhang, height + overhang];
    const spine = new Writer(this.spine.geometry);
    ring.forEach((from, k) => {
      const to = ring[(k + 1) % 6];
      spine.triangle(at(from, start), at(from, end), at(to, end));
      spine.triangle(at(from, start), at(to, end), at(to, start));
    });
    for (let k = 1; k < 5; k++) {
      spine.triangle(at(ring[0], start), at(ring[k], start), at(ring[k + 1], start));
      spine.triangle(at(ring[0], end), at(ring[k + 1], end), at(ring[k], end));
    }
    spine.done();
  }
}

function at([x, z], y) {
  return [x, y, z];
}

function blank(triangles, colour) {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", floatAttribute(new Array(9 * triangles).fill(0)));
  geometry.setAttribute("normal", floatAttribute(new Array(9 * triangles).fill(0)));
  return tinted(geometry, colour);
}

/** Writes flat triangles into a geometry that keeps its size. */
class Writer {
  constructor(geometry) {
    this.position = geometry.getAttribute("position");
    this.normal = geometry.getAttribute("normal");
    this.next = 0;
  }

  triangle(a, b, c) {
    const [ux, uy, uz] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
    const [vx, vy, vz] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
    const normal = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const length = Math.hypot(...normal) || 1;
    for (const corner of [a, b, c]) {
      this.position.setXYZ(this.next, ...corner);
      this.normal.setXYZ(this.next, ...normal.map((value) => value / length));
      this.next += 1;
    }
  }

  done() {
    this.position.needsUpdate = this.normal.needsUpdate = true;
  }
}
