"""Sheets of paper: outlines, folds, facets and the joins that glue them together."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon

from .errors import Mistake

if TYPE_CHECKING:
    from .art import Art
    from .site import CreaseSite

Vector = tuple[float, float]

# How a kind of paper looks beyond its colour.
Finish = Literal["smooth", "watercolour", "kraft", "mulberry", "metallic"]

_SORTS: Mapping[Finish, str] = {
    "smooth": "",
    "watercolour": "rough watercolour paper",
    "kraft": "kraft paper",
    "mulberry": "mulberry paper",
    "metallic": "metallic card",
}

# Finishes of papers that come in their colours: nobody prints kraft or gold on white. Common
# practice, no source.
_COLOURED: tuple[Finish, ...] = ("kraft", "metallic")

# Ends of folds are drawn onto the outline by formula; anything nearer than this is meant to touch.
SNAP_MM = 1e-6
# Facets whose outline is not known are joined on the finest of these grids that leaves one part;
# folds that nearly meet a corner part them by rounding on any one of them. Our choice.
_GRIDS_MM = (0.0, 1e-6, 1e-5, 1e-4, 1e-3)
# Corners nearer than this are one: rounding of a metre of coordinates. Our choice.
_ONE_POINT_MM = 1e-9


# White paper, as pictures show it. Our choice.
WHITE = "#fbf8f1"


@dataclass(frozen=True)
class Paper:
    """A kind of paper.

    Parameters
    ----------
    grammage : g/m².
    caliper : thickness of one sheet, mm.
    front, back : sRGB colours of the printed and the other side, ``#rrggbb``.
    clear : a transparent film.
    finish : how it looks beyond its colour.
    core : sRGB colour inside, where that is not the mean of both sides; empty if it is.
    """

    name: str
    grammage: float
    caliper: float
    front: str
    back: str
    clear: bool = False
    finish: Finish = "smooth"
    core: str = ""

    @property
    def sort(self) -> str:
        """What to ask for in a shop, in words; empty for ordinary smooth paper and card."""
        return "clear film" if self.clear else _SORTS[self.finish]

    @property
    def has_own_colour(self) -> bool:
        """Whether it is bought in its colours; all else is bought white and printed in them."""
        return self.clear or self.finish in _COLOURED


@dataclass(frozen=True)
class Glow:
    """Light that comes out of both sides of paper with a lamp in or behind it.

    Parameters
    ----------
    strength : how bright white paper gets by it: 1 as bright as the paper beside it in the light of
        a lamp in the evening.
    colour : of the lamp, sRGB, ``#rrggbb``.
    """

    strength: float
    colour: str


@dataclass(frozen=True)
class Placement:
    """A rigid move in the plane: turn over if `flipped`, turn by `angle`, then shift.

    Maps a point p of one sheet to ``R(angle) @ F @ p + shift`` on another, where F mirrors x when
    the sheet lies with its printed face down. In space this is a proper rotation (about y by half a
    turn, then about z by `angle`), so paper is never mirrored.

    Parameters
    ----------
    angle : radians, counter-clockwise.
    shift : mm.
    """

    angle: float = 0.0
    shift: Vector = (0.0, 0.0)
    flipped: bool = False

    @property
    def matrix(self) -> np.ndarray:
        """The linear part, shape (2, 2)."""
        c, s = np.cos(self.angle), np.sin(self.angle)
        turn = np.array([[c, -s], [s, c]])
        return turn @ np.diag([-1.0, 1.0]) if self.flipped else turn

    @property
    def up(self) -> int:
        """+1 if the printed face looks along +z of the other sheet, -1 if it looks away."""
        return -1 if self.flipped else 1

    def apply(self, points: np.ndarray | Sequence[Vector]) -> np.ndarray:
        """Move points, shape (n, 2) or (2,), mm."""
        return np.asarray(points, float) @ self.matrix.T + np.asarray(self.shift, float)

    def polygon(self, shape: Polygon) -> Polygon:
        """Move a polygon, mm."""
        return shapely.transform(shape, self.apply)

    def after(self, first: Placement) -> Placement:
        """The placement that does `first` and then this one."""
        angle = self.angle + (-first.angle if self.flipped else first.angle)
        shift = self.apply(np.asarray(first.shift))
        return Placement(angle, (float(shift[0]), float(shift[1])), self.flipped != first.flipped)

    def inverse(self) -> Placement:
        """The placement that undoes this one."""
        matrix = self.matrix.T
        shift = -matrix @ np.asarray(self.shift)
        angle = self.angle if self.flipped else -self.angle
        return Placement(angle, (float(shift[0]), float(shift[1])), self.flipped)


@dataclass(frozen=True)
class Fold:
    """A fold drawn on a sheet, from `start` to `end` (mm, sheet coordinates).

    Parameters
    ----------
    sign : +1 mountain, -1 valley, as seen from the printed face.
    rest : angle to which the paper springs when it is free, radians, unsigned (0 flat, pi shut).
    stiffness : torque per radian and mm of fold, relative to an ordinary fold.
    """

    name: str
    start: Vector
    end: Vector
    sign: Literal[1, -1]
    rest: float = np.pi / 2
    stiffness: float = 1.0

    @property
    def length(self) -> float:
        """Length in mm."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))


