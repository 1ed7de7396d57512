"""Curled paper on and beside what a hand moves: it keeps clear wherever that is, or is refused."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes import check
from meshes.curl import bent
from meshes.curl.closing import RAMP_RAD
from meshes.curl.stances import stances
from meshes.errors import DesignError
from meshes.gltf import write_glb
from meshes.spread import Spread
from tests.curl.designs import written
from tests.curl.judge import passes
from tests.curl.moved_designs import moved_design, states
from tests.designs import by_day
from tests.outside.test_gltf_format import validated
from tests.outside.test_gltf_played import PLAYER

# Flaps on a strip that is pulled out from beside a wave that is rolled towards the page: the one
# is pressed down as it passes under the other.
PASSING = """\
title = "Passing"
units = "mm"
[spread]
page = "A5"

[pieces.pull]
kind = "slide"
on = "page.right"
x = 70
y = 60
length = 130
width = 10
travel = 55
loops = "tab"

[pieces.tail]
kind = "flat"
on = "pull.strip"
x = -48
anchor = "base"
turn = 0
outline = { shape = "petal", length = 60, width = 20, base = 8, point = 0.6 }
curl = [{ facet = "art", line = [[12, 14], [-12, 14]], over = 30 }]

[pieces.roof]
kind = "tent"
on = "gutter"
at = 85
distance = 30
panel = 44
width = 40
"""


@pytest.fixture(scope="module")
def passing(tmp_path_factory: pytest.TempPathFactory) -> Spread:
    return written(PASSING, tmp_path_factory.mktemp("passing"))


def judged(spread: Spread, places: int, openings: int) -> tuple[int, set[tuple[str, str]]]:
    """How many states were looked at, and what passes through what in any."""
    count, found = 0, set()
    for linkage, motion in states(spread, places, openings):
        for stage in np.flatnonzero(motion.solved).tolist():
            count += 1
            found |= passes(linkage, motion, stage)
    return count, found


def test_paper_that_a_hand_moves_is_pressed_down_where_it_passes(passing: Spread) -> None:
    paper, shares = passing.curling
    (cap,) = shares.caps
    assert (paper.entries[cap.entry][0], cap.hand) == ("tail", "pull")
    wide = np.full(len(cap.places), np.pi)
    free = cap.at(wide, cap.places)
    # Under the roof it has no room; out from under it, all.
    assert free[0] < 0.7
    assert free[-1] == pytest.approx(1.0)
    count, found = judged(passing, 9, 13)
    assert count > 100
    assert not found


def test_the_judge_sees_paper_that_is_rolled_as_if_nobody_moved_it(passing: Spread) -> None:
    paper, shares = passing.curling
    motion = passing.solve(np.radians([180.0]), {"pull": 0.0})
    whole = paper.move(motion, shares.shares[:, -1:], lifted=False)
    assert passes(paper.linkage, whole, 0)
    held = paper.move(motion, shares.at(stances(passing.linkage, motion)), lifted=False)
    assert not passes(paper.linkage, held, 0)


@pytest.mark.parametrize("seed", by_day([7, 9], [9]))
def test_no_facet_passes_through_another_wherever_a_hand_is(seed: int, tmp_path: Path) -> None:
    count, found = judged(written(moved_design(seed), tmp_path), 3, 7)
    assert count > 15
    assert not found


@pytest.mark.night
@pytest.mark.parametrize("seed", range(40))
def test_nor_in_many_designs_at_many_places(seed: int, tmp_path: Path) -> None:
    try:
        spread = written(moved_design(seed), tmp_path)
    except DesignError as error:
        assert "as pull is moved" in str(error) or "as mill is moved" in str(error)  # noqa: PT017
        return
    count, found = judged(spread, 11, 31)
    assert count > 300
    assert not found
    _, shares = spread.curling
    assert not shares.shares[:, 0].any()
    assert (np.diff(shares.shares, axis=1) > -1e-9).all()
    assert np.diff(shares.shares, axis=1).max() <= np.radians(1) / RAMP_RAD + 1e-9
    for cap in shares.caps:
        assert (np.diff(cap.most, axis=0) > -1e-9).all()


@settings(max_examples=20, deadline=None, derandomize=True)
@given(place=st.floats(0, 1), opening=st.floats(5, 180))
def test_where_a_hand_is_is_read_off_the_poses(
    passing: Spread, place: float, opening: float
) -> None:
    motion = passing.solve(np.radians([opening]), {"pull": place})
    found = stances(passing.linkage, motion)
    assert found.hands["pull"][0] == pytest.approx(place, abs=1e-7)
    assert found.wedges[0, 0] == pytest.approx(np.radians(opening), abs=1e-7)


def test_leaves_part_the_opening_into_wedges_of_their_own(tmp_path: Path) -> None:
    spread = written(moved_design(9), tmp_path)
    turned = np.linspace(0, 1, 7)
    motion = spread.solve(np.full(7, np.pi), {"leaf": turned})
    found = stances(spread.linkage, motion).wedges
    # The two keep a degree apart each, and share what is left.
    expected = np.radians(1 + turned * 178)
    assert found == pytest.approx(np.stack([expected, np.radians(180) - expected]), abs=1e-7)
    seen = bent(spread, motion)
    assert seen.motion.rotations.shape[1] == len(seen.linkage.bodies)


LEAF = '[pieces.leaf]\nkind = "flyleaf"\n'
WINDOW = """
[pieces.mill]
kind = "wheel"
on = "page.right"
x = 70
y = 100
radius = 25
overlay = { shape = "rectangle", length = 70, width = 70 }

