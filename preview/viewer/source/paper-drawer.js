// The paper drawer: a piece of every kind is drawn out of it and laid on a crease or a facet.
import { ask } from "./ask.js";
import { element } from "./cards.js";

const STILL_PX = 6;
// Each kind in a few strokes, as it stands on the open spread.
const DRAWN = {
  "v-fold": "M4 26 20 32 36 26M20 32V6L6 18l-2 8M20 6l14 12 2 8",
  blossom: "M20 30 8 24l4-9 8 5 8-5 4 9zM20 20v10M12 15l8-6 8 6M20 9v11",
  tent: "M5 30h30M10 30 20 10l10 20M20 10l6-3 9 23",
  box: "M8 16 20 10l12 6v12l-12 6-12-6zM8 16l12 6 12-6M20 22v12",
  carrier: "M4 30h32M8 30V16h16v14M24 16h9v5",
  strap: "M4 31h32M7 31q4-22 13-22t13 22M20 9v7",
  zigzag: "M20 34V6M20 6 7 13l13 5L7 24l13 6M20 6l13 7-13 5 13 6-13 6",
  wheel: "M20 7a13 13 0 1 0 .1 0zM20 20h.1M20 7v6M33 20h-6M20 33v-6M7 20h6",
  slide: "M6 14h22v12H6zM28 18h8v4h-8M11 20h12m-4-3 4 3-4 3",
  flat: "M6 24q2-12 14-12t14 10-14 10T6 24z",
  flyleaf: "M20 34V8M20 8q9-4 16 2v23q-8-5-16 1M4 30l16 4",
};

export class PaperDrawer {
  /** @param page asks ({ secret, edit … }), shows what is new ({ next }), tells ({ say, fail }). */
  constructor(page, kinds) {
    this.page = page;
    this.box = document.getElementById("paper");
    this.opener = document.getElementById("paper-open");
    this.opener.hidden = !kinds;
    if (!kinds) return;
    this.box.replaceChildren(...kinds.map((kind) => this.item(kind)));
    this.opener.addEventListener("click", () => this.open(this.box.hidden));
    this.ghost = element("div", { id: "ghost", "aria-hidden": "true", hidden: "" });
    document.body.append(this.ghost);
  }

  open(open) {
    this.box.hidden = !open;
    this.opener.setAttribute("aria-expanded", open);
  }

  item({ kind, means, stands }) {
    const name = kind.replace("-", " ");
    const item = element("button", { type: "button", class: "kind", "data-kind": kind, title: means }, name);
    const picture = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    picture.setAttribute("viewBox", "0 0 40 40");
    picture.setAttribute("aria-hidden", "true");
    const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
    path.setAttribute("d", DRAWN[kind] ?? DRAWN.flat);
    picture.append(path);
    item.prepend(picture);
    item.addEventListener("pointerdown", (event) => this.take(event, kind, item));
    // Without a pointer it comes to the middle of the right page, or of the gutter beside it.
    item.addEventListener("click", (event) => {
      if (event.detail === 0) this.lay(kind, { facet: "page.right", place: this.middle(stands) });
    });
    return item;
  }

  middle(stands) {
    const { width, height } = this.page.viewer.stage.book;
    return [stands === "facet" ? width / 2 : 1, height / 2];
  }

  take(event, kind, item) {
    if (event.button > 0) return;
    const from = [event.clientX, event.clientY];
    item.setPointerCapture(event.pointerId);
    this.ghost.replaceChildren(item.firstChild.cloneNode(true));
    const move = (now) => {
      const far = Math.hypot(now.clientX - from[0], now.clientY - from[1]) > STILL_PX;
      this.ghost.hidden = !far && this.ghost.hidden;
      Object.assign(this.ghost.style, { left: `${now.clientX}px`, top: `${now.clientY}px` });
      this.light(now);
    };
    const end = (now) => {
      item.removeEventListener("pointermove", move);
      item.removeEventListener("pointerup", end);
      item.removeEventListener("pointercancel", end);
      const held = !this.ghost.hidden;
      this.ghost.hidden = true;
      if (now.type === "pointercancel") return;
      if (held) this.drop(kind, now);
      else this.page.say(`Draw the ${kind} out of the drawer and lay it on the paper`);
    };
    item.addEventListener("pointermove", move);
    item.addEventListener("pointerup", end);
    item.addEventListener("pointercancel", end);
  }

  /** The paper under the hand, unless the hand is over something that lies on the picture. */
  under(event) {
    const over = document.elementFromPoint(event.clientX, event.clientY);
    return over?.id === "picture" ? this.page.hand.hit(event) : null;
  }

  light(event) {
    this.ghost.classList.toggle("finds", Boolean(this.under(event)));
  }

  drop(kind, event) {
    const hit = this.under(event);
    if (!hit) {
      this.page.say("It went back into the drawer");
      return;
    }
    const { stage } = this.page.viewer;
    this.lay(kind, { piece: hit.piece, body: stage.bodies[hit.body].name, local: hit.local.toArray() });
  }

  async lay(kind, where) {
    const { page } = this;
    page.desk.tell("Trying where it fits …");
    try {
      const answer = await ask("/drop", page.secret, { made: page.data.made, page: page.desk.me, kind, ...where });
      page.said = "";
      page.next = answer.name;
      page.desk.hear(answer);
      page.desk.away();
      page.say(`${answer.name} lies on the paper`);
    } catch (error) {
      page.desk.away();
      page.fail(error.message);
    }
  }
}
