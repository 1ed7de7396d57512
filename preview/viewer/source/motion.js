// The motion of a spread: key poses from the solver and what lies between them, and the parts that
// a hand moves. The arithmetic is that of meshes/drive.py.
import { Matrix4, Quaternion, Vector3 } from "three";

import { Rolls } from "./rolls.js";

const RADIANS = Math.PI / 180;
const ONE = new Vector3(1, 1, 1);

/** Numbers that came as base64 of little-endian 32-bit floats. */
export function floats(text) {
  const letters = atob(text);
  const bytes = new Uint8Array(letters.length);
  for (let k = 0; k < letters.length; k++) bytes[k] = letters.charCodeAt(k);
  return new Float32Array(bytes.buffer);
}

/** Bodies between two neighbouring leaves, posed by the opening of these two. */
class Wedge {
  /** @param packed bodies and folds (numbers in the spread), and keys, each array in base64. */
  constructor({ bodies, folds, openings, quaternions, translations, angles }) {
    this.bodies = bodies;
    this.folds = folds;
    this.openings = floats(openings);
    this.quaternions = floats(quaternions);
    this.translations = floats(translations);
    this.angles = floats(angles);
    this.low = new Quaternion();
    this.high = new Quaternion();
    this.from = new Vector3();
    this.to = new Vector3();
  }

  get first() {
    return this.openings[0];
  }

  get last() {
    return this.openings[this.openings.length - 1];
  }

  /** Find the key before an opening, and how far the opening lies on the way to the next, 0 to 1. */
  turn(opening) {
    const own = Math.min(Math.max(opening, this.first), this.last);
    let low = 0;
    let high = this.openings.length - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (this.openings[middle] <= own) low = middle;
      else high = middle;
    }
    this.key = low;
    this.share = (own - this.openings[low]) / (this.openings[high] - this.openings[low]);
  }

  /** Pose of the nth body: turn at constant speed about one axis, origin on a straight line. */
  pose(n, matrix) {
    const count = this.bodies.length;
    const k = this.key * count + n;
    this.low.fromArray(this.quaternions, 4 * k);
    this.high.fromArray(this.quaternions, 4 * (k + count));
    this.from.fromArray(this.translations, 3 * k);
    this.to.fromArray(this.translations, 3 * (k + count));
    this.low.slerp(this.high, this.share);
    return matrix.compose(this.from.lerp(this.to, this.share), this.low, ONE);
  }

  /** Angle of the nth fold, degrees: mountain positive, valley negative. */
  angle(n) {
    const count = this.folds.length;
    const before = this.angles[this.key * count + n];
    return before + this.share * (this.angles[(this.key + 1) * count + n] - before);
  }
}

export class Motion {
  /** @param data wedges, hands, curl and least (degrees that leaves keep apart), see the payload. */
  constructor({ wedges, hands, least, bodies, folds, curl }) {
    this.rolls = curl ? new Rolls(curl, bodies.length - curl.strips.length) : null;
    this.wedges = wedges.map((packed) => new Wedge(packed));
    this.least = least;
    this.hands = hands;
    this.flyleaves = hands.filter((hand) => hand.kind === "flyleaf");
    this.carriers = hands
      .filter((hand) => hand.kind !== "flyleaf")
      .map((hand) => ({
        ...hand,
        laid: new Matrix4().fromArray(hand.laid),
        freed: new Matrix4().fromArray(hand.freed),
      }));
    this.riding = new Set(this.carriers.flatMap((carrier) => carrier.riders));
    this.shares = new Map(hands.map((hand) => [hand.name, hand.rest]));
    this.matrices = bodies.map(() => new Matrix4());
    this.foldHome = folds.map((_, h) => home(this.wedges, h));
    this.aside = new Matrix4();
    this.carry = new Matrix4();
    this.move = new Matrix4();
    this.findLimits();
  }

  /** Put a part that a hand moves at a share of its way, 0 to 1; leaves can't pass each other. */
  put(name, share) {
    const k = this.flyleaves.findIndex((leaf) => leaf.name === name);
    const beside = (n) => this.shares.get(this.flyleaves[n]?.name);
    const low = k > 0 ? beside(k - 1) : 0;
    const high = k >= 0 ? (beside(k + 1) ?? 1) : 1;
    this.shares.set(name, Math.min(Math.max(share, low), high));
    if (k >= 0) this.findLimits();
  }

