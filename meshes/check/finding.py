"""What the check says: findings, answers and the report itself, with a JSON form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

Question = Literal["flat", "inside", "moves", "clash", "thickness", "makeable", "looks", "exact"]
Severity = Literal["problem", "warning", "note"]
# What a key of a design file holds.
Value = float | tuple[float, ...]
Verdict = Literal["yes", "yes-with-warnings", "no", "not-asked", "unknown"]
PlaceKind = Literal["point", "line", "area"]
Point = tuple[float, float, float]

QUESTIONS: Mapping[Question, str] = {
    "flat": "closes flat",
    "inside": "stays inside the page",
    "moves": "moves freely",
    "clash": "parts keep clear of each other",
    "thickness": "shuts thin enough",
    "makeable": "can be cut and glued",
    "looks": "can be seen",
    "exact": "forgives a hand's errors",
}
# Those that are asked unless a design says otherwise; the last one takes longer.
USUAL: tuple[Question, ...] = tuple(question for question in QUESTIONS if question != "exact")
# One sign for each severity and each answer, wherever they are shown: a tick is always good.
SIGNS: Mapping[Severity, str] = {"problem": "✗", "warning": "!", "note": "·"}
VERDICTS: Mapping[Verdict, str] = {
    "yes": "✓ yes",
    "yes-with-warnings": "! yes, with warnings",
    "no": "✗ no",
    "not-asked": "– not asked",
    "unknown": "? can't be told",
}
_RANK: Mapping[Severity, int] = {"problem": 0, "warning": 1, "note": 2}


@dataclass(frozen=True)
class Place:
    """Where a finding is, in the frame of the spread at one opening.

    Parameters
    ----------
    kind : ``point``, ``line`` (a chord, a fold, a length to shorten) or ``area`` (an outline).
    opening_deg : the opening at which the points hold.
    points : mm.
    turned : the flyleaf that is being turned, and by how many degrees it stands off the left page.
    moved : the wheel or slide that is being moved, and the share of its way, 0 to 1.
    """

    kind: PlaceKind
    opening_deg: float
    points: tuple[Point, ...]
    turned: tuple[str, float] | None = None
    moved: tuple[str, float] | None = None

    @property
    def middle(self) -> Point:
        """Mean of the points, mm."""
        x, y, z = (sum(axis) / len(self.points) for axis in zip(*self.points, strict=True))
        return x, y, z


@dataclass(frozen=True)
class Cure:
    """One change of the design file; tried, so the finding is then gone and nothing new is wrong.

    Parameters
    ----------
    key : path of a number or a list of numbers in the file, such as ``pieces.fern.ridge``; a name
        alone is one of ``[values]``.
    value, now : what it should be and what it is, in the unit of the file.
    """

    key: str
    value: Value
    now: Value

    def __str__(self) -> str:
        where = "" if "." in self.key else " in [values]"
        return f"{self.key} = {_as_toml(self.value)}{where} (now {_as_toml(self.now)})"


def _as_toml(value: Value) -> str:
    if isinstance(value, tuple):
        return f"[{', '.join(f'{one:g}' for one in value)}]"
    return f"{value:g}"


@dataclass(frozen=True)
class Finding:
    """One thing to know before the paper is cut.

    Parameters
    ----------
    severity : ``problem`` (it will not work), ``warning`` (it may not) or ``note`` (good to know).
    kind : what was found, in one or two words, the same for all findings of that sort.
    piece : the piece to change.
    parts : ids of the facets (``piece.facet``) or folds (``piece.fold``) that are concerned.
    amount, unit : the measured figure.
    limit : what it was compared with, in the same unit.
    from_deg, to_deg, worst_deg : openings where it starts, ends and is worst.
    text : one line: what is wrong.
    trim : what to cut off, tried on the moving paper; or what else a maker can do.
    cures : changes of the design that were tried, see :mod:`meshes.check.cures`.
    """

    question: Question
    severity: Severity
    kind: str
    piece: str
    parts: tuple[str, ...]
    text: str
    trim: str = ""
    amount: float | None = None
    unit: str = ""
    limit: float | None = None
    from_deg: float | None = None
    to_deg: float | None = None
    worst_deg: float | None = None
    place: Place | None = None
    cures: tuple[Cure, ...] = ()

    @property
    def advice(self) -> str:
        """What to change, in one line; empty where nothing that was tried helps."""
        return ", or ".join([*map(str, self.cures), *([self.trim] if self.trim else [])])

    @property
    def fails(self) -> bool:
        """Whether the design must change."""
        return self.severity == "problem"


@dataclass(frozen=True)
class Answer:
    """The answer to one question.

    Parameters
    ----------
    asked : False if the question was switched off.
    told : False if there is no answer, since the spread does not get as far as that.
    seconds : time it took.
    measures : figures worth showing when all is well, name to value; names carry their unit.
    """

    question: Question
    asked: bool
    seconds: float = 0.0
    findings: tuple[Finding, ...] = ()
    measures: Mapping[str, Any] = field(default_factory=dict)
    told: bool = True

    @property
    def answered(self) -> bool:
        """Whether the question was asked and could be answered."""
        return self.asked and self.told

    @property
    def verdict(self) -> Verdict:
        """In one word."""
        if not self.asked:
            return "not-asked"
        if not self.told:
            return "unknown"
        severities = {finding.severity for finding in self.findings}
        if "problem" in severities:
            return "no"
        return "yes-with-warnings" if "warning" in severities else "yes"


@dataclass(frozen=True)
class Report:
    """All answers on one design."""

    title: str
    answers: tuple[Answer, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, worst first."""
        return tuple(worst_first([f for answer in self.answers for f in answer.findings]))

    @property
    def whole(self) -> bool:
        """Whether every question was asked and answered."""
        return all(answer.answered for answer in self.answers)

    @property
    def passes(self) -> bool:
        """Whether nothing is a problem and no question that was asked stays without an answer."""
        told = all(answer.told for answer in self.answers if answer.asked)
        return told and not any(finding.fails for finding in self.findings)

    def answer(self, question: Question) -> Answer:
        """The answer to a question; KeyError if it is not part of the report."""
        for answer in self.answers:
            if answer.question == question:
                return answer
        raise KeyError(question)


