"""Each part of a thumbnail's score on pictures whose answer is obvious."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from preview.pictures import silhouette
from preview.pictures.silhouette import BACKGROUND, Crop

HEIGHT, WIDTH = 360, 640


def empty():
    return np.full((HEIGHT, WIDTH), BACKGROUND)


def rectangle(top, bottom, left, right, piece=0, on=None):
    pieces = empty() if on is None else on.copy()
    pieces[top:bottom, left:right] = piece
    return pieces


def disc(radius, row=HEIGHT / 2, column=WIDTH / 2):
    rows, columns = np.mgrid[:HEIGHT, :WIDTH] + 0.5
    return np.where(np.hypot(rows - row, columns - column) < radius, 0, BACKGROUND)


def painted(pieces, inside, outside):
    picture = np.empty((*pieces.shape, 3), np.uint8)
    picture[...] = outside
    picture[pieces != BACKGROUND] = inside
    return picture


@pytest.mark.parametrize(
    ("pieces", "score"),
    [
        (empty(), 0.0),
        (rectangle(60, 300, 160, 480), 1.0),
        (rectangle(0, HEIGHT, 0, WIDTH), 0.0),
        (rectangle(0, 36, 0, WIDTH), 0.5),
    ],
)
def test_share_wants_a_fifth_to_a_half_of_the_frame(pieces, score):
    assert silhouette.share_score(pieces != BACKGROUND) == pytest.approx(score)


# The two greys against white on both sides of 3 : 1 are 3.0335 and 2.9953: relative luminance of
# WCAG 2.2.
@pytest.mark.parametrize(
    ("inside", "outside", "score"),
    [
        (0xFF, 0x00, 1.0),
        (0x77, 0x77, 0.0),
        (0x94, 0xFF, 1.0),
        (0x95, 0xFF, (2.9953 - 1) / 2),
    ],
)
def test_contrast_is_full_from_three_to_one_on(inside, outside, score):
    pieces = disc(100)
    found = silhouette.contrast_score(painted(pieces, inside, outside), pieces != BACKGROUND)
    assert found == pytest.approx(score, abs=1e-4)


def test_contrast_counts_only_the_part_of_the_outline_that_has_it():
    pieces = rectangle(80, 280, 220, 420)
    picture = painted(pieces, 0x00, 0xFF)
    picture[:, 320:] = 0x00
    assert silhouette.contrast_score(picture, pieces != BACKGROUND) == pytest.approx(0.5, abs=0.02)


def test_pieces_that_stand_apart_are_wholly_distinct():
    pieces = rectangle(100, 200, 350, 450, 1, on=rectangle(100, 200, 100, 200))
    assert silhouette.distinct_score(pieces) == 1.0


def test_a_piece_inside_another_gives_its_outline_away():
    outer = rectangle(100, 200, 100, 200)
    pieces = rectangle(125, 175, 125, 175, 1, on=outer)
    # 400 pixels of free outline, 200 of overlapped outline that both pieces share
    assert silhouette.distinct_score(pieces) == pytest.approx(400 / (400 + 2 * 200))


def test_balance_falls_from_the_middle_to_the_corner():
    middle = silhouette.balance_score(disc(60) != BACKGROUND)
    off = silhouette.balance_score(disc(60, row=120, column=160) != BACKGROUND)
    corner = silhouette.balance_score(rectangle(0, 20, 0, 20) != BACKGROUND)
    assert middle == pytest.approx(1.0, abs=1e-6)
    assert middle > off > corner
    assert corner == 0.0


def test_a_plain_disc_stays_readable_and_a_fine_comb_does_not():
    comb = empty()
    comb[60:300, 160:480:2] = 0
    assert silhouette.readable_score(disc(120) != BACKGROUND) > 0.9
    assert silhouette.readable_score(comb != BACKGROUND) < 0.6


def test_room_for_a_title_is_what_no_piece_covers():
    title = Crop(0.0, 0.0, 0.5, 0.5)
    assert silhouette.room_score(disc(60, row=300, column=560) != BACKGROUND, title) == 1.0
    half = rectangle(0, 90, 0, 320)
    assert silhouette.room_score(half != BACKGROUND, title) == pytest.approx(0.5)


def test_a_clear_centred_picture_beats_a_cramped_pale_one():
    good = rectangle(80, 280, 180, 460)
    bad = rectangle(0, 60, 0, 80)
    best = silhouette.rate(painted(good, 0x20, 0xF0), good)
    worst = silhouette.rate(painted(bad, 0xE0, 0xF0), bad)
    assert best.total > 0.9
    assert worst.total < 0.4
    assert set(best.figures()) == {
        "share", "contrast", "distinct", "balance", "readable", "fronts", "room", "total"
    }  # fmt: skip


def test_a_spread_from_behind_reads_worse_than_from_before():
    pieces = rectangle(80, 280, 180, 460)
    picture = painted(pieces, 0x20, 0xF0)
    none, half, whole = (silhouette.rate(picture, pieces, fronts=f).total for f in (0, 0.5, 1))
    assert none < half < whole


def test_nothing_to_see_scores_nothing():
    assert silhouette.rate(painted(empty(), 0, 255), empty()).total < 0.05


def test_a_picture_of_another_size_is_refused():
    with pytest.raises(ValueError, match="picture is"):
        silhouette.rate(np.zeros((10, 10, 3), np.uint8), empty())


@pytest.mark.parametrize("reach", [1, 3, 40])
def test_what_is_nearby_is_what_another_library_filters(reach):
    """SciPy's filters of images, which take longer to load than to run, are the judge."""
    rng = np.random.default_rng(reach)
    values, mask = rng.random((23, 31)), rng.random((23, 31)) < 0.2
    size = 2 * reach + 1
    sums = ndimage.uniform_filter(values, size, mode="constant") * size**2
    assert silhouette._sums_nearby(values, reach) == pytest.approx(sums, abs=1e-9)
    band = ndimage.maximum_filter(mask, size) & ~ndimage.minimum_filter(mask, size)
    assert (silhouette._outline_band(mask, reach) == band).all()
    assert (silhouette._beside(mask) == ndimage.binary_dilation(mask)).all()
