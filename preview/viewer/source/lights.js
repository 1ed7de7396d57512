// Places that could take a piece of the drawer light up on the paper, and go along with it.
import { Vector3 } from "three";

const SPACE = "http://www.w3.org/2000/svg";

export class Lights {
  constructor(viewer) {
    this.viewer = viewer;
    this.box = document.getElementById("lights");
    this.places = [];
    viewer.seen.push(() => this.follow());
  }

  /** Light up creases and facets: each with `on`, `body` and, for a crease, its `line`; or none. */
  show(places) {
    const { stage } = this.viewer;
    const facets = new Map(stage.data.bodies.flatMap(({ facets: own }, b) => own.map((facet) => [facet.name, { facet, b }])));
    const number = new Map(stage.data.bodies.map(({ name }, b) => [name, b]));
    this.places = places.flatMap((place) => {
      const shape = document.createElementNS(SPACE, place.line ? "polyline" : "polygon");
      const own = place.line ? { b: number.get(place.body) } : facets.get(place.on);
      if (own?.b === undefined) return []; // the page shows an older text
      const points = place.line ? place.line.map(([x, y]) => new Vector3(x, y, 0)) : corners(own.facet);
      return [{ on: place.on, body: own.b, points, shape }];
    });
    this.box.replaceChildren(...this.places.map(({ shape }) => shape));
    this.box.toggleAttribute("hidden", !this.places.length);
    this.follow();
    this.viewer.request();
  }

  /** Which one is meant now, by the name of its crease or facet; none if nothing is. */
  mean(on) {
    for (const { on: name, shape } of this.places) shape.classList.toggle("meant", name === on);
  }

  get names() {
    return this.places.map(({ on }) => on);
  }

  follow() {
    if (!this.places.length) return;
    const { stage } = this.viewer;
    for (const { body, points, shape } of this.places) {
      const seen = points.map((point) => this.viewer.projectScene(stage.bodyPoint(body, point)));
      shape.setAttribute("points", seen.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" "));
    }
  }
}

/** The outline of a facet, in the coordinates of its body. */
function corners({ rings: [outline], z }) {
  const found = [];
  for (let k = 0; k < outline.length; k += 2) found.push(new Vector3(outline[k], outline[k + 1], z));
  return found;
}
