"""Light that goes on from paper to paper, against the sum of all its orders.

Between two wide parallel sheets of the reflectances a and b, one of which sends out the light L,
the other receives L + ab L + (ab)^2 L + … = L / (1 - ab), a geometric series. Source: any textbook
of radiosity, as M. F. Cohen and J. R. Wallace, Radiosity and Realistic Image Synthesis, Academic
Press 1993.
"""

import numpy as np
import shapely

from meshes.sheet import Glow
from preview.drawing.colour import linear
from preview.drawing.render.ray import still
from preview.drawing.render.ray.lamps import Lamps
from preview.drawing.scene import Scene, Surface
from preview.shot.camera import Camera
from preview.shot.mood import MOODS

SIZE = (16, 12)
GREY = "#d8d8d8"


def between():
    """A lit ceiling 40 mm over a floor, both seen from between them; no light comes in."""
    wide, over = shapely.box(-500, -500, 500, 500), np.diag([1.0, -1.0, -1.0])
    floor = Surface("floor", wide, np.eye(3), np.zeros(3), GREY, GREY)
    lit = {"glow": Glow(0.1, "#ffffff")}
    ceiling = Surface("ceiling", wide, over, np.array([0, 0, 40.0]), GREY, GREY, **lit)
    camera = Camera((0.0, -60.0, 20.0), (0.0, 0.0, 20.0), np.radians(70))
    lid = Surface("lid", wide, np.eye(3), np.array([0, 0, 41.0]), GREY, GREY)
    studio = still.RayStudio(Scene((floor, ceiling, lid), MOODS["night"], table=-1.0), camera, SIZE)
    # So near to such a large lamp, the cells of a picture would be too coarse.
    studio.lamps = Lamps.of(studio.solid, MOODS["night"], 25.0, 5000)
    return studio


def test_light_between_two_sheets_is_the_sum_of_all_orders():
    studio = between()
    view = still.view_of(studio, range(4, 4 + SIZE[1]))
    a = linear(GREY)[0]
    sent = float(studio.emitted.max())
    sums = {}
    for name, recipe in still.RECIPES.items():
        glow = still.glow_of(studio, view, recipe)
        floor = studio.patches.surface_of == 0
        faces = np.flatnonzero(floor & (studio.patches.normals[:, 2] > 0.9))
        sums[name] = float(glow[faces, 0].mean()) / a
    whole = sent / (1 - a * a)
    # Sheets that are not endless lose some of it at their edges.
    assert 0.88 * whole < sums["fine"] < 1.02 * whole
    assert abs(sums["fine"] - whole) < abs(sums["still"] - whole)
