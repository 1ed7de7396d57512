"""How far paper is curled, kept in the user's cache folder from one run to the next."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from meshes import cache
from meshes.motion.asked import asked
from meshes.program import made_by

from .closing import STAGES, CurlCap, Shares, close
from .moved import close_moved
from .roll import Rolled, rolled

if TYPE_CHECKING:
    from meshes.spread import Spread


_ARRAYS = ("openings", "shares", "stopped")
_CAP_ARRAYS = ("openings", "places", "most")


def curling(spread: Spread) -> tuple[Rolled, Shares]:
    """The curled paper of a spread in strips, and how far it is curled at each opening."""
    paper = rolled(spread.linkage)
    if spread.shelf is None:
        return paper, _closed(spread, paper)
    bends = [paper.entries, paper.entry, paper.place, paper.width, paper.radius, paper.frames]
    name = cache.fingerprint("curl", made_by(), asked(paper.linkage, STAGES), bends)
    entry = spread.shelf.get(name)
    if entry is not None:
        return paper, _unpacked(entry)
    found = _closed(spread, paper)
    # A full or read-only disk costs the next command some time, and this one nothing.
    with suppress(OSError):
        spread.shelf.put(name, _packed(found))
    return paper, found


def _closed(spread: Spread, paper: Rolled) -> Shares:
    if spread.linkage.drives:
        return close_moved(paper, spread.linkage, spread.solve)
    return close(paper, spread.solve(STAGES))


def _packed(shares: Shares) -> bytes:
    arrays = {key: getattr(shares, key) for key in _ARRAYS}
    for n, cap in enumerate(shares.caps):
        arrays.update({f"{key}-{n}": getattr(cap, key) for key in _CAP_ARRAYS})
    caps = [[cap.entry, cap.hand] for cap in shares.caps]
    return cache.pack(arrays, [list(shares.against), list(shares.wedges), caps])


def _unpacked(entry: bytes) -> Shares:
    arrays, (against, wedges, caps) = cache.unpack(entry)
    return Shares(
        **{key: arrays[key] for key in _ARRAYS},
        against=tuple(against),
        wedges=tuple(wedges),
        caps=tuple(
            CurlCap(number, hand, **{key: arrays[f"{key}-{n}"] for key in _CAP_ARRAYS})
            for n, (number, hand) in enumerate(caps)
        ),
    )
