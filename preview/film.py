"""A film of the spread: it opens, rests, and closes, seen by one camera.

Every pose is drawn once; closing shows the drawings of opening in reverse. Drawn frames wait on
disk, so that memory does not grow with the length of the film.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, overload

import numpy as np

from .parallel import in_order

if TYPE_CHECKING:
    from collections.abc import Callable


Size = tuple[int, int]


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
    ValueError
        If the film is too short to open and close: it takes eight frames.
    """
    total = round(seconds * fps)
    if total < 8:
        raise ValueError(f"a film of {total} frames is too short; it takes 8 or more")
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


def draw_poses(
    folder: Path,
    draw: Callable[[int], np.ndarray],
    count: int,
    jobs: int,
) -> Iterator[int]:
    """Draw poses 0 to `count` - 1 into a folder; yields the number of each once it is there.

    Parameters
    ----------
    draw : pose to picture, shape (rows, columns, 3), uint8; picklable if jobs > 1.
    """
    yield from in_order(partial(_draw_to, folder, draw), range(count), min(jobs, count))


def _draw_to(folder: Path, draw: Callable[[int], np.ndarray], pose: int) -> int:
    np.save(_file(folder, pose), draw(pose))
    return pose


def _file(folder: Path, pose: int) -> Path:
    return folder / f"{pose:05d}.npy"
