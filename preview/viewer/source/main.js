// Puts the page together: reads the scene, fills the panel, listens to keys and to the server.
import {
  buildCard,
  element,
  checkCard,
  foldWords,
  handField,
  pictureCard,
  piecesCard,
  showFolds,
  showShare,
  Tabs,
} from "./cards.js";
import { Address } from "./address.js";
import { ask } from "./ask.js";
import { Clip } from "./capture.js";
import { Desk } from "./desk.js";
import { drawnAt } from "./drawn.js";
import { Files } from "./files.js";
import { Hand } from "./hand.js";
import { Keeper } from "./keep.js";
import { Letters } from "./letters.js";
import { Look } from "./look.js";
import { layers } from "./shut.js";
import { Pins } from "./pins.js";
import { Notebook } from "./notebook.js";
import { LightTable } from "./light-table.js";
import { PaperDrawer } from "./paper-drawer.js";
import { Pictures } from "./pictures.js";
import { Prints } from "./prints.js";
import { Several } from "./several.js";
import { Tug } from "./tug.js";
import { Values } from "./values.js";
import { Viewer } from "./viewer.js";
import { Vector3 } from "three";

const byId = (id) => document.getElementById(id);
const KEYS = [
  ["← →", "close and open by one degree (Shift on the dial: ten)"],
  ["Page Up, Page Down", "open and close by fifteen degrees"],
  ["Home, End", "shut, fully open"],
  ["Space", "play and pause"],
  ["Shift + arrows", "turn the view (on the picture)"],
  ["Tab, 0–9, Alt, Esc", "while you pull: another number, type it, finer steps, leave it"],
  ["+ −", "zoom in and out (on the picture)"],
  ["1 2 3", "reader, overhead, low (on the picture)"],
  ["arrows", "move the chosen pieces by one millimetre (while you shape the paper)"],
  ["Shift, Ctrl", "choose one more piece, or one less"],
  ["two taps, T", "type words on the paper, on the chosen piece (while you shape the paper)"],
  [", .", "a step of the building back and on"],
  ["Ctrl + Z", "undo the last step (with Shift: make it again)"],
  ["arrows, Enter, ⌫", "while you measure: move the cross, mark a point, take it back (on the picture)"],
  ["f, Esc", "the full screen, and back (on the picture)"],
  ["?", "this list"],
];

// Usual sizes of films and pictures that are shown to others.
const SIZES = [
  [1080, 1920, "upright"],
  [1920, 1080, "wide"],
  [1080, 1080, "square"],
  [3840, 2160, "large"],
];

const STOPPED =
  "No word from foldstage: its server has been stopped, so this page no longer follows the design. Start “foldstage view” again.";
const NOT_DRAWN =
  "This browser cannot draw in three dimensions here: WebGL 2 is missing or switched off. This is a picture of the spread.";
const LOST =
  "The graphics driver has taken the drawing away. It comes back by itself in most cases; if it does not, load the page again.";

class Page {
  constructor(data) {
    this.viewer = new Viewer(data, new URLSearchParams(location.hash.slice(1)).has("draft"));
    this.address = new Address(this.viewer);
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
      followed: () => this.followed(),
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
    this.look = new Look(this);
    this.files = new Files(this, data.files);
    this.keeper = new Keeper(this);
    this.paper = new PaperDrawer(this, this.desk.works);
    this.notebook = new Notebook(this, this.desk.works);
    this.tabs = new Tabs(document.querySelector(".tabs"), document.querySelector(".cards"), (id) => id === "build" && this.plan());
    this.viewer.listeners.push(() => this.showMarkedFolds());
    this.viewer.listeners.push(() => this.showHands());
    this.viewer.stepped = () => this.showStates();
    this.fill();
    this.wire();
    this.start();
    if (data.live) this.listen(data.version);
  }

  get data() {
    return this.viewer.stage.data;
  }

  say(text) {
    byId("status").textContent = text;
  }

  // ------------------------------------------------------------------ panel

