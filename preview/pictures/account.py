"""A drawing with each line in the manner of what it was taken for, and a key."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from preview.drawing import lettering

if TYPE_CHECKING:
    from PIL import Image, ImageDraw

    from meshes.drawn import Account

# Our choice: manners that differ in dash and width, so that they are told apart in grey as well.
_STYLES: dict[str, tuple[str, int, tuple[int, ...]]] = {
    "cut": ("#2c2a26", 5, ()),
    "slit": ("#2c2a26", 3, (4, 6)),
    "valley": ("#2f6d8f", 4, (18, 10)),
    "mountain": ("#a4472f", 4, (24, 8, 5, 8)),
    "glue": ("#7d6a1c", 3, ()),
    "place": ("#4f7a3d", 3, (10, 6)),
    "name": ("#6b4a86", 3, ()),
    "gutter": ("#2c2a26", 3, (30, 8)),
    "pin": ("#6b4a86", 3, ()),
    "track": ("#6b4a86", 4, (12, 8)),
    "spine": ("#6b4a86", 4, (30, 6)),
}
_LEFT = ("#b9b2a6", 2, (3, 6))
_GROUND, _INK = "#fbf9f4", "#2c2a26"
_SIDE, _MARGIN, _KEY, _ROW = 1400, 60, 420, 46  # our choice, pixels


def picture(found: Account) -> Image.Image:
    """Shape about 1,900 × 1,400 pixels; the drawing on the left, its key on the right."""
    from PIL import Image as Pillow
    from PIL import ImageDraw

    lines = [stroke.points for stroke in found.strokes]
    lines += [points for item in found.left for points in item.lines]
    corners = np.concatenate(lines) if lines else np.array([[0.0, 0.0], [1.0, 1.0]])
    low, high = corners.min(axis=0), corners.max(axis=0)
    scale = (_SIDE - 2 * _MARGIN) / max(float((high - low).max()), 1e-6)
    size = np.ceil((high - low) * scale).astype(int) + 2 * _MARGIN
    high_enough = max(int(size[1]), 2 * _MARGIN + _ROW * (len(_STYLES) + 2))
    image = Pillow.new("RGB", (int(size[0]) + _KEY, high_enough), _GROUND)
    draw = ImageDraw.Draw(image)

    def on_page(points: np.ndarray) -> np.ndarray:
        return np.column_stack([points[:, 0] - low[0], high[1] - points[:, 1]]) * scale + _MARGIN

    for item in found.left:
        for points in item.lines:
            _line(draw, on_page(points), *_LEFT)
    for stroke in found.strokes:
        points = on_page(stroke.points)
        if stroke.closed and len(points) > 1:
            points = np.vstack([points, points[:1]])
        colour, width, dashes = _STYLES[stroke.role]
        _line(draw, points, colour, width, dashes)
        if stroke.role in ("glue", "place", "name", "pin") and stroke.name:
            middle = (points.min(axis=0) + points.max(axis=0)) / 2
            at = (float(middle[0]), float(middle[1]))
            lettering.write(image, stroke.name, at, 30, colour, bold=True, anchor="mm")
    _key(image, draw, found, int(size[0]))
    return image


def _line(
    draw: ImageDraw.ImageDraw,
    points: np.ndarray,
    colour: str,
    width: int,
    dashes: tuple[int, ...],
) -> None:
    if len(points) == 1:
        x, y = (float(v) for v in points[0])
        draw.ellipse([x - 6, y - 6, x + 6, y + 6], outline=colour, width=width)
        return
    steps = np.append(0.0, np.cumsum(np.hypot(*np.diff(points, axis=0).T)))
    spans = _spans(float(steps[-1]), dashes)
    for start, end in spans:
        inner = steps[(steps > start) & (steps < end)]
        along = np.concatenate([[start], inner, [end]])
        path = np.column_stack([np.interp(along, steps, points[:, k]) for k in (0, 1)])
        draw.line([(float(x), float(y)) for x, y in path], fill=colour, width=width, joint="curve")


def _spans(length: float, dashes: tuple[int, ...]) -> list[tuple[float, float]]:
    """Where a line of so many pixels is drawn."""
    if not dashes:
        return [(0.0, length)]
    spans, at, k = [], 0.0, 0
    # A line across the whole picture has some hundred dashes; a tangle is not worth more.
    while at < length and k < 4000:
        end = min(at + dashes[k % len(dashes)], length)
        if k % 2 == 0:
            spans.append((at, end))
        at, k = end, k + 1
    return spans


def _key(image: Image.Image, draw: ImageDraw.ImageDraw, found: Account, left: int) -> None:
    counts = {role: 0 for role in _STYLES}
    for stroke in found.strokes:
        counts[stroke.role] += 1
    rows = [(role, count, _STYLES[role]) for role, count in counts.items() if count]
    if found.left:
        rows.append(("left alone", len(found.left), _LEFT))
    for k, (word, count, style) in enumerate(rows):
        y = float(_MARGIN + _ROW * k + _ROW / 2)
        _line(draw, np.array([[left + 10.0, y], [left + 110.0, y]]), *style)
        lettering.write(image, f"{word}, {count}", (left + 130, y), 28, _INK, anchor="lm")
