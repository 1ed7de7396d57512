"""Blossoms: sheets, folds, glue, and the rules that a design is told about."""

import re

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from meshes.errors import DesignError
from meshes.pieces.blossom.fan import Fan
from meshes.pieces.blossom.petals import PetalShape, sector_edge
from meshes.pieces.blossom.rules import LegSize, cone_limit, jam_opening, leg_length
from tests.outside import flower_limits
from tests.pieces.blossoms import BASE, L1, SETS, flower, legs, read


def refused(folder, *args, **kwargs):
    with pytest.raises(DesignError) as caught:
        read(folder, flower(*args, **kwargs))
    return [(mistake.key, str(mistake)) for mistake in caught.value.mistakes]


def warned(folder, *args, **kwargs):
    return [str(mistake) for mistake in read(folder, flower(*args, **kwargs)).warnings]


def hinges(spread, part=""):
    return {
        hinge.name.removeprefix("bloom."): hinge
        for hinge in spread.linkage.hinges
        if part in hinge.name
    }


def sheet(spread, name):
    return next(s for s in spread.sheets if s.piece == "bloom" and s.name == name)


# Sheets and glue


@pytest.mark.parametrize(("name", "moving"), [("L1", 26), ("L2", 20), ("L3", 24), ("L4", 16)])
def test_a_layered_flower_has_a_hinge_for_each_fold(tmp_path, name, moving):
    spread = read(tmp_path, SETS[name])
    assert len([h for h in spread.linkage.hinges if h.name != "bloom.base-gutter"]) == moving
    assert not spread.warnings


def test_the_flap_closes_the_cone_on_the_first_petal(tmp_path):
    spread = read(tmp_path, flower("angle = 51"))
    linkage = spread.linkage
    first, flap = linkage.place("bloom.petal-1"), linkage.place("bloom.flap")
    assert first[0] == flap[0]
    assert first[1].polygon.buffer(1e-6).covers(flap[1].polygon)
    # Seven facets meet at six folds all round: the last one hinges petal 6 on petal 1.
    last = hinges(spread)["fold-6"]
    assert set(last.bodies) == {first[0], linkage.place("bloom.petal-6")[0]}
    for petal, frame, origin in zip(last.bodies, last.frames, last.origins, strict=True):
        assert np.allclose(origin, 0, atol=1e-9), petal
        assert abs(np.linalg.det(frame) - 1) < 1e-12


@pytest.mark.parametrize(
    ("keys", "sheets", "flaps"),
    [
        ("angle = 51", 1, 1),
        ("angle = 57", 1, 1),
        ("angle = 59", 2, 2),
        ("angle = 60", 1, 0),
        ("angle = 66\nparting = 12\nlength = 16", 2, 2),
        ("sectors = 10\nangle = 75\nparting = 6\nlength = 10\nlegs = { lowest_angle = 60 }", 3, 3),
    ],
)
def test_paper_never_overlaps_itself_where_it_lies_flat(tmp_path, keys, sheets, flaps):
    if "75" in keys:
        assert refused(tmp_path, keys)[0][0] == "angle"
        return
    spread = read(tmp_path, flower(keys))
    cut = [s for s in spread.sheets if s.name.startswith("petals")]
    assert len(cut) == sheets
    assert sum("flap" in facet.name for s in cut for facet in s.facets) == flaps
    for s in cut:
        assert s.outline.is_valid
        areas = sum(facet.polygon.area for facet in s.facets)
        assert s.outline.area == pytest.approx(areas, abs=1e-6 * s.outline.length)
    # Every sector keeps its own angle and hangs on its two neighbours.
    assert len(hinges(spread, "bloom.fold-")) == 6


def test_petals_of_one_layer_are_alike(tmp_path):
    spread = read(tmp_path, flower("angle = 51\nlength = 43\nparting = 27\npoint = 0.4"))
    petals = [f.polygon for f in sheet(spread, "petals").facets if f.name.startswith("petal")]
    assert len(petals) == 6
    # Cutting extends folds by a few nanometres to make sure that they meet the edge.
    assert np.ptp([p.area for p in petals]) < 1e-4
    assert np.ptp([p.length for p in petals]) < 1e-4


