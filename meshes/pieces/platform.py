"""The platform: a layer that floats over a crease on struts, level at full opening."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

import numpy as np
import shapely
from pydantic import Field, model_validator
from shapely.geometry import LineString, Polygon, box

from meshes.measure import Length, complaint
from meshes.outline import Outline
from meshes.sheet import Built, Fold, Join, Placement, Sheet
from meshes.site import CreaseSite

from .box import Box, Middle, Net
from .piece import Colour, Context, OnCrease, largest
from .tab import tab

_FAR = 1e4  # our choice


class Platform(OnCrease):
    """A creased layer on struts; its halves stay parallel to the two sides of the crease below.

    Its fold ``crease`` opens as the crease below does, so that pieces can stand on it as in the
    gutter. The middle struts are joined by end walls, which keep the layer from swaying. Facets of
    the layer: ``layer-left``, ``layer-right``, with x = 0 on the crease and y along it. The middle
    struts have the facets and folds of a box without lid, and on top the tabs ``left-top-tab``,
    ``right-top-tab`` behind the folds ``left-top``, ``right-top``. Further struts are
    ``strut-1-left``, ``strut-1-right`` … with tabs and folds named likewise.
    """

    kind: Literal["platform"] = "platform"
    distance: Length = Field(description="distance of the middle struts from the crease")
    height: Length = Field(description="height of the struts")
    width: Length = Field(description="width of the struts along the crease")
    outline: Outline = Field(description="shape of the layer, its origin on the crease at `at`")
    holes: Annotated[list[Outline], Field(max_length=100)] = Field(
        default_factory=list, description="shapes cut out of the layer"
    )
    struts: Annotated[list[Length], Field(max_length=10)] = Field(
        default_factory=list, description="distances of further pairs of struts from the crease"
    )
    foot_end: Middle = Field(
        "in",
        description="which way the end wall towards the foot of the page folds, if there is one",
    )
    head_end: Middle = Field(
        "in",
        description="which way the end wall towards the head of the page folds, if there is one",
    )
    tab: Length = Field(
        8.0, description="depth of the glue tabs, at most (common practice, no source)"
    )
    strut_paper: str | None = Field(None, description="paper of the struts, else that of the layer")
    strut_front: Colour | None = Field(None, description="colour of the struts outside")
    strut_back: Colour | None = Field(None, description="colour of the struts inside")

    @model_validator(mode="after")
    def _holds_together(self) -> Platform:
        if self.foot_end == self.head_end == "none":
            raise complaint(
                "leaves the middle struts unconnected",
                key="head_end",
                found="'none'",
                advice="an end wall at one end",
            )
        return self

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        site = self.site(context)
        below = context.on_paper(self.strut_paper, self.strut_front, self.strut_back)
        layer = self._layer(context)
        sheets, joins = [layer], []
        for sheet, joined in (self._middle(below, site), *self._further(below, site)):
            sheets.append(sheet)
            joins += joined
        return Built(tuple(sheets), tuple(joins))

    def _layer(self, context: Context) -> Sheet:
        outline = context.drawn("outline", self.outline, self.holes)
        line = LineString([(0, outline.bounds[1] - 1), (0, outline.bounds[3] + 1)])
        low, high = line.intersection(outline).bounds[1::2] or (0.0, 0.0)
        crease = Fold("crease", (0.0, float(low)), (0.0, float(high)), -1)
        halves = {
            "layer-left": largest(outline.intersection(box(-_FAR, -_FAR, 0, _FAR))),
            "layer-right": largest(outline.intersection(box(0, -_FAR, _FAR, _FAR))),
        }
        return context.sheet("layer", outline, [crease], halves)

    def _middle(self, context: Context, site: CreaseSite) -> tuple[Sheet, list[Join]]:
        """The box without lid, with tabs on top of its walls."""
        shape = Box(
            kind="box",
            distance=self.distance,
            height=self.height,
            width=self.width,
            foot_end=self.foot_end,
            head_end=self.head_end,
            lid="none",
            tab=self.tab,
        )
        net = Net.of(shape, under_layer=True)
        half, depth = self.width / 2, min(self.tab, 0.8 * self.distance)
        joins = [
            site.left.join(context.id("left-tab"), net.foot(shape, -1)),
            site.right.join(context.id("right-tab"), net.foot(shape, 1)),
        ]
        for side in ("left", "right"):
            frame = net.frames[side]
            ends = frame.apply([(half, self.height), (-half, self.height)])
            start, end = ((float(x), float(y)) for x, y in ends)
            net.parts[f"{side}-top-tab"] = tab(start, end, depth)
            net.folds.append(Fold(f"{side}-top", start, end, 1))
            joins.append(self._hung(context, f"{side}-top-tab", side, self.distance, frame))
        joins += [
            Join(context.id(facet), context.id(host), placement, side=-1)
            for facet, host, placement in net.glue(shape)
        ]
        outline = shapely.unary_union(list(net.parts.values()))
        return context.sheet("struts", outline, net.folds, net.parts, key="height"), joins

    def _further(self, context: Context, site: CreaseSite) -> Iterator[tuple[Sheet, list[Join]]]:
        """Pairs of plain struts, each parallel to the middle ones."""
        half, high = self.width / 2, self.height
        for k, distance in enumerate(self.struts):
            for side, ground in (("left", site.left), ("right", site.right)):
                name = f"strut-{k + 1}-{side}"
                parts: dict[str, Polygon] = {
                    name: box(-half, 0, half, high),
                    f"{name}-tab": tab((-half, 0.0), (half, 0.0), self.tab),
                    f"{name}-top-tab": tab((half, high), (-half, high), self.tab),
                }
                folds = [
                    Fold(f"{name}-base", (-half, 0.0), (half, 0.0), 1),
                    Fold(f"{name}-top", (-half, high), (half, high), 1),
                ]
                outline = shapely.unary_union(list(parts.values()))
                sheet = context.sheet(name, outline, folds, parts, key="struts")
                way = 1 if side == "right" else -1
                foot = Placement(-way * np.pi / 2, (way * distance, 0.0), flipped=True)
                yield (
                    sheet,
                    [
                        ground.join(context.id(f"{name}-tab"), foot),
                        self._hung(context, f"{name}-top-tab", side, distance, Placement()),
                    ],
                )

    def _hung(
        self, context: Context, tab_name: str, side: str, distance: float, frame: Placement
    ) -> Join:
        """Glue the tab on top of a strut under the layer, towards the crease."""
        way = 1 if side == "right" else -1
        placement = Placement(way * np.pi / 2, (way * (distance + self.height), 0.0))
        host = context.id(f"layer-{side}")
        return Join(context.id(tab_name), host, placement.after(frame.inverse()), side=-1)
