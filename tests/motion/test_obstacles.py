"""Free paper beside other paper: it rests against it, and never passes through it."""

from __future__ import annotations

import itertools
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from shapely.geometry import Point, Polygon, box

from meshes.check.case import Case
from meshes.check.clash import clash
from meshes.check.limits import Limits
from meshes.motion import resting
from meshes.motion.among.fence import PlatePairs
from meshes.motion.among.fenced import FencedRoamer, Stance, _Held
from meshes.motion.among.plates import PairStanding, Plates, convex_pieces, partings
from meshes.motion.free.rest import Rest
from meshes.motion.free.roam import Roamer
from meshes.motion.memory import Memory
from meshes.motion.solve import solve
from meshes.sheet import Fold
from tests.designs import by_day
from tests.specimens import Pile, carrier, tent, v_fold

DEGREES = np.radians(np.arange(181.0))
# From the gutter to the wall, from the wall to the fold of the flap, and the flap's length, mm.
WALL, ASIDE, LENGTH = 60.0, 20.0, 30.0


def flap(pile, rest_deg, hinge, at, length=LENGTH, right=True):
    """A flap on a page that leans towards the gutter when it is pressed down."""
    fold = Fold("fold", (10.0, 0.0), (10.0, 20.0), -1, np.radians(rest_deg))
    labels = {"tab": (5.0, 10.0), "leaf": (15.0, 10.0)}
    pile.add("flap", box(0, 0, 10 + length, 20), [fold], labels)
    page = pile.gutter.right if right else pile.gutter.left
    ends = [(hinge, at + 20), (hinge, at)] if right else [(-hinge, at), (-hinge, at + 20)]
    pile.glue("flap.tab", page, [(10, 0), (10, 20)], ends)


def walled(height, rest_deg=20.0, right=True, wall=True):
    """A flap on one page beside the panel of a parallelogram, which stands at the opening angle."""
    pile = Pile()
    if wall and right:
        carrier(pile, "wall", pile.gutter, 40, WALL, height, 40)
    if wall and not right:
        tent(pile, "wall", pile.gutter, 40, (height, WALL), (WALL, height), 40)
    flap(pile, rest_deg, WALL + ASIDE, 50, right=right)
    return pile


def angles_of(pile, openings=DEGREES):
    linkage = pile.linkage
    motion = solve(linkage, openings)
    fold = [hinge.name for hinge in linkage.hinges].index("flap.fold")
    return motion, -motion.angles[:, fold]


def clashes(pile):
    linkage = pile.linkage
    motion = solve(linkage, DEGREES)
    findings, _ = clash(Case("", pile.sheets, pile.joins, linkage, motion), Limits())
    return [finding for finding in findings if finding.kind in ("clashes", "changes sides")]


def leaning(opening, height):
    """Angle from the page at which a flap of LENGTH touches the wall, by plane trigonometry.

    Flap and wall are rays from two points ASIDE apart, the wall at the opening angle. The tip
    touches the wall where the law of sines gives the third side of that triangle as LENGTH, if the
    wall is that high; else the flap lies on the wall's top.
    """
    top = np.arctan2(height * np.sin(opening), ASIDE - height * np.cos(opening))
    sine = ASIDE * np.sin(opening) / LENGTH
    tip = np.pi - opening - np.arcsin(np.minimum(sine, 1.0))
    along = LENGTH * np.sin(tip) / np.sin(opening)
    return np.where((sine < 1) & (along <= height) & (tip > 0), tip, top)


@pytest.mark.parametrize("height", [25.0, 40.0])
def test_a_flap_that_wants_to_lie_past_a_wall_rests_against_it(height):
    motion, angles = angles_of(walled(height))
    assert motion.solved.all()
    assert motion.findings == ()
    assert motion.gaps.max() < 1e-9
    for degrees in (15, 45, 60, 90, 110, 120):
        expected = max(np.radians(20.0), float(leaning(np.radians(degrees), height)))
        assert angles[degrees] == pytest.approx(expected, abs=1e-8)
    # Where the wall has leant back far enough the spring alone decides.
    assert np.degrees(angles[170]) == pytest.approx(20, abs=1e-6)


def test_the_same_flap_lies_down_where_no_wall_stands():
    motion, angles = angles_of(walled(40, wall=False))
    assert motion.solved.all()
    assert np.degrees(angles[60:]).max() == pytest.approx(20, abs=1e-6)


