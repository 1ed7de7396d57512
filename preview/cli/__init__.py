"""The command line, ``foldstage COMMAND …``: it parses, calls and reports, and draws nothing.

A command is one module of this package with ``add_arguments(parser)`` and
``run(args, terminal) -> int``, and one line in `COMMANDS`. Only the chosen command is imported.
"""

from __future__ import annotations

import argparse
import difflib
import enum
import importlib
import os
import sys
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import replace
from types import ModuleType

from meshes.errors import DesignError
from preview.errors import UseError
from preview.parallel import algebra_in_one_thread, collect_seldom

from .terminal import RESULTS, Terminal

# name: (module, one line of help)
COMMANDS: dict[str, tuple[str, str]] = {
    "new": (
        "preview.cli.new",
        "write a design to start from: with comments, blank, or a copy",
    ),
    "film": ("preview.cli.film", "film the spread as it opens and closes"),
    "still": ("preview.cli.still", "draw one picture at one opening"),
    "stages": ("preview.cli.stages", "show chosen openings side by side in one picture"),
    "thumbnail": ("preview.cli.thumbnail", "propose the small pictures that read best"),
    "check": ("preview.cli.check", "report what will not fit, before the paper is cut"),
    "plan": ("preview.cli.plan", "plan the filming: camera, distance, frame, sharpness"),
    "catalog": ("preview.cli.catalog", "make a shop's page of a folder of designs"),
    "tune": ("preview.cli.tune", "find values that fit, and print them as a patch"),
    "angles": ("preview.cli.angles", "list the angle of every fold as the spread opens"),
    "mesh": ("preview.cli.mesh", "write a watertight mesh of each piece at each opening"),
    "drawing": ("preview.cli.drawing", "say what each line of an SVG is taken for"),
    "cut-out": ("preview.cli.cut_out", "take the paper away around a scanned drawing"),
    "pattern": ("preview.cli.pattern", "print the pieces at true scale, or cut them by machine"),
    "guide": ("preview.cli.guide", "write building instructions, with a picture for each step"),
    "pack": ("preview.cli.pack", "put all that goes with a design into one folder and one zip"),
    "view": ("preview.cli.view", "open the spread by hand, in the browser or in one page to send"),
    "help": ("preview.cli.help", "explain the keys of a kind of piece, an outline, a table"),
    "engines": ("preview.cli.engines", "say which engines can draw here, and why not"),
}


class ExitCode(enum.IntEnum):
    """What the process tells the shell."""

    DONE = 0
    DESIGN_HAS_PROBLEMS = 1
    WRONG_USE = 2
    INTERRUPTED = 130


def main(argv: Sequence[str] | None = None, terminal: Terminal | None = None) -> int:
    """Run one command and return its exit code.

    Parameters
    ----------
    argv : arguments without the program's name; those of the process if left out.
    terminal : where to speak; that of the process if left out.
    """
    terminal = terminal or Terminal.here()
    traceback = bool(os.environ.get("FOLDSTAGE_TRACEBACK"))
    try:
        # argparse and warnings write to sys.stdout and sys.stderr.
        with redirect_stdout(terminal.stdout), redirect_stderr(terminal.stderr):
            try:
                with terminal.results():  # --help and the like
                    args, module = _parse(argv, terminal)
                traceback = traceback or args.traceback
                code = ExitCode(module.run(args, _about(terminal, args)))
            except SystemExit as stop:  # argparse, after --help or a wrong option
                code = ExitCode(int(stop.code or 0))
        terminal.flush()
        return code
    except KeyboardInterrupt:
        terminal.say("foldstage: interrupted")
        return ExitCode.INTERRUPTED
    except (DesignError, UseError, OSError) as error:
        if isinstance(error, BrokenPipeError) and error.filename == RESULTS:
            return ExitCode.DONE  # whoever read the output, such as `head`, wants no more
        if traceback:
            raise
        terminal.say(_one_line(error))
        return (
            ExitCode.DESIGN_HAS_PROBLEMS if isinstance(error, DesignError) else ExitCode.WRONG_USE
        )


def _about(terminal: Terminal, args: argparse.Namespace) -> Terminal:
    """The terminal, told what is done to which design."""
    design = getattr(args, "design", None)
    if not isinstance(design, str):
        return terminal
    return replace(terminal, about=(args.command, str(terminal.path(design).absolute())))


def _parse(argv: Sequence[str] | None, terminal: Terminal) -> tuple[argparse.Namespace, ModuleType]:
    words = list(sys.argv[1:] if argv is None else argv)
    chosen = next((word for word in words if not word.startswith("-")), None)
    _suggest(chosen)
    parser = argparse.ArgumentParser(
        prog="foldstage",
        description="Preview a pop-up spread before any paper is cut: how it folds, whether it "
        "fits, how it films.",
        epilog="Start with: foldstage new my-spread && foldstage film my-spread.toml",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action=_ShowVersion)
    _add_traceback(parser, default=False)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    module = None
    for name, (path, text) in COMMANDS.items():
        command = commands.add_parser(name, help=text, description=_sentence(text))
        command.allow_abbrev = False
        if name == chosen:
            algebra_in_one_thread()
            # Designs are read alike whatever is installed beside; looking for it takes time.
            os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
            collect_seldom()
            module = importlib.import_module(path)
            module.add_arguments(command)
            _add_traceback(command, default=argparse.SUPPRESS)
    args = parser.parse_args(words)
    assert module is not None  # argparse has left through SystemExit otherwise
    return args, module


def _suggest(command: str | None) -> None:
    """Meet a mistyped command with the one that was meant."""
    if command is None or command in COMMANDS:
        return
    near = difflib.get_close_matches(command, COMMANDS, 1)
    meant = f"did you mean {near[0]}?" if near else f"commands: {', '.join(COMMANDS)}"
    raise UseError(f"there is no command {command!r}; {meant}")


def _add_traceback(parser: argparse.ArgumentParser, default: object) -> None:
    parser.add_argument(
        "--traceback",
        action="store_true",
        default=default,
        help="show where in the program an error arose (or set FOLDSTAGE_TRACEBACK=1)",
    )


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:] + "."


class _ShowVersion(argparse.Action):
    """Look the version up only when it is asked for, since that reads the installed metadata."""

    def __init__(self, option_strings: list[str], dest: str) -> None:
        super().__init__(option_strings, dest, nargs=0, help="show the version and exit")

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from importlib.metadata import version

        sys.stdout.write(f"foldstage {version('foldstage')}\n")
        parser.exit()


def _one_line(error: Exception) -> str:
    """An error as the user reads it; a design's mistakes have one line each."""
    if isinstance(error, OSError) and error.filename is not None:
        return f"foldstage: {error.filename}: {error.strerror}"
    text = str(error) if isinstance(error, DesignError) else f"foldstage: {error}"
    return text or f"foldstage: {type(error).__name__}"
