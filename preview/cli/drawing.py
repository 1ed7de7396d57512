"""``foldstage drawing``: what each line of an SVG is taken for, before a design uses it."""

from __future__ import annotations

import argparse
import json
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from preview.errors import UseError
from preview.schemas import marked

from .arguments import file_size, number
from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.drawn import Account, Drawing


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.description = (
        "Read an SVG as a piece of kind `drawn` does, and say what each of its lines is taken for, "
        "what is left alone and why, and which sheets it makes."
    )
    parser.add_argument("drawing", metavar="DRAWING", help="the SVG")
    parser.add_argument(
        "--scale",
        metavar="MM",
        type=number(1e-4, 1e4),
        help="mm in a unit of the drawing, if it has no size of its own",
    )
    parser.add_argument(
        "-o", "--output", metavar="PATH", help="a picture of the lines by meaning, .png"
    )
    parser.add_argument("--json", action="store_true", help="print JSON for a script")


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Tell what is drawn."""
    from meshes.drawn import DrawingError, account, read
    from meshes.drawn.tree import MOST_BYTES

    if args.output and Path(args.output).suffix.lower() != ".png":
        raise UseError(f"-o {args.output}: a picture ends in .png")
    path = terminal.path(args.drawing)
    with path.open("rb") as stream:
        data = stream.read(MOST_BYTES + 1)
    name = terminal.name(path)
    drawing, problem = None, ""
    try:
        found = account(data, args.scale)
    except DrawingError as error:
        terminal.say(f"{name}: {error}")
        return 1
    try:
        drawing = read(data, args.scale)
    except DrawingError as error:
        problem = str(error)
    if args.json:
        told = as_json(args.drawing, found, drawing, problem)
        terminal.show(json.dumps(marked("drawing", told), indent=2))
    else:
        terminal.show("\n".join(as_lines(found, drawing)))
    if args.output:
        from meshes.export import whole_file
        from preview.pictures.account import picture

        target = terminal.path(args.output)
        with whole_file(target) as part:
            picture(found).save(part, format="PNG")
        terminal.say(f"{terminal.name(target)} ({file_size(target)})")
    if problem:
        terminal.say(f"{name}: {problem}")
    return 1 if problem else 0


def as_lines(found: Account, drawing: Drawing | None) -> list[str]:
    """The lines by meaning, then what is left alone, then the sheets."""
    by_role: dict[str, list[str]] = {}
    for stroke in found.strokes:
        name = f" ({stroke.name})" if stroke.name and stroke.name not in stroke.label else ""
        by_role.setdefault(stroke.role, []).append(stroke.label + name)
    lines = [f"{role:9} {len(labels):4}  {_few(labels)}" for role, labels in by_role.items()]
    for (layer, reason), labels in _left(found).items():
        where = f"layer {layer!r}, " if layer else ""
        lines.append(f"left alone {len(labels):3}  {where}{_REASONS[reason]}: {_few(labels)}")
    for sheet in drawing.sheets if drawing else ():
        counted = f"{_many(len(sheet.facets), 'facet')}, {_many(len(sheet.folds), 'fold')}"
        glue = ", ".join(area.letter for area in sheet.glue)
        lines.append(f"sheet {sheet.name}: {counted}{f', glue {glue}' if glue else ''}")
    return lines


_REASONS = {
    "no word": "no word says what it is",
    "in notes": "in a layer of notes",
    "hidden": "hidden",
    "no line": "not a line",
}


def _left(found: Account) -> dict[tuple[str, str], list[str]]:
    by_layer: dict[tuple[str, str], list[str]] = {}
    for item in found.left:
        by_layer.setdefault((item.layer, item.reason), []).append(item.label)
    return by_layer


def _few(labels: list[str], most: int = 6) -> str:
    more = f" and {len(labels) - most} more" if len(labels) > most else ""
    return ", ".join(labels[:most]) + more


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"


def as_json(path: str, found: Account, drawing: Drawing | None, problem: str) -> dict[str, Any]:
    """The same for a script."""
    return {
        "drawing": path,
        "drawn_lines": [
            {"element": s.label, "meaning": s.role, "name": s.name, "of_sheet": s.group.key}
            for s in found.strokes
        ],
        "meanings": dict(Counter(stroke.role for stroke in found.strokes)),
        "left_alone": [
            {"element": item.label, "svg_layer": item.layer, "reason": _REASONS[item.reason]}
            for item in found.left
        ],
        "sheets": [
            {
                "name": sheet.name,
                "facets": [facet.name for facet in sheet.facets],
                "folds": [fold.name for fold in sheet.folds],
                "glue_letters": [area.letter for area in sheet.glue],
                "place_letters": [area.letter for area in sheet.places],
            }
            for sheet in (drawing.sheets if drawing else ())
        ],
        "refusal": problem or None,
    }
