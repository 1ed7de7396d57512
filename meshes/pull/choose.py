"""Which number follows a hand best, and what it must be for the held point to stay under the hand.

A hand on a screen shows a direction across the line of sight and no depth. So everything is judged
across the ray that runs from the eye through where the hand is now.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from meshes.errors import DesignError
from meshes.measure import Units

from .hold import Grip, Hold, HoldError, Posture
from .material import aligned, ring
from .numbers import Number, Path

# What a number changes by to see what it does, in mm or degrees, and as a share of a plain range.
_PROBE, _PROBE_SHARE = 0.25, 0.005
# Numbers to which the held point answers less than this, mm for a mm, a degree or a hundredth of a
# plain number, do not move it.
_STILL_MM = 0.03
# Where to begin to look for the number that a left-out key stands for, mm, degrees, plain.
_GUESSES: Mapping[str, Sequence[float]] = {
    "length": (10.0, 40.0, 100.0, 3.0),
    "angle": (45.0, 90.0, 10.0),
    "number": (0.5, 0.1, 1.0),
}
_SAME_MM = 1e-3
# What counts against a number, beside the sine of the angle between its way and the hand's: that it
# moves other paper as well, that it moves too little or too much, that it moves along the line of
# sight, that it belongs to a host, is left out, stands deep in the file, or is parted from an
# expression. Our choice: a leaf pulled by its tip grows, one pulled along the gutter moves.
_ALSO, _GEAR, _DEPTH, _HOST, _LEFT_OUT, _DEEP, _PARTED = 0.2, 0.12, 0.25, 0.12, 0.05, 0.07, 0.15
# Own numbers of a piece that follow worse than this are no use; its hosts are asked then.
_POOR = 0.75
_ROUNDS, _HALVINGS = 8, 6


@dataclass(frozen=True)
class Pull:
    """A number, and what it does to the held point.

    Parameters
    ----------
    value : what it is now, in the unit of the file or degrees.
    way : how the point moves as it grows, shape (3,), mm for one unit of the file or degree.
    also : how far other paper moves on average, as a share of that.
    hosts : of how many hosts up it is a number; 0 of the held piece itself.
    """

    number: Number
    value: float
    way: np.ndarray
    also: float
    hosts: int = 0


@dataclass(frozen=True)
class Ray:
    """The line of sight through a hand: from the eye through a point, shapes (3,), mm."""

    eye: np.ndarray
    target: np.ndarray

    def across(self, way: np.ndarray) -> np.ndarray:
        """The part of a way that is seen, shape (3,)."""
        along = self.target - self.eye
        along = along / np.linalg.norm(along)
        return way - (way @ along) * along


@dataclass(frozen=True)
class Reached:
    """Where a pull ends.

    Parameters
    ----------
    value : of the number, in the unit of the file or degrees.
    pose : of the pieces that move.
    place : of the held point, shape (3,), mm.
    stopped : why it goes no further, if it does not; a sentence for a person.
    """

    value: float
    pose: Posture
    place: np.ndarray
    stopped: str = ""


def numbers(hold: Hold) -> tuple[list[Number], list[Number]]:
    """The numbers of the held piece, and those of all that it stands on."""
    piece = hold.grip.piece
    own, others = list[Number](), list[Number]()
    for number in hold.sketch.numbers(piece):
        (own if _owner(number) == hold.sketch.makers[piece] else others).append(number)
    return own, others


def _owner(number: Number) -> str:
    path = number.through or number.path
    return str(path[1])


def pulls(hold: Hold, wanted: Iterable[Number]) -> Iterator[Pull]:
    """What numbers do to the held point; those that do nothing are left out."""
    names = hold.sketch.moving_with([hold.grip.piece])
    before = hold.pose
    makers = list(dict.fromkeys(hold.sketch.makers[n] for n in hold.sketch.hosts(hold.grip.piece)))
    for number in wanted:
        units = hold.sketch.units
        level = makers.index(_owner(number)) + 1 if _owner(number) in makers else 0
        value = number.value if number.given else _left_out(hold, number, names)
        if value is None:
            continue
        for step in _probes(number, value, units):
            try:
                pose = hold.tried({number.path: value + step}, names, before.angles)
                place = pose.where(hold.followed(pose))
            except (DesignError, HoldError):
                continue
            way = (place - hold.place) / step
            if np.linalg.norm(way) * _one(number, units) >= _STILL_MM:
                moved = np.linalg.norm(place - hold.place)
                yield Pull(number, value, way, _moved(before, pose) / float(moved), level)
            break


def _one(number: Number, units: Units) -> float:
    """A mm, a degree or a hundredth, in the unit of the file."""
    return {"length": 1 / units.mm, "angle": 1.0, "number": 0.01}[number.bounds.what]


def _probes(number: Number, value: float, units: Units) -> Iterator[float]:
    """Small steps that keep the number in its range, one up and one down."""
    low, high = number.limits(units)
    wide = high - low if math.isfinite(high - low) else 1.0
    plain = number.bounds.what == "number"
    step = _PROBE_SHARE * min(wide, 1.0) if plain else _PROBE * _one(number, units)
    yield from (way for way in (step, -step) if low <= value + way <= high)


def _moved(before: Posture, after: Posture) -> float:
    """How far corners of facets move on average, mm; their middle where the corners change."""
    apart = []
    for name, (body, part) in after.places.items():
        if part.sheet.piece == "page" or name not in before.places:
            continue
        old_body, old = before.places[name]
        rings = [ring(one.facet.polygon) for one in (old, part)]
        if len(rings[0]) == len(rings[1]):
            rings[1] = aligned(*rings)
        else:
            rings = [one.mean(axis=0, keepdims=True) for one in rings]
        first, second = (
            pose.in_space(k, np.pad(one.placement.apply(corners), ((0, 0), (0, 1))))
            for pose, k, one, corners in zip(
                (before, after), (old_body, body), (old, part), rings, strict=True
            )
        )
        apart.append(float(np.linalg.norm(second - first, axis=1).mean()))
    return float(np.mean(apart)) if apart else 0.0


def _left_out(hold: Hold, number: Number, names: frozenset[str]) -> float | None:
    """The number that a left-out key stands for: with it in the file, nothing changes."""
    units = hold.sketch.units
    one = _one(number, units) if number.bounds.what != "number" else 1.0
    guesses = [number.value] if number.value is not None else []
    guesses += [guess * one for guess in _GUESSES[number.bounds.what]]
    for guess in guesses:
        try:
            return _same_as_left_out(hold, number, names, guess)
        except (DesignError, HoldError):
            continue
    return None


def _same_as_left_out(
    hold: Hold, number: Number, names: frozenset[str], value: float
) -> float | None:
    """By Newton's method on where the held point is; None if the paper never comes out the same."""
    start = hold.pose.angles
    for _ in range(_ROUNDS):
        pose = hold.tried({number.path: value}, names, start)
        off = hold.place - pose.where(hold.followed(pose))
        if np.linalg.norm(off) < _SAME_MM:
            decimals = 4 if number.bounds.what == "length" else 6
            return round(value, decimals) if _moved(hold.pose, pose) < _SAME_MM else None
        step = next(_probes(number, value, hold.sketch.units))
        beside = hold.tried({number.path: value + step}, names, pose.angles)
        slope = (beside.where(hold.followed(beside)) + off - hold.place) / step
        if np.linalg.norm(slope) * _one(number, hold.sketch.units) < _STILL_MM:
            return None
        low, high = number.limits(hold.sketch.units)
        value = float(np.clip(value + off @ slope / (slope @ slope), low, high))
    return None


