"""What is wrong with text that is no TOML, where, and the line that would be sound.

A cure is tried before it is told: with its line put in, the text must be read at least as far as
beyond that line.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass

_AT = re.compile(r" \(at line (\d+), column (\d+)\)$")
_CURLY = str.maketrans("“”„‟«»‘’‚‛", '""""""\'\'\'\'')
_DECIMAL = re.compile(r"(?<![\w.\"'])([-+]?\d+),(\d+)(?![\w,.])")
_COLOUR = re.compile(r"=\s*(#[0-9a-fA-F]{3,8})\s*$")
_COLON = re.compile(r"^(\s*[\w.-]+)\s*:\s*(?=\S)")
_HEADER = re.compile(r"^(\s*\[+)([^\]\"']*\S\s+\S[^\]\"']*)(\]+.*)$")
_SPACED = re.compile(r"^(\s*)([A-Za-z][\w-]*(?: +[A-Za-z][\w-]*)+)(\s*=)")
_WORD = re.compile(r"(=\s*)([A-Za-z][\w. -]*?)(\s*(?:#.*)?)$")
# Characters of a line that a message shows: our choice.
_LONGEST = 70


@dataclass(frozen=True)
class Slip:
    """One mistake in the text.

    Parameters
    ----------
    problem : what is wrong, with its line.
    found : the line, with a marker where reading stopped.
    advice : what to write instead, or nothing.
    """

    problem: str
    found: str = ""
    advice: str = ""


def explain(text: str, error: tomllib.TOMLDecodeError) -> Slip:
    """Say in the maker's words what the parser stumbled over."""
    reason = str(error)
    where = _AT.search(reason)
    lines = text.splitlines()
    if where is not None:
        number, column = int(where[1]), int(where[2])
    else:  # at the end of the text
        number, column = len(lines), len(lines[-1]) + 1 if lines else 1
    if not 1 <= number <= len(lines):
        return Slip(f"is not valid TOML: {_small(reason)}")
    line = lines[number - 1]
    # Where a value never ends, reading stops at the next line.
    if not line[: column - 1].strip() and number > 1 and "nterminated" in reason:
        number, line, column = number - 1, lines[number - 2], len(lines[number - 2]) + 1
    for why, cure in _cures(line):
        if cure != line and _reads_on(lines, number, cure):
            return Slip(
                f"is not valid TOML, line {number}: {why}", _marked(line, column), cure.strip()
            )
    again = _told_before(lines, number, reason)
    if again is not None:
        return Slip(f"is not valid TOML, line {number}: {again}", _marked(line, column))
    problem = f"is not valid TOML, line {number}: {_small(reason.partition(' (at ')[0])}"
    return Slip(problem, _marked(line, column))


def _cures(line: str) -> Iterator[tuple[str, str]]:
    """What may be wrong with a line, and the line without it."""
    yield "curly quotes, where straight ones belong", line.translate(_CURLY)
    yield "a comma for a decimal point", _DECIMAL.sub(r"\1.\2", line)
    yield "a colour without quotes, which counts as a comment", _COLOUR.sub(r'= "\1"', line)
    yield "a colon, where = belongs", _COLON.sub(r"\1 = ", line)
    yield "a blank in a name", _HEADER.sub(_joined("-"), line)
    yield "a blank in a key", _SPACED.sub(_joined("_"), line)
    if line.count('"') % 2:
        yield "a quote that is never closed", line.rstrip() + '"'
    yield "text without quotes", _WORD.sub(r'\1"\2"\3', line)


def _joined(sign: str) -> Callable[[re.Match[str]], str]:
    def without_blanks(found: re.Match[str]) -> str:
        return found[1] + re.sub(r"\s+", sign, found[2].strip()) + found[3]

    return without_blanks


def _reads_on(lines: list[str], number: int, cure: str) -> bool:
    """Whether the text with another line is read beyond that line."""
    try:
        tomllib.loads("\n".join([*lines[: number - 1], cure, *lines[number:]]))
    except tomllib.TOMLDecodeError as error:
        where = _AT.search(str(error))
        return where is not None and int(where[1]) > number + 1
    except (ValueError, RecursionError):
        return False
    return True


def _told_before(lines: list[str], number: int, reason: str) -> str | None:
    """Which line had the same key or table, for those that stand twice."""
    if "overwrite" not in reason and "twice" not in reason:
        return None
    own = lines[number - 1].partition("=")[0].strip()
    for before in range(number - 1, 0, -1):
        if lines[before - 1].partition("=")[0].strip() == own:
            return f"{own} would overwrite the one in line {before}; each name only once"
    return None


def _marked(line: str, column: int) -> str:
    """The line with a marker in front of the place, cut to a readable length."""
    start = max(0, column - 1 - _LONGEST // 2)
    part = f"{line[start : column - 1]}▸{line[column - 1 : start + _LONGEST]}"
    return ("…" if start else "") + part.strip() + ("…" if len(line) > start + _LONGEST else "")


def _small(reason: str) -> str:
    return reason[:1].lower() + reason[1:]
