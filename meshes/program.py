"""Which program made a result: its version and a digest of its source."""

from __future__ import annotations

import hashlib
import os
import sys
from functools import cache
from pathlib import Path

# What decides the last bits of a float.
_LIBRARIES = ("numpy", "scipy", "shapely")


def made_by() -> list[str]:
    """What computes: the program and its libraries, as digests and versions."""
    return [digest(), *(version(library) for library in _LIBRARIES)]


@cache
def version(library: str) -> str:
    """The version of an installed library.

    It is in the name of the folder in which an installer records it (source: Recording installed
    projects, PyPA specifications), which is read a hundred times as fast as what lies in there.
    """
    for folder in sys.path:
        for name in _recorded(folder):
            if name.startswith(f"{library}-"):
                return name.removeprefix(f"{library}-").removesuffix(_RECORD)
    from importlib.metadata import version

    return version(library)


_RECORD = ".dist-info"


@cache
def _recorded(folder: str) -> tuple[str, ...]:
    try:
        return tuple(sorted(name for name in os.listdir(folder or ".") if name.endswith(_RECORD)))
    except OSError:  # an archive, or nothing
        return ()


@cache
def digest() -> str:
    """The version of foldstage and a digest of its source, so that any change makes all anew."""
    source = hashlib.blake2b(digest_size=10)
    root = Path(__file__).resolve().parents[1]
    for package in ("meshes", "preview"):
        files = [
            os.path.join(folder, name)
            for folder, _, names in os.walk(root / package)
            for name in names
            if name.endswith(".py")
        ]
        for file in sorted(files, key=lambda file: file.split(os.sep)):
            with open(file, "rb", buffering=0) as opened:
                source.update(opened.read())
    return f"{version('foldstage')}+{source.hexdigest()}"
