"""What a drawing says: classes and layers, sizes, sheets with holes and folds, areas and places."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import Point

from meshes.drawn import DrawingError, letters, placement, read

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80"'
SQUARE = '<path class="cut" d="M 10 10 H 90 V 70 H 10 Z"/>'


def drawing(body, head=HEAD, scale=None):
    return read(f"{head}>{body}</svg>".encode(), scale)


def sheet(body, **more):
    (found,) = drawing(body, **more).sheets
    return found


def test_y_points_up_and_user_units_are_millimetres_of_the_page():
    assert sheet(SQUARE).outline.bounds == pytest.approx((10, 10, 90, 70))
    tilted = sheet('<path class="cut" d="M 10 20 H 30 V 25 H 10 Z"/>')
    assert tilted.outline.bounds == pytest.approx((10, 55, 30, 60))


@pytest.mark.parametrize(
    ("size", "factor"),
    [
        ('width="10cm" height="8cm" viewBox="0 0 100 80"', 1.0),
        ('width="1in" height="0.8in" viewBox="0 0 100 80"', 0.254),
        ('width="100mm" height="80mm" viewBox="0 0 200 160"', 0.5),
        ('width="100mm" height="80mm"', 25.4 / 96),
        ('width="72pt" height="60pt" viewBox="0 0 100 80"', 0.254),
        ('width="200mm" height="80mm" viewBox="0 0 100 80"', 1.0),
        (
            'width="200mm" height="80mm" viewBox="0 0 100 80" preserveAspectRatio="xMinYMin slice"',
            2,
        ),
    ],
)
def test_every_way_of_giving_a_size_is_honoured(size, factor):
    found = sheet(SQUARE, head=f'<svg xmlns="http://www.w3.org/2000/svg" {size}')
    left, bottom, right, top = found.outline.bounds
    assert right - left == pytest.approx(80 * factor, rel=1e-9)
    assert top - bottom == pytest.approx(60 * factor, rel=1e-9)


def test_a_stated_scale_stands_in_for_a_missing_size():
    found = sheet(SQUARE, head='<svg xmlns="http://www.w3.org/2000/svg"', scale=0.25)
    left, _, right, _ = found.outline.bounds
    assert right - left == pytest.approx(20.0)


@pytest.mark.parametrize(
    "layer",
    [
        '<g class="cut">{}</g>',
        '<g id="cut">{}</g>',
        '<g id="cut-1">{}</g>',
        '<g xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        'inkscape:label="cut" id="layer1">{}</g>',
    ],
)
def test_a_layer_tells_what_its_lines_are(layer):
    body = layer.format('<path d="M 10 10 H 90 V 70 H 10 Z"/>')
    assert sheet(body).outline.area == pytest.approx(4800)


def test_the_nearest_word_counts():
    body = (
        SQUARE + '<g class="valley"><path class="mountain" id="mountain-rib" d="M 50 10 V 70"/></g>'
    )
    (fold,) = sheet(body).folds
    assert (fold.name, fold.sign) == ("rib", 1)


def test_lines_that_say_nothing_and_notes_are_left_alone():
    body = (
        SQUARE + '<path d="M 0 0 L 9 9"/><g id="notes"><path class="cut" d="M 0 0 h 9 v 9 z"/></g>'
    )
    assert len(drawing(body).sheets) == 1


def test_rings_nest_into_sheets_holes_and_sheets_in_holes():
    body = (
        SQUARE
        + '<rect class="cut" x="20" y="20" width="40" height="40"/>'
        + '<circle class="cut" cx="40" cy="40" r="8"/>'
    )
    outer, inner = drawing(body).sheets
    assert len(outer.outline.interiors) == 1
    assert outer.outline.area == pytest.approx(4800 - 1600)
    assert inner.outline.area == pytest.approx(np.pi * 64, rel=0.01)


def test_open_cuts_that_meet_make_an_outline():
    body = "".join(
        f'<path class="cut" d="{d}"/>'
        for d in ("M 10 10 H 90", "M 90.1 10 V 70", "M 90 70 L 10 70.1", "M 10 70 V 10")
    )
    assert sheet(body).outline.area == pytest.approx(4800, rel=0.01)


def test_an_open_slit_parts_paper_without_taking_any():
    body = SQUARE + '<path class="slit" d="M 30 40 H 70"/>'
    found = sheet(body)
    assert found.outline.area == pytest.approx(4800, abs=1.0)
    assert not found.outline.covers(Point(50, 40))


def test_folds_end_on_slits_and_edges_that_they_nearly_meet():
    body = (
        SQUARE
        + '<path class="slit" d="M 50 30 V 50"/>'
        + '<path class="valley" d="M 10.2 40 H 49.8"/>'
        + '<path class="mountain" d="M 50 10.1 V 30"/><path class="mountain" d="M 50 50 V 69.9"/>'
    )
    found = sheet(body)
    assert len(found.facets) == 3
    assert [fold.sign for fold in found.folds] == [-1, 1, 1]


def test_facets_take_the_name_of_the_mark_on_them():
    body = (
        SQUARE
        + '<path class="valley" d="M 50 10 V 70"/>'
        + '<circle class="name" data-name="west" cx="20" cy="40" r="1"/>'
        + '<text class="name" id="name-east" x="70" y="40">east</text>'
    )
    assert [facet.name for facet in sheet(body).facets] == ["west", "east"]


def test_rest_angle_and_stiffness_of_a_fold_are_read():
    body = SQUARE + '<path class="valley" data-rest-deg="30" data-stiffness="2" d="M 50 10 V 70"/>'
    (fold,) = sheet(body).folds
    assert np.degrees(fold.rest) == pytest.approx(30)
    assert fold.stiffness == 2


@pytest.mark.parametrize("flat", ["M 20 20 h 10 v 20 h -10 z"])
@pytest.mark.parametrize("angle", [0, 30, 200])
@pytest.mark.parametrize("mirror", [1, -1])
def test_a_place_is_found_by_its_corners(flat, angle, mirror):
    moved = f"translate(50 40) rotate({angle}) scale({mirror} 1) translate(-20 -20)"
    body = (
        SQUARE
        + f'<path class="glue" id="glue-A" d="{flat}"/>'
        + f'<path class="place" id="place-A" transform="{moved}" d="{flat}"/>'
    )
    found = sheet(body)
    glue, place = letters(found.glue)["A"], letters(found.places)["A"]
    move = placement(glue, place)
    assert move.flipped == (mirror == -1)
    assert np.abs(move.apply(glue.corners) - place.corners).max() < 1e-9


def areas(glue, place):
    body = SQUARE + f'<path class="glue" id="glue-A" d="{glue}"/>'
    found = sheet(body + f'<path class="place" id="place-A" d="{place}"/>')
    return letters(found.glue)["A"], letters(found.places)["A"]


def test_a_copy_whose_corners_begin_elsewhere_is_understood():
    glue, place = areas("M 20 20 h 10 v 20 h -15 z", "M 50 40 h -15 l 5 -20 h 10 z")
    move = placement(glue, place)
    assert not move.flipped
    assert np.asarray(move.shift) == pytest.approx([20, 0], abs=1e-9)


def test_a_place_of_another_shape_is_refused():
    with pytest.raises(DrawingError, match="does not have the shape of path 'glue-A'"):
        placement(*areas("M 20 20 h 10 v 20 h -10 z", "M 40 20 h 12 v 20 h -12 z"))
    with pytest.raises(DrawingError, match="has 3 corners, but path 'glue-A' has 4"):
        placement(*areas("M 20 20 h 10 v 20 h -10 z", "M 40 20 h 12 v 20 z"))


def test_a_place_that_fits_in_several_ways_is_refused():
    with pytest.raises(DrawingError, match="fits path 'glue-A' in 4 ways"):
        placement(*areas("M 20 20 h 20 v 10 h -20 z", "M 52 20 h 10 v 20 h -10 z"))


def test_the_spread_is_measured_from_its_gutter():
    body = (
        '<g id="sheet-a"><path class="cut" d="M 10 10 H 30 V 30 H 10 Z"/></g>'
        '<g id="spread"><path class="gutter" d="M 60 10 V 70"/>'
        '<path class="place" id="place-A" d="M 62 60 h 10 v 5 h -10 z"/></g>'
    )
    (place,) = drawing(body).landings
    assert place.corners.min(axis=0) == pytest.approx([2, 5])
    assert place.corners.max(axis=0) == pytest.approx([12, 10])


def test_a_sheet_seen_from_the_back_swaps_valley_and_mountain():
    body = (
        '<g class="sheet" data-frame="sheet" data-face="back">'
        '<path class="cut" d="M 0 0 H 20 V 20 H 0 Z"/><path class="valley" d="M 10 0 V 20"/></g>'
    )
    found = sheet(body)
    assert found.folds[0].sign == 1
    assert found.outline.bounds == (0, 0, 20, 20)


def test_use_draws_its_target_again():
    body = (
        '<g id="part"><path class="cut" d="M 1 1 h 8 v 8 h -8 z"/></g>'
        '<use href="#part" x="20" y="0"/>'
    )
    first, second = drawing(body).sheets
    assert second.outline.bounds[0] - first.outline.bounds[0] == pytest.approx(20)


def test_a_use_of_a_glue_area_can_be_its_place():
    body = (
        SQUARE
        + '<path id="glue-A" d="M 20 20 h 10 v 20 h -15 z"/>'
        + '<use href="#glue-A" class="place" transform="translate(30 5)"/>'
    )
    found = sheet(body)
    glue, place = letters(found.glue)["A"], letters(found.places)["A"]
    assert np.asarray(placement(glue, place).shift) == pytest.approx([30, -5])
    assert len(found.glue) == len(found.places) == 1


def test_a_misspelt_class_is_told():
    with pytest.raises(DrawingError, match="class 'valey' is not a known word; try: valley"):
        sheet(SQUARE + '<path class="valey" d="M 50 10 V 70"/>')
    assert len(sheet(SQUARE + '<path class="st0 guide" d="M 50 10 V 70"/>').folds) == 0


def test_a_bent_cut_that_does_not_close_is_told():
    bent = '<path class="cut" d="M 10 10 C 60 -20 90 60 40 60 L 12 40"/>'
    with pytest.raises(DrawingError, match="this cut does not close"):
        drawing(bent)
