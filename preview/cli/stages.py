"""``foldstage stages``: chosen openings side by side in one picture."""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np

from preview.errors import UseError
from preview.shot.asked import lying_for, mood_for
from preview.shot.standing import known_view

from .arguments import (
    add_design,
    add_drawing,
    add_jobs,
    add_output,
    file_size,
    opening_deg,
    read_spread,
    report_findings,
    whole,
)
from .plainer import say_what_gl_leaves_out
from .terminal import Terminal

MOST = 64


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_design(parser)
    add_output(parser, "the picture, .png, .jpg or .webp (default: renders/NAME-stages.png)")
    parser.add_argument(
        "--openings",
        metavar="DEG,DEG,…",
        type=_openings,
        default=[0.0, 30.0, 60.0, 90.0, 135.0, 180.0],
        help="how far the spread is open in each picture (default: 0,30,60,90,135,180)",
    )
    parser.add_argument(
        "--columns", metavar="N", type=whole(1, MOST), help="pictures in a row (default: all)"
    )
    add_drawing(parser, default_size=(480, 360), default_quality="film")
    add_jobs(parser)


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Draw the stages; `--size` is that of one picture in it."""
    from preview.films.frames import kept_films
    from preview.pictures import stages, still

    path = terminal.path(args.output or f"renders/{Path(args.design).stem}-stages.png")
    still.check_ending(path)
    spread = read_spread(args, terminal)
    shots = spread.design.shots
    known_view(args.view, shots)
    openings = np.unique(np.radians(args.openings))
    with terminal.busy("solving"):
        motion = spread.solve(openings)
    if not report_findings(motion, terminal):
        return 1
    say_what_gl_leaves_out(spread, args.engine, terminal)
    with terminal.progress(len(openings), "drawing") as advance:
        picture = stages.draw(
            spread,
            np.radians(args.openings),
            args.size,
            args.columns,
            args.view,
            args.jobs,
            advance,
            kept_films(),
            mood=mood_for(args.mood, args.table, shots, [args.view]),
            lying=lying_for(args.lying, shots, "both", [args.view]),
            engine=args.engine,
            quality=args.quality,
        )
    still.save(picture, path)
    rows, columns = picture.shape[:2]
    terminal.show(
        f"{terminal.name(path)}: {len(args.openings)} stages, {columns} × {rows}, {file_size(path)}"
    )
    return 0


def _openings(text: str) -> list[float]:
    openings = [opening_deg(word) for word in text.split(",")]
    if len(openings) > MOST:
        raise UseError(f"--openings: found {len(openings)}, allowed: up to {MOST}")
    return openings
