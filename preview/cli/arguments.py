"""Arguments that several commands share, and what they turn into."""

from __future__ import annotations

import argparse
import difflib
import math
import os
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from meshes import designs
from preview.errors import UseError

from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread


def add_design(parser: argparse.ArgumentParser, *, without: str = "") -> None:
    """DESIGN, and ``--set`` to change its values for this once.

    Parameters
    ----------
    without : what happens if it is left out; it must not be left out if that is empty.
    """
    about = "a design file (.toml), or the name of a shipped design"
    if without:
        parser.add_argument("design", metavar="DESIGN", nargs="?", help=f"{about}; {without}")
    else:
        parser.add_argument("design", metavar="DESIGN", help=about)
    parser.add_argument(
        "--set",
        dest="values",
        metavar="NAME=VALUE",
        type=setting,
        action="append",
        default=[],
        help="use another value for one key of the design, such as pieces.fern.length=30; "
        "may be given several times",
    )


def add_as_far(parser: argparse.ArgumentParser) -> None:
    """``--as-far-as-it-goes``."""
    parser.add_argument(
        "--as-far-as-it-goes",
        dest="as_far",
        action="store_true",
        help="if the design jams, make the part that works (the exit code is 1 all the same)",
    )


def add_output(parser: argparse.ArgumentParser, help_text: str) -> None:
    """``-o, --output``."""
    parser.add_argument("-o", "--output", metavar="PATH", help=help_text)


def add_allowance(parser: argparse._ActionsContainer) -> None:
    """``--no-allowance``."""
    parser.add_argument(
        "--no-allowance",
        dest="allowance",
        action="store_false",
        help="cut all as designed; else what goes round or into something else is cut larger or "
        "smaller by what the thickness of the papers takes",
    )


def add_jobs(
    parser: argparse.ArgumentParser, does: str = "draw", same: str = "the pictures are"
) -> None:
    """``--jobs``, what the processes do and what is the same for any number of them."""
    parser.add_argument(
        "--jobs",
        metavar="N",
        type=whole(1, 256),
        default=os.cpu_count() or 1,
        help=f"processes that {does} at the same time (default: one per core); "
        f"{same} the same for any number",
    )


def add_drawing(
    parser: argparse.ArgumentParser,
    default_size: tuple[int, int],
    default_quality: str,
    usual_lying: str = "both",
) -> None:
    """``--size``, ``--view``, ``--lying``, ``--mood``, ``--engine`` and ``--quality``."""
    from preview.drawing.render import QUALITIES
    from preview.shot.mood import MOODS

    wide, high = default_size
    parser.add_argument(
        "--size",
        metavar="WxH",
        type=size,
        default=default_size,
        help=f"size in pixels (default: {wide}x{high})",
    )
    add_view(parser, "place to look from")
    add_lying(parser, usual_lying)
    parser.add_argument(
        "--mood",
        type=mood,
        choices=MOODS,
        default="daylight",
        help="light and table (default: daylight)",
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
        default=default_quality,
        help=f"how much time to spend on light and edges (default: {default_quality})",
    )


def mood(text: str) -> str:
    """The name of a mood, or what is meant instead."""
    from preview.shot.mood import MOODS

    if text in MOODS:
        return text
    from meshes.design.mistakes import nearest

    near = nearest(text, MOODS)
    if near:
        raise argparse.ArgumentTypeError(
            f"there is no mood {text!r}; did you mean {near}? moods: {', '.join(MOODS)}"
        )
    return text


def add_view(parser: argparse.ArgumentParser, what: str) -> None:
    """``--view``; the design's own are known once it is read, see `preview.shot.standing`."""
    from preview.shot.camera import VIEWS

    parser.add_argument(
        "--view",
        metavar="VIEW",
        default="reader",
        help=f"{what}: {', '.join(VIEWS)}, or the name of one of the design's [shots] "
        "(default: reader)",
    )


def add_table(parser: argparse.ArgumentParser) -> None:
    """``--table``."""
    from preview.shot.tables import OF_MOOD, TABLES

    told = ", ".join(f"{name} ({top.title})" for name, top in TABLES.items())
    parser.add_argument(
        "--table",
        metavar="TABLE",
        type=table,
        help=f"what the notebook lies on: {told}, or a plain colour such as #aab79c, or {OF_MOOD}, "
        "the table that the mood has; ray shows the pattern, gl its mean colour (default: as a "
        "shot of the design says, else as the mood has it)",
    )


def table(text: str) -> str:
    """The name of a table, or a colour; argparse.ArgumentTypeError if it is neither."""
    from preview.shot.tables import known_table

    try:
        return known_table(text)
    except UseError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def add_lying(parser: argparse.ArgumentParser, usual: str) -> None:
    """``--lying``; see `preview.shot.asked` for what is usual."""
    from preview.drawing.lying import LYINGS

    told = "; ".join(f"{name}: {text}" for name, text in LYINGS.items())
    parser.add_argument(
        "--lying",
        choices=LYINGS,
        help=f"how the notebook lies, {told} (default: as a shot of the design says, else {usual})",
    )


