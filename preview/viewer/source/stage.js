// The spread on the table: bodies that move, pieces that can be hidden, marked and flown in.
import {
  Box3,
  Color,
  Group,
  LineBasicMaterial,
  LineSegments,
  MathUtils,
  Matrix4,
  Mesh,
  Raycaster,
  Scene,
  SRGBColorSpace,
  TextureLoader,
  Vector2,
  Vector3,
} from "three";

import { Book, PAGE_DROP } from "./book.js";
import { Motion, onPage } from "./motion.js";
import { artGeometry, artMaterial, filmEdge, filmMaterial, paperMaterial, Slabs, toothTexture } from "./paper.js";
import { Together } from "./together.js";

const MARK = new Color("#e8963c");
// Paper of different pieces that lies in one plane is drawn in the order of the design, nearer by
// so many of the smallest steps of depth; all together less than the thinnest sheet, or what lies
// under a sheet would shine through it.
const LAYER_UNITS = -16;
const MOST_UNITS = -240;
// How far apart paper may lie that is still drawn in that order, and what lies on a page, mm.
const SAME_PLANE_MM = 1;
const LIES_ON_PAGE_MM = 6;
// Bodies as texts, to tell which are alike; most stay from one scene to the next.
const TEXTS = new WeakMap();
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
    this.film = { sky: { value: new Color() }, key: { value: new Color() }, towards: { value: new Vector3(0, 0, 1) } };
    this.filmEdge = new Color();
    this.raycaster = new Raycaster();
    this.together = new Together();
    this.root.add(this.together.mesh);
    this.pieces = new Map();
    this.bodies = [];
    this.textures = new Map();
    this.onTable = null;
    this.built = null;
    this.stressed = new Set();
    this.away = new Map();
    // What is above is cut off, mm in the scene.
    this.ceiling = Infinity;
    this.pulled = new Map();
    this.flattened = new Set();
    this.load(data);
  }

  /** Show another design in place of the last one; what is alike in both stays as it is. */
  load(data) {
    this.pulled.clear();
    this.flattened.clear();
    const before = this.data;
    const shares = this.motion?.shares ?? new Map();
    this.data = data;
    this.motion = new Motion(data);
    for (const [name, share] of shares) if (this.motion.shares.has(name)) this.motion.put(name, share);
    const book = JSON.stringify(data.book);
    const turned = !before || JSON.stringify(before.book) !== book;
    if (turned) this.loadBook(data.book);
    this.loadPieces(data.pieces, turned, layers(data, this.motion));
    this.loadBodies(data.bodies);
    this.takeStock();
  }

  loadBook(book) {
    if (this.book) for (const mesh of [...this.book.halves.flat(), ...this.book.middle]) this.drop(mesh);
    this.book = new Book(book, this.tooth);
    for (const mesh of this.book.middle) this.root.add(mesh);
    this.book.halves.forEach((meshes, k) => {
      for (const mesh of meshes) {
        mesh.matrixAutoUpdate = false;
        mesh.userData = { piece: "page", sheet: 0, body: k };
        this.root.add(mesh);
      }
    });
  }

  /** Pieces by name. The paper of a piece stays while its layer does. */
  loadPieces(pieces, turned, units) {
    const before = this.pieces;
    this.pieces = new Map(
      pieces.map((piece) => {
        const old = before.get(piece.name);
        const { shown, marked } = old ?? { shown: true, marked: false };
        const layer = units.get(piece.name) ?? 0;
        const keep = old && old.paper.polygonOffsetUnits === layer && !turned;
        return [piece.name, { ...piece, shown, marked, paper: keep ? old.paper : this.newPaper(piece, layer) }];
      }),
    );
  }

  newPaper(piece, units) {
    const isPage = piece.name === "page";
    const paper = paperMaterial(this.tooth, {
      strength: isPage ? 0.8 : 1,
      ruling: isPage ? this.data.book.ruling : "plain",
      surface: isPage ? "page" : "paper",
    });
    paper.polygonOffset = true;
    paper.polygonOffsetUnits = units;
    return paper;
  }

  /** Bodies that are drawn as before keep their meshes and images. */
  loadBodies(bodies) {
    // Bodies that a pull has cut anew are alike in having no text: none of them is kept.
    const known = new Map(this.bodies.filter(({ text }) => text).map((body) => [body.text, body]));
    const gone = new Set(this.bodies);
    this.bodies = bodies.map((body, b) => {
      const text = textOf(body);
      const old = known.get(text);
      const papers = [...new Set(body.facets.map((facet) => this.pieces.get(facet.piece)?.paper))];
      if (!old || old.papers.length !== papers.length || papers.some((paper, k) => paper !== old.papers[k])) {
        return this.newBody(body, b, text, papers);
      }
      known.delete(text);
      gone.delete(old);
      for (const mesh of old.meshes) mesh.userData.body = b;
      return old;
    });
    for (const { meshes } of gone) for (const mesh of meshes) this.drop(mesh);
  }

  /** Take a mesh away; what is printed on it goes with it, unless that is used elsewhere. */
  drop(mesh, used = new Set()) {
    this.root.remove(mesh);
    mesh.traverse(({ geometry, material }) => {
      geometry.dispose();
      if (!used.has(material)) this.release(material);
    });
  }

  newBody(body, b, text, papers) {
    const group = { name: body.name, text, papers, meshes: [] };
    // While it is built, each facet has a place of its own.
    for (const facet of body.facets) for (const mesh of this.newMeshes([facet])) this.put(mesh, facet, b, group);
    return group;
  }

  put(mesh, { piece, sheet, number, strip }, b, group) {
    mesh.matrixAutoUpdate = false;
    mesh.userData = { ...mesh.userData, piece, sheet, number, strip, body: b };
    group.meshes.push(mesh);
    this.root.add(mesh);
  }

  /** The facets of one sheet in one body, and what is printed on them; `prints` are there already. */
  newMeshes(facets, prints = new Map()) {
    const [{ piece, clear }] = facets;
    const slabs = new Slabs();
    for (const facet of facets) slabs.add(facet, piece === "page", PAGE_DROP);
    const mesh = new Mesh(slabs.geometry(), clear ? filmMaterial(this.film) : this.pieces.get(piece).paper);
    mesh.castShadow = mesh.receiveShadow = !clear;
    if (!clear && piece !== "page") mesh.userData.sheets = facets;
    const lines = new LineSegments(slabs.lines(), new LineBasicMaterial({ color: MARK }));
    lines.visible = false;
    mesh.userData.lines = lines;
    mesh.add(lines);
    if (clear) mesh.add(new LineSegments(slabs.lines(), filmEdge(this.filmEdge)));
    return [mesh, ...facets.flatMap((facet) => facet.art.map((art) => this.newArt(facet, art, prints.get(art.image))))];
  }

  /** An image lies on its side of a facet like another, very thin sheet. */
  newArt(facet, art, print) {
    const mesh = new Mesh(artGeometry(facet, art), print ?? this.newPrint(facet, art));
    mesh.receiveShadow = true;
    mesh.userData.image = art.image;
    return mesh;
  }

  newPrint(facet, art) {
    const { paper } = this.pieces.get(facet.piece);
    const material = artMaterial(this.tooth, this.texture(art.image), paper.polygonOffsetUnits + LAYER_UNITS / 2);
    material.userData.image = art.image;
    return material;
  }

  /** An image for one more print; it is read once, however often it is printed or paper cut anew. */
  texture(image) {
    const known = this.textures.get(image) ?? { prints: 0 };
    if (!known.texture) {
      known.texture = new TextureLoader().load(image, () => this.loaded());
      known.texture.colorSpace = SRGBColorSpace;
      known.texture.anisotropy = 8;
      this.textures.set(image, known);
    }
    known.prints += 1;
    return known.texture;
  }

  /** A material is used no more, nor is its image if that was the last print of it. */
  release({ userData }) {
    const { image } = userData;
    const known = this.textures.get(image);
    if (!known) return;
    userData.image = null; // of several meshes with this material, only the first gives it back
    known.prints -= 1;
    if (known.prints > 0) return;
    known.texture.dispose();
    this.textures.delete(image);
  }

  /** Note which meshes belong to which piece, and show what is to be shown. */
  takeStock() {
    this.meshes = this.root.children.filter((mesh) => "body" in mesh.userData);
    this.refresh();
  }

  refresh() {
    this.together.forget();
    for (const mesh of this.meshes) {
      const { piece, sheet, number, lines, strip } = mesh.userData;
      const { shown, marked } = this.pieces.get(piece);
      const there = this.built ? this.built.posed.has(number) || this.built.book.has(sheet) : !this.onTable || this.onTable.has(sheet);
      mesh.visible = shown && there && !this.flattened.has(strip);
      if (lines) lines.visible = marked || this.stressed.has(sheet);
    }
    for (const piece of this.pieces.values()) piece.paper.emissive.copy(MARK).multiplyScalar(piece.marked ? 0.16 : 0);
  }

  /** Let coarse pictures be drawn quickly; returns what undoes it. */
  coarsely() {
    if (this.together.gather(this.meshes)) this.motion.rolls?.shade(this.meshes, Boolean(this.built));
    return this.together.show();
  }

  /** Move everything to an opening, degrees. */
  setOpening(opening) {
    this.opening = this.motion.clamp(opening);
    const matrices = this.motion.turn(this.opening);
    for (const [b, matrix] of this.pulled) matrices[b].copy(matrix);
    if (this.pulled.size) this.motion.roll(this.opening, matrices);
    this.motion.rolls?.shade(this.meshes, Boolean(this.built));
    const lowered = this.rest().invert();
    for (const mesh of this.meshes) {
      const { body, sheet, number } = mesh.userData;
      const placed = this.built?.posed.get(number);
      if (placed) mesh.matrix.copy(placed).premultiply(lowered);
      else mesh.matrix.copy(matrices[body]);
      const away = this.away.get(sheet);
      if (away) mesh.matrix.premultiply(away);
      mesh.matrixWorldNeedsUpdate = true;
    }
    this.book.update(this.opening);
    this.rest().decompose(this.root.position, this.root.quaternion, this.root.scale);
  }

  /**
   * How the notebook is brought to rest on the table: lifted over its spine, or, in a building course
   * of which one half lies, turned about the gutter.
   */
  rest() {
    const lying = this.built?.lying ?? "both";
    if (lying === "both") return new Matrix4().makeTranslation(0, 0, this.book.lift(this.opening));
    const tilt = MathUtils.degToRad(180 - this.opening) / 2;
    return new Matrix4().makeRotationY(lying === "right" ? tilt : -tilt);
  }

  // ------------------------------------------------------------------ while a hand pulls

  /**
   * Show some bodies where a pull has brought them, and facets as it has cut them.
   * @param bodies each with name and matrix (4 × 4 by columns), facets each with body and facet.
   */
  preview({ bodies, facets }) {
    const number = new Map(this.data.bodies.map(({ name }, b) => [name, b]));
    for (const { name, matrix } of bodies) {
      if (number.has(name)) this.pulled.set(number.get(name), new Matrix4().fromArray(matrix));
    }
    const changed = new Map();
    for (const { body, facet } of facets) {
      if (!changed.has(body)) changed.set(body, new Map());
      changed.get(body).set(facet.name, facet);
    }
    for (const [body, own] of changed) if (number.has(body)) this.recut(number.get(body), own);
    // What is cut anew is shown flat until the hand lets go.
    for (const { facet } of facets) this.flattened.add(facet.name);
    this.takeStock();
  }

  /** Show other art on some facets, by full name, until the preview ends. */
  reprint(arts) {
    this.data.bodies.forEach(({ facets }, b) => {
      const changed = facets.filter(({ name }) => name in arts);
      if (changed.length) this.recut(b, new Map(changed.map((facet) => [facet.name, facet])), arts);
    });
    this.takeStock();
  }

  /** Draw the sheets of a body anew of which some facets have changed; prints stay as they were. */
  recut(b, facets, arts = {}) {
    const body = this.bodies[b];
    body.text = ""; // whatever comes next, it is not this
    const sheets = new Set([...facets.values()].map(({ sheet }) => sheet));
    for (const sheet of sheets) {
      const old = body.meshes.filter((mesh) => mesh.userData.sheet === sheet);
      const prints = new Map();
      for (const mesh of old) if (mesh.userData.image) prints.set(mesh.userData.image, mesh.material);
      const known = this.data.bodies[b].facets.filter((facet) => facet.sheet === sheet);
      const now = known.map((facet) => ({ ...(facets.get(facet.name) ?? facet), art: arts[facet.name] ?? facet.art }));
      const made = this.newMeshes(now, prints);
      const used = new Set(made.map((mesh) => mesh.material));
      for (const mesh of old) this.drop(mesh, used);
      body.meshes = body.meshes.filter((mesh) => !old.includes(mesh));
      for (const mesh of made) this.put(mesh, now[0], b, body);
    }
  }

  /** Show everything again as the design has it. */
  endPreview() {
    this.pulled.clear();
    this.flattened.clear();
    this.loadBodies(this.data.bodies);
    this.takeStock();
  }

  // ------------------------------------------------------------------ what is shown

  show(name, shown) {
    this.pieces.get(name).shown = shown;
    this.refresh();
  }

  mark(name, marked) {
    this.pieces.get(name).marked = marked;
    this.refresh();
  }

  /** Show some sheets alone (null: all), and outline those that a step is about. */
  lay(onTable, stressed = new Set()) {
    this.onTable = onTable;
    this.stressed = stressed;
    this.away.clear();
    this.refresh();
  }

  /** Show a moment of the building (see Course.at), or nothing of the kind (null). */
  place(moment) {
    const anew = moment?.move !== this.built?.move;
    this.built = moment;
    if (anew) this.refresh();
  }

  /** Hold sheets off their place, by shares of the size of the page to the right, up and out. */
  hold(sheets, [x, y, z]) {
    const { width, height } = this.book;
    const away = new Matrix4().makeTranslation(x * width, y * height, z * height);
    for (const sheet of sheets) this.away.set(sheet, away);
  }

  /** Names of the pieces of which something is to be seen. */
  get seen() {
    const names = this.meshes.filter((mesh) => mesh.visible).map((mesh) => mesh.userData.piece);
    return [...new Set(names)].filter((name) => name !== "page");
  }

  /** Angles of the folds of a piece at the present opening: [{name, degrees}]. */
  folds(piece) {
    return this.data.folds
      .map((fold, h) => ({ ...fold, degrees: this.motion.angle(h) }))
      .filter((fold) => fold.piece === piece && Number.isFinite(fold.degrees));
  }

  // ------------------------------------------------------------------ places

  /**
   * What lies under a point of the picture (-1 to 1): piece, body, the point on the body and from
   * which side it is `seen`; and the page on which that lies, the same way, if it lies on one.
   */
  hit(x, y, camera) {
    // A hand may be quicker than the next picture.
    camera.updateMatrixWorld();
    this.root.updateMatrixWorld();
    this.raycaster.setFromCamera(new Vector2(x, y), camera);
    const met = this.raycaster.intersectObjects(this.meshes.filter((mesh) => mesh.visible), false);
    const all = met.filter(({ point }) => point.z <= this.ceiling);
    if (!all.length) return null;
    const place = ({ object, point }) => ({
      piece: object.userData.piece,
      body: this.flatBody(object.userData.body),
      local: object.worldToLocal(point.clone()),
      point,
    });
    const first = place(all[0]);
    // From which side of the body's plane it is seen: 1 from its z.
    first.seen = all[0].object.worldToLocal(camera.position.clone()).z > first.local.z ? 1 : -1;
    const under = all.map(place).find(({ body }) => body < 2);
    if (under && Math.abs(first.point.clone().applyMatrix4(this.flat(under.body)).z) < LIES_ON_PAGE_MM) first.page = under;
    return first;
  }

  /** The body of a facet, for that of a strip of it that is curled; all others are their own. */
  flatBody(body) {
    return this.motion.rolls?.flat(body) ?? body;
  }

  /** From the scene to the flat coordinates of a body as it is posed now. */
  flat(body) {
    const back = this.motion.matrices[body].clone().invert();
    return back.multiply(this.rest().invert());
  }

  /** What a hit can pull: a page ({ side }, +1 right, -1 left) or a { hand }, and where; or null. */
  pullable(hit) {
    if (!hit) return null;
    const hand = this.motion.hands.find(({ body, riders }) => (riders ?? [body]).includes(hit.body));
    if (hand) return { hand, body: hit.body, local: hit.local };
    const { page } = hit;
    if (!page || Math.abs(page.local.x) <= EDGE_SHARE * this.book.width) return null;
    return { side: page.body === 1 ? 1 : -1, body: page.body, local: page.local };
  }

  /** A point of a page at an opening, in the scene. */
  pagePoint(side, local, opening, target = new Vector3()) {
    onPage(side, Math.abs(local.x), local.y, local.z, opening, target);
    target.z += this.book.lift(opening);
    return target;
  }

  /** A point of a body as it is posed now, in the scene. */
  bodyPoint(body, local) {
    return local.clone().applyMatrix4(this.motion.matrices[body]).applyMatrix4(this.rest());
  }

  /** Corners of boxes round all paper that is seen, where they are now in the scene: eight each. */
  corners() {
    this.root.updateMatrixWorld();
    return this.meshes.filter(({ visible }) => visible).map(({ geometry, matrixWorld }) => {
      if (!geometry.boundingBox) geometry.computeBoundingBox();
      const { min, max } = geometry.boundingBox;
      return boxCorners([min.x, max.x], [min.y, max.y], [min.z, max.z]).map((corner) => new Vector3(...corner).applyMatrix4(matrixWorld));
    });
  }

  /** Corners of the paper of a piece that is seen, where they are now in the scene. */
  pointsOf(piece) {
    this.root.updateMatrixWorld();
    return this.meshes
      .filter((mesh) => mesh.visible && mesh.userData.piece === piece)
      .flatMap((mesh) => {
        const { position } = mesh.geometry.attributes;
        return Array.from({ length: position.count }, (_, k) => new Vector3().fromBufferAttribute(position, k).applyMatrix4(mesh.matrixWorld));
      });
  }

  /** Points that the spread reaches, for framing. */
  reach(openings) {
    const points = [];
    const { width, height, depth, overhang } = this.book;
    const matrices = this.bodies.map(() => new Matrix4());
    for (const wanted of openings) {
      const opening = this.motion.clamp(wanted);
      const lift = this.book.lift(opening);
      this.motion.turn(opening, matrices);
      this.bodies.forEach((_, b) => {
        const corners =
          b < 2
            ? boxCorners([0, (b ? 1 : -1) * (width + overhang)], [-overhang, height + overhang], [-depth, 0])
            : this.data.bodies[b].corners;
        for (const corner of corners) {
          const point = new Vector3(...corner).applyMatrix4(matrices[b]);
          point.z += lift;
          points.push(point);
        }
      });
    }
    return points;
  }

  /** Facets that are seen, by number: where they are in the scene, column-major, mm. */
  facets() {
    this.root.updateMatrixWorld(true);
    const seen = this.meshes.filter((mesh) => mesh.visible && mesh.userData.number !== undefined);
    return Object.fromEntries(seen.map((mesh) => [mesh.userData.number, mesh.matrixWorld.elements.slice()]));
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

/**
 * How much nearer the paper of each piece is drawn than it is, by name, in steps of depth. Pieces
 * that can lie in one plane without glue get different ones; where glue holds them, they have
 * their heights.
 */
function layers({ pieces, bodies }, motion) {
  const matrices = bodies.map(() => new Matrix4());
  motion.turn(motion.last, matrices);
  const found = new Map(pieces.map(({ name }) => [name, { bodies: new Set(), box: new Box3() }]));
  bodies.forEach(({ facets }, b) => {
    for (const { piece, rings, z } of facets) {
      const { bodies: own, box } = found.get(piece);
      own.add(b);
      const [outline] = rings;
      for (let k = 0; k < outline.length; k += 2) {
        box.expandByPoint(new Vector3(outline[k], outline[k + 1], z).applyMatrix4(matrices[b]));
      }
    }
  });
  const ranks = new Map();
  for (const [name, { bodies: own, box }] of found) {
    const wide = box.clone().expandByVector(new Vector3(0, 0, SAME_PLANE_MM));
    const under = [...ranks.keys()].filter((other) => {
      const { bodies: theirs, box: place } = found.get(other);
      const glued = own.size === 1 && theirs.size === 1 && own.has([...theirs][0]);
      return !glued && wide.intersectsBox(place);
    });
    ranks.set(name, 1 + Math.max(-1, ...under.map((other) => ranks.get(other))));
  }
  const step = Math.max(LAYER_UNITS, MOST_UNITS / Math.max(1, ...ranks.values()));
  return new Map([...ranks].map(([name, rank]) => [name, step * rank]));
}

function textOf(body) {
  if (!TEXTS.has(body)) TEXTS.set(body, JSON.stringify(body));
  return TEXTS.get(body);
}

function boxCorners(xs, ys, zs) {
  return xs.flatMap((x) => ys.flatMap((y) => zs.map((z) => [x, y, z])));
}