  fill() {
    const { data, viewer } = this;
    document.title = data.title;
    document.querySelector("h1").textContent = data.title;
    this.fillViews();
    this.fillHands();
    const own = data.pieces.filter((piece) => piece.name !== "page");
    const check = {
      id: "check",
      label: "Check",
      count: data.findings.length,
      card: checkCard(data, (finding) => this.visit(finding), data.live && data.made ? (edits) => this.edit(edits) : null),
    };
    // A page to send shows the check only if it was asked to.
    const checks = data.live || data.checked || data.findings.length ? [check] : [];
    this.tabs.fill([
      {
        id: "pieces",
        label: "Pieces",
        count: own.length,
        card: piecesCard(own, {
          mark: (name, event) => this.mark(name, event),
          show: (name) => this.show(name, !viewer.stage.pieces.get(name).shown),
          showAll: (names) => {
            const shown = !names.some((name) => viewer.stage.pieces.get(name).shown);
            for (const name of names) viewer.stage.show(name, shown);
            this.showStates();
            viewer.change();
          },
          all: (shown) => own.forEach((piece) => this.show(piece.name, shown)),
        }),
      },
      ...checks,
      { id: "build", label: "Build", card: buildCard(data.steps, (to) => this.build(to), () => this.leaveBuild(), () => this.playBuild()) },
      { id: "photo", label: "Picture", card: this.pictureCard() },
      { id: "look", label: "Look", card: this.look.card },
      ...(this.files.offered ? [{ id: "files", label: "Files", card: this.files.card }] : []),
    ]);
    this.showStates();
    this.pins.fill();
  }

  fillViews() {
    const { viewer } = this;
    const entries = this.data.views.map(({ name }) =>
      element(
        "button",
        { type: "button", "aria-pressed": "false", "data-view": name, onclick: () => viewer.views.travel(name) },
        name,
      ),
    );
    for (const camera of this.data.cameras) {
      const film = () => {
        viewer.film(camera);
        byId("frame-choice").value = viewer.frame;
      };
      entries.push(element("button", { type: "button", class: "film", onclick: film }, camera.name));
    }
    document.querySelector(".views").replaceChildren(...entries);
  }

  /** A slider for each flyleaf, wheel and slide. */
  fillHands() {
    const box = byId("hands");
    const { viewer } = this;
    box.hidden = !this.data.hands.length;
    box.replaceChildren(
      ...this.data.hands.map((hand) =>
        handField(hand, viewer.stage.motion.shares.get(hand.name), (share) => viewer.put(hand.name, share)),
      ),
    );
    viewer.resize(); // the sliders take their place
  }

  /** Sliders follow what is moved in the picture. */
  showHands() {
    const { shares } = this.viewer.stage.motion;
    for (const slider of document.querySelectorAll("#hands input")) {
      showShare(slider, shares.get(slider.dataset.hand));
    }
  }

  pictureCard() {
    const { viewer, data } = this;
    const fields = [
      {
        id: "frame-choice",
        label: "Frame",
        options: [
          ["none", "Whole window"],
          ["16:9", "16:9 wide"],
          ["9:16", "9:16 upright"],
          ["1:1", "Square"],
        ],
        value: viewer.frame,
        choose: (frame) => viewer.setFrame(frame),
      },
      {
        id: "size-choice",
        label: "Size",
        options: [["window", "As in the window"], ...SIZES.map(([width, height, word]) => [`${width}x${height}`, `${width} × ${height} ${word}`])],
        value: viewer.size ? `${viewer.size.width}x${viewer.size.height}` : "window",
        choose: (text) => {
          const [width, height] = text.split("x").map(Number);
          viewer.size = height ? { width, height } : null;
        },
      },
      {
        id: "mood-choice",
        label: "Light",
        options: [["auto", "With the page"], ...data.moods.map((m) => [m.name, m.name.replace("-", " ")])],
        value: viewer.mood,
        choose: (mood) => {
          viewer.mood = mood;
          viewer.light();
        },
      },
      {
        id: "theme-choice",
        label: "Page",
        options: [
          ["system", "As the system"],
          ["light", "Light"],
          ["dark", "Dark"],
        ],
        value: viewer.theme,
        choose: (theme) => {
          viewer.theme = theme;
          viewer.light();
        },
      },
    ];
    const buttons = [{ id: "save-picture", label: "Save picture", act: () => this.savePicture() }];
    if (Clip.possible) buttons.push({ id: "record", label: "Record clip", act: () => this.record() });
    buttons.push({ id: "help-open", label: "Keys", act: () => byId("help").showModal() });
    return pictureCard(fields, buttons);
  }