def test_facets_and_folds_are_counted_from_the_crease_in_front(tmp_path):
    petals = sheet(read(tmp_path, flower("angle = 51")), "petals")
    centres = [petals.facet(f"petal-{k}").polygon.centroid for k in range(1, 7)]
    # Right half first, counter-clockwise: in front, in the middle, behind.
    directions = np.degrees([np.arctan2(c.y, c.x) for c in centres[:3]])
    assert directions == pytest.approx([-51, 0, 51], abs=1e-6)
    folds = {c.fold.name: (c.right, c.left) for c in petals.crossings}
    assert folds["fold-1"] == ("petal-1", "petal-2")
    assert folds["fold-6"] == ("petal-6", "flap")


def test_legs_are_glued_under_the_middle_petals_and_on_the_pages(tmp_path):
    spread = read(tmp_path, flower("angle = 51\nat = 97\n" + legs(14, 9, 9.2, 4.5)))
    place = spread.linkage.place
    assert place("bloom.leg-right-upper-tab")[0] == place("bloom.petal-2")[0]
    assert place("bloom.leg-left-upper-tab")[0] == place("bloom.petal-5")[0]
    page, foot = place("bloom.leg-right-lower-tab")
    assert page == place("page.right")[0]
    low, high = foot.polygon.bounds[0], foot.polygon.bounds[2]
    assert (low, high) == (pytest.approx(9), pytest.approx(17))
    assert foot.polygon.centroid.y == pytest.approx(97)
    left = place("bloom.leg-left-lower-tab")[1].polygon
    assert left.bounds[2] == pytest.approx(-9)
    tab = place("bloom.leg-right-upper-tab")[1].polygon
    assert tab.bounds[2] == pytest.approx(14)
    assert place("bloom.petal-2")[1].polygon.buffer(1e-6).covers(tab)


def test_fold_signs_follow_the_crease_it_stands_on(tmp_path):
    valley = hinges(read(tmp_path, flower("angle = 51")))
    assert {h.sign for name, h in valley.items() if name.startswith("fold")} == {-1}
    tent = '[pieces.roof]\nkind = "tent"\ndistance = 30\npanel = 45\nwidth = 60'
    ridge = read(tmp_path, flower('on = "roof.ridge"\nangle = 51\nlength = 25', before=tent))
    folds = hinges(ridge, "bloom.")
    assert {h.sign for name, h in folds.items() if name.startswith("fold")} == {1}
    for found in (valley, folds):
        assert {h.sign for n, h in found.items() if n.endswith("upper")} == {1}
        assert {h.sign for n, h in found.items() if n.endswith("lower")} == {-1}


def test_a_disc_and_a_ruffle_alternate_from_the_folds_over_the_crease(tmp_path):
    disc = hinges(read(tmp_path, flower("sectors = 10\nangle = 36")), "bloom.fold-")
    assert [disc[f"fold-{k}"].sign for k in range(1, 11)] == [1, -1, -1, 1, -1] * 2
    pleats = 'angle = [45, 100, 45]\ngutter_folds = "mountain"\n' + legs(14, 9, 10.5, 4.5)
    ruffle = hinges(read(tmp_path, flower(pleats)), "bloom.fold-")
    assert [ruffle[f"fold-{k}"].sign for k in range(1, 7)] == [-1, -1, 1] * 2


def test_a_flat_layer_is_creased_only_on_the_gutter_and_slit_for_the_legs(tmp_path):
    spread = read(tmp_path, L1)
    base = sheet(spread, "base")
    assert [c.fold.name for c in base.crossings] == ["base-gutter"]
    assert {f.name for f in base.facets} == {"base-left", "base-right"}
    slits = [Polygon(ring) for f in base.facets for ring in f.polygon.interiors]
    assert len(slits) == 2
    for slit in slits:
        low_x, low_y, high_x, high_y = slit.bounds
        assert abs((low_x + high_x) / 2) == pytest.approx(9.5)
        assert (high_x - low_x, high_y - low_y) == (pytest.approx(1), pytest.approx(10))


