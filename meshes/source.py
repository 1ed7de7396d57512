"""All that a design is made from, as one digest: its file, the files that it names, values."""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from .named import files_led_to, texts_in

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
    for text in sorted(texts_in(data)):
        for file in files_led_to(path.parent, text):
            if file.stat().st_size > _LARGEST_BYTES:
                return None
            _feed(found, f"{text} {file.name}", file.read_bytes())
    return found.hexdigest()


def _feed(found: hashlib.blake2b, name: str, content: bytes) -> None:
    found.update(f"\n{name} {len(content)}\n".encode(errors="surrogateescape"))
    found.update(content)
