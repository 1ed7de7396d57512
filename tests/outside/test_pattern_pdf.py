"""Pattern PDFs measured back with other libraries: pdfminer through pdfplumber, pikepdf, pdfium."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pikepdf
import pypdfium2
import pytest
import shapely
from shapely.geometry import LineString

from preview.pattern.layout import Options, lay_out
from preview.pattern.pdf import write_pattern
from preview.pattern.stock import stock
from preview.pattern.template import templates
from tests.pattern.specimens import spread

MM_PER_POINT = 25.4 / 72  # ISO 32000-1, 8.3.2.3: default user space unit 1/72 in
# ISO 216:2007 trimmed sizes, and 8.5 × 11 in; mm
PAGES = {"A4": (210, 297), "A3": (297, 420), "Letter": (215.9, 279.4)}
TOLERANCE_MM = 0.02


def made(**changes):
    sheets, joins = spread()
    return lay_out("Hedge in May", templates(sheets, joins), replace(Options(), **changes))


@pytest.fixture(scope="module")
def pattern():
    return made()


@pytest.fixture(scope="module")
def document(pattern):
    return write_pattern(pattern)


def paths(document, page):
    """All stroked paths of a page in mm from the top left, read from the content stream."""
    with pikepdf.open(io.BytesIO(document)) as pdf:
        high = float(pdf.pages[page].mediabox[3])
        matrix, saved, found, current = np.eye(3), [], [], []
        for operands, operator in pikepdf.parse_content_stream(pdf.pages[page]):
            name, numbers = str(operator), operands
            if name == "q":
                saved.append(matrix)
            elif name == "Q":
                matrix = saved.pop()
            elif name == "cm":
                a, b, c, d, e, f = map(float, numbers)
                matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
            elif name == "m":
                current.append([list(map(float, numbers))])
            elif name == "l":
                current[-1].append(list(map(float, numbers)))
            elif name == "h":
                current[-1].append(current[-1][0])
            elif name in ("S", "s"):
                for points in current:
                    moved = np.c_[np.array(points), np.ones(len(points))] @ matrix
                    found.append(np.c_[moved[:, 0], high - moved[:, 1]] * MM_PER_POINT)
                current = []
            elif name in ("f", "f*", "n", "B", "B*"):
                current = []
        return found


def nearest(points, drawn):
    """Largest distance of a wanted polyline from the drawn one that fits best, both ways."""
    wanted = LineString(points)
    return min(
        max(wanted.hausdorff_distance(LineString(p)), LineString(p).hausdorff_distance(wanted))
        for p in drawn
    )


def test_every_cut_and_fold_is_printed_where_the_sheet_has_it(pattern, document):
    for number, page in enumerate(pattern.pages, 1):
        drawn = paths(document, number)
        for placed in page.placed:
            for fold in placed.template.folds:
                ends = placed.apply(np.array([fold.start, fold.end]))
                assert nearest(ends, drawn) < TOLERANCE_MM
            outline = placed.template.outline
            for ring in (outline.exterior, *outline.interiors):
                assert nearest(placed.apply(np.asarray(ring.coords)), drawn) < TOLERANCE_MM


def test_lengths_and_areas_on_paper_are_those_of_the_sheet(pattern, document):
    """Placing is rigid: what pdfplumber measures on the page is what the sheet measures."""
    import pdfplumber

    sheet = pattern.templates[0]
    with pdfplumber.open(io.BytesIO(document)) as pdf:
        rects = pdf.pages[1].rects + pdf.pages[1].curves
        sizes = [
            (float(r["x1"] - r["x0"]) * MM_PER_POINT, float(r["bottom"] - r["top"]) * MM_PER_POINT)
            for r in rects
        ]
    left, bottom, right, top = sheet.outline.bounds
    wanted = sorted((right - left, top - bottom))
    assert any(np.abs(np.sort(s) - wanted).max() < TOLERANCE_MM for s in sizes)


def test_check_bars_and_square_have_their_length(document):
    for page in range(2):
        lines = [p for p in paths(document, page) if len(p) == 2]
        spans = np.array([np.ptp(p, axis=0) for p in lines])
        for axis in (0, 1):
            exact = np.abs(spans[:, axis] - 100.0) < 0.005
            assert (exact & (spans[:, 1 - axis] < 1e-6)).sum() == 1
    squares = [np.ptp(p, axis=0) for p in paths(document, 0) if len(p) == 5]
    assert any(np.abs(size - 50.0).max() < 0.005 for size in squares)


@pytest.mark.parametrize("name", PAGES)
def test_page_boxes_are_those_of_the_standard(name):
    document = write_pattern(made(stock=stock(name)))
    with pikepdf.open(io.BytesIO(document)) as pdf:
        for page in pdf.pages:
            size = np.array([float(v) for v in page.mediabox])[2:] * MM_PER_POINT
            # Two decimals of a point is 0.004 mm; ISO 216 itself allows ±1.5 mm and more.
            assert np.abs(size - PAGES[name]).max() < 0.005


def test_fonts_are_embedded_and_viewers_told_not_to_scale(document):
    with pikepdf.open(io.BytesIO(document)) as pdf:
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
        fonts = 0
        for page in pdf.pages:
            for font in page.resources.get("/Font", {}).values():
                descriptor = font.DescendantFonts[0].FontDescriptor
                assert "/FontFile2" in descriptor
                fonts += 1
        assert fonts >= 2


def test_the_file_is_sound_and_never_changes(pattern, document):
    assert write_pattern(pattern) == document
    with pikepdf.open(io.BytesIO(document)) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert str(pdf.docinfo["/CreationDate"]).startswith("D:20000101")


def test_the_page_says_how_to_print_it(document):
    import pdfplumber

    with pdfplumber.open(io.BytesIO(document)) as pdf:
        first, second = (pdf.pages[k].extract_text() for k in range(2))
    assert "50 mm" in first
    assert "never to fit the page" in first
    assert "Print at 100 %" in second
    assert "1 tent" in second


def runs(dark):
    """Middles of runs of neighbouring numbers."""
    return [run.mean() for run in np.split(dark, np.flatnonzero(np.diff(dark) > 1) + 1)]


def test_a_piece_measured_in_pixels_at_300_dpi(pattern, document):
    """300 dpi is 300 / 25.4 pixels for each mm; a line's middle is found to half a pixel."""
    page = pypdfium2.PdfDocument(document)[1]
    picture = np.asarray(page.render(scale=300 / 72, grayscale=True).to_numpy()).squeeze()
    assert picture.shape == pytest.approx((297 / 25.4 * 300, 210 / 25.4 * 300), abs=1.5)
    placed = pattern.pages[0].placed[0]
    box = np.array(placed.on_page(placed.template.outline).bounds) / 25.4 * 300
    left, top, right, bottom = box.round().astype(int)
    around = picture[top - 12 : bottom + 13, left - 12 : right + 13] < 128
    across = np.flatnonzero(around.mean(axis=0) > 0.6)
    upright = np.flatnonzero(around.mean(axis=1) > 0.6)
    # The outermost runs of dark columns are the two cuts, each about 0.5 mm (6 pixels) wide.
    wide, high = (middles[-1] - middles[0] for middles in map(runs, (across, upright)))
    assert wide == pytest.approx(box[2] - box[0], abs=1.5)
    assert high == pytest.approx(box[3] - box[1], abs=1.5)


def test_a_printer_that_shrinks_gives_true_size():
    scale = np.array([0.989, 1.004])
    plain, made_up = made(), made(scale=tuple(scale))
    document = write_pattern(made_up)
    middle = np.array([105.0, 148.5])
    printed = [middle + (p - middle) * scale for p in paths(document, 1)]
    for placed in made_up.pages[0].placed:
        ring = placed.apply(np.asarray(placed.template.outline.exterior.coords))
        assert nearest(ring, printed) < TOLERANCE_MM
    assert plain.options.scale == (1.0, 1.0)
    bars = [np.ptp(p, axis=0).max() for p in printed if len(p) == 2]
    assert sum(abs(bar - 100.0) < 0.01 for bar in bars) == 2


def test_nothing_is_printed_within_five_millimetres_of_the_edge(document, pattern):
    """Home printers leave a strip of 3 to 5 mm blank: common practice, no source."""
    inner = shapely.box(5, 5, 205, 292)
    for page in range(len(pattern.pages) + 1):
        assert all(inner.covers(LineString(p)) for p in paths(document, page))
