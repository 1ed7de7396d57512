"""Steps in an order that hands can carry out.

A plan knows beforehand what must come before what; an order that follows it is put together again
step by step (`proof.py`). Where a hand no longer gets at some glue, it is found out which earlier
step has hidden it; that it must wait is added to the plan, until an order is proved or the steps
wait for each other in a circle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Join, Sheet

from .paper import BuildPaper
from .plan import BuildPlan, Node
from .proof import Fault, Proof
from .step import Action, BuildError, Step

# More flat pieces than this are not one step any more.
_MOST_AT_ONCE = 16
# So many orders are tried; every one that fails teaches at least one thing.
_MOST_TRIED = 60
_SAID = {
    "missing": "{0} is glued to paper that is not there yet",
    "twice": "{0} would be glued twice",
    "apart": "{0} lies wholly beside {1}, so nothing holds it",
    "covered": "{0} would have to slip under {1}, which is glued over its place",
    "hidden": "no hand can reach the glue between {0} and {1}, in whatever order they are glued",
    "not threaded": "{0} never passes the slit of {1}",
    "stuck": "the end of {0} that has to pass the slit of {1} is held, or too wide for it",
    "unpressed": "{0} and {1} can be neither pinched nor folded flat, so their glue would not hold",
}


def order(
    sheets: Sequence[Sheet], joins: Sequence[Join], linkage: Linkage, motion: Motion
) -> tuple[Step, ...]:
    """Steps that build a spread; every one of them is proved.

    Parameters
    ----------
    sheets : the first is the page; joins and linkage are made of them.
    motion : from closed to open; it must be solved where it closes, since pieces are pressed on by
        closing the notebook.

    Raises
    ------
    BuildError
        If the spread does not close, its pieces wait for each other in a circle, or some glue can
        be reached in no order.
    """
    check_closes(motion)
    plan = BuildPlan(sheets, joins, BuildPaper(linkage, joins, motion), linkage.drives)
    proof = Proof(sheets, joins, linkage, motion)
    for _ in range(_MOST_TRIED):
        steps = tuple(_OrderBench(plan).work(plan.sequence()))
        fault = next(proof.faults(steps), None)
        if fault is None:
            return proof.with_slips(steps)
        _learn(plan, proof, steps, fault)
    raise BuildError(f"none of {_MOST_TRIED} orders works", ())


def _learn(plan: BuildPlan, proof: Proof, steps: Sequence[Step], fault: Fault) -> None:
    """Have what has hidden some glue wait for it."""
    if fault.reason != "hidden":
        raise refused(fault, steps, plan.sheets, plan.joins)
    batches = [batch for step in steps[: fault.step] for batch in proof.batches(step) if batch]
    glued = {j for batch in batches for j in batch}
    for batch in reversed(batches):
        glued -= set(batch)
        if proof.reaches(fault.join, glued):
            plan.first(fault.join, batch[0])
            return
    raise refused(fault, steps, plan.sheets, plan.joins)


def refused(
    fault: Fault, steps: Sequence[Step], sheets: Sequence[Sheet], joins: Sequence[Join]
) -> BuildError:
    """Why a step can't be carried out, with the pieces and the step named."""
    step = steps[fault.step]
    pieces = [sheets[k].piece for k in fault.sheets]
    names = list(pieces)
    if fault.join >= 0:
        names[0] = joins[fault.join].facet
        if fault.reason in ("apart", "hidden", "unpressed"):
            names[1] = joins[fault.join].host
    onto = f" to {step.host}" if step.host and step.joins else ""
    where = f"in step {fault.step + 1} of {len(steps)}, {step.action} {step.piece}{onto}: "
    said = _SAID[fault.reason].format(*names, "")
    return BuildError(where + said, list(dict.fromkeys(pieces)))


def check_closes(motion: Motion) -> None:
    """BuildError if a motion does not get from closed to open: nothing can be pressed on then."""
    stuck = [finding for finding in motion.findings if finding.kind in ("jam", "cannot-assemble")]
    if stuck:
        fold = stuck[0].fold
        at = np.degrees(stuck[0].opening)
        raise BuildError(
            f"{fold} does not go through at {at:.0f}°, so nothing can be pressed on by closing: "
            f"{stuck[0].reason}",
            [fold.partition(".")[0]],
        )
    if not motion.solved.all():
        at = np.degrees(motion.openings[np.argmin(motion.solved)])
        raise BuildError(f"the spread can't reach {at:.0f}°, so it can't be closed for glue", [])


