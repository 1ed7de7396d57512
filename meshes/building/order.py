"""Steps in an order that works: what is inside goes first, rings close after what they hold.

Every sheet is mounted by its joins to other sheets. What must come before what follows from the
motion: a glue area that another sheet hides from the finger at every opening is pressed before that
sheet is there; what passes through a slit is threaded before its last end is glued. Where nothing
decides, inner pieces go onto their hosts before these go onto the page, and what lies under
something goes before it. Rings in these rules mean that nobody can build it.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from meshes.linkage import Linkage
from meshes.motion.result import Motion
from meshes.sheet import Drive, Join, Sheet

from .paper import Paper

Action = Literal["make", "stick", "close", "thread", "lay", "glue", "press"]


@dataclass(frozen=True)
class Step:
    """One thing to do.

    Parameters
    ----------
    action : ``make`` (cut, score and fold the sheets of a piece), ``stick`` (cut out flat pieces
        and glue each on its place), ``close`` (glue a sheet to itself so that it becomes a ring),
        ``thread`` (pass a sheet through a slit of another), ``lay`` (put a part that a hand moves
        on its place, without glue), ``glue`` (a first side, to something it was not connected
        with), ``press`` (a further side: glue on it, then fold what it stands on shut).
    piece : whose sheets are worked on; the first of several for ``stick``.
    sheets : their indices in the order of the spread.
    joins : indices of the joins that are glued.
    host : piece that it is glued to or passed through; empty for ``make`` and ``close``.
    present : indices of all sheets that hang together with it afterwards.
    on_page : whether these include the page.
    moves : how a hand will move what is laid.
    """

    action: Action
    piece: str
    sheets: tuple[int, ...]
    joins: tuple[int, ...]
    host: str
    present: frozenset[int]
    on_page: bool
    moves: Literal["", "turn", "slide", "flyleaf"] = ""


# More flat pieces than this are not one step any more.
_MOST_AT_ONCE = 16


class BuildError(ValueError):
    """A spread that nobody can put together; the text names the pieces.

    Parameters
    ----------
    pieces : the ones concerned.
    """

    def __init__(self, problem: str, pieces: Sequence[str]) -> None:
        self.pieces = tuple(pieces)
        super().__init__(problem)


def order(
    sheets: Sequence[Sheet], joins: Sequence[Join], linkage: Linkage, motion: Motion
) -> tuple[Step, ...]:
    """Steps that build a spread.

    Parameters
    ----------
    sheets : the first is the page; joins and linkage are made of them.
    motion : from closed to open; it must be solved where it closes, since pieces are pressed on by
        closing the notebook.

    Raises
    ------
    BuildError
        If the spread does not close, or its pieces wait for each other in a circle.
    """
    _check_closes(motion)
    plan = _Plan(sheets, joins, Paper(linkage, joins, motion), linkage.drives)
    return tuple(_Bench(plan).work(plan.sequence()))


def _check_closes(motion: Motion) -> None:
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


# What waits for what: mounting a sheet on a host, closing one of its rings by a join, threading it
# through another sheet.
_Node = tuple[Literal["mount", "ring", "thread", "lay"], int, int]


class _Plan:
    """Which sheet stands on which, and what must come first."""

    def __init__(
        self,
        sheets: Sequence[Sheet],
        joins: Sequence[Join],
        paper: Paper,
        drives: Sequence[Drive],
    ) -> None:
        self.sheets, self.joins, self.paper = tuple(sheets), tuple(joins), paper
        self.index = {
            f"{sheet.piece}.{facet.name}": k
            for k, sheet in enumerate(sheets)
            for facet in sheet.facets
        }
        # Paper numbers sheets by their bodies; translate to the order of the spread.
        self.number = [
            next(k for k, sheet in enumerate(sheets) if sheet is found) for found in paper.sheets
        ]
        self.laid = {
            self.index[drive.join.facet]: (self.index[drive.join.host], drive) for drive in drives
        }
        self.own = {k: self._joins_of(k) for k in range(len(sheets))}
        self.depth = self._depths()
        self.group = self._groups()

    def _joins_of(self, sheet: int) -> tuple[list[int], list[int]]:
        """Joins that close a sheet on itself, and those that mount it on others."""
        mine = [j for j, join in enumerate(self.joins) if self.index[join.facet] == sheet]
        rings = [j for j in mine if self.index[self.joins[j].host] == sheet]
        return rings, [j for j in mine if j not in rings]

    def hosts(self, sheet: int) -> list[int]:
        """Sheets that a sheet is glued to, in the order of its joins."""
        return list(dict.fromkeys(self.index[self.joins[j].host] for j in self.own[sheet][1]))

    def _depths(self) -> dict[int, int]:
        """Longest way down to the page, or to a sheet that stands on nothing."""
        depth: dict[int, int] = {0: 0}

        def of(sheet: int, above: tuple[int, ...]) -> int:
            if sheet in above:
                circle = [*above[above.index(sheet) :], sheet]
                names = [self.sheets[k].piece for k in circle]
                raise BuildError(f"pieces stand on each other: {' on '.join(names)}", names[:-1])
            if sheet not in depth:
                below = [of(host, (*above, sheet)) for host in self.hosts(sheet)]
                depth[sheet] = 1 + max(below, default=0)
            return depth[sheet]

        for sheet in range(len(self.sheets)):
            of(sheet, ())
        return depth

    def _groups(self) -> dict[int, int]:
        """For each sheet the first sheet of the piece, nearest to the page, that it is built on."""
        under: dict[str, list[str]] = {}
        for sheet in range(len(self.sheets)):
            pieces = [self.sheets[host].piece for host in self.hosts(sheet)]
            under.setdefault(self.sheets[sheet].piece, []).extend(pieces)

        def root(piece: str, seen: tuple[str, ...]) -> str:
            below = [host for host in under[piece] if host != piece]
            if not below or self.sheets[0].piece in below or below[0] in seen:
                return piece
            return root(below[0], (*seen, piece))

        first: dict[str, int] = {}
        for number, found in enumerate(self.sheets):
            first.setdefault(found.piece, number)
        return {k: first[root(found.piece, ())] for k, found in enumerate(self.sheets)}

    def stands(self, sheet: int) -> bool:
        """Whether a sheet is the page or mounted on something."""
        return sheet == 0 or sheet in self.laid or bool(self.own[sheet][1])

    def is_flat(self, sheet: int) -> bool:
        """Whether a sheet is a piece of flat art: no folds, one join, nothing else to its piece."""
        rings, mounts = self.own[sheet]
        alone = sum(other.piece == self.sheets[sheet].piece for other in self.sheets) == 1
        return alone and not rings and len(mounts) == 1 and not self.sheets[sheet].crossings

    def sequence(self) -> list[_Node]:
        """All mountings, rings and threadings in an order that works.

        Raises
        ------
        BuildError
            If they wait for each other in a circle.
        """
        nodes = self._nodes()
        before = self._must(nodes)
        rank = self._ranks()

        def key(node: _Node) -> tuple[int, int, int, int]:
            _, sheet, _ = node
            return (rank[self.group[sheet]], self._phase(node), -self.depth[sheet], sheet)

        return _sorted(nodes, before, key, lambda node: self.sheets[node[1]].piece)

    def _phase(self, node: _Node) -> int:
        """Flat art goes on while its host is flat, rings close while little hangs on them."""
        kind, sheet, host = node
        if kind == "ring":
            return 1
        if kind == "thread":
            return 2
        if kind == "lay":
            return 3
        if host == 0:
            return 4
        return 0 if self.is_flat(sheet) else 3 if self.stands(host) else 2

    def _nodes(self) -> list[_Node]:
        nodes: list[_Node] = []
        for sheet in range(1, len(self.sheets)):
            nodes += self._ring_nodes(sheet) + self._mount_nodes(sheet) + self._lay_nodes(sheet)
        threads = self.paper.threads()
        nodes += [
            ("thread", self.number[x], self.number[y]) for x, y in sorted(threads) if self.number[x]
        ]
        return nodes

    def _must(self, nodes: Sequence[_Node]) -> dict[_Node, set[_Node]]:
        """Nodes that each node waits for."""
        before: dict[_Node, set[_Node]] = {node: set() for node in nodes}
        for node in nodes:
            kind, sheet, other = node
            if kind == "thread":
                for late in self._mount_nodes(sheet) + self._ring_nodes(sheet):
                    before[late].add(node)
            elif kind == "lay":
                for cover in range(1, len(self.sheets)):
                    if cover != sheet and self.sheets[cover].piece == self.sheets[sheet].piece:
                        for late in self._mount_nodes(cover):
                            before[late].add(node)
                before[node] |= set(self._mount_nodes(other))
            elif kind == "mount":
                before[node] |= self._footing(sheet)
                self._wait(before, node, self.joins_on(sheet, other)[:1])
            else:
                self._wait(before, node, [other])
        return before

    def joins_on(self, sheet: int, host: int) -> list[int]:
        """The joins that mount a sheet on a host."""
        return [j for j in self.own[sheet][1] if self.index[self.joins[j].host] == host]

    def _footing(self, sheet: int) -> set[_Node]:
        """A bridge between several pieces, or a piece and the page, goes on when these stand."""
        standing = [host for host in self.hosts(sheet) if self.stands(host)]
        if len(standing) < 2:
            return set()
        nodes = [self._mount_nodes(host) + self._lay_nodes(host) for host in standing if host]
        return {node for found in nodes for node in found}

    def _lay_nodes(self, sheet: int) -> list[_Node]:
        return [("lay", sheet, self.laid[sheet][0])] if sheet in self.laid else []

    def _mount_nodes(self, sheet: int) -> list[_Node]:
        return [("mount", sheet, host) for host in self.hosts(sheet)]

    def _ring_nodes(self, sheet: int) -> list[_Node]:
        return [("ring", sheet, j) for j in self.own[sheet][0]]

    def _wait(self, before: dict[_Node, set[_Node]], node: _Node, joins: Iterable[int]) -> None:
        """What hides the joins of a node has to wait for it."""
        sheet = node[1]
        for join in joins:
            for found in self.paper.blockers(join):
                blocker = self.number[found]
                late = self._ring_nodes(blocker) or self._mount_nodes(blocker)
                for one in late:
                    if blocker not in (0, sheet) and one in before and one != node:
                        before[one].add(node)

    def _ranks(self) -> dict[int, int]:
        """Groups in the order of the spread, but what lies under another group before it."""
        groups = sorted(set(self.group.values()) - {0})
        under: dict[int, set[int]] = {g: set() for g in groups}
        for sheet, (_, mounts) in self.own.items():
            for join in mounts:
                for found in self.paper.covers(join):
                    above, below = self.group[self.number[found]], self.group[sheet]
                    if above != below and above in under:
                        under[above].add(below)
        ranks: dict[int, int] = {0: -1}
        left = list(groups)
        while left:
            ready = [g for g in left if not under[g] & set(left) - {g}]
            chosen = ready[0] if ready else left[0]
            ranks[chosen] = len(ranks)
            left.remove(chosen)
        return ranks


def _sorted(
    nodes: Sequence[_Node],
    before: dict[_Node, set[_Node]],
    key: Callable[[_Node], tuple[int, ...]],
    name: Callable[[_Node], str],
) -> list[_Node]:
    """Topological order, the smallest key first among those that wait for nothing."""
    waiting = {node: set(before[node]) for node in nodes}
    heap = [(key(node), node) for node in nodes if not waiting[node]]
    heapq.heapify(heap)
    done: list[_Node] = []
    while heap:
        _, node = heapq.heappop(heap)
        done.append(node)
        for late in [n for n in nodes if node in waiting[n]]:
            waiting[late].discard(node)
            if not waiting[late]:
                heapq.heappush(heap, (key(late), late))
    if len(done) < len(nodes):
        circle = _circle({n: w for n, w in waiting.items() if w})
        names = list(dict.fromkeys(name(node) for node in circle))
        raise BuildError(
            f"{' waits for '.join([*names, names[0]])}: each hides the other's glue, so none can "
            "be glued first",
            names,
        )
    return done


def _circle(waiting: dict[_Node, set[_Node]]) -> list[_Node]:
    path = [next(iter(waiting))]
    while True:
        step = next(node for node in sorted(waiting[path[-1]]) if node in waiting)
        if step in path:
            return path[path.index(step) :]
        path.append(step)


class _Bench:
    """Carries the sequence out and notes what hangs together."""

    def __init__(self, plan: _Plan) -> None:
        self.plan = plan
        self.cluster = {k: frozenset([k]) for k in range(len(plan.sheets))}
        self.made: set[str] = {"page"}

    def work(self, sequence: Sequence[_Node]) -> list[Step]:
        """The steps of a sequence; pieces are made when they are first needed."""
        steps: list[Step] = []
        for kind, sheet, other in sequence:
            if kind == "mount" and self.plan.is_flat(sheet):
                steps += self._make(self.plan.sheets[other].piece)
                steps += self._stick(sheet, other)
                continue
            for needed in (sheet, *((other,) if kind in ("mount", "lay") else ())):
                steps += self._make(self.plan.sheets[needed].piece)
            if kind == "ring":
                steps.append(self._step("close", sheet, (other,)))
            elif kind == "thread":
                steps += self._make(self.plan.sheets[other].piece)
                host = self.plan.sheets[other].piece
                steps.append(self._step("thread", sheet, (), host))
            elif kind == "lay":
                steps.append(self._lay(sheet, other))
            else:
                steps += self._mount(sheet, other)
        for rest in self.plan.sheets[1:]:
            steps += self._make(rest.piece)
        return _together(steps, self.plan.joins)

    def _make(self, piece: str) -> list[Step]:
        if piece in self.made:
            return []
        self.made.add(piece)
        mine = [k for k, sheet in enumerate(self.plan.sheets) if sheet.piece == piece]
        return [Step("make", piece, tuple(mine), (), "", frozenset(mine), False)]

    def _step(self, action: Action, sheet: int, joins: tuple[int, ...], host: str = "") -> Step:
        present = self.cluster[sheet]
        piece = self.plan.sheets[sheet].piece
        return Step(action, piece, (sheet,), joins, host, present, 0 in present)

    def _lay(self, sheet: int, host: int) -> Step:
        self._join_clusters(sheet, host)
        step = self._step("lay", sheet, (), self.plan.sheets[host].piece)
        return replace(step, moves=self.plan.laid[sheet][1].kind)

    def _join_clusters(self, sheet: int, host: int) -> None:
        joined = self.cluster[sheet] | self.cluster[host]
        self.cluster.update(dict.fromkeys(joined, joined))

    def _stick(self, sheet: int, host: int) -> list[Step]:
        """Flat art is made and glued in one go, unless something was stuck on it before."""
        piece = self.plan.sheets[sheet].piece
        if piece in self.made:
            return self._mount(sheet, host)
        self.made.add(piece)
        (step,) = self._mount(sheet, host)
        return [replace(step, action="stick")]

    def _mount(self, sheet: int, host: int) -> list[Step]:
        steps = []
        for join in self.plan.joins_on(sheet, host):
            first = host not in self.cluster[sheet]
            if first:
                self._join_clusters(sheet, host)
            name = self.plan.sheets[host].piece
            steps.append(self._step("glue" if first else "press", sheet, (join,), name))
        return steps


def _together(steps: Sequence[Step], joins: Sequence[Join]) -> list[Step]:
    """What is done in one go is one step.

    That is: joins of one sheet that are closed or pressed, flat art on one host or one page.
    """
    merged: list[Step] = []
    for step in steps:
        last = merged[-1] if merged else None
        if last is not None and _in_one_go(last, step, joins):
            both = dict.fromkeys(last.sheets + step.sheets)
            merged[-1] = replace(
                last,
                sheets=tuple(both),
                joins=last.joins + step.joins,
                present=last.present | step.present,
            )
        else:
            merged.append(step)
    return merged


def _in_one_go(first: Step, second: Step, joins: Sequence[Join]) -> bool:
    if (first.action, first.host) != (second.action, second.host):
        return False
    if first.action in ("close", "press"):
        return first.sheets == second.sheets
    if first.action != "stick" or len(first.joins) >= _MOST_AT_ONCE:
        return False
    hosts = {joins[j].host for j in first.joins + second.joins}
    return first.host != "page" or len(hosts) == 1
