"""Clashes against the volume that two thickened facets share.

The judge is manifold3d (github.com/elalish/manifold), a boolean engine for solids that knows
nothing of chords. Two sheets that pass through each other share volume however thin they are cut;
two that only come near share none once they are thinner than the gap.
"""

from __future__ import annotations

import manifold3d
import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon, box

from meshes.check.chord import chords, meet
from meshes.check.facets import Anchors, Facets, padded_edges
from meshes.check.poses import Pose
from meshes.rectangle import smallest_rectangle

PAIRS = 300
# Half thickness of the solids: a push of 0.05 mm must show in them.
HALF_MM = 0.002
DEEP_MM = 0.05


def star(random, concave):
    """A random polygon round the origin, 15 to 45 mm."""
    count = int(random.integers(4, 10))
    angles = np.sort(random.uniform(0, 2 * np.pi, count))
    radii = random.uniform(15, 45, count) if concave else np.full(count, 30.0)
    polygon = Polygon(np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1))
    return polygon if polygon.is_valid and polygon.area > 50 else box(-20, -15, 20, 15)


def rotation(random):
    q = random.normal(size=4)
    w, x, y, z = q / np.linalg.norm(q)
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


def pair(seed):
    """Two facets, every third with a hole, and the first one's pose seen from the second."""
    random = np.random.default_rng(seed)
    polygons = [star(random, concave=bool(k)) for k in (seed % 2, 1)]
    if seed % 3 == 0:
        polygons[1] = polygons[1].difference(box(-6, -4, 6, 4))
        polygons[1] = max(shapely.get_parts(polygons[1]), key=lambda part: part.area)
    return polygons, Pose(rotation(random), random.uniform(-25, 25, 3))


def facets_of(polygons):
    tail, head, edges = padded_edges(polygons)
    frames = [smallest_rectangle(p) for p in polygons]
    none = Anchors((), ())
    return Facets(
        ("a.flat", "b.flat"), ("a", "b"), np.array([0, 1]), tuple(polygons), tail, head, edges,
        np.array(frames), np.array([False, False]), np.full(2, 0.25), np.zeros(2), (none, none),
        ("a.flat", "b.flat"),
    )  # fmt: skip


def slab(polygon, pose=None):
    """A solid of a facet, `HALF_MM` to both sides of it."""
    rings = [np.asarray(ring.coords)[:-1] for ring in (polygon.exterior, *polygon.interiors)]
    section = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    solid = manifold3d.Manifold.extrude(section, 2 * HALF_MM).translate((0, 0, -HALF_MM))
    if pose is not None:
        solid = solid.transform(np.column_stack([pose.rotation, pose.translation]))
    return solid


def test_no_clash_deeper_than_a_twentieth_is_missed_and_none_is_made_up():
    met = clear = 0
    for seed in range(PAIRS):
        polygons, pose = pair(seed)
        facets = facets_of(polygons)
        push = max((chord.push for chord in chords(facets, 0, 1, pose)), default=0.0)
        shared = (slab(polygons[0], pose) ^ slab(polygons[1])).volume()
        if push > DEEP_MM:
            met += 1
            assert shared > 0, f"pair {seed}: {push:.3f} mm deep, but the solids are clear"
        elif push == 0:
            clear += 1
            # Slabs have a thickness, so a volume as small as theirs is no crossing.
            assert shared < 40 * (2 * HALF_MM) ** 2 / np.sin(0.02), f"pair {seed}"
    assert met > 80
    assert clear > 80


def test_chord_length_is_that_of_the_shared_solid():
    """Two slabs of thickness t that cross at an angle share t² / sin(angle) times the chord."""
    tested = 0
    for seed in range(PAIRS):
        polygons, pose = pair(seed)
        found = chords(facets_of(polygons), 0, 1, pose)
        if len(found) != 1 or found[0].push < 1 or found[0].sine < 0.3:
            continue
        tested += 1
        shared = (slab(polygons[0], pose) ^ slab(polygons[1])).volume()
        expected = found[0].length * (2 * HALF_MM) ** 2 / found[0].sine
        assert shared == pytest.approx(expected, rel=0.02)
    assert tested > 50


def test_screening_agrees_with_the_exact_chord():
    """The test that runs over whole arrays finds the pairs that have a chord, and only those."""
    for seed in range(PAIRS):
        polygons, pose = pair(seed)
        facets = facets_of(polygons)
        row = Pose(pose.rotation[None], pose.translation[None])
        result = meet(facets, np.array([0]), np.array([1]), row)
        found = chords(facets, 0, 1, pose)
        assert bool(result.hit[0]) == bool(found), f"pair {seed}"
        if found:
            assert result.bound[0] >= max(chord.push for chord in found) - 1e-9


def test_rotation_vectors_agree_with_scipy():
    """Against ``scipy.spatial.transform.Rotation``, from a billionth of a radian to half a turn."""
    from scipy.spatial.transform import Rotation

    from meshes.check.poses import rotation_of, vector_of

    random = np.random.default_rng(2)
    for size in (1e-9, 1e-4, 0.1, 0.5, 1.0, 1.8):
        turns = Rotation.from_rotvec(size * random.uniform(-1, 1, (50, 3)))
        assert np.abs(vector_of(turns.as_matrix()) - turns.as_rotvec()).max() < 1e-14
        assert np.abs(rotation_of(turns.as_rotvec()) - turns.as_matrix()).max() < 1e-14
