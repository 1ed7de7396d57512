"""A placing sheet says what to do with it, and on every part which edge goes into the gutter."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString

from preview.pattern import font
from preview.pattern.drawing import Text
from preview.pattern.layout import Options, lay_out
from preview.pattern.lettering import text_box
from preview.pattern.stock import stock
from preview.pattern.template import templates

from .specimens import page_sheet, tent


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
        assert any("prick each place through" in text.text for text in texts)
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
