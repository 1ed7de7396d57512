"""Moving pictures in one file: GIF, APNG and animated WebP, written frame by frame.

The still codecs are Pillow's; the files around them are put together here, since Pillow gathers
all frames before it writes and its memory grows with the film. Each frame stores only the box in
which it differs from the one before. Formats: GIF89a (CompuServe 1990), Portable Network Graphics
third edition (W3C 2025) for APNG, RFC 9649 for WebP.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections import OrderedDict
from collections.abc import Iterable, Iterator
from typing import BinaryIO, NamedTuple

import numpy as np
from PIL import GifImagePlugin, Image

from .palette import COLOURS, Mixer


class Timed(NamedTuple):
    """A frame of a film.

    Parameters
    ----------
    picture : uint8, shape (h, w, 3).
    duration : how long it stays, ms.
    pose : the number of what it shows, alike only for equal pictures; None if it has none.
    """

    picture: np.ndarray
    duration: int
    pose: int | None = None


Box = tuple[int, int, int, int]  # left, top, right, bottom

# A pixel of a GIF is written anew once its colour is farther than this from what it was when it was
# written last, in levels of 255. Nobody sees one level, and soft shadows that move are half of a
# film. Our choice.
SAME_LEVELS = 1
# Of indices of pictures that may come once more, so much is kept. Our choice.
SHOWN_BYTES = 16 << 20
KEEP = COLOURS  # the palette's last entry: transparent, so the frame before shows through


def changed(before: np.ndarray | None, frame: np.ndarray) -> Box:
    """The smallest box that holds every pixel that has changed; one pixel if none has."""
    if before is None:
        return 0, 0, frame.shape[1], frame.shape[0]
    differs = (frame != before).any(axis=2) if frame.ndim == 3 else frame != before
    rows, columns = np.flatnonzero(differs.any(axis=1)), np.flatnonzero(differs.any(axis=0))
    if not len(rows):
        return 0, 0, 1, 1
    return int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1


def write_gif(out: BinaryIO, frames: Iterable[Timed], palette: np.ndarray) -> None:
    """Write a GIF that loops for ever.

    Parameters
    ----------
    frames : durations are multiples of 10 ms, the unit of the format.
    palette : shape (255, 3), uint8; see :func:`preview.palette.shared`.
    """
    mixer, before, written, shown = Mixer(palette), None, np.empty(0), _Shown()
    for frame, duration, pose in frames:
        again = shown.get(pose)
        if again is not None:
            # It was shown within `SAME_LEVELS` of what it is.
            indices, written = again, frame.copy()
        elif before is None:
            indices = mixer.indices(frame)
            written, size = frame.copy(), (frame.shape[1], frame.shape[0])
            table = palette.tobytes() + b"\0\0\0"
            out.write(b"GIF89a" + struct.pack("<HHBBB", *size, 0xF7, 0, 0) + table)
            out.write(b"\x21\xff\x0bNETSCAPE2.0\x03\x01" + struct.pack("<H", 0) + b"\0")
        else:
            new = _differing(frame, written)
            colours = frame.reshape(-1, 3).take(new, axis=0)
            written.reshape(-1, 3)[new] = colours
            indices = before.copy()
            indices.ravel()[new] = mixer.some(colours, new, frame.shape[1])
        left, top, right, bottom = changed(before, indices)
        part = indices[top:bottom, left:right]
        if before is not None:
            part = np.where(part == before[top:bottom, left:right], np.uint8(KEEP), part)
        image = Image.fromarray(np.ascontiguousarray(part), "P")
        for chunk in GifImagePlugin.getdata(
            image, (left, top), duration=duration, transparency=KEEP, disposal=1
        ):
            out.write(chunk)
        before = indices
        if pose is not None and again is None:
            shown[pose] = indices
    out.write(b";")


class _Shown(OrderedDict[int | None, np.ndarray]):
    """The indices of poses that were shown last, as many as fit into `SHOWN_BYTES`.

    What goes back the way it came, as a spread that closes, is shown as it was on its way.
    """

    def __setitem__(self, pose: int | None, indices: np.ndarray) -> None:
        while self and (len(self) + 1) * indices.nbytes > SHOWN_BYTES:
            self.popitem(last=False)
        if indices.nbytes <= SHOWN_BYTES:
            super().__setitem__(pose, indices)


def _differing(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    """Numbers of the pixels of two pictures, uint8, that differ by more than `SAME_LEVELS`."""
    # Differences go round at 256: those that count as none become the least numbers.
    apart = one - two
    apart += np.uint8(SAME_LEVELS)
    pixels = np.flatnonzero(apart.ravel() > 2 * SAME_LEVELS)
    pixels //= 3
    return pixels[np.diff(pixels, prepend=-1) > 0]


def write_apng(out: BinaryIO, frames: Iterable[Timed], count: int) -> None:
    """Write an animated PNG of `count` frames that loops for ever, without loss."""
    before, number = None, 0
    for frame, duration, _ in frames:
        left, top, right, bottom = changed(before, frame)
        part = np.ascontiguousarray(frame[top:bottom, left:right])
        data = b"".join(_idat(part))
        if before is None:
            height, width = frame.shape[:2]
            out.write(b"\x89PNG\r\n\x1a\n")
            _chunk(out, b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
            _chunk(out, b"sRGB", b"\0")
            _chunk(out, b"acTL", struct.pack(">II", count, 0))
        control = struct.pack(
            ">IIIIIHHBB", number, right - left, bottom - top, left, top, duration, 1000, 0, 0
        )
        _chunk(out, b"fcTL", control)
        number += 1
        if before is None:
            _chunk(out, b"IDAT", data)
        else:
            _chunk(out, b"fdAT", struct.pack(">I", number) + data)
            number += 1
        before = frame
    _chunk(out, b"IEND", b"")


def _idat(pixels: np.ndarray) -> Iterator[bytes]:
    """The compressed data of a PNG of these pixels."""
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "PNG", compress_level=6)
    data, at = buffer.getvalue(), 8
    while at < len(data):
        length, kind = struct.unpack(">I4s", data[at : at + 8])
        if kind == b"IDAT":
            yield data[at + 8 : at + 8 + length]
        at += 12 + length


def _chunk(out: BinaryIO, kind: bytes, data: bytes) -> None:
    out.write(struct.pack(">I", len(data)) + kind + data)
    out.write(struct.pack(">I", zlib.crc32(kind + data)))


def write_webp(out: BinaryIO, frames: Iterable[Timed], quality: int = 88) -> None:
    """Write an animated WebP that loops for ever; `out` must be able to seek."""
    before = None
    for frame, duration, _ in frames:
        left, top, right, bottom = changed(before, frame)
        left, top = left // 2 * 2, top // 2 * 2  # the format counts corners in steps of two
        part = np.ascontiguousarray(frame[top:bottom, left:right])
        if before is None:
            height, width = frame.shape[:2]
            out.write(b"RIFF\0\0\0\0WEBP")
            canvas = struct.pack("<I", 0x02) + _three(width - 1) + _three(height - 1)
            _riff(out, b"VP8X", canvas)
            _riff(out, b"ANIM", struct.pack("<IH", 0xFFFFFFFF, 0))
        head = [left // 2, top // 2, right - left - 1, bottom - top - 1, duration]
        # 0x02: do not blend, the box replaces what was there.
        data = b"".join(map(_three, head)) + b"\x02" + _webp_image(part, quality)
        _riff(out, b"ANMF", data)
        before = frame
    length = out.tell() - 8
    out.seek(4)
    out.write(struct.pack("<I", length))


def _webp_image(pixels: np.ndarray, quality: int) -> bytes:
    """The image chunk of a still WebP of these pixels."""
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "WEBP", quality=quality, method=4)
    data, at = buffer.getvalue(), 12
    while at < len(data):
        kind, length = struct.unpack("<4sI", data[at : at + 8])
        end = at + 8 + length + length % 2
        if kind in (b"VP8 ", b"VP8L"):
            return data[at:end]
        at = end
    raise ValueError("the WebP encoder returned no image")


def _three(number: int) -> bytes:
    return struct.pack("<I", number)[:3]


def _riff(out: BinaryIO, kind: bytes, data: bytes) -> None:
    out.write(kind + struct.pack("<I", len(data)) + data + b"\0" * (len(data) % 2))
