"""The fit report: what goes wrong with a spread, before the paper is cut.

One module answers one question; :func:`report` asks them all.
"""

from .case import STAGES, Case, case_of
from .finding import (
    QUESTIONS,
    SCHEMA,
    Answer,
    Finding,
    Place,
    Report,
    as_json,
    finding_json,
)
from .limits import Limits
from .questions import report

__all__ = [
    "QUESTIONS",
    "SCHEMA",
    "STAGES",
    "Answer",
    "Case",
    "Finding",
    "Limits",
    "Place",
    "Report",
    "as_json",
    "case_of",
    "finding_json",
    "report",
]