def test_feet_can_be_glued_on_the_flat_layer(tmp_path):
    text = L1.replace("width = 9.0 }", "width = 9.0, slits = false }")
    spread = read(tmp_path, text)
    assert not [r for f in sheet(spread, "base").facets for r in f.polygon.interiors]
    joins = {join.facet: join.host for join in spread.joins}
    assert joins["bloom.outer-leg-right-lower-tab"] == "bloom.base-right"


def test_a_leg_under_a_fold_is_creased_and_keeps_that_fold_flat(tmp_path):
    spread = read(tmp_path, flower('sectors = 8\nangle = 40\nlegs = { hang = "fold" }'))
    assert {"bloom.fold-2", "bloom.fold-6"} <= set(spread.linkage.locked)
    leg = sheet(spread, "leg-right")
    assert {"leg-right-crease", "leg-right-upper-tab-crease"} <= {
        c.fold.name for c in leg.crossings
    }
    heights = {
        part.height
        for part in spread.linkage.bodies[spread.linkage.place("bloom.leg-right-left")[0]].parts
    }
    assert heights == {0.0}


def test_legs_beside_a_fold_stay_parallel_to_the_crease(tmp_path):
    spread = read(tmp_path, flower('sectors = 8\nangle = 40\nlegs = { hang = "beside" }'))
    place = spread.linkage.place
    assert place("bloom.leg-right-upper-tab")[0] == place("bloom.petal-3")[0]
    assert place("bloom.leg-left-upper-tab")[0] == place("bloom.petal-6")[0]
    feet = [
        place(f"bloom.leg-{side}-lower-tab")[1].polygon.centroid.y for side in ("left", "right")
    ]
    assert feet[0] == pytest.approx(feet[1])
    assert feet[0] > 105


@pytest.mark.parametrize("width", [1, 5, 9])
def test_tabs_of_legs_beside_a_fold_lie_on_their_petal_and_run_into_no_needle(tmp_path, width):
    keys = f'sectors = 8\nangle = 40\nlegs = {{ hang = "beside", width = {width}, tab = 30 }}'
    spread = read(tmp_path, flower(keys))
    tabs = [join for join in spread.joins if join.facet.endswith("upper-tab")]
    assert len(tabs) == 2
    for join in tabs:
        tab, petal = (spread.linkage.place(facet)[1].polygon for facet in (join.facet, join.host))
        assert tab.difference(petal).area < 1e-6
        edges = np.linalg.norm(np.diff(tab.exterior.coords, axis=0)[:, :2], axis=1)
        assert edges.max() >= width - 1e-9
        assert edges.min() > width / 3


def test_two_petals_share_a_sector(tmp_path):
    spread = read(tmp_path, flower("angle = [42, 84, 42]\npetals = [1, 2, 1]"))
    rim = np.asarray(sheet(spread, "petals").facet("petal-2").polygon.exterior.coords)
    radius = np.hypot(*rim.T)
    direction = np.degrees(np.arctan2(rim[:, 1], rim[:, 0]))
    tips = direction[np.abs(radius - 40) < 1e-6]
    assert sorted(set(np.round(tips, 6))) == [-21, 21]
    assert radius[np.abs(direction) < 1e-6].max() == pytest.approx(80 / 3)


def test_layers_take_the_keys_of_the_flower_and_papers_of_their_own(tmp_path):
    papers = '[papers.pink]\nfront = "#e090a0"'
    spread = read(
        tmp_path,
        flower(
            "length = 44\nangle = 51",
            'name = "outer"\npaper = "pink"',
            'name = "inner"\nangle = 44\nlength = 30\nfront = "#aa3344"',
            before=papers,
        ),
    )
    outer, inner = sheet(spread, "outer"), sheet(spread, "inner")
    assert (outer.paper.name, outer.front) == ("pink", "#e090a0")
    assert (inner.paper.name, inner.front) == ("card", "#aa3344")
    assert outer.outline.hausdorff_distance(shapely.Point(0, 0)) == pytest.approx(44)
    assert inner.outline.hausdorff_distance(shapely.Point(0, 0)) == pytest.approx(30)


