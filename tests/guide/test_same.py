"""Guide, pattern and viewer say the same: how many cut-outs, their numbers, letters and steps."""

from __future__ import annotations

import re

import numpy as np
import pytest

from preview.guide import html
from preview.guide.plan import compose
from preview.guide.words import told
from preview.pattern.drawing import Text
from preview.pattern.layout import Options, lay_out
from preview.pattern.opening_page import opening_pages
from preview.pattern.template import templates
from preview.viewer.build_steps import building_steps
from tests.building.shipped import shipped


@pytest.fixture(scope="module")
def both():
    found, motion, steps = shipped("hill-village")
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    pattern = lay_out(found.design.title, made, Options(split=True))
    grey = np.zeros((4, 6, 3), np.uint8)
    guide = compose(found, pattern, steps, grey, [grey] * len(steps))
    return found, motion, steps, pattern, guide


def numbers(sentence):
    """What ``numbers 3, 5 to 7 and 9`` stands for."""
    found = []
    for said in re.findall(r"numbers? ([\d, toand]+)", sentence):
        for first, last in re.findall(r"(\d+)(?: to (\d+))?", said):
            found += range(int(first), int(last or first) + 1)
    return found


def test_the_first_pages_count_the_same_cut_outs(both):
    *_, pattern, guide = both
    marks = [mark for page in opening_pages(pattern) for mark in page if isinstance(mark, Text)]
    printed = " ".join(mark.text for mark in marks)
    counts = [re.search(r"(\d+) cut-outs", text)[1] for text in (printed, html.write_guide(guide))]
    assert counts == [f"{guide.cut_outs}"] * 2


def test_every_number_of_the_pattern_is_cut_out_in_one_step(both):
    *_, pattern, guide = both
    cut = [k for step in guide.steps for said in step.words.sentences for k in numbers(said)]
    on_sheets = [t.number for t in pattern.templates if not t.is_page]
    assert sorted(cut) == sorted(on_sheets)
    assert len(cut) == guide.cut_outs


def test_every_letter_of_the_pattern_is_glued_in_one_step(both):
    found, _, steps, pattern, _ = both
    printed = {area.letter for t in pattern.templates for area in t.glue if not area.lands}
    said = [
        one
        for text in told(steps, found.sheets, found.joins)
        for sentence in text.sentences
        if "lue on" in sentence or "its letter" in sentence
        for one in re.findall(r"\b[A-Z]{1,2}\b", sentence)
    ]
    assert set(said) == printed


def test_the_viewer_tells_the_steps_of_the_guide(both):
    found, motion, _, _, guide = both
    shown = [(step["title"], step["text"]) for step in building_steps(found, motion)]
    assert shown == [(s.words.title, " ".join(s.words.sentences)) for s in guide.steps]
