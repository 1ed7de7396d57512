"""What a camera sees: flat surfaces with their colours, the book, the table and the light."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely import Polygon

from meshes.curl import bent
from meshes.linkage import Linkage, Part
from meshes.motion.result import Motion
from meshes.sheet import Finish, Glow, Paper, Placement

from ..same import Same
from ..shot.mood import WINDOW, Mood, mood_of
from .binding import band_boards, is_banded, middle_boards
from .book import Board, Book, Ruling, half_boards, tilt_of
from .colour import linear
from .core import CoreLine, core_lines
from .leaning import Leaning
from .lying import AtRest, Lying

if TYPE_CHECKING:
    from meshes.art import Art, Raster
    from meshes.spread import Spread

Material = Literal["paper", "page", "film", "cover", "block"]

# The page is drawn this far under its own plane, so that paper that lies flat on it wins.
PAGE_DROP_MM = 0.04


@dataclass(frozen=True, eq=False)
class SurfaceImage:
    """An image laid on a surface.

    Parameters
    ----------
    pixels : shape (rows, columns, 4), uint8 sRGB with straight alpha, first row on top.
    corner : lower left corner in surface coordinates, mm.
    size : width and height, mm.
    """

    pixels: np.ndarray
    corner: tuple[float, float]
    size: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Surface:
    """One flat piece of paper, film or board.

    Parameters
    ----------
    polygon : in the plane's own coordinates, mm; the front looks along +z.
    rotation : shape (3, 3), columns are the plane's axes in the scene.
    translation : shape (3,), mm.
    front, back : sRGB colours.
    thickness : mm; 0 for the face of something solid.
    lift : how far it lies over the plane of what it is glued on, along its normal, mm.
    translucency : share of the light from behind that comes through, 0 to 1.
    seed : which part of the paper's tooth this surface shows.
    ruling : what is printed on a notebook page.
    glow : of its paper, if a lamp shines through it.
    finish : how its paper looks beyond its colour.
    core : sRGB colour inside, empty if that is the mean of both sides.
    lines : where the core shows at folds.
    """

    name: str
    polygon: Polygon
    rotation: np.ndarray
    translation: np.ndarray
    front: str
    back: str
    material: Material = "paper"
    thickness: float = 0.0
    translucency: float = 0.0
    lift: float = 0.0
    seed: int = 0
    ruling: Ruling = "plain"
    front_picture: SurfaceImage | None = None
    back_picture: SurfaceImage | None = None
    glow: Glow | None = None
    finish: Finish = "smooth"
    core: str = ""
    lines: tuple[CoreLine, ...] = ()

    @property
    def normal(self) -> np.ndarray:
        """Unit normal of the front, shape (3,)."""
        return self.rotation[:, 2]

    @property
    def corners(self) -> np.ndarray:
        """Corners of the outer boundary in the scene, shape (n, 3), mm."""
        flat = np.asarray(self.polygon.exterior.coords)[:-1, :2]
        return flat @ self.rotation[:, :2].T + self.translation

    def placed(
        self,
        polygon: Polygon,
        rotation: np.ndarray,
        translation: np.ndarray,
        lines: tuple[CoreLine, ...] = (),
    ) -> Surface:
        """The surface with another outline, at another place, folded otherwise."""
        # A film places every surface in every frame; `dataclasses.replace` takes far longer.
        placed, own = object.__new__(Surface), self.__dict__.copy()
        own["polygon"], own["rotation"], own["translation"] = polygon, rotation, translation
        own["lines"] = lines
        object.__setattr__(placed, "__dict__", own)
        return placed


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything that is drawn.

    Parameters
    ----------
    table : height of the table top, mm.
    centre : point on the table from which it darkens outwards, mm.
    scale : size of the scene relative to an A5 notebook; stretches the table's shading.
    reach : from the centre to the edges of the open notebook, to its side and its head, mm.
    viewer : azimuth of the viewer for whom the light is set, radians.
    ground : linear colour of the pages with what lies on them, what others stand on; none without
        a notebook.
    """

    surfaces: tuple[Surface, ...]
    mood: Mood = WINDOW
    table: float = 0.0
    centre: tuple[float, float] = (0.0, 0.0)
    scale: float = 1.0
    reach: tuple[float, float] = (151.5, 108.5)
    viewer: float = field(default=-np.pi / 2)
    ground: tuple[float, ...] = ()

    @property
    def points(self) -> np.ndarray:
        """Corners of all surfaces, shape (n, 3), mm."""
        return self.corners[0]

    @property
    def corners(self) -> tuple[np.ndarray, np.ndarray]:
        """Corners of all surfaces, shape (n, 3), mm, and the number of the surface of each."""
        rings = shapely.get_exterior_ring([surface.polygon for surface in self.surfaces])
        flat, owner = shapely.get_coordinates(rings, return_index=True)
        # A ring ends where it began.
        inner = np.append(owner[1:] == owner[:-1], False)
        flat, owner = flat[inner], owner[inner]
        turns = np.array([surface.rotation[:, :2] for surface in self.surfaces])
        places = np.array([surface.translation for surface in self.surfaces])
        return np.einsum("nij,nj->ni", turns[owner], flat) + places[owner], owner

    def turned(self, angle: float) -> Scene:
        """The scene with everything on the table turned about its centre, light and table fixed."""
        c, s = np.cos(angle), np.sin(angle)
        turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        pivot = np.array([*self.centre, 0.0])
        surfaces = tuple(
            surface.placed(
                surface.polygon,
                turn @ surface.rotation,
                turn @ (surface.translation - pivot) + pivot,
                surface.lines,
            )
            for surface in self.surfaces
        )
        return replace(self, surfaces=surfaces)

    def lit_for(self, azimuth: float) -> Scene:
        """The scene with its light set for a viewer at that azimuth, radians."""
        return replace(self, viewer=azimuth)


