"""What depends only on camera and picture size: rays, the table under them, groups of pixels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from preview.drawing.scene import Scene
from preview.shot.camera import Camera

from . import ground as grounds
from . import open_table
from .sampling import GROUPS
from .trace import PULL_MM

# Rows and columns of a picture.
Window = tuple[slice, slice]
# Pixels whose ground is looked at in one go.
AT_ONCE = 16_384
# Pixels of a window on every side of what is to be seen in it, even: filters look beyond edges.
BESIDE = 4


class Lens:
    """Rays of one camera and picture size, reused from frame to frame.

    Pixels are numbered row by row. Arrays of vectors are stored channel by channel, shape (3, n):
    numpy works on long rows several times faster than on triples.
    """

    def __init__(self, scene: Scene, camera: Camera, size: tuple[int, int]) -> None:
        width, height = size
        self.camera, self.size, self.shape = camera, size, (height, width)
        self.eye = np.array(camera.eye, np.float32)
        columns, rows = (np.arange(many, dtype=np.float32) + np.float32(0.5) for many in size)
        self.directions = rays_through(camera, size, columns, rows[:, None]).reshape(3, -1)
        # Whether any ray does not come down to the table.
        self.sees_beyond = bool(self.directions[2].max() > -1e-3)
        self.ground_distance = np.empty(width * height, np.float32)
        self.table, self.backdrop = (np.empty((3, width * height), np.float32) for _ in range(2))
        self._look(scene, np.repeat(rows / np.float32(height), width))
        self.vignette = grounds.vignette(size)[..., 0]
        self.pixel = camera.millimetres_per_pixel(height)
        self.numbers = np.arange(width * height).reshape(self.shape)
        self._grids: dict[int, PixelGrid] = {}
        self._open_table: tuple[bytes, np.ndarray, np.ndarray] | None = None

    def _look(self, scene: Scene, rows: np.ndarray) -> None:
        """Look at the ground, in parts that stay in a processor's own memory."""
        angle = self.camera.pixel_angle(self.size[1])
        for start in range(0, len(rows), AT_ONCE):
            some = slice(start, start + AT_ONCE)
            found = grounds.look(scene, self.camera, self.directions[:, some], rows[some], angle)
            self.ground_distance[some] = found.distance
            self.table[:, some], self.backdrop[:, some] = found.table, found.backdrop

    @cached_property
    def ground_points(self) -> np.ndarray:
        """Just before where the ray of each pixel comes to the table, shape (3, n)."""
        return self.points(self.ground_distance, slice(None))

    @cached_property
    def table_across(self) -> np.ndarray:
        """Of these places, for shadows on the table; see :func:`open_table.in_the_open`."""
        return open_table.across(self.ground_points)

    @cached_property
    def coarse_across(self) -> np.ndarray:
        """The same of every second pixel both ways."""
        pixels = self.grid(2).pixels
        return open_table.across(self.points(self.ground_distance[pixels], pixels))

    def open_table(self, lights: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """What pixels of table in the key show without a sky, and what all of it adds, (3, n) each.

        Parameters
        ----------
        lights : of the key, of the sky and of all else on the table, shape (3, 3).
        """
        key, sky, rest = lights[..., None]
        if self._open_table is None or self._open_table[0] != lights.tobytes():
            open_table = (key + rest) * self.table + self.backdrop
            self._open_table = lights.tobytes(), open_table, sky * self.table
        return self._open_table[1:]

    def grid(self, step: int) -> PixelGrid:
        """Every so many pixels both ways."""
        if step not in self._grids:
            self._grids[step] = PixelGrid.of(self.numbers[::step, ::step])
        return self._grids[step]

    def corner_rays(self, rows: np.ndarray, columns: np.ndarray) -> np.ndarray:
        """Unit rays through some corners between pixels, shape (n, 3)."""
        down, across = rows.astype(np.float32), columns.astype(np.float32)
        return rays_through(self.camera, self.size, across, down).T

    def points(self, distance: np.ndarray, pixels: np.ndarray | slice) -> np.ndarray:
        """Places just before what is that far away along the rays of pixels, shape (3, n)."""
        return np.asarray(self.eye[:, None] + (distance - PULL_MM) * self.directions[:, pixels])

    def window_of(self, points: np.ndarray) -> Window:
        """A part of the picture in which all of the points (n, 3) lie, and a little room beside.

        It begins at an even row and column, and so it ends, if not with the picture.
        """
        width, height = self.size
        places = self.camera.project(points, self.size) if len(points) else np.zeros((1, 2))
        if not np.isfinite(places).all():
            return slice(0, height), slice(0, width)
        low = np.floor(places.min(axis=0) / 2) * 2 - BESIDE
        high = np.ceil(places.max(axis=0) / 2) * 2 + BESIDE
        (left, right), (top, foot) = (
            np.clip(ends, 0, most).astype(int).tolist()
            for ends, most in zip(np.stack([low, high], axis=1), self.size, strict=True)
        )
        return slice(top, foot), slice(left, right)

    def rays_in(self, window: Window, step: int) -> np.ndarray:
        """Unit rays through every so many pixels of a window both ways, shape (m, 3)."""
        rows, columns = (slice(span.start, span.stop, step) for span in window)
        return self.directions.reshape(3, *self.shape)[:, rows, columns].reshape(3, -1).T

    def sub_rays(self, pixels: np.ndarray, places: np.ndarray) -> np.ndarray:
        """Unit rays through some places inside each of some pixels, shape (m · s, 3), float32.

        Parameters
        ----------
        pixels : shape (m,).
        places : across and down, 0 to 1, shape (2, s); see :func:`places_of_grid`.
        """
        count = places.shape[1]
        return self.rays_at(np.repeat(pixels, count), np.tile(places, len(pixels)))

    def fans(self, pixels: np.ndarray, places: np.ndarray) -> np.ndarray:
        """The rays of :meth:`sub_rays`, of any length: for what they meet, not how far away."""
        right, up, forward = self.camera.axes.astype(np.float32)
        reach = np.float32(np.tan(self.camera.field / 2) / (self.size[1] / 2))
        rows, columns = np.divmod(pixels.astype(np.float32), np.float32(self.size[0]))
        x = (columns - np.float32(self.size[0] / 2)) * reach
        y = (np.float32(self.size[1] / 2) - rows) * reach
        corners = forward + x[:, None] * right + y[:, None] * up
        inside = reach * (places[0][:, None] * right - places[1][:, None] * up)
        return (corners[:, None] + inside).reshape(-1, 3)

    def rays_at(self, pixels: np.ndarray, places: np.ndarray) -> np.ndarray:
        """Unit rays, each through a place of its own (2, n) in its pixel (n,), shape (n, 3)."""
        width = self.size[0]
        columns = (pixels % width).astype(np.float32) + places[0]
        rows = (pixels // width).astype(np.float32) + places[1]
        found = rays_through(self.camera, self.size, columns, rows)
        return np.ascontiguousarray(found.T)


def places_of_grid(grid: int) -> np.ndarray:
    """Middles of the cells of a grid × grid raster inside a pixel, shape (2, grid²), float32."""
    steps = ((np.arange(grid) + 0.5) / grid).astype(np.float32)
    return np.stack([place.ravel() for place in np.meshgrid(steps, steps)])


@dataclass(frozen=True, eq=False)
class PixelGrid:
    """Every so many pixels of a picture, both ways.

    Parameters
    ----------
    pixels : their numbers in the picture, shape (m,).
    shape : rows and columns.
    groups : for each group of a 3 × 3 interleave of them, numbers in `pixels`.
    """

    pixels: np.ndarray
    shape: tuple[int, int]
    groups: list[np.ndarray]

    @staticmethod
    def of(numbers: np.ndarray) -> PixelGrid:
        """The raster of some pixel numbers, shape (h, w)."""
        places = np.arange(numbers.size).reshape(numbers.shape)
        return PixelGrid(numbers.ravel(), (numbers.shape[0], numbers.shape[1]), interleaved(places))


def raster(
    camera: Camera,
    size: tuple[int, int],
    dx: float,
    dy: float,
    pixels: np.ndarray | None = None,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Unit rays through one place in every pixel.

    Parameters
    ----------
    dx, dy : the place inside the pixel, 0 to 1 each.
    pixels : numbers of the pixels, row by row, shape (n,); else all.

    Returns
    -------
    The rays twice, shapes (n, 3) and (3, n), and their heights in the picture from 0 top to 1
    bottom, shape (n,), float32.
    """
    width, height = size
    numbers = np.arange(width * height) if pixels is None else pixels
    rows, columns = np.divmod(numbers.astype(np.int32), np.int32(width))
    across = columns.astype(np.float32) + np.float32(dx)
    down = rows.astype(np.float32) + np.float32(dy)
    directions = rays_through(camera, size, across, down)
    return np.ascontiguousarray(directions.T), directions, down / np.float32(height)


def rays_through(
    camera: Camera, size: tuple[int, int], columns: np.ndarray, rows: np.ndarray
) -> np.ndarray:
    """Unit rays through pixel positions, shape (3, n), float32; see :meth:`Camera.rays`.

    Columns of shape (w,) and rows of shape (h, 1) are those of a picture, shape (3, h, w).
    """
    width, height = size
    reach = np.float32(np.tan(camera.field / 2) / (height / 2))
    x = (columns - np.float32(width / 2)) * reach
    y = (np.float32(height / 2) - rows) * reach
    scale = 1 / np.sqrt(1 + x * x + y * y)
    right, up, forward = camera.axes.astype(np.float32)
    found = np.empty((3, *scale.shape), np.float32)
    for row, f, r, u in zip(found, forward, right, up, strict=True):
        np.multiply(f + x * r + y * u, scale, out=row)
    return found


def interleaved(numbers: np.ndarray) -> list[np.ndarray]:
    """The nine groups of a 3 × 3 interleave of pixel numbers, shape (h, w), each flat."""
    return [numbers[group // 3 :: 3, group % 3 :: 3].ravel() for group in range(GROUPS)]
