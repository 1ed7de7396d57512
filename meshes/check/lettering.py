"""Whether letters fit on their paper."""

from __future__ import annotations

from dataclasses import replace

import shapely

from ..art import Lettering, ink
from ..sheet import Sheet
from .case import Case
from .finding import Finding

# Less than this is an edge that a knife would not hit either. Our choice.
_CUT_PERCENT = 0.5
# Sizes are told to this, mm, and none smaller than the second is worth printing. Our choice.
_STEP_MM, _SMALLEST_MM = 0.1, 1.0


def lettering(case: Case) -> list[Finding]:
    """A warning for each line of text of which the knife would take some."""
    found = []
    for sheet in case.sheets:
        for item in sheet.art:
            if isinstance(item, Lettering):
                share = cut_share(sheet, item)
                if share > _CUT_PERCENT:
                    found.append(_cut(sheet, item, share))
    return found


def cut_share(sheet: Sheet, item: Lettering) -> float:
    """Percent of a line's ink that lies beyond the paper of its sheet, 0 to 100."""
    points = ink(item)
    if not len(points):
        return 0.0
    paper = sheet.outline
    shapely.prepare(paper)
    return float(100 * (1 - shapely.contains_xy(paper, points).mean()))


def _cut(sheet: Sheet, item: Lettering, share: float) -> Finding:
    fits = _largest(sheet, item)
    return Finding(
        "looks",
        "warning",
        "lettering cut",
        sheet.piece,
        (),
        f"{share:z.0f} % of the lettering {_shortened(item.text)} lies beyond the paper of "
        f"{sheet.piece} and would be cut off",
        trim=f"a size of {fits:z.1f} mm fits there" if fits else "",
        amount=share,
        unit="percent",
        limit=_CUT_PERCENT,
    )


def _largest(sheet: Sheet, item: Lettering) -> float | None:
    """The largest size at which the line fits where it is, mm; None if none does."""
    low, high = 0, int(item.size / _STEP_MM)
    while high - low > 1:
        middle = (low + high) // 2
        tried = replace(item, size=middle * _STEP_MM)
        low, high = (middle, high) if cut_share(sheet, tried) <= _CUT_PERCENT else (low, middle)
    size = low * _STEP_MM
    return size if size >= _SMALLEST_MM else None


def _shortened(text: str, most: int = 40) -> str:
    return repr(text if len(text) <= most else text[: most - 1] + "…")
