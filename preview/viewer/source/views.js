// Where the camera stands: named views, framing, and the way from one to the other.
import { PerspectiveCamera, Vector3 } from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";

const RADIANS = Math.PI / 180;
// A long lens, as product photographers use: it keeps uprights upright.
const FIELD = 27;
const TRAVEL_MS = 700;
// Building is looked at from so high at least.
const LOOK_DEG = 32;
// Ends of the zoom, by the distance from which all is seen.
const NEAREST = 0.12;
const FARTHEST = 2.5;

export class Views {
  /**
   * @param changed called when the picture must be drawn again.
   * @param calm tells whether the reader wants no motion.
   */
  constructor(canvas, changed, calm) {
    this.camera = new PerspectiveCamera(FIELD, 1, 10, 5000);
    this.camera.up.set(0, 0, 1);
    this.points = [];
    this.named = new Map();
    this.changed = changed;
    this.calm = calm;
    this.name = "reader";
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.minPolarAngle = 0.001;
    this.controls.maxPolarAngle = 92 * RADIANS;
    this.controls.addEventListener("change", () => {
      this.clip();
      changed();
    });
    this.controls.addEventListener("start", () => {
      this.name = null;
      this.journey = null;
    });
  }

  /** @param area the free part of the window, pixels: left, top, width, height. */
  resize(width, height, area) {
    this.window = { width, height };
    this.area = area;
    const { camera } = this;
    camera.aspect = width / height;
    camera.setViewOffset(
      width,
      height,
      width / 2 - (area.left + area.width / 2),
      height / 2 - (area.top + area.height / 2),
      width,
      height,
    );
    if (this.name) this.jump(this.name);
    this.limit();
  }

  /** Zoom ends where paper shows its grain, and where the spread is lost on the table. */
  limit() {
    const { eye, target } = this.framing(this.named.values().next().value);
    const whole = eye.distanceTo(target);
    this.nearest = NEAREST * whole;
    this.farthest = FARTHEST * whole;
    this.controls.minDistance = this.nearest;
    this.controls.maxDistance = this.farthest;
  }

  /** What is drawn reaches from well before the target to well behind it. */
  clip() {
    const distance = this.camera.position.distanceTo(this.controls.target);
    this.camera.near = Math.max(5, distance * 0.2);
    this.camera.far = distance * 40;
    this.camera.updateProjectionMatrix();
  }

  /** Eye and target from which everything the spread reaches fits into the free area. */
  framing({ azimuth, elevation }) {
    const [a, e] = [azimuth * RADIANS, elevation * RADIANS];
    const back = new Vector3(Math.sin(a) * Math.cos(e), -Math.cos(a) * Math.cos(e), Math.sin(e));
    const right = new Vector3(Math.cos(a), Math.sin(a), 0);
    const up = back.clone().cross(right);
    const tall = Math.tan((FIELD / 2) * RADIANS);
    const high = (tall * this.area.height) / this.window.height;
    const wide = (tall * this.area.width) / this.window.height;
    const target = this.points.reduce((sum, p) => sum.add(p), new Vector3());
    target.divideScalar(this.points.length);
    let distance = 0;
    for (let round = 0; round < 3; round++) {
      const seen = this.points.map((p) => {
        const from = p.clone().sub(target);
        return [from.dot(right), from.dot(up), from.dot(back)];
      });
      distance = Math.max(
        ...seen.map(([x, y, z]) => Math.max(Math.abs(x) / wide, Math.abs(y) / high) + z),
      );
      // Middle of what is seen, by its outermost rays.
      const shifts = [0, 1].map((axis) => {
        const rays = seen.map((p) => p[axis] / (distance - p[2]));
        return ((Math.min(...rays) + Math.max(...rays)) / 2) * distance;
      });
      target.addScaledVector(right, shifts[0]).addScaledVector(up, shifts[1]);
    }
    return { eye: target.clone().addScaledVector(back, distance * 1.07), target };
  }

  jump(name) {
    this.camera.fov = FIELD;
    this.place(this.framing(this.named.get(name)));
    this.name = name;
  }

  /** Travel to a named view. */
  travel(name) {
    this.camera.fov = FIELD;
    this.go(this.framing(this.named.get(name)));
    this.name = name;
  }

  /** Stand where a camera of the film does, at once. */
  stand({ eye, target, field }) {
    this.widen(field);
    this.name = null;
    this.place({ eye: new Vector3(...eye), target: new Vector3(...target) });
  }

  /** See so much, degrees, from the top of the free area to its bottom. */
  widen(field) {
    const share = this.window.height / this.area.height;
    this.camera.fov = (2 * Math.atan(Math.tan((field / 2) * RADIANS) * share)) / RADIANS;
  }

