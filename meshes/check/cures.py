"""Cures: changes of single numbers of a design file, each tried before it is told.

A cure is looked for along one number at a time, be it all that a key holds, one of its list, or one
in ``[values]`` that a key is worked out from, in a design of the pieces concerned and what they
stand on. The figure by which a finding fails is measured at the present value and beside it, and
followed by regula falsi to where it vanishes. What comes out is rounded away from the present
value, put into the whole design and checked in full: it is a cure only if the finding is gone,
nothing new is wrong, and nothing else has become worse.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from ..design import toml, values
from ..drive import DriveError
from ..errors import DesignError
from ..measure import MM_PER_UNIT, Units
from ..motion.memory import Memory
from .case import STAGES, Case, case_of
from .finding import USUAL, Cure, Finding, Question, Report, Value
from .limits import Limits
from .numbers import KeyNumber, numbers_of
from .questions import report

if TYPE_CHECKING:
    from ..spread import Spread

# What is spent on one report: findings looked at, the worst first; cures told of each; small
# designs solved for a finding; facets of all whole designs that are checked together. Our choice.
_FINDINGS, _CURES, _TRIES, _WHOLE = 5, 2, 40, 1000
# Pairs of facets that are looked at, at one opening each, in all tried designs together: a quarter
# of a million take about a second (measured: on one core, in designs of 18 to 40 facets); and how
# often free paper may be brought to rest beside other paper, fifty times a second. Our choice.
_LOOKS, _RESTS = 600_000, 150
# The same where free paper is caught: small designs for a finding, and whole designs. Our choice.
_CAUGHT_TRIES, _CAUGHT_WHOLE = 10, 3
# Tried designs that can't be assembled at all, and those that stop on their way; to find that out
# takes longest. Our choice.
_LOST, _STUCK = 3, 20
# Steps along one key, and how far it may lead: this share of its value, or this far. Our choice.
_STEPS, _FAR_SHARE, _FAR_MM = 6, 1.0, 40.0
# A first step along a key; for angles, degrees. Our choice.
_STEP_MM = 0.5
# A figure that falls by less than this share on the first step does not depend on the key.
_FLAT = 1e-4
# Values are rounded to this, in the unit of the file. Our choice.
_ROUND = 0.1
# Below this share of its figure a finding may have come out on its other side. Our choice.
_PASSED = 0.25
# What a finding without a figure, and an opening that can't be reached, count.
_PLAIN = 1.0
# Other findings may get worse by so much: by less than anybody cuts, mm.
_SAME = 0.01

Sign = tuple[Question, str, frozenset[str]]


def cured(
    spread: Spread, case: Case, found: Report, limits: Limits, overrides: Mapping[str, Any]
) -> Report:
    """The same report with the cures of its worst problems and warnings.

    Parameters
    ----------
    spread, case : of which `found` is the report.
    overrides : with which its file was read.
    """
    facets = sum(len(sheet.facets) for sheet in spread.sheets)
    # Where free paper finds no way through, every further try takes nearly as long as this one did.
    caught = bool(spread.linkage.obstacles) and not case.motion.solved.all()
    trials = _Trials(
        spread,
        case,
        found,
        limits.model_copy(update={"looks": False}),
        dict(overrides),
        _present(spread.design.file, overrides),
        whole=_CAUGHT_WHOLE if caught else max(_WHOLE // facets, _CURES),
        tries=_CAUGHT_TRIES if caught else _TRIES,
    )
    known: dict[Sign, tuple[Cure, ...]] = {}
    for finding in found.findings:
        sign = _sign(finding)
        if not _curable(finding) or sign in known:
            continue
        if len(known) < _FINDINGS:
            known[sign] = tuple(_cures(trials, finding))
    answers = tuple(
        replace(
            answer,
            findings=tuple(replace(f, cures=known.get(_sign(f), ())) for f in answer.findings),
        )
        for answer in found.answers
    )
    return replace(found, answers=answers)


def _present(file: str, overrides: Mapping[str, Any]) -> dict[str, Any]:
    """The tables of a design file with what was set instead of its own."""
    tables, names, _ = values.apply(toml.load(Path(file), file), overrides, file)
    return {**tables, "values": {**tables.get("values", {}), **names}}


@dataclass
class _Trials:
    """Designs with one value changed.

    Parameters
    ----------
    tables : of the file, as they are read now.
    whole : how many whole designs may still be checked.
    tries : how many small designs may be solved for one finding.
    lost : how many designs may still turn out to have no pose at any opening.
    stuck : how many may still turn out to stop on their way.
    looks : how many pairs of facets may still be looked at.
    """

    spread: Spread
    present: Case
    found: Report
    limits: Limits
    overrides: dict[str, Any]
    tables: Mapping[str, Any]
    whole: int
    tries: int
    lost: int = _LOST
    stuck: int = _STUCK
    looks: int = field(default_factory=lambda: _LOOKS)
    memory: Memory = field(default_factory=Memory)

    @property
    def units(self) -> Units:
        """What numbers and expressions of the file mean."""
        return Units(self.spread.design.units, self.spread.design.values)

    def case(self, changed: Mapping[str, Value], pieces: Collection[str] = ()) -> Case | None:
        """The case with values changed, of all or only some pieces; None if it can't be."""
        from ..design import read
        from ..spread import build

        if min(self.lost, self.stuck, self.looks) <= 0 or self.memory.rests > _RESTS:
            return None
        try:
            design = read(self.spread.design.file, {**self.overrides, **changed})
            if pieces:
                kept = {name: piece for name, piece in design.pieces.items() if name in pieces}
                design = replace(design, pieces=kept)
            made = build(design)
            motion = made.solve(STAGES, memory=self.memory)
            self.lost -= int(not motion.solved.any())
            self.stuck -= int(not motion.solved.all())
            return case_of(made, motion)
        except (DesignError, DriveError):
            return None

    def failures(self, case: Case, question: Question | None = None) -> list[Finding]:
        """Problems and warnings of a case: of one question, or of all but what can be seen."""
        limits = self.limits
        if question is not None:
            limits = limits.model_copy(update={name: name == question for name in USUAL})
        found = _failures(report(case, limits, trims=False))
        self.looks -= case.looks
        return found

    def standing(self, names: Iterable[str]) -> frozenset[str]:
        """Pieces with all that they stand on."""
        pieces, found, waiting = self.spread.design.pieces, set(), list(names)
        while waiting:
            name = waiting.pop()
            if name in pieces and name not in found:
                found.add(name)
                waiting += [host.partition(".")[0] for host in pieces[name].hosts]
        return frozenset(found)


