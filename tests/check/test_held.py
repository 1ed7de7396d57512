"""Glue must not hold what a hand should turn or pull."""

from dataclasses import replace

import numpy as np
import pytest

from meshes import check, spread
from meshes.check.clash import collisions
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


def test_glue_holds_a_wheel_of_a_spread_that_cannot_be_folded_at_all(tmp_path):
    """Such a spread has no opening at which to show where."""
    case = case_of(tmp_path, WHEEL, ART.format(on="page.right", x=104))
    (found,) = held(case)
    assert found.place is not None
    never = replace(case.motion, solved=np.zeros_like(case.motion.solved))
    assert held(replace(case, motion=never)) == [replace(found, place=None)]


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


def riding(length, width, at=0.0):
    """Art on the strip, its middle `at` mm from the strip's."""
    return (
        f'[pieces.boat]\nkind = "flat"\non = "pull.strip"\nx = {at}\ny = 0\n'
        f'outline = {{ shape = "rectangle", length = {width}, width = {length} }}\n'
    )


def narrow_slide(**keys):
    lines = {"x": 74, "y": 100, "length": 100, "width": 10, "travel": 30, "loop": 6, "glue": 14}
    text = "".join(f"{key} = {value}\n" for key, value in (lines | keys).items())
    return f'[pieces.pull]\nkind = "slide"\non = "page.right"\n{text}'


@pytest.mark.parametrize("at", [-34, -24, -23, 0, 13, 15, 26])
def test_art_wider_than_the_strip_runs_into_the_glued_feet_of_its_loops(tmp_path, at):
    """Art 10 mm long and 20 mm wide travels 20 mm with a strip of 110 mm.

    The loops, 6 mm wide, lie over -35 to -29 mm of the strip where it rests, and over 39 to 45: 20
    mm from its one end, and before the round pull tab at the other.
    """
    case = case_of(tmp_path, narrow_slide(travel=20, length=110), riding(10, 20, at))
    meets = any(low < at + 25 and at - 5 < high for low, high in [(-35, -29), (39, 45)])
    found = [one for one in held(case) if one.kind == "glued fast"]
    assert bool(found) == meets
    assert all(one.piece == "boat" and one.fails for one in found)


def test_art_no_wider_than_the_strip_may_catch_under_a_loop(tmp_path):
    under = held(case_of(tmp_path, narrow_slide(), riding(8, 8, 20)))
    assert [(one.kind, one.severity, one.piece) for one in under] == [
        ("catches", "warning", "boat")
    ]
    assert held(case_of(tmp_path, narrow_slide(travel=15), riding(8, 8, -10))) == []


@pytest.mark.parametrize("width", [14, 20, 24])
def test_art_on_a_slide_must_clear_the_glued_feet_of_a_strap(tmp_path, width):
    """The strap's tab is glued from 56 to 70 mm from the gutter; the slide's middle is at 48.

    The art passes from 81 to 131 mm over the foot of the page. The tab's free edge, cut at 60°,
    ends at 130 - 14 / tan 60°, and its end comes towards the art by 1 / tan 60° for each mm.
    """
    strap = (
        '[pieces.bridge]\nkind = "strap"\nat = 100\ndistance = [70, 70]\npanels = [76, 76]\n'
        "width = 60\ntab = 14\n"
    )
    slide = narrow_slide(x=48, y=70, turn=90, travel=40, length=120)
    case = case_of(tmp_path, strap, slide, riding(10, width, 16))
    found = [one for one in held(case) if one.piece == "bridge"]
    over = width / 2 - (56 - 48)
    if over <= 0:
        assert not found
        return
    (one,) = found
    assert one.parts == ("bridge.right-tab", "boat.art")
    slope = 1 / np.tan(np.radians(60))
    assert one.amount == pytest.approx(over * (130 - 14 * slope - 81) + over**2 * slope / 2)
    report = check.report(case)
    assert report.answer("moves").verdict == "no"
    assert not report.passes


@pytest.mark.parametrize("turn", [0, 180])
def test_a_slide_that_is_pulled_through_the_page_is_found(tmp_path, turn):
    """It lies on the left panel of a tent, from 5 to 55 mm over the foot, and is pulled by 20 mm.

    Towards the ridge it comes out over it. Towards the foot 15 mm of its strip pass through the
    page. Flat open, a panel of 60 mm on feet of 50 mm stands at acos(50 / 60) to the page, and the
    push that frees both is 15 mm times the sine of that.
    """
    tent = '[pieces.t]\nkind = "tent"\nat = 105\ndistance = 50\npanel = 60\nwidth = 60\n'
    keys = {"x": -30, "y": 0, "length": 50, "travel": 20, "turn": turn}
    case = case_of(tmp_path, tent, narrow_slide(**keys).replace("page.right", "t.left"))
    openings = [pull.hand.opening for pull in case.pulls]
    assert np.degrees(openings) == pytest.approx([45, 90, 135, 180])
    flat_open = collisions(case.pulls[-1]).contacts
    found = [one for one in check.report(case).findings if one.kind == "clashes"]
    assert not collisions(case).contacts
    assert bool(found) == bool(flat_open) == (turn == 180)
    if turn == 180:
        assert flat_open[0].push == pytest.approx(15 * np.sqrt(1 - (50 / 60) ** 2), abs=0.02)
        # At rest the strip ends 5 mm over the fold.
        assert flat_open[0].contact.start / np.pi == pytest.approx(5 / 20, abs=0.001)
    for one in found:
        assert set(one.parts) >= {"pull.strip", "page.left"}
        assert "while pull is moved from 5.0 mm to 20.0 mm" in one.text
        seen, share = case.seen_at(one.place)
        assert seen.hand.opening == pytest.approx(np.radians(one.place.opening_deg))
        assert one.place.moved == ("pull", pytest.approx(share / np.pi))