def ranked(hold: Hold, found: Iterable[Pull], ray: Ray) -> list[tuple[float, Pull]]:
    """Pulls with what counts against each, the one that follows the hand best first."""
    hand = ray.across(ray.target - hold.place)
    scored = [(_against(hold, pull, ray, hand), pull) for pull in found]
    return sorted(scored, key=lambda pair: (pair[0], str(pair[1].number.path)))


def poor(scored: Sequence[tuple[float, Pull]]) -> bool:
    """Whether none of these follows well."""
    return not scored or scored[0][0] > _POOR


def _against(hold: Hold, pull: Pull, ray: Ray, hand: np.ndarray) -> float:
    one = _one(pull.number, hold.sketch.units)
    seen = ray.across(pull.way)
    length, far = float(np.linalg.norm(seen)), float(np.linalg.norm(pull.way))
    if length * one < _STILL_MM / 2:
        return math.inf
    pulled = float(np.linalg.norm(hand))
    cosine = abs(float(seen @ hand)) / (length * pulled) if pulled else 1.0
    score = math.sqrt(max(0.0, 1 - cosine**2))
    score += _ALSO * min(pull.also, 2.0)
    score += _GEAR * min(abs(math.log(length * one)), 4.0)
    score += _DEPTH * (1 - length / far)
    score += _HOST * pull.hosts + _DEEP * (len(pull.number.path) - 3)
    score += _LEFT_OUT * (not pull.number.given) + _PARTED * bool(pull.number.expression)
    return score


def grid(number: Number, units: Units, fine: bool) -> float:
    """What a number is rounded to: whole millimetres and degrees, or a tenth of that.

    Plain numbers come in hundredths; of an inch it is a twentieth, as it is no use to have 25.4
    millimetres. Our choice.
    """
    inch = {"mm": 1.0, "cm": 0.1, "in": 0.05}[units.length]
    step = {"length": inch, "angle": 1.0, "number": 0.01}[number.bounds.what]
    return step / 10 if fine else step


