"""All questions asked of one spread."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

from .case import Case, case_of
from .clash import clash
from .finding import USUAL, Answer, Finding, Question, Report
from .flat import flat
from .inside import inside
from .limits import Limits
from .looks import Filming, looks, reader_eye
from .makeable import makeable
from .moves import moves
from .thickness import thickness

if TYPE_CHECKING:
    from ..others import Others
    from ..spread import Spread
    from .exact import Hands

Ask = Callable[[Case, Limits], tuple[list[Finding], Mapping[str, Any]]]
# These need nothing that the others find, and take together about as long as they do.
_APART: Collection[Question] = ("thickness", "makeable", "looks")


def report(
    subject: Case | Spread,
    limits: Limits | None = None,
    filming: Filming = reader_eye,
    *,
    trims: bool = True,
    hands: Hands | None = None,
    beside: Others | None = None,
) -> Report:
    """Ask every question that `limits` does not switch off.

    Parameters
    ----------
    limits : those of the design if left out.
    filming : the camera from which hiding is judged.
    trims : whether to look for what could be cut off where parts collide.
    hands : if given, it is asked as well how exact it must be made.
    beside : processes of which one answers some of the questions meanwhile; then `filming` must be
        one that can be pickled.
    """
    case = subject if isinstance(subject, Case) else case_of(subject)
    if limits is None:
        limits = Limits() if isinstance(subject, Case) else subject.design.check
    asks: Mapping[Question, Ask] = {
        "flat": flat,
        "inside": inside,
        "moves": moves,
        "clash": partial(clash, trims=trims),
        "thickness": thickness,
        "makeable": makeable,
        "looks": partial(looks, filming=filming),
    }
    asks = {question: ask for question, ask in asks.items() if getattr(limits, question)}
    found = _shared(asks, case, limits, beside)
    answers = [found.get(question, Answer(question, asked=False)) for question in USUAL]
    if hands is not None:
        from .exact import exact

        answers.append(_answer("exact", partial(exact, hands=hands), case, limits))
    return Report(case.title, tuple(answers))


Answers = dict[Question, Answer]


def _shared(
    asks: Mapping[Question, Ask], case: Case, limits: Limits, beside: Others | None
) -> Answers:
    """The answers, some of them found by another process if there is one."""
    apart = {question: ask for question, ask in asks.items() if question in _APART}
    if beside is None or beside.jobs == 1 or not 0 < len(apart) < len(asks):
        return _answers(asks, case, limits)
    from ..others import HandedOver

    handed = HandedOver.to(beside, partial(_answers, apart, case, limits))
    here = {question: ask for question, ask in asks.items() if question not in apart}
    return _answers(here, case, limits) | handed.result()


def _answers(asks: Mapping[Question, Ask], case: Case, limits: Limits) -> Answers:
    return {question: _answer(question, ask, case, limits) for question, ask in asks.items()}


def _answer(question: Question, ask: Ask, case: Case, limits: Limits) -> Answer:
    if not _can_tell(question, case):
        return Answer(question, asked=True, told=False)
    start = time.perf_counter()
    findings, measures = ask(case, limits)
    return Answer(question, True, time.perf_counter() - start, tuple(findings), measures)


def _can_tell(question: Question, case: Case) -> bool:
    """Whether the motion gets as far as the question asks."""
    if question == "moves":
        return True
    if question in ("inside", "thickness", "exact"):
        return case.closes
    return len(case.poses.openings) > 0
