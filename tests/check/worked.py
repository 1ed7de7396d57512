"""Spreads built by hand whose motion is known in closed form, to judge the check without the
solver.

The closed forms are the planar and the spherical four-bar: circle intersection for the ridge of a
tent, the spherical law of cosines for that of a V-fold (any textbook of spherical trigonometry).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely.geometry import Polygon, box

from meshes.linkage import Linkage, link
from meshes.motion.result import Motion
from meshes.sheet import Fold, Join, Paper, Placement, Sheet, cut

CARD = Paper("card", 200, 0.25, "#f4efe6", "#e8e2d6")
PAGE = Paper("page", 250, 0.30, "#fbf7ef", "#fbf7ef")
WIDTH, HEIGHT = 148.0, 210.0
TAB = 6.0

# opening in radians -> rotation (3, 3), translation (3,)
Pose = Callable[[float], tuple[np.ndarray, np.ndarray]]


@dataclass(frozen=True)
class Made:
    """A piece with the closed-form pose of each of its free facets."""

    sheets: tuple[Sheet, ...]
    joins: tuple[Join, ...]
    poses: dict[str, Pose] = field(default_factory=dict)


@dataclass(frozen=True)
class Worked:
    sheets: tuple[Sheet, ...]
    joins: tuple[Join, ...]
    linkage: Linkage
    motion: Motion


def right(opening: float) -> np.ndarray:
    return np.array([np.sin(opening / 2), 0.0, np.cos(opening / 2)])


def left(opening: float) -> np.ndarray:
    return np.array([-np.sin(opening / 2), 0.0, np.cos(opening / 2)])


def frame(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return np.column_stack([x, y, np.cross(x, y)])


Y = np.array([0.0, 1.0, 0.0])


def page_pose(side: int) -> Pose:
    def pose(opening: float) -> tuple[np.ndarray, np.ndarray]:
        x = right(opening) if side > 0 else -left(opening)
        return frame(x, Y), np.zeros(3)

    return pose


def page_sheet(width: float = WIDTH, height: float = HEIGHT) -> Sheet:
    gutter = Fold("gutter", (0.0, 0.0), (0.0, height), -1)
    facets, crossings = cut(
        box(-width, 0, width, height),
        [gutter],
        {"left": (-width / 2, height / 2), "right": (width / 2, height / 2)},
    )
    return Sheet("page", "page", PAGE, PAGE.front, PAGE.back, facets, crossings)


def sheet_of(
    piece: str,
    outline: Polygon,
    folds: Sequence[Fold] = (),
    labels: dict[str, tuple[float, float]] | None = None,
    paper: Paper = CARD,
    name: str = "sheet",
) -> Sheet:
    inside = outline.representative_point()
    labels = labels or {"flat": (inside.x, inside.y)}
    facets, crossings = cut(outline, folds, labels)
    return Sheet(f"{piece}-{name}", piece, paper, paper.front, paper.back, facets, crossings)


def tent(
    name: str,
    d_right: float,
    s_right: float,
    d_left: float,
    s_left: float,
    y: float,
    width: float,
    paper: Paper = CARD,
    holes: Sequence[Polygon] = (),
) -> Made:
    """A tent: glued `d` from the gutter, panels `s` long, x of the sheet from left to right."""
    total = s_left + s_right
    outline = box(-TAB, 0, total + TAB, width)
    for hole in holes:
        outline = outline.difference(hole)
    folds = [
        Fold("foot-left", (0, 0), (0, width), -1),
        Fold("ridge", (s_left, 0), (s_left, width), 1),
        Fold("foot-right", (total, 0), (total, width), -1),
    ]
    middle = width * 0.03
    labels = {
        "tab-left": (-TAB / 2, middle),
        "left": (s_left * 0.02, middle),
        "right": (total - s_right * 0.02, middle),
        "tab-right": (total + TAB / 2, middle),
    }
    sheet = sheet_of(name, outline, folds, labels, paper)
    joins = (
        Join(f"{name}.tab-left", "page.left", Placement(0.0, (-d_left, y))),
        Join(f"{name}.tab-right", "page.right", Placement(0.0, (d_right - total, y))),
    )

    def ridge(opening: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        a, b = d_left * left(opening), d_right * right(opening)
        if np.linalg.norm(b - a) < 1e-12:
            e = np.array([1.0, 0.0, 0.0])
        else:
            e = (b - a) / np.linalg.norm(b - a)
        gap = float(np.linalg.norm(b - a))
        t = 0.0 if gap < 1e-12 else (s_left**2 - s_right**2 + gap**2) / (2 * gap)
        h = np.sqrt(max(s_left**2 - t**2, 0.0))
        up = np.cross(e, Y)
        return a, b, a + t * e + h * up

    def pose_left(opening: float) -> tuple[np.ndarray, np.ndarray]:
        a, _, p = ridge(opening)
        return frame((p - a) / s_left, Y), a + y * Y

    def pose_right(opening: float) -> tuple[np.ndarray, np.ndarray]:
        _, b, p = ridge(opening)
        x = (b - p) / s_right
        return frame(x, Y), b + y * Y - total * x

    return Made((sheet,), joins, {f"{name}.left": pose_left, f"{name}.right": pose_right})


def v_fold(
    name: str,
    angles: tuple[float, float, float, float],
    length: float,
    y: float,
    base: float = 60.0,
    down: bool = False,
    paper: Paper = CARD,
) -> Made:
    """A V-fold: page and panel sectors (aR, bR, aL, bL, degrees), ridge `length`, apex at `y`."""
    a_r, b_r, a_l, b_l = np.radians(angles)

    def at(angle: float, r: float) -> np.ndarray:
        return r * np.array([np.cos(angle), np.sin(angle)])

    tip = np.array([0.0, length])
    angle_r, angle_l = np.pi / 2 - b_r, np.pi / 2 + b_l
    end_r, end_l = at(angle_r, base), at(angle_l, base)
    out_r, out_l = at(angle_r - np.pi / 2, TAB), at(angle_l + np.pi / 2, TAB)
    tab_r = [at(angle_r, TAB) + out_r, at(angle_r, base - TAB) + out_r]
    tab_l = [at(angle_l, TAB) + out_l, at(angle_l, base - TAB) + out_l]
    outline = Polygon([(0, 0), *tab_r, end_r, tip, end_l, *reversed(tab_l)])
    folds = [
        Fold("foot-right", (0.0, 0.0), tuple(end_r), -1),
        Fold("ridge", (0.0, 0.0), (0.0, length), -1 if down else 1),
        Fold("foot-left", (0.0, 0.0), tuple(end_l), -1),
    ]
    labels = {
        "right": tuple((end_r + tip) / 3),
        "left": tuple((end_l + tip) / 3),
        "tab-right": tuple(end_r / 2 + out_r / 2),
        "tab-left": tuple(end_l / 2 + out_l / 2),
    }
    sheet = sheet_of(name, outline, folds, labels, paper)
    turn_r, turn_l = (np.pi - a_r, np.pi - a_l) if down else (a_r, a_l)
    joins = (
        Join(f"{name}.tab-right", "page.right", Placement(b_r - turn_r, (0.0, y))),
        Join(f"{name}.tab-left", "page.left", Placement(turn_l - b_l, (0.0, y))),
    )
    flip = np.array([1.0, -1.0 if down else 1.0, 1.0])

    def creases(opening: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        opening = max(opening, 1e-5)
        g_r = np.cos(a_r) * Y + np.sin(a_r) * right(opening)
        g_l = np.cos(a_l) * Y + np.sin(a_l) * left(opening)
        c = g_r @ g_l
        p = ((np.cos(b_r) - c * np.cos(b_l)) * g_r + (np.cos(b_l) - c * np.cos(b_r)) * g_l) / (
            1 - c * c
        )
        k = np.sqrt(max((1 - p @ p) / (1 - c * c), 0.0))
        cross = np.cross(g_r, g_l)
        u = max((p + k * cross, p - k * cross), key=lambda v: v[2])
        return g_r * flip, g_l * flip, u * flip

    def pose_right(opening: float) -> tuple[np.ndarray, np.ndarray]:
        g, _, u = creases(opening)
        return frame((g - np.cos(b_r) * u) / np.sin(b_r), u), y * Y

    def pose_left(opening: float) -> tuple[np.ndarray, np.ndarray]:
        _, g, u = creases(opening)
        return frame((np.cos(b_l) * u - g) / np.sin(b_l), u), y * Y

    return Made((sheet,), joins, {f"{name}.right": pose_right, f"{name}.left": pose_left})


def art(name: str, outline: Polygon, host: str, paper: Paper = CARD) -> Made:
    """A flat sheet glued on a facet, drawn in the coordinates of that facet's sheet."""
    return Made((sheet_of(name, outline, paper=paper),), (Join(f"{name}.flat", host, Placement()),))


