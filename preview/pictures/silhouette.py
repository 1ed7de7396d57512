"""How well a still reads as a thumbnail: figures taken from its silhouettes.

Each part of the score lies between 0 and 1 and looks at one thing only:

========== =====================================================================================
share      how much of the frame the standing pieces fill; best from a fifth to a half of it
contrast   WCAG contrast between both sides of the outline; full marks from 3 : 1 on
distinct   how much of the pieces' outlines stands free instead of lying over another piece
balance    how near the middle of the frame the weight of the pieces lies
readable   how much of the outline survives at 160 × 90 pixels
fronts     how far the printed sides of the pieces are turned to the reader
room       how free the place of the title is (only where one is asked for)
========== =====================================================================================

The contrast of 3 : 1 is that of WCAG 2.2, success criterion 1.4.11 (graphical objects). The other
limits are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from ..drawing.contrast import contrast_ratio, relative_luminance

BACKGROUND = -1
SMALL = (160, 90)
# Wide enough to skip antialiased pixels, narrow enough to stay beside the outline.
BAND_SHARE = 0.006
WEIGHTS = {
    "share": 1.0,
    "contrast": 1.5,
    "distinct": 1.0,
    "balance": 0.75,
    "readable": 1.25,
    # From behind or aside, a spread may have a fine outline and nothing in it.
    "fronts": 1.5,
}


@dataclass(frozen=True)
class Crop:
    """A rectangle of the picture as shares of its width and height, from the top left."""

    left: float
    top: float
    right: float
    bottom: float

    def mask(self, shape: tuple[int, int]) -> np.ndarray:
        """Pixels inside, shape (h, w), bool."""
        height, width = shape
        rows = (np.arange(height) + 0.5) / height
        columns = (np.arange(width) + 0.5) / width
        inside_rows = (rows >= self.top) & (rows < self.bottom)
        inside_columns = (columns >= self.left) & (columns < self.right)
        return inside_rows[:, None] & inside_columns[None, :]


@dataclass(frozen=True)
class Score:
    """The parts of a thumbnail's score, each from 0 (poor) to 1 (good)."""

    share: float
    contrast: float
    distinct: float
    balance: float
    readable: float
    fronts: float = 1.0
    room: float = 1.0

    @property
    def total(self) -> float:
        """Weighted geometric mean: one very poor part can't be bought back by the others.

        The room for a title counts as a factor, since a covered title spoils any picture.
        """
        parts = np.array([max(getattr(self, name), 0.02) for name in WEIGHTS])
        weights = np.array(list(WEIGHTS.values()))
        mean = float(np.exp((weights * np.log(parts)).sum() / weights.sum()))
        return mean * (0.25 + 0.75 * self.room)

    def figures(self) -> dict[str, float]:
        """All parts and the total by name, rounded to three places."""
        parts = {field.name: round(getattr(self, field.name), 3) for field in fields(self)}
        return {**parts, "total": round(self.total, 3)}


def rate(
    picture: np.ndarray,
    pieces: np.ndarray,
    title: Crop | None = None,
    fronts: float = 1.0,
) -> Score:
    """Score a picture by the silhouettes of its pieces.

    Parameters
    ----------
    picture : sRGB, shape (h, w, 3), uint8.
    pieces : shape (h, w), int, the piece seen at each pixel and -1 for everything else.
    title : where a title shall stand.
    fronts : how far the printed sides of the pieces are turned to the reader, 0 to 1.

    Raises
    ------
    ValueError
        If the two arrays differ in size.
    """
    if picture.shape[:2] != pieces.shape:
        raise ValueError(f"picture is {picture.shape[:2]} but its pieces are {pieces.shape}")
    inside = pieces != BACKGROUND
    if not inside.any():
        return Score(0.0, 0.0, 0.0, 0.0, 0.0)
    return Score(
        share=share_score(inside),
        contrast=contrast_score(picture, inside),
        distinct=distinct_score(pieces),
        balance=balance_score(inside),
        readable=readable_score(inside),
        fronts=fronts,
        room=1.0 if title is None else room_score(inside, title),
    )


def share_score(inside: np.ndarray) -> float:
    """1 where the silhouette fills 20 to 50 % of the frame, falling to 0 at nothing and at 90 %."""
    share = float(inside.mean())
    return float(np.interp(share, [0.0, 0.2, 0.5, 0.9], [0.0, 1.0, 1.0, 0.0]))


