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

# Foam pads under the glued rim of an overlay leave the disc room to turn: common practice, no
# source.
SPACER = 1.0
# Quarter-circle segments of the wheel's rim: chords within 0.05 mm up to 250 mm of radius.
# Our choice.
_SEGMENTS = 64


class Wheel(OnFacet):
    """A disc that turns about its middle on a paper fastener, under an overlay if it has one.

    Its facet is ``disc``, that of the overlay ``overlay``. The overlay is glued by its rim, on
    pads 1 mm thick, and shows the disc through its window; the disc's rim reaches beyond it for
    the finger. It turns by hand: `foldstage film DESIGN --by-hand NAME` films that.
    """

    kind: Literal["wheel"] = "wheel"
    radius: Length = Field(description="radius of the disc")
    # Our choice.
    grips: Annotated[int, Field(ge=0, le=120)] = Field(
        24, description="notches of the rim for the finger"
    )
    sweep: Annotated[float, degrees(1, 3600)] = Field(
        2 * math.pi, description="how far it is turned when it is filmed"
    )
    overlay: Outline | None = Field(None, description="shape of the overlay, glued over the disc")
    window: Outline | None = Field(
        None, description="hole in the overlay, through which the disc shows"
    )
    # Our choice.
    rim: Annotated[float, mm(2, 50)] = Field(
        6.0, description="width of the overlay's glued rim, beyond the disc"
    )

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        ground = self.ground(context)
        disc = context.sheet("disc", self._disc(), (), {"disc": (0.0, 0.0)})
        laid = ground.join(context.id("disc"), Placement())
        drive = Drive(context.name, "turn", laid, (0.0, 0.0), self.sweep)
        if self.overlay is None:
            if self.window is not None:
                raise refuse(
                    "window", "is a hole in an overlay that is not there", advice="overlay"
                )
            return Built((disc,), (), drives=(drive,))
        overlay = self._overlay(context)
        inside = overlay.representative_point()
        sheet = context.sheet("overlay", overlay, (), {"overlay": (inside.x, inside.y)})
        join = ground.join(context.id("overlay"), Placement(), lift=SPACER)
        return Built((disc, sheet), (join,), drives=(drive,))

    def _disc(self) -> Polygon:
        depth = 0.03 * self.radius
        disc = Point(0, 0).buffer(self.radius, _SEGMENTS)
        for k in range(self.grips):
            angle = 2 * math.pi * k / self.grips
            notch = Point(self.radius * math.cos(angle), self.radius * math.sin(angle))
            disc = disc.difference(notch.buffer(depth, 8))
        return disc if isinstance(disc, Polygon) else Point(0, 0).buffer(self.radius, _SEGMENTS)

    def _overlay(self, context: Context) -> Polygon:
        assert self.overlay is not None
        overlay = _centred(context.drawn("overlay", self.overlay))
        if self.window is not None:
            overlay = context.cut_out("window", overlay, context.drawn("window", self.window))
        if not overlay.buffer(1e-6).exterior.distance(Point(0, 0)) > 0.5 * self.radius:
            raise refuse("overlay", "leaves the wheel's middle free", advice="a larger overlay")
        return overlay


def _centred(outline: Polygon) -> Polygon:
    low_x, low_y, high_x, high_y = outline.bounds
    return affinity.translate(outline, -(low_x + high_x) / 2, -(low_y + high_y) / 2)
