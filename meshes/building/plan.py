"""What must come before what when a spread is built.

Every sheet is mounted by its joins to other sheets. What is known beforehand: a glue area that
another sheet hides from the finger at every opening is pressed before that sheet is there; what
lies lower in a stack is glued before what lies over it; an end is passed through its slit before it
is glued, and lies under the slit's sheet, so both are glued at once. Where nothing decides, inner
pieces go onto their hosts before these go onto the page.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Literal

from meshes.sheet import Drive, Join, Sheet

from .paper import BuildPaper
from .step import BuildError, kept_flat

# What waits for what: mounting a sheet on a host, closing one of its rings by a join, threading it
# through another sheet, laying it on a host without glue.
Node = tuple[Literal["mount", "ring", "thread", "lay"], int, int]


class BuildPlan:
    """Which sheet stands on which, and what must come first."""

    def __init__(
        self,
        sheets: Sequence[Sheet],
        joins: Sequence[Join],
        paper: BuildPaper,
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
        self.kept_flat = kept_flat(sheets, joins)
        self.own = {k: self._joins_of(k) for k in range(len(sheets))}
        self._flat = self._flat_sheets()
        self.depth = self._depths()
        self.group = self._groups()
        self.threads = paper.threads()
        self.bundles = self._bundles()
        self.must = self._must()

    def _joins_of(self, sheet: int) -> tuple[list[int], list[int]]:
        """Joins that close a sheet on itself, and those that mount it on others."""
        mine = [
            j
            for j, join in enumerate(self.joins)
            if self.index[join.facet] == sheet and j not in self.kept_flat
        ]
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
        return sheet in self._flat

    def _flat_sheets(self) -> frozenset[int]:
        many = Counter(sheet.piece for sheet in self.sheets)
        return frozenset(
            k
            for k, (rings, mounts) in self.own.items()
            if many[self.sheets[k].piece] == 1
            and not rings
            and len(mounts) == 1
            and not self.sheets[k].crossings
        )

    def sequence(self) -> list[Node]:
        """All mountings, rings and threadings in an order that works.

        Raises
        ------
        BuildError
            If they wait for each other in a circle.
        """
        rank = self._ranks()

        def key(node: Node) -> tuple[int, int, int, int]:
            _, sheet, _ = node
            return (rank[self.group[sheet]], self._phase(node), -self.depth[sheet], sheet)

        return _sorted(self.must, key, self.flat_on, lambda node: self.sheets[node[1]].piece)

    def first(self, before: int, after: int) -> None:
        """Learn that one join has to be glued before another.

        Raises
        ------
        BuildError
            If both are glued at once, so that neither can be first.
        """
        one, two = self.node_of(before), self.node_of(after)
        if one == two or one in self.must[two]:
            pieces = [self.sheets[node[1]].piece for node in (one, two)]
            raise BuildError(
                f"{pieces[0]} can't be glued: no hand can reach {self.joins[before].facet} on "
                f"{self.joins[before].host} any more",
                list(dict.fromkeys(pieces)),
            )
        self.must[two].add(one)

    def node_of(self, join: int) -> Node:
        """The node in which a join is glued."""
        facet, host = self.index[self.joins[join].facet], self.index[self.joins[join].host]
        if facet == host:
            return ("ring", facet, join)
        return self._bundled(("mount", facet, host))

    def flat_on(self, node: Node) -> str:
        """What a node glues flat art on, so that it can be done in a row; else empty.

        That is ``page.left``, ``page.right``, the name of a piece, or a facet whose back it is:
        from behind, where the paper folds away, one view seldom shows two; with a sign for each
        layer of flat art that lies between.
        """
        kind, sheet, host = node
        if kind != "mount" or not self.is_flat(sheet):
            return ""
        join, layers = self.joins[self.own[sheet][1][0]], ""
        while host and self.is_flat(host):
            join, layers = self.joins[self.own[host][1][0]], layers + "+"
            host = self.index[join.host]
        if host == 0:
            return join.host + layers
        return (self.sheets[host].piece if join.side == 1 else f"{join.host} back") + layers

    def members(self, node: Node) -> list[int]:
        """The joins that a mounting glues, in their order."""
        return [j for j in range(len(self.joins)) if self._glues(j, node)]

    def _glues(self, join: int, node: Node) -> bool:
        return join not in self.kept_flat and self.node_of(join) == node

    def _phase(self, node: Node) -> int:
        """Flat art goes on while its host is flat, rings close while little hangs on them."""
        kind, sheet, host = node
        if kind == "ring":
            return 1
        if kind == "thread":
            return 4
        if kind == "lay":
            return 3
        if host == 0 or node in self.bundles.values():
            return 5
        return 0 if self.is_flat(sheet) else 3 if self.stands(host) else 2

    def _bundles(self) -> dict[Node, Node]:
        """Ends that pass a slit lie under its sheet: glued on one host, both go on at once."""
        bundles: dict[Node, Node] = {}
        for thread in self.threads:
            x, y = self.number[thread.through], self.number[thread.holed]
            hosts = {self.joins[j].host for j in self.own[y][1]}
            for j in self.own[x][1]:
                join = self.joins[j]
                if j in thread.passed and join.host in hosts:
                    under = self.index[join.host]
                    bundles["mount", x, under] = bundles["mount", y, under] = ("mount", y, under)
        return bundles

    def _bundled(self, node: Node) -> Node:
        return self.bundles.get(node, node)

    def _nodes(self) -> list[Node]:
        nodes: list[Node] = []
        for sheet in range(1, len(self.sheets)):
            nodes += self._ring_nodes(sheet) + self._mount_nodes(sheet) + self._lay_nodes(sheet)
        nodes += [("thread", self.number[t.through], self.number[t.holed]) for t in self.threads]
        return list(dict.fromkeys(nodes))

    def _must(self) -> dict[Node, set[Node]]:
        """Nodes that each node waits for."""
        before: dict[Node, set[Node]] = {node: set() for node in self._nodes()}
        for node in before:
            kind, sheet, other = node
            if kind == "lay":
                for cover in range(1, len(self.sheets)):
                    if cover != sheet and self.sheets[cover].piece == self.sheets[sheet].piece:
                        for late in self._mount_nodes(cover):
                            before[late].add(node)
                before[node] |= set(self._mount_nodes(other))
            elif kind == "mount":
                before[node] |= self._footing(sheet) - {node}
                if self.is_flat(sheet) and other and self.is_flat(other):
                    before[node] |= set(self._mount_nodes(other))
                self._wait(before, node, self.joins_on(sheet, other)[:1])
            elif kind == "ring":
                self._wait(before, node, [other])
        self._pass_slits(before)
        self._stack(before)
        return before

    def _pass_slits(self, before: dict[Node, set[Node]]) -> None:
        """An end passes its slit before anything holds it, and layers are one when it does."""
        for thread in self.threads:
            x, y = self.number[thread.through], self.number[thread.holed]
            for node in self._mount_nodes(y):
                if self.sheets[node[2]].piece == self.sheets[y].piece and (
                    node not in self.bundles.values()
                ):
                    before["thread", x, y].add(node)
            for j in thread.passed - self.kept_flat:
                before[self.node_of(j)].add(("thread", x, y))

    def _stack(self, before: dict[Node, set[Node]]) -> None:
        """What lies lower on a host goes on first."""
        for low, high in sorted(self.paper.stacked()):
            if {low, high} & self.kept_flat:
                continue
            one, two = self.node_of(low), self.node_of(high)
            below = self.paper.under(self.joins[high].facet)
            carried = any(self.joins[j].facet in below for j in self.members(one))
            if one[1] != two[1] and not carried:
                before[two].add(one)

    def joins_on(self, sheet: int, host: int) -> list[int]:
        """The joins that mount a sheet on a host."""
        return [j for j in self.own[sheet][1] if self.index[self.joins[j].host] == host]

    def _footing(self, sheet: int) -> set[Node]:
        """A bridge between several pieces, or a piece and the page, goes on when these stand."""
        standing = [host for host in self.hosts(sheet) if self.stands(host)]
        if len(standing) < 2:
            return set()
        nodes = [self._mount_nodes(host) + self._lay_nodes(host) for host in standing if host]
        return {node for found in nodes for node in found}

    def _lay_nodes(self, sheet: int) -> list[Node]:
        return [("lay", sheet, self.laid[sheet][0])] if sheet in self.laid else []

    def _mount_nodes(self, sheet: int) -> list[Node]:
        nodes: list[Node] = [("mount", sheet, host) for host in self.hosts(sheet)]
        return list(dict.fromkeys(self._bundled(node) for node in nodes))

    def _ring_nodes(self, sheet: int) -> list[Node]:
        return [("ring", sheet, j) for j in self.own[sheet][0]]

    def _wait(self, before: dict[Node, set[Node]], node: Node, joins: Iterable[int]) -> None:
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
    before: Mapping[Node, set[Node]],
    key: Callable[[Node], tuple[int, ...]],
    flat_on: Callable[[Node], str],
    name: Callable[[Node], str],
) -> list[Node]:
    """Topological order, the smallest key first among those that wait for nothing.

    Flat art on one page comes in a row, that on the left page first.
    """
    waiting = {node: set(before[node]) for node in before}
    done: list[Node] = []
    while waiting:
        ready = sorted((key(node), node) for node, left in waiting.items() if not left)
        if not ready:
            circle = _circle(waiting)
            names = list(dict.fromkeys(name(node) for node in circle))
            raise BuildError(
                f"{' waits for '.join([*names, names[0]])}: each hides the other's glue, so none "
                "can be glued first",
                names,
            )
        node = _next([node for _, node in ready], flat_on(done[-1]) if done else "", flat_on)
        done.append(node)
        del waiting[node]
        for left in waiting.values():
            left.discard(node)
    return done


def _next(ready: Sequence[Node], last: str, flat_on: Callable[[Node], str]) -> Node:
    """The first that is ready, unless flat art belongs in a row with what was glued last.

    That is art beside it, then art on it; the left page is filled before the right.
    """
    page = last.rstrip("+")
    wanted = [last, f"{last}+"] if last else []
    if page.startswith("page.") or flat_on(ready[0]).startswith("page."):
        wanted += [f"page.{side}{layers}" for side in ("left", "right") for layers in ("", "+")]
    for where in wanted:
        for node in ready:
            if flat_on(node) == where:
                return node
    return ready[0]


def _circle(waiting: dict[Node, set[Node]]) -> list[Node]:
    path = [next(iter(waiting))]
    while True:
        step = next(node for node in sorted(waiting[path[-1]]) if node in waiting)
        if step in path:
            return path[path.index(step) :]
        path.append(step)
