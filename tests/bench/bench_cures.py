"""Broken designs, the cures that `check` tells of them, and what it misses.

Run by hand: ``python -m tests.bench.bench_cures [broken designs] [first seed]``.

The faulty designs of the checks' gallery are checked, then the same with each number between 70 and
130 % of what it was, at random: small, so that much can be tried. Every cure told is put into the
file and everything asked again (`tests.check.test_cures`). For a finding without one, all single
numbers that concern it are set to values 2, 10 and 30 away, on both sides: there a cure could have
been told.

Measured over 53 broken designs, where the run was stopped: 51 of 70 problems and warnings got
cures, 65 in all, of which 65 cure; for none of the other 19 did the search find a number.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit

from meshes import check, spread
from meshes.check import cures
from meshes.check.finding import Finding, Report
from meshes.check.numbers import numbers_of
from meshes.errors import DesignError
from tests.check.gallery import FAULTY
from tests.check.test_cures import assert_cures_hold

AWAY = (2.0, 10.0, 30.0)
# Small designs solved in vain for one finding, at most.
MOST = 30


@dataclass
class Tally:
    """What was found, over all designs."""

    designs: int = 0
    findings: int = 0
    cured: int = 0
    told: int = 0
    wrong: int = 0
    missed: int = 0
    searched: int = 0
    seconds: float = 0.0
    longest: float = 0.0

    def __str__(self) -> str:
        return (
            f"{self.designs} broken designs, {self.findings} problems and warnings: "
            f"{self.cured} with cures; {self.told} cures tried, {self.wrong} of them wrong; "
            f"of {self.searched} without one a search found {self.missed}; "
            f"checks {self.seconds / max(self.designs, 1):.1f} s each, longest {self.longest:.1f} s"
        )


def texts(first: int) -> Iterator[tuple[str, str]]:
    """Names and texts of designs that may be broken, without end."""
    yield from ((case.name, case.toml) for case in FAULTY)
    for seed in count(first):
        random = np.random.default_rng(seed)
        case = FAULTY[int(random.integers(len(FAULTY)))]
        document = tomlkit.parse(case.toml)
        document["pieces"] = shaken(document["pieces"].unwrap(), random)
        yield f"seed {seed}, {case.name}", tomlkit.dumps(document)


def shaken(value: Any, random: np.random.Generator) -> Any:
    """A table or list with its numbers changed by up to 30 %."""
    if isinstance(value, dict):
        return {key: shaken(one, random) for key, one in value.items()}
    if isinstance(value, list):
        return [shaken(one, random) for one in value]
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    return round(value * random.uniform(0.7, 1.3), 1)


def main() -> None:
    """Print each cure that does not hold or was missed, and the figures so far."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 3000
    tally = Tally()
    with tempfile.TemporaryDirectory() as name:
        for title, text in texts(first):
            if tally.designs == most:
                break
            if _look(Path(name), title, text, tally):
                print(tally, flush=True)


def _look(folder: Path, title: str, text: str, tally: Tally) -> bool:
    """Judge one design; whether it is broken."""
    start = time.process_time()
    try:
        found, told = assert_cures_hold(folder, text)
    except DesignError:
        return False
    except AssertionError as error:
        tally.wrong += 1
        print(f"{title}: wrong: {error}", flush=True)
        return True
    bad = {cures._sign(one): one for one in found.findings if one.severity != "note"}
    if not bad:
        return False
    took = time.process_time() - start
    tally.designs, tally.findings = tally.designs + 1, tally.findings + len(bad)
    tally.cured += sum(bool(one.cures) for one in bad.values())
    tally.told += len(told)
    tally.seconds, tally.longest = tally.seconds + took, max(tally.longest, took)
    for finding in bad.values():
        if not finding.cures:
            tally.searched += 1
            missed = search(folder / "ill.toml", found, finding)
            tally.missed += bool(missed)
            print(f"{title}: {finding.kind}: {missed or 'no cure exists'}", flush=True)
    return True


def search(file: Path, found: Report, finding: Finding) -> str:
    """A cure of a finding among single numbers set to fixed distances; empty if there is none."""
    made = spread.read(file)
    limits = made.design.check.model_copy(update={"looks": False})
    case = check.case_of(made)
    tables = cures._present(str(file), {})
    trials = cures._Trials(made, case, found, limits, {}, tables, 1000, MOST, lost=1000)
    sign = cures._sign(finding)
    pieces = trials.standing(cures._pieces(finding))
    if not pieces:
        return ""
    probe = cures._Search(trials, sign, pieces, MOST)
    numbers = list(numbers_of(tables, cures._pieces(finding), trials.units))
    for away in AWAY:
        for number in numbers:
            for value in (number.now - away, number.now + away):
                cure = number.cure(value)
                # What the pieces alone don't show has to be tried in full.
                small = probe._at(number, value) if probe.worst else 0.0
                if small == 0.0 and cures._holds(trials, sign, cure):
                    return str(cure)
    return ""


if __name__ == "__main__":
    main()