def test_a_wall_that_the_spring_does_not_lean_on_changes_nothing():
    _, beside = angles_of(walled(40, rest_deg=150))
    _, alone = angles_of(walled(40, rest_deg=150, wall=False))
    # Nearly shut, the wall folds down on the flap and presses it on.
    np.testing.assert_allclose(beside[20:], alone[20:], atol=1e-9)
    assert beside[5] > alone[5]


def test_a_mirrored_design_leans_as_the_mirror_image():
    _, right = angles_of(walled(40), DEGREES[::15])
    _, left = angles_of(walled(40, right=False), DEGREES[::15])
    np.testing.assert_allclose(left, right, atol=1e-8)


def test_one_opening_gives_what_a_sweep_gives_beside_a_wall():
    _, swept = angles_of(walled(40))
    _, alone = angles_of(walled(40), np.radians([73.0]))
    assert alone[0] == pytest.approx(swept[73], abs=1e-7)


def test_leaning_paper_has_no_clash_in_the_check_report():
    assert clashes(walled(40)) == []


@pytest.mark.parametrize("at", by_day([40.0, 60.0, 80.0], [40.0]))
def test_a_flap_leans_on_the_slanting_edge_of_a_v_fold(at):
    """Edge across edge: no corner of either sheet meets the other."""
    pile = Pile()
    quarter, third = (float(np.radians(angle)) for angle in (45, 60))
    v_fold(pile, "v", pile.gutter, 60, (quarter, quarter), (third, third), 40, 60)
    flap(pile, 20, 60, at, 40)
    motion, _ = angles_of(pile)
    assert motion.solved.all()
    assert [f.kind for f in motion.findings if f.kind != "two-branches"] == []
    assert clashes(pile) == []


def test_a_flap_caught_between_a_page_and_a_low_wall_is_told_to_jam_there():
    """Its tip is on the left page and it lies on the wall: both angles agree at one opening."""
    pile = walled(15)
    motion, _ = angles_of(pile)
    (finding,) = [one for one in motion.findings if one.kind == "jam"]
    assert (finding.fold, finding.obstacle) == ("flap.fold", "wall")
    assert "stopped by wall" in finding.reason
    assert finding.gap > 1
    opening = finding.opening
    lean = np.arctan2(15 * np.sin(opening), ASIDE - 15 * np.cos(opening))
    reach, rise = WALL + ASIDE - LENGTH * np.cos(lean), LENGTH * np.sin(lean)
    assert np.degrees(np.arctan2(rise, reach)) == pytest.approx(np.degrees(opening), abs=0.02)
    # The pictures go on, and the check shows what is in the way.
    assert motion.solved.all()
    assert clashes(pile) != []


@pytest.mark.night
def test_paper_that_could_lie_on_both_sides_takes_the_one_that_gets_through():
    pile = Pile()
    quarter, third = (float(np.radians(angle)) for angle in (45, 60))
    v_fold(pile, "v", pile.gutter, 60, (quarter, quarter), (third, third), 40, 60)
    flap(pile, 20, 60, 80, 40)
    motion, _ = angles_of(pile)
    (finding,) = motion.findings
    assert (finding.kind, finding.obstacle) == ("two-branches", "v")
    assert "both sides of v" in finding.reason


@pytest.mark.night
def test_pleats_of_one_strip_rest_against_each_other():
    """The last pleat wants to pass through the first; its end lies on it, by the law of sines."""
    pile = Pile()
    widths, rests = (30.0, 12.0, 20.0), np.radians([60.0, 130.0, 130.0])
    edges = np.cumsum([10.0, *widths])
    folds = [
        Fold(f"fold-{k}", (x, 0.0), (x, 20.0), -1, rest)
        for k, (x, rest) in enumerate(zip(edges[:-1].tolist(), rests.tolist(), strict=True))
    ]
    names = {name: (x - 2.0, 10.0) for name, x in zip("tabc", edges.tolist(), strict=True)}
    pile.add("curl", box(0, 0, float(edges[-1]), 20), folds, names)
    pile.glue("curl.t", pile.gutter.right, [(10, 0), (10, 20)], [(100, 70), (100, 50)])
    linkage = pile.linkage
    motion = solve(linkage, DEGREES)
    assert motion.solved.all()
    assert motion.gaps.max() < 1e-9
    for degrees in (30, 90, 150):
        first, second = np.pi + motion.angles[degrees, 1:]
        assert widths[2] * np.sin(np.pi - first - second) == pytest.approx(
            widths[1] * np.sin(first), abs=1e-6
        )
    case = Case("", pile.sheets, pile.joins, linkage, solve(linkage, DEGREES[20:]))
    assert [finding.kind for finding in clash(case, Limits())[0]] == []


