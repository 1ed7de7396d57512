"""What lies in folds that shut over it, against closed formulas, solids, and a judge that samples.

Round a stack of thickness g a leaf turns in a half circle of diameter g. That is the arc of a bend,
angle times (R + K T), of any handbook of sheet metal (from memory) with R = g / 2; K T is what the
bare fold takes as well. Sheets nested round a fold so differ by pi times their thickness, as
parallels of a convex curve do over half a turn (Steiner's formula).
"""

from __future__ import annotations

import functools
import json
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from meshes.allowance import allowed
from meshes.allowance.reshape import CannotMove
from meshes.allowance.shut import LEAST_MM, room
from meshes.allowance.trim import trimmed
from meshes.building.kept import LOOKED_AT_DEG
from meshes.errors import DesignError
from meshes.sheet import Fold, Paper, Sheet, cut
from preview.pattern.allowance import in_a_step, told
from preview.pattern.proof import prove_allowed, prove_templates
from preview.pattern.svg import page_svg
from preview.pattern.template import templates
from tests.designs import by_day
from tests.outside.test_pattern_allowance import Solved, pattern_of, read
from tests.pattern.measured import rings_of_svg

DEPTHS = np.arange(0.03, 4.0, 0.2)  # where the judge looks, from the fold, mm
BIG = 1e6
GIVE_MM = 0.15  # half of the 0.3 mm that paper gives in all: common practice, no source
HEAD = '[spread]\npage = "A5"\n[papers.card]\ncaliper = {caliper}\n'
CARRIER = """
[pieces.hidden]
kind = "carrier"
distance = 60
flap = 34
width = {wide}
"""
FLAP = """
[pieces.leaf-{k}]
kind = "v-fold"
on = "hidden.crease"
at = {at}
points = "{points}"
page_angle = {page}
panel_angle = {panel}
base = {base}
ridge = {ridge}
tab = {tab}
"""
ROSE = '[pieces.rose]\nkind = "blossom"\n'
LAYER = '[[pieces.rose.layers]]\nname = "l{k}"\nangle = {angle}\nlength = {length}\n'


def flaps(caliper, count):
    """A carrier with several flaps that stand in it at the same place, one in the other."""
    text = HEAD.format(caliper=caliper) + CARRIER.format(wide=60)
    sizes = {"page": 40, "points": "up", "at": 20, "tab": 6, "ridge": 26}
    for k in range(count):
        text += FLAP.format(k=k, panel=60 + 8 * k, base=24 - 5 * k, **sizes)
    return read(text)


def flower(caliper, layers):
    return read(
        HEAD.format(caliper=caliper)
        + ROSE
        + "".join(LAYER.format(k=k, angle=54 - 5 * k, length=66 - 5 * k) for k in range(layers))
    )


def barely(found):
    """A spread whose motion is asked for only as far as it takes to tell what lies on what."""
    motion = found.solve(np.radians([0.0, 1.0, 20.0]))
    shut = replace(motion, openings=motion.openings[:2], solved=motion.solved[:2])
    parts = (found.design, found.sheets, found.joins, found.linkage)
    return Solved(*parts, motion=replace(motion, openings=np.radians(LOOKED_AT_DEG)), closing=shut)


# The rule itself.


@pytest.mark.parametrize("count", [1, 2, 9])
def test_sheets_nested_round_a_fold_differ_by_their_parallel_curves(count):
    """Each sheet has two leaves, so that the next one needs pi / 2 of a thickness more a leaf."""
    t = 0.3
    needed = [room(np.zeros(2 * k), np.full(2 * k, t))[0] for k in range(1, count + 1)]
    assert np.diff([0.0, *needed]) == pytest.approx(np.full(count, np.pi / 2 * t))
    # Out of one piece of paper, both leaves: the length of the half circle.
    assert 2 * needed[-1] == pytest.approx(Point(0, 0).buffer(count * t, 512).length / 2, rel=1e-5)