  /** The piece that is marked, if it is one alone. */
  get chosen() {
    const marked = [...this.viewer.stage.pieces.values()].filter((piece) => piece.marked);
    return marked.length === 1 ? marked[0].name : null;
  }

  row(name) {
    return document.querySelector(`[data-piece="${CSS.escape(name)}"]`);
  }

  /** Choose a piece, or let it go; with Shift or Ctrl the others stay chosen. */
  mark(name, event = null) {
    const { stage } = this.viewer;
    const marked = !stage.pieces.get(name).marked;
    if (this.several.adds(event)) stage.mark(name, marked);
    else for (const other of stage.pieces.keys()) stage.mark(other, marked && other === name);
    this.showStates();
    this.viewer.change();
  }

  show(name, shown) {
    this.viewer.stage.show(name, shown);
    this.showStates();
    this.viewer.change();
  }

  /** Bring the panel up to date with what the stage shows. */
  showStates() {
    const { pieces } = this.viewer.stage;
    for (const row of document.querySelectorAll("[data-piece]")) {
      const { shown, marked } = pieces.get(row.dataset.piece);
      row.querySelector(".eye").setAttribute("aria-pressed", shown);
      row.querySelector(".name").setAttribute("aria-pressed", marked);
    }
    for (const group of document.querySelectorAll("details[data-group]")) {
      const rows = [...group.querySelectorAll("[data-piece]")].map((row) => pieces.get(row.dataset.piece));
      group.parentElement.querySelector(".eye[data-group]").setAttribute("aria-pressed", rows.some((piece) => piece.shown));
      if (rows.some((piece) => piece.marked)) group.open = true;
    }
    this.showMarkedFolds();
    const { built } = this.viewer;
    for (const step of document.querySelectorAll("[data-step]")) {
      const current = Number(step.dataset.step) === built;
      if (current) step.setAttribute("aria-current", "step");
      else step.removeAttribute("aria-current");
      step.querySelector(".how").hidden = !current;
      if (current) step.scrollIntoView({ block: "nearest" });
    }
    this.values.show();
    this.several.show();
    this.showCaption();
    const last = (this.data.steps?.length ?? 0) - 1;
    byId("step-play").hidden = !this.viewer.course;
    byId("step-play").textContent = this.viewer.going ? "Pause steps" : "Play steps";
    byId("step-leave").disabled = built == null;
    byId("step-back").disabled = built == null || built === 0;
    byId("step-next").disabled = last < 0 || built === last;
  }

  /** Fold angles below the names of marked pieces; called at every change of the opening. */
  showMarkedFolds() {
    const { stage } = this.viewer;
    for (const row of this.told ?? []) showFolds(row, [], foldWords);
    this.told = [];
    for (const piece of stage.pieces.values()) {
      const row = piece.marked && this.row(piece.name);
      if (!row) continue;
      showFolds(row, stage.folds(piece.name), foldWords);
      this.told.push(row);
    }
  }

  visit(finding) {
    const { viewer } = this;
    if (finding.opening_deg !== null) viewer.choose(finding.opening_deg);
    viewer.spot(finding.place);
    if (finding.place) {
      const place = new Vector3(...finding.place);
      place.z += viewer.stage.book.lift(viewer.opening);
      viewer.views.approach(place);
    }
    for (const name of viewer.stage.pieces.keys()) viewer.stage.mark(name, finding.pieces.includes(name));
    this.showStates();
    viewer.change();
    this.say(`${finding.text}. Opened to ${Math.round(viewer.opening)} degrees.`);
  }

