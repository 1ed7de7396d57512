"""The check: what goes wrong with a spread, before the paper is cut.

One module answers one question; :func:`report` asks them all. Names are fetched when they are first
used, since reading a design needs only the limits, and the solver is slow to load.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .buildable import with_order
    from .case import STAGES, Case, case_of
    from .cures import cured
    from .exact import Hands
    from .finding import (
        QUESTIONS,
        SIGNS,
        USUAL,
        VERDICTS,
        Answer,
        Cure,
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
    "SIGNS",
    "STAGES",
    "USUAL",
    "VERDICTS",
    "Answer",
    "Case",
    "Cure",
    "Finding",
    "Hands",
    "Limits",
    "Place",
    "Report",
    "as_json",
    "case_of",
    "cured",
    "finding_json",
    "report",
    "with_order",
]

_MODULES = {
    **dict.fromkeys(("STAGES", "Case", "case_of"), "case"),
    **dict.fromkeys(("Limits",), "limits"),
    **dict.fromkeys(("report",), "questions"),
    **dict.fromkeys(("cured",), "cures"),
    **dict.fromkeys(("Hands",), "exact"),
    **dict.fromkeys(("with_order",), "buildable"),
}


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f".{_MODULES.get(name, 'finding')}", __name__), name)