def build(
    spread: Spread,
    motion: Motion,
    index: int,
    mood: str | Mood = "daylight",
    lying: Lying = "both",
) -> Scene:
    """The scene of a spread at one stage of its motion.

    Parameters
    ----------
    index : which of ``motion.openings``.
    mood : a name in ``preview.shot.mood.MOODS``, or a mood.
    lying : which half of the notebook lies on the table.

    Raises
    ------
    ValueError
        If the motion is not solved there, or there is no such mood.
    """
    if not motion.solved[index]:
        raise ValueError(f"the motion is not solved at {np.degrees(motion.openings[index]):.1f}°")
    seen = bent(spread, motion)
    return assemble(
        seen.linkage,
        book_of(spread),
        float(motion.openings[index]),
        seen.motion.rotations[index],
        seen.motion.translations[index],
        mood,
        lying,
    )


def book_of(spread: Spread) -> Book:
    """The notebook of a spread, from its design."""
    settings = spread.design.spread
    return Book(
        width=float(settings.width),
        height=float(settings.height),
        paper=settings.paper,
        cover=settings.cover,
        block=float(settings.block),
        ruling=settings.ruling,
        binding=settings.binding,
        band=settings.band or "",
    )


def assemble(
    linkage: Linkage,
    book: Book,
    opening: float,
    rotations: np.ndarray,
    translations: np.ndarray,
    mood: str | Mood = "daylight",
    lying: Lying = "both",
) -> Scene:
    """The scene of a linkage at one pose.

    Parameters
    ----------
    opening : radians.
    rotations, translations : poses of the bodies, shapes (B, 3, 3) and (B, 3), mm.
    lying : which half of the notebook lies on the table.
    """
    mood = mood_of(mood)
    rest = AtRest.of(book, opening, lying)
    rotations, translations = rest.poses(rotations, translations)
    cast = cast_of(Same(linkage), book.ruling)
    laid, places = cast.laid(rotations, translations)
    has_core = any(plain.core for plain in cast.plain)
    turns = dict(zip((part.id for part in cast.parts), laid, strict=True)) if has_core else {}
    surfaces = list(_book_surfaces(book, opening, rotations, translations, lying))
    outlines = cast.leaning.outlines(laid)
    for k, (plain, turn, place) in enumerate(zip(cast.plain, laid, places, strict=True)):
        lines = core_lines(cast.parts[k], turns) if plain.core else ()
        surfaces.append(plain.placed(outlines.get(k, plain.polygon), turn, place, lines))
    return Scene(
        tuple(surfaces),
        mood,
        table=-book.depth,
        centre=(0.0, book.height / 2),
        scale=float(np.hypot(book.width, book.height)) / 256.0,
        reach=(book.reach, book.height / 2 + book.overhang),
        ground=cast.ground,
    )


