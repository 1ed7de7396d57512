"""What a camera sees: flat surfaces with their colours, the book, the table and the light."""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from shapely import Polygon

from meshes.linkage import Linkage, Part
from meshes.motion.result import Motion
from meshes.sheet import Fold, Paper, Placement, Vector

from ..shot.mood import MOODS, WINDOW, Mood
from .book import Board, Book, Ruling, half_boards, middle_boards

if TYPE_CHECKING:
    from meshes.art import Art
    from meshes.spread import Spread

Material = Literal["paper", "page", "film", "cover", "block"]

# Glued paper is drawn over what it is glued on, but its folds lie in the plane below, so that a tab
# would peep out in front of a wall that leans over it. It is drawn shorter then, by at most this.
MOST_RETREAT_MM = 1.5
RETREAT_STEP_MM = 0.05
# The page is drawn this far under its own plane, so that paper that lies flat on it wins.
PAGE_DROP_MM = 0.04


@dataclass(frozen=True, eq=False)
class Picture:
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
    front_picture: Picture | None = None
    back_picture: Picture | None = None

    @property
    def normal(self) -> np.ndarray:
        """Unit normal of the front, shape (3,)."""
        return self.rotation[:, 2]

    @property
    def corners(self) -> np.ndarray:
        """Corners of the outer boundary in the scene, shape (n, 3), mm."""
        flat = np.asarray(self.polygon.exterior.coords)[:-1, :2]
        return flat @ self.rotation[:, :2].T + self.translation


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything that is drawn.

    Parameters
    ----------
    table : height of the table top, mm.
    centre : point on the table from which it darkens outwards, mm.
    scale : size of the scene relative to an A5 notebook; stretches the table's shading.
    viewer : azimuth of the viewer for whom the light is set, radians.
    """

    surfaces: tuple[Surface, ...]
    mood: Mood = WINDOW
    table: float = 0.0
    centre: tuple[float, float] = (0.0, 0.0)
    scale: float = 1.0
    viewer: float = field(default=-np.pi / 2)

    @property
    def points(self) -> np.ndarray:
        """Corners of all surfaces, shape (n, 3), mm."""
        return np.concatenate([surface.corners for surface in self.surfaces])

    def turned(self, angle: float) -> Scene:
        """The scene with everything on the table turned about its centre, light and table fixed."""
        c, s = np.cos(angle), np.sin(angle)
        turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        pivot = np.array([*self.centre, 0.0])
        surfaces = tuple(
            replace(
                surface,
                rotation=turn @ surface.rotation,
                translation=turn @ (surface.translation - pivot) + pivot,
            )
            for surface in self.surfaces
        )
        return replace(self, surfaces=surfaces)

    def lit_for(self, azimuth: float) -> Scene:
        """The scene with its light set for a viewer at that azimuth, radians."""
        return replace(self, viewer=azimuth)


def build(spread: Spread, motion: Motion, index: int, mood: str | Mood = "daylight") -> Scene:
    """The scene of a spread at one stage of its motion.

    Parameters
    ----------
    index : which of ``motion.openings``.
    mood : a name in ``preview.shot.mood.MOODS``, or a mood.

    Raises
    ------
    ValueError
        If the motion is not solved there, or there is no such mood.
    """
    if not motion.solved[index]:
        raise ValueError(f"the motion is not solved at {np.degrees(motion.openings[index]):.1f}°")
    return assemble(
        spread.linkage,
        book_of(spread),
        float(motion.openings[index]),
        motion.rotations[index],
        motion.translations[index],
        mood,
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
    )


def assemble(
    linkage: Linkage,
    book: Book,
    opening: float,
    rotations: np.ndarray,
    translations: np.ndarray,
    mood: str | Mood = "daylight",
) -> Scene:
    """The scene of a linkage at one pose.

    Parameters
    ----------
    opening : radians.
    rotations, translations : poses of the bodies, shapes (B, 3, 3) and (B, 3), mm.
    """
    if isinstance(mood, str):
        if mood not in MOODS:
            raise ValueError(f"no mood {mood!r}; there are {', '.join(MOODS)}")
        mood = MOODS[mood]
    lift = np.array([0.0, 0.0, book.lift(opening)])
    poses = [(r, t + lift) for r, t in zip(rotations, translations, strict=True)]
    surfaces = list(_book_surfaces(book, opening, poses, lift))
    turns = {
        part.id: rotation @ in_space(part.placement)
        for body, (rotation, _) in zip(linkage.bodies, poses, strict=True)
        for part in body.parts
    }
    for body, pose in zip(linkage.bodies, poses, strict=True):
        surfaces.extend(_part_surface(part, pose, book, turns) for part in body.parts)
    return Scene(
        tuple(surfaces),
        mood,
        table=-book.depth,
        centre=(0.0, book.height / 2),
        scale=float(np.hypot(book.width, book.height)) / 256.0,
    )


_Pose = tuple[np.ndarray, np.ndarray]


def _part_surface(part: Part, pose: _Pose, book: Book, turns: Mapping[str, np.ndarray]) -> Surface:
    sheet, placement = part.sheet, part.placement
    rotation, translation = pose
    is_page = sheet.piece == "page"
    height = part.height - (PAGE_DROP_MM if is_page else 0.0)
    local = np.array([*placement.shift, height])
    return Surface(
        part.id,
        _drawn_outline(part, turns[part.id], turns),
        turns[part.id],
        rotation @ local + translation,
        sheet.front,
        sheet.back,
        _material(is_page, sheet.paper),
        thickness=0.0 if is_page else sheet.paper.caliper,
        translucency=0.0 if is_page else translucency(sheet.paper),
        lift=placement.up * part.height,
        seed=zlib.crc32(f"{sheet.piece}.{sheet.name}".encode()),
        ruling=book.ruling if is_page else "plain",
        front_picture=printed(sheet.art, part.facet.polygon, 1),
        back_picture=printed(sheet.art, part.facet.polygon, -1),
    )


def _drawn_outline(part: Part, turn: np.ndarray, turns: Mapping[str, np.ndarray]) -> Polygon:
    """The facet, drawn back from folds beyond which the paper leans over it.

    Parameters
    ----------
    turn : rotation of the facet into the scene, shape (3, 3).
    turns : the same of every facet by its id.
    """
    polygon = part.facet.polygon
    if not part.height:
        return polygon
    for crossing in part.sheet.crossings:
        if part.facet.name not in (crossing.left, crossing.right):
            continue
        side = 1.0 if part.facet.name == crossing.left else -1.0
        other = crossing.right if side > 0 else crossing.left
        retreat = _retreat(crossing.fold, side, part, turn, turns[f"{part.sheet.piece}.{other}"])
        if retreat:
            polygon = _drawn_back(polygon, (crossing.fold.start, crossing.fold.end), retreat)
    return polygon


def _retreat(fold: Fold, side: float, part: Part, turn: np.ndarray, other: np.ndarray) -> float:
    """How far a raised facet would reach through its neighbour beyond a fold, mm.

    Parameters
    ----------
    side : +1 if the facet lies left of the fold, -1 if right.
    """
    along = np.subtract(fold.end, fold.start) / fold.length
    across = side * np.array([-along[1], along[0], 0.0])
    inward, beyond = turn @ across, other @ -across
    # The facet is raised towards one of its sides; only a wall on that side can lean over it.
    rise = abs(part.height)
    up = float(beyond @ turn[:, 2]) * np.sign(part.height) * part.placement.up
    lean = float(inward @ beyond)
    if lean <= 0.02 or up <= 0.02:
        return 0.0
    steps = np.ceil(min(rise * lean / up + 0.02, MOST_RETREAT_MM) / RETREAT_STEP_MM)
    return float(steps * RETREAT_STEP_MM)


@lru_cache(maxsize=16384)
def _drawn_back(polygon: Polygon, fold: tuple[Vector, Vector], retreat: float) -> Polygon:
    rest = polygon.difference(shapely.LineString(fold).buffer(retreat, cap_style="square"))
    parts = [part for part in shapely.get_parts(rest) if part.area > 0]
    return max(parts, key=lambda part: part.area) if parts else polygon


@lru_cache(maxsize=512)
def printed(art: tuple[Art, ...], polygon: shapely.Polygon, side: Literal[1, -1]) -> Picture | None:
    """The images and lettering on one side of a facet, as a picture."""
    if not art:
        return None
    from meshes.art import raster

    found = raster(art, polygon, side)
    return None if found is None else Picture(found.pixels, found.corner, found.size)


def in_space(placement: Placement) -> np.ndarray:
    """The proper rotation of a placement, shape (3, 3): half a turn about y if it is flipped."""
    c, s = np.cos(placement.angle), np.sin(placement.angle)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    return turn @ np.diag([-1.0, 1.0, -1.0]) if placement.flipped else turn


def _material(is_page: bool, paper: Paper) -> Material:
    if is_page:
        return "page"
    return "film" if paper.clear else "paper"


def translucency(paper: Paper) -> float:
    """Share of light that comes through a sheet: a quarter at 80 g/m², less for card.

    Chosen by eye; no source.
    """
    return 0.0 if paper.clear else 0.30 * float(np.exp(-paper.grammage / 350.0))


def _book_surfaces(
    book: Book, opening: float, poses: Sequence[_Pose], lift: np.ndarray
) -> Iterator[Surface]:
    for k, side in enumerate((-1, 1)):
        rotation, translation = poses[k]
        for board, local, corner in _framed_half(book, side):
            yield _board_surface(
                f"book.{'left' if side < 0 else 'right'}-{board.name}",
                board,
                rotation @ local,
                rotation @ corner + translation,
            )
    for board in middle_boards(book, opening):
        frame = _board_frame(board.corners)
        yield _board_surface(f"book.{board.name}", board, frame, board.corners[0] + lift)


@lru_cache(maxsize=16)
def _framed_half(book: Book, side: int) -> tuple[tuple[Board, np.ndarray, np.ndarray], ...]:
    return tuple(
        (board, _board_frame(board.corners), board.corners[0]) for board in half_boards(book, side)
    )


def _board_frame(corners: np.ndarray) -> np.ndarray:
    along = corners[1] - corners[0]
    along = along / np.linalg.norm(along)
    spokes = corners[1:] - corners[0]
    normal = np.cross(spokes[:-1], spokes[1:]).sum(axis=0)
    normal = normal / np.linalg.norm(normal)
    return np.column_stack([along, np.cross(normal, along), normal])


def _board_surface(
    name: str, board: Board, rotation: np.ndarray, translation: np.ndarray
) -> Surface:
    flat = (board.corners - board.corners[0]) @ _board_frame(board.corners)[:, :2]
    return Surface(
        name,
        Polygon(flat),
        rotation,
        translation,
        board.colour,
        board.colour,
        board.material,
        seed=zlib.crc32(name.encode()),
    )
