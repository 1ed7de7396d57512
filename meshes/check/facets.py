"""All facets of a spread as arrays: outlines in the plane of their body, padded to one length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from ..linkage import Linkage, flat_id
from ..rectangle import smallest_rectangle
from ..sheet import Join, Sheet
from .poses import Pose

PAGE = "page"


@dataclass(frozen=True)
class Anchors:
    """What holds a facet: its folds, and the areas where glue meets it (body coordinates, mm)."""

    folds: tuple[LineString, ...]
    glue: tuple[Polygon, ...]


@dataclass(frozen=True)
class Facets:
    """F facets, in the order of the bodies and their parts.

    Every facet lies in the plane z = 0 of its body: the motion knows no thickness.

    Parameters
    ----------
    ids, pieces : ``piece.facet`` and ``piece`` of each facet.
    body : shape (F,), index of the body.
    polygons : outlines in body coordinates, mm.
    tail, head : shape (F, E, 2), the directed edges of the outlines and their holes; rows are
        filled up with edges of no length at the first corner.
    edges : shape (F,), how many of those rows are edges.
    frame : shape (F, 4, 2), corners of the smallest rectangle round each facet, mm.
    simple : shape (F,), True for a convex facet without holes.
    caliper : shape (F,), mm.
    height : shape (F,), over the body's plane where glue stacks sheets, mm; it only tells which
        of them is seen.
    anchors : one for each facet.
    rolled : for each facet the id of the curled facet that it is a part of, else its own. Parts of
        one can't meet, since no roll goes all the way round.
    """

    ids: tuple[str, ...]
    pieces: tuple[str, ...]
    body: np.ndarray
    polygons: tuple[Polygon, ...]
    tail: np.ndarray
    head: np.ndarray
    edges: np.ndarray
    frame: np.ndarray
    simple: np.ndarray
    caliper: np.ndarray
    height: np.ndarray
    anchors: tuple[Anchors, ...]
    rolled: tuple[str, ...]

    def __len__(self) -> int:
        """Count of facets."""
        return len(self.ids)

    @cached_property
    def outlines(self) -> np.ndarray:
        """The polygons as an array, made ready to be asked what they contain, shape (F,)."""
        outlines = np.array(self.polygons, object)
        shapely.prepare(outlines)
        return outlines

    @cached_property
    def inner(self) -> np.ndarray:
        """A point inside each facet, shape (F, 2), mm."""
        points: np.ndarray = shapely.get_coordinates(shapely.point_on_surface(self.outlines))
        return points

    @cached_property
    def hulls(self) -> np.ndarray:
        """Corners of the convex hulls of the rectangles round the facets of each body, (B, H, 2).

        Shorter hulls end with their first corner again; mm.
        """
        own = [self.frame[self.body == k].reshape(-1, 2) for k in range(self.body.max() + 1)]
        hulls = [shapely.get_coordinates(shapely.MultiPoint(one).convex_hull) for one in own]
        most = max(len(hull) for hull in hulls)
        rows = [[*hull, *[hull[0]] * (most - len(hull))] if len(hull) else None for hull in hulls]
        return np.array([np.zeros((most, 2)) if row is None else row for row in rows])

    def index(self, facet_id: str) -> int:
        """Position of a facet; ValueError if there is none."""
        return self.ids.index(facet_id)

    def is_page(self, facet: int) -> bool:
        """Whether the facet is one of the two pages."""
        return self.pieces[facet] == PAGE

    def shared(self, first: int, second: int, pose: Pose) -> shapely.Geometry:
        """What two nearly parallel facets share, in the plane of the second one's body, mm.

        Parameters
        ----------
        pose : of the first one's body, seen from the second one's.
        """
        one = Pose(pose.rotation[None], pose.translation[None])
        area: shapely.Geometry = self.all_shared(np.array([first]), np.array([second]), one)[0]
        return area

    def all_shared(self, first: np.ndarray, second: np.ndarray, pose: Pose) -> np.ndarray:
        """The same for many pairs at once, shape (n,).

        Parameters
        ----------
        first, second : shape (n,), facet indices.
        pose : of the first one's body, seen from the second one's, n of them.
        """
        outlines = np.array(self.polygons, object)
        shadows = outlines[first]
        points, owner = shapely.get_coordinates(shadows, return_index=True)
        turned = np.einsum("njk,nk->nj", pose.rotation[owner, :2, :2], points)
        shapely.set_coordinates(shadows, turned + pose.translation[owner, :2])
        return np.asarray(shapely.intersection(shadows, outlines[second]))


def gather(linkage: Linkage, sheets: Sequence[Sheet], joins: Sequence[Join]) -> Facets:
    """The facets of a linkage with what holds them."""
    parts = [(k, part) for k, body in enumerate(linkage.bodies) for part in body.parts]
    polygons = tuple(part.outline for _, part in parts)
    tail, head, edges = padded_edges(polygons)
    shape_of = {part.id: polygon for (_, part), polygon in zip(parts, polygons, strict=True)}
    glued: dict[str, list[Join]] = {}
    for join in joins:
        for name in dict.fromkeys((join.facet, join.host)):
            glued.setdefault(name, []).append(join)
    anchors = []
    for _, part in parts:
        folds = [
            LineString(part.placement.apply([crossing.fold.start, crossing.fold.end]))
            for crossing in part.sheet.crossings
            if part.facet.name in (crossing.left, crossing.right)
        ]
        anchors.append(Anchors(tuple(folds), _glue_of(shape_of, glued.get(part.id, ()))))
    return Facets(
        tuple(part.id for _, part in parts),
        tuple(part.sheet.piece for _, part in parts),
        np.array([k for k, _ in parts]),
        polygons,
        tail,
        head,
        edges,
        np.array([_frame(polygon) for polygon in polygons]),
        np.array([_is_convex(polygon) for polygon in polygons]),
        np.array([part.sheet.paper.caliper for _, part in parts]),
        np.array([part.height for _, part in parts]),
        tuple(anchors),
        tuple(flat_id(part) for _, part in parts),
    )


def _glue_of(shape_of: dict[str, Polygon], joins: Sequence[Join]) -> tuple[Polygon, ...]:
    """Where glue meets a facet that has these joins; both facets of one lie in one plane."""
    areas: list[Polygon] = []
    for join in joins:
        areas += parts_shared(shape_of[join.facet], shape_of[join.host])
    return tuple(areas)


# The same facets come again while flyleaves are turned and slides pulled, and from try to try.
@lru_cache(maxsize=4096)
def parts_shared(one: Polygon, two: Polygon) -> tuple[Polygon, ...]:
    """The parts with an area, mm², of what two outlines in one plane share."""
    area = one.intersection(two)
    return tuple(part for part in shapely.get_parts(area) if part.area > 0)


@lru_cache(maxsize=4096)
def _frame(polygon: Polygon) -> np.ndarray:
    return smallest_rectangle(polygon)


def padded_edges(polygons: Sequence[Polygon]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Tails and heads of directed edges of polygons with holes, (F, E, 2), and their counts."""
    rows = [_edges(polygon) for polygon in polygons]
    most = max(len(row) for row in rows)
    both = np.stack(
        [
            np.concatenate([row, np.broadcast_to(row[0, :1], (most - len(row), 2, 2))])
            for row in rows
        ]
    )
    counts = np.array([len(row) for row in rows])
    return np.ascontiguousarray(both[:, :, 0]), np.ascontiguousarray(both[:, :, 1]), counts


@lru_cache(maxsize=4096)
def _edges(polygon: Polygon) -> np.ndarray:
    """Shape (E, 2, 2): tail and head of each edge."""
    rings = [np.asarray(ring.coords) for ring in (polygon.exterior, *polygon.interiors)]
    return np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])


@lru_cache(maxsize=4096)
def _is_convex(polygon: Polygon) -> bool:
    return not polygon.interiors and polygon.convex_hull.area - polygon.area < 1e-9 * polygon.area
