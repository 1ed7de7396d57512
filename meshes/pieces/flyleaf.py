"""A further page of the notebook, turned by hand."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field
from shapely import affinity
from shapely.geometry import Polygon, box

from meshes.measure import Length, mm
from meshes.outline import Outline
from meshes.sheet import Built, Drive, Join, Placement
from meshes.site import CreaseSite, Ground

from .piece import Context, Piece, refuse


class Flyleaf(Piece):
    """A page between the two of the spread, hinged in the gutter; pieces may stand on both sides.

    Its facet is ``sheet``. The crease ``before`` lies between what is left of it (the left page, or
    the flyleaf it comes `after`) and its front, ``behind`` between its back and what is right of
    it. `foldstage film DESIGN --by-hand NAME` films how it is turned.
    """

    stands_on: ClassVar[Literal["crease", "facet"]] = "crease"
    kind: Literal["flyleaf"] = "flyleaf"
    width: Annotated[float, mm(10, 1000)] | None = Field(
        None, description="width from the gutter; else that of a page"
    )
    height: Annotated[float, mm(10, 1000)] | None = Field(
        None, description="height; else that of a page"
    )
    from_foot: Length | None = Field(
        None, description="where it begins, measured from the foot of the page; else in the middle"
    )
    edge: Outline | None = Field(
        None, description="shape of its free part; its base lies along the gutter"
    )
    after: str | None = Field(None, description="flyleaf that lies left of it; else the left page")
    lies: Literal["left", "right"] = Field(
        "right", description="page on which it lies until it is turned"
    )

    @property
    def hosts(self) -> tuple[str, ...]:
        """See :class:`Piece`."""
        return ("gutter",) if self.after is None else ("gutter", f"{self.after}.sheet")

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        gutter = context.crease("gutter", 1)
        outline = self._outline(context, gutter)
        inside = outline.representative_point()
        sheet = context.sheet("sheet", outline, (), {"sheet": (inside.x, inside.y)})
        own = context.id("sheet")
        left = gutter.left if self.after is None else _back_of(f"{self.after}.sheet")
        creases = creases_of(context, own, left, gutter)
        rest = 1.0 if self.lies == "right" else 0.0
        laid = Join(own, "page.right", Placement())
        drive = Drive(
            context.name, "flyleaf", laid, (0.0, 0.0), 1.0, rest=rest, after=self.after or ""
        )
        return Built((sheet,), (), drives=(drive,), creases=creases)

    def _outline(self, context: Context, gutter: CreaseSite) -> Polygon:
        if self.edge is not None:
            drawn = context.drawn("edge", self.edge)
            # Outlines stand on their base; a flyleaf's base is the gutter, its tip the fore-edge.
            turned = affinity.rotate(drawn, -90, origin=(0, 0))
            middle = gutter.length / 2 if self.from_foot is None else self.from_foot + _half(drawn)
            return affinity.translate(turned, 0, middle)
        page = context.page
        width, height = self.width or page[0], self.height or page[1]
        foot = (page[1] - height) / 2 if self.from_foot is None else self.from_foot
        if foot + height > page[1] + 1e-9:
            raise refuse(
                "height",
                "reaches beyond the head of the page",
                found=f"{foot + height:g} mm",
                allowed=f"up to {page[1]:g} mm",
            )
        return box(0.0, foot, width, foot + height)


def creases_of(
    context: Context, own: str, left: Ground, gutter: CreaseSite
) -> tuple[CreaseSite, CreaseSite]:
    """The creases before and behind a flyleaf whose facet is `own` and on whose left lies `left`.

    The flyleaf's sheet has the coordinates of the right page; from behind it is a left side.
    """
    front = Ground(own, Placement(), 1)
    return (
        CreaseSite(context.id("before"), left, front, gutter.length, -1),
        CreaseSite(context.id("behind"), _back_of(own), gutter.right, gutter.length, -1),
    )


def _back_of(facet: str) -> Ground:
    return Ground(facet, Placement(flipped=True), -1)


def _half(outline: Polygon) -> float:
    low, _, high, _ = outline.bounds
    return float(high - low) / 2
