// Plays each clip of a glTF file with three.js and prints, as JSON, where its nodes and corners are.
// node play.mjs FILE SECOND...
import { readFile } from "node:fs/promises";
import { AnimationMixer, LoopOnce, Texture, Vector3 } from "three";
import { GLTFLoader } from "three/examples/jsm/loaders/GLTFLoader.js";

const [file, ...seconds] = process.argv.slice(2);
const { buffer } = new Uint8Array(await readFile(file));
// A picture needs a browser; nothing here depends on what it shows.
const unseen = () => ({ name: "unseen", loadTexture: async () => new Texture() });
const { scene, animations } = await new GLTFLoader().register(unseen).parseAsync(buffer, "");
const MOST_CORNERS = 600;

/** The nodes by name: matrices into the scene, column by column, and the first corners. */
function stand() {
  scene.updateMatrixWorld(true);
  const found = {};
  scene.traverse((node) => {
    // The loader takes dots out of names and keeps the name as it was.
    const name = node.userData.name ?? node.name;
    found[name] ??= { matrix: [...node.matrixWorld.elements], corners: corners(node) };
  });
  return found;
}

function corners(node) {
  const all = node.isMesh ? node.geometry.getAttribute("position").count : 0;
  const count = Math.min(all, MOST_CORNERS);
  return Array.from({ length: count }, (_, k) =>
    node.getVertexPosition(k, new Vector3()).applyMatrix4(node.matrixWorld).toArray(),
  );
}

const poses = { rest: stand() };
for (const clip of animations) {
  const mixer = new AnimationMixer(scene);
  const action = mixer.clipAction(clip);
  action.clampWhenFinished = true;
  action.setLoop(LoopOnce, 1);
  poses[clip.name] = seconds.map((second) => {
    action.reset().play(); // it stops at its end, and does not go back by itself
    mixer.setTime(Number(second));
    return stand();
  });
  mixer.stopAllAction();
}
console.log(JSON.stringify(poses));
