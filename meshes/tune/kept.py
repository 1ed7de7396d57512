"""What the tries of a search came to, kept in the user's cache: a search goes on where it was.

A search is the same every time, so with the outcomes of its tries it gets at once to where it was
stopped.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from os import PathLike
from pathlib import Path

import numpy as np

from .. import cache
from ..program import made_by
from .trial import Outcome, Variable, present
from .tries import Key
from .wish import Wish

# Our choice: searches of some ten thousand tries.
BOUND_BYTES = 16 << 20


def shelf() -> cache.Shelf | None:
    """Where outcomes are kept; None if the user has no cache folder."""
    folder = cache.user_folder()
    return None if folder is None else cache.Shelf(folder / "tries", BOUND_BYTES)


def name_of(
    path: str | PathLike[str], variables: Sequence[Variable], wishes: Sequence[Wish]
) -> str:
    """A digest of all that decides an outcome, the files that the design names included."""
    case = present(path).case
    drawn = [case.sheets, case.joins, case.linkage.drives]
    return cache.fingerprint("tries", made_by(), Path(path), drawn, list(variables), list(wishes))


def outcomes(shelf: cache.Shelf, name: str) -> dict[Key, Outcome]:
    """Outcomes that were kept under a name; none if there are none."""
    entry = shelf.get(name)
    if entry is None:
        return {}
    arrays, _ = cache.unpack(entry)
    ends = np.cumsum(arrays["lengths"].clip(0)).tolist()
    found: dict[Key, Outcome] = {}
    for row, share in enumerate(arrays["shares"]):
        length = int(arrays["lengths"][row])
        smooth = None if length < 0 else arrays["smooth"][ends[row] - length : ends[row]]
        key = share.tobytes(), bool(arrays["clashes"][row])
        penalty, whole = float(arrays["penalties"][row]), bool(arrays["whole"][row])
        found[key] = Outcome(smooth, penalty, whole)
    return found


def keep(shelf: cache.Shelf, name: str, known: Mapping[Key, Outcome]) -> None:
    """Keep outcomes under a name, in place of those that are there."""
    if not known:
        return
    rows = list(known.values())
    smooth = [np.zeros(0) if one.smooth is None else one.smooth for one in rows]
    arrays = {
        "shares": np.array([np.frombuffer(share) for share, _ in known]),
        "clashes": np.array([clashes for _, clashes in known]),
        "lengths": np.array([-1 if one.smooth is None else len(one.smooth) for one in rows]),
        "smooth": np.concatenate(smooth),
        "penalties": np.array([one.penalty for one in rows]),
        "whole": np.array([one.whole for one in rows]),
    }
    # A full or read-only disk costs the next search some time, and this one nothing.
    with suppress(OSError):
        shelf.put(name, cache.pack(arrays))
