"""200 random edits of shipped designs, judged from outside; `bench_edits` makes 10,000."""

from __future__ import annotations

from pathlib import Path

import pytest

from meshes.design.edit import SetValue
from tests.design.chains import chain
from tests.design.random_edits import judged
from tests.designs import by_day


@pytest.mark.parametrize("number", by_day(range(10), (0, 1, 3)))
def test_random_edits_keep_all_that_they_do_not_mean(number: int, tmp_path: Path) -> None:
    design = ("start", "dragon-keep", "start", "night-train", "start")[number % 5]
    told, wrong = chain(tmp_path, design, f"edits {number}", 20)
    assert wrong == []
    assert sum(told.values()) == 20


def test_the_judge_sees_what_an_edit_must_not_do() -> None:
    text = "[values]\na = 1 # one\nb = 2\n[pieces.x]\nat = 3\n"
    edit = SetValue(path="values.a", value=5)
    good = edit.apply(text)
    assert judged(text, good, edit) == ""
    for good_part, harm in (("b = 2", "b = 3"), ("b = 2", "b =  2"), ("a = 5", "a = 6")):
        assert judged(text, good.replace(good_part, harm), edit) != ""
    assert judged(text, good.replace("\n[p", "\r\n[p"), edit) != ""
