"""How exact a spread must be made: the question of the check, on designs as users write them."""

from __future__ import annotations

import json

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import spearmanr

from meshes import check
from meshes.building import proved
from meshes.check import Hands
from meshes.errors import DesignError
from meshes.exact import HandAccuracy, exactness
from meshes.exact.linear import linear
from meshes.exact.network import networks
from meshes.exact.rows import sources
from meshes.exact.settle import Settled
from meshes.spread import read
from preview.schemas import schema
from tests import designs
from tests.bench.bench_tolerance import compare
from tests.check.random_spreads import random_design
from tests.spreads import LEAF

OPENINGS = np.radians([0.0, 60.0, 120.0])


@pytest.fixture
def design(tmp_path):
    def write(text):
        path = tmp_path / "design.toml"
        path.write_text(text)
        return read(path)

    return write


def case(spread):
    return check.case_of(spread)


def by_name(found):
    return {spot.name: spot for spot in found.spots}


def test_all_errors_of_nothing_open_nothing(design):
    spread = design(LEAF)
    motion = spread.solve(OPENINGS)
    poses = motion.matrices
    (network,) = networks(spread.sheets, spread.joins, spread.linkage)
    none = np.zeros((3, len(sources(network))))
    settled = Settled(network, poses, motion.angles, none, OPENINGS == 0)
    assert settled.gives.max() < 1e-8
    assert settled.gaps.max() < 1e-6


@given(st.integers(0, 10_000), st.integers(0, 10_000))
@settings(max_examples=5, deadline=None, derandomize=True)
def test_small_errors_of_random_designs_open_what_first_order_says(tmp_path_factory, seed, draw):
    path = tmp_path_factory.mktemp("random") / "random.toml"
    path.write_text(random_design(seed, most=2))
    try:
        spread = read(path)
    except DesignError:
        return
    motion = spread.solve(OPENINGS)
    if not motion.solved.all():
        return
    poses = motion.matrices
    for network in networks(spread.sheets, spread.joins, spread.linkage):
        answer = linear(network, OPENINGS, poses)
        error = 1e-3 * np.random.default_rng(draw).standard_normal(len(sources(network)))
        error[[source.turns for source in sources(network)]] /= 50
        for scale in (0.0, 1.0, 2.0):
            every = np.tile(scale * error, (3, 1))
            settled = Settled(network, poses, motion.angles, every, OPENINGS == 0)
            expected = np.linalg.norm(answer.gives @ (scale * error), axis=2)
            assert settled.gives == pytest.approx(expected, rel=0.02, abs=2e-6)


def test_a_symmetric_leaf_asks_the_same_of_both_sides(design):
    spots = by_name(exactness(case(design(LEAF))))
    for left, spot in spots.items():
        right = left.replace("left", "right")
        for one, other in zip(spot.to_mark, spots[right].to_mark, strict=True):
            assert one.gap == pytest.approx(other.gap, rel=1e-6)
            assert one.give == pytest.approx(other.give, rel=1e-6)


def test_a_mirrored_leaf_asks_the_mirrored(design):
    pages, panels = "page_angle = [40, 50]", "panel_angle = [65, 55]"
    skew = LEAF.replace("page_angle = 45", pages).replace("panel_angle = 60", panels)
    mirrored = skew.replace("[40, 50]", "[50, 40]").replace("[65, 55]", "[55, 65]")
    one, other = (by_name(exactness(case(design(text)))) for text in (skew, mirrored))
    turned = {"left": "right", "right": "left"}
    for name, spot in one.items():
        side = next((side for side in turned if side in name), "")
        there = other[name.replace(side, turned[side]) if side else name]
        gives = [slip.give for slip in there.to_mark]
        assert [slip.give for slip in spot.to_mark] == pytest.approx(gives, rel=1e-6)