def colour_of_ground(linkage: Linkage) -> tuple[float, ...]:
    """Mean linear colour of both pages with the paper that lies on them, three channels."""
    total, area = np.zeros(3), 0.0
    for body in linkage.bodies[:2]:
        covered = shapely.Polygon()
        for part in sorted(body.parts, key=lambda one: -one.height):
            own = part.sheet
            if own.paper.clear:
                continue
            seen = shapely.area(shapely.difference(part.polygon, covered))
            total += seen * linear(own.front if part.placement.up > 0 else own.back)
            area += seen
            covered = shapely.union(covered, part.polygon)
    return tuple((total / area).tolist())


@dataclass(frozen=True, eq=False)
class Cast:
    """What is the same in every pose of a linkage, for each of its P parts.

    Parameters
    ----------
    bodies : number of the part's body, shape (P,).
    turns, shifts : from the facet to its body, shapes (P, 3, 3) and (P, 3), mm.
    plain : the part's surface as it lies in its body.
    leaning : folds over which paper may lean onto a raised part.
    ground : see :func:`colour_of_ground`.
    """

    parts: tuple[Part, ...]
    bodies: np.ndarray
    turns: np.ndarray
    shifts: np.ndarray
    plain: tuple[Surface, ...]
    leaning: Leaning
    ground: tuple[float, ...]

    def laid(
        self, rotations: np.ndarray, translations: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray]:
        """Poses of the parts, shapes (P, 3, 3) and (P, 3), from those of the bodies."""
        rotation = rotations[self.bodies]
        shifts = np.einsum("nij,nj->ni", rotation, self.shifts)
        return rotation @ self.turns, shifts + translations[self.bodies]


@lru_cache(maxsize=4)
def cast_of(linkage: Same[Linkage], ruling: Ruling) -> Cast:
    """The cast of a linkage on pages with that ruling."""
    bodies = linkage.value.bodies
    parts = tuple(part for body in bodies for part in body.parts)
    plain = tuple(_lying(part, ruling) for part in parts)
    return Cast(
        parts,
        np.repeat(np.arange(len(bodies)), [len(body.parts) for body in bodies]),
        np.array([surface.rotation for surface in plain]),
        np.array([surface.translation for surface in plain]),
        plain,
        Leaning.of(parts),
        colour_of_ground(linkage.value),
    )


def _lying(part: Part, ruling: Ruling) -> Surface:
    """The surface of a part in the frame of its body."""
    sheet, placement = part.sheet, part.placement
    is_page = sheet.piece == "page"
    height = part.height - (PAGE_DROP_MM if is_page else 0.0)
    return Surface(
        part.id,
        part.facet.polygon,
        in_space(placement),
        np.array([*placement.shift, height]),
        sheet.front,
        sheet.back,
        _material(is_page, sheet.paper),
        thickness=0.0 if is_page else sheet.paper.caliper,
        translucency=0.0 if is_page else translucency(sheet.paper),
        lift=placement.up * part.height,
        seed=zlib.crc32(f"{sheet.piece}.{sheet.name}".encode()),
        ruling=ruling if is_page else "plain",
        front_picture=printed(sheet.art, part.facet.polygon, 1),
        back_picture=printed(sheet.art, part.facet.polygon, -1),
        glow=None if is_page else sheet.glow,
        finish="smooth" if is_page else sheet.paper.finish,
        core="" if is_page else sheet.paper.core,
    )


def printed(
    art: tuple[Art, ...], polygon: shapely.Polygon, side: Literal[1, -1]
) -> SurfaceImage | None:
    """The images and lettering on one side of a facet, as a picture."""
    if not art:
        return None
    from meshes.art import raster

    found = raster(art, polygon, side)
    return None if found is None else _surface(found)


@lru_cache(maxsize=512)
def _surface(found: Raster) -> SurfaceImage:
    """One and the same for the same raster, so that it becomes a texture once."""
    return SurfaceImage(found.pixels, found.corner, found.size)


def in_space(placement: Placement) -> np.ndarray:
    """The proper rotation of a placement, shape (3, 3): half a turn about y if it is flipped."""
    c, s = np.cos(placement.angle), np.sin(placement.angle)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    return turn @ np.diag([-1.0, 1.0, -1.0]) if placement.flipped else turn


def _material(is_page: bool, paper: Paper) -> Material:
    if is_page:
        return "page"
    return "film" if paper.clear else "paper"


def lamplight(glow: Glow, front: str, back: str) -> np.ndarray:
    """Light of the lamp behind paper where a lamp is as bright as white paper, linear, shape (3,).

    Light through coloured paper takes the colour of both its sides.
    """
    return glow.strength * linear(glow.colour) * np.sqrt(linear(front) * linear(back))


