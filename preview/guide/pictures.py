"""A picture for each step: the paper that hangs together just then, as it lies on the table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, partial

import numpy as np
from shapely.geometry import Polygon

from meshes.building import Step
from meshes.motion.result import Motion
from meshes.spread import Spread
from preview.drawing.render import Engine, Quality, renderer
from preview.drawing.scene import Scene, Surface, assemble, book_of
from preview.parallel import Sealed, in_order
from preview.pattern.glue import GlueArea, glue_areas, letter
from preview.shot.camera import Camera, frame

from .arrows import with_arrows
from .flat import GLUE, SHARE, beside, joined
from .letters import lettered

# Loose pieces are shown at this opening, pieces that lie flat on one page nearly closed.
LOOSE_DEG, FLAT_DEG, OPEN_DEG, DONE_DEG = 110.0, 5.0, 180.0, 140.0
STAGES_DEG = (FLAT_DEG, LOOSE_DEG, DONE_DEG, OPEN_DEG)
_BESIDE_MM, _ROOM_MM, _AZIMUTH_DEG = 14.0, 22.0, -72.0


@dataclass(frozen=True)
class Studio:
    """What draws the pictures.

    Parameters
    ----------
    motion : its stages are those of `STAGES_DEG`.
    size : width and height, pixels.
    """

    spread: Spread
    motion: Motion
    size: tuple[int, int]
    quality: Quality = "film"
    mood: str = "daylight"

    @cached_property
    def areas(self) -> tuple[GlueArea, ...]:
        """Where all glue goes and lands."""
        return glue_areas(self.spread.sheets, self.spread.joins, self.spread.linkage.drives)

    def scene(self, opening_deg: float) -> Scene:
        """The whole spread at one of the stages."""
        return self._scenes[opening_deg]

    @cached_property
    def _scenes(self) -> dict[float, Scene]:
        return {opening: self._assembled(opening) for opening in STAGES_DEG}

    def _assembled(self, opening_deg: float) -> Scene:
        stage = STAGES_DEG.index(opening_deg)
        return assemble(
            self.spread.linkage,
            book_of(self.spread),
            float(self.motion.openings[stage]),
            self.motion.rotations[stage],
            self.motion.translations[stage],
            self.mood,
        )


@dataclass(frozen=True)
class Task:
    """A step to be drawn.

    Parameters
    ----------
    standing : indices of the sheets that are on the page before it.
    mine : of the sheets that hang together with what it works on before it.
    """

    step: Step
    standing: frozenset[int]
    mine: frozenset[int]


@dataclass(frozen=True)
class Shown:
    """A picture, uint8 sRGB, shape (rows, columns, 3), and the camera that took it."""

    pixels: np.ndarray
    camera: Camera


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
        return _shown(studio, engine, scene, scene.points, 30.0, studio.size).pixels
    width, height = studio.size
    aside = round(SHARE * width)
    narrow = (width - aside, height)
    step = task.step
    scene, focus, elevation = step_scene(studio, step, task.standing)
    away = _away(scene, studio, step)
    scene, moves = moved_apart(studio, scene, task)
    if not step.on_page:
        scene, turn, shift = turned_over(scene, away)
        moves = [way @ turn.T + shift for way in moves]
        focus = scene.points
    if moves and step.on_page:
        names = _ids(studio.spread, task.mine - {0})
        lifted = [s.corners for s in scene.surfaces if s.name in names]
        focus = np.concatenate([focus, *moves, *(lifted if step.action != "press" else [])])
    shown = _shown(studio, engine, scene, focus, elevation, narrow)
    pixels = with_arrows(lettered(shown, _spots(studio, scene, step)), shown.camera, moves)
    return joined(pixels, beside(studio.spread, studio.areas, step, (aside, height)))


def _shown(
    studio: Studio,
    engine: Engine,
    scene: Scene,
    points: np.ndarray,
    elevation_deg: float,
    size: tuple[int, int],
) -> Shown:
    """A picture that holds points of shape (n, 3), mm."""
    aspect = size[0] / size[1]
    azimuth, elevation = np.radians([_AZIMUTH_DEG, elevation_deg])
    camera = frame(points, float(azimuth), float(elevation), aspect, margins=(0.08, 0.10))
    lit = scene.lit_for(camera.azimuth)
    return Shown(engine.draw(lit, camera, size, studio.quality), camera)


def step_scene(
    studio: Studio, step: Step, standing: frozenset[int]
) -> tuple[Scene, np.ndarray, float]:
    """What lies on the table after a step, the points to look at, and from how high (degrees).

    Parameters
    ----------
    standing : indices of the sheets that are on the page before it.
    """
    if not step.on_page:
        scene = _loose(studio, step)
        return scene, scene.points, 32.0
    on_piece = step.host != "page"
    if step.action in ("press", "lay") or step.present <= standing or on_piece:
        scene = _only(studio.scene(DONE_DEG), studio, step.present | standing)
        return scene, _around(scene, _ids(studio.spread, _with(studio, step, standing))), 32.0
    scene = _laid(studio, step, standing)
    return scene, _around(scene, _ids(studio.spread, step.present - standing)), 50.0


def moved_apart(studio: Studio, scene: Scene, task: Task) -> tuple[Scene, list[np.ndarray]]:
    """The scene before its step: what is glued or passed through is held off its place.

    Returns
    -------
    The scene, with the places coloured in which something lands, and the ways that things go, each
    of shape (n, 3), mm.
    """
    step, names = task.step, _ids(studio.spread, task.mine)
    surfaces = {surface.name: surface for surface in scene.surfaces}
    if step.action == "press" and step.on_page:
        return scene, _closing(scene)
    if step.action not in ("glue", "thread") or 0 in task.mine:
        return scene, []
    marks = [
        _mark(surfaces[area.facet], area.polygon, 1 if area.face == "front" else -1)
        for area in studio.areas
        if area.lands and area.letter in {letter(j) for j in step.joins} and area.facet in surfaces
    ]
    shift = _away(scene, studio, step) * _HELD_OFF_MM
    apart = [moved(s, np.eye(3), shift) if s.name in names else s for s in scene.surfaces]
    at = marks or [surfaces[name] for name in sorted(names) if name in surfaces][:1]
    ends = [np.mean(mark.corners, axis=0) for mark in at]
    ways = [np.array([end + 0.85 * shift, end + 0.1 * shift]) for end in ends]
    return replace(scene, surfaces=(*apart, *marks)), ways


def turned_over(scene: Scene, away: np.ndarray) -> tuple[Scene, np.ndarray, np.ndarray]:
    """Loose paper on the table with the side that gets the glue up, and how it was moved.

    Parameters
    ----------
    away : shape (3,), where that side looks.

    Returns
    -------
    The scene, and the rotation (3, 3) and the shift (3,) that brought it there.
    """
    turn = np.diag([1.0, -1.0, -1.0]) if away[2] < _DOWN else np.eye(3)
    turned = [moved(s, turn, np.zeros(3)) for s in scene.surfaces]
    shift = np.array([0.0, 0.0, 0.3 - min(float(s.corners[:, 2].min()) for s in turned)])
    set_down = tuple(moved(s, np.eye(3), shift) for s in turned)
    return replace(scene, surfaces=set_down), turn, shift


# A side that looks farther down than this can't be seen from above. Our choice.
_DOWN = -0.3


def _away(scene: Scene, studio: Studio, step: Step) -> np.ndarray:
    """Where the side looks that a step glues something on, shape (3,)."""
    for j in step.joins:
        join = studio.spread.joins[j]
        host = next((s for s in scene.surfaces if s.name == join.host), None)
        if host is not None:
            return np.asarray(host.normal * join.side)
    return _UP


_UP = np.array([0.0, 0.0, 1.0])
# Far enough to see what lies between. Our choice.
_HELD_OFF_MM = 26.0


def _mark(host: Surface, place: Polygon, side: int) -> Surface:
    """A place on a facet, coloured as glue."""
    colour = "#{:02x}{:02x}{:02x}".format(*GLUE)
    over = side * (host.thickness / 2 + 0.15)
    return replace(
        host,
        name=f"{host.name}.place",
        polygon=place,
        front=colour,
        back=colour,
        thickness=0.0,
        lift=host.lift + over,
        material="paper",
        ruling="plain",
        front_picture=None,
        back_picture=None,
        translation=host.translation + host.normal * over,
    )


def _closing(scene: Scene) -> list[np.ndarray]:
    """Arcs from the outer edges of both pages towards each other, shape (n, 3), mm."""
    ways = []
    for name in ("page.left", "page.right"):
        page = next(s for s in scene.surfaces if s.name == name)
        far = page.corners[np.argsort(-np.abs(page.corners[:, 0]))[:2]].mean(axis=0)
        radius, start = float(np.hypot(far[0], far[2])), float(np.arctan2(far[2], far[0]))
        turn = np.linspace(start, start + (np.pi / 2 - start) * 0.55, 12)
        low = page.corners[:, 1].min()
        ways.append(
            np.column_stack([radius * np.cos(turn), np.full(12, low), radius * np.sin(turn)])
        )
    return ways


def _with(studio: Studio, step: Step, standing: frozenset[int]) -> frozenset[int]:
    """The sheets that a step is about: what is new, else the whole piece."""
    sheets = studio.spread.sheets
    piece = frozenset(k for k, sheet in enumerate(sheets) if sheet.piece == step.piece)
    return (step.present - standing) or piece


def _around(scene: Scene, names: set[str]) -> np.ndarray:
    """Points of some surfaces, with room around them, shape (n, 3), mm."""
    points = np.concatenate([s.corners for s in scene.surfaces if s.name in names])
    low, high = points.min(axis=0), points.max(axis=0)
    room = np.maximum((high - low) * 0.25, _ROOM_MM)
    ends = np.array([low - room, high + room])
    ends[:, 2] = low[2], high[2]
    return np.array([[x, y, z] for x in ends[:, 0] for y in ends[:, 1] for z in ends[:, 2]])


def _spots(studio: Studio, scene: Scene, step: Step) -> list[tuple[str, np.ndarray]]:
    """Letters of a step's glue and where they lie in its scene, mm."""
    spots = []
    surfaces = {surface.name: surface for surface in scene.surfaces}
    areas = {area.letter: area for area in studio.areas if not area.lands}
    for join in step.joins:
        area = areas[letter(join)]
        surface = surfaces.get(area.facet)
        if surface is not None:
            middle = area.polygon.representative_point()
            flat = np.array([middle.x, middle.y])
            spots.append((area.letter, surface.rotation[:, :2] @ flat + surface.translation))
    return spots


