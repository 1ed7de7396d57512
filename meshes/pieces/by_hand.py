"""Sheets of a drawing that a hand moves: they turn about a pin, slide on a track, or are pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from meshes.drawn import REACH_MM, Drawing, DrawingError, Move
from meshes.sheet import Drive, Join, Placement
from meshes.site import CreaseSite

from .flyleaf import creases_of
from .piece import Context

_MIRROR = Placement(flipped=True)


@dataclass(frozen=True)
class ByHand:
    """A drawing whose moving sheet is laid instead of glued.

    Parameters
    ----------
    drawing : with a page that turns in the coordinates of the right page.
    joins : those that are glue.
    """

    drawing: Drawing
    joins: tuple[Join, ...]
    drives: tuple[Drive, ...] = ()
    creases: tuple[CreaseSite, ...] = ()


def by_hand(
    context: Context,
    drawing: Drawing,
    names: Sequence[Mapping[str, str]],
    joins: Sequence[Join],
) -> ByHand:
    """Take the sheet with a pin, track or spine out of the glue.

    Parameters
    ----------
    names : for each sheet, its facets' names within the piece.
    joins : on facets of the spread and of the piece.

    Raises
    ------
    DrawingError
        If more than one sheet moves, or it does not lie in one place.
    """
    moving = [(k, sheet.move) for k, sheet in enumerate(drawing.sheets) if sheet.move is not None]
    if not moving:
        return ByHand(drawing, tuple(joins))
    if len(moving) > 1:
        raise DrawingError(
            "two of its sheets are moved by hand; draw the second as a piece of its own"
        )
    k, move = moving[0]
    own = {context.id(name) for name in names[k].values()}
    laid = [join for join in joins if join.facet in own]
    if len(laid) != 1:
        raise DrawingError(
            f"{drawing.sheets[k].name}: is moved by hand and lies in {len(laid)} places; draw one "
            "glue area on it, and its place where it lies"
        )
    glued = tuple(join for join in joins if join is not laid[0])
    if move.kind == "flyleaf":
        return _page(context, drawing, k, move, laid[0], glued)
    return ByHand(drawing, glued, (_drive(context, move, laid[0]),))


def _drive(context: Context, move: Move, laid: Join) -> Drive:
    start, end = move.ends[0], move.ends[-1]
    if move.kind == "turn":
        return Drive(context.name, "turn", laid, (float(start[0]), float(start[1])), move.turn)
    reach = float(np.linalg.norm(end - start))
    x, y = (end - start) / reach
    return Drive(context.name, "slide", laid, (float(x), float(y)), reach)


def _page(
    context: Context, drawing: Drawing, k: int, move: Move, laid: Join, glued: tuple[Join, ...]
) -> ByHand:
    """A flyleaf: its sheet in the coordinates of the right page, on which it can lie."""
    sheet = drawing.sheets[k]
    if laid.host not in ("page.left", "page.right") or sheet.folds:
        raise DrawingError(
            f"{move.label}: a page that turns has no folds and lies on a page of the spread"
        )
    right = laid.host == "page.right"
    placement = laid.placement if right else _MIRROR.after(laid.placement)
    if placement.flipped:
        raise DrawingError(
            f"{move.label}: the printed side of a page that turns looks up where it lies on the "
            "right; draw its place as it is on the right, or mirrored on the left"
        )
    off = float(np.abs(placement.apply(move.ends)[:, 0]).max())
    if off > REACH_MM:
        raise DrawingError(f"{move.label}: lies {off:.2f} mm from the gutter; allowed: in it")
    sheets = list(drawing.sheets)
    sheets[k] = sheet.placed(placement)
    back = placement.inverse()
    joins = tuple(
        replace(join, placement=placement.after(join.placement))
        if join.host == laid.facet
        else replace(join, placement=join.placement.after(back))
        if join.facet == laid.facet
        else join
        for join in glued
    )
    drive = Drive(
        context.name,
        "flyleaf",
        Join(laid.facet, "page.right", Placement()),
        (0.0, 0.0),
        1.0,
        rest=1.0 if right else 0.0,
    )
    gutter = context.crease("gutter", 1)
    creases = creases_of(context, laid.facet, gutter.left, gutter)
    return ByHand(replace(drawing, sheets=tuple(sheets)), joins, (drive,), creases)