def translucency(paper: Paper) -> float:
    """Share of light that comes through a sheet: a quarter at 80 g/m², less for card.

    Through mulberry paper of 40 g/m² comes half.

    Chosen by eye; no source.
    """
    if paper.finish == "mulberry":
        return 0.65 * float(np.exp(-paper.grammage / 250.0))
    return 0.0 if paper.clear else 0.30 * float(np.exp(-paper.grammage / 350.0))


def _book_surfaces(
    book: Book, opening: float, rotations: np.ndarray, translations: np.ndarray, lying: Lying
) -> Iterator[Surface]:
    *halves, middle = _boards(book, opening, lying)
    for boards, rotation, translation in zip(halves, rotations[:2], translations[:2], strict=True):
        turned = rotation @ np.array([board.rotation for board in boards])
        places = np.array([board.translation for board in boards]) @ rotation.T + translation
        for board, turn, place in zip(boards, turned, places, strict=True):
            yield board.placed(board.polygon, turn, place)
    yield from middle


@lru_cache(maxsize=8)
def _boards(book: Book, opening: float, lying: Lying) -> tuple[tuple[Surface, ...], ...]:
    """Boards of both halves in the frames of their pages, and what is between them, at rest."""
    tilt, rest, faces, ends = tilt_of(opening), AtRest.of(book, opening, lying), [], []
    for side, which in ((-1, "left"), (1, "right")):
        boards = [*half_boards(book, side, tilt)]
        if is_banded(book, np.pi - 2 * tilt):
            boards += band_boards(book, side, on_table=lying == which)
        faces += [(f"book.{which}-{board.name}", board, board.corners) for board in boards]
        ends.append(len(faces))
    middle = list(middle_boards(book, tilt))
    corners = rest.points(np.concatenate([np.empty((0, 3)), *(face.corners for face in middle)]))
    stops = np.cumsum([len(face.corners) for face in middle]).tolist()
    faces += [
        (f"book.{face.name}", face, corners[stop - len(face.corners) : stop])
        for face, stop in zip(middle, stops, strict=True)
    ]
    made = _faced(faces)
    return tuple(made[: ends[0]]), tuple(made[ends[0] : ends[1]]), tuple(made[ends[1] :])


def _board_frames(corners: np.ndarray) -> np.ndarray:
    """Frames (m, 3, 3) of faces with equally many corners (m, k, 3): along, across and out."""
    along = corners[:, 1] - corners[:, 0]
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    spokes = corners[:, 1:] - corners[:, :1]
    normal = _cross(spokes[:, :-1].T, spokes[:, 1:].T).sum(axis=1).T
    normal = normal / np.linalg.norm(normal, axis=1, keepdims=True)
    return np.stack([along, _cross(normal.T, along.T).T, normal], axis=2)


def _cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Cross product of vectors of shape (3, ...); `numpy.cross` is slow for a few of them."""
    return np.stack(
        [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
    )


def board_surfaces(boards: Iterable[Board], prefix: str) -> list[Surface]:
    """Surfaces of the faces of a book, in their order; their names follow the prefix."""
    return _faced([(prefix + board.name, board, board.corners) for board in boards])


def _faced(faces: Sequence[tuple[str, Board, np.ndarray]]) -> list[Surface]:
    """Surfaces of boards, each with its name and its corners, in their order."""
    alike: dict[int, list[int]] = {}
    for k, (_, _, corners) in enumerate(faces):
        alike.setdefault(len(corners), []).append(k)
    found: dict[int, Surface] = {}
    for group in alike.values():
        corners = np.array([faces[k][2] for k in group])
        frames = _board_frames(corners)
        flat = shapely.polygons((corners - corners[:, :1]) @ frames[:, :, :2])
        for k, frame, polygon in zip(group, frames, flat, strict=True):
            name, board, own = faces[k]
            plain = _face(name, board.colour, board.material)
            found[k] = plain.placed(polygon, frame, own[0])
    return [found[k] for k in range(len(faces))]


@lru_cache(maxsize=4096)
def _face(name: str, colour: str, material: Literal["block", "cover"]) -> Surface:
    """A face of a book that is not placed yet."""
    seed = zlib.crc32(name.encode())
    nowhere = _no_outline(), np.eye(3), np.zeros(3)
    return Surface(name, *nowhere, colour, colour, material, seed=seed)


@lru_cache(maxsize=1)
def _no_outline() -> Polygon:
    return Polygon()
