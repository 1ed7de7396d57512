// Light, table and picture. While something moves, one frame is one pass with soft-edged shadows, as
// fine as the device draws it in time; at rest, passes with a wandering sun, sky and sub-pixel are
// averaged until the light is as soft as that of a real window. Then nothing is drawn until something
// changes.
import {
  Color,
  DataTexture,
  DirectionalLight,
  FloatType,
  HalfFloatType,
  LinearFilter,
  LinearSRGBColorSpace,
  Mesh,
  MeshLambertMaterial,
  NearestFilter,
  OrthographicCamera,
  PCFShadowMap,
  PlaneGeometry,
  Scene,
  ShaderMaterial,
  Vector2,
  Vector3,
  WebGLRenderer,
  WebGLRenderTarget,
} from "three";

import { Fineness, SHARES } from "./fineness.js";
import { Pace } from "./pace.js";
import { addSecondHand, setEven, setSecondHand } from "./second-hand.js";

// Passes until the light has settled: the sun is a disc, the sky a dome, and both need sampling.
const PASSES = 80;
// Where a pass takes long, as without a graphics card, fewer must do.
const SLOW_MS = 100;
const SLOW_PASSES = 24;
// The shadow maps of coarse pictures have so many times fewer pixels along each side: what is drawn
// into these counts as much as what is seen.
const COARSE_MAPS = 8;
// Where pictures are drawn coarser, a sharp one follows when nothing has moved for so long, and while
// a hand is on the paper or its change is awaited, after so long.
const CALM_MS = 150;
const HURRIED_MS = 1500;
// Where that takes long, what rests is drawn in bands of so many pixels, one at a time: what changes
// meanwhile is seen after a band, and not after a whole picture.
const BAND_PIXELS = 131_072;
// After so long without a sign of it, the hand is taken to rest.
const PATIENCE_MS = 5000;
// A still picture takes over from the moving one over this many passes, without a jump.
const HANDOVER = 20;
// While the spread moves, this share of the sky comes from above and casts shadow.
const OVERHEAD = 0.45;
// Light of the backdrop at the upper edge of the picture.
const FARTHEST = 0.9;

export class Studio {
  /** @param stage what is drawn: its `scene`, and `coarsely`, which has coarse pictures of it drawn
   *   quickly until the function that it returns is called.
   * @param draft unless it is null: draw once, without soft light and smooth edges, for computers that
   *   are slow; a number in it is the share of the window's pixels along each side. */
  constructor(canvas, { scene, coarsely }, draft) {
    this.canvas = canvas;
    this.scene = scene;
    this.coarsely = coarsely;
    this.draft = draft !== null;
    this.fine = Math.min(1, Math.max(SHARES.at(-1), parseFloat(draft) || 1));
    this.renderer = new WebGLRenderer({ canvas, antialias: false, alpha: false, stencil: false });
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    this.renderer.outputColorSpace = LinearSRGBColorSpace; // the finishing shader encodes
    const deep = this.renderer.extensions.has("EXT_color_buffer_float");
    this.precision = deep ? FloatType : HalfFloatType;
    this.passes = this.draft ? 0 : deep ? PASSES : SLOW_PASSES;
    this.done = 0;
    this.targets = {};
    this.size = new Vector2();
    this.fineness = new Fineness();
    this.coarse = false; // whether the last picture was drawn coarser than the window
    this.coarseMaps = false; // whether the shadow maps in use are those of coarse pictures
    this.whole = false; // whether the canvas keeps its size, whatever is drawn
    this.hurriedUntil = 0;
    this.band = 0; // of a picture at rest, the next to draw
    this.drawn = { live: 0, pass: 0, pixels: 0, shades: 0, draws: 0 };
    this.pace = new Pace(this.renderer.getContext(), (what, ms) => {
      // At the next picture.
      if (!this.draft && this.fineness.learn(what, ms)) this.anew = true;
    });
    this.buildLights();
    this.buildTable();
    this.buildScreens();
  }

  buildLights() {
    this.key = new DirectionalLight();
    this.overhead = new DirectionalLight();
    for (const [light, pixels] of [
      [this.key, 2048],
      [this.overhead, 1024],
    ]) {
      light.castShadow = true;
      light.shadow.mapSize.setScalar(this.draft ? pixels / 4 : pixels);
      // The map that is not in use: for pictures in motion that are drawn coarsely.
      light.userData.other = { pixels: pixels / COARSE_MAPS, map: null };
      light.shadow.bias = -0.0004;
      light.shadow.normalBias = 0.25;
      this.scene.add(light, light.target);
    }
  }

