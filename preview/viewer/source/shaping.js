// A page that follows a design while it is made: the hand shapes the paper, the file follows.
import { ask } from "./ask.js";
import { plainly } from "./begin.js";
import { element } from "./cards.js";
import { Desk } from "./desk.js";
import { Files } from "./files.js";
import { Hand } from "./hand.js";
import { Keeper } from "./keep.js";
import { Letters } from "./letters.js";
import { LightTable } from "./light-table.js";
import { Notebook } from "./notebook.js";
import { Page } from "./page.js";
import { PaperDrawer } from "./paper-drawer.js";
import { Pictures } from "./pictures.js";
import { Pins } from "./pins.js";
import { Prints } from "./prints.js";
import { Several } from "./several.js";
import { Tug } from "./tug.js";
import { Values } from "./values.js";

const byId = (id) => document.getElementById(id);
const KEYS = [
  ["Tab, 0–9, Alt, Esc", "while you pull: another number, type it, finer steps, leave it"],
  ["arrows", "move the chosen pieces by one millimetre (while you shape the paper)"],
  ["two taps, T", "type words on the paper, on the chosen piece (while you shape the paper)"],
  ["Ctrl + Z", "undo the last step (with Shift: make it again)"],
];

// Parts of a scene that the panel tells of.
const LISTED = ["title", "made", "pieces", "findings", "checked", "cured", "trouble", "steps", "course", "cameras", "views", "hands", "moods"];

const STOPPED =
  "No word from foldstage: its server has been stopped, so this page no longer follows the design. Start “foldstage view” again.";

export class Shaping extends Page {
  constructor(data) {
    super(data);
    this.listen(data.version);
  }

  equip(data) {
    this.secret = data.secret;
    this.said = "";
    this.tug = new Tug(this.viewer, {
      secret: data.secret,
      say: (text) => this.say(text),
      fail: (text) => this.fail(text),
      choose: (name, hit, event) => this.choosePiece(name, hit, event),
      rested: (held) => this.several.rested(held),
      moves: (piece, path) => this.several.moves(piece, path),
      moveAll: (key, by, piece) => this.several.move(key, by, piece),
      edit: (edits) => this.edit(edits),
      undo: () => this.undo(),
      followed: (answer) => this.followed(answer),
    });
    this.hand = new Hand(this.viewer, this.tug);
    this.pins = new Pins(this.viewer, {
      visit: (finding) => this.visit(finding),
      edit: (edits) => this.edit(edits),
    });
    this.viewer.seen.push(() => this.pins.follow());
    this.desk = new Desk(this, data.desk);
    if (this.desk.works) {
      this.prints = new Prints(this.viewer, this);
      this.letters = new Letters(this.viewer, this);
      this.pictures = new Pictures(this.viewer, this);
      this.table = new LightTable(this.viewer, this);
    }
    this.several = new Several(this);
    this.values = new Values(this);
    this.files = new Files(this, data.files);
    this.keeper = new Keeper(this);
    this.paper = new PaperDrawer(this, this.desk.works);
    this.notebook = new Notebook(this, this.desk.works);
  }

  get curing() {
    return this.data.made ? (finding) => this.cures(finding) : null;
  }

  /** Buttons that write what would help with a finding. */
  cures({ cures }) {
    if (!cures.length) return [];
    const act = ({ path, value }) => this.edit([{ edit: "set", path, value }]);
    const button = (cure) => element("button", { type: "button", class: "cure", onclick: () => act(cure) }, cure.text);
    return [element("div", { class: "buttons cures" }, ...cures.map(button))];
  }

  /** The last of them is the list itself. */
  get keys() {
    return [...super.keys.slice(0, -1), ...KEYS, ...super.keys.slice(-1)];
  }

  fill() {
    super.fill();
    this.pins.fill();
  }

  cards(own, checks) {
    const files = { id: "files", label: "Files", card: this.files.card };
    return [...super.cards(own, checks), ...(this.files.offered ? [files] : [])];
  }

  /** The piece that is marked, if it is one alone. */
  get chosen() {
    const marked = [...this.viewer.stage.pieces.values()].filter((piece) => piece.marked);
    return marked.length === 1 ? marked[0].name : null;
  }

