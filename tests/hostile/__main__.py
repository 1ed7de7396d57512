"""Run many hostile cases, for a night: ``python -m tests.hostile``.

Without words: 10,000 designs (four kinds), 500 drawings, 300 images and fonts, 10,000 command
lines (two kinds). ``python -m tests.hostile ranges 1248 words 1253-1300`` runs single ones, and
``python -m tests.hostile world`` every command where the world around it is hostile.

What became of each case is written to ``hostile-findings/outcomes.tsv`` at once, so a run that was
stopped goes on where it was (``--again`` judges anew those that did harm); the files of each
finding lie beside it.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from . import cell, surroundings
from .cases import KINDS, case
from .cell import Case, Outcome, run, warm

NIGHT = {
    "bytes": 2500, "lines": 2500, "trees": 2500, "ranges": 2500, "drawings": 500, "art": 300,
    "edits": 5000, "words": 5000,
}  # fmt: skip


def say(line: str) -> None:
    """Write a line at once, so that a run that is stopped has told what it knew."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


class Journal:
    """What became of the cases, one line each: kind, number, outcome, seconds, text."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.folder, self.path = folder, folder / "outcomes.tsv"
        self.known: dict[tuple[str, int], Outcome] = {}
        if self.path.exists():
            for line in self.path.read_text().splitlines():
                kind, number, what, seconds, text = line.split("\t", 4)
                self.known[kind, int(number)] = Outcome(what, text, float(seconds))

    def note(self, kind: str, number: int, one: Case, outcome: Outcome) -> None:
        """Keep an outcome, and the files of one that did harm."""
        self.known[kind, number] = outcome
        text = " ".join(outcome.text.split())
        with self.path.open("a") as file:
            file.write(f"{kind}\t{number}\t{outcome.kind}\t{outcome.seconds:.2f}\t{text}\n")
        if outcome.good:
            return
        folder = self.folder / f"{kind}-{number}"
        folder.mkdir(exist_ok=True)
        for name, content in one.files.items():
            (folder / name).write_bytes(content)
        (folder / "command").write_text("\n".join(one.command))


def _wanted(words: list[str]) -> Iterator[tuple[str, int]]:
    """Kinds and numbers: those of the words, or those of a night, all kinds in turn."""
    if not words:
        for number in range(max(NIGHT.values())):
            yield from ((kind, number) for kind in NIGHT if number < NIGHT[kind])
    kind = ""
    for word in words:
        if word in KINDS:
            kind = word
            continue
        first, _, last = word.partition("-")
        yield from ((kind, number) for number in range(int(first), int(last or first) + 1))


def _world() -> int:
    tally: Counter[tuple[str, str]] = Counter()
    for command, condition in surroundings.matrix():
        outcome = surroundings.play(command, condition)
        tally[condition, outcome.kind] += 1
        if not outcome.good:
            say(f"{command}, {condition!r}: {outcome.kind}: {outcome.text}")
    for (condition, what), times in sorted(tally.items()):
        say(f"{condition!r:30} {what:12} {times}")
    return int(not all(Outcome(what).good for _, what in tally))


def main() -> int:
    """Print every finding and a table of outcomes."""
    parser = argparse.ArgumentParser("python -m tests.hostile")
    parser.add_argument("words", nargs="*", help="kinds and numbers, as in: ranges 12 art 0-99")
    parser.add_argument("--folder", type=Path, default=Path("hostile-findings"))
    parser.add_argument("--again", action="store_true", help="judge anew what did harm")
    parser.add_argument("--patience", type=float, default=cell.WAITED, help="seconds by the clock")
    options = parser.parse_args()
    cell.WAITED = options.patience
    journal = Journal(options.folder)
    warm()
    if options.words == ["world"]:
        return _world()
    for kind, number in _wanted(options.words):
        known = journal.known.get((kind, number))
        if known and not options.words and (known.good or not options.again):
            continue
        one = case(kind, number)
        outcome = run(one)
        journal.note(kind, number, one, outcome)
        if not outcome.good:
            command = " ".join(one.command)[:90]
            say(f"{kind} {number}: {outcome.kind}: {command}: {outcome.text}")
    tally = Counter((kind, outcome.kind) for (kind, _), outcome in journal.known.items())
    for (kind, what), times in sorted(tally.items()):
        say(f"{kind:10} {what:12} {times}")
    say(f"slowest {max(o.seconds for o in journal.known.values()):.1f} s")
    return int(not all(outcome.good for outcome in journal.known.values()))


if __name__ == "__main__":
    sys.exit(main())
