"""The blossom: layers of petals that fold flat in two halves and open as the page does."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from meshes.pieces.piece import Context, OnCrease
from meshes.sheet import Built

from .checks import check_length
from .complaints import Complaints
from .flower import Flower
from .model import Layer, LayerKeys, resolve
from .plan import plan


class Blossom(LayerKeys, OnCrease):
    """A flower of sectors between folds, folded flat in two halves when the book is closed.

    The keys of a layer may stand on the flower itself: without `layers` they describe its only
    layer, with them they hold for every layer that does not say otherwise. Facets, with the layer's
    name before them if it has layers: ``petal-1`` … counted counter-clockwise from the crease in
    front, ``flap``, ``leg-right``, ``leg-right-upper-tab``, ``leg-right-lower-tab`` and the same
    left; flat layers ``left`` and ``right``. Folds: ``fold-1`` (after petal 1) …,
    ``leg-right-upper``, ``leg-right-lower``; flat layers ``gutter``.
    """

    kind: Literal["blossom"] = "blossom"
    layers: Annotated[list[Layer], Field(max_length=12)] = Field(
        default_factory=list, description="the layers, from the lowest up; see below"
    )

    def build(self, context: Context) -> Built:
        """See :class:`meshes.pieces.piece.Piece`."""
        site = self.site(context)
        complaints = Complaints(bool(self.layers))
        plans = plan(resolve(self, self.layers), site.sign, complaints)
        flower = Flower(context, site, plans)
        parts = [flower.layer(k) for k in range(len(plans))]
        if site.name == "page.gutter":
            along = site.length / 2 if self.at is None else self.at
            check_length(plans, along, site.length, complaints)
        return Built(
            tuple(sheet for part in parts for sheet in part.sheets),
            flower.in_order([join for part in parts for join in part.joins]),
            tuple(flower.obstacles()),
            tuple(complaints.warnings),
        )
