// How a spread is built, as motion: where all paper is at any moment of a step.
import { Matrix4, Quaternion, Vector3 } from "three";

const ONE = new Vector3(1, 1, 1);

export class Course {
  /** @param steps each with moves; see preview/viewer/course.py. */
  constructor(steps) {
    this.steps = steps;
    this.low = new Quaternion();
    this.high = new Quaternion();
  }

  /** The move of a step after a share of its time, and how much of that move is over. */
  moment(number, share) {
    const { moves } = this.steps[number];
    let left = share * moves.reduce((sum, { weight }) => sum + weight, 0);
    for (const move of moves) {
      if (left <= move.weight || move === moves.at(-1)) return { move, share: Math.min(1, left / move.weight) };
      left -= move.weight;
    }
    return null;
  }

  /**
   * What is where: opening (degrees), lying (which half does), book (sheets that go with it), and for
   * all other facets, by number, a matrix in the scene.
   */
  at(number, time) {
    const { move, share } = this.moment(number, time);
    const { lying } = this.steps[number];
    const [key, part] = between(share, move.openings.length);
    const opening = move.openings[key] + part * (move.openings[key + 1] - move.openings[key]);
    const posed = new Map();
    for (const [facet, x, y, z, w, ...place] of move.out) {
      posed.set(facet, new Matrix4().compose(new Vector3(...place), new Quaternion(x, y, z, w).normalize(), ONE));
    }
    for (const group of move.go) {
      const carried = this.carried(group, share);
      for (const facet of group.parts) posed.get(facet).premultiply(carried);
    }
    return { move, opening, lying, book: new Set(move.book), posed };
  }

  /** How far a group that moves as one has come. */
  carried({ middle, keys }, share) {
    const [key, part] = between(share, keys.length);
    this.low.fromArray(keys[key]).normalize();
    this.high.fromArray(keys[key + 1]).normalize();
    const [from, to] = [keys[key], keys[key + 1]].map((row) => new Vector3(...row.slice(4)));
    const place = from.lerp(to, part).add(new Vector3(...middle));
    const turn = new Matrix4().compose(place, this.low.slerp(this.high, part), ONE);
    return turn.multiply(new Matrix4().makeTranslation(...middle.map((value) => -value)));
  }
}

/** The key before a share of the time, and how far it is to the next. */
function between(share, count) {
  const at = Math.min(share, 1) * (count - 1);
  const key = Math.min(Math.floor(at), count - 2);
  return [key, at - key];
}