def test_a_key_of_the_flower_is_that_key_in_each_layer_that_has_none(tmp_path):
    """But its angle is that of the cones: flat layers close by themselves."""
    shared, angle = "sectors = 10\nbreadth = 0.4\nlength = 50", "angle = 33"
    base, outer = 'name = "base"\nstand = "flat"', 'name = "outer"\nlength = 45'
    once = read(tmp_path, flower(f"{shared}\n{angle}", base, outer))
    each = f"{shared.replace('length = 50', '')}\n{angle}"
    spelled = read(tmp_path, flower("", f"{base}\n{shared}", f"{outer}\n{each}"))
    assert len(once.sheets) == len(spelled.sheets) > 2
    for one, other in zip(once.sheets, spelled.sheets, strict=True):
        assert one.outline.symmetric_difference(other.outline).area < 1e-9
        assert [f.name for f in one.facets] == [f.name for f in other.facets]


def test_an_inner_cone_is_kept_inside_the_outer_one(tmp_path):
    obstacles = read(tmp_path, L1).linkage.obstacles
    assert len(obstacles) == 2
    glued, standing = obstacles
    assert glued.side == standing.side == 1
    assert glued.facets == tuple(f"bloom.inner-petal-{k}" for k in (1, 3, 4, 6))
    assert glued.planes == tuple(f"bloom.outer-petal-{k}" for k in range(1, 7))
    assert standing.facets == tuple(f"bloom.bud-petal-{k}" for k in range(1, 7))


# Petals


@settings(derandomize=True, max_examples=60, deadline=None)
@given(
    half=st.floats(0.1, 0.8),
    parting=st.floats(0.2, 0.9),
    breadth=st.floats(0, 1),
    point=st.floats(0, 1),
    notch=st.floats(0, 0.5),
    petals=st.integers(1, 3),
)
def test_petals_stay_in_their_sector_and_inside_their_length(
    half, parting, breadth, point, notch, petals
):
    shape = PetalShape(50, 50 * parting, breadth, point, notch * 50 * (1 - parting))
    edge = sector_edge(-half, half, petals, shape)
    direction, radius = np.arctan2(edge[:, 1], edge[:, 0]), np.hypot(*edge.T)
    assert np.abs(direction).max() <= half + 1e-9
    assert radius.max() <= 50 * (1 + 0.02 + half**2)
    assert np.allclose(radius[[0, -1]], 50 * parting)
    assert Polygon([(0, 0), *edge]).is_valid


def test_a_pointed_petal_is_sharper_and_a_dented_one_has_two_lobes():
    def tip_width(**keys):
        edge = sector_edge(-0.4, 0.4, 1, PetalShape(50, 30, **keys))
        return Polygon(edge).intersection(shapely.box(47, -50, 60, 50))

    assert tip_width(point=0.8).area < 0.5 * tip_width().area
    assert tip_width(notch=8).geom_type == "MultiPolygon"


# Rules


def test_a_flower_needs_a_fold_over_the_crease_behind(tmp_path):
    ((key, text),) = refused(tmp_path, "sectors = 5\nangle = 60")
    assert key == "angle"
    assert "even number of sectors" in text


@pytest.mark.parametrize("keys", ["sectors = 8\nangle = 40", "sectors = 4\nangle = 80"])
def test_legs_need_a_sector_in_the_middle_of_each_half(tmp_path, keys):
    ((key, text),) = refused(tmp_path, keys)
    assert key == "sectors"
    assert "odd number" in text
    assert 'hang = "fold"' in text


def test_an_impossible_leg_is_refused_with_its_range(tmp_path):
    ((key, text),) = refused(tmp_path, legs(14, 9, 28, 5))
    assert key == "legs.length"
    assert "5 to 23 mm" in text


