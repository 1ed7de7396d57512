"""The V-fold: two panels that meet in a ridge and stand askew across a crease."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np
import shapely
from pydantic import Field, model_validator
from shapely.geometry import LineString, Polygon

from meshes.measure import Length, Pair, complaint, degrees, mm
from meshes.outline import Outline
from meshes.sheet import Built, Fold, Placement, Vector
from meshes.site import CreaseSite

from .piece import Context, OnCrease, largest, polar, refuse
from .strip import Tabs
from .tab import tab

_SIDES = {-1: "left", 1: "right"}
# How far a wedge reaches when it is laid over an outline, mm: more than any sheet. Our choice.
_FAR = 1e4


class VFold(OnCrease):
    """Two panels that meet in a ridge; the glue creases run askew from one point of the crease.

    The sheet's origin is that point, the ridge runs along +y, the left panel lies on x < 0 and the
    printed side looks to the foot of the page. Folds: ``ridge`` (mountain if the V points up,
    valley if it points down), ``left-base``, ``right-base``. Facets: ``left``, ``right``,
    ``left-tab``, ``right-tab``.
    """

    kind: Literal["v-fold"] = "v-fold"
    points: Literal["up", "down"] = Field(
        "up", description="the way the glue creases run from the crease, up or down the page"
    )
    page_angle: Annotated[tuple[float, float], Pair(degrees(1, 179))] = Field(
        description="angle between the crease and the glue creases"
    )
    panel_angle: Annotated[tuple[float, float | None], Pair(degrees(1, 179), same=False)] = Field(
        description="angle between glue crease and ridge; one number is the left panel's, and the "
        "right one's follows so that the V folds flat"
    )
    base: Annotated[tuple[float, float], Pair(mm())] = Field(
        description="length of the glue creases"
    )
    gap: Annotated[float, mm(0, 500)] = Field(
        0.0, description="the glue creases begin this far from the crease"
    )
    ridge: Length | None = Field(
        None, description="length of the ridge of plain panels; else the outline decides"
    )
    outline: Outline | None = Field(
        None, description="shape of both panels, its base on the crease and its middle on the ridge"
    )
    left_outline: Outline | None = Field(None, description="shape of the left panel alone")
    right_outline: Outline | None = Field(None, description="shape of the right panel alone")
    gusset: Length | None = Field(
        None, description="how far up the ridge the panels are filled from the feet, else the base"
    )
    holes: Annotated[list[Outline], Field(max_length=100)] = Field(
        default_factory=list, description="shapes cut out of the panels"
    )
    floor: Outline | None = Field(
        None,
        description="shape cut away at the foot of the panels, its own base on the crease; "
        "needs a gap",
    )
    tab: Length = Field(8.0, description="depth of the glue tabs (common practice, no source)")
    tabs: Tabs = Field("under", description="the tabs lie outside, face up, or under, out of sight")

    @model_validator(mode="after")
    def _has_a_shape(self) -> VFold:
        both = self.left_outline is not None and self.right_outline is not None
        if self.ridge is None and self.outline is None and not both:
            raise complaint(
                "is missing", key="outline", advice="an outline, or the length of the ridge"
            )
        return self

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        return self.build_on(context, self.site(context))

    def build_on(self, context: Context, site: CreaseSite) -> Built:
        """The piece on a crease whose origin is where the ridge starts."""
        angles = _Angles.of(self, site)
        panels = {side: self._panel(context, angles, side) for side in _SIDES}
        folds, labels = self._spine_folds(panels)
        parts = list(panels.values())
        for side, name in _SIDES.items():
            base = self._glue_crease(angles, side)
            flap = self._tab(angles, side, base)
            parts.append(flap)
            folds.append(Fold(f"{name}-base", *base, 1 if self.tabs == "under" else -1))
            labels[f"{name}-tab"] = flap
        outline = context.punched(shapely.unary_union(parts), self.holes)
        sheet = context.sheet("panels", outline, folds, labels)
        return Built(
            (sheet,),
            (
                site.left.join(context.id("left-tab"), angles.placement(-1)),
                site.right.join(context.id("right-tab"), angles.placement(1)),
            ),
        )

    def _spine_folds(
        self, panels: Mapping[int, Polygon]
    ) -> tuple[list[Fold], dict[str, Vector | Polygon]]:
        """The folds between the panels, and what is to the left and to the right of them."""
        low, top = spine(panels)
        ridge = Fold("ridge", (0.0, low), (0.0, top), 1 if self.points == "up" else -1)
        return [ridge], {name: panels[side] for side, name in _SIDES.items()}

    def _panel(self, context: Context, angles: _Angles, side: int) -> Polygon:
        """One panel, without its tab."""
        base = self.gap + self.base[max(side, 0)]
        direction = angles.panel(side)
        own = "left_outline" if side < 0 else "right_outline"
        shape = getattr(self, own) or self.outline
        height = self.gusset or base if shape else self.ridge or base
        panel = Polygon([(0, 0), polar(base, direction), (0, height)])
        if shape is not None:
            drawn = context.drawn(own if getattr(self, own) else "outline", shape)
            panel = largest(drawn.intersection(_wedge(direction)).union(panel))
        if self.floor is not None:
            panel = largest(panel.difference(context.drawn("floor", self.floor)))
        return panel

    def _glue_crease(self, angles: _Angles, side: int) -> tuple[Vector, Vector]:
        """The ends of a glue crease, from the ridge outwards."""
        direction = angles.panel(side)
        return polar(self.gap, direction), polar(self.gap + self.base[max(side, 0)], direction)

    def _tab(self, angles: _Angles, side: int, base: tuple[Vector, Vector]) -> Polygon:
        room = angles.room(side)
        if side > 0:
            return tab(*base, self.tab, (room, np.pi))
        return tab(*base[::-1], self.tab, (np.pi, room))


@dataclass(frozen=True)
class _Angles:
    """Directions of the glue creases, radians, on the host and on the sheet.

    Parameters
    ----------
    page, panel : left and right, from +y (up the crease; up the ridge).
    """

    page: tuple[float, float]
    panel_angles: tuple[float, float]
    behind: bool

    @classmethod
    def of(cls, piece: VFold, site: CreaseSite) -> _Angles:
        left, right = piece.page_angle
        if left + right >= np.pi - 1e-6:
            raise refuse(
                "page_angle",
                "the glue creases do not make a V",
                found=f"{np.degrees(left + right):.4g}° together",
                allowed="less than 180° together",
                advice=f'points = "{"down" if piece.points == "up" else "up"}" with the angles '
                "measured the other way",
            )
        panels = _panel_angles(piece, site.sign)
        if piece.points == "down":
            left, right = np.pi - left, np.pi - right
        return cls((left, right), panels, piece.tabs == "under")

    def panel(self, side: int) -> float:
        """Direction of a glue crease on the sheet, counter-clockwise from +x."""
        return np.pi / 2 - side * self.panel_angles[max(side, 0)]

    def room(self, side: int) -> float:
        """Angle that is free for a tab at the end near the ridge."""
        page = self.page[max(side, 0)]
        # On the host the other tab starts at the crease; on the sheet it starts below the ridge.
        return min(page if self.behind else np.pi - page, np.pi - self.panel_angles[max(side, 0)])

    def placement(self, side: int) -> Placement:
        """Where the sheet lies if its tab lies on the host, in site coordinates."""
        page, panel = self.page[max(side, 0)], self.panel_angles[max(side, 0)]
        if self.behind:
            return Placement(-side * (page + panel), flipped=True)
        return Placement(side * (panel - page))


def _panel_angles(piece: VFold, sign: int) -> tuple[float, float]:
    """Left and right, the right one so that the piece folds flat if it is not given.

    On a valley aR + bR = aL + bL, on a mountain bR - aR = bL - aL: an even alternating sum of the
    sectors round a vertex (Kawasaki's theorem).
    """
    left, right = piece.panel_angle
    if right is None:
        right = left - sign * (piece.page_angle[0] - piece.page_angle[1])
    if not 0 < right < np.pi:
        raise refuse(
            "panel_angle",
            "no right panel folds flat with this left one",
            found=f"{np.degrees(right):.4g}° for the right one",
            allowed="0 to 180°",
        )
    return left, right


def _wedge(direction: float) -> Polygon:
    """All between the ridge and a glue crease of that direction on the sheet."""
    between = (direction + np.pi / 2) / 2
    return Polygon([(0, 0), polar(_FAR, direction), polar(2 * _FAR, between), (0, _FAR)])


def spine(panels: Mapping[int, Polygon]) -> tuple[float, float]:
    """Where the ridge starts and how far both panels reach along it without a break, mm."""
    lows, highs = [], []
    for panel in panels.values():
        spine = panel.intersection(LineString([(0, 0), (0, _FAR)]))
        runs = [part for part in shapely.get_parts(spine) if part.length > 1e-9]
        if not runs:
            raise refuse("outline", "leaves nothing to fold along the ridge")
        merged = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(runs)))
        first = min(merged, key=lambda run: run.bounds[1])
        lows.append(float(first.bounds[1]))
        highs.append(float(first.bounds[3]))
    return max(lows), min(highs)
