"""Drawing: one interface, two engines behind it.

``ray`` needs nothing but its package and gives the same pixels on every run; ``gl`` draws with
OpenGL where there is one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

from preview.errors import UseError
from preview.parallel import ALONE, Crew

if TYPE_CHECKING:
    import numpy as np

    from preview.drawing.scene import Scene
    from preview.shot.camera import Camera

EngineName = Literal["auto", "ray", "gl"]
Quality = Literal["draft", "film", "still", "fine"]
QUALITIES: tuple[Quality, ...] = ("draft", "film", "still", "fine")


class EngineError(UseError):
    """An engine that does not work here; the text is one line that says what to install."""


class Engine(Protocol):
    """Draws scenes; keep one for a whole film, since it keeps the rays of its last camera."""

    name: str

    def draw(
        self, scene: Scene, camera: Camera, size: tuple[int, int], quality: Quality = "film"
    ) -> np.ndarray:
        """A picture, uint8 sRGB, shape (h, w, 3), of `size` (width, height) pixels."""

    def close(self) -> None:
        """Give back what the engine holds."""


@dataclass(frozen=True)
class EngineState:
    """Whether an engine works on this computer, and if not, why and what to do."""

    name: str
    works: bool
    detail: str


def renderer(
    engine: EngineName = "auto", workers: Crew = ALONE, advance: Callable[[], None] | None = None
) -> Engine:
    """An engine by name; ``auto`` takes ``ray``, or ``gl`` where there is no Embree.

    Parameters
    ----------
    workers : processes that share the rows of a still of the ``ray`` engine.
    advance : called after each of the :func:`parts` of such a still.

    Raises
    ------
    EngineError
        If that engine does not work here.
    """
    if engine == "gl":
        from .gl import GlEngine

        return GlEngine()
    if engine not in ("auto", "ray"):
        raise ValueError(f"no engine {engine!r}; there are auto, ray, gl")
    from .ray.engine import RayEngine, why_not

    reason = why_not()
    if reason is None:
        return RayEngine(workers, advance)
    if engine == "auto":
        from .gl import GlEngine

        return GlEngine()
    raise EngineError(reason)


def parts(engine: EngineName, quality: Quality, workers: Crew) -> int:
    """In how many parts a picture is drawn that tells how far it is."""
    from .ray.engine import why_not
    from .ray.still import RECIPES
    from .ray.still import parts as parts_of_still

    is_ray = engine == "ray" or (engine == "auto" and why_not() is None)
    return parts_of_still(workers) if is_ray and quality in RECIPES else 0


def draw(
    scene: Scene,
    camera: Camera,
    size: tuple[int, int],
    engine: EngineName = "auto",
    quality: Quality = "film",
) -> np.ndarray:
    """One picture of a scene, uint8 sRGB, shape (h, w, 3).

    Parameters
    ----------
    size : width and height, pixels.
    quality : ``draft`` and ``film`` for frames, ``still`` and ``fine`` for pictures to publish.
    """
    chosen = renderer(engine)
    try:
        return chosen.draw(scene, camera, size, quality)
    finally:
        chosen.close()


def engines() -> list[EngineState]:
    """Which engines work here; OpenGL is tried in a child process, since a bad driver can crash."""
    from .gl import probe
    from .ray.engine import why_not

    reason = why_not()
    ray = EngineState("ray", reason is None, reason or "Embree, the default")
    return [ray, probe()]
