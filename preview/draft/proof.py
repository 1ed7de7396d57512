"""What the sentences of a plan draw, held against the sheet before they are printed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from .linework import Linework
from .reading import DrawnPaper, read_plan

# A line drawn by the sentences lies this near to that of the sheet, and the other way about: our
# choice, what a sharp pencil and a ruler miss by.
WITHIN_MM = 0.3
_EVERY_MM = 0.25  # our choice: lines are compared at points so near to each other


def missed_by(sentences: Sequence[str], wanted: Linework) -> float:
    """How far what sentences draw is from what is wanted, both ways, mm.

    It is infinite if a kind of line, or a hole, is there on one side only.

    Parameters
    ----------
    wanted : in the frame of the base line.
    """
    paper = read_plan(sentences)
    worst = 0.0
    for kind, shape in wanted:
        worst = max(worst, _apart(drawn_lines(paper, kind), shape))
    told = np.array([paper.points[name] for name in paper.holes]).reshape(-1, 2)
    if len(told) != len(wanted.holes):
        return float("inf")
    for hole in wanted.holes:
        worst = max(worst, float(np.linalg.norm(told - hole, axis=1).min()))
    return worst


def drawn_lines(paper: DrawnPaper, kind: str) -> BaseGeometry:
    """The lines of one kind on a paper."""
    return shapely.MultiLineString([one.points for one in paper.lines if one.kind == kind])


def _apart(one: BaseGeometry, other: BaseGeometry) -> float:
    """The Hausdorff distance of two sets of lines, mm."""
    if one.is_empty or other.is_empty:
        return 0.0 if one.is_empty and other.is_empty else float("inf")
    worst = 0.0
    for shape, against in ((one, other), (other, one)):
        dense = shapely.segmentize(shape, _EVERY_MM)
        points = shapely.points(shapely.get_coordinates(dense))
        parts = shapely.get_parts(against)
        tree = shapely.STRtree(parts)
        _, far = tree.query_nearest(points, return_distance=True, all_matches=False)
        worst = max(worst, float(far.max()))
    return worst
