"""Drafting sheets as they are printed and shown: what is read there is what was proved."""

from __future__ import annotations

import io
import itertools
import re

import numpy as np
import pdfplumber
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from meshes import spread
from preview.draft.columns import ColumnArea, ColumnPages, PageBlock, dealt, height
from preview.draft.figure import DraftDrawing, FigureLook
from preview.draft.ground import SCALES, PictureBox, area_of
from preview.draft.pages import finished_piece, write_drafts
from preview.draft.plan import BaseLine, DraftPlan, DraftStep, Point, Prick, Straight
from preview.draft.screens import painted, screen
from preview.draft.sheets import draft_sheets
from preview.pattern.drawing import PenStroke, Text
from preview.pattern.stock import stock
from preview.pattern.template import templates
from tests import designs

from .hand import draws

A4 = stock("A4")
# The first words of every kind of sentence.
STARTS = r"(?:Draw|Point|Cut line|Valley fold|Mountain fold|Mirror|Divide|Prick)\b"


@pytest.fixture(scope="module")
def pieces():
    found = spread.read(designs.path("hill-village"))
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    return {template.number: template for template in made if not template.is_page}


@pytest.fixture(scope="module")
def sheets(pieces):
    return draft_sheets(tuple(pieces.values()))


@pytest.fixture(scope="module")
def document(sheets):
    data = write_drafts("Hill village", sheets, A4)
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        yield pdf


def written_on(page):
    """The texts of a page in the order in which they are printed."""
    texts, last = [], None
    for char in page.chars:
        at = (char["matrix"][4], char["matrix"][5], char["size"], char["upright"])
        near = last is not None and abs(at[1] - last[1]) < 0.01 and abs(at[0] - last[4]) < 2
        if near and at[2] == last[2]:
            texts[-1] += char["text"]
        else:
            texts.append(char["text"])
        last = (*at, at[0] + char["width"])
    return texts


def sentences_of(texts):
    """Sentences among the texts of a page, those over two rows put together."""
    found = []
    for text in texts:
        if re.match(STARTS, text):
            found.append(text)
        elif found and not found[-1].endswith("."):
            found[-1] += f" {text}"
    return [text for text in found if text.endswith(".")]


def test_the_sentences_that_are_printed_draw_the_pieces(document, sheets, pieces):
    """Read back from the PDF by a library that did not write it."""
    by_piece, number = {}, 0
    titles = {f"{sheet.number} {sheet.title}": sheet.number for sheet in sheets}
    for page in document.pages[1:]:
        for text in written_on(page):
            number = titles.get(text, number)
            by_piece.setdefault(number, []).append(text)
    by_piece = {number: sentences_of(texts) for number, texts in by_piece.items()}
    assert sorted(by_piece) == [sheet.number for sheet in sheets]
    for sheet in sheets:
        told = [text for text in by_piece[sheet.number] if not text.startswith("Cut this once")]
        told = [text for text in told if not re.match(r"Cut \d+ of", text)]
        template = pieces[sheet.numbers[0]]
        assert draws(told, template, sheet.drawing.plan), sheet.title


def test_a_finished_piece_is_printed_at_the_scale_that_is_said(document, sheets):
    """Its bounding box on the page, from the PDF's own lines; a point is 25.4 / 72 mm."""
    checked = 0
    for page in document.pages[1:]:
        scales = page.search(r"scale 1:(\d+)")
        checks = page.search(r"Check: ([\d.]+) mm along A–B and ([\d.]+) mm")
        for title in page.search("Finished"):
            beside = [
                s for s in scales if abs(s["top"] - title["top"]) < 3 and s["x0"] > title["x0"]
            ]
            scale = min(beside, key=lambda found: found["x0"])
            below = [
                c for c in checks if c["top"] > title["top"] and abs(c["x0"] - title["x0"]) < 1
            ]
            check = min(below, key=lambda found: found["top"])
            place = page.crop((title["x0"] - 1, title["top"], scale["x1"] + 1, check["top"]))
            heavy = [
                o
                for o in (*place.curves, *place.lines, *place.rects)
                if abs(o["linewidth"] - 0.5 * 72 / 25.4) < 0.02
            ]
            wide = max(o["x1"] for o in heavy) - min(o["x0"] for o in heavy)
            high = max(o["bottom"] for o in heavy) - min(o["top"] for o in heavy)
            for points, told in zip((wide, high), check["groups"], strict=True):
                mm = points * 25.4 / 72 * float(scale["groups"][0])
                assert mm == pytest.approx(float(told), abs=0.25 * float(scale["groups"][0]))
            checked += 1
    assert checked == len(sheets)