@pytest.mark.parametrize("seed", range(40))
def test_solids_between_leaves_have_room_and_no_more_is_taken(seed):
    """Stairs of boxes, in a leaf as long as it is: round them it must reach, and just so."""
    random = np.random.default_rng(seed)
    count = random.integers(1, 9)
    calipers = random.uniform(0.1, 1.0, count)
    ends = np.sort(random.uniform(0, 4, count) * random.integers(0, 2, count))
    needed = room(ends, calipers)
    assert (needed >= ends - 1e-12).all()
    stacks = np.cumsum(calipers)
    assert (needed >= np.pi / 4 * stacks - 1e-9)[needed > ends + 1e-9].any() or (
        needed == ends
    ).all()

    def way(at, k):
        """Half the tightest band round the first k + 1 layers, their far end left out."""
        solids = [box(at[i], -stacks[i] / 2, 9.0, stacks[i] / 2) for i in range(k + 1)]
        hull = shapely.union_all(solids).convex_hull
        return (hull.length - stacks[k]) / 2 - (9.0 - at[k])

    for k in range(count):
        assert way(needed, k) <= needed[k] + GIVE_MM + 1e-6
        assert needed[k] >= np.pi / 4 * stacks[k] - 1e-9
    fits = all(
        way(ends, k) <= ends[k] + GIVE_MM and ends[k] >= np.pi / 4 * stacks[k] for k in range(count)
    )
    assert fits == np.array_equal(needed, ends)


# Whole spreads, against a judge that knows neither layers nor hulls.


class Judge:
    """Counts the paper between the leaves of shut folds, point by point in the closed plane."""

    def __init__(self, found, sheets, moves):
        self.link, motion = found.linkage, found.closing
        self.turn, self.shift = motion.rotations, motion.translations
        self.angles = motion.angles[0]
        pairs = zip(self.link.hinges, self.angles, strict=True)
        self.shut = {hinge.name for hinge, angle in pairs if abs(angle) > 1.0}
        cut_of = {f"{s.piece}.{f.name}": f.polygon for s in sheets for f in s.facets}
        self.parts = {}
        for k, body in enumerate(self.link.bodies):
            for part in [p for p in body.parts if p.sheet.piece != "page"]:
                shape = affinity.translate(cut_of[part.id], *(-moves.get(part.id, np.zeros(2))))
                flat = part.placement.polygon(shape)
                laid = shapely.transform(flat, lambda p, k=k: self.at(0, k, p)[:, 1:])
                self.parts[part.id] = (k, part, shapely.make_valid(laid))

    def at(self, stage, body, points):
        return points @ self.turn[stage, body][:, :2].T + self.shift[stage, body]

    def right(self, name, spots):
        """How far right paper at points of the closed plane is when it stands ajar, mm."""
        k, part, _ = self.parts[name]
        world = np.column_stack([np.zeros(len(spots)), spots])
        own = (world - self.shift[0, k]) @ self.turn[0, k]
        # Glued layers lie in one plane; a trace of their height parts them.
        return self.at(1, k, own[:, :2])[:, 0] + 1e-7 * part.height * self.turn[1, k][0, 2]

    def lacks(self, hinge):
        """By facet, how much more room than it has the paper in a fold wants, mm.

        At the worst point of all, and over at least 3 mm of the fold.
        """
        k, frame, origin = hinge.bodies[0], hinge.frames[0], hinge.origins[0]
        start, end, left = (
            self.at(0, k, p[None, :2])[0, 1:]
            for p in (origin, origin + hinge.length * frame[:, 0], origin + frame[:, 1])
        )
        shares = np.linspace(0.002, 0.998, max(int(2 * hinge.length), 7) + 1)
        feet = start + shares[:, None] * (end - start)
        spots = (feet[:, None] + DEPTHS[:, None] * (left - start)).reshape(-1, 2)
        far = np.tile(DEPTHS, len(feet))
        high = np.full((len(self.parts), len(spots)), np.nan)
        for row, (name, (_, _, shape)) in zip(high, self.parts.items(), strict=True):
            there = shapely.contains_xy(shape, spots[:, 0], spots[:, 1])
            row[there] = self.right(name, spots[there])
        names = list(self.parts)
        leaves = [[names.index(n) for n in self.leaf(facet)] for facet in hinge.facets]
        one, two = (
            np.nanmax(np.vstack([high[leaf], -BIG * np.ones(len(spots))]), axis=0)
            for leaf in leaves
        )
        inner = (high > np.minimum(one, two) + 1e-10) & (high < np.maximum(one, two) - 1e-10)
        inner &= (one > -BIG) & (two > -BIG)
        inner[[*leaves[0], *leaves[1]]] = False
        calipers = np.array([part.sheet.paper.caliper for _, part, _ in self.parts.values()])
        lack = np.where(inner, np.pi / 4 * (calipers @ inner) - far, -BIG)
        along = lack.reshape(len(names), len(shares), len(DEPTHS)).max(axis=2)
        over = np.lib.stride_tricks.sliding_window_view(along, 7, axis=1).min(axis=2)
        return {n: (a.max(), o.max()) for n, a, o in zip(names, along, over, strict=True)}

    def crossing(self):
        """Whether paper passes through paper: which of two is on top is not the same all over."""
        grid = np.stack(np.meshgrid(np.arange(0.5, 160, 2.0), np.arange(0.5, 200, 2.0)), -1)
        spots = grid.reshape(-1, 2)
        high = np.full((len(self.parts), len(spots)), np.nan)
        for row, (name, (_, _, shape)) in zip(high, self.parts.items(), strict=True):
            there = shapely.contains_xy(shape.buffer(-0.5), spots[:, 0], spots[:, 1])
            row[there] = self.right(name, spots[there])
        apart = high[:, None] - high[None]
        return bool(((apart > 1e-6).any(axis=2) & (apart < -1e-6).any(axis=2)).any())

    def leaf(self, facet):
        """A facet, and what of its sheet lies flat beside it."""
        reach, folds = [facet], self.parts[facet][1].sheet.crossings
        piece = facet.partition(".")[0]
        for name in reach:
            for c in [c for c in folds if f"{piece}.{c.fold.name}" not in self.shut]:
                pair = [f"{piece}.{c.left}", f"{piece}.{c.right}"]
                reach += [n for n in pair if name in pair and n not in reach]
        return reach


