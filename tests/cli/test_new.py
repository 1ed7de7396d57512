"""``foldstage new`` writes a design that works at once."""

from __future__ import annotations

import pytest

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
