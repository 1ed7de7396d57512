"""The sheet of a kind as a file: PDF to print, SVG to draw on, PNG or JPEG to look at."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from pathlib import Path

from meshes.export import write_whole
from preview.errors import UseError
from preview.pattern import raster, svg
from preview.pattern.pdf import add_page, finished, new_document
from preview.pattern.stock import stock
from preview.pattern.tags import Tags

from .sheet import HIGH_MM, WIDE_MM, KindSheet

# Pixels for each mm: 150 dpi. Common practice, no source.
_PIXELS = 150 / 25.4


def write(sheet: KindSheet, path: Path) -> None:
    """Write a sheet in the format of the file's ending; see `check_ending`."""
    check_ending(path)
    write_whole(path, _FORMATS[path.suffix.lower()](sheet))


def check_ending(path: Path) -> None:
    """UseError if a sheet can't be written with that ending."""
    if path.suffix.lower() not in _FORMATS:
        endings = ", ".join(_FORMATS)
        raise UseError(f"a sheet can't be saved as {path.name!r}; endings: {endings}")


def _pdf(sheet: KindSheet) -> bytes:
    tags = Tags()
    pdf = new_document(sheet.title, "A kind of piece: measures, and what goes wrong")
    add_page(pdf, tags, stock("A4"), (), sheet.marks)
    return finished(bytes(pdf.output()), tags, {})


def _svg(sheet: KindSheet) -> bytes:
    body = [svg.element(mark) for mark in sheet.marks]
    return svg.document(WIDE_MM, HIGH_MM, sheet.title, body).encode()


def _png(sheet: KindSheet) -> bytes:
    return _picture(sheet, "PNG", {"compress_level": 6})


def _jpeg(sheet: KindSheet) -> bytes:
    return _picture(sheet, "JPEG", {"quality": 88, "optimize": True})


def _webp(sheet: KindSheet) -> bytes:
    return _picture(sheet, "WEBP", {"quality": 82, "method": 6})


def _picture(sheet: KindSheet, kind: str, settings: Mapping[str, int]) -> bytes:
    screen = raster.Screen((WIDE_MM, HIGH_MM), _PIXELS)
    data = io.BytesIO()
    raster.painted(sheet.marks, screen).save(data, kind, **settings)
    return data.getvalue()


_FORMATS: Mapping[str, Callable[[KindSheet], bytes]] = {
    ".pdf": _pdf,
    ".svg": _svg,
    ".png": _png,
    ".jpg": _jpeg,
    ".webp": _webp,
}
