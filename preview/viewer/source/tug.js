// Pulling at the paper: which number follows the hand stands beside it, and the paper follows.
// The page knows no numbers; it tells the server where the hand is and shows what it answers.
import { Plane, Raycaster, Vector2, Vector3 } from "three";

import { ask } from "./ask.js";
import { around, layAside } from "./beside.js";
import { element } from "./cards.js";

// A finger is less sure than a mouse: pixels before holding becomes pulling.
const STILL_PX = { mouse: 4, pen: 6, touch: 10 };
const TAG_GAP = 22;
const TAG_AWAY = 150;
// So far from the hand what it has done is still found, pixels; our choice.
const NOT_FAR = 400;
// How many other ways are offered after a pull.
const OTHERS = 3;

export class Tug {
  /**
   * @param page says things ({ say, fail }), chooses pieces ({ choose }) and writes ({ edit }).
   */
  constructor(viewer, page) {
    this.viewer = viewer;
    this.page = page;
    this.tag = document.getElementById("tug");
    this.raycaster = new Raycaster();
    this.held = null;
    document.addEventListener("keydown", (event) => this.key(event), { capture: true });
    document.addEventListener("keyup", (event) => this.finer(event), { capture: true });
  }

  /** The path of the number that follows now. */
  get following() {
    const { answer } = this.held ?? {};
    return answer?.bodies ? answer.path : [];
  }

  /** Whether this paper can be pulled: that of a piece, in a page that follows a design. */
  takes(hit) {
    return Boolean(this.on && hit && hit.piece !== "page" && this.viewer.stage.data.made);
  }

  down(event, hit) {
    const { stage, views, opening } = this.viewer;
    this.forget();
    this.viewer.pause();
    views.journey = null;
    this.held = {
      pointer: event.pointerId,
      from: [event.clientX, event.clientY],
      still: STILL_PX[event.pointerType] ?? STILL_PX.mouse,
      at: [event.clientX, event.clientY],
      plane: this.facing(hit.point),
      piece: hit.piece,
      hit,
      about: {
        made: stage.data.made,
        piece: hit.piece,
        body: stage.bodies[hit.body].name,
        local: hit.local.toArray(),
        opening,
        shares: Object.fromEntries(stage.motion.shares),
      },
      path: null,
      typed: "",
      fine: event.altKey,
      since: performance.now(),
      keys: event.pointerType !== "touch",
      pulling: false,
      answer: null,
    };
    this.inquire(); // so that it is warm when the hand sets out
  }

  /** The plane through what is held that faces the eye. */
  facing(point) {
    const { camera } = this.viewer.views;
    return new Plane().setFromNormalAndCoplanarPoint(camera.getWorldDirection(new Vector3()), point);
  }

  move(event) {
    const { held } = this;
    if (event.pointerId !== held?.pointer) return;
    held.at = [event.clientX, event.clientY];
    held.fine = event.altKey;
    if (!held.pulling && Math.hypot(held.at[0] - held.from[0], held.at[1] - held.from[1]) < held.still) return;
    held.pulling = true;
    this.viewer.studio.hurry();
    this.inquire();
  }

  async up(event) {
    const { held } = this;
    if (event.pointerId !== held?.pointer) return;
    if (!held.pulling && !held.typed) {
      this.held = null;
      if (event.pointerType === "touch") this.page.rested(held);
      this.page.choose(held.piece, held.hit, event);
      return;
    }
    await this.letGo();
  }

  /** The line of sight through the hand, as the spread stands unlifted. */
  sight([x, y], plane) {
    const { camera } = this.viewer.views;
    this.raycaster.setFromCamera(new Vector2((x / innerWidth) * 2 - 1, 1 - (y / innerHeight) * 2), camera);
    const target = this.raycaster.ray.intersectPlane(plane, new Vector3());
    if (!target) return {};
    const { book, opening } = this.viewer.stage;
    const lift = book.lift(opening);
    const eye = camera.position.clone();
    eye.z -= lift;
    target.z -= lift;
    return { eye: eye.toArray(), target: target.toArray() };
  }

