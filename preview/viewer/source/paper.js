// Sheets of paper as meshes: slabs with two colours, a cut edge and the tooth of the paper.
import {
  BufferAttribute,
  BufferGeometry,
  Color,
  CustomBlending,
  DataTexture,
  FrontSide,
  LinearFilter,
  LinearMipmapLinearFilter,
  LineBasicMaterial,
  MeshLambertMaterial,
  OneFactor,
  OneMinusSrcAlphaFactor,
  RepeatWrapping,
  ShaderMaterial,
  ShapeUtils,
  Vector2,
} from "three";

import { addSecondHand } from "./second-hand.js";

const EDGE_SHADE = 0.8;
const TOOTH_PIXELS = 256;
const TOOTH_MM = TOOTH_PIXELS * 0.12;
/** How bright a lamp behind white paper makes it, beside white paper in full light; of the mood. */
export const lamp = { value: 0.25 };

// How far a plain outline may leave the true one, mm.
const PLAIN_MM = 0.2;

/** Points of a sheet's slab in body coordinates, gathered into one mesh. */
export class Slabs {
  constructor() {
    this.corners = new Corners();
    this.outlines = [];
    this.glow = new Color(0, 0, 0);
    this.lit = [0, 0, 0];
  }

  /**
   * Add a facet.
   * @param facet rings ([x, y, x, y …], outline first), up (+1 or -1), z and caliper (mm),
   *   front, back, core (colour of the cut edges, or empty), through (share of light that comes
   *   through), lit (light of a lamp behind it, linear RGB), bow (of clear film: its middle, and how
   *   far its normal leans a mm off it, by rows).
   * @param faceOnly draw the printed face alone, `drop` under its plane.
   */
  add(facet, faceOnly = false, drop = 0) {
    const rings = facet.rings.map(points);
    const sheet = flat(rings);
    const half = facet.caliper / 2;
    const [above, below] = this.dip(facet);
    if (faceOnly) {
      this.glow.setRGB(0, 0, 0);
      this.face(sheet, facet.z - drop, 1, above);
    } else {
      this.face(sheet, facet.z + half, 1, above);
      this.face(sheet, facet.z - half, -1, below);
      const edge = edgeColour(facet.core || facet.front, facet.core || facet.back);
      this.lit = [0, 0, 0];
      for (const ring of rings) this.rim(ring, facet.z - half, facet.z + half, edge);
    }
    for (const ring of rings) this.outline(ring, facet.z + (faceOnly ? 0.1 : half + 0.05));
    for (const ring of rings) this.outline(ring, facet.z - (faceOnly ? 0 : half + 0.05));
  }

  /** Take the colours of a facet; returns those above and below it. */
  dip(facet) {
    const front = new Color(facet.front);
    const back = new Color(facet.back);
    // Light that comes through has the colour of both sides.
    const both = (side) => Math.sqrt(front[side] * back[side]) * facet.through;
    this.glow.setRGB(both("r"), both("g"), both("b"));
    this.lit = facet.lit ?? [0, 0, 0];
    this.bow = facet.bow;
    return facet.up > 0 ? [front, back] : [back, front];
  }

  face({ corners, triangles }, z, way, colour) {
    for (const triangle of triangles) {
      const [a, b, c] = way > 0 ? triangle : [triangle[2], triangle[1], triangle[0]];
      for (const k of [a, b, c]) this.vertex(corners[k].x, corners[k].y, z, 0, 0, way, colour);
    }
  }

  rim(ring, low, high, colour) {
    ring.forEach((from, k) => {
      const to = ring[(k + 1) % ring.length];
      const length = Math.hypot(to.x - from.x, to.y - from.y) || 1;
      const nx = (to.y - from.y) / length;
      const ny = (from.x - to.x) / length;
      const quad = [
        [from, low],
        [to, low],
        [to, high],
        [from, low],
        [to, high],
        [from, high],
      ];
      for (const [point, z] of quad) this.vertex(point.x, point.y, z, nx, ny, 0, colour);
    });
  }

  outline(ring, z) {
    ring.forEach((from, k) => {
      const to = ring[(k + 1) % ring.length];
      this.outlines.push(from.x, from.y, z, to.x, to.y, z);
    });
  }

