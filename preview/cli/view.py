"""``foldstage view``: open the spread by hand, in the browser, in a file or in a window."""

from __future__ import annotations

import argparse
import socket
import webbrowser
from functools import partial

from preview.errors import UseError

from .arguments import (
    add_design,
    design_path,
    file_size,
    is_shipped,
    read_spread,
    report_findings,
    whole,
)
from .terminal import Terminal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_design(parser, without="left out, a page to begin one, or to open one seen lately")
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
        "--findings", action="store_true", help="show what the check found in the saved page too"
    )
    parser.add_argument(
        "--course",
        action="store_true",
        help="let the saved page play how the spread is built (planning takes a while)",
    )
    parser.add_argument(
        "--no-browser", action="store_true", help="print the address and open no browser"
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Show the spread."""
    if not args.design:
        if args.save or args.desktop or args.values:
            raise UseError("which design? DESIGN may be left out only without --save and the like")
        return _begin(args, terminal)
    if args.save:
        return _save(args, terminal)
    if args.desktop:
        return _desktop(args, terminal)
    return _serve(args, terminal)


def _save(args: argparse.Namespace, terminal: Terminal) -> int:
    from meshes.motion.memory import Memory
    from preview.viewer.follow import moving
    from preview.viewer.page import save
    from preview.viewer.payload import check_findings, check_report, to_send

    spread, memory = read_spread(args, terminal), Memory()
    with terminal.busy("solving"):
        motion = moving(spread, memory)
    scene = to_send(spread, motion, memory)
    if args.findings:
        scene |= {"findings": check_findings(check_report(spread, motion)), "checked": True}
    if args.course:
        from preview.viewer.course import built

        with terminal.busy("planning steps"):
            scene |= {"course": built(spread)}
    path = terminal.path(args.save)
    save(path, scene)
    terminal.show(f"{terminal.name(path)} ({file_size(path)})")
    return 0 if report_findings(motion, terminal) else 1


def _desktop(args: argparse.Namespace, terminal: Terminal) -> int:
    from meshes.motion.memory import Memory
    from preview.viewer.follow import moving
    from preview.window import show

    spread = read_spread(args, terminal)
    motion = moving(spread, Memory())
    whole_way = report_findings(motion, terminal)
    show(spread, motion)
    return 0 if whole_way else 1


def _begin(args: argparse.Namespace, terminal: Terminal) -> int:
    """Serve the first page, then the design that is chosen there."""
    from preview.viewer.first import First

    try:
        server = First(terminal.path("."), args.port)
    except OSError as error:
        raise UseError(f"port {args.port} is taken; leave --port out for a free one") from error
    terminal.show(server.address)
    terminal.flush()
    terminal.say("Choose what to begin with in the page; press Ctrl-C to end.")
    if not args.no_browser:
        webbrowser.open(server.address)
    try:
        server.serve_forever(poll_interval=0.2)
    except KeyboardInterrupt:
        terminal.say("")
    if server.chosen is None:
        server.server_close()
        return 0
    args.design, args.no_browser = str(server.chosen), True
    terminal.say(terminal.name(server.chosen))
    return _serve(args, terminal, server.socket)


def _serve(
    args: argparse.Namespace, terminal: Terminal, listening: socket.socket | None = None
) -> int:
    from preview.viewer.desk import Desk
    from preview.viewer.errands.queue import Errands
    from preview.viewer.follow import Follower
    from preview.viewer.recent import remember
    from preview.viewer.server import Server
    from preview.viewer.watch import Watcher

    path = design_path(args.design, terminal)
    # What --set has changed is not what the file says, and a shipped design belongs to all: such
    # files are shown and left alone.
    shipped = is_shipped(path)
    hers = not args.values and not shipped
    desk: Desk | None = None
    read = partial(read_spread, args, terminal, blank=True)
    # What a page has just made is read already.
    follower = Follower(path, lambda: (desk and desk.fresh()) or read(), hers)
    watcher = Watcher(follower.build)
    desk = Desk(path) if hers else None
    text_of = desk.text_of if desk else lambda made: path.read_text("utf-8")
    settings = [f"{name}={value}" for name, value in args.values]
    errands = Errands(path, text_of, settings, keeps=not shipped, tell=watcher.tell)
    answers = {**follower.answers(), **errands.answers(), **(desk.answers() if desk else {})}
    news = desk.news if desk else None
    try:
        server = Server(watcher, args.port, answers, news, listening, errands)
    except OSError as error:
        raise UseError(f"port {args.port} is taken; leave --port out for a free one") from error
    if not shipped:
        remember(path)
    if listening is None:
        terminal.show(server.address)
        terminal.flush()
    terminal.say("The page follows the design file; press Ctrl-C to end.")
    if shipped:
        terminal.say(f"to make it yours: foldstage new my-{path.stem} --like {path.stem}")
    if not args.no_browser:
        webbrowser.open(server.address)
    watcher.start()
    try:
        server.serve_forever(poll_interval=0.2)
    except KeyboardInterrupt:
        terminal.say("")  # the shell's prompt goes on a line of its own
    finally:
        watcher.stop()
        errands.close()
        follower.close()
        server.server_close()
        if desk is not None:
            desk.close()
    return 0
