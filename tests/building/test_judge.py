"""Orders before a judge that shares nothing with the proof: he passes ours and sees what is wrong.

`tests/bench/bench_building.py` has him look at all shipped designs and at fifty random ones.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from .judge import Judge
from .random_builds import random_design
from .shipped import shipped
from .specimens import joined, solved


def objections(found, motion, steps):
    return {why.partition(" ")[0] for _, why in Judge(found, motion).objections(steps)}


@pytest.mark.parametrize(
    "name",
    [
        pytest.param("dragon-keep", marks=pytest.mark.night),
        pytest.param("night-train", marks=pytest.mark.night),
        "fox-in-the-grass",
        "spring-nest",
    ],
)
def test_shipped_orders_are_passed(name):
    assert Judge(*shipped(name)[:2]).objections(shipped(name)[2]) == []


def test_random_orders_are_passed(tmp_path):
    for seed in range(3):
        found, motion, steps = solved(random_design(seed), tmp_path)
        assert Judge(found, motion).objections(steps) == []


def test_he_sees_feet_glued_before_they_pass_their_slits(flower):
    found, motion, steps = flower
    assert objections(found, motion, steps) == set()
    (thread,) = [step for step in steps if step.action == "thread"]
    rest = [step for step in steps if step is not thread]
    assert objections(found, motion, [*rest, thread]) == {"both"}


def test_he_sees_feet_that_would_have_to_slip_under_their_layer(flower):
    found, motion, steps = flower
    planted = []
    for step in steps:
        layer = tuple(j for j in step.joins if found.joins[j].facet.startswith("rose.bed-"))
        feet = tuple(j for j in step.joins if j not in layer)
        both = layer and feet
        planted += [replace(step, joins=layer), replace(step, joins=feet)] if both else [step]
    assert "under" in objections(found, motion, planted)


def test_he_sees_paper_that_is_not_there_or_forgotten(crate):
    found, motion, steps = crate
    assert objections(found, motion, steps) == set()
    assert "not" in objections(found, motion, [s for s in steps if s.action != "make"])
    assert "left" in objections(found, motion, steps[:-1])
    assert "twice" in objections(found, motion, [*steps, steps[-1]])


def test_he_sees_that_nothing_goes_into_a_box_that_is_shut(crate):
    found, motion, steps = crate
    art = steps[joined(found, steps, "secret.art")]
    last = [*(step for step in steps if step is not art), art]
    assert objections(found, motion, last) == {"out"}
