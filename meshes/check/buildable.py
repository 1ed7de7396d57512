"""Whether hands can put a spread together: what the building order adds to a report."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from .case import Case
from .finding import Answer, Finding, Report

if TYPE_CHECKING:
    from ..building import BuildError
    from ..spread import Spread


def with_order(found: Report, spread: Spread, case: Case) -> Report:
    """The report, and in it a problem if no order of building is found or proved.

    It belongs to what can be cut and glued, and is looked for only where that was asked and nothing
    else keeps it from being glued. A spread that does not close has no order either, which the
    report tells without it.

    Parameters
    ----------
    spread, case : of which `found` is the report.
    """
    makeable = found.answer("makeable")
    if not makeable.answered or makeable.verdict == "no" or not _closes(case):
        return found
    from ..building import BuildError, proved_order

    try:
        proved_order(spread)
    except BuildError as error:
        return _with(found, makeable, _refused(error))
    return found


def _closes(case: Case) -> bool:
    from ..building import BuildError, check_closes

    try:
        check_closes(case.motion)
    except BuildError:
        return False
    return True


def _refused(error: BuildError) -> Finding:
    pieces = error.pieces or ("",)
    return Finding(
        "makeable",
        "problem",
        "no order",
        pieces[0],
        (),
        f"{', '.join(pieces)}: can't be built: {error}".removeprefix(": "),
        "glue one of them to something else, or farther from what is in the way",
    )


def _with(found: Report, answer: Answer, finding: Finding) -> Report:
    fuller = replace(answer, findings=(finding, *answer.findings))
    return replace(found, answers=tuple(fuller if one is answer else one for one in found.answers))
