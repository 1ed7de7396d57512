"""A picture for each step: the paper that hangs together just then, as it lies on the table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial

import numpy as np

from meshes.building import Step
from meshes.motion.result import Motion
from meshes.spread import Spread
from preview.drawing.render import Engine, Quality, renderer
from preview.drawing.scene import Scene, Surface, assemble, book_of
from preview.parallel import Sealed, in_order
from preview.pattern.glue import glue_areas, letter
from preview.shot.camera import Camera, frame

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

    def scene(self, opening_deg: float) -> Scene:
        """The whole spread at one of the stages."""
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
    tasks: list[tuple[Step, frozenset[int]] | None] = [None]
    standing: frozenset[int] = frozenset([0])
    for step in steps:
        tasks.append((step, standing))
        if step.on_page:
            standing |= step.present
    yield from in_order(partial(_draw, Sealed.of(studio)), tasks, min(jobs, len(tasks)))
    _artist.cache_clear()


@lru_cache(maxsize=1)
def _artist(studio: Sealed[Studio]) -> tuple[Studio, Engine]:
    """The studio and an engine, which every process needs once."""
    return studio.open(), renderer("auto")


def _draw(packed: Sealed[Studio], task: tuple[Step, frozenset[int]] | None) -> np.ndarray:
    studio, engine = _artist(packed)
    if task is None:
        scene = studio.scene(DONE_DEG)
        return _shown(studio, engine, scene, scene.points, 30.0).pixels
    step, standing = task
    scene, focus, elevation = step_scene(studio, step, standing)
    shown = _shown(studio, engine, scene, focus, elevation)
    return lettered(shown, _spots(studio, scene, step))


def _shown(
    studio: Studio, engine: Engine, scene: Scene, points: np.ndarray, elevation_deg: float
) -> Shown:
    """A picture that holds points of shape (n, 3), mm."""
    aspect = studio.size[0] / studio.size[1]
    azimuth, elevation = np.radians([_AZIMUTH_DEG, elevation_deg])
    camera = frame(points, float(azimuth), float(elevation), aspect, margins=(0.08, 0.10))
    lit = scene.lit_for(camera.azimuth)
    return Shown(engine.draw(lit, camera, studio.size, studio.quality), camera)


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
    if step.action in ("press", "lay") or step.present <= standing:
        scene = _only(studio.scene(DONE_DEG), studio, step.present | standing)
        return scene, _around(scene, _ids(studio.spread, _with(studio, step, standing))), 32.0
    scene = _laid(studio, step, standing)
    return scene, _around(scene, _ids(studio.spread, step.present - standing)), 50.0


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
    spread, spots = studio.spread, []
    surfaces = {surface.name: surface for surface in scene.surfaces}
    areas = {
        a.letter: a
        for a in glue_areas(spread.sheets, spread.joins, spread.linkage.drives)
        if not a.lands
    }
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
    edge = 0.0
    for group in groups:
        names = _ids(studio.spread, group)
        part = _set_down([s for s in scene.surfaces if s.name in names])
        points = np.concatenate([s.corners for s in part])
        shift = np.array([edge - points[:, 0].min(), -points[:, 1].mean(), 0.0])
        surfaces += [moved(s, np.eye(3), shift) for s in part]
        edge += float(np.ptp(points[:, 0])) + _BESIDE_MM
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
