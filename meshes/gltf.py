"""Animated glTF 2.0 (binary): a node for each piece, in it one for each body, moved by keys.

Written by hand against the glTF 2.0 specification of the Khronos Group, since the libraries at
hand write no animation. Coordinates become metres with y up, as section 3.4 asks:
(x, y, z) mm -> (x, z, -y) / 1000.
"""

from __future__ import annotations

import io
import json
import struct
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, Protocol

import numpy as np
import shapely

from meshes.export import write_whole
from meshes.linkage import Linkage, Part
from meshes.motion.keys import Keys, Solve, choose_keys
from meshes.motion.result import Motion
from meshes.solid import Solid, body_solids, prism

if TYPE_CHECKING:
    from meshes.art import Raster

SECONDS = 4.0
# Cut edges show the pulp: the mean of both sides, a little darker.
EDGE_SHADE = 0.8
CLEAR_ALPHA = 0.25
# Images lie this far above their paper, mm.
ABOVE_MM = 0.02

_FLOAT, _UINT = 5126, 5125
_ARRAY, _ELEMENTS = 34962, 34963


class Moves(Protocol):
    """What can be written: a spread, or anything with a linkage that can be solved."""

    @property
    def linkage(self) -> Linkage:
        """Bodies and hinges."""

    def solve(
        self, openings: np.ndarray, driven: Mapping[str, float | np.ndarray] | None = None
    ) -> Motion:
        """Poses at openings in radians, ascending, with parts moved by hand."""


def write_glb(path: Path, spread: Moves, motion: Motion, solve: Solve | None = None) -> None:
    """Write a spread: its opening, and each part that a hand moves, as clips of four seconds.

    The nodes stand as the spread does when it is open. The clip ``opening`` opens it; the clip
    ``NAME by hand`` moves one part from its first place to its last while the spread is open.

    Parameters
    ----------
    motion : 1° apart or denser; keys are chosen from it, and solved in between where it is too
        coarse, so that no point is more than 0.05 mm from the solved pose.
    solve : as ``spread.solve``, perhaps with a memory of the solve that gave the motion.

    Raises
    ------
    ValueError
        If fewer than two openings are solved.
    """
    keys = choose_keys(spread.linkage.bodies, motion, solve or spread.solve)
    clips = {
        f"{drive.name} by hand": by_hand(spread, drive.name, float(keys.openings[-1]))
        for drive in spread.linkage.drives
    }
    write_whole(path, glb(spread.linkage, keys, clips))


def by_hand(spread: Moves, name: str, opening: float) -> Keys:
    """The keys of one part that a hand moves, at an opening; its way counts as `openings` to pi."""
    from dataclasses import replace

    def solve(way: np.ndarray) -> Motion:
        still = np.full(len(way), opening)
        return replace(spread.solve(still, {name: way / np.pi}), openings=way)

    return choose_keys(spread.linkage.bodies, solve(np.linspace(0, np.pi, 91)), solve)


