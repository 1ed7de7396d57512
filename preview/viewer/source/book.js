// The notebook under the pop-up: pages and cover of each half, and what bends between them.
//
// Its sheets are nested about the gutter: what lies at a depth d under the page goes round it on an
// arc of radius d and keeps its length, so that it comes out at the fore-edge as the arc shrinks.
import { BufferAttribute, BufferGeometry, Color, Mesh } from "three";

import { floatAttribute, paperMaterial } from "./paper.js";

const RADIANS = Math.PI / 180;
// The page lies this far under its own plane, so that paper that lies flat on it wins.
export const PAGE_DROP = 0.06;
// How cover boards are rounded at the fore-edge, and by how many flat steps.
const [CORNER, CORNER_SHARE, STEPS] = [4.5, 3.4, 5];
// How wide the cloth slopes from the groove to the outside of a board, mm.
const [SLOPE, BESIDE] = [2.2, 1e-3];
// The arc round the spine is drawn by so many strips.
const STRIPS = 24;
// An elastic band, mm, and how far a notebook is open from which on it is away, degrees.
const BAND = { width: 6, thick: 0.8, inward: 14, open: 0.05 };

export class Book {
  /**
   * @param book width, height, paper, cover, block, board, cloth, groove, overhang, ruling, and
   *   band, its colour, empty if it has none; mm.
   */
  constructor(book, tooth) {
    Object.assign(this, book);
    this.depth = this.block + this.board;
    this.kept = this.block + this.cloth / 2;
    this.materials = {
      block: paperMaterial(tooth, { strength: 0.5, leaves: true, surface: "other" }),
      cover: paperMaterial(tooth, { strength: 1.3, surface: "other" }),
    };
    const made = (faces, colour, material) => shadowed(new Mesh(blank(count(faces), colour), material));
    const { block, cover } = this.materials;
    this.halves = [-1, 1].map((side) => [
      made(this.pages(side, 0), this.paper, block),
      made(this.boards(side, 0), this.cover, cover),
      ...(this.band ? [made(this.bands(side), this.band, cover)] : []),
    ]);
    this.fold = made(this.folded(1), this.paper, block);
    this.spine = made(this.cloths(1), this.cover, cover);
    this.middle = [this.fold, this.spine];
    for (const mesh of [...this.halves.flat(), ...this.middle]) mesh.frustumCulled = false;
    this.update(180);
  }

  /** How far the book must rise so that it stands on the table at this opening, mm. */
  lift(opening) {
    const tilt = tiltOf(opening);
    const edge = this.hinge(tilt) * Math.sin(tilt) - this.depth * Math.cos(tilt);
    return -this.depth - Math.min(edge, -this.block - this.cloth);
  }

  /** How far a sheet at a depth has come out at the fore-edge, mm. */
  creep(depth, tilt) {
    return depth * (Math.PI / 2 - tilt);
  }

  /** Where the board begins, from the gutter along its page, mm. */
  hinge(tilt) {
    return this.groove + this.creep(this.kept, tilt);
  }

  /** Bend it to an opening, degrees. */
  update(opening) {
    const tilt = tiltOf(opening);
    [-1, 1].forEach((side, k) => {
      const [pages, boards, band] = this.halves[k];
      write(pages.geometry, this.pages(side, tilt));
      write(boards.geometry, this.boards(side, tilt));
      if (!band) return;
      write(band.geometry, this.bands(side));
      band.geometry.setDrawRange(0, opening <= BAND.open ? Infinity : 0);
    });
    this.fold.visible = tilt > 0.2 * RADIANS;
    write(this.fold.geometry, this.folded(tilt));
    write(this.spine.geometry, this.cloths(tilt));
  }

