"""``foldstage new`` writes a design that works at once."""

from __future__ import annotations

import re

import pytest

from meshes import designs, spread
from preview.cli import ExitCode


def test_a_new_design_is_written_and_what_to_do_next_is_said(call, tmp_path):
    outcome = call("new", "my-spread")
    assert outcome.code == ExitCode.DONE
    assert outcome.out == "my-spread.toml\n"
    assert outcome.err == "next: foldstage film my-spread.toml\n"
    text = (tmp_path / "my-spread.toml").read_text(encoding="utf-8")
    assert 'title = "My spread"' in text
    assert "foldstage film my-spread.toml" in text


def test_it_has_no_mistake_and_closes_and_opens_all_the_way(call):
    call("new", "my-spread")
    outcome = call("angles", "my-spread.toml", "--every", "15", "--json")
    assert outcome.code == ExitCode.DONE
    assert outcome.json["findings"] == []
    assert all(outcome.json["solved"])


def test_a_file_that_is_there_is_kept_unless_forced(call, tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text("mine", encoding="utf-8")
    outcome = call("new", "mine")
    assert outcome.code == ExitCode.WRONG_USE
    assert "mine.toml is there already" in outcome.err
    assert file.read_text(encoding="utf-8") == "mine"
    assert call("new", "mine", "--force").code == ExitCode.DONE
    assert file.read_text(encoding="utf-8") != "mine"


@pytest.mark.parametrize("name", ["", ".toml", "a\nb"])
def test_a_name_that_makes_no_file_is_refused(call, tmp_path, name):
    assert call("new", name).code == ExitCode.WRONG_USE
    assert list(tmp_path.iterdir()) == []


def test_quotes_in_a_name_do_not_break_the_file(call):
    assert call("new", 'my "big" spread').code == ExitCode.DONE
    assert call("angles", 'my "big" spread.toml', "--opening", "90").code == ExitCode.DONE


def test_a_copy_of_a_shipped_design_has_her_title_and_all_its_files(call, tmp_path):
    source = designs.path("winter-market")
    assert call("new", "sub/my-market", "--like", "winter-market").code == ExitCode.DONE
    old = source.read_text("utf-8").splitlines()
    new = (tmp_path / "sub" / "my-market.toml").read_text("utf-8").splitlines()
    changed = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert changed == [('title = "Winter market"', 'title = "My market"')]
    named = set(re.findall(r'"drawings/(.*?)"', source.read_text("utf-8")))
    assert {p.name for p in (tmp_path / "sub" / "drawings").iterdir()} == named
    assert call("angles", "sub/my-market.toml", "--opening", "90").code == ExitCode.DONE


def test_a_copy_replaces_no_drawing_of_hers(call, tmp_path):
    mine = tmp_path / "drawings" / "church.svg"
    mine.parent.mkdir()
    mine.write_text("mine")
    outcome = call("new", "x", "--like", "winter-market")
    assert outcome.code == ExitCode.WRONG_USE
    assert "church.svg is there already" in outcome.err
    assert [p.name for p in tmp_path.rglob("*") if p.is_file()] == ["church.svg"]
    assert mine.read_text() == "mine"


@pytest.mark.parametrize("page", ["A5", "letter", "150x200"])
def test_a_blank_notebook_has_pages_of_the_chosen_size(call, tmp_path, page):
    assert call("new", "mine", "--page", page).code == ExitCode.DONE
    file = tmp_path / "mine.toml"
    settings = spread.read(file, blank=True).design.spread
    # Sources: ISO 216, A5; 8.5 × 11 in.
    size = {"A5": (148, 210), "letter": (215.9, 279.4), "150x200": (150, 200)}[page]
    assert (settings.width, settings.height) == pytest.approx(size)
    outcome = call("check", "mine.toml")
    assert outcome.code == ExitCode.DESIGN_HAS_PROBLEMS
    assert "the design has no pieces" in outcome.err


@pytest.mark.parametrize("page", ["A55", "5x5", "axb", "1e9x3", "nanxnan"])
def test_a_page_that_there_is_not_is_refused(call, tmp_path, page):
    outcome = call("new", "mine", "--page", page)
    assert outcome.code == ExitCode.WRONG_USE
    assert "is not a page" in outcome.err
    assert list(tmp_path.iterdir()) == []
