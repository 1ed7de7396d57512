"""Sectors round a flower's middle: directions, what they need to fold flat, and the sheets.

All sheets of a flower share one frame: the middle is the origin, the crease it stands on runs along
y and the direction 0 (+x) is the middle of the right half. Sectors are counted counter-clockwise
from the crease in front. The right half ends and the left begins at the crease behind.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from shapely.geometry import Polygon

from meshes.pieces.piece import Context, inside, polar
from meshes.sheet import Fold, Join, Placement, Sheet, Vector

from .petals import PetalShape, sector_edge

Hang = Literal["sector", "fold", "beside"]
Sign = Literal[1, -1]

FULL = 2 * np.pi
# Angles are read in degrees, so a sum of them may miss a full turn by rounding. Our choice.
NEAR = 1e-9
# No sheet may reach round on itself; the cut needs a little room.
_CLEARANCE = np.radians(2.0)
_FLAP_MM = 8.0  # our choice


@dataclass(frozen=True)
class Fan:
    """The sectors of one layer.

    Parameters
    ----------
    angles : of the sectors, radians.
    petals : petals on each sector.
    hang : what carries the leg, or is glued: the sector in the middle of each half, the fold there,
        or the sector behind that fold.
    """

    angles: tuple[float, ...]
    petals: tuple[int, ...]
    hang: Hang = "sector"

    @property
    def count(self) -> int:
        """Number of sectors."""
        return len(self.angles)

    @property
    def total(self) -> float:
        """All sectors together, radians."""
        return float(sum(self.angles))

    @property
    def edges(self) -> np.ndarray:
        """Directions of the folds, shape (count + 1,), radians from -total/4."""
        return np.concatenate([[0.0], np.cumsum(self.angles)]) - self.total / 4

    @property
    def middles(self) -> tuple[float, float]:
        """Directions of the middles of the right and the left half, radians."""
        return 0.0, self.total / 2

    @property
    def half_count(self) -> int | None:
        """Sectors in the right half, or None if no fold lies behind, opposite the first one."""
        hits = np.flatnonzero(np.abs(self.edges - self.total / 4) < NEAR)
        return int(hits[0]) if len(hits) else None

    def laterals(self) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
        """The sectors that carry the flower on the right and on the left; None if there are none.

        One sector each, or the two beside a fold.
        """
        right, left = (self._lateral(middle, k) for k, middle in enumerate(self.middles))
        return (right, left) if right and left else None

    def _lateral(self, middle: float, left: int) -> tuple[int, ...]:
        edges = self.edges
        if self.hang == "sector":
            centres = (edges[:-1] + edges[1:]) / 2
            return tuple(int(k) for k in np.flatnonzero(np.abs(centres - middle) < NEAR))
        hits = np.flatnonzero(np.abs(edges - middle) < NEAR)
        if not len(hits):
            return ()
        before, after = int(hits[0]) - 1, int(hits[0])
        if self.hang == "fold":
            return before, after
        # Both lie behind the middle, towards the top of the page.
        return (before if left else after,)

    @property
    def reach(self) -> tuple[float, float]:
        """Directions of the carrying part's edges, from the middle of the right half, radians."""
        laterals = self.laterals()
        assert laterals is not None
        return float(self.edges[laterals[0][0]]), float(self.edges[laterals[0][-1] + 1])

    def room(self, out: float, aside: float = 0.0) -> float:
        """Half the width of a strip across the carrying part, `out` from the middle, mm.

        Parameters
        ----------
        aside : how far to the left of the middle of the half the strip is centred, mm.
        """
        low, high = self.reach
        return float(
            min(out * np.tan(min(high, 1.5)) - aside, aside - out * np.tan(max(low, -1.5)))
        )

    def sheets(self) -> list[range]:
        """Sectors of each sheet: as few sheets as do not overlap themselves when they lie flat."""
        if abs(self.total - FULL) < NEAR:
            return [range(self.count)]
        for number in range(1, self.count + 1):
            cuts = np.round(np.linspace(0, self.count, number + 1)).astype(int)
            spans = [range(int(a), int(b)) for a, b in pairwise(cuts)]
            widest = max(sum(self.angles[k] for k in span) for span in spans)
            if widest + min(np.radians(12), min(self.angles) / 2) + _CLEARANCE <= FULL:
                return spans
        raise ValueError("a sector is too wide")

    def fold_signs(self, sign: Sign, gutter: Sign) -> tuple[Sign, ...]:
        """Mountain or valley of each fold after its sector, the last one the fold in front.

        A cone bends one way all round. A disc or a ruffle can't: its folds alternate from the two
        that lie on the crease.

        Parameters
        ----------
        sign : -1 in a valley, +1 on a mountain.
        gutter : sign of the folds over the crease, for a cone the same as `sign`.
        """
        if self.total < FULL - NEAR:
            return (sign,) * self.count
        half = self.half_count
        assert half is not None
        away = [min(k % half, half - k % half) for k in range(half)]
        away += [min(k, self.count - half - k) for k in range(self.count - half)]
        signs: list[Sign] = [gutter if n % 2 == 0 else (1 if gutter == -1 else -1) for n in away]
        # Fold k follows sector k, so the fold in front is the last one.
        return (*signs[1:], signs[0])