  /** Faces of the pages of one half in the frame of its page; the fore-edge leans outwards. */
  pages(side, tilt) {
    const { width, height, block } = this;
    const top = -PAGE_DROP - 0.02;
    const [far, near] = [-block, top].map((z) => width + this.creep(-z, tilt));
    const foot = [[0, 0, -block], [far, 0, -block], [near, 0, top], [0, 0, top]];
    const head = [1, 0, 3, 2].map((k) => [foot[k][0], height, foot[k][2]]);
    const faces = [
      foot,
      head,
      [foot[1], head[0], head[3], foot[2]],
      [foot[3], foot[2], head[3], head[2]],
      [head[1], head[0], foot[1], foot[0]],
      [head[1], foot[0], foot[3], head[2]],
    ];
    return turned(faces, side);
  }

  /** Faces of the board of one half, likewise, rounded at the fore-edge. */
  boards(side, tilt) {
    const { width, height, block, depth, overhang: rim } = this;
    const start = this.hinge(tilt);
    const far = width + rim + this.creep(this.kept, tilt);
    const radius = Math.min(CORNER, CORNER_SHARE * rim, width / 4, height / 4);
    const low = Array.from({ length: STEPS + 1 }, (_, k) => {
      const turn = ((Math.PI / 2) * k) / STEPS;
      return [far - radius + radius * Math.sin(turn), -rim + radius * (1 - Math.cos(turn))];
    });
    const high = low.map(([x, y]) => [x, height - y]).reverse();
    const outline = [[start, -rim], ...low, ...high, [start, height + rim]];
    const [under, over] = [-depth, -block].map((z) => outline.map(([x, y]) => [x, y, z]));
    const walls = outline.map((_, k) => {
      const next = (k + 1) % outline.length;
      return [under[k], under[next], over[next], over[k]];
    });
    return turned([over, [...under].reverse(), ...walls, ...this.slope(start)], side);
  }

  /** What the cloth fills beside the edge of a board, from the groove up to its outside. */
  slope(start) {
    if (this.board - this.cloth < 1e-6) return [];
    const end = start - BESIDE;
    const section = [
      [end - SLOPE, -this.block - this.cloth],
      [end, -this.depth],
      [end, -this.block - this.cloth],
    ];
    const [foot, head] = [-this.overhang, this.height + this.overhang].map((y) => section.map((corner) => at(corner, y)));
    const walls = [0, 1, 2].map((k) => [foot[k], head[k], head[(k + 1) % 3], foot[(k + 1) % 3]]);
    return [foot, [...head].reverse(), ...walls];
  }

  /** Faces of the folded pages between the halves, in the frame of the motion. */
  folded(tilt) {
    const corners = arc(this.block, tilt);
    const faces = [];
    for (let k = 0; k < STRIPS; k++) {
      const [a, b] = [corners[k], corners[k + 1]];
      faces.push([at(a, 0), at(b, 0), at([0, 0], 0)]);
      faces.push([at(b, this.height), at(a, this.height), at([0, 0], this.height)]);
    }
    return faces;
  }

  /** Faces of the cover between its boards, likewise. */
  cloths(tilt) {
    const middle = arc(this.kept, tilt);
    const [start, half] = [this.hinge(tilt), this.cloth / 2];
    const [inner, outer] = [-1, 1].map((sign) => {
      const down = this.kept + sign * half;
      const end = [
        start * Math.cos(tilt) + down * Math.sin(tilt),
        start * Math.sin(tilt) - down * Math.cos(tilt),
      ];
      const bent = middle.map(([x, z]) => {
        const share = 1 + (sign * half) / Math.cos(tilt / STRIPS) / Math.hypot(x, z);
        return [share * x, share * z];
      });
      return [[-end[0], end[1]], ...bent, end];
    });
    const [foot, head] = [-this.overhang, this.height + this.overhang];
    const faces = [];
    for (let k = 0; k + 1 < inner.length; k++) {
      for (const [a, b] of [[outer[k], outer[k + 1]], [inner[k + 1], inner[k]]]) {
        faces.push([at(a, foot), at(a, head), at(b, head), at(b, foot)]);
      }
      const rim = [outer[k], outer[k + 1], inner[k + 1], inner[k]];
      faces.push(rim.map((corner) => at(corner, foot)));
      faces.push([...rim].reverse().map((corner) => at(corner, head)));
    }
    return faces;
  }

