"""A picture for each step: the paper that hangs together just then, as it lies on the table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
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
from .letters import LetterSpot, lettered
from .moves import PLACE, away, moved_apart, turned_over
from .scenes import around, step_scene
from .studio import DONE_DEG, GuideStudio, Shown, StepTask, ids

_AZIMUTH_DEG = -72.0
# The picture of the finished spread is so many times as large: it is as wide as two steps. Our
# choice.
_COVER = 2


def pictures(studio: GuideStudio, steps: Sequence[Step], jobs: int) -> Iterator[np.ndarray]:
    """A picture of the finished spread, then one for each step with the letters of its glue.

    Parameters
    ----------
    jobs : processes that draw at the same time; the pictures are the same for any number.
    """
    tasks: list[StepTask | None] = [None]
    standing: frozenset[int] = frozenset([0])
    hang: dict[int, frozenset[int]] = {}
    for step in steps:
        mine = frozenset().union(*(hang.get(k, frozenset([k])) for k in step.sheets))
        tasks.append(StepTask(step, standing, mine))
        if step.action not in ("make", "close"):
            hang.update(dict.fromkeys(step.present, step.present))
        if step.on_page:
            standing |= step.present
    yield from in_order(partial(_draw, Sealed.of(studio)), tasks, min(jobs, len(tasks)))
    _artist.cache_clear()


@lru_cache(maxsize=1)
def _artist(studio: Sealed[GuideStudio]) -> tuple[GuideStudio, Engine]:
    """The studio and an engine, which every process needs once."""
    return studio.open(), renderer("auto")


def _draw(packed: Sealed[GuideStudio], task: StepTask | None) -> np.ndarray:
    studio, engine = _artist(packed)
    if task is None:
        scene = studio.scene(DONE_DEG)
        angles = (_AZIMUTH_DEG, 30.0)
        width, height = studio.size
        large = _COVER * width, _COVER * height
        return _shown(studio, engine, scene, scene.points, angles, large).pixels
    width, height = studio.size
    aside = round(SHARE * width)
    narrow = (width - aside, height)
    step = task.step
    studio = with_leaves(studio, task)
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
        focus = np.concatenate([focus, *_seen_too(studio, scene, task, moves)])
    looked_for = _looked_for(scene, ids(studio.spread, frozenset(step.sheets)), bool(moves), step)
    angles = _best_side(scene, focus, elevation, narrow, looked_for, not step.on_page)
    shown = _shown(studio, engine, scene, focus, angles, narrow)
    moves = [way for way in moves if _inside(way, shown.camera, narrow)]
    pixels = with_arrows(lettered(shown, _spots(studio, scene, step)), shown.camera, moves)
    return joined(pixels, beside(*studio.flat, step, (aside, height)))


def with_leaves(studio: GuideStudio, task: StepTask) -> GuideStudio:
    """The studio with flyleaves where a step is seen: what stands behind one needs it turned."""
    step = task.step
    if not step.on_page or len(studio.ways) == 1:
        return studio
    names = ids(studio.spread, frozenset(step.sheets))

    def seen(way: GuideStudio) -> int:
        """Pixels that show the step's paper, from the reader's side, a little from above."""
        scene, focus, _ = step_scene(way, step, task.standing)
        camera = _camera(focus, (_AZIMUTH_DEG, _LOOKED_FROM_DEG), (_GLANCE, _GLANCE))
        found = Sight(scene).surfaces(camera, (_GLANCE, _GLANCE))
        mine = [k for k, surface in enumerate(scene.surfaces) if surface.name in names]
        return int(np.isin(found, mine).sum())

    shown = [seen(way) for way in studio.ways]
    most = max(shown)
    return studio.ways[shown.index(most)] if most > _WORTH * shown[0] else studio


def _seen_too(
    studio: GuideStudio, scene: Scene, task: StepTask, moves: Sequence[np.ndarray]
) -> list[np.ndarray]:
    """Points that a picture on the page must hold as well, each of shape (n, 3), mm.

    That is what moves and the ways that it goes; of a notebook that is closed the way that begins
    nearest to what is pressed, so that its loose side is seen well.
    """
    if task.step.action == "press":
        names = ids(studio.spread, frozenset(task.step.sheets))
        mine = np.concatenate([s.corners for s in scene.surfaces if s.name in names]).mean(axis=0)
        return [min(moves, key=lambda way: float(np.linalg.norm(way[0] - mine)))]
    names = ids(studio.spread, task.mine - {0})
    return [*moves, *(s.corners for s in scene.surfaces if s.name in names)]


def _inside(way: np.ndarray, camera: Camera, size: tuple[int, int]) -> bool:
    """Whether a picture holds a way from end to end."""
    line = np.asarray(camera.project(way, size))
    return bool((line >= 0).all() and (line <= size).all())


def _shown(
    studio: GuideStudio,
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


def _looked_for(
    scene: Scene, names: set[str], moves: bool, step: Step
) -> tuple[frozenset[str], ...]:
    """Names of surfaces that a picture is to show well; later ones if the first are hardly seen.

    The coloured places of glue where paper moves to them; then what is made, or was laid on a piece
    that is not on the page yet.
    """
    places = frozenset(s.name for s in scene.surfaces if s.name.endswith(PLACE))
    found = [places] if moves else []
    return tuple(found if step.on_page else [*found, frozenset(names)])


def _best_side(
    scene: Scene,
    points: np.ndarray,
    elevation_deg: float,
    size: tuple[int, int],
    looked_for: Sequence[frozenset[str]],
    loose: bool,
) -> tuple[float, float]:
    """Azimuth and elevation, degrees, from which some surfaces are seen best.

    Parameters
    ----------
    looked_for : names of the surfaces; later ones if the first are hardly seen.
    loose : it lies on the table by itself, and may be looked at from behind and from above.
    """
    usual = _AZIMUTH_DEG, elevation_deg
    if not looked_for:
        return usual
    # One looks through clear film.
    surfaces = tuple(s for s in scene.surfaces if s.material != "film")
    sight = Sight(replace(scene, surfaces=surfaces))
    small = (_GLANCE, round(_GLANCE * size[1] / size[0]))
    azimuths = (_AZIMUTH_DEG, *_OTHERS_DEG, *(_BEHIND_DEG if loose else ()))
    elevations = (elevation_deg, *(_ABOVE_DEG if loose else ()))
    views = [(azimuth, elevation) for elevation in elevations for azimuth in azimuths]

    def glance(angles_deg: tuple[float, float]) -> np.ndarray:
        return sight.surfaces(_camera(points, angles_deg, size), small)

    plain, others = glance(usual), None
    for names in looked_for:
        marks = [k for k, s in enumerate(surfaces) if s.name in names]
        count, area = _seen(plain, marks)
        # On a page the reader's side is best where all is seen from there: letters stand upright.
        if not loose and count == len(marks) and area >= _ENOUGH:
            return usual
        others = others or {angles: glance(angles) for angles in views}
        best = max(views, key=lambda angles: _seen(others[angles], marks))
        most = _seen(others[best], marks)
        if most[1] >= _ENOUGH or (most[0] and names is looked_for[-1]):
            return best if most[0] > count or most[1] > _WORTH * area else usual
    return usual


def _seen(found: np.ndarray, marks: Sequence[int]) -> tuple[int, int]:
    """How many of some surfaces are seen in a glance, and in how many pixels."""
    each = np.array([(found == mark).sum() for mark in marks], int)
    return int((each >= _LEAST_SEEN).sum()), int(each.sum())


# Other places to look from, the width of a picture to compare them in, how much of a place and of
# all of them is enough to be seen in it, pixels, and by how much one must show more. Our choice.
_OTHERS_DEG, _BEHIND_DEG, _ABOVE_DEG = (-110.0, -40.0, -140.0, -10.0), (108.0, 70.0), (60.0,)
_GLANCE, _LEAST_SEEN, _ENOUGH, _WORTH = 80, 4, 60, 1.6
# How high a camera looks from that tells where flyleaves are turned to. Our choice.
_LOOKED_FROM_DEG = 45.0


def _spots(studio: GuideStudio, scene: Scene, step: Step) -> list[LetterSpot]:
    """Letters of a step's glue and what of its scene they lie on."""
    surfaces = {surface.name: surface for surface in scene.surfaces}
    areas = {area.letter: area for area in studio.areas if not area.lands}
    spots = []
    for area in (areas[letter(join)] for join in step.joins):
        surface = surfaces.get(area.facet)
        if surface is not None:
            middle = area.polygon.representative_point()
            at = surface.rotation[:, :2] @ np.array([middle.x, middle.y]) + surface.translation
            spots.append(LetterSpot(area.letter, at, surface.corners))
    return spots
