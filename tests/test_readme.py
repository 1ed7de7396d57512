"""The README, and the documents that it leads to, say what the code says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from preview import reference

ROOT = Path(__file__).parent.parent
NAMES = (
    "README.md",
    "preview/FIRST_STEPS.md",
    "preview/COMMANDS.md",
    "meshes/designs/REFERENCE.md",
    "DEVELOPERS.md",
)
DOCUMENTS = [ROOT / name for name in NAMES]


@pytest.mark.parametrize("document", reference.parts(), ids=str)
def test_the_tables_are_those_made_from_the_code(document):
    """If this fails: python -m preview.reference."""
    text = (ROOT / document).read_text(encoding="utf-8")
    assert reference.renewed(text, reference.parts()[document]) == text


def test_the_readme_leads_to_every_document():
    text = DOCUMENTS[0].read_text(encoding="utf-8")
    assert [name for name in NAMES[1:] if f"({name})" not in text] == []


def test_a_part_goes_between_its_comments_and_nothing_else_changes():
    text = "a\n<!-- x: made -->\nold\n<!-- end of x -->\nb"
    assert reference.renewed(text, {"x": "new"}) == text.replace("old", "new")


@pytest.mark.parametrize("text", ["", "<!-- x: made -->\n", "<!-- end of x -->\n<!-- x: made -->"])
def test_missing_comments_are_an_error(text):
    with pytest.raises(ValueError, match="'x' exactly once"):
        reference.renewed(text, {"x": "new"})


@pytest.mark.parametrize("document", DOCUMENTS, ids=NAMES)
def test_pictures_and_links_lead_to_files_of_the_project(document):
    text = document.read_text(encoding="utf-8")
    targets = re.findall(r"\]\(([^)#]+)[^)]*\)", text)
    local = [target for target in targets if "://" not in target]
    assert [target for target in local if not (document.parent / target).exists()] == []


def blocks(language):
    texts = [document.read_text(encoding="utf-8") for document in DOCUMENTS[:4]]
    found = [re.findall(rf"```{language}\n(.*?)```", text, re.DOTALL) for text in texts]
    return [block for of_document in found for block in of_document]


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
    exec(compile(text, "a document", "exec"), {})
    if "print" in text:
        assert "leaf.ridge" in capsys.readouterr().out


@pytest.mark.parametrize("line", [line for text in blocks("sh") for line in text.splitlines()])
def test_commands_in_it_exist_with_their_options(line, capsys):
    import shlex

    from preview import cli

    words = shlex.split(line.rpartition("&&")[2], comments=True)
    if not words[0].endswith("foldstage"):
        assert words[0].endswith(("python", "pip"))
        return
    assert words[1] in cli.COMMANDS
    cli.main([words[1], "--help"])
    usage = capsys.readouterr().out
    assert all(word in usage for word in words[2:] if word.startswith("-"))