@dataclass(frozen=True)
class Layout:
    """One layer cut from paper: its sheets and the glue that closes its cone."""

    sheets: tuple[Sheet, ...]
    joins: tuple[Join, ...]


def petal_name(prefix: str, k: int, fan: Fan) -> str:
    """Name of a sector's facet, counted from 1 at the crease in front."""
    return f"{prefix}petal-{k % fan.count + 1}"


def lay_out(
    fan: Fan,
    shape: PetalShape,
    context: Context,
    name: str,
    prefix: str,
    signs: tuple[Sign, ...],
    rest: float,
) -> Layout:
    """Draw a layer's sheets and join their flaps.

    Parameters
    ----------
    name : of the sheet; a second one gets a number.
    prefix : before the names of facets and folds.
    signs : of the folds, see :meth:`Fan.fold_signs`.
    rest : rest angle of the folds, radians.

    Raises
    ------
    DesignError
        If the petals make no sound sheet.
    """
    spans = fan.sheets()
    sheets, joins = [], []
    for number, span in enumerate(spans):
        flap = None
        if abs(fan.total - FULL) >= NEAR:
            flap = _flap(fan, shape, span)
            label = f"{prefix}flap" if len(spans) == 1 else f"{prefix}flap-{number + 1}"
            last = number == len(spans) - 1
            turn = Placement(-fan.total if last else 0.0)
            host = context.id(petal_name(prefix, span.stop, fan))
            joins.append(Join(context.id(label), host, turn, side=-1))
        outline = _outline(fan, shape, span, flap)
        edges = fan.edges
        folds = [
            Fold(
                f"{prefix}fold-{k + 1}",
                (0.0, 0.0),
                polar(shape.parting, float(edges[k + 1])),
                signs[k],
                rest,
            )
            for k in (span if flap is not None or len(span) == fan.count else span[:-1])
        ]
        labels: dict[str, Vector] = {
            petal_name(prefix, k, fan): polar(shape.parting / 2, float(edges[k] + edges[k + 1]) / 2)
            for k in span
        }
        if flap is not None:
            labels[label] = inside(flap)
        sheet = name if number == 0 else f"{name}-{number + 1}"
        sheets.append(context.sheet(sheet, outline, folds, labels, key="angle"))
    return Layout(tuple(sheets), tuple(joins))


def _flap(fan: Fan, shape: PetalShape, span: range) -> Polygon:
    """The glue flap beyond the last fold of a sheet, narrower than the petal that hides it."""
    end = float(fan.edges[span.stop])
    sector = fan.angles[span.stop % fan.count]
    free = FULL - _CLEARANCE - sum(fan.angles[k] for k in span)
    width = min(float(np.arctan(_FLAP_MM / shape.parting)), 0.45 * sector, free)
    far = 0.9 * shape.parting
    corners = [(0.0, 0.0), polar(shape.parting, end), polar(far, end + width)]
    return Polygon(corners)


def _outline(fan: Fan, shape: PetalShape, span: range, flap: Polygon | None) -> Polygon:
    edges = fan.edges
    points: list[np.ndarray] = []
    for k in span:
        edge = sector_edge(float(edges[k]), float(edges[k + 1]), fan.petals[k], shape)
        points.append(edge[1:] if points else edge)
    rim = np.concatenate(points)
    if flap is None:
        return Polygon(rim[:-1])
    return Polygon([(0.0, 0.0), *rim, flap.exterior.coords[2]])
