"""Results on disk: one folder for each design, whose record is written last."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from meshes.cache import digest
from meshes.export import write_whole

RECORD = "result.json"
# The row that a catalog shows of a design; see the table in the contributor guide.
Row = dict[str, Any]


@dataclass(frozen=True)
class Store:
    """The output folder of a catalog.

    Parameters
    ----------
    folder : holds ``items/``, one folder for each design, and the index files.
    """

    folder: Path

    def item(self, name: str) -> Path:
        """Where the results of one design lie."""
        return self.folder / "items" / name

    def good(self, name: str, key: str) -> Row | None:
        """The stored row if it was made under that key and every file is still as it was."""
        record = self._record(name)
        if record is None or record.get("key") != key:
            return None
        for file, known in record["files"].items():
            try:
                content = (self.item(name) / file).read_bytes()
            except OSError:
                return None
            if digest(content) != known:
                return None
        return dict(record["row"])

    def keep(self, name: str, key: str, row: Row, files: Mapping[str, bytes]) -> None:
        """Store a result; every file appears whole or not at all, and the record last."""
        item = self.item(name)
        for file, content in files.items():
            write_whole(item / file, content)
        digests = {file: digest(content) for file, content in files.items()}
        record = {"key": key, "row": row, "files": digests}
        write_whole(item / RECORD, json.dumps(record, sort_keys=True, indent=1).encode())

    def forget_others(self, names: set[str]) -> None:
        """Remove the results of designs that are gone."""
        for record in list((self.folder / "items").rglob(RECORD)):
            if str(record.parent.relative_to(self.folder / "items").as_posix()) not in names:
                shutil.rmtree(record.parent, ignore_errors=True)

    def _record(self, name: str) -> dict[str, Any] | None:
        try:
            record = json.loads((self.item(name) / RECORD).read_bytes())
        except (OSError, ValueError):
            return None
        whole = isinstance(record, dict) and {"key", "row", "files"} <= set(record)
        return record if whole else None


def parts_left_behind(folder: Path) -> Iterator[Path]:
    """Files that a killed run has begun and not moved to their place."""
    yield from folder.rglob(".*.part*")
