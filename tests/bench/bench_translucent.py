"""Stills of paper that lets light through beside Mitsuba 3, on the same scene and lights.

Run with ``python -m tests.bench.bench_translucent [DESIGN…]``. Direct light only. A sheet there is
a material of our own for Mitsuba: diffuse on both sides in the colours of its sides, and diffuse
through it, in the share that our stills use. Its variant ``llvm_ad_rgb`` is needed, since others
run no material that is written in Python. The difference is the mean over the part of the picture
near the spread, as a share of full scale of linear light, of all and of paper that is lit from
behind alone; it may be two percent. Noise is the difference from our own picture with very many
rays, in levels of 8 bits; Mitsuba's falls with the root of its samples. That variant works on many
rays at a time, and is several times as fast as the scalar one of `bench_noise`.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from typing import Any

import numpy as np

from meshes import designs, spread
from preview.drawing.colour import linear, linear_to_srgb
from preview.drawing.render.ray import still
from preview.drawing.scene import Scene, build
from preview.shot.camera import VIEWS

from ..outside import mitsuba_scene
from .bench_noise import noise
from .colour_difference import ciede2000, lab

# Nearly that of a still: on small pictures what is done once for a scene counts more than light.
SIZE = (960, 540)
OPENING_DEG = 130.0
SAMPLES, FEW = 512, 16
MOST = 0.02
CONVERGED = still.StillRecipe(key=96, sky=160, vary=-1, refine=-1, places=128, calm=0.3, orders=1)
# Above this share of the height our table melts into the backdrop.
TOP = 0.3


def sheets(scene: Scene) -> Scene:
    """The plain scene with its sheets as translucent as they are, and both their colours."""
    plain = mitsuba_scene.plain(scene)
    own = {surface.name: surface for surface in scene.surfaces}
    kept = tuple(
        replace(s, translucency=own[s.name].translucency, back=own[s.name].back, glow=None)
        for s in plain.surfaces
    )
    return replace(plain, surfaces=kept)


def material(mi: Any) -> Any:
    """A sheet for Mitsuba: diffuse on either side, and diffuse through it."""
    import drjit as dr

    class Sheet(mi.BSDF):
        def __init__(self, props: Any) -> None:
            mi.BSDF.__init__(self, props)
            self.front = mi.Color3f(*(props[f"front_{k}"] for k in "rgb"))
            self.back = mi.Color3f(*(props[f"back_{k}"] for k in "rgb"))
            self.share = props["share"]
            flags = mi.BSDFFlags
            sides = flags.FrontSide | flags.BackSide
            self.m_components = [
                flags.DiffuseReflection | sides,
                flags.DiffuseTransmission | sides,
            ]
            self.m_flags = self.m_components[0] | self.m_components[1]

        def _value(self, si: Any, wo: Any) -> Any:
            near, far = si.wi.z > 0, wo.z > 0
            colour = dr.select(near, self.front, self.back)
            through = self.share * dr.sqrt(self.front * self.back)
            return dr.select(near == far, colour, through) * dr.inv_pi * dr.abs(wo.z)

        def _chance(self, si: Any, wo: Any) -> Any:
            same = (si.wi.z > 0) == (wo.z > 0)
            share = self.share / (1 + self.share)
            return dr.select(same, 1 - share, share) * dr.inv_pi * dr.abs(wo.z)

        def sample(self, ctx: Any, si: Any, one: Any, two: Any, active: Any = True) -> Any:
            through = one < self.share / (1 + self.share)
            wo = mi.warp.square_to_cosine_hemisphere(two)
            wo.z *= dr.select((si.wi.z > 0) ^ through, 1.0, -1.0)
            bs = mi.BSDFSample3f()
            bs.wo, bs.eta, bs.pdf = wo, 1.0, self._chance(si, wo)
            bs.sampled_component = dr.select(through, mi.UInt32(1), mi.UInt32(0))
            bs.sampled_type = dr.select(
                through,
                mi.UInt32(+mi.BSDFFlags.DiffuseTransmission),
                mi.UInt32(+mi.BSDFFlags.DiffuseReflection),
            )
            value = self._value(si, wo) / bs.pdf
            return bs, dr.select(active & (bs.pdf > 0), value, 0.0)

        def eval(self, ctx: Any, si: Any, wo: Any, active: Any = True) -> Any:
            return dr.select(active, self._value(si, wo), 0.0)

        def pdf(self, ctx: Any, si: Any, wo: Any, active: Any = True) -> Any:
            return dr.select(active, self._chance(si, wo), 0.0)

        def eval_pdf(self, ctx: Any, si: Any, wo: Any, active: Any = True) -> Any:
            return self.eval(ctx, si, wo, active), self.pdf(ctx, si, wo, active)

        def to_string(self) -> str:
            return f"Sheet[{self.share}]"

    return Sheet


def loaded(mi: Any, scene: Scene, camera: Any) -> Any:
    """The Mitsuba scene: lights and table as for opaque paper, a mesh for each kind of sheet."""
    mi.register_bsdf("paper_sheet", material(mi))
    groups: dict[tuple[str, str, float], list[np.ndarray]] = {}
    for surface in scene.surfaces:
        kind = surface.front, surface.back, surface.translucency
        groups.setdefault(kind, []).append(mitsuba_scene.front_triangles(surface))
    extra = {}
    for k, ((front, back, share), parts) in enumerate(groups.items()):
        wanted = {"type": "paper_sheet", "share": float(share)}
        for side, colour in (("front", front), ("back", back)):
            wanted |= {f"{side}_{c}": float(v) for c, v in zip("rgb", linear(colour), strict=True)}
        props = mi.Properties()
        props["bsdf"] = mi.load_dict(wanted)
        points = np.concatenate(parts).reshape(-1, 3)
        extra[f"sheet{k}"] = mitsuba_scene.mesh(mi, f"sheet{k}", points, props)
    return mitsuba_scene.load(mi, replace(scene, surfaces=()), camera, SIZE, extra)


def drawn(studio: still.RayStudio, recipe: still.StillRecipe) -> Any:
    """The picture in direct light."""
    dark = np.zeros_like(studio.first_glow())
    return still.sharp_of(studio, range(SIZE[1]), recipe, dark)


def compare(mi: Any, name: str) -> None:
    """Measure one design and print what was found."""
    made = spread.read(designs.path(name))
    scene = sheets(build(made, made.solve(np.radians([OPENING_DEG])), 0))
    camera = VIEWS["reader"].frame(scene.points, SIZE[0] / SIZE[1])
    start = time.process_time()
    studio = still.RayStudio(scene, camera, SIZE)
    studio.tooth[:] = 0
    sharp = drawn(studio, still.RECIPES["still"])
    seconds = time.process_time() - start
    near = slice(round(TOP * SIZE[1]), None)
    truth = drawn(studio, CONVERGED).light[near]
    grain = {
        quality: noise(drawn(studio, still.RECIPES[quality]).light[near], truth)
        for quality in ("still", "fine")
    }
    theirs_scene = loaded(mi, scene, camera)
    start = time.process_time()
    few = [mitsuba_scene.draw(mi, theirs_scene, FEW, seed) for seed in (1, 2)]
    pace = (time.process_time() - start) / 2 / FEW
    theirs = mitsuba_scene.draw(mi, theirs_scene, SAMPLES, seed=3)
    one, two = (np.clip(each[near], 0, 1) for each in (sharp.light, theirs))
    off = np.abs(one - two)
    behind = studio.through[sharp.key[near]]
    colours = ciede2000(*(lab(linear_to_srgb(each)) for each in (one, two)))
    theirs_at_one = noise(few[0][near], few[1][near]) / np.sqrt(2) * np.sqrt(FEW)
    sys.stdout.write(
        f"{name}: mean difference {100 * off.mean():.2f} % of full scale (at most "
        f"{100 * MOST:.0f} %), of paper lit from behind {100 * off[behind].mean():.2f} % "
        f"({100 * behind.mean():.0f} % of the pixels, mean light {two[behind].mean():.3f}, ours "
        f"{one[behind].mean():.3f}); CIEDE2000 mean {colours.mean():.2f}, median "
        f"{np.median(colours):.2f}; noise {grain['still']:.2f} levels, fine {grain['fine']:.2f}; "
        f"{seconds:.1f} s of processor time, Mitsuba for the same noise "
        f"{pace * (theirs_at_one / grain['still']) ** 2:.1f} s\n"
    )


def main(names: list[str]) -> None:
    """Measure and report."""
    import mitsuba as mi

    mi.set_variant("llvm_ad_rgb")
    for name in names or ["spring-nest", "dragon-keep", "peacock-court"]:
        compare(mi, name)


if __name__ == "__main__":
    main(sys.argv[1:])
