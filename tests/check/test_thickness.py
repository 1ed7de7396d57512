"""The closed thickness against a raster of the same layers."""

import numpy as np
import pytest
from scipy import ndimage

from meshes import check, spread
from meshes.check.thickness import FELT_MM2, peak, thickest

CALIPER, PAGES = 0.25, 0.2
SIDE = 0.5


def text_of(rectangles):
    """Flat art on the right page; corners are multiples of half a millimetre."""
    parts = ['[spread]\npage = "A5"\n[papers.card]\ngrammage = 250\ncaliper = 0.25\n']
    for k, (left, low, right, high) in enumerate(rectangles):
        corners = [[left, low], [right, low], [right, high], [left, high]]
        parts.append(
            f'[pieces.a{k}]\nkind = "flat"\non = "page.right"\nx = 0\ny = 0\nanchor = "base"\n'
            f'paper = "card"\noutline = {{ shape = "polygon", corners = {corners} }}\n'
        )
    return "".join(parts)


def raster_peak(rectangles):
    """The highest level under at least so much connected area; cells side by side are connected."""
    cells = np.zeros((200, 200))
    for corners in rectangles:
        left, low, right, high = (round(x / SIDE) for x in corners)
        cells[left:right, low:high] += CALIPER
    for level in np.unique(cells)[::-1]:
        areas = np.bincount(ndimage.label(cells > level - 1e-9)[0].ravel())[1:] * SIDE**2
        if areas.max() >= FELT_MM2:
            return PAGES + level
    raise AssertionError


def case_of(folder, rectangles):
    file = folder / "stack.toml"
    file.write_text(text_of(rectangles))
    made = spread.read(file)
    return check.case_of(made, made.solve(np.array([0.0, np.pi])))


@pytest.mark.parametrize("seed", range(6))
def test_the_peak_of_random_stacks_is_that_of_a_raster(tmp_path, seed):
    """Many of them overlap in fields of less than the area that counts."""
    random = np.random.default_rng(seed)
    rectangles = []
    for _ in range(9):
        left, low = (random.integers(10, 90, 2) * SIDE).tolist()
        width, height = (random.integers(3, 30, 2) * SIDE).tolist()
        rectangles.append((left, low, left + width, low + height))
    case = case_of(tmp_path, rectangles)
    assert peak(case) == pytest.approx(raster_peak(rectangles), abs=1e-6)
    assert peak(case) <= thickest(case) <= PAGES + 9 * CALIPER + 1e-8


def test_rectangles_lie_on_each_other_as_often_as_in_a_raster(tmp_path):
    """Along the page's edges they are their own frames; of the raster every cell counts here,
    and none ends where another begins.
    """
    random = np.random.default_rng(11)
    corners = (2 * random.integers(5, 30, (7, 2)) * SIDE).tolist()
    rectangles = [(x, y, x + 15 * SIDE, y + 25 * SIDE) for x, y in corners]
    cells = np.zeros((200, 200))
    for rectangle in rectangles:
        left, low, right, high = (round(x / SIDE) for x in rectangle)
        cells[left:right, low:high] += CALIPER
    assert thickest(case_of(tmp_path, rectangles)) == pytest.approx(PAGES + cells.max(), abs=1e-6)


@pytest.mark.parametrize(("side", "layers"), [(3.0, 1), (3.5, 2)])
def test_what_cannot_be_felt_does_not_count(tmp_path, side, layers):
    """Two squares of 9 and 12.25 mm² lie on a large one; ten are what a finger feels."""
    large, small = (10, 10, 50, 50), (20, 20, 20 + side, 20 + side)
    assert peak(case_of(tmp_path, [large, small])) == pytest.approx(PAGES + layers * CALIPER)
