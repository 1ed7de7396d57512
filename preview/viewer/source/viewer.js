// The viewer: one opening, one camera, one loop that draws only while something changes.
import { Vector3 } from "three";

import { bench } from "./bench.js";
import { Course } from "./course.js";
import { savePicture, Clip } from "./capture.js";
import { Dial } from "./dial.js";
import { lamp } from "./paper.js";
import { Stage } from "./stage.js";
import { Studio } from "./studio.js";
import { Views } from "./views.js";

const STANDING_DEG = 146; // like the published pictures: open, and everything stands
// Across a page of A5 (ISO 216), mm.
const A5_DIAGONAL_MM = Math.hypot(148, 210);
const CYCLE_MS = 7000;
const FLIGHT_MS = 1100;
const PRESS_MS = 2600;
const STEP_MS = 5000; // of the building, where it is played
// Where frames come slowly, a building step is shown in slow motion: no more of it is skipped.
const MOST_SHARE = 0.1;
const PRESS_DEG = 25; // how far the book is closed to press glue, enough to see what happens
// Where what is not on the page yet is held, and where it comes from: shares of the page's size.
const HELD = [0, -0.12, 0.3];
const FAR = [0.25, -0.9, 0.75];
const ENTRANCE_MS = 1900;
const FRAMES = { "16:9": 16 / 9, "9:16": 9 / 16, "1:1": 1 };

// Parts of a scene of which something is seen on the table.
const DRAWN = ["book", "wedges", "hands", "least", "pieces", "bodies", "curl", "folds", "views", "moods", "made"];

// However much lies on the table, so much of its height is left to the spread, pixels.
const LEAST_HIGH = 120;
const TOOLS_IN_A_ROW = 1240; // as in shaping.css

const byId = (id) => document.getElementById(id);

export class Viewer {
  constructor(data, draft) {
    this.canvas = byId("picture");
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    this.dark = matchMedia("(prefers-color-scheme: dark)");
    this.stage = new Stage(data, () => this.change());
    this.studio = new Studio(this.canvas, { scene: this.stage.scene, coarsely: () => this.stage.coarsely() }, draft);
    this.views = new Views(this.canvas, () => this.change(), () => this.calm.matches);
    this.dial = new Dial(byId("dial"), this.limits, (opening) => this.choose(opening));
    this.frames = 0;
    this.waiting = [];
    this.shown = [];
    this.listeners = [];
    // What lies over the picture and moves with it.
    this.seen = [];
    this.theme = "system";
    this.mood = "auto";
    this.frame = "none";
    // Of saved pictures and clips, pixels; null for that of the window.
    this.size = null;
    this.drawn = (now) => this.step(now);
    this.opening = this.stage.motion.clamp(STANDING_DEG);
    this.furnish();
    this.dark.addEventListener("change", () => this.light());
    addEventListener("resize", () => this.resize());
    this.resize();
    this.light();
  }

  get limits() {
    return [this.stage.motion.first, this.stage.motion.last];
  }

  /**
   * Show what has changed of the design, keeping camera, opening, the step of building and what is
   * hidden.
   * @param parts of a scene; all that they leave out stays as it is.
   */
  load(parts) {
    const data = { ...this.stage.data, ...parts };
    if (DRAWN.some((key) => key in parts)) {
      this.stage.load(data);
      this.dial.setLimits(this.limits);
      this.furnish();
      this.light();
    } else this.stage.data = data;
    if (!this.course) {
      this.walking = null;
      this.going = false;
      this.stage.place(null);
    }
    this.setOpening(this.opening);
    if (this.built != null && "steps" in parts) this.lay(data.steps?.[this.built] ? this.built : null);
  }

  /** Fit room, light and framing to the size of the spread. */
  furnish() {
    const { motion, book } = this.stage;
    const openings = [0, 0.25, 0.5, 0.75, 1].map((s) => motion.first + s * (motion.last - motion.first));
    const all = this.stage.reach(openings);
    const centre = new Vector3(0, book.height / 2, 0);
    const reach = Math.max(...all.map((point) => point.distanceTo(centre)));
    this.studio.setRoom(centre, reach, -book.depth, Math.hypot(book.width, book.height) / A5_DIAGONAL_MM);
    // The closed book stands taller than anything; the framing is for the open spread.
    this.views.setNamed(this.stage.data.views);
    this.views.points = this.stage.reach(openings.slice(2).concat(motion.clamp(STANDING_DEG)));
  }

