"""The notebook under the pop-up: the pages and the cover of each half, resting on the table.

Its sheets are nested about the gutter, as in every folded gathering: what lies at a depth d under
the page goes round the gutter on an arc of radius d. A sheet that bends keeps its length on the
surface that is neither stretched nor pressed, so what the arc no longer takes when the notebook
opens comes out at the fore-edge: d times the angle by which the arc became shorter. Shut, all pages
end in one plane; open, they fan. What bends between the halves is in `binding.py`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

Ruling = Literal["plain", "dots", "lines", "grid"]
Binding = Literal["hard", "soft"]

# A thinner block of pages has no edge to be seen. Our choice.
_FLAT_MM = 1e-6
# How cover boards are rounded at the fore-edge, and by how many flat steps. Our choice.
CORNER_MM, CORNER_STEPS = 4.5, 5
# A cover that is rounded more than this many times of what it overhangs would show a corner of the
# pages: a square corner at that distance from both edges lies in the round of r only if
# r <= o / (1 - 1 / sqrt 2).
CORNER_SHARE = 3.4
# How wide the cloth slopes from the groove to the outside of a board. Our choice.
SLOPE_MM, BESIDE_MM = 2.2, 1e-3
CLOSED = np.pi / 2


@dataclass(frozen=True)
class Cover:
    """What a notebook is covered with, in mm.

    Parameters
    ----------
    board : thickness over the pages.
    cloth : thickness over the spine, where it bends.
    groove : from the spine to where the boards begin, when it is shut.
    overhang : how far it reaches beyond the pages.
    """

    board: float
    cloth: float
    groove: float
    overhang: float


# Boards of 2 to 2.5 mm, a lined spine, a groove in which they turn and squares of about 3 mm; a
# soft cover is one sheet, trimmed with the pages: common practice, no source.
COVERS: dict[Binding, Cover] = {
    "hard": Cover(board=2.2, cloth=1.2, groove=4.0, overhang=3.5),
    "soft": Cover(board=0.9, cloth=0.9, groove=2.0, overhang=0.6),
}


@dataclass(frozen=True)
class Book:
    """A bound notebook, in mm.

    Parameters
    ----------
    width, height : of one page.
    paper, cover : sRGB colours.
    block : thickness of the pages on each side.
    band : sRGB colour of the elastic band that holds it shut; empty without one.
    """

    width: float
    height: float
    paper: str = "#f6f1e4"
    cover: str = "#2f4d6b"
    block: float = 7.5
    ruling: Ruling = "dots"
    binding: Binding = "hard"
    band: str = ""

    @property
    def board(self) -> float:
        """Thickness of the cover over the pages, mm."""
        return COVERS[self.binding].board

    @property
    def cloth(self) -> float:
        """Thickness of the cover over the spine, mm."""
        return COVERS[self.binding].cloth

    @property
    def groove(self) -> float:
        """From the spine to where the boards begin when the notebook is shut, mm."""
        return COVERS[self.binding].groove

    @property
    def overhang(self) -> float:
        """How far the cover reaches beyond the pages when the notebook is shut, mm."""
        return COVERS[self.binding].overhang

    @property
    def depth(self) -> float:
        """From the page down to the table when the book lies flat open, mm."""
        return self.block + self.board

    @property
    def kept(self) -> float:
        """Depth under the page of the surface on which the cover keeps its length, mm."""
        return self.block + self.cloth / 2

    @property
    def reach(self) -> float:
        """From the gutter to the edge of the cover when the book lies flat open, mm."""
        return self.width + self.overhang + self.creep(self.kept, 0.0)

    def creep(self, depth: float, tilt: float) -> float:
        """How far a sheet has come out at the fore-edge, against where it is when shut, mm.

        Parameters
        ----------
        depth : of the sheet under the page, mm.
        tilt : of each half, 0 flat open to pi / 2 shut, radians.
        """
        return depth * (CLOSED - tilt)

    def hinge(self, tilt: float) -> float:
        """Where the board begins, from the gutter along its page, mm; the tilt in radians."""
        return self.groove + self.creep(self.kept, tilt)

    def lift(self, opening: float) -> float:
        """How far the book must rise from its own frame to rest on the table, mm.

        The table stays where it is when the book lies flat open; the gutter line is z = 0 in the
        frame of the motion. At other openings the book stands on its spine, or on the edges of its
        boards while these are lower.
        """
        tilt = tilt_of(opening)
        edge = self.hinge(tilt) * np.sin(tilt) - self.depth * np.cos(tilt)
        return float(-self.depth - min(edge, -self.block - self.cloth))


@dataclass(frozen=True)
class Board:
    """One flat face of the book: its corners seen from outside, counter-clockwise, shape (n, 3)."""

    name: str
    corners: np.ndarray
    colour: str
    material: Literal["block", "cover"]


def tilt_of(opening: float) -> float:
    """By how much each half is tilted at an opening, both in radians."""
    return float((np.pi - opening) / 2)


def half_boards(book: Book, side: int, tilt: float) -> Iterator[Board]:
    """Faces of the pages and the cover of one half, in the frame of its page.

    Parameters
    ----------
    side : +1 the right half (x > 0), -1 the left.
    tilt : of each half, radians.
    """
    if book.block > _FLAT_MM:
        block = block_faces(book, side, tilt)
        for name in ("fore", "foot", "head"):
            yield Board(f"block-{name}", block[name], book.paper, "block")
    for name, corners in cover_faces(book, side, tilt).items():
        yield Board(f"cover-{name}", corners, book.cover, "cover")


def block_faces(book: Book, side: int, tilt: float, top: float = 0.0) -> dict[str, np.ndarray]:
    """The six faces of one half's pages, up to a height `top` over the page, by name.

    The fore-edge leans outwards, as far as the pages have crept.
    """
    low, high = -book.block, top
    far, near = (book.width + book.creep(-z, tilt) for z in (low, high))
    y = book.height
    foot = np.array([(0, 0, low), (far, 0, low), (near, 0, high), (0, 0, high)], float)
    head = foot[[1, 0, 3, 2]] + np.array([0.0, y, 0.0])
    faces = {"foot": foot, "head": head, "fore": np.array([foot[1], head[0], head[3], foot[2]])}
    faces["top"] = np.array([foot[3], foot[2], head[3], head[2]])
    faces["bottom"] = np.array([head[1], head[0], foot[1], foot[0]])
    faces["gutter"] = np.array([head[1], foot[0], foot[3], head[2]])
    return faces if side > 0 else _mirrored(faces)


def cover_faces(book: Book, side: int, tilt: float) -> dict[str, np.ndarray]:
    """The faces of one cover board by name, its corners at the fore-edge rounded."""
    rim, start = book.overhang, book.hinge(tilt)
    far = book.width + rim + book.creep(book.kept, tilt)
    radius = min(CORNER_MM, CORNER_SHARE * rim, book.width / 4, book.height / 4)
    turn = np.linspace(0.0, np.pi / 2, CORNER_STEPS + 1)
    arc = radius * np.column_stack([np.sin(turn), 1 - np.cos(turn)])
    low = arc + np.array([far - radius, -rim])
    high = (low * [1.0, -1.0] + [0.0, book.height])[::-1]
    outline = np.concatenate([[[start, -rim]], low, high, [[start, book.height + rim]]])
    names = [f"corner-{k}" for k in range(2 * CORNER_STEPS)]
    names = ["foot", *names[:CORNER_STEPS], "fore", *names[CORNER_STEPS:], "head", "hinge"]
    under, over = (
        np.column_stack([outline, np.full(len(outline), z)]) for z in (-book.depth, -book.block)
    )
    faces = {"top": over, "bottom": under[::-1]}
    ahead = np.roll(np.arange(len(outline)), -1)
    walls = np.stack([under, under[ahead], over[ahead], over], axis=1)
    faces |= zip(names, walls, strict=True)
    faces |= _slope(book, start)
    return faces if side > 0 else _mirrored(faces)


def _slope(book: Book, start: float) -> dict[str, np.ndarray]:
    """What the cloth fills beside the edge of a board, from the groove up to its outside."""
    if book.board - book.cloth < _FLAT_MM:
        return {}
    low, high = -book.overhang, book.height + book.overhang
    # Beside the board, not sharing its edge: both are closed by themselves.
    end = start - BESIDE_MM
    section = [(end - SLOPE_MM, -book.block - book.cloth), (end, -book.depth)]
    section.append((end, -book.block - book.cloth))
    foot, head = (np.array([(x, y, z) for x, z in section]) for y in (low, high))
    faces = {"slope-foot": foot, "slope-head": head[::-1]}
    for k, name in enumerate(("slope", "slope-board", "slope-cloth")):
        after = (k + 1) % 3
        faces[name] = np.array([foot[k], head[k], head[after], foot[after]])
    return faces


def _mirrored(faces: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    mirror = np.array([-1.0, 1.0, 1.0])
    return {name: face[::-1] * mirror for name, face in faces.items()}
