"""``foldstage catalog``: a folder of designs as a shop's page, and a private page of figures."""

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
    from preview.catalog.shop import Shop
    from preview.catalog.store import Row
    from preview.catalog.variants import Table as Variants

FILMS = ("mp4", "gif", "webp", "png", "none")
INTERRUPTED = 130
# In the folder of designs: what the shop says.
SHOP_FILE = "shop.toml"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("folder", metavar="FOLDER", help="a folder with designs, at any depth")
    parser.description = (
        "Make a shop's page of a folder of designs, in OUTPUT/shop, which may be published as it "
        "is, and a private page with file names and what the check found, in OUTPUT/private. A "
        "second run makes anew only what has changed."
    )
    add_output(parser, "where both go (default: FOLDER/catalog)")
    parser.add_argument(
        "--shop",
        metavar="FILE",
        help="what the shop says: title, introduction, prices, links (default: FOLDER/shop.toml, "
        "if there is one)",
    )
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
        default=(600, 400),
        help="size of the films, in pixels; stills have twice as many (default: 600x400)",
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
        help="quality of films and stills (default: film)",
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Bring the catalog up to date."""
    folder = terminal.path(args.folder)
    if not folder.is_dir():
        raise UseError(f"{args.folder}: is not a folder; try: a folder that holds designs (.toml)")
    output = terminal.path(args.output) if args.output else folder / "catalog"
    from meshes.errors import DesignError
    from preview.catalog.run import forget_if_empty
    from preview.catalog.run import run as bring_up_to_date
    from preview.catalog.task import Settings, find_designs

    shop_file = _shop_file(args, folder, terminal)
    leave_out = [folder / SHOP_FILE, *([shop_file] if shop_file else [])]
    if next(find_designs(folder, output, *leave_out), None) is None:
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
    shop = _shop(shop_file, terminal)
    tables = [_variants(text, folder, terminal) for text in args.variants]
    is_new = not output.exists()
    try:
        with _told(terminal) as watch:
            summary = bring_up_to_date(
                folder, output, settings, _workers(args), tables, watch, shop, leave_out
            )
    except (OSError, DesignError):
        if is_new:
            forget_if_empty(output)
        raise
    _report(summary, output, terminal)
    if not summary.finished:
        return INTERRUPTED
    return 1 if summary.failed else 0


def _shop_file(args: argparse.Namespace, folder: Path, terminal: Terminal) -> Path | None:
    """Where it stands what the shop says; None if nowhere."""
    if args.shop:
        path = terminal.path(args.shop)
        if not path.is_file():
            raise UseError(f"--shop {args.shop}: there is no such file")
        return path
    usual = folder / SHOP_FILE
    return usual if usual.is_file() else None


def _shop(path: Path | None, terminal: Terminal) -> Shop | None:
    from preview.catalog import shop

    return None if path is None else shop.read(path, terminal.name(path))


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
    from preview.catalog.run import PRIVATE, SHOP

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
    shop, private = (terminal.name(output / name / "index.html") for name in (SHOP, PRIVATE))
    terminal.show(f"the shop, to publish as it is: {shop}")
    terminal.show(f"for you alone, with file names and reasons: {private}")
