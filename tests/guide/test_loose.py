"""What a step leaves without glue it says, and a later step glues it; by hand nothing is forgotten.

Judged by the words alone, as a maker reads them: which letters get glue, and which stay loose.
"""

from __future__ import annotations

import re

import pytest

from meshes import designs
from preview.guide.words import told
from preview.pattern.glue import letter
from tests.building.shipped import shipped

LETTERS = r"[A-Z]+(?:, [A-Z]+)*(?: and [A-Z]+)?"


def letters(text):
    return set(re.findall(r"\b[A-Z]+\b", text))


@pytest.mark.parametrize("name", designs.names())
def test_a_side_stays_loose_only_where_a_later_step_glues_it(name):
    found, _, steps = shipped(name)
    texts = told(steps, found.sheets, found.joins)
    sheet = {f"{s.piece}.{f.name}": k for k, s in enumerate(found.sheets) for f in s.facets}
    sides = {letter(j): sheet[join.facet] for j, join in enumerate(found.joins)}
    glued = set()
    promised = {}
    for number, (step, text) in enumerate(zip(steps, texts, strict=True), 1):
        now = {letter(j) for j in step.joins}
        for one in now:
            assert promised.pop(one, number) == number
            assert any(re.search(rf"\b{one}\b", said) for said in text.sentences)
        glued |= now
        loose = set()
        for said in text.sentences:
            if match := re.fullmatch(rf"Leave ({LETTERS}) loose .* glued in step (\d+)\.", said):
                loose |= letters(match[1])
                promised.update(dict.fromkeys(letters(match[1]), int(match[2])))
        worked_on = {sides[one] for one in now}
        assert loose == {one for one, k in sides.items() if k in worked_on} - glued
    assert promised == {}
    assert glued == set(sides)
