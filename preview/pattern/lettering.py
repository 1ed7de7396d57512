"""Glue letters and names: set where they fit, and never on each other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from meshes.rectangle import smallest_rectangle
from preview.roles import plain, role

from . import font
from .drawing import Text
from .glue import Face, GlueArea

# Our choice; the least is about 5 points.
NAME_MM, SMALL_MM, LEAST_MM = 3.2, 2.1, 1.75
_LETTER_MM = 5.0  # our choice
_OFF_EDGES_MM = 0.3  # our choice


@dataclass(frozen=True)
class Letter:
    """The letter of a glue area on a page.

    Parameters
    ----------
    shape : of the area, page mm.
    centre : of the letter.
    size : the em, mm.
    here : the area is on the face that one looks at.
    beside : printed lettering fills the area, so that its letter stands beside the piece.
    """

    area: GlueArea
    shape: Polygon
    text: str
    centre: Point
    size: float
    here: bool
    beside: bool = False

    @cached_property
    def room(self) -> BaseGeometry:
        """What nothing else may lie on."""
        if self.beside:
            return Polygon()
        return self.centre.buffer(_reach(self.text, self.size) + 0.3)

    @property
    def hatched(self) -> bool:
        """Whether glue is put there, on the face that one looks at."""
        return self.here and not self.area.lands

    def mark(self) -> Text:
        """The letter as text."""
        y = self.centre.y + self.size * font.CAPITAL / 2
        grey = 0.0 if self.here else 0.3
        return Text(self.centre.x, y, self.text, self.size, "middle", bold=True, grey=grey)


def _off_lettering(letter: Letter, whole: _Field, free: BaseGeometry) -> Letter:
    """The letter where nothing is printed, or beside the piece if there is no room for it."""
    moved = _letter(letter.area, whole, letter.here, free)
    if free.buffer(_WITHIN_MM).covers(moved.centre.buffer(_reach(moved.text, moved.size))):
        return moved
    return replace(letter, beside=True)


def _reach(text: str, size: float) -> float:
    """Radius of the circle around a text, mm."""
    return float(np.hypot(font.width(text, size, bold=True), size * font.CAPITAL)) / 2


@dataclass(frozen=True, eq=False)
class _Field:
    """A free place for words; what is measured of it is measured once."""

    shape: Polygon

    @cached_property
    def circle(self) -> tuple[np.ndarray, float]:
        """Middle, shape (2,), and radius of the largest circle inside, mm."""
        if self.shape.is_empty or self.shape.area < 1e-9:
            return np.zeros(2), 0.0
        ray = shapely.maximum_inscribed_circle(self.shape, tolerance=_WITHIN_MM)
        return np.array(ray.coords[0]), float(ray.length)

    @property
    def radius(self) -> float:
        """Of the largest circle inside, mm."""
        return self.circle[1]

    @cached_property
    def _size(self) -> tuple[float, float]:
        """Area, mm², and the diagonal of the box around it, mm."""
        left, top, right, bottom = self.shape.bounds
        return float(self.shape.area), float(np.hypot(right - left, bottom - top))

    def too_small_for(self, wide: float, high: float) -> bool:
        """Whether it is seen without trying that a box of that size fits nowhere in it.

        Area and diagonal are asked first, since the largest circle inside takes long to find.
        """
        area, diagonal = self._size
        if wide * high > area or np.hypot(wide, high) > diagonal:
            return True
        return min(wide, high) / 2 > self.radius + _WITHIN_MM

    @cached_property
    def middle(self) -> Point:
        """The middle of area if a letter fits there, else that of the largest circle inside."""
        middle = self.shape.centroid
        if self.shape.covers(middle) and self.shape.boundary.distance(middle) > 0.9 * self.radius:
            return middle
        return Point(self.circle[0])

    @cached_property
    def angles(self) -> tuple[float, float]:
        """Directions for words: level, and along it."""
        return 0.0, upright(long_axis(self.shape))

    @cached_property
    def places(self) -> tuple[np.ndarray, np.ndarray]:
        """Middles for words, each of shape (2,), mm."""
        return self.circle[0], np.array(self.shape.centroid.coords[0])


# How exactly the largest circle is found, mm. Our choice.
_WITHIN_MM = 0.05


def letters(
    areas: Iterable[tuple[GlueArea, Polygon]], face: Face, printed: Sequence[BaseGeometry] = ()
) -> list[Letter]:
    """Letters of areas on a page, each in the widest part of its area that is still free.

    Small areas come first, since they have the least choice.

    Parameters
    ----------
    printed : lettering on the face that one looks at. Letters of the other face keep off it, since
        there it is seen when all is glued; letters of this one are hidden under what lands on them.
    """
    lettered = shapely.union_all(printed)
    sized = sorted(((area, _Field(shape)) for area, shape in areas), key=lambda row: row[1].radius)
    placed: list[Letter] = []
    taken: BaseGeometry = Polygon()
    for area, field in sized:
        here = area.face == face
        free = field.shape.difference(taken)
        letter = _letter(area, field, here, free)
        if not here and letter.room.intersects(lettered):
            letter = _off_lettering(letter, field, free.difference(lettered))
        placed.append(letter)
        taken = taken.union(letter.room)
    return placed


def _letter(area: GlueArea, whole: _Field, here: bool, free: BaseGeometry) -> Letter:
    text = area.letter if here else f"({area.letter})"
    parts = [_Field(part) for part in shapely.get_parts(free) if isinstance(part, Polygon)]
    field = max(parts, key=lambda part: part.radius, default=whole)
    if field.radius < 0.5 * min(whole.radius, _reach(text, LEAST_MM)):
        field = whole
    fitting = 1.9 * field.radius / (2 * _reach(text, 1.0))
    most = _LETTER_MM if here else 4.0
    size = float(np.clip(min(1.5 * field.radius, fitting), LEAST_MM, most))
    return Letter(area, whole.shape, text, field.middle, size, here)


def name_on(fields: Iterable[Polygon], words: str, taken: Sequence[BaseGeometry]) -> Text | None:
    """A name on the free parts of some fields, as large as it fits; else its first word."""
    full = shapely.union_all(taken)
    rest = shapely.get_parts([field.difference(full) for field in fields])
    free = [part for part in rest if isinstance(part, Polygon) and part.area > 4]
    largest = [_Field(part) for part in sorted(free, key=lambda part: -part.area)[:4]]
    for text in (words, words.split()[0]):
        for size in (NAME_MM, 2.6, SMALL_MM, LEAST_MM):
            for part in largest:
                found = _text_in(part, text, size)
                if found is not None:
                    return found
    return None


def long_axis(field: Polygon) -> float:
    """Direction of the longer side of the smallest box around it, radians."""
    corners = smallest_rectangle(field)
    sides = np.diff(corners[:3], axis=0)
    longer = sides[np.argmax(np.linalg.norm(sides, axis=1))]
    return float(np.arctan2(-longer[1], longer[0]))


def upright(angle: float) -> float:
    """The direction of text along a line, radians, to be read from below or from the right."""
    return (angle + np.pi / 2 - 1e-9) % np.pi - np.pi / 2 + 1e-9


def _text_in(field: _Field, text: str, size: float) -> Text | None:
    """The text at the middle of a field, level or along it, if it fits there."""
    wide, high = _box_of(font.width(text, size, bold=True), size)
    if field.too_small_for(wide, high):
        return None
    spots = [(at, angle) for angle in field.angles for at in field.places]
    frames = shapely.polygons([_frame(at, wide, -high / 2, high / 2, a) for at, a in spots])
    fitting = shapely.covers(field.shape, frames)
    if not fitting.any():
        return None
    at, angle = spots[int(np.argmax(fitting))]
    drop = size * font.CAPITAL / 2
    x, y = at[0] + drop * np.sin(angle), at[1] + drop * np.cos(angle)
    return Text(float(x), float(y), text, size, "middle", angle, bold=True, grey=0.25)


def _box_of(width: float, size: float) -> tuple[float, float]:
    """Width and height that a text takes with a little room around it, mm."""
    return width + 1.0, size * 0.95


def text_box(text: Text) -> Polygon:
    """The place that a middle-anchored text takes."""
    wide, high = font.width(text.text, text.size, text.bold), text.size * font.CAPITAL
    return Polygon(_frame(np.array([text.x, text.y]), wide, -high, 0.0, text.angle))


def _frame(at: np.ndarray, wide: float, above: float, below: float, angle: float) -> np.ndarray:
    """Corners of a box about a point, `wide` across, turned as text is, shape (4, 2), mm."""
    x, y = np.array([-wide, wide, wide, -wide]) / 2, np.array([above, above, below, below])
    c, s = np.cos(angle), np.sin(angle)
    return np.asarray(np.column_stack([c * x + s * y, c * y - s * x]) + at)


def side_names(
    found: Sequence[Letter],
    several: bool,
    taken: Sequence[BaseGeometry],
    seen: Sequence[BaseGeometry] = (),
) -> list[Text]:
    """Small words in glue areas: which side it is, what lands there, and if that is on the back.

    Parameters
    ----------
    several : the sheet has several facets, so that its sides have names.
    taken : what the words must keep off, besides letters and the edges of all areas.
    seen : pictures; words keep off them too, except where something lands on them.
    """
    # Where areas overlap, the edge of one goes through another.
    edges = [letter.shape.boundary.buffer(_OFF_EDGES_MM) for letter in found]
    full = shapely.union_all([*taken, *edges, *[letter.room for letter in found]])
    pictures = shapely.union_all(seen)
    texts = []
    for letter in found:
        clear = full if letter.here else full.union(pictures)
        text = name_beside(letter, _said_of(letter, several), clear)
        if text is not None:
            texts.append(text)
            full = full.union(text_box(text).buffer(0.3))
    return texts


def _said_of(letter: Letter, several: bool) -> list[str]:
    """What may be said of an area, the most first."""
    if letter.hatched:
        return []
    area = letter.area
    face = "" if letter.here else f"on the {'back' if area.face == 'back' else 'printed side'}"
    name = plain(area.other.partition(".")[0]) if area.lands else ""
    if not area.lands and several:
        name = role(area.facet.partition(".")[2])
    name = font.printable(name)
    both = [f"{name}, {face}"] if name and face else []
    return [*both, *([face] if face else []), *([name] if name else [])]


def name_beside(letter: Letter, said: Sequence[str], taken: BaseGeometry) -> Text | None:
    """The first of some small words that fits on an area, clear of letters (`taken`)."""
    least = min((font.width(words, SMALL_MM, bold=True) for words in said), default=0.0)
    if not said or _Field(letter.shape).too_small_for(*_box_of(least, SMALL_MM)):
        return None
    free = [shape.difference(taken) for shape in (letter.shape, *_end(letter))]
    parts = [part for part in shapely.get_parts(free) if isinstance(part, Polygon)]
    parts = sorted([part for part in parts if part.area > 1.0], key=lambda part: -part.area)[:3]
    fields = [_Field(part) for part in parts]
    for words in said:
        for field in fields:
            text = _text_in(field, words, SMALL_MM)
            if text is not None:
                return replace(text, bold=False)
    return None


def _end(letter: Letter) -> list[Polygon]:
    """One end of a long area: what lies beyond its letter along its axis."""
    shape, axis, middle = letter.shape, upright(long_axis(letter.shape)), letter.centre
    straight = affinity.rotate(shape, axis, origin=middle, use_radians=True)
    _, top, right, bottom = straight.bounds
    half = shapely.box(middle.x + _reach(letter.text, letter.size) + 0.3, top, right, bottom)
    field = shape.intersection(affinity.rotate(half, -axis, origin=middle, use_radians=True))
    return [field] if isinstance(field, Polygon) and field.area > 1.0 else []
