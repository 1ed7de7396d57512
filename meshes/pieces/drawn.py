"""Sheets drawn by hand as SVG, glued where the drawing or the design file says."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence, Set
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from meshes.drawn import Drawing, DrawnArea, DrawnSheet, letters, placement, read
from meshes.drawn.tree import MOST_BYTES, DrawingError
from meshes.measure import Shift, Turn, number
from meshes.named import file_named
from meshes.sheet import Built, Join, Obstacle, Placement, Sheet

from .by_hand import by_hand
from .piece import Context, OnCrease, Side, refuse

_MOST_FILES = 1000  # our choice
# Hosts of what lands on the drawn spread, until they are replaced by those of the real crease.
_LEFT, _RIGHT = "page.crease-left", "page.crease-right"


class GluePlace(BaseModel):
    """Where one lettered area of a drawing is glued."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    on: str = Field(description="page or facet, as in `page.left`, `fern.right`")
    side: Side = Field("front", description="side of that page or facet")
    x: Shift = Field(0.0, description="place of the area's middle in the coordinates of its sheet")
    y: Shift = Field(0.0, description="as x, upwards")
    turn: Turn = Field(0.0, description="turned counter-clockwise")
    face: Literal["up", "down"] = Field("up", description="which way the area's printed side looks")