def test_a_leg_wider_than_its_petal_is_refused_with_the_room_there_is(tmp_path):
    ((key, text),) = refused(tmp_path, "angle = 51\n" + legs(14, 9, 9.2, 8))
    # Half the petal is 14 tan 25.5° wide there.
    assert key == "legs.width"
    assert "up to 13.4 mm" in text
    room = 2 * 5.5 * np.tan(np.radians(25.5))
    inner = 'name = "in"\nstand = "legs"\nangle = 42\nlength = 30\n' + legs(9.5, 5.5, 7.3, 3)
    ((key, text),) = refused(tmp_path, "", 'name = "out"\nangle = 51', inner)
    assert key == "layers.in.legs.width"
    assert f"up to {room:.3g} mm" in text


def test_a_glued_layer_must_be_narrower_than_the_one_it_is_glued_in(tmp_path):
    found = refused(tmp_path, "", 'name = "out"\nangle = 47', 'name = "in"\nangle = 51')
    assert {key for key, _ in found} == {"layers.in.angle"}
    assert any("below 282°" in text for _, text in found)


def test_a_glued_bud_that_pinches_its_flower_is_told_with_the_angle_that_frees_it(tmp_path):
    """The elevation is that of the cone limit, derived in `rules.py`; here from the solved pose."""
    outer = ('name = "outer"\nangle = 51\nlength = 58',)

    def bud(angle):
        return *outer, f'name = "bud"\nstand = "glued"\nangle = {angle}\nlength = 30'

    (told,) = [m for m in warned(tmp_path, "", *bud(15)) if "pinched" in m]
    narrow, free = (float(x) for x in re.findall(r"at (\d+)°", told))
    motion, wide = {}, {}
    for angle in (15, 49):
        spread = read(tmp_path, flower("", *bud(angle)))
        motion[angle] = spread.solve(np.radians([60.0, 120.0, 180.0]))
        body, _ = spread.linkage.place("bloom.outer-petal-2")
        up = motion[angle].rotations[-1, body, :, 2]
        wide[angle] = np.degrees(np.arccos(abs(up[2])))
        fold = [h.name for h in spread.linkage.hinges].index("bloom.outer-fold-3")
        turn = np.ptp(np.degrees(motion[angle].angles[:, fold]))
        assert turn < 1 if angle == 15 else turn > 30
    assert wide[15] == pytest.approx(narrow, abs=1)
    assert free - 1 < wide[49] < narrow - 30
    cure = float(re.search(r"angle = ([\d.]+) or wider", told)[1])
    assert not [m for m in warned(tmp_path, "", *bud(cure)) if "pinched" in m]
    assert [m for m in warned(tmp_path, "", *bud(cure - 0.1)) if "pinched" in m]


def test_pleats_must_not_pass_through_each_other(tmp_path):
    ((key, text),) = refused(tmp_path, 'angle = 66\ngutter_folds = "mountain"')
    assert key == "angle"
    assert "up to 33°" in text
    assert not warned(
        tmp_path, 'angle = [45, 100, 45]\ngutter_folds = "mountain"\n' + legs(14, 9, 10.5, 4.5)
    )


def test_a_ruffle_that_reaches_past_the_crease_is_told_by_how_much(tmp_path):
    keys = f"angle = 66\n{STRAIGHT_SIX}\n" + legs(14, 9.5, 7.5, 4.5)
    (text,) = warned(tmp_path, keys)
    # Closed, the fold ends lie 30 cos 99° from a middle that is 3 mm off the crease.
    past = -(3 + 30 * np.cos(np.radians(99)))
    assert f"{past:.3g} mm past it" in text
    advised = text.split("legs.length = ")[1].split(",")[0]
    assert not warned(tmp_path, keys.replace("length = 7.5", f"length = {advised}"))


STRAIGHT_SIX = "length = 31\nparting = 30\nprofile = [[0.55, 0.98], [0, 1]]"


