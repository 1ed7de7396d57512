"use strict";
// Words and numbers are read from the page once; typing then only compares and hides.
const list = document.getElementById("cards");
const cards = [...list.children].map((element) => ({
  element,
  words: element.dataset.words,
  status: element.dataset.status,
  page: element.dataset.page,
  name: element.dataset.name,
  standing: parseFloat(element.dataset.standing),
  pieces: parseFloat(element.dataset.pieces),
  shown: true,
}));
const field = (id) => document.getElementById(id);
const [search, page, status, height, order] =
  ["search", "page", "status", "height", "order"].map(field);

function matches(card, wanted, tallest) {
  return wanted.every((word) => card.words.includes(word))
    && (!page.value || card.page === page.value)
    && (!status.value || card.status === status.value)
    && (Number.isNaN(tallest) || card.standing <= tallest);
}

function filter() {
  const wanted = search.value.toLowerCase().split(/\s+/).filter(Boolean);
  const tallest = parseFloat(height.value);
  let shown = 0;
  for (const card of cards) {
    const now = matches(card, wanted, tallest);
    if (now !== card.shown) { card.element.hidden = !now; card.shown = now; }
    shown += now;
  }
  field("none").hidden = shown > 0;
  field("count").textContent = shown === cards.length
    ? `${shown.toLocaleString("en")} ${shown === 1 ? "design" : "designs"}`
    : `${shown.toLocaleString("en")} of ${cards.length.toLocaleString("en")} designs`;
}

function arrange() {
  const key = order.value;
  const number = (card) => (Number.isNaN(card[key]) ? -1 : card[key]);
  const sorted = key === "name"
    ? [...cards].sort((a, b) => (a.name < b.name ? -1 : 1))
    : [...cards].sort((a, b) => number(b) - number(a));
  list.append(...sorted.map((card) => card.element));
}

for (const control of [search, page, status, height]) control.addEventListener("input", filter);
order.addEventListener("input", arrange);
field("controls").addEventListener("submit", (event) => event.preventDefault());

list.addEventListener("click", (event) => {
  const button = event.target.closest("button.picture");
  if (!button) return;
  const still = button.querySelector("img:not(.film)");
  const playing = button.querySelector(".film");
  if (playing) {
    playing.remove();
    still.hidden = false;
  } else {
    const film = document.createElement(button.dataset.kind === "video" ? "video" : "img");
    film.className = "film";
    film.src = button.dataset.film;
    if (film.tagName === "VIDEO") Object.assign(film, { loop: true, muted: true, autoplay: true, playsInline: true });
    else film.alt = still.alt;
    still.hidden = true;
    button.prepend(film);
  }
  button.querySelector(".play").hidden = !playing;
});
