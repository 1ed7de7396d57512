"""``foldstage tune``: find values that make a design fit."""

from __future__ import annotations

import argparse
import json
import re
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from preview.errors import UseError
from preview.schemas import marked

from .arguments import add_jobs, design_path, whole
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.tune.search import Found
    from meshes.tune.trial import Variable
    from meshes.tune.tries import TryStanding
    from meshes.tune.wish import Wish

_RANGE = re.compile(r"\s*([\w.-]+?)\s*=\s*([-+]?[\d.]+)\s*\.\.\s*([-+]?[\d.]+)\s*")


@dataclass(frozen=True)
class Range:
    """NAME=LOW..HIGH as it was typed."""

    name: str
    low: float
    high: float


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "design", metavar="DESIGN", help="a design file (.toml), or the name of a shipped design"
    )
    parser.add_argument(
        "--vary",
        metavar="NAME=LOW..HIGH",
        type=_range,
        action="append",
        required=True,
        help="a value that may change and its range, such as fern.ridge=60..85, "
        "fern.outline.width=20..40, or a name in [values]; may be given several times",
    )
    parser.add_argument(
        "--want",
        metavar="WISH",
        action="append",
        default=[],
        help="such as 'fern.height >= 80 at 180'; height, width, depth and reach of a piece in mm, "
        "the angle of a fold in degrees, or 'thickness <= 2'; may be given several times",
    )
    parser.add_argument(
        "--tries",
        metavar="N",
        type=whole(10, 100_000),
        default=400,
        help="designs to try at most (default: 400)",
    )
    add_jobs(parser, "try", "the answer is")
    parser.add_argument("--json", action="store_true", help="print JSON for a script")
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--write", action="store_true", help="change the design file itself")
    where.add_argument("-o", "--output", metavar="PATH", help="write the changed design here")


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Search, and print the change as a patch."""
    from meshes.design.edit import difference, patched
    from meshes.export import write_whole
    from meshes.tune.kept import shelf
    from meshes.tune.search import search
    from preview.parallel import crew

    path = design_path(args.design, terminal)
    wishes = _wishes(args.want)
    variables = _variables(path, args.vary, wishes)
    text = path.read_text("utf-8")
    with (
        terminal.progress(args.tries, "trying") as advance,
        crew(args.jobs, partial(get_ready, path)) as workers,
    ):
        found = search(
            path,
            variables,
            wishes,
            args.tries,
            lambda standing: advance(1, _note(standing)),
            workers.in_order,
            shelf(),
        )
    if found.stopped:
        terminal.say(
            f"stopped after {found.tries} tries; this is the best of them, "
            "and the same command goes on from here"
        )
    changed = patched(text, found.values) if found.fits else text
    patch = difference(path.name, text, changed)
    if args.json:
        terminal.show(
            json.dumps(marked("tune", as_json(found, variables, wishes, patch)), indent=2)
        )
    else:
        _show(found, variables, wishes, patch, terminal)
    if not found.fits:
        return 1
    target = path if args.write else terminal.path(args.output) if args.output else None
    if target is not None:
        write_whole(target, changed.encode())
        terminal.say(f"wrote {terminal.name(target)}")
    return 0


def get_ready(path: Path) -> None:
    """What a process does before its first try."""
    from meshes.tune.trial import present

    present(path)


def _note(standing: TryStanding) -> str:
    """How a search stands, behind its label."""
    if not standing.values:
        return ""
    values = ", ".join(
        f"{path.rpartition('.')[2]} {value:.4g}" for path, value in standing.values.items()
    )
    return f", best so far: {values}{'' if standing.penalty else ', which meets all'}"


def _range(text: str) -> Range:
    found = _RANGE.fullmatch(text)
    if found is None:
        raise argparse.ArgumentTypeError(f"expected NAME=LOW..HIGH, got {text!r}")
    try:
        low, high = float(found[2]), float(found[3])
    except ValueError:
        raise argparse.ArgumentTypeError(f"expected two numbers, got {text!r}") from None
    if not low < high:
        raise argparse.ArgumentTypeError(f"the range of {found[1]} is empty: {text!r}")
    return Range(found[1], low, high)


def _wishes(texts: list[str]) -> list[Wish]:
    from meshes.tune.wish import parse

    try:
        return [parse(text) for text in texts]
    except ValueError as error:
        raise UseError(f"--want {error}") from None


def _variables(path: Path, ranges: list[Range], wishes: list[Wish]) -> list[Variable]:
    """What varies, with its present value.

    Raises
    ------
    UseError
        For a name or a wish that the design does not know.
    """
    from meshes.design.edit import value_at
    from meshes.measure import Units
    from meshes.tune.trial import Variable, present
    from meshes.tune.wish import check_names

    # The search takes the same from there.
    now = present(path)
    try:
        for wish in wishes:
            check_names(wish, now.case)
    except ValueError as error:
        raise UseError(f"--want {error}") from None
    design = now.spread.design
    units, text = Units(design.units, design.values), path.read_text("utf-8")
    found = []
    for span in ranges:
        name = _full_name(span.name, design.pieces, design.values)
        try:
            start = value_at(text, name, units)
        except ValueError as error:
            raise UseError(f"--vary {error}") from None
        middle = (span.low + span.high) / 2
        if start is None:
            _check_key(path, name, middle)
        found.append(Variable(name, span.low, span.high, middle if start is None else start))
    return found


def _check_key(path: Path, name: str, value: float) -> None:
    """UseError if the design has no such key at all."""
    from meshes.errors import DesignError
    from meshes.spread import read

    try:
        read(path, {name: value})
    except DesignError as error:
        raise UseError(f"--vary {name}: {error.mistakes[0]}") from None


def _full_name(name: str, pieces: object, values: object) -> str:
    """``fern.ridge`` is short for ``pieces.fern.ridge``."""
    assert hasattr(pieces, "__contains__")
    assert hasattr(values, "__contains__")
    head = name.partition(".")[0]
    if "." in name:
        if head in pieces:
            return f"pieces.{name}"
        if head in ("pieces", "spread", "papers", "values"):
            return name.removeprefix("values.") if head == "values" else name
    elif name in values:
        return name
    raise UseError(f"--vary {name}: there is no such piece, and no such name in [values]")


def as_json(
    found: Found, variables: list[Variable], wishes: list[Wish], patch: str
) -> dict[str, object]:
    """What was found, for a script."""
    return {
        "passes": found.fits,
        "values": {
            v.path: {"from": v.start, "to": found.values[v.path], "least": v.low, "most": v.high}
            for v in variables
        },
        "wishes": [
            {"wish": wish.text, "reached": round(reached, 4) if reached == reached else None}
            for wish, reached in zip(wishes, found.reached, strict=False)
        ],
        "problems": [finding.text for finding in found.failures],
        "tries": found.tries,
        "patch": patch,
    }


def _show(
    found: Found, variables: list[Variable], wishes: list[Wish], patch: str, terminal: Terminal
) -> None:
    if not found.fits:
        ranges = ", ".join(f"{v.path} {v.low:g}..{v.high:g}" for v in variables)
        terminal.say(f"no values found in {ranges} that pass the check ({found.tries} tries)")
        nearest = ", ".join(f"{path} = {value:g}" for path, value in found.values.items())
        terminal.say(f"the nearest, {nearest}, still has problems:")
        for finding in found.failures:
            terminal.say(f"  {finding.text}")
        terminal.say("try wider ranges, or more values that may change")
        return
    for variable in variables:
        value = found.values[variable.path]
        change = "stays" if abs(value - variable.start) < 1e-9 else f"from {variable.start:g}"
        terminal.say(f"{variable.path} = {value:g} ({change})")
    for wish, reached in zip(wishes, found.reached, strict=True):
        terminal.say(f"{wish.text}: {reached:z.2f}")
    terminal.say(f"passes the check ({found.tries} tries)")
    terminal.show(patch.rstrip("\n") if patch else "nothing needs to change")