def judged(found):
    """Lacks by fold and facet as designed, and as cut; and what was said."""
    change = allowed(found)
    moves = {f"{c.piece}.{n}": m for c in change.changes for n, m in c.moves.items()}
    judges = Judge(found, found.sheets, {}), Judge(found, change.sheets, moves)
    shut = [h for h in found.linkage.hinges if h.name in judges[0].shut]
    before, after = ({h.name: judge.lacks(h) for h in shut} for judge in judges)
    return before, after, change


def random_text(seed):
    random = np.random.default_rng(seed)
    caliper = float(random.choice([0.25, 0.4, 0.7]))
    if seed % 3 == 0:
        layers = int(random.integers(2, 5))
        return (
            HEAD.format(caliper=caliper)
            + ROSE
            + "".join(
                LAYER.format(k=k, angle=58 - random.integers(4, 9) * k, length=60 - 6 * k)
                for k in range(layers)
            )
        )
    text = HEAD.format(caliper=caliper) + CARRIER.format(wide=random.uniform(50, 80))
    at, page, base = random.uniform(18, 30), random.uniform(25, 60), random.uniform(14, 22)
    points, panel = random.choice(["up", "down"]), random.uniform(62, 70)
    for k in range(int(random.integers(1, 4))):
        sizes = {"tab": random.uniform(3, 8), "ridge": random.uniform(18, 28)}
        sizes |= {"panel": panel + 6 * k, "base": base - 4 * k, "at": at, "page": page}
        text += FLAP.format(k=k, points=points, **sizes)
    return text


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 4, 6, 7, 8])
def test_random_spreads_none_is_missing_and_none_is_a_false_alarm(seed):
    found = barely(read(random_text(seed)))
    assert not Judge(found, found.sheets, {}).crossing()
    before, after, change = judged(found)
    kept = {(p.fold, p.facet) for c in change.changes if c.kept for p in c.pinches}
    said = {(p.fold, p.facet): p for c in change.changes for p in c.pinches}
    for fold, lacks in after.items():
        for facet, (_, lack) in lacks.items():
            assert lack < LEAST_MM + 0.05 or (fold, facet) in kept, (fold, facet, lack)
    for (fold, facet), pinch in said.items():
        # Its greatest need may lie between two of the judge's points, 0.2 mm from each other.
        assert before[fold][facet][0] > LEAST_MM - 0.25, pinch
    prove_allowed(found.sheets, change)
    prove_templates(templates(change.sheets, change.joins))


@functools.cache
def closed(layers):
    found = barely(flower(0.23, layers))
    return found, allowed(found)


@pytest.mark.night
def test_a_closed_flower_of_nine_layers_is_cut_layer_by_layer():
    _, change = closed(9)
    assert {c.why for c in change.changes} == {"shut"}
    assert not any(c.kept for c in change.changes)
    layers = {c.sheet.split("-")[0] for c in change.changes}
    assert layers == {f"l{k}" for k in range(9)}
    # Opposite its seam a layer shuts over both halves of those in it.
    opposite = [p for c in change.changes for p in c.pinches if p.fold.endswith("-fold-3")]
    for pinch in opposite:
        inner = 8 - int(pinch.fold.split(".l")[1][0])
        assert pinch.layers <= 2 * inner + 1
        assert pinch.keep == pytest.approx(np.pi / 4 * 0.23 * pinch.layers)
    assert max(p.layers for p in opposite) == 2 * 8