def design_path(name: str, terminal: Terminal) -> Path:
    """The file behind DESIGN.

    Raises
    ------
    UseError
        If it is neither a file nor a shipped design.
    """
    file, shipped = terminal.path(name), designs.names()
    if name.removesuffix(".toml") in shipped and name.endswith(".toml") and not file.exists():
        raise UseError(f"there is no file {name}; the shipped design is called {file.stem}")
    if name in shipped or name in designs.specimens():
        return file if file.exists() else designs.path(name)
    if file.exists() or name.endswith(".toml") or Path(name).name != name:
        return file
    near = difflib.get_close_matches(name, shipped, 1)
    meant = f"did you mean {near[0]}? " if near else ""
    raise UseError(
        f"no design file or shipped design {name!r}; {meant}shipped designs: {', '.join(shipped)}"
    )


def is_shipped(path: Path) -> bool:
    """Whether a file is one of the designs that come with the program."""
    known = [*designs.names(), *designs.specimens()]
    return any(path.resolve() == designs.path(name).resolve() for name in known)


def read_spread(args: argparse.Namespace, terminal: Terminal, *, blank: bool = False) -> Spread:
    """Read the DESIGN of `args`, and say what it warns of; DesignError with every mistake in it.

    Its motions are kept in the user's cache folder.

    Parameters
    ----------
    blank : a notebook without any piece will do.
    """
    from meshes import spread
    from meshes.motion import kept

    read = spread.read(design_path(args.design, terminal), dict(args.values), blank=blank)
    for warning in warnings(read):
        terminal.say(warning)
    return replace(read, shelf=kept.shelf())


def warnings(spread: Spread) -> list[str]:
    """What a design is warned of when it is read, a line each."""
    return [f"warning: {mistake}" for mistake in spread.warnings]


def report_findings(motion: Motion, terminal: Terminal) -> bool:
    """Say what the solver found; True if the design opens and closes all the way."""
    for finding in motion.findings:
        terminal.say(finding_line(finding))
    return bool(motion.solved.all())


def finding_line(finding: object) -> str:
    """One line for a person: what, where, at which opening and by how many millimetres."""
    from meshes.motion.result import MotionFinding

    assert isinstance(finding, MotionFinding)
    opening = math.degrees(finding.opening)
    gap = f" (gap {finding.gap:z.2f} mm)" if finding.gap else ""
    return f"{finding.kind}: {finding.fold} at {opening:z.1f}° opening{gap}: {finding.reason}"


def file_size(path: Path) -> str:
    """The size of a file for a person to read."""
    count = path.stat().st_size
    return f"{count / 1e6:z.1f} MB" if count >= 1e6 else f"{max(1, round(count / 1e3))} kB"


def setting(text: str) -> tuple[str, str]:
    """Take ``NAME=VALUE`` apart; argparse.ArgumentTypeError if it is none."""
    name, equals, value = text.partition("=")
    if not equals or not name.strip():
        raise argparse.ArgumentTypeError(f"expected NAME=VALUE, got {text!r}")
    return name.strip(), value.strip()


class whole:
    """Convert to a whole number between two limits; used like ``int``."""

    def __init__(self, least: int, most: int) -> None:
        self.least, self.most = least, most

    def __call__(self, text: str) -> int:
        """The number; argparse.ArgumentTypeError if it is none or out of bounds."""
        try:
            value = int(text)
        except ValueError:
            value = self.least - 1
        if not self.least <= value <= self.most:
            raise argparse.ArgumentTypeError(
                f"expected a whole number from {self.least} to {self.most}, got {text!r}"
            )
        return value


class number:
    """Convert to a finite number between two limits; used like ``float``."""

    def __init__(self, least: float, most: float, unit: str = "") -> None:
        self.least, self.most, self.unit = least, most, f" {unit}" if unit else ""

    def __call__(self, text: str) -> float:
        """The number; argparse.ArgumentTypeError if it is none or out of bounds."""
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not self.least <= value <= self.most:
            raise argparse.ArgumentTypeError(
                f"expected a number from {self.least:g} to {self.most:g}{self.unit}, got {text!r}"
            )
        return value


opening_deg = number(0, 180, "degrees")


def add_length(
    group: argparse._ActionsContainer,
    option: str,
    limits: tuple[float, float],
    default: float,
    text: str,
) -> None:
    """Declare a length on paper, in mm; its help tells the default."""
    group.add_argument(
        option,
        type=number(*limits, "mm"),
        default=default,
        metavar="MM",
        help=f"{text} (default: {default:g})",
    )


def size(text: str) -> tuple[int, int]:
    """Convert ``1280x720`` (or ``480`` for a square) to pixels, width and height."""
    wide, _, high = text.lower().replace("×", "x").partition("x")
    side = whole(16, 8192)
    try:
        return side(wide), side(high or wide)
    except argparse.ArgumentTypeError:
        raise argparse.ArgumentTypeError(
            f"expected WIDTHxHEIGHT in pixels, 16 to 8192 each, such as 1280x720; got {text!r}"
        ) from None


def shape(text: str) -> Fraction:
    """Convert ``16:9`` to width over height."""
    width, colon, height = text.partition(":")
    try:
        found = Fraction(width) / Fraction(height if colon else "1")
    except (ValueError, ZeroDivisionError):
        found = Fraction(0)
    if not Fraction(1, 4) <= found <= 4:
        raise argparse.ArgumentTypeError(f"expected a shape such as 16:9 or 1:1, got {text!r}")
    return found


def aspects(text: str) -> tuple[Fraction, ...]:
    """Convert ``1:1,16:9`` to widths over heights."""
    return tuple(shape(word) for word in text.split(","))