  /** Travel to a camera of the film: its picture fills the free area from top to bottom. */
  film({ eye, target, field }) {
    this.widen(field);
    this.go({ eye: new Vector3(...eye), target: new Vector3(...target) });
  }

  /** Where the camera stands, mm, and what it sees from top to bottom of the free area, degrees. */
  get seen() {
    const share = this.area.height / this.window.height;
    const field = (2 * Math.atan(Math.tan((this.camera.fov / 2) * RADIANS) * share)) / RADIANS;
    return { eye: this.camera.position.toArray(), target: this.controls.target.toArray(), field };
  }

  /** Travel to an eye and a target, mm. */
  go(end) {
    this.name = null;
    if (this.calm()) {
      this.place(end);
      return;
    }
    const start = { eye: this.camera.position.clone(), target: this.controls.target.clone() };
    this.journey = { start, end, since: null };
    this.changed();
  }

  /** Travel to where points (mm) are all in the picture, from the side where the camera is. */
  look(points) {
    const all = this.points;
    this.points = points;
    const pose = polar(this.camera.position.clone().sub(this.controls.target));
    const azimuth = pose.azimuth / RADIANS + 90;
    const end = this.framing({ azimuth, elevation: Math.max(pose.elevation / RADIANS, LOOK_DEG) });
    this.points = all;
    this.go(end);
  }

  /** Look closely at a point from where the camera is. */
  approach(point) {
    const away = this.camera.position.clone().sub(this.controls.target);
    const distance = Math.max(away.length() * 0.55, 160);
    away.setLength(distance);
    this.go({ eye: point.clone().add(away), target: point.clone() });
  }

  /** Move on; true while on the way. */
  update(now) {
    if (!this.journey) return false;
    const { start, end } = this.journey;
    this.journey.since ??= now;
    const share = Math.min(1, (now - this.journey.since) / TRAVEL_MS);
    const eased = share * share * (3 - 2 * share);
    const target = start.target.clone().lerp(end.target, eased);
    const [from, to] = [start, end].map((pose) => polar(pose.eye.clone().sub(pose.target)));
    const turn = ((to.azimuth - from.azimuth + 3 * Math.PI) % (2 * Math.PI)) - Math.PI;
    const eye = fromPolar({
      azimuth: from.azimuth + turn * eased,
      elevation: from.elevation + (to.elevation - from.elevation) * eased,
      distance: from.distance * (to.distance / from.distance) ** eased,
    });
    if (share === 1) this.journey = null;
    this.place({ eye: eye.add(target), target }, this.journey);
    return this.journey !== null;
  }

  place({ eye, target }, journey = null) {
    this.journey = journey;
    this.camera.position.copy(eye);
    this.controls.target.copy(target);
    // A camera of the film may stand farther away than one would go by hand.
    const distance = eye.distanceTo(target);
    this.controls.minDistance = Math.min(this.nearest ?? 0, distance);
    this.controls.maxDistance = Math.max(this.farthest ?? Infinity, distance);
    this.clip();
    this.controls.update();
  }

  /** Turn about the target by keys, radians. */
  turn(azimuth, elevation) {
    const { target } = this.controls;
    const pose = polar(this.camera.position.clone().sub(target));
    pose.azimuth += azimuth;
    pose.elevation = Math.min(1.569, Math.max(-0.03, pose.elevation + elevation));
    this.name = null;
    this.place({ eye: fromPolar(pose).add(target), target: target.clone() });
  }

  zoom(factor) {
    const { target } = this.controls;
    const away = this.camera.position.clone().sub(target);
    const { minDistance, maxDistance } = this.controls;
    away.setLength(Math.min(Math.max(away.length() / factor, minDistance), maxDistance));
    this.name = null;
    this.place({ eye: away.add(target), target: target.clone() });
  }

  get pose() {
    return {
      name: this.name,
      eye: this.camera.position.toArray(),
      target: this.controls.target.toArray(),
    };
  }

  /** @param views name, azimuth from the reader's place and elevation, degrees. */
  setNamed(views) {
    this.named = new Map(views.map((view) => [view.name, view]));
  }

  set pose({ name, eye, target }) {
    if (name) this.jump(name);
    else this.place({ eye: new Vector3(...eye), target: new Vector3(...target) });
  }
}

function polar(away) {
  const distance = away.length();
  const flat = Math.hypot(away.x, away.y);
  return {
    azimuth: flat > 1e-3 * distance ? Math.atan2(away.y, away.x) : -Math.PI / 2,
    elevation: Math.atan2(away.z, flat),
    distance,
  };
}

function fromPolar({ azimuth, elevation, distance }) {
  const flat = distance * Math.cos(elevation);
  return new Vector3(flat * Math.cos(azimuth), flat * Math.sin(azimuth), distance * Math.sin(elevation));
}