def _ids(spread: Spread, sheets: frozenset[int]) -> set[str]:
    found = [spread.sheets[k] for k in sheets]
    return {f"{sheet.piece}.{facet.name}" for sheet in found for facet in sheet.facets}


def _only(scene: Scene, studio: Studio, sheets: frozenset[int]) -> Scene:
    names = _ids(studio.spread, sheets | {0})
    kept = [s for s in scene.surfaces if s.name in names or s.name.startswith("book.")]
    return replace(scene, surfaces=tuple(kept))


def _laid(studio: Studio, step: Step, standing: frozenset[int]) -> Scene:
    """What is new lies folded flat on the page that it is glued to; the notebook is open."""
    wide, shut = studio.scene(OPEN_DEG), studio.scene(FLAT_DEG)
    page = _page_of(studio, step)
    ((turn_open, shift_open), (turn_shut, shift_shut)) = (
        next((s.rotation, s.translation) for s in scene.surfaces if s.name == page)
        for scene in (wide, shut)
    )
    turn = turn_open @ turn_shut.T
    shift = shift_open - turn @ shift_shut
    new = _ids(studio.spread, step.present - standing)
    laid = [moved(s, turn, shift) for s in shut.surfaces if s.name in new]
    scene = _only(wide, studio, standing)
    return replace(scene, surfaces=(*scene.surfaces, *laid))


