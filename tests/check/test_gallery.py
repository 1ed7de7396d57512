"""The gallery: every fault is found with its number, and nothing is found in sound designs."""

from __future__ import annotations

import pytest

from meshes import spread
from meshes.check import QUESTIONS, questions

from .gallery import FAULTY, SOUND


def report_of(toml, folder, only=None):
    file = folder / "case.toml"
    file.write_text(toml, encoding="utf-8")
    read = spread.read(file)
    asked = {question: only in (None, question) for question in QUESTIONS}
    return questions.report(read, read.design.check.model_copy(update=asked))


@pytest.mark.parametrize("case", FAULTY, ids=lambda case: case.name)
def test_fault_is_found_with_its_number(case, tmp_path):
    found = [
        f
        for f in report_of(case.toml, tmp_path, case.question).findings
        if (f.question, f.kind) == (case.question, case.kind) and f.severity != "note"
    ]
    assert found, "nothing found"
    finding = found[0]
    assert case.piece in {finding.piece, *(part.partition(".")[0] for part in finding.parts)}
    if case.amount is not None:
        assert finding.amount == pytest.approx(case.amount, abs=0.05)
    for name, expected in case.angles.items():
        assert getattr(finding, name) == pytest.approx(expected, abs=0.1), name
    for words in case.says:
        assert words in f"{finding.text} {finding.advice}"


@pytest.mark.parametrize("name", SOUND)
def test_sound_design_gives_no_alarm(name, tmp_path):
    alarms = [f.text for f in report_of(SOUND[name], tmp_path).findings if f.severity != "note"]
    assert alarms == []


def test_gallery_is_large_enough():
    assert len(FAULTY) >= 30
    assert len(SOUND) >= 30
