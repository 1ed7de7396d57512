"""What tents, carriers and straps share: a strip with parallel folds, glued on both sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely.geometry import Polygon, box

from meshes.outline import Outline
from meshes.sheet import Built, Fold, Placement, Vector
from meshes.site import CreaseSite

from .piece import Context, largest
from .tab import tab

Tabs = Literal["out", "under"]


@dataclass(frozen=True)
class Strip:
    """A strip across a crease. The sheet's y runs along the crease, x from left to right.

    Parameters
    ----------
    start : x of the left foot on the sheet, mm.
    panels : name and width of each panel, from left to right, mm.
    ridges : name and sign of the fold between each two panels.
    distances : of the left and right foot from the crease, mm.
    width : along the crease, centred on y = 0, mm.
    depth : of the glue tabs, mm.
    tabs : left and right tab lie outside the foot, face up, or under the strip, out of sight.
    feet, flaps : names of the left and right foot and of their tabs.
    """

    start: float
    panels: Sequence[tuple[str, float]]
    ridges: Sequence[tuple[str, Literal[1, -1]]]
    distances: tuple[float, float]
    width: float
    depth: float
    tabs: tuple[Tabs, Tabs]
    feet: tuple[str, str] = ("left-base", "right-base")
    flaps: tuple[str, str] = ("left-tab", "right-tab")

    @property
    def end(self) -> float:
        """The x of the right foot on the sheet, mm."""
        return self.start + sum(width for _, width in self.panels)

    def build(
        self,
        context: Context,
        site: CreaseSite,
        outline: Outline | None = None,
        holes: Sequence[Outline] = (),
    ) -> Built:
        """The sheet and its joins; an outline is cut off at the feet and laid over the strip."""
        half, start, end = self.width / 2, self.start, self.end
        body = box(start, -half, end, half)
        if outline is not None:
            between = box(start, -1e4, end, 1e4)
            body = largest(body.union(context.drawn("outline", outline).intersection(between)))
        flaps = (
            tab((start, half), (start, -half), self.depth),
            tab((end, -half), (end, half), self.depth),
        )
        folds = [self._foot(k) for k in (0, 1)]
        labels: dict[str, Vector | Polygon] = dict(zip(self.flaps, flaps, strict=True))
        x = start
        low, high = body.bounds[1], body.bounds[3]
        for k, (name, width) in enumerate(self.panels):
            labels[name] = largest(body.intersection(box(x, low, x + width, high)))
            x += width
            if k < len(self.ridges):
                folds.append(_across(body, self.ridges[k], x))
        whole = context.punched(_one(body, flaps), holes)
        sheet = context.sheet("strip", whole, folds, labels)
        grounds = (site.left, site.right)
        joins = tuple(
            grounds[k].join(context.id(self.flaps[k]), self._placement(k)) for k in (0, 1)
        )
        return Built((sheet,), joins)

    def _foot(self, k: int) -> Fold:
        x, half = (self.start, self.end)[k], self.width / 2
        return Fold(self.feet[k], (x, -half), (x, half), -1 if self.tabs[k] == "out" else 1)

    def _placement(self, k: int) -> Placement:
        """Where the sheet lies if that tab lies on the host, in site coordinates."""
        x = (self.start, self.end)[k]
        place = (-self.distances[0], self.distances[1])[k]
        if self.tabs[k] == "out":
            return Placement(shift=(place - x, 0.0))
        return Placement(shift=(place + x, 0.0), flipped=True)


def _one(body: Polygon, flaps: Sequence[Polygon]) -> Polygon:
    whole = shapely.unary_union([body, *flaps])
    return whole if isinstance(whole, Polygon) else largest(whole)


def _across(body: Polygon, ridge: tuple[str, Literal[1, -1]], x: float) -> Fold:
    """A fold across the whole body at x."""
    name, sign = ridge
    line = shapely.LineString([(x, body.bounds[1] - 1), (x, body.bounds[3] + 1)])
    low, high = line.intersection(body).bounds[1::2]
    return Fold(name, (x, float(low)), (x, float(high)), sign)
