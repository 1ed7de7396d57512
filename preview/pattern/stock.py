"""Sizes of the sheets that go through a printer or a cutting machine."""

from __future__ import annotations

import re
from dataclasses import dataclass

from preview.errors import UseError

# Source: ISO 216:2007, trimmed sizes; Letter is 8.5 × 11 in (ANSI/ASME Y14.1, size A).
SIZES_MM: dict[str, tuple[float, float]] = {
    "A2": (420.0, 594.0),
    "A3": (297.0, 420.0),
    "A4": (210.0, 297.0),
    "A5": (148.0, 210.0),
    "B4": (250.0, 353.0),
    "B5": (176.0, 250.0),
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
}
LEAST_MM, MOST_MM = 50.0, 2000.0  # our choice


@dataclass(frozen=True)
class Stock:
    """One size of sheet, mm."""

    name: str
    width: float
    height: float

    @property
    def option(self) -> str:
        """What `--page` calls it."""
        return self.name if self.name in SIZES_MM else f"{self.width:g}x{self.height:g}"

    @property
    def landscape(self) -> Stock:
        """The same sheet with its long side lying."""
        return Stock(self.name, max(self.width, self.height), min(self.width, self.height))

    @property
    def upright(self) -> Stock:
        """The same sheet with its long side standing."""
        return Stock(self.name, min(self.width, self.height), max(self.width, self.height))


def stock(text: str) -> Stock:
    """The sheet called `text`: a name such as ``A4``, or ``WIDTHxHEIGHT`` in mm.

    Raises
    ------
    UseError
        If it is neither.
    """
    for name, (width, height) in SIZES_MM.items():
        if name.lower() == text.strip().lower():
            return Stock(name, width, height)
    match = re.fullmatch(r"(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)(?:\s*mm)?", text.strip())
    if match:
        width, height = float(match[1]), float(match[2])
        if min(width, height) >= LEAST_MM and max(width, height) <= MOST_MM:
            return Stock(f"{width:g} × {height:g} mm", width, height)
    raise UseError(
        f"no sheet size {text!r}; allowed: {', '.join(SIZES_MM)}, or WIDTHxHEIGHT in mm from "
        f"{LEAST_MM:g} to {MOST_MM:g}, such as 210x297"
    )
