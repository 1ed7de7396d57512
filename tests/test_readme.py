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
