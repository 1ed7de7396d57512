"""What depends only on camera and picture size: rays, the table under them, groups of pixels."""

from __future__ import annotations

import numpy as np

from preview.camera import Camera
from preview.scene import Scene

from . import ground as grounds
from .sampling import GROUPS


class Lens:
    """Rays of one camera and picture size, reused from frame to frame.

    Pixels are numbered row by row. Arrays of vectors are stored channel by channel, shape (3, n):
    numpy works on long rows several times faster than on triples.
    """

    def __init__(self, scene: Scene, camera: Camera, size: tuple[int, int]) -> None:
        width, height = size
        self.camera, self.size, self.shape = camera, size, (height, width)
        columns, rows = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
        self.eye = np.array(camera.eye, np.float32)
        self.rays = camera.rays(columns.ravel(), rows.ravel(), size).astype(np.float32)
        self.directions = np.ascontiguousarray(self.rays.T)
        ground = grounds.look(scene, camera, self.rays, rows.ravel() / height)
        self.ground_distance = ground.distance
        self.table = np.ascontiguousarray(ground.table.T)
        self.backdrop = np.ascontiguousarray(ground.backdrop.T)
        self.vignette = grounds.vignette(size)[..., 0]
        self.pixel = camera.millimetres_per_pixel(height)
        numbers = np.arange(width * height).reshape(self.shape)
        self.groups = interleaved(numbers)
        self.coarse = numbers[::2, ::2].ravel()
        self.coarse_shape = numbers[::2, ::2].shape
        self.coarse_groups = interleaved(np.arange(self.coarse.size).reshape(self.coarse_shape))

    def rows_of(self, points: np.ndarray) -> slice:
        """Pixels of all rows of the picture that show any of the points (n, 3)."""
        width, height = self.size
        rows = self.camera.project(points, self.size)[:, 1] if len(points) else np.zeros(1)
        if not np.isfinite(rows).all():
            return slice(0, width * height)
        first, last = np.clip([np.floor(rows.min()) - 1, np.ceil(rows.max()) + 1], 0, height)
        return slice(int(first) * width, int(last) * width)

    def sub_rays(self, pixels: np.ndarray, grid: int) -> np.ndarray:
        """Unit rays through a grid × grid raster inside pixels, shape (n · grid², 3), float32."""
        width, height = self.size
        steps = ((np.arange(grid) + 0.5) / grid).astype(np.float32)
        dx, dy = (step.ravel() for step in np.meshgrid(steps, steps))
        reach = np.float32(np.tan(self.camera.field / 2) / (height / 2))
        x = ((pixels % width).astype(np.float32)[:, None] + dx - np.float32(width / 2)) * reach
        y = (np.float32(height / 2) - (pixels // width).astype(np.float32)[:, None] - dy) * reach
        x, y = x.ravel(), y.ravel()
        scale = 1 / np.sqrt(1 + x * x + y * y)
        right, up, forward = self.camera.axes.astype(np.float32)
        rays = np.empty((len(x), 3), np.float32)
        for k in range(3):
            rays[:, k] = (forward[k] + x * right[k] + y * up[k]) * scale
        return rays


def interleaved(numbers: np.ndarray) -> list[np.ndarray]:
    """The nine groups of a 3 × 3 interleave of pixel numbers, shape (h, w), each flat."""
    return [numbers[group // 3 :: 3, group % 3 :: 3].ravel() for group in range(GROUPS)]
