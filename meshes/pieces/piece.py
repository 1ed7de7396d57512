"""What every kind of piece shares: its model, the context it is built in, how it complains."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Annotated, ClassVar, Literal

import numpy as np
import shapely
from pydantic import BaseModel, ConfigDict, Field
from shapely.geometry import Polygon

from meshes.errors import DesignError, Mistake
from meshes.measure import Shift, Turn, degrees, number
from meshes.outline import Outline
from meshes.sheet import (
    Built,
    Crossing,
    Facet,
    Fold,
    Glow,
    Join,
    Paper,
    Placement,
    Sheet,
    Vector,
    cut,
    sound,
)
from meshes.site import CreaseSite, Ground

from .artwork import ImageSpec, LetteringSpec
from .curl import CurlSpec

Side = Literal["front", "back"]
Colour = Annotated[str, Field(pattern=r"^#[0-9a-fA-F]{6}$")]


class FoldSpec(BaseModel):
    """What the paper of one fold wants where nothing else decides.

    Only paper that the folds leave free minds: its rest angles and stiffnesses settle where it
    stays.

    Free paper leans on the pages, on what it stands on, on every facet that it can reach and on its
    own other facets, corner on sheet or edge across edge, and stays on the side it came from. Paper
    that the folds determine does not give way; free pieces that touch push each other aside, in
    whatever order the file names them. Where other paper would stop it, the report names the fold,
    the piece in its way, the opening and how deep it would cut in; the pictures then show it
    passing through. Slipping off the other piece is reported as a snap, and that it could lie on
    both sides as two ways to fold.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    rest: Annotated[float, degrees(0, 180)] | None = Field(
        None, description="angle that the fold springs to: 0 flat, 180 shut"
    )
    stiffness: Annotated[float, number(0.001, 1000)] | None = Field(
        None, description="how hard it springs back: an ordinary fold has 1"
    )


# A kind is a subclass with its own keys and its own `build`.
class Piece(BaseModel):
    """Keys that every piece has.

    Attributes
    ----------
    stands_on : what the kind can stand on, a crease or a facet.
    """

    model_config = ConfigDict(
        frozen=True, extra="forbid", defer_build=True, arbitrary_types_allowed=True
    )
    stands_on: ClassVar[Literal["crease", "facet"]] = "crease"

    kind: str
    on: str = Field(
        "gutter",
        description="crease or facet it stands on, as in `gutter`, `page.left`, `fern.ridge`",
    )
    side: Side = Field("front", description="side of the crease or facet it stands on")
    paper: str = Field("card", description="one of the papers")
    printed: Side = Field("front", description="`back` turns the sheet over")
    front: Colour | None = Field(None, description="colour of the printed side, else the paper's")
    back: Colour | None = Field(None, description="colour of the other side, else the paper's")
    folds: dict[str, FoldSpec] = Field(
        default_factory=dict, description="`rest` and `stiffness` of folds by name"
    )
    images: list[ImageSpec] = Field(
        default_factory=list, max_length=50, description="pictures printed on it"
    )
    lettering: list[LetteringSpec] = Field(
        default_factory=list, max_length=50, description="lines of text printed on it"
    )
    curl: list[CurlSpec] = Field(
        default_factory=list, max_length=50, description="parts of it that are rolled over a rod"
    )
    # Our choice.
    glow: Annotated[float, number(0, 10)] = Field(
        0.0,
        description="light that comes out of its paper, as of a window lit from inside: with 1, in "
        "the evening, as much as white paper beside it shows; none with 0",
    )
    # Our choice: between a candle and a filament lamp.
    glow_colour: Colour = Field("#ffb765", description="colour of the lamp in or behind it")

    @property
    def hosts(self) -> tuple[str, ...]:
        """Creases and facets of other pieces that must exist before this one."""
        return (self.on,)

    def build(self, context: Context) -> Built:
        """Sheets, folds and joins of this piece.

        Raises
        ------
        DesignError
            If the numbers make no sheet; see :func:`refuse`.
        """
        raise NotImplementedError


class OnCrease(Piece):
    """A piece that stands across a crease."""

    at: Shift | None = Field(
        None, description="place along the crease, from its start; else the middle"
    )

    def site(self, context: Context) -> CreaseSite:
        """The crease it stands on, with the origin at `at`."""
        site = context.crease(self.on, 1 if self.side == "front" else -1)
        at = site.length / 2 if self.at is None else self.at
        if not 0 <= at <= site.length:
            raise refuse(
                "at",
                "lies beyond the end of the crease",
                found=f"{at:g} mm",
                allowed=f"0 to {site.length:.4g} mm",
            )
        return along(site, at)