  buildTable() {
    this.backdrop = { value: new Color() };
    // Where the middle of the book is, and how large the book is beside one of A5.
    this.extent = { value: new Vector3(0, 0, 1) };
    this.falloff = { value: 0.3 };
    const material = new MeshLambertMaterial();
    material.onBeforeCompile = (shader) => {
      addSecondHand(shader, "table");
      Object.assign(shader.uniforms, {
        backdrop: this.backdrop,
        extent: this.extent,
        falloff: this.falloff,
      });
      shader.vertexShader = shader.vertexShader
        .replace("#include <common>", "#include <common>\nvarying vec2 vTable;\nvarying vec4 vSeen;")
        .replace(
          "#include <project_vertex>",
          "#include <project_vertex>\nvTable = (modelMatrix * vec4(position, 1.0)).xy;\nvSeen = gl_Position;",
        );
      shader.fragmentShader = shader.fragmentShader
        .replace("#include <common>", `#include <common>\n${TABLE_HEAD}`)
        .replace("#include <opaque_fragment>", `${TABLE_BODY}\n#include <opaque_fragment>`);
    };
    this.table = new Mesh(new PlaneGeometry(1, 1), material);
    this.table.receiveShadow = true;
    this.scene.add(this.table);
  }

  buildScreens() {
    this.flat = new OrthographicCamera(-1, 1, 1, -1, 0, 1);
    this.screen = new Mesh(new PlaneGeometry(2, 2));
    this.screen.frustumCulled = false;
    this.stage = new Scene();
    this.stage.add(this.screen);
    this.averaging = shader(AVERAGE, { sum: null, fresh: null, share: 1 });
    this.finishing = shader(FINISH, { live: null, still: null, share: 0, vignette: 0.1 });
    const black = new DataTexture(new Uint8Array([0, 0, 0, 255]), 1, 1);
    black.needsUpdate = true;
    this.black = black;
  }

  /**
   * The room: where the middle of the book is, how far things reach from it (mm), height of the
   * table, and how large the book is beside one of A5.
   */
  setRoom(centre, reach, table, size) {
    this.centre = centre.clone();
    this.reach = reach;
    this.extent.value.set(centre.x, centre.y, size);
    this.table.scale.setScalar(reach * 40);
    this.table.position.set(centre.x, centre.y, table);
    for (const light of [this.key, this.overhead]) {
      const camera = light.shadow.camera;
      camera.left = camera.bottom = -reach * 1.06;
      camera.right = camera.top = reach * 1.06;
      camera.near = reach * 0.5;
      camera.far = reach * 5.5;
      camera.updateProjectionMatrix();
      light.target.position.copy(centre);
      light.target.updateMatrixWorld();
    }
  }

  /**
   * @param mood key, sky and table light (linear RGB), direction, spread (radians), colours.
   * @param book see `setSecondHand`.
   */
  setMood(mood, book) {
    this.mood = mood;
    setSecondHand(mood, book);
    this.table.material.color.set(mood.table);
    this.backdrop.value.set(mood.backdrop).multiplyScalar(mood.gain);
    this.renderer.setClearColor(this.backdrop.value.clone().multiplyScalar(FARTHEST), 1);
    this.falloff.value = mood.falloff;
    if (!this.draft) this.setPasses(this.passes);
    this.invalidate();
  }

  /** A level sheet shall get exactly the light of the sky from all passes together. */
  setPasses(passes) {
    this.passes = passes;
    this.level = 0;
    for (let k = 0; k < passes; k++) {
      const dome = onDome(...spread2(k + 0.5));
      this.level += (dome.z * this.glow(dome)) / passes;
    }
  }

  /** Lights for a frame in motion: the sky is half ambient, half a broad light from above. */
  lightLive() {
    const { key, sky, direction } = this.mood;
    this.aim(this.key, new Vector3(...direction), key, 1);
    const above = new Vector3(direction[0] * 0.35, direction[1] * 0.35, 1).normalize();
    this.aim(this.overhead, above, sky, OVERHEAD / above.z);
    // As soft in mm, whichever maps are used.
    const texels = this.coarseMaps ? 4 / COARSE_MAPS : 1;
    this.key.shadow.radius = 5 * texels;
    this.overhead.shadow.radius = 12 * texels;
    setEven(sky.map((value) => (1 - OVERHEAD) * value));
  }

