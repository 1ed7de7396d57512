// The motion of a spread: key poses from the solver and what lies between them.
import { Quaternion, Vector3 } from "three";

const RADIANS = Math.PI / 180;

/** Numbers that came as base64 of little-endian 32-bit floats. */
export function floats(text) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  return new Float32Array(bytes.buffer);
}

export class Motion {
  /**
   * @param keys openings (degrees, K), quaternions (K·B·4), translations (K·B·3, mm) and angles
   *   (degrees, K·H), each in base64.
   */
  constructor(keys, bodies, folds) {
    this.openings = floats(keys.openings);
    this.quaternions = floats(keys.quaternions);
    this.translations = floats(keys.translations);
    this.foldAngles = floats(keys.angles);
    this.bodies = bodies;
    this.folds = folds;
    this.low = new Quaternion();
    this.high = new Quaternion();
    this.place = new Vector3();
  }

  get first() {
    return this.openings[0];
  }

  get last() {
    return this.openings[this.openings.length - 1];
  }

  /** The nearest opening that the spread can reach, degrees. */
  clamp(opening) {
    return Math.min(Math.max(opening, this.first), this.last);
  }

  /** The key before an opening and how far the opening lies on the way to the next, 0 to 1. */
  bracket(opening) {
    let low = 0;
    let high = this.openings.length - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (this.openings[middle] <= opening) low = middle;
      else high = middle;
    }
    return [low, (opening - this.openings[low]) / (this.openings[high] - this.openings[low])];
  }

  /** Pose of body b: turn at constant speed about one axis, origin on a straight line. */
  pose(b, [k, share], quaternion, position) {
    const turn = (k * this.bodies + b) * 4;
    const shift = (k * this.bodies + b) * 3;
    this.low.fromArray(this.quaternions, turn);
    this.high.fromArray(this.quaternions, turn + this.bodies * 4);
    quaternion.slerpQuaternions(this.low, this.high, share);
    position.fromArray(this.translations, shift);
    position.lerp(this.place.fromArray(this.translations, shift + this.bodies * 3), share);
  }

  /** Angle of fold h, degrees: mountain positive, valley negative. */
  angle(h, [k, share]) {
    const before = this.foldAngles[k * this.folds + h];
    return before + share * (this.foldAngles[(k + 1) * this.folds + h] - before);
  }
}

/** A point of the right (+1) or left (-1) page at an opening: x runs out from the gutter. */
export function onPage(side, x, y, z, opening, target) {
  const tilt = ((180 - opening) / 2) * RADIANS;
  const c = Math.cos(tilt);
  const s = Math.sin(tilt);
  return target.set(side * (x * c - z * s), y, x * s + z * c);
}
