// Words are typed where they shall stand: two taps on the paper, or T, open a line on it.
import { Vector3 } from "three";

import { ask } from "./ask.js";
import { element } from "./cards.js";
import { middleOf, spotOf } from "./paper-under.js";

const TWICE_MS = 450;
const TWICE_PX = 14;
const STILL_PX = 8;
// As large as the server writes them, mm; and in the window at least and at most, pixels.
const TYPE_MM = 8;
const [SMALLEST, LARGEST] = [16, 72];

export class Letters {
  /** @param page asks ({ asked, secret, me, fail, say }), knows prints ({ prints }) and the hand. */
  constructor(viewer, page) {
    this.viewer = viewer;
    this.page = page;
    this.field = element("input", { id: "letters", type: "text", maxlength: "200", autocomplete: "off", spellcheck: "false", hidden: "" });
    document.querySelector("main").append(this.field);
    this.field.addEventListener("keydown", (event) => this.key(event));
    this.field.addEventListener("blur", () => this.write());
    this.field.addEventListener("input", () => this.fit());
    const { canvas } = viewer;
    // Before whoever takes the paper keeps the event for itself.
    addEventListener("pointerdown", (event) => (this.pressed = [event.clientX, event.clientY]), { capture: true });
    canvas.addEventListener("pointerup", (event) => this.tapped(event), { capture: true });
    viewer.seen.push(() => this.follow());
  }

  /** The hand has left the picture where it had come down: a tap. */
  tapped(event) {
    const [x, y] = this.pressed ?? [Infinity, 0];
    if (!this.page.shaping || Math.hypot(event.clientX - x, event.clientY - y) > STILL_PX) return;
    this.tap(event, this.page.hand.hit(event), null);
  }

  /** Two taps at one place open a line there; on words, those words. */
  tap(event, hit, print) {
    const { last } = this;
    const twice = last && event.timeStamp - last.time < TWICE_MS && Math.hypot(event.clientX - last.at[0], event.clientY - last.at[1]) < TWICE_PX;
    this.last = twice ? null : { time: event.timeStamp, at: [event.clientX, event.clientY] };
    if (!twice) return;
    const on = print ?? this.page.prints.at(hit);
    if (on?.text !== undefined) this.edit(on);
    else this.open(hit ?? this.page.hand.hit(event));
  }

  /** Open a line on a piece without pointing at it. */
  openOn(piece) {
    this.open(middleOf(this.viewer, piece));
  }

  open(hit) {
    if (!hit) return;
    this.show({ hit, spot: spotOf(this.viewer, hit), piece: hit.piece }, "");
    this.field.setAttribute("aria-label", `Words on ${hit.piece === "page" ? "a slip of paper on the page" : hit.piece}; Enter writes them`);
  }

  /** Change words that are there. */
  edit(print) {
    this.page.prints.choose(print);
    const { found } = this.page.prints;
    if (!found) return;
    const [, , , , x, y] = print.placed;
    const [a, b, c, d, x0, y0] = found.facet.placed;
    const local = new Vector3(a * x + b * y + x0, c * x + d * y + y0, found.facet.z);
    this.show({ hit: { body: found.body, local }, piece: print.piece, key: print.key }, print.text);
    this.field.setAttribute("aria-label", `Words on ${print.piece}; Enter writes them, an empty line takes them away`);
  }

  show(about, text) {
    this.viewer.pause();
    this.about = { ...about, before: text };
    this.field.value = text;
    this.field.hidden = false;
    this.follow();
    this.fit();
    this.take();
    // Once more after the second tap has done what taps do, but for words that are typed already.
    setTimeout(() => {
      if (this.about && document.activeElement !== this.field) this.take();
    });
  }

  /** Have what is typed go into the field. */
  take() {
    this.field.focus({ preventScroll: true });
    if (this.field.value === this.about.before) this.field.select();
  }

  /** As wide as its words. */
  fit() {
    this.field.size = Math.max(6, this.field.value.length + 1);
  }

  follow() {
    if (!this.about) return;
    const { body, local } = this.about.hit;
    const [x, y] = this.viewer.projectScene(this.viewer.stage.bodyPoint(body, local));
    const up = local.clone();
    up.y += TYPE_MM;
    const [x2, y2] = this.viewer.projectScene(this.viewer.stage.bodyPoint(body, up));
    const size = Math.max(SMALLEST, Math.min(LARGEST, 0.8 * Math.hypot(x2 - x, y2 - y)));
    const half = this.field.offsetWidth / 2;
    const left = Math.max(half + 8, Math.min(x, innerWidth - half - 8));
    Object.assign(this.field.style, { left: `${left}px`, top: `${y}px`, fontSize: `${size}px` });
  }

  key(event) {
    event.stopPropagation();
    if (event.key === "Escape") this.close();
    else if (event.key === "Enter" && !event.isComposing) this.write();
    else return;
    event.preventDefault();
  }

  close() {
    this.about = null;
    this.field.hidden = true;
    this.viewer.canvas.focus({ preventScroll: true });
  }

  /** Write what was typed; an empty line writes nothing, or takes away what stood there. */
  async write() {
    const { about } = this;
    if (!about) return;
    const text = this.field.value.trim();
    this.close();
    if (text === about.before || (!text && !about.key)) return;
    const { page } = this;
    const question = { made: this.viewer.stage.data.made, page: page.me, text };
    const where = about.key ? { piece: about.piece, key: about.key } : { spot: about.spot };
    try {
      const answer = await ask("/letter", page.secret, { ...question, ...where });
      page.taken(answer, answer.key);
      page.say(text ? `“${text}” stands on ${answer.piece}` : "The words are taken away");
    } catch (error) {
      page.fail(error.message);
    }
  }
}
