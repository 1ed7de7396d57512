"""All sheets of a spread as they are to be cut, and what was changed in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from shapely.affinity import translate
from shapely.geometry import Polygon

from meshes.building.kept import LOOKED_AT_DEG
from meshes.building.poses import BuildPoses
from meshes.sheet import Drive, Join, Sheet

from .holes import loop_lines, slit_lines
from .layers import RaisedFacet, Why, glued, lying
from .nests import nested
from .planes import planes
from .reshape import CannotMove, reshaped
from .shifts import Angles, ShiftedLine, fold_lines, seam_lines, strongest, under_lines
from .shut import CLOSING_DEG, Pinch, pinches
from .trim import trimmed

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread


# What a change is for, if it is for several things.
_ORDER: tuple[Why, ...] = ("inside", "round", "closed")


@dataclass(frozen=True)
class Change:
    """What was changed in one sheet.

    Parameters
    ----------
    why : ``round`` (it goes round another), ``inside`` (it goes into another), ``closed`` (its flap
        or tab lies inside of it), ``loop`` (something slides under it), ``slit`` (something passes
        it), ``shut`` (a fold shuts over it).
    other : piece that it goes round or into, that passes it, or whose fold shuts over it; its own
        name if it is closed.
    lines : its folds and edges that moved, in the coordinates of the sheet as designed.
    moves : how far each facet went along, mm.
    kept : why it was left as designed though it would need a change; empty if it was changed.
    pinches : strips that it leaves free beside folds, in the coordinates of the sheet as designed.
    """

    piece: str
    sheet: str
    why: Why
    other: str
    lines: tuple[ShiftedLine, ...]
    moves: Mapping[str, np.ndarray]
    kept: str = ""
    pinches: tuple[Pinch, ...] = ()

    @property
    def by(self) -> float:
        """The farthest that one fold or edge moved, mm: out of its facet, else negative."""
        moved = [*(line.by for line in self.lines), *(-pinch.depth for pinch in self.pinches)]
        return max(moved, key=abs, default=0.0)

    @property
    def tightest(self) -> Pinch:
        """Where it must leave most free beside a fold; ValueError if no fold shuts over it."""
        return max(self.pinches, key=lambda pinch: pinch.keep)

    def strips(self, facet: str) -> list[Polygon]:
        """What a facet leaves free, in the coordinates of the sheet as designed, mm."""
        return [p.strip for p in self.pinches if p.facet == f"{self.piece}.{facet}"]

    @property
    def facets(self) -> dict[str, float]:
        """How much longer or, if negative, shorter each changed facet is across its folds, mm."""
        found: dict[str, dict[float, float]] = {}
        for line in self.lines:
            sums = found.setdefault(line.facet, {})
            way = round(float(np.arctan2(line.out[1], line.out[0])) % np.pi, 4) % 3.1416
            sums[way] = sums.get(way, 0.0) + line.by
        for pinch in self.pinches:
            across = found.setdefault(pinch.facet.partition(".")[2], {})
            across[0.0] = min(-pinch.depth, across.get(0.0, 0.0))
        return {name: max(sums.values(), key=abs) for name, sums in found.items()}


@dataclass(frozen=True)
class Allowed:
    """Sheets as they are to be cut, with their glue and what hands move, in the same order."""

    sheets: tuple[Sheet, ...]
    joins: tuple[Join, ...]
    drives: tuple[Drive, ...]
    changes: tuple[Change, ...] = field(default=())


def allowed(spread: Spread) -> Allowed:
    """Allow for the thickness of paper in all sheets of a spread."""
    motion = spread.solve(np.radians(LOOKED_AT_DEG))
    if not motion.solved.any():
        # Where it lies nobody knows, and neither what goes into what.
        return Allowed(spread.sheets, spread.joins, spread.linkage.drives)
    found = _Allowance(spread, motion)
    sheets, joins, drives = list(spread.sheets), spread.joins, spread.linkage.drives
    changes: list[Change] = []
    for number in range(1, len(sheets)):
        lines, why, other = found.lines(number)
        if not lines:
            continue
        change = Change(sheets[number].piece, sheets[number].name, why, other, tuple(lines), {})
        try:
            made = reshaped(sheets[number], lines)
        except CannotMove as error:
            found.forget(sheets[number])
            changes.append(replace(change, kept=str(error)))
            continue
        sheets[number] = made.sheet
        changes.append(replace(change, moves=made.moves))
    changes += _ends_before_folds(spread, sheets, changes)
    if not changes:
        return Allowed(spread.sheets, joins, drives)
    moves = {
        f"{change.piece}.{name}": move for change in changes for name, move in change.moves.items()
    }
    return Allowed(
        tuple(sheets),
        tuple(_moved(join, moves, found.landings) for join in joins),
        tuple(_driven(drive, moves) for drive in drives),
        tuple(changes),
    )


def _ends_before_folds(
    spread: Spread, sheets: list[Sheet], changes: Sequence[Change]
) -> list[Change]:
    """Trim what lies in folds that shut over it, in `sheets` itself, and tell the changes."""
    motion = spread.solve(np.radians(CLOSING_DEG))
    if not motion.solved.all():
        return []
    moves = {(c.piece, c.sheet): c.moves for c in changes}
    outlines: dict[str, Polygon] = {}
    for sheet in sheets:
        back = moves.get((sheet.piece, sheet.name), {})
        for facet in sheet.facets:
            x, y = -back.get(facet.name, np.zeros(2))
            outlines[f"{sheet.piece}.{facet.name}"] = translate(facet.polygon, x, y)
    found: dict[str, list[Pinch]] = {}
    for pinch in pinches(spread.linkage, motion, outlines, _moved_out(spread.sheets, changes)):
        found.setdefault(pinch.facet, []).append(pinch)
    made = []
    for number, sheet in enumerate(sheets):
        own = [p for f in sheet.facets for p in found.get(f"{sheet.piece}.{f.name}", ())]
        if own:
            sheets[number], told = _trim(sheet, own, moves.get((sheet.piece, sheet.name), {}))
            made += told
    return made


def _moved_out(sheets: Sequence[Sheet], changes: Sequence[Change]) -> dict[str, float]:
    """How far folds were moved out of both of their facets, by ``piece.fold``, mm."""
    found = {}
    by = {(c.piece, c.sheet, li.facet, li.start, li.end): li.by for c in changes for li in c.lines}
    for sheet in sheets:
        for crossing in sheet.crossings:
            ends = (crossing.fold.start, crossing.fold.end)
            sides = [
                by.get((sheet.piece, sheet.name, side, *ends), 0.0)
                for side in (crossing.left, crossing.right)
            ]
            found[f"{sheet.piece}.{crossing.fold.name}"] = max(min(sides), 0.0)
    return found


def _trim(
    sheet: Sheet, own: Sequence[Pinch], moves: Mapping[str, np.ndarray]
) -> tuple[Sheet, list[Change]]:
    """A sheet that leaves strips free, fold by fold where it can, and what is told of it."""
    done: list[Pinch] = []
    left: dict[str, list[Pinch]] = {}
    cut = sheet
    for fold in sorted(dict.fromkeys(p.fold for p in own), key=lambda f: _widest(own, f)):
        more = [*done, *(p for p in own if p.fold == fold)]
        strips: dict[str, list[Polygon]] = {}
        for pinch in more:
            name = pinch.facet.partition(".")[2]
            x, y = moves.get(name, np.zeros(2))
            strips.setdefault(name, []).append(translate(pinch.strip, x, y))
        try:
            cut, done = trimmed(sheet, strips), more
        except CannotMove as error:
            left.setdefault(str(error), []).extend(p for p in own if p.fold == fold)
    groups = [("", done), *left.items()]
    return cut, [
        Change(
            sheet.piece,
            sheet.name,
            "shut",
            max(group, key=lambda pinch: pinch.keep).fold.partition(".")[0],
            (),
            {},
            why,
            tuple(group),
        )
        for why, group in groups
        if group
    ]


def _widest(own: Sequence[Pinch], fold: str) -> float:
    return max(pinch.keep for pinch in own if pinch.fold == fold)


def _moved(join: Join, moves: Mapping[str, np.ndarray], landings: Mapping[str, np.ndarray]) -> Join:
    """A join between facets that went along with their folds."""
    still = np.zeros(2)
    own, host = moves.get(join.facet, still), moves.get(join.host, still)
    landing = landings.get(join.facet, still)
    if not (own.any() or host.any() or landing.any()):
        return join
    x, y = np.asarray(join.placement.shift) + host + join.placement.matrix @ (landing - own)
    return replace(join, placement=replace(join.placement, shift=(float(x), float(y))))


def _driven(drive: Drive, moves: Mapping[str, np.ndarray]) -> Drive:
    join = _moved(drive.join, moves, {})
    if join is drive.join or drive.kind != "turn":
        return replace(drive, join=join)
    x, y = np.asarray(drive.axis) + moves.get(join.facet, np.zeros(2))
    return replace(drive, join=join, axis=(float(x), float(y)))


class _Allowance:
    """What each sheet needs.

    Attributes
    ----------
    landings : how far feet land farther out, in the coordinates of their own sheets, mm.
    """

    def __init__(self, spread: Spread, motion: Motion) -> None:
        self.spread, linkage = spread, spread.linkage
        self.angles, self.where = Angles(linkage, motion), planes(linkage, motion)
        closed = glued(spread.sheets, spread.joins, linkage, {})
        inward = {name: layer.offset for name, layer in closed.items() if layer.why == "closed"}
        nests = nested(spread.sheets, self.where, inward)
        layers = glued(spread.sheets, spread.joins, linkage, nests)
        self.layers = lying(spread.sheets, layers, self.where)
        self.landings: dict[str, np.ndarray] = {}
        self.owner = {f"{s.piece}.{f.name}": s for s in spread.sheets for f in s.facets}
        self.feet = {join.facet for join in spread.joins if self._stands_beside(join, nests)}
        self.slits: dict[int, list[tuple[int, ShiftedLine]]] = {}
        if any(facet.polygon.interiors for s in spread.sheets[1:] for facet in s.facets):
            poses = BuildPoses(spread.sheets, spread.joins, linkage, motion)
            for holed, through, line in slit_lines(spread.sheets, poses):
                self.slits.setdefault(holed, []).append((through, line))

    def _stands_beside(self, join: Join, nests: Mapping[str, RaisedFacet]) -> bool:
        """Whether a join is a foot, on something else, of a wall that goes into something."""
        sheet = self.owner[join.facet]
        if join.facet in self.layers or sheet is self.owner[join.host]:
            return False
        name = join.facet.partition(".")[2]
        sides = [(c.left, c.right) for c in sheet.crossings if name in (c.left, c.right)]
        return any(f"{sheet.piece}.{side}" in nests for pair in sides for side in pair)

    def forget(self, sheet: Sheet) -> None:
        """Let the feet of a sheet that stays as designed land where they did."""
        for facet in sheet.facets:
            self.landings.pop(f"{sheet.piece}.{facet.name}", None)

    def _own(self, number: int) -> list[RaisedFacet]:
        sheet = self.spread.sheets[number]
        names = [f"{sheet.piece}.{facet.name}" for facet in sheet.facets]
        return [self.layers[name] for name in names if name in self.layers]

    def lines(self, number: int) -> tuple[list[ShiftedLine], Why, str]:
        """The folds and edges of a sheet that move, what for, and the other piece."""
        sheet, joins = self.spread.sheets[number], self.spread.joins
        own = self._own(number)
        layered: list[ShiftedLine] = []
        if own:
            folds = strongest(list(fold_lines(sheet, self.layers, self.angles)))
            layered += [line for line in folds if not self._lands(sheet, line)]
            layered += seam_lines(sheet, joins, self.layers, self.angles)
        inner = {layer.other for layer in own if layer.why == "inside"}
        if inner:
            layered += under_lines(sheet, inner, self.where, self.owner)
        layered = strongest(layered)
        loops = list(loop_lines(sheet, joins, self.spread.linkage.drives))
        slits = [line for _, line in self.slits.get(number, ())]
        why: Why = "loop"
        other = sheet.piece
        if layered:
            first = min(own, key=lambda layer: _ORDER.index(layer.why))
            why, other = first.why, first.other
        elif slits:
            why, other = "slit", self.spread.sheets[self.slits[number][0][0]].piece
        return strongest([*layered, *loops, *slits]), why, other

    def _lands(self, sheet: Sheet, line: ShiftedLine) -> bool:
        """Whether a foot lands elsewhere instead of growing."""
        name = f"{sheet.piece}.{line.facet}"
        if name in self.feet:
            step = self.landings.get(name, np.zeros(2))
            self.landings[name] = step + line.by * np.asarray(line.out)
        return name in self.feet