  /** The openings that all wedges can follow, the leaves being where they are. */
  findLimits() {
    const [only] = this.wedges;
    this.first = only.first;
    this.last = only.last;
    if (this.wedges.length === 1) return;
    const near = 0.01;
    const follows = (opening) => {
      const sides = this.sides(opening);
      return this.wedges.every((wedge, w) => {
        const own = sides[w + 1] - sides[w];
        return own > wedge.first - near && own < wedge.last + near;
      });
    };
    const ways = Array.from({ length: 181 }, (_, opening) => follows(opening));
    this.first = Math.max(0, ways.indexOf(true));
    const stop = ways.indexOf(false, this.first);
    this.last = stop < 0 ? 180 : stop - 1;
  }

  /** The nearest opening that the spread can reach, degrees. */
  clamp(opening) {
    return Math.min(Math.max(opening, this.first), this.last);
  }

  /** Where both pages and the leaves between stand, degrees from the left page. */
  sides(opening) {
    const turned = [0, ...this.flyleaves.map(({ name }) => this.shares.get(name)), 1];
    const apart = Math.min(this.least, opening / this.wedges.length);
    const room = opening - apart * this.wedges.length;
    const sides = [0];
    this.wedges.forEach((_, w) => sides.push(sides[w] + apart + (turned[w + 1] - turned[w]) * room));
    return sides;
  }

  /** Pose all bodies at an opening, degrees; returns a matrix for each. */
  turn(opening, matrices = this.matrices) {
    const sides = this.sides(opening);
    this.wedges.forEach((wedge, w) => {
      wedge.turn(sides[w + 1] - sides[w]);
      this.aside.makeRotationY(((sides[w] + sides[w + 1] - opening) / 2) * RADIANS);
      wedge.bodies.forEach((b, n) => {
        wedge.pose(n, matrices[b]);
        if (this.flyleaves.length && !this.riding.has(b)) matrices[b].premultiply(this.aside);
      });
    });
    for (const carrier of this.carriers) {
      const { host, laid, freed, riders } = carrier;
      this.carry.copy(matrices[host]).multiply(laid).multiply(this.moved(carrier)).multiply(freed);
      for (const b of riders) matrices[b].premultiply(this.carry);
    }
    this.roll(opening, matrices);
    return matrices;
  }

  /** Place what is curled, once the bodies that it follows stand at an opening, degrees. */
  roll(opening, matrices) {
    if (!this.rolls) return;
    const sides = this.sides(opening);
    const own = this.wedges.map((_, w) => sides[w + 1] - sides[w]);
    this.rolls.turn(own, this.shares, matrices);
  }

  /** The hand's move in the coordinates of the sheet that is moved. */
  moved({ name, kind, reach, axis: [x, y] }) {
    const way = this.shares.get(name) * reach;
    if (kind === "slide") return this.move.makeTranslation(way * x, way * y, 0);
    const [c, s] = [Math.cos(way), Math.sin(way)];
    return this.move.makeRotationZ(way).setPosition(x - (c * x - s * y), y - (s * x + c * y), 0);
  }

  /** Angle of fold h at the opening that was turned to last, degrees; NaN where it has none. */
  angle(h) {
    const at = this.foldHome[h];
    return at ? this.wedges[at[0]].angle(at[1]) : NaN;
  }
}

function home(wedges, fold) {
  const w = wedges.findIndex((wedge) => wedge.folds.includes(fold));
  return w < 0 ? null : [w, wedges[w].folds.indexOf(fold)];
}

/** A point of the right (+1) or left (-1) page at an opening: x runs out from the gutter. */
export function onPage(side, x, y, z, opening, target) {
  const tilt = ((180 - opening) / 2) * RADIANS;
  const c = Math.cos(tilt);
  const s = Math.sin(tilt);
  return target.set(side * (x * c - z * s), y, x * s + z * c);
}