@pytest.mark.parametrize("limit", [29, 33, 36.5])
def test_a_flower_that_jams_is_told_where_and_what_leg_to_take(tmp_path, limit):
    """Opened so far that the carrying petals stand at the cone limit over the pages.

    The limit is that of a right-angled spherical triangle by Napier's rule, as in `flower_limits`.
    """
    need = flower_limits.cone_limit(np.radians(6 * 47), np.radians(23.5))
    stop = 180 - 2 * (np.degrees(need) - limit)
    keys = f"angle = 47\nlegs = {{ hang_at = 14, distance = 9, lowest_angle = {limit} }}"
    (text,) = warned(tmp_path, keys)
    assert f"jams at {stop:.4f}°" in text
    advised = float(text.split("try: ")[1].split(" mm")[0])
    assert not warned(tmp_path, "angle = 47\n" + legs(14, 9, advised, 4.5))


def test_the_narrowest_cone_in_a_flower_governs_its_legs(tmp_path):
    outer = 'name = "out"\nangle = 52\n' + legs(14, 9.5, 7.95, 4.5)
    assert not warned(tmp_path, "", outer)
    (text,) = warned(tmp_path, "", outer, 'name = "in"\nangle = 46\nlength = 30')
    assert "sectors of in" in text
    # On legs of its own the same cone leaves the outer one alone.
    assert not warned(tmp_path, "", outer, 'name = "in"\nangle = 46\nlength = 30\nstand = "legs"')


def test_a_flower_that_sticks_out_of_the_page_is_told_at_which_edge(tmp_path):
    keys = f"angle = 52\n{STRAIGHT_SIX}"
    # The fold over the crease lies 78° from the middle and is 30 mm long; tips at 52° reach less.
    (text,) = warned(tmp_path, keys + "\nat = 20")
    assert "foot" in text
    assert f"{30 * np.sin(np.radians(78)) - 20:.3g} mm" in text
    (text,) = warned(tmp_path, keys + "\nat = 200")
    assert "head" in text


def test_several_mistakes_are_told_at_once(tmp_path):
    found = refused(
        tmp_path, "", 'name = "a"\nparting = 90', 'name = "b"\nsectors = 5', 'name = "c"\nangle = 7'
    )
    assert {key for key, _ in found} >= {"layers.a.parting", "layers.b.angle"}


@pytest.mark.parametrize(
    ("layers", "key"),
    [
        (['name = "a"', 'name = "a"'], "layers.a.name"),
        (['name = "a"', 'name = "b"\nstand = "flat"'], "layers.b.stand"),
        (['name = "a"\nstand = "glued"'], "layers.a.stand"),
        (['name = "a"\nstand = "flat"\nangle = 51'], "layers.a.angle"),
        (['name = "a"\nangle = [40, 50, 40, 50]'], "layers.a.angle"),
        (['name = "a"\nlength = 30\nparting = 20\nnotch = 0.4'], "layers.a.notch"),
        (['name = "a"\nprofile = [[0.5, 0.9]]'], "layers.a.profile"),
        (['name = "a"\npaper = "gold"'], "paper"),
        ([BASE.replace("58", "8"), 'name = "a"\n' + legs(14, 9.5, 9, 4.5)], "layers.base.parting"),
    ],
)
def test_a_layer_that_cannot_be_is_refused_by_its_key(tmp_path, layers, key):
    assert key in {found for found, _ in refused(tmp_path, "", *layers)}


ROOF = '[pieces.roof]\nkind = "tent"\ndistance = 30\npanel = 45\nwidth = 60'


@pytest.mark.parametrize(
    ("keys", "key"),
    [
        # Petals part at two thirds of 40 mm.
        ("legs = { hang_at = 26.7 }", "legs.hang_at"),
        ("length = 30\nparting = 30", "parting"),
        # Three sectors in a half: none of their folds lies in its middle.
        ('legs = { hang = "fold" }', "legs.hang"),
        ('legs = { hang = "beside" }', "legs.hang"),
        # A vertex of less than 360° bends one way; pleats leave one sector on either side.
        ('angle = 51\ngutter_folds = "mountain"', "gutter_folds"),
        ('sectors = 10\nangle = 40\ngutter_folds = "mountain"', "gutter_folds"),
    ],
)
def test_a_flower_that_cannot_be_is_refused_by_its_key(tmp_path, keys, key):
    ((found, text),) = refused(tmp_path, keys)
    assert found == key, text