def worst_first(findings: Sequence[Finding]) -> list[Finding]:
    """Problems before warnings before notes; within one question, farthest off its limit first."""
    order = list(QUESTIONS)

    def rank(finding: Finding) -> tuple[int, int, float]:
        question = order.index(finding.question) if finding.question in order else -1
        off = abs((finding.amount or 0.0) - (finding.limit or 0.0))
        return _RANK[finding.severity], question, -off

    return sorted(findings, key=rank)


def as_json(report: Report) -> dict[str, Any]:
    """The report as plain data; its schema is in `preview.schemas`."""
    return {
        "title": report.title,
        "passes": report.passes,
        "whole": report.whole,
        "questions": [
            {
                "question": answer.question,
                "verdict": answer.verdict,
                "seconds": round(answer.seconds, 4),
                "measures": dict(answer.measures),
            }
            for answer in report.answers
        ],
        "findings": [finding_json(finding) for finding in report.findings],
    }


def finding_json(finding: Finding) -> dict[str, Any]:
    """One finding as plain data."""
    place = finding.place
    return {
        "question": finding.question,
        "severity": finding.severity,
        "kind": finding.kind,
        "piece": finding.piece,
        "facets": list(finding.parts),
        "text": finding.text,
        "advice": finding.advice,
        "cures": [{"key": cure.key, "value": cure.value} for cure in finding.cures],
        "amount": _rounded(finding.amount),
        "unit": finding.unit,
        "limit": _rounded(finding.limit),
        "from_deg": _rounded(finding.from_deg),
        "to_deg": _rounded(finding.to_deg),
        "worst_deg": _rounded(finding.worst_deg),
        "place": None
        if place is None
        else {
            "kind": place.kind,
            "opening_deg": _rounded(place.opening_deg),
            "marked_mm": [[_rounded(x) for x in point] for point in place.points],
            "turned": None
            if place.turned is None
            else {"flyleaf": place.turned[0], "deg": _rounded(place.turned[1])},
            "moved": None
            if place.moved is None
            else {"piece": place.moved[0], "share": _rounded(place.moved[1])},
        },
    }


def _rounded(value: float | None) -> float | None:
    # Adding zero turns -0.0 into 0.0.
    return None if value is None else round(float(value), 4) + 0.0
