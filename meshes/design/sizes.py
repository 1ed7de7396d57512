"""Sizes of pages by name, width and height of one upright page, mm."""

from __future__ import annotations

from collections.abc import Mapping

# Source: NIST SP 811, appendix B.8: exactly 25.4 mm.
_INCH = 25.4


def _halved(name: str, width: int, height: int) -> dict[str, tuple[float, float]]:
    """Sizes 0 to 10: each is the one before cut in half, rounded down to whole mm (ISO 216)."""
    sizes: dict[str, tuple[float, float]] = {}
    for k in range(11):
        sizes[f"{name}{k}"] = (float(width), float(height))
        width, height = height // 2, width
    return sizes


# Source: ANSI/ASME Y14.1; the first is US letter.
_ANSI = {
    "ansi-a": (8.5, 11.0),
    "ansi-b": (11.0, 17.0),
    "ansi-c": (17.0, 22.0),
    "letter": (8.5, 11.0),
    "half-letter": (5.5, 8.5),
    "legal": (8.5, 14.0),
    "tabloid": (11.0, 17.0),
}

# Source: ISO 216:2007, sizes A0 and B0.
PAGES: Mapping[str, tuple[float, float]] = (
    _halved("a", 841, 1189)
    | _halved("b", 1000, 1414)
    | {name: (w * _INCH, h * _INCH) for name, (w, h) in _ANSI.items()}
)
