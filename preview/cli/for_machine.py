"""What ``foldstage pattern --format machine`` understands beyond what every pattern does."""

from __future__ import annotations

import argparse
import itertools
import re
from typing import TYPE_CHECKING

from preview.errors import UseError

from .arguments import add_length

if TYPE_CHECKING:
    from preview.pattern.furniture import Register
    from preview.pattern.layout import Pattern
    from preview.pattern.machine import Run

_LAYERS = ("pen", "folds", "cuts", "register")


def add_machine(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    machine = parser.add_argument_group("cutting machine, with --format machine")
    machine.add_argument(
        "--scoring",
        choices=("full", "dashes", "half"),
        default="full",
        help="folds as full lines, as dashes cut through, or as a half-cut in a layer of its own "
        "(default: full)",
    )
    add_length(machine, "--dash", (0.5, 20), 3.0, "of --scoring dashes")
    add_length(machine, "--dash-gap", (0.3, 20), 1.0, "between the dashes")
    add_length(machine, "--fastener", (1, 10), 3.0, "hole for a paper fastener")
    machine.add_argument(
        "--stroke",
        dest="strokes",
        action="append",
        default=[],
        type=_stroke,
        metavar="LAYER=#RRGGBB",
        help="colour of a machine layer: pen, folds, cuts or register",
    )
    _add_register(machine)


def _add_register(machine: argparse._ArgumentGroup) -> None:
    machine.add_argument(
        "--register",
        choices=("squares", "crosses"),
        help="print and cut: black marks near the corners, and a PDF to print of the same sheets",
    )
    add_length(machine, "--register-size", (3, 20), 6.0, "of a mark")
    add_length(
        machine, "--register-inset", (0, 60), 10.0, "of the marks' outer edges from the sheet's"
    )


def _stroke(text: str) -> tuple[str, str]:
    match = re.fullmatch(rf"({'|'.join(_LAYERS)})=(#[0-9a-fA-F]{{6}})", text)
    if not match:
        raise argparse.ArgumentTypeError(
            f"expected pen, folds, cuts or register with a colour, such as folds=#1e90aa; "
            f"got {text!r}"
        )
    return match[1], match[2].lower()


def register_of(args: argparse.Namespace) -> Register | None:
    """The marks asked for, or None."""
    from preview.pattern.furniture import Register

    if args.register is None:
        return None
    if args.format != "machine":
        raise UseError("--register marks what a machine cuts; add --format machine")
    return Register(args.register, args.register_size, args.register_inset)


def run_of(args: argparse.Namespace) -> Run:
    """How the machine runs; UseError if two layers look alike."""
    from preview.pattern.machine import COLOURS, LEAST_APART, Run, difference

    colours = {**COLOURS, **dict(args.strokes)}
    used = [layer for layer in colours if layer != "register" or args.register]
    for one, other in itertools.combinations(used, 2):
        found = difference(colours[one], colours[other])
        if found < LEAST_APART:
            raise UseError(
                f"layers {one} and {other} look alike ({colours[one]}, {colours[other]}); give "
                "each a colour of its own, such as --stroke folds=#d55e00"
            )
    return Run(
        colours,
        not args.no_names,
        args.colours,
        args.scoring,
        args.dash,
        args.dash_gap,
        args.fastener,
    )


def where_marks_are(pattern: Pattern) -> str:
    """The register marks in words, for the machine's own program."""
    register, stock = pattern.options.register, pattern.options.stock
    assert register is not None
    places = ", ".join(f"{x:g} {y:g}" for x, y in register.corners(stock))
    return (
        f"register marks: {register.shape} of {register.size:g} mm, upper left corners at {places} "
        f"mm from the upper left corner of the sheet of {stock.width:g} × {stock.height:g} mm"
    )