class OnFacet(Piece):
    """A piece that lies on a facet."""

    stands_on: ClassVar[Literal["crease", "facet"]] = "facet"

    on: str = Field(description="page or facet it lies on, as in `page.left`, `fern.right`")
    x: Shift | None = Field(
        None, description="place on the facet, in the coordinates of its sheet; else the middle"
    )
    y: Shift | None = Field(None, description="as x, upwards")
    turn: Turn = Field(0.0, description="turned counter-clockwise")

    def ground(self, context: Context) -> Ground:
        """The facet it lies on, with the origin at x, y and the axes turned."""
        ground = context.facet(self.on, 1 if self.side == "front" else -1)
        middle = ground.placement.inverse().apply(np.array(context.middle(self.on)))
        x = float(middle[0]) if self.x is None else self.x
        y = float(middle[1]) if self.y is None else self.y
        return replace(ground, placement=ground.placement.after(Placement(self.turn, (x, y))))


@dataclass(frozen=True)
class Context:
    """What a piece is built in: its name, its paper, and the creases and facets made so far.

    Parameters
    ----------
    name : of the piece.
    front, back : sRGB colours of the two sides, the piece's own or else the paper's.
    crease : name and side to site; the name is ``gutter``, ``piece.fold``. DesignError if there is
        none.
    facet : name and side to ground, in the coordinates of the facet's sheet (on the back with x
        mirrored). DesignError if there is none.
    middle : name of a facet to a point well inside it, in the coordinates of its sheet, mm.
    folds : rest angle and stiffness by fold name.
    papers : every paper of the design by name, for pieces whose parts have papers of their own.
    folder : of the design file; files that a piece names lie in it.
    page : width and height of one page, mm.
    """

    name: str
    paper: Paper
    front: str
    back: str
    crease: Callable[[str, Literal[1, -1]], CreaseSite]
    facet: Callable[[str, Literal[1, -1]], Ground]
    middle: Callable[[str], Vector]
    folds: Mapping[str, FoldSpec] = field(default_factory=dict)
    papers: Mapping[str, Paper] = field(default_factory=dict)
    folder: Path = Path()
    # Source: ISO 216, A5.
    page: tuple[float, float] = (148.0, 210.0)

    def on_paper(
        self, name: str | None, front: str | None = None, back: str | None = None
    ) -> Context:
        """The same context for a part with its own paper (None: the piece's) or its own colours.

        Raises
        ------
        DesignError
            If there is no paper of that name.
        """
        if name is None:
            return replace(self, front=front or self.front, back=back or self.back)
        if name not in self.papers:
            raise refuse("paper", "is not one of the papers", name, ", ".join(self.papers))
        paper = self.papers[name]
        return replace(self, paper=paper, front=front or paper.front, back=back or paper.back)

    def sheet(
        self,
        name: str,
        outline: Polygon,
        folds: Sequence[Fold],
        labels: Mapping[str, Vector | Polygon],
        key: str = "outline",
    ) -> Sheet:
        """Cut a sheet of this piece along its folds.

        Parameters
        ----------
        labels : facet name to a point inside that facet, or to the polygon that it is before holes
            are cut, mm.
        key : what to blame if that can't be done.
        """
        folds = [self._with_spec(fold) for fold in folds]
        try:
            outline = sound(outline)
            points = {facet: _point(label, outline) for facet, label in labels.items()}
            facets, crossings = cut(outline, folds, points)
        except ValueError as error:
            raise refuse(key, f"does not make a sound sheet: {error}") from None
        return Sheet(
            name,
            self.name,
            self.paper,
            self.front,
            self.back,
            facets,
            crossings,
            uncut=shapely.orient_polygons(outline),
        )

    def drawn(self, key: str, shape: Outline, holes: Sequence[Outline] = ()) -> Polygon:
        """The polygon of an outline, mm, less its holes; `key` is to blame if there is none."""
        try:
            polygon = shape.polygon()
        except ValueError as error:
            raise refuse(key, str(error)) from None
        return self.punched(polygon, holes)

    def punched(self, polygon: Polygon, holes: Sequence[Outline]) -> Polygon:
        """The polygon less its holes; the key ``holes`` is to blame if it falls apart."""
        for k, hole in enumerate(holes):
            key = f"holes.{k + 1}"
            polygon = self.cut_out(key, polygon, self.drawn(key, hole))
        return polygon

    def cut_out(self, key: str, polygon: Polygon, hole: Polygon) -> Polygon:
        """The polygon less a hole; `key` is to blame if it falls apart."""
        rest = polygon.difference(hole)
        if not isinstance(rest, Polygon) or rest.is_empty:
            raise refuse(key, "cuts the sheet apart")
        return rest

    def id(self, facet: str) -> str:
        """The id of a facet of this piece."""
        return f"{self.name}.{facet}"

    def _with_spec(self, fold: Fold) -> Fold:
        spec = self.folds.get(fold.name)
        if spec is None:
            return fold
        return replace(
            fold,
            rest=fold.rest if spec.rest is None else spec.rest,
            stiffness=fold.stiffness if spec.stiffness is None else spec.stiffness,
        )


