"""``foldstage film --course build``: a spread is put together, step by step."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from preview.errors import UseError
from preview.shot.asked import lying_for, mood_for

from .arguments import read_spread
from .film import make_film, refuse_others, targets
from .flat import say_what_stays_flat
from .plainer import say_what_gl_leaves_out
from .terminal import Terminal

if TYPE_CHECKING:
    from preview.course.course import BuildingCourse

# Options of films of the finished spread, and their values where they are left out.
_OTHERS: dict[str, Any] = {
    "action": "open-close",
    "opening": 180.0,
    "turn": 0.0,
    "views": None,
    "by_hand": [],
    "pause": [],
    "seconds": None,
    "view": "reader",
    "caption": "",
    "show_opening": False,
    "shutter": 0.0,
    "as_far": False,
}


def build(args: argparse.Namespace, path: Path, terminal: Terminal) -> int:
    """Make the film of a building course."""
    from meshes.building import proved
    from preview.course.kept import course_on_table
    from preview.films import building, frames
    from preview.parallel import crew

    refuse_others(args, _OTHERS, "with --course build there are --step-seconds and --steps")
    args.fps = args.fps or 20.0
    with crew(args.jobs, frames.prepare) as workers:
        spread = read_spread(args, terminal)
        with terminal.busy("looking for an order"):
            steps = proved(spread)
        first, last = args.steps or (1, len(steps))
        if last > len(steps):
            raise UseError(
                f"--steps {first}-{last}: allowed: 1 to {len(steps)}, the design's steps"
            )
        lying = lying_for(args.lying, spread.design.shots, "thicker")
        course = course_on_table(
            spread, steps, lying, last, lambda: terminal.progress(last, "planning steps")
        )
        if lying == "thicker" and course.table.lying == "both":
            terminal.show(
                "both halves of the notebook are tilted: more steps bend paper where one lies; "
                "--lying right or left has one half lie all the same"
            )
        _say_what_is_bent(course, first, terminal)
        say_what_gl_leaves_out(spread, args.engine, terminal)
        say_what_stays_flat(spread, "a building film does not show how", terminal)
        for target, size in targets(args, path):
            shot = building.shot_of(
                course,
                range(first - 1, last),
                len(steps),
                (args.step_seconds, args.fps),
                size,
                mood=mood_for(args.mood, args.table, spread.design.shots),
                engine=args.engine,
                quality=args.quality,
            )
            make_film(shot, shot.line, target, workers, terminal)
    return 0


def _say_what_is_bent(course: BuildingCourse, first: int, terminal: Terminal) -> None:
    """Name the steps in which a hand must lift or bend paper, and how far that is in the way."""
    for step in course.steps[first - 1 :]:
        if step.advice:
            deep = f" (no way without: {step.met[0].push:z.1f} mm)" if step.met else ""
            terminal.show(f"step {step.number}: {step.advice}{deep}")