  /** Faces of the band on one half, in the frame of its page. */
  bands(side) {
    const middle = Math.max(this.width - BAND.inward, this.width / 2);
    const [near, far] = [middle - BAND.width / 2, middle + BAND.width / 2];
    const rim = this.overhang;
    const [foot, head] = [-rim - BAND.thick, this.height + rim + BAND.thick];
    const low = -this.depth - BAND.thick;
    const boxes = [
      [foot, -rim, low, 0],
      [this.height + rim, head, low, 0],
      [foot, head, low, -this.depth],
    ];
    return turned(boxes.flatMap(([y0, y1, z0, z1]) => box(near, far, y0, y1, z0, z1)), side);
  }
}

function tiltOf(opening) {
  return ((180 - opening) / 2) * RADIANS;
}

/** Corners of an arc about the gutter, so far out that its chords are as long as the arc itself. */
function arc(depth, tilt) {
  const step = tilt / STRIPS;
  const radius = step > 1e-9 ? (depth * step) / Math.sin(step) : depth;
  return Array.from({ length: STRIPS + 1 }, (_, k) => {
    const turn = tilt * ((2 * k) / STRIPS - 1);
    return [radius * Math.sin(turn), -radius * Math.cos(turn)];
  });
}

function at([x, z], y) {
  return [x, y, z];
}

/** Faces for the side +1, or mirrored for the side -1. */
function turned(faces, side) {
  return side > 0 ? faces : faces.map((face) => face.map(([x, y, z]) => [-x, y, z]).reverse());
}

function box(x0, x1, y0, y1, z0, z1) {
  return [
    [[x1, y0, z0], [x1, y1, z0], [x1, y1, z1], [x1, y0, z1]],
    [[x0, y0, z0], [x1, y0, z0], [x1, y0, z1], [x0, y0, z1]],
    [[x1, y1, z0], [x0, y1, z0], [x0, y1, z1], [x1, y1, z1]],
    [[x0, y1, z0], [x0, y0, z0], [x0, y0, z1], [x0, y1, z1]],
    [[x0, y1, z0], [x1, y1, z0], [x1, y0, z0], [x0, y0, z0]],
  ];
}

function shadowed(mesh) {
  mesh.castShadow = mesh.receiveShadow = true;
  return mesh;
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

function count(faces) {
  return faces.reduce((sum, face) => sum + face.length - 2, 0);
}

function blank(triangles, colour) {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", floatAttribute(new Array(9 * triangles).fill(0)));
  geometry.setAttribute("normal", floatAttribute(new Array(9 * triangles).fill(0)));
  return tinted(geometry, colour);
}

/** Write convex faces as flat triangles into a geometry that keeps its size. */
function write(geometry, faces) {
  const position = geometry.getAttribute("position");
  const normal = geometry.getAttribute("normal");
  let next = 0;
  for (const face of faces) {
    const across = normalOf(face);
    for (let k = 1; k + 1 < face.length; k++) {
      for (const corner of [face[0], face[k], face[k + 1]]) {
        position.setXYZ(next, ...corner);
        normal.setXYZ(next, ...across);
        next += 1;
      }
    }
  }
  position.needsUpdate = normal.needsUpdate = true;
  geometry.boundingSphere = geometry.boundingBox = null;
}

/** The unit normal of a flat face, whatever of its corners lie in one place. */
function normalOf(face) {
  const sum = [0, 0, 0];
  face.forEach(([x, y, z], k) => {
    const [u, v, w] = face[(k + 1) % face.length];
    sum[0] += (y - v) * (z + w);
    sum[1] += (z - w) * (x + u);
    sum[2] += (x - u) * (y + v);
  });
  const length = Math.hypot(...sum) || 1;
  return sum.map((value) => value / length);
}