@pytest.mark.parametrize("layers", by_day([5, 9], [5]))
def test_every_layer_still_hangs_together_and_has_lost_its_tip_only(layers):
    found, change = closed(layers)
    assert {c.sheet.split("-")[0] for c in change.changes} == {f"l{k}" for k in range(layers)}
    prove_allowed(found.sheets, change)
    prove_templates(templates(change.sheets, change.joins))
    for before, after in zip(found.sheets, change.sheets, strict=True):
        assert [c.fold.name for c in after.crossings] == [c.fold.name for c in before.crossings]
        assert after.outline.area > 0.8 * before.outline.area


def test_a_flap_in_a_tight_carrier_ends_before_its_crease():
    """Once nothing was said of it. Measured back by a reader that did not write the page."""
    found = flaps(0.5, 2)
    (hidden,) = (s for s in found.sheets if s.piece == "hidden")
    assert {c.piece for c in allowed(found).changes} == {"leaf-0", "leaf-1"}
    for page in pattern_of(lambda: found).pages:
        names = {p.template.sheet.piece for p in page.placed}
        if names == {"leaf-0"}:
            (ring,) = rings_of_svg(page_svg(pattern_of(lambda: found), page))
            leaf = next(s for s in found.sheets if s.piece == "leaf-0")
            assert Polygon(ring).area < leaf.outline.area - 0.5
    assert hidden in allowed(found).sheets


def test_thin_paper_in_a_carrier_says_nothing():
    assert allowed(flaps(0.1, 1)).changes == ()


def test_what_is_said_and_written_names_fold_stack_and_room(call, tmp_path):
    text = HEAD.format(caliper=0.5) + CARRIER.format(wide=60)
    for k in range(2):
        sizes = {"panel": 60 + 8 * k, "base": 24 - 5 * k, "tab": 6, "ridge": 26}
        text += FLAP.format(k=k, at=20, points="up", page=40, **sizes)
    (tmp_path / "tight.toml").write_text(text)
    run = call("pattern", "tight.toml", "-o", "a.pdf", "--json")
    rows = [r for r in json.loads(run.out)["allowances"] if r["reason"] == "shut"]
    assert {r["piece"] for r in rows} == {"leaf-0", "leaf-1"}
    for row in rows:
        (worst,) = {max(b["keep_free_mm"] for b in row["beside_folds"])}
        stack = max(b["stack_mm"] for b in row["beside_folds"])
        assert worst == pytest.approx(np.pi / 4 * stack, abs=1e-3)
        assert row["host"] == "hidden"
    assert (
        json.loads(call("pattern", "tight.toml", "-o", "b.pdf", "--json", "--no-allowance").out)[
            "allowances"
        ]
        == []
    )
    words = [told(c) for c in allowed(read(text)).changes]
    assert all("beside the crease of the hidden, which shuts over" in line for line in words)


def test_paper_lost_beside_a_fold_is_not_taken_for_an_allowance():
    found = flaps(0.5, 2)
    change = allowed(found)
    prove_allowed(found.sheets, change)
    number = next(k for k, s in enumerate(change.sheets) if s.piece == "leaf-0")
    leaf = change.sheets[number]
    facet = leaf.facets[0]
    spot = facet.polygon.representative_point().buffer(0.4)
    for wrong in (facet.polygon.difference(spot), found.sheets[number].facets[0].polygon):
        facets = (replace(facet, polygon=wrong), *leaf.facets[1:])
        sheets = (
            *change.sheets[:number],
            replace(leaf, facets=facets),
            *change.sheets[number + 1 :],
        )
        with pytest.raises(DesignError, match="not the one stated"):
            prove_allowed(found.sheets, replace(change, sheets=sheets))


# The gutter.

ART = """
[pieces.{side}]
kind = "flat"
on = "page.{side}"
x = {x}
y = 100
outline = {{ shape = "rectangle", length = 40, width = 60 }}
"""


def beside_gutter(gap):
    """A sheet of 0.4 mm on each page, so far from the gutter."""
    sides = [("left", -30 - gap), ("right", 30 + gap)]
    return read(HEAD.format(caliper=0.4) + "".join(ART.format(side=s, x=x) for s, x in sides))


