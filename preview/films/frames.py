"""The frames of a film: every pose drawn once, by several processes, and kept until it is made.

The encoder gets each frame as soon as it is drawn. Drawn poses lie on disk for the frames that show
them again, so that memory does not grow with the length of the film; if the film is interrupted,
the next run goes on from them.
"""

from __future__ import annotations

import shutil
import struct
import tempfile
from collections import OrderedDict, deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias, overload

import numpy as np

from meshes import cache, program
from meshes.cache import Shelf

from ..parallel import Crew, Sealed, crew, keep_memory

if TYPE_CHECKING:
    from ..drawing.render import Engine
    from .building import Building
    from .film import Filming

    Shot: TypeAlias = Filming | Building

# Frames of interrupted films are kept for a week, as long as all together take no more than this.
KEEP_S = 7 * 86_400
KEEP_BYTES = 4_000_000_000
# Of these frames, so much is kept in memory as well. Our choice.
LATELY_BYTES = 24 << 20
# What is kept of a picture begins with how many rows and columns it has.
_SHAPE = struct.Struct("<II")


@dataclass(frozen=True)
class StoredFrames(Sequence[np.ndarray]):
    """The frames of a film, read from disk one at a time.

    Parameters
    ----------
    order : the pose of each frame, shape (F,).
    pose : gives the picture of one.
    first : has some poses drawn before the others, as far as they are not drawn yet.
    """

    order: np.ndarray
    pose: Callable[[int], np.ndarray]
    first: Callable[[Sequence[int]], None] = lambda poses: None

    def __len__(self) -> int:
        return len(self.order)

    @overload
    def __getitem__(self, index: int) -> np.ndarray: ...

    @overload
    def __getitem__(self, index: slice) -> StoredFrames: ...

    def __getitem__(self, index: int | slice) -> np.ndarray | StoredFrames:
        """Frame `index`, shape (rows, columns, 3), uint8; or a part of the film."""
        if isinstance(index, slice):
            return StoredFrames(self.order[index], self.pose, self.first)
        return self.pose(int(self.order[index]))

    def sampled(self) -> Iterator[tuple[np.ndarray, int]]:
        """Every second picture and the last one, in the order of their poses.

        With each comes how often it is shown, or one after it that is left out. They are drawn
        first: neighbours differ little, and what a film shows is known once half of it is there.
        """
        poses, shown = np.unique(self.order, return_counts=True)
        starts = sorted({*range(0, len(poses), 2), len(poses) - 1})
        chosen = poses[starts].tolist()
        self.first(chosen)
        for pose, count in zip(chosen, np.add.reduceat(shown, starts).tolist(), strict=True):
            yield self.pose(pose), count


def kept_films() -> Path | None:
    """Where frames of interrupted films are kept; None if nothing can be kept."""
    folder = cache.user_folder()
    return None if folder is None else folder / "films"


@contextmanager
def drawn(
    shot: Shot,
    order: np.ndarray,
    jobs: int | Crew,
    advance: Callable[[], None] = lambda: None,
    kept: Path | None = None,
) -> Iterator[StoredFrames]:
    """Draw every pose of a shot and give the frames of its film while the block runs.

    A frame that is asked for before it is drawn is waited for, so that an encoder starts with the
    first of them.

    Parameters
    ----------
    order : the pose of each frame, shape (F,).
    jobs : how many processes draw, or those that do.
    advance : called after each drawn pose.
    kept : a folder in which drawn poses are kept if the block is interrupted, so that the same
        film goes on from there; they are removed once the block has ended well.

    Raises
    ------
    OSError
        If drawn poses cannot be written.
    """
    keep_memory()
    with _place(shot, kept) as folder:
        reel = _Reel(folder, Sealed.of(shot))
        poses = list(dict.fromkeys(int(pose) for pose in order))
        missing = [pose for pose in poses if reel.picture(pose) is None]
        for _ in range(len(poses) - len(missing)):
            advance()
        with crew(jobs if missing else 1, prepare) as workers:
            done, lately = set(poses).difference(missing), _Lately()

            engine = lru_cache(maxsize=1)(partial(_engine_of, shot))

            def draw_here(pose: int) -> int:
                lately[pose] = reel.draw(pose, shot, engine())
                return pose

            queue = _Queue(missing)
            coming = workers.in_order(partial(_draw, reel), queue.taken(), draw_here)

            def picture(pose: int) -> np.ndarray:
                while pose not in done:
                    done.add(next(coming))
                    advance()
                if pose not in lately:
                    found = reel.picture(pose)
                    if found is None:
                        # Another process may make the same film and be done with its frames.
                        draw_here(pose)
                    else:
                        lately[pose] = found
                return lately[pose]

            yield StoredFrames(order, picture, queue.first)
            for _ in coming:
                advance()


