"""What other processes lead meanwhile is, to the bit, what this one would have led."""

from __future__ import annotations

import pickle
from dataclasses import fields
from typing import TypeVar

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes import designs, spread
from meshes.drive import solve as solve_driven
from meshes.linkage import Linkage
from meshes.motion.loops.blocks import Misfit
from meshes.motion.memory import Memory
from meshes.motion.result import Motion
from meshes.motion.solve import solve
from preview.parallel import Crew, crew
from tests.specimens import Legs, Pile, carrier, flower_on
from tests.traveller import Traveller

STAGES = np.radians(np.arange(0, 181, 20.0))
Result = TypeVar("Result")


def bed(partings: list[float]) -> Linkage:
    """Flowers on carriers, one behind the other; those with one parting are equal."""
    pile = Pile()
    wide, legs = [np.radians(52.0)] * 6, Legs(14, 9.5, 9.0, 4.5)
    for k, parting in enumerate(partings):
        end = 10.0 + 130 * k
        carrier(pile, f"strip-{k}", pile.gutter, end, 60.0, 30, 60)
        site = pile.site(f"strip-{k}", "foot-right")
        flower_on(pile, f"f{k}", site, 30.0, wide, (parting, 43.0), legs)
    return pile.linkage


def assert_same(one: Motion, two: Motion) -> None:
    """Equal to the bit."""
    for part in fields(Motion):
        ours, theirs = getattr(one, part.name), getattr(two, part.name)
        if isinstance(ours, np.ndarray):
            np.testing.assert_array_equal(ours, theirs)
        else:
            assert ours == theirs


@settings(max_examples=5, deadline=None)
@given(st.lists(st.sampled_from([27.0, 28.0, 29.0]), min_size=2, max_size=3), st.integers(2, 3))
def test_others_lead_a_part_and_change_nothing(partings: list[float], jobs: int) -> None:
    linkage, others = bed(partings), Traveller(jobs)
    motion = solve(linkage, STAGES, Memory(motions=0, beside=others))
    assert_same(motion, solve(linkage, STAGES))
    different = len(set(partings))
    # Equal flowers are led once, so one of each kind is all that there is to share.
    assert len(others.asked) == different - -(-different // jobs)
    assert motion.solved.all()


@pytest.mark.parametrize("name", ["toadstool-glade", "campfire-night", "two-seasons"])
def test_shipped_designs_move_the_same(name: str) -> None:
    linkage, others = spread.read(designs.path(name)).linkage, Traveller()
    shared = solve_driven(linkage, STAGES, None, Memory(motions=0, beside=others))
    assert_same(shared, solve_driven(linkage, STAGES))
    if name == "toadstool-glade":
        assert others.asked == ["run", "run"]


def test_what_others_die_of_is_led_here() -> None:
    linkage, others = bed([27.0, 28.0]), Traveller(dies=True)
    motion = solve(linkage, STAGES, Memory(motions=0, beside=others))
    assert others.asked
    assert_same(motion, solve(linkage, STAGES))


def test_a_memory_that_knows_how_paper_goes_sends_nothing() -> None:
    linkage, others = bed([27.0, 29.0]), Traveller()
    memory = Memory(motions=0, beside=others)
    first = solve(linkage, STAGES, memory)
    sent = len(others.asked)
    assert sent == 1
    assert_same(solve(linkage, STAGES, memory), first)
    assert len(others.asked) == sent


def test_a_copy_of_a_memory_has_no_others() -> None:
    memory = Memory(beside=Traveller())
    assert memory.copy().beside is None
    assert pickle.loads(pickle.dumps(memory)).beside is None


def test_a_misfit_travels() -> None:
    misfit = Misfit(1.5, 7, 0.25)
    again = pickle.loads(pickle.dumps(misfit))
    assert (again.opening, again.hinge, again.gap, str(again)) == (1.5, 7, 0.25, str(misfit))


def test_a_real_process_leads_as_this_one_does() -> None:
    linkage = bed([27.0, 28.0])
    with crew(2) as workers:
        shared = solve(linkage, STAGES, Memory(motions=0, beside=workers))
    assert_same(shared, solve(linkage, STAGES))


def test_a_crew_without_others_does_a_task_here() -> None:
    assert Crew(1, None).submit(lambda: 42).result() == 42
