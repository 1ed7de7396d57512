// The paper drawer: a piece is taken out of it and laid on a crease or a facet that lights up.
import { ask } from "./ask.js";
import { element } from "./cards.js";
import { Lights } from "./lights.js";
import { Miniature } from "./miniature.js";

const STILL_PX = 6;
// How long a hand rests before what it holds is tried there.
const RESTS_MS = 180;
const GROUPS = { folded: "Folded paper", outlines: "Shapes to lay flat", drawings: "Drawn on paper" };

export class PaperDrawer {
  /** @param page asks ({ secret, edit … }), shows what is new ({ next }), tells ({ say, fail }). */
  constructor(page, works) {
    this.page = page;
    this.box = document.getElementById("paper");
    this.opener = document.getElementById("paper-open");
    this.opener.hidden = !works;
    if (!works) return;
    this.lights = new Lights(page.viewer);
    this.opener.addEventListener("click", () => this.open(this.box.hidden));
    this.ghost = element("div", { id: "ghost", "aria-hidden": "true", hidden: "" });
    document.body.append(this.ghost);
    this.canvas = page.viewer.canvas;
    document.addEventListener("pointerdown", (event) => this.pressed(event), { capture: true });
    this.canvas.addEventListener("pointermove", (event) => this.taken && this.over(event));
    document.addEventListener("keydown", (event) => this.key(event), { capture: true });
  }

  async open(open) {
    if (open) this.page.notebook.open(false);
    this.box.hidden = !open;
    this.opener.setAttribute("aria-expanded", open);
    if (!open) this.putBack();
    if (open && !this.filled) await this.fill();
    this.page.viewer.resize(); // the spread makes room
  }

  async fill() {
    this.filled = true;
    const { items } = await ask("/drawer", this.page.secret, {});
    for (const [group, title] of Object.entries(GROUPS)) {
      const own = items.filter((item) => item.group === group).map((item) => this.item(item));
      this.box.append(element("div", { role: "group", "aria-label": title }, element("h2", {}, title), ...own));
    }
  }

  item(entry) {
    const { kind, means } = entry;
    const item = element("button", { type: "button", class: "kind", "data-kind": kind, "aria-pressed": "false", title: means }, entry.group === "drawings" ? kind.replaceAll("-", " ") : kind);
    const picture = new Miniature(entry);
    item.prepend(picture.element);
    for (const [name, on] of [["pointerenter", true], ["focus", true], ["pointerleave", false], ["blur", false]])
      item.addEventListener(name, () => picture.play(on));
    item.addEventListener("pointerdown", (event) => this.drag(event, entry, item));
    // A key takes it up; then the arrows go from place to place.
    item.addEventListener("click", (event) => event.detail === 0 && this.take(entry, item, true));
    return item;
  }

  // ------------------------------------------------------------------ taken up

  /** Take a piece into the hand: what could carry it lights up. */
  async take(entry, item, keys = false) {
    this.putBack();
    const taken = { kind: entry.kind, item, keys, at: -1 };
    this.taken = taken;
    item.setAttribute("aria-pressed", "true");
    this.ghost.replaceChildren(item.firstChild.cloneNode(true), element("span", {}));
    try {
      const { places } = await ask("/places", this.page.secret, { kind: entry.kind });
      if (this.taken !== taken) return;
      this.lights.show(places);
      if (!places.length) this.page.say(`Nothing here can carry this: ${entry.kind}`);
      else if (keys) this.step(1);
    } catch (error) {
      this.page.fail(error.message);
    }
  }

  putBack() {
    if (!this.taken) return;
    clearTimeout(this.resting);
    this.taken.item.setAttribute("aria-pressed", "false");
    this.taken = null;
    this.ghost.hidden = true;
    this.ghost.className = "";
    this.lights.show([]);
  }

  /** Press and draw it out, or tap it first and then a place on the paper. */
  drag(event, entry, item) {
    if (event.button > 0) return;
    const again = this.taken?.item === item;
    const from = [event.clientX, event.clientY];
    let held = false;
    const move = (now) => {
      if (!held) {
        if (Math.hypot(now.clientX - from[0], now.clientY - from[1]) <= STILL_PX) return;
        held = true;
        item.setPointerCapture(event.pointerId);
        this.take(entry, item);
      }
      this.over(now);
    };
    const end = (now) => {
      for (const name of ["pointermove", "pointerup", "pointercancel"]) removeEventListener(name, listeners[name], true);
      if (now.type === "pointercancel") this.putBack();
      else if (held && this.taken) this.letGo(now);
      else if (held) return; // Escape has put it back
      else if (again) this.putBack();
      else {
        this.take(entry, item);
        this.page.say(`In your hand: ${entry.kind}. Lay it where the paper lights up`);
      }
    };
    const listeners = { pointermove: move, pointerup: end, pointercancel: end };
    const mine = (listener) => (now) => now.pointerId === event.pointerId && listener(now);
    for (const name of Object.keys(listeners)) {
      listeners[name] = mine(listeners[name]);
      addEventListener(name, listeners[name], true);
    }
  }

