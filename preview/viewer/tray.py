"""Pictures that were brought into the page and wait to be used: looked at, never trusted.

What a file holds is told by its bytes, not by its name. It is decoded here; the page gets pixels
that were drawn anew, so nothing else that stands in a file can come near it.
"""

from __future__ import annotations

import base64
import hashlib
import io
import threading
from collections import OrderedDict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from meshes.art import ArtError, decoded
from preview.errors import UseError

if TYPE_CHECKING:
    from PIL.Image import Image

Json = dict[str, Any]

# A scan of A4 at 300 dpi is 26 MB without compression. Our choice.
MOST_BYTES = 40_000_000
# What the page is shown, and on what an outline is tried: pixels on the longest side. Our choice.
LOOK_SIDE = 640
_MOST = 4
_ENDINGS = {"PNG": ".png", "JPEG": ".jpg", "WEBP": ".webp"}
# Below this cover, on this share of a picture, it has a transparent ground already. Our choice.
_CLEAR, _CLEAR_SHARE = 128, 0.02
# A PNG is a row of chunks: encoders write 4 kB of pixels or more in each, so a picture within the
# limit of bytes has 10,000; each more costs time and holds no pixels. Our choice.
_MOST_CHUNKS = 20_000
_PNG = b"\x89PNG\r\n\x1a\n"


@dataclass(frozen=True, eq=False)
class Brought:
    """A picture on the tray.

    Parameters
    ----------
    data : the file's bytes.
    ending : that belongs to them.
    size : width and height as it is shown, pixels.
    look : the same, smaller, (rows, columns, 4), uint8.
    clear : whether it has a transparent ground already.
    """

    data: bytes
    ending: str
    size: tuple[int, int]
    look: np.ndarray
    clear: bool

    def whole(self) -> Image:
        """All of its pixels, RGBA."""
        return decoded(self.data)[0]


class Tray:
    """Holds the last few pictures that were brought."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._held: OrderedDict[str, Brought] = OrderedDict()

    def bring(self, data: bytes) -> Json:
        """Take a file in.

        Returns
        -------
        A name for it as ``picture``, its ``size`` in pixels, a ``look`` at it as a data address,
        and whether its ground is ``clear`` already.

        Raises
        ------
        UseError
            If it is no picture that we read; a line for a person.
        """
        name = hashlib.sha256(data).hexdigest()[:24]
        with self._lock:  # two at once would need twice the room
            found = self._held.get(name) or _looked_at(data)
            self._held[name] = found
            self._held.move_to_end(name)
            while len(self._held) > _MOST:
                self._held.popitem(last=False)
        return {
            "picture": name,
            "size": list(found.size),
            "look": address(found.look),
            "clear": found.clear,
        }

    def get(self, name: str) -> Brought:
        """A picture by its name; UseError if it is there no more."""
        with self._lock:
            found = self._held.get(name)
        if found is None:
            raise UseError("the picture is not at hand any more; choose the file again")
        return found


def _looked_at(data: bytes) -> Brought:
    if _chunks(data) > _MOST_CHUNKS:
        raise UseError(
            f"the file is cut into more than {_MOST_CHUNKS} chunks; try: save the picture again"
        )
    try:
        image, kind = decoded(data)
    except ArtError as error:
        raise UseError(f"the file {error}; a picture is a PNG, JPEG or WebP{_hint(data)}") from None
    size = image.size
    image.thumbnail((LOOK_SIDE, LOOK_SIDE))
    look = np.asarray(image)
    clear = bool((look[..., 3] < _CLEAR).mean() > _CLEAR_SHARE)
    return Brought(data, _ENDINGS[kind], size, look, clear)


def _chunks(data: bytes) -> int:
    """Of how many chunks a PNG is made, counted no further than is needed (PNG 1.2, 3.2)."""
    count, place = 0, len(_PNG)
    while data.startswith(_PNG) and place < len(data) and count <= _MOST_CHUNKS:
        count, place = count + 1, place + 12 + int.from_bytes(data[place : place + 4], "big")
    return count


def _hint(data: bytes) -> str:
    """What to do with a file of a kind that people have."""
    begin = data[:400].lstrip().lower()
    if begin.startswith((b"<svg", b"<?xml")):
        return "; a drawing in SVG is saved as PNG first"
    if data[4:12] in (b"ftypheic", b"ftypheix", b"ftypmif1"):
        return "; a HEIC photograph is saved as JPEG first"
    return "; a PDF is saved as PNG first" if begin.startswith(b"%pdf") else ""


def address(pixels: np.ndarray) -> str:
    """Pixels as a picture that a page can show, (rows, columns, 4), uint8."""
    from PIL import Image

    data = io.BytesIO()
    Image.fromarray(pixels).save(data, "PNG")
    return f"data:image/png;base64,{base64.b64encode(data.getvalue()).decode()}"