class Drawn(OnCrease):
    """Whatever an SVG draws: outlines, slits, folds and lettered glue areas.

    What a line is, its class says, or the first word of its label or of its layer's (``cut``,
    ``Mountain folds``, ``glue-A``: any case, the plural too), or the first part of its id (as in
    ``valley-rib``, which also names it): ``cut`` outlines and windows, ``slit`` cuts that take no
    paper away, ``valley`` and ``mountain`` straight folds as seen from the printed side, ``glue``
    the area that is glued and ``place`` the area where it lands, both with the same letter
    (``glue-A``, ``place-A``), ``name`` a dot or word that names the facet it lies on. Other lines,
    and everything in a layer ``notes``, are left alone. Draw one sheet in each group called
    ``sheet``, or several outlines side by side. `foldstage drawing FILE.svg` says what each line is
    taken for, and with `-o` draws it.

    A place is a copy of its glue area, such as a ``use`` of it with the class ``place``, turned to
    where it lands, and mirrored if the printed side looks down there: on another sheet of the
    drawing, or on the open spread drawn in a group called ``spread``, whose line ``gutter`` runs
    from `at` up the crease named by `on`. What lies left of it is glued to the left facet. Letters
    that have no place in the drawing are placed by `places`.

    A sheet that a hand moves lies where its glue area lands, without glue: it turns about a dot
    ``pin`` (`data-turn-deg`, else once round), slides from the start of a line ``track`` to its
    end, or is a page that turns about its edge ``spine`` in the gutter, with the creases ``before``
    and ``behind`` of a flyleaf. `foldstage film DESIGN --by-hand NAME` films that.

    The file has a size in mm, cm or in, or `scale`; curves become chords within 0.05 mm. Folds that
    nearly meet, up to 0.3 mm, are taken to meet, and a mechanism that misses closing by no more
    than that is moved to the nearest one that closes exactly. No document types, entities, links
    to other files or scripts; at most 5 MB and 100,000 points, 100 folds in a sheet, and 4,000
    corners of its outline that turn by more than 0.05 mm.
    """

    kind: Literal["drawn"] = "drawn"
    file: str = Field(
        description="the SVG, beside the design file or in a folder below it; or such a folder, "
        "whose SVGs are read as one drawing"
    )
    scale: Annotated[float, number(1e-4, 1e4)] | None = Field(
        None, description="millimetres in one unit of the drawing, if it has no size of its own"
    )
    places: dict[str, GluePlace] = Field(
        default_factory=dict, description="where glue areas land, by letter"
    )
    above: dict[str, str] = Field(
        default_factory=dict,
        description="for sheets left free: the sheet whose printed side each of them keeps to, "
        "as in "
        '`{ inner = "outer" }`',
    )

    @property
    def hosts(self) -> tuple[str, ...]:
        """Creases and facets that must exist before this piece."""
        return (self.on, *(place.on for place in self.places.values()))

    def build(self, context: Context) -> Built:
        """See :class:`Piece`."""
        try:
            drawing = read(self._data(context), self.scale)
            joins = self._joins(context, drawing)
        except DrawingError as error:
            raise refuse("file", f"{self.file}: {error}") from None
        sheets = _sheets(context, drawing)
        if not all(sheet.exact for sheet in drawing.sheets):
            drawing, joins = self._trued(context, drawing, sheets, joins)
        joins = [self._glued_down(context, join) for join in joins]
        try:
            moved = by_hand(context, drawing, _facet_names(drawing), joins)
        except DrawingError as error:
            raise refuse("file", f"{self.file}: {error}") from None
        sheets = _sheets(context, moved.drawing)
        return Built(
            sheets,
            moved.joins,
            self._obstacles(context, sheets, moved.joins),
            drives=moved.drives,
            creases=moved.creases,
        )

    def _obstacles(
        self, context: Context, sheets: Sequence[Sheet], joins: Sequence[Join]
    ) -> tuple[Obstacle, ...]:
        """For each pair of `above`, the paper of one sheet that keeps to the front of another."""
        facets = {s.name: {context.id(facet.name) for facet in s.facets} for s in sheets}
        for upper, lower in self.above.items():
            for name in (upper, lower):
                if name not in facets:
                    raise refuse(
                        f"above.{upper}",
                        "names no sheet of the drawing",
                        found=repr(name),
                        allowed=", ".join(facets),
                    )
        found = [
            _kept_above(context.name, facets[upper], facets[lower], joins)
            for upper, lower in self.above.items()
        ]
        return tuple(obstacle for obstacle in found if obstacle.facets)

    def _trued(
        self, context: Context, drawing: Drawing, sheets: tuple[Sheet, ...], joins: list[Join]
    ) -> tuple[Drawing, list[Join]]:
        """The drawing as it must be meant, where a hand's inaccuracy keeps it from moving."""
        # It moves the sheets, and the solver is slow to load.
        from meshes.drawn import true_up

        crease = true_up.crease(context.paper)
        inner = [
            join
            for join in joins
            if join.host in (_LEFT, _RIGHT) or join.host.startswith(f"{context.name}.")
        ]
        crosses = any(join.host in (_LEFT, _RIGHT) for join in inner)
        valley = not crosses or self.site(context).sign == -1
        found = true_up.true_up([crease, *sheets], inner, valley)
        if found is None:
            return drawing, joins
        trued = tuple(
            sheet.moved(*points)
            for sheet, points in zip(drawing.sheets, found.points[1:], strict=True)
        )
        placed = dict(zip([id(join) for join in inner], found.placements, strict=True))
        joins = [replace(j, placement=placed.get(id(j), j.placement)) for j in joins]
        return replace(drawing, sheets=trued), joins

    def _glued_down(self, context: Context, join: Join) -> Join:
        """A join with the crease's own facets for those of the drawn spread."""
        if join.host not in (_LEFT, _RIGHT):
            return join
        site = self.site(context)
        ground = site.left if join.host == _LEFT else site.right
        return ground.join(join.facet, join.placement)

    def _data(self, context: Context) -> list[bytes]:
        """The bytes of the file or files; no more than a drawing may have are ever read."""
        wanted = Path(self.file)
        folder = context.folder.resolve()
        path = file_named(folder, self.file)
        if wanted.is_absolute() or not path.is_relative_to(folder):
            raise refuse("file", "lies outside the design's folder", repr(self.file))
        files = sorted(path.glob("*.svg")) if path.is_dir() else [path]
        if not files or any(file.suffix.lower() != ".svg" for file in files):
            raise refuse(
                "file",
                "is not a drawing",
                repr(self.file),
                allowed="a name in .svg, or a folder with such files",
            )
        if len(files) > _MOST_FILES:
            raise refuse(
                "file", "has too many drawings", str(len(files)), allowed=f"{_MOST_FILES} files"
            )
        try:
            return [_start_of(file) for file in files]
        except OSError as error:
            raise refuse("file", f"can't be read: {error.strerror}", repr(self.file)) from None

    def _joins(self, context: Context, drawing: Drawing) -> list[Join]:
        names = _facet_names(drawing)
        owner = {id(area): k for k, s in enumerate(drawing.sheets) for area in (*s.glue, *s.places)}
        glue = letters([area for sheet in drawing.sheets for area in sheet.glue])
        places = letters([area for sheet in drawing.sheets for area in sheet.places])
        landings = letters(drawing.landings)
        self._check_letters(context.name, glue, places, landings)
        joins = []
        for letter, area in glue.items():
            facet = context.id(names[owner[id(area)]][area.facet])
            if letter in self.places:
                joins.append(self._glued(context, facet, area, self.places[letter]))
            elif letter in places:
                place = places[letter]
                host = context.id(names[owner[id(place)]][place.facet])
                side: Literal[1, -1] = -1 if place.face == "back" else 1
                joins.append(_checked(Join(facet, host, placement(area, place), side), area))
            else:
                joins.append(_landed(facet, area, landings[letter]))
        return joins

    def _check_letters(
        self,
        piece: str,
        glue: Mapping[str, DrawnArea],
        places: Mapping[str, DrawnArea],
        landings: Mapping[str, DrawnArea],
    ) -> None:
        for letter in self.places:
            if letter not in glue:
                raise refuse(
                    f"places.{letter}", "is not a glue area of the drawing", allowed=", ".join(glue)
                )
        lost = [name for name in glue if name not in {*self.places, *places, *landings}]
        if lost:
            raise refuse(
                "places",
                f"{self.file}: glue area {lost[0]} has no place",
                advice=f"draw its place, or [pieces.{piece}.places.{lost[0]}]",
            )

    def _glued(self, context: Context, facet: str, area: DrawnArea, place: GluePlace) -> Join:
        ground = context.facet(place.on, 1 if place.side == "front" else -1)
        down = place.face == "down"
        turn = Placement(place.turn, flipped=down)
        middle = turn.apply(area.corners.mean(axis=0))
        shift = (float(place.x - middle[0]), float(place.y - middle[1]))
        return ground.join(facet, replace(turn, shift=shift))


