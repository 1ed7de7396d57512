"""Designs that are held by a hand, and the whole solver as the judge of what is foreseen."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping

import numpy as np
import shapely

from meshes.design.read import drafted
from meshes.errors import DesignError
from meshes.motion.memory import Memory
from meshes.pull.hold import Hold, Posture, take_hold
from meshes.pull.numbers import Path, replaced
from meshes.pull.sketch import Sketch
from meshes.spread import Spread, build

from .kinds import FILE


class StuckError(AssertionError):
    """The whole design does not get to the opening at which it is held."""


def made(tables: Mapping) -> Spread:
    """A design from its tables, all of it from scratch."""
    found = drafted(dict(tables), FILE)
    if found.mistakes:
        raise DesignError(found.mistakes)
    return build(found.design)


def sketched(text: str) -> Sketch:
    tables = tomllib.loads(text)
    return Sketch(tables, made(tables))


def held(
    sketch: Sketch, part: str, point: np.ndarray, opening_deg: float = 120, **shares: float
) -> Hold:
    """Take hold of a facet at a point of its body, shape (2,) in its middle surface, or (3,)."""
    opening = np.radians(opening_deg)
    body, facet = next(
        (body, one) for body in sketch.spread.linkage.bodies for one in body.parts if one.id == part
    )
    above = float(point[2]) if len(point) > 2 else facet.height
    local = (float(point[0]), float(point[1]), above)
    return take_hold(sketch, Memory(), float(opening), shares, facet.sheet.piece, body.name, local)


def outermost(sketch: Sketch, piece: str, inwards: float = 0.0) -> tuple[str, np.ndarray]:
    """The corner of a piece that is farthest from the middle of its facet, in its body.

    Parameters
    ----------
    inwards : how far towards the middle the point is instead, as a share.
    """
    return next(corners(sketch, piece, inwards))


def corners(sketch: Sketch, piece: str, inwards: float = 0.0) -> Iterator[tuple[str, np.ndarray]]:
    """All corners of a piece, those first that are farther from the middle of their facet."""
    found = []
    for body in sketch.spread.linkage.bodies:
        for part in body.parts:
            if part.sheet.piece != piece:
                continue
            middle = np.array(part.polygon.centroid.coords[0])
            for corner in shapely.get_coordinates(part.polygon.exterior)[:-1]:
                apart = float(np.linalg.norm(corner - middle))
                found.append((round(-apart, 6), part.id, corner + inwards * (middle - corner)))
    for _, part_id, point in sorted(found, key=lambda one: one[0]):
        yield part_id, point


def whole(hold: Hold, changes: Mapping[Path, float]) -> np.ndarray:
    """Where the held point is when the whole design is built anew and solved from scratch."""
    tables = hold.sketch.tables
    for path, value in changes.items():
        tables = replaced(tables, path, value)
    spread = made(tables)
    shares = {drive.name: hold.shares[drive.name] for drive in spread.linkage.drives}
    motion = spread.solve(np.array([hold.opening]), shares)
    if not motion.solved.all():
        raise StuckError
    pose = Posture(spread, motion)
    return pose.where(hold.followed(pose))
