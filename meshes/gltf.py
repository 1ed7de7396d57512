"""Animated glTF 2.0 (binary): one node for each body, moved by keys over the opening.

Written by hand against the glTF 2.0 specification of the Khronos Group, since the libraries at
hand write no animation. Coordinates become metres with y up, as section 3.4 asks:
(x, y, z) mm -> (x, z, -y) / 1000.
"""

from __future__ import annotations

import json
import os
import struct
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import shapely

from meshes.linkage import Body, Linkage, Part
from meshes.motion.keys import Keys, choose_keys
from meshes.motion.result import Motion

SECONDS = 4.0
# Cut edges show the pulp: the mean of both sides, a little darker.
EDGE_SHADE = 0.8
CLEAR_ALPHA = 0.25

_FLOAT, _UINT = 5126, 5125
_ARRAY, _ELEMENTS = 34962, 34963


class Moves(Protocol):
    """What can be written: a spread, or anything with a linkage that can be solved."""

    @property
    def linkage(self) -> Linkage:
        """Bodies and hinges."""

    def solve(self, openings: np.ndarray) -> Motion:
        """Poses at openings in radians, ascending."""


def write_glb(path: Path, spread: Moves, motion: Motion) -> None:
    """Write the opening of a spread as one animation of four seconds.

    Parameters
    ----------
    motion : 1° apart or denser; keys are chosen from it, and solved in between where it is too
        coarse, so that no point is more than 0.05 mm from the solved pose.

    Raises
    ------
    ValueError
        If fewer than two openings are solved.
    """
    keys = choose_keys(spread.linkage.bodies, motion, spread.solve)
    data = glb(spread.linkage.bodies, keys)
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        beside.write_bytes(data)
        os.replace(beside, path)
    finally:
        beside.unlink(missing_ok=True)


