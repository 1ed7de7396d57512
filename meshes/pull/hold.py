"""A hand that holds a point of the paper, and where that point goes when a number changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from meshes.drive import DriveError, Wedges, solve
from meshes.linkage import Linkage, Part
from meshes.motion.memory import Memory
from meshes.motion.near import LEAST_RAD, MOST_RAD, Together, groups, stand
from meshes.motion.result import Motion
from meshes.sheet import Sheet
from meshes.spread import Spread

from .material import moved
from .numbers import Path
from .sketch import Sketch

# Paper that is asked for by a point in its plane may be missed by this much, mm.
_NEAR_MM = 0.5


class HoldError(ValueError):
    """What can't be held or pulled; a sentence for a person."""


@dataclass(frozen=True)
class Grip:
    """What a hand holds: a point of one facet.

    Parameters
    ----------
    part : id of the facet, ``piece.facet``.
    point : in the coordinates of its sheet, mm.
    above : how far over the plane of the facet's body, along its z, mm.
    """

    part: str
    point: tuple[float, float]
    above: float = 0.0

    @property
    def piece(self) -> str:
        """The piece that is held."""
        return self.part.partition(".")[0]


@dataclass(frozen=True)
class Posture:
    """Some pieces of a design at one opening.

    Parameters
    ----------
    motion : with this opening alone.
    """

    spread: Spread
    motion: Motion

    @cached_property
    def angles(self) -> dict[str, float]:
        """Angle of each fold, radians."""
        hinges = self.spread.linkage.hinges
        return {h.name: float(a) for h, a in zip(hinges, self.motion.angles[0], strict=True)}

    @cached_property
    def places(self) -> dict[str, tuple[int, Part]]:
        """Body and part of each facet, by id."""
        bodies = self.spread.linkage.bodies
        return {part.id: (k, part) for k, body in enumerate(bodies) for part in body.parts}

    def where(self, grip: Grip) -> np.ndarray:
        """Where a held point is, shape (3,), mm."""
        body, part = self.places[grip.part]
        local = np.append(part.placement.apply(np.asarray(grip.point)), grip.above)
        return self.in_space(body, local[None])[0]

    def in_space(self, body: int, points: np.ndarray) -> np.ndarray:
        """Where points of a body are, shape (n, 3), mm."""
        return points @ self.motion.rotations[0, body].T + self.motion.translations[0, body]


@dataclass(frozen=True)
class Hold:
    """A held point, and all that is needed to see quickly what a number does to it.

    Parameters
    ----------
    opening : radians, as it is solved.
    shares : of what a hand moves, 0 to 1, by name.
    pose : of the whole spread.
    parts : what must be solved together.
    """

    sketch: Sketch
    opening: float
    shares: Mapping[str, float]
    grip: Grip
    pose: Posture
    parts: tuple[Together, ...]

    @cached_property
    def place(self) -> np.ndarray:
        """Where the held point is now, shape (3,), mm."""
        return self.pose.where(self.grip)

    def tried(
        self, changes: Mapping[Path, float], names: frozenset[str], start: Mapping[str, float]
    ) -> Posture:
        """The pose of some pieces with numbers changed a little.

        Parameters
        ----------
        names : the pieces, with all that they need; see :meth:`Sketch.moving_with`.
        start : angles of folds nearby, radians.

        Raises
        ------
        DesignError
            If the numbers make no sheets.
        HoldError
            If the paper can't follow.
        """
        spread = self.sketch.part(names, changes)

        def near(linkage: Linkage, openings: np.ndarray) -> Motion:
            if {hinge.name for hinge in linkage.hinges} - start.keys():
                raise HoldError("this makes another sheet of it")
            found = stand(linkage, float(openings[0]), self.parts, start)
            if found is None:
                raise HoldError("the paper can't follow any further")
            return found

        shares = {drive.name: self.shares[drive.name] for drive in spread.linkage.drives}
        try:
            motion = solve(spread.linkage, np.array([self.opening]), shares, solver=near)
        except DriveError as error:
            raise HoldError(str(error)) from None
        return Posture(spread, motion)

    def followed(self, pose: Posture) -> Grip:
        """The same place of the paper on its facet as another pose has it."""
        if self.grip.part not in pose.places:
            raise HoldError("what is held is gone then")
        old, new = self.pose.places[self.grip.part][1], pose.places[self.grip.part][1]
        if old.facet is new.facet:
            return self.grip
        point = moved(
            old.facet.polygon,
            new.facet.polygon,
            np.array([self.grip.point]),
            _marks(old.sheet, new.sheet, old.facet.polygon),
        )[0]
        return Grip(self.grip.part, (float(point[0]), float(point[1])), self.grip.above)


