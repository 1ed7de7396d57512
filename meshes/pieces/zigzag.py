"""The zigzag: a tower of V-folds, each on the ridge of the one below."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Annotated, Literal

from pydantic import Field

from meshes.measure import Length, degrees, number
from meshes.sheet import Built, Crossing, Facet, Join, Sheet
from meshes.site import CreaseSite, crease_site

from .piece import Context, OnCrease, along, refuse
from .v_fold import VFold


class Zigzag(OnCrease):
    """A tower of V-folds, each standing on the ridge of the one below and pointing the other way.

    Facets and folds are those of a V-fold, the number of the level before them: ``1-left``,
    ``1-ridge``, ``2-left`` … Each level can be a host.
    """

    kind: Literal["zigzag"] = "zigzag"
    levels: Annotated[int, Field(ge=2, le=12)] = Field(3, description="number of V-folds")
    page_angle: Annotated[float, degrees(5, 85)] = Field(
        math.radians(45), description="between the crease and the glue creases, at every level"
    )
    panel_angle: Annotated[float, degrees(5, 120)] = Field(
        math.radians(70), description="between glue crease and ridge, at every level"
    )
    foot: Length = Field(description="length of the glue creases of the lowest level")
    ridge: Length = Field(description="length of the ridge of the lowest level")
    place: Annotated[float, number(0.05, 0.95)] = Field(
        0.5, description="where the next level stands on the ridge, share of its length"
    )
    shrink: Annotated[float, number(0.3, 1)] = Field(
        0.8, description="size of each level against the one below"
    )
    points: Literal["up", "down"] = Field("up", description="the way the lowest level points")
    turns: bool = Field(True, description="levels point up and down in turn, else all alike")
    tab: Length = Field(6.0, description="depth of the glue tabs of the lowest level")

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        if self.panel_angle <= self.page_angle:
            raise refuse(
                "panel_angle",
                "no level could stand on a ridge and fold flat",
                found=f"{math.degrees(self.panel_angle):g}°",
                allowed=f"more than page_angle, {math.degrees(self.page_angle):g}°",
            )
        site = self.site(context)
        sheets: list[Sheet] = []
        joins: list[Join] = []
        for level in range(self.levels):
            prefix = f"{level + 1}-"
            specs = {
                name.removeprefix(prefix): spec
                for name, spec in context.folds.items()
                if name.startswith(prefix)
            }
            built = self._level(level).build_on(replace(context, folds=specs), site)
            sheet, own = _named(built, context.name, prefix)
            sheets.append(sheet)
            joins += own
            site = _on_ridge(sheet, self.place)
        return Built(tuple(sheets), tuple(joins))

    def _level(self, level: int) -> VFold:
        size = self.shrink**level
        other: Literal["up", "down"] = "down" if self.points == "up" else "up"
        return VFold.model_construct(
            kind="v-fold",
            page_angle=(self.page_angle, self.page_angle),
            panel_angle=(self.panel_angle, self.panel_angle),
            foot=(self.foot * size, self.foot * size),
            ridge=self.ridge * size,
            tab=self.tab * size,
            points=other if self.turns and level % 2 else self.points,
        )


def _named(built: Built, piece: str, prefix: str) -> tuple[Sheet, list[Join]]:
    """The sheet and joins of a level, with its number before all names."""
    (sheet,) = built.sheets
    own = {f"{piece}.{facet.name}": f"{piece}.{prefix}{facet.name}" for facet in sheet.facets}
    renamed = replace(
        sheet,
        name=prefix + sheet.name,
        facets=tuple(Facet(prefix + f.name, f.polygon) for f in sheet.facets),
        crossings=tuple(
            Crossing(replace(c.fold, name=prefix + c.fold.name), prefix + c.left, prefix + c.right)
            for c in sheet.crossings
        ),
    )
    return renamed, [replace(join, facet=own[join.facet]) for join in built.joins]


def _on_ridge(sheet: Sheet, place: float) -> CreaseSite:
    (ridge,) = (c for c in sheet.crossings if c.fold.name.endswith("ridge"))
    site = crease_site(sheet, ridge)
    return along(site, place * site.length)
