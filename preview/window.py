"""A window of its own for a spread, through pyrender, where a display exists.

Right and left arrows open and close, up and down in larger steps, space plays. Dragging turns the
view, the wheel zooms; the other keys are those of pyrender's viewer.
"""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Any

import numpy as np

from meshes.motion.keys import solved_run
from preview.drawing.scene import build
from preview.errors import UseError
from preview.shot.camera import VIEWS

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread
    from preview.drawing.scene import Scene
    from preview.shot.camera import Camera

SIZE = (1100, 760)
# Where the spread stands open for the reader, as in the pictures.
STANDING = np.radians(146.0)
STEP, STRIDE = np.radians(1.0), np.radians(10.0)
CYCLE_S = 7.0
FRAME_S = 1 / 30


def show(spread: Spread, motion: Motion) -> None:
    """Open the window and return when it is closed.

    Parameters
    ----------
    motion : 1° apart or denser; what is past a jam is left out.

    Raises
    ------
    UseError
        If there is no display, or no OpenGL on it.
    """
    pyrender = _pyrender()
    stage = Stage(spread, motion)
    with np.errstate(divide="ignore"):  # pyrender normalises a still pointer
        try:
            pyrender.Viewer(
                stage.scene,
                viewport_size=SIZE,
                registered_keys=stage.keys(),
                window_title=spread.design.title,
                viewer_flags={"view_center": stage.centre},
                render_flags={"shadows": True, "cull_faces": False},
                use_raymond_lighting=False,
                refresh_rate=1 / FRAME_S,
            )
        except Exception as error:  # whatever pyglet and the driver raise
            raise UseError(
                f"no window can be opened ({_line(error)}); leave --desktop out for the browser"
            ) from error


class Stage:
    """The spread at one opening as a pyrender scene, and what the keys do to it."""

    def __init__(self, spread: Spread, motion: Motion) -> None:
        self._spread = spread
        self._motion = solved_run(motion)
        self._index = int(np.argmin(np.abs(self._motion.openings - STANDING)))
        drawn = build(spread, self._motion, self._index)
        self._camera = VIEWS["reader"].frame(drawn.points, SIZE[0] / SIZE[1])
        self.centre = np.array(self._camera.target)
        self.scene: Any = _made(drawn, self._camera)
        self._playing: Any = None

    @property
    def opening(self) -> float:
        """The present opening, radians."""
        return float(self._motion.openings[self._index])

    def keys(self) -> dict[str, Any]:
        """Keys of the window, as pyrender wants them, and what each does."""
        from pyglet.window import key

        moves = {key.RIGHT: STEP, key.LEFT: -STEP, key.UP: STRIDE, key.DOWN: -STRIDE}
        actions: dict[str, Any] = {
            chr(symbol): (lambda _, by=by: self.move(by)) for symbol, by in moves.items()
        }
        actions[" "] = self._toggle
        return actions

    def move(self, by: float) -> None:
        """Open (or close) by an angle, radians."""
        self.turn_to(self.opening + by)

    def turn_to(self, opening: float) -> None:
        """Show the stage nearest to an opening, radians."""
        index = int(np.argmin(np.abs(self._motion.openings - opening)))
        if index == self._index:
            return
        self._index = index
        fresh = _made(build(self._spread, self._motion, index), self._camera)
        for node in list(self.scene.mesh_nodes):
            self.scene.remove_node(node)
        for node in fresh.mesh_nodes:
            self.scene.add(node.mesh, pose=node.matrix)

    def _toggle(self, viewer: Any) -> None:
        """Start or stop opening and closing by itself."""
        from pyglet import clock

        if self._playing:
            clock.unschedule(self._playing)
            self._playing = None
            return
        first, last = self._motion.openings[[0, -1]]
        phase = float(np.arccos(np.clip(1 - 2 * (self.opening - first) / (last - first), -1, 1)))

        def tick(seconds: float) -> None:
            nonlocal phase
            phase += 2 * np.pi * seconds / CYCLE_S
            self.turn_to(first + (1 - np.cos(phase)) / 2 * (last - first))

        self._playing = tick
        clock.schedule_interval(tick, FRAME_S)


def _made(drawn: Scene, camera: Camera) -> Any:
    from preview.drawing.render.gl import to_pyrender

    return to_pyrender(drawn, camera)


def _pyrender() -> Any:
    """Import pyrender for a window rather than for drawing out of sight."""
    if sys.platform.startswith("linux"):
        if not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
            raise UseError("there is no display here; leave --desktop out for the browser")
        # PyOpenGL's name for GLX, which pyglet's windows use.
        os.environ["PYOPENGL_PLATFORM"] = "linux2"
    from preview.drawing.render.gl import prepare

    return prepare()


def _line(error: Exception) -> str:
    return (str(error) or type(error).__name__).splitlines()[0][:120]
