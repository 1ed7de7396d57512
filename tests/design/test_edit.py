"""Edits keep every byte that they do not mean, judged by tomllib and by comparing lines."""

from __future__ import annotations

import difflib
import json
import tomllib
from pathlib import Path

import pytest
import tomlkit

from meshes import designs
from meshes.design.edit import (
    Append,
    Clear,
    EditError,
    PartKey,
    SetValue,
    accepted,
    edits_from_json,
)
from meshes.design.edit.spans import spans
from meshes.design.edit.splice import value_of
from meshes.errors import DesignError

TEXT = """\
# A fern.
title = 'A fern'   # its name

[spread]
page = "A5"

[values]
tall = 40
wide = "tall / 2"

[pieces.fern]
kind = "v-fold"
at = 0x60  # from the foot
outline = { shape = "leaf", length = "tall * 2", width= 22 }
tab = "1 cm"
lettering = [
  { text = "one", x = 1 },  # the first
  { text = "two" },
]

[pieces.fern.folds.ridge]
rest = 90

# What lies on it.

[pieces."dot-1"]
kind = "flat"
on = "fern.left"
outline.shape = "ellipse"
outline.length = 8
"""
# Whatever TOML 1.0.0 allows that a hand may write, none of it in the layout of the designs.
ODD = (
    "\ufeffa.b.\"c d\" = 1 # one\nx = [ # list\n 1, ']}', # two\n { a = 'q\"', b.c = [1,2,] },\n]\n"
    's = """a"\\"""\n""" \nt=\'\'\'q\'\'\nq\'\'\'\'\nd = 1979-05-27 07:32:00\n[[l]]\nn = 1\n'
    '[l.sub]\nk = {}\n[[l]]\n[a."e f"]\nz = 1e3'
)


def parsed(text):
    return tomllib.loads(text.removeprefix("\ufeff"))


def at(tables, path):
    for key in path:
        tables = tables[int(key) - 1] if isinstance(tables, list) else tables[key]
    return tables


def put(tables, path, value):
    *above, key = path
    table = at(tables, above)
    table[int(key) - 1 if isinstance(table, list) else key] = value
    return tables


@pytest.mark.parametrize("name", ["odd", "windows", *designs.names()])
def test_where_keys_stand_agrees_with_what_a_library_reads(name):
    odd = ODD if name == "odd" else ODD.replace("\n", "\r\n")
    text = odd if name in ("odd", "windows") else designs.path(name).read_text("utf-8")
    assert value_of(text, spans(text)) == parsed(text)


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        ("pieces.fern.at", 61.5, "at = 61.5  # from the foot"),
        ("pieces.fern.outline.length", 80, '{ shape = "leaf", length = 80, width= 22 }'),
        ("pieces.fern.lettering.1.x", -2, '  { text = "one", x = -2 },  # the first'),
        ("pieces.fern.folds.ridge.rest", 100, "rest = 100"),
        ("pieces.dot-1.outline.length", 9, "outline.length = 9"),
        ("values.tall", 41.0, "tall = 41"),
    ],
)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_value_is_set_and_nothing_else(path, value, line, end):
    old = "\ufeff" + TEXT.replace("\n", end)
    new = SetValue(path=path, value=value).apply(old)
    assert parsed(new) == put(parsed(old), path.split("."), value)
    before, after = old.splitlines(keepends=True), new.splitlines(keepends=True)
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert len(changed) == 1
    assert line in changed[0][1]
    assert changed[0][1].endswith(end)
    assert SetValue(path=path, value=value).apply(new) == new


def parsed_value(text, path):
    return at(parsed(text), path.split("."))


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        ("pieces.fern.side", "back", 'side = "back"\n'),
        ("pieces.fern.outline.curl", 3, "width= 22, curl = 3 }"),
        ("pieces.fern.folds.ridge.stiffness", 2, "stiffness = 2\n"),
        ("pieces.dot-1.outline.width", 9, "outline.width = 9\n"),
        ("pieces.dot-1.folds.seam.rest", 9, "folds = { seam = { rest = 9 } }\n"),
        ("values.low", 3, 'wide = "tall / 2"\nlow = 3\n'),
        ("papers.sky.grammage", 120, "[papers]\nsky = { grammage = 120 }\n"),
    ],
)
def test_a_missing_key_is_added_where_its_table_ends(path, value, line):
    new = SetValue(path=path, value=value).apply(TEXT)
    assert line in new
    assert parsed_value(new, path) == value
    gone = [one for one in difflib.ndiff(TEXT.splitlines(), new.splitlines()) if one[0] == "-"]
    assert len(gone) == (1 if line.endswith("3 }") else 0)
    assert Clear(path=path).apply(new) == TEXT or path.count(".") == 4 or "papers" in path


