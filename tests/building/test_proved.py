"""What can't be put together is neither printed nor told: pattern and guide prove the order first.

The impossible orders are planted where the order is found, so that a command has to notice by its
own proof; no source but paper, scissors and glue.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from meshes import spread
from meshes.building import BuildError, order, proved
from meshes.building.kept import LOOKED_AT_DEG
from meshes.building.order import _OrderBench
from meshes.cache import Shelf
from meshes.errors import DesignError
from preview.cli import ExitCode

from .random_builds import PAGE
from .specimens import BOX, FLOWER


def plant(monkeypatch, exchange):
    """Have the bench hand out its steps exchanged."""
    work = _OrderBench.work
    monkeypatch.setattr(
        _OrderBench, "work", lambda bench, sequence: exchange(bench.plan, work(bench, sequence))
    )


def feet_glued_before_they_pass(plan, steps):
    (thread,) = [step for step in steps if step.action == "thread"]
    return [step for step in steps if step is not thread] + [thread]


def glued_to_what_is_not_there(plan, steps):
    made = next(step for step in steps if step.action == "make")
    return [step for step in steps if step is not made] + [made]


def lid_before_what_goes_inside(plan, steps):
    (inside,) = [step for step in steps if step.piece == "secret"]
    return [step for step in steps if step is not inside] + [inside]


PLANTED = [
    (FLOWER, feet_glued_before_they_pass, r"in step \d+ of \d+, thread rose: .*slit"),
    (BOX, glued_to_what_is_not_there, r"in step 1 of \d+, \w+ \w+.*: crate is glued to paper"),
    (BOX, lid_before_what_goes_inside, r"no hand .*secret\.art"),
]


@pytest.mark.parametrize(("text", "exchange", "said"), PLANTED, ids=lambda one: "")
@pytest.mark.parametrize("command", ["pattern", "guide"])
def test_a_planted_order_is_neither_printed_nor_told(
    call, tmp_path, monkeypatch, command, text, exchange, said
):
    (tmp_path / "t.toml").write_text(text)
    plant(monkeypatch, exchange)
    monkeypatch.setenv("FOLDSTAGE_CACHE", str(tmp_path / "cache"))
    outcome = call(command, "t.toml", "-o", "out.pdf")
    assert outcome.code == ExitCode.DESIGN_HAS_PROBLEMS
    assert not (tmp_path / "out.pdf").exists()
    (line,) = outcome.err.strip().splitlines()

    assert re.search(said, line), line


def test_a_pattern_that_can_be_built_is_written(call, tmp_path):
    (tmp_path / "t.toml").write_text(BOX)
    assert call("pattern", "t.toml", "-o", "out.pdf").code == ExitCode.DONE


def test_a_proved_order_is_kept_and_belongs_to_its_design(tmp_path, monkeypatch):
    shelf = Shelf(tmp_path / "shelf", 1 << 22)
    file = tmp_path / "t.toml"

    def read(text):
        file.write_text(text)
        return replace(spread.read(file), shelf=shelf)

    first = proved(read(FLOWER))
    with monkeypatch.context() as patch:
        patch.setattr("meshes.building.kept.order", None)
        assert proved(read(FLOWER)) == first
        assert proved(read("# other colour\n" + FLOWER)) == first
        with pytest.raises(TypeError):
            proved(read(FLOWER.replace("length = 32", "length = 30")))
    assert proved(replace(read(FLOWER), shelf=None)) == first


def test_a_spread_that_cannot_be_closed_is_refused_with_its_file(tmp_path, monkeypatch):
    file = tmp_path / "t.toml"
    file.write_text(BOX)
    found = spread.read(file)
    motion = found.solve(np.radians([0.0, 90.0, 180.0]))
    open_only = replace(motion, solved=np.array([False, True, True]))
    monkeypatch.setattr(type(found), "solve", lambda self, openings: open_only)
    with pytest.raises(DesignError, match=r"t\.toml.*can't be built.*can't reach 0°"):
        proved(found)


LEAF = '[pieces.leaf]\nkind = "flyleaf"\nlies = "right"\n'
BEHIND = """
[pieces.{}]
kind = "v-fold"
on = "leaf.behind"
at = {}
page_angle = {}
panel_angle = {}
base = {}
outline = {{ shape = "rectangle", width = {}, length = {} }}
"""
STANDING = (
    ("curtain", 135, 70, 86, 88, 176, 72),
    ("hut", 85, 54, 83, 40, 80, 56),
    ("bank", 48, 70, 86, 90, 180, 18),
)


def test_a_hand_lifts_the_flyleaf_to_get_at_what_stands_behind_it(tmp_path):
    """Shut flat under it each lies over the other's glue, however far the notebook is open."""
    file = tmp_path / "mine.toml"
    file.write_text(PAGE + LEAF + "".join(BEHIND.format(*one) for one in STANDING))
    read = spread.read(file)
    with pytest.raises(BuildError, match="each hides the other's glue"):
        order(read.sheets, read.joins, read.linkage, read.solve(np.radians(LOOKED_AT_DEG)))
    glued = [step.piece for step in proved(read) if step.action == "press"]
    assert sorted(glued) == ["bank", "curtain", "hut"]