def contrast_score(picture: np.ndarray, inside: np.ndarray) -> float:
    """Mean over the outline of the WCAG contrast between its two sides; 1 at 3 : 1 and above."""
    band = max(2, round(BAND_SHARE * max(inside.shape)))
    luminance = relative_luminance(picture)
    core = ~_beside(~inside)
    edge = inside ^ core
    if not edge.any():
        return 0.0
    inner = _mean_nearby(luminance, core, band)
    outer = _mean_nearby(luminance, ~_beside(inside), band)
    both = edge & np.isfinite(inner) & np.isfinite(outer)
    if not both.any():
        return 0.0
    ratio = contrast_ratio(inner[both], outer[both])
    return float(np.clip((ratio - 1) / 2, 0, 1).mean())


def _beside(mask: np.ndarray) -> np.ndarray:
    """The mask and what lies left, right, above and below of it."""
    wide = mask.copy()
    wide[1:] |= mask[:-1]
    wide[:-1] |= mask[1:]
    wide[:, 1:] |= mask[:, :-1]
    wide[:, :-1] |= mask[:, 1:]
    return wide


def _sums_nearby(values: np.ndarray, reach: int) -> np.ndarray:
    """Sums over squares of ``2 reach + 1`` pixels, as far as they lie in the picture."""
    for axis in (0, 1):
        length = values.shape[axis]
        room = [(1, 0) if k == axis else (0, 0) for k in (0, 1)]
        running = np.pad(np.cumsum(values, axis=axis), room)
        place = np.arange(length)
        ends = np.minimum(place + reach + 1, length), np.maximum(place - reach, 0)
        values = running.take(ends[0], axis=axis) - running.take(ends[1], axis=axis)
    return values


def _mean_nearby(values: np.ndarray, where: np.ndarray, band: int) -> np.ndarray:
    """Mean of the values within `band` pixels that lie in `where`, NaN where there are none."""
    count = _sums_nearby(where.astype(int), band)
    total = _sums_nearby(np.where(where, values, 0.0), band)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def distinct_score(pieces: np.ndarray) -> float:
    """Share of the outlines that border on no other piece.

    An outline between two pieces counts for both of them, one against the background once.
    """
    free = overlapped = 0
    for first, second in ((pieces[:, 1:], pieces[:, :-1]), (pieces[1:], pieces[:-1])):
        differs = first != second
        background = (first == BACKGROUND) | (second == BACKGROUND)
        free += int((differs & background).sum())
        overlapped += 2 * int((differs & ~background).sum())
    return free / (free + overlapped) if free + overlapped else 0.0


def balance_score(inside: np.ndarray) -> float:
    """1 with the silhouette's centre of area in the middle of the frame, 0 at its edge."""
    height, width = inside.shape
    row, column = (places.mean() for places in np.nonzero(inside))
    offset = np.hypot((column + 0.5) / width - 0.5, (row + 0.5) / height - 0.5) / 0.5
    return float(max(0.0, 1.0 - offset))


def readable_score(inside: np.ndarray) -> float:
    """How much of the outline is still there at 160 × 90 pixels.

    The mask is shrunk with area means, cut at one half and blown up again; the score is the share
    of the outline's thin parts that keep their place: intersection over union of the bands along
    both outlines, each as wide as a small pixel.
    """
    height, width = inside.shape
    rows = np.minimum(np.arange(height) * SMALL[1] // height, SMALL[1] - 1)
    columns = np.minimum(np.arange(width) * SMALL[0] // width, SMALL[0] - 1)
    cell = rows[:, None] * SMALL[0] + columns[None, :]
    count = np.bincount(cell.ravel(), minlength=SMALL[0] * SMALL[1])
    filled = np.bincount(cell.ravel(), inside.ravel(), SMALL[0] * SMALL[1])
    small = filled >= 0.5 * np.maximum(count, 1)
    again = small[cell]
    reach = max(1, round(max(height / SMALL[1], width / SMALL[0])))
    band = _outline_band(inside, reach)
    agree = band & ~(inside ^ again)
    return float(agree.sum() / band.sum()) if band.any() else 0.0


def _outline_band(inside: np.ndarray, reach: int) -> np.ndarray:
    grown = _sums_nearby(inside.astype(int), reach) > 0
    shrunk = _sums_nearby((~inside).astype(int), reach) == 0
    return np.asarray(grown & ~shrunk)


def room_score(inside: np.ndarray, title: Crop) -> float:
    """Share of the title's rectangle that no piece covers."""
    where = title.mask(inside.shape)
    return float(1.0 - inside[where].mean()) if where.any() else 0.0
