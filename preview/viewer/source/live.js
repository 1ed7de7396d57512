// The page of a server that follows a design.
import { begin } from "./begin.js";
import { Shaping, plain } from "./shaping.js";

let page;
begin((scene) => (page = new Shaping(scene)), plain);

// For the tests of the page.
const more = {
  edit: (edits) => page.edit(edits),
  /** Let the hand shape the paper, or not. */
  shape: (on) => page.shape(on),
  /** Which text of the design is shown and told of. */
  get made() {
    return page.written ?? "";
  },
  /** Which text of the design the picture shows; what is written about it follows. */
  get pictured() {
    return page.data.made ?? "";
  },
  /** The path of the number that follows the hand. */
  following: () => page.tug.following,
  /** What the hand holds: a point of a body, in its own coordinates. */
  held: () => {
    const { about, answer } = page.tug.held ?? {};
    return answer ? { body: about.body, local: about.local } : null;
  },
  /** How often the paper has followed a hand that pulls at it. */
  pulled: () => page.tug.counted ?? 0,
};
Object.defineProperties(window.foldstage, Object.getOwnPropertyDescriptors(more));
