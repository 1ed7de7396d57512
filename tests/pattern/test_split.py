"""A placing sheet in several parts: together they are the page, and seams are neighbours' edges.

Judged by counting (fewest strips that cover a length) and by mapping every mark back to the page.
"""

from __future__ import annotations

import math
import re

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from preview.pattern.drawing import Fill, PenStroke, PrintedImage, Text, moved
from preview.pattern.furniture import PrintArea
from preview.pattern.lettering import text_box
from preview.pattern.marks import clipped
from preview.pattern.split import split
from preview.pattern.stock import Stock
from preview.pattern.template import templates

from .specimens import page_sheet, tent

FRAME = PrintArea(Stock("small", 150.0, 190.0), 10.0)


def fewest(length: float, each: float, overlap: float) -> int:
    """Strips of one length that cover another, counted by laying them down."""
    count, reached = 1, each
    while reached < length - 1e-9:
        count, reached = count + 1, reached + each - overlap
    return count


def back(placed, shape):
    """From the page of the printer to the page of the notebook."""
    inverse = np.linalg.inv(placed.matrix)
    return shapely.transform(shape, lambda p: (p - placed.shift) @ inverse.T)


@given(st.floats(100, 400), st.floats(100, 600), st.sampled_from([6.0, 10.0, 25.0]))
@settings(max_examples=20, derandomize=True, deadline=None)
def test_parts_are_as_few_as_can_be_and_together_the_whole_page(wide, high, overlap):
    sheet, joins = tent()
    left = next(t for t in templates([page_sheet(wide, high), sheet], joins) if t.is_page)
    tiles = split(left, FRAME, overlap)
    both = [
        math.prod(fewest(*pair, overlap) for pair in zip(size, room, strict=True))
        for size in ((wide, high), (high, wide))
        for room in [(FRAME.width, FRAME.height)]
    ]
    assert len(tiles) == min(both)
    windows = {}
    for tile in tiles:
        placed = tile.placed
        assert np.allclose(placed.matrix @ placed.matrix.T, np.eye(2))
        assert np.linalg.det(placed.matrix) < 0
        assert placed.window.bounds == (
            FRAME.left,
            FRAME.top,
            FRAME.left + FRAME.width,
            FRAME.top + FRAME.height,
        )
        number, of = map(int, re.findall(r"part (\d+) of (\d+)", tile.title)[0])
        assert of == len(tiles)
        windows[number] = back(placed, placed.window)
    assert sorted(windows) == list(range(1, len(tiles) + 1))
    assert left.outline.difference(shapely.union_all(list(windows.values())).buffer(1e-6)).is_empty
    for tile in tiles:
        check_seams(tile, windows, overlap)


def check_seams(tile, windows, overlap):
    """Each line stands where the neighbour that it names begins, the overlap inside the edge."""
    own = int(re.findall(r"part (\d+)", tile.title)[0])
    strokes = [mark for mark in tile.marks if isinstance(mark, PenStroke)]
    drawn = [mark for mark in strokes if mark.role == "trim"]
    check_edges(tile, [mark for mark in strokes if mark.role == "cut"])
    words = [mark for mark in tile.marks if isinstance(mark, Text)]
    named = []
    for stroke, text in zip(drawn, words, strict=True):
        number = int(re.findall(r"part (\d+) meets this line", text.text)[0])
        seam = LineString(stroke.points)
        assert seam.distance(shapely.Point(text.x, text.y)) < 1.0
        # Along the line, so that it can be read on it.
        way = np.subtract(stroke.points[1], stroke.points[0])
        assert math.isclose(abs(way @ (math.cos(text.angle), -math.sin(text.angle))), seam.length)
        x0, y0, x1, y1 = tile.placed.window.bounds
        inside = np.array([x0 + overlap, x1 - overlap]), np.array([y0 + overlap, y1 - overlap])
        assert any(
            np.abs(stroke.points[:, axis] - at).max() < 1e-6
            for axis in (0, 1)
            for at in inside[axis]
        )
        there = back(tile.placed, seam)
        assert windows[number].exterior.buffer(1e-6).covers(there)
        named.append(number)
    beside = [
        k
        for k, window in windows.items()
        if k != own and window.intersection(windows[own]).area > 1.5 * overlap**2
    ]
    assert sorted(named) == sorted(beside)