def test_text_keeps_its_quotes_and_is_escaped():
    new = SetValue(path=("title", "x"), value=1)
    with pytest.raises(EditError, match="no table title"):
        new.apply(TEXT)
    named = SetValue(path="pieces.fern.lettering.1.text", value='"]\n</script>\\').apply(TEXT)
    assert parsed_value(named, "pieces.fern.lettering.1.text") == '"]\n</script>\\'


def test_lists_grow_and_shrink():
    path = "pieces.fern.lettering"
    new = Append(path=path, value={"text": "three"}).apply(TEXT)
    assert [one["text"] for one in parsed_value(new, path)] == ["one", "two", "three"]
    assert Clear(path=f"{path}.3").apply(new) == TEXT
    left = Clear(path=f"{path}.1").apply(TEXT)
    assert parsed_value(left, path) == [{"text": "two"}]
    first = Append(path="pieces.dot-1.images", value={"file": "a.png"}).apply(TEXT)
    assert first == TEXT + 'images = [{ file = "a.png" }]\n'
    emptied = Clear(path=f"{path}.1").apply(left)
    assert parsed_value(emptied, path) == []


def test_a_key_parts_from_its_expression():
    new = PartKey(path="pieces.fern.outline.length").apply(TEXT)
    assert "length = 80, width= 22" in new
    assert "tab = 10" in PartKey(path="pieces.fern.tab").apply(TEXT)
    with pytest.raises(EditError, match="no expression"):
        PartKey(path="pieces.fern.at").apply(TEXT)


@pytest.mark.parametrize(
    "data",
    [
        "[]",
        "nonsense",
        '[{"edit": "set", "path": "pieces.fern.at"}]',
        '[{"edit": "set", "path": ["pieces", 1], "value": 1}]',
        '[{"edit": "set", "path": "pieces.fern.at", "value": 1, "more": 2}]',
        '[{"edit": "run", "path": "pieces.fern.at", "value": 1}]',
        json.dumps([{"edit": "set", "path": "a.b", "value": 1}] * 201),
    ],
)
def test_only_edits_are_edits(data):
    with pytest.raises(EditError):
        edits_from_json(data)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), None, "\ud800"])
def test_what_a_design_cannot_hold_is_refused(value):
    with pytest.raises(EditError):
        SetValue(path="pieces.fern.at", value=value).apply(TEXT)


def test_edits_go_there_and_back_as_json():
    edits = [SetValue(path="pieces.fern.at", value=3.5), PartKey(path="pieces.fern.tab")]
    data = json.dumps([edit.model_dump(mode="json") for edit in edits])
    assert edits_from_json(data) == edits


def test_an_edit_is_accepted_only_if_the_design_still_reads():
    path = designs.path("dragon-keep")
    text = path.read_text("utf-8")
    name = next(n for n, t in parsed(text)["pieces"].items() if isinstance(t.get("at"), int))
    good = accepted(text, SetValue(path=("pieces", name, "at"), value=30), path)
    assert good.spread.design.pieces[name].at == 30
    for wrong in (-900, "no-such-value", [1, 2]):
        with pytest.raises(DesignError, match="at"):
            accepted(text, SetValue(path=("pieces", name, "at"), value=wrong), path, good.spread)
    assert Path(path).read_text("utf-8") == text


def test_another_library_reads_what_was_written():
    """Judge: tomlkit, which the scanner does not use."""
    new = SetValue(path="pieces.fern.outline.depth", value=0.1).apply(TEXT)
    assert tomlkit.parse(new).unwrap() == parsed(new)
