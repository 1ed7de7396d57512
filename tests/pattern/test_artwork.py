"""Art is printed where the sheet has it, mirrored for nobody, and ends at the bleed."""

from __future__ import annotations

import base64
import io
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
import shapely
import svgelements
from PIL import Image as Pillow

from meshes.art import Image, Lettering, ink
from meshes.sheet import Join, Placement, Sheet, cut
from preview.pattern import font
from preview.pattern.artwork import boxes
from preview.pattern.drawing import PrintedImage, Text
from preview.pattern.layout import Options, lay_out
from preview.pattern.lettering import text_box
from preview.pattern.machine import Run, job_of
from preview.pattern.machine_files import svg_of
from preview.pattern.marks import Placed, Show, letters_of, marks
from preview.pattern.pdf import write_pattern
from preview.pattern.svg import page_svg
from preview.pattern.template import templates

from .specimens import CARD, page_sheet, tent

# Corners of the picture: upper left, upper right, lower left, lower right.
COLOUR = {
    (-1, 1): (220, 40, 40),
    (1, 1): (40, 160, 60),
    (-1, -1): (40, 60, 200),
    (1, -1): (230, 200, 40),
}
DOTS_PER_MM = 150 / 25.4


@pytest.fixture
def card(tmp_path):
    """A tent with a picture of four colours on each face, turned a little."""
    pixels = np.zeros((40, 40, 3), np.uint8)
    for (x, y), colour in COLOUR.items():
        rows = slice(0, 20) if y > 0 else slice(20, 40)
        columns = slice(0, 20) if x < 0 else slice(20, 40)
        pixels[rows, columns] = colour
    file = tmp_path / "four.png"
    Pillow.fromarray(pixels).save(file)
    front = Image(file, 30.0, 20.0, Placement(0.3, (-15.0, 25.0)))
    back = Image(file, 30.0, 20.0, Placement(-0.2, (18.0, 25.0), True), -1)
    sheet, joins = tent()
    return replace(sheet, art=(front, back)), joins


def printed(card, **changes):
    sheet, joins = card
    options = replace(Options(), show=Show(names=False), pages=False, **changes)
    pattern = lay_out("x", templates([page_sheet(), sheet], joins), options)
    document = pypdfium2.PdfDocument(io.BytesIO(write_pattern(pattern)))
    # A front is an odd page: an empty one follows the first.
    first = 2 if options.side == "both" else 1
    pictures = [
        np.asarray(document[k + first].render(scale=150 / 72).to_pil().convert("RGB"))
        for k in range(len(pattern.pages))
    ]
    return pattern, pictures


@pytest.mark.parametrize(("side", "face"), [("front", 0), ("back", 1)])
def test_each_corner_of_a_picture_is_printed_where_the_sheet_has_it(card, side, face):
    art = card[0].art[face]
    pattern, (picture,) = printed(card, side=side)
    (placed,) = pattern.pages[0].placed
    for (x, y), colour in COLOUR.items():
        at = placed.apply(art.placement.apply(np.array([[x * 7.0, y * 5.0]])))[0]
        column, row = (at * DOTS_PER_MM).round().astype(int)
        assert np.abs(picture[row, column].astype(int) - colour).max() < 40


@pytest.mark.parametrize(("side", "face"), [("front", 0), ("back", 1)])
def test_each_corner_lies_there_in_an_svg_too(card, side, face):
    sheet, joins = card
    art = sheet.art[face]
    pattern = lay_out("x", templates([page_sheet(), sheet], joins), Options(side=side, pages=False))
    page = pattern.pages[0]
    parsed = svgelements.SVG.parse(io.StringIO(page_svg(pattern, page)), ppi=25.4)
    (image,) = [e for e in parsed.elements() if isinstance(e, svgelements.Image)]
    data = base64.b64decode(image.values["href"].partition("base64,")[2])
    pixels = np.asarray(Pillow.open(io.BytesIO(data)).convert("RGB")).astype(int)
    for (x, y), colour in COLOUR.items():
        at = page.placed[0].apply(art.placement.apply(np.array([[x * 7.0, y * 5.0]])))[0]
        own = (~image.transform).point_in_matrix_space(svgelements.Point(*at))
        column = int((own.x - image.x) / image.width * pixels.shape[1])
        row = int((own.y - image.y) / image.height * pixels.shape[0])
        assert np.abs(pixels[row, column] - colour).max() < 40


def test_printed_on_both_sides_each_face_shows_its_own(card):
    pattern, (front, back) = printed(card, side="both")
    for picture, page, art in zip((front, back), pattern.pages, card[0].art, strict=True):
        at = page.placed[0].apply(art.placement.apply(np.array([[-7.0, 5.0]])))[0]
        column, row = (at * DOTS_PER_MM).round().astype(int)
        assert np.abs(picture[row, column].astype(int) - COLOUR[(-1, 1)]).max() < 40


def picture_of(card, **show):
    sheet, joins = card
    template = templates([page_sheet(), sheet], joins)[0]
    placed = Placed(template, np.diag([1.0, -1.0]), np.array([100.0, 120.0]))
    return placed, [m for m in marks(placed, Show(**show)) if isinstance(m, PrintedImage)]