def test_every_side_and_letter_of_a_finished_piece_is_written(sheets):
    """On its page, at the scale and in the width that it has there."""
    area = ColumnArea(12.0, 12.0, 90.0, 6.0, 273.0)
    for sheet in sheets:
        texts = [mark.text for mark in finished_piece(sheet, area).marks if isinstance(mark, Text)]
        for name in (*(words for words, _ in sheet.sides), *(p.letter for p in sheet.places)):
            assert name in texts, (sheet.title, name)


def figures(sheets):
    for sheet in sheets:
        for number, step in enumerate(sheet.drawing.plan.steps):
            figure = sheet.drawing.step(number, PictureBox(10.0, 10.0, 90.0, 66.0), FigureLook())
            yield sheet, step, figure


def test_dimensions_on_a_picture_are_those_that_are_told_beside_it(sheets):
    measured = 0
    for _, step, figure in figures(sheets):
        told = set(re.findall(r"[\d.]+(?=\D|$)", " ".join(step.told)))
        told |= {number.rstrip(".") for number in told}
        values = [m for m in figure.marks if isinstance(m, Text) and not m.bold and not m.grey]
        for text in values:
            for number in re.findall(r"\d+(?:\.\d+)?", text.text):
                assert number in told, (step.told, text.text)
                measured += 1
    assert measured > 50


def test_no_text_of_a_picture_lies_on_another_or_leaves_it(sheets):
    room = shapely.box(10, 10, 100, 76)
    for sheet, _, figure in figures(sheets):
        boxes = [area_of(mark) for mark in figure.marks if isinstance(mark, Text)]
        for one, other in itertools.combinations(boxes, 2):
            assert one.disjoint(other), sheet.title
        assert all(room.covers(box) for box in boxes)


def test_what_was_drawn_before_stays_in_the_picture_of_a_late_step():
    """A hole amid a tall sheet: once its picture ran off the page above and below."""
    corners = {"1": (0, 120), "2": (100, 120), "3": (100, -120), "4": (0, -120)}
    points = [Point(name, *at) for name, at in corners.items()]
    outline = DraftStep("Outline", (*points, Straight("cut", (*corners, "1"))))
    hole = DraftStep("Fastener", (Point("5", 40.0, 3.0), Prick("5")))
    base = DraftStep("Base line", (BaseLine(100.0),))
    drawing = DraftDrawing.of(DraftPlan((base, outline, hole), np.eye(2), np.zeros(2)))
    box = PictureBox(10.0, 10.0, 160.0, 120.0)
    figure = drawing.step(2, box, FigureLook())
    strokes = [mark.points for mark in figure.marks if isinstance(mark, PenStroke)]
    assert not box.left_by(np.concatenate(strokes))


def test_dimensions_are_read_from_below_or_from_the_right(sheets):
    """ISO 129-1, from memory: turned by no more than a quarter to the left."""
    for _, _, figure in figures(sheets):
        for mark in figure.marks:
            if isinstance(mark, Text):
                assert -np.pi / 2 + 1e-6 < mark.angle <= np.pi / 2 + 1e-6


def test_extension_lines_leave_a_gap_and_go_on_beyond_the_dimension_line(sheets):
    """ISO 129-1, from memory. The base line's own dimension has two of them."""
    figure = next(figure for _, step, figure in figures(sheets) if step.title == "Base line")
    lines = [m.points for m in figure.marks if isinstance(m, PenStroke) and m.role == "dimension"]
    level = next(p for p in lines if np.ptp(p[:, 1]) < 1e-9)
    upright = [p for p in lines if np.ptp(p[:, 0]) < 1e-9]
    base = next(m.points for m in figure.marks if isinstance(m, PenStroke) and m.role == "sign")
    assert len(upright) == 2
    for line in upright:
        assert line[:, 1].min() == pytest.approx(base[0, 1] + 1.0)
        assert line[:, 1].max() == pytest.approx(level[0, 1] + 1.0)
    heads = [m for m in figure.marks if isinstance(m, PenStroke) and m.role == "terminator"]
    tips = [m.points[0] for m in heads if len(m.points) == 3]
    assert sorted(tip[0] for tip in tips) == pytest.approx(sorted(level[:, 0]))


