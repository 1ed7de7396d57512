"""Letters that reach beyond their paper, judged by the outlines in the font file."""

from __future__ import annotations

import pytest
import shapely
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from shapely.affinity import affine_transform

from meshes import spread
from meshes.check.case import case_of
from meshes.check.lettering import cut_share, lettering

# Letters of straight strokes, drawn in the font as polygons.
WORD, SIZE = "HILTE", 8.0
DESIGN = """
[pieces.sign]
kind = "flat"
on = "page.right"
outline = {{ shape = "rectangle", width = {width}, length = 14 }}
lettering = [{{ text = "{word}", size = {size}, turn = {turn} }}]
"""


def sign(tmp_path, width, turn=0, size=SIZE):
    file = tmp_path / "sign.toml"
    file.write_text(DESIGN.format(width=width, word=WORD, size=size, turn=turn), encoding="utf-8")
    found = spread.read(file)
    (sheet,) = [sheet for sheet in found.sheets if sheet.art]
    return found, sheet, sheet.art[0]


def letters(item):
    """The word as polygons, from the outlines in the font, mm on the sheet, middle at x = 0."""
    font = TTFont(item.font)
    glyphs, widths, names = font.getGlyphSet(), font["hmtx"], font.getBestCmap()
    at, parts = 0.0, []
    for letter in item.text:
        name = names[ord(letter)]
        pen = DecomposingRecordingPen(glyphs)
        glyphs[name].draw(pen)
        corners = [points[0] for verb, points in pen.value if verb in ("moveTo", "lineTo")]
        parts.append(affine_transform(shapely.Polygon(corners), [1, 0, 0, 1, at, 0]))
        at += widths[name][0]
    scale = item.size / font["head"].unitsPerEm
    return affine_transform(shapely.union_all(parts), [scale, 0, 0, scale, -at * scale / 2, 0])


@pytest.mark.parametrize("width", [8.0, 12.0, 16.0, 40.0])
def test_what_is_cut_off_is_the_area_of_the_outlines_beyond_the_paper(width, tmp_path):
    _, sheet, item = sign(tmp_path, width)
    word = letters(item)
    kept = word.intersection(shapely.box(-width / 2, -99, width / 2, 99)).area
    # Pillow sets whole pixels; a column of them is 2 % of the size.
    assert cut_share(sheet, item) == pytest.approx(100 * (1 - kept / word.area), abs=2.5)


def test_lettering_that_fits_is_no_finding(tmp_path):
    found, _, _ = sign(tmp_path, 40)
    assert lettering(case_of(found)) == []


def test_lettering_too_long_is_a_warning_with_a_size_that_fits(tmp_path):
    found, _, _ = sign(tmp_path, 14)
    (finding,) = lettering(case_of(found))
    assert (finding.severity, finding.kind, finding.piece) == ("warning", "lettering cut", "sign")
    size = float(finding.trim.removeprefix("a size of ").partition(" ")[0])
    smaller, _, item = sign(tmp_path, 14, size=size)
    assert lettering(case_of(smaller)) == []
    assert letters(item).bounds[2] == pytest.approx(7, abs=0.4)


def test_turned_lettering_is_cut_at_the_other_edges(tmp_path):
    _, sheet, item = sign(tmp_path, 40, turn=90)
    word = letters(item)
    kept = word.intersection(shapely.box(-7, -99, 7, 99)).area
    assert cut_share(sheet, item) == pytest.approx(100 * (1 - kept / word.area), abs=2.5)