def glb(bodies: Sequence[Body], keys: Keys) -> bytes:
    """The bytes of a GLB file: header, JSON chunk, BIN chunk (glTF 2.0 section 4)."""
    chunk = _Chunk()
    materials: dict[tuple[str, bool], int] = {}
    nodes: list[dict[str, Any]] = [{"name": "spread", "children": list(range(1, len(bodies) + 1))}]
    meshes = []
    for b, body in enumerate(bodies):
        meshes.append({"name": body.name, "primitives": _primitives(body, chunk, materials)})
        nodes.append(
            {
                "name": body.name,
                "mesh": b,
                "rotation": _turn(keys.quaternions[0, b]).tolist(),
                "translation": _metres(keys.translations[0, b]).tolist(),
                "extras": {"facets": [part.id for part in body.parts]},
            }
        )
    document = {
        "asset": {"version": "2.0", "generator": "foldstage"},
        "scene": 0,
        "scenes": [{"name": "spread", "nodes": [0]}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": [_material(colour, clear) for colour, clear in materials],
        "animations": [_animation(keys, chunk)],
        "accessors": chunk.accessors,
        "bufferViews": chunk.views,
        "buffers": [{"byteLength": len(chunk.data)}],
    }
    return _pack(document, bytes(chunk.data))


def linear(colour: str) -> tuple[float, float, float]:
    """A colour ``#rrggbb`` in linear light, 0 to 1 (IEC 61966-2-1, the sRGB curve)."""
    coded = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    light = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    red, green, blue = (float(value) for value in light)
    return red, green, blue


def edge_colour(front: str, back: str) -> str:
    """Colour of a cut edge between two sides, all ``#rrggbb``."""
    pairs = [(int(front[k : k + 2], 16), int(back[k : k + 2], 16)) for k in (1, 3, 5)]
    return "#" + "".join(f"{round((a + b) / 2 * EDGE_SHADE):02x}" for a, b in pairs)


@dataclass
class _Chunk:
    """The BIN chunk while it grows, with the views and accessors into it."""

    data: bytearray = field(default_factory=bytearray)
    views: list[dict[str, Any]] = field(default_factory=list)
    accessors: list[dict[str, Any]] = field(default_factory=list)

    def add(self, values: np.ndarray, kind: str, target: int | None = None) -> int:
        """Append an array, its rows the elements; returns the index of its accessor."""
        whole = np.ascontiguousarray(values, "<u4" if target == _ELEMENTS else "<f4")
        view: dict[str, Any] = {
            "buffer": 0,
            "byteOffset": len(self.data),
            "byteLength": whole.nbytes,
        }
        if target is not None:
            view["target"] = target
        self.data += whole.tobytes()
        self.views.append(view)
        rows = whole.reshape(len(whole), -1)
        accessor = {
            "bufferView": len(self.views) - 1,
            "componentType": _UINT if target == _ELEMENTS else _FLOAT,
            "count": len(whole),
            "type": kind,
        }
        if kind == "VEC3" or target is None:  # bounds of the very numbers that are stored
            accessor["min"] = rows.min(axis=0).tolist()
            accessor["max"] = rows.max(axis=0).tolist()
        self.accessors.append(accessor)
        return len(self.accessors) - 1


_Triangles = tuple[np.ndarray, np.ndarray, np.ndarray]


def _primitives(
    body: Body, chunk: _Chunk, materials: dict[tuple[str, bool], int]
) -> list[dict[str, Any]]:
    """One primitive for each colour of a body."""
    by_colour: dict[tuple[str, bool], list[_Triangles]] = {}
    for part in body.parts:
        sheet = part.sheet
        top, bottom, edge = _slab(part)
        for colour, triangles in (
            (sheet.front, top if part.placement.up == 1 else bottom),
            (sheet.back, bottom if part.placement.up == 1 else top),
            (edge_colour(sheet.front, sheet.back), edge),
        ):
            by_colour.setdefault((colour, sheet.paper.clear), []).append(triangles)
    primitives = []
    for colour, pieces in by_colour.items():
        starts = np.cumsum([0, *(len(points) for points, _, _ in pieces)])
        primitives.append(
            {
                "attributes": {
                    "POSITION": chunk.add(
                        _metres(np.vstack([p for p, _, _ in pieces])), "VEC3", _ARRAY
                    ),
                    "NORMAL": chunk.add(
                        _y_up(np.vstack([n for _, n, _ in pieces])), "VEC3", _ARRAY
                    ),
                },
                "indices": chunk.add(
                    np.concatenate(
                        [t.ravel() + s for (_, _, t), s in zip(pieces, starts[:-1], strict=True)]
                    ),
                    "SCALAR",
                    _ELEMENTS,
                ),
                "material": materials.setdefault(colour, len(materials)),
            }
        )
    return primitives


def _slab(part: Part) -> tuple[_Triangles, _Triangles, _Triangles]:
    """Upper face, lower face and rim of a facet with its caliper, body coordinates, mm.

    Each as points (n, 3), normals (n, 3) and triangles (m, 3).
    """
    from mapbox_earcut import triangulate_float64

    polygon = shapely.orient_polygons(part.polygon)
    rings = [np.asarray(r.coords)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    flat = np.vstack(rings)
    ends = np.cumsum([len(ring) for ring in rings]).astype(np.uint32)
    triangles = triangulate_float64(flat, ends).reshape(-1, 3).astype(int)
    a, b, c = (flat[triangles[:, k]] for k in range(3))
    clockwise = _cross(b - a, c - a) < 0
    triangles[clockwise] = triangles[clockwise][:, ::-1]
    half = part.sheet.paper.caliper / 2
    faces = []
    for sign, order in ((1.0, triangles), (-1.0, triangles[:, ::-1])):
        points = np.column_stack([flat, np.full(len(flat), part.height + sign * half)])
        faces.append((points, np.tile([0.0, 0.0, sign], (len(flat), 1)), order))
    return faces[0], faces[1], _rim(rings, part.height - half, part.height + half)


def _rim(rings: Sequence[np.ndarray], low: float, high: float) -> _Triangles:
    starts = np.vstack(rings)
    ends = np.vstack([np.roll(ring, -1, axis=0) for ring in rings])
    along = ends - starts
    # Outlines run counter-clockwise and holes clockwise: outside is on the right of both.
    normals = np.column_stack([along[:, 1], -along[:, 0], np.zeros(len(along))])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    corner = [
        np.column_stack([xy, np.full(len(xy), z)])
        for xy, z in ((starts, low), (ends, low), (ends, high), (starts, high))
    ]
    points = np.stack(corner, axis=1).reshape(-1, 3)
    quads = 4 * np.arange(len(starts))[:, None]
    triangles = np.vstack([quads + [0, 1, 2], quads + [0, 2, 3]])
    return points, np.repeat(normals, 4, axis=0), triangles


def _cross(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    return first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]


def _material(colour: str, clear: bool) -> dict[str, Any]:
    material: dict[str, Any] = {
        "name": f"film {colour}" if clear else colour,
        "doubleSided": True,
        "pbrMetallicRoughness": {
            "baseColorFactor": [*linear(colour), CLEAR_ALPHA if clear else 1.0],
            "metallicFactor": 0.0,
            "roughnessFactor": 0.1 if clear else 0.9,
        },
    }
    if clear:
        material["alphaMode"] = "BLEND"
    return material


def _animation(keys: Keys, chunk: _Chunk) -> dict[str, Any]:
    """Rotation and translation of every body, all on one time line."""
    times = (keys.openings - keys.openings[0]) / np.pi * SECONDS
    clock = chunk.add(times, "SCALAR")
    samplers, channels = [], []
    for b in range(keys.quaternions.shape[1]):
        for path, values in (
            ("rotation", chunk.add(_turn(keys.quaternions[:, b]), "VEC4")),
            ("translation", chunk.add(_metres(keys.translations[:, b]), "VEC3")),
        ):
            channels.append({"sampler": len(samplers), "target": {"node": b + 1, "path": path}})
            samplers.append({"input": clock, "output": values, "interpolation": "LINEAR"})
    return {"name": "opening", "samplers": samplers, "channels": channels}


def _y_up(vectors: np.ndarray) -> np.ndarray:
    """Vectors with z up, last axis 3, in glTF's axes with y up."""
    return np.stack([vectors[..., 0], vectors[..., 2], -vectors[..., 1]], axis=-1)


def _metres(points: np.ndarray) -> np.ndarray:
    return _y_up(points) / 1000


def _turn(quaternions: np.ndarray) -> np.ndarray:
    """Quaternions x y z w in glTF's axes: the axis turns along, the angle stays."""
    return np.concatenate([_y_up(quaternions[..., :3]), quaternions[..., 3:]], axis=-1)


def _pack(document: dict[str, Any], data: bytes) -> bytes:
    text = json.dumps(document, separators=(",", ":"), ensure_ascii=False).encode()
    text += b" " * (-len(text) % 4)
    data += b"\0" * (-len(data) % 4)
    total = 12 + 8 + len(text) + 8 + len(data)
    return b"".join(
        [
            struct.pack("<4sII", b"glTF", 2, total),
            struct.pack("<I4s", len(text), b"JSON") + text,
            struct.pack("<I4s", len(data), b"BIN\0") + data,
        ]
    )
