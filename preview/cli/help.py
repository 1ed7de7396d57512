"""``foldstage help``: the keys of one kind of piece, outline or table, or the sheet of a kind."""

from __future__ import annotations

import argparse

from preview.errors import UseError

from .arguments import file_size
from .terminal import Terminal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "topic",
        metavar="WORD",
        nargs="?",
        help="a kind, a shape or a table, such as v-fold, petal or papers; else all are listed",
    )
    parser.add_argument(
        "--sheet",
        metavar="FILE",
        help="draw the sheet of a kind of piece instead: how it moves, its flat sheets with every "
        "measure, what stands well on it, what goes wrong; .pdf, .svg, .png, .jpg or .webp",
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Print the tables, or what can be asked about."""
    from meshes.design.mistakes import nearest
    from meshes.design.reference import topics

    known = topics()
    if args.topic is None:
        if args.sheet:
            raise UseError("--sheet draws one kind of piece; try help v-fold --sheet v-fold.pdf")
        terminal.show("\n".join(known))
        terminal.say("next: foldstage help WORD, with one of these")
        return 0
    if args.topic not in known:
        near = nearest(args.topic, known)
        meant = f"did you mean {near}?" if near else "foldstage help lists the words"
        raise UseError(f"nothing is called {args.topic!r} in a design file; {meant}")
    if args.sheet:
        return _sheet(args, terminal)
    terminal.show(_set_out(known[args.topic] + _to_paste(args.topic), terminal))
    return 0


def _sheet(args: argparse.Namespace, terminal: Terminal) -> int:
    """Draw the sheet of a kind."""
    from meshes.pieces import KINDS

    if args.topic not in KINDS:
        kinds = ", ".join(KINDS)
        raise UseError(f"--sheet: {args.topic!r} is no kind of piece; kinds: {kinds}")
    from preview.kinds import files
    from preview.kinds.sheet import sheet

    path = terminal.path(args.sheet)
    files.check_ending(path)
    with terminal.busy("drawing"):
        files.write(sheet(args.topic), path)
    terminal.show(f"{terminal.name(path)}: {file_size(path)}")
    return 0


def _to_paste(topic: str) -> str:
    """For a kind of piece one to begin with, and how to get its sheet; in Markdown."""
    from meshes import designs
    from meshes.pieces import KINDS

    if topic not in KINDS:
        return ""
    pasted = f"One to paste into a design and change:\n\n```toml\n{designs.snippet(topic)}\n```"
    drawn = (
        f"`foldstage help {topic} --sheet {topic}.pdf` draws it: shut, half open and open, its "
        "flat sheets with every measure, what stands well on it, and what goes wrong."
    )
    return f"\n\n{pasted}\n\n{drawn}"


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
