"""``foldstage catalog``: a folder of designs as films, figures and one searchable page."""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from preview.errors import UseError

from .arguments import add_jobs, add_output, number, size
from .terminal import Terminal

if TYPE_CHECKING:
    from rich.table import Table

    from preview.catalog.run import Summary, Watch, Workers
    from preview.catalog.store import Row
    from preview.catalog.variants import Table as Variants

FILMS = ("mp4", "gif", "webp", "png", "none")
INTERRUPTED = 130


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("folder", metavar="FOLDER", help="a folder with designs, at any depth")
    add_output(parser, "where the catalog goes (default: FOLDER/catalog)")
    _add_films(parser)
    parser.add_argument(
        "--figures-only",
        action="store_true",
        help="no pictures, only sizes and the result of the check: a quick look at a large shop",
    )
    parser.add_argument(
        "--variants",
        metavar="DESIGN=TABLE",
        action="append",
        default=[],
        help="a .csv or .toml table of values for a design of the folder; it gets a row for each "
        "line of the table; may be given several times",
    )
    parser.add_argument(
        "--timeout",
        metavar="S",
        type=number(1, 86_400, "seconds"),
        default=900.0,
        help="give up on a design after so many seconds (default: 900)",
    )
    parser.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="send the work to a Dask scheduler, such as tcp://127.0.0.1:8786, instead of to "
        "processes of this machine",
    )
    add_jobs(parser)


def _add_films(parser: argparse.ArgumentParser) -> None:
    """How the films of the catalog look."""
    from preview.shot.mood import MOODS

    parser.add_argument(
        "--format", choices=FILMS, default="mp4", help="format of the films (default: mp4)"
    )
    parser.add_argument(
        "--size",
        metavar="WxH",
        type=size,
        default=(480, 480),
        help="size of the films, in pixels (default: 480x480)",
    )
    parser.add_argument(
        "--seconds",
        metavar="S",
        type=number(0.5, 60, "seconds"),
        default=4.0,
        help="length of the films (default: 4)",
    )
    parser.add_argument(
        "--fps",
        metavar="N",
        type=number(1, 60, "frames per second"),
        default=20.0,
        help="frames per second (default: 20)",
    )
    parser.add_argument(
        "--mood", choices=MOODS, default="daylight", help="light and table (default: daylight)"
    )
    parser.add_argument(
        "--quality",
        choices=("draft", "film"),
        default="film",
        help="quality of the films (default: film)",
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Bring the catalog up to date."""
    folder = terminal.path(args.folder)
    if not folder.is_dir():
        raise UseError(f"{args.folder}: is not a folder; try: a folder that holds designs (.toml)")
    output = terminal.path(args.output) if args.output else folder / "catalog"
    from preview.catalog.run import forget_if_empty
    from preview.catalog.run import run as bring_up_to_date
    from preview.catalog.task import Settings, find_designs

    if next(find_designs(folder, output), None) is None:
        raise UseError(f"{args.folder}: has no designs (.toml) in it")
    settings = Settings(
        film=args.format,
        size=args.size,
        seconds=args.seconds,
        fps=args.fps,
        mood=args.mood,
        quality=args.quality,
        pictures=not args.figures_only,
    )
    tables = [_variants(text, folder, terminal) for text in args.variants]
    is_new = not output.exists()
    try:
        with _told(terminal) as watch:
            summary = bring_up_to_date(folder, output, settings, _workers(args), tables, watch)
    except OSError:
        if is_new:
            forget_if_empty(output)
        raise
    _report(summary, output, terminal)
    if not summary.finished:
        return INTERRUPTED
    return 1 if summary.failed else 0


def _workers(args: argparse.Namespace) -> Workers:
    from preview.catalog.work import make

    if args.cluster:
        from preview.catalog.cluster import ClusterWorkers

        return ClusterWorkers(make, args.cluster)
    from preview.catalog.workers import LocalWorkers

    return LocalWorkers(make, args.jobs, args.timeout)


def _variants(text: str, folder: Path, terminal: Terminal) -> Variants:
    from preview.catalog import variants

    name, equals, table = text.partition("=")
    design = folder / name
    if not equals or not design.is_file():
        raise UseError(
            f"--variants {text}: expected DESIGN=TABLE, where DESIGN is a file below the folder"
        )
    return variants.read(terminal.path(table), design)


@contextmanager
def _told(terminal: Terminal) -> Iterator[Watch]:
    """Progress: a live table on a terminal, a plain line for each design elsewhere."""
    from preview.catalog.run import Watch

    if not terminal.live:
        yield Watch(lambda make, good: _say_plan(terminal, make, good), _plain(terminal))
        return
    from rich.console import Console
    from rich.live import Live

    console = Console(file=terminal.stderr, no_color=not terminal.colour, force_terminal=True)
    board = _Board()
    with Live(board.table(), console=console, refresh_per_second=4, transient=True) as live:

        def planned(make: int, good: int) -> None:
            board.total, board.good = make, good
            live.update(board.table())

        def done(row: Row) -> None:
            board.add(row)
            live.update(board.table())

        yield Watch(planned, done)


def _say_plan(terminal: Terminal, make: int, good: int) -> None:
    if make:
        terminal.say(f"{make} to make, {good} up to date")


def _plain(terminal: Terminal) -> Callable[[Row], None]:
    from preview.catalog.index import LABELS

    def done(row: Row) -> None:
        reason = f": {row['reasons'][0]}" if row["reasons"] else ""
        terminal.say(f"{row['name']}: {LABELS[row['status']]}{reason}")

    return done


class _Board:
    """The live table: how far it is, and what came last."""

    LAST = 8

    def __init__(self) -> None:
        self.total = self.good = self.made = 0
        self._start = time.monotonic()
        self._rows: list[Row] = []

    def add(self, row: Row) -> None:
        """Take note of a new row."""
        self.made += 1
        self._rows = [*self._rows, row][-self.LAST :]

    def table(self) -> Table:
        """What is shown now."""
        from rich.markup import escape
        from rich.table import Table

        from preview.catalog.index import LABELS

        passed = time.monotonic() - self._start
        left = passed / self.made * (self.total - self.made) if self.made else 0.0
        table = Table(
            title=f"{self.made} of {self.total} made, {self.good} were up to date, "
            f"about {left:z.0f} s left",
            title_justify="left",
        )
        for heading in ("design", "result", "reason"):
            table.add_column(heading, overflow="ellipsis", no_wrap=True)
        for row in self._rows:
            reason = row["reasons"][0] if row["reasons"] else ""
            table.add_row(escape(row["name"]), LABELS[row["status"]], escape(reason))
        return table


def _report(summary: Summary, output: Path, terminal: Terminal) -> None:
    """What was done, then what is wrong, then where to look."""
    from preview.catalog.index import LABELS

    for row in summary.failed:
        terminal.show(f"{row['name']}: {LABELS[row['status']]}")
        for reason in row["reasons"]:
            terminal.show(f"  {reason}")
    passed = len(summary.rows) - len(summary.failed)
    terminal.show(
        f"{len(summary.rows)} designs: {passed} pass, {len(summary.failed)} do not; "
        f"{summary.made} made, {summary.kept} up to date"
    )
    if not summary.finished:
        terminal.say("interrupted: what is done is kept, and the next run goes on from there")
    terminal.show(terminal.name(output / "index.html"))
