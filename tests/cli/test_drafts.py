"""``foldstage pattern --format draft`` from the command line."""

from __future__ import annotations

import json

import jsonschema
import pytest

from preview import schemas
from preview.cli import ExitCode

from .test_pattern_and_guide import DESIGN


@pytest.fixture
def design(tmp_path):
    (tmp_path / "arch.toml").write_text(DESIGN)
    return "arch.toml"


def test_drafting_sheets_are_a_pdf_and_a_picture_for_each_step(call, tmp_path, design):
    outcome = call("pattern", design, "--format", "draft", "--screens", "shots")
    assert outcome.code == ExitCode.DONE
    names = outcome.out.split()
    assert names[0] == "renders/arch-drafts.pdf"
    assert (tmp_path / names[0]).read_bytes().startswith(b"%PDF-")
    assert all((tmp_path / name).read_bytes().startswith(b"\x89PNG") for name in names[1:])
    assert names[1] == "shots/01-arch-01.png"
    assert "2 different pieces for 2 cut-outs" in outcome.err


def test_its_json_keeps_the_schema(call, design):
    outcome = call("pattern", design, "--format", "draft", "-o", "out.pdf", "--json")
    data = json.loads(outcome.out)
    jsonschema.validate(data, schemas.schema("pattern"))
    assert data["files"] == ["out.pdf"]
    assert [row["title"] for row in data["drafts"]] == ["arch", "moss"]
    assert all(row["missed_mm"] <= 0.3 for row in data["drafts"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--format", "draft", "--colours"), "drawn by hand, without --colours"),
        (("--format", "draft", "-o", "out.svg"), "out.svg: drafting sheets are a PDF"),
        (("--screens", "shots"), "--screens shows how to draw; --format pdf prints"),
        (("--format", "draft", "--page", "A99"), "no sheet size 'A99'"),
        (("--format", "draft", "--page", "100x150"), "allowed: at least 140 × 195 mm; try --page"),
        (("--format", "draft", "--screens", "arch.toml"), "arch.toml is a file"),
    ],
)
def test_what_drafting_sheets_cannot_have_is_refused(call, design, words, said):
    outcome = call("pattern", design, *words)
    assert outcome.code == ExitCode.WRONG_USE
    assert said in outcome.err
