// The design file under the hand: steps back and on, and word of what others have changed.
import { layAside } from "./beside.js";
import { element } from "./cards.js";

const SLIP_MS = 9000;
const byId = (id) => document.getElementById(id);

export class Desk {
  /** @param page asks the server ({ asked }); @param news what the server has told first, or null. */
  constructor(page, news) {
    this.page = page;
    this.me = crypto.randomUUID();
    this.works = Boolean(news);
    byId("steps").hidden = !news;
    if (!news) return;
    byId("undo").addEventListener("click", () => this.undo());
    byId("redo").addEventListener("click", () => this.redo());
    addEventListener("keydown", (event) => this.key(event), { capture: true });
    addEventListener("resize", () => this.place());
    this.made = news.made;
    this.hear(news);
    if (news.left) this.offer(news.left);
  }

  /** Take what the server tells of the file: which steps there are, and who changed it last. */
  hear(news) {
    if (!news || news.changes < this.changes) return; // what is older may arrive later
    this.changes = news.changes;
    const foreign = news.made !== this.made && news.by !== this.me;
    this.made = news.made;
    for (const [id, word] of [["undo", "Undo"], ["redo", "Redo"]]) {
      byId(id).disabled = !news[id];
      byId(id).setAttribute("aria-label", news[id] ? `${word}: ${news[id]}` : word);
      byId(id).title = byId(id).getAttribute("aria-label");
    }
    if (foreign) this.tell(`${news.by ? "Another page has changed the design" : "The file was changed outside this page"}: ${news.said || "back to the first text"}.`);
  }

  undo() {
    return this.page.asked("/undo", { page: this.me });
  }

  redo() {
    return this.page.asked("/redo", { page: this.me });
  }

  key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || typing(event.target)) return;
    const key = event.key.toLowerCase();
    const on = key === "y" || (key === "z" && event.shiftKey);
    if (!on && key !== "z") return;
    event.preventDefault();
    if (on) this.redo();
    else this.undo();
  }

  /** A slip of paper on the table with a sentence, for a while or until it is answered. */
  tell(sentence, ...buttons) {
    clearTimeout(this.leaving);
    const slip = byId("slip");
    slip.hidden = false;
    slip.replaceChildren(element("p", {}, sentence), ...(buttons.length ? [element("div", { class: "buttons" }, ...buttons)] : []));
    this.place();
    if (!buttons.length) this.leaving = setTimeout(() => this.away(), SLIP_MS);
  }

  /** Where it lies by itself, or else near there: over no button, and not over what is printed under the hand. */
  place() {
    const slip = byId("slip");
    if (slip.hidden) return;
    Object.assign(slip.style, { left: "", top: "", translate: "" });
    const { left, top, width, height } = slip.getBoundingClientRect();
    const frames = [...document.querySelectorAll("#print .edge, #print .corner")].map((one) => one.getBoundingClientRect());
    const wish = layAside(slip, [left + width / 2, top + height / 2], { boxes: frames }, { boxes: [] });
    if (wish >= 0) slip.style.translate = "none";
  }

  away() {
    byId("slip").hidden = true;
  }

  /** An earlier session was cut off; the text that it began with is still there. */
  offer(name) {
    const answer = (address) => async () => {
      if (await this.page.asked(address, { page: this.me })) this.away();
    };
    this.tell(
      `An earlier session was cut off. The text that it began with is kept in ${name}.`,
      element("button", { type: "button", onclick: answer("/left/back") }, "Bring it back"),
      element("button", { type: "button", onclick: answer("/left/away") }, "Throw it away"),
    );
  }
}

/** Whether keys belong to a field of text. */
export function typing(target) {
  return Boolean(target?.closest?.("input:not([type=range], [type=checkbox], [type=color]), textarea, [contenteditable]"));
}
