"""``foldstage help``: the keys of one kind of piece, one outline or one table of a design file."""

from __future__ import annotations

import argparse

from preview.errors import UseError

from .terminal import Terminal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "topic",
        metavar="WORD",
        nargs="?",
        help="a kind, a shape or a table, such as v-fold, petal or papers; else all are listed",
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Print the tables, or what can be asked about."""
    from meshes.design.mistakes import nearest
    from meshes.design.reference import topics

    known = topics()
    if args.topic is None:
        terminal.show("\n".join(known))
        terminal.say("next: foldstage help WORD, with one of these")
        return 0
    if args.topic not in known:
        near = nearest(args.topic, known)
        meant = f"did you mean {near}?" if near else "foldstage help lists the words"
        raise UseError(f"nothing is called {args.topic!r} in a design file; {meant}")
    terminal.show(_set_out(known[args.topic], terminal))
    return 0


def _set_out(text: str, terminal: Terminal) -> str:
    """The Markdown as it is for a script or a pager, laid out where a person reads it."""
    if not terminal.live:
        return text
    from rich.console import Console
    from rich.markdown import Markdown
    from rich.theme import Theme

    # Names of keys stand on the terminal's own ground, light or dark.
    look = Theme({"markdown.code": "bold cyan", "markdown.h4": "bold"})
    console = Console(no_color=not terminal.colour, force_terminal=terminal.colour, theme=look)
    with console.capture() as laid_out:
        console.print(Markdown(text))
    return laid_out.get().rstrip()