  // ------------------------------------------------------------------ opening

  setOpening(opening) {
    this.opening = this.stage.motion.clamp(opening);
    this.stage.setOpening(this.opening);
    this.dial.show(this.opening);
    byId("angle").textContent = `${Math.round(this.opening)}°`;
    for (const listener of this.listeners) listener();
    this.change();
  }

  /** The reader chooses an opening: stop what moves by itself. */
  choose(opening) {
    this.pause();
    if (this.stage.built) this.leaveCourse();
    byId("hint").hidden = true;
    this.setOpening(opening);
  }

  play() {
    byId("hint").hidden = true;
    this.playing = { since: null, phase: this.phase };
    byId("play").setAttribute("aria-pressed", "true");
    byId("play").setAttribute("aria-label", "Pause");
    this.request();
  }

  pause() {
    this.playing = null;
    this.entrance = null;
    this.pressing = null;
    byId("play").setAttribute("aria-pressed", "false");
    byId("play").setAttribute("aria-label", "Play");
  }

  /** Where in a cycle of opening and closing (0 to 1) the present opening stands, on the way up. */
  get phase() {
    const [first, last] = this.limits;
    return Math.acos(1 - (2 * (this.opening - first)) / (last - first)) / (2 * Math.PI);
  }

  cycle(phase) {
    const [first, last] = this.limits;
    return first + ((1 - Math.cos(2 * Math.PI * phase)) / 2) * (last - first);
  }

  /** Open the book once when the page has loaded, unless the system asks for less motion. */
  enter() {
    const end = this.opening;
    if (this.calm.matches || end - this.limits[0] < 40) return;
    this.entrance = { since: null, start: Math.max(this.limits[0], end - 110), end };
    this.setOpening(this.entrance.start);
  }

  // ------------------------------------------------------------------ loop

  /** Something to see has changed. */
  change() {
    this.studio.invalidate();
    this.request();
  }

  request() {
    this.requested ??= requestAnimationFrame(this.drawn);
  }

  step(now) {
    this.requested = null;
    const moving = [this.views.update(now), this.advance(now), this.fly(now), this.advanceWalk(now)].some(Boolean);
    this.studio.draw(this.views.camera, moving, now);
    for (const done of this.shown.splice(0)) this.studio.pace.through().then(done);
    this.overlay();
    this.clip?.copy();
    if (moving) this.frames += 1;
    if (moving || !this.studio.settled || this.clip) this.request();
    else for (const done of this.waiting.splice(0)) done();
  }

  advance(now) {
    if (this.entrance) return this.advanceEntrance(now);
    if (!this.playing) return false;
    this.playing.since ??= now;
    const phase = this.playing.phase + (now - this.playing.since) / CYCLE_MS;
    this.setOpening(this.cycle(phase));
    return true;
  }

  advanceEntrance(now) {
    const { start, end } = this.entrance;
    this.entrance.since ??= now;
    const share = Math.min(1, (now - this.entrance.since) / ENTRANCE_MS);
    this.setOpening(start + (end - start) * (1 - (1 - share) ** 3));
    if (share === 1) this.entrance = null;
    return true;
  }

  /** Resolves when nothing moves and the light has settled. */
  settled() {
    this.request();
    return new Promise((done) => this.waiting.push(done));
  }

  /** Resolves when all that has changed so far is seen. */
  seenNow() {
    this.request();
    return new Promise((done) => this.shown.push(done));
  }

  // ------------------------------------------------------------------ picture

  resize() {
    if (this.fixed) return; // once that is done
    const { innerWidth: width, innerHeight: height } = window;
    this.studio.resize(width, height, Math.min(devicePixelRatio, 2));
    const area = this.area();
    this.views.resize(width, height, area);
    this.showFrame(area);
    this.setOpening(this.opening);
  }

