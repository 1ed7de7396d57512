"""What the questions of a check are asked about: one spread with its motion, prepared once."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from ..drive import Wedges, pulled
from ..errors import Mistake
from ..linkage import Linkage
from ..motion.result import Motion
from ..sheet import Drive, Join, Sheet
from .facets import PAGE, Facets, gather
from .finding import Place, PlaceKind, Point
from .poses import Pose, Poses, poses_of
from .sweep import FacetPairs

if TYPE_CHECKING:
    from ..curl import Rolled, Shares
    from ..motion.memory import Memory
    from ..others import Others
    from ..spread import Spread

# Stages at which a spread is solved to be checked, radians: one degree apart.
STAGES = np.radians(np.arange(0.0, 181.0))
# An opening this near to closed is closed.
_CLOSED = 1e-6
# Openings at which wheels and slides are moved over their whole way. Our choice.
_HELD_OPEN = np.radians([45.0, 90.0, 135.0, 180.0])
# Between two looks at a wheel or a slide on its way, mm and radians; what lies between is found by
# steps of its own. Our choice.
_PULL_MM, _PULL_RAD = 5.0, float(np.radians(6.0))


@dataclass(frozen=True)
class Hand:
    """A wheel or slide that is moved by hand while the spread stands at one opening.

    Parameters
    ----------
    opening : radians.
    bodies : indices of those that move.
    """

    drive: Drive
    opening: float
    bodies: tuple[int, ...]

    def moved(self, share: float) -> str:
        """How far, in words, at a share of its way."""
        if self.drive.kind == "slide":
            return f"{share * self.drive.reach:z.1f} mm"
        return f"{share * np.degrees(self.drive.reach):z.1f}°"


@dataclass(frozen=True)
class Case:
    """One spread to be checked.

    Parameters
    ----------
    sheets, joins, linkage : of the spread; the first sheet is the two pages.
    motion : best at :data:`STAGES`.
    margin : kept free along the trimmed edges, mm.
    thickest : limit of the closed thickness that the design sets, mm.
    flyleaves : pieces that are pages themselves, so that they may fill the trimmed page.
    warnings : what the pieces had to say when they were built.
    flyleaf : if given, the spread lies flat open and this flyleaf is turned: what is called an
        opening of the motion is then how far the flyleaf stands off the left page.
    turns : the same spread while each of its flyleaves is turned.
    hand : if given, a wheel or slide is moved over its way: what is called an opening of the motion
        is then its share of that way times pi.
    curling : curled paper in strips, which the linkage and the motion then hold, and how far it is
        curled.
    """

    title: str
    sheets: Sequence[Sheet]
    joins: Sequence[Join]
    linkage: Linkage
    motion: Motion
    margin: float = 0.0
    thickest: float | None = None
    flyleaves: Collection[str] = ()
    warnings: Sequence[Mistake] = ()
    flyleaf: str = ""
    turns: Sequence[Case] = ()
    hand: Hand | None = None
    curling: tuple[Rolled, Shares] | None = None

    @cached_property
    def facets(self) -> Facets:
        """All facets as arrays."""
        return gather(self.linkage, self.sheets, self.joins)

    @cached_property
    def poses(self) -> Poses:
        """The solved part of the motion, at any opening."""
        return poses_of(self.motion)

    @cached_property
    def pairs(self) -> FacetPairs:
        """Pairs of facets at any opening."""
        return FacetPairs(self.facets, self.poses)

    def bodies_at(self, opening: float) -> Pose:
        """All bodies at an opening (radians): arrays of shape (B, 3, 3) and (B, 3)."""
        if opening not in self._known:
            bodies = np.arange(self.motion.rotations.shape[1])
            self._known[opening] = self.poses.at(np.full(len(bodies), opening), bodies)
        return self._known[opening]

    @cached_property
    def _known(self) -> dict[float, Pose]:
        return {}

    @property
    def looks(self) -> int:
        """How many pairs of facets at an opening have been looked at, moves by hand included."""
        return sum(case.pairs.looks for case in (self, *self.turns, *self.pulls))

    @cached_property
    def size(self) -> tuple[float, float]:
        """Width and height of one page, mm."""
        low_x, low_y, high_x, high_y = self.sheets[0].outline.bounds
        return max(high_x, -low_x), high_y - low_y

    @property
    def widest(self) -> float:
        """The widest opening of the motion, radians: there glue is best seen."""
        return float(self.poses.openings[-1])

    @property
    def closes(self) -> bool:
        """Whether the motion reaches the closed state."""
        return len(self.poses.openings) > 0 and bool(self.poses.openings[0] < _CLOSED)

    @cached_property
    def pulls(self) -> tuple[Case, ...]:
        """The same spread while each wheel and slide is moved over its way at some openings."""
        solved = np.flatnonzero(self.motion.solved)
        if self.hand is not None or self.flyleaf or not len(solved):
            return ()
        far = np.abs(self.motion.openings[solved, None] - _HELD_OPEN)
        stages = np.unique(solved[far.argmin(axis=0)])
        drives = [drive for drive in self.linkage.drives if drive.kind != "flyleaf"]
        return tuple(self._pulled(drive, int(stage)) for drive in drives for stage in stages)

    def _pulled(self, drive: Drive, stage: int) -> Case:
        step = _PULL_MM if drive.kind == "slide" else _PULL_RAD
        shares = np.linspace(0, 1, max(int(np.ceil(abs(drive.reach) / step)), 3) + 1)
        motion, bodies = pulled(self.linkage, self.motion, drive.name, stage, shares)
        if self.curling is not None:
            motion, bodies = self._curled(motion, bodies)
        hand = Hand(drive, float(self.motion.openings[stage]), tuple(bodies))
        return replace(self, motion=motion, turns=(), hand=hand)

    def _curled(self, motion: Motion, bodies: list[int]) -> tuple[Motion, list[int]]:
        """A motion of the flat paper with its strips, and bodies that move with those of theirs."""
        from ..curl.stances import stances

        assert self.curling is not None
        paper, shares = self.curling
        still = len(self.linkage.bodies) - len(paper.parents)
        flat = replace(
            motion,
            rotations=motion.rotations[:, :still],
            translations=motion.translations[:, :still],
        )
        at = shares.at(stances(paper.held, flat))
        # A curl that a hand presses down moves, though its own facet stands still.
        moved = np.isin(paper.parents, bodies) | (np.ptp(at, axis=1)[paper.entry] > 0)
        bodies = [*bodies, *(still + np.flatnonzero(moved)).tolist()]
        return paper.move(flat, at, lifted=False), bodies

    def spread_deg(self, opening: float) -> float:
        """How far the spread is open (degrees) at an opening of the motion (radians)."""
        if self.hand is not None:
            return float(np.degrees(self.hand.opening))
        return 180.0 if self.flyleaf else float(np.degrees(opening))

    def moment(self, opening: float) -> str:
        """An opening of the motion (radians) in words."""
        if self.hand is not None:
            return f"with {self.hand.drive.name} moved by {self.hand.moved(opening / np.pi)}"
        where = f"{np.degrees(opening):z.0f}°"
        return f"with {self.flyleaf} turned to {where}" if self.flyleaf else f"at {where}"

    def seen_at(self, place: Place) -> tuple[Case, float]:
        """The case, this one, a turn or a pull of it, and the opening (radians) of a place."""
        if place.moved is not None:
            name, share = place.moved
            pulls = (c for c in self.pulls if c.hand and c.hand.drive.name == name)
            here = min(pulls, key=lambda c: abs(c.spread_deg(0.0) - place.opening_deg))
            return here, share * float(np.pi)
        if place.turned is None:
            return self, float(np.radians(place.opening_deg))
        flyleaf, turned_deg = place.turned
        return next(c for c in self.turns if c.flyleaf == flyleaf), float(np.radians(turned_deg))

    def place(self, kind: PlaceKind, positions: np.ndarray, opening: float) -> Place:
        """A place at world positions, shape (n, 3), mm, at an opening (radians)."""
        points = tuple(_point(position) for position in positions)
        turned = (self.flyleaf, float(np.degrees(opening))) if self.flyleaf else None
        moved = None if self.hand is None else (self.hand.drive.name, float(opening / np.pi))
        return Place(kind, self.spread_deg(opening), points, turned, moved)

    def piece_facets(self, piece: str) -> list[int]:
        """Indices of the facets of a piece."""
        return self._facets_of.get(piece, [])

    @cached_property
    def _facets_of(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for k, name in enumerate(self.facets.pieces):
            found.setdefault(name, []).append(k)
        return found

    @property
    def pieces(self) -> list[str]:
        """Names of all pieces, the pages left out, in order."""
        return [name for name in self._facets_of if name != PAGE]

    def corners(self, facet: int, opening: float) -> np.ndarray:
        """World positions of a facet's outline, shape (n, 3), mm, at an opening (radians)."""
        outline = np.asarray(self.facets.polygons[facet].exterior.coords)
        return self.world(facet, outline, opening)

    def world(self, facet: int, points: np.ndarray, opening: float) -> np.ndarray:
        """World positions (n, 3) of points (n, 2) in the coordinates of a facet's body, mm."""
        body, pose = self.facets.body[facet], self.bodies_at(opening)
        single = Pose(pose.rotation[body], pose.translation[body])
        return single.apply(np.asarray(points, float))


