"""What the pictures of a guide mean, told on its first page."""

from __future__ import annotations

from typing import Literal

Sign = Literal["letter", "glue", "arrow", "mountain", "valley"]

LEGEND: tuple[tuple[Sign, str], ...] = (
    ("letter", "Letters are on the printed sheets too: on the glue, and where it lands."),
    (
        "glue",
        "Glue, and the place where it lands. Beside the picture lies the part, flat, with its "
        "number, seen from the side that gets the glue.",
    ),
    ("arrow", "Where something goes: laid, pushed through, folded shut or closed."),
    ("mountain", "Mountain: fold away from you, the line on top."),
    ("valley", "Valley: fold towards you, the line in the hollow."),
)
