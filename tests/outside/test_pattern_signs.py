"""Cuts, mountains and valleys told apart by a reader that knows nothing but black and white pixels.

The page is drawn by pdfium at 300 dpi, what home printers are good for (common practice, no
source). The reader is given the two ends of a line and says what it is: by its width, and by what
stands on it.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageDraw
from scipy import ndimage
from shapely.geometry import box

from meshes import designs, spread
from meshes.sheet import Fold, Sheet, cut
from preview.pattern.layout import Options, lay_out
from preview.pattern.marks import Show
from preview.pattern.pdf import write_pattern
from preview.pattern.template import templates
from tests.designs import each
from tests.outside.test_pattern_whole import alone
from tests.pattern.specimens import CARD, page_sheet

DOTS_PER_MM = 300 / 25.4
# Looked at on both sides of a line, mm.
BESIDE = 2.6


def pages_of(pattern, first=1):
    document = pypdfium2.PdfDocument(write_pattern(pattern))
    for number in range(first, len(document)):
        picture = document[number].render(scale=300 / 72, grayscale=True)
        yield 1 - np.asarray(picture.to_numpy()).squeeze() / 255


def strip(page, ends):
    """The black pixels beside a line, the line from left to right: one row and column a dot."""
    start, end = np.asarray(ends) * DOTS_PER_MM
    length = np.linalg.norm(end - start)
    along = (end - start) / length
    across = np.array([-along[1], along[0]])
    s = np.arange(0, length)
    t = np.arange(-round(BESIDE * DOTS_PER_MM), round(BESIDE * DOTS_PER_MM) + 1)
    x, y = (start[k] + s[None] * along[k] + t[:, None] * across[k] - 0.5 for k in (0, 1))
    return ndimage.map_coordinates(page, [y, x], order=1, mode="constant") > 0.4


def sign(kind):
    """What a sign looks like on a line along its lower edge: 2.4 × 2 mm in dots."""
    wide, high = round(2.4 * DOTS_PER_MM), round(2.0 * DOTS_PER_MM)
    half, top = 0.95 * DOTS_PER_MM, high - 1.6 * DOTS_PER_MM
    picture = Image.new("L", (wide, high), 0)
    draw = ImageDraw.Draw(picture)
    left, middle, right = wide / 2 - half, wide / 2, wide / 2 + half
    if kind == "mountain":
        draw.polygon([(left, high), (middle, top), (right, high)], fill=1)
    else:
        draw.line([(left, top), (middle, high), (right, top)], fill=1, width=3)
    return np.asarray(picture, float)


SIGNS = {kind: sign(kind) for kind in ("mountain", "valley")}


def likeness(seen, wanted):
    """The best correlation of a picture with what stands on the middle line, on either side."""
    middle, (high, wide) = len(seen) // 2, wanted.shape
    best = 0.0
    for half in (seen[middle - high : middle], seen[:middle:-1][-high:]):
        padded = np.pad(half.astype(float), ((0, 0), (wide // 2, wide // 2)))
        windows = np.lib.stride_tricks.sliding_window_view(padded, wanted.shape)[0]
        flat = windows.reshape(len(windows), -1)
        flat = flat - flat.mean(axis=1, keepdims=True)
        other = (wanted - wanted.mean()).ravel()
        size = np.linalg.norm(flat, axis=1) * np.linalg.norm(other)
        best = max(best, float((flat @ other / np.maximum(size, 1e-9)).max()))
    return best


def read(page, ends):
    """``cut``, ``mountain`` or ``valley``."""
    seen = strip(page, ends)
    middle = len(seen) // 2
    # A narrow line reaches 1.5 dots to each side of its middle, a wide one 3.
    if min(seen[middle - 2].mean(), seen[middle + 2].mean()) > 0.9:
        return "cut"
    return max(SIGNS, key=lambda kind: likeness(seen, SIGNS[kind]))


def truth(placed, fold):
    sign = fold.sign if placed.face == "front" else -fold.sign
    return placed.apply(np.array([fold.start, fold.end])), "mountain" if sign > 0 else "valley"


def ladder(lengths):
    """A strip whose folds are cut from it at many lengths, mountains and valleys in turn."""
    folds, labels, x, low = [], {}, 0.0, 0.0
    outline = None
    for k, length in enumerate(lengths):
        part = box(x, low, x + 9.0, low + length)
        outline = part if outline is None else outline.union(part)
        labels[f"f{k}"] = (x + 4.5, low + length / 2)
        if k:
            shared = min(length, lengths[k - 1])
            folds.append(Fold(f"k{k}", (x, 0.0), (x, shared), 1 if k % 2 else -1))
        x += 9.0
    facets, crossings = cut(outline, folds, labels)
    return Sheet("ladder", "ladder", CARD, CARD.front, CARD.back, facets, crossings)


@pytest.mark.parametrize("side", ["front", "back"])
def test_folds_from_three_millimetres_are_told_apart(side):
    lengths = [3.0, 3.0, 3.0, 3.6, 3.6, 4.5, 4.5, 6.0, 6.0, 6.0, 9.0, 9.0, 14.0, 14.0, 30.0, 30.0]
    made = templates([page_sheet(), ladder(lengths)], [])
    pattern = lay_out("t", made, replace(Options(), side=side, pages=False))
    (page,) = pages_of(pattern)
    (placed,) = pattern.pages[0].placed
    for fold in placed.template.folds:
        ends, kind = truth(placed, fold)
        assert read(page, ends) == kind, fold
    ring = placed.apply(np.asarray(placed.template.outline.exterior.coords))
    for ends in itertools.pairwise(ring):
        if np.linalg.norm(ends[1] - ends[0]) > 2.9:
            assert read(page, ends) == "cut"


def trimmed(page):
    """The page, only as large as what is on it."""
    _, _, right, low = page.placed[0].on_page(page.placed[0].template.outline).bounds
    return replace(page, stock=replace(page.stock, width=right + 10.0, height=low + 10.0))


@pytest.mark.parametrize("name", each())
def test_every_fold_of_a_shipped_design_is_told_apart(name):
    found = spread.read(Path(designs.__file__).parent / f"{name}.toml")
    made = [t for t in templates(found.sheets, found.joins, None, found.linkage.drives)]
    folded = [t for t in made if t.folds and not t.is_page]
    pattern = alone(folded)
    options = replace(pattern.options, show=Show(names=False, art=False))
    pattern = replace(pattern, pages=tuple(map(trimmed, pattern.pages)), options=options)
    wrong, count = [], 0
    for page, drawn in zip(pattern.pages, pages_of(pattern, 1), strict=True):
        (placed,) = page.placed
        for fold in placed.template.folds:
            ends, kind = truth(placed, fold)
            count += fold.length >= 3
            if fold.length >= 3 and read(drawn, ends) != kind:
                wrong.append((placed.template.title, fold.name, kind))
    assert not wrong
    # A fold of a few strokes can't show its kind.
    assert count == sum(len(t.folds) for t in folded)
