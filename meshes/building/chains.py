"""Closed chains in a graph: what is left together when every edge that closes no ring is cut."""

from __future__ import annotations

from collections.abc import Sequence


def chains(count: int, edges: Sequence[tuple[int, int]]) -> list[int]:
    """For each node the number of its 2-edge-connected component.

    An edge is a bridge if it lies on no ring (R. E. Tarjan, A note on finding the bridges of a
    graph, 1974). Edges may be double, which makes a ring.

    Parameters
    ----------
    count : of nodes, which are numbered from 0.
    """
    around: list[list[tuple[int, int]]] = [[] for _ in range(count)]
    for k, (a, b) in enumerate(edges):
        around[a].append((b, k))
        around[b].append((a, k))
    bridges = _bridges(around)
    part = [-1] * count
    for first in range(count):
        if part[first] >= 0:
            continue
        part[first], stack = first, [first]
        while stack:
            for other, k in around[stack.pop()]:
                if k not in bridges and part[other] < 0:
                    part[other] = first
                    stack.append(other)
    return part


def _bridges(around: Sequence[Sequence[tuple[int, int]]]) -> set[int]:
    seen = [-1] * len(around)
    low = [0] * len(around)
    found: set[int] = set()
    clock = 0
    for first in range(len(around)):
        if seen[first] >= 0:
            continue
        seen[first] = low[first] = clock
        clock += 1
        # Node, the edge it was come by, and the edges still to follow.
        stack = [(first, -1, iter(around[first]))]
        while stack:
            node, by, rest = stack[-1]
            step = next(rest, None)
            if step is None:
                stack.pop()
                if stack:
                    above = stack[-1][0]
                    low[above] = min(low[above], low[node])
                    if low[node] > seen[above]:
                        found.add(by)
            elif step[1] != by:
                other, k = step
                if seen[other] >= 0:
                    low[node] = min(low[node], seen[other])
                else:
                    seen[other] = low[other] = clock
                    clock += 1
                    stack.append((other, k, iter(around[other])))
    return found
