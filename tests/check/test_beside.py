"""Questions that another process answers meanwhile have the answers that they have here."""

from __future__ import annotations

from dataclasses import replace

import pytest

from meshes import check, designs, spread
from meshes.check import USUAL, Report
from preview.report.page import film_eye
from tests.designs import by_day
from tests.traveller import Traveller


def untimed(report: Report) -> Report:
    """The report without how long each answer took."""
    return replace(report, answers=tuple(replace(one, seconds=0.0) for one in report.answers))


DESIGNS = ["fox-in-the-grass", "kite-day", "two-seasons"]


@pytest.mark.parametrize("name", by_day(DESIGNS, DESIGNS[:2]))
def test_others_answer_as_this_process_does(name: str) -> None:
    made = spread.read(designs.path(name))
    case, others = check.case_of(made), Traveller()
    eye = film_eye(made, case.motion)
    shared = check.report(case, made.design.check, eye, beside=others)
    alone = check.report(check.case_of(made), made.design.check, eye)
    assert untimed(shared) == untimed(alone)
    assert [one.question for one in shared.answers] == list(USUAL)
    assert len(others.asked) == 1
    assert all(one.answered for one in shared.answers)


@pytest.mark.parametrize("only", ["looks", "clash", "flat"])
def test_a_single_question_is_answered_here(only: str) -> None:
    made, others = spread.read(designs.path("kite-day")), Traveller()
    limits = made.design.check.model_copy(update={q: q == only for q in USUAL})
    found = check.report(check.case_of(made), limits, beside=others)
    assert [one.question for one in found.answers if one.asked] == [only]
    assert others.asked == []


def test_what_others_die_of_is_answered_here() -> None:
    made, others = spread.read(designs.path("kite-day")), Traveller(dies=True)
    case = check.case_of(made)
    assert untimed(check.report(case, beside=others)) == untimed(check.report(case))
    assert len(others.asked) == 1


def test_the_command_prints_the_same_for_any_number_of_processes(
    call, tmp_path, monkeypatch
) -> None:
    (tmp_path / "mine.toml").write_text(designs.path("kite-day").read_text())
    found = []
    for jobs in (1, 2):
        # What one of them has kept is nothing for the other.
        monkeypatch.setenv("FOLDSTAGE_CACHE", str(tmp_path / f"kept-{jobs}"))
        found.append(call("check", "mine.toml", "--jobs", jobs))
    one, two = found
    assert one.code == two.code == 0
    assert one.out == two.out
    assert (tmp_path / "kept-2").exists()
