"""A whole spread by hand alone, from a blank notebook: what the first ten minutes are about.

By touch and in Firefox: ``python -m tests.bench.bench_whole_spread``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import preview
from preview import begin
from tests.designs import by_day

from .by_hand import GESTURES, WINDOW, Hand, judge, make
from .tugging import served

FIRST_STEPS = Path(preview.__file__).parent / "FIRST_STEPS.md"


@pytest.fixture
def blank(tmp_path: Path) -> Path:
    """A notebook as the first page begins it."""
    file = tmp_path / "garden.toml"
    begin.write(file, begin.blank("Garden", "A5"), {})
    return file


@pytest.mark.parametrize("checked", by_day([False, True], [False]))
def test_a_whole_spread_is_made_by_hand_and_passes_the_check(
    open_page: Any, blank: Path, checked: bool
) -> None:
    """By night all that was saved is checked meanwhile, and told, as it is for a maker."""
    with served(blank, checked) as server:
        make(Hand(open_page(f"{server.address}#opening=140&draft=0.25", **WINDOW)))
    judge(blank)


def test_the_first_steps_tell_of_these_gestures() -> None:
    """Six steps: a drawer is opened and so on; the page states how many gestures they are."""
    text = " ".join(FIRST_STEPS.read_text(encoding="utf-8").split())
    assert GESTURES == 16
    assert "These are sixteen gestures" in text
    for word in ("layered blossom", "carrier", "cut out, stand up", "printed as it is"):
        assert f"*{word}*" in text
