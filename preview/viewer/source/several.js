// Several pieces in one hand: chosen together, moved, doubled, mirrored and taken away as one step.
import { ask } from "./ask.js";
import { element } from "./cards.js";

const LONG_MS = 500;

export class Several {
  constructor(page) {
    this.page = page;
    this.box = document.getElementById("several");
    this.gathering = false;
  }

  /** The names of all pieces that are chosen. */
  get names() {
    return [...this.page.viewer.stage.pieces.values()].filter(({ marked }) => marked).map(({ name }) => name);
  }

  /** Whether a press adds to what is chosen: a key is held, or a finger has rested on a piece before. */
  adds(event) {
    return Boolean(this.gathering || event?.shiftKey || event?.ctrlKey || event?.metaKey);
  }

  /** A finger that rests on a piece begins to gather. */
  rested(held) {
    if (performance.now() - held.since < LONG_MS) return;
    this.gathering = true;
  }

  /** Say how many are chosen, and what can be done with them. */
  show() {
    const { names } = this;
    if (names.length < 2 && this.gathering && !names.length) this.gathering = false;
    const shown = Boolean(this.page.desk?.works) && (names.length > 1 || this.gathering);
    const anew = this.box.hidden === shown;
    this.box.hidden = !shown;
    if (shown) this.fill(names);
    if (!anew) return;
    this.page.viewer.resize(); // the spread and the hint make room
    this.page.hand.invite();
  }

  fill(names) {
    const listed = names.length > 3 ? `${names.slice(0, 2).join(", ")} and ${names.length - 2} more` : names.join(", ");
    const act = (label, make) => element("button", { type: "button", onclick: make }, label);
    this.box.replaceChildren(
      element("p", {}, element("b", {}, `${names.length} chosen`), ` ${listed}`),
      element(
        "div",
        { class: "buttons" },
        act("Double all", () => this.copy("double")),
        act("Mirror all", () => this.copy("mirror")),
        act("Take all away", () => this.takeAway()),
        act("Choose none", () => this.none()),
      ),
    );
  }

  none() {
    this.gathering = false;
    for (const name of this.names) this.page.viewer.stage.mark(name, false);
    this.page.showStates();
    this.page.viewer.change();
    this.page.viewer.canvas.focus({ preventScroll: true });
  }

  about() {
    return ask("/several", this.page.secret, { pieces: this.names });
  }

  async copy(edit) {
    const { names, copies } = await this.about();
    await this.page.edit([{ edit, names: copies }], names.map((name) => copies[name]));
  }

  async takeAway() {
    const { page } = this;
    const { names, standing } = await this.about();
    const go = () => {
      page.desk.away();
      return page.edit([{ edit: "take-away", pieces: [...names, ...standing] }]);
    };
    if (!standing.length) return go();
    page.desk.tell(
      `${standing.join(", ")} ${standing.length > 1 ? "stand" : "stands"} on them and would go too.`,
      element("button", { type: "button", onclick: go }, "Take all away"),
      element("button", { type: "button", onclick: () => page.desk.away() }, "Leave it"),
    );
    return null;
  }

  /** Whether a pull at one piece is to move all that are chosen: by its place on page or crease. */
  moves(piece, path) {
    const { names } = this;
    return names.length > 1 && names.includes(piece) && path.length === 3 && path[0] === "pieces" && ["at", "x", "y"].includes(path[2]);
  }

  /** Move all that are chosen by as much, in units of the file, along the key that was pulled. */
  move(key, by, piece) {
    const mirrored = piece.endsWith("-mirrored") ? -1 : 1;
    const step = key === "x" ? { right: by * mirrored } : { up: by };
    return this.page.asked("/nudge", { made: this.page.data.made, page: this.page.desk.me, pieces: this.names, ...step });
  }
}
