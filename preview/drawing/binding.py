"""What bends between the halves of a notebook: its folded pages, the cover round the spine, a band.

The cover goes round the spine as one sheet: between both boards, along each page until it comes to
the arc, then about the gutter. The arc is drawn by flat strips whose corners lie so far out that
the strips together are as long as the arc itself, so that the length of the sheet is the same at
every opening.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from .book import Board, Book

# An arc is drawn by flat strips that turn by no more than this, radians. Our choice.
STRIP = float(np.radians(7.5))
# Narrower faces are left out: there is nothing of them in a picture. Our choice.
THINNEST_MM = 1e-5
# Halves that are tilted by less leave nothing to see between them, radians. Our choice.
_FLAT = float(np.radians(0.2))
# An elastic band, mm: its width, its thickness, and from the fore-edge of the page to its middle.
# Common practice, no source.
BAND_MM, BAND_THICK_MM, BAND_INWARD_MM = 6.0, 0.8, 14.0
# A notebook that is open wider has its band taken away, radians. Our choice.
BANDED = float(np.radians(0.05))


def strips_for(tilt: float) -> int:
    """By how many strips the arc between halves of that tilt is drawn."""
    return max(1, int(np.ceil(2 * tilt / STRIP)))


def arc(depth: float, tilt: float, strips: int) -> np.ndarray:
    """Corners of a sheet on its arc about the gutter, from left to right, shape (n + 1, 2), mm.

    The radius is the one at which n chords, 2 r sin(tilt / n) each, are as long as the arc.

    Parameters
    ----------
    depth : of the sheet under the page, mm.
    tilt : of each half, radians.
    """
    step = tilt / strips
    radius = depth / np.sinc(step / np.pi)
    turn = np.linspace(-tilt, tilt, strips + 1)
    return radius * np.column_stack([np.sin(turn), -np.cos(turn)])


def cloth_section(book: Book, tilt: float, strips: int) -> tuple[np.ndarray, np.ndarray]:
    """Inner and outer outline of the cover between its boards, each of shape (n + 3, 2), mm.

    They run from the left board to the right one, in x and z of the frame of the motion.
    """
    middle = arc(book.kept, tilt, strips)
    outwards = middle / np.linalg.norm(middle, axis=1)[:, None]
    # Strips that are as thick as the sheet meet at their bisector.
    half = book.cloth / 2 / np.cos(tilt / strips)
    start = book.hinge(tilt)
    along = np.array([np.cos(tilt), np.sin(tilt)])
    down = np.array([np.sin(tilt), -np.cos(tilt)])
    sections = []
    for sign in (-1.0, 1.0):
        end = start * along + (book.kept + sign * book.cloth / 2) * down
        bent = middle + sign * half * outwards
        sections.append(np.vstack([end * [-1, 1], bent, end]))
    return sections[0], sections[1]


def middle_boards(book: Book, tilt: float) -> Iterator[Board]:
    """Faces between the two halves, in the frame of the motion: folded pages and bent cover.

    Parameters
    ----------
    tilt : of each half, radians.
    """
    strips = strips_for(tilt)
    if tilt > _FLAT and book.block > 0:
        yield from _fold(book, tilt, strips)
    yield from _cloth(book, tilt, strips, THINNEST_MM)


def _fold(book: Book, tilt: float, strips: int) -> Iterator[Board]:
    """The ends of the pages where they go round the gutter."""
    corners = arc(book.block, tilt, strips)
    wedges = np.stack([corners[:-1], corners[1:], np.zeros((strips, 2))], axis=1)
    feet, heads = _at(wedges, 0.0), _at(wedges[:, [1, 0, 2]], book.height)
    for k, (foot, head) in enumerate(zip(feet, heads, strict=True)):
        yield Board(f"fold-{k}-foot", foot, book.paper, "block")
        yield Board(f"fold-{k}-head", head, book.paper, "block")


def _cloth(book: Book, tilt: float, strips: int, least: float = 0.0) -> Iterator[Board]:
    """The faces of the cover between its boards, without strips that are narrower than `least`."""
    inner, outer = cloth_section(book, tilt, strips)
    start, end = -book.overhang, book.height + book.overhang
    wide = np.flatnonzero(np.linalg.norm(np.diff(outer, axis=0), axis=1) >= least)
    rims = np.stack([outer[wide], outer[wide + 1], inner[wide + 1], inner[wide]], axis=1)
    feet, heads = _at(rims, start), _at(rims, end)
    outer, inner = (
        np.stack([feet[:, a], heads[:, a], heads[:, b], feet[:, b]], axis=1)
        for a, b in ((0, 1), (2, 3))
    )
    for k, outside, inside, foot, head in zip(
        wide.tolist(), outer, inner, feet, heads[:, ::-1], strict=True
    ):
        yield Board(f"spine-outer-{k}", outside, book.cover, "cover")
        yield Board(f"spine-inner-{k}", inside, book.cover, "cover")
        yield Board(f"spine-{k}-foot", foot, book.cover, "cover")
        yield Board(f"spine-{k}-head", head, book.cover, "cover")


def fold_solid(book: Book, tilt: float, strips: int) -> list[np.ndarray]:
    """The faces of the folded pages as a closed solid; see `middle_boards`."""
    faces = [board.corners for board in _fold(book, tilt, strips)]
    ring = [np.zeros(2), *arc(book.block, tilt, strips)]
    return faces + _walls(np.array(ring), 0.0, book.height)


def cloth_solid(book: Book, tilt: float, strips: int) -> list[np.ndarray]:
    """The faces of the cover between its boards as a closed solid; see `middle_boards`."""
    faces = [board.corners for board in _cloth(book, tilt, strips)]
    ends = [line[[0, -1]] for line in cloth_section(book, tilt, strips)]
    start, end = -book.overhang, book.height + book.overhang
    for a, b in ((ends[0][0], ends[1][0]), (ends[1][1], ends[0][1])):
        corners = [[a[0], start, a[1]], [a[0], end, a[1]], [b[0], end, b[1]], [b[0], start, b[1]]]
        faces.append(np.array(corners))
    return faces


def _walls(ring: np.ndarray, start: float, end: float) -> list[np.ndarray]:
    """What closes a prism along y round a ring, seen from outside."""
    return [
        np.array([[a[0], start, a[1]], [a[0], end, a[1]], [b[0], end, b[1]], [b[0], start, b[1]]])
        for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)
    ]


def band_boards(book: Book, side: int, on_table: bool) -> Iterator[Board]:
    """Faces of a band round a shut notebook that belong to one half, in the frame of its page.

    Parameters
    ----------
    side : +1 the right half (x > 0), -1 the left.
    on_table : that half lies on the table, so that the band is not drawn on it: there it is under
        the notebook.
    """
    # A narrow notebook has it in its middle.
    middle = max(book.width - BAND_INWARD_MM, book.width / 2)
    near, far = middle - BAND_MM / 2, middle + BAND_MM / 2
    rim, thick = book.overhang, BAND_THICK_MM
    low = -book.depth - (0.0 if on_table else thick)
    foot, head = -rim - thick, book.height + rim + thick
    blocks = [((foot, -rim), (low, 0.0)), ((book.height + rim, head), (low, 0.0))]
    if not on_table:
        blocks.append(((foot, head), (low, -book.depth)))
    for k, ((y0, y1), (z0, z1)) in enumerate(blocks):
        for name, corners in _box((near, far), (y0, y1), (z0, z1)).items():
            seen = corners if side > 0 else corners[::-1] * [-1.0, 1.0, 1.0]
            yield Board(f"band-{k}-{name}", seen, book.band, "cover")


def is_banded(book: Book, opening: float) -> bool:
    """Whether a band is round the notebook at an opening, radians."""
    return bool(book.band) and opening <= BANDED


def _at(outlines: np.ndarray, y: float) -> np.ndarray:
    """Outlines in x and z, shape (..., 2), at a height y over the foot, shape (..., 3)."""
    return np.stack([outlines[..., 0], np.full(outlines.shape[:-1], y), outlines[..., 1]], axis=-1)


def _box(
    x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]
) -> dict[str, np.ndarray]:
    """Faces of a box, corners counter-clockwise from outside."""
    (x0, x1), (y0, y1), (z0, z1) = x, y, z
    faces = {
        "fore": [(x1, y0, z0), (x1, y1, z0), (x1, y1, z1), (x1, y0, z1)],
        "foot": [(x0, y0, z0), (x1, y0, z0), (x1, y0, z1), (x0, y0, z1)],
        "head": [(x1, y1, z0), (x0, y1, z0), (x0, y1, z1), (x1, y1, z1)],
        "near": [(x0, y1, z0), (x0, y0, z0), (x0, y0, z1), (x0, y1, z1)],
        "bottom": [(x0, y1, z0), (x1, y1, z0), (x1, y0, z0), (x0, y0, z0)],
    }
    return {name: np.array(face) for name, face in faces.items()}
