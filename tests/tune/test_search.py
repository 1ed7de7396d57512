"""Finding values that fit, wishes, and patches that keep comments."""

from __future__ import annotations

from math import acos, cos, degrees, radians, sin

import pytest

from meshes.check import case_of, questions
from meshes.design.edit import difference, patched, value_at
from meshes.measure import Units
from meshes.spread import read
from meshes.tune.search import search
from meshes.tune.trial import Variable
from meshes.tune.wish import parse

from ..check.gallery import design, tent, v_fold


def written(text, folder):
    file = folder / "case.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_petal_is_shortened_to_the_page(tmp_path):
    # Closed, the ridge lies square to the gutter: 148 mm is all there is.
    file = written(
        design(v_fold("petal", 40, 50, 152, 80, extra='paper = "stiff"'), STIFF), tmp_path
    )
    found = search(file, [Variable("pieces.petal.ridge", 100, 160, 152)])
    assert found.fits
    assert found.values["pieces.petal.ridge"] == pytest.approx(148.0, abs=0.11)
    assert found.values["pieces.petal.ridge"] <= 148.0


def test_wished_height_is_reached_with_the_smallest_change(tmp_path):
    # At full opening the ridge of a V-fold stands at arccos(cos b / cos a): 45° here.
    file = written(design(v_fold("v", 45, 60, 40, 80)), tmp_path)
    found = search(
        file, [Variable("pieces.v.ridge", 20, 120, 40)], [parse("v.height >= 50 at 180")]
    )
    shortest = 50 / sin(acos(cos(radians(60)) / cos(radians(45))))
    assert found.fits
    assert shortest <= found.values["pieces.v.ridge"] < shortest + 0.2
    assert found.reached[0] >= 50


def test_tents_are_moved_apart_until_they_no_longer_clash(tmp_path):
    pieces = tent("outer", 30, 40, 60, 80), tent("inner", 15, 48, 40, 80)
    file = written(design(*pieces), tmp_path)
    found = search(file, [Variable("pieces.inner.panel", 16, 49, 48)], tries=22)
    # Its ridge must stay under the outer one at full opening: s² - 15² < 40² - 30².
    assert found.fits
    assert found.values["pieces.inner.panel"] <= (40**2 - 30**2 + 15**2) ** 0.5 + 0.1


@pytest.mark.parametrize("after", [1, 5])
def test_a_search_that_is_stopped_keeps_the_best_it_has_tried(tmp_path, after):
    pieces = tent("outer", 30, 40, 60, 80), tent("inner", 15, 48, 40, 80)
    file = written(design(*pieces), tmp_path)
    left = iter([None] * after)

    def advance(standing):
        # The full check of the best is one more try.
        if next(left, "stop") == "stop" and not told:
            told.append(True)
            raise KeyboardInterrupt

    told: list[bool] = []
    found = search(file, [Variable("pieces.inner.panel", 16, 49, 48)], (), 60, advance)
    assert told
    assert found.stopped
    assert found.tries <= after + 3
    assert 16 <= found.values["pieces.inner.panel"] <= 49
    spread = read(file, dict(found.values))
    limits = spread.design.check.model_copy(update={"looks": False})
    failing = [f.kind for f in questions.report(case_of(spread), limits).findings if f.fails]
    assert [f.kind for f in found.failures] == failing


def test_search_says_when_nothing_fits_and_what_fails(tmp_path):
    file = written(design(v_fold("v", 45, 60, 40, 80)), tmp_path)
    found = search(
        file, [Variable("pieces.v.ridge", 20, 50, 40)], [parse("v.height >= 80")], tries=14
    )
    assert not found.fits
    assert "v.height >= 80 is missed" in found.failures[0].text
    assert found.values["pieces.v.ridge"] > 45, "the nearest values come closest to the wish"


STIFF = "[papers.stiff]\ngrammage = 250\n"


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("fern.height >= 80 at 180", ("fern", "height", ">=", 80.0, 180.0)),
        ("fern.left-base<=100.5mm at 90°", ("fern", "left-base", "<=", 100.5, 90.0)),
        ("thickness <= 2", ("", "thickness", "<=", 2.0, 180.0)),
        ("a.width = 3", ("a", "width", "=", 3.0, 180.0)),
    ],
)
def test_wish_is_read(text, parts):
    wish = parse(text)
    assert (wish.piece, wish.what, wish.sign, wish.value) == parts[:4]
    assert degrees(wish.opening) == pytest.approx(parts[4])


@pytest.mark.parametrize("text", ["", "fern", "fern.height > 3", "height >= 3", "a.b = 1 at 200"])
def test_what_is_no_wish_is_refused_in_one_line(text):
    with pytest.raises(ValueError, match=r".") as error:
        parse(text)
    assert "\n" not in str(error.value)


TEXT = """# a fern
title = "x"   # its name

[values]
tall = 40  # mm

[pieces.fern]
kind = "v-fold"
ridge = "tall * 2"   # grows with it
at = 90
outline = { shape = "petal", length = 50, width = 20 }  # inline
"""


def test_patch_changes_only_the_numbers_and_keeps_comments():
    new = patched(TEXT, {"tall": 44.5, "pieces.fern.at": 91.0, "pieces.fern.outline.width": 22.5})
    expected = (
        TEXT.replace("tall = 40 ", "tall = 44.5 ")
        .replace("at = 90", "at = 91")
        .replace("width = 20", "width = 22.5")
    )
    assert new == expected


def test_patch_adds_a_missing_key_to_its_table():
    new = patched(TEXT, {"pieces.fern.tab": 7.5})
    assert "tab = 7.5" in new
    assert value_at(new, "pieces.fern.tab", Units()) == 7.5


def test_difference_applies_as_a_patch():
    lines = difference("x.toml", TEXT, patched(TEXT, {"tall": 41})).splitlines()
    assert lines[:2] == ["--- a/x.toml", "+++ b/x.toml"]
    assert "-tall = 40  # mm" in lines
    assert "+tall = 41  # mm" in lines


def test_present_value_is_read_through_expressions():
    assert value_at(TEXT, "pieces.fern.ridge", Units("mm", {"tall": 40.0})) == 80.0
    assert value_at(TEXT, "pieces.fern.tab", Units()) is None
    with pytest.raises(ValueError, match="not a number"):
        value_at(TEXT, "pieces.fern.outline", Units())
