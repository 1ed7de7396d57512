"""What is printed is the whole sheet: measured by svgelements, pikepdf and areas alone."""

from __future__ import annotations

import functools
import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pikepdf
import pytest
import shapely
import svgelements
from shapely.geometry import Polygon, box

from meshes import designs, spread
from meshes.errors import DesignError
from preview.pattern.layout import Options, lay_out
from preview.pattern.machine import Run, cuts, job_of, scores
from preview.pattern.machine_files import svg_of
from preview.pattern.marks import Show
from preview.pattern.pdf import write_pattern
from preview.pattern.proof import cuts_of_pdf, prove_pages, prove_templates
from preview.pattern.stock import Stock
from preview.pattern.svg import page_svg
from preview.pattern.template import templates
from tests.designs import by_day, each
from tests.outside.test_pattern_round_trip import laid
from tests.pattern.measured import enclosed, rings_of_svg
from tests.pattern.specimens import spread as small
from tests.pattern.whole import alone, random_piece

# Each has a piece whose cut line ran along a fold, so that petals, a flap or a tab were lost.
ONCE_LOST = ("spring-nest", "toadstool-glade", "two-seasons")
# Flowers of several layers were cut up most.
LAYERED = ("campfire-night",)
FOLDER = Path(designs.__file__).parent
SIZES = {210: "A5", 250: "B5"}  # ISO 216, heights
WITHIN = 2e-6  # svgelements takes an inch for 25.4 mm only to the sixth figure


@functools.cache
def shipped(name):
    found = spread.read(FOLDER / f"{name}.toml")
    joins = [*found.joins, *map(laid, found.linkage.drives)]
    return found, templates(found.sheets, joins, None, found.linkage.drives)


@functools.cache
def printed(name):
    """The templates of a shipped design that differ, with the SVG of each.

    Names, and letters of what lies on the back, are no lines of a sheet and take most of the time:
    left out.
    """
    show = Show(names=False, art=False, other_face=False)
    pattern = alone(kinds_of(name), replace(Options(), show=show))
    pages = zip(pattern.templates, pattern.pages, strict=True)
    return [(template, page_svg(pattern, page)) for template, page in pages]


@functools.cache
def kinds_of(name):
    """One template of each kind; of flat art on which nothing lands, by far the most, each fourth.

    Random pieces have flat art in every shape that there is.
    """
    kinds = {}
    for template in shipped(name)[1]:
        kinds.setdefault(kind_of(template), template)
    art = [t for t in kinds.values() if not t.folds and not any(a.lands for a in t.glue)]
    left_out = {t.number for k, t in enumerate(art) if k % 4}
    return [t for t in kinds.values() if t.number not in left_out]


def kind_of(template):
    """What templates cut, folded and glued alike share; on what others land is one of a kind."""
    rings = [shapely.get_coordinates(f.polygon).tolist() for f in template.sheet.facets]
    hosts = template.number if any(area.lands for area in template.glue) else 0
    folds = [(fold.start, fold.end, fold.sign) for fold in template.folds]
    return template.is_page, hosts, repr((rings, folds))


def area_of(svg):
    """Area inside the cuts of a page, mm²."""
    return enclosed(rings_of_svg(svg))


@pytest.mark.parametrize("name", by_day(ONCE_LOST, ["spring-nest"]))
def test_no_paper_of_a_shipped_design_is_lost(name):
    for template, svg in printed(name):
        paper = sum(facet.polygon.area for facet in template.sheet.facets)
        assert area_of(svg) == pytest.approx(paper, rel=WITHIN), template.title


# A slit of no width, which no grid closed, ran along a fold of these.
SLIT = (41, 162, 837)


@pytest.mark.parametrize("seed", [*range(60), *SLIT])
def test_no_paper_of_a_random_piece_is_lost(seed, tmp_path):
    found = random_piece(seed, tmp_path)
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    prove_templates(made)
    show = Show(names=seed % 6 == 0)  # they are no cuts, and take most of the time
    pattern = alone([t for t in made if not t.is_page], replace(Options(), show=show))
    for template, page in zip(pattern.templates, pattern.pages, strict=True):
        paper = sum(facet.polygon.area for facet in template.sheet.facets)
        assert area_of(page_svg(pattern, page)) == pytest.approx(paper, rel=WITHIN), template.title


