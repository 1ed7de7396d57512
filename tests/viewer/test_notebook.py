"""The sheet of the notebook: size, cover, ruling and papers; each change is a small edit."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from meshes import designs, spread
from meshes.design.edit import AddPaper, EditError
from meshes.errors import DesignError
from preview.viewer.desk import Desk
from preview.viewer.notebook import notebook

OWN = """\
# Mine.
title = "Mine"
units = "cm"

[spread]
page = "a6"    # small
cover = "#223344"

[papers.felt]
front = "#88aa77"  # soft

[pieces.dot]
kind = "flat"
on = "page.right"
paper = "felt"
outline = { shape = "star", length = 3 }
"""


def told(text: str) -> dict[str, Any]:
    return notebook(text, "mine.toml", spread.read("mine.toml", text=text))


def test_the_sheet_says_what_the_file_does() -> None:
    found = told(OWN)
    # Source: ISO 216, A6 is 105 by 148 mm.
    size = found["size"]
    assert (size["page"], size["width"], size["height"], size["unit"]) == ("a6", 10.5, 14.8, "cm")
    assert size["given"] == ["page"]
    assert {"A5", "A4", "B5", "letter", "half-letter"} <= set(size["names"])
    fields = {field["key"]: field for field in found["fields"]}
    known = {"margin", "paper", "cover", "block", "ruling", "binding", "band", "thickest"}
    assert known == set(fields)
    assert (fields["cover"]["value"], fields["cover"]["holds"]) == ("#223344", "colour")
    assert fields["ruling"]["choices"] == ["plain", "dots", "lines", "grid"]
    felt, *ready = found["papers"]
    assert (felt["name"], felt["own"], felt["front"]) == ("felt", True, "#88aa77")
    assert felt["used"] == ["dot"]
    assert next(field["path"] for field in felt["fields"]) == ["papers", "felt", "grammage"]
    assert {paper["name"]: paper["used"] for paper in ready}["kraft"] == []


@pytest.mark.parametrize("name", ["night-train", "winter-market"])
def test_every_shipped_notebook_has_a_sheet(name: str) -> None:
    text = designs.path(name).read_text("utf-8")
    made = spread.read(designs.path(name))
    found = notebook(text, str(designs.path(name)), made)
    assert {paper["name"] for paper in found["papers"]} == set(made.design.papers)
    used = {paper["name"]: paper["used"] for paper in found["papers"]}
    assert all(made.design.pieces[one].paper == name for name in used for one in used[name] if one)


def test_a_paper_comes_after_the_last_and_no_other_byte_changes() -> None:
    made = AddPaper(name="mint", table={"front": "#ccffdd"}).apply(OWN)
    block = '[papers.mint]\nfront = "#ccffdd"\n'
    assert made.replace(f"{block}\n", "") == OWN
    assert made.index("[papers.felt]") < made.index(block) < made.index("[pieces.dot]")
    without = OWN.replace('[papers.felt]\nfront = "#88aa77"  # soft\n\n', "")
    assert AddPaper(name="mint", table={"front": "#ccffdd"}).apply(without).endswith(f"\n{block}")
    for wrong in ("felt", "no name", ""):
        with pytest.raises((EditError, ValueError)):
            AddPaper(name=wrong, table={"front": "#ccffdd"}).apply(OWN)


def test_a_paper_that_is_used_stays(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(OWN)
    desk = Desk(file)
    away = [{"edit": "clear", "path": ["papers", "felt"]}]
    with pytest.raises(DesignError, match="felt"):
        desk.edit(json.dumps({"made": "", "edits": away}).encode())
    assert file.read_text() == OWN
