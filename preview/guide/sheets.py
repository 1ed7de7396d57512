"""The printed sheets that a guide goes with: on its own size of paper, else on a larger one."""

from __future__ import annotations

from meshes.allowance import Allowed
from meshes.spread import Spread
from preview.errors import UseError
from preview.pattern.fitting import SIZES
from preview.pattern.layout import Options, Pattern, lay_out
from preview.pattern.stock import Stock, stock
from preview.pattern.template import templates


def printed_on(spread: Spread, paper: Stock, cut: Allowed | None = None) -> Pattern:
    """The pattern on a size of paper, large pieces in parts.

    Where that takes a piece neither whole nor in parts, it is the pattern on the smallest usual
    sheet that takes all of them.

    Parameters
    ----------
    cut : the sheets as they are cut, if that is not as designed.

    Raises
    ------
    UseError
        If none does; it names the piece.
    """
    cut = cut or Allowed(spread.sheets, spread.joins, spread.linkage.drives)
    made = templates(cut.sheets, cut.joins, None, cut.drives)
    area = paper.width * paper.height
    larger = [sheet for sheet in map(stock, SIZES) if sheet.width * sheet.height > area]
    error: UseError | None = None
    for sheet in (paper, *larger):
        try:
            return lay_out(spread.design.title, made, Options(stock=sheet, split=True), cut.changes)
        except UseError as found:
            error = error or found
    assert error is not None
    raise error


def in_parts(pattern: Pattern) -> bool:
    """Whether any piece of a pattern comes in parts."""
    return any(placed.template.part for page in pattern.pages for placed in page.placed)
