"""Printing on both sides, judged by pikepdf, pdfplumber and plane geometry.

Page boxes and layers are those of ISO 32000-1, 14.11.2 and 8.11, tags those of 14.7.
"""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pdfplumber
import pikepdf
import pytest
import shapely
from shapely.geometry import LineString, Point

from meshes import designs, spread
from meshes.sheet import Placement
from preview.pattern.drawing import PenStroke, Text
from preview.pattern.layout import Options, lay_out
from preview.pattern.marks import Show
from preview.pattern.pdf import write_pattern
from preview.pattern.stock import Stock, stock
from preview.pattern.template import templates
from tests.designs import by_day, each
from tests.outside.test_pattern_whole import alone
from tests.pattern.specimens import leaf
from tests.pattern.specimens import spread as small

MM_PER_POINT = 25.4 / 72  # ISO 32000-1, 8.3.2.3
FOLDER = Path(designs.__file__).parent


def made(more=(), **changes):
    sheets, joins = small()
    return lay_out("Hedge", templates([*sheets, *more], joins), replace(Options(), **changes))


def many_papers(count):
    """Leaves of so many papers that the list of them takes a page of its own."""
    return [replace(leaf(f"leaf-{k}"), front=f"#{k:02x}8040") for k in range(count)]


@pytest.mark.parametrize("papers", [0, 20])
def test_every_front_is_an_odd_page_and_its_back_the_next(papers):
    pattern = made(many_papers(papers), side="both")
    with pdfplumber.open(io.BytesIO(write_pattern(pattern))) as pdf:
        texts = [page.extract_text() for page in pdf.pages]
    fronts = [k for k, text in enumerate(texts) if "you look at the printed side" in text]
    backs = [k for k, text in enumerate(texts) if "you look at the back" in text]
    assert len(fronts) == len(pattern.papers)
    assert all(k % 2 == 0 for k in fronts)
    assert backs == [k + 1 for k in fronts]
    placing = [k for k, text in enumerate(texts) if "placing sheet:" in text]
    assert all(k % 2 == 0 for k in placing), "a placing sheet is on no back"


@pytest.mark.parametrize("side", ["back", "both"])
@pytest.mark.parametrize("flip", ["long", "short"])
@pytest.mark.parametrize("page", ["A4", "297x210"])
def test_pieces_keep_clear_of_bars_and_headings_on_every_side(side, flip, page):
    options = {"side": side, "flip": flip, "stock": stock(page), "pages": False}
    pattern = made([leaf(f"leaf-{k}", 70.0) for k in range(12)], **options)
    for printed in pattern.pages:
        strokes = [m for m in printed.furniture if isinstance(m, PenStroke)]
        lines = shapely.union_all([LineString(m.points) for m in strokes])
        heads = [Point(m.x, m.y) for m in printed.furniture if isinstance(m, Text)]
        for placed in printed.placed:
            outline = placed.on_page(placed.template.outline)
            assert outline.disjoint(lines)
            assert all(outline.disjoint(at) for at in heads)


def test_a_sheet_is_trimmed_to_what_is_cut_out_of_it_and_bleeds_beyond():
    pattern = made(side="both", show=Show(colours=True, bleed=3.0))
    fronts = {}
    with pikepdf.open(io.BytesIO(write_pattern(pattern))) as pdf:
        for k, page in enumerate(pdf.pages):
            sizes = [
                np.array([float(v) for v in page[f"/{name}Box"]])
                for name in ("Trim", "Bleed", "Media")
            ]
            fronts[k] = sizes
            trim, bleed, media = sizes
            lows, highs = ([box[s] for box in sizes] for s in (slice(2), slice(2, 4)))
            assert (np.diff(lows, axis=0) <= 0).all(), "trim in bleed in media"
            assert (np.diff(highs, axis=0) >= 0).all()
    trim, bleed, media = fronts[2]
    outlines = [p.on_page(p.template.outline) for p in pattern.pages[0].placed]
    left, top, right, bottom = shapely.union_all(outlines).bounds
    wanted = np.array([left, 297 - bottom, right, 297 - top]) / MM_PER_POINT
    assert np.abs(trim - wanted).max() < 0.02
    assert np.abs(trim - bleed + np.array([-1, -1, 1, 1]) * 3.0 / MM_PER_POINT).max() < 0.02
    assert (fronts[0][0] == media).all(), "the opening page is the sheet"