def random_triangle(random):
    corners = random.normal(size=(3, 3)) * 10
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    return corners, normal / np.linalg.norm(normal)


def test_plates_cross_exactly_where_no_plane_parts_them():
    """The separating axis theorem: disjoint convex sets have a plane between them."""
    random = np.random.default_rng(4)
    crossed = 0
    for _ in range(400):
        one, two = random_triangle(random), random_triangle(random)
        depth = float(PairStanding.of(*one, *two).depths)
        gap = partings(*one, *two)[0].gap
        assert (depth > 0) == (gap < 0)
        # No way to part them is shorter than the clearest plane demands.
        assert depth == 0 or depth > -gap - 1e-9
        crossed += depth > 0
    assert 40 < crossed < 360


def test_no_pair_of_plates_is_left_out_that_meets_on_the_way():
    """A flower of many small pieces of art once took a minute, since all pairs were compared."""
    random = np.random.default_rng(6)
    rims = [random.normal(size=(3, 2)) * random.uniform(3, 12) for _ in range(24)]
    plates = Plates.join([(k, "paper", rim) for k, rim in enumerate(rims)])
    members = np.array(list(itertools.combinations(range(24), 2))).T
    joined = np.zeros((2, members.shape[1], 3), bool)
    pairs = PlatePairs(None, members, plates, members, joined)
    met = left_out = 0
    for _ in range(12):
        first = Rotation.random(24, random)
        # Steps are small: between poses far apart the faces of a plate no longer look its way.
        then = Rotation.from_rotvec(random.normal(0.0, 0.15, (24, 3))) * first
        turns = first.as_matrix(), then.as_matrix()
        place = random.uniform(-25, 25, (24, 3))
        places = place, place + random.normal(0.0, 6.0, (24, 3))
        before, after = (
            SimpleNamespace(rotations=turn, translations=place)
            for turn, place in zip(turns, places, strict=True)
        )
        near = pairs.near(before, after)
        meets = np.flatnonzero(pairs.meet(before, after, np.arange(members.shape[1])))
        assert np.isin(meets, near).all()
        assert np.array_equal(pairs.depths(after), pairs.standing(after).depths)
        met, left_out = met + len(meets), left_out + members.shape[1] - len(near)
    assert met > 40
    assert left_out > 300


@pytest.mark.parametrize(("shift", "sides"), [(0.0, 0), (30.0, 1), (-30.0, -1)])
def test_plates_that_cross_stand_on_no_side_of_each_other(shift, sides):
    """Two squares of 20 mm, one upright across the other; slid along the line where their planes
    meet they part there, one way or the other, while each still reaches through the other's plane.
    """  # fmt: skip
    square = np.array([[-10.0, -10, 0], [10, -10, 0], [10, 10, 0], [-10, 10, 0]])
    upright = square[:, [2, 0, 1]] + [0, shift, 0]
    found = PairStanding.of(square, np.array([0, 0, 1.0]), upright, np.array([1.0, 0, 0]), 0.01)
    assert float(found.depths) == pytest.approx(10.0 if sides == 0 else 0.0)
    assert found.sides.tolist()[:2] == [0, 0]
    # The one that goes on along the line, which runs either way, is behind the other on it.
    assert abs(int(found.sides[2])) == abs(sides)
    other = PairStanding.of(
        square, np.array([0, 0, 1.0]), upright - [0, 2 * shift, 0], np.array([1.0, 0, 0]), 0.01
    )
    assert int(found.sides[2]) == -int(other.sides[2])