  /** Lights for pass k at rest: one place on the sun's disc and one on the dome of the sky. */
  lightPass(k) {
    const { key, sky, direction, spread } = this.mood;
    const towards = new Vector3(...direction);
    const [u, v] = spread2(k);
    const across = new Vector3(-towards.y, towards.x, 0).normalize();
    const up = towards.clone().cross(across);
    const radius = Math.tan(spread) * Math.sqrt(u);
    towards
      .addScaledVector(across, radius * Math.cos(2 * Math.PI * v))
      .addScaledVector(up, radius * Math.sin(2 * Math.PI * v))
      .normalize();
    this.aim(this.key, towards, key, 1);
    const [a, b] = spread2(k + 0.5);
    const dome = onDome(a, b);
    this.aim(this.overhead, dome, sky, this.glow(dome) / this.level);
    // Fewer passes need softer shadows each, or their edges could be counted.
    const soften = Math.sqrt(PASSES / this.passes);
    this.key.shadow.radius = 1.5 * soften;
    this.overhead.shadow.radius = 3 * soften;
    setEven([0, 0, 0]);
  }

  /** The sky is brighter on the side of the key. */
  glow(dome) {
    const [x, y, z] = this.mood.direction;
    const low = new Vector3(x, y, z / 2).normalize();
    return 0.72 + 0.75 * Math.max(0, dome.dot(low)) ** 1.5;
  }

  aim(light, direction, colour, strength) {
    light.color.setRGB(...colour);
    light.intensity = Math.PI * strength;
    light.position.copy(this.centre).addScaledVector(direction, this.reach * 3);
    light.updateMatrixWorld();
  }

  resize(width, height, ratio) {
    this.window = { width, height, ratio: this.fine * ratio };
    this.canvasShare = null;
    this.setCanvas(1);
    this.renderer.getDrawingBufferSize(this.size);
    for (const target of Object.values(this.targets)) target.dispose();
    const plain = { minFilter: NearestFilter, magFilter: NearestFilter, depthBuffer: false };
    const deep = { ...plain, type: this.precision };
    const drawn = { type: HalfFloatType, minFilter: LinearFilter };
    const { x, y } = this.size;
    this.targets = {
      live: this.newLive(this.share),
      pass: new WebGLRenderTarget(x, y, drawn),
      sum: new WebGLRenderTarget(x, y, deep),
      next: new WebGLRenderTarget(x, y, deep),
    };
    this.invalidate();
  }

  /** Let the canvas have a share of the window's pixels along each side; the browser scales it. */
  setCanvas(share) {
    if (share === this.canvasShare) return;
    this.canvasShare = share;
    const { width, height, ratio } = this.window;
    this.renderer.setDrawingBufferSize(width, height, ratio * share);
  }

  /** Where pictures in motion are drawn. */
  newLive(share) {
    const [x, y] = [this.size.x, this.size.y].map((side) => Math.max(1, Math.round(side * share)));
    const samples = this.fineness.known && this.share === 1 ? 4 : 0;
    return new WebGLRenderTarget(x, y, { type: HalfFloatType, minFilter: LinearFilter, magFilter: LinearFilter, samples });
  }

  // ------------------------------------------------------------------ as fine as there is time for

  /** The share of the window's pixels along each side at which pictures in motion are drawn. */
  get share() {
    return this.fineness.share;
  }

  /** Use the shadow maps of coarse pictures, or those of fine ones. */
  setMaps(coarse) {
    if (this.draft || this.coarseMaps === coarse) return;
    this.coarseMaps = coarse;
    for (const { shadow, userData } of [this.key, this.overhead]) {
      const { pixels, map } = userData.other;
      userData.other = { pixels: shadow.mapSize.x, map: shadow.map };
      shadow.mapSize.setScalar(pixels);
      shadow.map = map;
    }
  }

  /** Something has changed: start again with a picture in motion. */
  invalidate() {
    this.done = -1;
  }

  get settled() {
    return this.done >= this.passes && !this.coarse;
  }

