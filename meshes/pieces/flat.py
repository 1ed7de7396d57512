"""Flat art, glued whole on one facet."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from shapely import affinity

from meshes.outline import Outline
from meshes.sheet import Built, Placement

from .piece import Context, OnFacet


class Flat(OnFacet):
    """Flat art glued whole on one page or facet, printed side up.

    Its facet is ``art``; x runs across and y up the sheet. It has no folds.
    """

    kind: Literal["flat"] = "flat"
    outline: Outline = Field(description="shape of the art")
    holes: Annotated[list[Outline], Field(max_length=100)] = Field(
        default_factory=list, description="shapes cut out, in the coordinates of the outline"
    )
    anchor: Literal["middle", "base"] = Field(
        "middle", description="point of the outline that lies at x, y"
    )

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        ground = self.ground(context)
        outline = context.drawn("outline", self.outline, self.holes)
        if self.anchor == "middle":
            low_x, low_y, high_x, high_y = outline.bounds
            outline = affinity.translate(outline, -(low_x + high_x) / 2, -(low_y + high_y) / 2)
        inside = outline.representative_point()
        sheet = context.sheet("art", outline, (), {"art": (inside.x, inside.y)})
        return Built((sheet,), (ground.join(context.id("art"), Placement()),))