def test_every_kind_of_line_can_be_switched_off():
    with pikepdf.open(io.BytesIO(write_pattern(made()))) as pdf:
        names = [str(group.Name) for group in pdf.Root.OCProperties.OCGs]
    assert names == ["cut", "fold", "art", "guide"]


def content_tags(page):
    """Kinds of the marked content of a page that has a number, in order of their numbers."""
    found = {}
    for operands, operator in pikepdf.parse_content_stream(page):
        if str(operator) == "BDC" and "/MCID" in getattr(operands[1], "keys", dict)():
            found[int(operands[1].MCID)] = str(operands[0])
    return [found[k] for k in range(len(found))]


def test_every_text_is_tagged_and_found_in_the_tree():
    with pikepdf.open(io.BytesIO(write_pattern(made()))) as pdf:
        assert pdf.Root.MarkInfo.Marked
        tree = pdf.Root.StructTreeRoot
        (whole,) = tree.K
        numbers = list(tree.ParentTree.Nums)
        rows = dict(zip(map(int, numbers[::2]), numbers[1::2], strict=True))
        assert len(whole.K) == len(pdf.pages)
        for page, section in zip(pdf.pages, whole.K, strict=True):
            kinds = content_tags(page)
            assert [str(leaf.S) for leaf in section.K] == kinds
            assert [str(leaf.S) for leaf in rows[int(page.StructParents)]] == kinds
            assert len(kinds) > 3
        first = [str(leaf.S) for leaf in whole.K[0].K]
        assert first[0] == "/H1"
        assert "/H2" in first


def hidden(template, placed, areas):
    """What of a printed side the finished spread hides: where it is glued to something."""
    return shapely.union_all([placed.on_page(a.polygon) for a in areas if a.face == "front"])


@pytest.mark.parametrize(
    "name", by_day(["dragon-keep", "night-train", "winter-market"], ["dragon-keep"])
)
def test_no_line_letter_or_name_lies_on_a_visible_front(name):
    found = spread.read(FOLDER / f"{name}.toml")
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    pattern = alone([t for t in made if not t.is_page])
    options = Options(side="both", show=Show(colours=True), stock=Stock("roll", 1000.0, 1000.0))
    pattern = replace(pattern, options=options)
    # Front pages alone: what a buyer sees.
    with pdfplumber.open(io.BytesIO(write_pattern(pattern))) as pdf:
        # Every front is an odd page; white paper has nothing on it.
        fronts = pdf.pages[::2][-len(pattern.pages) :]
        for page, drawn in zip(pattern.pages, fronts, strict=True):
            (placed,) = page.placed
            seen = (
                placed.on_page(placed.template.outline)
                .buffer(-0.2)
                .difference(hidden(placed.template, placed, placed.template.glue).buffer(0.01))
            )
            for char in drawn.chars:
                low = np.array([char["x0"], char["top"], char["x1"], char["bottom"]])
                # The em box of a letter is larger than its ink.
                middle = Point(*(low[:2] + low[2:]) / 2 * MM_PER_POINT)
                assert not seen.contains(middle), (placed.template.title, char["text"])
            for line in [*drawn.lines, *drawn.curves, *drawn.rects]:
                if line["stroke"] and not line["fill"]:
                    points = np.array(line["pts"]) * MM_PER_POINT
                    assert seen.intersection(LineString(points)).length < 0.05, (
                        placed.template.title
                    )


@pytest.mark.parametrize("name", each())
def test_glue_areas_are_those_of_the_joins(name):
    """Each join that needs glue has its letter on both of its facets, and nothing else has one."""
    found = spread.read(FOLDER / f"{name}.toml")
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    own = {f"{s.piece}.{f.name}": s for s in found.sheets for f in s.facets}
    wanted = sorted(
        pair
        for join in found.joins
        if own[join.facet] is not own[join.host] or join.placement != Placement()
        for pair in ((join.facet, join.host, False), (join.host, join.facet, True))
    )
    printed = sorted({(a.facet, a.other, a.lands) for t in made for a in t.glue})
    assert printed == sorted(set(wanted))
    pairs = {}
    for template in made:
        for area in template.glue:
            pairs.setdefault(area.letter, set()).add(frozenset((area.facet, area.other)))
    assert all(len(pair) == 1 for pair in pairs.values())
    assert len(pairs) == len(wanted) // 2
