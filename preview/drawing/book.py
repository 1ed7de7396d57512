"""The notebook under the pop-up: page blocks, cover boards and spine, resting on the table."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

Ruling = Literal["plain", "dots", "lines", "grid"]

# A thinner block of pages has no edge to be seen. Our choice.
_FLAT_MM = 1e-6
# How cover boards are rounded at the fore-edge, and by how many flat steps. Our choice.
CORNER_MM, CORNER_STEPS = 4.5, 5
# Narrower faces between the halves are left out. Our choice.
THINNEST_MM = 0.02


@dataclass(frozen=True)
class Book:
    """A bound notebook lying open, in mm.

    Parameters
    ----------
    width, height : of one page.
    paper, cover : sRGB colours.
    block : thickness of the pages on each side when the book lies flat open.
    board : thickness of the cover boards.
    overhang : how far the boards reach beyond the pages.
    """

    width: float
    height: float
    paper: str = "#f6f1e4"
    cover: str = "#2f4d6b"
    block: float = 7.5
    board: float = 2.2
    overhang: float = 3.5
    ruling: Ruling = "dots"

    @property
    def depth(self) -> float:
        """From the page down to the table when the book lies flat open, mm."""
        return self.block + self.board

    def lift(self, opening: float) -> float:
        """How far the book must rise from its own frame to rest on the table, mm.

        The table stays where it is when the book lies flat open; the gutter line is z = 0 in the
        frame of the motion, and at any other opening the book stands on its spine.
        """
        tilt = (np.pi - opening) / 2
        lowest = -self.depth * np.cos(tilt) - self.board * np.sin(tilt)
        return float(-self.depth - lowest)


@dataclass(frozen=True)
class Board:
    """One flat face of the book: its corners seen from outside, counter-clockwise, shape (n, 3)."""

    name: str
    corners: np.ndarray
    colour: str
    material: Literal["block", "cover"]


def half_boards(book: Book, side: int) -> Iterator[Board]:
    """Faces of the page block and the cover of one half, in the frame of its page.

    Parameters
    ----------
    side : +1 the right half (x > 0), -1 the left.
    """
    if book.block > _FLAT_MM:
        block = block_box(book, side)
        for name in ("fore", "foot", "head"):
            yield Board(f"block-{name}", block[name], book.paper, "block")
    for name, corners in cover_faces(book, side).items():
        yield Board(f"cover-{name}", corners, book.cover, "cover")


def block_box(book: Book, side: int, top: float = 0.0) -> dict[str, np.ndarray]:
    """The six faces of one half's pages, up to a height `top` over the page, by name."""
    return _box((0, book.width), (0, book.height), (-book.block, top), side)


def cover_faces(book: Book, side: int) -> dict[str, np.ndarray]:
    """The faces of one cover board by name, its corners at the fore-edge rounded."""
    rim, far = book.overhang, book.width + book.overhang
    radius = min(CORNER_MM, book.width / 4, book.height / 4)
    turn = np.linspace(0.0, np.pi / 2, CORNER_STEPS + 1)
    arc = radius * np.column_stack([np.sin(turn), 1 - np.cos(turn)])
    low = arc + np.array([far - radius, -rim])
    high = (low * [1.0, -1.0] + [0.0, book.height])[::-1]
    outline = np.concatenate([[[0.0, -rim]], low, high, [[0.0, book.height + rim]]])
    names = [f"corner-{k}" for k in range(2 * CORNER_STEPS)]
    names = ["foot", *names[:CORNER_STEPS], "fore", *names[CORNER_STEPS:], "head"]
    under, over = (
        np.column_stack([outline, np.full(len(outline), z)]) for z in (-book.depth, -book.block)
    )
    faces = {"top": over, "bottom": under[::-1]}
    for k, name in enumerate(names):
        faces[name] = np.array([under[k], under[k + 1], over[k + 1], over[k]])
    if side > 0:
        return faces
    return {name: face[::-1] * [-1.0, 1.0, 1.0] for name, face in faces.items()}


def cover_box(book: Book, side: int) -> dict[str, np.ndarray]:
    """The six faces of one cover board by name, as a plain box for other programs."""
    rim = book.overhang
    across, along = (0, book.width + rim), (-rim, book.height + rim)
    return _box(across, along, (-book.depth, -book.block), side)


def middle_boards(book: Book, opening: float) -> Iterator[Board]:
    """Faces between the two halves, in the frame of the motion: folded pages, hinge and spine.

    Without them a bright gap shows through the spine of a half-open book. The opening is given in
    radians.
    """
    tilt = (np.pi - opening) / 2
    if 2 * book.depth * np.sin(tilt) < 0.05:
        return
    for board in middle_shape(book, np.sin(tilt), np.cos(tilt)):
        _, a, b, *_ = board.corners
        if np.linalg.norm(b - a) > THINNEST_MM:
            yield board


def middle_shape(book: Book, sine: float, cosine: float) -> Iterator[Board]:
    """The faces of `middle_boards` where each page is tilted by an angle of this sine and cosine.

    Each corner is a linear function of the two.
    """
    down = np.array([sine, -cosine])  # away from the right page, in x and z
    right, edge = book.block * down, book.depth * down
    mirror = np.array([-1.0, 1.0])
    fold = [np.zeros(2), right * mirror, right]
    for name, y, outline in (("foot", 0.0, fold), ("head", book.height, fold[::-1])):
        yield Board(f"fold-{name}", _at(outline, y), book.paper, "block")
    low = edge - [0.0, book.board * sine]
    start, end = -book.overhang, book.height + book.overhang
    ring = [right * mirror, edge * mirror, low * mirror, low, edge, right]
    yield Board("spine-foot", _at(ring, start), book.cover, "cover")
    yield Board("spine-head", _at(ring[::-1], end), book.cover, "cover")
    for k, name in enumerate(("left-joint", "left", "bottom", "right", "right-joint", "top")):
        a, b = ring[k], ring[(k + 1) % 6]
        corners = np.array(
            [[a[0], start, a[1]], [a[0], end, a[1]], [b[0], end, b[1]], [b[0], start, b[1]]]
        )
        yield Board(f"spine-{name}", corners, book.cover, "cover")


def _at(outline: list[np.ndarray], y: float) -> np.ndarray:
    return np.array([[x, y, z] for x, z in outline])


def _box(
    x: tuple[float, float], y: tuple[float, float], z: tuple[float, float], side: int
) -> dict[str, np.ndarray]:
    """Faces of a box, corners counter-clockwise from outside, mirrored in x for the left side."""
    (x0, x1), (y0, y1), (z0, z1) = x, y, z
    faces = {
        "fore": [(x1, y0, z0), (x1, y1, z0), (x1, y1, z1), (x1, y0, z1)],
        "foot": [(x0, y0, z0), (x1, y0, z0), (x1, y0, z1), (x0, y0, z1)],
        "head": [(x1, y1, z0), (x0, y1, z0), (x0, y1, z1), (x1, y1, z1)],
        "top": [(x0, y0, z1), (x1, y0, z1), (x1, y1, z1), (x0, y1, z1)],
        "bottom": [(x0, y1, z0), (x1, y1, z0), (x1, y0, z0), (x0, y0, z0)],
        "gutter": [(x0, y1, z0), (x0, y0, z0), (x0, y0, z1), (x0, y1, z1)],
    }
    if side > 0:
        return {name: np.array(face) for name, face in faces.items()}
    return {name: np.array(face)[::-1] * [-1.0, 1.0, 1.0] for name, face in faces.items()}