class _OrderBench:
    """Carries the sequence out and notes what hangs together, and what glue holds together."""

    def __init__(self, plan: BuildPlan) -> None:
        self.plan = plan
        self.hang = {k: frozenset([k]) for k in range(len(plan.sheets))}
        self.glued = dict(self.hang)
        self.made: set[str] = {"page"}

    def work(self, sequence: Sequence[Node]) -> list[Step]:
        """The steps of a sequence; pieces are made when they are first needed."""
        steps: list[Step] = []
        for node in sequence:
            kind, sheet, other = node
            flat = kind == "mount" and self.plan.is_flat(sheet)
            if flat and self.plan.sheets[sheet].piece not in self.made:
                steps += self._make(self.plan.sheets[other].piece)
                steps += self._stick(node)
                continue
            for needed in (sheet, *((other,) if kind != "ring" else ())):
                steps += self._make(self.plan.sheets[needed].piece)
            if kind == "ring":
                steps.append(self._step("close", (sheet,), (other,)))
            elif kind == "thread":
                steps.append(self._thread(sheet, other))
            elif kind == "lay":
                steps.append(self._lay(sheet, other))
            else:
                steps += self._mount(node)
        for rest in self.plan.sheets[1:]:
            steps += self._make(rest.piece)
        return _together(steps, self.plan)

    def _make(self, piece: str) -> list[Step]:
        if piece in self.made:
            return []
        self.made.add(piece)
        mine = [k for k, sheet in enumerate(self.plan.sheets) if sheet.piece == piece]
        return [Step("make", piece, tuple(mine), (), "", frozenset(mine), False)]

    def _step(
        self, action: Action, sheets: tuple[int, ...], joins: tuple[int, ...], host: str = ""
    ) -> Step:
        present = self.hang[sheets[0]]
        piece = self.plan.sheets[sheets[0]].piece
        return Step(action, piece, sheets, joins, host, present, 0 in present)

    def _thread(self, sheet: int, host: int) -> Step:
        _unite(self.hang, sheet, host)
        return self._step("thread", (sheet,), (), self.plan.sheets[host].piece)

    def _lay(self, sheet: int, host: int) -> Step:
        _unite(self.glued, sheet, host)
        _unite(self.hang, sheet, host)
        step = self._step("lay", (sheet,), (), self.plan.sheets[host].piece)
        return replace(step, moves=self.plan.laid[sheet][1].kind)

    def _stick(self, node: Node) -> list[Step]:
        """Flat art is made and glued in one go."""
        self.made.add(self.plan.sheets[node[1]].piece)
        (step,) = self._mount(node)
        return [replace(step, action="stick")]

    def _mount(self, node: Node) -> list[Step]:
        """What lands on one facet is glued at once: first one side, then the others."""
        steps = []
        _, _, host = node
        sides: dict[str, list[int]] = {}
        for j in self.plan.members(node):
            sides.setdefault(self.plan.joins[j].host, []).append(j)
        for joins in sides.values():
            sheets = tuple(dict.fromkeys(self.plan.index[self.plan.joins[j].facet] for j in joins))
            loose = all(host not in self.glued[sheet] for sheet in sheets)
            for sheet in sheets:
                _unite(self.glued, sheet, host)
                _unite(self.hang, sheet, host)
            name = self.plan.sheets[host].piece
            steps.append(self._step("glue" if loose else "press", sheets, tuple(joins), name))
        return steps


def _unite(groups: dict[int, frozenset[int]], one: int, two: int) -> None:
    both = groups[one] | groups[two]
    groups.update(dict.fromkeys(both, both))


def _together(steps: Sequence[Step], plan: BuildPlan) -> list[Step]:
    """What is done in one go is one step.

    That is: joins of one sheet that are closed or pressed, the ends of a piece that pass slits,
    flat art on one piece or one page.
    """
    runs: list[list[Step]] = []
    for step in steps:
        if runs and _in_one_go(runs[-1][-1], step, plan):
            runs[-1].append(step)
        else:
            runs.append([step])
    return [_one(part) for run in runs for part in _shares(run, plan)]


def _shares(run: Sequence[Step], plan: BuildPlan) -> list[Sequence[Step]]:
    """A long row of flat art in about equal shares, equal pieces in one; other rows whole."""
    if run[0].action != "stick":
        return [run]
    count = -(-len(run) // _MOST_AT_ONCE)
    kinds = [_kind(step, plan) for step in run]
    cuts = [0]
    for k in range(1, count):
        even = k * len(run) / count
        least = max(cuts[-1] + 1, len(run) - (count - k) * _MOST_AT_ONCE)
        between = range(least, cuts[-1] + _MOST_AT_ONCE + 1)
        apart = [cut for cut in between if kinds[cut - 1] != kinds[cut]]
        cuts.append(min(apart or between, key=lambda cut: abs(cut - even)))
    return [run[a:b] for a, b in pairwise([*cuts, len(run)])]


def _kind(step: Step, plan: BuildPlan) -> tuple[str, float, float]:
    """What tells flat art apart: its host, area and girth (mm, to a micrometre)."""
    outline = plan.sheets[step.sheets[0]].outline
    return step.host, round(outline.area, 3), round(outline.length, 3)


def _one(run: Sequence[Step]) -> Step:
    return replace(
        run[0],
        sheets=tuple(dict.fromkeys(sheet for step in run for sheet in step.sheets)),
        joins=tuple(j for step in run for j in step.joins),
        present=frozenset().union(*(step.present for step in run)),
    )


def _in_one_go(first: Step, second: Step, plan: BuildPlan) -> bool:
    if first.action != second.action:
        return False
    if first.action == "thread":
        return (first.piece, first.host) == (second.piece, second.host)
    if first.action in ("close", "press"):
        return (first.sheets, first.host) == (second.sheets, second.host)
    if first.action != "stick":
        return False
    one, two = (plan.flat_on(plan.node_of(step.joins[0])) for step in (first, second))
    return one == two