def _page_of(studio: Studio, step: Step) -> str:
    host = studio.spread.joins[step.joins[0]].host if step.joins else ""
    return host if host in ("page.left", "page.right") else "page.left"


def moved(surface: Surface, turn: np.ndarray, shift: np.ndarray) -> Surface:
    """A surface turned about the origin, then shifted."""
    return replace(
        surface, rotation=turn @ surface.rotation, translation=turn @ surface.translation + shift
    )


def _loose(studio: Studio, step: Step) -> Scene:
    """Paper that is not on the page yet, set down on the table."""
    scene = studio.scene(LOOSE_DEG)
    groups = [frozenset([k]) for k in step.sheets] if step.action == "make" else [step.present]
    surfaces: list[Surface] = []
    edge, row, tall = 0.0, 0.0, 0.0
    per_row = int(np.ceil(np.sqrt(len(groups))))
    for k, group in enumerate(groups):
        if k and k % per_row == 0:
            edge, row, tall = 0.0, row - tall - _BESIDE_MM, 0.0
        names = _ids(studio.spread, group)
        part = _set_down([s for s in scene.surfaces if s.name in names])
        points = np.concatenate([s.corners for s in part])
        shift = np.array([edge - points[:, 0].min(), row - points[:, 1].max(), 0.0])
        surfaces += [moved(s, np.eye(3), shift) for s in part]
        edge += float(np.ptp(points[:, 0])) + _BESIDE_MM
        tall = max(tall, float(np.ptp(points[:, 1])))
    points = np.concatenate([s.corners for s in surfaces])
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    scale = max(float(np.ptp(points, axis=0).max()) / 256.0, 0.2)
    return replace(
        scene,
        surfaces=tuple(surfaces),
        table=0.0,
        centre=(float(middle[0]), float(middle[1])),
        scale=scale,
    )


def _set_down(surfaces: Sequence[Surface]) -> list[Surface]:
    """Stand paper on the table as it will stand in the notebook."""
    lowest = min(float(s.corners[:, 2].min()) for s in surfaces)
    return [moved(s, np.eye(3), np.array([0.0, 0.0, 0.3 - lowest])) for s in surfaces]
