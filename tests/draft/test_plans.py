"""What is told of a piece draws it: within 0.3 mm, nothing missing and nothing more.

0.3 mm is our choice, what a sharp pencil and a ruler miss by; the drawing is made by a reader that
knows the sentences only.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from meshes import designs, spread
from meshes.errors import DesignError
from meshes.sheet import Fold, Sheet, cut
from preview.draft import draughtsman
from preview.draft.alike import alike
from preview.draft.draughtsman import drafted
from preview.draft.linework import linework
from preview.draft.plan import Arc, Circle, MirrorAll, Point, Repeat
from preview.draft.proof import missed_by
from preview.draft.reading import Unreadable, read_plan
from preview.pattern.template import templates
from tests import designs as kept
from tests.designs import by_day
from tests.pattern.specimens import CARD, leaf, page_sheet, tent
from tests.pattern.whole import random_piece

from .hand import WITHIN_MM, draws


def pieces_of(found):
    made = templates(found.sheets, found.joins, None, found.linkage.drives)
    return [template for template in made if not template.is_page]


def template_of(outline, folds=(), labels=None):
    facets, crossings = cut(outline, list(folds), labels or {})
    sheet = Sheet("one", "one", CARD, CARD.front, CARD.back, facets, crossings, uncut=outline)
    return templates([page_sheet(), sheet], [])[0]


def operations(template, kind):
    return [op for op in drafted(template).plan.operations if isinstance(op, kind)]


@pytest.mark.parametrize("name", kept.each())
def test_every_piece_of_a_shipped_design_is_drawn_by_its_dimensions(name):
    pieces = pieces_of(spread.read(designs.path(name)))
    groups = alike(pieces)
    assert sum(group.count for group in groups) == len(pieces)
    for group in groups:
        plan = drafted(group.first).plan
        assert draws(plan.told, group.first, plan), group.first.title


@pytest.mark.parametrize("first", by_day(range(3), [0]))
def test_random_pieces_are_drawn_by_their_dimensions(tmp_path, first):
    """These are 60 of 300; ``tests/bench/bench_drafts.py`` draws all of them, or more."""
    for seed in range(first, 300, 15):
        for template in pieces_of(random_piece(seed, tmp_path)):
            plan = drafted(template).plan
            assert draws(plan.told, template, plan), (seed, template.title)


def test_numbers_are_told_to_a_tenth():
    plan = drafted(templates([page_sheet(), leaf(length=61.2345)], [])[0]).plan
    numbers = [number for text in plan.told for number in re.findall(r"\d+\.\d+", text)]
    assert numbers
    assert all(len(number.partition(".")[2]) == 1 for number in numbers)


def test_no_point_is_told_from_another_point():
    """Its two distances are from the base line, so that no error of one is in the next."""
    for op in operations(templates([page_sheet(), tent()[0]], [])[0], Point):
        found = re.fullmatch(r"Point \d+: [\d.]+ along, (on the line|[\d.]+ \w+)\.", op.told)
        assert found


def test_a_regular_star_is_told_by_half_a_point_of_it():
    turn = np.radians(np.arange(0, 360, 36))
    far = np.where(np.arange(10) % 2, 18.0, 40.0)
    template = template_of(Polygon(np.c_[far * np.cos(turn), far * np.sin(turn)]))
    assert [op.count for op in operations(template, Repeat)] == [5]
    assert len(operations(template, MirrorAll)) == 1
    # A is the centre and B the tip: one corner is left to tell.
    assert len(operations(template, Point)) == 1
    assert "by 72°" in operations(template, Repeat)[0].told


def test_a_rounded_corner_is_an_arc_of_its_own_radius():
    outline = shapely.box(0, 0, 80, 50).buffer(-7).buffer(7, quad_segs=12)
    arcs = operations(template_of(outline), Arc)
    assert {op.radius for op in arcs} == {7.0}


def test_a_disc_is_a_circle_about_a():
    template = template_of(shapely.Point(30, 40).buffer(22, quad_segs=24))
    (circle,) = operations(template, Circle)
    assert (circle.centre, circle.radius) == ("A", 22.0)
    assert not operations(template, Point)


def test_a_ruled_square_has_whole_numbers():
    template = template_of(
        Polygon([(3.33, 1.0), (93.33, 1.0), (93.33, 61.0), (3.33, 61.0)]),
        [Fold("middle", (48.33, 1.0), (48.33, 61.0), 1)],
        {"left": (10, 10), "right": (80, 10)},
    )
    assert drafted(template).missed < 1e-6


@pytest.fixture(scope="module")
def house():
    pieces = pieces_of(spread.read(kept.path("hill-village")))
    template = next(piece for piece in pieces if piece.title == "house")
    return template, drafted(template).plan


def test_a_planted_slip_is_found(house):
    template, plan = house
    wanted = linework(template).moved(plan.matrix, plan.shift)
    assert missed_by(plan.told, wanted) <= WITHIN_MM
    points = [k for k, text in enumerate(plan.told) if text.startswith("Point")]
    for k in points:
        slipped = list(plan.told)
        along = re.search(r": ([\d.]+) ", slipped[k])[1]
        slipped[k] = slipped[k].replace(f": {along} ", f": {float(along) + 0.8:.1f} ", 1)
        assert missed_by(slipped, wanted) > WITHIN_MM


def test_a_line_too_few_and_one_too_many_are_found(house):
    template, plan = house
    wanted = linework(template).moved(plan.matrix, plan.shift)
    lines = [k for k, text in enumerate(plan.told) if "fold" in text or text.startswith("Cut")]
    for k in lines:
        assert missed_by([*plan.told[:k], *plan.told[k + 1 :]], wanted) > WITHIN_MM
    assert missed_by([*plan.told, "Cut line, straight: 1 – 4."], wanted) > WITHIN_MM
    assert missed_by([*plan.told, "Prick a hole for a paper fastener at 1."], wanted) > WITHIN_MM
    swapped = [text.replace("Mountain", "Valley") for text in plan.told]
    assert missed_by(swapped, wanted) > WITHIN_MM


@pytest.mark.parametrize(
    "text",
    [
        "Draw the base line A–B.",
        "Point 1: 5 along, 3 sideways.",
        "Cut line, straight: 1 – 9.",
        "Cut line, arc about 1, radius 3 mm: 1 – 1.",
        "Divide the full turn about A into 6, by 50°, and repeat all lines at each: 6 times "
        "in all.",
    ],
)
def test_what_tells_nothing_is_not_read(text):
    with pytest.raises(Unreadable):
        read_plan(["Draw the base line A–B, 10 mm long.", "Point 1: 5 along, 3 up.", text])


def test_a_piece_that_no_plan_draws_is_refused_by_name(house, monkeypatch):
    monkeypatch.setattr(draughtsman, "WITHIN_MM", 1e-6)
    with pytest.raises(DesignError, match=r"house can't be told by rounded dimensions"):
        drafted(house[0])


def moved(template, angle, shift, mirrored=False):
    """The same sheet elsewhere, or its mirror image."""

    def move(shape):
        shape = affinity.scale(shape, -1, 1, origin=(0, 0)) if mirrored else shape
        return affinity.translate(affinity.rotate(shape, angle, origin=(0, 0)), *shift)

    def ends(fold):
        one, two = (move(shapely.Point(p)) for p in (fold.start, fold.end))
        return replace(fold, start=(one.x, one.y), end=(two.x, two.y))

    return replace(
        template, outline=move(template.outline), folds=tuple(ends(f) for f in template.folds)
    )


def hook():
    """A piece without any symmetry, with a fold."""
    outline = Polygon([(0, 0), (60, 0), (60, 12), (20, 18), (14, 40), (0, 40)])
    fold = Fold("f", (0, 18), (20, 18), 1)
    return template_of(outline, [fold], {"low": (5, 5), "top": (5, 30)})


def test_equal_pieces_are_drawn_once_wherever_they_lie():
    one = hook()
    same, turned = moved(one, 0, (5, 7)), moved(one, 37, (-40, 12))
    flipped = moved(one, 110, (3, 3), mirrored=True)
    (group,) = alike([one, same, turned, flipped])
    assert (group.first, group.others, group.mirrored) == (one, (same, turned), (flipped,))


def test_pieces_that_differ_by_a_fold_or_a_millimetre_are_drawn_apart():
    one = hook()
    valley = replace(one, folds=tuple(replace(fold, sign=-1) for fold in one.folds))
    wider = replace(one, outline=affinity.scale(one.outline, 61 / 60, 1, origin=(0, 0)))
    plain = replace(one, folds=())
    assert [group.count for group in alike([one, valley, wider, plain])] == [1, 1, 1, 1]
