"""The Embree engine behind the common interface."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from preview.drawing.render import Quality
from preview.drawing.scene import Scene
from preview.parallel import ALONE, Crew
from preview.shot.camera import Camera


def why_not() -> str | None:
    """Why Embree does not work here, or None if it does."""
    try:
        import embreex.rtcore_scene  # noqa: F401
    except ImportError as error:
        return (
            f"the ray engine needs embreex, which has no package for this computer ({error}); "
            "use --engine gl"
        )
    return None


class RayEngine:
    """Soft light traced with Embree. Keeps the rays of the last camera.

    Parameters
    ----------
    workers : processes that share the rows of a still.
    advance : called after each part of a still; see :func:`preview.drawing.render.parts`.
    """

    name = "ray"

    def __init__(self, workers: Crew = ALONE, advance: Callable[[], None] | None = None) -> None:
        self._workers, self._advance = workers, advance
        self._lens_key: tuple[object, ...] = ()
        self._lens: object = None

    def draw(
        self, scene: Scene, camera: Camera, size: tuple[int, int], quality: Quality = "film"
    ) -> np.ndarray:
        """A picture, uint8 sRGB, shape (h, w, 3); see :class:`preview.drawing.render.Engine`."""
        if min(size) < 1:
            raise ValueError(f"a picture can't be {size[0]} × {size[1]} pixels")
        if quality in ("still", "fine"):
            from . import still

            recipe = still.RECIPES[quality]
            return still.draw(scene, camera, size, recipe, self._workers, self._advance)
        from . import draft, film
        from .lens import Lens

        key = (camera, size, scene.mood, scene.table, scene.centre, scene.scale, scene.reach)
        if key != self._lens_key or not isinstance(self._lens, Lens):
            self._lens_key, self._lens = key, Lens(scene, camera, size)
        kind = draft if quality == "draft" else film
        return kind.draw(scene, self._lens)

    def close(self) -> None:
        """Forget the cached rays."""
        self._lens_key, self._lens = (), None