  /** Draw the next picture, if there is anything to draw; `now` in milliseconds. */
  draw(camera, moving, now) {
    if (moving || this.done < 0) {
      this.band = 0;
      this.drawLive(camera, this.share);
      this.done = 0;
      this.since = now;
      this.moved = now;
    } else if (this.waits(now)) {
      return; // the last picture stays
    } else if (this.coarse) {
      if (!this.drawLive(camera, 1)) return;
      this.since = now;
    } else if (!this.settled) {
      if (!this.drawPass(camera)) return;
      const slow = this.done === 4 && now - this.since > 4 * SLOW_MS;
      if (slow && this.passes > SLOW_PASSES) this.setPasses(SLOW_PASSES);
    } else if (!this.whole) {
      return;
    }
    this.finish();
  }

  /** A hand is on the paper, or what it has done will soon be seen: what takes long can wait. */
  hurry(on = true) {
    this.hurriedUntil = on ? performance.now() + PATIENCE_MS : 0;
  }

  /** Whether what takes this device long is left until the hand rests. */
  waits(now) {
    const hurried = now < this.hurriedUntil;
    if (this.coarse && now - this.moved < (hurried ? HURRIED_MS : CALM_MS)) return true;
    // One band at a time: what changes meanwhile is seen after it, and not after a queue of them.
    return this.share < 1 && ((hurried && !this.coarse) || this.pace.busy);
  }

  /**
   * Draw a picture in motion with a share of the window's pixels along each side, or a band of it.
   * @returns whether it is all there.
   */
  drawLive(camera, share) {
    const { targets } = this;
    const coarse = share < 1;
    this.setMaps(coarse);
    this.lightLive();
    if (this.anew || Math.round(this.size.x * share) !== targets.live.width) {
      this.anew = false;
      targets.live.dispose();
      targets.live = this.newLive(share);
    }
    const undo = coarse ? this.coarsely() : null;
    const whole = this.drawBand(camera, targets.live, { live: true, share });
    undo?.();
    if (whole) this.coarse = coarse;
    return whole;
  }

  /** Draw the next band of a picture, or all of it if it has only one; whether that was the last. */
  drawBand(camera, target, what) {
    const { width, height } = target;
    const count = what.share > this.share && !this.settling ? Math.ceil((width * height) / BAND_PIXELS) : 1;
    const [low, high] = [this.band, this.band + 1].map((k) => Math.round((k * height) / count));
    const first = this.band === 0;
    target.scissorTest = count > 1;
    target.scissor.set(0, low, width, high - low);
    this.renderer.shadowMap.autoUpdate = first; // they are the same for all bands
    this.renderer.setRenderTarget(target);
    this.render(camera, count > 1 ? null : what);
    this.renderer.shadowMap.autoUpdate = true;
    this.band = (this.band + 1) % count;
    this.drawn.pixels += width * (high - low);
    if (this.band) this.pace.fence(null);
    if (!first) return !this.band;
    this.drawn[what.live ? "live" : "pass"] += 1;
    for (const { shadow } of [this.key, this.overhead]) this.drawn.shades += shadow.map.width * shadow.map.height;
    return !this.band;
  }

  /** Draw the scene, and have it told how long that takes; not where shaders are made on the way. */
  render(camera, what) {
    const { programs } = this.renderer.info;
    const before = programs.length;
    this.renderer.render(this.scene, camera);
    this.drawn.draws += this.renderer.info.render.calls;
    if (programs.length === before) this.measured = what;
  }

  /** Draw the next pass at rest, or a band of it; whether it is all there. */
  drawPass(camera) {
    const [u, v] = spread2(this.done + 0.25);
    const view = camera.view;
    const scale = this.size.x / view.width;
    camera.setViewOffset(
      view.fullWidth,
      view.fullHeight,
      view.offsetX + (u - 0.5) / scale,
      view.offsetY + (v - 0.5) / scale,
      view.width,
      view.height,
    );
    this.lightPass(this.done);
    this.setMaps(false);
    const whole = this.drawBand(camera, this.targets.pass, { live: false, share: 1 });
    camera.setViewOffset(
      view.fullWidth,
      view.fullHeight,
      view.offsetX - (u - 0.5) / scale,
      view.offsetY - (v - 0.5) / scale,
      view.width,
      view.height,
    );
    if (!whole) return false;
    this.averaging.uniforms.sum.value = this.targets.sum.texture;
    this.averaging.uniforms.fresh.value = this.targets.pass.texture;
    this.averaging.uniforms.share.value = 1 / (this.done + 1);
    this.fill(this.averaging, this.targets.next);
    [this.targets.sum, this.targets.next] = [this.targets.next, this.targets.sum];
    this.done += 1;
    return true;
  }

