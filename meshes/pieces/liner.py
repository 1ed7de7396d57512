"""Liners: sheets glued on both sides of a crease and cut so that parts rise from them."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon, box

from meshes.sheet import Built, Fold, Placement, Vector
from meshes.site import CreaseSite

from .piece import Context, refuse

# A cut is drawn as a slot so narrow that it doesn't show. Our choice.
CUT_MM = 0.1
Interval = tuple[float, float]


def slit(start: Vector, end: Vector) -> Polygon:
    """A cut along a line parallel to an axis, as a slot."""
    half = CUT_MM / 2
    low_x, high_x = sorted((start[0], end[0]))
    low_y, high_y = sorted((start[1], end[1]))
    if high_x - low_x > high_y - low_y:
        return box(low_x, low_y - half, high_x, low_y + half)
    return box(low_x - half, low_y, low_x + half, high_y)


def liner(
    context: Context,
    site: CreaseSite,
    outline: Polygon,
    cuts: Sequence[Polygon],
    folds: Sequence[Fold],
    labels: dict[str, Vector | Polygon],
    open_at: Sequence[Interval],
) -> Built:
    """The sheet and its joins.

    Parameters
    ----------
    outline : in site coordinates, both sides of the crease, mm.
    cuts : slots to be cut.
    folds, labels : of the parts that rise.
    open_at : intervals along the crease where the liner itself has no crease, mm.
    """
    sheet_outline = outline
    for cut in cuts:
        sheet_outline = context.cut_out("outline", sheet_outline, cut)
    creases = _creases(sheet_outline, open_at, site.sign)
    rising = shapely.unary_union([p for p in labels.values() if isinstance(p, Polygon)])
    sides: dict[str, Vector | Polygon] = {}
    for name, half in (("left", box(-1e4, -1e4, 0, 1e4)), ("right", box(0, -1e4, 1e4, 1e4))):
        side = sheet_outline.intersection(half).difference(rising.buffer(1e-6))
        if side.is_empty:
            raise refuse("outline", f"leaves nothing of the {name} side to glue")
        sides[name] = max(shapely.get_parts(side), key=lambda part: part.area)
    sheet = context.sheet("liner", sheet_outline, [*creases, *folds], {**sides, **labels})
    joins = (
        site.left.join(context.id("left"), Placement()),
        site.right.join(context.id("right"), Placement()),
    )
    return Built((sheet,), joins)


def _creases(outline: Polygon, open_at: Sequence[Interval], sign: int) -> list[Fold]:
    """The liner's own crease, wherever it is not open."""
    low, high = outline.bounds[1] - 1, outline.bounds[3] + 1
    line = shapely.LineString([(0, low), (0, high)]).intersection(outline)
    for start, end in open_at:
        line = line.difference(box(-1, start, 1, end))
    runs = [run for run in shapely.get_parts(line) if run.length > CUT_MM]
    runs.sort(key=lambda run: run.bounds[1])
    return [
        Fold(
            f"crease-{k + 1}",
            (0.0, float(run.bounds[1])),
            (0.0, float(run.bounds[3])),
            1 if sign == 1 else -1,
        )
        for k, run in enumerate(runs)
    ]
