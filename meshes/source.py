"""All that a design is made from, as one digest: its file, the files that it names, values."""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .named import file_named

if TYPE_CHECKING:
    from .design.values import Setting

# A file that is larger is not worth reading to see whether it has changed. Our choice.
_LARGEST_BYTES = 64_000_000


def source(path: Path, values: Mapping[str, Setting]) -> str | None:
    """A digest of a design file, of all files that it names and of values used instead.

    Any text of the design that leads to a file counts as its name: rather a few files too many than
    one too few. None if the design is none, or if one of the files is too large.

    Raises
    ------
    OSError
        If a file cannot be read.
    """
    found = hashlib.blake2b(json.dumps(dict(values), sort_keys=True).encode(), digest_size=16)
    content = path.read_bytes()
    try:
        data = tomllib.loads(content.decode())
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError):
        return None
    _feed(found, path.name, content)
    for text in sorted(set(_texts(data))):
        file = _named(path.parent, text)
        if file is None:
            continue
        if file.stat().st_size > _LARGEST_BYTES:
            return None
        _feed(found, text, file.read_bytes())
    return found.hexdigest()


def _feed(found: hashlib.blake2b, name: str, content: bytes) -> None:
    found.update(f"\n{name} {len(content)}\n".encode(errors="surrogateescape"))
    found.update(content)


def _texts(item: Any) -> Iterator[str]:
    """Every text in a design; it is no deeper than its reader lets it be."""
    if isinstance(item, str):
        yield item
    elif isinstance(item, dict | list):
        for one in item.values() if isinstance(item, dict) else item:
            yield from _texts(one)


def _named(folder: Path, text: str) -> Path | None:
    """The file that a text leads to, if any."""
    if not text or len(text) > 1000 or "\0" in text or "\n" in text:
        return None
    try:
        path = file_named(folder, text)
        return path if path.is_file() else None
    except OSError:
        return None
