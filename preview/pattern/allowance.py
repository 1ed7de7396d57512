"""What is said of the allowance for thick paper: a line for people, a row for scripts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from meshes.allowance import Allowed, Change, allowed
from meshes.spread import Spread
from preview.roles import counted, listed, plain, role, the

from .layout import Options, Pattern, lay_out
from .proof import prove_allowed
from .template import templates


def to_cut(spread: Spread, allowance: bool) -> Allowed:
    """The sheets of a spread as they are cut, with an allowance for thick paper or as designed.

    Raises
    ------
    DesignError
        If a sheet differs from its design anywhere but where this is stated.
    """
    if not allowance:
        return Allowed(spread.sheets, spread.joins, spread.linkage.drives)
    cut = allowed(spread)
    prove_allowed(spread.sheets, cut)
    return cut


def lay_out_cut(
    title: str,
    cut: Allowed,
    options: Options,
    angles: Mapping[str, float] | None = None,
    care: Mapping[str, float] | None = None,
) -> Pattern:
    """Nest and mark the sheets as they are cut.

    Parameters
    ----------
    angles : of the folds at full opening by name, degrees, where they shall be told.
    care : of folds by name, mm that they forgive, where a hand must take care.
    """
    made = templates(cut.sheets, cut.joins, angles, cut.drives, care)
    return lay_out(title, made, options, cut.changes)


def told(change: Change) -> str:
    """One sentence for the legend and for messages."""
    return f"{', '.join([plain(change.piece), *_layer(change)])}: {said(change)}"


def in_a_step(changes: Sequence[Change]) -> list[str]:
    """What the step says in which the sheets are cut out.

    What several layers of a flower leave free is told in one sentence.
    """
    cut = [c for c in changes if c.why == "shut" and not c.kept]
    layers = list(dict.fromkeys(layer for c in cut for layer in _layer(c)))
    if len(layers) < 2 or not all(_layer(c) for c in cut):
        cut, layers = [], []
    # Pieces that are cut back alike are told of once.
    found = list(
        dict.fromkeys(
            f"Thickness{''.join(f' of the {layer}' for layer in _layer(c))}: {said(c)}"
            for c in changes
            if not any(c is other for other in cut)
        )
    )
    if cut:
        back = max(-c.by for c in cut)
        found.append(
            f"Thickness: the {listed(layers)} are cut back up to {back:.1f} mm beside folds that "
            f"shut over them; put no glue within {max(c.tightest.keep for c in cut):.1f} mm of "
            "these folds."
        )
    return found


def _layer(change: Change) -> list[str]:
    """The layer of a flower that a fold shuts over; none for other sheets."""
    layer = change.pinches and all(n.startswith(f"{change.sheet}-") for n in change.facets)
    return [f"{plain(change.sheet)} layer"] if layer else []


def said(change: Change) -> str:
    """The same without the name of the piece."""
    if change.why == "shut":
        return _beside_folds(change)
    other = the(plain(change.other))
    most = max(change.facets.values(), key=abs)
    size = f"{abs(most):.2f} mm {'wider' if most > 0 else 'narrower'}"
    if change.kept:
        return (
            f"cut as designed, though the thickness of {other} asks for {size}, since "
            f"{change.kept}; leave it some slack there."
        )
    if change.why == "inside":
        return f"sides are cut up to {size}, so that it goes into {other}."
    if change.why == "round":
        return f"sides are cut up to {size}, so that it goes round {other}."
    if change.why == "closed":
        where = "inside" if most < 0 else "outside"
        return f"{_list(change)} cut {size}, since what closes it lies {where}."
    if change.why == "loop":
        return f"{role(change.sheet)} is cut {size}, so that the strip runs under it."
    return f"slits are cut {abs(most):.2f} mm wider, so that {other} goes through."


def _beside_folds(change: Change) -> str:
    """What is said where a fold shuts over a sheet."""
    tight = change.tightest
    piece, _, fold = tight.fold.partition(".")
    host = "" if piece in (change.piece, "page") else f" of {the(plain(piece))}"
    where = f"{the(role(fold))}{host}"
    stack = f"{counted(tight.layers, 'layer')}, {tight.stack:.1f} mm thick"
    if change.kept:
        return (
            f"cut as designed, though {where} shuts over {stack}, and asks for {tight.keep:.1f} mm "
            f"left free beside it, since {change.kept}; use thinner paper, fewer layers or "
            "narrower inner ones, or leave it unglued that near to the fold, so that it gives way."
        )
    others = len({pinch.fold for pinch in change.pinches}) - 1
    more = f", and beside {counted(others, 'more fold')}" * bool(others)
    return (
        f"cut back up to {-change.by:.1f} mm beside {where}, which shuts over {stack}{more}; put "
        f"no glue within {tight.keep:.1f} mm of that fold."
    )


def _list(change: Change) -> str:
    *first, last = map(plain, change.facets)
    return f"sides {', '.join(first)} and {last} are" if first else f"side {last} is"


def row(change: Change) -> dict[str, Any]:
    """The same for a script, mm: larger than designed, or smaller if negative."""
    return {
        "piece": change.piece,
        "sheet": change.sheet,
        "reason": change.why,
        "host": change.other,
        "most_mm": round(change.by, 4),
        "facets_mm": {name: round(by, 4) for name, by in change.facets.items()},
        "left_as_designed": change.kept,
        "beside_folds": [
            {
                "fold": pinch.fold,
                "facet": pinch.facet,
                "keep_free_mm": round(pinch.keep, 4),
                "cut_back_mm": round(pinch.depth, 4),
                "stack_mm": round(pinch.stack, 4),
                "layers": pinch.layers,
            }
            for pinch in change.pinches
        ],
    }
