"""What lies on the table at each step of a guide: the paper that hangs together just then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from meshes.building import Step
from preview.drawing.scene import Scene, Surface

from .studio import DONE_DEG, FLAT_DEG, LOOSE_DEG, OPEN_DEG, GuideStudio, ids

# Between loose parts, and round what a picture is about: our choice.
_BESIDE_MM, _ROOM_MM = 14.0, 22.0


def step_scene(
    studio: GuideStudio, step: Step, standing: frozenset[int]
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
        return scene, around(scene, ids(studio.spread, _with(studio, step, standing))), 32.0
    scene = _laid(studio, step, standing)
    return scene, around(scene, ids(studio.spread, step.present - standing)), 50.0


def _with(studio: GuideStudio, step: Step, standing: frozenset[int]) -> frozenset[int]:
    """The sheets that a step is about: what is new, else the whole piece."""
    sheets = studio.spread.sheets
    piece = frozenset(k for k, sheet in enumerate(sheets) if sheet.piece == step.piece)
    return (step.present - standing) or piece


def around(scene: Scene, names: set[str]) -> np.ndarray:
    """Points of some surfaces, with room around them, shape (n, 3), mm."""
    points = np.concatenate([s.corners for s in scene.surfaces if s.name in names])
    low, high = points.min(axis=0), points.max(axis=0)
    room = np.maximum((high - low) * 0.25, _ROOM_MM)
    ends = np.array([low - room, high + room])
    ends[:, 2] = low[2], high[2]
    return np.array([[x, y, z] for x in ends[:, 0] for y in ends[:, 1] for z in ends[:, 2]])


def _only(scene: Scene, studio: GuideStudio, sheets: frozenset[int]) -> Scene:
    names = ids(studio.spread, sheets | {0})
    kept = [s for s in scene.surfaces if s.name in names or s.name.startswith("book.")]
    return replace(scene, surfaces=tuple(kept))


def _laid(studio: GuideStudio, step: Step, standing: frozenset[int]) -> Scene:
    """What is new lies folded flat on the page that it is glued to; the notebook is open."""
    wide, shut = studio.scene(OPEN_DEG), studio.scene(FLAT_DEG)
    page = _page_of(studio, step)
    ((turn_open, shift_open), (turn_shut, shift_shut)) = (
        next((s.rotation, s.translation) for s in scene.surfaces if s.name == page)
        for scene in (wide, shut)
    )
    turn = turn_open @ turn_shut.T
    shift = shift_open - turn @ shift_shut
    new = ids(studio.spread, step.present - standing)
    laid = [moved(s, turn, shift) for s in shut.surfaces if s.name in new]
    scene = _only(wide, studio, standing)
    return replace(scene, surfaces=(*scene.surfaces, *laid))


def _page_of(studio: GuideStudio, step: Step) -> str:
    host = studio.spread.joins[step.joins[0]].host if step.joins else ""
    return host if host in ("page.left", "page.right") else "page.left"


def moved(surface: Surface, turn: np.ndarray, shift: np.ndarray) -> Surface:
    """A surface turned about the origin, then shifted."""
    return replace(
        surface, rotation=turn @ surface.rotation, translation=turn @ surface.translation + shift
    )


def _loose(studio: GuideStudio, step: Step) -> Scene:
    """Paper that is not on the page yet, set down on the table."""
    scene = studio.scene(LOOSE_DEG)
    groups = [frozenset([k]) for k in step.sheets] if step.action == "make" else [step.present]
    surfaces: list[Surface] = []
    edge, row, tall = 0.0, 0.0, 0.0
    per_row = int(np.ceil(np.sqrt(len(groups))))
    for k, group in enumerate(groups):
        if k and k % per_row == 0:
            edge, row, tall = 0.0, row - tall - _BESIDE_MM, 0.0
        names = ids(studio.spread, group)
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
