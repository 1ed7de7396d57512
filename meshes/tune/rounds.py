"""Several searches at a time: what each of them asks next is asked for all of them together."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from queue import SimpleQueue
from threading import Thread
from typing import Generic, TypeVar

Question = TypeVar("Question")
Answer = TypeVar("Answer")

# A search asks and waits for the answer.
Ask = Callable[[Question], Answer]


class Ended(Exception):
    """Nobody answers any more: the search that asked shall come to an end."""


class _Asking(Generic[Question, Answer]):
    """One search in a thread of its own, which waits whenever another one or the tries go on."""

    def __init__(self, task: Callable[[Ask[Question, Answer]], None]) -> None:
        self.task = task
        self.questions: SimpleQueue[Question | None] = SimpleQueue()
        self.answers: SimpleQueue[Answer | Ended] = SimpleQueue()
        self.error: BaseException | None = None
        # A search that hangs must not keep the program from ending.
        self.thread = Thread(target=self._run, daemon=True)
        self.thread.start()

    def _run(self) -> None:
        try:
            self.task(self._ask)
        except Ended:
            pass
        except BaseException as error:
            self.error = error
        finally:
            self.questions.put(None)

    def _ask(self, question: Question) -> Answer:
        self.questions.put(question)
        answer = self.answers.get()
        if isinstance(answer, Ended):
            raise answer
        return answer

    def goes_on(self, asked: list[Question]) -> bool:
        """Whether it asks something, which is added then; what went wrong in it goes wrong here."""
        question = self.questions.get()
        if question is not None:
            asked.append(question)
            return True
        self.thread.join()
        if self.error is not None:
            raise self.error
        return False


def in_rounds(
    tasks: Iterable[Callable[[Ask[Question, Answer]], None]],
    answer: Callable[[Sequence[Question]], Sequence[Answer]],
    at_once: int,
) -> None:
    """Run searches in rounds, in each of which every running one asks a question.

    What is asked in a round depends on nothing but the answers, so it comes out the same however
    the answers are made and however long they take.

    Parameters
    ----------
    tasks : each is given a function to ask with; the next one begins when one of those that run is
        done. They run one at a time or side by side, and must not change what they share.
    answer : of all questions of a round, in their order; called in the thread of the caller.
    at_once : searches that run at a time, at most.
    """
    upcoming = iter(tasks)
    running: list[_Asking[Question, Answer]] = []
    try:
        while True:
            asked: list[Question] = []
            for one in list(running):
                if not one.goes_on(asked):
                    running.remove(one)
            # All that run wait meanwhile.
            while len(running) < at_once and (task := next(upcoming, None)) is not None:
                running.append(_Asking(task))
                if not running[-1].goes_on(asked):
                    running.pop()
            if not running:
                return
            for one, told in zip(running, answer(asked), strict=True):
                one.answers.put(told)
    finally:
        for one in running:
            one.answers.put(Ended())
        for one in running:
            one.thread.join()
