"""``foldstage plan``: where to put the camera for each shot, and what it will see."""

from __future__ import annotations

import argparse
import json
from fractions import Fraction
from pathlib import Path

from preview.errors import UseError
from preview.schemas import marked

from .arguments import (
    add_design,
    add_jobs,
    add_output,
    design_path,
    mood,
    number,
    read_spread,
    shape,
)
from .terminal import Terminal

BOARD_PIXELS = 480 * 270


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    from preview.drawing.render import QUALITIES
    from preview.shot.mood import MOODS
    from preview.shot.optics import SENSORS

    add_design(parser)
    add_output(
        parser, "a folder for plan.pdf, plan.html and plan.json (default: renders/NAME-plan)"
    )
    parser.add_argument(
        "--sensor",
        choices=SENSORS,
        default="aps-c",
        help="size of the camera's sensor (default: aps-c)",
    )
    parser.add_argument(
        "--lens",
        metavar="MM",
        type=number(4, 600, "mm"),
        default=35.0,
        help="true focal length of the lens, in mm (default: 35)",
    )
    parser.add_argument(
        "--f-number",
        metavar="N",
        type=number(0.7, 64),
        default=8.0,
        help="aperture, for the depth of field (default: 8)",
    )
    parser.add_argument(
        "--aspect",
        metavar="W:H",
        type=shape,
        default=Fraction(16, 9),
        help="shape of the film, such as 16:9, 9:16 or 1:1 (default: 16:9)",
    )
    parser.add_argument(
        "--mood",
        type=mood,
        choices=MOODS,
        default="daylight",
        help="light of the storyboard (default: daylight)",
    )
    parser.add_argument(
        "--quality",
        choices=QUALITIES,
        default="draft",
        help="how much time to spend on the storyboard (default: draft)",
    )
    add_jobs(parser)
    parser.add_argument("--json", action="store_true", help="print JSON, write no files")


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Work out the plan and write it."""
    from meshes.answers import Answers
    from meshes.export import write_whole
    from preview.films.frames import kept_films, prepare
    from preview.parallel import crew
    from preview.plan import paper, shots, storyboard
    from preview.shot.optics import SENSORS

    folder = terminal.path(args.output or f"renders/{Path(args.design).stem}-plan")
    aspect = float(args.aspect)
    gear = shots.Gear(SENSORS[args.sensor], args.lens, args.f_number, aspect)
    height = round((BOARD_PIXELS / aspect) ** 0.5)
    size = (2 * round(height * aspect / 2), height)
    # The other processes get ready while this one works out the shots.
    with crew(1 if args.json else args.jobs, prepare) as workers:
        answers = Answers(design_path(args.design, terminal), dict(args.values))
        spread = read_spread(args, terminal)
        try:
            with terminal.progress(shots.steps(spread), "looking for shots") as advance:
                plan = shots.plan(spread, gear, args.mood, advance, workers, answers)
        except ValueError as error:
            raise UseError(f"{args.design}: {error}") from None
        if args.json:
            terminal.show(json.dumps(marked("plan", paper.as_data(plan)), indent=2))
            return 0
        with terminal.progress(storyboard.count(plan), "drawing") as advance:
            boards = storyboard.draw(
                spread,
                plan,
                size,
                args.mood,
                quality=args.quality,
                workers=workers,
                advance=advance,
                kept=kept_films(),
            )
    write_whole(folder / "plan.pdf", paper.as_pdf(plan, boards))
    write_whole(folder / "plan.html", paper.as_page(plan, boards).encode())
    data = json.dumps(marked("plan", paper.as_data(plan)), indent=2) + "\n"
    write_whole(folder / "plan.json", data.encode())
    for shot in plan.shots:
        facts = dict(paper.facts(shot))
        terminal.show(f"{shot.name}: {facts['Distance']}; {facts['Lens']}; {facts['Tilt']}")
        for line in paper.warnings(shot):
            terminal.show(f"  {line}")
    for name in ("plan.pdf", "plan.html", "plan.json"):
        terminal.show(terminal.name(folder / name))
    return 0
