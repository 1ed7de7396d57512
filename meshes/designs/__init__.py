"""The designs that come with the package, by name."""

from __future__ import annotations

from pathlib import Path


def names() -> list[str]:
    """Names of all shipped designs, sorted."""
    return sorted(path.stem for path in Path(__file__).parent.glob("*.toml"))


def path(name: str) -> Path:
    """The file of a shipped design; KeyError if there is none of that name."""
    if name not in names():
        raise KeyError(name)
    return Path(__file__).with_name(f"{name}.toml")
