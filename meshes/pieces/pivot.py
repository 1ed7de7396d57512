"""The pivot: a V-fold that turns an arm sideways."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Literal

from pydantic import Field
from shapely.geometry import box

from meshes.curve import quarter
from meshes.measure import Length, Shift, degrees
from meshes.sheet import Built, Join, Placement

from .piece import Colour, Context
from .v_fold import VFold


class Pivot(VFold):
    """A V-fold with an arm glued on one of its panels, which swings sideways as the book opens.

    Facets and folds are those of a V-fold, and the arm's facet ``arm``: y runs along it from the
    middle of its base. Ornaments are `flat` art on that facet.
    """

    kind: Literal["pivot"] = "pivot"  # type: ignore[assignment]
    arm: Length = Field(description="length of the arm from the middle of its base")
    arm_panel: Literal["left", "right"] = Field("right", description="panel that carries the arm")
    arm_turn: Annotated[float, degrees(-180, 180)] = Field(
        0.0, description="direction of the arm, counter-clockwise from the ridge"
    )
    arm_at: tuple[Shift, Shift] | None = Field(
        None, description="`[x, y]` of its base on the sheet, else in the middle of the panel"
    )
    arm_width: Length = Field(6.0, description="width of the arm")  # our choice
    arm_glue: Length = Field(
        10.0, description="length of its glued part (common practice, no source)"
    )
    arm_paper: str | None = Field(None, description="paper of the arm, else that of the V-fold")
    arm_front: Colour | None = Field(None, description="colour of the arm")
    arm_back: Colour | None = Field(None, description="colour of its other side")

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        built = super().build(context)
        panel = built.sheets[0].facet(self.arm_panel).polygon
        middle = panel.centroid if panel.contains(panel.centroid) else panel.representative_point()
        at = self.arm_at or (float(middle.x), float(middle.y))
        corner = min(self.arm_width, self.arm_glue) * 0.45
        body = box(-self.arm_width / 2, -self.arm_glue / 2, self.arm_width / 2, self.arm)
        strip = body.buffer(-corner).buffer(corner, quad_segs=quarter(corner))
        part = context.on_paper(self.arm_paper, self.arm_front, self.arm_back)
        sheet = part.sheet("arm", strip, (), {"arm": (0.0, 0.0)}, key="arm")
        join = Join(
            context.id("arm"), context.id(self.arm_panel), Placement(self.arm_turn, at), side=1
        )
        return replace(built, sheets=(*built.sheets, sheet), joins=(*built.joins, join))
