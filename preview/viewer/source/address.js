// The address keeps where one stands: opening, camera and what a hand has moved, after the #.
const REST_MS = 400;
const HAND = "hand.";

export class Address {
  /** @param viewer what is kept. */
  constructor(viewer) {
    this.viewer = viewer;
    addEventListener("hashchange", () => this.apply());
  }

  get words() {
    return new URLSearchParams(location.hash.slice(1));
  }

  /** Stand where the address says; whether it says at which opening. */
  apply() {
    const { words, viewer } = this;
    const { views, stage } = viewer;
    for (const [key, value] of words) {
      const name = key.slice(HAND.length);
      const share = parseFloat(value);
      if (key.startsWith(HAND) && stage.motion.shares.has(name) && share >= 0 && share <= 1) viewer.put(name, share);
    }
    const opening = parseFloat(words.get("opening"));
    if (Number.isFinite(opening)) {
      viewer.pause();
      viewer.setOpening(opening);
    }
    const [eye, target, [field]] = ["eye", "target", "field"].map((key) => numbers(words.get(key)));
    const camera = views.named.get(words.get("view"));
    if (camera) views.jump(camera.name);
    else if (eye.length === 3 && target.length === 3 && field > 1 && field < 120 && eye.some((x, k) => x !== target[k])) views.stand({ eye, target, field });
    return Number.isFinite(opening);
  }

  /** From now on, write down where one stands whenever all has come to rest. */
  follow() {
    this.viewer.seen.push(() => {
      clearTimeout(this.waiting);
      this.waiting = setTimeout(() => this.write(), REST_MS);
    });
  }

  write() {
    const { viewer, words } = this;
    if (viewer.playing || viewer.fixed) return;
    for (const key of [...words.keys()]) if (key.startsWith(HAND) || ["opening", "view", "eye", "target", "field"].includes(key)) words.delete(key);
    const { eye, target, field, opening, shares } = viewer.standing;
    words.set("opening", shortly(opening));
    if (viewer.views.name) words.set("view", viewer.views.name);
    else {
      words.set("eye", eye.map(shortly).join());
      words.set("target", target.map(shortly).join());
      words.set("field", shortly(field));
    }
    for (const [name, share] of Object.entries(shares)) words.set(HAND + name, shortly(share));
    const text = `#${words}`.replaceAll("%2C", ",").replace(/=(?=&|$)/g, "");
    try {
      if (text !== location.hash) history.replaceState(history.state, "", text);
    } catch {
      // A page that is shown within another may not change its address; then it keeps none.
    }
  }
}

function numbers(text) {
  return (text ?? "").split(",").map(parseFloat).filter(Number.isFinite);
}

function shortly(value) {
  return String(Math.round(value * 100) / 100);
}
