"""Every command where the world around it is hostile.

There is no room, there are no rights, no home, odd names; it is stopped, another one runs beside
it, or it was started without streams to speak to.

What is no room is a limit of the kernel on the size of files, so that it is met by whoever really
writes, also below Python. Root gives away the right to write anywhere.
"""

from __future__ import annotations

import ctypes
import io
import os
import pwd
import resource
import signal
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

from tests.drawn.hostile import SQUARE, svg

from .cases import LEAF
from .cell import Case, Outcome, Running, laid_out, run, written
from .fresh import STARTS, started
from .stops import STOPS, own_cache, stopped, twice

_SMALL = ("--size", "64x48", "--quality", "draft")

# What each command is asked for; DESIGN and OUT are put in.
COMMANDS: dict[str, tuple[str, ...]] = {
    "new": ("OUT",),
    "film": ("DESIGN", "-o", "OUT.gif", *_SMALL, "--seconds", "1", "--fps", "10", "--jobs", "1"),
    "still": ("DESIGN", "-o", "OUT.png", *_SMALL),
    "stages": ("DESIGN", "-o", "OUT.png", *_SMALL),
    "thumbnail": ("DESIGN", "-o", "OUT", "--count", "1", *_SMALL),
    "check": ("DESIGN", "--html", "OUT.html"),
    "plan": ("DESIGN", "-o", "OUT", "--quality", "draft"),
    "catalog": ("shop", "-o", "OUT", "--figures-only", "--jobs", "1"),
    "tune": (
        "DESIGN",
        "--vary",
        "leaf.base=20..30",
        "--tries",
        "10",
        "--want",
        "thickness<=9",
        "-o",
        "OUT.toml",
    ),
    "angles": ("DESIGN",),
    "mesh": ("DESIGN", "-o", "OUT.glb", "--format", "glb"),
    "drawing": ("sign.svg", "-o", "OUT.png"),
    "cut-out": ("drawing.png", "-o", "OUT.png"),
    "pattern": ("DESIGN", "-o", "OUT.pdf"),
    "guide": ("DESIGN", "-o", "OUT.html", "--size", "160x120", "--jobs", "1"),
    "pack": (
        *("DESIGN", "-o", "OUT", "--page", "A4", "--jobs", "1", "--longer-side", "160"),
        *("--skip", "guide", "--skip", "film", "--skip", "build", "--skip", "still"),
    ),
    "view": ("DESIGN", "--save", "OUT.html"),
    "engines": (),
    "help": ("v-fold",),
}
NAMES = (
    "it's", 'a "card"', "Grüße-Ñ", "two\nlines", "<script>alert(1)<script>", "-o", "%s{}", "a b",
)  # fmt: skip


def no_room(_: Path) -> None:
    """Files end after 200 bytes.

    Compiled modules of Python would end there too, and be broken for what runs next.
    """
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (200, 200))


def no_rights(folder: Path) -> None:
    """The folder and the cache can be read only."""
    os.environ["XDG_CACHE_HOME"] = str(folder / "none" / "cache")
    for path in (*folder.iterdir(), folder):
        path.chmod(0o555 if path.is_dir() else 0o444)
    _obey_rights()


def _obey_rights() -> None:
    """Root goes by the rights of files too, without CAP_DAC_OVERRIDE (capabilities(7))."""
    if os.geteuid() != 0:
        return
    libc = ctypes.CDLL(None, use_errno=True)
    head = (ctypes.c_uint32 * 2)(0x20080522, 0)
    sets = (ctypes.c_uint32 * 6)()
    libc.capget(head, sets)
    sets[0] &= ~(1 << 1 | 1 << 2)
    if libc.capset(head, sets):
        raise OSError(ctypes.get_errno(), "capset")


def no_home(_: Path) -> None:
    """Nobody says where the user's files lie, and the user is in no table of users."""
    for name in ("HOME", "XDG_CACHE_HOME", "FOLDSTAGE_CACHE", "USER", "LOGNAME"):
        os.environ.pop(name, None)

    def unknown(uid: int) -> None:
        raise KeyError(f"getpwuid(): uid not found: {uid}")

    pwd.getpwuid = unknown  # type: ignore[assignment]


class _Closed(io.StringIO):
    """A pipe whose reader has gone."""

    def write(self, _: str) -> int:
        raise BrokenPipeError(32, "Broken pipe")


AROUND: dict[str, Callable[[Path], None]] = {
    "no room": no_room,
    "no rights": no_rights,
    "no home": no_home,
}


_PIPE, _BESIDE = "closed pipe", "two at once"


@cache
def _drawing() -> bytes:
    """A ring of ink on white paper, as PNG."""
    from PIL import Image, ImageDraw

    paper, stream = Image.new("RGB", (80, 60), "white"), io.BytesIO()
    ImageDraw.Draw(paper).ellipse((20, 10, 60, 50), outline="black", width=4)
    paper.save(stream, format="PNG")
    return stream.getvalue()


def case(command: str, condition: str = "") -> Case:
    """A command in one of `AROUND`, with a ``closed pipe``, with a name of `NAMES`, or plain."""
    name, text = condition if condition in NAMES else "spring", LEAF
    if condition in STARTS:
        name, text = "Grüße-Ñ", LEAF.replace("One leaf", "Grüße → 新年")
    # A name that reads like an option is given as a path, as a shell's user would.
    lead = "./" if name.startswith("-") else ""
    words = [
        word.replace("DESIGN", f"{lead}{name}.toml").replace("OUT", f"{lead}out-{name}")
        for word in COMMANDS[command]
    ]
    files = {f"{name}.toml": text.encode(), "sign.svg": svg(SQUARE)}
    files["drawing.png"] = _drawing()
    if command == "catalog":
        files = {f"shop/{file}": content for file, content in files.items()}
    out = _Closed if condition == _PIPE else io.StringIO
    around = AROUND.get(condition)
    return Case(f"{command}, {condition}", files, (command, *words), around, out)


def play(command: str, condition: str) -> Outcome:
    """What becomes of a command in a condition of the table."""
    plain = case(command, condition)
    if condition in STOPS:
        return stopped(plain, condition, _undisturbed(command, False))
    if condition == _BESIDE:
        return twice(plain, _undisturbed(command, False))
    if condition in STARTS:
        return started(plain, condition, _undisturbed(command, True))
    if condition != _PIPE:
        return run(plain)
    with laid_out(plain) as folder:  # whole files may lie there, though nobody heard of them
        outcome = Running(replace(plain, may_leave=True), folder).outcome()
        here, whole = written(plain, folder), _undisturbed(command, False)
    return outcome if here.items() <= whole.items() else Outcome("left a file", str(here))


@cache
def _undisturbed(command: str, started: bool) -> dict[str, str]:
    """Digests of what a command writes when all is well."""
    plain = replace(case(command, next(iter(STARTS)) if started else ""), around=own_cache)
    with laid_out(plain) as folder:
        outcome = Running(plain, folder).outcome()
        assert outcome.good, outcome
        return written(plain, folder)


def matrix() -> list[tuple[str, str]]:
    """Every command with every condition."""
    conditions = (*AROUND, _PIPE, *NAMES, _BESIDE, *STARTS, *STOPS)
    return [(command, condition) for command in COMMANDS for condition in conditions]
