"""``foldstage film``: the spread opens and closes, or turns, in one format or several aspects."""

from __future__ import annotations

import argparse
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from preview.drawing.contrast import FLASHES_ALLOWED
from preview.errors import UseError
from preview.shot.asked import lying_for, mood_for
from preview.shot.standing import known_view

from .arguments import (
    add_as_far,
    add_design,
    add_drawing,
    add_jobs,
    add_output,
    aspects,
    file_size,
    number,
    opening_deg,
    read_spread,
    report_findings,
)
from .plainer import say_what_gl_leaves_out
from .terminal import Terminal

# Of a story that is left to itself. Our choice.
STORY_S, STORY_FPS = 22.0, 25.0
# Of a film that turns a page first, likewise.
TURN_S, TURN_FPS = 8.0, 25.0
# Options that films with a course of their own do not take, and their values where they are left
# out.
_NOT_OF_TURN: dict[str, Any] = {
    "action": "open-close",
    "turn": 0.0,
    "views": None,
    "by_hand": [],
    "pause": [],
    "lying": None,
    "shutter": 0.0,
}
_NOT_OF_STORY: dict[str, Any] = {
    "action": "open-close",
    "turn": 0.0,
    "views": None,
    "view": "reader",
    "by_hand": [],
    "pause": [],
}
# Flashes are areas: every so many pixels of a frame tell of them. Our choice.
_SPARSE = 4

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.others import Others
    from meshes.spread import Spread
    from preview.course.timeline import Timeline
    from preview.films.building import Building
    from preview.films.film import Filming
    from preview.parallel import Crew
    from preview.shot.schedule import Schedule


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_design(parser)
    add_output(
        parser,
        "the film; its ending chooses the format: .gif, .mp4, .webp or .apng "
        "(default: renders/NAME.gif, of another course renders/NAME-COURSE.mp4)",
    )
    _add_course(parser)
    _add_action(parser)
    _add_timing(parser)
    parser.add_argument("--caption", metavar="TEXT", default="", help="a line of text in the film")
    parser.add_argument(
        "--show-opening", action="store_true", help="show the opening angle in the film"
    )
    parser.add_argument(
        "--aspects",
        metavar="W:H,W:H,…",
        type=aspects,
        help="several films at once, such as 1:1,16:9,9:16, each with the shorter side of --size; "
        "their names get -1x1, -16x9, -9x16",
    )
    parser.add_argument(
        "--shutter",
        metavar="DEG",
        type=number(0, 360, "degrees"),
        default=0.0,
        help="blur what moves, as a camera does whose shutter is open for a part of each frame's "
        "time: 360 is all of it, 180 half as in most films (default: 0, no blur)",
    )
    add_drawing(parser, default_size=(640, 480), default_quality="film", usual_lying="thicker")
    add_jobs(parser)
    add_as_far(parser)


def _add_course(parser: argparse.ArgumentParser) -> None:
    """Whether the spread is filmed, or how it is built."""
    parser.add_argument(
        "--course",
        choices=("spread", "story", "page-turn", "build"),
        default="spread",
        help="spread: the finished spread moves; story: closed cover, opening, slow turn, "
        "close-up and closing, with cuts between; page-turn: the notebook is open a page earlier, "
        "that page is turned and then the spread opens; build: it is put together, every step of "
        "the guide as motion (default: spread)",
    )
    parser.add_argument(
        "--step-seconds",
        metavar="S",
        type=number(0.5, 60, "seconds"),
        default=4.0,
        help="with --course build: how long each step takes (default: 4)",
    )
    parser.add_argument(
        "--steps",
        metavar="N-M",
        type=_steps,
        help="with --course build: only these steps, such as 5-9 or 7",
    )


def _add_action(parser: argparse.ArgumentParser) -> None:
    """What moves in the film, when, and for how long."""
    from preview.shot.camera import VIEWS
    from preview.shot.schedule import ACTIONS

    parser.add_argument(
        "--action",
        choices=ACTIONS,
        default="open-close",
        help="; ".join(f"{name}: the spread {text}" for name, text in ACTIONS.items())
        + " (default: open-close)",
    )
    parser.add_argument(
        "--opening",
        metavar="DEG",
        type=opening_deg,
        default=180.0,
        help="how far it opens, or stands open (default: 180)",
    )
    parser.add_argument(
        "--turn",
        metavar="DEG",
        type=number(-3600, 3600, "degrees"),
        default=0.0,
        help="turn the table by this much during the film; 360 loops",
    )
    parser.add_argument(
        "--views",
        metavar="VIEW,VIEW,…",
        type=_views,
        help="let the camera travel between these views instead of standing at --view "
        f"({', '.join(VIEWS)}, or names of the design's [shots])",
    )
    parser.add_argument(
        "--by-hand",
        metavar="PIECE[:S],…",
        type=_moves,
        action="append",
        default=[],
        help="move these wheels, slides or pages by hand meanwhile, one after the other, each for "
        "so many seconds or for an equal share of the time; best with --action stand; given "
        "several times, they move at the same time",
    )
    parser.add_argument(
        "--pause",
        metavar="DEG:S",
        type=_pause,
        action="append",
        default=[],
        help="stop at this opening for so many seconds; may be given several times",
    )


