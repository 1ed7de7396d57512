"""What commands say whose pictures the gl engine draws plainer than the design has them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .terminal import Terminal

if TYPE_CHECKING:
    from meshes.spread import Spread
    from preview.drawing.render import EngineName


def say_what_gl_leaves_out(spread: Spread, engine: EngineName, terminal: Terminal) -> None:
    """Name what of a design the gl engine does not show, if it draws and there is any, in a line.

    It lets lit paper shine, but lights no other paper by it, and shows all paper as smooth card.
    """
    from preview.drawing.render.ray.engine import why_not

    if engine == "ray" or (engine == "auto" and why_not() is None):
        return
    sheets = [sheet for sheet in spread.sheets if sheet.piece != "page"]
    finishes = sorted({sheet.paper.finish for sheet in sheets} - {"smooth"})
    left_out = [f"the finish of paper ({', '.join(finishes)})"] if finishes else []
    if any(sheet.paper.core for sheet in sheets):
        left_out.append("the core of card at its edges and folds")
    if any(sheet.glow is not None for sheet in sheets):
        left_out.append("light of lamps on other paper")
    if left_out:
        terminal.say(f"the gl engine does not show {', nor '.join(left_out)}; --engine ray does")
