"use strict";
const field = (id) => document.getElementById(id);
const list = field("cards");
// Words and numbers are read from the page once; typing then only compares and hides.
const cards = [...list.children].map((element, place) => ({
  element,
  place,
  words: element.dataset.words,
  page: element.dataset.page,
  standing: parseFloat(element.dataset.standing),
  pieces: parseFloat(element.dataset.pieces),
  minutes: parseFloat(element.dataset.minutes),
  hand: Number(element.dataset.hand) > 0,
  shown: true,
}));
const controls = ["find", "page", "high", "hand", "order"].map(field);
const [find, page, high, hand, order] = controls;

// What nobody could choose between is not offered.
if (page.options.length < 3) page.closest("label").hidden = true;
if (!cards.some((card) => card.hand)) hand.closest("label").hidden = true;
if (!cards.some((card) => card.minutes)) order.querySelector("[value=minutes]").remove();
field("controls").hidden = cards.length < 2;
field("more").open = matchMedia("(min-width: 44rem)").matches;

function counted(number) {
  return `${number.toLocaleString("en")} ${number === 1 ? "spread" : "spreads"}`;
}

function filter() {
  const wanted = find.value.toLowerCase().split(/\s+/).filter(Boolean);
  const tallest = parseFloat(high.value);
  let shown = 0;
  for (const card of cards) {
    const now = wanted.every((word) => card.words.includes(word))
      && (!page.value || card.page === page.value)
      && (!hand.checked || card.hand)
      && (Number.isNaN(tallest) || card.standing <= tallest);
    if (now !== card.shown) { card.element.hidden = !now; card.shown = now; }
    shown += now;
  }
  field("none").hidden = shown > 0;
  field("count").textContent = shown === cards.length
    ? counted(shown) : `${shown.toLocaleString("en")} of ${counted(cards.length)}`;
}

let arranged = "";
function arrange() {
  if (order.value === arranged) return;
  arranged = order.value;
  // What has no such number comes last; what has the same stays as it was laid out.
  const rank = {
    minutes: (card) => card.minutes,
    standing: (card) => -card.standing,
    pieces: (card) => -card.pieces,
  }[arranged] || ((card) => card.place);
  const number = (card) => { const value = rank(card); return Number.isNaN(value) ? Infinity : value; };
  const sorted = [...cards].sort((a, b) => (number(a) - number(b)) || (a.place - b.place));
  list.append(...sorted.map((card) => card.element));
}

// What is chosen stands in the address, behind its #, so that it can be sent to somebody and is
// still there after coming back from a design's page.
const value = (control) => (control.type === "checkbox" ? (control.checked ? "yes" : "") : control.value.trim());

function write() {
  const chosen = new URLSearchParams();
  for (const control of controls) if (value(control)) chosen.set(control.id, value(control));
  history.replaceState(null, "", chosen.size ? `#${chosen}` : location.pathname + location.search);
}

function read() {
  const mark = location.hash.slice(1);
  if (mark && !mark.includes("=")) return; // the place of one design
  const chosen = new URLSearchParams(mark);
  for (const control of controls) {
    const text = chosen.get(control.id) || "";
    if (control.type === "checkbox") control.checked = text === "yes";
    else control.value = text;
    // A choice that there is none of would leave the box empty.
    if (control.tagName === "SELECT" && control.selectedIndex < 0) control.value = "";
    if (text && control !== find) field("more").open = true;
  }
  filter();
  arrange();
}

for (const control of controls) {
  control.addEventListener("input", () => { filter(); arrange(); write(); });
}
field("controls").addEventListener("submit", (event) => event.preventDefault());
field("all").addEventListener("click", () => {
  history.replaceState(null, "", location.pathname + location.search);
  for (const control of controls) { control.value = ""; control.checked = false; }
  filter();
  arrange();
  find.focus();
});
addEventListener("hashchange", read);
read();

// Films: one at a time, begun by pointing at a picture or by a tap, a click or a key.
const still = matchMedia("(prefers-reduced-motion: reduce)");
let playing = null;
let waiting = 0;

function stop() {
  clearTimeout(waiting);
  if (!playing) return;
  const { button, film } = playing;
  playing = null;
  film.remove();
  button.classList.remove("plays");
  button.setAttribute("aria-pressed", "false");
}

function play(button) {
  stop();
  const isVideo = button.dataset.kind === "video";
  const film = document.createElement(isVideo ? "video" : "img");
  film.className = "film";
  playing = { button, film };
  button.setAttribute("aria-pressed", "true");
  const begun = () => { if (playing && playing.film === film) button.classList.add("plays"); };
  if (isVideo) {
    // Whoever asks for little motion gets it once, and only when she asks for it.
    Object.assign(film, { loop: !still.matches, muted: true, playsInline: true });
    film.addEventListener("playing", begun);
    film.addEventListener("ended", stop);
    film.addEventListener("error", stop);
    film.src = button.dataset.film;
    film.play().catch(() => {});
  } else {
    film.alt = "";
    film.addEventListener("load", begun);
    film.addEventListener("error", stop);
    film.src = button.dataset.film;
  }
  button.append(film);
}

const pictureOf = (event) => event.target.closest("button.picture");
const plays = (button) => playing !== null && playing.button === button;

list.addEventListener("click", (event) => {
  const button = pictureOf(event);
  if (button) (plays(button) ? stop : () => play(button))();
});
list.addEventListener("pointerover", (event) => {
  const button = pictureOf(event);
  if (!button || event.pointerType !== "mouse" || plays(button) || still.matches) return;
  if (navigator.connection && navigator.connection.saveData) return;
  clearTimeout(waiting);
  // Not for a pointer that only crosses the picture.
  waiting = setTimeout(() => play(button), 150);
});
list.addEventListener("pointerout", (event) => {
  const button = pictureOf(event);
  if (button && event.pointerType === "mouse" && !button.contains(event.relatedTarget)) stop();
});
addEventListener("keydown", (event) => { if (event.key === "Escape") stop(); });
addEventListener("pagehide", stop);