def along(site: CreaseSite, at: float) -> CreaseSite:
    """The same crease with the origin moved along it, mm."""
    move = Placement(shift=(0.0, at))
    return replace(
        site,
        left=replace(site.left, placement=site.left.placement.after(move)),
        right=replace(site.right, placement=site.right.placement.after(move)),
    )


def refuse(
    key: str, problem: str, found: str = "", allowed: str = "", advice: str = ""
) -> DesignError:
    """The error that a generator raises; file and piece are filled in by the reader."""
    return DesignError([Mistake("", problem, "", key, found, allowed, advice)])


def lit(built: Built, strength: float, colour: str) -> Built:
    """The same paper with a lamp in or behind it."""
    glow = Glow(strength, colour)
    return replace(built, sheets=tuple(replace(sheet, glow=glow) for sheet in built.sheets))


def turn_over(built: Built) -> Built:
    """The same paper moved the same way, but printed on the other side.

    The printed face of a sheet looks along +z of its frame, so every sheet's frame is turned over:
    x is mirrored, mountains become valleys and joins change with them.
    """
    over = Placement(flipped=True)
    own = {f"{sheet.piece}.{facet.name}" for sheet in built.sheets for facet in sheet.facets}

    pieces = {sheet.piece for sheet in built.sheets}

    def join(old: Join) -> Join:
        placement = old.placement.after(over)
        if old.host not in own:
            return replace(old, placement=placement)
        return replace(old, placement=over.after(placement), side=1 if old.side == -1 else -1)

    def ground(old: Ground) -> Ground:
        if old.facet not in own:
            return old
        side: Literal[1, -1] = 1 if old.side == -1 else -1
        return replace(old, placement=over.after(old.placement), side=side)

    return replace(
        built,
        sheets=tuple(_sheet_over(sheet, over) for sheet in built.sheets),
        joins=tuple(join(old) for old in built.joins),
        obstacles=tuple(
            replace(old, side=1 if old.side == -1 else -1) if old.host in pieces else old
            for old in built.obstacles
        ),
        drives=tuple(
            replace(old, join=join(old.join), axis=(-old.axis[0], old.axis[1]), reach=-old.reach)
            if old.kind == "turn"
            else replace(old, join=join(old.join), axis=(-old.axis[0], old.axis[1]))
            for old in built.drives
        ),
        creases=tuple(
            replace(old, left=ground(old.left), right=ground(old.right)) for old in built.creases
        ),
    )


def _sheet_over(sheet: Sheet, over: Placement) -> Sheet:
    def point(p: Vector) -> Vector:
        return (-p[0], p[1])

    def fold(f: Fold) -> Fold:
        return replace(f, start=point(f.start), end=point(f.end), sign=1 if f.sign == -1 else -1)

    return replace(
        sheet,
        facets=tuple(
            Facet(f.name, shapely.orient_polygons(over.polygon(f.polygon))) for f in sheet.facets
        ),
        # Mirrored, what lay left of the fold lies right of it.
        crossings=tuple(Crossing(fold(c.fold), c.right, c.left) for c in sheet.crossings),
        uncut=None if sheet.uncut is None else shapely.orient_polygons(over.polygon(sheet.uncut)),
    )


def polar(length: float, direction: float) -> Vector:
    """The point at a distance (mm) in a direction (radians, counter-clockwise from +x)."""
    return (float(length * np.cos(direction)), float(length * np.sin(direction)))


def inside(polygon: Polygon) -> Vector:
    """A point inside a polygon."""
    point = polygon.representative_point()
    return (float(point.x), float(point.y))


def _point(label: Vector | Polygon, outline: Polygon) -> Vector:
    if not isinstance(label, Polygon):
        return label
    left = largest(label.intersection(outline))
    if left.is_empty:
        raise ValueError("a hole takes a whole facet away")
    return inside(left)


def largest(shape: shapely.Geometry) -> Polygon:
    """The largest polygon of a shape; scraps that hang on by a point or not at all fall off."""
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    return max(parts, key=lambda part: part.area, default=Polygon())
