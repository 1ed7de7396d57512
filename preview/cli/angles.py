"""``foldstage angles``: the angle of every fold while the spread opens."""

from __future__ import annotations

import argparse
import json
import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass

import numpy as np

from preview.schemas import marked

from .arguments import (
    add_design,
    design_path,
    finding_line,
    number,
    opening_deg,
    read_spread,
    warnings,
)
from .terminal import Terminal

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


@dataclass(frozen=True)
class FoldAngles:
    """The angles of all folds, and what is told beside them; JSON can tell all of it.

    Parameters
    ----------
    folds : name, sign (1 mountain, -1 valley) and length (mm) of each.
    openings_deg : shape (S,).
    angles_deg : of each fold, shape (S,); NaN where the paper cannot go.
    solved : at each opening.
    findings, warnings : lines for a person.
    """

    folds: Sequence[tuple[str, int, float]]
    openings_deg: Sequence[float]
    angles_deg: Sequence[Sequence[float]]
    solved: Sequence[bool]
    findings: Sequence[str]
    warnings: Sequence[str]


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """List the fold angles."""
    from meshes.answers import Answers

    answers = Answers(design_path(args.design, terminal), dict(args.values))
    asked = "angles", args.openings, args.every
    known = answers.get(*asked)
    if known is None:
        found = _solved(args, terminal)
        answers.put(asdict(found), *asked)
    else:
        found = FoldAngles(**known)
        for warning in found.warnings:
            terminal.say(warning)
    if args.json:
        terminal.show(json.dumps(marked("angles", as_json(args.design, found)), indent=2))
    else:
        terminal.show(as_table(found))
        terminal.say(EXPLANATION)
    for finding in found.findings:
        terminal.say(finding)
    return 0 if all(found.solved) else 1


def _solved(args: argparse.Namespace, terminal: Terminal) -> FoldAngles:
    spread = read_spread(args, terminal)
    if args.openings:
        degrees = np.array(sorted(set(args.openings)))
    else:
        degrees = np.append(np.arange(0.0, 180.0, args.every), 180.0)
    with terminal.busy("solving"):
        motion = spread.solve(np.radians(degrees))
    return FoldAngles(
        [(hinge.name, hinge.sign, hinge.length) for hinge in spread.linkage.hinges],
        np.degrees(motion.openings).tolist(),
        np.degrees(motion.angles).T.tolist(),
        motion.solved.tolist(),
        [finding_line(finding) for finding in motion.findings],
        warnings(spread),
    )


def as_table(found: FoldAngles) -> str:
    """One line per fold, one column per opening."""
    width = max([4, *(len(name) for name, _, _ in found.folds)])
    heads = "".join(f"{opening:>z9.1f}" for opening in found.openings_deg)
    lines = [f"{'fold':<{width}}{heads}"]
    for (name, _, _), row in zip(found.folds, found.angles_deg, strict=True):
        lines.append(f"{name:<{width}}" + "".join(map(_cell, row)))
    return "\n".join(lines)


def _cell(angle_deg: float) -> str:
    # The z keeps a fold from reading -0.00: zero has no side.
    return f"{'–':>9}" if math.isnan(angle_deg) else f"{angle_deg:>z9.2f}"


def as_json(design: str, found: FoldAngles) -> dict[str, object]:
    """The same for a script; null where the paper cannot go."""
    folds = [
        {
            "fold": name,
            "direction": "mountain" if sign > 0 else "valley",
            "length_mm": round(length, 6),
            "angles_deg": [None if math.isnan(angle) else round(angle, 6) for angle in row],
        }
        for (name, sign, length), row in zip(found.folds, found.angles_deg, strict=True)
    ]
    return {
        "design": design,
        "openings_deg": [round(opening, 6) for opening in found.openings_deg],
        "solved": list(found.solved),
        "folds": folds,
        "findings": list(found.findings),
    }