def _add_timing(parser: argparse.ArgumentParser) -> None:
    """How long it lasts and how smooth it is."""
    parser.add_argument(
        "--seconds",
        metavar="S",
        type=number(0.5, 120, "seconds"),
        help="length of the film, pauses included (default: 5; of a story 22, from 15 to 30; of a "
        "page-turn 8)",
    )
    parser.add_argument(
        "--fps",
        metavar="N",
        type=number(1, 60, "frames per second"),
        help="frames per second (default: 20, of a story or page-turn 25)",
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Make the film."""
    from preview.films import encode, frames
    from preview.parallel import crew

    name = Path(args.design).stem
    usual = f"{name}.gif" if args.course == "spread" else f"{name}-{args.course}.mp4"
    path = terminal.path(args.output or f"renders/{usual}")
    encode.check_ending(path)
    if args.course == "build":
        from .film_building import build

        return build(args, path, terminal)
    _fill_in(args)
    with crew(args.jobs, frames.prepare) as workers:
        spread = read_spread(args, terminal)
        for view in args.views or [args.view]:
            known_view(view, spread.design.shots)
        schedule, motion, whole = _plan(args, spread, terminal, workers)
        if schedule is None:
            return 1
        say_what_gl_leaves_out(spread, args.engine, terminal)
        for target, size in targets(args, path):
            shot = _shot(args, spread, schedule, size, motion)
            make_film(shot, schedule, target, workers, terminal)
    return 0 if whole else 1


def _fill_in(args: argparse.Namespace) -> None:
    """What was left out; UseError if something does not go with the course."""
    if args.course == "story":
        refuse_others(args, _NOT_OF_STORY, "with --course story there is --seconds")
    if args.course == "page-turn":
        refuse_others(args, _NOT_OF_TURN, "with --course page-turn there are --seconds and --view")
    usual = {"story": (STORY_S, STORY_FPS), "page-turn": (TURN_S, TURN_FPS)}
    seconds, fps = usual.get(args.course, (5.0, 20.0))
    args.seconds = args.seconds or seconds
    args.fps = args.fps or fps


def refuse_others(args: argparse.Namespace, usual: Mapping[str, Any], but: str) -> None:
    """UseError if an option is given that only films of the moving spread have.

    Parameters
    ----------
    usual : these options and their values where they are left out.
    but : what there is instead.
    """
    for name, value in usual.items():
        if getattr(args, name) != value:
            option = {"as_far": "as-far-as-it-goes"}.get(name, name.replace("_", "-"))
            raise UseError(f"--{option} is for films of the finished spread; {but}")


def _shot(
    args: argparse.Namespace,
    spread: Spread,
    schedule: Schedule,
    size: tuple[int, int],
    motion: Motion,
) -> Filming:
    from preview.films import film, story

    if args.course == "story":
        return story.shot_for(spread, schedule, size, motion, **_settings(args, spread, []))
    views = args.views or [args.view]
    settings = _settings(args, spread, views)
    if args.course == "page-turn":
        return film.leafed_for(spread, schedule, size, args.view, motion, **settings)
    return film.shot_for(spread, schedule, size, views, motion=motion, **settings)


def _settings(args: argparse.Namespace, spread: Spread, views: Sequence[str]) -> dict[str, Any]:
    shots = spread.design.shots
    return {
        "mood": mood_for(args.mood, args.table, shots, views),
        "lying": lying_for(args.lying, shots, "thicker", views),
        "engine": args.engine,
        "quality": args.quality,
        "caption": args.caption,
        "marked": args.show_opening,
    }


def make_film(
    shot: Filming | Building,
    schedule: Schedule | Timeline,
    path: Path,
    workers: Crew,
    terminal: Terminal,
) -> None:
    """Draw and write one film, going on where an interrupted one has stopped."""
    from preview.films import encode
    from preview.films.frames import drawn, kept_films

    with (
        terminal.progress(shot.poses, f"drawing {path.name}") as advance,
        drawn(shot, schedule.order, workers, advance, kept_films()) as frames,
    ):
        encode.write(path, frames, schedule.fps)
        flashes = _flashes(frames, schedule.fps)
    if flashes:
        terminal.say(
            f"warning: {terminal.name(path)} flashes {flashes} times within a second, which can "
            f"bring on seizures; WCAG 2.2 allows {FLASHES_ALLOWED} (2.3.1); try more --seconds"
        )
    terminal.show(
        f"{terminal.name(path)}: {len(frames)} frames, {schedule.seconds:z.1f} s, "
        f"{shot.size[0]} × {shot.size[1]}, {file_size(path)}"
    )


def _flashes(frames: Sequence[np.ndarray], fps: float) -> int:
    """How often a film flashes within a second, if that is more than is allowed; else 0."""
    from preview.drawing.contrast import most_flashes

    found = most_flashes((frame[::_SPARSE, ::_SPARSE] for frame in frames), fps)
    return found if found > FLASHES_ALLOWED else 0


def targets(args: argparse.Namespace, path: Path) -> list[tuple[Path, tuple[int, int]]]:
    """Each film's file and size in pixels, even numbers as video wants them."""
    if not args.aspects:
        return [(path, args.size)]
    side = min(args.size)
    found = []
    for aspect in args.aspects:
        long = 2 * round(side * float(max(aspect, 1 / aspect)) / 2)
        size = (long, side) if aspect >= 1 else (side, long)
        name = f"{path.stem}-{aspect.numerator}x{aspect.denominator}{path.suffix}"
        found.append((path.with_name(name), size))
    return found


def _plan(
    args: argparse.Namespace, spread: Spread, terminal: Terminal, beside: Others | None
) -> tuple[Schedule | None, Motion, bool]:
    """The schedule, its motion, and whether the design opens and closes wholly.

    The schedule is None if there is nothing to film, or only a part that was not asked for.
    """
    from preview.films.film import longest_run, motion_for

    schedule = _schedule(args, (0.0, math.radians(args.opening)))
    driven = _driven(args)
    with terminal.busy("solving"):
        motion = motion_for(spread, schedule, driven, beside)
    if report_findings(motion, terminal):
        return schedule, motion, True
    reach = longest_run(motion)
    if reach is None or not args.as_far:
        return None, motion, False
    terminal.say(
        f"filming from {np.degrees(reach[0]):z.1f}° to {np.degrees(reach[1]):z.1f}°, "
        "as far as it goes"
    )
    schedule = _schedule(args, reach)
    with terminal.busy("solving"):
        return schedule, motion_for(spread, schedule, driven, beside), False


def _schedule(args: argparse.Namespace, span: tuple[float, float]) -> Schedule:
    from preview.shot import leaf
    from preview.shot.schedule import exposed, film
    from preview.shot.story import cuts_of, schedule

    shutter = math.radians(args.shutter)
    if args.course == "story":
        cuts = cuts_of(args.seconds, args.fps).tolist()
        return exposed(schedule(args.seconds, args.fps, span), shutter, cuts)
    if args.course == "page-turn":
        return leaf.schedule(args.seconds, args.fps, span)
    plain = film(
        args.action,
        args.seconds,
        args.fps,
        span,
        holds=[(math.radians(opening), seconds) for opening, seconds in args.pause],
        turn=math.radians(args.turn),
        travels=bool(args.views),
        driven=bool(args.by_hand),
    )
    return exposed(plain, shutter)


def _driven(args: argparse.Namespace) -> dict[str, tuple[float, float]]:
    """When each piece is moved by hand, as parts of the time."""
    from preview.shot.schedule import one_after_another, one_way_s

    seconds, times = one_way_s(args.action, args.seconds), {}
    for moves in args.by_hand:
        for name, span in one_after_another(moves, seconds).items():
            if name in times:
                raise UseError(f"--by-hand moves {name} twice; allowed: once")
            times[name] = span
    return times


def _moves(text: str) -> list[tuple[str, float | None]]:
    moves: list[tuple[str, float | None]] = []
    for word in text.split(","):
        name, colon, seconds = word.strip().partition(":")
        if not name or name in dict(moves):
            raise argparse.ArgumentTypeError(
                f"expected PIECE,PIECE or PIECE:SECONDS, each piece once, got {text!r}"
            )
        moves.append((name, number(0.05, 120, "seconds")(seconds) if colon else None))
    return moves


def _steps(text: str) -> tuple[int, int]:
    first, dash, last = text.partition("-")
    try:
        found = int(first), int(last if dash else first)
    except ValueError:
        found = 0, 0
    if not 1 <= found[0] <= found[1]:
        raise argparse.ArgumentTypeError(f"expected steps such as 5-9 or 7, got {text!r}")
    return found


def _pause(text: str) -> tuple[float, float]:
    opening, colon, seconds = text.partition(":")
    if not colon:
        raise argparse.ArgumentTypeError(f"expected OPENING:SECONDS such as 90:1.5, got {text!r}")
    return opening_deg(opening), number(0.05, 60, "seconds")(seconds)


def _views(text: str) -> list[str]:
    """Convert ``reader,low`` to a list of names of views, two or more."""
    names = [word.strip() for word in text.split(",")]
    if len(names) < 2:
        raise argparse.ArgumentTypeError("expected two views or more, such as reader,low")
    return names