@pytest.mark.parametrize("gap", [0.05, 0.15, 0.25, 1.0])
def test_what_lies_in_the_gutter_ends_as_far_from_it_as_half_a_half_circle_takes(gap):
    """Two of 0.4 mm: the pages take pi / 2 of 0.8 mm for the half circle, half of it each."""
    keep = np.pi / 4 * 0.8
    found = allowed(beside_gutter(gap))
    if keep - gap < LEAST_MM:
        assert not found.changes
        return
    # One of them reaches nearest, the other is as near: both are layers of one stack.
    assert {change.piece for change in found.changes} == {"left", "right"}
    for change in found.changes:
        assert -change.by == pytest.approx(keep - gap, abs=1e-6)
        assert "beside the gutter, which shuts over 2 layers" in told(change)
    for sheet in found.sheets[1:]:
        assert sheet.outline.area == pytest.approx(40 * (60 - (keep - gap)), abs=1e-6)


def test_each_side_of_a_flyleaf_has_a_gutter_of_its_own():
    """One sheet on either side of it: there is no stack of two in either."""
    text = HEAD.format(caliper=0.4) + '[pieces.fly]\nkind = "flyleaf"\nlies = "right"\n'
    for side, x in (("left", -30.05), ("right", 30.05)):
        text += ART.format(side=side, x=x)
    assert not [p for c in allowed(read(text)).changes for p in c.pinches]


def test_what_goes_through_the_gutter_is_judged_at_its_own_fold():
    """A flower's bed lies across it and is not cut in two there."""
    text = ROSE + LAYER.format(k=0, angle=60, length=30)
    changes = allowed(read(HEAD.format(caliper=0.4) + text)).changes
    assert not [p for change in changes for p in change.pinches if p.fold == "page.gutter"]


# The cut.


def halves():
    facets, crossings = cut(
        box(0, 0, 20, 10), [Fold("bend", (10, 0), (10, 10), 1)], {"a": (5, 5), "b": (15, 5)}
    )
    return Sheet("s", "s", Paper("card", 200, 0.3, "#ffffff", "#ffffff"), "", "", facets, crossings)


def test_a_strip_takes_its_area_and_shortens_the_fold():
    sheet = trimmed(halves(), {"a": [box(8, 7, 12, 12)], "b": [box(8, 7, 12, 12)]})
    assert sheet.outline.area == pytest.approx(200 - 4 * 3)
    assert sheet.crossings[0].fold.length == pytest.approx(7.0)


@pytest.mark.parametrize(
    ("strip", "why"),
    [
        (box(8, -1, 10, 11), "its own fold lies in that one"),
        (box(4, -1, 5, 11), "a would fall into pieces"),
        (box(-1, -1, 6, 11), "too little of a would be left"),
        (box(4, 4, 5, 6), "a hole would be cut into a"),
    ],
)
def test_what_can_not_be_cut_away_is_said(strip, why):
    with pytest.raises(CannotMove, match=why):
        trimmed(halves(), {"a": [strip]})


def test_paper_across_the_gutter_is_cut_as_designed_and_not_refused():
    """Once a strip in the middle of it made a hole, and the pattern took that for its own fault."""
    made = read(ACROSS)
    cut = allowed(made)
    (change,) = [c for c in cut.changes if c.piece == "water"]
    assert "a hole would be cut into it" in change.kept
    prove_allowed(made.sheets, cut)


ACROSS = """
title = "Creek"
[spread]
page = "A5"
[pieces.water]
kind = "flat"
on = "page.left"
x = 4
y = 6
anchor = "base"
paper = "card"
outline = { shape = "rectangle", length = 60, width = 110 }
[pieces.rush]
kind = "v-fold"
on = "gutter"
at = 60
page_angle = 48
panel_angle = 62
base = 17
paper = "card"
outline = { shape = "leaf", length = 52, width = 34 }
"""


def test_a_step_tells_layers_in_one_sentence_and_other_sheets_each():
    _, change = closed(5)
    (line,) = in_a_step(change.changes)
    assert line.startswith("Thickness: the l0 layer, l1 layer")
    assert f"within {max(c.tightest.keep for c in change.changes):.1f} mm" in line
    alone = allowed(flaps(0.5, 1)).changes
    assert [x.partition(":")[0] for x in in_a_step(alone)] == ["Thickness"]
