"""What comes out of the drawer fits where it is laid: the check finds no problem with it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from meshes import spread
from meshes.check import case_of, report
from preview.errors import UseError
from preview.viewer.desk import Desk
from preview.viewer.drawer import drawer

BLANK = 'title = "Mine"\n[spread]\npage = "%s"\n'


def drop(desk: Desk, kind: str, facet: str, x: float, y: float) -> str:
    asked = {"made": "", "kind": kind, "facet": facet, "place": [x, y]}
    return str(desk.drop(json.dumps(asked).encode())["name"])


@pytest.mark.parametrize("kind", [one["kind"] for one in drawer()])
def test_every_kind_fits_a_blank_notebook(tmp_path: Path, kind: str) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5")
    assert drop(Desk(file), kind, "page.right", 80, 100) == kind
    made = spread.read(file)
    assert list(made.design.pieces) == [kind]
    assert [f.text for f in report(case_of(made)).findings if f.severity == "problem"] == []


def test_paper_becomes_smaller_until_it_fits(tmp_path: Path) -> None:
    sizes = []
    for page in ("A5", "A8"):
        file = tmp_path / f"{page}.toml"
        file.write_text(BLANK % page)
        drop(Desk(file), "v-fold", "page.right", 20, 40)
        made = spread.read(file)
        assert [f for f in report(case_of(made)).findings if f.severity == "problem"] == []
        sizes.append(made.design.pieces["v-fold"].outline.length)
    assert sizes[1] < sizes[0]


def test_what_is_laid_on_paper_stands_on_its_nearest_crease(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A4")
    desk = Desk(file)
    assert drop(desk, "tent", "page.left", -60, 120) == "tent"
    assert drop(desk, "blossom", "tent.right", 20, 20) == "blossom"
    assert drop(desk, "flat", "tent.left", 20, 20) == "flat"
    assert drop(desk, "tent", "page.left", -60, 60) == "tent-2"
    pieces = spread.read(file).design.pieces
    assert pieces["tent"].on == "gutter"
    assert pieces["blossom"].on.startswith("tent.")
    assert pieces["flat"].on == "tent.left"


def test_where_there_is_no_room_it_says_so_and_writes_nothing(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(BLANK % "A5")
    desk = Desk(file)
    with pytest.raises(UseError, match="no room"):
        drop(desk, "wheel", "page.right", 147, 209)
    with pytest.raises(UseError, match="no teapot in the drawer"):
        drop(desk, "teapot", "page.right", 50, 50)
    with pytest.raises(UseError, match="not there any more"):
        drop(desk, "flat", "rose.left", 0, 0)
    assert file.read_text() == BLANK % "A5"
