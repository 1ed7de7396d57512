// Bundles the page's two scripts with three.js into bundle/, which is shipped as it is: that of a
// page which changes a design, and that of a page to send, which changes nothing.
// `node build.mjs --check` compares instead of writing and fails where they differ.
import { readFile, writeFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = fileURLToPath(new URL(".", import.meta.url));

const result = await build({
  absWorkingDir: here,
  entryPoints: ["source/live.js", "source/saved.js"],
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  charset: "utf8",
  legalComments: "none",
  outdir: "bundle",
  write: false,
});
const licence = await readFile(`${here}node_modules/three/LICENSE`, "utf8");
// A saved page goes to others with the script alone in it, so the notice is part of the script.
const notice = `/* foldstage viewer; it contains three.js:\n\n${licence.trim()}\n*/\n`;
const scripts = result.outputFiles.map(({ path, text }) => [path.replace(/.*[\\/]/, ""), notice + text]);

let same = true;
for (const [name, text] of [...scripts, ["LICENSE-three.txt", licence]]) {
  const path = `${here}bundle/${name}`;
  if (!process.argv.includes("--check")) await writeFile(path, text);
  else if ((await readFile(path, "utf8").catch(() => "")) !== text) {
    console.error(`bundle/${name} is not what the sources give; run: npm run build`);
    same = false;
  }
}
for (const [name, text] of scripts) console.log(`${name}: ${(text.length / 1000).toFixed(0)} kB`);
process.exitCode = same ? 0 : 1;
