"""How far paper is curled, kept in the user's cache folder from one run to the next."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from meshes import cache
from meshes.motion.asked import asked
from meshes.program import made_by

from .closing import STAGES, Shares, close
from .roll import Rolled, rolled

if TYPE_CHECKING:
    from meshes.spread import Spread


def curling(spread: Spread) -> tuple[Rolled, Shares]:
    """The curled paper of a spread in strips, and how far it is curled at each opening."""
    paper = rolled(spread.linkage)
    if spread.shelf is None:
        return paper, close(paper, spread.solve(STAGES))
    bends = [paper.entries, paper.entry, paper.place, paper.width, paper.radius, paper.frames]
    name = cache.fingerprint("curl", made_by(), asked(paper.linkage, STAGES), bends)
    entry = spread.shelf.get(name)
    if entry is not None:
        arrays, against = cache.unpack(entry)
        return paper, Shares(**arrays, against=tuple(against))
    found = close(paper, spread.solve(STAGES))
    arrays = {key: getattr(found, key) for key in ("openings", "shares", "stopped")}
    # A full or read-only disk costs the next command some time, and this one nothing.
    with suppress(OSError):
        spread.shelf.put(name, cache.pack(arrays, list(found.against)))
    return paper, found