  question(held) {
    const where = held.pulling ? this.sight(held.at, held.plane) : {};
    const value = held.typed && Number.isFinite(Number(held.typed)) ? Number(held.typed) : null;
    return { ...held.about, ...where, path: held.path, value, fine: held.fine, further: held.further ?? false };
  }

  /** Ask about where the hand is now; while one question is under way, the latest waits. */
  inquire() {
    const { held } = this;
    if (!held) return null;
    held.latest = true;
    held.asking ??= this.inquiring(held).finally(() => (held.asking = null));
    return held.asking;
  }

  async inquiring(held) {
    while (held.latest && (this.held === held || held.ending)) {
      held.latest = false;
      try {
        const question = this.question(held);
        const answer = await ask("/pull", this.page.secret, question);
        held.answered = JSON.stringify(question);
        // It is worked out while the one before is drawn, but none is left out unseen.
        if (!held.ending) await this.laid;
        if (this.held !== held && !held.ending) return;
        this.show(held, answer);
      } catch (error) {
        held.refused = error.message;
        if (this.held === held) this.tell(held);
      }
    }
  }

  show(held, answer) {
    held.refused = "";
    held.answer = answer;
    if (!answer.bodies) return;
    held.path ??= answer.path;
    this.lay(answer);
    this.tell(held);
    this.laid = this.viewer.seenNow().then(() => (this.counted = (this.counted ?? 0) + 1));
  }

  /** Lay the paper where the server says that it is now. */
  lay(answer) {
    this.viewer.stage.preview(answer);
    this.viewer.setOpening(this.viewer.opening);
  }

  /** The page has been given a scene: what is held stays where it was pulled, in new paper too. */
  loaded() {
    const { held } = this;
    const { data, bodies } = this.viewer.stage;
    if (!held && this.left && this.left !== data.made) this.viewer.studio.hurry(false);
    // What was done is told only while the file still has it.
    if (this.tag.className === "done" && this.told && data.made !== this.told) this.forget();
    else if (data.made !== this.left) this.told ??= data.made;
    if (!held) return;
    if (held.about.made === data.made) {
      if (held.answer?.bodies) this.lay(held.answer);
    } else if (bodies.some(({ name }) => name === held.about.body)) {
      held.about = { ...held.about, made: data.made };
      this.inquire();
    }
  }

  /** What the hand does, beside it: piece, number, old and new value. */
  tell(held) {
    const { answer } = held;
    const lines = [];
    const key = answer?.keys.find((one) => same(one.path, answer.path));
    if (key) lines.push(...this.described(held, key, answer));
    if (held.refused || answer?.stopped) lines.push(element("span", { class: "stopped" }, sentence(held.refused || answer.stopped)));
    if (!lines.length && held.pulling && answer && !answer.path)
      lines.push(element("span", { class: "stopped" }, "No number of it moves this way."));
    this.tag.hidden = !lines.length;
    this.tag.className = "";
    this.tag.replaceChildren(...lines);
    this.place(held);
  }

  described(held, key, answer) {
    const value = held.typed || number(answer.value);
    const lines = [
      element("strong", {}, keyWords(key)),
      element(
        "span",
        { class: "change" },
        element("s", {}, number(key.value)),
        " → ",
        element("b", {}, `${value}${unit(key)}`),
      ),
    ];
    const others = key.pieces.filter((name) => name !== held.piece);
    if (others.length) lines.push(element("span", { class: "also" }, `also changes ${listed(others)}`));
    if (this.page.moves(held.piece, key.path)) lines.push(element("span", { class: "also" }, "moves all that are chosen"));
    if (key.expression) lines.push(element("span", { class: "also" }, `parts it from ${key.expression}`));
    if (answer.keys.length > 1 && held.pulling && held.keys)
      lines.push(element("span", { class: "ways" }, "Tab: another number · 0–9: type it · Esc: leave it"));
    return lines;
  }

