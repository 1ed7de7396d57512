"""Meshes to files: PLY (with colours), STL and OBJ; and files that appear whole or not at all.

PLY as described by Greg Turk, "The PLY Polygon File Format" (1994); STL in its binary form, which
stores single precision and no unit (ours are millimetres).
"""

from __future__ import annotations

import errno
import hashlib
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import trimesh

FORMATS = ("ply", "stl", "obj")
# On Windows a viewer or a virus scanner may hold the old file for a moment.
PATIENCE_S = 0.3
# Letters of a file's name that the name of its unfinished part begins with.
_PART_LETTERS = 40


def write(mesh: trimesh.Trimesh, path: Path) -> None:
    """Write a mesh in the format that the file's ending names.

    Parameters
    ----------
    mesh : mm.
    path : ends on one of `FORMATS`.

    Raises
    ------
    ValueError
        If the ending is not one of `FORMATS`.
    """
    kind = path.suffix.lstrip(".").lower()
    if kind not in FORMATS:
        raise ValueError(f"unknown mesh format {path.suffix!r}; allowed: {', '.join(FORMATS)}")
    data = mesh.export(file_type=kind)
    write_whole(path, data if isinstance(data, bytes) else str(data).encode())


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that it holds either all of `data` or what it held before."""
    with whole_file(path) as part:
        part.write_bytes(data)


def _of_file(error: OSError, part: Path) -> bool:
    """Whether an error tells of the file that is being written; that of a full disk names none."""
    full = (errno.ENOSPC, errno.EFBIG, errno.EDQUOT, errno.EIO)
    return error.filename == str(part) or (error.filename is None and error.errno in full)


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Give a name beside `path` to write to, and move it to `path` once that has gone well.

    The name keeps the ending of `path`, for writers that choose their format by it. Missing folders
    are made. After an error nothing is left behind and `path` is as it was.
    """
    made = _make_folders(path.parent)
    # Short, whatever the file is called: names of files have a longest length.
    mark = hashlib.blake2b(path.name.encode(errors="surrogateescape"), digest_size=4).hexdigest()
    begin = f".{path.stem[:_PART_LETTERS]}.{mark}."
    _sweep(path.parent, begin)
    part = path.with_name(f"{begin}{os.getpid()}.part{path.suffix}")
    try:
        yield part
        _replace(part, path)
    except BaseException as error:
        if isinstance(error, OSError) and _of_file(error, part):
            error.filename = str(path)  # the name that the user knows
        with suppress(OSError):  # what went wrong is more to the point than what is left behind
            part.unlink(missing_ok=True)
            for folder in made:
                folder.rmdir()
        raise


def _sweep(folder: Path, begin: str) -> None:
    """Remove what processes that were killed have begun to write under the same name."""
    if os.name != "posix":  # elsewhere there is no way to ask for a process that does no harm
        return
    for name in os.listdir(folder):
        number = name[len(begin) :].partition(".part")[0]
        if name.startswith(begin) and number.isdecimal() and not _lives(int(number)):
            with suppress(OSError):
                (folder / name).unlink()


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True


def _make_folders(folder: Path) -> list[Path]:
    """Make a folder and those above it; the ones that were made, innermost first."""
    missing = []
    while not folder.exists():
        missing.append(folder)
        folder = folder.parent
    for new in reversed(missing):
        new.mkdir(exist_ok=True)  # another process may make it just now
    return missing


def _replace(part: Path, path: Path) -> None:
    try:
        os.replace(part, path)
    except PermissionError:
        time.sleep(PATIENCE_S)
        os.replace(part, path)
