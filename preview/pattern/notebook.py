"""Placing sheets for the notebook's pages: laid on a page, they show where each tab lands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from . import font
from .drawing import Mark, Text
from .furniture import Frame
from .marks import Placed
from .split import Tile, split
from .template import Template

_SIZE_MM, _ROOM_MM = 2.9, 10.0  # our choice


def placing_parts(template: Template, frame: Frame, overlap: float) -> list[Tile]:
    """The placing sheet for one page, on one sheet where it fits.

    A page larger than the sheet is shown from the gutter as far as something lands on it. If that
    is still too large it is split.
    """
    sheet = template
    if not _fits(sheet.outline, frame):
        sheet = _cropped(template)
    if not _fits(sheet.outline, frame):
        return split(sheet, frame, overlap)
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


def _fits(outline: Polygon, frame: Frame) -> bool:
    left, bottom, right, top = outline.bounds
    return bool(right - left <= frame.width + 1e-6 and top - bottom <= frame.height + 1e-6)


def _cropped(template: Template) -> Template:
    """Only what lies near a landing place or between it and the gutter (x = 0)."""
    if not template.glue:
        return template
    left, bottom, right, top = shapely.unary_union([a.polygon for a in template.glue]).bounds
    near = shapely.box(
        min(left - _ROOM_MM, 0), bottom - _ROOM_MM, max(right + _ROOM_MM, 0), top + _ROOM_MM
    )
    part = template.outline.intersection(near)
    return replace(template, outline=part) if isinstance(part, Polygon) else template


def _notes(placed: Placed, whole: Template) -> list[Mark]:
    """Which edge goes into the gutter, which way is up, and how far the foot is."""
    left, bottom, right, top = placed.template.outline.bounds
    page_left, page_bottom, _, _ = whole.outline.bounds
    on_left = page_left < -1e-6
    marks: list[Mark] = [_gutter_note(placed, right if on_left else left, on_left)]
    x, y = placed.apply(np.array([[(left + right) / 2, bottom]]))[0]
    foot = bottom - page_bottom
    words = "foot of the page" if foot < 1e-6 else f"{foot:.1f} mm above the foot of the page"
    marks.append(Text(float(x), float(y) - 1.6, words, _SIZE_MM, "middle"))
    x, y = placed.apply(np.array([[(left + right) / 2, top]]))[0]
    words = "cut out, lay on the page, prick the corners of each place through with a pin"
    marks.append(Text(float(x), float(y) + 3.8, words, _SIZE_MM, "middle", grey=0.25))
    return marks


def _gutter_note(placed: Placed, edge: float, on_left: bool) -> Text:
    """Beside the gutter's edge, at a height where nothing lands."""
    words, quarter = "this edge in the gutter", np.pi / 2
    _, bottom, _, top = placed.template.outline.bounds
    taken = shapely.union_all([placed.on_page(area.polygon) for area in placed.template.glue])
    long, inward = font.width(words, _SIZE_MM, bold=True), -1.0 if on_left else 1.0
    best: tuple[float, Text] | None = None
    for part in (0.5, 0.7, 0.3, 0.85, 0.15):
        x, y = map(float, placed.apply(np.array([[edge, bottom + part * (top - bottom)]]))[0])
        at = x + inward * 1.6 + (0.0 if on_left else 2.0)
        strip = shapely.box(at - _SIZE_MM, y - long / 2, at + 1.0, y + long / 2)
        overlap = taken.intersection(strip).area
        if best is None or overlap < best[0] - 1e-9:
            best = (overlap, Text(at, y, words, _SIZE_MM, "middle", quarter, bold=True))
    assert best is not None
    return best[1]
