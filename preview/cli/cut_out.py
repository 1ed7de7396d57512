"""``foldstage cut-out``: a drawing on paper becomes a picture on a transparent ground."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from meshes.errors import DesignError, Mistake
from preview.errors import UseError

from .arguments import file_size, number
from .terminal import Terminal

if TYPE_CHECKING:
    from preview.pictures.cut_out import CutOut

# A line's gap that a hand leaves, at most. Our choice.
_WIDEST_GAP = 200


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.description = (
        "Take the paper away around a drawing that was scanned or photographed, shadows and the "
        "table beside the sheet too; white that lines enclose stays. The result is a picture whose "
        "edge an outline of shape `traced` follows."
    )
    parser.add_argument("picture", metavar="PICTURE", help="a scan or photograph, PNG or JPEG")
    parser.add_argument(
        "-o", "--output", metavar="PATH", help="the cut-out, .png (default: PICTURE-cut-out.png)"
    )
    parser.add_argument(
        "--contrast",
        type=number(2, 90, "%"),
        metavar="PERCENT",
        help="how far something is from the paper to count as drawn: lower for soft pencil, higher "
        "for rough paper (default: 10)",
    )
    parser.add_argument(
        "--gap",
        type=number(0, _WIDEST_GAP, "pixels"),
        default=0.0,
        metavar="PIXELS",
        help="lines with gaps up to this wide still enclose what is white (default: 0)",
    )


def run(args: argparse.Namespace, terminal: Terminal) -> int:
    """Write the cut-out."""
    from PIL import Image

    from meshes.art import ArtError
    from meshes.export import whole_file
    from preview.pictures import cut_out

    source = terminal.path(args.picture)
    target = terminal.path(args.output) if args.output else _beside(source)
    if target.suffix.lower() != ".png":
        raise UseError(f"-o {args.output}: a cut-out ends in .png")
    if target.resolve() == source.resolve():
        raise UseError(f"-o {args.output}: would replace the picture itself; take another name")
    contrast = cut_out.CONTRAST if args.contrast is None else args.contrast / 100
    try:
        with terminal.busy("taking the ground away"):
            found = cut_out.cut_out(cut_out.opened(source), contrast, args.gap)
    except ArtError as error:
        raise DesignError([Mistake(terminal.name(source), str(error))]) from None
    with whole_file(target) as part:
        Image.fromarray(found.pixels).save(part, format="PNG", optimize=True)
    terminal.show(f"{terminal.name(target)} ({file_size(target)})")
    _tell(found, target, terminal)
    return 0


def _beside(source: Path) -> Path:
    return source.with_name(f"{source.stem}-cut-out.png")


def _tell(found: CutOut, target: Path, terminal: Terminal) -> None:
    """How to use it, and what to look at."""
    import tomlkit

    if found.parts > 1:
        terminal.say(
            f"note: it is in {found.parts} parts, and paper follows the largest alone; "
            "try: --gap to close lines that were left open, --contrast to find fainter ones"
        )
    name = tomlkit.string(target.name).as_string()
    terminal.say(f'next: outline = {{ shape = "traced", file = {name}, length = 60, grow = 2 }}')
