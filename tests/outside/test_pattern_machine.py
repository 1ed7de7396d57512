"""One sheet for a cutting machine, read by three libraries that must see the same lines.

DXF by ezdxf, SVG by svgelements, PDF by pikepdf; colour differences after CIE 15.
"""

from __future__ import annotations

import functools
import io
import itertools
from dataclasses import replace

import ezdxf
import numpy as np
import pikepdf
import pypdfium2
import pytest
import shapely
from shapely.geometry import LineString, Polygon
from svgelements import SVG, Path

from meshes import spread
from meshes.errors import DesignError
from preview.pattern.drawing import Text
from preview.pattern.furniture import Register
from preview.pattern.layout import Options, lay_out
from preview.pattern.lettering import text_box
from preview.pattern.machine import COLOURS, LEAST_APART, Run, difference
from preview.pattern.machine_files import machine_files
from preview.pattern.marks import Show, marks
from preview.pattern.pdf import write_print
from preview.pattern.pen import written
from preview.pattern.stock import Stock
from preview.pattern.template import templates
from tests.pattern.measured import MM_PER_POINT, strokes_of_page
from tests.pattern.specimens import leaf
from tests.pattern.specimens import spread as small

TOLERANCE_MM = 0.02
STOCK = Stock("roll", 300.0, 220.0)
WHEEL = """
title = "Wheel"
[spread]
page = "A5"
[pieces.sky]
kind = "wheel"
on = "page.right"
x = 70
y = 100
radius = 30
sweep = 200
"""


@functools.cache
def pattern_of(**changes):
    sheets, joins = small()
    more = [leaf(f"leaf-{k}") for k in range(5)]
    options = replace(Options(stock=STOCK, furnished=False, pages=False), **changes)
    return lay_out("Hedge", templates([*sheets, *more], joins), options)


def svg_lines(data):
    """Layer to its lines, mm."""
    found = {}
    for element in SVG.parse(io.StringIO(data.decode()), ppi=25.4).elements():
        if isinstance(element, Path):
            points = [element.first_point] + [s.end for s in element.segments()[1:]]
            layer = element.values["class"]
            found.setdefault(layer, []).append(np.array([[p.x, p.y] for p in points]))
    return found


def dxf_lines(data):
    found = {}
    for line in ezdxf.read(io.StringIO(data.decode())).modelspace():
        points = [(v.dxf.location.x, STOCK.height - v.dxf.location.y) for v in line.vertices]
        points += points[:1] if line.is_closed else []
        found.setdefault(line.dxf.layer.lower(), []).append(np.array(points))
    return found


def pdf_lines(data):
    found = {}
    with pikepdf.open(io.BytesIO(data)) as pdf:
        groups = {str(g.Name) for g in pdf.Root.OCProperties.OCGs}
        for operands, operator in pikepdf.parse_content_stream(pdf.pages[0]):
            if str(operator) == "BDC":
                assert str(operands[1]).lstrip("/") in groups
        for layer, at, shut in strokes_of_page(pdf.pages[0]):
            points = np.c_[at[:, 0], STOCK.height - at[:, 1]]
            points = np.vstack([points, points[:1]]) if shut else points
            found.setdefault(layer, []).append(points)
    return found


@pytest.mark.parametrize("run", [Run(), Run(score="dashes", dash=4.0), Run(score="half")])
def test_all_three_files_have_the_same_lines(run):
    pattern = pattern_of(register=Register())
    files = machine_files(pattern, pattern.pages[0], run)
    svg, dxf, pdf = svg_lines(files[".svg"]), dxf_lines(files[".dxf"]), pdf_lines(files[".pdf"])
    folds = "half-cuts" if run.score == "half" else "folds"
    assert list(svg) == list(dxf) == list(pdf) == ["register", "pen", folds, "cuts"]
    for layer, lines in svg.items():
        for others in (dxf[layer], pdf[layer]):
            assert len(others) == len(lines) > 0
            for one, other in zip(lines, others, strict=True):
                assert one.shape == other.shape
                assert np.abs(one - other).max() < TOLERANCE_MM


def test_the_dxf_is_sound_and_never_changes():
    pattern = pattern_of()
    data = machine_files(pattern, pattern.pages[0], Run())[".dxf"]
    assert machine_files(pattern, pattern.pages[0], Run())[".dxf"] == data
    document = ezdxf.read(io.StringIO(data.decode()))
    assert document.dxfversion == "AC1009", "R12"
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    colours = [document.layers.get(name).color for name in ("PEN", "FOLDS", "CUTS")]
    assert len(set(colours)) == 3


def test_no_line_is_run_twice_and_outlines_are_closed():
    pattern = pattern_of()
    (page,) = pattern.pages
    lines = dxf_lines(machine_files(pattern, page, Run())[".dxf"])
    run = [LineString(points) for points in (*lines["folds"], *lines["cuts"])]
    total = sum(line.length for line in run)
    assert shapely.union_all(run).length == pytest.approx(total, abs=0.01)
    assert all(np.array_equal(points[0], points[-1]) for points in lines["cuts"])
    area = sum(f.polygon.area for p in page.placed for f in p.template.sheet.facets)
    # What lies inside another ring is a window.
    rings = [Polygon(points) for points in lines["cuts"]]
    inside = [any(o is not r and o.contains(r) for o in rings) for r in rings]
    cut = sum(-r.area if within else r.area for r, within in zip(rings, inside, strict=True))
    assert cut == pytest.approx(area, rel=1e-6)


