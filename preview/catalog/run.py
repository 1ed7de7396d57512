"""One run over a folder: what is new is made, what is gone is forgotten, the index is written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from meshes.export import write_whole

from . import index
from .publish import public_title, publish, shown
from .shop import Shop
from .store import Row, Store, parts_left_behind
from .task import CatalogTask, Settings, find_designs, gather
from .work import Product, make, plain_row
from .workers import ItemOutcome

if TYPE_CHECKING:
    from .variants import Table

# Held while a run works on the folder.
_LOCK = ".lock"
# In the output folder: what may be published, and what is the maker's own.
SHOP, PRIVATE = "shop", "private"


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
    folder: Path,
    leave_out: Sequence[Path],
    settings: Settings,
    tables: Sequence[Table] = (),
    shop: Shop | None = None,
) -> Iterator[CatalogTask | Row]:
    """The task of every design and variant, or the row of one that can't even be read."""
    shop = shop or Shop()
    variants = {table.design: table for table in tables}
    for path in find_designs(folder, *leave_out):
        table = variants.get(path)
        rows: Mapping[str, Mapping[str, float | str]] = {"": {}} if table is None else table.rows
        for variant, values in rows.items():
            below = path.relative_to(folder).as_posix()
            try:
                own = shop.settings(f"{below}#{variant}" if variant else below, settings)
                yield gather(folder, path, own, variant, values)
            except OSError as error:
                task = CatalogTask(below, "", (), settings)
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
    shop: Shop | None = None,
    leave_out: Sequence[Path] = (),
) -> Summary:
    """Bring the catalog of a folder up to date.

    Only one run works on an output folder at a time; a second one waits for the first.

    Parameters
    ----------
    folder : with the designs, at any depth.
    output : where the catalog goes.
    shop : what the maker says of her shop and of the designs.
    leave_out : files of the folder that are no designs.

    Raises
    ------
    DesignError
        If the shop's file tells of a design that is not in the folder.
    """
    from filelock import FileLock

    watch, shop = watch or Watch(), shop or Shop()
    store = Store(output / PRIVATE)
    output.mkdir(parents=True, exist_ok=True)
    with FileLock(output / _LOCK):
        for part in list(parts_left_behind(output)):
            part.unlink(missing_ok=True)
        found = tasks_of(folder, (output, *leave_out), settings, tables, shop)
        rows, todo = _sorted_out(found, store)
        kept, names = len(rows), {*rows, *(job.name for job in todo)}
        shop.check_names(names)
        watch.planned(len(todo), kept)
        tasks = (
            gather(folder, folder / job.path, job.settings, job.variant, job.values)
            for job in sorted(todo, key=lambda job: (-job.weight, job.path, job.variant))
        )
        finished = _work(store, workers, tasks, rows, watch)
        if finished:
            store.forget_others(names)
        summary = Summary(
            tuple(rows[name] for name in sorted(rows)), len(rows) - kept, kept, finished
        )
        write_index(folder.resolve().name, output / PRIVATE, summary.rows, shop)
        # A shop that is there stays whole until there is another whole one.
        if finished or not (output / SHOP).exists():
            publish(output / SHOP, store, summary.rows, shop)
    return summary


@dataclass(frozen=True)
class _Waiting:
    """What is to be made; its files are read again when its turn comes, so memory stays flat."""

    name: str
    path: str
    weight: int
    settings: Settings
    values: Mapping[str, float | str]

    @property
    def variant(self) -> str:
        return self.name.partition("#")[2]


def _sorted_out(
    found: Iterable[CatalogTask | Row], store: Store
) -> tuple[dict[str, Row], list[_Waiting]]:
    """Rows that are good already, by name of the design, and what is to be made."""
    rows: dict[str, Row] = {}
    todo: list[_Waiting] = []
    for task in found:
        if not isinstance(task, CatalogTask):
            rows[task["name"]] = task
            continue
        row = store.good(task.name, task.key)
        if row is not None:
            rows[task.name] = row
        else:
            todo.append(_Waiting(task.name, task.path, task.weight, task.settings, task.values))
    return rows, todo


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


def write_index(title: str, output: Path, rows: Sequence[Row], shop: Shop) -> None:
    """Write ``index.html``, ``catalog.json`` and ``catalog.csv``, each whole or not at all."""
    in_shop = {row["name"]: public_title(row, shop) for row in rows if shown(row, shop)}
    write_whole(output / "index.html", _as_bytes(index.as_page(title, rows, in_shop)))
    write_whole(output / "catalog.json", _as_bytes(index.as_json(rows)))
    write_whole(output / "catalog.csv", _as_bytes(index.as_csv(rows)))


__all__ = ["Summary", "Watch", "Workers", "make", "run", "tasks_of", "write_index"]
