"""One run over a folder: what is new is made, what is gone is forgotten, the index is written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from meshes.export import write_whole

from . import index
from .store import Row, Store, parts_left_behind
from .task import CatalogTask, Settings, find_designs, gather
from .work import Product, make, plain_row
from .workers import ItemOutcome

if TYPE_CHECKING:
    from .variants import Table

# Held while a run works on the folder.
_LOCK = ".lock"


class Workers(Protocol):
    """Whatever turns tasks into products, here or elsewhere."""

    def outcomes(self, items: Iterable[CatalogTask]) -> Iterator[ItemOutcome[CatalogTask, Product]]:
        """Yield what becomes of each task, in any order."""


@dataclass(frozen=True)
class Summary:
    """What a run did.

    Parameters
    ----------
    rows : of all designs, by name.
    made, kept : how many results are new, and how many were good already.
    finished : False if the run was interrupted; the rest is made by the next one.
    """

    rows: tuple[Row, ...]
    made: int
    kept: int
    finished: bool = True

    @property
    def failed(self) -> tuple[Row, ...]:
        """Rows of designs that do not pass."""
        return tuple(row for row in self.rows if row["status"] != "passes")


@dataclass(frozen=True)
class Watch:
    """Told what happens while it happens; by default nobody looks.

    Parameters
    ----------
    planned : gets the numbers of designs to make and of those that are good already.
    done : gets each new row.
    """

    planned: Callable[[int, int], None] = field(default=lambda make, good: None)
    done: Callable[[Row], None] = field(default=lambda row: None)


def tasks_of(
    folder: Path, output: Path, settings: Settings, tables: Sequence[Table] = ()
) -> Iterator[CatalogTask | Row]:
    """The task of every design and variant, or the row of one that can't even be read."""
    variants = {table.design: table for table in tables}
    for path in find_designs(folder, output):
        table = variants.get(path)
        rows: Mapping[str, Mapping[str, float | str]] = {"": {}} if table is None else table.rows
        for variant, values in rows.items():
            try:
                yield gather(folder, path, settings, variant, values)
            except OSError as error:
                task = CatalogTask(path.relative_to(folder).as_posix(), "", (), settings)
                yield plain_row(task, "broken", [f"{task.name}: {error.strerror}"])


def forget_if_empty(output: Path) -> None:
    """Remove a catalog's folder in which nothing could be written."""
    with suppress(OSError):
        if {path.name for path in output.iterdir()} <= {_LOCK}:
            (output / _LOCK).unlink(missing_ok=True)
            output.rmdir()


def run(
    folder: Path,
    output: Path,
    settings: Settings,
    workers: Workers,
    tables: Sequence[Table] = (),
    watch: Watch | None = None,
) -> Summary:
    """Bring the catalog of a folder up to date.

    Only one run works on an output folder at a time; a second one waits for the first.

    Parameters
    ----------
    folder : with the designs, at any depth.
    output : where the catalog goes.
    """
    from filelock import FileLock

    watch = watch or Watch()
    store = Store(output)
    output.mkdir(parents=True, exist_ok=True)
    with FileLock(output / _LOCK):
        for part in list(parts_left_behind(output)):
            part.unlink(missing_ok=True)
        rows: dict[str, Row] = {}
        todo: list[tuple[int, str, str, Mapping[str, float | str]]] = []
        for found in tasks_of(folder, output, settings, tables):
            if not isinstance(found, CatalogTask):
                rows[found["name"]] = found
                continue
            row = store.good(found.name, found.key)
            if row is not None:
                rows[found.name] = row
            else:
                # The contents are read again when their turn comes, so that memory stays flat.
                variant = found.name.partition("#")[2]
                todo.append((found.weight, found.path, variant, found.values))
        kept = len(rows)
        watch.planned(len(todo), kept)
        longest_first = sorted(todo, key=lambda job: (-job[0], job[1], job[2]))
        tasks = (
            gather(folder, folder / path, settings, variant, values)
            for _, path, variant, values in longest_first
        )
        names = set(rows) | {f"{path}#{v}" if v else path for _, path, v, _ in todo}
        finished = _work(store, workers, tasks, rows, watch)
        if finished:
            store.forget_others(names)
        summary = Summary(
            tuple(rows[name] for name in sorted(rows)), len(rows) - kept, kept, finished
        )
        write_index(folder.resolve().name, output, summary.rows)
    return summary


def _work(
    store: Store, workers: Workers, tasks: Iterable[CatalogTask], rows: dict[str, Row], watch: Watch
) -> bool:
    """Make what is to be made; False if the user stopped it, with what is done kept."""
    try:
        for outcome in workers.outcomes(tasks):
            task = outcome.item
            if outcome.result is None:
                row = plain_row(task, "crashed", [f"{task.name}: {outcome.reason}"])
            else:
                row = outcome.result.row
            if outcome.result is not None and row["status"] != "crashed":
                # What crashed is not stored: the next run shall try it again.
                store.keep(task.name, task.key, row, outcome.result.files)
            rows[task.name] = row
            watch.done(row)
    except KeyboardInterrupt:
        return False
    return True


def _as_bytes(text: str) -> bytes:
    """UTF-8; names of files that are none, or that the locale can't read, stay what they are."""
    return text.encode(errors="surrogateescape")


def write_index(title: str, output: Path, rows: Sequence[Row]) -> None:
    """Write ``index.html``, ``catalog.json`` and ``catalog.csv``, each whole or not at all."""
    write_whole(output / "index.html", _as_bytes(index.as_page(title, rows)))
    write_whole(output / "catalog.json", _as_bytes(index.as_json(rows)))
    write_whole(output / "catalog.csv", _as_bytes(index.as_csv(rows)))


__all__ = ["Summary", "Watch", "Workers", "make", "run", "tasks_of", "write_index"]