  build(to) {
    const now = this.viewer.built ?? -1;
    const next = { back: now - 1, next: now + 1 }[to] ?? to;
    if (!this.data.steps?.[next]) return;
    this.plan();
    this.viewer.build(next);
    this.showStates();
    const { title, text } = this.data.steps[next];
    this.say(`Step ${next + 1}: ${title}. ${text}`);
  }

  /** Have the building planned as motion; who does not look at it need not wait for that work. */
  plan() {
    const { live, course } = this.data;
    if (live && course === null) ask("/course", this.secret, {}).catch((error) => this.fail(error.message));
  }

  /** The number and the title of the step that is shown, under the picture. */
  showCaption() {
    const { built } = this.viewer;
    const caption = byId("caption");
    caption.hidden = built == null || !this.viewer.course;
    if (caption.hidden) return;
    const { title } = this.data.steps[built];
    const { advice } = this.data.course[built];
    caption.replaceChildren(
      element("b", {}, `${built + 1} of ${this.data.steps.length}`),
      ` ${title}`,
      ...(advice ? [element("span", {}, advice)] : []),
    );
  }

  /** Play the building, step after step, or stop. */
  playBuild() {
    this.viewer.go(!this.viewer.going);
    this.showStates();
    this.say(this.viewer.going ? "The steps are played" : "The steps stand still");
  }

  leaveBuild() {
    this.viewer.build(null);
    this.showStates();
    this.say("Whole spread");
  }

  async savePicture() {
    const blob = await this.viewer.picture();
    this.say("Picture saved");
    return blob;
  }

  async record(length) {
    const button = byId("record");
    button.disabled = true;
    button.textContent = "Recording…";
    this.say("Recording one opening and closing");
    const blob = await this.viewer.record(length);
    button.disabled = false;
    button.textContent = "Record clip";
    this.say("Clip saved");
    return blob;
  }

  // ------------------------------------------------------------------ keys and buttons

  wire() {
    const { viewer } = this;
    byId("play").addEventListener("click", () => this.toggle());
    byId("shape").hidden = !(this.data.live && this.data.made);
    byId("shape").addEventListener("click", () => this.shape(!this.tug.on));
    byId("full").addEventListener("click", () => this.full(!document.body.classList.contains("bare")));
    document.addEventListener("fullscreenchange", () => document.fullscreenElement || this.full(false));
    byId("drawer").addEventListener("click", () => {
      const open = byId("panel").classList.toggle("open");
      byId("drawer").setAttribute("aria-expanded", open);
      viewer.resize();
    });
    for (const [key, meaning] of KEYS) {
      document.querySelector(".keys").append(element("dt", {}, key), element("dd", {}, meaning));
    }
    document.addEventListener("keydown", (event) => this.key(event));
    viewer.views.controls.addEventListener("start", () => this.showView());
    viewer.listeners.push(() => this.showView());
    viewer.canvas.addEventListener("webglcontextlost", () => instead(this.data, LOST));
    viewer.canvas.addEventListener("webglcontextrestored", () => {
      instead(this.data, "");
      viewer.resize();
    });
    document.querySelector(".views").addEventListener("click", () => this.showView());
  }

  /** Show the spread and nothing beside it but the dial, on the full screen where a page may. */
  full(on) {
    if (document.body.classList.contains("bare") === on) return;
    document.body.classList.toggle("bare", on);
    byId("full").setAttribute("aria-pressed", on);
    byId("full").setAttribute("aria-label", on ? "Leave the full screen" : "Full screen");
    const asked = on ? document.documentElement.requestFullscreen?.() : document.fullscreenElement && document.exitFullscreen();
    asked?.catch?.(() => {}); // then it fills the window
    this.viewer.resize();
    if (this.viewer.views.name) this.viewer.views.jump(this.viewer.views.name);
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
    const adds = this.several.adds(event);
    if (adds || !this.viewer.stage.pieces.get(name).marked) this.mark(name, event);
    this.say(adds ? `${this.several.names.length} pieces are chosen` : `${name} is chosen`);
    this.prints?.choose(hit && this.prints.at(hit));
  }

