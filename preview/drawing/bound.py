"""The notebook as meshes for other programs: pages, cover boards, and what bends between them."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from meshes.gltf import Companion

from .book import Board, Book, block_box, cover_box, middle_shape

# The page of the design has a thickness of its own; the pages under it begin a little deeper.
UNDER_PAGE_MM = 0.1


def companions(book: Book) -> tuple[Companion, ...]:
    """The notebook beside the paper of a spread.

    Pages and cover of each half are boxes that follow the page of the design; the fold of the pages
    and the spine between them bend while it opens. A block no thicker than one page has no others.
    """
    has_pages = book.block > UNDER_PAGE_MM
    halves = [
        Companion(
            "notebook", f"notebook.{which}-{name}", colour, _triangles(faces), f"page.{which}"
        )
        for which, side in (("left", -1), ("right", 1))
        for name, colour, faces in (
            ("pages", book.paper, block_box(book, side, -UNDER_PAGE_MM).values()),
            ("cover", book.cover, cover_box(book, side).values()),
        )
        if has_pages or name == "cover"
    ]
    fold = [_bending(book, "fold", "block")] if has_pages else []
    return (*halves, *fold, _bending(book, "spine", "cover"))


def _bending(book: Book, name: str, material: str) -> Companion:
    """The middle faces of one material: flat open as they are, bent by the tilt of the pages."""

    def shape(sine: float, cosine: float) -> np.ndarray:
        boards: list[Board] = [
            board for board in middle_shape(book, sine, cosine) if board.material == material
        ]
        return _triangles(board.corners for board in boards)

    def weights(openings: np.ndarray) -> np.ndarray:
        tilt = (np.pi - openings) / 2
        return np.column_stack([np.sin(tilt), 1 - np.cos(tilt)])

    none, is_open = shape(0.0, 0.0), shape(0.0, 1.0)
    bends = np.stack([shape(1.0, 0.0) - none, none - is_open])
    colour = book.paper if material == "block" else book.cover
    return Companion("notebook", f"notebook.{name}", colour, is_open, "", bends, weights)


def _triangles(faces: Iterable[np.ndarray]) -> np.ndarray:
    """Convex faces as fans of triangles, shape (n, 3, 3)."""
    return np.array(
        [[face[0], face[k], face[k + 1]] for face in faces for k in range(1, len(face) - 1)]
    )
