// Starts the page: the picture first, then the spread, and what others may ask of it.
import { Vector3 } from "three";

import { drawnAt } from "./drawn.js";
import { layers } from "./shut.js";

const byId = (id) => document.getElementById(id);
const NOT_DRAWN =
  "This browser cannot draw in three dimensions here: WebGL 2 is missing or switched off. This is a picture of the spread.";
export const LOST =
  "The graphics driver has taken the drawing away. It comes back by itself in most cases; if it does not, load the page again.";

let page;

/** A picture and a sentence in place of the spread, or the spread again. */
export function instead(data, sentence) {
  document.body.classList.toggle("instead", Boolean(sentence));
  byId("instead").hidden = !sentence;
  byId("instead").querySelector("p").textContent = sentence;
  const picture = byId("instead").querySelector("img");
  picture.hidden = !data.poster;
  if (sentence && data.poster) picture.src = data.poster;
}

/** The page of a browser that cannot draw: it shows the picture. */
export function plainly(data) {
  document.title = data.title;
  document.querySelector("h1").textContent = data.title;
  instead(data, NOT_DRAWN);
}

/**
 * Draw the spread; its picture, if there is one, stays before it until it is there.
 * @param open makes the page of a scene; @param plain shows one that cannot be drawn.
 */
export function begin(open, plain) {
  const scene = JSON.parse(byId("scene").textContent);
  const poster = byId("poster");
  const draw = () => {
    scene.poster ??= poster?.src;
    if (document.createElement("canvas").getContext("webgl2")) page = open(scene);
    else plain(scene);
    if (!page) poster?.remove();
    else if (poster) page.viewer.seen.push(() => poster.remove());
  };
  // The rest takes the browser a moment.
  if (poster) poster.decode().catch(() => {}).then(() => requestAnimationFrame(() => setTimeout(draw)));
  else draw();
}

function picked({ stage, views }, [x, y]) {
  const hit = stage.hit((2 * x) / innerWidth - 1, 1 - (2 * y) / innerHeight, views.camera);
  return hit && { piece: hit.piece, body: stage.bodies[hit.body].name, local: hit.local.toArray() };
}

// For those who embed the page, and for its tests.
window.foldstage = {
  /** Whether the spread is there; a page with a picture shows that first. */
  get ready() {
    return Boolean(page);
  },
  get opening() {
    return page.viewer.opening;
  },
  open: (opening) => page.viewer.choose(opening),
  play: () => page.viewer.play(),
  pause: () => page.viewer.pause(),
  settled: () => page.viewer.settled(),
  /** Resolves when all that has changed so far is seen, coarsely perhaps. */
  seenNow: () => page.viewer.seenNow(),
  /** How many pictures were drawn so far, in motion (`live`) and passes at rest; their pixels, those of
   * their shadow maps (`shades`), and what the device was asked to draw for them. */
  drawn: () => ({ ...page.viewer.studio.drawn }),
  poses: () => page.viewer.stage.poses(),
  /** Where a point of a page (side ±1, mm from gutter and foot) is in the window at an opening. */
  pagePoint: (side, x, y, opening = page.viewer.opening) =>
    page.viewer.projectScene(page.viewer.stage.pagePoint(side, { x, y, z: 0 }, opening)),
  /** How fine pictures in motion are drawn: the share of the window's pixels along each side. */
  get fineness() {
    return page.viewer.studio.share;
  },
  /** How many frames in motion were drawn so far. */
  frames: () => page.viewer.frames,
  view: () => page.viewer.views.pose,
  /** The part of the window that nothing covers, pixels. */
  area: () => page.viewer.area(),
  /** Where a point of the scene (mm) is in the window. */
  projectScene: (point) => page.viewer.projectScene(new Vector3(...point)),
  picture: () => page.savePicture(),
  /** Show a step of the building, from 0, as it stands after a share of its time. */
  stand: (step, share) => {
    page.viewer.stand(step, share);
    page.showStates();
  },
  /** Where all facets are that are seen, by number: column-major 4 × 4 matrices in the scene, mm. */
  facets: () => page.viewer.stage.facets(),
  /** Whether a step of the building moves, or all of them one after the other. */
  get walking() {
    return Boolean(page.viewer.walking);
  },
  record: (length) => page.record(length),
  /** Names of the pieces of which something is to be seen. */
  seen: () => page.viewer.stage.seen,
  /** Which piece is drawn at points of the window, and the rays on which they are seen. */
  drawnAt: (points) => drawnAt(points, page.viewer.studio, page.viewer.stage.pieces, page.viewer.views.camera),
  /** The paper that a hand would hold at points of the window: piece, body, local (mm); null for none. */
  pickedAt: (points) => points.map((point) => picked(page.viewer, point)),
  /** Move a flyleaf, wheel or slide, 0 to 1. */
  put: (name, share) => page.viewer.put(name, share),
  /** Where a point of the spread (mm, unlifted) is in the window. */
  project: (point) => page.viewer.project(point),
  /** What the ruler says, mm; null before two points are marked. */
  measured: () => page.look.ruler.distances,
  /** Where what is traced stands in the scene, by body. */
  traced: () => page.look.tracing.poses(),
  /** Areas of the faces of a level cut at a height over the table (mm), by piece, mm². */
  cut: (height) => {
    page.look.section.cut(height);
    return page.look.section.areas();
  },
  /** The closed spread at a height over the foot of the page: strips with their levels. */
  layers: (y) => layers(page.data, page.viewer.stage.motion, y),
  get shares() {
    return Object.fromEntries(page.viewer.stage.motion.shares);
  },
  /** Where a point of a body (mm, its own coordinates) is in the window. */
  bodyPoint: (name, point) => page.viewer.bodyPoint(name, point),
};