  /** Beside the hand, and if that is not far, beside the paper that it holds. */
  place({ at: [x, y], about }) {
    const { style, offsetWidth: wide, offsetHeight: tall } = this.tag;
    const [first, last] = this.breadth(about.body);
    const beyond = Math.min(Math.max(x, last), x + TAG_AWAY) + TAG_GAP;
    const before = Math.max(Math.min(x, first), x - TAG_AWAY) - TAG_GAP;
    const left = beyond + wide > this.viewer.area().left + this.viewer.area().width ? before - wide : beyond;
    style.left = `${Math.max(8, Math.min(left, innerWidth - wide - 8))}px`;
    style.top = `${Math.max(8, Math.min(y - tall - 8, innerHeight - tall - 8))}px`;
  }

  /** From where to where a body is seen, pixels of the window. */
  breadth(name) {
    const { data } = this.viewer.stage;
    const corners = data.bodies.find((body) => body.name === name)?.corners ?? [];
    const across = corners.map((corner) => this.viewer.bodyPoint(name, corner)[0]);
    return [Math.min(...across), Math.max(...across)];
  }

  key(event) {
    const { held } = this;
    if (!held) return;
    const { key } = event;
    if (key === "Escape") this.drop();
    else if (key === "Tab") this.next(event.shiftKey ? -1 : 1);
    else if (key === "Enter" && held.typed) this.letGo();
    else if (key === "Alt") this.finer(event);
    else if (/^[0-9.,-]$/.test(key)) this.type(held.typed + (key === "," ? "." : key));
    else if (key === "Backspace") this.type(held.typed.slice(0, -1));
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  finer(event) {
    if (!this.held || event.key !== "Alt") return;
    event.preventDefault();
    this.held.fine = event.type === "keydown";
    if (this.held.pulling) this.inquire();
  }

  type(text) {
    this.held.typed = text;
    this.held.path ??= this.held.answer?.keys[0]?.path ?? null;
    this.inquire();
    this.tell(this.held);
  }

  /** Go on to the next number that could follow; past the last, those of what it stands on. */
  async next(by) {
    const { held } = this;
    const keys = held.answer?.keys ?? [];
    if (!keys.length) return;
    const now = keys.findIndex((one) => same(one.path, held.path ?? []));
    const place = now + by;
    if (place >= keys.length && !held.further) {
      held.further = true;
      held.path = keys[now]?.path ?? null;
      await this.inquire();
      return;
    }
    held.path = keys[(place + keys.length) % keys.length].path;
    held.typed = "";
    this.inquire();
  }

  /** Put the paper back as it was. */
  drop() {
    this.held = null;
    this.tag.hidden = true;
    this.viewer.studio.hurry(false);
    this.viewer.stage.endPreview();
    this.viewer.setOpening(this.viewer.opening);
  }

  /** Ask once more for where the hand is, and write what it has become. */
  async letGo() {
    const { held } = this;
    held.ending = true;
    this.held = null;
    this.left = held.about.made;
    this.viewer.studio.hurry();
    await held.asking;
    if (held.answered !== JSON.stringify(this.question(held))) {
      held.latest = true;
      await this.inquiring(held);
    }
    const { answer } = held;
    const key = answer?.keys.find((one) => same(one.path, answer.path));
    if (!key || held.refused || answer.value === key.value) {
      if (held.refused) this.page.fail(sentence(held.refused));
      this.drop();
      return;
    }
    const done = this.page.moves(held.piece, key.path)
      ? await this.page.moveAll(key.path[2], answer.value - key.value, held.piece)
      : await this.page.edit([{ edit: "set", path: key.path, value: answer.value }]);
    if (done) this.keep(held, key, answer);
    else this.drop();
  }

  /** What was done, for a while, and what could have been done instead. */
  keep(held, key, answer) {
    this.page.say(`${keyWords(key)}: ${number(key.value)} is now ${number(answer.value)}${unit(key)}`);
    const others = answer.keys.filter((one) => !same(one.path, key.path));
    // First of all, to part this piece from those that share its number.
    others.sort((one, two) => parts(two, key) - parts(one, key));
    const instead = others.slice(0, OTHERS).map((one) => {
      const words = parts(one, key) ? `${held.piece} alone` : shortly(one, held.piece);
      return element("button", { type: "button", onclick: () => this.instead(held, one) }, words);
    });
    const buttons = [element("button", { type: "button", onclick: () => this.takeBack() }, "Undo")];
    const { made } = this.viewer.stage.data;
    this.told = made === this.left ? null : made;
    this.tag.className = "done";
    this.tag.hidden = false;
    this.tag.replaceChildren(
      element("strong", {}, keyWords(key)),
      element("span", { class: "change" }, element("s", {}, number(key.value)), " → ", element("b", {}, `${number(answer.value)}${unit(key)}`)),
      ...(key.pieces.length > 1 ? [element("span", { class: "also" }, `changed ${listed(key.pieces)}`)] : []),
      ...(instead.length ? [element("span", { class: "ways" }, "Or change instead")] : []),
      element("div", { class: "buttons" }, ...instead, ...buttons),
    );
    this.place(held);
    this.putAside(held);
  }

  /**
   * Where it covers nothing else: no paper at all if such a place is not far, and if there is one,
   * none of the paper that was pulled.
   */
  putAside({ at, piece }) {
    const paper = around(this.viewer.stage.pointsOf(piece).map((point) => this.viewer.projectScene(point)));
    // One box for all of it: among hundreds the search would be felt.
    const spread = around(this.viewer.stage.corners().flat().map((point) => this.viewer.projectScene(point)));
    const wish = layAside(this.tag, at, { boxes: [paper, spread], far: NOT_FAR }, { boxes: [paper] }, { boxes: [] });
    this.tag.toggleAttribute("data-clear", wish === 0);
  }

  async takeBack() {
    this.forget();
    await this.page.undo();
  }

  /** The same pull by another number: the first one goes back to what it was. */
  async instead(held, other) {
    this.forget();
    const undone = await this.page.undo();
    if (!undone) return;
    await this.page.followed(undone);
    const about = { ...held.about, made: this.viewer.stage.data.made };
    const again = { ...held, about, path: other.path, typed: "", ending: true, answer: null, latest: true };
    await this.inquiring(again);
    if (!again.answer?.bodies) return;
    const chosen = again.answer.keys.find((one) => same(one.path, again.answer.path));
    if (!chosen || chosen.value === again.answer.value) {
      this.drop();
      return;
    }
    if (await this.page.edit([{ edit: "set", path: chosen.path, value: again.answer.value }]))
      this.keep(again, chosen, again.answer);
    else this.drop();
  }

  forget() {
    this.tag.hidden = true;
  }
}

/** Whether a key holds the expression that names another. */
function parts(key, { through }) {
  return same(key.path, through);
}

function same(one, two) {
  return Boolean(two) && one.length === two.length && one.every((key, k) => key === two[k]);
}

/** A number as people write it: no more digits than it has. */
function number(value) {
  return String(Math.round(value * 1e4) / 1e4).replace("-", "−");
}

function unit({ unit: name }) {
  return name && name !== "°" ? ` ${name}` : name;
}

/** `pieces.fern.outline.length` as “fern: outline length”; a name of [values] by itself. */
function keyWords({ path }) {
  const [table, name, ...keys] = path;
  return table === "pieces" ? `${name}: ${keys.join(" ").replaceAll("_", " ")}` : name.replaceAll("_", " ");
}

function shortly(key, piece) {
  const words = keyWords(key);
  return words.startsWith(`${piece}: `) ? words.slice(piece.length + 2) : words;
}

function listed(names) {
  const most = 3;
  return names.length > most + 1 ? `${names.slice(0, most).join(", ")} and ${names.length - most} more` : names.join(", ");
}

function sentence(text) {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}${text.endsWith(".") ? "" : "."}`;
}
