"""Triangles of solids with their colours, and the images printed on them."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import numpy as np
import shapely

from meshes.linkage import Part
from meshes.solid import Solid, prism

from .chunk import ARRAY, ELEMENTS, Chunk, metres, y_up

if TYPE_CHECKING:
    from meshes.art import Raster
    from meshes.sheet import Sheet

# Cut edges show the pulp: the mean of both sides, a little darker.
EDGE_SHADE = 0.8
CLEAR_ALPHA = 0.25
# How much of a metallic card shines as metal. Our choice.
METAL = 0.75
# Images lie this far above their paper, mm.
ABOVE_MM = 0.02


class Substance(NamedTuple):
    """What a material shows: its colour, clear film, metal, and the light that it sends out.

    Parameters
    ----------
    glow : linear, 0 to 1 each.
    """

    colour: str
    clear: bool = False
    metal: bool = False
    glow: tuple[float, float, float] = (0.0, 0.0, 0.0)


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


def looks(sheet: Sheet) -> tuple[Substance, Substance, Substance]:
    """Of the printed side of a sheet, its back and its cut edges."""
    clear, metal, glow = sheet.paper.clear, sheet.paper.finish == "metallic", _glow(sheet)
    return (
        Substance(sheet.front, clear, metal, glow),
        Substance(sheet.back, clear, metal, glow),
        Substance(rim_colour(sheet), clear),
    )


def rim_colour(sheet: Sheet) -> str:
    """Colour of the cut edges of a sheet: of its core, if it has one of its own."""
    core = sheet.paper.core
    return edge_colour(core or sheet.front, core or sheet.back)


def _glow(sheet: Sheet) -> tuple[float, float, float]:
    """Light of the lamp behind a sheet, which takes the colour of both its sides."""
    if sheet.glow is None:
        return (0.0, 0.0, 0.0)
    colours = (linear(each) for each in (sheet.glow.colour, sheet.front, sheet.back))
    red, green, blue = (
        round(min(sheet.glow.strength * lamp * (front * back) ** 0.5, 1.0), 6)
        for lamp, front, back in zip(*colours, strict=True)
    )
    return red, green, blue


def solid_primitives(
    solids: Sequence[Solid], chunk: Chunk, materials: dict[Substance, int]
) -> list[dict[str, Any]]:
    """One primitive for each look that the solids of a body have."""
    corners: dict[Substance, list[np.ndarray]] = {}
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
                    "POSITION": chunk.add(metres(vertices[:, :3]), "VEC3", ARRAY),
                    "NORMAL": chunk.add(y_up(vertices[:, 3:]), "VEC3", ARRAY),
                },
                "indices": chunk.add(indices.ravel(), "SCALAR", ELEMENTS),
                "material": materials.setdefault(look, len(materials)),
            }
        )
    return primitives


def _sides(solid: Solid) -> Iterator[tuple[Substance, np.ndarray]]:
    """The looks of a solid, each with its triangles, shape (n, 3, 3), body coordinates, mm."""
    sheet = solid.sheet
    upright = np.round(solid.mesh.face_normals[:, 2] * solid.up, 6)
    if solid.name in {f"{sheet.piece}.{crossing.fold.name}" for crossing in sheet.crossings}:
        upright = np.zeros(len(upright))  # a bead is the core of the paper all round
    sides = (upright == 1, upright == -1, np.abs(upright) < 1)
    for look, chosen in zip(looks(sheet), sides, strict=True):
        if chosen.any():
            yield look, np.asarray(solid.mesh.triangles[chosen])


def images(part: Part) -> Iterator[tuple[Literal[1, -1], Raster]]:
    """Images and lettering on the sides of a facet: +1 the printed one, -1 its back."""
    from meshes.art import raster

    sides: tuple[Literal[1, -1], ...] = (1, -1)
    for side in sides if part.sheet.art else ():
        found = raster(part.sheet.art, part.facet.polygon, side)
        if found is not None:
            yield side, found


def image_primitive(
    part: Part,
    found: tuple[Literal[1, -1], Raster],
    chunk: Chunk,
    bend: Callable[[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]] | None = None,
) -> dict[str, Any]:
    """An image on a side of a facet, a hair above the paper; its material is its number so far.

    Parameters
    ----------
    bend : for curled paper, gives places and normals in each shape of it.
    """
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
    corners = bend(points, normals) if bend else (points[None], normals[None])
    shape = morphs(*corners, chunk)
    return {
        **shape,
        "attributes": {
            **shape["attributes"],
            "TEXCOORD_0": chunk.add(places, "VEC2", ARRAY),
        },
        "indices": chunk.add(np.arange(len(flat)), "SCALAR", ELEMENTS),
        "material": -1 - chunk.add_image(data.getvalue()),
    }


def morphs(places: np.ndarray, normals: np.ndarray, chunk: Chunk) -> dict[str, Any]:
    """Attributes of corners in the first of some shapes (m, n, 3), and targets for the others."""
    found: dict[str, Any] = {
        "attributes": {
            "POSITION": chunk.add(metres(places[0]), "VEC3", ARRAY),
            "NORMAL": chunk.add(y_up(normals[0]), "VEC3", ARRAY),
        }
    }
    if len(places) > 1:
        found["targets"] = [
            {
                "POSITION": chunk.add(metres(place - places[0]), "VEC3", ARRAY),
                "NORMAL": chunk.add(y_up(normal - normals[0]), "VEC3", ARRAY),
            }
            for place, normal in zip(places[1:], normals[1:], strict=True)
        ]
    return found


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


def number_images(meshes: Sequence[dict[str, Any]], plain: int) -> None:
    """Materials of images follow the plain ones, whose count is known only at the end."""
    for mesh in meshes:
        for primitive in mesh["primitives"]:
            if primitive["material"] < 0:
                primitive["material"] = plain - 1 - primitive["material"]


def image_material(number: int) -> dict[str, Any]:
    """The material of an image, with its number among the textures."""
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


def plain_material(look: Substance) -> dict[str, Any]:
    """The material of paper or film of one colour."""
    colour, clear, metal, glow = look
    material: dict[str, Any] = {
        "name": f"film {colour}" if clear else colour,
        "doubleSided": True,
        "pbrMetallicRoughness": {
            "baseColorFactor": [*linear(colour), CLEAR_ALPHA if clear else 1.0],
            "metallicFactor": METAL if metal else 0.0,
            "roughnessFactor": 0.1 if clear else 0.45 if metal else 0.9,
        },
    }
    if metal:
        material["name"] += " metallic"
    if clear:
        material["alphaMode"] = "BLEND"
    if any(glow):
        material["name"] += " lit"
        material["emissiveFactor"] = list(glow)
    return material
