"""Curled paper that can't be, since a hand moves it or other paper where it curls."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np
import shapely
from shapely import affinity

from meshes.drive import in_space, moves
from meshes.errors import Mistake
from meshes.linkage import Linkage, Part
from meshes.sheet import Curl, Drive

from .stances import Sides
from .strips import free_parts

# Places on the way of a wheel or a slide at which it is looked what lies on what. Our choice: a
# fortieth of a turn takes the rim of a wheel of 30 mm by 5 mm.
_PLACES = 41
# Overlaps smaller than this are rounding, mm².
_TOUCH_MM2 = 1e-3
# Wheels and slides that may change how curled paper stands to other paper: all their places
# together can be looked at only for so many.
MOST_HANDS = 2


def by_hand(linkage: Linkage) -> Iterator[Mistake]:
    """What a hand moves so that paper can't be curled there: a line for each curl."""
    sides = Sides(linkage)
    curled = list(_curled(linkage))
    told: set[tuple[str, int]] = set()
    for problem, part, curl in (
        *_pages(linkage, sides, curled),
        *_passing(linkage, curled),
        *_nested(linkage, sides, curled),
    ):
        if (part.sheet.piece, curl.number) not in told:
            told.add((part.sheet.piece, curl.number))
            yield Mistake(
                "",
                problem,
                part.sheet.piece,
                f"curl.{curl.number}",
                advice="move the line, or curl other paper",
            )


_Found = tuple[str, Part, Curl]


def _curled(linkage: Linkage) -> Iterator[tuple[int, Part, Curl]]:
    for k, body in enumerate(linkage.bodies):
        for part in body.parts:
            for curl in part.sheet.curls:
                if curl.facet == part.facet.name:
                    yield k, part, curl


def _pages(
    linkage: Linkage, sides: Sides, curled: list[tuple[int, Part, Curl]]
) -> Iterator[_Found]:
    """Pages that turn, and entries with paper on both sides of one."""
    pages = {drive.join.facet for drive in linkage.drives if drive.kind == "flyleaf"}
    wedges: dict[tuple[str, int], int] = {}
    for body, part, curl in curled:
        if part.id in pages:
            yield f"{part.id} is a page that lies on others, so it stays flat", part, curl
            continue
        here = sides.wedge(body, curl.towards * part.placement.up)
        if wedges.setdefault((part.sheet.piece, curl.number), here) != here:
            yield (
                "has paper on both sides of a page that turns; give each its own entry",
                part,
                curl,
            )


def _nested(
    linkage: Linkage, sides: Sides, curled: list[tuple[int, Part, Curl]]
) -> Iterator[_Found]:
    for body, part, curl in curled:
        own, here = sides.hands(body), sides.wedge(body, curl.towards * part.placement.up)
        for other, its in enumerate(linkage.bodies):
            both = own ^ sides.hands(other)
            if len(both) > MOST_HANDS and sides.wedge(other, 1.0) == here:
                problem = (
                    f"{part.id} and {its.parts[0].id} have more places than can be looked at, "
                    f"since {', '.join(sorted(both))} move them"
                )
                yield problem, part, curl


def _passing(linkage: Linkage, curled: list[tuple[int, Part, Curl]]) -> Iterator[_Found]:
    """Flat layers that slide or turn on each other, one of which would curl into the other."""
    rolled = {part.id: (part, curl) for _, part, curl in curled}
    for drive in linkage.drives:
        if drive.kind == "flyleaf":
            continue
        ground = linkage.bodies[linkage.place(drive.join.host)[0]]
        moving = linkage.bodies[linkage.place(drive.join.facet)[0]]
        pairs = [
            (one, two)
            for one, two in product(moving.parts, ground.parts)
            if one.id in rolled or two.id in rolled
        ]
        for carried in _carried(linkage, drive) if pairs else ():
            for one, two in pairs:
                for mine, under in ((one, two), (two, one)):
                    if mine.id in rolled:
                        own = rolled[mine.id][1]
                        if _into(mine, own, under, carried if mine is one else _back(carried)):
                            what = f"{under.id} is in the way of {mine.id} as {drive.name} is moved"
                            yield what, mine, own


def _carried(linkage: Linkage, drive: Drive) -> Iterator[np.ndarray]:
    """From the moving body to that of its host at places on its way, shape (4, 4) each."""
    _, host = linkage.place(drive.join.host)
    _, own = linkage.place(drive.join.facet)
    laid = in_space(host.placement) @ in_space(drive.join.placement)
    freed = np.linalg.inv(in_space(own.placement))
    for move in moves(drive, np.linspace(0.0, 1.0, _PLACES)):
        yield laid @ move @ freed


def _back(pose: np.ndarray) -> np.ndarray:
    return np.asarray(np.linalg.inv(pose))


def _into(mine: Part, curl: Curl, other: Part, pose: np.ndarray) -> bool:
    """Whether paper beyond the line lies flat on other paper on the side to which it curls.

    Parameters
    ----------
    pose : from the body of `mine` to that of the other, in one plane.
    """
    up = pose[2, 2]
    way = curl.towards * mine.placement.up * up
    if way * (other.height - up * mine.height) <= 0:
        return False
    free = mine.placement.polygon(shapely.union_all(free_parts(mine.sheet, curl)))
    flat = affinity.affine_transform(free, [*pose[0, :2], *pose[1, :2], pose[0, 3], pose[1, 3]])
    return bool(flat.intersection(other.polygon).area > _TOUCH_MM2)
