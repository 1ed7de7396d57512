"""An SVG for a cutting machine: groups pen, folds and cuts, in the order to run them.

Coordinates are page millimetres without transforms and every stroke is one path, since cutters
follow paths one by one: collinear folds that touch are joined, and of each piece holes are cut
before the outline, so that it lies still while they are. Pieces follow each other in lanes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry import LineString

from . import font
from .drawing import Stroke, Text
from .layout import Pattern, PatternPage
from .marks import Placed, Show, clipped, marks, rings
from .proof import cuts_of_svg, prove_pages
from .svg import document, path_data
from .template import fold_lines

LAYERS = ("pen", "folds", "cuts")
COLOURS: Mapping[str, str] = {"pen": "#808080", "folds": "#404040", "cuts": "#000000"}
_LANE_MM = 60.0  # our choice


def machine_svg(
    pattern: Pattern, page: PatternPage, colours: Mapping[str, str], draw: bool = True
) -> str:
    """One sheet for the cutter.

    Parameters
    ----------
    colours : layer to ``#rrggbb``; machines tell layers apart by colour.
    draw : with names and glue letters, as outlines for a pen.
    """
    placed = sorted(page.placed, key=_lane)
    layers: dict[str, list[Stroke]] = {
        "pen": [
            Stroke("sign", r, closed=True) for p in placed if not p.window for r in _pen(p) if draw
        ],
        "folds": [s for p in placed for s in _seen(p, [Stroke("valley", r) for r in scores(p)])],
        "cuts": [
            s for p in placed for s in _seen(p, [Stroke("cut", r, closed=True) for r in cuts(p)])
        ],
    }
    body: list[str] = []
    for name in LAYERS:
        body.append(
            f'<g id="{name}" fill="none" stroke="{colours[name]}" stroke-width="0.1">'
            f"<title>{name}</title>"
        )
        body += [
            f'<path class="{name}" d="{path_data(s.points, s.closed)}"/>' for s in layers[name]
        ]
        body.append("</g>")
    text = document(page.stock.width, page.stock.height, pattern.title, body)
    prove_pages(pattern, [cuts_of_svg(text)], [page])
    return text


def _seen(placed: Placed, strokes: list[Stroke]) -> list[Stroke]:
    """What of a piece's lines is on this sheet, if the piece is split over several."""
    if placed.window is None:
        return strokes
    return [mark for mark in clipped(list(strokes), placed.window) if isinstance(mark, Stroke)]


def cuts(placed: Placed) -> list[np.ndarray]:
    """Closed cutting paths of a piece, each of shape (n, 2), mm: inside first, the outline last."""
    outer, *holes = rings(placed.template.outline)
    return [placed.apply(ring) for ring in [*holes, outer]]


def scores(placed: Placed) -> list[np.ndarray]:
    """Scoring paths of a piece, each of shape (n, 2), mm; straight folds that meet are one path."""
    lines = [placed.on_page(line) for line in fold_lines(placed.template)]
    return [np.asarray(line.coords) for line in _joined(lines)]


def _joined(lines: Sequence[LineString]) -> list[LineString]:
    """Join lines that continue each other straight."""
    rest, joined = list(lines), []
    while rest:
        line, found = rest.pop(0), True
        while found:
            found = False
            for other in rest:
                both = shapely.line_merge(shapely.MultiLineString([line, other]))
                if isinstance(both, LineString) and _straight(both):
                    line, found = LineString([both.coords[0], both.coords[-1]]), True
                    rest.remove(other)
                    break
        joined.append(line)
    return joined


def _straight(line: LineString) -> bool:
    chord = LineString([line.coords[0], line.coords[-1]])
    return chord.length > 0 and bool(chord.hausdorff_distance(line) < 1e-6)


def _lane(placed: Placed) -> tuple[int, float]:
    """Up one lane and down the next, so that the head travels little between pieces."""
    left, top, right, bottom = placed.on_page(placed.template.outline).bounds
    lane = int((left + right) / 2 // _LANE_MM)
    y = (top + bottom) / 2
    return lane, y if lane % 2 == 0 else -y


def _pen(placed: Placed) -> list[np.ndarray]:
    """Names and letters as outlines."""
    texts = [m for m in marks(placed, Show(lines=False, art=False)) if isinstance(m, Text)]
    result = []
    for text in texts:
        start = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
        back = start * font.width(text.text, text.size, text.bold)
        c, s = np.cos(text.angle), np.sin(text.angle)
        for ring in font.outlines(text.text, text.size, text.bold):
            across, up = ring[:, 0] - back, ring[:, 1]
            result.append(np.c_[text.x + c * across - s * up, text.y - s * across - c * up])
    return result