  /** Take the news of a change, and choose what it has made once that is shown. */
  heard(answer, piece = null, key = "") {
    this.said = "";
    tell("");
    this.next = piece;
    this.nextPrint = key ? { piece, key } : null;
    if (piece && !this.shaping) this.shape(true);
    this.desk.hear(answer);
  }

  /** Say what went wrong, where mistakes stand, until something else is done. */
  fail(text) {
    this.said = text;
    tell(text);
  }

  /** Have edits written into the file; whether they were. */
  async edit(edits) {
    return this.asked("/edits", { made: this.data.made, page: this.desk.me, edits });
  }

  undo() {
    return this.desk.undo();
  }

  async asked(address, question) {
    try {
      const answer = await ask(address, this.secret, question);
      this.said = "";
      tell("");
      if (answer.undo !== undefined) this.desk.hear(answer);
      if (answer.unused?.length) this.desk.tell(`Undone. ${answer.unused.join(", ")} stays beside the design until this page's server ends.`);
      return true;
    } catch (error) {
      this.fail(error.message);
      return false;
    }
  }

  /** Resolves when the page shows what the file says. */
  followed() {
    return new Promise((done) => (this.waiting ??= []).push(done));
  }

  toggle() {
    if (this.viewer.playing || this.viewer.entrance) this.viewer.pause();
    else this.viewer.play();
  }

  showView() {
    for (const button of document.querySelectorAll("[data-view]")) {
      button.setAttribute("aria-pressed", button.dataset.view === this.viewer.views.name);
    }
    this.hand.invite();
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const place = event.target === byId("dial") ? "dial" : event.target === byId("picture") ? "picture" : "page";
    // A step on and back from wherever nothing is typed: mostly from the buttons of the steps.
    const steps = (event.key === "," || event.key === ".") && !event.target.closest("input, select, textarea");
    if (place === "page" && event.target !== document.body && !steps) return;
    const act = this.turning(event, place) ?? this.nudging(event, place) ?? this.opening(event, place) ?? this.choosing(event, place);
    if (!act) return;
    event.preventDefault();
    act();
    this.showView();
  }

