"""The guide says where a hand must be exact, in the step at which it matters."""

from __future__ import annotations

import re

import numpy as np
import pytest

from meshes import check, spread
from meshes.building import proved
from meshes.exact import HandAccuracy, exactness
from preview.guide.care import with_care
from preview.guide.words import told
from tests.spreads import LEAF


@pytest.fixture(scope="module")
def leaf():
    return spread.read("leaf.toml", text=LEAF)


def texts(leaf):
    steps = proved(leaf)
    plain = told(steps, leaf.sheets, leaf.joins)
    return steps, plain, with_care(plain, leaf, steps)


def test_a_leaf_that_forgives_what_hands_do_is_told_as_ever(leaf):
    _, plain, careful = texts(leaf)
    assert careful == plain


def test_a_clumsy_hand_is_warned_at_each_step_but_not_of_what_lands_by_itself(leaf, monkeypatch):
    clumsy = HandAccuracy(2.0, np.radians(2.0))
    monkeypatch.setattr("meshes.check.exact.HandAccuracy", lambda: clumsy)
    steps, plain, careful = texts(leaf)
    added = {
        step.action: after.sentences[len(before.sentences) :]
        for step, before, after in zip(steps, plain, careful, strict=True)
    }
    assert added["press"] == ()
    # One foot is glued to its mark, and three folds are scored.
    (glue,) = added["glue"]
    assert re.match("Take care with place [AB]:", glue)
    folds = {re.match("Score the (.*) with care:", said)[1] for said in added["make"]}
    assert folds == {"ridge", "left base", "right base"}
    # What is forgiven is what the check says, but for its full solves of the worst places.
    case = check.case_of(leaf)
    pressed = [j for step in steps if step.action == "press" for j in step.joins]
    spots = {spot.name: spot for spot in exactness(case, pressed, clumsy).spots}
    for said in added["make"]:
        within = float(re.search(r"forgives ([\d.]+) mm", said)[1])
        name = re.match("Score the (.*) with care", said)[1].replace(" ", "-")
        assert within == pytest.approx(spots[f"leaf.{name}"].within_mm, rel=0.1)
