"""What commands say whose results show rolled paper flat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.spread import Spread


def say_what_stays_flat(spread: Spread, what: str, terminal: Terminal) -> None:
    """Name the pieces with rolled paper, if there are any.

    Parameters
    ----------
    what : what the result leaves out, as in ``drafting sheets do not mark where``.
    """
    pieces = list(dict.fromkeys(sheet.piece for sheet in spread.sheets if sheet.curls))
    if pieces:
        names = ", ".join(pieces)
        terminal.say(f"{what} paper is rolled ({names}): see the guide or the printed pattern")