def test_what_is_pressed_lands_and_more_builds_close(design):
    spread = design(LEAF)
    hands = Hands.of(proved(spread), HandAccuracy())
    assert hands.pressed
    found = exactness(case(spread), hands.pressed)
    pressed = [spot for spot in found.spots if spot.lands]
    assert [spot.kind for spot in pressed] == ["glue"]
    assert found.builds > found.by_marks
    # A hand without errors closes all, one without any skill none.
    assert exactness(case(spread), hands.pressed, HandAccuracy(0.0, 0.0)).builds == found.of
    assert exactness(case(spread), hands.pressed, HandAccuracy(9.0, 0.1)).builds < 10


def test_the_same_builds_whatever_the_order_of_the_pieces(design):
    fern = (
        LEAF.replace("leaf", "fern")
        .replace("at = 90", "at = 150")
        .replace("base = 40", "base = 30")
    )
    one, other = (exactness(case(design(text))) for text in (LEAF + fern, fern + LEAF))
    assert [spot.name for spot in one.spots] == [spot.name for spot in other.spots]
    assert one.builds == other.builds


def test_an_exact_place_never_makes_the_whole_worse_than_its_own_part(design):
    found = exactness(case(design(LEAF)), hand=HandAccuracy(0.6, np.radians(0.6)))
    assert 0 < found.builds < found.of
    assert found.best is not None
    assert found.best.builds > found.builds


def test_full_solves_of_builds_by_hand_agree_with_first_order():
    first, full = compare(read(designs.path("moon-wheel")), 12)
    assert spearmanr(first, full).statistic > 0.99
    assert full / first == pytest.approx(1.0, abs=0.05)


def test_the_command_asks_it_on_wish_and_writes_what_its_schema_says(call, tmp_path):
    file = tmp_path / "leaf.toml"
    file.write_text(LEAF)
    asked = call("check", file, "--exact", "--accuracy", "0.5mm,0.4°", "--json")
    report = json.loads(asked.out)
    jsonschema.validate(report, schema("check"))
    (answer,) = (one for one in report["questions"] if one["question"] == "exact")
    assert (answer["measures"]["accuracy_mm"], answer["measures"]["accuracy_deg"]) == (0.5, 0.4)
    assert answer["measures"]["closing"] > answer["measures"]["closing_by_marks"]
    assert {one["part"] for one in answer["measures"]["care"]} >= {"leaf.ridge", "leaf.left-base"}
    usual = json.loads(call("check", file, "--json").out)
    assert "exact" not in [one["question"] for one in usual["questions"]]


def test_a_leaf_that_forgives_little_is_named_with_its_tolerance(call, tmp_path):
    file = tmp_path / "leaf.toml"
    file.write_text(LEAF)
    told = call("check", file, "--only", "exact", "--accuracy", "0.8,0.8")
    assert told.code == 0
    text = " ".join(told.out.split())
    assert "needs care" in text
    assert "fold leaf.ridge within" in text
    assert "unforgiving" in text


@pytest.mark.parametrize("text", ["0.3", "a,b", "0.3,0.3,0.3", "-1,0", "0.3,20"])
def test_an_accuracy_that_is_none_is_told_in_a_line(call, tmp_path, text):
    file = tmp_path / "leaf.toml"
    file.write_text(LEAF)
    told = call("check", file, f"--accuracy={text}")
    assert told.code == 2
    assert "--accuracy" in told.err
    assert "Traceback" not in told.err


def test_large_networks_are_told_to_first_order(design, monkeypatch):
    """Full solves take the cube of the unknowns: a tower of twenty levels would take a minute."""
    tower = LEAF.replace('"v-fold"', '"zigzag"\nlevels = 20\npleat = 30')
    found = exactness(case(design(LEAF)))
    assert any(spot.stands is not None for spot in found.spots)

    def never(*_):
        raise AssertionError("a full solve")

    monkeypatch.setattr("meshes.exact.exact.Settled", never)
    monkeypatch.setattr("meshes.exact.exact.stands_open", never)
    assert exactness(case(design(tower))).spots
    with pytest.raises(AssertionError, match="a full solve"):
        exactness(case(design(LEAF)))
