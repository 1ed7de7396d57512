// Curled paper: strips that follow the body of their facet. The arithmetic is that of
// meshes/curl/roll.py.
import { Matrix4, Vector3 } from "three";

export class Rolls {
  /**
   * @param curl openings (degrees), shares (for each entry one at each opening), the wedge of each
   *   entry, caps that hands set (over openings, and places on their way), and strips.
   * @param first the number of the first strip among the bodies; the others follow it.
   */
  constructor({ openings, shares, wedges, caps, strips }, first) {
    this.openings = openings;
    this.shares = shares;
    this.wedges = wedges;
    this.caps = caps;
    this.first = first;
    this.strips = strips.map((strip) => new Strip(strip));
  }

  /** The body whose flat coordinates those of a body are: its own, but for a strip. */
  flat(body) {
    return this.strips[body - this.first]?.body ?? body;
  }

  /**
   * Place the strips by the poses of the bodies that they follow.
   *
   * @param own how far each wedge is open, degrees.
   * @param hands how far each wheel or slide is moved, 0 to 1, by name.
   */
  turn(own, hands, matrices) {
    const shares = this.shares.map((known, k) => between(this.openings, known, own[this.wedges[k]]));
    for (const { entry, hand, openings, places, most } of this.caps) {
      // A wheel that has turned round is where it was.
      const place = hands.get(hand) % places[places.length - 1] || hands.get(hand);
      const rows = most.map((row) => between(places, row, place));
      shares[entry] = Math.min(shares[entry], between(openings, rows, own[this.wedges[entry]]));
    }
    this.strips.forEach((strip, k) => {
      strip.bend(shares[strip.entry], matrices[this.first + k]);
      matrices[this.first + k].premultiply(matrices[strip.body]);
    });
  }

  /** Let light run smoothly over the strips as they are placed now, or as they are while flat. */
  shade(meshes, flat) {
    for (const mesh of meshes) {
      const strip = this.strips[mesh.userData.body - this.first];
      const turned = flat ? 0 : strip?.turned;
      strip?.shade(mesh.geometry, turned);
      if (mesh.userData.plain) strip?.shade(mesh.userData.plain.faces, turned);
    }
  }
}

class Strip {
  /** @param packed body, entry, place, width and radius (mm), frame (by columns) and origin. */
  constructor({ body, entry, place, width, radius, frame, origin }) {
    this.body = body;
    this.entry = entry;
    this.place = place;
    this.width = width;
    this.radius = radius;
    this.along = new Vector3().fromArray(frame, 0);
    this.across = new Vector3().fromArray(frame, 3);
    this.up = new Vector3().fromArray(frame, 6);
    this.origin = new Vector3().fromArray(origin);
    this.flat = new Matrix4().makeBasis(this.along, this.across, this.up).setPosition(this.origin).invert();
    this.turned = 0;
    this.shaded = new WeakMap();
  }

  /** The move from the flat sheet to a share of the curl, in coordinates of the body. */
  bend(share, matrix) {
    const { along, across, up, place, width } = this;
    this.turned = 2 * Math.asin(Math.min((share * width) / this.radius / 2, 1));
    const angle = (place + 0.5) * this.turned;
    const half = (place * this.turned) / 2;
    const ratio = this.turned > 1e-9 ? Math.sin(half) / Math.sin(this.turned / 2) : place;
    const out = across.clone().multiplyScalar(Math.cos(angle)).addScaledVector(up, Math.sin(angle));
    const top = up.clone().multiplyScalar(Math.cos(angle)).addScaledVector(across, -Math.sin(angle));
    const border = this.origin
      .clone()
      .addScaledVector(across, width * ratio * Math.cos(half))
      .addScaledVector(up, width * ratio * Math.sin(half))
      .addScaledVector(out, -place * width);
    return matrix.makeBasis(along, out, top).setPosition(border).multiply(this.flat);
  }

  /** Tilt normals so that those of two strips agree where they meet. */
  shade(geometry, turned) {
    const known = this.shaded.get(geometry);
    if (known?.turned === turned) return;
    const normals = geometry.getAttribute("normal");
    const flat = known?.flat ?? normals.array.slice();
    this.shaded.set(geometry, { turned, flat });
    const places = geometry.getAttribute("position");
    const point = new Vector3();
    const normal = new Vector3();
    const axis = this.along.clone();
    // Turned about `along`, `across` goes to `up` only in a right-handed frame.
    const way = Math.sign(axis.clone().cross(this.across).dot(this.up));
    for (let k = 0; k < normals.count; k++) {
      const beyond = point.fromBufferAttribute(places, k).sub(this.origin).dot(this.across);
      const share = Math.min(Math.max(beyond / this.width - this.place, 0), 1);
      normal.fromArray(flat, 3 * k).applyAxisAngle(axis, way * (share - 0.5) * turned);
      normals.setXYZ(k, normal.x, normal.y, normal.z);
    }
    normals.needsUpdate = true;
  }
}

/** A value between known ones; beyond them the nearest. */
function between(places, values, place) {
  if (!places.length) return 0;
  let high = places.findIndex((known) => known >= place);
  if (high < 0) high = places.length - 1;
  if (high === 0) return values[0];
  const share = Math.min((place - places[high - 1]) / (places[high] - places[high - 1]), 1);
  return values[high - 1] + share * (values[high] - values[high - 1]);
}
