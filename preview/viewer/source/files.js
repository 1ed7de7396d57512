// Files that the server makes of the design: what is wished for, how far it is, and where it is then.
import { ask } from "./ask.js";
import { element } from "./cards.js";

// Pictures of what was made, if they are not larger than this, bytes.
const SHOWN = /\.(gif|png|webp)$/;
const MOST_SHOWN = 12_000_000;

export class Files {
  /** @param page asks ({ secret, data, viewer, fail, say }); @param news what the server tells first. */
  constructor(page, news) {
    this.page = page;
    this.card = element("section", {});
    this.goods = element("div", { class: "goods", role: "group", "aria-label": "What to make" });
    this.slip = element("form", { class: "wish", hidden: "" });
    this.slip.addEventListener("submit", (event) => {
      event.preventDefault();
      this.make();
    });
    this.list = element("ul", { class: "errands" });
    this.chosen = {};
    this.ready = new Set();
    this.pictures = new Map();
    if (!news) return;
    this.offered = news.offered;
    this.goods.append(...news.offered.map((kind) => this.tile(kind)));
    this.card.append(
      element("h2", {}, "Files"),
      element("p", {}, "Made on this computer, of the design as it is when you ask for it."),
      this.goods,
      this.slip,
      this.list,
    );
    this.hear(news, true);
  }

  tile(kind) {
    return element(
      "button",
      { type: "button", "aria-expanded": "false", "data-file": kind.file, onclick: () => this.unfold(kind) },
      kind.title,
    );
  }

  /** Lay the few choices of a kind out, or away. */
  unfold(kind) {
    const open = this.kind !== kind;
    this.kind = open ? kind : null;
    for (const tile of this.goods.children) tile.setAttribute("aria-expanded", open && tile.dataset.file === kind.file);
    this.slip.hidden = !open;
    if (!open) return;
    const chosen = (this.chosen[kind.file] ??= {});
    this.slip.replaceChildren(
      element("p", {}, kind.about),
      ...kind.choices.map((choice) => this.field(choice, chosen)),
      element("button", { type: "submit", class: "make" }, `Make the ${kind.title.toLowerCase()}`),
    );
  }

  field({ key, label, options }, chosen) {
    const id = `wish-${key}`;
    const select = element("select", { id });
    for (const [value, text] of options) select.append(element("option", { value }, text));
    if (key === "view") {
      for (const { name } of this.page.data.cameras) select.append(element("option", { value: name }, name));
    }
    if (key in chosen) select.value = chosen[key];
    if (!select.value) select.selectedIndex = 0;
    select.addEventListener("change", () => (chosen[key] = select.value));
    return element("div", { class: "field" }, element("label", { for: id }, label), select);
  }

  async make() {
    const { page, kind } = this;
    const stand = page.viewer.standing;
    const wish = { made: page.data.made ?? "", file: kind.file, chosen: this.chosen[kind.file], stand };
    const before = new Set(this.known);
    const answer = await this.asked("/files/make", wish);
    if (!answer) return;
    const row = this.row(answer.number);
    page.say(before.has(answer.number) ? `The ${kind.title.toLowerCase()} is on the list already` : `The ${kind.title.toLowerCase()} is being made`);
    row?.scrollIntoView({ block: "nearest" });
    row?.classList.add("new");
    setTimeout(() => row?.classList.remove("new"), 1600);
  }

  async asked(address, question) {
    try {
      const answer = await ask(address, this.page.secret, question);
      this.page.fail("");
      this.hear(answer);
      return answer;
    } catch (error) {
      this.page.fail(error.message);
      return null;
    }
  }

  row(number) {
    return this.list.querySelector(`[data-number="${number}"]`);
  }

  // ------------------------------------------------------------------ what the server tells

