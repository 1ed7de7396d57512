"""Where a design begins: a blank notebook, or a copy of another design under a name of her own."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from meshes.design.sizes import PAGES
from meshes.export import write_whole
from preview.errors import UseError

# A page that a hand can fold; the limits of the keys `width` and `height`, mm.
_LEAST_MM, _MOST_MM = 20.0, 1000.0


def titled(name: str) -> str:
    """The title of a design of a name."""
    return as_text(name).replace("-", " ").replace("_", " ").strip().capitalize()


def as_text(name: str) -> str:
    """A name as the file can hold it: a locale without its letters gives bytes (PEP 383)."""
    return os.fsencode(name).decode(errors="replace")


_BLANK = """# A blank notebook. Lengths in mm, angles in degrees; y = 0 is the foot of the page,
# x = 0 the gutter.
"""


def blank(title: str, page: str, about: str = _BLANK) -> str:
    """The text of a notebook with no pieces yet.

    Parameters
    ----------
    about : lines of comment above it.
    page : ``A5``, ``letter`` …, or width and height in mm such as ``150x200``.

    Raises
    ------
    UseError
        If there is no such page.
    """
    from meshes.design.edit.splice import written

    lines = [f"title = {written(title)}", 'units = "mm"', "", "[spread]"]
    if page.lower() in PAGES:
        lines += [f"page = {written(page)}"]
    else:
        width, height = _sides(page)
        lines += [f"width = {written(width)}", f"height = {written(height)}"]
    return about + "\n".join(lines) + "\n"


def _sides(page: str) -> tuple[float, float]:
    try:
        width, height = (float(part) for part in page.lower().split("x"))
        if _LEAST_MM <= width <= _MOST_MM and _LEAST_MM <= height <= _MOST_MM:
            return width, height
    except ValueError:
        pass
    raise UseError(
        f"{page!r} is not a page; allowed: A5, B6, letter …, or its width and height such as "
        f"150x200, {_LEAST_MM:g} to {_MOST_MM:g} mm"
    )


def like(source: Path, title: str) -> tuple[str, Mapping[str, bytes]]:
    """The text of a design with another title, and the files that it names.

    Returns
    -------
    The text, all but its title as it was, and contents by name relative to the design's folder.

    Raises
    ------
    DesignError
        With every mistake of the design.
    """
    from meshes.design.edit import SetValue
    from meshes.spread import read
    from preview.viewer.watch import named_files

    read(source, blank=True)
    text = source.read_bytes().decode("utf-8")
    files = {
        path.relative_to(source.parent).as_posix(): path.read_bytes()
        for path in named_files(source)
    }
    return SetValue(path=("title",), value=title).apply(text), files


def write(path: Path, text: str, files: Mapping[str, bytes], *, replace: bool = False) -> None:
    """Write a design, and beside it the files that it names.

    Parameters
    ----------
    replace : files of the same names that hold something else are replaced.

    Raises
    ------
    UseError
        If one of them is there already; nothing is written then.
    """
    wanted = {path: text.encode(), **{path.parent / name: data for name, data in files.items()}}
    for file, data in wanted.items():
        if replace and not file.is_dir():
            continue
        if os.path.lexists(file) and (file == path or _content(file) != data):
            raise UseError(f"{file.name} is there already; take another name, or --force")
    for file, data in sorted(wanted.items(), key=lambda one: one[0] == path):
        if _content(file) != data:
            write_whole(file, data)


def _content(file: Path) -> bytes | None:
    try:
        return file.read_bytes()
    except OSError:
        return None
