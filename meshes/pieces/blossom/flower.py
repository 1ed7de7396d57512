"""Draws the layers of a planned blossom and glues them together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon

from meshes.pieces.piece import Context, largest, refuse
from meshes.sheet import SNAP_MM, Built, Fold, Join, Obstacle, Placement, Sheet, Vector
from meshes.site import CreaseSite, Ground

from .fan import FULL, NEAR, lay_out, petal_name
from .layer_plan import LayerPlan
from .legs import cut_leg, slit, strip_placement
from .rules import LegSize

_SIDES = ("right", "left")
# Paper that must stay between a slit and the edge, mm: common practice, no source.
_RIM_MM = 2.0


@dataclass(frozen=True)
class Flower:
    """Draws the layers of one flower and glues them on each other and on the host."""

    context: Context
    site: CreaseSite
    plans: Sequence[LayerPlan]

    def layer(self, k: int) -> Built:
        """The sheets of one layer, its legs, and its glue."""
        one = self.plans[k]
        keys = one.keys
        context = self.context.on_paper(keys.paper, keys.front, keys.back)
        if one.stand == "flat":
            return self._flat(context, k)
        gutter = self.site.sign if keys.gutter_folds == "valley" else -self.site.sign
        signs = one.fan.fold_signs(self.site.sign, 1 if gutter == 1 else -1)
        cut = lay_out(one.fan, one.shape, context, keys.name, one.prefix, signs, one.rest)
        sheets, joins = list(cut.sheets), list(cut.joins)
        if one.legs is None:
            joins += self._glue(k)
        else:
            for side in range(2):
                leg, glue = self._leg(context, k, one.legs, side)
                sheets.append(leg)
                joins += glue
        return Built(tuple(sheets), tuple(joins))

    def in_order(self, joins: Sequence[Join]) -> tuple[Join, ...]:
        """Joins as they lie on each other: feet that pass slits lie under the flat layers."""
        own = f"{self.context.name}."
        under = [
            join
            for join in joins
            if join.facet.endswith("-lower-tab") and not join.host.startswith(own)
        ]
        return (*under, *(join for join in joins if join not in under))

    def obstacles(self) -> list[Obstacle]:
        """Each cone keeps to the printed side of the cone below it.

        Planes of facets bound a cone only while it is convex, so discs and ruffles bind nobody.
        """
        found = []
        for below, above in pairwise(self.plans):
            if not below.cone or below.fan.total >= FULL - NEAR:
                continue
            glued = above.carriers if above.legs is None else ((), ())
            free = [j for j in range(above.fan.count) if j not in (*glued[0], *glued[1])]
            found.append(
                Obstacle(
                    self.context.name,
                    self.context.name,
                    1,
                    tuple(self._petal(above, j) for j in free),
                    tuple(self._petal(below, j) for j in range(below.fan.count)),
                )
            )
        return found

    def _petal(self, one: LayerPlan, j: int) -> str:
        return self.context.id(petal_name(one.prefix, j, one.fan))

    def _grounds(self) -> tuple[Ground, Ground]:
        return self.site.right, self.site.left

    def _flat(self, context: Context, k: int) -> Built:
        one = self.plans[k]
        outline = self._slit(one, shapely.remove_repeated_points(Polygon(one.rim()), SNAP_MM))
        spine = outline.intersection(LineString([(0, -1e4), (0, 1e4)]))
        spine = next(part for part in shapely.get_parts(spine) if part.distance(Point(0, 0)) < 1e-6)
        _, low, _, high = spine.bounds
        fold = Fold(f"{one.prefix}gutter", (0.0, low), (0.0, high), self.site.sign)
        labels: dict[str, Vector] = {
            f"{one.prefix}right": (0.05, 0.0),
            f"{one.prefix}left": (-0.05, 0.0),
        }
        sheet = context.sheet(one.keys.name, outline, [fold], labels, "petals")
        below = self.plans[k - 1] if k else None
        joins = [
            Join(
                context.id(f"{one.prefix}{side}"), context.id(f"{below.prefix}{side}"), Placement()
            )
            if below
            else ground.join(context.id(f"{one.prefix}{side}"), Placement())
            for side, ground in zip(_SIDES, self._grounds(), strict=True)
        ]
        return Built((sheet,), tuple(joins))

    def _slit(self, one: LayerPlan, outline: Polygon) -> Polygon:
        """Open a flat layer where the legs of the flower go through it."""
        above = next((p for p in self.plans if p.legs is not None), None)
        if above is None or above.legs is None or not above.keys.legs.slits:
            return outline
        for middle, aside in _stances(above.legs, (0.0, np.pi)):
            opening = slit(middle, above.legs, aside)
            if not outline.contains(opening.buffer(_RIM_MM)):
                raise refuse(
                    f"layers.{one.keys.name}.parting",
                    f"leaves no paper round the slits for the legs of {above.keys.name}",
                    f"slits {above.legs.foot:.3g} mm from the crease, "
                    f"{2 * above.legs.half_width + 1:.3g} mm long",
                    advice="a larger parting, or legs nearer to the crease",
                )
            outline = largest(outline.difference(opening))
        return outline

    def _glue(self, k: int) -> list[Join]:
        """Fix the middles of both halves of a layer on those of the layer below."""
        one, below = self.plans[k], self.plans[k - 1]
        joins = []
        for side, (mine, hosts) in enumerate(zip(one.carriers, below.carriers, strict=True)):
            turn = Placement(below.fan.middles[side] - one.fan.middles[side])
            pairs = (
                zip(mine, hosts, strict=True) if len(mine) == len(hosts) else product(mine, hosts)
            )
            joins += [Join(self._petal(one, a), self._petal(below, b), turn) for a, b in pairs]
        return joins

    def _leg(self, context: Context, k: int, size: LegSize, side: int) -> tuple[Sheet, list[Join]]:
        """A leg, and what fixes it.

        Under a fold, the hinges of both halves of the leg are square to that fold and to the leg's
        crease. Two directions have one common perpendicular unless they coincide, so the hinges
        stay one straight line: neither the fold nor the crease can bend, and both are joined flat.
        """
        one = self.plans[k]
        creased = one.fan.hang == "fold"
        name = f"{one.prefix}leg-{_SIDES[side]}"
        end = size.top - size.top_tab
        narrow = min(size.half_width, 0.85 * one.fan.room(end, size.aside))
        sheet = cut_leg(context, name, size, narrow, creased)
        middle, aside = list(_stances(size, one.fan.middles))[side]
        # Its printed side looks away from the middle of the flower, so the tab is glued face up.
        under = strip_placement(middle, size.top + size.length, aside)
        tabs = (
            [f"{name}-upper-tab-left", f"{name}-upper-tab-right"]
            if creased
            else [f"{name}-upper-tab"]
        )
        petals = one.carriers[side]
        glue = [
            Join(context.id(tab), self._petal(one, j), under, side=-1)
            for tab, j in zip(tabs, petals, strict=True)
        ]
        if creased:
            glue += [
                Join(context.id(f"{part}-right"), context.id(f"{part}-left"), Placement())
                for part in (name, f"{name}-upper-tab")
            ]
        return sheet, glue + self._foot(k, context.id(f"{name}-lower-tab"), size, side)

    def _foot(self, k: int, foot: str, size: LegSize, side: int) -> list[Join]:
        """Fix a foot on the cone below, on the flat layer below, or on the host."""
        one, below = self.plans[k], self.plans[k - 1] if k else None
        if below is not None and below.cone:
            middle, aside = list(_stances(size, below.fan.middles))[side]
            place = strip_placement(middle, size.foot, aside)
            return [Join(foot, self._petal(below, j), place) for j in below.carriers[side]]
        middle, aside = list(_stances(size, (0.0, np.pi)))[side]
        place = strip_placement(middle, size.foot, aside)
        if below is not None and not one.keys.legs.slits:
            return [Join(foot, self.context.id(f"{below.prefix}{_SIDES[side]}"), place)]
        return [self._grounds()[side].join(foot, place)]


def _stances(size: LegSize, middles: tuple[float, float]) -> list[tuple[float, float]]:
    """Direction of each leg and how far to the left of that direction it stands.

    Both stand equally far towards the top of the page, which is left on the right half and right
    on the left half.
    """
    return [(middles[0], size.aside), (middles[1], -size.aside)]
