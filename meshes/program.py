"""Which program made a result: its version and a digest of its source."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.metadata import version
from pathlib import Path

# What decides the last bits of a float.
_LIBRARIES = ("numpy", "scipy", "shapely")


def made_by() -> list[str]:
    """What computes: the program and its libraries, as digests and versions."""
    return [digest(), *(version(library) for library in _LIBRARIES)]


@cache
def digest() -> str:
    """The version of foldstage and a digest of its source, so that any change makes all anew."""
    source = hashlib.blake2b(digest_size=10)
    root = Path(__file__).resolve().parents[1]
    for package in ("meshes", "preview"):
        for path in sorted((root / package).rglob("*.py")):
            source.update(path.read_bytes())
    return f"{version('foldstage')}+{source.hexdigest()}"
