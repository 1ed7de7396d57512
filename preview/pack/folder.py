"""The folder of a pack: what is in it, what is still as it was made, and its archive."""

from __future__ import annotations

import io
import json
import os
import shutil
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from meshes.cache import digest
from meshes.export import write_whole

RECORD = ".made.json"
LIST = "CONTENTS.txt"
# An archive's files bear this date, so that equal packs are equal archives: the earliest that the
# format can hold (source: PKWARE APPNOTE 4.4.6).
_NO_DATE = (1980, 1, 1, 0, 0, 0)
_PACKED = (".pdf", ".jpg", ".mp4")


@dataclass(frozen=True)
class Made:
    """A part as it was made.

    Parameters
    ----------
    key : digest of all that it depends on.
    files : digests of its files by name.
    facts : what is worth telling of it.
    """

    key: str
    files: Mapping[str, str]
    facts: Mapping[str, Any]


class Folder:
    """The folder of a pack on disk; its record is written after the files that it names."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.made = self._read()

    def _read(self) -> dict[str, Made]:
        """What an earlier run has made; nothing if there is no record, or none that can be read."""
        try:
            parts = json.loads((self.path / RECORD).read_bytes())["parts"]
            return {
                str(name): Made(str(row["key"]), _named(row["files"], _here), dict(row["facts"]))
                for name, row in parts.items()
            }
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            return {}

    def good(self, part: str, key: str) -> bool:
        """Whether a part was made from the same, and all its files are as they were."""
        made = self.made.get(part)
        return (
            made is not None
            and made.key == key
            and all(digest and self._digest(name) == digest for name, digest in made.files.items())
        )

    def _digest(self, name: str) -> str:
        path = self.path / name
        inside = path.resolve().is_relative_to(self.path.resolve())
        try:
            return digest(path.read_bytes()) if inside else ""
        except OSError:
            return ""

    def keep(self, part: str, key: str, names: list[str], facts: Mapping[str, Any]) -> None:
        """Note a part that has just been made, and remove files of it that are no longer made."""
        old = self.made.get(part)
        self.made[part] = Made(key, {name: self._digest(name) for name in names}, facts)
        self._remove(old, names)
        self._record()

    def drop(self, part: str) -> None:
        """Remove a part that is no longer wanted."""
        self._remove(self.made.pop(part, None), [])

    def _remove(self, old: Made | None, names: list[str]) -> None:
        """Remove the files of a part that are as they were made, but for some names."""
        for name, known in (old.files if old else {}).items():
            # What was changed since, or lies elsewhere, is not ours to remove.
            if name not in names and known and self._digest(name) == known:
                path = self.path / name
                path.unlink(missing_ok=True)
                if path.parent != self.path and not any(path.parent.iterdir()):
                    shutil.rmtree(path.parent)

    def finish(self, text: str, archive: Path) -> None:
        """Write the list of contents and the archive of all that is named in the record."""
        write_whole(self.path / LIST, _plain(text).encode())
        self._record()
        write_whole(archive, self._archive())

    def _record(self) -> None:
        parts = {
            name: {
                "key": made.key,
                "files": _named(made.files, _plain),
                "facts": dict(made.facts),
            }
            for name, made in sorted(self.made.items())
        }
        write_whole(self.path / RECORD, json.dumps({"parts": parts}, indent=1).encode())

    def files(self) -> list[str]:
        """Names of all files of the pack, but for the record."""
        return sorted([LIST, *(name for made in self.made.values() for name in made.files)])

    def _archive(self) -> bytes:
        data = io.BytesIO()
        with zipfile.ZipFile(data, "w") as archive:
            for name in self.files():
                kind = zipfile.ZIP_STORED if name.endswith(_PACKED) else zipfile.ZIP_DEFLATED
                entry = zipfile.ZipInfo(_plain(f"{self.path.name}/{name}"), _NO_DATE)
                entry.external_attr = 0o644 << 16
                archive.writestr(entry, (self.path / name).read_bytes(), kind)
        return data.getvalue()


def _here(name: str) -> str:
    """A name of a file as this locale writes it; the other way round is `_plain`."""
    return os.fsdecode(name.encode())


def _named(files: Mapping[str, str], told: Callable[[str], str]) -> dict[str, str]:
    return {told(name): known for name, known in files.items()}


def _plain(text: str) -> str:
    """A text in which names that are not UTF-8 are written as far as they are (PEP 383)."""
    return text.encode(errors="surrogateescape").decode(errors="replace")