  /** Show the list as the server tells it; rows that have not changed stay as they are. */
  hear(news, first = false) {
    if (!news || news.count < this.count) return; // what is older may arrive later
    this.count = news.count;
    this.known = news.listed.map(({ number }) => number);
    for (const row of [...this.list.children]) if (!this.known.includes(Number(row.dataset.number))) row.remove();
    for (const errand of news.listed) {
      const text = JSON.stringify(errand);
      let row = this.row(errand.number);
      if (!row) {
        row = element("li", { "data-number": errand.number });
        this.list.prepend(row);
      }
      if (row.told !== text) this.fill(row, errand);
      row.told = text;
      if (errand.condition === "ready" && !this.ready.has(errand.number)) {
        this.ready.add(errand.number);
        if (!first) this.page.say(`${errand.title} is ready`);
      }
    }
  }

  fill(row, errand) {
    const { condition } = errand;
    if (row.dataset.condition === condition && condition === "making") {
      this.advance(row, errand);
      return;
    }
    const focused = row.contains(document.activeElement);
    row.dataset.condition = condition;
    row.replaceChildren(
      element("strong", {}, errand.title),
      element("span", { class: "about" }, errand.about),
      ...this.parts(errand),
    );
    if (condition === "making") this.advance(row, errand);
    if (focused) row.querySelector("a, button")?.focus();
  }

  parts(errand) {
    const { number, condition, files, said, beside, keeps } = errand;
    const act = (text, address) =>
      element("button", { type: "button", onclick: () => this.asked(address, { number }) }, text);
    const buttons = (...all) => element("div", { class: "buttons" }, ...all);
    const notes = said.map((line) => element("span", { class: "note" }, line));
    if (condition === "waiting") return [element("span", {}, "It waits for its turn."), buttons(act("Stop", "/files/stop"))];
    if (condition === "making") {
      const bar = element("progress", { "aria-label": `How far: ${errand.title}` });
      return [bar, element("span", { class: "doing" }), buttons(act("Stop", "/files/stop"))];
    }
    if (condition === "failed") return [element("span", { class: "trouble" }, "It could not be made."), ...notes, buttons(act("Throw away", "/files/away"))];
    const links = files.map(({ name, bytes, address }) =>
      element("a", { href: address, download: name }, name, element("small", {}, sized(bytes))),
    );
    const kept = beside.length ? [element("span", { class: "good" }, `Beside the design: ${told(beside)}`)] : [];
    const keep = keeps && !beside.length ? [act("Put it beside the design", "/files/beside")] : [];
    return [...this.picture(files), element("div", { class: "links" }, ...links), ...kept, ...notes, buttons(...keep, act("Throw away", "/files/away"))];
  }

  /** The first picture of what was made; it is fetched once. */
  picture(files) {
    const file = files.find(({ name, bytes }) => SHOWN.test(name) && bytes < MOST_SHOWN);
    if (!file) return [];
    const image = element("img", { alt: `A look at ${file.name}` });
    if (!this.pictures.has(file.address)) {
      const fetched = fetch(file.address).then(async (answer) => URL.createObjectURL(await answer.blob()));
      this.pictures.set(file.address, fetched);
    }
    this.pictures.get(file.address).then((address) => (image.src = address), () => image.remove());
    return [image];
  }

  advance(row, { doing, done, total, left_s }) {
    const bar = row.querySelector("progress");
    if (total) {
      bar.max = total;
      bar.value = done;
    } else bar.removeAttribute("value");
    const much = total ? `, ${done} of ${total}` : " …";
    const left = left_s ? `, ${lasting(left_s)}` : "";
    row.querySelector(".doing").textContent = `${doing[0].toUpperCase()}${doing.slice(1)}${much}${left}`;
  }
}

/** A length of time as people say it, for something that is not sure. */
function lasting(seconds) {
  if (seconds < 90) return `about ${Math.max(1, Math.round(seconds))} s more`;
  return `about ${Math.round(seconds / 60)} minutes more`;
}

function sized(bytes) {
  return bytes >= 1e6 ? `${(bytes / 1e6).toFixed(1)} MB` : `${Math.max(1, Math.round(bytes / 1e3))} kB`;
}

/** Some names, not all of many. */
function told(names) {
  return names.length > 3 ? `${names[0]} and ${names.length - 1} more` : names.join(", ");
}