  vertex(x, y, z, nx, ny, nz, colour) {
    const { corners } = this;
    corners.position.push(x, y, z);
    corners.normal.push(nx, ny, nz);
    corners.color.push(colour.r, colour.g, colour.b);
    corners.glow.push(this.glow.r, this.glow.g, this.glow.b);
    corners.lit.push(...this.lit);
    if (!this.bow) return;
    const [middleX, middleY, xx, xy, yx, yy] = this.bow;
    const [offX, offY] = [x - middleX, y - middleY];
    corners.bow.push(xx * offX + xy * offY, yx * offX + yy * offY);
  }

  geometry() {
    return geometryOf(this.corners);
  }

  lines() {
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", floatAttribute(this.outlines));
    return geometry;
  }
}

/**
 * Facets as coarse pictures have them: their faces without the cut edges and without what of the
 * outline is smaller than a pixel there, and one sheet that throws their shadow.
 */
export function plainly(facets) {
  const [faces, shadow] = [new Slabs(), new Slabs()];
  for (const facet of facets) {
    const sheet = flat(simplified(facet.rings.map(points)));
    const [above, below] = faces.dip(facet);
    faces.face(sheet, facet.z + facet.caliper / 2, 1, above);
    faces.face(sheet, facet.z - facet.caliper / 2, -1, below);
    shadow.face(sheet, facet.z, 1, above);
  }
  return { faces: faces.geometry(), shadow: shadow.geometry() };
}

function flat(rings) {
  return { corners: rings.flat(), triangles: ShapeUtils.triangulateShape(rings[0], rings.slice(1)) };
}

class Corners {
  position = [];
  normal = [];
  color = [];
  glow = [];
  lit = [];
  bow = []; // of clear film alone
}

function geometryOf(corners) {
  const geometry = new BufferGeometry();
  for (const [name, values] of Object.entries(corners)) {
    if (name !== "bow" || values.length) geometry.setAttribute(name, floatAttribute(values, name === "bow" ? 2 : 3));
  }
  return geometry;
}

/** Rings of few corners, none of them farther than `PLAIN_MM` from the true ones. */
function simplified(rings) {
  const [outline, ...holes] = rings.map((ring) => {
    const away = ring.map((point) => point.distanceTo(ring[0]));
    const far = away.indexOf(Math.max(...away));
    return [...between(ring.slice(0, far + 1)), ...between([...ring.slice(far), ring[0]])];
  });
  return [outline.length > 2 ? outline : rings[0], ...holes.filter((ring) => ring.length > 2)];
}

/** The line of Douglas and Peucker without its last point. */
function between(line) {
  const [from, to] = [line[0], line.at(-1)];
  const [alongX, alongY] = [to.x - from.x, to.y - from.y];
  const square = alongX ** 2 + alongY ** 2;
  let [best, far] = [0, PLAIN_MM];
  for (let k = 1; k + 1 < line.length; k++) {
    const [x, y] = [line[k].x - from.x, line[k].y - from.y];
    const share = square ? Math.min(1, Math.max(0, (x * alongX + y * alongY) / square)) : 0;
    const apart = Math.hypot(x - share * alongX, y - share * alongY);
    if (apart > far) [best, far] = [k, apart];
  }
  return best ? [...between(line.slice(0, best + 1)), ...between(line.slice(best))] : [from];
}

function points(flat) {
  const ring = [];
  for (let k = 0; k < flat.length; k += 2) ring.push(new Vector2(flat[k], flat[k + 1]));
  return ring;
}

export function floatAttribute(values, size = 3) {
  return new BufferAttribute(new Float32Array(values), size);
}

/** The mean of both sides, a little darker, in the numbers of the colour as it is written. */
function edgeColour(front, back) {
  const mean = [1, 3, 5].map((k) => {
    const sum = parseInt(front.slice(k, k + 2), 16) + parseInt(back.slice(k, k + 2), 16);
    return Math.round((sum / 2) * EDGE_SHADE);
  });
  return new Color(`rgb(${mean.join(",")})`);
}

// Told by number, not by text in the shader: one shader serves all, and to compile one takes a while.
const RULINGS = { dots: 1, lines: 2, grid: 3 };

/**
 * Paper: matt, with a fine tooth that lies in the plane of the sheet, unless that is null.
 * @param options strength of the tooth; ruling of a notebook page ("dots", "lines", "grid");
 *   leaves: draw the edges of a page block; surface: "paper", "page" of the notebook, or "other";
 *   layers: each corner has an attribute `layer`, by so many of the smallest steps of depth it is drawn
 *   farther than it is, as polygonOffsetUnits have it for a whole mesh.
 */
