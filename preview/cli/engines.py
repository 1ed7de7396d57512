"""``foldstage engines``: which engines can draw on this computer."""

from __future__ import annotations

import argparse
import json

from preview.schemas import marked

from .terminal import Terminal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("--json", action="store_true", help="print JSON for a script")


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Try each engine; exit code 1 if none works."""
    from preview.drawing.render import engines

    states = engines()
    if args.json:
        data = [{"name": s.name, "works": s.works, "detail": s.detail} for s in states]
        terminal.show(json.dumps(marked("engines", {"engines": data}), indent=2))
    else:
        for state in states:
            works = "works" if state.works else "does not work here"
            terminal.show(f"{state.name}: {works}: {state.detail}")
    return 0 if any(state.works for state in states) else 1
