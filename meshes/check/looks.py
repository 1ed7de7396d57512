"""How much of each piece others hide from the film camera."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely

from .case import Case
from .finding import Finding
from .lettering import lettering
from .limits import Limits

# Pixels along the longer side of the view. Measured: against 1024 pixels, on the pieces of four
# shipped designs at three openings, 984 shares: 95 of 100 within 2.6 percent points, all within
# 6.5; with 256 pixels 4.3 and 14.7.
_PIXELS = 512
# Shares are told to this. Our choice.
_ROUND_PERCENT = 5
_NEAREST_MM = 1.0
# Flat open and closed, layers of different bodies lie in one plane; so far from it they have order.
# Our choice.
_AJAR = float(np.radians(1.5))


@dataclass(frozen=True)
class Eye:
    """A pinhole camera.

    Parameters
    ----------
    place : of the eye, mm, shape (3,).
    axes : rows right, up and forward, unit vectors, shape (3, 3).
    reach : half width and half height of the view at distance 1.
    """

    place: np.ndarray
    axes: np.ndarray
    reach: tuple[float, float]


# What looks at a spread: its world points (n, 3), mm, and how far the notebook is open, radians, to
# the camera that frames them, in the frame of the motion.
Filming = Callable[[np.ndarray, float], Eye]


def reader_eye(points: np.ndarray, opening: float) -> Eye:
    """A camera at the reader's place, 40° above the table, that has all points in view.

    It is the same at every opening; points have shape (n, 3), mm, the opening is in radians.
    """
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    radius = float(np.linalg.norm(points - middle, axis=1).max())
    half = float(np.tan(np.radians(13.5)))
    away = np.array([0.0, -np.cos(np.radians(40)), np.sin(np.radians(40))])
    right = np.array([1.0, 0.0, 0.0])
    axes = np.stack([right, np.cross(right, -away), -away])
    return Eye(middle + away * radius * 1.1 / np.sin(np.arctan(half)), axes, (half, half))


def looks(
    case: Case, limits: Limits, filming: Filming = reader_eye
) -> tuple[list[Finding], dict[str, object]]:
    """Letters that the knife would take, and hidden shares at a few openings.

    Returns
    -------
    A warning for each line of text that does not fit on its paper, a note for each piece that is
    hidden at all of these openings and behind all turned flyleaves, and the shares in percent by
    opening and piece, and by turned flyleaf and piece.
    """
    low, high = case.poses.openings[[0, -1]] if len(case.poses.openings) else (1.0, 0.0)
    shares: dict[str, dict[str, int]] = {}
    for opening in limits.looks_at:
        if low <= opening <= high:
            shares[f"{np.degrees(opening):g}"] = hidden_shares(case, float(opening), filming)
    turned = {turn.flyleaf: hidden_shares(turn, 0.0, filming) for turn in case.turns}
    findings = lettering(case)
    for piece in case.pieces:
        views = [*shares.values(), *turned.values()]
        seen = [share[piece] for share in views if piece in share]
        if seen and min(seen) > limits.hidden:
            findings.append(
                Finding(
                    "looks",
                    "note",
                    "hidden",
                    piece,
                    (),
                    f"at every opening looked at, {_hidden(min(seen))} of {piece} is hidden",
                    amount=float(min(seen)),
                    unit="percent",
                    limit=limits.hidden,
                )
            )
    measures: dict[str, object] = {"hidden_percent": shares}
    return findings, measures | ({"hidden_percent_turned": turned} if turned else {})


def hidden_shares(case: Case, opening: float, filming: Filming = reader_eye) -> dict[str, int]:
    """Percent of the silhouette of each piece that others hide, rounded to 5.

    Of the pixels whose centre the piece covers, those where other paper is in front; what a piece
    hides of itself does not count. Pieces that cover no such centre are left out.
    """
    opening = float(np.clip(opening, case.poses.openings[0] + _AJAR, np.pi - _AJAR))
    points = np.concatenate([case.corners(k, opening) for k in range(len(case.facets))])
    eye = filming(points, np.pi if case.flyleaf else opening)
    columns, rows = _grid(eye)
    depth = np.full((len(rows), len(columns)), np.inf)
    owner = np.full(depth.shape, -1)
    names = list(dict.fromkeys(case.facets.pieces))
    covered = {name: np.zeros(depth.shape, bool) for name in case.pieces}
    shapes = _projected(case, opening, eye)
    for facet, (name, shape) in enumerate(zip(case.facets.pieces, shapes, strict=True)):
        if shape is None:
            continue
        nearer, box_, far = _depths(case, facet, opening, eye, shape, columns, rows)
        if name in covered:
            covered[name][box_] |= nearer
        hit = nearer & (far < depth[box_] - 1e-6)
        depth[box_][hit] = far[hit]
        owner[box_][hit] = names.index(name)
    seen = np.bincount(owner[owner >= 0], minlength=len(names))
    out = {}
    for name in case.pieces:
        count = int(covered[name].sum())
        if count:
            share = 100 * (1 - seen[names.index(name)] / count)
            out[name] = _ROUND_PERCENT * round(share / _ROUND_PERCENT)
    return out


def _grid(eye: Eye) -> tuple[np.ndarray, np.ndarray]:
    """Centres of the pixels across and up the view."""
    pitch = 2 * max(eye.reach) / _PIXELS
    columns = np.arange(-eye.reach[0] + pitch / 2, eye.reach[0], pitch)
    return columns, np.arange(-eye.reach[1] + pitch / 2, eye.reach[1], pitch)


def _projected(case: Case, opening: float, eye: Eye) -> np.ndarray:
    """All facets in the view at distance 1; None if one is edge-on or reaches behind the camera."""
    shapes = np.array(case.facets.polygons, object)
    points, owner = shapely.get_coordinates(shapes, return_index=True)
    body, pose = case.facets.body[owner], case.bodies_at(opening)
    world = np.einsum("njk,nk->nj", pose.rotation[body, :, :2], points) + pose.translation[body]
    x, y, z = ((world - eye.place) @ eye.axes.T).T
    flat = np.stack([x, y], axis=1) / np.maximum(z, _NEAREST_MM)[:, None]
    shapes = shapely.set_coordinates(shapes, flat)
    shapes[np.unique(owner[z < _NEAREST_MM])] = None
    crossed = ~shapely.is_valid(shapes)
    shapes[crossed] = shapely.make_valid(shapes[crossed])
    shapes[~(shapely.area(shapes) > 1e-9)] = None
    return shapes


def _depths(
    case: Case,
    facet: int,
    opening: float,
    eye: Eye,
    shape: shapely.Geometry,
    columns: np.ndarray,
    rows: np.ndarray,
) -> tuple[np.ndarray, tuple[slice, slice], np.ndarray]:
    """Pixels of a facet in its box, that box in the view, and depths along the axis, mm."""
    left, bottom, right, top = shape.bounds
    part = (
        slice(*np.searchsorted(rows, [bottom, top])),
        slice(*np.searchsorted(columns, [left, right])),
    )
    x, y = np.meshgrid(columns[part[1]], rows[part[0]])
    inside = shapely.contains_xy(shape, x, y)
    body, pose = case.facets.body[facet], case.bodies_at(opening)
    normal = eye.axes @ pose.rotation[body, :, 2]
    offset = float(pose.rotation[body, :, 2] @ (pose.translation[body] - eye.place))
    offset += float(case.facets.height[facet])
    slope = normal[0] * x + normal[1] * y + normal[2]
    with np.errstate(divide="ignore", invalid="ignore"):
        far = np.where(np.abs(slope) > 1e-12, offset / slope, np.inf)
    return inside & (far > 0), part, far


def _hidden(percent: int) -> str:
    return "all" if percent >= 100 else f"at least {percent} %"
