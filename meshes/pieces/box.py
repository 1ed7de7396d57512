"""The box: two walls over a crease, with end walls and a lid that crease in their middle."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Annotated, Literal

import numpy as np
import shapely
from pydantic import Field, model_validator
from shapely.geometry import Polygon, box

from meshes.measure import Length, complaint
from meshes.outline import Outline
from meshes.sheet import Built, Fold, Join, Placement

from .piece import Context, OnCrease, refuse
from .strip import Tabs
from .tab import tab

Middle = Literal["out", "in", "none"]
_ENDS = ("foot-end", "head-end")


class Box(OnCrease):
    """Two walls parallel to a crease, joined by end walls and a lid that are creased in the middle.

    Without end walls the box is left free and leans as its paper wants. The sheet is printed
    outside. Facets: ``left``, ``right``, ``foot-end-left``, ``foot-end-right``, ``head-end-left``,
    ``head-end-right``, ``lid-left``, ``lid-right``, and tabs ``left-tab``, ``right-tab``, ``lid-
    tab``, ``flap``. Folds: ``left-base``, ``right-base``; ``foot-end``, ``head-end``, ``lid`` in
    the middle of those walls; ``foot-end-left-edge``, ``lid-right-edge`` and so on where they meet
    the walls.
    """

    kind: Literal["box"] = "box"
    distance: Length = Field(description="distance of both walls from the crease")
    height: Length = Field(description="height of the walls")
    width: Length = Field(description="width along the crease")
    foot_end: Middle = Field(
        "out",
        description="which way the end wall towards the foot of the page folds, if there is one",
    )
    head_end: Middle = Field(
        "out",
        description="which way the end wall towards the head of the page folds, if there is one",
    )
    lid: Middle = Field("in", description="which way the lid folds, if there is one")
    holes: dict[str, Annotated[list[Outline], Field(max_length=100)]] = Field(
        default_factory=dict,
        description="shapes cut out, listed by facet; the origin is the middle of the facet's "
        "lower edge",
    )
    tab: Length = Field(8.0, description="depth of the glue tabs (common practice, no source)")
    tabs: Tabs = Field("under", description="the tabs lie outside, face up, or under the box")

    @model_validator(mode="after")
    def _holds_together(self) -> Box:
        if self.foot_end == self.head_end == self.lid == "none":
            raise complaint(
                "leaves the walls unconnected",
                key="lid",
                found="'none'",
                advice="a lid or an end wall",
            )
        return self

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        site = self.site(context)
        net = Net.of(self)
        outline = self._punched(context, net)
        sheet = context.sheet("net", outline, net.folds, net.parts, key="height")
        joins = [
            site.left.join(context.id("left-tab"), net.foot(self, -1)),
            site.right.join(context.id("right-tab"), net.foot(self, 1)),
        ]
        for facet, host, placement in net.glue(self):
            # The tabs lie inside the box, on the back of its walls.
            joins.append(Join(context.id(facet), context.id(host), placement, side=-1))
        return Built((sheet,), tuple(joins))

    def _punched(self, context: Context, net: Net) -> Polygon:
        outline = shapely.unary_union(list(net.parts.values()))
        for facet, shapes in self.holes.items():
            if facet not in net.frames:
                raise refuse(
                    f"holes.{facet}",
                    "is not a wall of this box",
                    allowed=", ".join(net.frames),
                    advice=next(iter(get_close_matches(facet, net.frames, 1)), ""),
                )
            for k, shape in enumerate(shapes):
                hole = net.frames[facet].polygon(context.drawn(f"holes.{facet}.{k + 1}", shape))
                outline = context.cut_out(f"holes.{facet}.{k + 1}", outline, hole)
        return outline


def _sign(middle: Middle) -> Literal[1, -1]:
    return 1 if middle == "out" else -1


@dataclass(frozen=True)
class Net:
    """The box laid flat, printed side up: the walls in a row, the lid above the right wall.

    Parameters
    ----------
    parts : polygons of walls and tabs by facet.
    frames : by wall, from its own coordinates (the middle of its lower edge) to the sheet's.
    """

    parts: dict[str, Polygon]
    folds: list[Fold]
    frames: dict[str, Placement]

    @classmethod
    def of(cls, piece: Box, *, under_layer: bool = False) -> Net:
        """Lay the box flat.

        Parameters
        ----------
        under_layer : a layer lies on the box and sinks in its middle, as a lid that folds in does:
            all end walls are cut lower there, not only those that fold in under such a lid.
        """
        net = cls({}, [], {})
        net.add_row(piece, _lowered(piece, under_layer))
        if piece.lid != "none":
            net.add_lid(piece)
        net.add_feet(piece)
        return net

    def add_row(self, piece: Box, lowered: frozenset[str]) -> None:
        """The walls side by side, as seen from outside."""
        cells, edges = _row(piece)
        x, high = 0.0, piece.height
        middle = {end: high - piece.distance if end in lowered else high for end in _ENDS}
        # Heights at the edges: between two halves of an end wall is its middle crease.
        tops = [high, *(middle.get(name, high) for name, _ in edges), high]
        for k, (name, width) in enumerate(cells):
            if k:
                self.folds.append(Fold(edges[k - 1][0], (x, 0.0), (x, tops[k]), edges[k - 1][1]))
            self.parts[name] = Polygon(
                [(x, 0), (x + width, 0), (x + width, tops[k + 1]), (x, tops[k])]
            )
            self.frames[name] = Placement(shift=(x + width / 2, 0.0))
            x += width
        if piece.foot_end != "none" and piece.head_end != "none":
            # A lowered wall slopes by 45 degrees away from the edge.
            room = (np.pi, np.pi / 4 if "foot-end" in lowered else np.pi)
            depth = min(piece.tab, 0.8 * piece.distance)
            self.parts["flap"] = tab((x, 0.0), (x, high), depth, room)
            self.folds.append(Fold("foot-end-left-edge", (x, 0.0), (x, high), 1))

    def add_lid(self, piece: Box) -> None:
        """The lid above the right wall; without end walls the left wall hangs on it."""
        half, width, high = piece.distance, piece.width, piece.height
        middle = self.frames["right"].shift[0]
        start, end = middle - width / 2, middle + width / 2
        for k, (name, fold) in enumerate((("lid-right", "lid-right-edge"), ("lid-left", "lid"))):
            y = high + k * half
            self.parts[name] = box(start, y, end, y + half)
            self.frames[name] = Placement(shift=(middle, y))
            self.folds.append(Fold(fold, (start, y), (end, y), _sign(piece.lid) if k else 1))
        y = high + 2 * half
        self.folds.append(Fold("lid-left-edge", (start, y), (end, y), 1))
        if "left" in self.parts:
            self.parts["lid-tab"] = tab((end, y), (start, y), min(piece.tab, 0.8 * high))
        else:
            self.parts["left"] = box(start, y, end, y + high)
            self.frames["left"] = Placement(np.pi, (middle, y + high))

    def add_feet(self, piece: Box) -> None:
        """The tabs under both walls."""
        half = piece.width / 2
        for side in ("left", "right"):
            ends = self.frames[side].apply([(-half, 0.0), (half, 0.0)])
            start, end = ((float(x), float(y)) for x, y in ends)
            self.parts[f"{side}-tab"] = tab(start, end, piece.tab)
            self.folds.append(Fold(f"{side}-base", start, end, 1 if piece.tabs == "under" else -1))

    def foot(self, piece: Box, side: int) -> Placement:
        """Where the sheet lies if the tab of that wall lies on the host, in site coordinates."""
        shift = (side * piece.distance, 0.0)
        if piece.tabs == "out":
            wall = Placement(side * np.pi / 2, shift)
        else:
            wall = Placement(-side * np.pi / 2, shift, flipped=True)
        return wall.after(self.frames["left" if side < 0 else "right"].inverse())

    def glue(self, piece: Box) -> Iterator[tuple[str, str, Placement]]:
        """Tabs that are glued on other walls of the box: facet, host, placement."""
        left, right = self.frames["left"].shift[0], self.frames["right"].shift[0]
        if "flap" in self.parts:
            front = self.frames["foot-end-left"].shift[0]
            shift = front - piece.distance / 2 - (left + piece.width / 2)
            yield "flap", "foot-end-left", Placement(shift=(shift, 0.0))
        if "lid-tab" in self.parts:
            # The lid reaches over from the right wall and hangs its tab into the left one.
            top = piece.height + piece.distance
            yield "lid-tab", "left", Placement(np.pi, (left + right, 2 * top))


def _lowered(piece: Box, under_layer: bool) -> frozenset[str]:
    """The end walls that must be lower in the middle, so that what lies on the walls clears them.

    A lid that folds in has its crease e cos(opening / 2) below the top of the walls, e the distance
    of the walls from the crease: a wall that is lower by e there stays below it at every opening.
    """
    ways = {"foot-end": piece.foot_end, "head-end": piece.head_end}
    lowered = frozenset(
        end
        for end, way in ways.items()
        if way != "none" and (under_layer or (piece.lid == "in" and way == "in"))
    )
    if lowered and piece.height < piece.distance + 1:
        raise refuse(
            "height",
            "leaves no room for the end walls under what sinks between the walls",
            found=f"{piece.height:g} mm",
            allowed=f"at least {piece.distance + 1:g} mm, 1 mm more than the distance",
        )
    return lowered


_Edge = tuple[str, Literal[1, -1]]


def _row(piece: Box) -> tuple[list[tuple[str, float]], list[_Edge]]:
    """Walls side by side as seen from outside, and the folds between them."""
    half, wall = piece.distance, piece.width
    front: list[tuple[str, float]] = [("foot-end-left", half), ("foot-end-right", half)]
    back: list[tuple[str, float]] = [("head-end-right", half), ("head-end-left", half)]
    left, right = ("left", wall), ("right", wall)
    front_edges: list[_Edge] = [("foot-end", _sign(piece.foot_end)), ("foot-end-right-edge", 1)]
    back_edges: list[_Edge] = [("head-end", _sign(piece.head_end)), ("head-end-left-edge", 1)]
    if piece.foot_end != "none" and piece.head_end != "none":
        edges: list[_Edge] = [*front_edges, ("head-end-right-edge", 1), *back_edges]
        return [*front, right, *back, left], edges
    if piece.foot_end != "none":
        return [left, *front, right], [("foot-end-left-edge", 1), *front_edges]
    if piece.head_end != "none":
        return [right, *back, left], [("head-end-right-edge", 1), *back_edges]
    return [right], []
