"""Which of two nearly parallel facets lies over the other, many pairs at once.

Judged pair by pair: the overlap by `shapely.affinity`, the heights from the plane's equation.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from shapely import affinity

from meshes.check import swap
from meshes.check.chord import meet
from meshes.check.facets import Facets, gather, padded_edges
from meshes.check.poses import Pose, poses_of, rotation_of
from meshes.check.swap import orders_of, swaps
from meshes.check.sweep import FacetPairs, Near, near_pairs
from meshes.linkage import link
from meshes.motion.result import Motion
from meshes.rectangle import smallest_rectangle
from tests.building.by_hand import page, sheet


def outline(rng: np.random.Generator) -> shapely.Polygon:
    """Any polygon, also one that is not convex, at times with a hole."""
    turns = np.sort(rng.uniform(0, 2 * np.pi, 9))
    reach = rng.uniform(4, 30, 9)
    shape = shapely.Polygon(np.column_stack([reach * np.cos(turns), reach * np.sin(turns)]))
    hole = shapely.Point(rng.uniform(-3, 3, 2)).buffer(1.5)
    return shape.buffer(0).difference(hole) if rng.random() < 0.4 else shape.buffer(0)


def judged(one: shapely.Geometry, two: shapely.Geometry, pose: Pose) -> int:
    """The order of a single pair."""
    turn, shift = pose.rotation, pose.translation
    entries = [*turn[0, :2], *turn[1, :2], *shift[:2]]
    area = affinity.affine_transform(one, entries).intersection(two)
    if area.area <= 1.0:
        return 0
    # The first facet's plane over a corner (x, y): n · ((x, y, z) - shift) = 0.
    normal = turn[:, 2]
    heights = [
        shift[2] - (normal[0] * (x - shift[0]) + normal[1] * (y - shift[1])) / normal[2]
        for x, y in shapely.get_coordinates(area)
    ]
    return int(min(heights) > 1e-3) - int(max(heights) < -1e-3)


@pytest.mark.parametrize("seed", range(4))
def test_every_pair_has_the_order_that_it_has_by_itself(seed: int) -> None:
    rng = np.random.default_rng(seed)
    polygons = tuple(outline(rng) for _ in range(12))
    # Only the outlines are asked for.
    facets = object.__new__(Facets)
    object.__setattr__(facets, "polygons", polygons)
    first, second = rng.integers(12, size=(2, 150))
    tilt = rng.normal(size=(150, 3)) * (0.02, 0.02, 1.5)
    shift = rng.normal(size=(150, 3)) * (15, 15, 0.3)
    pose = Pose(rotation_of(tilt), shift)
    found = orders_of(SimpleNamespace(facets=facets), first, second, pose)  # type: ignore[arg-type]
    expected = [
        judged(polygons[a], polygons[b], Pose(pose.rotation[k], pose.translation[k]))
        for k, (a, b) in enumerate(zip(first.tolist(), second.tolist(), strict=True))
    ]
    assert found.tolist() == expected
    assert {-1, 0, 1} == set(expected)
    for k in range(20):
        single = facets.shared(int(first[k]), int(second[k]), Pose(pose.rotation[k], shift[k]))
        entries = [*pose.rotation[k, 0, :2], *pose.rotation[k, 1, :2], *shift[k, :2]]
        moved = affinity.affine_transform(polygons[first[k]], entries)
        area = moved.intersection(polygons[second[k]]).area
        assert single.area == pytest.approx(area, abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_what_is_asked_quickly_agrees_with_the_order(seed: int) -> None:
    """Outlines that share no area, cross, or lie over each other somewhere, judged pair by pair."""
    rng = np.random.default_rng(seed)
    polygons = tuple(shapely.orient_polygons(outline(rng)) for _ in range(12))
    tail, head, edges = padded_edges(polygons)
    facets = object.__new__(Facets)
    columns = {"polygons": polygons, "tail": tail, "head": head, "edges": edges}
    columns["frame"] = np.array([smallest_rectangle(polygon) for polygon in polygons])
    for name, value in columns.items():
        object.__setattr__(facets, name, value)
    first, second = rng.integers(12, size=(2, 300))
    pose = Pose(
        rotation_of(rng.normal(size=(300, 3)) * (0.02, 0.02, 1.5)),
        rng.normal(size=(300, 3)) * (25, 25, 0.3),
    )
    pairs = SimpleNamespace(facets=facets)
    meets = swap._frames_meet(pairs, first, second, pose)
    sides = swap._side_somewhere(pairs, first, second, pose)
    crosses = meet(facets, first, second, pose).hit
    seen = set()
    for k, (a, b) in enumerate(zip(first.tolist(), second.tolist(), strict=True)):
        one = Pose(pose.rotation[k], pose.translation[k])
        order = judged(polygons[a], polygons[b], one)
        entries = [*one.rotation[0, :2], *one.rotation[1, :2], *one.translation[:2]]
        area = affinity.affine_transform(polygons[a], entries).intersection(polygons[b]).area
        assert meets[k] or area == 0.0
        assert not (crosses[k] and order)
        assert order == 0 or sides[k] in (0, order)
        assert sides[k] == 0 or area > 0.0
        seen.add((bool(meets[k]), bool(crosses[k]), order, int(sides[k])))
    # Each of these tells something here, and pairs are left of which nothing is told.
    assert {(False, False, 0, 0), (True, False, 1, 1), (True, False, -1, -1)} <= seen
    assert {one for one in seen if one[1]}
    assert (True, False, 0, 0) in seen


@pytest.mark.parametrize("seed", range(3))
def test_no_pair_that_changes_sides_is_left_out_for_its_bodies(seed: int) -> None:
    """Bodies of three outlines each at random places, judged facet by facet and place by place."""
    rng = np.random.default_rng(seed)
    polygons = tuple(outline(rng) for _ in range(12))
    facets = object.__new__(Facets)
    columns = {"polygons": polygons, "body": np.arange(12) // 3}
    columns["frame"] = np.array([smallest_rectangle(polygon) for polygon in polygons])
    for name, value in columns.items():
        object.__setattr__(facets, name, value)
    places, upside_down = 6, np.diag([1.0, -1.0, -1.0])
    turns = rotation_of(rng.normal(size=(places, 4, 3)) * (0.001, 0.001, 0.5))
    turns[:, 3] = turns[:, 3] @ upside_down
    # Two bodies stay over or under the others, two go to and fro.
    shifts = rng.normal(size=(places, 4, 3)) * (8, 8, 0.4) + np.array([[0, 0, 3], [0, 0, -3]] * 2)
    shifts[:, 2:, 2] = rng.normal(size=(places, 2)) * 0.4
    pairs = [(a, b) for a in range(12) for b in range(a + 1, 12) if a // 3 != b // 3]
    first, second = np.repeat(pairs, places - 1, axis=0).T
    step = np.tile(np.arange(places - 1), len(pairs))
    bodies = Pose(turns, shifts)
    near = Near(np.arange(places) * 0.1, bodies, facets.body, step, first, second)
    rows = np.arange(len(step))
    kept = swap._on_both_sides(SimpleNamespace(facets=facets), near, rows)  # type: ignore[arg-type]
    ends = near.at(rows, 0), near.at(rows, 1)
    orders: dict[tuple[int, int], set[int]] = {pair: set() for pair in pairs}
    for k, (a, b) in enumerate(zip(first.tolist(), second.tolist(), strict=True)):
        for pose in ends:
            one = Pose(pose.rotation[k], pose.translation[k])
            orders[a, b].add(judged(polygons[a], polygons[b], one))
    changes = np.array([{1, -1} <= orders[a, b] for a, b in zip(first, second, strict=True)])
    assert kept[changes].all()
    assert changes.any()
    assert not kept.all()


def moved(heights: list[float], aside: list[float]) -> tuple[FacetPairs, Near]:
    """A card over a larger one, so high and so far aside at each of some openings."""
    sheets = [
        page(),
        sheet("low", shapely.box(0, 0, 60, 60)),
        sheet("card", shapely.box(0, 0, 20, 20)),
    ]
    linkage = link(sheets, [])
    count, bodies = len(heights), len(linkage.bodies)
    low, card = (linkage.place(name)[0] for name in ("low.all", "card.all"))
    shifts = np.zeros((count, bodies, 3))
    shifts[:, low] = (20.0, 20.0, 300.0)
    shifts[:, card] = np.column_stack(
        [30.0 + np.array(aside), [35.0] * count, 300 + np.array(heights)]
    )
    motion = Motion(
        np.linspace(0.0, 1.0, count),
        np.ones(count, bool),
        np.tile(np.eye(3), (count, bodies, 1, 1)),
        shifts,
        np.zeros((count, 0)),
        np.zeros(count),
    )
    facets = gather(linkage, sheets, [])
    pairs = FacetPairs(facets, poses_of(motion))
    return pairs, near_pairs(facets, pairs.poses)


@pytest.mark.parametrize(
    ("heights", "aside", "at"),
    [
        # Between two places of the grid, at one, and with a rest over several.
        ([3, 2, 1, -1, -2, -3], [0] * 6, 0.5),
        ([3, 2, 0, -2, -3, -4], [0] * 6, 0.4),
        ([-3, -2, 0, 2, 3, 4], [0] * 6, 0.4),
        ([4, 2, 0, 0, 0, -2, -4], [0] * 7, 4 / 6),
        # Rests and goes back where it came from, or comes to rest, or leaves at last.
        ([3, 2, 0, 2, 3, 4], [0] * 6, None),
        ([3, 2, 1, 0, 0, 0], [0] * 6, None),
        ([0, 0, 0, -1, -2, -3], [0] * 6, None),
        # Gets round the other's edge while it lies in its plane.
        ([2, 0, 0, 0, 0, -2], [0, 0, 40, 80, 40, 0], None),
    ],
)  # fmt: skip
def test_a_card_that_goes_flat_through_another_is_found(
    heights: list[float], aside: list[float], at: float | None
) -> None:
    """A card can't get from above another to below it over their whole overlap but through it."""
    pairs, near = moved(heights, aside)
    found = [(pairs.facets.ids[s.first], pairs.facets.ids[s.second], s) for s in swaps(pairs, near)]
    if at is None:
        assert not found
        return
    ((one, two, change),) = found
    assert {one, two} == {"low.all", "card.all"}
    assert change.opening == pytest.approx(at, abs=0.21)
    assert change.area.area == pytest.approx(400.0)
