"""Loops that arch over what slides under them, and slits for what passes them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from meshes.building.poses import BuildPoses
from meshes.building.slits import Slits
from meshes.sheet import Drive, Join, Sheet

from .nests import PLAY_MM
from .shifts import ShiftedLine, edges

# Glue keeps that far from what moves beside it: our choice, as on the printed sheets.
ROOM_MM = 0.4
# A sheet may pass a slit as askew as this. Common practice, no source.
_ASKEW = np.radians(45.0)


def loop_lines(
    sheet: Sheet, joins: Sequence[Join], drives: Sequence[Drive]
) -> Iterator[ShiftedLine]:
    """Ends of a loop that move out, since it climbs over a strip and down again.

    On each side it climbs by its lift within the room beside the strip: the hypotenuse of both is
    longer than the room (Pythagoras).
    """
    own = {f"{sheet.piece}.{facet.name}" for facet in sheet.facets}
    for join in [j for j in joins if j.facet in own and j.lift > 0]:
        for drive in [d for d in drives if d.join.host == join.host and d.kind == "slide"]:
            way = drive.join.placement.matrix @ np.asarray(drive.axis)
            across = join.placement.matrix.T @ np.array([-way[1], way[0]])
            by = float(np.hypot(ROOM_MM, join.lift) - ROOM_MM)
            name = join.facet.partition(".")[2]
            for start, end, out in edges(sheet, name):
                if abs(np.dot(out, across)) > 1 - 1e-9:
                    yield ShiftedLine(name, start, end, out, by)


def slit_lines(
    sheets: Sequence[Sheet], poses: BuildPoses
) -> Iterator[tuple[int, int, ShiftedLine]]:
    """Sides of slits that are too narrow for what passes them: sheet, what passes, and line.

    A sheet of thickness t passes another of thickness s askew by an angle a from it through a slit
    t / sin a + s / tan a wide.
    """
    for passage in Slits(poses).passages():
        own, through = sheets[passage.holed], sheets[passage.through].paper.caliper
        need = through / np.sin(_ASKEW) + own.paper.caliper / np.tan(_ASKEW) + PLAY_MM
        _, part = poses.parts[passage.facet]
        hole = part.placement.inverse().polygon(passage.hole)
        corners = np.asarray(shapely.oriented_envelope(hole).exterior.coords)
        sides = np.linalg.norm(np.diff(corners[:3], axis=0), axis=1)
        narrow = float(sides.min())
        if narrow >= need:
            continue
        for line in _long_sides(hole, passage.facet.partition(".")[2], (need - narrow) / 2):
            yield passage.holed, passage.through, line


def _long_sides(hole: Polygon, facet: str, by: float) -> Iterator[ShiftedLine]:
    """The two sides of a slit, which move apart."""
    ring = np.asarray(shapely.orient_polygons(hole).exterior.coords)
    sides = sorted(pairwise(ring), key=lambda s: -LineString(s).length)
    for start, end in sides[:2]:
        a = (end - start) / np.linalg.norm(end - start)
        ends = [(float(p[0]), float(p[1])) for p in (start, end)]
        # The hole lies left of its ring; for the facet round it that is out.
        yield ShiftedLine(facet, ends[0], ends[1], (float(-a[1]), float(a[0])), -by)
