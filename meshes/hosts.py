"""The creases and facets that the pieces of a spread offer to each other while it is built."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from .design.mistakes import listed, nearest
from .pieces.piece import inside, refuse
from .sheet import Built, Crossing, Facet, Join, Paper, Placement, Sheet, Vector, cut
from .sheet import Fold as SheetFold
from .site import CreaseSite, Ground, crease_site, from_behind

Face = Literal[1, -1]
GUTTER = "page.gutter"


def page_sheet(width: float, height: float, paper: Paper) -> Sheet:
    """The spread itself: two pages and the gutter, which is a valley for the reader, mm."""
    from shapely.geometry import box

    gutter = SheetFold("gutter", (0.0, 0.0), (0.0, height), -1)
    facets, crossings = cut(
        box(-width, 0, width, height),
        [gutter],
        {"left": (-width / 2, height / 2), "right": (width / 2, height / 2)},
    )
    return Sheet("page", "page", paper, paper.front, paper.back, facets, crossings)


class Hosts:
    """What has been built so far; grows piece by piece."""

    def __init__(self, page: Sheet) -> None:
        self.creases: dict[str, tuple[Sheet, Crossing]] = {}
        self.facets: dict[str, tuple[Sheet, Facet]] = {}
        self.glued: dict[str, Join] = {}
        self.sites: dict[str, CreaseSite] = {}
        self.over: set[str] = set()
        self.add(Built((page,), ()), over=False)

    def add(self, built: Built, *, over: bool) -> None:
        """Offer the creases and facets of a piece; `over` if its sheets are turned over."""
        for sheet in built.sheets:
            for facet in sheet.facets:
                self.facets[f"{sheet.piece}.{facet.name}"] = (sheet, facet)
            for crossing in sheet.crossings:
                self.creases[f"{sheet.piece}.{crossing.fold.name}"] = (sheet, crossing)
            if over:
                self.over.add(sheet.piece)
        self.sites |= {site.name: site for site in built.creases}
        for join in built.joins:
            self.glued.setdefault(join.facet, join)

    def crease(self, name: str, side: Face = 1) -> CreaseSite:
        """The site on a crease; DesignError if there is none of that name."""
        name = GUTTER if name in ("gutter", GUTTER) else name
        if name in self.sites:
            site = self.sites[name]
            return site if side == 1 else from_behind(site)
        if name not in self.creases:
            raise self._no_such(name, "crease", [*self.creases, *self.sites], self.facets)
        sheet, crossing = self.creases[name]
        site = crease_site(sheet, crossing, side, sheet.piece in self.over)
        return self._off_tabs(site, sheet, crossing)

    def facet(self, name: str, side: Face = 1) -> Ground:
        """The ground on a facet, in its sheet's coordinates, on the back with x mirrored."""
        if name not in self.facets:
            raise self._no_such(name, "facet", self.facets, self.creases)
        sheet, _ = self.facets[name]
        face = self._face(sheet, side)
        # A sheet that is turned over keeps the coordinates that its kind describes.
        mirrored = side == -1
        return Ground(name, Placement(flipped=mirrored != (sheet.piece in self.over)), face)

    def middle(self, name: str) -> Vector:
        """A point well inside a facet, in its sheet's coordinates, mm."""
        polygon = self.facets[name][1].polygon
        centre = polygon.centroid
        return (centre.x, centre.y) if polygon.contains(centre) else inside(polygon)

    def _face(self, sheet: Sheet, side: Face) -> Face:
        return -side if sheet.piece in self.over else side

    def _off_tabs(self, site: CreaseSite, sheet: Sheet, crossing: Crossing) -> CreaseSite:
        """Where a crease lies along a glued tab, stand on what the tab is glued to."""
        tabs = [side for side in ("left", "right") if getattr(site, side).facet in self.glued]
        if len(tabs) != 1:
            return site
        ground: Ground = getattr(site, tabs[0])
        join = self.glued[ground.facet]
        placement = join.placement
        sign = site.sign
        if ground.side * placement.up != join.side:
            # The tab shows its other side: the host lies beyond the crease, opposite to the tab.
            placement = _reflection(
                *(placement.apply([crossing.fold.start, crossing.fold.end]))
            ).after(placement)
            sign = 1 if sign == -1 else -1
        host = Ground(join.host, placement.after(ground.placement), join.side)
        if tabs[0] == "left":
            return replace(site, left=host, sign=sign)
        return replace(site, right=host, sign=sign)

    def _no_such(self, name: str, what: str, known: Sequence[str] | dict, other: dict) -> Exception:
        piece = name.partition(".")[0]
        mine = [key for key in known if key.startswith(f"{piece}.")] or list(known)
        if name in other:
            problem = f"is not a {what}, but a {'facet' if what == 'crease' else 'crease'}"
        elif "." not in name and mine:
            problem = f"names no {what} of {piece}" if mine != list(known) else f"is not a {what}"
        else:
            problem = f"is not a {what}"
        return refuse(
            "on", problem, found=repr(name), allowed=listed(mine, 30), advice=nearest(name, mine)
        )


def _reflection(start: np.ndarray, end: np.ndarray) -> Placement:
    """The mirror image in the line through two points, as a placement."""
    along = end - start
    angle = 2 * float(np.arctan2(along[1], along[0])) + np.pi
    turn = Placement(angle, flipped=True)
    shift = start - turn.apply(start)
    return Placement(angle, (float(shift[0]), float(shift[1])), True)
