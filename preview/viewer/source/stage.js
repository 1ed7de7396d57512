// The spread on the table: bodies that move, pieces that can be hidden, marked and flown in.
import {
  Color,
  Group,
  LineBasicMaterial,
  LineSegments,
  Matrix4,
  Mesh,
  Quaternion,
  Raycaster,
  Scene,
  SRGBColorSpace,
  TextureLoader,
  Vector2,
  Vector3,
} from "three";

import { Book, PAGE_DROP } from "./book.js";
import { Motion, onPage } from "./motion.js";
import { artGeometry, artMaterial, filmMaterial, paperMaterial, Slabs, toothTexture } from "./paper.js";

const MARK = new Color("#e8963c");
// Paper of different pieces that lies in one plane is drawn in the order of the design.
const LAYER_UNITS = -64;
// The outer part of a page by which it can be pulled.
const EDGE_SHARE = 0.72;

export class Stage {
  /** @param loaded called when an image has arrived and the picture must be drawn again. */
  constructor(data, loaded) {
    this.loaded = loaded;
    this.scene = new Scene();
    this.root = new Group();
    this.scene.add(this.root);
    this.tooth = toothTexture();
    this.raycaster = new Raycaster();
    this.load(data);
  }

  /** Show another design in place of the last one. */
  load(data) {
    this.clear();
    this.data = data;
    this.motion = new Motion(data.keys, data.bodies.length, data.folds.length);
    this.book = new Book(data.book, this.tooth);
    this.pieces = new Map(data.pieces.map((piece, k) => [piece.name, this.newPiece(piece, k)]));
    this.bodies = data.bodies.map((body) => this.newBody(body));
    this.book.halves.forEach((meshes, k) => {
      for (const mesh of meshes) this.addTo(this.bodies[k], mesh, "page");
    });
    for (const mesh of this.book.middle.meshes) this.root.add(mesh);
  }

  clear() {
    this.root.traverse((object) => {
      object.geometry?.dispose();
      object.material?.map?.dispose();
      object.material?.dispose();
    });
    this.root.clear();
  }

  newPiece(piece, index) {
    const isPage = piece.name === "page";
    const paper = paperMaterial(this.tooth, {
      strength: isPage ? 0.8 : 1,
      ruling: isPage ? this.data.book.ruling : "plain",
    });
    paper.polygonOffset = true;
    paper.polygonOffsetUnits = LAYER_UNITS * index;
    return { ...piece, paper, shown: true, marked: false, meshes: [], lines: [], away: null };
  }

  newBody(body) {
    const group = { name: body.name, meshes: [], quaternion: new Quaternion(), position: new Vector3() };
    const bundles = new Map();
    for (const facet of body.facets) {
      const key = `${facet.piece} ${facet.clear}`;
      if (!bundles.has(key)) bundles.set(key, []);
      bundles.get(key).push(facet);
    }
    for (const facets of bundles.values()) this.addFacets(group, facets);
    return group;
  }

  addFacets(group, facets) {
    const [first] = facets;
    const piece = this.pieces.get(first.piece);
    const slabs = new Slabs();
    for (const facet of facets) slabs.add(facet, first.piece === "page", PAGE_DROP);
    for (const facet of facets) {
      for (const art of facet.art) this.addArt(group, facet, art);
    }
    const material = first.clear ? filmMaterial(first.front) : piece.paper;
    const mesh = new Mesh(slabs.geometry(), material);
    mesh.castShadow = !first.clear;
    mesh.receiveShadow = !first.clear;
    const lines = new LineSegments(slabs.lines(), new LineBasicMaterial({ color: MARK }));
    lines.visible = false;
    mesh.add(lines);
    piece.lines.push(lines);
    this.addTo(group, mesh, first.piece);
  }

  /** An image lies on its side of a facet like another, very thin sheet. */
  addArt(group, facet, art) {
    const texture = new TextureLoader().load(art.image, () => this.loaded());
    texture.colorSpace = SRGBColorSpace;
    texture.anisotropy = 8;
    const paper = this.pieces.get(facet.piece).paper;
    const material = artMaterial(this.tooth, texture, paper.polygonOffsetUnits + LAYER_UNITS / 2);
    const mesh = new Mesh(artGeometry(facet, art), material);
    mesh.receiveShadow = true;
    this.addTo(group, mesh, facet.piece);
  }