def _curable(finding: Finding) -> bool:
    """Whether a change of the design could cure it: a hand's errors remain what they are."""
    return finding.severity != "note" and finding.question != "exact"


def _failures(found: Report) -> list[Finding]:
    return [one for one in found.findings if one.severity != "note"]


def _sign(finding: Finding) -> Sign:
    """What makes two findings the same: the question, the kind and the pieces concerned."""
    # The closed spread is thickest, and stops, in one place at a time.
    whole = finding.question in ("thickness", "flat")
    return finding.question, finding.kind, frozenset() if whole else frozenset(_pieces(finding))


def _pieces(finding: Finding) -> list[str]:
    """Names of the pieces in a finding, the one to change first."""
    names = [finding.piece, *(part.partition(".")[0] for part in finding.parts)]
    return [name for name in dict.fromkeys(names) if name]


def _excess(findings: list[Finding], sign: Sign, case: Case) -> float:
    """By how much findings of one sign fail, all together; 0 if there are none."""
    same = [one for one in findings if _sign(one) == sign]
    total = 0.0
    for one in same:
        off = abs((one.amount or 0.0) - (one.limit or 0.0))
        total += off if one.limit is not None and off > 0 else _PLAIN
    if same and sign[0] in ("moves", "flat") and not case.motion.solved.all():
        # What would be missing to go on tells more than where it stops: that changes by leaps.
        gap = sum(one.gap for one in case.motion.findings if one.kind in ("jam", "cannot-assemble"))
        return gap or total + _PLAIN * float((~case.motion.solved).sum())
    return total