  adds(event) {
    return this.several.adds(event);
  }

  showStates() {
    super.showStates();
    this.values.show();
    this.several.show();
  }

  /** Have the building planned as motion; who does not look at it need not wait for that work. */
  plan() {
    if (this.data.course === null) ask("/course", this.secret, {}).catch((error) => this.fail(error.message));
  }

  wire() {
    super.wire();
    byId("shape").hidden = !this.data.made;
    byId("shape").addEventListener("click", () => this.shape(!this.tug.on));
    // Where there is little room, the panel lies where the sheet of the notebook lies.
    byId("drawer").addEventListener("click", () => this.notebook.open(false));
    this.viewer.resize(); // what has been shown takes its place
    this.desk.place();
  }

  // ------------------------------------------------------------------ shaping the paper

  /** Whether the hand shapes the paper, or only turns and opens the book. */
  shape(on) {
    this.tug.on = on;
    this.tug.forget();
    this.pins.show(on);
    this.prints?.choose(null);
    byId("shape").setAttribute("aria-pressed", on);
    byId("hint").textContent = on ? "Pull the paper" : "Pull the edge of a page";
    byId("hint").hidden = !on && byId("hint").hidden;
    this.say(on ? "Pull the paper itself to change it" : "The paper is safe from your hand");
  }

  /** Whether the hand shapes the paper. */
  get shaping() {
    return Boolean(this.tug.on);
  }

  /** By which this page is known to the server. */
  get me() {
    return this.desk.me;
  }

  /** @param hit where it was tapped: what is printed there is taken under the hand too. */
  choosePiece(name, hit = null, event = null) {
    const adds = this.adds(event);
    if (adds || !this.viewer.stage.pieces.get(name).marked) this.mark(name, event);
    this.say(adds ? `${this.several.names.length} pieces are chosen` : `${name} is chosen`);
    this.prints?.choose(hit && this.prints.at(hit));
  }

  /**
   * Take the answer to a change, and choose what it has made once that is shown.
   * @param pieces names; @param key of what is printed on the one piece.
   */
  heard(answer, pieces = [], key = "") {
    this.said = "";
    tell("");
    this.desk.hear(answer);
    if (!pieces.length) return;
    this.justMade = { answer, pieces, key };
    this.chooseMade();
  }

  /** As `heard`, for what the hand goes on with. */
  taken(answer, key = "") {
    if (!this.shaping) this.shape(true);
    this.heard(answer, [answer.piece], key);
  }

  /** Say what went wrong, where mistakes stand, until something else is done. */
  fail(text) {
    this.said = text;
    tell(text);
  }

  /** Have edits written into the file, and choose these pieces then; the answer, null if refused. */
  edit(edits, pieces = []) {
    return this.asked("/edits", { made: this.data.made, page: this.desk.me, edits }, pieces);
  }

  undo() {
    return this.desk.undo();
  }

  async asked(address, question, pieces = []) {
    try {
      const answer = await ask(address, this.secret, question);
      this.heard(answer, pieces);
      if (answer.unused?.length) this.desk.tell(`Undone. ${answer.unused.join(", ")} stays beside the design until this page's server ends.`);
      return answer;
    } catch (error) {
      this.fail(error.message);
      return null;
    }
  }

  /** Whether the page shows what an answer tells of, or what came later: news of it may be quicker. */
  shows({ made, changes }) {
    return this.written === made || this.changes >= changes;
  }

  /** Resolves when the page shows what an answer tells of. */
  async followed(answer) {
    while (!this.shows(answer)) await new Promise((done) => (this.waiting ??= []).push(done));
  }

  meant(event, place) {
    return this.nudging(event, place) ?? super.meant(event, place);
  }