def plate(name: str, outline: Polygon, pose: Pose, paper: Paper = CARD) -> Made:
    """A flat sheet whose motion is prescribed."""
    return Made((sheet_of(name, outline, paper=paper),), (), {f"{name}.flat": pose})


def spread(
    *pieces: Made,
    openings_deg: np.ndarray | None = None,
    width: float = WIDTH,
    height: float = HEIGHT,
    page: Sheet | None = None,
) -> Worked:
    """Put pieces on pages and compute the poses of all bodies."""
    openings = np.radians(np.arange(0, 181.0) if openings_deg is None else openings_deg)
    sheets = (page or page_sheet(width, height), *(s for piece in pieces for s in piece.sheets))
    joins = tuple(join for piece in pieces for join in piece.joins)
    linkage = link(sheets, joins)
    poses = {"page.left": page_pose(-1), "page.right": page_pose(1)}
    for piece in pieces:
        poses |= piece.poses
    rotations = np.full((len(openings), len(linkage.bodies), 3, 3), np.nan)
    translations = np.full((len(openings), len(linkage.bodies), 3), np.nan)
    for facet, pose in poses.items():
        body, _ = linkage.place(facet)
        for stage, opening in enumerate(openings):
            rotations[stage, body], translations[stage, body] = pose(opening)
    assert not np.isnan(rotations).any(), "a body has no pose"
    return Worked(sheets, joins, linkage, motion_of(linkage, openings, rotations, translations))


def motion_of(
    linkage: Linkage, openings: np.ndarray, rotations: np.ndarray, translations: np.ndarray
) -> Motion:
    """A motion from poses; fold angles are read off them."""
    angles = np.zeros((len(openings), len(linkage.hinges)))
    gaps = np.zeros(len(openings))
    for k, hinge in enumerate(linkage.hinges):
        (one, two), (f1, f2) = hinge.bodies, hinge.frames
        turn = np.swapaxes(rotations[:, one] @ f1, 1, 2) @ (rotations[:, two] @ f2)
        angles[:, k] = np.arctan2(turn[:, 2, 1], turn[:, 1, 1])
        starts = [
            rotations[:, b] @ o + translations[:, b]
            for b, o in zip(hinge.bodies, hinge.origins, strict=True)
        ]
        gaps = np.maximum(gaps, np.linalg.norm(starts[0] - starts[1], axis=1))
    solved = np.ones(len(openings), bool)
    return Motion(openings, solved, rotations, translations, angles, gaps)
