"""The tent: two panels over a crease, all folds parallel to it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from meshes.measure import Length, Pair, mm
from meshes.outline import Outline
from meshes.sheet import Built
from meshes.site import CreaseSite

from .piece import Context, OnCrease, refuse
from .strip import Strip, Tabs


class Tent(OnCrease):
    """Two panels that stand over a crease and meet in a ridge parallel to it.

    The sheet's y runs along the ridge, its origin in the middle of it; the left panel lies on
    x < 0. Folds: ``ridge`` (mountain), ``left-base``, ``right-base``. Facets: ``left``, ``right``,
    ``left-tab``, ``right-tab``.
    """

    kind: Literal["tent"] = "tent"
    distance: Annotated[tuple[float, float], Pair(mm())] = Field(
        description="distance of the feet from the crease"
    )
    panel: Annotated[tuple[float, float | None], Pair(mm(), same=False)] = Field(
        description="width from foot to ridge; one number is the left panel's, and the right "
        "one's follows so that the tent folds flat"
    )
    width: Length = Field(description="width along the crease")
    outline: Outline | None = Field(
        None, description="shape of both panels laid flat, the origin in the middle of the ridge"
    )
    holes: Annotated[list[Outline], Field(max_length=100)] = Field(
        default_factory=list, description="shapes cut out of the panels"
    )
    tab: Length = Field(8.0, description="depth of the glue tabs (common practice, no source)")
    tabs: Tabs = Field("under", description="the tabs lie outside, face up, or under the tent")

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        site = self.site(context)
        left, right = self._panels(site)
        strip = Strip(
            -left,
            (("left", left), ("right", right)),
            (("ridge", 1),),
            self.distance,
            self.width,
            self.tab,
            (self.tabs, self.tabs),
        )
        return strip.build(context, site, self.outline, self.holes)

    def _panels(self, site: CreaseSite) -> tuple[float, float]:
        """Widths of both panels, the right one so that the tent folds flat if it is not given.

        The four-bar linkage of a section across the crease folds flat if its sides add up the same
        both ways round: on a valley dR + sR = dL + sL, on a mountain sR - dR = sL - dL.
        """
        left, right = self.panel
        if right is None:
            right = left - site.sign * (self.distance[0] - self.distance[1])
        if right < 0.1:
            raise refuse(
                "panel",
                "no right panel folds flat with this left one",
                found=f"{right:.4g} mm for the right one",
                allowed="at least 0.1 mm",
                advice="a longer left panel, or feet at equal distances",
            )
        return left, right