@pytest.mark.parametrize(
    ("jump", "leans", "past"), [(0.5, True, "wall"), (0.5, False, ""), (0.0, True, None)]
)
def test_a_snap_is_told_with_the_paper_that_it_gets_past(jump, leans, past):
    """Paper that leans on a wall up to 47.3 degrees and has sprung off it from there on; what
    moves no faster than the pages does not snap, off a wall or not.
    """  # fmt: skip
    roamer = object.__new__(FencedRoamer)
    edge = float(np.radians(47.3))

    def stance(opening, last=None, guess=None):
        before = opening < edge
        rest = Rest(np.array([opening + (0.0 if before else jump)]), 0.0, np.zeros(0, int))
        on = frozenset({3}) if leans and before else frozenset()
        return Stance(opening, rest, None, None, {}, on)

    class Flap:
        hinges = (7,)

    class Plates:
        def pieces(self, pair):
            return "flap", {3: "wall"}[pair]

    roamer.block, roamer.pairs, roamer.advance = Flap(), Plates(), stance
    roamer.stances = {k: stance(float(np.radians(at))) for k, at in enumerate((45.0, 50.0))}
    snap = roamer._narrow(0, 1)
    assert (snap and snap.past) == past
    if snap is not None:
        assert snap.hinge == 7
        assert np.degrees(snap.opening) == pytest.approx(47.3, abs=0.02)
        assert snap.jump == pytest.approx(jump, abs=1e-3)


def test_small_steps_past_a_narrow_place_grow_again():
    """Five degrees, of which a tenth asks for steps of a hundredth: not 400 more of these."""
    roamer = object.__new__(FencedRoamer)
    tried = []

    def advance(opening, last, guess=None):
        tried.append(opening)
        narrow = np.degrees(last.opening) < 1.1 and np.degrees(opening) > 1.0
        fits = abs(opening - last.opening) < np.radians(0.01 if narrow else 3.0)
        return replace(last, opening=opening) if fits else None

    roamer.advance = advance
    rest = Rest(np.zeros(1), 0.0, np.zeros(0, int))
    first = Stance(0.0, rest, None, None, {}, frozenset())
    reached = roamer._creep(float(np.radians(5.0)), first)
    assert reached.opening == np.radians(5.0)
    assert len(tried) < 80


def test_paper_that_takes_too_much_work_is_told_not_to_be_followed(monkeypatch):
    """What is not known is told as not known: neither as a jam nor as no trouble at all."""
    whole, _ = angles_of(walled(40), DEGREES[::10])
    assert whole.findings == ()
    told = set()
    for poses in (0, 1, 5, 40, 10_000):
        monkeypatch.setattr(resting, "MOST_WORK", poses * (2000 + 1))
        motion, _ = angles_of(walled(40), DEGREES[::10])
        assert motion.solved.all()
        kinds = [one.kind for one in motion.findings]
        if kinds:
            (finding,) = motion.findings
            assert (finding.kind, finding.fold, finding.obstacle) == (
                "not-followed",
                "flap.fold",
                "wall",
            )
            assert finding.gap > 1
        else:
            np.testing.assert_array_equal(motion.angles, whole.angles)
        told.add(bool(kinds))
    assert told == {True, False}


def test_a_memory_without_patience_has_nothing_led_past_other_paper():
    pile = walled(40)
    hasty, usual = Memory(0.0), Memory()
    given_up = solve(pile.linkage, DEGREES[::10], memory=hasty)
    assert [finding.kind for finding in given_up.findings] == ["not-followed"]
    assert solve(pile.linkage, DEGREES[::10], memory=usual).findings == ()
    assert hasty.copy().patience == hasty.patience < usual.patience
    assert hasty.rests < usual.rests


@pytest.mark.parametrize("brief", [False, True])
def test_a_brief_look_for_a_start_leaves_out_openings_and_random_poses(brief):
    looked = []

    class Nowhere:
        def start(self, rings, random=False):
            looked.append(random)

    block = SimpleNamespace(start=np.radians(120.0))
    roamer = Roamer(block, np.radians(np.arange(0.0, 181.0, 30)), None, None, [], brief)
    roamer._springs = lambda opening: Nowhere()
    assert roamer._begin() is None
    assert looked == ([False] * 2 if brief else [False] * 5 + [True] * 5)


