"""What a part of a pack depends on, as a digest."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path

from meshes import program


def source_of(path: Path, values: Mapping[str, str | float]) -> str:
    """A digest of a design file, of the files that it names and of values used instead.

    Raises
    ------
    OSError
        If the design cannot be read.
    """
    from preview.catalog.task import Settings, gather

    task = gather(path.parent, path, Settings(), values=values)
    found = hashlib.blake2b(json.dumps(dict(values), sort_keys=True).encode(), digest_size=16)
    for name, content in task.files:
        found.update(f"\n{name} {len(content)}\n".encode(errors="surrogateescape"))
        found.update(content)
    return found.hexdigest()


def part_key(source: str, part: str, wished: Mapping[str, str]) -> str:
    """The digest under which a part is kept; any change of the program makes all anew."""
    about = json.dumps([source, part, dict(wished), program.digest()], sort_keys=True)
    return hashlib.blake2b(about.encode(), digest_size=16).hexdigest()