def test_a_flower_on_a_ridge_has_one_layer(tmp_path):
    layers = ['name = "a"\nlength = 25', 'name = "b"\nlength = 18']
    on = 'on = "roof.ridge"'
    assert {"layers.b.stand"} == {k for k, _ in refused(tmp_path, on, *layers, before=ROOF)}
    assert read(tmp_path, flower(on, layers[0], before=ROOF)).sheets


def test_a_closed_umbrella_clears_the_ridge_from_a_length_of_its_legs_on(tmp_path):
    """Shut, the fold in front leans from the ridge by a quarter of all angles, as far as it goes.

    The middle then lies hang_at + length - distance beyond the ridge.
    """

    def told(length):
        keys = 'on = "roof.ridge"\nangle = 51\nlength = 30\nparting = 20\n'
        found = warned(tmp_path, keys + legs(8, 14, length, 3), before=ROOF)
        return [text for text in found if "umbrella" in text]

    least = 20 * np.cos(np.radians(6 * 51 / 4)) + 14 - 8
    assert not told(least + 0.01)
    (text,) = told(least - 0.5)
    assert "legs 0.5 mm longer" in text


@pytest.mark.parametrize(("distance", "panel"), [(36, 40), (39, 40), (18, 20)])
def test_a_flower_left_to_its_rules_lets_a_tent_open_all_the_way(tmp_path, distance, panel):
    """At flat open its ridge opens to 2 asin(distance / panel): up to 154° here, nearly flat."""
    tent = f'[pieces.roof]\nkind = "tent"\ndistance = {distance}\npanel = {panel}\nwidth = 44'
    made = read(tmp_path, flower('on = "roof.ridge"', before=tent))
    assert made.solve(np.radians([90.0, 150.0, 180.0])).solved.all()


def test_a_flower_follows_by_rule_from_its_petals_alone(tmp_path):
    for keys in ("", "angle = 46\nlength = 25", "sectors = 10\nangle = 30", "sectors = 14"):
        assert not warned(tmp_path, keys)
    three = ['name = "a"\nangle = 51\nlength = 43', 'name = "b"\nangle = 47\nlength = 33']
    assert not warned(tmp_path, "", *three, 'name = "c"\nangle = 40\nlength = 24\nstand = "legs"')


# Numbers


@settings(derandomize=True, max_examples=50, deadline=None)
@given(top=st.floats(5, 40), share=st.floats(0.3, 1.5), limit=st.floats(0.1, 1.5))
def test_leg_length_and_limit_undo_each_other(top, share, limit):
    size = LegSize(top, top * share, leg_length(top, top * share, limit), 4, 0, 5, 5)
    assert size.limit == pytest.approx(limit, abs=1e-7)
    assert size.closed_middle >= 0


def test_a_disc_has_no_limit_and_a_cone_of_no_paper_none_either():
    assert cone_limit(2 * np.pi, -0.5, 0.5) == 0
    assert cone_limit(7.0, -0.5, 0.5) == 0
    with pytest.raises(ValueError, match="no paper"):
        cone_limit(1.0, -0.25, 0.25)
    assert jam_opening(0.5, 0.6) == pytest.approx(np.pi)


def test_sheets_are_as_few_as_lie_flat():
    def count(sectors, degrees):
        return len(Fan((np.radians(degrees),) * sectors, (1,) * sectors).sheets())

    assert [count(6, a) for a in (40, 50, 57, 59, 60, 61, 90, 115, 118)] == [
        1,
        1,
        1,
        2,
        1,
        2,
        2,
        2,
        3,
    ]
