"""Sheets and joins become bodies (what never moves against each other) and hinges."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from shapely import affinity

from .sheet import Crossing, Drive, Facet, Join, Obstacle, Placement, Sheet

# Two ways round a glued ring must agree to this, or the joins contradict each other.
GLUE_MM = 1e-6


@dataclass(frozen=True)
class Part:
    """One facet in its body. All facets of a body are parallel: glue joins them face to face.

    Parameters
    ----------
    id : ``piece.facet``.
    placement : from the sheet's coordinates to the body's.
    height : of the facet's middle surface over the body's plane z = 0, mm. It only keeps glued
        layers apart where they are drawn; the motion treats all paper as having no thickness.
    """

    id: str
    sheet: Sheet
    facet: Facet
    placement: Placement
    height: float = 0.0

    @cached_property
    def polygon(self) -> shapely.Polygon:
        """The facet in body coordinates, mm."""
        return self.placement.polygon(self.facet.polygon)

    @cached_property
    def outline(self) -> shapely.Polygon:
        """The same, its edges counter-clockwise."""
        outline: shapely.Polygon = shapely.orient_polygons(self.polygon)
        return outline

    def __getstate__(self) -> dict[str, object]:
        """What was found of it is found again in another process.

        Copied in one go, since another thread may be finding something meanwhile.
        """
        own = vars(self).copy()
        for found in ("polygon", "outline"):
            own.pop(found, None)
        return own

    def at_height(self, height: float) -> Part:
        """The same facet at another height, mm; its outline need not be found again."""
        part = replace(self, height=height)
        vars(part)["polygon"] = self.polygon
        return part


def flat_id(part: Part) -> str:
    """The id of the facet that a part is a strip of, or else its own."""
    return f"{part.sheet.piece}.{part.facet.strip_of or part.facet.name}"


@dataclass(frozen=True)
class Body:
    """Facets that never move against each other; its frame is that of its first part's sheet."""

    name: str
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Hinge:
    """A fold between two bodies.

    A frame [a, b, n] has a along the fold, n the normal of the printed face and b = n × a. Facet 0
    lies left of a and facet 1 right of it, seen from the printed face. At fold angle phi
    ``R0 F0 Rx(phi) = R1 F1``: mountain positive, valley negative, 0 flat, ±pi folded onto itself.

    Parameters
    ----------
    name : ``piece.fold``.
    bodies : indices of the bodies of facet 0 and facet 1.
    frames : two arrays of shape (3, 3), columns a, b, n, in body coordinates.
    origins : two arrays of shape (3,), the start of the fold in body coordinates, mm.
    rest : signed rest angle, radians.
    """

    name: str
    piece: str
    facets: tuple[str, str]
    bodies: tuple[int, int]
    frames: tuple[np.ndarray, np.ndarray]
    origins: tuple[np.ndarray, np.ndarray]
    length: float
    sign: int
    rest: float
    stiffness: float


@dataclass(frozen=True)
class Linkage:
    """All bodies and hinges of a spread. Bodies 0 and 1 are the left and the right page.

    Parameters
    ----------
    hinges : all folds between two different bodies, except the gutter, whose angle is given.
    locked : names of folds whose two facets are glued to the same body, so they cannot move.
    drives : parts that a hand moves; see :mod:`meshes.drive`.
    """

    bodies: tuple[Body, ...]
    hinges: tuple[Hinge, ...]
    obstacles: tuple[Obstacle, ...] = ()
    locked: tuple[str, ...] = ()
    drives: tuple[Drive, ...] = ()

    def place(self, part_id: str) -> tuple[int, Part]:
        """The body index and the part of facet ``piece.facet``; KeyError if there is none."""
        for k, body in enumerate(self.bodies):
            for part in body.parts:
                if part.id == part_id:
                    return k, part
        raise KeyError(part_id)


class GlueError(ValueError):
    """Joins that contradict each other; the text says which facet and by how much."""


