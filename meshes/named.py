"""Texts of a design, and the files that they name."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

# What a piece may not be called, as it is there already; what it may be called; and how many there
# may be. Our choice.
RESERVED = ("page", "gutter")
PIECE_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,59}")
MOST_PIECES = 2000


def file_named(folder: Path, name: str) -> Path:
    """The file that a text of a design names, seen from a folder.

    A design is UTF-8, so the name's bytes are, whatever the locale makes of names (PEP 383).
    """
    return (folder / os.fsdecode(name.encode(errors="surrogateescape"))).resolve()


def files_led_to(folder: Path, text: str) -> list[Path]:
    """The files that any text of a design leads to, seen from a folder.

    One, or the SVGs of a folder, which are read as one drawing; none if it leads nowhere.
    """
    if not text or len(text) > 1000 or "\0" in text or "\n" in text:
        return []
    try:
        path = file_named(folder, text)
        found = sorted(path.glob("*.svg")) if path.is_dir() else [path]
        return [file for file in found if file.is_file()]
    except OSError:
        return []


def texts_in(data: Any) -> set[str]:
    """Every text in tables and lists; dotted keys can nest them deeper than calls may be."""
    found: set[str] = set()
    queue = [data]
    while queue:
        item = queue.pop()
        if isinstance(item, str):
            found.add(item)
        elif isinstance(item, dict):
            queue += item.values()
        elif isinstance(item, list):
            queue += item
    return found
