"""When a page is turned and when the spread opens, in a film that begins a page earlier."""

from __future__ import annotations

import numpy as np

from ..errors import UseError
from .schedule import Schedule, eased

# A page that lies on folded paper stands off a little, radians. Our choice.
AJAR = float(np.radians(3.0))
# Shares of the time: at rest, the page is turned, at rest, the spread opens, at rest. Our choice.
SHARES = (0.06, 0.30, 0.04, 0.42, 0.18)
# A shorter film would show less of it than an eye can follow, seconds. Our choice.
SHORTEST_S = 3.0


def schedule(
    seconds: float, fps: float, span: tuple[float, float] = (0.0, float(np.pi))
) -> Schedule:
    """What such a film shows when; how far the page is turned stands in place of a travel.

    Parameters
    ----------
    span : smallest and largest opening, radians.

    Raises
    ------
    UseError
        If it is too short, or the spread opens less than what a page stands off.
    """
    if seconds < SHORTEST_S:
        raise UseError(f"turning a page in {seconds:g} s; allowed: {SHORTEST_S:g} s and more")
    first, last = max(span[0], AJAR), span[1]
    if last <= first:
        raise UseError(
            f"the spread opens to {np.degrees(last):.4g}°; a film that turns a page takes more "
            f"than {np.degrees(first):.4g}°"
        )
    ends = np.cumsum(SHARES)
    time = np.linspace(0.0, 1.0, round(seconds * fps))
    rows = np.zeros((len(time), 4))
    turned = eased(np.clip((time - ends[0]) / SHARES[1], 0.0, 1.0))
    rows[:, 0] = first + (last - first) * eased(np.clip((time - ends[2]) / SHARES[3], 0.0, 1.0))
    rows[:, 2] = turned
    poses, order = np.unique(rows, axis=0, return_inverse=True)
    return Schedule(poses, order.ravel(), fps)