def _marks(old: Sheet, new: Sheet, facet: shapely.Polygon) -> tuple[np.ndarray, np.ndarray]:
    """Ends of folds on the rim of a facet, before and after."""
    later = {crossing.fold.name: crossing.fold for crossing in new.crossings}
    pairs = [
        (getattr(crossing.fold, end), getattr(later[crossing.fold.name], end))
        for crossing in old.crossings
        if crossing.fold.name in later
        for end in ("start", "end")
        if facet.exterior.distance(shapely.Point(getattr(crossing.fold, end))) < 1e-6
    ]
    first, second = np.array(pairs).reshape(-1, 2, 2).swapaxes(0, 1)
    return first, second


def take_hold(
    sketch: Sketch,
    memory: Memory,
    opening: float,
    shares: Mapping[str, float],
    piece: str,
    body: str,
    local: tuple[float, float, float],
) -> Hold:
    """Take hold of a point of the paper.

    Parameters
    ----------
    memory : of a solve of the spread.
    opening : radians.
    shares : of what a hand moves, 0 to 1, by name; what is left out rests.
    body : its name in the linkage.
    local : the point in the coordinates of the body, mm.

    Raises
    ------
    HoldError
        If there is no such paper, or the spread does not get to that opening.
    """
    linkage = sketch.spread.linkage
    at = float(np.clip(opening, LEAST_RAD, MOST_RAD))
    all_shares = {drive.name: float(shares.get(drive.name, drive.rest)) for drive in linkage.drives}
    try:
        motion = sketch.spread.solve(np.array([at]), all_shares, memory)
    except DriveError as error:
        raise HoldError(str(error)) from None
    if not motion.solved.all():
        raise HoldError("the paper does not get to this opening")
    grip = gripped(linkage, piece, body, local)
    return Hold(
        sketch, at, all_shares, grip, Posture(sketch.spread, motion), _all_groups(linkage, memory)
    )


def gripped(linkage: Linkage, piece: str, body: str, local: tuple[float, float, float]) -> Grip:
    """What lies at a point of a body, in its coordinates, mm; HoldError if no paper does."""
    point = shapely.Point(local[:2])
    parts = [
        part
        for one in linkage.bodies
        if one.name == body
        for part in one.parts
        if part.sheet.piece == piece
    ]
    near = [(part.polygon.distance(point), abs(part.height - local[2]), part) for part in parts]
    least = min((apart for apart, _, _ in near), default=np.inf)
    if least > _NEAR_MM:
        raise HoldError(f"there is no paper of {piece} at that place")
    part = min((way, part.id, part) for apart, way, part in near if apart <= least + 1e-6)[2]
    x, y = part.placement.inverse().apply(np.array(local[:2]))
    return Grip(part.id, (float(x), float(y)), local[2])


def _all_groups(linkage: Linkage, memory: Memory) -> tuple[Together, ...]:
    wedges = Wedges(linkage)
    if not wedges.flyleaves:
        return groups(linkage, memory)
    found: list[Together] = []
    for k in range(len(wedges.sides) - 1):
        found += groups(wedges.linkage_of(k)[0], memory)
    return tuple(found)
