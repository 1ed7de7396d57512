"""Files that a design names."""

from __future__ import annotations

import os
from pathlib import Path


def file_named(folder: Path, name: str) -> Path:
    """The file that a text of a design names, seen from a folder.

    A design is UTF-8, so the name's bytes are, whatever the locale makes of names (PEP 383).
    """
    return (folder / os.fsdecode(name.encode(errors="surrogateescape"))).resolve()
