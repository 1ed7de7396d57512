"""``foldstage angles``: the angle of every fold while the spread opens."""

from __future__ import annotations

import argparse
import json
import math
from typing import TYPE_CHECKING

import numpy as np

from preview.schemas import marked

from .arguments import add_design, finding_line, number, opening_deg, read_spread, report_findings
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.linkage import Linkage
    from meshes.motion.result import Motion

EXPLANATION = (
    "Degrees; mountain positive, valley negative, as seen from the printed face; "
    "0 is flat, ±180 folded onto itself."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    add_design(parser)
    which = parser.add_mutually_exclusive_group()
    which.add_argument(
        "--opening",
        dest="openings",
        metavar="DEG",
        type=opening_deg,
        action="append",
        help="an opening to list; may be given several times",
    )
    which.add_argument(
        "--every",
        metavar="DEG",
        type=number(0.5, 180, "degrees"),
        default=30.0,
        help="list an opening every so many degrees from 0 to 180 (default: 30)",
    )
    parser.add_argument("--json", action="store_true", help="print JSON for a script")


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """List the fold angles."""
    spread = read_spread(args, terminal)
    if args.openings:
        degrees = np.unique(args.openings)
    else:
        degrees = np.unique(np.append(np.arange(0.0, 180.0, args.every), 180.0))
    with terminal.busy("solving"):
        motion = spread.solve(np.radians(degrees))
    if args.json:
        terminal.show(
            json.dumps(marked("angles", as_json(args.design, spread.linkage, motion)), indent=2)
        )
    else:
        terminal.show(as_table(spread.linkage, motion))
        terminal.say(EXPLANATION)
    return 0 if report_findings(motion, terminal) else 1


def as_table(linkage: Linkage, motion: Motion) -> str:
    """One line per fold, one column per opening."""
    width = max([4, *(len(hinge.name) for hinge in linkage.hinges)])
    heads = "".join(f"{opening:>z9.1f}" for opening in np.degrees(motion.openings))
    lines = [f"{'fold':<{width}}{heads}"]
    for hinge, row in zip(linkage.hinges, np.degrees(motion.angles).T, strict=True):
        lines.append(f"{hinge.name:<{width}}" + "".join(map(_cell, row)))
    return "\n".join(lines)


def _cell(angle_deg: float) -> str:
    # The z keeps a fold from reading -0.00: zero has no side.
    return f"{'–':>9}" if math.isnan(angle_deg) else f"{angle_deg:>z9.2f}"


def as_json(design: str, linkage: Linkage, motion: Motion) -> dict[str, object]:
    """The same for a script; null where the paper cannot go."""
    folds = [
        {
            "fold": hinge.name,
            "direction": "mountain" if hinge.sign > 0 else "valley",
            "length_mm": round(hinge.length, 6),
            "angles_deg": [None if math.isnan(angle) else round(angle, 6) for angle in row],
        }
        for hinge, row in zip(linkage.hinges, np.degrees(motion.angles).T.tolist(), strict=True)
    ]
    return {
        "design": design,
        "openings_deg": [round(opening, 6) for opening in np.degrees(motion.openings).tolist()],
        "solved": motion.solved.tolist(),
        "folds": folds,
        "findings": [finding_line(finding) for finding in motion.findings],
    }
