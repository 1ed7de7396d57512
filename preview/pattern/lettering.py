"""Glue letters and names: set where they fit, and never on each other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

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


@dataclass(frozen=True)
class Letter:
    """The letter of a glue area on a page.

    Parameters
    ----------
    shape : of the area, page mm.
    centre : of the letter.
    size : the em, mm.
    here : the area is on the face that one looks at.
    """

    area: GlueArea
    shape: Polygon
    text: str
    centre: Point
    size: float
    here: bool

    @property
    def room(self) -> BaseGeometry:
        """What nothing else may lie on."""
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


def _reach(text: str, size: float) -> float:
    """Radius of the circle around a text, mm."""
    return float(np.hypot(font.width(text, size, bold=True), size * font.CAPITAL)) / 2


def letters(areas: Iterable[tuple[GlueArea, Polygon]], face: Face) -> list[Letter]:
    """Letters of areas on a page, each in the widest part of its area that is still free.

    Small areas come first, since they have the least choice.
    """
    sized = sorted(((_radius(shape), area, shape) for area, shape in areas), key=lambda row: row[0])
    placed: list[Letter] = []
    taken: BaseGeometry = Polygon()
    for _, area, shape in sized:
        here = area.face == face
        letter = _letter(area, shape, here, shape.difference(taken))
        placed.append(letter)
        taken = taken.union(letter.room)
    return placed


def _letter(area: GlueArea, shape: Polygon, here: bool, free: BaseGeometry) -> Letter:
    text = area.letter if here else f"({area.letter})"
    parts = [part for part in shapely.get_parts(free) if isinstance(part, Polygon)]
    field = max(parts, key=_radius, default=shape)
    if _radius(field) < 0.5 * min(_radius(shape), _reach(text, LEAST_MM)):
        field = shape
    radius = _radius(field)
    fitting = 1.9 * radius / (2 * _reach(text, 1.0))
    size = float(np.clip(min(1.5 * radius, fitting), LEAST_MM, _LETTER_MM if here else 4.0))
    return Letter(area, shape, text, _middle(field), size, here)


def _radius(shape: Polygon) -> float:
    if shape.is_empty or shape.area < 1e-9:
        return 0.0
    return float(shapely.maximum_inscribed_circle(shape, tolerance=0.05).length)


def _middle(shape: Polygon) -> Point:
    """The middle of area if a letter fits there, else the middle of the largest circle inside."""
    middle, radius = shape.centroid, _radius(shape)
    if shape.covers(middle) and shape.boundary.distance(middle) > 0.9 * radius:
        return middle
    return Point(shapely.maximum_inscribed_circle(shape, tolerance=0.05).coords[0])


def name_on(fields: Iterable[Polygon], words: str, taken: Sequence[BaseGeometry]) -> Text | None:
    """A name on the free parts of some fields, as large as it fits; else its first word."""
    free = []
    for field in fields:
        rest: BaseGeometry = field
        for shape in taken:
            rest = rest.difference(shape)
        free += [p for p in shapely.get_parts(rest) if isinstance(p, Polygon) and p.area > 4]
    free.sort(key=lambda part: -part.area)
    for text in (words, words.split()[0]):
        for size in (NAME_MM, 2.6, SMALL_MM, LEAST_MM):
            for part in free[:4]:
                for angle in (0.0, upright(long_axis(part))):
                    found = _text_in(part, text, size, angle)
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


def _text_in(field: Polygon, text: str, size: float, angle: float) -> Text | None:
    """The text at the middle of a field, if it fits there."""
    wide, high = font.width(text, size, bold=True) + 1.0, size * 0.95
    centre = shapely.maximum_inscribed_circle(field, tolerance=0.1).coords[0]
    frame = shapely.box(-wide / 2, -high / 2, wide / 2, high / 2)
    frame = affinity.rotate(frame, -angle, origin=(0, 0), use_radians=True)
    for at in (centre, field.centroid.coords[0]):
        if field.covers(affinity.translate(frame, *at)):
            drop = size * font.CAPITAL / 2
            x, y = at[0] + drop * np.sin(angle), at[1] + drop * np.cos(angle)
            return Text(float(x), float(y), text, size, "middle", angle, bold=True, grey=0.25)
    return None


def text_box(text: Text) -> Polygon:
    """The place that a middle-anchored text takes."""
    wide, high = font.width(text.text, text.size, text.bold), text.size * font.CAPITAL
    frame = shapely.box(-wide / 2, -high, wide / 2, 0)
    frame = affinity.rotate(frame, -text.angle, origin=(0, 0), use_radians=True)
    return affinity.translate(frame, text.x, text.y)


def side_names(found: Sequence[Letter], several: bool, taken: Sequence[BaseGeometry]) -> list[Text]:
    """Small words in glue areas: which side it is, what lands there, and if that is on the back.

    Parameters
    ----------
    several : the sheet has several facets, so that its sides have names.
    taken : what the words must keep off.
    """
    full = shapely.union_all([*taken, *[letter.room for letter in found]])
    texts = []
    for letter in found:
        for words in _said_of(letter, several):
            text = name_beside(letter, words, full)
            if text is not None:
                texts.append(text)
                full = full.union(text_box(text).buffer(0.3))
                break
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


def name_beside(letter: Letter, name: str, taken: BaseGeometry) -> Text | None:
    """A small name on an area, clear of letters (`taken`); None if it does not fit."""
    free = [letter.shape.difference(taken), *(end.difference(taken) for end in _end(letter))]
    fields = [part for part in shapely.get_parts(free) if isinstance(part, Polygon)]
    fields = sorted([part for part in fields if part.area > 1.0], key=lambda part: -part.area)[:3]
    for field in fields:
        for angle in (0.0, upright(long_axis(field))):
            text = _text_in(field, name, SMALL_MM, angle)
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