def case_of(
    spread: Spread,
    motion: Motion | None = None,
    memory: Memory | None = None,
    beside: Others | None = None,
) -> Case:
    """The case of a spread, solved here at :data:`STAGES` unless its motion is given.

    Parameters
    ----------
    memory : of earlier solves; what has not changed since is taken from it.
    beside : processes that solve a part of it meanwhile.
    """
    from ..curl import bent

    design = spread.design
    flat = spread.solve(STAGES, memory=memory, beside=beside) if motion is None else motion
    # Facets pass through each other or do not without regard to their thickness.
    seen = bent(spread, flat, lifted=False)
    case = Case(
        design.title or design.file,
        spread.sheets,
        spread.joins,
        seen.linkage,
        seen.motion,
        design.spread.margin,
        design.spread.thickest,
        flyleaves=[name for name, piece in design.pieces.items() if piece.kind == "flyleaf"],
        warnings=spread.warnings,
        curling=spread.curling,
    )
    flyleaves = [drive.name for drive in Wedges(spread.linkage).flyleaves]
    turns = [
        replace(case, motion=_turning(spread, flyleaves, flyleaf), flyleaf=flyleaf)
        for flyleaf in flyleaves
    ]
    return replace(case, turns=turns)


def _turning(spread: Spread, flyleaves: Sequence[str], flyleaf: str) -> Motion:
    """The flat open spread while a flyleaf is turned from the left page to the right one.

    Flyleaves before it lie on the left, flyleaves after it on the right.
    """
    from ..curl import bent

    turned = flyleaves.index(flyleaf)
    shares: dict[str, float | np.ndarray] = {
        name: 0.0 if k < turned else 1.0 for k, name in enumerate(flyleaves)
    }
    shares[flyleaf] = STAGES / np.pi
    motion = spread.solve(np.full(len(STAGES), np.pi), shares)
    return replace(bent(spread, motion, lifted=False).motion, openings=STAGES)


def _point(position: np.ndarray) -> Point:
    x, y, z = (float(value) for value in position)
    return x, y, z
