"""What a step leaves without glue it says, and a later step glues it; by hand nothing is forgotten.

Judged by the words alone, as a maker reads them: which letters get glue, and which stay loose.
"""

from __future__ import annotations

import re

import pytest

from preview.guide.words import told
from preview.pattern.glue import letter
from tests.building.shipped import shipped
from tests.designs import each

LATER = re.compile(r"\b([A-Z]+) \(glued in step (\d+)\)")


@pytest.mark.parametrize("name", each())
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
            if said.startswith("Leave ") and said.endswith(" loose for now."):
                later = {one: int(at) for one, at in LATER.findall(said)}
                loose |= set(later)
                promised.update(later)
        worked_on = {sides[one] for one in now}
        assert loose == {one for one, k in sides.items() if k in worked_on} - glued
    assert promised == {}
    assert glued == set(sides)
