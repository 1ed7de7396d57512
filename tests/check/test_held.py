"""Glue must not hold what a hand should turn or pull."""

import numpy as np
import pytest

from meshes import check, spread
from meshes.check.held import held, way_of

WHEEL = (
    '[pieces.dial]\nkind = "wheel"\non = "page.right"\nx = 74\ny = 100\nradius = 30\ngrips = 0\n'
)
SLIDE = (
    '[pieces.pull]\nkind = "slide"\non = "page.right"\nx = 74\ny = 100\n'
    "length = 100\nwidth = 20\ntravel = 30\n"
)
ART = (
    '[pieces.art]\nkind = "flat"\non = "{on}"\nx = {x}\ny = 100\n'
    'outline = {{ shape = "rectangle", length = 20, width = 20 }}\n'
)


def case_of(folder, *pieces):
    file = folder / "hand.toml"
    file.write_text('[spread]\npage = "A5"\n' + "".join(pieces))
    return check.case_of(spread.read(file))


def test_a_wheel_sweeps_its_disc_and_a_slide_its_strip_longer_by_its_travel(tmp_path):
    """Areas: a circle of 30 mm; a strip with a half round end, and 30 mm by 20 mm more."""
    case = case_of(tmp_path, WHEEL)
    assert way_of(case, case.linkage.drives[0]).area == pytest.approx(np.pi * 900, rel=1e-3)
    case = case_of(tmp_path, SLIDE)
    area = 90 * 20 + np.pi * 50 + 30 * 20
    assert way_of(case, case.linkage.drives[0]).area == pytest.approx(area, rel=1e-3)


@pytest.mark.parametrize(
    ("moving", "x", "area"),
    [
        (WHEEL, 74, 400),
        (WHEEL, 74 + 30 + 11, None),
        # The strip ends at 74 + 50, and at 74 + 50 + 30 when it is pulled: 30 - 10 + 10 mm of the
        # square's 20 mm lie on its way, all of it.
        (SLIDE, 74 + 60, 400),
        (SLIDE, 74 - 50 - 11, None),
    ],
)
def test_art_glued_over_the_way_of_a_moving_part_holds_it(tmp_path, moving, x, area):
    found = held(case_of(tmp_path, moving, ART.format(on="page.right", x=x)))
    assert [one.amount for one in found] == (
        [] if area is None else [pytest.approx(area, rel=0.03)]
    )
    assert all(one.fails and one.kind == "glued fast" for one in found)


def test_art_under_a_wheel_or_on_it_does_not_hold_it(tmp_path):
    under = ART.format(on="page.right", x=74)
    riding = (
        ART.format(on="dial.disc", x=0).replace("pieces.art", "pieces.moon").replace("100", "0")
    )
    assert held(case_of(tmp_path, under, WHEEL, riding)) == []


def test_a_folded_piece_holds_a_wheel_even_if_it_is_glued_first(tmp_path):
    """Its tab lies under the disc, but its panel has to come up through it."""
    tent = '[pieces.t]\nkind = "tent"\nat = 100\ndistance = 60\npanel = 64\nwidth = 20\n'
    found = check.report(case_of(tmp_path, tent, WHEEL)).answer("moves")
    assert found.verdict == "no"
    assert [f.piece for f in found.findings] == ["t"]
    # A tab of 8 mm by 20 mm with cut corners, all of it under the disc.
    assert 100 < found.findings[0].amount <= 160


def test_the_overlay_of_a_wheel_and_the_loops_of_a_slide_hold_nothing(tmp_path):
    cover = 'overlay = { shape = "rectangle", length = 90, width = 90 }\n'
    assert held(case_of(tmp_path, WHEEL + cover)) == []
    assert held(case_of(tmp_path, SLIDE)) == []


@pytest.mark.parametrize(("first", "second"), [(ART, WHEEL), (WHEEL, ART)])
def test_a_wheel_lies_over_what_was_glued_before_it(tmp_path, first, second):
    """Middles lie half of both sheets apart."""
    pieces = [p.format(on="page.right", x=74) if p is ART else p for p in (first, second)]
    linkage = case_of(tmp_path, *pieces).linkage
    height = {part.id: part.height for body in linkage.bodies for part in body.parts}
    paper = linkage.place("art.art")[1].sheet.paper.caliper
    page = linkage.place("page.right")[1].sheet.paper.caliper
    low = (page + paper) / 2
    wanted = {"art.art": low, "dial.disc": low + paper} if first is ART else {"dial.disc": low}
    assert {name: height[name] for name in wanted} == pytest.approx(wanted)


def test_art_glued_on_the_cover_of_a_wheel_leaves_it_free(tmp_path):
    """The disc turns under its overlay; art on that overlay, and art on this, only rides on it."""
    covered = WHEEL + 'overlay = { shape = "rectangle", length = 50, width = 90 }\n'
    on_cover = ART.format(on="dial.overlay", x=0).replace("100", "0")
    on_art = on_cover.replace("pieces.art", "pieces.upper").replace("dial.overlay", "art.art")
    assert held(case_of(tmp_path, covered, on_cover, on_art)) == []
    on_page = ART.format(on="page.right", x=74).replace("pieces.art", "pieces.lower")
    found = held(case_of(tmp_path, covered, on_cover, on_page))
    assert [one.piece for one in found] == ["lower"]
