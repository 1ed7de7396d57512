"""The one class of errors that a user can cause."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Mistake:
    """One thing that is wrong in a design, said so that it can be mended at once."""

    file: str
    problem: str
    piece: str = ""
    key: str = ""
    found: str = ""
    allowed: str = ""
    advice: str = ""

    def __str__(self) -> str:
        where = ": ".join(part for part in (self.file, self.piece, self.key) if part)
        parts = [f"{where}: {self.problem}" if where else self.problem]
        if self.found:
            parts.append(f"found {self.found}")
        if self.allowed:
            parts.append(f"allowed: {self.allowed}")
        if self.advice:
            parts.append(f"try: {self.advice}")
        text = " ".join("; ".join(parts).splitlines())
        # Text of the file may hold anything; a terminal must not obey it.
        return "".join(letter if letter.isprintable() else "?" for letter in text)


class DesignError(Exception):
    """All mistakes of one design file; its text has one line for each."""

    def __init__(self, mistakes: Sequence[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(mistake) for mistake in self.mistakes))

    def __reduce__(self) -> tuple[type[DesignError], tuple[tuple[Mistake, ...]]]:
        return DesignError, (self.mistakes,)
