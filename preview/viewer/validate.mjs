// Prints what Khronos's glTF validator says about a file, as JSON.
import { readFile } from "node:fs/promises";
import validator from "gltf-validator";

const report = await validator.validateBytes(new Uint8Array(await readFile(process.argv[2])));
console.log(JSON.stringify(report.issues));
