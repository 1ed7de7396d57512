"""Hostile cases of every kind, each in a process with limits, and those that once did harm."""

from __future__ import annotations

import pytest

from meshes.design.edit import patched

from .cases import KINDS, case
from .cell import Case, run, warm
from .once import ONCE

# More of them: `python -m tests.hostile`.
EACH = {
    "ranges": 8, "art": 8, "words": 14, "drawings": 10, "edits": 15, "bytes": 15, "lines": 8,
    "trees": 12,
}  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def _warm():
    warm()


def test_there_are_ninety_of_them_of_every_kind():
    assert sum(EACH.values()) == 90
    assert set(EACH) == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_no_case_does_harm(kind):
    for number in range(EACH[kind]):
        outcome = run(case(kind, number))
        assert outcome.good, f"{kind} {number}: {outcome.kind}: {outcome.text}"


@pytest.mark.parametrize("name", ONCE)
def test_what_once_did_harm_does_no_more(name):
    outcome = run(ONCE[name])
    assert outcome.good, f"{outcome.kind}: {outcome.text}"


def test_limits_hold(monkeypatch):
    """The harness itself: what sleeps is a hang, and what fills the memory is told as that."""
    monkeypatch.setattr("tests.hostile.cell.WAITED", 0.5)
    monkeypatch.setattr("tests.hostile.cell._called", lambda *_: __import__("time").sleep(60))
    assert run(Case("sleep")).kind == "hang"
    monkeypatch.setattr("tests.hostile.cell._called", lambda *_: bytearray(4 << 30))
    monkeypatch.setattr("tests.hostile.cell.WAITED", 60.0)
    assert "MemoryError" in run(Case("greed")).text


def test_a_key_in_no_table_is_refused_in_one_line():
    with pytest.raises(ValueError, match="there is no table pieces"):
        patched("title = 'x'\n", {"pieces.none.at": 3})
    with pytest.raises(ValueError, match="there is no table title"):
        patched("title = 'x'\n", {"title.at": 3})


def test_only_finite_numbers_are_written():
    with pytest.raises(ValueError, match="finite"):
        patched("[values]\ntall = 3\n", {"tall": float("nan")})
