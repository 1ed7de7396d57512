"""pyrender used plainly, as the benchmarks compare with: one mesh of all triangles, no textures."""

from __future__ import annotations

from typing import Any

import numpy as np

from preview.drawing.colour import linear
from preview.drawing.render.gl import camera_pose, prepare
from preview.drawing.render.ray.patches import triangulate
from preview.drawing.scene import Scene
from preview.shot.camera import Camera


def world(scene: Scene) -> list[tuple[np.ndarray, str]]:
    """Triangles (t, 3, 3) and colour of every surface, and the table."""
    found = []
    for surface in scene.surfaces:
        flat = triangulate(surface.polygon)
        found.append((flat @ surface.rotation[:, :2].T + surface.translation, surface.front))
    square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * 600.0
    table = np.c_[square, np.full(4, scene.table)][[[0, 1, 2], [0, 2, 3]]]
    return [*found, (table, scene.mood.table)]


class PlainOpenGL:
    """Draws with pyrender: directional shadows, and `samples` × `samples` pixels averaged to one.

    Every scene is put together afresh, as for a film.
    """

    def __init__(self, size: tuple[int, int], samples: int) -> None:
        self._pyrender, self._size, self._samples = prepare(), size, samples
        width, height = samples * size[0], samples * size[1]
        self._renderer = self._pyrender.OffscreenRenderer(width, height)

    def draw(self, scene: Scene, camera: Camera) -> np.ndarray:
        """A picture, uint8, shape (h, w, 3)."""
        flags = self._pyrender.RenderFlags.SHADOWS_DIRECTIONAL
        picture, _ = self._renderer.render(self._scene(scene, camera), flags=flags)
        if self._samples == 1:
            return np.asarray(picture)
        width, height = self._size
        parts = picture.reshape(height, self._samples, width, self._samples, 3)
        return parts.mean(axis=(1, 3)).astype(np.uint8)

    def _scene(self, scene: Scene, camera: Camera) -> Any:
        import trimesh

        pyrender = self._pyrender
        parts = world(scene)
        triangles = np.concatenate([part for part, _ in parts])
        tints = [np.repeat([linear(colour)], len(part), axis=0) for part, colour in parts]
        colours = np.rint(255 * np.concatenate(tints)).astype(np.uint8)
        faces = np.arange(3 * len(triangles)).reshape(-1, 3)
        mesh = trimesh.Trimesh(triangles.reshape(-1, 3), faces, face_colors=colours, process=False)
        made = pyrender.Scene(ambient_light=scene.mood.sky.tolist(), bg_color=[0.6, 0.6, 0.6, 1.0])
        paper = pyrender.Mesh.from_trimesh(mesh, smooth=False)
        for primitive in paper.primitives:
            primitive.material.doubleSided = True
        made.add(paper)
        towards = scene.mood.towards_key(scene.viewer)
        side = np.cross([0.0, 0.0, 1.0], towards)
        side /= np.linalg.norm(side)
        pose = np.eye(4)
        pose[:3, :3] = np.column_stack([side, np.cross(towards, side), towards])
        made.add(pyrender.DirectionalLight(color=np.ones(3), intensity=3.0), pose=pose)
        lens = pyrender.PerspectiveCamera(yfov=camera.field, znear=10.0, zfar=5_000.0)
        made.add(lens, pose=camera_pose(camera))
        return made

    def close(self) -> None:
        """Give the context back; there can be only one."""
        self._renderer.delete()
