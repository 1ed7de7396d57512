"""Pictures and films that a notebook shows by itself."""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np


@dataclass(frozen=True, eq=False)
class Picture:
    """A still; as the last line of a notebook's cell it is shown.

    Parameters
    ----------
    pixels : shape (rows, columns, 3), uint8 sRGB.
    """

    pixels: np.ndarray

    def save(self, path: str | Path) -> Path:
        """Write it; the ending chooses the format (see `preview.still.FORMATS`)."""
        from .still import save

        save(self.pixels, Path(path))
        return Path(path)

    def _repr_png_(self) -> bytes:
        from PIL import Image

        data = io.BytesIO()
        Image.fromarray(self.pixels).save(data, "PNG")
        return data.getvalue()


@dataclass(frozen=True)
class Film:
    """A film in a file; as the last line of a notebook's cell it is played."""

    path: Path

    def _repr_html_(self) -> str:
        kind = self.path.suffix.lower().lstrip(".")
        data = base64.b64encode(self.path.read_bytes()).decode()
        if kind == "mp4":
            return (
                '<video controls loop muted playsinline src="data:video/mp4;base64,'
                f'{data}"></video>'
            )
        mime = "png" if kind == "apng" else kind
        return f'<img alt="{self.path.stem}" src="data:image/{mime};base64,{data}">'
