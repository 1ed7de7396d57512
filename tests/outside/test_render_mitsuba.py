"""Shading against Mitsuba 3, a reference renderer, on the same diffuse scene and lights.

W. Jakob et al., Mitsuba 3 renderer (2022), mitsuba-renderer.org; variant scalar_rgb, direct light
only: a distant key of the same disc by several thin beams, and the same sky as an environment map.
Both pictures are compared in linear light, as a share of full scale.
"""

import numpy as np
import pytest

from preview.drawing.render.ray import still
from preview.shot.camera import VIEWS

from ..drawing.vale import vale
from . import mitsuba_scene

SIZE = (96, 72)


@pytest.fixture(scope="module")
def mitsuba():
    mi = pytest.importorskip("mitsuba", reason="the reference renderer is not installed")
    mi.set_variant("scalar_rgb")
    return mi


@pytest.mark.parametrize("opening", [100, 150])
def test_light_agrees_with_the_reference_renderer(opening, mitsuba):
    scene = mitsuba_scene.plain(vale(opening))
    camera = VIEWS["reader"].frame(scene.points, SIZE[0] / SIZE[1])
    loaded = mitsuba_scene.load(mitsuba, scene, camera, SIZE)
    theirs = mitsuba_scene.draw(mitsuba, loaded, 144)
    studio = still.RayStudio(scene, camera, SIZE)
    studio.tooth[:] = 0
    dark = np.zeros_like(studio.first_glow())
    ours = still.light_of(studio, range(SIZE[1]), still.RECIPES["still"], dark)
    shown = np.abs(np.minimum(ours, 1) - np.minimum(theirs, 1))
    near = slice(20, None)  # above, our table melts into the backdrop
    assert shown[near].mean() < 0.02
    assert np.quantile(shown[near], 0.95) < 0.08