  /** The part of the window that nothing covers, or the frame within it; pixels. */
  area() {
    const { innerWidth: width, innerHeight: height } = window;
    const wide = width > 820;
    if (!wide && height <= 480 && this.frame === "none") {
      return { left: 12, top: 76, width: width - 216, height: height - 76 - 60 };
    }
    const bare = document.body.classList.contains("bare");
    const right = wide && !bare ? 340 : 0;
    // Empty while they are put away.
    const [paper, notebook, table, several] = ["paper", "notebook", "light-table", "several"].map(boxOf);
    // Where the tools stand in one row, the spread lies under them.
    const tools = width >= TOOLS_IN_A_ROW && boxOf("desk").height ? boxOf("header").bottom + 8 : 0;
    const open = wide && this.frame === "none" ? Math.max(this.belowHands(92), tools) : 16;
    const above = wide || bare ? open : boxOf("header").bottom + 8;
    const left = wide ? Math.max(20, ...[paper, notebook, table].map((box) => box.right + 8)) : 20;
    const drawer = !wide && byId("panel").classList.contains("open");
    const lying = wide ? [] : [notebook, table, several].map((box) => box.height && height - box.top);
    const below = Math.max(drawer ? byId("panel").offsetHeight : 0, ...lying);
    const bottom = below ? below + 8 : wide ? (height > 560 ? 176 : 150) : 220;
    const top = Math.min(above, height - bottom - LEAST_HIGH);
    const free = { left, top, width: width - right - left - 20, height: height - top - bottom };
    const ratio = FRAMES[this.frame];
    if (!ratio) return free;
    const across = Math.min(free.width, free.height * ratio);
    const down = across / ratio;
    return {
      left: free.left + (free.width - across) / 2,
      top: free.top + (free.height - down) / 2,
      width: across,
      height: down,
    };
  }

  /** Where the picture begins if what is moved by hand lies over it at the top, pixels. */
  belowHands(top) {
    const { bottom, height } = byId("hands").getBoundingClientRect();
    return height && bottom < innerHeight / 2 ? Math.max(top, bottom + 8) : top;
  }

  setFrame(frame) {
    this.frame = frame;
    this.resize();
    if (!this.views.name) this.views.travel("reader");
  }

  /** Look as a camera of the film does, within its frame. */
  film(camera) {
    // A view that was kept is shown as it was seen.
    if (!(this.frame in FRAMES) && !camera.kept) this.setFrame("16:9");
    this.choose(camera.opening_deg);
    this.views.film(camera);
  }

  /** Where the picture is seen from, as the server takes it: mm and degrees. */
  get standing() {
    const { motion } = this.stage;
    const moved = motion.hands.filter(({ name, rest }) => motion.shares.get(name) !== rest);
    const shares = Object.fromEntries(moved.map(({ name }) => [name, motion.shares.get(name)]));
    return { ...this.views.seen, opening: this.opening, shares };
  }

  showFrame({ left, top, width, height }) {
    const frame = byId("frame");
    frame.hidden = !(this.frame in FRAMES);
    Object.assign(frame.style, {
      left: `${left}px`,
      top: `${top}px`,
      width: `${width}px`,
      height: `${height}px`,
    });
  }

  /** The part of the drawing buffer that a saved picture shows. */
  part() {
    if (this.fixed) return { left: 0, top: 0, ...this.fixed };
    const scale = this.studio.size.x / innerWidth;
    const whole = { left: 0, top: 0, width: innerWidth, height: innerHeight };
    const shown = this.frame in FRAMES ? this.area() : whole;
    return Object.fromEntries(
      Object.entries(shown).map(([key, value]) => [key, Math.round(value * scale)]),
    );
  }

  light() {
    const dark = this.theme === "system" ? this.dark.matches : this.theme === "dark";
    document.documentElement.dataset.theme = dark ? "dark" : "light";
    const name = this.mood === "auto" ? (dark ? "dusk" : "daylight") : this.mood;
    const { moods } = this.stage.data;
    const mood = moods.find((one) => one.name === name) ?? moods[0];
    this.studio.setMood(mood, this.stage.data.book);
    lamp.value = mood.lamp;
    this.stage.film.sky.value.setRGB(...mood.sky);
    this.stage.filmEdge.setScalar(mood.gain);
    this.stage.film.key.value.setRGB(...mood.tint);
    this.stage.film.towards.value.set(...mood.direction);
    this.change();
  }

