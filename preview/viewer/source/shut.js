// The closed spread seen from its foot edge: which paper lies on which, at one height of the page.
import { Matrix4, Vector3 } from "three";

// So far is the book still open where the order of its layers is read: paper that touches when it is
// shut lies apart then, and in the same order.
const AJAR_DEG = 4;
// How finely it is looked at along the page, mm.
const STEP_MM = 1;
// Where paper is closer than this to other paper the book is opened further to tell them apart, mm.
const TOUCH_MM = 0.02;
const WIDEST_DEG = 16;

/**
 * The layers of the closed spread along a line across its pages.
 * @param y height over the foot of the page, mm.
 * @returns strips { name, piece, colour, from, to, level }: from and to in mm from the gutter, level
 *   0 on the left page; by level, then from the gutter outwards. `sure` is false if the order of two
 *   that touch could not be told.
 */
export function layers(data, motion, y) {
  const { width } = data.book;
  const [ajar, wide] = [AJAR_DEG, WIDEST_DEG].map((more) => motion.clamp(motion.first + more));
  const columns = columnsOf(crossings(data, motion, y, ajar), width);
  if (!columns.some(tight)) return { strips: stacked(columns), sure: true };
  const wider = columnsOf(crossings(data, motion, y, wide), width);
  return { strips: stacked(wider), sure: !wider.some(tight) };
}

/** Whether two bodies of a column are too near to each other to tell their order. */
function tight(column) {
  return column.some((one, k) => k && column[k - 1].body !== one.body && apart(column[k - 1], one) < TOUCH_MM);
}

/** Where a plane across the gutter cuts each facet: segments, and the angle of the left page. */
function crossings(data, motion, y, opening) {
  const matrices = data.bodies.map(() => new Matrix4());
  motion.turn(opening, matrices);
  const left = Math.PI - ((180 - opening) / 2) * (Math.PI / 180);
  const found = [];
  data.bodies.forEach(({ facets }, b) => {
    for (const facet of facets) {
      // A strip of curled paper is paper of its facet.
      const whole = facet.strip ? { ...facet, name: facet.strip } : facet;
      for (const [from, to] of cutRings(facet, matrices[b], y)) found.push({ facet: whole, body: b, left, normal: matrices[b], from, to });
    }
  });
  return found;
}

/** Segments in which a level y cuts a facet, by the even-odd rule along the line. */
function cutRings({ rings }, matrix, y) {
  const meets = [];
  for (const ring of rings) {
    const points = [];
    // In the plane of its body: what is glued on lies there, and its height tells the rest.
    for (let k = 0; k < ring.length; k += 2) points.push(new Vector3(ring[k], ring[k + 1], 0).applyMatrix4(matrix));
    points.forEach((from, k) => {
      const to = points[(k + 1) % points.length];
      if (from.y > y !== to.y > y) meets.push(from.clone().lerp(to, (y - from.y) / (to.y - from.y)));
    });
  }
  if (meets.length < 2) return [];
  const way = meets.reduce((far, one) => (one.distanceTo(meets[0]) > far.distanceTo(meets[0]) ? one : far)).clone().sub(meets[0]);
  meets.sort((one, two) => one.dot(way) - two.dot(way));
  return meets.flatMap((one, k) => (k % 2 ? [[meets[k - 1], one]] : []));
}

/** At each place along the page, what is met from the left page to the right one. */
function columnsOf(cuts, width) {
  const columns = [];
  for (let r = STEP_MM / 2; r < width + 40; r += STEP_MM) {
    const column = cuts.flatMap((cut) => anglesAt(cut, r).map((at) => ({ ...cut, at, r })));
    columns.push(byHeight(column));
  }
  return columns;
}

/** The angles from the left page, radians, at which a straight cut is met so far from the gutter. */
function anglesAt({ left, from, to }, r) {
  const [dx, dz] = [to.x - from.x, to.z - from.z];
  const a = dx * dx + dz * dz;
  const half = from.x * dx + from.z * dz;
  const root = half * half - a * (from.x * from.x + from.z * from.z - r * r);
  if (a === 0 || root < 0) return [];
  return [-Math.sqrt(root), Math.sqrt(root)]
    .map((way) => (way - half) / a)
    .filter((share) => share >= 0 && share <= 1)
    .map((share) => left - Math.atan2(from.z + share * dz, from.x + share * dx));
}

/** What is glued together lies at one angle; its height over the plane of its body is the order. */
function byHeight(column) {
  return column.sort((one, two) => (one.body === two.body && Math.abs(one.at - two.at) < 1e-6 ? heightOf(one) - heightOf(two) : one.at - two.at));
}

/** Height over the plane of its body, counted from the left page to the right one. */
function heightOf({ normal, facet: { z }, from, to }) {
  const [nx, nz] = [normal.elements[8], normal.elements[10]];
  // The way in which the angle grows, across the line from the gutter to the middle of the paper.
  return z * Math.sign(nx * (from.z + to.z) - nz * (from.x + to.x));
}

function apart(one, two) {
  return (two.at - one.at) * one.r;
}

/** Strips from columns: each facet at one level, over all that lies under it anywhere. */
function stacked(columns) {
  const strips = new Map();
  const under = new Map();
  columns.forEach((column) => {
    column.forEach(({ facet, r }, k) => {
      const strip = strips.get(facet.name) ?? { name: facet.name, piece: facet.piece, colour: facet.front, caliper: facet.caliper, from: r, to: r };
      strip.from = Math.min(strip.from, r - STEP_MM / 2);
      strip.to = Math.max(strip.to, r + STEP_MM / 2);
      strips.set(facet.name, strip);
      if (!under.has(facet.name)) under.set(facet.name, new Set());
      if (k && column[k - 1].facet.name !== facet.name) under.get(facet.name).add(column[k - 1].facet.name);
    });
  });
  const level = new Map();
  const levelOf = (name, seen) => {
    if (level.has(name)) return level.get(name);
    if (seen.has(name)) return 0; // paper that winds round other paper: it is named once
    const below = [...under.get(name)].map((other) => levelOf(other, new Set([...seen, name])) + 1);
    level.set(name, Math.max(0, ...below));
    return level.get(name);
  };
  for (const name of strips.keys()) levelOf(name, new Set());
  const found = [...strips.values()].map((strip) => ({ ...strip, level: level.get(strip.name) }));
  return found.sort((one, two) => one.level - two.level || one.from - two.from);
}

/** The height over the foot at which most layers lie on each other, mm. */
export function thickest(data, motion) {
  let [best, most] = [data.book.height / 2, 0];
  for (let y = 5; y < data.book.height; y += 10) {
    const { strips } = layers(data, motion, y);
    const count = strips.length ? strips.at(-1).level : 0;
    if (count > most) [best, most] = [y, count];
  }
  return best;
}
