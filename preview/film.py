"""A film of the spread: it opens, rests, and closes, seen by one camera.

Every pose is drawn once; closing shows the drawings of opening in reverse. Drawn frames wait on
disk, so that memory does not grow with the length of the film.
"""

from __future__ import annotations

import pickle
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, overload

import numpy as np

from .errors import UseError
from .parallel import in_order

if TYPE_CHECKING:
    from meshes.linkage import Linkage
    from meshes.motion.result import Motion
    from meshes.spread import Spread

    from .book import Book
    from .camera import Camera
    from .render import Engine, EngineName, Quality
    from .scene import Scene

Size = tuple[int, int]

SHOT_FILE = "shot.pickle"
# Poses whose outlines the camera must have in its picture.
FRAMED_POSES = 13


@dataclass(frozen=True)
class Schedule:
    """Which pose each frame of a film shows.

    Parameters
    ----------
    openings : of the poses, shape (P,), radians, ascending.
    order : the pose of each frame, shape (F,).
    fps : frames per second.
    """

    openings: np.ndarray
    order: np.ndarray
    fps: float

    @property
    def seconds(self) -> float:
        """Length of the film."""
        return len(self.order) / self.fps


def eased(share: np.ndarray) -> np.ndarray:
    """How far a hand has moved after a share of the time, both 0 to 1.

    The path of least jerk, 10 t³ - 15 t⁴ + 6 t⁵, which reaching movements follow (T. Flash and
    N. Hogan, "The coordination of arm movements", J. Neuroscience 5 (1985) 1688-1703).
    """
    return share**3 * (10 - 15 * share + 6 * share**2)


def open_and_close(
    seconds: float,
    fps: float,
    first: float = 0.0,
    last: float = np.pi,
    pauses: tuple[float, float] = (0.5, 1.0),
) -> Schedule:
    """The schedule of a film that opens from `first` to `last` and closes again.

    Parameters
    ----------
    first, last : openings, radians.
    pauses : how long it rests closed and open, seconds; less where the film is short. The rest in
        the closed state is shared out between the start and the end, so that the film loops.

    Raises
    ------
    UseError
        If the film is too short to open and close: it takes eight frames.
    """
    total = round(seconds * fps)
    if total < 8:
        raise UseError(f"a film of {total} frames is too short; it takes 8 or more")
    # A third of the film at most may stand still.
    scale = min(1.0, total / 3 / max(sum(pauses) * fps, 1e-9))
    shut = max(2, round(pauses[0] * fps * scale))
    wide = max(1, round(pauses[1] * fps * scale))
    between = (total - shut - wide) // 2
    wide = total - shut - 2 * between
    openings = first + (last - first) * eased(np.linspace(0.0, 1.0, between + 2))
    moving = np.arange(1, between + 1)
    order = np.concatenate(
        [
            np.zeros(shut - shut // 2, int),
            moving,
            np.full(wide, between + 1),
            moving[::-1],
            np.zeros(shut // 2, int),
        ]
    )
    return Schedule(openings, order, fps)


def longest_run(motion: Motion) -> tuple[float, float] | None:
    """First and last opening (radians) of the longest run of solved stages; None if there is none.

    A single stage is no run: nothing moves in it.
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[0], motion.solved.astype(int), [0]])))
    runs = edges.reshape(-1, 2)
    if not len(runs):
        return None
    start, stop = runs[np.argmax(runs[:, 1] - runs[:, 0])]
    if stop - start < 2:
        return None
    return float(motion.openings[start]), float(motion.openings[stop - 1])


@dataclass(frozen=True)
class StoredFrames(Sequence[np.ndarray]):
    """The frames of a film, read from disk one at a time.

    Parameters
    ----------
    folder : where the drawn poses lie.
    order : the pose of each frame, shape (F,).
    """

    folder: Path
    order: np.ndarray

    def __len__(self) -> int:
        return len(self.order)

    @overload
    def __getitem__(self, index: int) -> np.ndarray: ...

    @overload
    def __getitem__(self, index: slice) -> StoredFrames: ...

    def __getitem__(self, index: int | slice) -> np.ndarray | StoredFrames:
        """Frame `index`, shape (rows, columns, 3), uint8; or a part of the film."""
        if isinstance(index, slice):
            return StoredFrames(self.folder, self.order[index])
        return np.asarray(np.load(_file(self.folder, int(self.order[index]))))


@dataclass(frozen=True)
class Shot:
    """Everything that drawing the poses of a film takes.

    Parameters
    ----------
    motion : one stage for each pose, all solved.
    size : width and height, pixels.
    engine, quality : see ``preview.render``.
    """

    linkage: Linkage
    book: Book
    motion: Motion
    camera: Camera
    size: Size
    mood: str = "window"
    engine: EngineName = "auto"
    quality: Quality = "film"

    def scene(self, pose: int) -> Scene:
        """What the camera sees in one pose."""
        from .scene import assemble

        motion = self.motion
        return assemble(
            self.linkage,
            self.book,
            float(motion.openings[pose]),
            motion.rotations[pose],
            motion.translations[pose],
            self.mood,
        )


def shot_of(
    spread: Spread, motion: Motion, size: Size, view: str = "reader", **settings: Any
) -> Shot:
    """A shot whose camera has the spread in its picture at every stage of the motion.

    Parameters
    ----------
    size : width and height, pixels.
    view : a name in ``preview.camera.VIEWS``.
    settings : mood, engine and quality of the `Shot`.
    """
    from .camera import VIEWS, Camera
    from .scene import book_of

    anywhere = Camera((0.0, -1.0, 0.0), (0.0, 0.0, 0.0))
    shot = Shot(spread.linkage, book_of(spread), motion, anywhere, size, **settings)
    some = np.unique(np.linspace(0, len(motion.openings) - 1, FRAMED_POSES).round().astype(int))
    points = np.concatenate([shot.scene(int(pose)).points for pose in some])
    return replace(shot, camera=VIEWS[view].frame(points, size[0] / size[1]))


@contextmanager
def drawn(
    shot: Shot, order: np.ndarray, jobs: int, advance: Callable[[], None] = lambda: None
) -> Iterator[StoredFrames]:
    """Draw every pose of a shot and give the frames of its film while the block runs.

    Parameters
    ----------
    order : the pose of each frame, shape (F,).
    advance : called after each drawn pose.
    """
    with tempfile.TemporaryDirectory(prefix="foldstage-") as name:
        folder = Path(name)
        (folder / SHOT_FILE).write_bytes(pickle.dumps(shot))
        count = len(shot.motion.openings)
        for _ in in_order(partial(_draw, folder), range(count), min(jobs, count)):
            advance()
        _studio.cache_clear()
        yield StoredFrames(folder, order)


def _draw(folder: Path, pose: int) -> None:
    shot, engine = _studio(folder)
    picture = engine.draw(shot.scene(pose), shot.camera, shot.size, shot.quality)
    np.save(_file(folder, pose), picture)


@lru_cache(maxsize=1)
def _studio(folder: Path) -> tuple[Shot, Engine]:
    """The shot and an engine, which every process needs once."""
    shot = pickle.loads((folder / SHOT_FILE).read_bytes())
    return shot, working_engine(shot.engine)


def working_engine(name: EngineName) -> Engine:
    """An engine that works on this computer.

    Raises
    ------
    UseError
        If this one does not; the text says what to install.
    """
    from .render import EngineError, renderer

    try:
        return renderer(name)
    except EngineError as error:
        raise UseError(str(error)) from None


def _file(folder: Path, pose: int) -> Path:
    return folder / f"{pose:05d}.npy"
