"""Every shipped design closes, opens and moves without a flaw."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

import numpy as np
import pytest

from meshes import designs, solid, spread

TINY_DEG = [0.0, 0.01, 0.037, 0.045, 0.06, 0.3, 179.96, 179.99, 180.0]
OPENINGS_DEG = np.unique([*range(181), *TINY_DEG])


@cache
def shipped(name):
    """A shipped design and its motion at `OPENINGS_DEG`."""
    read = spread.read(designs.path(name))
    return read, read.solve(np.radians(OPENINGS_DEG))


@pytest.mark.parametrize("name", designs.names())
def test_a_shipped_design_closes_at_every_degree_without_a_finding(name):
    _, motion = shipped(name)
    assert motion.findings == ()
    assert motion.solved.all()
    assert motion.gaps.max() <= 1e-9


@pytest.mark.parametrize("name", designs.names())
def test_a_shipped_design_lies_flat_when_shut_and_inside_its_margin(name):
    """Every corner of every facet: between the closed pages and inside their trimmed edges."""
    read, motion = shipped(name)
    assert motion.openings[0] == 0.0
    settings = read.design.spread
    for k, body in enumerate(read.linkage.bodies):
        for part in body.parts:
            if part.sheet.piece == "page":
                continue
            flat = np.asarray(part.polygon.exterior.coords)
            corners = np.column_stack([flat, np.zeros(len(flat))])
            at = corners @ motion.rotations[0, k].T + motion.translations[0, k]
            assert np.abs(at[:, 0]).max() < 0.01, part.id
            assert at[:, 1].min() >= 0, part.id
            assert at[:, 1].max() <= settings.height, part.id
            assert at[:, 2].max() <= settings.width, part.id


@pytest.mark.parametrize("name", designs.names())
def test_a_shipped_design_says_what_it_is(name):
    text = designs.path(name).read_text(encoding="utf-8")
    assert text.startswith("#")
    assert re.search(r'^title = ".+"$', text, flags=re.MULTILINE)


@pytest.mark.parametrize("k", range(len(designs.names())))
def test_folded_pieces_of_a_shipped_design_are_closed_meshes(k):
    """Shut, half open or flat, in turn; flat art is only a prism, which has its own tests.

    Where no fold is all but shut, a mesh holds its paper: area times caliper.
    """
    read, motion = shipped(designs.names()[k])
    stage = int(np.flatnonzero((0.0, 90.0, 180.0)[k % 3] == OPENINGS_DEG)[0])
    paper: Counter[str] = Counter()
    for part in (part for body in read.linkage.bodies for part in body.parts):
        paper[part.sheet.piece] += part.polygon.area * part.sheet.paper.caliper
    for name, piece in read.design.pieces.items():
        if piece.kind != "flat":
            mesh = solid.piece_mesh(read.linkage, motion, stage, name)
            assert mesh.is_volume, name
            assert mesh.volume > 0, name
            folds = [h.name.startswith(f"{name}.") for h in read.linkage.hinges]
            if np.abs(motion.angles[stage, folds]).max(initial=0.0) < np.radians(160):
                assert mesh.volume == pytest.approx(paper[name], rel=0.01), name


def test_every_kind_of_piece_is_shown_by_a_shipped_design():
    from meshes.pieces import KINDS

    shown = {
        piece.kind for name in designs.names() for piece in shipped(name)[0].design.pieces.values()
    }
    assert shown == set(KINDS)


def test_three_shipped_designs_combine_many_kinds_in_more_than_a_hundred_facets():
    read = [shipped(name)[0] for name in designs.names()]
    large = [made for made in read if sum(len(sheet.facets) for sheet in made.sheets) > 100]
    kinds = [{piece.kind for piece in made.design.pieces.values()} for made in large]
    assert sum(len(found) >= 4 for found in kinds) >= 3
    assert max(len(found) for found in kinds) >= 10


# The others take longer; every night all are asked.
QUICK = {"fox-in-the-grass", "kite-day", "spring-nest", "toadstool-glade"}


@pytest.mark.parametrize(
    "name",
    [
        name if name in QUICK else pytest.param(name, marks=pytest.mark.night)
        for name in designs.names()
    ],
)
def test_a_shipped_design_passes_the_check_report(name):
    from meshes import check

    case = check.case_of(shipped(name)[0])
    report = check.report(case, case_limits(case))
    assert [finding.text for finding in report.findings if finding.fails] == []


def case_limits(case):
    """All questions but what the camera sees, which can't fail and takes longest."""
    from meshes.check import Limits

    return Limits(looks=False)