export function paperMaterial(tooth, { strength = 1, ruling = "plain", leaves = false, surface = "paper", layers = false } = {}) {
  const material = new MeshLambertMaterial({ vertexColors: true, side: FrontSide });
  material.emissive = new Color(0, 0, 0);
  material.defines = { ...material.defines, THROUGH: "" };
  if (tooth) material.defines.TOOTH = "";
  if (layers) material.defines.LAYERS = "";
  material.onBeforeCompile = (shader) => {
    shader.uniforms.tooth = { value: tooth };
    shader.uniforms.toothStrength = { value: strength };
    shader.uniforms.lamp = lamp;
    shader.uniforms.ruling = { value: RULINGS[ruling] ?? 0 };
    shader.uniforms.leaves = { value: leaves };
    shader.vertexShader = shader.vertexShader
      .replace("#include <common>", `#include <common>\n${VERTEX_HEAD}`)
      .replace("#include <begin_vertex>", `#include <begin_vertex>\n${VERTEX_BODY}`)
      .replace("#include <project_vertex>", `#include <project_vertex>\n${LAYERED}`)
      .replace("#include <shadowmap_vertex>", SHADOW_PLACES);
    shader.fragmentShader = shader.fragmentShader
      .replace("#include <common>", `#include <common>\n${FRAGMENT_HEAD}`)
      .replace("#include <emissivemap_fragment>", "totalEmissiveRadiance += lamp * vLit;")
      .replace("#include <color_fragment>", `#include <color_fragment>\n${COLOUR_BODY}`)
      .replace("#include <normal_fragment_maps>", `#include <normal_fragment_maps>\n${NORMAL_BODY}`);
    addSecondHand(shader, surface);
  };
  return material;
}

/** An image printed on paper: where it is transparent, the paper under it shows. */
export function artMaterial(tooth, texture, layer) {
  const material = paperMaterial(tooth);
  material.map = texture;
  material.transparent = true;
  material.depthWrite = false;
  material.polygonOffset = true;
  material.polygonOffsetUnits = layer;
  return material;
}

/** The face of a facet on which an image lies, with the place of each corner in the image. */
export function artGeometry(facet, { side, corner, size }) {
  const slabs = new Slabs();
  const way = side * facet.up;
  slabs.face(flat(facet.rings.map(points)), facet.z + way * (facet.caliper / 2 + 0.02), way, new Color("white"));
  const geometry = slabs.geometry();
  // From the body back to the sheet: the placement is a turn, perhaps mirrored, so its inverse is
  // its transpose.
  const [a, b, c, d, x, y] = facet.placed;
  const places = [];
  const { position } = slabs.corners;
  for (let k = 0; k < position.length; k += 3) {
    const [u, v] = [position[k] - x, position[k + 1] - y];
    places.push((a * u + c * v - corner[0]) / size[0], (b * u + d * v - corner[1]) / size[1]);
  }
  geometry.setAttribute("uv", floatAttribute(places, 2));
  return geometry;
}

/**
 * Clear film: it hardly darkens what is behind it, and mirrors the sky and the window.
 * @param light uniforms sky and key (linear RGB) and towards (unit vector), shared by all film.
 */
export function filmMaterial(light) {
  return new ShaderMaterial({
    uniforms: light,
    vertexShader: FILM_VERTEX,
    fragmentShader: FILM_FRAGMENT,
    transparent: true,
    depthWrite: false,
    blending: CustomBlending,
    blendSrc: OneFactor,
    blendDst: OneMinusSrcAlphaFactor,
  });
}

/** The cut edge of film, which catches light all round; `colour` is that of the light. */
export function filmEdge(colour) {
  const material = new LineBasicMaterial({ transparent: true, opacity: 0.3, depthWrite: false });
  material.color = colour;
  return material;
}