  finish() {
    this.setCanvas(this.coarse && !this.whole ? this.share : 1);
    const { uniforms } = this.finishing;
    const share = Math.min(1, Math.max(0, this.done) / Math.min(HANDOVER, this.passes || 1));
    uniforms.live.value = this.targets.live.texture;
    uniforms.still.value = this.done > 0 ? this.targets.sum.texture : this.black;
    uniforms.share.value = share * share * (3 - 2 * share);
    this.fill(this.finishing, null);
    this.pace.fence(this.measured);
    this.measured = null;
  }

  fill(material, target) {
    this.screen.material = material;
    this.renderer.setRenderTarget(target);
    this.renderer.render(this.stage, this.flat);
  }

  /** Let the light settle at once, for a picture to keep. */
  settle(camera) {
    this.settling = true;
    this.band = 0;
    if (this.done < 0 || this.coarse) this.drawLive(camera, 1);
    this.done = Math.max(0, this.done);
    while (!this.settled) this.drawPass(camera);
    this.settling = false;
    this.finish();
  }
}

/** Point k of an evenly spreading sequence on the unit square (additive recurrence). */
function spread2(k) {
  return [(0.5 + k * 0.7548776662466927) % 1, (0.5 + k * 0.5698402909980532) % 1];
}

/** A direction on the upper half of the sphere, evenly spread; not quite down to the table. */
function onDome(u, v) {
  const height = 0.03 + 0.97 * u;
  const flat = Math.sqrt(1 - height * height);
  return new Vector3(flat * Math.cos(2 * Math.PI * v), flat * Math.sin(2 * Math.PI * v), height);
}

function shader(fragmentShader, values) {
  const uniforms = Object.fromEntries(Object.entries(values).map(([k, value]) => [k, { value }]));
  const vertexShader = "varying vec2 place; void main() { place = uv; gl_Position = vec4(position.xy, 0.0, 1.0); }";
  return new ShaderMaterial({ uniforms, vertexShader, fragmentShader, depthTest: false, depthWrite: false });
}

const TABLE_HEAD = /* glsl */ `
varying vec2 vTable;
varying vec4 vSeen;
uniform vec3 backdrop;
uniform vec3 extent;
uniform float falloff;
`;
// As the pictures draw it: the table darkens outwards and passes into the backdrop, which is darker
// above, so that there is no horizon. mm, for a book of A5.
const TABLE_BODY = /* glsl */ `
vec2 off = (vTable - extent.xy) / extent.z;
float behind = smoothstep(250.0, 1350.0, -dot(off, normalize(cameraPosition.xy - extent.xy)));
float down = 0.5 - 0.5 * vSeen.y / vSeen.w;
outgoingLight *= (1.0 - falloff * smoothstep(170.0, 1070.0, length(off))) * (1.0 - behind);
outgoingLight += backdrop * (${FARTHEST.toFixed(2)} + 0.22 * down) * behind;
`;

const AVERAGE = /* glsl */ `
uniform sampler2D sum;
uniform sampler2D fresh;
uniform float share;
varying vec2 place;
void main() {
  vec4 new_ = min(texture2D(fresh, place), vec4(8.0));
  gl_FragColor = share >= 1.0 ? new_ : mix(texture2D(sum, place), new_, share);
}
`;

// Colours stay as the design has them up to 0.85; brighter light bends off towards white.
const FINISH = /* glsl */ `
uniform sampler2D live;
uniform sampler2D still;
uniform float share;
uniform float vignette;
varying vec2 place;
float hash(vec2 p) {
  return fract(52.9829189 * fract(dot(p, vec2(0.06711056, 0.00583715))));
}
void main() {
  vec3 light = mix(texture2D(live, place).rgb, texture2D(still, place).rgb, share);
  vec3 over = max(light - 0.85, 0.0);
  light = min(light, vec3(0.85)) + 0.15 * (1.0 - exp(-over / 0.15));
  vec2 aside = place - 0.5;
  light *= 1.0 - vignette * pow(2.0 * dot(aside, aside), 1.5);
  vec3 coded = mix(12.92 * light, 1.055 * pow(max(light, vec3(0.0)), vec3(1.0 / 2.4)) - 0.055, step(0.0031308, light));
  gl_FragColor = vec4(coded + (hash(gl_FragCoord.xy) - 0.5) / 255.0, 1.0);
}
`;
