"""Which surface, or which piece, is seen at each pixel."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..shot.camera import Camera
from .extent import InSight
from .scene import Scene, Surface

NOTHING = -1
# Of a pop-up these belong to the notebook, which is the background of its pieces.
NOTEBOOK = ("page", "cover", "block")
# Several layers of card glued on a page are still part of the page to the eye.
LYING_MM = 2.0
# A sheet at least so large beside a page, and nowhere farther from it, is a leaf that rests on it.
# Our choice.
LEAF_SHARE, LEAF_MM = 0.5, 10.0


class Sight:
    """A scene made ready to be looked at from many places.

    Parameters
    ----------
    scene : nothing in it may change meanwhile.
    """

    def __init__(self, scene: Scene) -> None:
        from .render.ray.patches import triangulate
        from .render.ray.trace import Tracer

        flats = [triangulate(surface.polygon) for surface in scene.surfaces]
        placed = [
            flat @ surface.rotation[:, :2].T + surface.translation
            for flat, surface in zip(flats, scene.surfaces, strict=True)
        ]
        self._owner = np.repeat(np.arange(len(flats)), [len(flat) for flat in flats])
        self._tracer = Tracer(np.concatenate(placed).astype(np.float32))

    def surfaces(self, camera: Camera, size: tuple[int, int]) -> np.ndarray:
        """Index of the nearest surface at the centre of each pixel, -1 for none, shape (h, w), int.

        Parameters
        ----------
        size : width and height, pixels.
        """
        from .render.ray.lens import raster

        return self._first(raster(camera, size, 0.5, 0.5)[0], camera).reshape(size[1], size[0])

    def several(
        self, camera: Camera, size: tuple[int, int], places: Sequence[tuple[float, float]]
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """The same, and what is seen at several places in pixels near a surface's edge.

        Away from where one surface ends and another begins, the centre of a pixel speaks for it.

        Parameters
        ----------
        places : across and down, 0 to 1.

        Returns
        -------
        At the centres, shape (h, w); numbers of the pixels near an edge, shape (n,); what they
        show at the places, shape (n, s).
        """
        from .render.ray.lens import raster
        from .render.ray.neighbours import edges, grown

        middle = self.surfaces(camera, size)
        near = np.flatnonzero(grown(edges(middle)))
        seen = [self._first(raster(camera, size, *place, near)[0], camera) for place in places]
        return middle, near, np.stack(seen, axis=1)

    def _first(self, rays: np.ndarray, camera: Camera) -> np.ndarray:
        eye = np.broadcast_to(np.array(camera.eye, np.float32), rays.shape)
        hits = self._tracer.first(eye, rays)
        return np.where(hits < 0, NOTHING, self._owner[hits])


def surfaces_seen(scene: Scene, camera: Camera, size: tuple[int, int]) -> np.ndarray:
    """Index of the nearest surface at each pixel; see :meth:`Sight.surfaces`."""
    return Sight(scene).surfaces(camera, size)


def pieces_of(scene: InSight, standing: bool = False) -> tuple[list[str], np.ndarray]:
    """Names of the pieces in a scene, and the piece of each surface (-1 for the notebook).

    Parameters
    ----------
    standing : count what lies flat on a page, such as flat art and glue tabs, to the notebook.
    """
    left_out = lying(scene) if standing else np.zeros(len(scene.surfaces), bool)
    names: list[str] = []
    numbers = []
    for surface, flat in zip(scene.surfaces, left_out, strict=True):
        piece = surface.name.partition(".")[0]
        if surface.material in NOTEBOOK or flat:
            numbers.append(NOTHING)
            continue
        if piece not in names:
            names.append(piece)
        numbers.append(names.index(piece))
    return names, np.array(numbers, int)


# The opening at which the tallest piece is looked for, radians. Our choice.
TALLEST = np.pi * 5 / 6


def tallest(scene: Scene) -> str:
    """The piece that reaches highest over the table."""
    tops: dict[str, float] = {}
    for surface in scene.surfaces:
        if surface.material not in NOTEBOOK:
            piece = surface.name.partition(".")[0]
            tops[piece] = max(tops.get(piece, -np.inf), float(surface.corners[:, 2].max()))
    return max(tops, key=lambda name: tops[name])


def lying(scene: InSight) -> np.ndarray:
    """Whether each surface lies on one of the pages, bool, shape (surfaces,).

    A leaf that is turned by hand is a page too while it rests on one.
    """
    corners, owner = scene.corners
    areas = np.array([surface.polygon.area for surface in scene.surfaces])

    def farthest(page: Surface) -> np.ndarray:
        """Of each surface from a page's plane, mm."""
        heights = np.zeros(len(areas))
        np.maximum.at(heights, owner, np.abs((corners - page.translation) @ page.normal))
        return heights

    found = np.zeros(len(areas), bool)
    for page in [surface for surface in scene.surfaces if surface.material == "page"]:
        heights = farthest(page)
        found |= heights < LYING_MM
        large = areas >= LEAF_SHARE * page.polygon.area
        for leaf in np.flatnonzero(large & (heights < LEAF_MM) & (heights >= LYING_MM)):
            if scene.surfaces[leaf].material not in NOTEBOOK:
                found |= farthest(scene.surfaces[leaf]) < LYING_MM
    return found


def piece_at(seen: np.ndarray, numbers: np.ndarray) -> np.ndarray:
    """The piece at each pixel, from the surface there and the piece of each surface."""
    return np.where(seen < 0, NOTHING, np.append(numbers, NOTHING)[seen])


def pieces_seen(
    scene: Scene, camera: Camera, size: tuple[int, int]
) -> tuple[Sequence[str], np.ndarray]:
    """Names of the pieces, and which is seen at each pixel (-1 for none), shape (h, w), int."""
    names, numbers = pieces_of(scene)
    return names, piece_at(surfaces_seen(scene, camera, size), numbers)
