"""``foldstage still``: one picture at one opening."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

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
    number,
    opening_deg,
    read_spread,
    report_findings,
)
from .plainer import say_what_gl_leaves_out
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.spread import Spread
    from preview.shot.optics import LensStop


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    from preview.shot.optics import SENSORS

    add_design(parser)
    add_output(parser, "the picture, .png, .jpg or .webp (default: renders/NAME-OPENING.png)")
    parser.add_argument(
        "--opening",
        metavar="DEG",
        type=opening_deg,
        help="how far the spread is open, 0 closed to 180 flat (default: 140, or where the shot of "
        "the design ends that --view names)",
    )
    parser.add_argument(
        "--by-hand",
        metavar="PIECE=SHARE",
        type=_by_hand,
        action="append",
        default=[],
        help="how far a wheel, slide or page is moved by hand, 0 to 1; may be given several times",
    )
    add_drawing(parser, default_size=(1280, 960), default_quality="still")
    parser.add_argument(
        "--f-number",
        metavar="N",
        type=number(0.7, 64),
        help="aperture, for the depth of field of a picture in the quality still or fine "
        "(default: all of it is sharp)",
    )
    parser.add_argument(
        "--sensor",
        choices=SENSORS,
        default="aps-c",
        help="size of the camera's sensor, for the depth of field (default: aps-c)",
    )
    add_jobs(parser)


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Draw the picture."""
    from meshes.drive import DriveError
    from preview.drawing.render import parts
    from preview.films.frames import prepare
    from preview.parallel import crew
    from preview.pictures import still

    if args.f_number and args.quality not in ("still", "fine"):
        raise UseError(
            f"--f-number: a picture in the quality {args.quality} is sharp all over; "
            "try --quality still"
        )
    if args.f_number and args.engine == "gl":
        raise UseError("--f-number: the gl engine draws all of it sharp; try --engine ray")
    if args.output:
        still.check_ending(terminal.path(args.output))
    # A draft is drawn before another process would have started.
    jobs = args.jobs if args.quality in ("still", "fine") else 1
    with crew(jobs, prepare) as workers:
        spread = read_spread(args, terminal)
        opening_deg = _opening_deg(args, spread)
        name = f"renders/{Path(args.design).stem}-{opening_deg:g}.png"
        path = terminal.path(args.output or name)
        try:
            with terminal.busy("solving"):
                motion = spread.solve(np.radians([opening_deg]), dict(args.by_hand))
        except DriveError as error:
            raise UseError(f"--by-hand: {error}") from None
        if not report_findings(motion, terminal):
            return 1
        say_what_gl_leaves_out(spread, args.engine, terminal)
        # All parts of the picture, and then the picture.
        total = parts(args.engine, args.quality, workers) + 1
        with terminal.progress(total, "drawing") as advance:
            picture = still.picture(
                spread,
                motion,
                args.size,
                args.view,
                workers,
                advance,
                _stop(args),
                mood=mood_for(args.mood, args.table, spread.design.shots, [args.view]),
                lying=lying_for(args.lying, spread.design.shots, "both", [args.view]),
                engine=args.engine,
                quality=args.quality,
            )
            advance()
    still.save(picture, path)
    terminal.show(f"{terminal.name(path)}: {args.size[0]} × {args.size[1]}, {file_size(path)}")
    return 0


def _opening_deg(args: argparse.Namespace, spread: Spread) -> float:
    """Degrees; UseError if there is no view of that name."""
    shots = spread.design.shots
    known_view(args.view, shots)
    if args.opening is None and args.view in shots:
        return round(float(np.degrees(shots[args.view].to_opening)), 6)
    return 140.0 if args.opening is None else float(args.opening)


def _stop(args: argparse.Namespace) -> LensStop | None:
    from preview.shot.optics import SENSORS, LensStop

    return LensStop(SENSORS[args.sensor], args.f_number) if args.f_number else None


def _by_hand(text: str) -> tuple[str, float]:
    name, equals, share = text.partition("=")
    if not equals or not name:
        raise argparse.ArgumentTypeError(f"expected PIECE=SHARE such as wheel=0.5, got {text!r}")
    return name, number(0, 1)(share)
