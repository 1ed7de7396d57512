"""Glue must be wide enough to hold, and a tab must lie on what it is glued to."""

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Polygon, box

from meshes import check, spread
from meshes.check import Limits
from meshes.check.makeable import makeable
from meshes.check.narrow import glue_width

FLAT = np.array([np.pi])


def asked(folder, text):
    """Findings and measures of a design that is only looked at flat open."""
    file = folder / "glue.toml"
    file.write_text('[spread]\npage = "A5"\n' + text)
    made = spread.read(file)
    return makeable(check.case_of(made, made.solve(FLAT)), Limits())


def of_kind(findings, kind):
    return [finding for finding in findings if finding.kind == kind]


def platform(layer):
    return (
        '[pieces.deck]\nkind = "platform"\nat = 105\ndistance = 20\nheight = 22\nwidth = 40\n'
        f'outline = {{ shape = "polygon", corners = {layer} }}\n'
    )


def rectangle(left, low, right, high):
    return [[left, low], [right, low], [right, high], [left, high]]


def covered(high):
    """Share of a tab that lies below `high`.

    A tab is a trapezium 40 mm long at its fold, from -20 to 20, and 8 mm deep with ends at 60°: at
    `y` from its end it is as deep as y tan 60°, at most 8 mm.
    """
    y = np.linspace(-20, 20, 40_001)
    depth = np.minimum(np.minimum(y + 20, 20 - y) * np.tan(np.radians(60)), 8.0)
    return depth[y <= high].sum() / depth.sum()


@pytest.mark.parametrize("high", np.random.default_rng(5).uniform(-14, 19, 6).round(2).tolist())
def test_a_platform_half_off_its_struts_is_found(tmp_path, high):
    """The layer ends at `high`, and the struts go on to 20; both struts hang over alike."""
    findings, _ = asked(tmp_path, platform(rectangle(-60, -20, 60, high)))
    found = of_kind(findings, "half off")
    share = covered(high)
    assert len(found) == (2 if share < 0.75 else 0)
    for one in found:
        assert one.amount == pytest.approx(100 * share, abs=0.1)
        assert one.fails == (share < 0.5)
        assert 100 * share < one.limit <= 100
        assert one.parts[1].startswith("deck.layer-")


def test_a_platform_on_all_its_struts_is_fine(tmp_path):
    findings, measures = asked(tmp_path, platform(rectangle(-60, -20, 60, 20)))
    assert not [finding for finding in findings if finding.severity != "note"]
    assert 6 < measures["narrowest_glue_mm"] <= 8


def test_art_that_hangs_over_its_host_is_no_tab(tmp_path):
    """Half of a roof may hang over its wall; what is glued is wide enough to hold it."""
    text = platform(rectangle(-60, -20, 60, 20)) + (
        '[pieces.roof]\nkind = "flat"\non = "deck.layer-right"\nx = 60\ny = 0\n'
        'outline = { shape = "rectangle", length = 20, width = 40 }\n'
    )
    assert not of_kind(asked(tmp_path, text)[0], "half off")


def flat(name, corners):
    return (
        f'[pieces.{name}]\nkind = "flat"\non = "page.right"\nx = 60\ny = 100\nanchor = "base"\n'
        f'outline = {{ shape = "polygon", corners = {corners} }}\n'
    )


@pytest.mark.parametrize("width", [1.2, 0.7, 0.2])
def test_paper_too_small_to_cut_is_found(tmp_path, width):
    """A dot, wholly stuck down: no strip, since it is no longer than wide, and no narrow glue."""
    half = width / 2
    (found,) = asked(tmp_path, flat("dot", rectangle(-half, -half, half, half)))[0]
    assert (found.kind, found.severity, found.piece) == ("tiny", "warning", "dot")
    assert found.amount == pytest.approx(width, abs=2e-3)


def test_paper_just_wide_enough_is_not_tiny(tmp_path):
    assert not asked(tmp_path, flat("dot", rectangle(-0.8, -0.8, 0.8, 0.8)))[0]


@pytest.mark.parametrize("width", [1.2, 0.7, 0.2])
def test_a_join_that_holds_by_a_narrow_area_only_is_found(tmp_path, width):
    """Art that overlaps the edge of the page below it by `width` over its whole length."""
    host = flat("host", rectangle(-20, -20, 20, 20))
    art = flat("art", rectangle(-10, -10, 30, 10)).replace("page.right", "host.art")
    art = art.replace("x = 60", f"x = {30 - width}").replace("y = 100", "y = 0")
    findings, measures = asked(tmp_path, host + art)
    (found,) = of_kind(findings, "narrow glue")
    assert found.severity == "warning"
    assert found.amount == pytest.approx(width, abs=2e-3)
    assert measures["narrowest_glue_mm"] == pytest.approx(width, abs=2e-3)


@pytest.mark.parametrize("width", [1.2, 0.2])
def test_a_sliver_beside_enough_glue_is_named_and_not_taken_for_the_narrowest(tmp_path, width):
    """A comb whose long tooth lies wholly on its host and whose short one barely touches it."""
    host = flat("host", rectangle(-20, -20, 20, 20))
    comb = [[40, -10], [40, 10], [0, 10], [0, 2], [30, 2], [30, -2], [20 - width, -2],
            [20 - width, -10]]  # fmt: skip
    art = flat("comb", comb).replace("page.right", "host.art")
    art = art.replace("x = 60", "x = 0").replace("y = 100", "y = 0")
    findings, measures = asked(tmp_path, host + art)
    (found,) = findings
    assert (found.kind, found.severity, found.piece) == ("glue sliver", "note", "comb")
    assert found.amount == pytest.approx(width, abs=2e-3)
    assert " more" not in found.text
    assert measures["narrowest_glue_mm"] == pytest.approx(8, abs=2e-3)


@pytest.mark.parametrize("turn", [0, 20, 77])
def test_glue_is_as_wide_as_it_holds(turn):
    """A strip by its short side, a tab by its depth, an angle of two strips by its widest circle.

    The circle in the bend of two strips of width w touches both outer sides and the inner corner:
    its radius is w 2^½ / (1 + 2^½).
    """
    strip, tab = box(0, 0, 40, 6), Polygon([(0, 0), (30, 0), (26, 7), (4, 7)])
    angle = box(0, 0, 60, 8).union(box(0, 0, 8, 60))
    bend = 2 * 8 * np.sqrt(2) / (1 + np.sqrt(2))
    for shape, width in ((strip, 6), (tab, 7), (angle, bend)):
        turned = affinity.rotate(shape, turn, origin=(3, 5))
        assert glue_width(turned) == pytest.approx(width, abs=0.05)
