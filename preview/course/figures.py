"""The figures that paper makes while it is put together: as solved, as cut, and between the two.

Paper that is glued moves as the solved spread does; loose paper has the angles of its folds as its
own. Both are told by how much each fold differs from the solved spread at some opening.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
import shapely

from meshes.check.case import STAGES
from meshes.check.facets import Facets, gather
from meshes.check.poses import Pose, Poses, poses_of, rotation_of
from meshes.linkage import Body, Linkage, Part
from meshes.sheet import Fold, Join, Sheet
from meshes.spread import Spread
from preview.drawing.scene import in_space

from .unfolding import Unfolding

# A fold this near to shut is shut, on the side that its sign tells. Our choice.
_SHUT = float(np.radians(179.9))
# What is turned this far past flat shut is still shut, radians. Our choice.
_HAIR = float(np.radians(0.3))


@dataclass(frozen=True)
class Bend:
    """How far a fold of loose paper is folded: its solved angle times `share`, and `more`, radians.

    Parameters
    ----------
    fold : number of the fold in :attr:`Figures.creases`.
    """

    fold: int
    share: float = 1.0
    more: float = 0.0


@dataclass(frozen=True)
class Form:
    """The form of paper that hangs together.

    Parameters
    ----------
    opening : of the solved spread that has this form, radians.
    bends : folds that differ from it.
    """

    opening: float
    bends: tuple[Bend, ...] = ()

    def between(self, other: Form, share: float) -> Form:
        """The form on the way to another one, 0 to 1."""
        mine, theirs = ({bend.fold: bend for bend in form.bends} for form in (self, other))
        bends = []
        for fold in sorted({*mine, *theirs}):
            a, b = mine.get(fold, Bend(fold)), theirs.get(fold, Bend(fold))
            bends.append(Bend(fold, _mix(a.share, b.share, share), _mix(a.more, b.more, share)))
        return Form(_mix(self.opening, other.opening, share), tuple(bends))

    def without(self, folds: Iterable[int]) -> Form:
        """The form with some folds as solved."""
        own = set(folds)
        return replace(self, bends=tuple(bend for bend in self.bends if bend.fold not in own))


def _mix(a: float, b: float, share: float) -> float:
    return a + (b - a) * share


@dataclass(frozen=True)
class Crease:
    """A fold of a sheet between two parts, its ends in the coordinates of the sheet."""

    sheet: int
    left: int
    right: int
    fold: Fold


@dataclass(frozen=True, eq=False)
class Figures:
    """A spread taken apart into its P parts, and where they are in every form.

    Parameters
    ----------
    sheets, glue, linkage : of the spread; the first sheet is the pages.
    motion : from closed to open.
    """

    sheets: tuple[Sheet, ...]
    glue: tuple[Join, ...]
    linkage: Linkage
    motion: Poses

    @staticmethod
    def of(spread: Spread) -> Figures:
        """The figures of a spread."""
        motion = poses_of(spread.solve(STAGES))
        return Figures(spread.sheets, spread.joins, spread.linkage, motion)

    @cached_property
    def _rows(self) -> tuple[tuple[int, Part], ...]:
        """Body and part, the pages first."""
        placed = [(k, part) for k, body in enumerate(self.linkage.bodies) for part in body.parts]
        first = [row for row in placed if row[1].id in ("page.left", "page.right")]
        return (*first, *(row for row in placed if row not in first))

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """The left page, the right page, then all others in the order of the bodies."""
        return tuple(part for _, part in self._rows)

    @cached_property
    def body(self) -> np.ndarray:
        """Number of the body of each part, shape (P,)."""
        return np.array([k for k, _ in self._rows])

    @cached_property
    def index(self) -> dict[str, int]:
        """Number of each part by its id."""
        return {part.id: k for k, part in enumerate(self.parts)}

    @cached_property
    def sheet(self) -> np.ndarray:
        """Number of the sheet of each part, shape (P,)."""
        owner = {f"{s.piece}.{f.name}": k for k, s in enumerate(self.sheets) for f in s.facets}
        return np.array([owner[part.id] for part in self.parts])

    @cached_property
    def joins(self) -> tuple[tuple[int, int], ...]:
        """The parts of each join: what is glued, and on what."""
        return tuple((self.index[j.facet], self.index[j.host]) for j in self.glue)

    @cached_property
    def creases(self) -> tuple[Crease, ...]:
        """All folds but the gutter."""
        return tuple(
            Crease(
                k,
                self.index[f"{sheet.piece}.{crossing.left}"],
                self.index[f"{sheet.piece}.{crossing.right}"],
                crossing.fold,
            )
            for k, sheet in enumerate(self.sheets)
            for crossing in (sheet.crossings if k else ())
        )

    @cached_property
    def apart(self) -> Linkage:
        """A linkage in which every part is a body of its own."""
        return Linkage(tuple(Body(part.id, (part,)) for part in self.parts), ())

    @cached_property
    def facets(self) -> Facets:
        """All parts as the check takes them, each a body of its own."""
        return gather(self.apart, self.sheets, self.glue)

    @cached_property
    def corners(self) -> tuple[np.ndarray, ...]:
        """Corners of each part in the coordinates of its body, (n, 2) each, mm."""
        return tuple(
            np.asarray(shapely.get_coordinates(part.polygon.exterior))[:-1] for part in self.parts
        )

    @cached_property
    def in_sheets(self) -> tuple[np.ndarray, np.ndarray]:
        """From the sheet of each part to its body, shapes (P, 3, 3) and (P, 3)."""
        placements = [part.placement for part in self.parts]
        turns = np.array([in_space(placement) for placement in placements])
        return turns, np.array([[*placement.shift, 0.0] for placement in placements])

    def parts_of(self, sheets: Iterable[int]) -> np.ndarray:
        """Numbers of the parts of some sheets."""
        return self._parts_of(frozenset(sheets))

    @lru_cache(maxsize=1024)  # noqa: B019
    def _parts_of(self, sheets: frozenset[int]) -> np.ndarray:
        return np.flatnonzero(np.isin(self.sheet, sorted(sheets)))

    @lru_cache(maxsize=1024)  # noqa: B019
    def folds_of(self, sheet: int) -> list[int]:
        """Numbers of the folds of a sheet."""
        return [k for k, crease in enumerate(self.creases) if crease.sheet == sheet]

    def solved(self, opening: float) -> Pose:
        """All parts as solved, shapes (P, 3, 3) and (P, 3), in the frame of the motion, mm."""
        return self._solved(round(float(opening), 12))

    @lru_cache(maxsize=256)  # noqa: B019, a course has one of these and ends with it
    def _solved(self, opening: float) -> Pose:
        return self.motion.at(np.full(len(self.parts), opening), self.body)

    def angle(self, fold: int, opening: float) -> float:
        """The solved angle of a fold, radians."""
        sheet = self.creases[fold].sheet
        return float(self._angles(sheet, float(opening))[self.folds_of(sheet).index(fold)])

    @lru_cache(maxsize=512)  # noqa: B019, a course has one of these and ends with it
    def _angles(self, sheet: int, opening: float) -> np.ndarray:
        """The solved angles of all folds of a sheet, shape (n,), radians."""
        pose, (turns, _) = self.solved(opening), self.in_sheets
        creases = [self.creases[k] for k in self.folds_of(sheet)]
        one, two = (
            pose.rotation[parts] @ turns[parts]
            for parts in ([c.left for c in creases], [c.right for c in creases])
        )
        ends = np.array([[c.fold.start, c.fold.end] for c in creases])
        along = np.pad(ends[:, 1] - ends[:, 0], [(0, 0), (0, 1)])
        along /= np.linalg.norm(along, axis=1)[:, None]
        across = along[:, [1, 0, 2]] * [-1.0, 1.0, 0.0]
        a, b, c = (
            np.einsum("nij,nj->ni", sides, lines)
            for sides, lines in ((one, along), (one, across), (two, across))
        )
        found = np.arctan2(np.einsum("ni,ni->n", np.cross(b, c), a), np.einsum("ni,ni->n", b, c))
        signs = np.array([crease.fold.sign for crease in creases])
        return np.where(np.abs(found) > _SHUT, signs * np.abs(found), found)

    def formed(self, form: Form, sheets: Iterable[int], glued: Iterable[int]) -> Pose:
        """Where the parts of some sheets are that hang together by glue, in a form.

        The largest facet of each sheet with folds of its own stays as solved; what is glued to the
        others goes along.

        Parameters
        ----------
        glued : numbers of the joins that hold.
        """
        pose = self.solved(form.opening)
        if not form.bends:
            return pose
        moved = self._moved(form, frozenset(sheets), frozenset(glued), pose)
        rotation, translation = pose.rotation.copy(), pose.translation.copy()
        for part, (turn, shift) in moved.items():
            rotation[part] = turn @ rotation[part]
            translation[part] = turn @ translation[part] + shift
        return Pose(rotation, translation)

    def over_folded(self, form: Form, sheets: Iterable[int]) -> list[tuple[int, float]]:
        """Folds that a form turns past flat shut, so that their sides are in each other; radians.

        A fold lies flat shut at 180 degrees either way; sheets with rings of folds get their angles
        from their :class:`Unfolding` and are left out.
        """
        own = set(sheets)
        found = []
        for bend in form.bends:
            sheet = self.creases[bend.fold].sheet
            if sheet not in own or self.unfolding(sheet, form.opening) is not None:
                continue
            turned = self.angle(bend.fold, form.opening) * bend.share + bend.more
            if abs(turned) > np.pi + _HAIR:
                found.append((bend.fold, abs(turned) - float(np.pi)))
        return found

    def bent(self, form: Form, sheets: Iterable[int], glued: Iterable[int]) -> list[int]:
        """The parts that are not where the solved spread has them."""
        if not form.bends:
            return []
        moved = self._moved(form, frozenset(sheets), frozenset(glued), self.solved(form.opening))
        return [part for part, (turn, _) in moved.items() if not np.array_equal(turn, np.eye(3))]

    def _moved(
        self, form: Form, sheets: frozenset[int], glued: frozenset[int], pose: Pose
    ) -> dict[int, tuple[np.ndarray, np.ndarray]]:
        """How far parts are from where they are solved."""
        moved: dict[int, tuple[np.ndarray, np.ndarray]] = {}
        own = sorted({self.creases[bend.fold].sheet for bend in form.bends} & sheets)
        bends = {bend.fold: bend for bend in form.bends}
        for sheet in own:
            moved |= self._bent(sheet, bends, form.opening, pose)
        # What hangs on them by glue goes along; art is glued to one facet at a time.
        around: dict[int, list[int]] = {}
        for j in glued:
            a, b = self.joins[j]
            around.setdefault(a, []).append(b)
            around.setdefault(b, []).append(a)
        for crease in self.creases:
            if crease.sheet not in own:
                around.setdefault(crease.left, []).append(crease.right)
                around.setdefault(crease.right, []).append(crease.left)
        queue = list(moved)
        while queue:
            part = queue.pop(0)
            for other in around.get(part, ()):
                if other not in moved and self.sheet[other] in sheets and self.sheet[other]:
                    moved[other] = moved[part]
                    queue.append(other)
        return moved

    def _bent(
        self, sheet: int, bends: Mapping[int, Bend], opening: float, pose: Pose
    ) -> dict[int, tuple[np.ndarray, np.ndarray]]:
        folds = self.folds_of(sheet)
        more = np.zeros(len(folds))
        shares = {bends[k].share for k in folds if k in bends}
        paths = self.unfolding(sheet, opening)
        if paths is not None and len(shares) == 1 and all(k in bends for k in folds):
            more = paths.more(shares.pop())
        else:
            solved = self._angles(sheet, float(opening))
            for row, k in enumerate(folds):
                if k in bends:
                    more[row] = solved[row] * (bends[k].share - 1) + bends[k].more
        return self.turned(sheet, more, pose)

    def turned(
        self, sheet: int, more: np.ndarray, pose: Pose
    ) -> dict[int, tuple[np.ndarray, np.ndarray]]:
        """How far the parts of a sheet move if its folds turn by angles of shape (n,), radians."""
        moved = {self.root(sheet): (np.eye(3), np.zeros(3))}
        tree = self.tree(sheet)
        if not tree:
            return moved
        axes, points = self._lines(tuple(self.folds_of(sheet)), pose)
        rows = [row for row, *_ in tree]
        senses = np.array([sense for *_, sense in tree])
        spins = rotation_of(axes[rows] * (more[rows] * senses)[:, None])
        for (row, parent, child, _), spin in zip(tree, spins, strict=True):
            turn, shift = moved[parent]
            if more[row]:
                point = points[row]
                turn, shift = turn @ spin, turn @ (point - spin @ point) + shift
            moved[child] = turn, shift
        return moved

    def line(self, fold: int, pose: Pose) -> tuple[np.ndarray, np.ndarray]:
        """Direction of a fold and a point on it, as its left facet lies."""
        axes, points = self._lines((fold,), pose)
        return axes[0], points[0]

    def _lines(self, folds: tuple[int, ...], pose: Pose) -> tuple[np.ndarray, np.ndarray]:
        """Directions of some folds and a point on each, shapes (n, 3), as their left facets lie."""
        parts, flat = self._flat_ends(folds)
        there = flat @ np.swapaxes(pose.rotation[parts], 1, 2) + pose.translation[parts][:, None]
        along = there[:, 1] - there[:, 0]
        return along / np.linalg.norm(along, axis=1)[:, None], there[:, 0]

    @lru_cache(maxsize=1024)  # noqa: B019
    def _flat_ends(self, folds: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
        """The left parts of some folds, and the ends of these in their bodies, shape (n, 2, 3)."""
        turns, shifts = self.in_sheets
        parts = np.array([self.creases[k].left for k in folds])
        lines = [self.creases[k].fold for k in folds]
        ends = np.array([[[*line.start, 0.0], [*line.end, 0.0]] for line in lines])
        return parts, ends @ np.swapaxes(turns[parts], 1, 2) + shifts[parts][:, None]

    @lru_cache(maxsize=1024)  # noqa: B019
    def root(self, sheet: int) -> int:
        """The part of a sheet that stays put while it is folded: its largest."""
        return int(max(self.parts_of([sheet]), key=lambda k: self.parts[k].facet.polygon.area))

    @lru_cache(maxsize=1024)  # noqa: B019
    def tree(self, sheet: int) -> tuple[tuple[int, int, int, int], ...]:
        """Row of the fold, parent, child and sense of turning, from the root outwards."""
        folds = self.folds_of(sheet)
        reached, found, front = {self.root(sheet)}, [], [self.root(sheet)]
        while front:
            part = front.pop(0)
            for row, k in enumerate(folds):
                crease = self.creases[k]
                for parent, child, sense in (
                    (crease.left, crease.right, 1),
                    (crease.right, crease.left, -1),
                ):
                    if parent == part and child not in reached:
                        reached.add(child)
                        found.append((row, parent, child, sense))
                        front.append(child)
        return tuple(found)

    @lru_cache(maxsize=64)  # noqa: B019
    def unfolding(self, sheet: int, opening: float) -> Unfolding | None:
        """How a sheet with rings of folds gets its form at an opening (radians); None without."""
        folds = self.folds_of(sheet)
        if len(self.tree(sheet)) == len(folds):
            return None
        return Unfolding.of(self, sheet, opening)

    def leaves(self, sheet: int) -> dict[int, int]:
        """The parts of a sheet that hang on a single fold, and that fold."""
        found: dict[int, list[int]] = {}
        for k in self.folds_of(sheet):
            found.setdefault(self.creases[k].left, []).append(k)
            found.setdefault(self.creases[k].right, []).append(k)
        root = self.root(sheet)
        return {part: ks[0] for part, ks in found.items() if len(ks) == 1 and part != root}


def points(figures: Figures, parts: Sequence[int] | np.ndarray, pose: Pose) -> np.ndarray:
    """Corners of some parts, shape (n, 3), mm."""
    found = [
        figures.corners[k] @ pose.rotation[k][:, :2].T + pose.translation[k] for k in list(parts)
    ]
    return np.concatenate(found)
