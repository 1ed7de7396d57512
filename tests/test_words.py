"""One name, one thing; one thing, one name: the words of the program against their meanings."""

import argparse
import re
import tomllib
from collections import defaultdict
from pathlib import Path

import pytest
from pydantic import BaseModel, Field

from tests import words_in_use

ROOT = Path(__file__).parents[1]
TABLE = ROOT / "preview" / "words.toml"


def mistakes(table: str, used: list[tuple[str, str]]) -> list[str]:
    """What is wrong between a table of words and the words in use."""
    try:
        known = tomllib.loads(table)
    except tomllib.TOMLDecodeError as error:  # a word with two meanings stands there twice
        return [f"two meanings: {error}"]
    places = defaultdict(set)
    for word, place in used:
        places[word].add(place)
    found = [f"{word!r}: not in the table" for word in places if word not in known]
    meant: dict[str, str] = {}
    for word, entry in known.items():
        told = set(entry["in"].split(", "))
        if word not in places:
            found.append(f"{word!r}: nobody uses it")
        elif told != places[word]:
            found.append(f"{word!r}: used as {sorted(places[word])}, the table says {sorted(told)}")
        same = meant.setdefault(entry["means"].casefold(), word)
        if same != word:
            found.append(f"{word!r}: means the same as {same!r}")
    return found


@pytest.fixture(scope="module")
def used() -> list[tuple[str, str]]:
    return list(words_in_use.words())


def test_every_word_is_in_the_table_with_one_meaning_and_every_entry_is_used(used):
    assert mistakes(TABLE.read_text("utf-8"), used) == []


def planted_option() -> list[tuple[str, str]]:
    parser = argparse.ArgumentParser()
    parser.add_argument("--lookout", choices=("reader", "spy"))
    return list(words_in_use.of_parser(parser))


class Planted(BaseModel):
    """A table of the design file with a key that nobody explained."""

    wobble: float = Field(1.0, description="how much it wobbles")


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (planted_option(), ["'lookout': not in the table", "'spy': not in the table"]),
        (list(words_in_use.of_model(Planted)), ["'wobble': not in the table"]),
        ([("fern", "option")], ["'fern': used as ['option', 'value'], the table says ['value']"]),
        (
            [(k, "finding") for k in words_in_use.finding_kinds('Finding(q, s, "odd", p, ())')],
            ["'odd': not in the table"],
        ),
        (
            [(k, "JSON") for k in words_in_use.of_schema({"properties": {"gizmo_mm": {}}})],
            ["'gizmo': not in the table"],
        ),
        (
            [(w, "label") for w in words_in_use.of_html('<button aria-label="Spin">Go</button>')],
            ["'Spin': not in the table", "'Go': not in the table"],
        ),
        (
            [(w, "label") for w in words_in_use.of_script('({ id: "a", label: "Whirl" })')],
            ["'Whirl': not in the table"],
        ),
    ],
)
def test_a_planted_word_is_found(used, more, told):
    assert mistakes(TABLE.read_text("utf-8"), [*used, *more]) == told


def test_a_planted_entry_a_second_meaning_and_a_second_name_are_found(used):
    table = TABLE.read_text("utf-8")
    spare = 'spare = { in = "key", means = "kept for later" }\n'
    assert mistakes(table + spare, used) == ["'spare': nobody uses it"]
    twice = 'view = { in = "option", means = "size of the sensor" }\n'
    (line,) = mistakes(table + twice, used)
    assert line.startswith("two meanings")
    fern = tomllib.loads(table)["fern"]["means"]
    bracken = f'bracken = {{ in = "value", means = "{fern}" }}\n'
    found = mistakes(table + bracken, [*used, ("bracken", "value")])
    assert found == ["'bracken': means the same as 'fern'"]


# Modules that print numbers for people; pixels and coordinates of drawings are not told.
SPOKEN = ("meshes/check/*.py", "meshes/motion/findings.py", "meshes/tune/*.py", "preview/cli/*.py")
_FIXED = re.compile(r"\{[^{}]*:[^{}z]*\.\d+f\}")


def test_no_number_for_people_can_read_minus_zero():
    """The option z of a format makes -0.0 a plain zero (Python's format specification, 3.11)."""
    assert _FIXED.search('f"{gap:.2f} mm"')
    assert not _FIXED.search('f"{gap:z.2f} mm"')
    loose = [
        f"{path.name}: {match}"
        for pattern in SPOKEN
        for path in sorted(ROOT.glob(pattern))
        for match in _FIXED.findall(path.read_text("utf-8"))
    ]
    assert loose == []
