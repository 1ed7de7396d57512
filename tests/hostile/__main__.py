"""Run many hostile cases: ``python -m tests.hostile [count] [first] [kind ...]``.

10,000 of them take a night's hour or two. Each finding is printed with what makes it again, and
its files are kept in ``hostile-findings``.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

from .cases import KINDS, case
from .cell import Case, Outcome, run, warm


def say(line: str) -> None:
    """Write a line at once, so that a run that is stopped has told what it knew."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def _keep(found: Case, name: str) -> None:
    folder = Path("hostile-findings") / name
    folder.mkdir(parents=True, exist_ok=True)
    for file, content in found.files.items():
        (folder / file).write_bytes(content)
    (folder / "command").write_text("\n".join(found.command))


def main() -> int:
    """Print a table of outcomes and every finding."""
    words = sys.argv[1:]
    numbers = [int(word) for word in words if word.isdigit()]
    count, first = (*numbers, *(10_000, 0)[len(numbers) :])[:2]
    kinds = [word for word in words if word in KINDS] or list(KINDS)
    tally: Counter[tuple[str, str]] = Counter()
    slowest = Outcome("done")
    warm()
    for k in range(first, first + count):
        kind = kinds[k % len(kinds)]
        number = k // len(kinds)
        one = case(kind, number)
        outcome = run(one)
        tally[kind, outcome.kind] += 1
        slowest = max(slowest, outcome, key=lambda o: o.seconds)
        if not outcome.good:
            say(f"{kind} {number}: {outcome.kind}: {' '.join(one.command)[:90]}: {outcome.text}")
            _keep(one, f"{kind}-{number}")
    for (kind, what), times in sorted(tally.items()):
        say(f"{kind:10} {what:12} {times}")
    say(f"slowest {slowest.seconds:.1f} s")
    return int(any(not Outcome(what).good for _, what in tally))


if __name__ == "__main__":
    sys.exit(main())
