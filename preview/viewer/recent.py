"""The design files that were seen last, kept in the user's own folder."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path

from meshes.cache import user_folder
from meshes.export import write_whole

_NAME, _MOST = "recent.json", 12  # our choice


def remember(path: Path) -> None:
    """Put a design file first among those seen last; nothing where nothing can be kept."""
    folder = user_folder()
    if folder is None:
        return
    names = [str(path.resolve()), *(str(one) for one in recent() if one != path.resolve())]
    with suppress(OSError):
        write_whole(folder / _NAME, json.dumps(names[:_MOST]).encode())


def recent() -> list[Path]:
    """Those that are still there, the last one first."""
    folder = user_folder()
    try:
        found = json.loads((folder / _NAME).read_bytes()) if folder is not None else []
    except (OSError, ValueError):
        return []
    names = found if isinstance(found, list) else []
    return [Path(name) for name in names[:_MOST] if isinstance(name, str) and _is_file(name)]


def _is_file(name: str) -> bool:
    try:
        return name.endswith(".toml") and Path(name).is_file()
    except (OSError, ValueError):
        return False
