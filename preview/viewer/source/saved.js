// A page that is sent or published: it shows a spread and changes nothing.
import { begin, plainly } from "./begin.js";
import { Page } from "./page.js";

begin((scene) => new Page(scene), plainly);
