"""The building order of a spread, proved; whoever prints anything of it asks here first.

A proved order is kept beside the motions in the user's cache, under a digest of all that decides
it, the program included: a pattern and its guide prove it once.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any

import numpy as np

from meshes.drive import in_order
from meshes.errors import DesignError, Mistake

from .order import order
from .step import BuildError, Step

if TYPE_CHECKING:
    from meshes.motion.result import Motion
    from meshes.spread import Spread

# Openings at which it is looked at whether a hand reaches each glue area: our choice.
LOOKED_AT_DEG = (0.0, 20.0, 45.0, 70.0, 95.0, 120.0, 150.0, 180.0)
# How far a flyleaf is lifted meanwhile, as shares of its way to the other page: our choice.
_LIFTED = (0.25, 0.5, 0.75)


def proved(spread: Spread) -> tuple[Step, ...]:
    """Steps that hands can carry out, one after the other.

    Raises
    ------
    DesignError
        If there are none: with the pieces, and the step at which it ends.
    """
    try:
        return proved_order(spread)
    except BuildError as error:
        mistake = Mistake(
            spread.design.file,
            f"can't be built: {error}",
            ", ".join(error.pieces),
            advice="foldstage check, or glue one of them to something else",
        )
        raise DesignError([mistake]) from None


def proved_order(spread: Spread) -> tuple[Step, ...]:
    """The same steps; BuildError if there are none."""
    kept = _Kept(spread)
    steps = kept.get()
    if steps is None:
        steps = order(spread.sheets, spread.joins, spread.linkage, within_reach(spread))
        kept.put(steps)
    return steps


def within_reach(spread: Spread) -> Motion:
    """The motion from closed to open, and before its last stage that with flyleaves lifted.

    What stands behind a flyleaf is shut flat however far the notebook is open: a hand lifts the
    leaf to get at it.
    """
    main = spread.solve(np.radians(LOOKED_AT_DEG))
    leaves = in_order([drive for drive in spread.linkage.drives if drive.kind == "flyleaf"])
    if not main.solved.all():
        return main
    lifted = []
    for turned in range(len(leaves)):
        shares: dict[str, float | np.ndarray] = {
            drive.name: 0.0 if k < turned else 1.0 for k, drive in enumerate(leaves)
        }
        shares[leaves[turned].name] = np.array(_LIFTED)
        lifted.append(spread.solve(np.full(len(_LIFTED), np.pi), shares))
    return _spliced(main, lifted)


def _spliced(main: Motion, others: Sequence[Motion]) -> Motion:
    """The solved stages of other motions before the last stage of one."""
    last = len(main.openings) - 1
    columns: dict[str, Any] = {}
    for name in ("openings", "solved", "rotations", "translations", "angles", "gaps"):
        own = getattr(main, name)
        more = [getattr(motion, name)[motion.solved] for motion in others]
        columns[name] = np.concatenate([own[:last], *more, own[last:]])
    return dataclasses.replace(main, **columns)


class _Kept:
    """The place of a spread's order on its shelf, if it has one."""

    def __init__(self, spread: Spread) -> None:
        self._shelf, self._name = spread.shelf, ""
        if self._shelf is None:
            return
        from meshes import cache
        from meshes.motion.asked import asked
        from meshes.program import made_by

        self._name = cache.fingerprint(
            "order",
            made_by(),
            asked(spread.linkage, np.radians(LOOKED_AT_DEG)),
            spread.joins,
            [(sheet.piece, sheet.name, sheet.paper.caliper) for sheet in spread.sheets],
        )

    def get(self) -> tuple[Step, ...] | None:
        from meshes import cache

        entry = self._shelf.get(self._name) if self._shelf else None
        return None if entry is None else tuple(map(_step, cache.unpack(entry)[1]))

    def put(self, steps: tuple[Step, ...]) -> None:
        from meshes import cache

        if self._shelf is None:
            return
        rows = [{**dataclasses.asdict(step), "present": sorted(step.present)} for step in steps]
        # A full or read-only disk costs the next command some time, and this one nothing.
        with suppress(OSError):
            self._shelf.put(self._name, cache.pack({}, rows))


def _step(row: dict[str, Any]) -> Step:
    """A step as it was kept: JSON knows lists only."""
    found: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value for name, value in row.items()
    }
    return Step(**{**found, "present": frozenset(row["present"])})
