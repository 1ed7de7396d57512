"""``foldstage view``: open the spread by hand, in the browser, in a file or in a window."""

from __future__ import annotations

import argparse
import webbrowser
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from preview.errors import UseError

from .arguments import add_design, design_path, file_size, read_spread, report_findings, whole
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.fit import Report
    from meshes.motion.result import Motion
    from meshes.spread import Spread
    from preview.viewer.watch import Build


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_design(parser)
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--save",
        metavar="PAGE.html",
        help="write one page that needs neither network nor server, to send or to publish",
    )
    where.add_argument(
        "--desktop", action="store_true", help="show a window of its own instead (needs a display)"
    )
    parser.add_argument(
        "--port",
        type=whole(0, 65535),
        default=0,
        metavar="N",
        help="port of the page's server on this machine (default: a free one)",
    )
    parser.add_argument(
        "--findings", action="store_true", help="list the fit report in the saved page too"
    )
    parser.add_argument(
        "--no-browser", action="store_true", help="print the address and open no browser"
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the spread."""
    if args.save:
        return _save(args, terminal)
    if args.desktop:
        return _desktop(args, terminal)
    return _serve(args, terminal)


def _save(args: argparse.Namespace, terminal: Terminal) -> int:
    from preview.viewer.page import save
    from preview.viewer.payload import film_cameras, payload

    spread = read_spread(args, terminal)
    motion = _moving(spread)
    report = _report(spread, motion) if args.findings else None
    path = terminal.path(args.save)
    save(path, payload(spread, motion, report, cameras=film_cameras(spread)))
    terminal.show(f"{terminal.name(path)} ({file_size(path)})")
    return 0 if report_findings(motion, terminal) else 1


def _desktop(args: argparse.Namespace, terminal: Terminal) -> int:
    from preview.window import show

    spread = read_spread(args, terminal)
    motion = _moving(spread)
    whole_way = report_findings(motion, terminal)
    show(spread, motion)
    return 0 if whole_way else 1


def _serve(args: argparse.Namespace, terminal: Terminal) -> int:
    from preview.viewer.server import Server
    from preview.viewer.watch import Watcher

    path = design_path(args.design, terminal)
    watcher = Watcher(lambda: _build(args, terminal, path))
    try:
        server = Server(watcher, args.port)
    except OSError as error:
        raise UseError(f"port {args.port} is taken; leave --port out for a free one") from error
    terminal.show(server.address)
    terminal.stdout.flush()
    terminal.say("The page follows the design file; press Ctrl-C to end.")
    if not args.no_browser:
        webbrowser.open(server.address)
    watcher.start()
    try:
        server.serve_forever(poll_interval=0.2)
    except KeyboardInterrupt:
        terminal.say("")  # the shell's prompt goes on a line of its own
    finally:
        watcher.stop()
        server.server_close()
    return 0


def _build(args: argparse.Namespace, terminal: Terminal, path: Path) -> Build:
    """What moves at once; what takes longer, the fit report and the film plan, a little later."""
    from preview.viewer.payload import film_cameras, payload
    from preview.viewer.watch import Build, named_files

    spread = read_spread(args, terminal)
    motion = _moving(spread)

    def complete() -> dict[str, Any]:
        report = _report(spread, motion)
        return payload(spread, motion, report, cameras=film_cameras(spread))

    return Build(payload(spread, motion, quick=True), (path, *named_files(path)), complete)


def _report(spread: Spread, motion: Motion) -> Report:
    from meshes import fit
    from preview.fit_report import film_eye

    case = fit.case_of(spread, motion)
    return fit.check(case, spread.design.check, film_eye(spread, motion))


def _moving(spread: Spread) -> Motion:
    """The motion in steps of 1°; UseError if there is none to show."""
    motion = spread.solve(np.radians(np.arange(181.0)))
    if int(motion.solved.sum()) < 2:
        reasons = "; ".join(finding.reason for finding in motion.findings)
        raise UseError(f"this design does not move, so there is nothing to view: {reasons}")
    return motion
