"""When a film shows what: openings, turns of the table and travels of the camera, over its frames.

A pose is drawn once, however often a film shows it: closing shows the poses of opening in reverse,
and a pause is one pose.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from typing import Literal

import numpy as np

from ..errors import UseError

Action = Literal["open-close", "open", "close", "turntable", "stand"]
ACTIONS: dict[Action, str] = {
    "open-close": "opens and closes again",
    "open": "opens",
    "close": "closes",
    "turntable": "stands open while the table turns once",
    "stand": "stands open",
}
# Shortest film in which something can be seen to move. Our choice.
FEWEST = 8
# Moments of a frame while the shutter is open. Our choice.
MOMENTS = 16
# Their openings are rounded to this, so that a long film asks for no more of them than it needs:
# less than a tenth of a millimetre at the edge of a page. Our choice.
ROUNDED = float(np.radians(0.05))


def _never() -> np.ndarray:
    """No moments of no poses."""
    return np.empty((0, 0, 4))


@dataclass(frozen=True)
class Schedule:
    """Which pose each frame of a film shows.

    Parameters
    ----------
    poses : shape (P, 4): opening (radians), turn of the table (radians), how far the camera has
        travelled along its path, and how much of the time of moving by hand is over (both 0 to 1);
        sorted by opening.
    order : the pose of each frame, shape (F,).
    fps : frames per second.
    during : the same four while the shutter is open, at moments of each pose, shape (P, S, 4); S is
        0 if it opens for no time.
    """

    poses: np.ndarray
    order: np.ndarray
    fps: float
    during: np.ndarray = field(default_factory=_never)

    @property
    def openings(self) -> np.ndarray:
        """Opening of each pose, shape (P,), radians, ascending."""
        return self.poses[:, 0]

    @property
    def states(self) -> tuple[np.ndarray, np.ndarray]:
        """What the spread goes through, whatever table and camera do.

        Returns
        -------
        The states, shape (S, 2): opening (radians) and how much of the time of moving by hand is
        over; and the state of each pose, shape (P,).
        """
        states, which = self._all_states
        return states, which[:, 0]

    @property
    def states_during(self) -> np.ndarray:
        """Which of the `states` is there at each moment while the shutter is open, shape (P, S)."""
        return self._all_states[1][:, 1:]

    @cached_property
    def _all_states(self) -> tuple[np.ndarray, np.ndarray]:
        rows = self.poses[:, None]
        if self.during.size:
            rows = np.concatenate([rows, self.during], axis=1)
        flat = rows[..., [0, 3]].reshape(-1, 2)
        states, which = np.unique(flat, axis=0, return_inverse=True)
        return states, which.reshape(rows.shape[:2])

    @property
    def seconds(self) -> float:
        """Length of the film."""
        return len(self.order) / self.fps


def eased(share: np.ndarray) -> np.ndarray:
    """How far a hand has moved after a share of the time, both 0 to 1.

    The path of least jerk, 10 t³ - 15 t⁴ + 6 t⁵, which reaching movements follow (T. Flash and
    N. Hogan, "The coordination of arm movements", J. Neuroscience 5 (1985) 1688-1703).
    """
    return share**3 * (10 - 15 * share + 6 * share**2)


def one_way_s(action: Action, seconds: float) -> float:
    """How long a part may take that a hand moves: half of a film that ends as it began."""
    return seconds if action in ("open", "close") else seconds / 2


def one_after_another(
    moves: Sequence[tuple[str, float | None]], seconds: float
) -> dict[str, tuple[float, float]]:
    """When each piece of a row begins and ends to move, as parts of the whole time (0 to 1).

    Parameters
    ----------
    moves : pieces and how long each takes, seconds; None for an equal share of what is left.
    seconds : the whole time.

    Raises
    ------
    UseError
        If they take longer than that.
    """
    given = sum(length for _, length in moves if length is not None)
    open_ones = sum(length is None for _, length in moves)
    if given > seconds + 1e-9 or (open_ones and given > seconds - 1e-9):
        names = ", ".join(name for name, _ in moves)
        raise UseError(
            f"moving {names} takes {given:g} s or more, but there are {seconds:g} s for it, half "
            "of a film that ends as it began; try: a longer film"
        )
    times, begin = {}, 0.0
    for name, length in moves:
        end = begin + ((seconds - given) / open_ones if length is None else length) / seconds
        times[name] = begin, min(1.0, end)
        begin = end
    return times


def open_and_close(
    seconds: float,
    fps: float,
    first: float = 0.0,
    last: float = np.pi,
    pauses: tuple[float, float] = (0.5, 1.0),
) -> Schedule:
    """The schedule of a film that opens from `first` to `last` and closes again; see `film`."""
    return film("open-close", seconds, fps, (first, last), pauses)


def film(
    action: Action,
    seconds: float,
    fps: float,
    span: tuple[float, float] = (0.0, float(np.pi)),
    pauses: tuple[float, float] = (0.5, 1.0),
    holds: Sequence[tuple[float, float]] = (),
    turn: float = 0.0,
    travels: bool = False,
    driven: bool = False,
) -> Schedule:
    """The schedule of a film.

    Films that open and close, and those that stand open, end as they began, so they loop without
    a jump: their camera comes back, and a full turn of the table closes the circle.

    Parameters
    ----------
    span : smallest and largest opening, radians; a film that stands open shows the largest.
    pauses : how long it rests closed and open, seconds; less where the film is short. The rest in
        the closed state is shared out between the start and the end of an ``open-close`` film.
    holds : openings (radians) at which it stops on its way, and for how many seconds.
    turn : of the table over the whole film, radians; a ``turntable`` turns once if it is 0.
    travels : the camera moves along its path.
    driven : parts are moved by hand meanwhile, and back again if the film loops.

    Raises
    ------
    UseError
        If the film is too short for what it shall show, or a pause lies outside the span.
    """
    total = round(seconds * fps)
    if total < FEWEST:
        raise UseError(f"a film of {total} frames is too short; it takes {FEWEST} or more")
    for opening, _ in holds:
        if not span[0] < opening < span[1]:
            raise UseError(
                f"can't pause at {np.degrees(opening):.4g}°; allowed: between "
                f"{np.degrees(span[0]):.4g}° and {np.degrees(span[1]):.4g}°"
            )
    stands = action in ("turntable", "stand")
    openings = np.full(total, span[1]) if stands else _way(action, total, fps, span, pauses, holds)
    if action == "turntable" and turn == 0:
        turn = 2 * np.pi
    time = np.arange(total) / total
    turns = turn * time
    # A path that is travelled there and back lets the film loop.
    there = np.arange(total) / (total - 1) if action in ("open", "close") else _there_and_back(time)
    along, still = eased(there), np.zeros(total)
    columns = (
        openings,
        np.where(np.isclose(turns, 0), 0.0, turns),
        along if travels else still,
        there if driven else still,
    )
    rows = np.stack(columns, axis=1)
    poses, order = np.unique(rows, axis=0, return_inverse=True)
    return Schedule(poses, order.ravel(), fps)


def exposed(schedule: Schedule, angle: float, cuts: Sequence[int] = ()) -> Schedule:
    """The schedule with a shutter that is open around each of its frames.

    The angle of a shutter is its share of a frame's time, of a full turn: at 180° and 30 frames per
    second it is open for 1/60 s. Source: the manufacturer's FAQ on "shutter angle" of the camera
    fp, sigma-global.com/en/faq/11788. What lies between frames is interpolated evenly.

    Parameters
    ----------
    angle : radians, 0 to 2 pi.
    cuts : frames that are the last before a cut.
    """
    if not angle:
        return schedule
    rows = schedule.poses[schedule.order]
    starts = np.unique([0, *(cut + 1 for cut in cuts), len(rows)])
    parts = [_moments(rows[a:b], angle / (2 * np.pi)) for a, b in pairwise(starts.tolist())]
    whole = np.concatenate([rows[:, None], np.concatenate(parts)], axis=1)
    flat, order = np.unique(whole.reshape(len(rows), -1), axis=0, return_inverse=True)
    poses = flat.reshape(len(flat), -1, 4)
    return Schedule(poses[:, 0], order.ravel(), schedule.fps, poses[:, 1:])


def _moments(rows: np.ndarray, share: float) -> np.ndarray:
    """What happens around frames without a cut, for a share of their time, shape (F, S, 4).

    Moments are sorted, so that closing shows the same as opening.
    """
    # Beyond its ends it goes on as it went there, as far as it goes at all.
    beyond = [2 * rows[0] - rows[min(1, len(rows) - 1)], 2 * rows[-1] - rows[max(-2, -len(rows))]]
    longer = np.concatenate([beyond[:1], rows, beyond[1:]])
    before, after = longer[:-2], longer[2:]
    offsets = ((np.arange(MOMENTS) + 0.5) / MOMENTS - 0.5) * share
    found = np.stack(
        [
            rows * (1 - abs(offset)) + (after if offset > 0 else before) * abs(offset)
            for offset in offsets
        ],
        axis=1,
    )
    found[..., 0] = np.clip(found[..., 0], rows[:, 0].min(), rows[:, 0].max())
    found[..., 0] = ROUNDED * np.rint(found[..., 0] / ROUNDED)
    found[..., 0] = np.clip(found[..., 0], rows[:, 0].min(), rows[:, 0].max())
    found[..., 3] = np.clip(found[..., 3], 0.0, 1.0)
    order = np.lexsort(found.transpose(2, 0, 1)[::-1])
    return np.take_along_axis(found, order[..., None], axis=1)


def _there_and_back(time: np.ndarray) -> np.ndarray:
    return 1 - np.abs(1 - 2 * time)


def _way(
    action: Action,
    total: int,
    fps: float,
    span: tuple[float, float],
    pauses: tuple[float, float],
    holds: Sequence[tuple[float, float]],
) -> np.ndarray:
    """Opening of each frame of a film that opens, closes or does both, shape (total,), radians."""
    # A third of the film at most may stand still at its ends.
    scale = min(1.0, total / 3 / max(sum(pauses) * fps, 1e-9))
    shut = max(2, round(pauses[0] * fps * scale))
    wide = max(1, round(pauses[1] * fps * scale))
    both = action == "open-close"
    between = (total - shut - wide) // (2 if both else 1)
    wide = total - shut - between * (2 if both else 1)
    moving = _legs(between, span, [(opening, round(s * fps)) for opening, s in sorted(holds)])
    first, last = np.full(shut, span[0]), np.full(wide, span[1])
    if both:
        half = shut - shut // 2
        return np.concatenate([first[:half], moving, last, moving[::-1], first[half:]])
    way = np.concatenate([first, moving, last])
    return way if action == "open" else way[::-1]


def _legs(count: int, span: tuple[float, float], holds: Sequence[tuple[float, int]]) -> np.ndarray:
    """Openings of `count` frames strictly between both ends, with stops on the way."""
    stops = [span[0], *(opening for opening, _ in holds), span[1]]
    spans = np.diff(stops)
    moving = count - sum(frames for _, frames in holds)
    if moving < (3 * len(spans) if holds else 1):
        raise UseError(
            f"pausing that long leaves {max(moving, 0)} frames to move in; "
            "try: a longer film or shorter pauses"
        )
    ends = np.round(np.cumsum(spans) / spans.sum() * moving).astype(int)
    counts = np.diff(np.concatenate([[0], ends]))
    parts = []
    for leg, frames in enumerate(counts):
        share = eased(np.linspace(0.0, 1.0, frames + 2)[1:-1])
        parts.append(stops[leg] + (stops[leg + 1] - stops[leg]) * share)
        if leg < len(holds):
            parts.append(np.full(holds[leg][1], stops[leg + 1]))
    return np.concatenate(parts)