def _cures(trials: _Trials, finding: Finding) -> Iterator[Cure]:
    """The nearest values of single keys that make a finding go away."""
    sign = _sign(finding)
    pieces = trials.standing(_pieces(finding))
    if not pieces or not trials.whole:
        return
    search = _Search(trials, sign, pieces, trials.tries)
    options = []
    for number in numbers_of(trials.tables, _pieces(finding), trials.units):
        value = search.root(number)
        if value is not None:
            far = abs(value - number.now) / max(abs(number.now), 10.0)
            options.append((far, number.key, number.place, number.cure(value)))
    count = 0
    for *_, cure in sorted(options, key=lambda option: option[:3]):
        if count < _CURES and trials.whole > 0:
            trials.whole -= 1
            if _holds(trials, sign, cure):
                count += 1
                yield cure


@dataclass
class _Search:
    """One finding followed along keys, in a design of the pieces concerned."""

    trials: _Trials
    sign: Sign
    pieces: frozenset[str]
    left: int

    @cached_property
    def worst(self) -> float:
        """By how much it fails at the present values; 0 if it takes other pieces to fail."""
        return self._excess({}) or 0.0

    def root(self, number: KeyNumber) -> float | None:
        """The nearest value at which a finding is gone, as far as it can be followed."""
        now = number.now
        per_mm = 1 / MM_PER_UNIT[self.trials.spread.design.units]
        far = max(_FAR_SHARE * abs(now), _FAR_MM * per_mm)
        old, was = now, self.worst
        value = _rounded(now - max(_STEP_MM * per_mm, _ROUND), now)
        for _ in range(_STEPS):
            rest = self._at(number, value) if was else None
            if not rest:
                return None if rest is None else value
            between = self._between(number, value, rest)
            if between is not None:
                return between
            slope = (rest - was) / (value - old)
            if abs(rest - was) < _FLAT * self.worst:
                return None
            old, was = value, rest
            value = _rounded(value - rest / slope, now)
            if abs(value - now) > far or value in (old, now):
                return None
        return None

    def _between(self, number: KeyNumber, value: float, rest: float) -> float | None:
        """Where it is gone if on this side of `value` paper is too long, and beyond too short.

        What must be as long as something else fails on both sides of the one value that serves.
        """
        if self.sign[0] not in ("moves", "flat") or rest > _PASSED * self.worst:
            return None
        share = rest / (rest + self.worst)
        middle = round(round((value - (value - number.now) * share) / _ROUND) * _ROUND, 6)
        return middle if middle != value and self._at(number, middle) == 0 else None

    def _at(self, number: KeyNumber, value: float) -> float | None:
        """By how much it fails with one number changed, see `_excess`."""
        return self._excess({number.key: number.put(value)})

    def _excess(self, changed: Mapping[str, Value]) -> float | None:
        """By how much it fails; None if such a design can't be built, or all tries are used up."""
        self.left -= 1
        case = self.trials.case(changed, self.pieces) if self.left >= 0 else None
        if case is None:
            return None
        return _excess(self.trials.failures(case, self.sign[0]), self.sign, case)


def _rounded(value: float, now: float) -> float:
    """Rounded away from the present value."""
    steps = value / _ROUND
    up = np.ceil(steps - 1e-6) if value > now else np.floor(steps + 1e-6)
    return round(float(up) * _ROUND, 6)


def _holds(trials: _Trials, sign: Sign, cure: Cure) -> bool:
    """Whether with one number changed the finding is gone and nothing else is new or worse."""
    case = trials.case({cure.key: cure.value})
    if case is None:
        return False
    before, after = _failures(trials.found), trials.failures(case)
    signs = {_sign(one) for one in after}
    if sign in signs or not signs <= {_sign(one) for one in before}:
        return False
    return all(_excess(after, s, case) <= _excess(before, s, trials.present) + _SAME for s in signs)
