"""A picture for each step: the paper that hangs together just then, as it lies on the table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache, partial

import numpy as np

from meshes.building import Step
from preview.drawing.render import Engine, renderer
from preview.drawing.scene import Scene
from preview.drawing.visible import Sight
from preview.parallel import Sealed, in_order
from preview.pattern.glue import letter
from preview.shot.camera import Camera, frame

from .arrows import with_arrows
from .flat import SHARE, beside, joined
from .letters import Spot, lettered
from .moves import PLACE, away, moved_apart, turned_over
from .scenes import around, step_scene
from .studio import DONE_DEG, Shown, Studio, Task, ids

_AZIMUTH_DEG = -72.0


def pictures(studio: Studio, steps: Sequence[Step], jobs: int) -> Iterator[np.ndarray]:
    """A picture of the finished spread, then one for each step with the letters of its glue.

    Parameters
    ----------
    jobs : processes that draw at the same time; the pictures are the same for any number.
    """
    tasks: list[Task | None] = [None]
    standing: frozenset[int] = frozenset([0])
    hang: dict[int, frozenset[int]] = {}
    for step in steps:
        mine = frozenset().union(*(hang.get(k, frozenset([k])) for k in step.sheets))
        tasks.append(Task(step, standing, mine))
        if step.action not in ("make", "close"):
            hang.update(dict.fromkeys(step.present, step.present))
        if step.on_page:
            standing |= step.present
    yield from in_order(partial(_draw, Sealed.of(studio)), tasks, min(jobs, len(tasks)))
    _artist.cache_clear()


@lru_cache(maxsize=1)
def _artist(studio: Sealed[Studio]) -> tuple[Studio, Engine]:
    """The studio and an engine, which every process needs once."""
    return studio.open(), renderer("auto")


def _draw(packed: Sealed[Studio], task: Task | None) -> np.ndarray:
    studio, engine = _artist(packed)
    if task is None:
        scene = studio.scene(DONE_DEG)
        angles = (_AZIMUTH_DEG, 30.0)
        return _shown(studio, engine, scene, scene.points, angles, studio.size).pixels
    width, height = studio.size
    aside = round(SHARE * width)
    narrow = (width - aside, height)
    step = task.step
    scene, focus, elevation = step_scene(studio, step, task.standing)
    side = away(scene, studio, step)
    scene, moves = moved_apart(studio, scene, task)
    if not step.on_page:
        scene, turn, shift = turned_over(scene, side)
        moves = [way @ turn.T + shift for way in moves]
        focus = scene.points
        if step.action == "stick":
            near = around(scene, ids(studio.spread, frozenset(step.sheets)))
            focus = np.clip(near, focus.min(axis=0), focus.max(axis=0))
        focus = np.concatenate([focus, *moves])
    if moves and step.on_page:
        names = ids(studio.spread, task.mine - {0})
        lifted = [s.corners for s in scene.surfaces if s.name in names]
        focus = np.concatenate([focus, *moves, *(lifted if step.action != "press" else [])])
    turned = _best_side(scene, focus, elevation, narrow) if moves else _AZIMUTH_DEG
    shown = _shown(studio, engine, scene, focus, (turned, elevation), narrow)
    pixels = with_arrows(lettered(shown, _spots(studio, scene, step)), shown.camera, moves)
    return joined(pixels, beside(studio.spread, studio.areas, step, (aside, height)))


def _shown(
    studio: Studio,
    engine: Engine,
    scene: Scene,
    points: np.ndarray,
    angles_deg: tuple[float, float],
    size: tuple[int, int],
) -> Shown:
    """A picture that holds points of shape (n, 3), mm, from an azimuth and an elevation."""
    camera = _camera(points, angles_deg, size)
    lit = scene.lit_for(camera.azimuth)
    return Shown(engine.draw(lit, camera, size, studio.quality), camera)


def _camera(points: np.ndarray, angles_deg: tuple[float, float], size: tuple[int, int]) -> Camera:
    azimuth, elevation = np.radians(angles_deg)
    aspect = size[0] / size[1]
    return frame(points, float(azimuth), float(elevation), aspect, margins=(0.08, 0.10))


def _best_side(
    scene: Scene, points: np.ndarray, elevation_deg: float, size: tuple[int, int]
) -> float:
    """The azimuth, degrees, from which the coloured places are seen best."""
    marks = [k for k, s in enumerate(scene.surfaces) if s.name.endswith(PLACE)]
    if not marks:
        return _AZIMUTH_DEG
    sight = Sight(scene)

    def seen(azimuth_deg: float) -> int:
        camera = _camera(points, (azimuth_deg, elevation_deg), size)
        small = (_GLANCE, round(_GLANCE * size[1] / size[0]))
        return int(np.isin(sight.surfaces(camera, small), marks).sum())

    usual = seen(_AZIMUTH_DEG)
    if usual >= _ENOUGH:
        return _AZIMUTH_DEG
    other = max(_OTHERS_DEG, key=seen)
    return other if seen(other) > _WORTH * usual + 1 else _AZIMUTH_DEG


# Other places to look from, the width of a picture to compare them in and what is enough to be
# seen in it, pixels, and by how much one must show more. Our choice.
_OTHERS_DEG, _GLANCE, _ENOUGH, _WORTH = (-110.0, -40.0, -140.0, -10.0), 80, 60, 2.0


def _spots(studio: Studio, scene: Scene, step: Step) -> list[Spot]:
    """Letters of a step's glue and what of its scene they lie on."""
    surfaces = {surface.name: surface for surface in scene.surfaces}
    areas = {area.letter: area for area in studio.areas if not area.lands}
    spots = []
    for area in (areas[letter(join)] for join in step.joins):
        surface = surfaces.get(area.facet)
        if surface is not None:
            middle = area.polygon.representative_point()
            at = surface.rotation[:, :2] @ np.array([middle.x, middle.y]) + surface.translation
            spots.append(Spot(area.letter, at, surface.corners))
    return spots
