"""Curled paper: it closes, nothing passes through anything, it moves evenly, and it is told."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from meshes import check, designs, solid
from meshes.curl import bent
from meshes.curl.closing import RAMP_RAD, STAGES, steady
from meshes.errors import DesignError
from meshes.spread import Spread, read
from tests.bench.bench_curl import largest_step
from tests.curl.designs import WAVE, written
from tests.curl.judge import passes
from tests.designs import by_day

CURLED = ("peacock-court", "spring-nest", "two-seasons")
NARROW = """\
units = "mm"
[spread]
page = "A5"

[pieces.tall]
kind = "v-fold"
on = "gutter"
at = {at}
page_angle = {page_angle}
panel_angle = {panel_angle}
base = 30
outline = {{ shape = "polygon", corners = [[0, 0], [45, 0], [55, 50], [0, 40], [-55, 50], \
[-45, 0]] }}
curl = [
  {{ facet = "right", line = [[{x}, {y}], [{x2}, {y2}]], over = {over}, towards = "{way}" }},
  {{ facet = "left", line = [[-{x2}, {y2}], [-{x}, {y}]], over = {over}, towards = "{way}" }},
]

[pieces.near]
kind = "v-fold"
on = "gutter"
at = 60
page_angle = 60
panel_angle = 75
base = 40
outline = {{ shape = "leaf", length = 50, width = 70 }}
"""


def seen_at(spread: Spread, openings: np.ndarray):
    return bent(spread, spread.solve(openings), lifted=False)


@pytest.fixture(scope="module")
def wave(tmp_path_factory: pytest.TempPathFactory) -> Spread:
    return written(WAVE, tmp_path_factory.mktemp("wave"))


# All 181 openings take the judge a minute: `python -m tests.bench.bench_curl` looks at them all.
def test_no_facet_passes_through_another(wave: Spread) -> None:
    seen = seen_at(wave, STAGES)
    for stage in range(0, len(STAGES), 6):
        assert not passes(seen.linkage, seen.motion, stage), stage


@pytest.mark.parametrize("name", by_day(CURLED, ["spring-nest"]))
def test_nor_in_a_shipped_design(name: str) -> None:
    spread = read(designs.path(name))
    seen = seen_at(spread, STAGES)
    for stage in range(2, len(STAGES), 22):
        assert not passes(seen.linkage, seen.motion, stage), stage


def test_the_judge_sees_paper_that_is_rolled_without_regard(wave: Spread) -> None:
    paper, _ = wave.curling
    motion = wave.solve(np.radians([8.0]))
    whole = paper.move(motion, np.ones((len(paper.entries), 1)), lifted=False)
    assert passes(paper.linkage, whole, 0)


def test_every_shipped_design_with_a_curl_is_named_here() -> None:
    texts = {name: designs.path(name).read_text(encoding="utf-8") for name in designs.names()}
    found = {name for name, text in texts.items() if "curl = [" in text or ".curl]" in text}
    assert found == set(CURLED)


@settings(max_examples=3, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(
    at=st.floats(80, 150),
    page_angle=st.floats(45, 75),
    panel_angle=st.floats(60, 85),
    first=st.floats(8, 30),
    slope=st.floats(-10, 10),
    over=st.floats(6, 40),
    way=st.sampled_from(["front", "back"]),
)
def test_random_curls_close_keep_clear_and_stay_whole(
    tmp_path_factory: pytest.TempPathFactory, first: float, slope: float, **numbers: object
) -> None:
    # A line across the wing, from its outer edge inwards, never over its folds.
    line = {"x": 20 + first, "y": 60 + slope, "x2": 20 + first + slope, "y2": -20}
    text = NARROW.format(**numbers, **line)
    spread = written(text, tmp_path_factory.mktemp("curl"))
    seen = seen_at(spread, STAGES)
    solved = np.flatnonzero(seen.motion.solved)
    flat = spread.solve(STAGES)
    for stage in solved[::15]:
        assert not passes(seen.linkage, seen.motion, stage), stage
    _, shares = spread.curling
    assert (np.diff(shares.shares, axis=1) > -1e-9).all()
    assert np.diff(shares.shares, axis=1).max() <= np.radians(1) / RAMP_RAD + 1e-9
    assert not shares.shares[:, 0].any()
    raised = bent(spread, flat)
    for stage in solved[[0, len(solved) // 2, -1]]:
        mesh = solid.piece_mesh(raised.linkage, raised.motion, int(stage), "tall")
        sheets = [sheet for sheet in spread.sheets if sheet.piece == "tall"]
        volume = sum(sheet.outline.area * sheet.paper.caliper for sheet in sheets)
        assert mesh.is_volume
        if stage != solved[0]:  # shut, its layers share one place
            assert mesh.volume == pytest.approx(volume, rel=0.01)


def test_the_largest_step_of_a_corner_from_degree_to_degree(wave: Spread) -> None:
    shipped = read(designs.path("spring-nest"))
    steps = [largest_step(bent(one, one.solve(STAGES))) for one in (wave, shipped)]
    # Paper 70 mm from the gutter goes 70 · π / 180 = 1.2 mm a degree with its page alone.
    assert max(steps) < 1.5, steps


def test_shares_grow_evenly_and_never_fall() -> None:
    openings = np.radians(np.arange(0.0, 181.0, 10.0))
    most = np.ones(19)
    most[9] = 0.2
    found = steady(most, openings)
    assert found[9] == pytest.approx(0.2)
    assert found[:10].max() <= 0.2 + 1e-12
    step = np.radians(10) / RAMP_RAD
    assert np.diff(found) == pytest.approx(
        [*np.diff(found[:10]), *[step] * 4, *[0.0] * 5], abs=0.14
    )
    assert (np.diff(found) <= step + 1e-12).all()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('line = [[0, 32], [60, 32]], over = 9', 'line = [[0, 10], [60, 10]], over = 9'),
         "wave: curl.1.line: the fold ridge lies beyond the line"),
        (("over = 9", "over = 2"), "curl.1.over: creases card of 0.23 mm instead of curling it"),
        (("over = 9, kept = 0.5", "over = 3, kept = 1"),
         "curl.1.over: would roll right into itself"),
        (('facet = "right"', 'facet = "wing"'),
         "curl.1.facet: there is no such facet; found 'wing'"),
        (("line = [[0, 32], [60, 32]]", "line = [[0, 80], [60, 80]]"),
         "no paper of right lies beyond the line"),
        (("line = [[0, 32], [60, 32]]", "beyond = 3"), "it is not clear from which"),
        (("line = [[0, 32], [60, 32]],", ""), "curl.1.beyond: is missing"),
        (('over = 20 }', 'over = 20, towards = "back" }'),
         "leaf: curl.1: leaf.art lies on page.left and would curl into it"),
        (('facet = "left"', 'facet = "right"'), "curl.2.facet: is rolled by another entry already"),
    ],
)  # fmt: skip
def test_what_cant_be_had_is_told_in_one_line(
    change: tuple[str, str], said: str, tmp_path: Path
) -> None:
    assert change[0] in WAVE
    with pytest.raises(DesignError) as error:
        written(WAVE.replace(*change), tmp_path)
    assert said in str(error.value)
    assert len(str(error.value).splitlines()) == 1


def test_nothing_may_be_glued_beyond_the_line(tmp_path: Path) -> None:
    foam = '[pieces.foam]\nkind = "flat"\non = "wave.right"\nx = 30\ny = 40\n'
    foam += 'outline = { shape = "ellipse", length = 6 }\n'
    with pytest.raises(DesignError, match=r"foam\.art is glued on wave\.right beyond the line"):
        written(WAVE + foam, tmp_path)


def test_it_can_be_measured_from_the_fold_and_is_mirrored_with_its_piece(tmp_path: Path) -> None:
    leaf = WAVE.replace("line = [[-12, 2], [12, 2]]", "line = [[-12, 2], [12, 5]]")
    spread = written(leaf + "repeat = { both_pages = true }\n", tmp_path)
    paper, _ = spread.curling
    assert [entry for entry in paper.entries if entry[0].startswith("leaf")] == [
        ("leaf", 1), ("leaf-mirrored", 1),
    ]  # fmt: skip
    seen = seen_at(spread, np.array([np.pi]))
    tips = {
        part.id: part.polygon.centroid.coords[0] @ seen.motion.rotations[0, k, :, :2].T
        + seen.motion.translations[0, k]
        for k, body in enumerate(seen.linkage.bodies)
        for part in body.parts
        if part.facet.strip_of and part.sheet.piece.startswith("leaf")
    }
    for id, place in tips.items():
        if id.startswith("leaf."):
            other = tips[id.replace("leaf.", "leaf-mirrored.")]
            assert other == pytest.approx(place * [-1, 1, 1], abs=1e-6)


def test_the_check_tells_a_curl_that_finds_no_room(tmp_path: Path) -> None:
    # The foot of the wing lies on the page beyond the line, so it can't be rolled into it.
    wing = (
        WAVE.partition("[pieces.wave]")[0]
        + """
[pieces.wing]
kind = "v-fold"
on = "gutter"
points = "down"
at = 130
page_angle = 60
panel_angle = 80
base = 40
gusset = 10
outline = { shape = "polygon", corners = [[0, 0], [40, 0], [80, 30], [85, 60], [0, 30], [-40, 0]] }
curl = [{ facet = "right", line = [[50, 60], [50, -10]], over = 20, towards = "back" }]
"""
    )
    spread = written(wing, tmp_path)
    report = check.report(spread)
    (finding,) = [f for f in report.findings if f.kind in ("curls less", "no room to curl")]
    _, shares = spread.curling
    assert finding.amount == pytest.approx(100 * shares.shares[0, -1])
    assert finding.amount < 60
    assert finding.parts == ("wing.right", "page.right")
    assert "page.right is in its way" in finding.text
    assert not [f for f in report.findings if f.question == "clash"]
