"""The carrier: a hidden strip that makes a crease away from the gutter."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from meshes.measure import Length
from meshes.sheet import Built

from .piece import Context, OnCrease
from .strip import Strip, Tabs


class Carrier(OnCrease):
    """A strip that makes a parallelogram with the pages, and so a crease away from the gutter.

    Pieces stand on its fold ``crease``, between its facet ``flap`` and the page beyond: it opens
    exactly as the gutter does, since opposite angles of a parallelogram are equal. The facet
    ``platform`` stays parallel to the page that carries the crease. Further folds: ``ridge``
    between flap and platform, ``far-base`` on the other page; facets ``flap-tab``,
    ``platform-tab``. The sheet's y runs along the crease, x = 0 is the ridge.
    """

    kind: Literal["carrier"] = "carrier"
    lies: Literal["left", "right"] = Field("right", description="page on which the new crease lies")
    distance: Length = Field(description="distance of the new crease from the gutter")
    flap: Length = Field(
        description="width of the short part: as far as what stands on it reaches, plus a tab"
    )
    width: Length = Field(description="width along the crease")
    tab: Length = Field(8.0, description="depth of the glue tabs (common practice, no source)")
    far_tab: Tabs = Field(
        "out", description="the tab at the far base lies outside, face up, or under"
    )

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        site = self.site(context)
        flap, platform = ("flap", self.flap), ("platform", self.distance)
        if self.lies == "right":
            strip = Strip(
                start=-self.distance,
                panels=(platform, flap),
                ridges=(("ridge", 1),),
                distances=(self.flap, self.distance),
                width=self.width,
                depth=self.tab,
                tabs=(self.far_tab, "out"),
                feet=("far-base", "crease"),
                flaps=("platform-tab", "flap-tab"),
            )
        else:
            strip = Strip(
                start=-self.flap,
                panels=(flap, platform),
                ridges=(("ridge", 1),),
                distances=(self.distance, self.flap),
                width=self.width,
                depth=self.tab,
                tabs=("out", self.far_tab),
                feet=("crease", "far-base"),
                flaps=("flap-tab", "platform-tab"),
            )
        return strip.build(context, site)
