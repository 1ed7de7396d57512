"""The notebook as meshes for other programs: pages, cover boards, and what bends between them."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np
from numpy.polynomial import chebyshev

from meshes.gltf import Companion

from .binding import cloth_solid, fold_solid
from .book import CLOSED, Book, block_faces, cover_faces

# The page of the design has a thickness of its own; the pages under it begin a little deeper.
UNDER_PAGE_MM = 0.1
# Strips of the arc round the spine; the degree of the polynomials in the tilt that move their
# corners, which are then within 1e-5 mm of where they belong (`tests/outside/test_gltf_played.py`).
STRIPS, DEGREE = 16, 9

Shape = Callable[[float], np.ndarray]


def companions(book: Book) -> tuple[Companion, ...]:
    """The notebook beside the paper of a spread.

    Pages and cover of each half follow the page of the design, and slide on each other as far as
    the bend between the halves takes or gives; the fold of the pages and the cover round the spine
    bend while it opens. A block no thicker than one page has no others. A band is left out: it is
    away while the notebook is open.
    """
    has_pages = book.block > UNDER_PAGE_MM
    halves = [
        _sliding(f"notebook.{which}-{name}", colour, shape, f"page.{which}")
        for which, side in (("left", -1), ("right", 1))
        for name, colour, shape in (
            ("pages", book.paper, _pages(book, side)),
            ("cover", book.cover, _cover(book, side)),
        )
        if has_pages or name == "cover"
    ]
    fold = [_bending("notebook.fold", book.paper, _fold(book))] if has_pages else []
    return (*halves, *fold, _bending("notebook.spine", book.cover, _spine(book)))


def _pages(book: Book, side: int) -> Shape:
    return lambda tilt: _triangles(block_faces(book, side, tilt, -UNDER_PAGE_MM).values())


def _cover(book: Book, side: int) -> Shape:
    return lambda tilt: _triangles(cover_faces(book, side, tilt).values())


def _fold(book: Book) -> Shape:
    return lambda tilt: _triangles(fold_solid(book, tilt, STRIPS))


def _spine(book: Book) -> Shape:
    return lambda tilt: _triangles(cloth_solid(book, tilt, STRIPS))


def _sliding(name: str, colour: str, shape: Shape, follows: str) -> Companion:
    """What moves evenly with the tilt, on its page."""
    flat = shape(0.0)
    bends = (shape(CLOSED) - flat)[None]

    def weights(openings: np.ndarray) -> np.ndarray:
        return (_tilts(openings) / CLOSED)[:, None]

    return Companion("notebook", name, colour, flat, follows, bends, weights)


def _bending(name: str, colour: str, shape: Shape) -> Companion:
    """What bends with the tilt: Chebyshev polynomials of it, each less what it is flat open."""
    nodes = chebyshev.chebpts1(DEGREE + 1)
    shapes = np.array([shape(float(CLOSED * (1 + node) / 2)) for node in nodes])
    found = chebyshev.chebfit(nodes, shapes.reshape(len(nodes), -1), DEGREE)
    found = found.reshape(-1, *shapes.shape[1:])

    open_flat = (-1.0) ** np.arange(1, DEGREE + 1)

    def weights(openings: np.ndarray) -> np.ndarray:
        values = chebyshev.chebvander(2 * _tilts(openings) / CLOSED - 1, DEGREE)[:, 1:]
        return values - open_flat

    return Companion("notebook", name, colour, shape(0.0), "", found[1:], weights)


def _tilts(openings: np.ndarray) -> np.ndarray:
    return np.asarray((np.pi - openings) / 2)


def _triangles(faces: Iterable[np.ndarray]) -> np.ndarray:
    """Convex faces as fans of triangles, shape (n, 3, 3)."""
    return np.array(
        [[face[0], face[k], face[k + 1]] for face in faces for k in range(1, len(face) - 1)]
    )
