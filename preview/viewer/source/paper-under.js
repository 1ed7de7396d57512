// The paper under a point of the window: which facet, which of its sides, and where on its sheet.
import { Vector3 } from "three";

// Paper that is seen from its edge is not worked on: the sine of the angle.
const LEAST_TILT = 0.08;

/** The facet that a hit lies on and the place on its sheet, mm; null if none does. */
export function sheetPoint(stage, { piece, body, local }) {
  let best = null;
  for (const facet of stage.data.bodies[body]?.facets ?? []) {
    if (facet.piece !== piece) continue;
    const away = (insideRings(facet.rings, local) ? 0 : 1000) + Math.abs(facet.z - local.z);
    if (!best || away < best.away) best = { facet, away };
  }
  if (!best) return null;
  const [a, b, c, d, x0, y0] = best.facet.placed;
  const [u, v] = [local.x - x0, local.y - y0];
  return { facet: best.facet, place: [a * u + c * v, b * u + d * v] };
}

/** From which side of its body's plane paper is seen: 1 from where its z points to, else -1. */
export function seenFrom(viewer, { body, local }) {
  return away(viewer, body, local) > 0 ? 1 : -1;
}

/** Whether the side of a facet that a print lies on is seen, and not from its edge. */
export function facing(viewer, { facet, body, print }) {
  const [, , , , x, y] = facet.placed;
  return away(viewer, body, new Vector3(x, y, facet.z)) * print.side * facet.up > LEAST_TILT;
}

/** The cosine of the angle between a body's z and the way to the eye. */
function away(viewer, body, local) {
  const { stage, views } = viewer;
  const place = stage.bodyPoint(body, local.clone());
  const normal = new Vector3(0, 0, 1).transformDirection(stage.motion.matrices[body]);
  return views.camera.position.clone().sub(place).normalize().dot(normal);
}

/** What the server is told of paper under the hand. */
export function spotOf(viewer, hit) {
  const { name } = viewer.stage.data.bodies[hit.body];
  return { piece: hit.piece, body: name, local: hit.local.toArray(), seen: seenFrom(viewer, hit) };
}

/** The middle of the facet of a piece that shows most of itself, as a hit; null if none is seen. */
export function middleOf(viewer, piece) {
  let best = null;
  viewer.stage.data.bodies.forEach(({ facets }, body) => {
    for (const facet of facets) {
      if (facet.piece !== piece) continue;
      const local = inner(facet);
      const size = areaOf(facet.rings[0]) * Math.abs(away(viewer, body, local));
      const point = viewer.stage.bodyPoint(body, local);
      if (!best || size > best.size) best = { piece, body: viewer.stage.flatBody(body), local, size, point };
    }
  });
  return best;
}

/** A point inside a facet: the middle of its widest cut across. */
function inner({ rings, z }) {
  const ys = rings[0].filter((_, k) => k % 2);
  const [low, high] = [Math.min(...ys), Math.max(...ys)];
  let best = { width: -1, x: rings[0][0], y: rings[0][1] };
  for (let k = 1; k < 12; k += 1) {
    const y = low + ((high - low) * k) / 12;
    const xs = rings.flatMap((ring) => crossings(ring, y)).sort((one, two) => one - two);
    for (let j = 0; j + 1 < xs.length; j += 2) {
      const width = (xs[j + 1] - xs[j]) * (1 - Math.abs(k - 6) / 12);
      if (width > best.width) best = { width, x: (xs[j] + xs[j + 1]) / 2, y };
    }
  }
  return new Vector3(best.x, best.y, z);
}

function crossings(ring, y) {
  const found = [];
  for (let k = 0, j = ring.length - 2; k < ring.length; j = k, k += 2) {
    const [x1, y1, x2, y2] = [ring[j], ring[j + 1], ring[k], ring[k + 1]];
    if (y1 > y !== y2 > y) found.push(((x2 - x1) * (y - y1)) / (y2 - y1) + x1);
  }
  return found;
}

function insideRings(rings, { x, y }) {
  return rings.flatMap((ring) => crossings(ring, y)).filter((cut) => cut > x).length % 2 === 1;
}

function areaOf(ring) {
  let twice = 0;
  for (let k = 0, j = ring.length - 2; k < ring.length; j = k, k += 2) twice += ring[j] * ring[k + 1] - ring[k] * ring[j + 1];
  return Math.abs(twice) / 2;
}
