// Pictures come in: from the desktop onto the paper, or by a button; the server looks at every byte.
import { ask, send } from "./ask.js";
import { element } from "./cards.js";
import { middleOf, spotOf } from "./paper-under.js";

// What the server takes, and what a browser offers to choose from.
const MOST_BYTES = 40e6;
const KINDS = "image/png,image/jpeg,image/webp";
// Several pictures at once are laid so far from each other, pixels.
const APART_PX = 18;
const OFFERED_MS = 15000;

export class Pictures {
  /** @param page asks ({ secret, me, heard, fail, say, desk }), knows the hand and what is chosen. */
  constructor(viewer, page) {
    this.viewer = viewer;
    this.page = page;
    this.chooser = element("input", { id: "picture-file", type: "file", accept: KINDS, class: "unseen", tabindex: "-1", "aria-label": "A picture from this device" });
    document.querySelector("main").append(this.chooser);
    this.chooser.addEventListener("change", () => this.chosen());
    this.sign = element("p", { id: "over", "aria-hidden": "true", hidden: "" });
    document.querySelector("main").append(this.sign);
    addEventListener("dragover", (event) => this.over(event));
    addEventListener("dragleave", (event) => !event.relatedTarget && this.away());
    addEventListener("drop", (event) => this.dropped(event));
  }

  /** Have a file chosen, and do something with it. */
  choose(then) {
    this.then = then;
    this.chooser.value = "";
    this.chooser.click();
  }

  chosen() {
    const [file] = this.chooser.files;
    if (file) this.then?.(file);
  }

  /** Print a picture in the middle of a piece. */
  onto(piece) {
    this.choose((file) => {
      const hit = middleOf(this.viewer, piece);
      if (hit) this.print(file, spotOf(this.viewer, hit));
    });
  }

  over(event) {
    if (![...(event.dataTransfer?.types ?? [])].includes("Files")) return;
    event.preventDefault();
    const hit = this.paper(event);
    event.dataTransfer.dropEffect = hit ? "copy" : "none";
    this.sign.hidden = false;
    this.sign.classList.toggle("finds", Boolean(hit));
    this.sign.textContent = !hit ? "Let it go over the paper" : hit.piece === "page" ? "Onto the page, on paper of its own" : `Onto ${hit.piece}`;
    Object.assign(this.sign.style, { left: `${event.clientX}px`, top: `${event.clientY}px` });
  }

  away() {
    this.sign.hidden = true;
  }

  /** The paper under a picture that is held over it. */
  paper(event) {
    return event.target?.id === "picture" || event.target?.closest?.("#print") ? this.page.hand.hit(event) : null;
  }

  async dropped(event) {
    this.away();
    const files = [...(event.dataTransfer?.files ?? [])];
    if (!files.length) return;
    event.preventDefault(); // or the browser would leave this page for the picture
    const hits = files.map((_, k) => this.page.hand.hit({ clientX: event.clientX + k * APART_PX, clientY: event.clientY + k * APART_PX }));
    const hit = this.paper(event);
    if (!hit) {
      this.page.fail("Let the picture go over the paper.");
      return;
    }
    const spots = hits.map((one) => spotOf(this.viewer, one ?? hit));
    for (const [k, file] of files.entries()) if (!(await this.print(file, spots[k]))) return;
  }

  /** Bring a file onto the server's tray; null, and told, if it is no picture. */
  async bring(file) {
    const { page } = this;
    if (file.size > MOST_BYTES) {
      page.fail(`${file.name} has ${Math.round(file.size / 1e6)} MB; allowed: up to ${MOST_BYTES / 1e6} MB; try: a smaller picture`);
      return null;
    }
    try {
      return await send("/picture", page.secret, file);
    } catch (error) {
      page.fail(`${shortened(file.name)}: ${error.message}`);
      return null;
    }
  }

  /** Print a file where the hand was; whether that went well. */
  async print(file, spot) {
    const { page } = this;
    page.desk.tell("The picture is looked at …");
    const brought = await this.bring(file);
    page.desk.away();
    if (!brought) return false;
    try {
      const answer = await ask("/picture/print", page.secret, { made: this.viewer.stage.data.made, page: page.me, picture: brought.picture, name: file.name, spot });
      page.taken(answer, answer.key);
      page.say(`${answer.file} is printed on ${answer.piece}`);
      this.offer(file, brought, answer);
      return true;
    } catch (error) {
      page.fail(error.message);
      return false;
    }
  }

  /** A picture that has been printed could have been meant to be cut out. */
  offer(file, brought, { file: name, piece }) {
    const { page } = this;
    const instead = async () => {
      page.desk.away();
      await page.undo();
      page.table.show(file, brought);
    };
    page.desk.tell(
      `${name} is printed on ${piece}. Its frame moves it, the corner turns and sizes it.`,
      element("button", { type: "button", onclick: instead }, "Cut it out instead"),
    );
    page.desk.leaving = setTimeout(() => page.desk.away(), OFFERED_MS);
  }
}

/** A file's name, no longer than can be read. */
function shortened(name) {
  return name.length > 40 ? `${name.slice(0, 24)}…${name.slice(-12)}` : name;
}
