// Bundles the viewer's script with three.js into bundle/viewer.js, which is shipped as it is.
// `node build.mjs --check` compares instead of writing and fails where they differ.
import { readFile, writeFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = fileURLToPath(new URL(".", import.meta.url));

const result = await build({
  absWorkingDir: here,
  entryPoints: ["source/main.js"],
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  charset: "utf8",
  legalComments: "none",
  write: false,
});
const licence = await readFile(`${here}node_modules/three/LICENSE`, "utf8");
// A saved page goes to others with the script alone in it, so the notice is part of the script.
const script = `/* foldstage viewer; it contains three.js:\n\n${licence.trim()}\n*/\n${result.outputFiles[0].text}`;

let same = true;
for (const [name, text] of [
  ["viewer.js", script],
  ["LICENSE-three.txt", licence],
]) {
  const path = `${here}bundle/${name}`;
  if (!process.argv.includes("--check")) await writeFile(path, text);
  else if ((await readFile(path, "utf8").catch(() => "")) !== text) {
    console.error(`bundle/${name} is not what the sources give; run: npm run build`);
    same = false;
  }
}
console.log(`${(script.length / 1000).toFixed(0)} kB of script`);
process.exitCode = same ? 0 : 1;