const VERTEX_HEAD = /* glsl */ `
varying vec3 vSheet;
varying vec3 vAcross;
varying vec3 vAlong;
attribute vec3 glow;
varying vec3 vGlow;
attribute vec3 lit;
varying vec3 vLit;
#ifdef LAYERS
attribute float layer;
#endif
`;
// Depth has 24 bits, and goes from -1 to 1 here.
const LAYERED = /* glsl */ `
#ifdef LAYERS
gl_Position.z += layer * gl_Position.w / ${2 ** 23}.0;
#endif
`;
const VERTEX_BODY = /* glsl */ `
vSheet = position;
vGlow = glow;
vLit = lit;
vAcross = normalMatrix * vec3(1.0, 0.0, 0.0);
vAlong = normalMatrix * vec3(0.0, 1.0, 0.0);
`;
// Where in the shadow map a point is looked up: as three.js does it (shadowmap_vertex), but a side
// that faces away asks just before its own sheet, to learn how much light falls on the other side.
const SHADOW_PLACES = /* glsl */ `
#if defined( USE_SHADOWMAP ) && NUM_DIR_LIGHT_SHADOWS > 0
vec3 shadowWorldNormal = transformNormalByInverseViewMatrix( transformedNormal, viewMatrix );
#pragma unroll_loop_start
for ( int i = 0; i < NUM_DIR_LIGHT_SHADOWS; i ++ ) {
  {
    mat4 map = directionalShadowMatrix[ i ];
    vec3 towards = -normalize( vec3( map[ 0 ][ 2 ], map[ 1 ][ 2 ], map[ 2 ][ 2 ] ) );
    DirectionalLightShadow light = directionalLightShadows[ i ];
    // A pixel asks all over a disk, where a tilted sheet is itself before it: by the sine of its tilt.
    float facing = dot( shadowWorldNormal, towards );
    float disk = ( light.shadowRadius + 1.0 ) / ( light.shadowMapSize.x * length( vec3( map[ 0 ][ 0 ], map[ 1 ][ 0 ], map[ 2 ][ 0 ] ) ) );
    float bias = light.shadowNormalBias + disk * sqrt( max( 0.0, 1.0 - facing * facing ) );
    vec3 off = facing < 0.0 ? 1.2 * towards : bias * shadowWorldNormal;
    vDirectionalShadowCoord[ i ] = map * ( worldPosition + vec4( off, 0.0 ) );
  }
}
#pragma unroll_loop_end
#endif
`;
const FILM_VERTEX = /* glsl */ `
attribute vec2 bow;
varying vec3 vNormal;
varying vec3 vPlace;
varying vec3 vBow;
void main() {
  vBow = mat3(modelMatrix) * vec3(bow, 0.0);
  vec4 place = modelMatrix * vec4(position, 1.0);
  vPlace = place.xyz;
  vNormal = mat3(modelMatrix) * normal;
  gl_Position = projectionMatrix * viewMatrix * place;
}
`;
// As the pictures draw film: Schlick's reflectance, a sky that is brighter above, a soft window.
const FILM_FRAGMENT = /* glsl */ `
uniform vec3 sky;
uniform vec3 key;
uniform vec3 towards;
varying vec3 vNormal;
varying vec3 vPlace;
varying vec3 vBow;
void main() {
  vec3 ray = normalize(vPlace - cameraPosition);
  vec3 facing = normalize(vNormal);
  vec3 normal = normalize(dot(facing, ray) > 0.0 ? vBow - facing : vBow + facing);
  vec3 mirrored = reflect(ray, normal);
  float fresnel = 0.075 + 0.92 * pow(1.0 - abs(dot(ray, normal)), 5.0);
  float spot = clamp((dot(mirrored, towards) - 0.80) / 0.14, 0.0, 1.0);
  vec3 shine = sky * (0.6 + 0.6 * max(mirrored.z, 0.0)) + 3.2 * spot * spot * key;
  gl_FragColor = vec4(fresnel * shine, 1.0 - 0.96 * (1.0 - fresnel));
}
`;
const FRAGMENT_HEAD = /* glsl */ `
varying vec3 vGlow;
varying vec3 vLit;
uniform float lamp;
uniform sampler2D tooth;
uniform float toothStrength;
uniform int ruling;
uniform bool leaves;
varying vec3 vSheet;
varying vec3 vAcross;
varying vec3 vAlong;

float stroke(vec2 place, float radius) {
  float distance = min(abs(place.x), abs(place.y));
  float soft = max(fwidth(place.x) + fwidth(place.y), 0.05);
  return (1.0 - smoothstep(radius, radius + soft, distance)) * clamp(0.6 / soft, 0.0, 1.0);
}
`;
const COLOUR_BODY = /* glsl */ `
#ifdef USE_MAP
  if (any(lessThan(vMapUv, vec2(0.0))) || any(greaterThan(vMapUv, vec2(1.0)))) discard;
#endif
#ifdef TOOTH
vec3 grain = texture2D(tooth, vSheet.xy / ${TOOTH_MM.toFixed(2)}).rgb * 2.0 - 1.0;
diffuseColor.rgb *= 1.0 + 0.03 * toothStrength * grain.b;
#endif
if (ruling == 1) {
  vec2 cell = mod(vSheet.xy, 5.0) - 2.5;
  float pixel = length(vec2(fwidth(vSheet.x), fwidth(vSheet.y))) * 0.6;
  float soft = max(pixel, 0.08);
  // A dot smaller than a pixel keeps its ink: paler as it gets wider.
  float ink = min(1.0, pow(0.5 / max(0.42, 0.9 * pixel), 2.0));
  float dot_ = 1.0 - smoothstep(-soft, soft, length(cell) - max(0.42, 0.9 * pixel));
  diffuseColor.rgb *= 1.0 - 0.34 * dot_ * ink;
} else if (ruling == 2) {
  diffuseColor.rgb *= 1.0 - 0.22 * stroke(vec2(9.0, mod(vSheet.y, 7.0) - 3.5), 0.08);
} else if (ruling == 3) {
  diffuseColor.rgb *= 1.0 - 0.18 * stroke(mod(vSheet.xy, 5.0) - 2.5, 0.07);
}
if (leaves) {
  float depth = vSheet.z / 0.62 + 0.35 * sin(vSheet.z * 2.7) + 0.08 * sin(vSheet.x * 0.9 + vSheet.y * 0.7);
  float fade = clamp(0.5 / max(fwidth(depth), 1e-4), 0.0, 1.0);
  diffuseColor.rgb *= 0.92 + 0.08 * cos(6.2831853 * depth) * fade;
}
`;
const NORMAL_BODY = /* glsl */ `
#ifdef TOOTH
normal = normalize(normal + 0.10 * toothStrength * (grain.r * vAcross + grain.g * vAlong));
#endif
`;

