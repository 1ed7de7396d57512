"""The arm: a stiff strip or clear film that carries an ornament from a facet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import Field, model_validator
from shapely.geometry import box

from meshes.curve import quarter
from meshes.measure import Length
from meshes.sheet import Built, Placement

from .piece import Context, OnFacet, refuse


class Arm(OnFacet):
    """A strip glued by its base on a facet, that reaches out and swings with it.

    Its facet is ``arm``: y runs along it, y = 0 is the middle of the base, at x, y of the host.
    Ornaments are pieces of their own: `flat` art on the facet ``arm``, at `y` = its length.
    """

    kind: Literal["arm"] = "arm"
    length: Length = Field(description="length from the middle of the base to the end")
    width: Length = Field(6.0, description="width of the strip")  # our choice
    glue: Length = Field(10.0, description="length of the glued part (common practice, no source)")
    paper: str = Field(
        "clear-film", description="one of the papers; left out, `card` if it has a colour"
    )

    @model_validator(mode="before")
    @classmethod
    def _of_paper(cls, given: Any) -> Any:
        """What has a colour is no clear film."""
        coloured = isinstance(given, Mapping) and ("front" in given or "back" in given)
        return {"paper": "card", **given} if coloured else given

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        ground = self.ground(context)
        if self.length <= self.glue / 2:
            raise refuse(
                "length",
                "does not reach beyond the base",
                found=f"{self.length:g} mm",
                allowed=f"more than {self.glue / 2:g} mm",
            )
        corner = min(self.width, self.glue) * 0.45
        body = box(-self.width / 2, -self.glue / 2, self.width / 2, self.length)
        strip = body.buffer(-corner).buffer(corner, quad_segs=quarter(corner))
        sheet = context.sheet("arm", strip, (), {"arm": (0.0, 0.0)}, key="length")
        return Built((sheet,), (ground.join(context.id("arm"), Placement()),))
