"""A placing sheet says what to do with it, and on every part which edge goes into the gutter."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString

from meshes.sheet import Join, Placement, Sheet, cut
from preview.pattern import font
from preview.pattern.drawing import Text
from preview.pattern.layout import Options, lay_out
from preview.pattern.lettering import text_box
from preview.pattern.marks import Show, marks
from preview.pattern.stock import stock
from preview.pattern.template import templates

from .specimens import CARD, page_sheet, tent


@pytest.mark.parametrize("size", [(100, 120), (120, 141), (148, 210), (230, 200)])
def test_every_part_of_a_placing_sheet_tells_its_edge_in_the_gutter(size):
    sheet, joins = tent()
    made = templates([page_sheet(*size), sheet], joins)
    # Room for a page, or for a part of it: the page is not cropped where glue reaches all over it.
    pattern = lay_out("Specimen", made, Options(stock=stock("160x180"), split=True))
    placing = [page for page in pattern.pages if page.paper == "placing sheets"]
    noted = 0
    for page in placing:
        texts = [mark for mark in page.furniture if isinstance(mark, Text)]
        assert "prick each place through" in " ".join(text.text for text in texts)
        (placed,) = page.placed
        _, bottom, _, top = placed.template.outline.bounds
        gutter = LineString(placed.apply(np.array([[0.0, bottom], [0.0, top]])))
        if placed.window is not None:
            gutter = gutter.intersection(placed.window)
        notes = [text for text in texts if text.text == "this edge in the gutter"]
        room = font.width("this edge in the gutter", 2.9, bold=True)
        assert len(notes) == (gutter.length >= room + 2.0), "none on a strip too short for it"
        for note in notes:
            noted += 1
            words = text_box(note)
            assert placed.on_page(placed.template.outline).covers(words)
            assert 0.5 < gutter.distance(words) < 3.0
            # Along the gutter: both ends are as far from it.
            ends = np.asarray(words.exterior.coords)[:4]
            far = [gutter.distance(LineString([end, end + 1e-9])) for end in ends]
            assert far[0] == pytest.approx(far[1], abs=0.01)
    assert noted >= len({page.placed[0].template.number for page in placing}), "on each page"


@pytest.mark.parametrize("first", [2.0, 20.0, 38.0, 55.0])
def test_words_along_the_gutter_keep_off_what_lands_there(first):
    """Feet stand at the gutter all along it, and leave one gap of 50 mm in 210."""
    made = []
    free = (first + 40.0, first + 90.0)
    at = [y for y in np.arange(2.0, 200.0, 9.0) if y + 8.0 < free[0] or y > free[1]]
    for k, y in enumerate(at):
        made.append(tent(f"tent{k}", foot=1.0, leg=4.0, y=float(y), wide=7.0))
    sheets = [page_sheet(148.0, 210.0), *[sheet for sheet, _ in made]]
    found = templates(sheets, [join for _, joins in made for join in joins])
    pattern = lay_out("Specimen", found, Options())
    placing = [page for page in pattern.pages if page.paper == "placing sheets"]
    assert len(placing) == 2
    for page in placing:
        (placed,) = page.placed
        (note,) = [m for m in page.furniture if isinstance(m, Text) and "gutter" in m.text]
        for area in placed.template.glue:
            assert placed.on_page(area.polygon).distance(text_box(note)) > 0.9


@pytest.mark.parametrize("inset", [0.5, 2.0, 4.0])
def test_where_something_lands_all_along_the_gutter_words_keep_off_its_edge(inset):
    facets, crossings = cut(shapely.box(0, 0, 140, 206), [], {"all": (1, 1)})
    cover = Sheet("cover", "cover", CARD, CARD.front, CARD.back, facets, crossings)
    join = Join("cover.all", "page.right", Placement(0.0, (inset, 2.0)))
    found = templates([page_sheet(148.0, 210.0), cover], [join])
    pattern = lay_out("Specimen", found, Options())
    (page,) = [page for page in pattern.pages if page.paper == "placing sheets"]
    (placed,) = page.placed
    (area,) = placed.template.glue
    (note,) = [m for m in page.furniture if isinstance(m, Text) and "gutter" in m.text]
    assert placed.on_page(area.polygon).boundary.distance(text_box(note)) > 0.3
    letters = [m for m in marks(placed, Show()) if isinstance(m, Text)]
    assert all(text_box(text).disjoint(text_box(note)) for text in letters)


@pytest.mark.parametrize(("high", "sheets"), [(240.0, 1), (249.5, 1), (268.0, 2)])
def test_a_page_a_little_too_tall_is_not_parted_for_its_bare_margins(high, sheets):
    """A4 has room for 248 mm; places reach to 4 mm from head and foot, one all along the foot."""
    low, lowest = tent("low", foot=110.0, leg=70.0, y=4.0)
    far, highest = tent("far", y=high - 54.0)
    found = templates([page_sheet(148.0, high), low, far], [*lowest, *highest])
    pattern = lay_out("Specimen", found, Options())
    placing = [page for page in pattern.pages if page.paper == "placing sheets"]
    assert len(placing) == 2 * sheets
    shown = {}
    for page in placing:
        (placed,) = page.placed
        for note in [m for m in page.furniture if isinstance(m, Text) and "foot" in m.text]:
            for area in placed.template.glue:
                edge = placed.on_page(area.polygon).boundary
                assert edge.distance(text_box(note)) > 0.3, "words are off the dotted lines"
        window = shapely.box(0, 0, 210, 297) if placed.window is None else placed.window
        inside = placed.on_page(placed.template.outline).intersection(window)
        for area in placed.template.glue:
            seen = placed.on_page(area.polygon).intersection(inside)
            shown[area.letter] = shown.get(area.letter, 0.0) + seen.area / area.polygon.area
    assert len(shown) == 4
    assert min(shown.values()) > 1 - 1e-9, "nothing that lands is left out"
