"""Reading a TOML file into plain tables, whatever is in the file."""

from __future__ import annotations

import copy
import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

from meshes.errors import DesignError, Mistake

from .slips import explain

# A design of a hundred pieces takes some 20 kB. Our choice.
_MOST_BYTES = 2_000_000
_DEEPEST = 40  # our choice


def load(path: Path, name: str, text: str | None = None) -> dict[str, Any]:
    """The tables of a TOML file, or of a text that is to be its content.

    Raises
    ------
    DesignError
        With one line, if it can't be read or is no TOML.
    """
    try:
        whole = _text(path) if text is None else _decoded(text.encode())
        tables = copy.deepcopy(_parsed(whole))
        if not tables:
            raise _Bad(
                "the file is empty", "foldstage new, which writes a small design to start from"
            )
        _check_depth(tables, 0)
    except _Bad as bad:
        raise DesignError([Mistake(name, bad.args[0], advice=bad.args[1])]) from None
    except tomllib.TOMLDecodeError as error:
        slip = explain(whole, error)
        raise DesignError(
            [Mistake(name, slip.problem, found=slip.found, advice=slip.advice)]
        ) from None
    except RecursionError:
        raise DesignError([Mistake(name, "is nested too deeply")]) from None
    except ValueError as error:
        raise DesignError([Mistake(name, f"is not valid TOML: {error}")]) from None
    return tables


@lru_cache(maxsize=2)
def _parsed(text: str) -> dict[str, Any]:
    """The tables of a text; a search reads the same one again and again, with other values."""
    return tomllib.loads(text)


class _Bad(Exception):
    """A problem and what to try."""


def _text(path: Path) -> str:
    if path.is_dir():
        raise _Bad("is a folder, not a design file", "a file that ends in .toml")
    try:
        with path.open("rb") as file:
            content = file.read(_MOST_BYTES + 1)
    except FileNotFoundError:
        raise _Bad("there is no such file", _nearest_file(path)) from None
    except OSError as error:
        raise _Bad(f"cannot be read: {(error.strerror or str(error)).lower()}", "") from None
    return _decoded(content)


def _decoded(content: bytes) -> str:
    if len(content) > _MOST_BYTES:
        raise _Bad(f"is larger than {_MOST_BYTES // 1_000_000} MB", "a design file in TOML")
    if b"\0" in content:
        raise _Bad("is a binary file, not a design", "a design file in TOML")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _Bad(f"is not UTF-8 text (byte {error.start})", "saving it as UTF-8") from None


def _nearest_file(path: Path) -> str:
    from difflib import get_close_matches

    try:
        names = [other.name for other in path.parent.glob("*.toml")]
    except OSError:
        names = []
    near = get_close_matches(path.name, names, 1)
    return near[0] if near else "foldstage new, which writes a small design to start from"


def _check_depth(value: object, depth: int) -> None:
    if depth > _DEEPEST:
        raise _Bad("is nested too deeply", "")
    if isinstance(value, dict):
        for item in value.values():
            _check_depth(item, depth + 1)
    elif isinstance(value, list):
        for item in value:
            _check_depth(item, depth + 1)