  /** A tap on the paper lays what was tapped in the drawer before. */
  pressed(event) {
    if (!this.taken || event.target !== this.canvas || event.button > 0) return;
    event.stopPropagation();
    event.preventDefault();
    this.letGo(event);
  }

  // ------------------------------------------------------------------ over the paper

  /** The paper under the hand, unless the hand is over something that lies on the picture. */
  under(event) {
    const over = document.elementFromPoint(event.clientX, event.clientY);
    return over?.id === "picture" ? this.page.hand.hit(event) : null;
  }

  where({ piece, body, local, seen }) {
    return { piece, body: this.page.viewer.stage.bodies[body].name, local: local.toArray(), seen };
  }

  over(event) {
    const { ghost } = this;
    ghost.hidden = false;
    Object.assign(ghost.style, { left: `${event.clientX}px`, top: `${event.clientY}px` });
    const hit = this.under(event);
    clearTimeout(this.resting);
    if (hit) this.resting = setTimeout(() => this.attempt(this.where(hit)), RESTS_MS);
    else this.tell("");
  }

  /** Try what is in the hand at a place, and say whether it fits there. */
  async attempt(where) {
    const { taken } = this;
    if (!taken || taken.trying) {
      if (taken) taken.next = where;
      return;
    }
    taken.trying = true;
    try {
      const question = { made: this.page.data.made, kind: taken.kind, ...where };
      const { table, reason } = await ask("/fits", this.page.secret, question);
      if (this.taken === taken && !taken.next) this.tell(table ? "finds" : "fails", table, reason);
    } catch (error) {
      if (this.taken === taken) this.page.fail(error.message);
    } finally {
      taken.trying = false;
      const { next } = taken;
      taken.next = null;
      if (next && this.taken === taken) this.attempt(next);
    }
  }

  /** What the ghost beside the hand says. */
  tell(how, table, reason = "") {
    this.ghost.className = how;
    this.lights.mean(table?.on);
    const words = table ? `fits on ${table.on}` : reason.split(": ")[0];
    this.ghost.lastChild.textContent = how ? words : "";
    if (this.taken?.keys && how) this.page.say(table ? `It ${words}. Enter lays it there.` : reason);
  }

  // ------------------------------------------------------------------ by keys

  key(event) {
    const { taken } = this;
    if (!taken) return;
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (event.key === "Escape") this.putBack();
    else if (!taken.keys) return;
    else if (step) this.step(step);
    else if (event.key === "Enter") this.layThere();
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  /** Go on to the next place that could take it. */
  step(by) {
    const { taken } = this;
    const { names } = this.lights;
    if (!names.length) return;
    taken.at = (taken.at + by + names.length) % names.length;
    const on = names[taken.at];
    this.lights.mean(on);
    this.page.say(`${on}, place ${taken.at + 1} of ${names.length}. Arrows: another one, Enter: lay it there, Escape: put it back.`);
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.attempt({ on }), RESTS_MS);
  }

  layThere() {
    const { kind, at, item } = this.taken;
    const on = this.lights.names[at];
    if (!on) return;
    this.putBack();
    this.lay(kind, { on });
    item.focus();
  }

  // ------------------------------------------------------------------ laid down

  letGo(event) {
    const { kind } = this.taken;
    const hit = this.under(event);
    this.putBack();
    if (hit) this.lay(kind, this.where(hit));
    else this.page.say("It went back into the drawer");
  }

  async lay(kind, where) {
    const { page } = this;
    const back = () => ask("/drop/back", page.secret, { page: page.desk.me }).catch((error) => page.fail(error.message));
    page.desk.tell("Trying where it fits …", element("button", { type: "button", onclick: back }, "Put it back"));
    try {
      const answer = await ask("/drop", page.secret, { made: page.data.made, page: page.desk.me, kind, ...where });
      page.heard(answer, [answer.name]);
      page.desk.away();
      page.say(`${answer.name} lies on the paper`);
    } catch (error) {
      page.desk.away();
      page.fail(error.message);
    }
  }
}