@dataclass(frozen=True)
class Facet:
    """One flat part of a sheet, bounded by its outline, its folds and its slits.

    Parameters
    ----------
    strip_of : name of the curled facet of which this is a strip, see :mod:`meshes.curl`.
    """

    name: str
    polygon: Polygon
    strip_of: str = ""


@dataclass(frozen=True)
class Curl:
    """Paper of a facet that is rolled over something round and springs back in part.

    Parameters
    ----------
    facet : name of the facet.
    start, end : of the line from which on it is rolled, mm, sheet coordinates; the rolled paper
        lies left of it, seen from the printed face.
    over : diameter of what it is rolled over, mm.
    kept : share of the curvature that stays once the paper has sprung back.
    towards : +1 to the printed face, -1 away from it.
    number : which entry of the piece's list it comes from, counted from 1; facets of one entry
        curl alike.
    """

    facet: str
    start: Vector
    end: Vector
    over: float
    kept: float
    towards: Literal[1, -1]
    number: int

    @property
    def frame(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """A point of the line, its direction and the direction into the rolled paper, (2,) each."""
        start, end = np.asarray(self.start, float), np.asarray(self.end, float)
        along = (end - start) / np.linalg.norm(end - start)
        return start, along, np.array([-along[1], along[0]])

    def radius(self, caliper: float) -> float:
        """Radius of the paper's middle surface once it has sprung back, mm.

        Round the rod the middle surface has the radius (over + caliper) / 2. A share s of that
        curvature stays, and curvature is one over radius (derived here).
        """
        return (self.over + caliper) / 2 / self.kept


@dataclass(frozen=True)
class Crossing:
    """The facets on both sides of a fold: left and right of it, seen from the printed face."""

    fold: Fold
    left: str
    right: str


@dataclass(frozen=True)
class Sheet:
    """One flat piece of paper; the printed face looks along +z of its own frame.

    Build it with :func:`cut`. Names of facets and folds are unique within a piece, and
    ``piece.name`` is unique within a spread.

    Parameters
    ----------
    front, back : sRGB colours of the printed and the other side, ``#rrggbb``.
    art : images and lettering on both sides, undermost first.
    uncut : the outline that the folds cut into facets, mm; None if only the facets are known.
    curls : which facets are rolled; none twice.
    glow : of its paper, if a lamp shines through it.
    """

    name: str
    piece: str
    paper: Paper
    front: str
    back: str
    facets: tuple[Facet, ...]
    crossings: tuple[Crossing, ...] = ()
    art: tuple[Art, ...] = ()
    uncut: Polygon | None = None
    curls: tuple[Curl, ...] = ()
    glow: Glow | None = None

    @property
    def outline(self) -> Polygon:
        """The whole sheet, unfolded, mm.

        Raises
        ------
        ValueError
            If only the facets are known and they do not hang together.
        """
        if self.uncut is not None:
            return self.uncut
        polygons = [facet.polygon for facet in self.facets]
        area = sum(polygon.area for polygon in polygons)
        for grid in _GRIDS_MM:
            joined = shapely.union_all(polygons, grid_size=grid)
            if isinstance(joined, Polygon) and abs(joined.area - area) < 10 * grid * joined.length:
                return shapely.orient_polygons(joined)
        raise ValueError(f"the facets of sheet {self.name} do not hang together")

    def facet(self, name: str) -> Facet:
        """The facet of that name; KeyError if there is none."""
        for facet in self.facets:
            if facet.name == name:
                return facet
        raise KeyError(name)


@dataclass(frozen=True)
class Join:
    """Glue: `facet` lies flat on `host` where `placement` puts it.

    Two neighbours on one sheet joined in the place they have there (the identity) need no glue:
    it says that the fold between them stays flat, because what holds them lets it do nothing else.

    Parameters
    ----------
    facet, host : ids ``piece.facet``.
    placement : from the coordinates of the facet's sheet to those of the host's sheet.
    side : +1 on the host's printed face, -1 on its back.
    lift : how much farther than glue it is held off the host, as by what moves under it, mm. It
        only keeps layers apart where they are drawn.
    """

    facet: str
    host: str
    placement: Placement
    side: Literal[1, -1] = 1
    lift: float = 0.0


@dataclass(frozen=True)
class Obstacle:
    """Where free paper may not go: some of `piece` stays on one side of facets of `host`.

    Parameters
    ----------
    piece, host : names of pieces, the same one for the layers of a flower.
    side : +1 the printed side of the host's facets, -1 their back.
    facets : ids ``piece.facet`` of the paper that must keep clear.
    planes : ids of the facets to keep clear of.
    """

    piece: str
    host: str
    side: Literal[1, -1]
    facets: tuple[str, ...]
    planes: tuple[str, ...]


@dataclass(frozen=True)
class Drive:
    """A part that a hand moves while the spread is open.

    Parameters
    ----------
    name : of the piece.
    kind : ``turn`` about a point, ``slide`` along a line, or ``flyleaf``, a page that is turned.
    join : where the part lies on its host before it is moved; it is laid there, not glued.
    axis : the point (mm) or the direction (unit vector), in the coordinates of the moving sheet.
    reach : how far it is moved at 1, radians or mm.
    rest : where it is while nobody moves it, 0 to 1; a flyleaf lies on the left page at 0 and on
        the right one at 1.
    after : name of the flyleaf that lies left of a flyleaf, empty for the left page.
    """

    name: str
    kind: Literal["turn", "slide", "flyleaf"]
    join: Join
    axis: Vector
    reach: float
    rest: float = 0.0
    after: str = ""


@dataclass(frozen=True)
class Built:
    """What a piece generator returns.

    Parameters
    ----------
    warnings : what can be built but will not work as wished, for example a flower that jams; the
        reader fills in file and piece.
    drives : parts of it that a hand moves.
    creases : further sites that it offers, which are no folds of its sheets.
    """

    sheets: tuple[Sheet, ...]
    joins: tuple[Join, ...]
    obstacles: tuple[Obstacle, ...] = field(default=())
    warnings: tuple[Mistake, ...] = field(default=())
    drives: tuple[Drive, ...] = field(default=())
    creases: tuple[CreaseSite, ...] = field(default=())


def sound(outline: Polygon | MultiPolygon) -> Polygon:
    """The outline without gaps that only rounding has left, mm.

    Panels put together along a fold may part there by a hair, or hang by one corner; a knife would
    follow the hair. Outlines without such a gap come back as they are.

    Raises
    ------
    ValueError
        If it falls apart by more than rounding.
    """
    for grid in _GRIDS_MM[1:]:
        closed = shapely.union_all([outline], grid_size=grid)
        if not isinstance(closed, Polygon):
            continue
        if isinstance(outline, Polygon) and closed.length > outline.length - 1e-3:
            return _without_hair(outline)
        back = shapely.transform(closed, _corners_of(outline, grid))
        return _without_hair(shapely.orient_polygons(back))
    raise ValueError("it falls apart")


def _without_hair(outline: Polygon) -> Polygon:
    """The outline without slits that no grid closes, as their edges do not share any corner.

    Corners that coincide but for rounding are one: an edge between them has no direction.
    """
    outline = shapely.remove_repeated_points(outline, _ONE_POINT_MM)
    if _is_convex(outline):
        return outline
    reach = _GRIDS_MM[-2]
    wide = outline.buffer(reach, join_style="mitre", mitre_limit=100)
    closed = wide.buffer(-reach, join_style="mitre", mitre_limit=100)
    if not isinstance(closed, Polygon) or closed.length > outline.length - 1e-3:
        return outline
    back = shapely.transform(closed, _corners_of(outline, reach))
    return shapely.orient_polygons(shapely.remove_repeated_points(back, SNAP_MM))


def _is_convex(outline: Polygon) -> bool:
    """Whether it turns one way all round, so that no edge comes near another."""
    if shapely.get_num_interior_rings(outline):
        return False
    ways = np.diff(shapely.get_coordinates(outline), axis=0)
    after = np.roll(ways, -1, axis=0)
    turns = ways[:, 0] * after[:, 1] - ways[:, 1] * after[:, 0]
    return bool((turns > 0).all() or (turns < 0).all())


def _corners_of(outline: Polygon | MultiPolygon, grid: float) -> Callable[[np.ndarray], np.ndarray]:
    """Undo the rounding of a grid: back to the corners of an outline."""
    corners = shapely.get_coordinates(outline)
    tree = shapely.STRtree(shapely.points(corners))

    def back(points: np.ndarray) -> np.ndarray:
        nearest = corners[tree.nearest(shapely.points(points))]
        gaps = np.linalg.norm(nearest - points, axis=1)
        return np.where((gaps < 3 * grid)[:, None], nearest, points)

    return back


def cut(
    outline: Polygon, folds: Sequence[Fold], labels: Mapping[str, Vector]
) -> tuple[tuple[Facet, ...], tuple[Crossing, ...]]:
    """Cut an outline along its folds into facets.

    Parameters
    ----------
    outline : the sheet, with its slits as holes, mm.
    folds : each must run from edge to edge, or end on another fold or slit.
    labels : facet name to a point inside that facet, mm.

    Returns
    -------
    The facets, named, in the order of `labels`, and for each fold what lies left and right of it.

    Raises
    ------
    ValueError
        With a one-line reason, if the outline crosses itself, a fold leaves the sheet or does not
        part it, or a label does not name exactly one facet.
    """
    if not outline.is_valid:
        raise ValueError(f"outline is not simple: {shapely.is_valid_reason(outline)}")
    if not folds and len(labels) == 1:
        return tuple(_name_facets([_without_repeats(outline)], labels)), ()
    shapely.prepare(outline)
    grown = outline.buffer(10 * SNAP_MM)
    for fold in folds:
        line = LineString([fold.start, fold.end])
        if fold.length < 1e-3:
            raise ValueError(f"fold {fold.name} has no length")
        if not grown.covers(line):
            raise ValueError(f"fold {fold.name} leaves its sheet")
    polygons = _pieces_between(outline, folds)
    named = _name_facets(polygons, labels)
    crossings = []
    shapes = np.array([facet.polygon for facet in named])
    for fold in folds:
        left, right = _sides(fold, named, shapes)
        crossings.append(Crossing(fold, left, right))
    return tuple(named), tuple(crossings)


def _pieces_between(outline: Polygon, folds: Sequence[Fold]) -> list[Polygon]:
    boundary = outline.boundary
    lines = [_reach_outline(fold, boundary) for fold in folds]
    # On a grid finer than what is meant to touch: a fold that runs into an edge on the same line
    # meets it only by rounding, and without the grid one in five such crossings is missed.
    network = shapely.unary_union([boundary, *lines], grid_size=SNAP_MM / 10)
    # Snap back the crossings that the tiny extensions have moved, so that both sides of a fold
    # share its very ends.
    ends = [Point(p) for fold in folds for p in (fold.start, fold.end)]
    found = shapely.get_parts(shapely.polygonize(shapely.get_parts(network).tolist()))
    corners = shapely.MultiPoint(ends) if ends else None
    polygons = []
    for polygon in found:
        # Rounding leaves slivers of next to no area where several folds end on one corner.
        if polygon.area < SNAP_MM or not outline.contains(polygon.representative_point()):
            continue
        snapped = shapely.snap(polygon, corners, 5 * SNAP_MM) if corners is not None else polygon
        polygons.append(_without_repeats(snapped))
    return polygons


def _without_repeats(polygon: Polygon) -> Polygon:
    return shapely.remove_repeated_points(polygon, 5 * SNAP_MM)


def _reach_outline(fold: Fold, boundary: shapely.Geometry) -> LineString:
    """The fold, made a hair longer at each end that is meant to touch the outline."""
    ends = np.array([fold.start, fold.end])
    step = (ends[1] - ends[0]) / fold.length * 2 * SNAP_MM
    touches = shapely.distance(boundary, shapely.points(ends)) < SNAP_MM
    return LineString(ends + np.where(touches[:, None], [-step, step], 0.0))


def _name_facets(polygons: list[Polygon], labels: Mapping[str, Vector]) -> list[Facet]:
    left = list(polygons)
    named = []
    for name, point in labels.items():
        hits = [polygon for polygon in left if polygon.covers(Point(point))]
        if len(hits) != 1:
            raise ValueError(f"facet {name} is not parted from its neighbours by folds")
        left.remove(hits[0])
        named.append(Facet(name, shapely.orient_polygons(hits[0])))
    named += [
        Facet(f"facet-{k + 1}", shapely.orient_polygons(polygon)) for k, polygon in enumerate(left)
    ]
    return named


def _sides(fold: Fold, facets: Sequence[Facet], shapes: np.ndarray) -> tuple[str, str]:
    start, end = np.array(fold.start), np.array(fold.end)
    middle, along = (start + end) / 2, (end - start) / fold.length
    across = np.array([-along[1], along[0]])
    reach = min(0.01, fold.length / 10)
    names = []
    for side in (reach, -reach):
        point = Point(middle + side * across)
        hits = [facets[int(k)].name for k in np.flatnonzero(shapely.covers(shapes, point))]
        if len(hits) != 1:
            raise ValueError(f"fold {fold.name} has no paper on one of its sides")
        names.append(hits[0])
    if names[0] == names[1]:
        raise ValueError(f"fold {fold.name} does not run from edge to edge, so it can't be folded")
    return names[0], names[1]
