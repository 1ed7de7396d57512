"""Rows of a catalog as the pages get them."""

from __future__ import annotations

from typing import Any

SIZES = ("A5", "B5", "A4")


def figured(number: int, name: str, title: str, *, fails: bool) -> dict[str, Any]:
    """A row with figures that differ from number to number."""
    return {
        "name": f"shelf/{name}-{number:02d}.toml",
        "title": f"{title} {number}",
        "status": "problems" if fails else "passes",
        "reasons": ["the ridge sticks out"] if fails else [],
        "page": SIZES[number % 3],
        "page_width_mm": 148,
        "page_height_mm": 210,
        "closed_thickness_mm": 1.4,
        "standing_height_mm": 50 + number,
        "opens_to_deg": 180.0,
        "pieces": 40 - number,
        "sheets": 9,
        "facets": 40,
        "folds": 30,
    }