@pytest.mark.parametrize("name", each())
def test_a_shipped_pattern_reads_back_as_drawn_sheets(name, tmp_path):
    found, _ = shipped(name)
    sheets = [template.sheet for template in kinds_of(name) if not template.is_page]
    (tmp_path / "printed").mkdir()
    for number, (_, svg) in enumerate(printed(name)):
        (tmp_path / "printed" / f"{number:03d}.svg").write_text(svg)
    top = round(found.sheets[0].outline.bounds[3])
    (tmp_path / "read.toml").write_text(
        f'title = "t"\n[spread]\npage = "{SIZES[top]}"\n'
        '[pieces.copy]\nkind = "drawn"\nfile = "printed"\nat = 0\n'
    )
    copy = spread.read(tmp_path / "read.toml")
    assert len(copy.sheets) == 1 + len(sheets)
    ours = sorted(f.polygon.area for s in sheets for f in s.facets)
    theirs = sorted(f.polygon.area for s in copy.sheets[1:] for f in s.facets)
    assert theirs == pytest.approx(ours, abs=1e-3)


@pytest.mark.parametrize("name", each())
def test_a_machine_runs_no_line_of_a_shipped_design_twice(name):
    _, made = shipped(name)
    for page in alone([t for t in made if not t.is_page]).pages:
        (placed,) = page.placed
        run = [shapely.LineString([*ring, ring[0]]) for ring in cuts(placed, 3.0)]
        run += [shapely.LineString(line) for line in scores(placed)]
        once = shapely.union_all(run).length
        assert once == pytest.approx(sum(line.length for line in run), abs=0.01), page.title


def test_a_template_that_lacks_a_part_is_refused_and_named():
    sheets, joins = small()
    tent, *others = templates(sheets, joins)
    low, bottom, _, top = tent.outline.bounds
    short = tent.outline.difference(box(low, bottom, low + 8.0, top))
    with pytest.raises(DesignError, match="part of tent would not be printed"):
        lay_out("t", [replace(tent, outline=short), *others], Options())


def test_a_cut_along_a_fold_is_refused():
    """Same area, but one facet hangs on by nothing: a hair of a slit along the ridge."""
    sheets, joins = small()
    tent, *_ = templates(sheets, joins)
    fold = tent.folds[1]
    ridge = shapely.LineString([fold.start, fold.end]).interpolate(0.5, normalized=True)
    slit = box(ridge.x - 1e-7, ridge.y - 24, ridge.x + 1e-7, ridge.y + 24)
    holed = Polygon(tent.outline.exterior, [slit.exterior.coords])
    with pytest.raises(DesignError, match="part of tent would not be printed"):
        prove_templates([replace(tent, outline=holed)])


@pytest.mark.parametrize("split", [False, True])
def test_a_file_without_one_of_its_cuts_is_refused(split):
    sheets, joins = small()
    options = Options(stock=Stock("small", 140.0, 160.0), split=True) if split else Options()
    pattern = lay_out("t", templates(sheets, joins), options)
    data = write_pattern(pattern)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        skip = len(pdf.pages) - len(pattern.pages)
        page = pdf.pages[skip]
        steps = list(pikepdf.parse_content_stream(page))
        inside, kept = False, []
        for operands, operator in steps:
            inside = inside or (str(operator) == "BDC" and str(operands[1]) == "/cut")
            if not (inside and str(operator) == "S"):
                kept.append((operands, operator))
            else:
                inside = False
                kept.append(([], pikepdf.Operator("n")))
        page.Contents = pdf.make_stream(pikepdf.unparse_content_stream(kept))
        out = io.BytesIO()
        pdf.save(out)
    with pytest.raises(DesignError, match="is missing on page"):
        prove_pages(pattern, cuts_of_pdf(out.getvalue(), skip), pattern.pages)


def test_a_piece_larger_than_the_cutters_sheet_is_cut_in_parts_inside_it():
    sheets, joins = small()
    options = Options(
        stock=Stock("small", 80.0, 90.0), split=True, furnished=False, margin=5.0, pages=False
    )
    pattern = lay_out("t", templates(sheets, joins), options)
    assert len(pattern.pages) > 1
    for page in pattern.pages:
        text = svg_of(job_of(pattern.title, page, Run()))
        drawn = svgelements.SVG.parse(io.StringIO(text), ppi=25.4)
        paths = [p for p in drawn.elements() if p.values.get("class") in ("cuts", "folds")]
        corners = np.array([[q.x, q.y] for path in paths for q in path.as_points()])
        shut = [p for p in paths if p.values["class"] == "cuts"]
        assert all(path.first_point == path.current_point for path in shut)
        assert (corners > 4.97).all()  # nesting has 0.02 mm of slack
        assert (corners < np.array([75.03, 85.03])).all()
