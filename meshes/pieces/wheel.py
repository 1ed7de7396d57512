"""A wheel that a finger turns, on a page or a facet."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import Field
from shapely import affinity
from shapely.geometry import Point, Polygon

from meshes.measure import Length, degrees, mm
from meshes.outline import Outline
from meshes.sheet import Built, Drive, Placement

from .piece import Context, OnFacet, refuse

# Foam pads under the glued rim of a cover leave the disc room to turn: common practice, no source.
SPACER = 1.0
# Quarter-circle segments of the wheel's rim: chords within 0.05 mm up to 250 mm of radius.
_SEGMENTS = 64


class Wheel(OnFacet):
    """A disc that turns about its middle on a paper fastener, under a cover if it has one.

    Its facet is ``disc``, that of the cover ``cover``. The cover is glued by its rim, on pads 1 mm
    thick, and shows the disc through its window; the disc's rim reaches beyond it for the finger.
    It turns by hand: `foldstage film DESIGN --by-hand NAME` films that.
    """

    kind: Literal["wheel"] = "wheel"
    radius: Length = Field(description="of the disc")
    grips: Annotated[int, Field(ge=0, le=120)] = Field(
        24, description="notches of the rim for the finger"
    )
    turns: Annotated[float, degrees(1, 3600)] = Field(
        2 * math.pi, description="how far it is turned when it is filmed"
    )
    cover: Outline | None = Field(None, description="shape of the cover, glued over the disc")
    window: Outline | None = Field(None, description="hole in the cover")
    rim: Annotated[float, mm(2, 50)] = Field(
        6.0, description="width of the cover's glued rim, beyond the disc"
    )

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        ground = self.ground(context)
        disc = context.sheet("disc", self._disc(), (), {"disc": (0.0, 0.0)})
        laid = ground.join(context.id("disc"), Placement())
        drive = Drive(context.name, "turn", laid, (0.0, 0.0), self.turns)
        if self.cover is None:
            if self.window is not None:
                raise refuse("window", "is a hole in a cover that is not there", advice="cover")
            return Built((disc,), (), drives=(drive,))
        cover = self._cover(context)
        inside = cover.representative_point()
        sheet = context.sheet("cover", cover, (), {"cover": (inside.x, inside.y)})
        join = ground.join(context.id("cover"), Placement(), lift=SPACER)
        return Built((disc, sheet), (join,), drives=(drive,))

    def _disc(self) -> Polygon:
        depth = 0.03 * self.radius
        disc = Point(0, 0).buffer(self.radius, _SEGMENTS)
        for k in range(self.grips):
            angle = 2 * math.pi * k / self.grips
            notch = Point(self.radius * math.cos(angle), self.radius * math.sin(angle))
            disc = disc.difference(notch.buffer(depth, 8))
        return disc if isinstance(disc, Polygon) else Point(0, 0).buffer(self.radius, _SEGMENTS)

    def _cover(self, context: Context) -> Polygon:
        assert self.cover is not None
        cover = _centred(context.drawn("cover", self.cover))
        if self.window is not None:
            cover = context.cut_out("window", cover, context.drawn("window", self.window))
        if not cover.buffer(1e-6).exterior.distance(Point(0, 0)) > 0.5 * self.radius:
            raise refuse("cover", "leaves the wheel's middle free", advice="a larger cover")
        return cover


def _centred(outline: Polygon) -> Polygon:
    low_x, low_y, high_x, high_y = outline.bounds
    return affinity.translate(outline, -(low_x + high_x) / 2, -(low_y + high_y) / 2)