  /** Keys that move the camera. */
  turning({ key, shiftKey }, place) {
    const { views } = this.viewer;
    if (place !== "picture") return null;
    const arrows = { ArrowLeft: [-0.08, 0], ArrowRight: [0.08, 0], ArrowUp: [0, 0.06], ArrowDown: [0, -0.06] };
    if (shiftKey && arrows[key]) return () => views.turn(...arrows[key]);
    const zooms = { "+": 1.12, "=": 1.12, "-": 1 / 1.12 };
    if (zooms[key]) return () => views.zoom(zooms[key]);
    const name = this.data.views["123".indexOf(key)]?.name;
    return name ? () => views.travel(name) : null;
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

  /** Keys that open and close. */
  opening({ key, shiftKey }, place) {
    const { viewer } = this;
    const [first, last] = viewer.limits;
    if (key === "Home" || key === "End") return () => viewer.choose(key === "Home" ? first : last);
    const step = place === "dial" && shiftKey ? 10 : 1;
    const by = { ArrowRight: step, ArrowUp: step, ArrowLeft: -step, ArrowDown: -step, PageUp: 15, PageDown: -15 }[key];
    return by ? () => viewer.choose(Math.round((viewer.opening + by) * 1e6) / 1e6) : null;
  }

  choosing({ key }, place) {
    if (key === "Escape" && document.body.classList.contains("bare")) return () => this.full(false);
    if (key === "f" && place !== "page") return () => this.full(!document.body.classList.contains("bare"));
    if (key === " ") return () => (this.viewer.stage.built ? this.playBuild() : this.toggle());
    if (key === "," || key === ".") return () => this.build(key === "," ? "back" : "next");
    if (key === "?" && place !== "page") return () => byId("help").showModal();
    return null;
  }

  // ------------------------------------------------------------------ start and reload

  /**
   * `#opening=90&view=low` says how the page starts (see Address); without an opening the book opens
   * once. `#draft` draws plainly, for a slow computer.
   */
  start() {
    if (!this.address.apply()) this.viewer.enter();
    this.address.follow();
    this.showView();
  }

  listen(version) {
    this.shown = version;
    const events = new EventSource("/events");
    events.addEventListener("message", (event) => {
      this.news = JSON.parse(event.data);
      tell(this.news.mistake || this.said); // what was refused is read until something is done
      this.desk.hear(this.news.desk);
      this.files.hear(this.news.files);
      this.following ??= this.follow()
        .catch(() => tell(STOPPED)) // the next sign of the server clears it
        .finally(() => (this.following = null));
    });
    events.addEventListener("error", () => tell(STOPPED));
  }

  /** Fetch scenes until the newest is shown. */
  async follow() {
    while (this.news.version !== this.shown) {
      const { version } = this.news;
      const answer = await fetch("/scene.json", { cache: "no-store" });
      const pose = this.viewer.views.pose;
      this.viewer.load({ ...(await answer.json()), live: true });
      this.viewer.views.pose = pose;
      this.tug.loaded();
      this.look.loaded();
      this.prints?.loaded();
      this.shown = version;
      this.refill();
      this.say("The design has changed");
      for (const done of this.waiting?.splice(0) ?? []) done();
    }
  }

  /** Choose what has just been made, once it is there: a name, or several. */
  choose(next) {
    const { stage } = this.viewer;
    const names = [next ?? []].flat();
    if (!names.length || !names.every((name) => stage.pieces.has(name))) return;
    this.next = null;
    for (const name of stage.pieces.keys()) stage.mark(name, names.includes(name));
    if (!this.nextPrint) this.prints?.choose(null);
    this.showStates();
    this.viewer.change();
  }

  /** Take what has just been printed under the hand, once it is there. */
  choosePrint(next) {
    const print = next && this.data.prints?.find(({ piece, key }) => piece === next.piece && key === next.key);
    if (!print) return;
    this.nextPrint = null;
    this.prints.choose(print);
  }

  /** Fill the panel again; what has the focus keeps it, and what is read stays in its place. */
  refill() {
    const { id, dataset } = document.activeElement ?? {};
    const cards = document.querySelector(".cards");
    const { scrollTop } = cards;
    this.fill();
    this.notebook.show();
    this.choose(this.next);
    this.choosePrint(this.nextPrint);
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

/** A picture and a sentence in place of the spread, or the spread again. */
function instead(data, sentence) {
  document.body.classList.toggle("instead", Boolean(sentence));
  byId("instead").hidden = !sentence;
  byId("instead").querySelector("p").textContent = sentence;
  const picture = byId("instead").querySelector("img");
  picture.hidden = !data.poster;
  if (sentence && data.poster) picture.src = data.poster;
}

/** The page of a browser that cannot draw: it shows the picture, and follows by loading again. */
function plain(data) {
  document.title = data.title;
  document.querySelector("h1").textContent = data.title;
  instead(data, NOT_DRAWN);
  if (!data.live) return;
  const events = new EventSource("/events");
  events.addEventListener("message", (event) => {
    const news = JSON.parse(event.data);
    tell(news.mistake);
    if (news.version !== data.version) location.reload();
  });
  events.addEventListener("error", () => tell(STOPPED));
}

const scene = JSON.parse(byId("scene").textContent);
const poster = byId("poster");
const drawable = Boolean(document.createElement("canvas").getContext("webgl2"));
let page;

/** Draw the spread; its picture stays before it until it is there. */
function begin() {
  scene.poster ??= poster?.src;
  page = drawable ? new Page(scene) : plain(scene);
  if (!page) poster?.remove();
  else if (poster) page.viewer.seen.push(() => poster.remove());
}

// The picture is shown first, if there is one: the rest takes the browser a moment.
if (poster) poster.decode().catch(() => {}).then(() => requestAnimationFrame(() => setTimeout(begin)));
else begin();

// For those who embed the page, and for its tests.
window.foldstage = {
  /** Whether the spread is there; a page with a picture shows that first. */
  get ready() {
    return Boolean(page);
  },
  get opening() {
    return page.viewer.opening;
  },
  open: (opening) => page.viewer.choose(opening),
  edit: (edits) => page.edit(edits),
  play: () => page.viewer.play(),
  pause: () => page.viewer.pause(),
  settled: () => page.viewer.settled(),
  poses: () => page.viewer.stage.poses(),
  /** Where a point of a page (side ±1, mm from gutter and foot) is in the window at an opening. */
  pagePoint: (side, x, y, opening = page.viewer.opening) =>
    page.viewer.projectScene(page.viewer.stage.pagePoint(side, { x, y, z: 0 }, opening)),
  /** How fine pictures in motion are drawn: the share of the window's pixels along each side. */
  get fineness() {
    return page.viewer.studio.share;
  },
  /** How many frames in motion were drawn so far. */
  frames: () => page.viewer.frames,
  view: () => page.viewer.views.pose,
  /** The part of the window that nothing covers, pixels. */
  area: () => page.viewer.area(),
  /** Where a point of the scene (mm) is in the window. */
  projectScene: (point) => page.viewer.projectScene(new Vector3(...point)),
  picture: () => page.savePicture(),
  /** Show a step of the building, from 0, as it stands after a share of its time. */
  stand: (step, share) => {
    page.viewer.stand(step, share);
    page.showStates();
  },
  /** Where all facets are that are seen, by number: column-major 4 × 4 matrices in the scene, mm. */
  facets: () => page.viewer.stage.facets(),
  /** Whether a step of the building moves, or all of them one after the other. */
  get walking() {
    return Boolean(page.viewer.walking);
  },
  record: (length) => page.record(length),
  /** Names of the pieces of which something is to be seen. */
  seen: () => page.viewer.stage.seen,
  /** Which piece is drawn at points of the window, and the rays on which they are seen. */
  drawnAt: (points) => drawnAt(points, page.viewer.studio, page.viewer.stage.pieces, page.viewer.views.camera),
  /** Move a flyleaf, wheel or slide, 0 to 1. */
  put: (name, share) => page.viewer.put(name, share),
  /** Let the hand shape the paper, or not. */
  shape: (on) => page.shape(on),
  /** Which text of the design is shown. */
  get made() {
    return page.data.made ?? "";
  },
  /** Where a point of the spread (mm, unlifted) is in the window. */
  project: (point) => page.viewer.project(point),
  /** The path of the number that follows the hand. */
  following: () => page.tug.following,
  /** What the hand holds: a point of a body, in its own coordinates. */
  held: () => {
    const { about, answer } = page.tug.held ?? {};
    return answer ? { body: about.body, local: about.local } : null;
  },
  /** What the ruler says, mm; null before two points are marked. */
  measured: () => page.look.ruler.distances,
  /** Where what is traced stands in the scene, by body. */
  traced: () => page.look.tracing.poses(),
  /** Areas of the faces of a level cut at a height over the table (mm), by piece, mm². */
  cut: (height) => {
    page.look.section.cut(height);
    return page.look.section.areas();
  },
  /** The closed spread at a height over the foot of the page: strips with their levels. */
  layers: (y) => layers(page.data, page.viewer.stage.motion, y),
  /** How often the paper has followed a hand that pulls at it. */
  pulled: () => page.tug.counted ?? 0,
  get shares() {
    return Object.fromEntries(page.viewer.stage.motion.shares);
  },
  /** Where a point of a body (mm, its own coordinates) is in the window. */
  bodyPoint: (name, point) => page.viewer.bodyPoint(name, point),
};
