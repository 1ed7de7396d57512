"""``foldstage new``: a small commented design to start from."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from meshes import designs
from preview.errors import UseError

from .terminal import Terminal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("name", metavar="NAME", help="name of the design; writes NAME.toml")
    parser.add_argument(
        "-f", "--force", action="store_true", help="replace a file of that name if there is one"
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the design."""
    from meshes.export import write_whole

    name = args.name.removesuffix(".toml")
    path = terminal.path(f"{name}.toml")
    if not Path(name).name or any(ord(letter) < 32 for letter in name):
        raise UseError(f"{args.name!r} is not a name for a file; try: foldstage new my-spread")
    if path.is_dir() or (path.exists() and not args.force):
        raise UseError(f"{terminal.name(path)} is there already; take another name, or --force")
    text = designs.start(_as_text(Path(name).name), _as_text(terminal.name(path)))
    write_whole(path, text.encode())
    terminal.show(terminal.name(path))
    terminal.say(f"next: foldstage film {terminal.name(path)}")
    return 0


def _as_text(name: str) -> str:
    """A name as the file can hold it: a locale without its letters gives bytes (PEP 383)."""
    return os.fsencode(name).decode(errors="replace")
