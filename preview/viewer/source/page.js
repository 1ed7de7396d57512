// The page: a spread to look at, with its panel and its keys. What can be changed is in shaping.js.
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
import { LOST, instead } from "./begin.js";
import { Clip } from "./capture.js";
import { Hand } from "./hand.js";
import { Look } from "./look.js";
import { Viewer } from "./viewer.js";
import { Vector3 } from "three";

const byId = (id) => document.getElementById(id);
const KEYS = [
  ["← →", "close and open by one degree (Shift on the dial: ten)"],
  ["Page Up, Page Down", "open and close by fifteen degrees"],
  ["Home, End", "shut, fully open"],
  ["Space", "play and pause"],
  ["Shift + arrows", "turn the view (on the picture)"],
  ["+ −", "zoom in and out (on the picture)"],
  ["1 2 3", "reader, overhead, low (on the picture)"],
  ["Shift, Ctrl", "choose one more piece, or one less"],
  [", .", "a step of the building back and on"],
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

export class Page {
  /** @param data the scene. */
  constructor(data) {
    this.viewer = new Viewer(data, new URLSearchParams(location.hash.slice(1)).get("draft"));
    this.address = new Address(this.viewer);
    this.equip(data);
    this.look = new Look(this);
    this.tabs = new Tabs(document.querySelector(".tabs"), document.querySelector(".cards"), (id) => id === "build" && this.plan());
    this.viewer.listeners.push(() => this.showMarkedFolds());
    this.viewer.listeners.push(() => this.showHands());
    this.viewer.stepped = () => this.showStates();
    this.fill();
    this.wire();
    this.start();
  }

  /** Give the page what takes part in it: here a hand that turns and opens the book. */
  equip() {
    this.hand = new Hand(this.viewer);
  }

  /** What shows the cures of a finding; nothing here. */
  get curing() {
    return null;
  }

  /** Keys and what they do, for the list of them. */
  get keys() {
    return KEYS;
  }

  get data() {
    return this.viewer.stage.data;
  }

  say(text) {
    byId("status").textContent = text;
  }

  // ------------------------------------------------------------------ panel

  fill() {
    const { data } = this;
    document.title = data.title;
    document.querySelector("h1").textContent = data.title;
    this.fillViews();
    this.fillHands();
    const own = data.pieces.filter((piece) => piece.name !== "page");
    const check = {
      id: "check",
      label: "Check",
      count: data.findings.length,
      card: checkCard(data, (finding) => this.visit(finding), this.curing),
    };
    // A page to send shows the check only if it was asked to.
    const checks = data.live || data.checked || data.findings.length ? [check] : [];
    this.tabs.fill(this.cards(own, checks));
    this.showStates();
  }

  /** Cards of the panel: {id, label, count, card}. */
  cards(own, checks) {
    const { viewer } = this;
    return [
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
      { id: "build", label: "Build", card: buildCard(this.data.steps, (to) => this.build(to), () => this.leaveBuild(), () => this.playBuild()) },
      { id: "photo", label: "Picture", card: this.pictureCard() },
      { id: "look", label: "Look", card: this.look.card },
    ];
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

  row(name) {
    return document.querySelector(`[data-piece="${CSS.escape(name)}"]`);
  }

  /** Choose a piece, or let it go; with Shift or Ctrl the others stay chosen. */
  mark(name, event = null) {
    const { stage } = this.viewer;
    const marked = !stage.pieces.get(name).marked;
    if (this.adds(event)) stage.mark(name, marked);
    else for (const other of stage.pieces.keys()) stage.mark(other, marked && other === name);
    this.showStates();
    this.viewer.change();
  }

  /** Whether a press adds to what is chosen: a key is held. */
  adds(event) {
    return Boolean(event?.shiftKey || event?.ctrlKey || event?.metaKey);
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

  /** The building of a page to look at is planned already. */
  plan() {}

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
    byId("full").addEventListener("click", () => this.full(!document.body.classList.contains("bare")));
    document.addEventListener("fullscreenchange", () => document.fullscreenElement || this.full(false));
    byId("drawer").addEventListener("click", () => {
      const open = byId("panel").classList.toggle("open");
      byId("drawer").setAttribute("aria-expanded", open);
      viewer.resize();
    });
    for (const [key, meaning] of this.keys) {
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
    const act = this.meant(event, place);
    if (!act) return;
    event.preventDefault();
    act();
    this.showView();
  }

  /** What a key does at a place of the page; null for nothing. */
  meant(event, place) {
    return this.turning(event, place) ?? this.opening(event, place) ?? this.choosing(event, place);
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

  /**
   * `#opening=90&view=low` says how the page starts (see Address); without an opening the book opens
   * once. `#draft` draws plainly, for a slow computer; `#draft=0.4` coarsely too, at that share of
   * the window's pixels along each side.
   */
  start() {
    if (!this.address.apply()) this.viewer.enter();
    this.address.follow();
    this.showView();
  }
}
