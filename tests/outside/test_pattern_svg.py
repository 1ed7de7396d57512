"""Pattern SVGs measured back with svgelements, and the layers of the cutting machine's SVG."""

from __future__ import annotations

import io
from dataclasses import replace

import defusedxml.ElementTree as ElementTree
import numpy as np
import pytest
from shapely.geometry import LineString, Polygon
from svgelements import SVG, Path

from preview.pattern.layout import Options, lay_out
from preview.pattern.machine import COLOURS, Run, cuts, job_of, scores
from preview.pattern.machine_files import svg_of
from preview.pattern.svg import page_svg
from preview.pattern.template import templates
from tests.pattern.specimens import leaf, page_sheet, spread, tent

NAMESPACE = "{http://www.w3.org/2000/svg}"
# CSS: 96 px are one inch.
MM_PER_PX = 25.4 / 96
TOLERANCE_MM = 0.02


def pattern_of(**changes):
    sheets, joins = spread()
    return lay_out("Hedge & more", templates(sheets, joins), replace(Options(), **changes))


def drawn(text, *classes):
    """Paths of the given classes in mm, as svgelements sees them at 96 px per inch."""
    found = []
    for element in SVG.parse(io.StringIO(text), ppi=96).elements():
        if isinstance(element, Path) and element.values.get("class") in classes:
            points = [element.first_point] + [s.end for s in element.segments()[1:]]
            found.append(np.array([[p.x, p.y] for p in points]) * MM_PER_PX)
    return found


def nearest(points, paths):
    wanted = LineString(points)
    return min(wanted.hausdorff_distance(LineString(p)) for p in paths)


def test_every_cut_and_fold_is_where_the_sheet_has_it():
    pattern = pattern_of()
    for page in pattern.pages:
        text = page_svg(pattern, page)
        for placed in page.placed:
            for fold in placed.template.folds:
                role = "mountain" if fold.sign > 0 else "valley"
                ends = placed.apply(np.array([fold.start, fold.end]))
                assert nearest(ends, drawn(text, role)) < TOLERANCE_MM
            outer, *holes = (
                placed.on_page(placed.template.outline).exterior,
                *(placed.on_page(placed.template.outline).interiors),
            )
            assert nearest(outer.coords, drawn(text, "cut")) < TOLERANCE_MM
            for hole in holes:
                assert nearest(hole.coords, drawn(text, "slit")) < TOLERANCE_MM


def test_the_document_has_its_size_in_millimetres():
    pattern = pattern_of()
    root = ElementTree.fromstring(page_svg(pattern, pattern.pages[0]))
    assert (root.get("width"), root.get("height")) == ("210mm", "297mm")
    assert root.get("viewBox") == "0 0 210 297"
    assert root.find(f"{NAMESPACE}title").text == "Hedge & more"


def test_a_scaling_printer_is_made_up_for_about_the_middle():
    pattern = pattern_of(scale=(0.98, 1.0))
    paths = drawn(page_svg(pattern, pattern.pages[0]), "cut")
    middle = np.array([105.0, 148.5])
    printed = [middle + (p - middle) * [0.98, 1.0] for p in paths]
    for placed in pattern.pages[0].placed:
        ring = placed.apply(np.asarray(placed.template.outline.exterior.coords))
        assert nearest(ring, printed) < TOLERANCE_MM


def layers(text):
    root = ElementTree.fromstring(text)
    return {group.get("id"): group for group in root.findall(f"{NAMESPACE}g")}


@pytest.fixture(scope="module")
def machine():
    sheets, joins = spread()
    more = [leaf(f"leaf-{k}") for k in range(5)]
    options = Options(furnished=False, pages=False)
    pattern = lay_out("Hedge", templates([*sheets, *more], joins), options)
    (page,) = pattern.pages
    run = Run({**COLOURS, "folds": "#12ab34"})
    return page, svg_of(job_of(pattern.title, page, run))


def test_layers_are_plainly_named_and_in_running_order(machine):
    _, text = machine
    found = layers(text)
    assert list(found) == ["pen", "folds", "cuts"]
    for name, group in found.items():
        assert [child.text for child in group if child.tag.endswith("title")] == [name]
    assert "xmlns:" not in text, "one namespace, that of SVG"
    assert found["folds"].get("stroke") == "#12ab34"
    assert found["cuts"].get("stroke") == "#000000"


def test_machine_coordinates_are_plain_millimetres_without_transforms(machine):
    page, text = machine
    assert "transform" not in text
    for placed in page.placed:
        ring = placed.apply(np.asarray(placed.template.outline.exterior.coords))
        assert nearest(ring, drawn(text, "cuts")) < TOLERANCE_MM


def test_holes_are_cut_before_the_outline_around_them(machine):
    _, text = machine
    rings = [Polygon(points) for points in drawn(text, "cuts")]
    holes = 0
    for k, ring in enumerate(rings):
        for later in rings[k + 1 :]:
            assert not ring.contains(later)
        holes += any(later.contains(ring) for later in rings[k + 1 :])
    assert holes == 6


def test_each_outline_is_one_closed_path(machine):
    page, text = machine
    cut = [path for path in layers(text)["cuts"] if path.get("d")]
    assert len(cut) == sum(1 + len(p.template.outline.interiors) for p in page.placed)
    assert all(path.get("d").count("M") == 1 and path.get("d").endswith("Z") for path in cut)


def test_straight_folds_that_meet_are_scored_in_one_stroke():
    facets = tent()[0]
    (placed,) = lay_out("x", templates([page_sheet(), facets], []), Options()).pages[0].placed
    fold = placed.template.folds[1]
    half = tuple(np.mean([fold.start, fold.end], axis=0))
    halves = (replace(fold, end=half), replace(fold, start=half))
    template = replace(placed.template, folds=(*halves, placed.template.folds[0]))
    lines = scores(replace(placed, template=template))
    assert len(lines) == 2
    assert nearest(placed.apply(np.array([fold.start, fold.end])), lines) < 1e-9


def test_cut_paths_of_a_piece_end_with_its_outline(machine):
    page, _ = machine
    for placed in page.placed:
        sizes = [Polygon(ring).area for ring in cuts(placed)]
        assert sizes[-1] == max(sizes)