def glb(linkage: Linkage, keys: Keys, by_hand: Mapping[str, Keys] | None = None) -> bytes:
    """The bytes of a GLB file: header, JSON chunk, BIN chunk (glTF 2.0 section 4).

    Parameters
    ----------
    by_hand : further clips by name.
    """
    chunk = _Chunk()
    bodies, solids = linkage.bodies, body_solids(linkage)
    materials: dict[_Look, int] = {}
    nodes: list[dict[str, Any]] = [{"name": "spread"}]
    meshes = []
    for b, body in enumerate(bodies):
        own = [solid for solid in solids if solid.body == b]
        primitives = _primitives(own, chunk, materials)
        primitives += [_printed(part, found, chunk) for part in body.parts for found in _art(part)]
        meshes.append({"name": body.name, "primitives": primitives})
        nodes.append(
            {
                "name": body.name,
                "mesh": b,
                "rotation": _turn(keys.quaternions[-1, b]).tolist(),
                "translation": _metres(keys.translations[-1, b]).tolist(),
                "extras": {"facets": [part.id for part in body.parts]},
            }
        )
    pieces: dict[str, list[int]] = {}
    for b, body in enumerate(bodies):
        pieces.setdefault(body.parts[0].id.partition(".")[0], []).append(b + 1)
    nodes[0]["children"] = [len(nodes) + k for k in range(len(pieces))]
    nodes += [{"name": piece, "children": children} for piece, children in pieces.items()]
    plain = [_material(colour, clear) for colour, clear in materials]
    _number_images(meshes, len(plain))
    document = {
        "asset": {"version": "2.0", "generator": "foldstage"},
        "scene": 0,
        "scenes": [{"name": "spread", "nodes": [0]}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": plain + [_image_material(k) for k in range(len(chunk.images))],
        "animations": [
            _animation("opening", keys, chunk),
            *(_animation(name, clip, chunk) for name, clip in (by_hand or {}).items()),
        ],
        "accessors": chunk.accessors,
        "bufferViews": chunk.views,
        "buffers": [{"byteLength": len(chunk.data)}],
    }
    if chunk.images:
        document["images"] = [{"bufferView": k, "mimeType": "image/png"} for k in chunk.images]
        document["textures"] = [{"source": k} for k in range(len(chunk.images))]
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
    images: list[int] = field(default_factory=list)

    def add_image(self, data: bytes) -> int:
        """Append a PNG file; returns its number among the images."""
        self.views.append({"buffer": 0, "byteOffset": len(self.data), "byteLength": len(data)})
        self.data += data + b"\0" * (-len(data) % 4)
        self.images.append(len(self.views) - 1)
        return len(self.images) - 1

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


_Look = tuple[str, bool]


def _primitives(
    solids: Sequence[Solid], chunk: _Chunk, materials: dict[_Look, int]
) -> list[dict[str, Any]]:
    """One primitive for each look that the solids of a body have."""
    corners: dict[_Look, list[np.ndarray]] = {}
    for solid in solids:
        for look, triangles in _sides(solid):
            corners.setdefault(look, []).append(triangles)
    primitives = []
    for look, pieces in corners.items():
        triangles = np.vstack(pieces)
        normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        vertices = np.hstack([triangles.reshape(-1, 3), np.repeat(normals, 3, axis=0)])
        vertices, indices = np.unique(vertices.astype("f4"), axis=0, return_inverse=True)
        primitives.append(
            {
                "attributes": {
                    "POSITION": chunk.add(_metres(vertices[:, :3]), "VEC3", _ARRAY),
                    "NORMAL": chunk.add(_y_up(vertices[:, 3:]), "VEC3", _ARRAY),
                },
                "indices": chunk.add(indices.ravel(), "SCALAR", _ELEMENTS),
                "material": materials.setdefault(look, len(materials)),
            }
        )
    return primitives


def _sides(solid: Solid) -> Iterator[tuple[_Look, np.ndarray]]:
    """The looks of a solid, each with its triangles, shape (n, 3, 3), body coordinates, mm."""
    sheet = solid.sheet
    upright = np.round(solid.mesh.face_normals[:, 2] * solid.up, 6)
    if solid.name in {f"{sheet.piece}.{crossing.fold.name}" for crossing in sheet.crossings}:
        upright = np.zeros(len(upright))  # a bead is the core of the paper all round
    for colour, chosen in (
        (sheet.front, upright == 1),
        (sheet.back, upright == -1),
        (edge_colour(sheet.front, sheet.back), np.abs(upright) < 1),
    ):
        if chosen.any():
            yield (colour, sheet.paper.clear), np.asarray(solid.mesh.triangles[chosen])


def _art(part: Part) -> Iterator[tuple[Literal[1, -1], Raster]]:
    """Images and lettering on the sides of a facet: +1 the printed one, -1 its back."""
    from meshes.art import raster

    sides: tuple[Literal[1, -1], ...] = (1, -1)
    for side in sides if part.sheet.art else ():
        found = raster(part.sheet.art, part.facet.polygon, side)
        if found is not None:
            yield side, found


def _printed(part: Part, found: tuple[Literal[1, -1], Raster], chunk: _Chunk) -> dict[str, Any]:
    """An image on a side of a facet, a hair above the paper; its material is its number so far."""
    side, picture = found
    way = side * part.placement.up
    flat = _covered(part.facet.polygon, picture)
    if side == -1:
        flat = flat.reshape(-1, 3, 2)[:, ::-1].reshape(-1, 2)
    height = part.height + way * (part.sheet.paper.caliper / 2 + ABOVE_MM)
    points = np.column_stack([part.placement.apply(flat), np.full(len(flat), height)])
    places = (flat - np.asarray(picture.corner)) / np.asarray(picture.size)
    places[:, 1] = 1 - places[:, 1]  # glTF counts rows from the top
    from PIL import Image

    data = io.BytesIO()
    Image.fromarray(picture.pixels).save(data, "PNG", optimize=True)
    normals = np.tile([0.0, 0.0, float(way)], (len(flat), 1))
    return {
        "attributes": {
            "POSITION": chunk.add(_metres(points), "VEC3", _ARRAY),
            "NORMAL": chunk.add(_y_up(normals), "VEC3", _ARRAY),
            "TEXCOORD_0": chunk.add(places, "VEC2", _ARRAY),
        },
        "indices": chunk.add(np.arange(len(flat)), "SCALAR", _ELEMENTS),
        "material": -1 - chunk.add_image(data.getvalue()),
    }


def _covered(polygon: shapely.Polygon, picture: Raster) -> np.ndarray:
    """The part of a facet that an image covers, as corners of triangles, shape (3 n, 2), mm."""
    low, high = picture.corner, np.add(picture.corner, picture.size)
    common = polygon.intersection(shapely.box(*low, *high.tolist()))
    corners = []
    for part in shapely.get_parts(common):
        if part.geom_type == "Polygon" and part.area > 1e-6:
            mesh = prism(part, 1.0)
            corners.append(mesh.triangles[mesh.face_normals[:, 2] > 0.99][..., :2].reshape(-1, 2))
    return np.vstack(corners)


def _number_images(meshes: Sequence[dict[str, Any]], plain: int) -> None:
    """Materials of images follow the plain ones, whose count is known only at the end."""
    for mesh in meshes:
        for primitive in mesh["primitives"]:
            if primitive["material"] < 0:
                primitive["material"] = plain - 1 - primitive["material"]


def _image_material(number: int) -> dict[str, Any]:
    return {
        "name": f"image {number + 1}",
        "doubleSided": False,
        "alphaMode": "BLEND",
        "pbrMetallicRoughness": {
            "baseColorTexture": {"index": number},
            "metallicFactor": 0.0,
            "roughnessFactor": 0.9,
        },
    }


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


def _animation(name: str, keys: Keys, chunk: _Chunk) -> dict[str, Any]:
    """Rotation and translation of every body, all on one time line."""
    times = (keys.openings - keys.openings[0]) / np.pi * SECONDS
    clock = chunk.add(times, "SCALAR")
    samplers: list[dict[str, Any]] = []
    channels: list[dict[str, Any]] = []
    for b in range(keys.quaternions.shape[1]):
        for path, values in (
            ("rotation", chunk.add(_turn(keys.quaternions[:, b]), "VEC4")),
            ("translation", chunk.add(_metres(keys.translations[:, b]), "VEC3")),
        ):
            channels.append({"sampler": len(samplers), "target": {"node": b + 1, "path": path}})
            samplers.append({"input": clock, "output": values, "interpolation": "LINEAR"})
    return {"name": name, "samplers": samplers, "channels": channels}


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
