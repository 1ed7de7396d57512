// The flat sheet of the chosen piece, small, with the length or angle marked that a key means.
import { ask } from "./ask.js";
import { element } from "./cards.js";

const SPACE = "http://www.w3.org/2000/svg";
const [WIDE, TALL, RIM] = [268, 176, 26];
const DOT = 3.2;

export class FlatSheets {
  constructor(page) {
    this.page = page;
    this.svg = shape("svg", { viewBox: `0 0 ${WIDE} ${TALL}`, "aria-hidden": "true" });
    this.words = element("figcaption", {});
    this.box = element("figure", { class: "flat", hidden: "" }, this.svg, this.words);
  }

  /** Ask for the sheets of a piece, and show the first. */
  async show(piece) {
    this.piece = piece;
    const found = await ask("/sheets", this.page.secret, { piece });
    if (this.piece !== piece) return;
    this.found = found;
    this.box.hidden = !found.figures.length;
    if (!this.box.hidden) this.mark(this.marked ?? null);
  }

  /** Mark a key: its field of the form, or nothing. */
  mark(field) {
    this.marked = field;
    if (!this.found?.figures.length) return;
    const mark = field && this.found.marks[field.path.join(".")];
    const figure = this.found.figures[mark?.figure ?? 0];
    const at = fitted(figure, mark?.points ?? []);
    this.svg.replaceChildren(...drawn(figure, at), ...(mark ? marked(mark, at, value(field)) : []));
    const name = figure.name.split(".").pop();
    this.words.textContent = mark ? `${field.key}, on the flat paper` : figure.under.length ? "" : name;
  }
}

function value({ value: given, number, unit }) {
  const known = typeof given === "number" ? given : number;
  return known === undefined || known === null ? "" : `${Math.round(known * 100) / 100}${unit === "°" ? "°" : unit ? ` ${unit}` : ""}`;
}

function shape(tag, attributes) {
  const made = document.createElementNS(SPACE, tag);
  for (const [key, text] of Object.entries(attributes)) made.setAttribute(key, text);
  return made;
}

function pairs(flat) {
  const found = [];
  for (let k = 0; k < flat.length; k += 2) found.push([flat[k], flat[k + 1]]);
  return found;
}

/** From mm on the sheet to the picture, so that the paper and what is marked on it are in view. */
function fitted({ facets }, points) {
  const all = [...facets.flatMap(pairs), ...pairs(points)];
  const [xs, ys] = [0, 1].map((axis) => all.map((point) => point[axis]));
  const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const scale = Math.min((WIDE - 2 * RIM) / Math.max(1, right - left), (TALL - 2 * RIM) / Math.max(1, high - low));
  return ([x, y]) => [WIDE / 2 + (x - (left + right) / 2) * scale, TALL / 2 - (y - (low + high) / 2) * scale];
}

function drawn({ facets, under, folds }, at) {
  const path = (lines, kind) =>
    shape("path", { class: kind, d: lines.map((line) => `M${pairs(line).map((p) => at(p).map((x) => x.toFixed(1)).join(" ")).join("L")}Z`).join("") });
  const found = [];
  if (under.length) found.push(path(under, "under"));
  found.push(path(facets, "paper"));
  for (const [x0, y0, x1, y1, way] of folds) {
    const [[a, b], [c, d]] = [at([x0, y0]), at([x1, y1])];
    found.push(shape("line", { class: way > 0 ? "mountain" : "valley", x1: a, y1: b, x2: c, y2: d }));
  }
  return found;
}

/** A line between two dots, an arc between two arms, or arrows; and what the number is. */
function marked({ kind, points }, at, words) {
  const seen = pairs(points).map(at);
  return { length: between, angle: corner, arrows: going }[kind](seen, words);
}

const line = ([x1, y1], [x2, y2], kind = "mark") => shape("line", { class: kind, x1, y1, x2, y2 });
const dot = ([cx, cy]) => shape("circle", { class: "mark", cx, cy, r: DOT });

function tag([x, y], words) {
  if (!words) return [];
  const wide = 7.4 * words.length + 12;
  const [left, top] = [Math.min(Math.max(x - wide / 2, 1), WIDE - wide - 1), Math.min(Math.max(y - 10, 1), TALL - 21)];
  const text = shape("text", { class: "tag", x: left + wide / 2, y: top + 14.5, "text-anchor": "middle" });
  text.textContent = words;
  return [shape("rect", { class: "tag", x: left, y: top, width: wide, height: 20, rx: 3 }), text];
}

function between([one, two], words) {
  const [x, y] = [(one[0] + two[0]) / 2, (one[1] + two[1]) / 2];
  const far = Math.hypot(two[0] - one[0], two[1] - one[1]) || 1;
  // Beside the line, on the side that is farther from the middle of the paper.
  let [across, up] = [(one[1] - two[1]) / far, (two[0] - one[0]) / far];
  if (across * (x - WIDE / 2) + up * (y - TALL / 2) < 0) [across, up] = [-across, -up];
  const off = 9 + Math.abs(across) * (3.7 * words.length + 6) + Math.abs(up) * 10;
  return [line(one, two), dot(one), dot(two), ...tag([x + across * off, y + up * off], words)];
}

function corner([one, point, two], words) {
  const [first, last] = [one, two].map(([x, y]) => Math.atan2(y - point[1], x - point[0]));
  const arms = [one, two].map(([x, y]) => Math.hypot(x - point[0], y - point[1]));
  const round = Math.max(16, Math.min(46, 0.6 * Math.min(...arms)));
  let turn = last - first;
  while (turn > Math.PI) turn -= 2 * Math.PI;
  while (turn < -Math.PI) turn += 2 * Math.PI;
  const on = (angle, far = round) => [point[0] + far * Math.cos(angle), point[1] + far * Math.sin(angle)];
  const arc = shape("path", { class: "mark", d: `M${on(first).join(" ")}A${round} ${round} 0 0 ${turn > 0 ? 1 : 0} ${on(last).join(" ")}` });
  return [line(point, one, "arm"), line(point, two, "arm"), arc, dot(on(first)), dot(on(last)), ...tag(on(first + turn / 2, round + 20), words)];
}

function going(ends, words) {
  const found = [];
  for (let k = 0; k < ends.length; k += 2) {
    const [from, to] = [ends[k], ends[k + 1]];
    const far = Math.hypot(to[0] - from[0], to[1] - from[1]) || 1;
    const [x, y] = [(to[0] - from[0]) / far, (to[1] - from[1]) / far];
    const tip = [from[0] + 22 * x, from[1] + 22 * y];
    found.push(line(from, tip), dot(from), line(tip, [tip[0] - 6 * x + 4 * y, tip[1] - 6 * y - 4 * x]), line(tip, [tip[0] - 6 * x - 4 * y, tip[1] - 6 * y + 4 * x]));
  }
  return [...found, ...tag([WIDE / 2, TALL - 11], words)];
}
