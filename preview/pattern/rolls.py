"""Where paper is rolled: a line, a small roll that stands on it, and words.

The line says from where on; the roll lies on the paper that is rolled; the words say over what, and
which side is inside afterwards, so that they hold on both faces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from meshes.sheet import Curl, Sheet, Vector

from . import font
from .drawing import PenStroke, Text
from .lettering import LEAST_MM, text_box, upright

# Radius of the small roll, and the shortest line that carries one, mm. Our choice.
SIGN_MM, _LEAST_LINE_MM = 1.3, 3.5
# Where words may slide to along their line, how far off it they may stand, and how far off other
# marks, mm. Our choice.
_SHIFTS = (0.0, 0.2, -0.2, 0.4, -0.4)
_LIFTS = (0.7, 2.0, 3.3, 4.6, 5.9, 7.2)  # our choice
_KEEP_MM = 0.35  # our choice


@dataclass(frozen=True)
class RollMark:
    """A line from which on paper is rolled, as far as it runs over paper; sheet coordinates, mm.

    Parameters
    ----------
    facet : that is rolled.
    start, end : the rolled paper lies left of it, seen from the printed face.
    over : diameter of what it is rolled over, mm.
    towards : +1 to the printed side, -1 away from it.
    """

    facet: str
    start: Vector
    end: Vector
    over: float
    towards: int

    @property
    def words(self) -> tuple[str, ...]:
        """What is written at it, the longest first."""
        way = "in" if self.towards > 0 else "out"
        over = f"{self.over:.3g} mm"
        return (
            f"roll over {over}, printed side {way}",
            f"roll {over}, printed side {way}",
            f"roll {over}, {way}",
            f"{over}, {way}",
        )


def roll_marks(sheet: Sheet) -> tuple[RollMark, ...]:
    """The marks of a sheet, one for each stretch of a line on its paper."""
    return tuple(
        RollMark(curl.facet, *ends, curl.over, curl.towards)
        for curl in sheet.curls
        for ends in _stretches(curl, sheet)
    )


def _stretches(curl: Curl, sheet: Sheet) -> list[tuple[Vector, Vector]]:
    polygon = sheet.facet(curl.facet).polygon
    origin, along, _ = curl.frame
    far = 2 * polygon.length * along
    found = []
    for part in shapely.get_parts(polygon.intersection(LineString([origin - far, origin + far]))):
        if isinstance(part, LineString) and part.length > 1e-3:
            a, b = sorted(part.coords, key=lambda p: float(np.dot(p[:2], along)))
            found.append(((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))))
    return found


def clipped_to(mark: RollMark, outline: BaseGeometry) -> list[RollMark]:
    """What of a mark lies on an outline, such as a part of a large piece."""
    line = LineString([mark.start, mark.end])
    along = np.subtract(mark.end, mark.start)
    found = []
    for part in shapely.get_parts(outline.intersection(line)):
        if isinstance(part, LineString) and part.length > 1e-3:
            a, b = sorted(part.coords, key=lambda p: float(np.dot(p[:2], along)))
            found.append(replace(mark, start=(a[0], a[1]), end=(b[0], b[1])))
    return found


def strokes(ends: np.ndarray, rolled: np.ndarray) -> list[PenStroke]:
    """The line and its small roll, page mm.

    Parameters
    ----------
    ends : shape (2, 2).
    rolled : unit vector across the line to the rolled paper.
    """
    found = [PenStroke("roll", ends)]
    if np.linalg.norm(ends[1] - ends[0]) >= _LEAST_LINE_MM:
        found.append(_roll(ends, rolled))
    return found


def areas_of(ends: np.ndarray, rolled: np.ndarray) -> list[BaseGeometry]:
    """What a line and its small roll take, page mm."""
    return [LineString(stroke.points).buffer(0.4) for stroke in strokes(ends, rolled)]


def _roll(ends: np.ndarray, rolled: np.ndarray) -> PenStroke:
    """A spiral of one and a half turns that stands on the line where it is touched."""
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    turn = np.linspace(0, 3 * np.pi, 37)
    radius = SIGN_MM * (1 - turn / (4.5 * np.pi))
    middle = ends.mean(axis=0) + SIGN_MM * rolled
    way = np.outer(np.sin(turn), along) - np.outer(np.cos(turn), rolled)
    return PenStroke("sign", middle + radius[:, None] * way)


def lettering(
    marks: Sequence[tuple[np.ndarray, np.ndarray, tuple[str, ...]]],
    sheet: BaseGeometry,
    taken: Sequence[BaseGeometry],
) -> list[Text]:
    """The words of marks, each near its line where there is room, as long as there is room for.

    Parameters
    ----------
    marks : ends (2, 2), unit vector to the rolled paper, words.
    sheet : the paper, page mm; words stay on it.
    taken : what they must keep off.
    """
    if not marks:
        return []
    own = [LineString(ends).buffer(0.2) for ends, _, _ in marks]
    full = shapely.union_all([*taken, *own])
    full = full.union(shapely.box(*sheet.buffer(5.0).bounds).difference(sheet.buffer(-0.15)))
    found = []
    for ends, rolled, words in marks:
        text = next((t for one in words if (t := _placed(ends, rolled, one, full))), None)
        if text is not None:
            found.append(text)
            full = full.union(text_box(text).buffer(_KEEP_MM))
    return found


def _placed(ends: np.ndarray, rolled: np.ndarray, words: str, full: BaseGeometry) -> Text | None:
    words = font.printable(words)
    (x0, y0), (x1, y1) = ends
    angle = upright(float(np.arctan2(-(y1 - y0), x1 - x0)))
    # Up as the words are read, on a page whose y runs down.
    up = np.array([-np.sin(angle), -np.cos(angle)])
    high = LEAST_MM * font.CAPITAL
    for lift in _LIFTS:
        for side in (1.0, -1.0):
            away = lift if side > 0 else -lift - high
            for shift in _SHIFTS:
                at = ends[0] + (0.5 + shift) * (ends[1] - ends[0]) + away * up
                text = Text(float(at[0]), float(at[1]), words, LEAST_MM, "middle", angle, grey=0.25)
                if not text_box(text).buffer(_KEEP_MM / 2).intersects(full):
                    return text
    return None
