"""What a part of a pack depends on, as a digest."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from meshes.program import made_by


def part_key(source: str, part: str, wished: Mapping[str, str]) -> str:
    """The digest under which a part is kept.

    Any change of the program or of the libraries that decide its numbers makes all anew.
    """
    about = json.dumps([source, part, dict(wished), made_by()], sort_keys=True)
    return hashlib.blake2b(about.encode(), digest_size=16).hexdigest()