def link(
    sheets: Sequence[Sheet],
    joins: Sequence[Join],
    obstacles: Sequence[Obstacle] = (),
    drives: Sequence[Drive] = (),
    before: Linked | None = None,
) -> Linkage:
    """Build the linkage of a spread.

    Parameters
    ----------
    sheets : the first is the spread itself, with facets ``left`` and ``right`` and the fold
        ``gutter``; its piece is ``page``.
    before : another linkage and its joins; bodies of the same sheets, glued alike, are taken from
        it.

    Raises
    ------
    GlueError
        If two ways of gluing put one facet in two places.
    """
    owner = {f"{s.piece}.{f.name}": (s, f) for s in sheets for f in s.facets}
    # A flyleaf's body has the frame of the right page, whichever way its sheet is printed.
    starts = {d.join.facet: d.join.placement for d in drives if d.kind == "flyleaf"}
    groups = _glue(owner, joins, starts)
    known = _EarlierBodies(before) if before is not None and not drives else None
    bodies = []
    for members, own in zip(groups, _glue_in(groups, joins), strict=True):
        body = known.body(members, owner, own) if known is not None else None
        bodies.append(body or Body(members[0][0], _stack(members, owner, own)))
    bodies = _lift_driven(bodies, drives, sheets)
    where = {part.id: (k, part) for k, body in enumerate(bodies) for part in body.parts}
    hinges, locked = [], []
    for sheet in sheets:
        for crossing in sheet.crossings:
            name = f"{sheet.piece}.{crossing.fold.name}"
            if name == "page.gutter":
                continue
            hinge = _hinge(sheet, crossing, where)
            if hinge.bodies[0] == hinge.bodies[1]:
                locked.append(name)
            else:
                hinges.append(hinge)
    return Linkage(tuple(bodies), tuple(hinges), tuple(obstacles), tuple(locked), tuple(drives))


# A linkage and the joins that made it.
Linked = tuple[Linkage, Sequence[Join]]
_Member = tuple[str, Placement]


def _glue_in(groups: Sequence[Sequence[_Member]], joins: Sequence[Join]) -> list[list[Join]]:
    """The joins of each group, in order."""
    group_of = {name: k for k, members in enumerate(groups) for name, _ in members}
    found: list[list[Join]] = [[] for _ in groups]
    for join in joins:
        found[group_of[join.facet]].append(join)
    return found


class _EarlierBodies:
    """Bodies of an earlier linkage without drives."""

    def __init__(self, before: Linked) -> None:
        linkage, joins = before
        members = [[(part.id, part.placement) for part in body.parts] for body in linkage.bodies]
        glue = _glue_in(members, joins)
        rows = zip(linkage.bodies, members, glue, strict=True)
        self._bodies = {} if linkage.drives else {body.name: (body, m, g) for body, m, g in rows}

    def body(
        self,
        members: list[_Member],
        owner: Mapping[str, tuple[Sheet, Facet]],
        joins: list[Join],
    ) -> Body | None:
        """The body of the same sheets with the same glue, if there was one."""
        body, theirs, glue = self._bodies.get(members[0][0], (None, [], []))
        if body is None or theirs != members or glue != joins:
            return None
        same = all(part.sheet is owner[part.id][0] for part in body.parts)
        return body if same else None


def _glue(
    owner: dict[str, tuple[Sheet, Facet]], joins: Sequence[Join], starts: Mapping[str, Placement]
) -> list[list[_Member]]:
    """Groups of facets with their placements in the frame of the group's first facet.

    Parameters
    ----------
    starts : facet to where it lies in the frame of its body, if that is another one.
    """
    neighbours: dict[str, list[tuple[str, Placement]]] = {name: [] for name in owner}
    for join in joins:
        neighbours[join.host].append((join.facet, join.placement))
        neighbours[join.facet].append((join.host, join.placement.inverse()))
    placed: dict[str, Placement] = {}
    groups = []
    for root in owner:
        if root in placed:
            continue
        placed[root] = starts.get(root, Placement())
        group, queue = [(root, placed[root])], [root]
        while queue:
            host = queue.pop(0)
            for name, placement in neighbours[host]:
                here = placed[host].after(placement)
                if name not in placed:
                    placed[name] = here
                    group.append((name, here))
                    queue.append(name)
                else:
                    _check_agrees(name, owner[name][1], placed[name], here)
        groups.append(group)
    return groups


def _check_agrees(name: str, facet: Facet, first: Placement, second: Placement) -> None:
    corners = np.asarray(facet.polygon.exterior.coords)
    gap = float(np.abs(first.apply(corners) - second.apply(corners)).max())
    if gap > GLUE_MM or first.up != second.up:
        raise GlueError(f"{name} is glued in two places that are {gap:.3f} mm apart")


