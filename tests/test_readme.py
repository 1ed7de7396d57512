"""The README says what the code says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from preview import reference

README = Path(__file__).parent.parent / "README.md"


def test_the_tables_are_those_made_from_the_code():
    """If this fails: python -m preview.reference."""
    text = README.read_text(encoding="utf-8")
    assert reference.renewed(text, reference.parts()) == text


def test_a_part_goes_between_its_comments_and_nothing_else_changes():
    text = "a\n<!-- x: made -->\nold\n<!-- end of x -->\nb"
    assert reference.renewed(text, {"x": "new"}) == text.replace("old", "new")


@pytest.mark.parametrize("text", ["", "<!-- x: made -->\n", "<!-- end of x -->\n<!-- x: made -->"])
def test_missing_comments_are_an_error(text):
    with pytest.raises(ValueError, match="'x' exactly once"):
        reference.renewed(text, {"x": "new"})


def test_pictures_and_links_lead_to_files_of_the_project():
    text = README.read_text(encoding="utf-8")
    targets = re.findall(r"\]\(([^)#]+)[^)]*\)", text)
    local = [target for target in targets if "://" not in target]
    assert local
    assert [target for target in local if not (README.parent / target).exists()] == []


def blocks(language):
    return re.findall(rf"```{language}\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)


@pytest.mark.parametrize("text", blocks("toml"))
def test_designs_in_it_have_no_mistakes(text, tmp_path):
    from meshes import spread

    file = tmp_path / "design.toml"
    file.write_text(text, encoding="utf-8")
    assert spread.read(file).solve([1.0]).solved.all()


@pytest.mark.parametrize("text", blocks("python"))
def test_python_in_it_runs_beside_a_new_design(text, tmp_path, monkeypatch, capsys):
    from meshes import designs

    monkeypatch.chdir(tmp_path)
    (tmp_path / "my-spread.toml").write_text(designs.start("x", "y"), encoding="utf-8")
    exec(compile(text, "README", "exec"), {})
    if "print" in text:
        assert "leaf.ridge" in capsys.readouterr().out


@pytest.mark.parametrize("line", [line for text in blocks("sh") for line in text.splitlines()])
def test_commands_in_it_exist_with_their_options(line, capsys):
    import shlex

    from preview import cli

    words = shlex.split(line.rpartition("&&")[2], comments=True)
    if not words[0].endswith("foldstage"):
        assert words[0].endswith("python")
        return
    assert words[1] in cli.COMMANDS
    cli.main([words[1], "--help"])
    usage = capsys.readouterr().out
    assert all(word in usage for word in words[2:] if word.startswith("-"))