def test_a_picture_ends_at_the_bleed(card):
    sheet, joins = card
    wide = replace(sheet.art[0], width=300.0, height=300.0)
    for bleed in (0.0, 2.0):
        placed, (picture,) = picture_of((replace(sheet, art=(wide,)), joins), bleed=bleed)
        left, top, right, bottom = placed.on_page(placed.template.outline).buffer(bleed).bounds
        assert picture.x == pytest.approx(left, abs=0.1)
        assert picture.width == pytest.approx(right - left, abs=0.2)
        assert picture.height == pytest.approx(bottom - top, abs=0.2)


def test_a_sheet_without_art_has_no_picture(card):
    sheet, joins = card
    assert picture_of((replace(sheet, art=()), joins))[1] == []
    assert picture_of(card, art=False)[1] == []


def test_a_split_piece_shows_on_each_part_only_what_lies_there(card):
    sheet, joins = card
    template = templates([page_sheet(), sheet], joins)[0]
    window = shapely.box(0, 0, 90, 200)
    placed = Placed(template, np.diag([1.0, -1.0]), np.array([100.0, 120.0]), window=window)
    (picture,) = [m for m in marks(placed, Show()) if isinstance(m, PrintedImage)]
    assert picture.x + picture.width <= 90.01


def test_names_keep_off_the_art(card):
    sheet, joins = card
    for side, face in ((1, "front"), (-1, "back")):
        template = templates([page_sheet(), sheet], joins)[0]
        matrix = np.diag([float(side), -1.0])
        placed = Placed(template, matrix, np.array([100.0, 120.0]), face)
        (name,) = [m for m in marks(placed, Show()) if isinstance(m, Text) and "tent" in m.text]
        (art,) = boxes(placed)
        assert text_box(name).disjoint(art)


def test_where_a_picture_fills_the_piece_its_number_stands_beside_it(card):
    sheet, joins = card
    for side, face in ((1, "front"), (-1, "back")):
        filled = replace(sheet, art=tuple(replace(a, width=300, height=300) for a in sheet.art))
        template = templates([page_sheet(), filled], joins)[0]
        placed = Placed(template, np.diag([float(side), -1.0]), np.array([100.0, 120.0]), face)
        texts = [m for m in marks(placed, Show()) if isinstance(m, Text)]
        (name,) = [text for text in texts if text.text.startswith(str(template.number))]
        paper = placed.on_page(template.outline)
        assert not text_box(name).intersects(paper)
        hidden = [placed.on_page(area.polygon) for area in template.glue if area.face == face]
        for text in texts:
            bare = text_box(text).intersection(paper).area
            on_glue = sum(text_box(text).intersection(area).area for area in hidden)
            bracketed = text.text.startswith("(")
            assert bracketed or bare == pytest.approx(on_glue), "only what will be hidden"


def test_the_cutting_machine_draws_no_art(card):
    sheet, joins = card
    options = Options(furnished=False, pages=False)
    pattern = lay_out("x", templates([page_sheet(), sheet], joins), options)
    assert "<image" not in svg_of(job_of("x", pattern.pages[0], Run()))


def label(text="Cocoa", width=30.0, height=10.0, size=8.0):
    """A label on the left page, glued by its back, with lettering over all of it."""
    facets, crossings = cut(shapely.box(0, 0, width, height), [], {"label": (1, 1)})
    shift = Placement(0.0, (width / 2, height / 2))
    art = (Lettering(text, size, "#5a3020", font.file(bold=True), shift),)
    sheet = Sheet("label", "label", CARD, CARD.front, CARD.back, facets, crossings, art=art)
    join = Join("label.label", "page.left", Placement(0.0, (-100.0, 60.0)))
    return next(t for t in templates([page_sheet(), sheet], [join]) if t.title == "label")


@pytest.mark.parametrize("turn", [0.0, np.pi / 2, np.pi])
@pytest.mark.parametrize(
    ("text", "size", "inside"), [("Hot soup", 7.7, False), ("Cocoa", 4.0, True)]
)
def test_lettering_is_kept_free_of_numbers_and_glue_letters(turn, text, size, inside):
    """What is printed is looked at as points of ink; number and letter are said all the same."""
    made = label(text, size=size)
    c, s = np.cos(turn), np.sin(turn)
    matrix = np.array([[c, -s], [s, c]]) @ np.diag([1.0, -1.0])
    placed = Placed(made, matrix, np.array([100.0, 120.0]))
    texts = [m for m in marks(placed, Show()) if isinstance(m, Text)]
    (item,) = made.sheet.art
    printed = shapely.MultiPoint(placed.apply(ink(item)))
    for words in texts:
        assert text_box(words).distance(printed) > 0.2, words.text
    said = " ".join(words.text for words in texts).split()
    assert said.count("1") == 1
    assert said.count("(A)") == 1
    outline = placed.on_page(made.outline)
    (number,) = [words for words in texts if words.text.split()[0] == "1"]
    assert outline.covers(text_box(number)) == inside
    if not inside:
        assert 0.3 < outline.distance(text_box(number)) < 1.0, "beside the cut, and near it"
        assert outline.buffer(2.0).covers(text_box(number))


def test_a_letter_of_the_shown_face_stays_in_its_place_on_lettering():
    """What lands there hides it."""
    made = label()
    back = Placed(made, np.diag([-1.0, -1.0]), np.array([150.0, 80.0]), "back")
    (found,) = letters_of(back, Show())
    assert found.here
    assert found.shape.covers(found.centre)
    assert not found.beside
