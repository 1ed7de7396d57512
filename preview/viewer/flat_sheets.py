"""The flat sheets of a chosen piece as a page draws them, and where its numbers are seen there."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from typing import Any

import numpy as np

from meshes.pull.choose import edit_path
from meshes.pull.marks import FlatSheet, figures, marks
from meshes.pull.sketch import Sketch
from meshes.spread import Spread

Json = dict[str, Any]
# Of a millimetre; the drawing is as wide as a hand.
_DECIMALS = 2


def flat_sheets(text: str, spread: Spread, piece: str) -> Json:
    """What a page needs to draw them.

    Parameters
    ----------
    spread : of the text.

    Returns
    -------
    ``figures``: the sheets, then what the piece is glued to, each with outlines as x, y, x, y …
    (``facets``, ``under``) and ``folds`` as x, y, x, y and 1 for a mountain, -1 for a valley;
    ``marks``: by the path of a key with dots, its ``figure``, ``kind`` and ``points``; see
    :class:`meshes.pull.marks.Mark`. Nothing of a piece that is not there any more.
    """
    if piece not in spread.built:
        return {"figures": [], "marks": {}}
    sketch = Sketch(tomllib.loads(text.removeprefix("\ufeff")), spread)
    return {
        "figures": [_told(figure) for figure in figures(spread, piece)],
        "marks": {
            ".".join(edit_path(path)): {
                "figure": mark.figure,
                "kind": mark.kind,
                "points": _flat([mark.points])[0],
            }
            for path, mark in marks(sketch, piece).items()
        },
    }


def _told(figure: FlatSheet) -> Json:
    return {
        "name": f"{figure.piece}.{figure.name}",
        "facets": _flat(figure.facets),
        "under": _flat(figure.under),
        "folds": [
            [*line, sign]
            for line, (_, sign) in zip(
                _flat(ends for ends, _ in figure.folds), figure.folds, strict=True
            )
        ],
    }


def _flat(lines: Iterable[np.ndarray]) -> list[list[float]]:
    return [np.round(line, _DECIMALS).ravel().tolist() for line in lines]