def _kept_above(piece: str, upper: Set[str], lower: Set[str], joins: Sequence[Join]) -> Obstacle:
    """What is not glued of the upper facets keeps to the printed side of the lower ones."""
    held = {facet for j in joins if j.host in lower or j.facet in lower for facet in _two(j)}
    clear = upper - held - {j.facet for j in joins if j.host in upper}
    planes = lower - {j.facet for j in joins if j.host in lower}
    return Obstacle(piece, piece, 1, tuple(sorted(clear)), tuple(sorted(planes)))


def _two(join: Join) -> tuple[str, str]:
    return join.facet, join.host


def _start_of(file: Path) -> bytes:
    """The file, or of one that is too large enough to tell."""
    with file.open("rb") as stream:
        return stream.read(MOST_BYTES + 1)


def _facet_names(drawing: Drawing) -> list[dict[str, str]]:
    """For each sheet its facets' names within the piece: with the sheet's name where two agree."""
    return _own_names(drawing, [[f.name for f in sheet.facets] for sheet in drawing.sheets])


def _own_names(drawing: Drawing, names: list[list[str]]) -> list[dict[str, str]]:
    counts = Counter(name for row in names for name in row)
    clash = any(count > 1 for count in counts.values())
    return [
        {name: f"{sheet.name}-{name}" if clash else name for name in row}
        for sheet, row in zip(drawing.sheets, names, strict=True)
    ]


def _sheets(context: Context, drawing: Drawing) -> tuple[Sheet, ...]:
    facets = _facet_names(drawing)
    folds = _own_names(drawing, [[f.name for f in sheet.folds] for sheet in drawing.sheets])
    return tuple(
        _sheet(context, sheet, facets[k], folds[k]) for k, sheet in enumerate(drawing.sheets)
    )


def _sheet(
    context: Context, drawn: DrawnSheet, facets: Mapping[str, str], folds: Mapping[str, str]
) -> Sheet:
    labels = {}
    for facet in drawn.facets:
        point = facet.polygon.representative_point()
        labels[facets[facet.name]] = (float(point.x), float(point.y))
    renamed = [replace(fold, name=folds[fold.name]) for fold in drawn.folds]
    return context.sheet(drawn.name, drawn.outline, renamed, labels, "file")


def _landed(facet: str, area: DrawnArea, place: DrawnArea) -> Join:
    """A join to the left or right of the drawn gutter."""
    host = _LEFT if float(np.mean(place.corners[:, 0])) < 0 else _RIGHT
    return _checked(Join(facet, host, placement(area, place)), area)


def _checked(join: Join, area: DrawnArea) -> Join:
    """The join, if the face that touches is the one the drawing calls glued."""
    touching = "back" if join.placement.up * join.side == 1 else "front"
    if area.face is not None and area.face != touching:
        raise DrawingError(
            f"{area.label}: glue is on its {area.face}, but its place is drawn so that the "
            f"{touching} touches; {'do not mirror' if touching == 'front' else 'mirror'} the place"
        )
    return join
