"""A page that is turned before the spread opens, in a notebook that lies open a page earlier.

Both covers lie on the table with the other pages on them. On the right lies the spread, shut under
its own left page; over it, one more page is turned from right to left. A hand leads it at its
fore-edge, so that it bends as a part of a cylinder along the gutter: it is drawn by flat strips as
wide as they are on the sheet, each turned a little against the last, which keeps every length on
them. Then the left page of the spread follows, flat.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from ..shot.leaf import AJAR
from .binding import middle_boards
from .book import CLOSED, Board, Book, block_faces, cover_faces
from .scene import Scene, Surface, board_surfaces

# By how much more its fore-edge has turned than its edge at the gutter where it bends most, and by
# how many strips it is drawn. Our choice.
BEND, STRIPS = float(np.radians(46.0)), 28
# A page of a notebook: its thickness, mm, and the share of light that comes through, as of paper
# of 100 g/m² (`scene.translucency`).
LEAF_MM, LEAF_LIGHT = 0.12, 0.22
# The left page of the spread is doubled, as such pages are so that they carry what is glued to
# them, mm: common practice, no source. It covers what is glued through it (0.5 mm in the shipped
# designs). The turned page lies over it and then under it, with the block under both.
DOUBLED_MM, LEAF_OFF_MM, BLOCK_UNDER_MM = 0.6, 0.75, 0.9


def bent_page(width: float, share: float) -> tuple[np.ndarray, np.ndarray]:
    """The page in its section: turns of its strips, shape (n,), and their ends, shape (n + 1, 2).

    Parameters
    ----------
    width : mm.
    share : how far it is turned, 0 to 1. At both ends it is flat.

    Returns
    -------
    Radians from the right page on, all between that of the page under it and pi, since half of
    `BEND` is less than what is left of a turn; and x and z, mm, from the gutter.
    """
    low = 1.2 * AJAR
    middle = low + (np.pi - low) * share
    over = (np.arange(STRIPS) + 0.5) / STRIPS - 0.5
    turns = middle + BEND * np.sin(np.pi * share) * over
    steps = width / STRIPS * np.column_stack([np.cos(turns), np.sin(turns)])
    return turns, np.vstack([np.zeros(2), np.cumsum(steps, axis=0)])


def leafed(scene: Scene, book: Book, share: float) -> Scene:
    """The scene of a spread whose right half lies, in a notebook that is open a page earlier.

    Parameters
    ----------
    share : how far the page before is turned, 0 to 1.
    """
    own = [surface for surface in scene.surfaces if not surface.name.startswith("book.")]
    left = next(surface for surface in own if surface.name == "page.left")
    made = (*own, *_doubled(book, left), *_notebook(book, left), *_turned(book, left, share))
    return replace(scene, surfaces=made)


def _doubled(book: Book, page: Surface) -> Iterator[Surface]:
    """The other side and the edges of the left page of the spread."""
    thick = replace(book, block=DOUBLED_MM)
    faces = block_faces(thick, -1, CLOSED)
    boards = [
        Board(f"doubled-{name}", faces[name], book.paper, "block")
        for name in ("fore", "foot", "head")
    ]
    for edge in board_surfaces(boards, "book."):
        place = page.rotation @ edge.translation + page.translation
        yield edge.placed(edge.polygon, page.rotation @ edge.rotation, place)
    yield replace(
        page,
        name="page.left-back",
        polygon=shapely.transform(page.polygon, lambda points: points * [-1.0, 1.0]),
        rotation=page.rotation @ np.diag([-1.0, 1.0, -1.0]),
        translation=page.translation - DOUBLED_MM * page.normal,
        front_picture=None,
        back_picture=None,
    )


def _notebook(book: Book, page: Surface) -> Iterator[Surface]:
    """Both halves flat on the table, with plain pages on the left."""
    for side, which in ((-1, "left"), (1, "right")):
        boards = [
            Board(f"cover-{name}", corners, book.cover, "cover")
            for name, corners in cover_faces(book, side, 0.0).items()
        ]
        if book.block > 0:
            # Up to where the turned pages will lie, so that no slit is left under them.
            block = block_faces(book, side, 0.0)
            boards += [
                Board(f"block-{name}", block[name], book.paper, "block")
                for name in ("fore", "foot", "head")
            ]
        yield from board_surfaces(boards, f"book.{which}-")
    yield from board_surfaces(middle_boards(book, 0.0), "book.")
    yield replace(
        page,
        name="book.left-page",
        polygon=shapely.box(-book.width, 0.0, 0.0, book.height),
        rotation=np.eye(3),
        translation=np.array([0.0, 0.0, -min(BLOCK_UNDER_MM, book.depth)]),
        front_picture=None,
    )


def _turned(book: Book, page: Surface, share: float) -> Iterator[Surface]:
    """The strips of the page that is turned; their own coordinates are those of the whole page."""
    turns, ends = bent_page(book.width, share)
    seed = zlib.crc32(b"book.leaf")
    for k, turn in enumerate(turns.tolist()):
        c, s = float(np.cos(turn)), float(np.sin(turn))
        begin = book.width * k / STRIPS
        along = np.array([c, 0.0, s])
        start = np.array([ends[k, 0], 0.0, ends[k, 1] + LEAF_OFF_MM * (1 - 2 * share)])
        yield Surface(
            f"book.leaf-{k}",
            shapely.box(begin, 0.0, book.width * (k + 1) / STRIPS, book.height),
            np.column_stack([along, [0.0, 1.0, 0.0], [-s, 0.0, c]]),
            start - begin * along,
            book.paper,
            book.paper,
            "paper",
            thickness=LEAF_MM,
            translucency=LEAF_LIGHT,
            seed=seed,
            ruling=page.ruling,
        )
