"""How a step moves its paper: what is held off its place, and arrows along the ways it goes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from meshes.building import Step
from preview.drawing.scene import Scene, Surface
from preview.pattern.glue import GlueArea, letter

from .flat import GLUE
from .scenes import moved
from .studio import FLAT_DEG, LOOSE_DEG, GuideStudio, StepTask, ids
from .swung import swung

# Pieces of flat art that are held off, with an arrow each; more lie on their places. Our choice.
_MOST_LIFTED = 4


def moved_apart(
    studio: GuideStudio, scene: Scene, task: StepTask
) -> tuple[Scene, list[np.ndarray]]:
    """The scene before its step: what is glued, laid or passed through is held off its place.

    Returns
    -------
    The scene, with the places coloured in which something lands, and the ways that things go, each
    of shape (n, 3), mm.
    """
    step = task.step
    if step.action == "press":
        loose = _loosened(studio, scene, step)
        return loose, _closing(studio, loose, step) if step.on_page else _folding(
            studio, scene, step
        )
    if step.action == "close":
        return scene, _bringing(studio, scene, step)
    lifted = _lifted(task)
    if not lifted:
        return scene, []
    ways = []
    surfaces = {surface.name: surface for surface in scene.surfaces}
    marks = [
        (area.other, glue_mark(surfaces[area.facet], area))
        for area in _areas(studio, step)
        if area.lands and area.facet in surfaces
    ]
    for group in lifted:
        names = ids(studio.spread, group) & set(surfaces)
        shift = away(scene, studio, step) * _height(surfaces[name].corners for name in names)
        apart = {name: moved(surfaces[name], np.eye(3), shift) for name in names}
        mine = [mark for part, mark in marks if len(lifted) == 1 or part in names]
        at = mine or [surfaces[name] for name in sorted(names)][:1]
        ends = [np.mean(surface.corners, axis=0) for surface in at]
        ways += [np.array([end + 0.85 * shift, end + 0.1 * shift]) for end in ends]
        surfaces |= apart
    return replace(scene, surfaces=(*surfaces.values(), *(mark for _, mark in marks))), ways


def _lifted(task: StepTask) -> list[frozenset[int]]:
    """Sheets that are held off their places, those that hang together at a time."""
    step = task.step
    if step.action == "stick" and len(step.sheets) <= _MOST_LIFTED:
        return [frozenset([sheet]) for sheet in step.sheets]
    if step.action == "lay":
        return [frozenset(step.sheets)]
    if step.action in ("glue", "thread") and 0 not in task.mine:
        return [task.mine]
    return []


def _height(corners: Iterable[np.ndarray]) -> float:
    """How far something is held off: far enough to see what lies between, mm."""
    points = np.concatenate(list(corners))
    size = float(np.ptp(points, axis=0).max())
    return float(np.clip(_OF_SIZE * size, *_HELD_OFF_MM))


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


def away(scene: Scene, studio: GuideStudio, step: Step) -> np.ndarray:
    """Where the side looks that a step glues or lays something on, shape (3,)."""
    drives = [d for d in studio.spread.linkage.drives if step.action == "lay"]
    owner = {name: k for k in step.sheets for name in ids(studio.spread, frozenset([k]))}
    laid = [d.join for d in drives if d.join.facet in owner]
    for join in [*laid, *(studio.spread.joins[j] for j in step.joins)]:
        host = next((s for s in scene.surfaces if s.name == join.host), None)
        if host is not None:
            return np.asarray(host.normal * join.side)
    return _UP


_UP = np.array([0.0, 0.0, 1.0])
# As a share of its size, and within these bounds. Our choice.
_OF_SIZE, _HELD_OFF_MM = 0.7, (14.0, 26.0)


# Coloured places are surfaces with this after the name of what they lie on.
PLACE = ".place"


def _areas(studio: GuideStudio, step: Step) -> list[GlueArea]:
    """Both sides of the glue of a step."""
    letters = {letter(j) for j in step.joins}
    return [area for area in studio.areas if area.letter in letters]


def _loosened(studio: GuideStudio, scene: Scene, step: Step) -> Scene:
    """The scene before a side is pressed on: off its place, glue and place coloured."""
    surfaces = {surface.name: surface for surface in scene.surfaces}
    sides = swung(studio.spread, step, surfaces)
    surfaces |= sides
    marks = [
        glue_mark(surfaces[area.facet], area)
        for area in _areas(studio, step)
        if area.facet in surfaces and (area.other if area.lands else area.facet) in sides
    ]
    return replace(scene, surfaces=(*surfaces.values(), *marks))


def glue_mark(host: Surface, area: GlueArea) -> Surface:
    """A glue area on a facet, coloured as glue."""
    colour = "#{:02x}{:02x}{:02x}".format(*GLUE)
    side = 1 if area.face == "front" else -1
    over = side * (host.thickness / 2 + 0.15)
    return replace(
        host,
        name=host.name + PLACE,
        polygon=area.polygon,
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


def _closing(studio: GuideStudio, scene: Scene, step: Step) -> list[np.ndarray]:
    """Arcs from both pages towards each other, just round what is pressed, shape (n, 3), mm."""
    names = ids(studio.spread, frozenset(step.sheets))
    mine = np.concatenate([s.corners for s in scene.surfaces if s.name in names])
    reach = float(np.hypot(mine[:, 0], mine[:, 2]).max()) + _BEYOND_MM
    ways = []
    for name in ("page.left", "page.right"):
        page = next(s for s in scene.surfaces if s.name == name)
        far = page.corners[np.argsort(-np.abs(page.corners[:, 0]))[:2]].mean(axis=0)
        radius, start = float(np.hypot(far[0], far[2])), float(np.arctan2(far[2], far[0]))
        turn = np.linspace(start, start + (np.pi / 2 - start) * 0.55, 12)
        low = max(page.corners[:, 1].min(), mine[:, 1].min() - _BEYOND_MM)
        arc = np.column_stack([np.cos(turn), np.zeros(12), np.sin(turn)])
        ways.append(arc * min(radius, reach) + [0.0, low, 0.0])
    return ways


# So far beyond the paper that is pressed the pages take hold. Our choice.
_BEYOND_MM = 14.0


def _folding(studio: GuideStudio, scene: Scene, step: Step) -> list[np.ndarray]:
    """Arcs on which the sides of a piece go that is folded shut on what it carries."""
    own = ids(studio.spread, frozenset(step.sheets))
    names = {join.host for join in studio.spread.joins if join.facet in own} - own
    wide = {s.name: s for s in studio.scene(LOOSE_DEG).surfaces}
    shut = {s.name: s for s in studio.scene(FLAT_DEG).surfaces}
    arcs: dict[str, np.ndarray] = {}
    for surface in scene.surfaces:
        before, after = wide[surface.name], shut[surface.name]
        for way in _arc(before, after):
            arcs[surface.name] = way + surface.translation - before.translation
    hosts = {name for name in names & set(arcs) if name.partition(".")[0] == step.host}
    return [arcs[name] for name in sorted(hosts)] or _opposite(list(arcs.values()))


def _opposite(ways: Sequence[np.ndarray]) -> list[np.ndarray]:
    """The longest way, and the one that leads most against it."""
    if not ways:
        return []
    moves = np.array([way[-1] - way[0] for way in ways])
    first = int(np.linalg.norm(moves, axis=1).argmax())
    against = int((moves @ moves[first]).argmin())
    return [ways[k] for k in sorted({first, against})]


def _arc(before: Surface, after: Surface) -> list[np.ndarray]:
    """The way of a surface's outermost corner, shape (n, 3), mm; none if it hardly turns.

    A move is a turn about an axis and a shift along it (Chasles' theorem); the first part of that
    is drawn.
    """
    from scipy.spatial.transform import Rotation

    turn = after.rotation @ before.rotation.T
    shift = after.translation - turn @ before.translation
    spin = Rotation.from_matrix(turn).as_rotvec()
    angle = float(np.linalg.norm(spin))
    if angle < _LEAST_TURN:
        return []
    axis = spin / angle
    along = (shift @ axis) * axis
    foot = np.linalg.lstsq(np.eye(3) - turn, shift - along, rcond=None)[0]
    off = before.corners - foot
    arms = np.linalg.norm(off - np.outer(off @ axis, axis), axis=1)
    arm = off[int(arms.argmax())]
    steps = np.linspace(0.0, _DRAWN, 12)[:, None]
    turned = Rotation.from_rotvec(spin * steps).apply(arm)
    return [foot + turned + along * steps]


# A turn smaller than this needs no arrow, and so much of a way is drawn. Our choice.
_LEAST_TURN, _DRAWN = float(np.radians(8.0)), 0.7


def _bringing(studio: GuideStudio, scene: Scene, step: Step) -> list[np.ndarray]:
    """Curves on which the flaps of a ring are brought round to their places, shape (n, 3), mm."""
    surfaces = {surface.name: surface for surface in scene.surfaces}
    far = _BROUGHT * float(np.ptp(scene.points, axis=0).max())
    ways = []
    for j in step.joins:
        join = studio.spread.joins[j]
        flap, host = surfaces[join.facet], surfaces[join.host]
        end, middle = (np.mean(one.corners, axis=0) for one in (flap, host))
        up = host.normal * join.side
        out = end - middle
        out -= (out @ up) * up
        out /= max(float(np.linalg.norm(out)), 1e-9)
        turn = np.linspace(0.0, np.pi / 2, 12)[::-1, None]
        ways.append(end + far * (np.sin(turn) * out + (0.04 + 1 - np.cos(turn)) * up))
    return ways


# How far off a flap's way begins, as a share of the ring's size. Our choice.
_BROUGHT = 0.3