def test_dashes_have_her_length():
    pattern = pattern_of()
    run = Run(score="dashes", dash=4.0, apart=1.5)
    lines = dxf_lines(machine_files(pattern, pattern.pages[0], run)[".dxf"])["folds"]
    lengths = np.array([np.linalg.norm(line[1] - line[0]) for line in lines])
    # Stretched until a whole number of them fills the fold: at most by one in a fold of seven.
    assert (lengths > 3.99).all()
    assert (lengths < 4.0 * 8 / 7).all()


def test_a_fastener_gets_a_round_hole(tmp_path):
    (tmp_path / "wheel.toml").write_text(WHEEL)
    found = spread.read(tmp_path / "wheel.toml")
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    pattern = lay_out("Wheel", made, Options(stock=STOCK, furnished=False, pages=False))
    files = machine_files(pattern, pattern.pages[0], Run(hole=2.5))
    rings = [Polygon(points) for points in dxf_lines(files[".dxf"])["cuts"]]
    round_ = [ring for ring in rings if abs(ring.area - np.pi * 1.25**2) < 0.02]
    disc = next(t for t in pattern.templates if t.pivots and not t.is_page)
    (placed,) = [p for p in pattern.pages[0].placed if p.template is disc]
    middle = placed.apply(np.array([disc.pivots[0]]))[0]
    assert any(np.hypot(*(np.array(r.centroid.coords[0]) - middle)) < 0.01 for r in round_)


@pytest.mark.parametrize("shape", ["squares", "crosses"])
def test_marks_stand_where_they_are_said_to_in_print_and_cut(shape):
    register = Register(shape, 8.0, 12.0)
    pattern = pattern_of(register=register, show=Show(colours=True))
    marks_of = dxf_lines(machine_files(pattern, pattern.pages[0], Run())[".dxf"])["register"]
    boxes = sorted((*p.min(axis=0), *p.max(axis=0)) for p in marks_of)
    # 12 mm from both edges of a sheet of 300 × 220 mm, and 8 mm large.
    wanted = sorted((x, y, x + 8, y + 8) for x in (12.0, 280.0) for y in (12.0, 200.0))
    assert np.abs(np.array(boxes) - wanted).max() < 1e-6
    document = pypdfium2.PdfDocument(write_print(pattern))
    picture = np.asarray(document[0].render(scale=10 * MM_PER_POINT / 1.0).to_pil().convert("L"))
    for left, top, right, bottom in wanted:
        middle = picture[round(top * 10) + 5 : round(bottom * 10) - 5, round(5 * (left + right))]
        assert middle.max() < 60, "black from top to foot through its middle"
    room = shapely.box(12 + 8, 12 + 8, 280, 200)
    for placed in pattern.pages[0].placed:
        assert room.contains(placed.on_page(placed.template.outline))
        x, y = placed.on_page(placed.template.outline).representative_point().coords[0]
        assert picture[round(10 * y), round(10 * x)] < 230, "printed where it is cut"


def test_letters_are_single_lines_inside_their_print():
    text = Text(50.0, 60.0, "A-Z 0189 (fern) É", 5.0, "middle", 0.4, bold=True)
    lines = [LineString(line) for line in written(text)]
    frame = text_box(text).buffer(0.3)
    # A Z 0 1 8 9 ( F E R N ) E have 1 or 2 strokes each, the hyphen one.
    assert 16 <= len(lines) <= 24
    descended = frame.union(shapely.affinity.translate(frame, 0.0, 0.3))
    assert all(descended.covers(line) for line in lines)


def test_pen_lines_stay_on_the_sheets():
    pattern = pattern_of()
    (page,) = pattern.pages
    pieces = shapely.union_all([p.on_page(p.template.outline) for p in page.placed]).buffer(0.05)
    pen = dxf_lines(machine_files(pattern, page, Run())[".dxf"])["pen"]
    assert len(pen) > 20
    names = sum(isinstance(m, Text) and m.bold for p in page.placed for m in marks(p, Show()))
    assert names > 6
    assert all(pieces.covers(LineString(line)) for line in pen)


def test_layers_differ_to_the_eye():
    for one, other in itertools.combinations(COLOURS.values(), 2):
        assert difference(one, other) > LEAST_APART
    # CIE 15: black and white are 100 apart. Red and green of sRGB are 170.6: Sharma, Digital Color
    # Imaging Handbook (2003), from memory.
    assert difference("#000000", "#ffffff") == pytest.approx(100, abs=0.1)
    assert difference("#ff0000", "#00ff00") == pytest.approx(170.6, abs=0.5)


def test_a_file_without_a_hole_is_refused(tmp_path):
    from preview.pattern.proof import cuts_of_dxf, prove_pages

    (tmp_path / "wheel.toml").write_text(WHEEL)
    found = spread.read(tmp_path / "wheel.toml")
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    pattern = lay_out("Wheel", made, Options(stock=STOCK, furnished=False, pages=False))
    page = pattern.pages[0]
    data = machine_files(pattern, page, Run(hole=2.5))[".dxf"].decode()
    with pytest.raises(DesignError, match="is missing on page 1"):
        prove_pages(pattern, [cuts_of_dxf(data, STOCK.height)], [page], 4.0)