class _Queue:
    """Poses that nobody draws yet."""

    def __init__(self, poses: Iterable[int]) -> None:
        self._poses = deque(poses)

    def first(self, chosen: Sequence[int]) -> None:
        """Put some of them before all others."""
        ahead = set(chosen)
        self._poses = deque(sorted(self._poses, key=lambda pose: pose not in ahead))

    def taken(self) -> Iterator[int]:
        """One after the other, each once."""
        while self._poses:
            yield self._poses.popleft()


class _Lately(OrderedDict[int, np.ndarray]):
    """Pictures that were asked for last, as many as fit into `LATELY_BYTES`."""

    def __setitem__(self, pose: int, picture: np.ndarray) -> None:
        while self and (len(self) + 1) * picture.nbytes > LATELY_BYTES:
            self.popitem(last=False)
        super().__setitem__(pose, picture)

    def __getitem__(self, pose: int) -> np.ndarray:
        self.move_to_end(pose)
        return super().__getitem__(pose)


@contextmanager
def _place(shot: Shot, kept: Path | None) -> Iterator[Path]:
    """The folder for drawn poses: a passing one, or one that stays, named by what is drawn."""
    if kept is None:
        with tempfile.TemporaryDirectory(prefix="foldstage-") as name:
            yield Path(name)
        return
    name = cache.fingerprint(shot, program.digest())
    cache.trim(kept, KEEP_BYTES, KEEP_S, spare=[name])
    yield kept / name
    shutil.rmtree(kept / name, ignore_errors=True)


@dataclass(frozen=True)
class _Reel:
    """The drawn poses of a shot, in a folder.

    Parameters
    ----------
    shot : packed, since every process that draws needs it.
    """

    folder: Path
    shot: Sealed[Shot]

    def picture(self, pose: int) -> np.ndarray | None:
        """A drawn pose, shape (rows, columns, 3), uint8; None if it is not there."""
        found = self._shelf.get(f"{pose}")
        if found is None or len(found) < _SHAPE.size:
            return None
        rows, columns = _SHAPE.unpack_from(found)
        pixels = np.frombuffer(found, np.uint8, offset=_SHAPE.size)
        if pixels.size != 3 * rows * columns:
            return None
        return pixels.reshape(rows, columns, 3)

    def draw(self, pose: int, shot: Shot, engine: Engine) -> np.ndarray:
        """Draw a pose and keep it."""
        picture = shot.draw(pose, engine)
        self._shelf.put(f"{pose}", _SHAPE.pack(*picture.shape[:2]) + picture.tobytes())
        return picture

    @property
    def _shelf(self) -> Shelf:
        # A film needs all its frames however many they are; other films make room for it.
        return Shelf(self.folder, bound=None)


def prepare() -> None:
    """Import what solving and drawing take, before there is anything to do."""
    from meshes.motion import beside  # noqa: F401

    from ..drawing import scene  # noqa: F401
    from ..drawing.render.ray import draft, engine, film, still  # noqa: F401

    engine.why_not()
    keep_memory()


def _draw(reel: _Reel, pose: int) -> int:
    reel.draw(pose, *_studio(reel.shot))
    return pose


@lru_cache(maxsize=1)
def _studio(shot: Sealed[Shot]) -> tuple[Shot, Engine]:
    """The shot and an engine, which every other process needs once."""
    opened = shot.open()
    return opened, _engine_of(opened)


def _engine_of(shot: Shot) -> Engine:
    from ..drawing.render import renderer

    return renderer(shot.engine)