def rounded(value: float, step: float) -> float:
    """The nearest multiple of a step, without the noise of binary fractions."""
    return round(round(value / step) * step, 6)


@dataclass
class Tug:
    """Brings the held point under the hand again and again, each time from where it was last.

    Attributes
    ----------
    known : poses found so far, by the value of the number.
    """

    hold: Hold
    pull: Pull
    known: dict[float, Reached] = field(default_factory=dict)

    def __post_init__(self) -> None:
        number = self.pull.number
        changed = self.hold.sketch.changed_by(number)
        moving = self.hold.sketch.standing_on(changed)
        self.names = self.hold.sketch.moving_with([*moving, self.hold.grip.piece])
        self.known[self.pull.value] = Reached(self.pull.value, self.hold.pose, self.hold.place)

    def to(self, ray: Ray, fine: bool = False) -> Reached:
        """Bring the held point as near to the ray as its number can."""
        units, number = self.hold.sketch.units, self.pull.number
        step = grid(number, units, fine)
        low, high = number.limits(units)
        way, here = self.pull.way, self._nearest(ray)
        least = _STILL_MM / 2 / _one(number, units)
        # Where the way bends, its direction counts only near where it was measured.
        sure = abs(here.value - self.pull.value) <= step
        for _ in range(_ROUNDS):
            seen = ray.across(way)
            value = here.value
            if np.linalg.norm(seen) >= least:
                by = float(ray.across(ray.target - here.place) @ seen / (seen @ seen))
                value = min(max(here.value + by, low), high)
            if abs(value - here.value) >= step / 2:
                value = self._on_grid(value, step, low, high)
            elif sure:
                break
            else:
                value = here.value + step if here.value + step <= high else here.value - step
            there = self._at(value, here, step)
            if there.value == here.value:
                return there
            if there.stopped and self._apart(ray, there) > self._apart(ray, here):
                # The way bends, and a long step has gone by the hand: half of it at most.
                middle = (here.value + there.value) / 2
                low, high = (low, middle) if there.value > here.value else (middle, high)
                continue
            way = (there.place - here.place) / (there.value - here.value)
            sure = abs(there.value - here.value) <= 2 * step
            if there.stopped:
                return there
            if self._apart(ray, there) < self._apart(ray, here) or not sure:
                here = there
        return self._nearest(ray)

    @staticmethod
    def _apart(ray: Ray, one: Reached) -> float:
        """How far from under the hand the held point is, mm."""
        return float(np.linalg.norm(ray.across(ray.target - one.place)))

    def exactly(self, value: float) -> Reached:
        """The number set to a value, or as near to it as the paper goes."""
        low, high = self.pull.number.limits(self.hold.sketch.units)
        here = min(self.known.values(), key=lambda one: abs(one.value - value))
        if not low <= value <= high:
            return replace(here, stopped=f"allowed are {self.pull.number.bounds.text}")
        return self._at(value, here)

    def _on_grid(self, value: float, step: float, low: float, high: float) -> float:
        """The nearest round value in the range."""
        near = rounded(value, step)
        if near < low:
            near = rounded(near + step, step)
        return rounded(near - step, step) if near > high else near

    def _nearest(self, ray: Ray) -> Reached:
        return min(self.known.values(), key=lambda one: self._apart(ray, one))

    def _at(self, value: float, here: Reached, step: float = 1e-4) -> Reached:
        """The pose at a value, from that at another; where it can't get, as far as it can.

        What lies between is looked at in multiples of a step.
        """
        if value in self.known:
            return self.known[value]
        far, reason = value, ""
        for _ in range(_HALVINGS):
            try:
                found = self._tried(far, here)
            except (DesignError, HoldError) as error:
                reason = _sentence(error)
                middle = rounded((far + here.value) / 2, step)
                if abs(middle - here.value) < step / 2 or abs(middle - far) < step / 2:
                    break
                far = middle
                continue
            self.known[far] = found
            if far == value:
                return found
            here, far = found, value
        return replace(here, stopped=reason)

    def _tried(self, value: float, here: Reached) -> Reached:
        start = {**self.hold.pose.angles, **here.pose.angles}
        pose = self.hold.tried({self.pull.number.path: value}, self.names, start)
        grip: Grip = self.hold.followed(pose)
        return Reached(value, pose, pose.where(grip))


def _sentence(error: DesignError | HoldError) -> str:
    if isinstance(error, DesignError):
        first = error.mistakes[0]
        return " ".join(filter(None, (first.key, first.problem)))
    return str(error)


def edit_path(path: Path) -> list[str]:
    """The path as an edit of the design names it: places in lists count from 1."""
    return [str(key + 1) if isinstance(key, int) else key for key in path]