  get fileName() {
    return this.stage.data.title.replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "") || "spread";
  }

  async picture() {
    this.pause();
    return this.inSize(() => {
      this.studio.settle(this.views.camera);
      return savePicture(this.canvas, this.part(), this.fileName);
    });
  }

  /** Do something while the picture has the size that is asked for, whatever size the window has. */
  async inSize(act) {
    if (!this.size) return act();
    const { views } = this;
    const { eye, target, field } = views.seen;
    const shape = views.area.width / views.area.height;
    const { name } = views;
    const { width, height } = this.size;
    this.fixed = { width, height };
    this.studio.whole = true;
    this.canvas.classList.add("sized");
    this.studio.resize(width, height, 1);
    views.resize(width, height, { left: 0, top: 0, width, height });
    // All that was to be seen is in it, whichever side has become shorter.
    const wider = Math.max(1, shape / (width / height));
    if (!name) views.stand({ eye, target, field: (360 / Math.PI) * Math.atan(Math.tan((field * Math.PI) / 360) * wider) });
    try {
      return await act();
    } finally {
      this.fixed = null;
      this.studio.whole = false;
      this.canvas.classList.remove("sized");
      this.resize();
      if (!name) views.stand({ eye, target, field });
      this.change();
    }
  }

  /** Record one opening and closing, or the first part of it. */
  async record(length = CYCLE_MS) {
    return this.inSize(() => this.recorded(length));
  }

  async recorded(length) {
    this.pause();
    this.setOpening(this.limits[0]);
    const { whole } = this.studio;
    this.studio.whole = true;
    this.studio.draw(this.views.camera, true, performance.now());
    this.clip = new Clip(this.canvas, this.part(), this.fileName);
    this.play();
    await new Promise((done) => setTimeout(done, length));
    this.pause();
    const clip = this.clip;
    this.clip = null;
    this.studio.whole = whole;
    return clip.stop();
  }

  // ------------------------------------------------------------------ by hand

  /** Move a flyleaf, wheel or slide to a share of its way, 0 to 1. */
  put(name, share) {
    this.pause();
    this.stage.motion.put(name, share);
    this.dial.setLimits(this.limits);
    this.setOpening(this.opening);
  }

  // ------------------------------------------------------------------ building order

  /** Show a step of the building order (null: the finished spread), its pieces flying in. */
  build(number) {
    this.going = false;
    if (number !== null && this.course) {
      this.walk(number);
      return;
    }
    const moving = this.lay(number);
    this.choose(this.stage.motion.clamp(STANDING_DEG));
    if (number === null || this.calm.matches) return;
    const { action, on_page } = this.stage.data.steps[number];
    const now = performance.now();
    if (moving.size) this.flight = { moving, from: on_page ? HELD : FAR, to: on_page ? [0, 0, 0] : HELD, share: 0, since: now };
    else if (action === "press") this.pressing = { share: 0, since: now, open: this.opening };
    this.fly(now);
    this.request();
  }

  /** How the spread is built as motion, if the page knows it. */
  get course() {
    const { course, steps } = this.stage.data;
    if (!course?.length || course.length !== steps?.length) return null;
    if (this.known?.steps !== course) this.known = new Course(course);
    return this.known;
  }

  /** Play a step as motion: paper is folded, carried to its place and glued. */
  walk(number) {
    this.pause();
    this.lay(number);
    this.stage.lay(null);
    const share = this.calm.matches ? 1 : 0;
    this.walking = { number, share, since: performance.now() };
    this.lookAt(number);
    this.showWalk();
    this.request();
  }

  /** Have all that a step is about in the picture. */
  lookAt(number) {
    const [x0, y0, z0, x1, y1, z1] = this.course.steps[number].box;
    this.views.look([x0, x1].flatMap((x) => [y0, y1].flatMap((y) => [z0, z1].map((z) => new Vector3(x, y, z)))));
  }

  /** Show a step as it stands after a share of its time. */
  stand(number, share) {
    this.pause();
    this.lay(number);
    this.stage.lay(null);
    this.walking = { number, share };
    this.lookAt(number);
    this.showWalk();
    this.walking = null;
  }

  /** Show the moment that the step has come to. */
  showWalk() {
    const { number, share } = this.walking;
    const moment = this.course.at(number, share);
    this.stage.place(moment);
    this.setOpening(moment.opening);
  }

  /** Play on from the step that is shown, step after step, or stop. */
  go(on) {
    this.going = on;
    if (!on) this.walking = null;
    else if (!this.walking) this.walk(this.built ?? 0);
    this.request();
  }

  /** The reader takes over: the step is shown as it stands, and opens and closes. */
  leaveCourse() {
    this.walking = null;
    this.going = false;
    this.stage.place(null);
    if (this.built != null) this.lay(this.built);
    for (const listener of this.listeners) listener();
  }

  advanceWalk(now) {
    if (!this.walking) return false;
    const share = advanced(this.walking, now, STEP_MS);
    this.showWalk();
    if (share < 1) return true;
    const next = this.walking.number + 1;
    this.walking = null;
    if (this.going && next < this.course.steps.length) this.walk(next);
    else this.going = false;
    this.stepped?.();
    return this.walking !== null;
  }

  /** Lay out what is there after a step, without motion; returns the sheets that it brings. */
  lay(number) {
    this.built = number;
    this.flight = this.pressing = this.walking = null;
    this.stage.place(null);
    if (number === null) {
      this.stage.lay(null);
    } else {
      const { shown, held, moving } = bench(this.stage.data.steps, number);
      this.stage.lay(shown, new Set(this.stage.data.steps[number].sheets));
      this.stage.hold(held, HELD);
      this.moving = moving;
    }
    this.setOpening(this.opening);
    return number === null ? new Set() : this.moving;
  }

  fly(now) {
    if (this.pressing) return this.press(now);
    if (!this.flight) return false;
    const share = advanced(this.flight, now, FLIGHT_MS);
    const { moving, from, to } = this.flight;
    const left = (1 - share) ** 3;
    this.stage.hold(moving, from.map((start, k) => to[k] + (start - to[k]) * left));
    this.stage.setOpening(this.opening);
    if (share === 1) this.flight = null;
    return true;
  }

  /** Close the book on fresh glue, and open it again. */
  press(now) {
    const share = advanced(this.pressing, now, PRESS_MS);
    const { open } = this.pressing;
    const shut = Math.max(this.limits[0], Math.min(PRESS_DEG, open));
    this.setOpening(open + ((shut - open) * (1 - Math.cos(2 * Math.PI * share))) / 2);
    if (share === 1) this.pressing = null;
    return true;
  }

  // ------------------------------------------------------------------ places

  /** Where a point of the spread (mm, before it is brought to rest) is in the window, pixels. */
  project(point) {
    return this.projectScene(new Vector3(...point).applyMatrix4(this.stage.rest()));
  }

  /** Where a point of a body is in the window, pixels. */
  bodyPoint(name, point) {
    const body = this.stage.bodies.findIndex((one) => one.name === name);
    return this.projectScene(this.stage.bodyPoint(body, new Vector3(...point)));
  }

  projectScene(place) {
    this.views.camera.updateMatrixWorld();
    const seen = place.project(this.views.camera);
    return [((seen.x + 1) / 2) * innerWidth, ((1 - seen.y) / 2) * innerHeight];
  }

  /** Mark a place of the spread, mm, or nothing. */
  spot(place) {
    this.place = place;
    byId("spot").hidden = !place;
    this.request();
  }

  overlay() {
    for (const follow of this.seen) follow();
    if (!this.place) return;
    const [x, y] = this.project(this.place);
    const { style } = byId("spot");
    style.left = `${x}px`;
    style.top = `${y}px`;
  }
}

/** Where an element is; of one that this page does not have, as of one that is hidden. */
function boxOf(id) {
  return byId(id)?.getBoundingClientRect() ?? new DOMRect();
}

/** How far a move of so many milliseconds has come, 0 to 1; it takes note of the time. */
function advanced(move, now, length) {
  move.share = Math.min(1, move.share + Math.min(MOST_SHARE, Math.max(0, now - move.since) / length));
  move.since = now;
  return move.share;
}