def check_edges(tile, cuts):
    """A part can be cut out: its outline inside the window and its cut edges are a closed ring."""
    window = tile.placed.window
    whole = tile.placed.on_page(tile.placed.template.outline)
    lines = [
        whole.exterior.intersection(window.buffer(1e-6)),
        *[LineString(mark.points) for mark in cuts],
    ]
    around = shapely.union_all(lines)
    ring = whole.intersection(window).exterior
    assert ring.difference(around.buffer(1e-5)).length < 1e-6
    assert whole.buffer(1e-5).covers(around)


@given(st.floats(0, 6.2), st.floats(0.5, 2.0), st.floats(-1.5, 1.5))
@settings(max_examples=20, derandomize=True, deadline=None)
def test_a_moved_picture_has_its_corners_where_a_similarity_takes_them(turn, grow, angle):
    c, s = grow * math.cos(turn), grow * math.sin(turn)

    def move(points):
        return np.asarray(points) @ np.array([[c, s], [-s, c]]) + [7.0, -3.0]

    picture = PrintedImage(np.zeros((1, 1, 4), np.uint8), 12.0, 34.0, 20.0, 11.0, angle)
    (after,) = moved([picture], move)
    assert np.allclose(corners(after), move(corners(picture)))


def corners(picture):
    """The four corners, page mm: y runs down, angles are counter-clockwise."""
    turn = np.array(
        [
            [math.cos(picture.angle), -math.sin(picture.angle)],
            [math.sin(picture.angle), math.cos(picture.angle)],
        ]
    )
    own = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * [picture.width, picture.height]
    return own @ turn + [picture.x, picture.y]


def test_what_is_clipped_is_what_lies_inside():
    window = shapely.box(0, 0, 30, 20)
    ring = np.array([[-10.0, 5], [25, 5], [25, 40], [-10, 40]])
    hole = np.array([[2.0, 8], [2, 12], [10, 12], [10, 8]])
    fill, round_, text, far = clipped(
        [
            Fill((ring, hole), "#aabbcc"),
            PenStroke("cut", ring, closed=True, light=True),
            Text(29.9, 19.9, "in", 3.0),
            Text(30.1, 10.0, "out", 3.0),
            PenStroke("slit", hole, closed=True),
            PenStroke("slit", hole + 100.0, closed=True),
        ],
        window,
    )
    # 25 by 15 mm inside, less the hole of 8 by 4.
    assert Polygon(fill.rings[0], fill.rings[1:]).area == 25 * 15 - 8 * 4
    assert fill.colour == "#aabbcc"
    assert LineString(round_.points).length == 25 + 15
    assert (round_.role, round_.closed, round_.light) == ("cut", False, True)
    assert text.text == "in"
    assert far.closed
    assert np.array_equal(far.points, hole)


def test_words_on_a_seam_keep_off_places_and_their_letters():
    """Tabs lie on the middle of the seam, where the words would stand."""
    sheet, joins = tent(foot=144.0, leg=150.0, y=66.0, wide=8.0)
    left = next(t for t in templates([page_sheet(260.0, 140.0), sheet], joins) if t.is_page)
    crossed = 0
    for tile in split(left, FRAME, 10.0):
        for text in [mark for mark in tile.marks if isinstance(mark, Text)]:
            for area in left.glue:
                edge = tile.placed.on_page(area.polygon).exterior
                assert edge.distance(text_box(text)) > 0.3
        for seam in [mark for mark in tile.marks if isinstance(mark, PenStroke)]:
            areas = [tile.placed.on_page(area.polygon) for area in left.glue]
            crossed += any(area.distance(LineString(seam.points)) < 6.0 for area in areas)
    assert crossed, "a tab lies at a seam"
