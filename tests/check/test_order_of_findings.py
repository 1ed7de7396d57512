"""The order in which findings are told: what must change first, and in it what is farthest off."""

from __future__ import annotations

import random
from itertools import pairwise

from meshes.check.finding import QUESTIONS, Finding, worst_first

RANKS = {"problem": 0, "warning": 1, "note": 2}


def test_problems_come_first_then_questions_in_order_then_what_is_farthest_off():
    chosen = random.Random(4)
    found = [
        Finding(
            question,
            severity,
            "k",
            "p",
            (),
            "",
            amount=chosen.uniform(0, 9),
            limit=chosen.choice([2.0, 5.0]),
        )
        for question in QUESTIONS
        for severity in RANKS
        for _ in range(3)
    ]
    chosen.shuffle(found)
    questions = list(QUESTIONS)
    for one, two in pairwise(worst_first(found)):
        first = RANKS[one.severity], questions.index(one.question)
        second = RANKS[two.severity], questions.index(two.question)
        assert first <= second
        if first == second:
            # Too much and too little count alike.
            assert abs(one.amount - one.limit) >= abs(two.amount - two.limit)
