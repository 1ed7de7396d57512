"""Placing sheets for the notebook's pages: laid on a page, they show where each tab lands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from . import font
from .drawing import Mark, Text
from .furniture import PrintArea
from .lettering import text_box, upright
from .marks import Placed, Show, marks
from .split import Tile, clearest, drawn_on, split
from .template import Template

_SIZE_MM = 2.9  # our choice
# What is left around landing places on a sheet for a part of a page, the least where that saves
# gluing it together. Our choice.
_ROOM_MM, _LEAST_ROOM_MM = 10.0, 3.0
# How far words keep off places, and how many hundredths of an edge they move aside
# at most. Our choice.
_CLEAR_MM, _MOST_ASIDE = 1.0, 45
# How far words along the gutter stand from it. Our choice.
_LIFTS_MM = (2.6, 5.4, 8.2)
# What is said along the gutter, and in short.
_GUTTER_WORDS = ("this edge in the gutter", "gutter")


def placing_parts(template: Template, frame: PrintArea, overlap: float) -> list[Tile]:
    """The placing sheet for one page, on one sheet where it fits.

    A page larger than the sheet is shown from the gutter as far as something lands on it. If that
    is still too large it is split.
    """
    sheet = template
    for room in (_ROOM_MM, _LEAST_ROOM_MM):
        if not _fits(sheet.outline, frame):
            sheet = _cropped(template, room)
    if not _fits(sheet.outline, frame):
        sheet = _cropped(template, _ROOM_MM)
        parts = split(sheet, frame, overlap)
        return [replace(p, marks=(*p.marks, *_gutter_notes(p.placed, template))) for p in parts]
    left, bottom, right, top = sheet.outline.bounds
    shift = np.array(
        [
            frame.left + (frame.width - (right - left)) / 2 - left,
            frame.top + (frame.height - (top - bottom)) / 2 + top,
        ]
    )
    placed = Placed(sheet, np.diag([1.0, -1.0]), shift)
    return [Tile(_count(template), placed, tuple(_notes(placed, template)))]


def _count(template: Template) -> str:
    letters = sorted({area.letter for area in template.glue}, key=lambda text: (len(text), text))
    shown = ", ".join(letters[:12]) + (" …" if len(letters) > 12 else "")
    return f"landing places {shown}"


def _fits(outline: Polygon, frame: PrintArea) -> bool:
    left, bottom, right, top = outline.bounds
    return bool(right - left <= frame.width + 1e-6 and top - bottom <= frame.height + 1e-6)


def _cropped(template: Template, room: float) -> Template:
    """Only what lies within `room` mm of a landing place or between it and the gutter (x = 0)."""
    if not template.glue:
        return template
    left, bottom, right, top = shapely.unary_union([a.polygon for a in template.glue]).bounds
    near = shapely.box(min(left - room, 0), bottom - room, max(right + room, 0), top + room)
    part = template.outline.intersection(near)
    return replace(template, outline=part) if isinstance(part, Polygon) else template


def _notes(placed: Placed, whole: Template) -> list[Mark]:
    """Which edge goes into the gutter, and how far the foot is."""
    left, bottom, right, _ = placed.template.outline.bounds
    notes: list[Mark] = [*_gutter_notes(placed, whole)]
    foot = bottom - whole.outline.bounds[1]
    far = "at" if foot < 1e-6 else f"{foot:.1f} mm above"
    words = f"this edge {far} the foot of the page"
    tried = []
    for lift in (1.6, 4.6, 7.6):
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            x, y = placed.apply(np.array([[left + share * (right - left), bottom + lift]]))[0]
            tried.append(Text(float(x), float(y), words, _SIZE_MM, "middle"))
    return [*notes, clearest(tried, drawn_on(placed))]


def _gutter_notes(placed: Placed, whole: Template) -> list[Text]:
    """Beside the gutter's edge, where nothing lands; none on a part that does not reach it."""
    _, bottom, _, top = placed.template.outline.bounds
    edge = placed.apply(np.array([[0.0, bottom], [0.0, top]]))
    if placed.window is not None:
        seen = LineString(edge).intersection(placed.window)
        room = font.width(_GUTTER_WORDS[0], _SIZE_MM, bold=True) + 2.0
        if not isinstance(seen, LineString) or seen.length < room:
            return []
        edge = np.array(seen.coords)
    inward = placed.matrix @ [-1.0 if whole.outline.bounds[0] < -1e-6 else 1.0, 0.0]
    taken = shapely.union_all([placed.on_page(area.polygon) for area in placed.template.glue])
    taken = taken.buffer(_CLEAR_MM)
    tried = _along(edge, inward, _GUTTER_WORDS[0])
    near = tried[: len(tried) // len(_LIFTS_MM)]
    clear = next((text for text in near if not text_box(text).intersects(taken)), None)
    if clear is not None:
        return [clear]
    # Where something lands all along the gutter the words stand in it, off its edges and words;
    # fewer words fit where more do not.
    drawn = _said_on(placed).union(drawn_on(placed))
    best = [clearest(_along(edge, inward, words), drawn) for words in _GUTTER_WORDS]
    free = (text for text in best if not text_box(text).intersects(drawn))
    return [next(free, best[0])]


def _along(edge: np.ndarray, inward: np.ndarray, words: str) -> list[Text]:
    """Places for words along the gutter, nearest to it and to its middle first.

    Parameters
    ----------
    edge : its ends, shape (2, 2), page mm.
    inward : the way to the page, shape (2,).
    """
    along = edge[1] - edge[0]
    angle = upright(float(np.arctan2(-along[1], along[0])))
    drop = _SIZE_MM * font.CAPITAL / 2 * np.array([np.sin(angle), np.cos(angle)])
    places = [0.5 + side * step / 100 for step in range(_MOST_ASIDE + 1) for side in (1, -1)]
    shares = [share for share in places if _stays(share, words, float(np.hypot(*along)))]
    return [
        Text(float(x), float(y), words, _SIZE_MM, "middle", angle, bold=True)
        for lift in _LIFTS_MM
        for x, y in (edge[0] + share * along + lift * inward + drop for share in shares or [0.5])
    ]


def _said_on(placed: Placed) -> BaseGeometry:
    """Where words stand on a placing sheet."""
    texts = [mark for mark in marks(placed, Show()) if isinstance(mark, Text)]
    return shapely.union_all([text_box(text).buffer(_CLEAR_MM / 2) for text in texts])


def _stays(share: float, words: str, length: float) -> bool:
    """Whether words about a share of an edge end on it, 1 mm from its ends."""
    half = font.width(words, _SIZE_MM, bold=True) / 2 + 1.0
    return half <= share * length + 1e-9 and half <= (1 - share) * length + 1e-9
