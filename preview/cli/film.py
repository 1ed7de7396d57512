"""``foldstage film``: the spread opens and closes."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from .arguments import (
    add_as_far,
    add_design,
    add_drawing,
    add_jobs,
    add_output,
    file_size,
    number,
    read_spread,
    report_findings,
)
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread
    from preview.film import Schedule


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_design(parser)
    add_output(
        parser,
        "the film; its ending chooses the format: .gif, .mp4, .webp or .apng "
        "(default: renders/NAME.gif)",
    )
    parser.add_argument(
        "--seconds",
        metavar="S",
        type=number(0.5, 120, "seconds"),
        default=5.0,
        help="length of the film, pauses included (default: 5)",
    )
    parser.add_argument(
        "--fps",
        metavar="N",
        type=number(1, 60, "frames per second"),
        default=20.0,
        help="frames per second (default: 20)",
    )
    add_drawing(parser, default_size=(640, 480), default_quality="film")
    add_jobs(parser)
    add_as_far(parser)


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Make the film."""
    from preview import encode, film

    path = terminal.path(args.output or f"renders/{Path(args.design).stem}.gif")
    encode.check_ending(path)
    spread = read_spread(args, terminal)
    schedule, motion, whole = _plan(args, spread, terminal)
    if schedule is None:
        return 1
    shot = film.shot_of(
        spread,
        motion,
        args.size,
        args.camera,
        mood=args.mood,
        engine=args.engine,
        quality=args.quality,
    )
    with (
        terminal.progress(len(schedule.openings), "drawing") as advance,
        film.drawn(shot, schedule.order, args.jobs, advance) as frames,
    ):
        encode.write(path, frames, schedule.fps)
    terminal.show(
        f"{terminal.name(path)}: {len(frames)} frames, {schedule.seconds:.1f} s, "
        f"{args.size[0]} × {args.size[1]}, {file_size(path)}"
    )
    return 0 if whole else 1


def _plan(
    args: argparse.Namespace, spread: Spread, terminal: Terminal
) -> tuple[Schedule | None, Motion, bool]:
    """The schedule, the motion at its poses, and whether the design opens and closes wholly.

    The schedule is None if there is nothing to film, or only a part that was not asked for.
    """
    from preview.film import longest_run, open_and_close

    schedule = open_and_close(args.seconds, args.fps)
    motion = spread.solve(schedule.openings)
    if report_findings(motion, terminal):
        return schedule, motion, True
    reach = longest_run(motion)
    if reach is None or not args.as_far:
        return None, motion, False
    terminal.say(
        f"filming from {np.degrees(reach[0]):.1f}° to {np.degrees(reach[1]):.1f}°, "
        "as far as it goes"
    )
    schedule = open_and_close(args.seconds, args.fps, *reach)
    return schedule, spread.solve(schedule.openings), False
