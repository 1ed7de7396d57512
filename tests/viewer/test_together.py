"""All paper as one mesh, for coarse pictures: its faces are those of the sheets, where these are.

The judge is shapely: the triangles of a facet, turned back into its plane, cover what its outline
does.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from typing import Any

import numpy as np
import shapely

from tests.required import NODE_MODULES, need

SOURCES = NODE_MODULES.parent / "source"
# How far an outline may be simplified, mm; as paper.js has it.
NEAR_MM = 0.2
SCRIPT = """
import {{ Mesh, MeshBasicMaterial }} from "{three}";
import {{ Slabs }} from "{sources}/paper.js";
import {{ Together }} from "{sources}/together.js";
const together = new Together();
const meshes = {facets}.map(({{ facet, matrix, layer, seen, marked }}) => {{
  const slabs = new Slabs();
  slabs.add(facet);
  const mesh = new Mesh(slabs.geometry(), new MeshBasicMaterial());
  mesh.material.polygonOffsetUnits = layer;
  mesh.matrix.fromArray(matrix);
  mesh.visible = seen;
  mesh.userData = {{ sheets: [facet], lines: {{ visible: marked }} }};
  return mesh;
}});
const before = meshes.map(({{ visible }}) => visible);
together.gather(meshes);
const undo = together.show();
const during = meshes.map(({{ visible }}) => visible);
const {{ attributes }} = together.mesh.geometry;
const values = Object.entries(attributes).map(([name, one]) => [name, [...one.array]]);
const {{ drawRange }} = together.mesh.geometry;
const whole = meshes.map(({{ geometry }}) => geometry.attributes.position.count);
const drawn = {{ ...drawRange }};
undo();
const after = meshes.map(({{ visible }}) => visible);
const own = together.mesh.visible;
const found = {{ before, during, after, whole, drawn, own, ...Object.fromEntries(values) }};
console.log(JSON.stringify(found));
"""


def blob(random: np.random.Generator, corners: int, size: float) -> list[list[float]]:
    """A star-shaped ring of many corners, as curved outlines have them."""
    angles = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    waves = sum(
        random.uniform(0, 0.1) * np.cos(k * angles + random.uniform(0, 6)) for k in (2, 3, 5)
    )
    radius = size * (1 + waves)
    return np.column_stack([radius * np.cos(angles), radius * np.sin(angles)]).tolist()


def facet(random: np.random.Generator, k: int) -> dict[str, Any]:
    rings = [blob(random, int(random.integers(40, 160)), random.uniform(15, 40))]
    if k % 3 == 0:
        rings.append(blob(random, 40, 6)[::-1])
    turn, _ = np.linalg.qr(random.normal(size=(3, 3)))
    turn[:, 2] *= np.linalg.det(turn)
    matrix = np.eye(4)
    matrix[:3, :3], matrix[:3, 3] = turn, random.uniform(-90, 90, 3)
    return {
        "facet": {
            "rings": [np.ravel(ring).tolist() for ring in rings],
            "up": int(random.choice([1, -1])),
            "z": float(random.uniform(0, 2)),
            "caliper": 0.3,
            "front": f"#{random.integers(16**6):06x}",
            "back": f"#{random.integers(16**6):06x}",
            "core": "",
            "through": 0.2,
            "art": [],
        },
        "matrix": matrix.T.ravel().tolist(),
        "layer": -k,
        "seen": k % 5 != 4,
        "marked": k % 7 == 6,
    }


def linear(colour: str) -> np.ndarray:
    """Source: IEC 61966-2-1, sRGB."""
    coded = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def test_one_mesh_has_all_sheets_that_are_seen() -> None:
    need(shutil.which("node"), "the program node")
    random = np.random.default_rng(11)
    facets = [facet(random, k) for k in range(14)]
    three = NODE_MODULES / "three" / "build" / "three.module.js"
    script = SCRIPT.format(three=three, sources=SOURCES, facets=json.dumps(facets))
    words = ["node", "--no-warnings", "--input-type=module", "-e", script]
    run = subprocess.run(words, capture_output=True, text=True, check=True, timeout=60)
    found = json.loads(run.stdout)
    together = [one["seen"] and not one["marked"] for one in facets]
    assert found["before"] == found["after"] == [one["seen"] for one in facets]
    assert found["during"] == [one["seen"] and one["marked"] for one in facets]
    assert not found["own"]
    points = np.array(found["position"]).reshape(-1, 3, 3)
    normals = np.array(found["normal"]).reshape(-1, 3, 3)
    colours = np.array(found["color"]).reshape(-1, 3, 3)
    layers = np.array(found["layer"]).reshape(-1, 3)
    assert len(points) * 3 < 0.3 * sum(found["whole"])
    seen = np.arange(len(points)) < found["drawn"]["count"] // 3
    assert found["drawn"]["start"] == 0
    for one in (one for one, shown in zip(facets, together, strict=True) if shown):
        own = (layers == one["layer"]).all(axis=1)
        matrix = np.array(one["matrix"]).reshape(4, 4).T
        flat = (points[own] - matrix[:3, 3]) @ matrix[:3, :3]
        up = (normals[own] @ matrix[:3, :3])[:, 0, 2]
        rings = [np.reshape(ring, (-1, 2)) for ring in one["facet"]["rings"]]
        outline = shapely.Polygon(rings[0], rings[1:])
        front, back = one["facet"]["front"], one["facet"]["back"]
        sides = (front, back) if one["facet"]["up"] > 0 else (back, front)
        z, half = one["facet"]["z"], one["facet"]["caliper"] / 2
        for height, which, colour in (
            (z + half, seen[own] & (up > 0), sides[0]),
            (z - half, seen[own] & (up < 0), sides[1]),
            (z, ~seen[own], None),
        ):
            corners = flat[which]
            assert np.abs(corners[..., 2] - height).max() < 1e-4
            triangles = shapely.polygons(corners[..., :2])
            covered = shapely.union_all(triangles, grid_size=1e-6)
            assert abs(shapely.area(triangles).sum() - covered.area) < 0.01
            assert covered.buffer(NEAR_MM + 1e-3).covers(outline)
            assert outline.buffer(NEAR_MM + 1e-3).covers(covered)
            if colour:
                assert np.abs(colours[own][which] - linear(colour)).max() < 1e-6
                turned = np.cross(*np.moveaxis(np.diff(corners, axis=1), 1, 0))[:, 2]
                assert (np.sign(turned) == np.sign(height - z)).all(), "it is seen from its side"
    assert set(layers.ravel()) == {
        one["layer"] for one, shown in zip(facets, together, strict=True) if shown
    }
