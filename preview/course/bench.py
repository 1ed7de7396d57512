"""The bench on which a course is planned: the paper as it lies, and the moves so far."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from meshes.building import Step
from meshes.building.slits import SheetPassage
from meshes.check.case import STAGES
from meshes.check.poses import Pose
from meshes.sheet import Join
from meshes.spread import Spread
from preview.drawing.lying import LyingWish, settled
from preview.drawing.scene import book_of

from .figures import Bend, Figures, Form, points
from .leaving import Layers
from .moves import CourseMove, CourseTrack, HeldSeat, OnTable, WorkTable
from .proof import Meeting
from .spots import Spots
from .state import CourseState, PaperGroup
from .ways import Judged, gentlest, held_up, roughly, whole

# The openings that loose paper stands in, that paper lies in which is laid folded on a page, and
# at which the notebook stands while one works on what stands in it; those of the guide's pictures.
LOOSE, FLAT, WORKING = (float(np.radians(deg)) for deg in (110.0, 5.0, 140.0))
WIDE = float(np.pi)
# What stands for the form of a part of the spread is tried at these too, degrees. Our choice.
OTHERS = tuple(float(np.radians(deg)) for deg in (110.0, 90.0, 160.0, 70.0))


# What will be closed to a ring is folded so far before. Our choice.
OPEN_SHARE = 0.8


# A leaf lies on the right page if its share is more than this.
_MIDDLE = 0.5


@dataclass(frozen=True)
class CoveredBy:
    """A flyleaf that lies over a place, and the facet of the page on which it lies."""

    leaf: str
    page: str


class CourseBench:
    """Where the steps of a course are tried.

    Attributes
    ----------
    upright : how each folded sheet stands on the table, shape (3, 3).
    rings : sheets that will be closed to rings, but are not yet.
    layers : what lies over what in one plane, and how it came there.
    moves, met : of the step so far, and what they pass through.
    """

    def __init__(self, spread: Spread, steps: Sequence[Step], lying: LyingWish = "both") -> None:
        self.spread, self.steps = spread, steps
        self.figures = Figures.of(spread)
        half = settled(lying, spread.linkage, spread.solve(STAGES))
        self.table = WorkTable(self.figures, book_of(spread), half)
        self.spots = Spots(self.table.book)
        self.state = CourseState.empty()
        self.layers = Layers()
        self.rings: set[int] = set()
        self.upright: dict[int, np.ndarray] = {}
        self.moves: list[CourseMove] = []
        self.met: list[Meeting] = []

    @cached_property
    def passages(self) -> Sequence[SheetPassage]:
        """Where sheets pass slits of others."""
        from meshes.building.kept import LOOKED_AT_DEG
        from meshes.building.proof import Proof

        spread = self.spread
        motion = spread.solve(np.radians(LOOKED_AT_DEG))
        return Proof(spread.sheets, spread.joins, spread.linkage, motion).passages

    def take(self, judged: Judged) -> None:
        """Carry some moves out."""
        for move in judged.moves:
            self.moves.append(move)
            self.state = self.state.after(move)
            self.met += [Meeting(*row) for row in self.layers.left(self.table, move)]
            self.layers = self.layers.after(self.table, move)
        self.met += judged.met

    def carry_out(self, move: CourseMove) -> None:
        """Judge a move and carry it out whatever it meets."""
        self.take(whole(self.table, [move]))

    def best(self, tries: Iterable[Sequence[CourseMove]]) -> Judged:
        """The first of several ways to do something that meets nothing, else the gentlest.

        Where there is no room on the table, paper is held up meanwhile, over all that stands.
        """
        made: list[Sequence[CourseMove]] = []

        def tried(moves: Sequence[CourseMove]) -> Judged:
            # Mostly the first way is free; where it is not, many others may not be either.
            rough = roughly(self.table, moves) if len(made) > 1 else None
            return rough if rough and rough.met else whole(self.table, moves)

        def every() -> Iterator[Judged]:
            for moves in tries:
                made.append(moves)
                yield tried(moves)
            for moves in made:
                up = held_up(self.table, moves)
                if up != tuple(moves):
                    yield tried(up)

        found = gentlest(every())
        return whole(self.table, found.moves) if found.met else found

    # Where paper is.

    def pose(self, group: PaperGroup) -> Pose:
        """All parts of a group as it lies; other rows mean nothing."""
        track = CourseTrack.still(group.sheets, group.form, group.seat)
        return self.table.seated(
            track, group.form, group.seat, self.state.opening, self.state.glued
        )

    def corners(self, group: PaperGroup) -> np.ndarray:
        """Corners of a group, shape (n, 3), mm."""
        return points(self.figures, self.figures.parts_of(group.sheets), self.pose(group))

    def area(self, group: PaperGroup) -> float:
        """Of all paper in a group, mm²."""
        parts = self.figures.parts_of(group.sheets).tolist()
        return float(sum(self.figures.parts[k].polygon.area for k in parts))

    def printed(self, part: int, pose: Pose) -> np.ndarray:
        """Where the printed side of a part looks, shape (3,)."""
        turns, _ = self.figures.in_sheets
        return np.asarray((pose.rotation[part] @ turns[part])[:, 2])

    def normal(self, join: Join, pose: Pose) -> np.ndarray:
        """Where the place of a join looks, shape (3,)."""
        return self.printed(self.figures.index[join.host], pose) * join.side

    def standing_mm(self) -> float:
        """How high the highest paper on the table is, mm."""
        loose = [self.corners(g)[:, 2] for g in self.state.groups if isinstance(g.seat, OnTable)]
        return max((float(z.max()) for z in loose), default=self.table.top) - self.table.top

    def spot(self, sheet: int, width: float, height: float) -> tuple[float, float]:
        """The middle of a free place of a size on the table, which a sheet takes, mm."""
        for group in self.state.groups:
            if isinstance(group.seat, OnTable):
                corners = self.corners(group)
                low, high = corners.min(axis=0), corners.max(axis=0)
                box = float(low[0]), float(low[1]), float(high[0]), float(high[1])
                self.spots.follow(group.sheets, group.seat.centre, box)
        return self.spots.find(frozenset([sheet]), width, height)

    # What it hangs on.

    def lain(self, step: Step) -> list[Join]:
        """The joins of a step, or where it lays something without glue."""
        if step.joins:
            return [self.spread.joins[j] for j in step.joins]
        owner = self.figures.sheet
        return [
            drive.join
            for drive in self.spread.linkage.drives
            if owner[self.figures.index[drive.join.facet]] in step.sheets
        ]

    def covered(self, step: Step) -> CoveredBy | None:
        """The flyleaf that lies over the place of a step, if it is in the notebook by then."""
        for drive in self.spread.linkage.drives if step.action != "lay" else ():
            leaf = drive.join.facet
            if drive.kind != "flyleaf" or not self.present(leaf):
                continue
            right = drive.rest > _MIDDLE
            page = "page.right" if right else "page.left"
            hidden = -1 if right else 1
            for join in self.lain(step):
                if join.host == page or (join.host == leaf and join.side == hidden):
                    return CoveredBy(leaf.partition(".")[0], page)
        return None

    def present(self, facet: str) -> bool:
        """Whether a facet lies in the notebook."""
        return self.owner(facet) in self.state.groups[0].sheets

    def owner(self, facet: str) -> int:
        """The sheet of a facet."""
        return int(self.figures.sheet[self.figures.index[facet]])

    def groups(self, facets: Iterable[str]) -> list[PaperGroup]:
        """The groups of some facets, each once."""
        return list(dict.fromkeys(self.state.group(self.owner(facet)) for facet in facets))

    def loose_leaves(self, sheets: Iterable[int], busy: Iterable[int] = ()) -> dict[int, int]:
        """Parts on a single fold that will be glued but are not yet, and that fold.

        Parameters
        ----------
        busy : joins that count as glued.
        """
        held = self.state.glued | set(busy)
        free = {self.figures.joins[j][0] for j in range(len(self.figures.joins)) if j not in held}
        bound = {part for j in held for part in self.figures.joins[j]}
        found: dict[int, int] = {}
        for sheet in sheets:
            leaves = self.figures.leaves(sheet) if sheet else {}
            found |= {p: k for p, k in leaves.items() if p in free and p not in bound}
        return found

    # Seats.

    def rest(self, group: PaperGroup, turn: np.ndarray) -> OnTable:
        """A seat on the table in the same spot, turned otherwise."""
        seat = group.seat
        assert isinstance(seat, OnTable)
        return OnTable(turn, seat.centre)

    def held(self, part: int, pose: Pose, form: Form) -> HeldSeat:
        """The seat in which a part that is as solved comes to lie as in a pose."""
        solved = self.figures.solved(form.opening)
        turn = pose.rotation[part] @ solved.rotation[part].T
        return HeldSeat(turn, pose.translation[part] - turn @ solved.translation[part])

    def flat_turn(self, sheet: int, opening: float) -> np.ndarray:
        """The least turn after which a sheet's largest facet lies printed side up, (3, 3).

        The opening, at which it has its form, is in radians.
        """
        up = self.printed(self.figures.root(sheet), self.figures.solved(opening))
        return to_top(up)

    def folded(self, group: PaperGroup, opening: float) -> Form:
        """The form of a group all folded, open rings less; the opening in radians."""
        bends = [
            Bend(k, OPEN_SHARE)
            for sheet in sorted(self.rings & group.sheets)
            for k in self.figures.folds_of(sheet)
        ]
        return Form(opening, tuple(bends))

    def unfolded(self, sheet: int, opening: float, share: float = 0.0) -> Form:
        """A sheet with all its folds at a share of what they will be; the opening in radians."""
        folds = self.figures.folds_of(sheet)
        return Form(opening, tuple(Bend(k, share) for k in folds))


def to_top(direction: np.ndarray) -> np.ndarray:
    """The least turn that takes a unit vector to +z, shape (3, 3)."""
    from meshes.check.poses import rotation_of

    axis = np.cross(direction, [0.0, 0.0, 1.0])
    sine, cosine = float(np.linalg.norm(axis)), float(direction[2])
    if sine < 1e-9:
        return np.eye(3) if cosine > 0 else np.diag([-1.0, 1.0, -1.0])
    found: np.ndarray = rotation_of(axis / sine * np.arctan2(sine, cosine))
    return found
