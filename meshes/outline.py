"""Outlines drawn from a few natural numbers: petals, leaves, ellipses, stars, ferns and more.

Every shape stands on the origin, grows along +y and is symmetric about x = 0, so that its middle
line can be the ridge of a piece. Lengths are mm, angles radians; curves are flattened to within
``TOLERANCE_MM`` of the true line.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Annotated, Any, Literal, get_args

import numpy as np
import shapely
from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from .curve import (
    bezier,
    cuttable,
    flank,
    mirrored,
    quarter,
    ribbon,
    round_off,
    segments,
    solid,
    toothed,
)
from .measure import Length, Shift, Turn, Units, complaint, degrees, mm, number, shown
from .named import file_named

Share = Annotated[float, number(0, 1)]
Place = Annotated[float, number(0.1, 0.9)]  # our choice
Count = Annotated[int, Field(ge=2, le=60)]  # our choice


class Shape(BaseModel):
    """What all shapes share: an origin, and a turn about it and a shift, in that order.

    The origin is the middle of the foot, and the shape grows along +y, which is up: also for a path
    and for the edge of a picture, wherever they lay before, and for round shapes; a star and a moon
    stand there with the circle around them. Only the corners of a `polygon` are coordinates
    themselves, and `joined` keeps those of its parts.
    """

    # Built at once: several kinds of piece have outlines, and each takes what is built of them.
    model_config = ConfigDict(frozen=True, extra="forbid")

    x: Shift = Field(0.0, description="shift to the right")
    y: Shift = Field(0.0, description="shift upwards")
    turn: Turn = Field(0.0, description="turned counter-clockwise about its origin")
    flip: bool = Field(False, description="mirrored left for right, after it is turned and shifted")

    def __getstate__(self) -> dict[Any, Any]:
        """As it is now: another thread may draw it while it is packed."""
        state = super().__getstate__()
        return {**state, "__dict__": state["__dict__"].copy()}

    def polygon(self) -> Polygon:
        """The outline, one simple polygon, mm.

        Raises
        ------
        ValueError
            With a one-line reason, if the numbers make no simple polygon.
        """
        return self._polygon

    @cached_property
    def _polygon(self) -> Polygon:
        drawn = self.draw()
        if not isinstance(drawn, Polygon) or drawn.is_empty:
            raise ValueError("the outline falls apart")
        if not drawn.is_valid:
            raise ValueError(f"the outline crosses itself: {shapely.is_valid_reason(drawn)}")
        if drawn.area < 1e-3:
            raise ValueError("the outline has no area")
        drawn = cuttable(drawn)
        turned = affinity.rotate(drawn, self.turn, origin=(0, 0), use_radians=True)
        moved = affinity.translate(turned, self.x, self.y)
        if self.flip:
            moved = affinity.scale(moved, -1, 1, origin=(0, 0))
        return shapely.orient_polygons(moved)

    def draw(self) -> Polygon:
        """The outline before it is turned and moved."""
        raise NotImplementedError


class Rectangle(Shape):
    """A rectangle, its corners rounded if wished."""

    shape: Literal["rectangle"] = "rectangle"
    length: Length = Field(description="length along y")
    width: Length = Field(description="width along x")
    round: Annotated[float, mm(0, 1000)] = Field(0.0, description="radius of the corners")
    top_width: Length | None = Field(None, description="width at the top, else the same")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        low, high = self.width / 2, (self.width if self.top_width is None else self.top_width) / 2
        corners = Polygon([(-low, 0), (low, 0), (high, self.length), (-high, self.length)])
        if not self.round:
            return corners
        inner = corners.buffer(-self.round, join_style="mitre")
        if inner.is_empty:
            raise ValueError(f"the corners are rounder than the rectangle: {self.round:g} mm")
        return inner.buffer(self.round, quad_segs=quarter(self.round))


class Ellipse(Shape):
    """An ellipse; a circle if length and width agree."""

    shape: Literal["ellipse"] = "ellipse"
    length: Length = Field(description="length along y")
    width: Length | None = Field(None, description="width along x; else it is a circle")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        wide, high = (self.width or self.length) / 2, self.length / 2
        t = np.linspace(0, np.pi, segments(max(wide, high)))
        return mirrored(np.column_stack([wide * np.sin(t), high - high * np.cos(t)]))


class Polygonal(Shape):
    """A polygon through given corners."""

    shape: Literal["polygon"] = "polygon"
    corners: Annotated[list[tuple[Shift, Shift]], Field(min_length=3, max_length=2000)] = Field(
        description="`[[x, y], …]`, counter-clockwise or clockwise, not closed"
    )
    round: Annotated[float, mm(0, 200)] = Field(0.0, description="radius of the corners")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        drawn = Polygon(self.corners)
        if not self.round or not drawn.is_valid:
            return drawn
        # Open, then close: rounds the corners that point out and those that point in.
        r, n = self.round, quarter(self.round)
        return drawn.buffer(-r, n).buffer(2 * r, n).buffer(-r, n)


class Petal(Shape):
    """A petal: narrow at its base, widest towards its tip."""

    shape: Literal["petal"] = "petal"
    length: Length = Field(description="length from base to tip")
    width: Length = Field(description="width where it is widest")
    base: Annotated[float, mm(0, 1000)] = Field(0.0, description="width at the base")
    point: Share = Field(0.25, description="how pointed the tip is: 0 round, 1 sharp")  # our choice
    # Our choice.
    fullness: Share = Field(0.5, description="how full the flanks are: 0 straight, 1 full")
    # Our choice.
    widest: Place = Field(0.62, description="place of the widest part, share of the length")
    notch: Annotated[float, number(0, 0.4)] = Field(
        0.0, description="depth of a notch in the tip, share of the length"
    )

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        if self.base > self.width:
            raise ValueError("the base is wider than the petal")
        edge = flank(self.length, self.width, self.base, self.widest, self.point, self.fullness)
        petal = mirrored(edge)
        if not self.notch:
            return petal
        deep, wide = self.notch * self.length, self.width * 0.3
        tooth = Polygon(
            [(0, self.length - deep), (wide, self.length + 1), (-wide, self.length + 1)]
        )
        return round_off(petal.difference(tooth), self.width * 0.06)


class Leaf(Shape):
    """A leaf: pointed at both ends, its midrib straight; toothed or lobed if wished."""

    shape: Literal["leaf"] = "leaf"
    length: Length = Field(description="length from base to tip")
    width: Length = Field(description="width where it is widest")
    base: Annotated[float, mm(0, 1000)] = Field(0.0, description="width at the base")
    point: Share = Field(0.8, description="how pointed the tip is: 0 round, 1 sharp")  # our choice
    # Our choice.
    fullness: Share = Field(0.45, description="how full the flanks are: 0 straight, 1 full")
    # Our choice.
    widest: Place = Field(0.4, description="place of the widest part, share of the length")
    teeth: Annotated[int, Field(ge=0, le=60)] = Field(0, description="teeth on each side")
    # Our choice.
    depth: Annotated[float, number(0, 0.9)] = Field(
        0.25, description="depth of the teeth, share of the width there"
    )

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        if self.base > self.width:
            raise ValueError("the base is wider than the leaf")
        edge = flank(self.length, self.width, self.base, self.widest, self.point, self.fullness)
        return mirrored(toothed(edge, self.teeth, self.depth) if self.teeth else edge)


class Fern(Shape):
    """A frond: pairs of leaflets that shrink towards the tip, on a midrib."""

    shape: Literal["fern"] = "fern"
    length: Length = Field(description="length from base to tip")
    width: Length = Field(description="width where it is widest")
    leaflets: Count = Field(9, description="leaflets on each side")  # our choice
    # Our choice.
    rise: Annotated[float, degrees(10, 90)] = Field(
        math.radians(58), description="angle between leaflet and midrib"
    )
    # Our choice.
    stem: Annotated[float, mm(0.3, 50)] = Field(2.4, description="width of the midrib at its base")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        rib = Polygon(
            [
                (-self.stem / 2, 0),
                (self.stem / 2, 0),
                (0.3, self.length * 0.97),
                (-0.3, self.length * 0.97),
            ]
        )
        places = np.linspace(0.14, 0.93, self.leaflets)
        gap = self.length * (places[1] - places[0]) / np.sin(self.rise)
        parts = [rib]
        for t in places:
            # Slender at the foot, widest at a third, fading out to the tip.
            reach = self.width / 2 * float(np.interp(t, [0.1, 0.34, 1.0], [0.62, 1.0, 0.13]))
            reach /= float(np.sin(self.rise))
            leaflet = Leaf(
                length=reach, width=min(gap * 0.74, reach * 0.5), point=0.5, widest=0.45
            ).draw()
            corners = shapely.get_coordinates(leaflet)
            for turn in (self.rise, -self.rise):
                c, s = math.cos(turn), math.sin(turn)
                turned = corners @ np.array([[c, s], [-s, c]]) + [0.0, t * self.length]
                parts.append(Polygon(turned))
        tip = Leaf(length=self.length * 0.1, width=self.width * 0.09, point=0.6).draw()
        parts.append(affinity.translate(tip, 0, self.length * 0.9))
        return solid(parts)


class Heart(Shape):
    """A heart, standing on its point."""

    shape: Literal["heart"] = "heart"
    length: Length = Field(description="length from the point to the top of the lobes")
    width: Length | None = Field(None, description="width; else 1.1 times the length")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        wide = (self.width or 1.1 * self.length) / 2
        right = bezier([(0, 0), (0.35, 0.22), (1.0, 0.45), (1.0, 0.74)])
        lobe = bezier([(1.0, 0.74), (1.0, 1.02), (0.42, 1.16), (0.0, 0.8)])
        curve = np.vstack([right, lobe[1:]])
        curve[:, 1] /= curve[:, 1].max()
        curve[:, 0] /= curve[:, 0].max()
        return mirrored(curve * (wide, self.length))


class Star(Shape):
    """A star, with rounded tips if wished; many short rays make a sun."""

    shape: Literal["star"] = "star"
    length: Length = Field(description="diameter across the tips")
    rays: Count = Field(5, description="number of rays")  # our choice
    # Our choice.
    inner: Annotated[float, number(0.1, 0.97)] = Field(
        0.45, description="radius between the rays, share of the outer one"
    )
    round: Annotated[float, mm(0, 50)] = Field(0.0, description="radius of the tips")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        turns = np.pi / 2 + np.arange(2 * self.rays) * np.pi / self.rays
        radius = np.where(np.arange(2 * self.rays) % 2, self.inner, 1.0) * self.length / 2
        star = Polygon(np.column_stack([radius * np.cos(turns), radius * np.sin(turns)]))
        star = affinity.translate(star, 0, self.length / 2)
        return round_off(star, self.round) if self.round else star


class Rosette(Shape):
    """A flat flower seen from above: round lobes about a middle; shallow ones make a scallop."""

    shape: Literal["rosette"] = "rosette"
    length: Length = Field(description="diameter across the lobes")
    lobes: Count = Field(6, description="number of lobes")  # our choice
    # Our choice.
    depth: Annotated[float, number(0.02, 0.9)] = Field(
        0.35, description="depth between the lobes, share of the radius"
    )

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        # Measured from the top, where there is a lobe.
        t = np.linspace(np.pi, 0, max(400, 30 * self.lobes))
        lobed = np.abs(np.cos(self.lobes * t / 2)) ** 0.7
        radius = self.length / 2 * (1 - self.depth + self.depth * lobed)
        return mirrored(np.column_stack([radius * np.sin(t), self.length / 2 + radius * np.cos(t)]))


class Cloud(Shape):
    """A cloud or a bush: round puffs on a flat foot."""

    shape: Literal["cloud"] = "cloud"
    length: Length = Field(description="height")
    width: Length = Field(description="width of the foot")
    # Our choice.
    puffs: Annotated[int, Field(ge=2, le=20)] = Field(5, description="number of puffs")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        places = np.linspace(-1, 1, self.puffs)
        radius = self.width / (self.puffs + 1)
        parts = [box(-self.width / 2 + radius / 2, 0, self.width / 2 - radius / 2, radius)]
        for place in places:
            high = (self.length - radius) * (1 - place**2) ** 0.6
            middle = (place * (self.width / 2 - radius), max(high, radius * 0.55))
            puff = Point(middle).buffer(radius, quarter(radius))
            parts += [puff, box(middle[0] - radius * 0.9, 0, middle[0] + radius * 0.9, middle[1])]
        return solid(parts).intersection(box(-self.width, 0, self.width, self.length))


class Cap(Shape):
    """The cap of a mushroom, or any dome: an arch over a sagging lower edge."""

    shape: Literal["cap"] = "cap"
    length: Length = Field(description="height")
    width: Length = Field(description="width of the rim")
    # Our choice.
    sag: Share = Field(0.2, description="how far the lower edge is drawn up, share of the height")
    fullness: Share = Field(
        0.55, description="shape of the dome: 0 pointed like a hat, 1 full like a bell"
    )  # our choice

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        wide, high = self.width / 2, self.length
        rim = high * 0.12
        lower = bezier(
            [(0, self.sag * high), (wide * 0.5, self.sag * high), (wide * 0.8, 0), (wide * 0.94, 0)]
        )
        lip = bezier(
            [(wide * 0.94, 0), (wide * 1.01, 0), (wide * 1.01, rim), (wide * 0.985, rim * 1.6)]
        )
        k = 0.25 + 0.6 * self.fullness
        upper = bezier(
            [
                (wide * 0.985, rim * 1.6),
                (wide * (0.8 + 0.15 * k), high * k),
                (wide * k * 0.9, high),
                (0, high),
            ]
        )
        return mirrored(np.vstack([lower, lip[1:], upper[1:]]))


class Drop(Shape):
    """A drop or a flame: round below, pointed above."""

    shape: Literal["drop"] = "drop"
    length: Length = Field(description="height")
    width: Length = Field(description="width where it is widest")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        wide, high = self.width / 2, self.length
        low = bezier([(0, 0), (0.6 * wide, 0), (wide, 0.15 * high), (wide, 0.36 * high)])
        up = bezier(
            [(wide, 0.36 * high), (wide, 0.6 * high), (0.12 * wide, 0.78 * high), (0, high)]
        )
        return mirrored(np.vstack([low, up[1:]]))


class Grass(Shape):
    """A tuft: pointed blades that lean out from one foot."""

    shape: Literal["grass"] = "grass"
    length: Length = Field(description="length of the middle blade")
    width: Length = Field(description="width across the tips")
    # Our choice.
    blades: Annotated[int, Field(ge=1, le=40)] = Field(7, description="number of blades")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        places = np.linspace(-1, 1, self.blades) if self.blades > 1 else np.zeros(1)
        foot = self.width * 0.32
        blade = max(self.width / (self.blades + 2) * 0.62, 0.6)
        parts = [box(-foot - blade / 2, 0, foot + blade / 2, self.length * 0.06)]
        for k, place in enumerate(places):
            high = (
                self.length
                * (1 - 0.42 * abs(place))
                * (0.86 if (k - self.blades // 2) % 2 else 1.0)
            )
            root, tip = place * foot, place * self.width / 2
            ribs = bezier(
                [
                    (root, 0),
                    (root, high * 0.45),
                    (root + (tip - root) * 0.4, high * 0.8),
                    (tip, high),
                ]
            )
            parts.append(ribbon(ribs, blade))
        return solid(parts)


class Moon(Shape):
    """A crescent, open to the right."""

    shape: Literal["moon"] = "moon"
    length: Length = Field(description="diameter of the disc")
    # Our choice.
    phase: Annotated[float, number(0.1, 0.9)] = Field(
        0.45, description="thickness, as a share of the disc"
    )

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        r = self.length / 2
        disc = Point(0, r).buffer(r, quarter(r))
        return round_off(
            disc.difference(Point(2 * r * self.phase, r).buffer(r * 0.92, quarter(r))), r * 0.02
        )


class Ring(Shape):
    """A ring."""

    shape: Literal["ring"] = "ring"
    length: Length = Field(description="outer diameter")
    width: Length = Field(description="width of the band")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        r = self.length / 2
        if self.width >= r:
            raise ValueError("the band is wider than the ring")
        disc = Point(0, r).buffer(r, quarter(r))
        return disc.difference(Point(0, r).buffer(r - self.width, quarter(r)))


class SvgPath(Shape):
    """A line drawn elsewhere, given as the path data of an SVG; y runs down as in SVG."""

    shape: Literal["path"] = "path"
    path: Annotated[str, Field(min_length=5, max_length=100_000)] = Field(
        description="`M … C … Z`; the first closed line is the outline, others inside it are holes"
    )
    length: Length = Field(description="height from its foot to its tip; the width follows")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        from .traced import from_path

        return from_path(self.path, self.length)


class Traced(Shape):
    """The edge of what an image shows on a transparent ground (PNG or WebP)."""

    shape: Literal["traced"] = "traced"
    file: str = Field(description="beside the design file or in a folder below it")
    length: Length = Field(description="height of what it shows; the width follows")
    grow: Annotated[float, mm(-20, 20)] = Field(
        0.0,
        description="width of the white border around it; below 0 it is cut inside its own edge",
    )

    @field_validator("file", mode="after")
    @classmethod
    def _found(cls, name: str, info: ValidationInfo) -> str:
        """The file's full name, since a shape does not know its design."""
        folder = info.context.folder if isinstance(info.context, Units) else Path()
        path = file_named(folder, name)
        if Path(name).is_absolute() or not path.is_relative_to(folder.resolve()):
            raise complaint("lies outside the design's folder", found=shown(name))
        return str(path)

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        from .traced import from_image

        return from_image(Path(self.file), self.length, self.grow)


class Joined(Shape):
    """Several shapes in one piece of paper; they must overlap."""

    shape: Literal["joined"] = "joined"
    parts: Annotated[list[Outline], Field(min_length=1, max_length=100)] = Field(
        description="shapes, each with its own x, y, turn"
    )
    both_sides: bool = Field(False, description="add the same parts again, mirrored left for right")

    def draw(self) -> Polygon:
        """See :class:`Shape`."""
        parts = [part.polygon() for part in self.parts]
        if self.both_sides:
            parts += [affinity.scale(part, -1, 1, origin=(0, 0)) for part in parts]
        return shapely.unary_union(parts)


Outline = Annotated[
    Rectangle
    | Ellipse
    | Polygonal
    | Petal
    | Leaf
    | Fern
    | Heart
    | Star
    | Rosette
    | Cloud
    | Cap
    | Drop
    | Grass
    | Moon
    | Ring
    | SvgPath
    | Traced
    | Joined,
    Field(discriminator="shape"),
]
Joined.model_rebuild()
# Every shape by its name.
SHAPES: Mapping[str, type[Shape]] = {
    shape.model_fields["shape"].default: shape for shape in get_args(get_args(Outline)[0])
}