/** A tile of paper tooth: slopes in red and green, height in blue; the same at every call. */
export function toothTexture() {
  const n = TOOTH_PIXELS;
  const height = normalised(subtract(blur(noise(n), n, 1), blur(noise(n), n, 5)));
  const data = new Uint8Array(4 * n * n);
  const at = (x, y) => height[((y + n) % n) * n + ((x + n) % n)];
  for (let y = 0; y < n; y++) {
    for (let x = 0; x < n; x++) {
      const k = 4 * (y * n + x);
      data[k] = byte(at(x - 1, y) - at(x + 1, y));
      data[k + 1] = byte(at(x, y - 1) - at(x, y + 1));
      data[k + 2] = byte(at(x, y));
      data[k + 3] = 255;
    }
  }
  const texture = new DataTexture(data, n, n);
  texture.wrapS = texture.wrapT = RepeatWrapping;
  texture.magFilter = LinearFilter;
  texture.minFilter = LinearMipmapLinearFilter;
  texture.anisotropy = 4;
  texture.generateMipmaps = true;
  texture.needsUpdate = true;
  return texture;
}

function byte(value) {
  return Math.max(0, Math.min(255, Math.round(127.5 + 40 * value)));
}

/** Reproducible noise from a linear congruential generator. */
function noise(n) {
  const values = new Float32Array(n * n);
  let state = 12345;
  for (let k = 0; k < values.length; k++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    values[k] = state / 2 ** 32 - 0.5;
  }
  return values;
}

/** Mean over a square of 2·reach + 1 pixels, wrapped round, twice. */
function blur(values, n, reach) {
  let result = values;
  for (let pass = 0; pass < 2; pass++) {
    for (const [dx, dy] of [
      [1, 0],
      [0, 1],
    ]) {
      const next = new Float32Array(n * n);
      for (let y = 0; y < n; y++) {
        for (let x = 0; x < n; x++) {
          let sum = 0;
          for (let k = -reach; k <= reach; k++) {
            sum += result[((y + k * dy + n) % n) * n + ((x + k * dx + n) % n)];
          }
          next[y * n + x] = sum / (2 * reach + 1);
        }
      }
      result = next;
    }
  }
  return result;
}

function subtract(first, second) {
  return first.map((value, k) => value - second[k]);
}

function normalised(values) {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const spread = Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / values.length);
  return values.map((value) => (value - mean) / spread);
}