def test_paper_gives_way_by_the_fence_that_is_easiest():
    """Whichever pair it belongs to, and only for the first eight; other fences stay as they are."""
    roamer = object.__new__(FencedRoamer)
    effort = {"kept": 5.0, "low": 2.0, "high": 9.0, "far": -10.0}

    class Plates:
        def choices(self, pair, pose):
            return {3: ["high"], 4: ["low"]}.get(pair, ["far"] if pair > 9 else [])

    def rest_within(closure, fences, starts):
        energy = sum(effort[fence] for fence in fences.values())
        return _Held(Rest(np.zeros(1), energy, np.zeros(0, int)), None, fences)

    roamer.pairs, roamer._rest_within = Plates(), rest_within
    last = Stance(0.0, Rest(np.zeros(1), 0.0, np.zeros(0, int)), None, None, {}, frozenset())
    fences = {1: "kept", 3: "high", 4: "high"}
    found = roamer._otherwise(None, last, fences, [3, 4], [])
    assert found.fences == {1: "kept", 3: "high", 4: "low"}
    many = roamer._otherwise(None, last, {4: "high"}, [*range(2, 10), 10], [])
    assert many.fences == {4: "low"}
    # One pair alone must be parted by another fence than before.
    assert roamer._otherwise(None, last, {4: "kept"}, [3], []).fences == {4: "kept", 3: "high"}


@pytest.mark.parametrize(
    "shape",
    [
        box(0, 0, 20, 20).difference(box(8, 5, 12, 15)),
        Point(0, 0).buffer(20).difference(Point(15, 0).buffer(12)),
        Polygon([(0, 0), (30, 0), (30, 30), (15, 5), (0, 30)]),
    ],
)
def test_convex_pieces_cover_a_facet_and_leave_its_holes_open(shape):
    pieces = [Polygon(rim) for rim in convex_pieces(shape)]
    assert all(piece.convex_hull.area - piece.area < 1e-6 for piece in pieces)
    assert sum(piece.area for piece in pieces) == pytest.approx(shape.area, rel=2e-3)
    assert all(piece.difference(shape.buffer(0.05)).area < 1e-9 for piece in pieces)


def pleats(count, first, at):
    """A strip glued to a page by one end, pleated from its first fold on: valley -1, mountain 1."""
    pile, wide = Pile(), 6.0
    folds = [
        Fold(f"fold-{k}", (wide * k, 0.0), (wide * k, 20.0), first * (-1) ** (k + 1), np.pi / 2)
        for k in range(1, count + 1)
    ]
    labels = {f"pleat-{k}": (wide * (k + 0.5), 10.0) for k in range(count + 1)}
    pile.add("strip", box(0, 0, wide * (count + 1), 20), folds, labels)
    pile.glue("strip.pleat-0", pile.gutter.right, [(0, 0), (0, 20)], [(at, 50), (at, 70)])
    return pile


@pytest.mark.parametrize("count", [6, 20])
def test_a_fold_that_leads_through_its_page_is_held_flat_by_it(count):
    """Once the pleats went through the page, and were then told not to come to lie flat.

    A mountain next to glue on the front of a page can't move, so that the rest is a strip with one
    pleat fewer.
    """
    openings = np.radians([0.0, 0.05, 1.0, 30.0, 90.0, 150.0, 180.0])
    angles = []
    for first, pile in ((1, pleats(count, 1, 70)), (-1, pleats(count - 1, -1, 76))):
        linkage = pile.linkage
        motion = solve(linkage, openings)
        assert motion.solved.all()
        assert not [finding for finding in motion.findings if finding.kind != "snap"]
        if first == 1:
            assert np.abs(motion.angles[:, 0]).max() < 1e-6
            # No paper behind the right page, which is tilted by half of what is missing to 180.
            tilt = (np.pi - openings[:, None]) / 2
            for k, body in enumerate(linkage.bodies[2:], 2):
                corners = np.asarray(body.parts[0].polygon.exterior.coords) @ np.eye(2, 3)
                turned = corners @ np.swapaxes(motion.rotations[:, k], -1, -2)
                x, _, z = np.moveaxis(turned + motion.translations[:, k, None], -1, 0)
                assert (np.sin(tilt) * x - np.cos(tilt) * z).max() < 1e-6
        angles.append(motion.angles[:, 1:] if first == 1 else motion.angles)
    # Both rest at their springs, and both lie flat when the spread is shut.
    np.testing.assert_allclose(np.abs(angles[0][2:]), np.abs(angles[1][2:]), atol=1e-6)
    assert np.abs(angles[0][0]).max() < 1e-6
