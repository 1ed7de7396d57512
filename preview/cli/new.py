"""``foldstage new``: a design to start from: commented, with one piece, blank, or a copy."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path

from meshes import designs
from preview.errors import UseError

from .terminal import Terminal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("name", metavar="NAME", help="name of the design; writes NAME.toml")
    how = parser.add_mutually_exclusive_group()
    how.add_argument(
        "--kind",
        metavar="KIND",
        help="begin with one piece, fit for the page: flower, tower, scene (a balloon over hills), "
        "or any kind of piece, such as v-fold, tent or box",
    )
    how.add_argument(
        "--like",
        metavar="DESIGN",
        help="copy this design (.toml, or the name of a shipped one) with the files that it names",
    )
    parser.add_argument(
        "--page",
        metavar="SIZE",
        help="size of a page: A5, B6, letter … or WIDTHxHEIGHT in mm (default: A5); without "
        "--kind, a blank notebook of that size",
    )
    parser.add_argument(
        "-f", "--force", action="store_true", help="replace a file of that name if there is one"
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the design."""
    from preview import begin

    name = args.name.removesuffix(".toml")
    path = terminal.path(f"{name}.toml")
    if not Path(name).name or any(ord(letter) < 32 for letter in name):
        raise UseError(f"{args.name!r} is not a name for a file; try: foldstage new my-spread")
    if path.is_dir() or (path.exists() and not args.force):
        raise UseError(f"{terminal.name(path)} is there already; take another name, or --force")
    if args.like and args.page:
        raise UseError("--like copies the page of the design too; leave out --page")
    own = Path(name).name
    files: Mapping[str, bytes] = {}
    if args.like:
        from .arguments import design_path

        text, files = begin.like(design_path(args.like, terminal), begin.titled(own))
    elif args.kind:
        from preview import starter

        shown = begin.as_text(terminal.name(path))
        with terminal.busy("trying sizes"):
            text, files = starter.started(begin.titled(own), shown, args.kind, args.page or "A5")
    elif args.page:
        text = begin.blank(begin.titled(own), args.page)
    else:
        text = designs.start(begin.as_text(own), begin.as_text(terminal.name(path)))
    begin.write(path, text, files, replace=args.force)
    terminal.show(terminal.name(path))
    step = "view" if args.page and not args.kind else "film"
    terminal.say(f"next: foldstage {step} {terminal.name(path)}")
    return 0