def _stack(
    members: list[_Member], owner: dict[str, tuple[Sheet, Facet]], joins: Sequence[Join]
) -> tuple[Part, ...]:
    """Give each glued facet the height of the calipers under it.

    Paper is laid in the order of the joins; what lies on a facet comes directly after it, before
    what is glued beside both: art on art is one, and a tab goes on top of it.
    """
    placements = dict(members)
    sides = {}
    for join in joins:
        if join.facet in placements and join.facet not in sides:
            sides[join.facet] = (join.host, join.side, join.lift)
    turn = {name: k for k, name in enumerate(sides)}

    def way_up(name: str) -> tuple[int, ...]:
        """The places in the order of all that a facet lies on, from the lowest."""
        found: list[int] = []
        while name in turn and name != members[0][0] and turn[name] not in found:
            found.insert(0, turn[name])
            name = sides[name][0]
        return tuple(found)

    laid = sorted(members[1:], key=lambda member: way_up(member[0]))
    order = (members[0], *laid)
    flat = [Part(name, *owner[name], placement) for name, placement in order]
    below = _overlaps([part.polygon for part in flat])
    # Bottom and top of what lies in the body so far.
    ends: list[tuple[float, float]] = []
    parts: dict[str, Part] = {}
    for k, part in enumerate(flat):
        half, height = part.sheet.paper.caliper / 2, 0.0
        if k:
            host, side, lift = sides.get(part.id, (members[0][0], 1, 0.0))
            direction = side * placements[host].up if host in placements else side
            tops = [ends[j][1] if direction > 0 else -ends[j][0] for j in below[k]]
            # Nothing under it: the neighbour on its own sheet, kept flat at the fold between them.
            height = direction * (max(tops, default=-half) + half + lift)
        ends.append((height - half, height + half))
        parts[part.id] = part.at_height(height)
    return tuple(parts[name] for name, _ in members)


def _overlaps(polygons: Sequence[shapely.Polygon]) -> list[list[int]]:
    """For each polygon the earlier ones that lie over it or under it."""
    shapes = np.array(polygons, object)
    boxes = shapely.bounds(shapes)
    low, high = boxes[:, :2], boxes[:, 2:]
    near = np.tril((low[:, None] < high).all(axis=2), -1)
    near &= (low < high[:, None]).all(axis=2)
    later, earlier = np.nonzero(near)
    shared = shapely.area(shapely.intersection(shapes[earlier], shapes[later])) > 1e-6
    found: list[list[int]] = [[] for _ in polygons]
    for one, other in zip(later[shared].tolist(), earlier[shared].tolist(), strict=True):
        found[one].append(other)
    return found


def _lift_driven(
    bodies: Sequence[Body], drives: Sequence[Drive], sheets: Sequence[Sheet]
) -> list[Body]:
    """Draw what a hand moves over what it passes, though no glue holds it there."""
    lifted = list(bodies)
    order = {sheet.piece: k for k, sheet in enumerate(sheets)}
    for drive in drives:
        if drive.kind == "flyleaf":
            continue
        part_of = {part.id: (k, part) for k, body in enumerate(lifted) for part in body.parts}
        ground, host = part_of[drive.join.host]
        number, moving = part_of[drive.join.facet]
        way = host.placement.after(drive.join.placement).polygon(swept(drive, moving.facet.polygon))
        direction = drive.join.side * host.placement.up
        # The host itself, and what was glued on it before.
        under = [
            direction * part.height + part.sheet.paper.caliper / 2
            for part in lifted[ground].parts
            if part is host
            or (
                order[part.sheet.piece] < order[drive.name]
                and part.polygon.intersection(way).area > 1e-6
            )
        ]
        over = direction * (max(under) + moving.sheet.paper.caliper / 2)
        shift = drive.join.placement.up * host.placement.up * over
        parts = tuple(replace(part, height=part.height + shift) for part in lifted[number].parts)
        lifted[number] = replace(lifted[number], parts=parts)
    return lifted


def swept(drive: Drive, outline: shapely.Polygon) -> shapely.Polygon:
    """What a convex outline covers on its way, in its coordinates; a wheel turns on one spot."""
    if drive.kind != "slide":
        return outline
    x, y = drive.reach * np.asarray(drive.axis)
    return outline.union(affinity.translate(outline, x, y)).convex_hull


def _hinge(sheet: Sheet, crossing: Crossing, where: dict[str, tuple[int, Part]]) -> Hinge:
    fold = crossing.fold
    facets = (f"{sheet.piece}.{crossing.left}", f"{sheet.piece}.{crossing.right}")
    bodies, frames, origins = [], [], []
    for name in facets:
        body, part = where[name]
        ends = part.placement.apply([fold.start, fold.end])
        (x, y), up = (ends[1] - ends[0]) / fold.length, float(part.placement.up)
        bodies.append(body)
        # Along the fold, to its left as seen from the printed face, and out of that face.
        frames.append(np.array([[x, 0.0 - up * y, 0.0], [y, up * x, 0.0], [0.0, 0.0, up]]))
        origins.append(np.append(ends[0], 0.0))
    return Hinge(
        f"{sheet.piece}.{fold.name}",
        sheet.piece,
        facets,
        (bodies[0], bodies[1]),
        (frames[0], frames[1]),
        (origins[0], origins[1]),
        fold.length,
        fold.sign,
        fold.sign * fold.rest,
        fold.stiffness,
    )
