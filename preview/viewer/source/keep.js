// The camera that one stands at, kept in the design as a view with a name.
import { element } from "./cards.js";

const byId = (id) => document.getElementById(id);

export class Keeper {
  /** @param page asks ({ asked, edit, desk, data, viewer }). */
  constructor(page) {
    this.page = page;
    byId("keep-open").hidden = !page.desk.works;
    if (!page.desk.works) return;
    byId("keep-open").addEventListener("click", () => this.open());
    byId("keep").querySelector("form").addEventListener("submit", (event) => this.answer(event));
  }

  open() {
    this.list();
    byId("keep-name").value = this.freeName();
    byId("keep").showModal();
    byId("keep-name").select();
  }

  get kept() {
    return this.page.data.cameras.filter((camera) => camera.kept).map(({ name }) => name);
  }

  freeName() {
    const names = this.page.data.cameras.map(({ name }) => name);
    for (let number = 1; ; number++) if (!names.includes(`view ${number}`)) return `view ${number}`;
  }

  /** Views that were kept before, each with a way to give it up. */
  list() {
    byId("keep").querySelector("ul").replaceChildren(
      ...this.kept.map((name) => {
        const give = element("button", { type: "button", "aria-label": `Forget ${name}` }, "Forget");
        give.addEventListener("click", async () => {
          if (await this.page.edit([{ edit: "clear", path: ["shots", name] }])) give.closest("li").remove();
        });
        return element("li", {}, name, give);
      }),
    );
  }

  async answer(event) {
    if (event.submitter?.value !== "keep") return;
    event.preventDefault();
    const { page } = this;
    const name = byId("keep-name").value;
    const stand = page.viewer.standing;
    byId("keep").close();
    if (await page.asked("/keep", { made: page.data.made, page: page.desk.me, name, stand })) page.say(`The view is kept as ${name}`);
  }
}