  /** Arrows move the chosen piece by one unit of the file, while the hand shapes the paper. */
  nudging({ key, shiftKey }, place) {
    const piece = this.chosen;
    if (place === "picture" && key.toLowerCase() === "t" && this.tug.on && piece && this.desk.works) return () => this.letters.openOn(piece);
    const { names } = this.several;
    if (place !== "picture" || shiftKey || !this.tug.on || !names.length || !this.desk.works) return null;
    const step = { ArrowLeft: { right: -1 }, ArrowRight: { right: 1 }, ArrowUp: { up: 1 }, ArrowDown: { up: -1 } }[key];
    return step ? () => this.asked("/nudge", { made: this.data.made, page: this.desk.me, pieces: names, ...step }) : null;
  }

  // ------------------------------------------------------------------ following the file

  listen(version) {
    this.shown = version;
    this.note();
    const events = new EventSource("/events");
    events.addEventListener("message", (event) => {
      this.news = JSON.parse(event.data);
      // Another server has taken over the address: it knows nothing of this page.
      if (this.news.run !== this.data.run) location.reload();
      tell(this.news.mistake || this.said); // what was refused is read until something is done
      this.desk.hear(this.news.desk);
      this.noteChanges();
      this.files.hear(this.news.files);
      this.following ??= this.follow()
        .catch(() => tell(STOPPED)) // the next sign of the server clears it
        .finally(() => (this.following = null));
    });
    events.addEventListener("error", () => tell(STOPPED));
  }

  /** Fetch what has changed until the newest is shown. */
  async follow() {
    while (this.news.version > this.shown) {
      const answer = await fetch(`/scene.json?after=${this.shown}&run=${this.data.run}`, { cache: "no-store" });
      const parts = await answer.json();
      const pose = this.viewer.views.pose;
      this.viewer.load({ ...parts, live: true });
      this.viewer.views.pose = pose;
      this.tug.loaded();
      // The new motion first, and what is written about it once it is seen.
      if ("bodies" in parts || "wedges" in parts) await this.viewer.seenNow();
      this.look.loaded();
      this.prints?.loaded();
      this.shown = parts.version;
      if (LISTED.some((key) => key in parts)) this.refill();
      this.note();
      if ("made" in parts || "bodies" in parts) this.say("The design has changed");
    }
  }

  /** Note which text is shown now, and written about. */
  note() {
    this.written = this.data.made;
    this.noteChanges();
  }

  /** Note up to which change the file is shown: who waits for one looks again. */
  noteChanges() {
    if (this.written === this.desk.made) this.changes = this.desk.changes;
    this.chooseMade();
    for (const done of this.waiting?.splice(0) ?? []) done();
  }

  /** Choose what has just been made once it is shown, and take what was printed under the hand. */
  chooseMade() {
    const { stage } = this.viewer;
    const { answer, pieces, key } = this.justMade ?? {};
    if (!answer || !this.shows(answer)) return;
    this.justMade = null;
    if (!pieces.every((name) => stage.pieces.has(name))) return; // something later took it away
    for (const name of stage.pieces.keys()) stage.mark(name, pieces.includes(name));
    this.prints?.choose(this.data.prints?.find((print) => print.piece === pieces[0] && print.key === key) ?? null);
    this.showStates();
    this.desk.place();
    this.viewer.change();
  }

  /** Fill the panel again; what has the focus keeps it, and what is read stays in its place. */
  refill() {
    const { id, dataset } = document.activeElement ?? {};
    const cards = document.querySelector(".cards");
    const { scrollTop } = cards;
    this.fill();
    this.notebook.show();
    cards.scrollTop = scrollTop;
    const again = id ? byId(id) : dataset?.step ? document.querySelector(`[data-step="${dataset.step}"]`) : null;
    again?.focus({ preventScroll: true });
  }
}

/** Say what is wrong, line by line; nothing if nothing is. */
function tell(mistakes) {
  byId("mistake").hidden = !mistakes;
  byId("mistake").textContent = mistakes;
}

/** The page of a browser that cannot draw: it shows the picture, and follows by loading again. */
export function plain(data) {
  plainly(data);
  const events = new EventSource("/events");
  events.addEventListener("message", (event) => {
    const news = JSON.parse(event.data);
    tell(news.mistake);
    if (news.version !== data.version || news.run !== data.run) location.reload();
  });
  events.addEventListener("error", () => tell(STOPPED));
}
