"""A strip that a hand pulls, held by two loops."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from shapely.geometry import Point, Polygon, box

from meshes.measure import Length, mm
from meshes.sheet import Built, Drive, Placement, Sheet

from .piece import Context, OnFacet, refuse


class Slide(OnFacet):
    """A strip with a rounded pull tab that slides along itself under two loops.

    Facets are ``strip``, ``loop-1`` and ``loop-2``; x runs along the strip towards the pull tab.
    Flat art on the strip travels with it. It is moved by hand:
    `foldstage film DESIGN --by-hand NAME` films that.
    """

    kind: Literal["slide"] = "slide"
    length: Length = Field(description="length of the strip, pull tab included")
    width: Annotated[float, mm(6, 300)] = Field(
        18.0, description="width of the strip"
    )  # our choice
    travel: Length = Field(description="how far it can be pulled")
    # Our choice.
    loop: Annotated[float, mm(5, 60)] = Field(10.0, description="width of the two loops")
    glue: Annotated[float, mm(4, 60)] = Field(
        8.0,
        description="glued end of a loop on each side of the strip (common practice, no source)",
    )
    loops: Literal["ends", "tab"] = Field(
        "ends",
        description="the loops hold the strip at both `ends` of its way, or both next to its pull "
        "`tab`, which leaves the far part of the strip free for art",
    )
    gap: Annotated[float, mm(0.1, 5)] = Field(
        0.6,
        description="gap between the strip and the glue on each side (common practice, no source)",
    )

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        free = self.length / 2 + self._lefts()[0] - self.travel
        if free < 0:
            raise refuse(
                "length",
                "is too short for the pull tab, both loops and the way",
                found=f"{self.length:g} mm",
                allowed=f"from {self.length - free:g} mm",
                advice="a longer strip or less travel",
            )
        ground = self.ground(context)
        strip = context.sheet("strip", self._strip(), (), {"strip": (0.0, 0.0)})
        laid = ground.join(context.id("strip"), Placement())
        drive = Drive(context.name, "slide", laid, (1.0, 0.0), self.travel)
        loops = [self._loop(context, k) for k in (1, 2)]
        # A loop arches over the strip by its thickness and a little air.
        lift = context.paper.caliper + 0.1
        joins = tuple(ground.join(context.id(f"loop-{k}"), Placement(), lift) for k in (1, 2))
        return Built((strip, *loops), joins, drives=(drive,))

    def _strip(self) -> Polygon:
        half, end = self.length / 2, self.width / 2
        tab = Point(half - end, 0).buffer(end, 64)
        strip = box(-half, -end, half - end, end).union(tab)
        assert isinstance(strip, Polygon)
        return strip

    def _lefts(self) -> tuple[float, float]:
        """Where the loops begin on the strip at rest; it lies under both however far it is pulled.

        Two loops next to the pull tab stand as far apart as the strip is wide, so that it does not
        turn between them.
        """
        last = self.length / 2 - self.width - self.loop
        if self.loops == "tab":
            return last - max(self.width, 2 * self.loop), last
        return min(self.travel - self.length / 2, last - self.loop), last

    def _loop(self, context: Context, number: int) -> Sheet:
        """A loop across the strip."""
        reach = self.width / 2 + self.gap + self.glue
        left = self._lefts()[number - 1]
        outline = box(left, -reach, left + self.loop, reach)
        name = f"loop-{number}"
        return context.sheet(name, outline, (), {name: (left + self.loop / 2, 0.0)})