[pieces.arrow]
kind = "flat"
on = "mill.disc"
anchor = "base"
outline = { shape = "petal", length = 20, width = 8 }
curl = [{ facet = "art", line = [[6, 8], [-6, 8]], over = 9 }]
"""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            LEAF + 'curl = [{ facet = "sheet", line = [[90, 0], [90, 200]], over = 20 }]\n',
            "leaf: curl.1: leaf.sheet is a page that lies on others, so it stays flat",
        ),
        (WINDOW, "arrow: curl.1: mill.overlay is in the way of arrow.art as mill is moved"),
    ],
)
def test_what_cant_be_curled_is_told_in_one_line(text: str, said: str, tmp_path: Path) -> None:
    head = PASSING.partition("[pieces.pull]")[0]
    with pytest.raises(DesignError) as error:
        written(head + text, tmp_path)
    assert said in str(error.value)
    assert len(str(error.value).splitlines()) == 1


def test_the_check_pulls_and_turns_what_is_curled(passing: Spread) -> None:
    findings = check.report(passing).findings
    assert not [f for f in findings if f.question == "clash"]
    (pressed,) = [f for f in findings if f.kind == "curls less"]
    assert "the curl 1 of tail is pressed to" in pressed.text
    assert "with pull moved by" in pressed.text


def test_clips_of_a_hand_bend_what_it_presses(passing: Spread, tmp_path: Path) -> None:
    path = tmp_path / "passing.glb"
    write_glb(path, passing, passing.solve(np.radians(np.arange(0.0, 181.0))))
    issues = validated(path)
    assert (issues["numErrors"], issues["numWarnings"], issues["messages"]) == (0, 0, [])
    run = subprocess.run(
        ["node", str(PLAYER), str(path), "0", "2", "4"],
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    paper, _ = passing.curling
    for place, pose in zip((0.0, 0.5, 1.0), json.loads(run.stdout)["pull by hand"], strict=True):
        nodes = [n for name, n in pose.items() if name.startswith(("tail.art curl", "tailart_"))]
        x, y, z = 1000 * np.array([corner for node in nodes for corner in node["corners"]]).T
        places = np.column_stack([x, -z, y])
        seen = bent(passing, passing.solve(np.array([np.pi]), {"pull": place}))
        first = len(paper.linkage.bodies) - len(paper.parents)
        off = []
        for k, body in enumerate(seen.linkage.bodies[first:], first):
            part = body.parts[0]
            local = (places - seen.motion.translations[0, k]) @ seen.motion.rotations[0, k]
            beyond = paper.beyond(k - first, local)
            within = (beyond > -0.05) & (beyond < paper.width[k - first] + 0.05)
            height = np.abs(np.abs(local[:, 2] - part.height) - part.sheet.paper.caliper / 2)
            off.append(np.where(within, height, 9))
        assert np.min(off, axis=0).max() < 0.05, place
