"""Frames to files: GIF, MP4, WebP and APNG films, PNG stills. Files appear whole or not at all."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import repeat
from pathlib import Path

import numpy as np

from meshes.export import whole_file

from ..errors import UseError
from .animation import Timed, write_apng, write_gif, write_webp
from .frames import StoredFrames

FILMS = ("gif", "mp4", "webp", "apng")
# Fast viewers show anything below this at a slow default instead. From memory.
SHORTEST_GIF_MS = 20


def check_ending(path: Path) -> None:
    """Whether a film can be written under that name.

    Raises
    ------
    UseError
        If its ending is not one of `FILMS`.
    """
    kind = path.suffix.lstrip(".").lower()
    if kind not in FILMS:
        found = f"ends on {path.suffix!r}" if kind else "has no ending"
        allowed = ", ".join(f".{name}" for name in FILMS)
        raise UseError(f"{path.name}: a film {found}; allowed: {allowed}")


def write(path: Path, frames: Iterable[np.ndarray], fps: float) -> None:
    """Write a film at a steady rate; frames that stand still are stored once, with their time.

    Parameters
    ----------
    frames : uint8, shape (h, w, 3) each, all of one size.
    fps : frames per second.
    """
    check_ending(path)
    with whole_file(path) as part:
        write_film(part, frames, fps)


def write_film(path: Path, frames: Iterable[np.ndarray], fps: float) -> None:
    """Write a film straight to `path`; see :func:`write`.

    Raises
    ------
    UseError
        If there are no frames, or the rate is too high for the format.
    """
    kind = path.suffix.lstrip(".").lower()
    if kind == "mp4":
        _write_mp4(path, frames, fps)
        return
    if kind == "gif" and 1000 / fps < SHORTEST_GIF_MS:
        raise UseError(f"a GIF shows at most {1000 // SHORTEST_GIF_MS} frames a second")
    unit = 10 if kind == "gif" else 1
    with _replayable(frames) as film:
        if kind == "gif":
            from .palette import shared

            if isinstance(film, StoredFrames):
                palette = shared(film.sampled(), -(-len(film) // 2))
            else:
                palette = shared(((frame, 1) for frame in film), len(film))
            with path.open("wb") as out:
                write_gif(out, held(film, fps, unit), palette)
        elif kind == "webp":
            with path.open("wb") as out:
                write_webp(out, held(film, fps, unit))
        else:
            count = sum(1 for _ in held(film, fps, unit))
            with path.open("wb") as out:
                write_apng(out, held(film, fps, unit), count)


# Every so many rows of a picture are looked at first. Our choice.
_SPARSE = 16
# Some readers give a frame at most this long, since APNG counts in 16 bits. From memory.
LONGEST_MS = 60_000


def held(frames: Iterable[np.ndarray], fps: float, unit: int) -> Iterator[Timed]:
    """Frames with their durations in ms, equal ones in a row made one.

    Parameters
    ----------
    unit : what durations are multiples of, ms. They are rounded so that no error adds up.
    """
    last, pose, start, now = None, None, 0, 0
    poses = frames.order.tolist() if isinstance(frames, StoredFrames) else repeat(None)
    for index, (frame, own) in enumerate(zip(frames, poses, strict=False)):
        if last is None or now - start >= LONGEST_MS or not _same(last, frame):
            if last is not None:
                yield Timed(last, now - start, pose)
            last, pose, start = frame, own, now
        now = unit * round((index + 1) * 1000 / fps / unit)
    if last is not None:
        yield Timed(last, now - start, pose)


def _same(one: np.ndarray, two: np.ndarray) -> bool:
    """Whether two pictures are equal; of most that are not, a few rows show it."""
    return np.array_equal(one[::_SPARSE], two[::_SPARSE]) and np.array_equal(one, two)


# Frames that can be had only once wait in memory up to this size, then on disk. Our choice.
SPOOL_BYTES = 16 << 20


class _Spool(Sequence[np.ndarray]):
    """Frames kept in a file, since memory must not grow with the film."""

    def __init__(self, file: tempfile.SpooledTemporaryFile[bytes]) -> None:
        self._file, self._count, self._shape = file, 0, (0, 0, 0)

    def add(self, frame: np.ndarray) -> None:
        self._shape = frame.shape
        self._file.write(np.ascontiguousarray(frame).tobytes())
        self._count += 1

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, index):  # type: ignore[no-untyped-def]
        if index >= self._count:
            raise IndexError(index)
        size = int(np.prod(self._shape))
        self._file.seek(index * size)
        return np.frombuffer(self._file.read(size), np.uint8).reshape(self._shape)


@contextmanager
def _replayable(frames: Iterable[np.ndarray]) -> Iterator[Sequence[np.ndarray]]:
    """The frames as something that can be gone through twice."""
    if isinstance(frames, Sequence):
        film: Sequence[np.ndarray] = frames
        if not len(film):
            raise UseError("a film needs at least one frame")
        yield film
        return
    with tempfile.SpooledTemporaryFile(max_size=SPOOL_BYTES) as file:
        spool = _Spool(file)
        for frame in frames:
            spool.add(frame)
        if not len(spool):
            raise UseError("a film needs at least one frame")
        yield spool


def _write_mp4(path: Path, frames: Iterable[np.ndarray], fps: float) -> None:
    """H.264 in the colours of HD video, playable everywhere and from the first byte."""
    import imageio_ffmpeg

    writer = None
    try:
        for frame in frames:
            even = _even(frame)
            if writer is None:
                writer = imageio_ffmpeg.write_frames(
                    str(path),
                    (even.shape[1], even.shape[0]),
                    fps=fps,
                    codec="libx264",
                    quality=None,
                    macro_block_size=2,
                    pix_fmt_in="rgb24",
                    pix_fmt_out="yuv420p",
                    output_params=MP4_SETTINGS,
                    ffmpeg_log_level="error",
                )
                writer.send(None)
            writer.send(np.ascontiguousarray(even))
        if writer is None:
            raise UseError("a film needs at least one frame")
    finally:
        if writer is not None:
            writer.close()


# The matrix is stated and used: players take an unmarked film for BT.709 where the encoder would
# have used BT.601, and greens and reds shift. Small pieces of strong colour on pale paper suffer
# most, since colour is stored at half rate; so it is taken from many pixels, for players that blend
# between its samples, and coarsened least.
MP4_SETTINGS = [
    "-vf", "scale=out_color_matrix=bt709:out_range=tv:"
    "flags=lanczos+accurate_rnd+full_chroma_int+full_chroma_inp",
    "-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709",
    "-crf", "8", "-preset", "medium", "-tune", "psnr",
    "-x264-params", "chroma-qp-offset=-4", "-movflags", "+faststart",
]  # fmt: skip


def _even(frame: np.ndarray) -> np.ndarray:
    """The frame with its last row and column doubled where there is an odd number of them."""
    rows, columns = frame.shape[0] % 2, frame.shape[1] % 2
    if rows or columns:
        return np.pad(frame, ((0, rows), (0, columns), (0, 0)), mode="edge")
    return frame
