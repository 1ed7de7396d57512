"""A memory makes the second solve cheap and changes nothing else."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from meshes import designs, spread
from meshes.drive import solve as solve_driven
from meshes.linkage import Linkage
from meshes.motion.free import roam
from meshes.motion.keys import choose_keys
from meshes.motion.loops.march import Marcher
from meshes.motion.memory import Memory
from meshes.motion.result import Motion
from meshes.motion.solve import solve
from tests.motion.random_stacks import random_stack
from tests.specimens import Legs, Pile, carrier, flower_on, tent

STAGES = np.radians(np.arange(0, 181, 20.0))


def bed(parting: float = 29.0, at: float = 30.0) -> Linkage:
    """Two flowers on carriers, of which one may differ, and a tent."""
    pile = Pile()
    for name, end, distance in (("near", 10.0, 60.0), ("far", 140.0, 75.0)):
        carrier(pile, f"strip-{name}", pile.gutter, end, distance, 30, 60)
    wide = [np.radians(52.0)] * 6
    tent(pile, "t", pile.gutter, 100, (30, 30), (40, 40))
    legs = Legs(14, 9.5, 9.0, 4.5)
    flower_on(pile, "f", pile.site("strip-near", "foot-right"), 30, wide, (29, 43), legs)
    flower_on(pile, "g", pile.site("strip-far", "foot-right"), at, wide, (parting, 43), legs)
    return pile.linkage


@pytest.fixture
def led(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is led or marched afresh, in order."""
    done: list[str] = []
    lead, march = roam.Roamer._lead, Marcher._march_group
    monkeypatch.setattr(
        roam.Roamer, "_lead", lambda self, flat: done.append("led") or lead(self, flat)
    )
    monkeypatch.setattr(
        Marcher,
        "_march_group",
        lambda self, blocks: done.extend("marched" for _ in blocks) or march(self, blocks),
    )
    return done


def assert_equal(one: Motion, two: Motion) -> None:
    """Equal but for what is left of the way to rest, which is less than a hundred-millionth."""
    np.testing.assert_array_equal(one.solved, two.solved)
    for name in ("rotations", "translations", "angles", "gaps"):
        np.testing.assert_allclose(getattr(one, name), getattr(two, name), rtol=0, atol=1e-8)
    assert one.findings == two.findings


def test_solving_again_solves_nothing(led: list[str]) -> None:
    memory, linkage = Memory(), bed()
    first = solve(linkage, STAGES, memory)
    assert led
    led.clear()
    assert_equal(solve(bed(), STAGES, memory), first)
    assert not led


def test_only_the_changed_piece_is_led_again(led: list[str]) -> None:
    memory = Memory()
    solve(bed(), STAGES, memory)
    led.clear()
    changed = solve(bed(parting=28.0), STAGES, memory)
    # The strip under the changed flower is taken with it, as they hang together.
    assert led == ["marched", "led"]
    assert_equal(changed, solve(bed(parting=28.0), STAGES))


def test_a_flower_moved_along_its_crease_is_not_led_again(led: list[str]) -> None:
    memory = Memory()
    solve(bed(), STAGES, memory)
    led.clear()
    moved = solve(bed(at=24.0), STAGES, memory)
    assert "led" not in led
    alone = solve(bed(at=24.0), STAGES)
    np.testing.assert_allclose(moved.angles, alone.angles, rtol=0, atol=1e-6)


def test_other_openings_are_found_without_leading_again(led: list[str]) -> None:
    memory, other = Memory(), np.radians([0.0, 3.3, 71.0, 150.5, 180.0])
    solve(bed(), STAGES, memory)
    led.clear()
    more = solve(bed(), other, memory)
    assert not led
    assert_equal(more, solve(bed(), other))


def test_stops_are_named_for_the_piece_that_has_them_now(led: list[str]) -> None:
    def pile(first: str) -> Linkage:
        pile, length = Pile(), np.sqrt(14**2 + 9.5**2 - 2 * 14 * 9.5 * np.cos(np.radians(30)))
        if first == "tent":
            tent(pile, "t", pile.gutter, 10, (30, 30), (40, 40))
        size = [np.radians(47.0)] * 6
        flower_on(pile, "f", pile.gutter, 100, size, (29, 43), Legs(14, 9.5, float(length), 4.5))
        tent(pile, "short", pile.gutter, 180, (30, 20), (40, 35))
        return pile.linkage

    memory = Memory()
    solve(pile(""), STAGES, memory)
    led.clear()
    later = solve(pile("tent"), STAGES, memory)
    assert "led" not in led
    assert len({finding.fold for finding in later.findings}) == 2
    assert_equal(later, solve(pile("tent"), STAGES))


def test_colours_and_papers_are_no_change(led: list[str]) -> None:
    memory, linkage = Memory(), bed()
    first = solve(linkage, STAGES, memory)
    led.clear()
    bodies = tuple(
        replace(
            body,
            parts=tuple(
                replace(part, sheet=replace(part.sheet, front="#123456")) for part in body.parts
            ),
        )
        for body in linkage.bodies
    )
    assert_equal(solve(replace(linkage, bodies=bodies), STAGES, memory), first)
    assert not led


def test_random_stacks_share_a_memory_without_harm() -> None:
    memory = Memory()
    for seed in (3, 4, 3, 5, 4):
        linkage = random_stack(seed, 5).linkage
        assert_equal(solve(linkage, STAGES, memory), solve(linkage, STAGES))


def test_what_a_caller_does_to_a_motion_does_not_reach_the_memory() -> None:
    memory, linkage = Memory(), bed()
    first = solve(linkage, STAGES, memory)
    first.angles[:] = 0.0
    assert np.abs(solve(linkage, STAGES, memory).angles).max() > 1


def test_a_memory_forgets_what_is_oldest() -> None:
    memory = Memory()
    linkage = Pile().linkage
    for k in range(40):
        solve(linkage, np.radians([float(k)]), memory)
    assert len(memory._motions) < 20
    assert memory.motion(linkage, np.radians([0.0])) is None
    assert memory.motion(linkage, np.radians([39.0])) is not None


def test_keys_ask_only_for_what_lies_between_and_come_out_the_same(led: list[str]) -> None:
    linkage, memory = bed(), Memory()
    motion = solve(linkage, STAGES, memory)
    asked: list[float] = []

    def between(openings: np.ndarray) -> Motion:
        asked.extend(openings.tolist())
        return solve(linkage, openings, memory)

    led.clear()
    keys = choose_keys(linkage.bodies, motion, between)
    assert asked
    assert not set(asked) & set(STAGES.tolist())
    assert not led
    alone = choose_keys(linkage.bodies, motion, lambda openings: solve(linkage, openings))
    np.testing.assert_array_equal(keys.openings, alone.openings)
    np.testing.assert_allclose(keys.translations, alone.translations, rtol=0, atol=1e-9)


def test_leaves_turned_by_hand_use_the_memory_too(led: list[str]) -> None:
    path = Path(designs.__file__).parent / "two-seasons.toml"
    found, memory = spread.read(path), Memory()
    first = found.solve(STAGES, memory=memory)
    led.clear()
    again = found.solve(STAGES, memory=memory)
    assert not led
    assert_equal(again, first)
    assert_equal(solve_driven(found.linkage, STAGES), first)
