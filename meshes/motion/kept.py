"""Motions kept in the user's cache folder, so that an unchanged design is solved once.

An entry stands under a digest of all that decides a motion, the program and the libraries that
compute it included. What comes from the shelf is bit for bit what the solver would find.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import asdict, fields

import numpy as np

from meshes import cache
from meshes.linkage import Linkage
from meshes.program import made_by

from .asked import asked
from .result import Motion, MotionFinding

# Our choice: some hundred motions of the largest shipped designs.
BOUND_BYTES = 96 << 20
Driven = Mapping[str, "float | np.ndarray"]


def shelf() -> cache.Shelf | None:
    """Where motions are kept; None if the user has no cache folder."""
    folder = cache.user_folder()
    return None if folder is None else cache.Shelf(folder / "motions", BOUND_BYTES)


def solved_once(
    shelf: cache.Shelf,
    linkage: Linkage,
    openings: np.ndarray,
    driven: Driven,
    solve: Callable[[], Motion],
) -> Motion:
    """The motion that was kept, or else the one that `solve` finds, which is kept then.

    Parameters
    ----------
    openings : shape (S,), radians.
    driven : what a hand moves, as :func:`meshes.drive.solve` takes it.
    """
    name = cache.fingerprint(
        "motion",
        made_by(),
        asked(linkage, openings),
        dict(driven),
    )
    entry = shelf.get(name)
    if entry is not None:
        return _unpacked(entry)
    motion = solve()
    # A full or read-only disk costs the next command some time, and this one nothing.
    with suppress(OSError):
        shelf.put(name, _packed(motion))
    return motion


class LastMotion:
    """The last motion of a spread that was solved, of which the next one may be a part.

    Another process does without it.
    """

    def __init__(self) -> None:
        self.motion: Motion | None = None

    def part(self, openings: np.ndarray) -> Motion | None:
        """The motion at openings of shape (S,), radians, if they are all in it."""
        return None if self.motion is None else self.motion.part(openings)

    def __reduce__(self) -> tuple[type[LastMotion], tuple[()]]:
        """Nothing of it travels."""
        return LastMotion, ()


def _packed(motion: Motion) -> bytes:
    arrays = {one.name: getattr(motion, one.name) for one in fields(motion)}
    findings = [asdict(finding) for finding in arrays.pop("findings")]
    return cache.pack(arrays, findings, squeeze=False)


def _unpacked(entry: bytes) -> Motion:
    arrays, findings = cache.unpack(entry)
    return Motion(**arrays, findings=tuple(MotionFinding(**finding) for finding in findings))
