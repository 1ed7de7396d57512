// Light that comes to a sheet by way of others: as the frames of a film have it, so that page and
// film look alike. What hides the sky from a sheet is lit as well and sends some light itself; and
// from below comes what the table or the open pages throw back.
import { Color, ShaderChunk, Vector3 } from "three";

// As in films: what hides the sky sends such a share of the pages' colour, or of the sky's light to
// what is neither paper nor page; and the pages send such a share of their colour upwards.
const ECHO_PAPER = 0.42;
const ECHO_PAGE = 0.22;
const ECHO_OTHER = 0.3;
const FROM_PAGES = 0.74;
// The table is hidden from the sky by the cover, which sends such a share of its colour and of the
// sky's light. Chosen so that shadows are as dark as in stills, which trace this light.
const ECHO_COVER = 0.3;
const ECHO_AROUND = 0.1;
// Of the light from below a share fades with the sky where a place is hidden: in the mean half of it.
const LEFT_FROM_BELOW = 0.8;

const kind = () => ({ echo: { value: new Vector3() }, below: { value: new Color() } });
/** Uniforms for each kind of surface: `echo`, a share of the sky's light, and light from `below`. */
const SECOND_HAND = { paper: kind(), page: kind(), other: kind(), table: kind() };
/** Light of the open sky that nothing hides, while a picture moves. */
const EVEN = { value: new Color() };

/**
 * @param mood sky and table light (linear RGB), gain.
 * @param book its cover, and the mean colour of what its pages show (ground, linear RGB).
 */
export function setSecondHand({ sky, ground, gain }, book) {
  const [pages, cover] = [book.ground, new Color(book.cover).toArray()];
  const share = (light) => light.map((value, k) => value / Math.max(sky[k], 1e-3));
  const { paper: sheet, page, other, table } = SECOND_HAND;
  sheet.echo.value.set(...share(pages.map((value) => gain * ECHO_PAPER * value)));
  page.echo.value.set(...share(pages.map((value) => gain * ECHO_PAGE * value)));
  other.echo.value.setScalar(ECHO_OTHER);
  table.echo.value.set(...share(cover.map((value) => gain * ECHO_COVER * value))).addScalar(ECHO_AROUND);
  sheet.below.value.setRGB(...pages.map((value) => LEFT_FROM_BELOW * gain * FROM_PAGES * value));
  for (const one of [page, other]) one.below.value.setRGB(...ground.map((value) => LEFT_FROM_BELOW * value));
}

/** @param sky light that comes evenly from above, linear RGB. */
export function setEven(sky) {
  EVEN.value.setRGB(...sky);
}

/** Let a Lambert shader know second-hand light; `surface` is "paper", "page", "table" or "other". */
export function addSecondHand(shader, surface) {
  Object.assign(shader.uniforms, SECOND_HAND[surface], { even: EVEN });
  shader.fragmentShader = shader.fragmentShader
    .replace("#include <lights_lambert_pars_fragment>", LAMBERT)
    .replace("#include <lights_fragment_begin>", LIGHTS);
}

// Two lights cast shadow: first the key, which also shines through paper, then the sky.
const SHADOW = /directLight\.color \*= (\( directLight\.visible && receiveShadow \) \? getShadow\( directionalShadowMap[^;]*);/;
if (!SHADOW.test(ShaderChunk.lights_fragment_begin)) throw new Error("lights_fragment_begin of three.js has changed");
const LIGHTS = ShaderChunk.lights_fragment_begin.replace(
  SHADOW,
  `{
    float reached = $1;
    directLight.color *= UNROLLED_LOOP_INDEX == 0 ? vec3( reached ) : mix( echo, vec3( 1.0 ), reached );
  }
  isKey = UNROLLED_LOOP_INDEX == 0;`,
);
const LAMBERT = /* glsl */ `
varying vec3 vViewPosition;
uniform vec3 echo;
uniform vec3 below;
uniform vec3 even;
bool isKey = true;
struct LambertMaterial {
  vec3 diffuseColor;
  float specularStrength;
};
void RE_Direct_Lambert( const in IncidentLight directLight, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in LambertMaterial material, inout ReflectedLight reflectedLight ) {
  float facing = dot( geometryNormal, directLight.direction );
  vec3 share = max( facing, 0.0 ) * material.diffuseColor;
#ifdef THROUGH
  if ( isKey && facing < 0.0 ) share = -facing * vGlow;
#endif
  reflectedLight.directDiffuse += directLight.color * BRDF_Lambert( share );
}
void RE_IndirectDiffuse_Lambert( const in vec3 irradiance, const in vec3 geometryPosition, const in vec3 geometryNormal, const in vec3 geometryViewDir, const in vec3 geometryClearcoatNormal, const in LambertMaterial material, inout ReflectedLight reflectedLight ) {
  float upward = 0.5 + 0.5 * dot( geometryNormal, ( viewMatrix * vec4( 0.0, 0.0, 1.0, 0.0 ) ).xyz );
  reflectedLight.indirectDiffuse += mix( below, even, upward ) * material.diffuseColor;
}
#define RE_Direct RE_Direct_Lambert
#define RE_IndirectDiffuse RE_IndirectDiffuse_Lambert
`;
