"""``foldstage thumbnail``: the openings and directions that make the best small picture."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from preview.schemas import marked

from .arguments import (
    add_design,
    add_jobs,
    add_lying,
    add_output,
    add_table,
    design_path,
    read_spread,
    size,
    whole,
)
from .plainer import say_what_gl_leaves_out
from .terminal import Terminal

if TYPE_CHECKING:
    from collections.abc import Callable

    from preview.parallel import Crew
    from preview.pictures.thumbnail import Proposal


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    from preview.drawing.render import QUALITIES
    from preview.pictures.thumbnail import TITLES
    from preview.shot.mood import MOODS

    add_design(parser)
    add_output(
        parser,
        "a folder for the candidates, their silhouettes and a contact sheet "
        "(default: renders/NAME-thumbnails)",
    )
    parser.add_argument(
        "--count", metavar="N", type=whole(1, 12), default=4, help="candidates (default: 4)"
    )
    parser.add_argument(
        "--title-at", choices=TITLES, help="leave this part of the picture free for a title"
    )
    parser.add_argument(
        "--size",
        metavar="WxH",
        type=size,
        default=(1280, 720),
        help="size in pixels (default: 1280x720)",
    )
    add_lying(parser, "both")
    parser.add_argument(
        "--mood", choices=MOODS, default="daylight", help="light and table (default: daylight)"
    )
    add_table(parser)
    parser.add_argument(
        "--engine",
        choices=("auto", "ray", "gl"),
        default="auto",
        help="ray draws everywhere and the same on every run; gl needs OpenGL (default: auto)",
    )
    parser.add_argument(
        "--quality",
        choices=QUALITIES,
        default="still",
        help="how much time to spend on light and edges (default: still)",
    )
    add_jobs(parser)
    parser.add_argument("--json", action="store_true", help="print JSON for a script")


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Propose, draw and write them."""
    from preview.films.frames import prepare
    from preview.parallel import crew

    folder = terminal.path(args.output or f"renders/{Path(args.design).stem}-thumbnails")
    # The other processes get ready while this one tries the openings.
    with crew(args.jobs, prepare) as workers:
        title, proposals = _proposals(args, terminal, workers)
        if not proposals:
            terminal.say(f"{args.design}: the spread can't be opened, so there is nothing to show")
            return 1
        with terminal.progress(len(proposals), "drawing") as advance:
            made = _draw_all(args, proposals, workers, folder, advance)
    if args.json:
        data = {"design": title, "candidates": made}
        terminal.show(json.dumps(marked("thumbnail", data), indent=2))
    else:
        for row in made:
            terminal.show(_line(row, terminal, folder))
        terminal.show(terminal.name(folder / "contact-sheet.png"))
    return 0


def _proposals(
    args: argparse.Namespace, terminal: Terminal, workers: Crew
) -> tuple[str, list[Proposal]]:
    """The title of the design, and the best ways to take its picture.

    They are kept, so that the next look at the same design starts with drawing.
    """
    from meshes.answers import Answers
    from preview.pictures import thumbnail
    from preview.shot.asked import lying_for, mood_for

    path = design_path(args.design, terminal)
    answers = Answers(path, dict(args.values))
    spread = read_spread(args, terminal)
    say_what_gl_leaves_out(spread, args.engine, terminal)
    with terminal.busy("solving"):
        motion = spread.solve(np.radians(thumbnail.OPENINGS_DEG))
    if not motion.solved.any():
        return spread.design.title, []
    with terminal.progress(thumbnail.steps(motion, args.count), "trying openings") as advance:
        proposals = thumbnail.proposed_once(
            answers,
            spread,
            motion,
            mood_for(args.mood, args.table, spread.design.shots),
            args.title_at,
            args.count,
            args.engine,
            args.size[0] / args.size[1],
            advance,
            workers,
            lying_for(args.lying, spread.design.shots, "both"),
        )
    return spread.design.title, proposals


def _draw_all(
    args: argparse.Namespace,
    proposals: list[Proposal],
    workers: Crew,
    folder: Path,
    advance: Callable[[], None],
) -> list[dict[str, Any]]:
    from meshes.export import write_whole
    from preview.pictures import still, thumbnail

    drawn, rows = [], []
    coming = thumbnail.candidates(proposals, args.size, args.engine, args.quality, workers)
    for number, (proposal, candidate) in enumerate(zip(proposals, coming, strict=True), 1):
        write_whole(folder / f"candidate-{number}.png", candidate.picture)
        write_whole(folder / f"silhouette-{number}.png", candidate.silhouettes)
        drawn.append(candidate.small)
        rows.append(
            {
                "picture": f"candidate-{number}.png",
                "silhouette": f"silhouette-{number}.png",
                "opening_deg": round(float(np.degrees(proposal.opening)), 1),
                "azimuth_deg": round(float(np.degrees(proposal.azimuth)), 1),
                "elevation_deg": round(float(np.degrees(proposal.elevation)), 1),
                "score": proposal.score.figures(),
            }
        )
        advance()
    still.save(thumbnail.contact_sheet(drawn, proposals), folder / "contact-sheet.png")
    return rows


def _line(row: dict[str, Any], terminal: Terminal, folder: Path) -> str:
    parts = ", ".join(f"{name} {value:z.2f}" for name, value in row["score"].items())
    name = terminal.name(folder / row["picture"])
    return f"{name}: open {row['opening_deg']:g}°, {parts}"
