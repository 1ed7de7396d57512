// Which piece is drawn where: the scene once more, with the same depths, each piece in one colour.
import { Color, LinearSRGBColorSpace, Mesh, MeshBasicMaterial, NearestFilter, Raycaster, Vector2, WebGLRenderTarget } from "three";

/**
 * The piece drawn at points of the window ("" for none; film counts as nothing) and the rays on
 * which they are seen.
 * @param points [x, y], pixels.
 * @returns { pieces, rays: [[origin x, y, z, direction x, y, z]] }, mm in the scene.
 */
export function drawnAt(points, { renderer, scene, size }, pieces, camera) {
  const names = [...pieces.keys()];
  const scale = size.x / innerWidth;
  const target = new WebGLRenderTarget(size.x, size.y, { minFilter: NearestFilter, magFilter: NearestFilter });
  const undo = numbered(scene, names);
  const clear = renderer.getClearColor(new Color());
  renderer.setClearColor(0, 1);
  renderer.shadowMap.autoUpdate = false;
  renderer.setRenderTarget(target);
  renderer.render(scene, camera);
  const pixels = new Uint8Array(4 * size.x * size.y);
  renderer.readRenderTargetPixels(target, 0, 0, size.x, size.y, pixels);
  renderer.setRenderTarget(null);
  renderer.setClearColor(clear, 1);
  renderer.shadowMap.autoUpdate = true;
  undo();
  target.dispose();
  const number = ([x, y]) => {
    const at = 4 * (Math.floor(x * scale) + size.x * (size.y - 1 - Math.floor(y * scale)));
    return pixels[at] + 256 * pixels[at + 1];
  };
  const caster = new Raycaster();
  const ray = ([x, y]) => {
    caster.setFromCamera(new Vector2((2 * x) / innerWidth - 1, 1 - (2 * y) / innerHeight), camera);
    return [...caster.ray.origin.toArray(), ...caster.ray.direction.toArray()];
  };
  return { pieces: points.map((point) => names[number(point) - 1] ?? ""), rays: points.map(ray) };
}

/** Give every mesh the number of its piece for a colour; returns what undoes it. */
function numbered(scene, names) {
  const before = [];
  scene.traverse((mesh) => {
    const { material, visible } = mesh;
    if (!(mesh instanceof Mesh)) return;
    before.push([mesh, material, visible]);
    const number = 1 + names.indexOf(mesh.userData.piece);
    const { side, polygonOffset, polygonOffsetUnits, depthWrite, transparent } = material;
    mesh.visible &&= !material.isShaderMaterial;
    mesh.material = new MeshBasicMaterial({ side, polygonOffset, polygonOffsetUnits, depthWrite, transparent });
    mesh.material.color.setRGB((number % 256) / 255, Math.floor(number / 256) / 255, 0, LinearSRGBColorSpace);
  });
  return () => {
    for (const [mesh, material, visible] of before) {
      mesh.material.dispose();
      Object.assign(mesh, { material, visible });
    }
  };
}