  addTo(group, mesh, piece) {
    mesh.matrixAutoUpdate = false;
    mesh.userData = { piece, body: group.name };
    group.meshes.push(mesh);
    this.pieces.get(piece).meshes.push(mesh);
    this.root.add(mesh);
  }

  /** Move everything to an opening, degrees. */
  setOpening(opening) {
    this.opening = this.motion.clamp(opening);
    this.place = this.motion.bracket(this.opening);
    const matrix = new Matrix4();
    const one = new Vector3(1, 1, 1);
    this.bodies.forEach((body, b) => {
      this.motion.pose(b, this.place, body.quaternion, body.position);
      matrix.compose(body.position, body.quaternion, one);
      for (const mesh of body.meshes) {
        mesh.matrix.copy(matrix);
        const { away } = this.pieces.get(mesh.userData.piece);
        if (away) mesh.matrix.premultiply(away);
      }
    });
    this.book.middle.update(this.opening);
    this.root.position.z = this.book.lift(this.opening);
  }

  /** Lift a piece off: share 1 is far from its place, 0 is glued. */
  fly(name, share) {
    const piece = this.pieces.get(name);
    const { width, height } = this.book;
    piece.away =
      share > 0
        ? new Matrix4().makeTranslation(0.25 * width * share, -0.9 * height * share, 0.75 * height * share ** 0.7)
        : null;
  }

  show(name, shown) {
    const piece = this.pieces.get(name);
    piece.shown = shown;
    for (const mesh of piece.meshes) mesh.visible = shown;
  }

  mark(name, marked) {
    const piece = this.pieces.get(name);
    piece.marked = marked;
    piece.paper.emissive.copy(MARK).multiplyScalar(marked ? 0.16 : 0);
    for (const lines of piece.lines) lines.visible = marked;
  }

  /** Angles of the folds of a piece at the present opening: [{name, degrees}]. */
  folds(piece) {
    return this.data.folds
      .map((fold, h) => ({ ...fold, degrees: this.motion.angle(h, this.place) }))
      .filter((fold) => fold.piece === piece);
  }

  /** What lies under a point of the picture (-1 to 1): piece, body and the point on the body. */
  hit(x, y, camera) {
    this.raycaster.setFromCamera(new Vector2(x, y), camera);
    const visible = this.root.children.filter((mesh) => mesh.visible && mesh.userData.body);
    const [first] = this.raycaster.intersectObjects(visible, false);
    if (!first) return null;
    const { piece, body } = first.object.userData;
    const local = first.object.worldToLocal(first.point.clone());
    return { piece, body, local, point: first.point };
  }

  /** The side (+1 right, -1 left) of a page that a hit can pull, else 0. */
  pullable(hit) {
    if (hit?.piece !== "page") return 0;
    const far = Math.abs(hit.local.x) > EDGE_SHARE * this.book.width;
    return far ? (hit.body === this.bodies[1].name ? 1 : -1) : 0;
  }

  /** A point of a page at an opening, in the scene. */
  pagePoint(side, local, opening, target = new Vector3()) {
    onPage(side, Math.abs(local.x), local.y, local.z, opening, target);
    target.z += this.book.lift(opening);
    return target;
  }

  /** Points that the spread reaches, for framing. */
  reach(openings) {
    const points = [];
    const { width, height, depth, overhang } = this.book;
    for (const opening of openings) {
      const place = this.motion.bracket(this.motion.clamp(opening));
      const lift = this.book.lift(this.motion.clamp(opening));
      this.bodies.forEach((body, b) => {
        this.motion.pose(b, place, body.quaternion, body.position);
        const corners =
          b < 2
            ? boxCorners([0, (b ? 1 : -1) * (width + overhang)], [-overhang, height + overhang], [-depth, 0])
            : this.data.bodies[b].corners;
        for (const corner of corners) {
          const point = new Vector3(...corner).applyQuaternion(body.quaternion).add(body.position);
          point.z += lift;
          points.push(point);
        }
      });
    }
    return points;
  }

  /** Poses as they stand in the scene: body name to a column-major 4 × 4 matrix, mm, unlifted. */
  poses() {
    this.root.updateMatrixWorld(true);
    const back = this.root.matrixWorld.clone().invert();
    return Object.fromEntries(
      this.bodies.map((body) => [
        body.name,
        back.clone().multiply(body.meshes[0].matrixWorld).elements.slice(),
      ]),
    );
  }
}

function boxCorners(xs, ys, zs) {
  return xs.flatMap((x) => ys.flatMap((y) => zs.map((z) => [x, y, z])));
}