def test_scales_are_usual_ones(sheets):
    """ISO 5455, from memory."""
    assert {figure.scale for _, _, figure in figures(sheets)} <= set(SCALES)


def test_names_of_sides_lie_on_no_line(sheets):
    named = 0
    for sheet in sheets:
        box = PictureBox(10.0, 10.0, 180.0, 180.0)
        figure = sheet.drawing.finished(box, FigureLook(scales=(1.0,)), sheet.sides)
        kinds = ("cut", "valley", "mountain")
        lines = [m.points for m in figure.marks if isinstance(m, PenStroke) and m.role in kinds]
        for text in [mark for mark in figure.marks if isinstance(mark, Text)]:
            assert area_of(text).disjoint(shapely.MultiLineString(lines))
            named += 1
    assert named > 10


def test_how_many_are_cut_is_said(sheets):
    wanted = {sheet.title: sheet.wanted for sheet in sheets}
    assert wanted["house"].startswith("Cut this once, of card")
    assert wanted["bush 1"].startswith("Cut 6 of these, of card")
    assert sum(len(sheet.numbers) for sheet in sheets) == 40


def test_small_pieces_share_a_page(document):
    """Once each began a page of its own; nothing runs over its foot."""
    assert max(len(page.search("Finished")) for page in document.pages) > 1
    for page in document.pages:
        assert all(char["bottom"] < page.height - 4 * 72 / 25.4 for char in page.chars)


@given(
    st.lists(
        st.tuples(st.floats(5.0, 99.0), st.floats(0.0, 12.0), st.booleans()),
        min_size=1,
        max_size=40,
    )
)
def test_blocks_of_two_columns_stay_whole_in_order_and_apart(wanted):
    """Whatever their heights: each is there once, none over another or over the page's foot."""
    area = ColumnArea(10.0, 20.0, 80.0, 6.0, 100.0)
    columns = ColumnPages(area)
    for number, (high, gap, is_broad) in enumerate(wanted):
        wide = area.width if is_broad else area.column
        outline = np.array([(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)])
        mark = PenStroke("cut", outline, closed=True)
        columns.add(PageBlock([Text(0.0, 0.0, str(number), 3.0), mark], high, gap, is_broad))
    seen, inside = [], shapely.box(10.0, 20.0, 176.0, 120.0).buffer(1e-6)
    for page in columns.finish():
        boxes = [shapely.Polygon(mark.points) for mark in page if isinstance(mark, PenStroke)]
        seen += [int(mark.text) for mark in page if isinstance(mark, Text)]
        assert all(inside.covers(box) for box in boxes)
        for one, other in itertools.combinations(boxes, 2):
            assert one.intersection(other).area < 1e-6
    assert seen == list(range(len(wanted)))


def test_columns_end_at_nearly_the_same_height():
    """No way of dealing four blocks in order makes the longer column shorter."""
    blocks = [PageBlock([], high, 2.0) for high in (30.0, 10.0, 20.0, 15.0)]
    by_hand = min(max(height(blocks[:n]), height(blocks[n:])) for n in range(5))
    assert dealt(blocks) == (2, by_hand) == (2, 42.0)


def test_a_line_of_two_points_is_straight(sheets):
    """Once some were told to be smooth, between two points."""
    told = [words for sheet in sheets for words in sheet.drawing.plan.told]
    assert any(": 1 – 2" in words for words in told)
    assert not [words for words in told if re.search(r"smooth: \w+ – \w+\.$", words)]


@pytest.mark.night
def test_a_screen_is_a_picture_for_a_video(sheets):
    sheet = next(sheet for sheet in sheets if sheet.title == "house")
    pixels = []
    for number in range(len(sheet.drawing.plan.steps) + 1):
        with Image.open(io.BytesIO(painted(screen(sheet, number)))) as image:
            assert image.size == (1920, 1080)
            pixels.append(np.asarray(image).astype(int))
    for one, other in itertools.pairwise(pixels):
        assert (np.abs(one - other).max(axis=2) > 60).mean() > 0.002


def test_the_same_design_gives_the_same_bytes(sheets):
    assert write_drafts("x", sheets[:3], A4) == write_drafts("x", sheets[:3], A4)
